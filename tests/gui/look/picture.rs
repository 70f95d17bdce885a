//! A window as a picture, without a display: the triangles that a graphics card would get are
//! filled here, point by point, and written as PNG. Slow, exact enough to be looked at.

use egui::Color32;
use egui::ColorImage;
use egui::Rect;
use egui::Shape;
use egui::TextureId;
use egui::TexturesDelta;
use egui::epaint::ClippedShape;
use egui::epaint::ImageData;
use egui::epaint::Mesh;
use egui::epaint::Primitive;
use egui::epaint::Vertex;
use egui_kittest::TestRenderer;
use std::cell::RefCell;
use std::collections::HashMap;
use std::path::Path;
use std::rc::Rc;

/// The textures as the window has them now: letters, and white.
#[derive(Clone, Default)]
pub struct Textures(Rc<RefCell<HashMap<TextureId, ColorImage>>>);

impl TestRenderer for Textures {
    #[allow(
        clippy::iter_over_hash_type,
        reason = "each texture is set or freed by itself, in whatever order"
    )]
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        let mut textures = self.0.borrow_mut();
        for (id, changes) in &delta.set {
            for change in changes {
                let ImageData::Color(image) = &change.image;
                match change.pos {
                    None => {
                        textures.insert(*id, (**image).clone());
                    }
                    Some(at) => {
                        let whole = textures.get_mut(id).expect("a texture to change");
                        put(whole, image, at);
                    }
                }
            }
        }
        for id in &delta.free {
            textures.remove(id);
        }
        delta.clear();
    }
}

fn put(whole: &mut ColorImage, part: &ColorImage, [left, top]: [usize; 2]) {
    let width = whole.size[0];
    for (row, line) in part.pixels.chunks_exact(part.size[0]).enumerate() {
        let start = (top + row) * width + left;
        whole.pixels[start..start + line.len()].copy_from_slice(line);
    }
}

/// What the window shows, drawn.
pub fn draw(ctx: &egui::Context, output: &egui::FullOutput, textures: &Textures) -> ColorImage {
    let scale = output.pixels_per_point;
    draw_shapes(ctx, output.shapes.clone(), textures, scale)
}

/// The same without any words, so many pixels to a point.
pub fn draw_without_words(
    ctx: &egui::Context,
    output: &egui::FullOutput,
    textures: &Textures,
    scale: f32,
) -> ColorImage {
    let mut shapes = output.shapes.clone();
    for clipped in &mut shapes {
        take_words(&mut clipped.shape);
    }
    draw_shapes(ctx, shapes, textures, scale)
}

fn take_words(shape: &mut Shape) {
    match shape {
        Shape::Text(_) => *shape = Shape::Noop,
        Shape::Vec(shapes) => shapes.iter_mut().for_each(take_words),
        _ => {}
    }
}

fn draw_shapes(
    ctx: &egui::Context,
    shapes: Vec<ClippedShape>,
    textures: &Textures,
    scale: f32,
) -> ColorImage {
    let size = ctx.content_rect().size() * scale;
    let mut canvas = ColorImage::filled(
        [size.x.round() as usize, size.y.round() as usize],
        Color32::BLACK,
    );
    let textures = textures.0.borrow();
    for clipped in ctx.tessellate(shapes, scale) {
        if let Primitive::Mesh(mesh) = &clipped.primitive {
            fill_mesh(&mut canvas, mesh, clipped.clip_rect, scale, &textures);
        }
    }
    canvas
}

fn fill_mesh(
    canvas: &mut ColorImage,
    mesh: &Mesh,
    clip: Rect,
    scale: f32,
    textures: &HashMap<TextureId, ColorImage>,
) {
    let texture = &textures[&mesh.texture_id];
    let edge = |at: f32, most: usize| (at * scale).round().clamp(0.0, most as f32) as usize;
    let [width, height] = canvas.size;
    let clip = [
        edge(clip.left(), width),
        edge(clip.top(), height),
        edge(clip.right(), width),
        edge(clip.bottom(), height),
    ];
    for corners in mesh.indices.chunks_exact(3) {
        let corners = [0, 1, 2].map(|i| mesh.vertices[corners[i] as usize]);
        fill_triangle(canvas, corners, clip, scale, texture);
    }
}

/// Twice the area of a triangle, with a sign.
fn area(a: [f32; 2], b: [f32; 2], c: [f32; 2]) -> f32 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

