//! The strikes of the fingers in the selected bars, slot by slot: a press goes from ring to short
//! to none, in all of them.

use super::selected::Bars;
use super::selected::VARIOUS;
use crate::document::Bar;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::grid::fingers;
use crate::gui::grid::model;
use crate::gui::named;
use crate::gui::named::Named;
use crate::gui::strike_mark::StrikeMark;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Session;
use crate::session::plucks_of;
use crate::theory::Articulation;
use crate::theory::Pluck;
use crate::theory::Side;
use crate::theory::Ticks;
use egui::Align2;
use egui::CornerRadius;
use egui::Sense;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use egui::Vec2;

/// What the bars have in one slot.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Strike {
    at: Ticks,
    /// The strike, or none; the outer `None` if the bars differ.
    pluck: Option<Option<Pluck>>,
    /// From which side something slides into it, in the first of them where it does.
    slides: Option<Side>,
}

impl Strike {
    fn words(&self) -> String {
        let Some(pluck) = self.pluck else {
            return VARIOUS.into();
        };
        let Some(pluck) = pluck else {
            return "no pluck".into();
        };
        let how = match pluck.articulation {
            Articulation::Ring => "ring",
            Articulation::Short => "short",
        };
        let ahead = if pluck.ahead { ", ahead" } else { "" };
        let slides = self.slides.map_or("", |_| ", slides");
        format!("{how}{ahead}{slides}")
    }

    fn next(&self) -> Option<Articulation> {
        match self.pluck.map(|pluck| pluck.map(|p| p.articulation)) {
            None | Some(None) => Some(Articulation::Ring),
            Some(Some(Articulation::Ring)) => Some(Articulation::Short),
            Some(Some(Articulation::Short)) => None,
        }
    }
}

/// Shows the strikes.
pub fn strikes_ui(ui: &mut Ui, session: &Session, bars: Bars, actions: &mut Actions) {
    controls::heading(ui, "Fingers");
    let strikes = strikes(session, bars);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing = Vec2::new(2.0, 4.0);
        let n = f32::from(u8::try_from(strikes.len().max(1)).unwrap_or(u8::MAX));
        let width = ((ui.available_width() + 2.0) / n - 2.0).clamp(12.0, 32.0);
        for strike in &strikes {
            let place = if bars.count() == 1 {
                words::place(session, bars.first(), strike.at)
            } else {
                let beat = words::beat(session.document().meter, strike.at);
                format!("{}, {beat}", bars.words())
            };
            if strike_button(ui, &place, width, strike) {
                let (range, next) = (bars.range(), strike.next());
                let edit = fingers::pluck_in_bars(session, range, strike.at, next);
                actions.edit(edit);
            }
        }
    });
}

fn strikes(session: &Session, bars: Bars) -> Vec<Strike> {
    let document = session.document();
    let full = document.meter.bar();
    let each = || bars.each(document);
    let lengths = each().map(|(_, bar)| bar.length_in(document.meter));
    let longest = lengths.max().unwrap_or(full);
    let plucks: Vec<(Ticks, Vec<Pluck>)> = if bars.count() == 1 {
        vec![(longest, fingers::plucks(session, bars.first()))]
    } else {
        let struck = |bar: &Bar| (bar.length_in(document.meter), plucks_of(document, bar));
        each().map(|(_, bar)| struck(bar)).collect()
    };
    let slots = model::slots(document.meter, longest);
    let strike = |at: Ticks| {
        let long_enough = plucks.iter().filter(|(length, _)| at < *length);
        let mut found = long_enough.map(|(_, p)| p.iter().find(|p| p.at == at).copied());
        let first = found.next().flatten();
        let slides = each().find_map(|(_, bar)| {
            let here = bar.slides.iter().find(|(place, _)| *place == at);
            here.map(|(_, slide)| slide.from)
        });
        Strike {
            at,
            pluck: found.all(|pluck| pluck == first).then_some(first),
            slides,
        }
    };
    slots.map(strike).collect()
}

fn strike_button(ui: &mut Ui, place: &str, width: f32, strike: &Strike) -> bool {
    let (id, rect) = ui.allocate_space(Vec2::new(width, 40.0));
    let state = strike.words();
    let on = strike.pluck != Some(None);
    let named = Named::toggle(format!("pluck at {place}: {state}"), on);
    let response = named::interact(ui, rect, id, Sense::click(), &named);
    let p = theme::palette(ui.visuals());
    let fill = if response.hovered() { p.hover } else { p.card };
    let outline = Stroke::new(1.0, p.outline);
    let painter = ui.painter();
    let radius = CornerRadius::same(theme::RADIUS);
    painter.rect(rect, radius, fill, outline, StrokeKind::Inside);
    let centre = rect.center() - Vec2::new(0.0, 6.0);
    match strike.pluck {
        Some(Some(pluck)) => {
            let mark = StrikeMark {
                articulation: pluck.articulation,
                ahead: pluck.ahead,
                slides: strike.slides,
            };
            mark.paint(painter, p, centre, 6.0, 1.0);
        }
        Some(None) => {}
        None => {
            let dash = centre.x - 5.0..=centre.x + 5.0;
            painter.hline(dash, centre.y, Stroke::new(2.0, p.ink_soft));
        }
    }
    let at = strike.at;
    let label = if at.within_beat() == 0 {
        (at.beat_idx() + 1).to_string()
    } else {
        "+".into()
    };
    let below = rect.center_bottom() - Vec2::new(0.0, 9.0);
    let font = theme::text(theme::SMALL);
    painter.text(below, Align2::CENTER_CENTER, label, font, p.ink_soft);
    let clicked = response.clicked();
    response.on_hover_text(format!("{state}; click for the next: ring, short, none"));
    clicked
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strike_goes_from_ring_to_short_to_none_and_what_differs_becomes_ring() {
        let at = Ticks(0);
        let strike = |pluck| Strike {
            at,
            pluck,
            slides: None,
        };
        let ring = Some(Some(Pluck::new(at, Articulation::Ring)));
        let short = Some(Some(Pluck::new(at, Articulation::Short)));
        assert_eq!(strike(None).next(), Some(Articulation::Ring));
        assert_eq!(strike(Some(None)).next(), Some(Articulation::Ring));
        assert_eq!(strike(ring).next(), Some(Articulation::Short));
        assert_eq!(strike(short).next(), None);
    }
}
