//! The program's icon, drawn from the two shapes that the window uses everywhere: the thumb's
//! rounded square with the fingers' circle beside it. Computed, so there is no picture to keep.

use super::theme;
use egui::Color32;
use egui::IconData;

const SIZE: u8 = 64;

/// The icon.
#[must_use]
pub fn icon() -> IconData {
    let mut rgba = Vec::with_capacity(usize::from(SIZE) * usize::from(SIZE) * 4);
    for y in 0..SIZE {
        for x in 0..SIZE {
            rgba.extend(pixel(f32::from(x) + 0.5, f32::from(y) + 0.5).to_array());
        }
    }
    IconData {
        rgba,
        width: u32::from(SIZE),
        height: u32::from(SIZE),
    }
}

fn pixel(x: f32, y: f32) -> Color32 {
    let paper = cover(rounded(x - 32.0, y - 32.0, 30.0, 12.0));
    let thumb = cover(rounded(x - 24.0, y - 40.0, 14.0, 5.0));
    let finger = cover((x - 43.0).hypot(y - 22.0) - 12.0);
    let ground = theme::LIGHT.paper.gamma_multiply(paper);
    let with_thumb = theme::between(ground, theme::LIGHT.thumb, thumb);
    theme::between(with_thumb, theme::LIGHT.fingers, finger)
}

/// Distance from the edge of a square with rounded corners around the origin, inside negative.
fn rounded(x: f32, y: f32, half: f32, radius: f32) -> f32 {
    let (dx, dy) = (x.abs() - half + radius, y.abs() - half + radius);
    dx.max(0.0).hypot(dy.max(0.0)) + dx.max(dy).min(0.0) - radius
}

/// How much of a pixel lies inside, from the distance of its middle to the edge.
fn cover(distance: f32) -> f32 {
    (0.5 - distance).clamp(0.0, 1.0)
}
