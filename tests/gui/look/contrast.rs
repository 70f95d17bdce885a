//! Whether words stand out from what they are painted on: the window is drawn without its words,
//! and the colour of each word is held against the ground that is then seen in its place. What
//! can't be used just now is excepted, as WCAG 2.2 excepts it (success criterion 1.4.3).

use super::picture;
use crate::harness::Window;
use egui::Color32;
use egui::ColorImage;
use egui::Pos2;
use egui::Rect;
use egui::Shape;
use egui::epaint::TextShape;
use egui_kittest::kittest::NodeT as _;
use thumbwalk::gui::theme;

/// Pixels of the drawn ground to a point of the window.
const SCALE: f32 = 0.5;
/// Where lists fade out at their ends.
const FADE: f32 = 24.0;

/// Words and where of them can be seen.
struct Words<'a> {
    order: usize,
    shape: &'a TextShape,
    seen: Rect,
    clip: Rect,
}

/// What is painted over whatever came before.
struct Cover {
    order: usize,
    area: Rect,
}

/// All words that have less contrast than `least`.
pub fn faint_words(window: &Window, textures: &picture::Textures, least: f64) -> Vec<String> {
    let output = window.output();
    let ground = picture::draw_without_words(&window.ctx, output, textures, SCALE);
    let mut words = Vec::new();
    let mut covers = Vec::new();
    let mut order = 0;
    for clipped in &output.shapes {
        collect(
            &clipped.shape,
            clipped.clip_rect,
            &mut order,
            &mut words,
            &mut covers,
        );
    }
    let idle = unusable(window);
    let mut found: Vec<String> = words
        .iter()
        .filter(|w| {
            w.clip
                .shrink2(egui::vec2(0.0, FADE))
                .contains(w.seen.center())
        })
        .filter(|w| !idle.iter().any(|area| area.contains(w.seen.center())))
        .filter(|w| {
            let hides = |c: &&Cover| c.order > w.order && c.area.contains(w.seen.center());
            !covers.iter().any(|cover| hides(&cover))
        })
        .filter_map(|words| judge(words, &ground, least))
        .collect();
    found.sort();
    found.dedup();
    found
}

fn collect<'a>(
    shape: &'a Shape,
    clip: Rect,
    order: &mut usize,
    words: &mut Vec<Words<'a>>,
    covers: &mut Vec<Cover>,
) {
    *order += 1;
    match shape {
        Shape::Vec(shapes) => {
            for shape in shapes {
                collect(shape, clip, order, words, covers);
            }
        }
        Shape::Text(shape) => {
            let seen = shape.visual_bounding_rect().intersect(clip);
            let is_empty = shape.galley.text().trim().is_empty();
            if seen.width() > 4.0 && seen.height() > 6.0 && !is_empty {
                words.push(Words {
                    order: *order,
                    shape,
                    seen,
                    clip,
                });
            }
        }
        // What is dimmed waits for an answer and can't be used either; what lies in a shadow or
        // fades out at the end of a list is on its way out of sight.
        Shape::Rect(area) if area.fill.a() > 40 || area.blur_width > 0.0 => covers.push(Cover {
            order: *order,
            area: area.rect.expand(area.blur_width).intersect(clip),
        }),
        _ => {}
    }
}

/// Where there is something that can't be used now.
fn unusable(window: &Window) -> Vec<Rect> {
    let nodes = window.root().children_recursive();
    let idle = nodes.filter(|node| node.accesskit_node().is_disabled());
    idle.map(|node| node.rect().expand(2.0)).collect()
}

fn judge(words: &Words<'_>, ground: &ColorImage, least: f64) -> Option<String> {
    let shape = words.shape;
    let own = |colour: Color32| {
        let colour = shape.override_text_color.unwrap_or(colour);
        if colour == Color32::PLACEHOLDER {
            shape.fallback_color
        } else {
            colour
        }
    };
    let sections = shape.galley.job.sections.iter();
    let inks = sections.map(|s| own(s.format.color).gamma_multiply(shape.opacity_factor));
    let mut ratios: Vec<(f64, Color32, Color32)> = [0.3, 0.4, 0.5, 0.6, 0.7]
        .into_iter()
        .map(|share| {
            let x = words.seen.left() + share * words.seen.width();
            at(ground, egui::pos2(x, words.seen.center().y))
        })
        .flat_map(|under| inks.clone().map(move |ink| (under, ink)))
        .map(|(under, ink)| (theme::contrast(over(under, ink), under), under, ink))
        .collect();
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    // A line or a mark beside a letter is no ground: the one in the middle counts.
    let (ratio, under, ink) = *ratios.get(ratios.len() / 2)?;
    // The colours of the roles are given, whatever the contrast of the theme.
    let p = &theme::LIGHT;
    let is_mark = [p.thumb, p.fingers, p.tune, p.warning].contains(&under);
    let least = if is_mark { 4.5 } else { least };
    let text = shape.galley.text();
    (ratio < least).then(|| {
        format!(
            "{text:?} at {:?}: {ink:?} on {under:?} is {ratio:.2}",
            words.seen
        )
    })
}

fn at(picture: &ColorImage, place: Pos2) -> Color32 {
    let [width, height] = picture.size;
    let x = ((place.x * SCALE) as usize).min(width - 1);
    let y = ((place.y * SCALE) as usize).min(height - 1);
    picture.pixels[y * width + x]
}

/// An ink that may be translucent, on a ground.
fn over(under: Color32, ink: Color32) -> Color32 {
    under.blend(ink)
}