fn fill_triangle(
    canvas: &mut ColorImage,
    mut corners: [Vertex; 3],
    [left, top, right, bottom]: [usize; 4],
    scale: f32,
    texture: &ColorImage,
) {
    let place = |v: &Vertex| [v.pos.x * scale, v.pos.y * scale];
    if area(place(&corners[0]), place(&corners[1]), place(&corners[2])) < 0.0 {
        corners.swap(1, 2);
    }
    let [a, b, c] = [0, 1, 2].map(|i| place(&corners[i]));
    let whole = area(a, b, c);
    if whole <= 0.0 {
        return;
    }
    let bounds = |axis: usize, low: usize, high: usize| {
        let least = a[axis].min(b[axis]).min(c[axis]).floor().max(low as f32);
        let most = a[axis].max(b[axis]).max(c[axis]).ceil().min(high as f32);
        least as usize..most.max(least) as usize
    };
    // Of two triangles at one edge only one gets the points on it.
    let owns = |from: [f32; 2], to: [f32; 2]| {
        to[1] < from[1] || (to[1] - from[1]).abs() < f32::EPSILON && to[0] > from[0]
    };
    let owned = [owns(b, c), owns(c, a), owns(a, b)];
    let one_texel = corners.iter().all(|v| v.uv == corners[0].uv);
    for y in bounds(1, top, bottom) {
        for x in bounds(0, left, right) {
            let at = [x as f32 + 0.5, y as f32 + 0.5];
            let parts = [area(b, c, at), area(c, a, at), area(a, b, at)];
            let inside = |i: usize| parts[i] > 0.0 || parts[i] >= 0.0 && owned[i];
            if !(inside(0) && inside(1) && inside(2)) {
                continue;
            }
            let mix = |of: &dyn Fn(&Vertex) -> f32| {
                (0..3).map(|i| of(&corners[i]) * parts[i]).sum::<f32>() / whole
            };
            let uv = if one_texel {
                [corners[0].uv.x, corners[0].uv.y]
            } else {
                [mix(&|v| v.uv.x), mix(&|v| v.uv.y)]
            };
            let texel = sample(texture, uv);
            let colour: [f32; 4] = [0, 1, 2, 3].map(|channel| {
                let own = mix(&|v| f32::from(v.color.to_array()[channel]));
                own * texel[channel] / 255.0
            });
            let under = &mut canvas.pixels[y * canvas.size[0] + x];
            let before = under.to_array();
            let over = [0, 1, 2].map(|channel| {
                let kept = f32::from(before[channel]) * (1.0 - colour[3] / 255.0);
                (colour[channel] + kept).round().clamp(0.0, 255.0) as u8
            });
            *under = Color32::from_rgb(over[0], over[1], over[2]);
        }
    }
}

/// Between the four nearest points of a texture.
fn sample(texture: &ColorImage, uv: [f32; 2]) -> [f32; 4] {
    let [width, height] = texture.size;
    let along = |share: f32, size: usize| {
        let at = (share * size as f32 - 0.5).clamp(0.0, (size - 1) as f32);
        let low = at.floor();
        (low as usize, (low as usize + 1).min(size - 1), at - low)
    };
    let (x0, x1, right) = along(uv[0], width);
    let (y0, y1, down) = along(uv[1], height);
    let of = |x: usize, y: usize| texture.pixels[y * width + x].to_array();
    let (nw, ne, sw, se) = (of(x0, y0), of(x1, y0), of(x0, y1), of(x1, y1));
    [0, 1, 2, 3].map(|i| {
        let upper = f32::from(nw[i]) * (1.0 - right) + f32::from(ne[i]) * right;
        let lower = f32::from(sw[i]) * (1.0 - right) + f32::from(se[i]) * right;
        upper * (1.0 - down) + lower * down
    })
}

/// Writes a picture as PNG.
pub fn write(path: &Path, picture: &ColorImage) {
    let [width, height] = picture.size;
    let mut rows = Vec::with_capacity((width * 3 + 1) * height);
    for row in picture.pixels.chunks_exact(width) {
        rows.push(0);
        rows.extend(row.iter().flat_map(|c| [c.r(), c.g(), c.b()]));
    }
    let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |name: &[u8; 4], content: &[u8]| {
        png.extend((content.len() as u32).to_be_bytes());
        let start = png.len();
        png.extend(name);
        png.extend(content);
        let sum = crc32fast::hash(&png[start..]);
        png.extend(sum.to_be_bytes());
    };
    let mut head = Vec::new();
    head.extend((width as u32).to_be_bytes());
    head.extend((height as u32).to_be_bytes());
    head.extend([8, 2, 0, 0, 0]);
    chunk(b"IHDR", &head);
    let packed = miniz_oxide::deflate::compress_to_vec_zlib(&rows, 4);
    chunk(b"IDAT", &packed);
    chunk(b"IEND", &[]);
    std::fs::write(path, png).expect("a picture written");
}
