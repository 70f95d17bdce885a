//! What can be wrong with a picture and be found by arithmetic: words cut off at a side, words over
//! words, controls cut off or on each other.

use crate::harness::Window;
use egui::Order;
use egui::Rect;
use egui::Shape;
use egui::accesskit::Role;
use egui::emath::TSTransform;
use egui_kittest::kittest::NodeT as _;

/// Points that may be lost: edges are smoothed, and side bearings of letters are empty.
const SLACK: f32 = 1.5;

/// Everything wrong that is found, in words.
pub fn faults(window: &Window) -> Vec<String> {
    let mut found = cut_words(window);
    found.extend(words_on_words(window));
    found.extend(controls(window));
    found.sort();
    found.dedup();
    found
}

/// Something painted, with what of it can be seen.
struct Painted {
    order: usize,
    /// Whole, and the part that is not clipped.
    rect: Rect,
    seen: Rect,
    /// What it says; nothing if it is an area that covers what is below.
    words: Option<String>,
}

fn painted(window: &Window) -> Vec<Painted> {
    let mut found = Vec::new();
    for clipped in &window.output().shapes {
        flatten(&clipped.shape, clipped.clip_rect, &mut found);
    }
    found
}

fn flatten(shape: &Shape, clip: Rect, found: &mut Vec<Painted>) {
    let order = found.len();
    match shape {
        Shape::Vec(shapes) => {
            for shape in shapes {
                flatten(shape, clip, found);
            }
        }
        Shape::Text(text) => {
            let rect = text.visual_bounding_rect();
            let seen = rect.intersect(clip);
            let words = text.galley.text().trim().to_owned();
            // What is nearly transparent is there to be seen through.
            let is_faint = text.override_text_color.is_some_and(|c| c.a() < 60);
            // Pages are drawn letter by letter; they are looked at elsewhere.
            let is_words = words.chars().count() > 1;
            if seen.is_positive() && is_words && text.angle == 0.0 && !is_faint {
                let words = Some(words);
                found.push(Painted {
                    order,
                    rect,
                    seen,
                    words,
                });
            }
        }
        Shape::Rect(area) if area.fill.is_opaque() => {
            let rect = area.rect;
            let seen = rect.intersect(clip);
            found.push(Painted {
                order,
                rect,
                seen,
                words: None,
            });
        }
        _ => {}
    }
}

fn cut_words(window: &Window) -> Vec<String> {
    let mut found = Vec::new();
    // What is typed scrolls in its field.
    let fields = fields(window);
    for text in painted(window) {
        let Some(words) = &text.words else { continue };
        if fields
            .iter()
            .any(|field| field.contains(text.seen.center()))
        {
            continue;
        }
        let cut = (text.seen.left() - text.rect.left()).max(text.rect.right() - text.seen.right());
        if cut > SLACK {
            found.push(format!(
                "words cut by {cut:.0}: {words:?} at {:?}",
                text.seen
            ));
        }
    }
    found
}

/// Where text is typed.
fn fields(window: &Window) -> Vec<Rect> {
    let nodes = window.root().children_recursive();
    let fields = nodes.filter(|node| {
        let role = node.accesskit_node().role();
        matches!(role, Role::TextInput | Role::MultilineTextInput)
    });
    fields.map(|field| field.rect()).collect()
}

fn words_on_words(window: &Window) -> Vec<String> {
    let all = painted(window);
    let mut found = Vec::new();
    let texts: Vec<&Painted> = all.iter().filter(|p| p.words.is_some()).collect();
    for (idx, lower) in texts.iter().enumerate() {
        for upper in &texts[idx + 1..] {
            let both = lower.seen.intersect(upper.seen);
            if both.width() <= SLACK || both.height() <= SLACK {
                continue;
            }
            // An area painted between them hides the lower one.
            let hidden = all[lower.order + 1..upper.order]
                .iter()
                .any(|p| p.words.is_none() && p.seen.expand(SLACK).contains_rect(both));
            if !hidden {
                found.push(format!(
                    "{:?} over {:?} at {both:?}",
                    upper.words.as_deref().unwrap_or_default(),
                    lower.words.as_deref().unwrap_or_default()
                ));
            }
        }
    }
    found
}

/// Controls that are cut off at a side, or lie partly on each other.
fn controls(window: &Window) -> Vec<String> {
    let mut found = Vec::new();
    let screen = window.ctx.content_rect();
    let scale = f64::from(window.ctx.pixels_per_point());
    let named = |rect: Rect| {
        let nodes = window.root().children_recursive();
        let here = nodes.filter_map(|node| {
            let node = node.accesskit_node();
            let bounds = node.bounding_box()?;
            let x = (bounds.x0 + bounds.x1) / 2.0 / scale;
            let y = (bounds.y0 + bounds.y1) / 2.0 / scale;
            let middle = egui::pos2(x as f32, y as f32);
            let is_here = middle.distance(rect.center()) < 2.0;
            is_here.then(|| node.label().or_else(|| node.value()))?
        });
        here.last().unwrap_or_default()
    };
    let layers: Vec<_> = window.ctx.viewport(|viewport| {
        let widgets = &viewport.prev_pass.widgets;
        let layers = widgets.layers();
        layers
            .map(|(layer, rects)| (*layer, rects.to_vec()))
            .collect()
    });
    for (layer, widgets) in layers {
        let moved = window.ctx.layer_transform_to_global(layer);
        let moved = moved.unwrap_or(TSTransform::IDENTITY);
        let live: Vec<(Rect, Rect)> = widgets
            .iter()
            .filter(|w| w.sense.senses_click() && w.sense.is_focusable() && w.visible)
            .map(|w| (moved * w.rect, moved * w.interact_rect))
            .filter(|(_, seen)| seen.is_positive())
            // Edges of panels can be dragged; they are thin and lie over what is beside them.
            .filter(|(rect, _)| rect.width().min(rect.height()) > 8.0)
            .collect();
        for (rect, seen) in &live {
            let out = rect.right() - seen.right().min(screen.right());
            let out = out.max(seen.left().max(screen.left()) - rect.left());
            // A menu that goes on below the window can't be scrolled to.
            let below = rect.bottom() - screen.bottom();
            let at_edge = seen.bottom() > screen.bottom() - SLACK;
            let out = if layer.order == Order::Background || !at_edge {
                out
            } else {
                out.max(below)
            };
            if out > SLACK {
                found.push(format!(
                    "control cut by {out:.0}: {:?} at {seen:?}",
                    named(*rect)
                ));
            }
        }
        for (idx, (_, lower)) in live.iter().enumerate() {
            for (_, upper) in &live[idx + 1..] {
                let both = lower.intersect(*upper);
                let apart = both.width() <= SLACK || both.height() <= SLACK;
                let inside = lower.expand(SLACK).contains_rect(*upper)
                    || upper.expand(SLACK).contains_rect(*lower);
                if !apart && !inside {
                    found.push(format!(
                        "control {:?} on {:?} at {both:?}",
                        named(*upper),
                        named(*lower)
                    ));
                }
            }
        }
    }
    found
}
