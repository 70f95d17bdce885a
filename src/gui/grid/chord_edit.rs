//! Editing a chord symbol where it stands: a text field over its beat. What cannot be read is
//! underlined at the very letters, with a sentence below, and nothing is lost until it is mended
//! or left with Escape.

use super::layout::Card;
use crate::document::Edit;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Session;
use crate::theory::ChordError;
use crate::theory::ChordSymbol;
use crate::theory::Harmony;
use crate::theory::Ticks;
use egui::Area;
use egui::FontId;
use egui::Frame;
use egui::Id;
use egui::Key;
use egui::Order;
use egui::Rect;
use egui::Stroke;
use egui::TextBuffer;
use egui::TextEdit;
use egui::TextFormat;
use egui::Ui;
use egui::Vec2;
use egui::text::LayoutJob;
use std::ops::Range;

/// A chord being written.
#[derive(Clone, Debug)]
pub struct ChordEdit {
    /// Bar.
    pub bar: usize,
    /// Where in the bar.
    pub at: Ticks,
    text: String,
    error: Option<ChordError>,
    is_new: bool,
}

/// What became of the field in this frame.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// It stays open.
    Open,
    /// It is done with.
    Closed,
    /// It is done with, and the next beat is wanted.
    Next,
}

impl ChordEdit {
    /// Starts writing at a place, with what stands there.
    #[must_use]
    pub fn new(session: &Session, bar: usize, at: Ticks) -> Self {
        let document = session.document();
        let chord = document
            .bar(bar)
            .and_then(|b| b.chords.iter().find(|c| c.at == at));
        let text = chord.map_or_else(String::new, |c| match &c.harmony {
            Harmony::Chord(symbol) => symbol.text().to_owned(),
            Harmony::NoChord => "N.C.".into(),
        });
        Self {
            bar,
            at,
            text,
            error: None,
            is_new: true,
        }
    }

    /// Shows the field over its card and takes what is typed.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        session: &Session,
        card: &Card,
        actions: &mut Actions,
    ) -> Outcome {
        let left = (card.x_of(self.at) - 2.0).min(card.rect.right() - 96.0);
        let rect = Rect::from_min_size(
            egui::pos2(left.max(card.rect.left()), card.chords.top()),
            Vec2::new(96.0, card.chords.height()),
        );
        let name = format!("chord at {}", words::place(session, self.bar, self.at));
        let response = self.field(ui, rect, &name);
        if self.is_new {
            response.request_focus();
            self.is_new = false;
        }
        if response.changed() {
            self.error = None;
        }
        if let Some(error) = &self.error {
            message_ui(ui, rect, &error.message);
        }
        if response.lost_focus() {
            let pressed = |key| ui.input(|i| i.key_pressed(key));
            let (enter, tab) = (pressed(Key::Enter), pressed(Key::Tab));
            return self.finish(&response, enter, tab, actions);
        }
        Outcome::Open
    }

    fn field(&mut self, ui: &mut Ui, rect: Rect, name: &str) -> egui::Response {
        let p = theme::palette(ui.visuals());
        let font = theme::bold(theme::BODY);
        let wrong = self.error.as_ref().map(|e| e.at.clone());
        let (ink, mark) = (p.ink, Stroke::new(2.0, p.warning));
        let mut layouter = |ui: &Ui, text: &dyn TextBuffer, _width: f32| {
            let job = marked(text.as_str(), wrong.as_ref(), &font, ink, mark);
            ui.fonts_mut(|fonts| fonts.layout_job(job))
        };
        let field = TextEdit::singleline(&mut self.text)
            .id(Id::unique(("chord field", self.bar, self.at.0)))
            .desired_width(rect.width())
            .min_size(rect.size())
            .layouter(&mut layouter);
        ui.put(rect, field).accessible_name(name)
    }

    fn finish(
        &mut self,
        response: &egui::Response,
        enter: bool,
        tab: bool,
        actions: &mut Actions,
    ) -> Outcome {
        match read(&self.text) {
            Ok(harmony) => {
                actions.edit(Edit::SetHarmony {
                    bar: self.bar,
                    at: self.at,
                    harmony,
                });
                if enter {
                    actions.window(Command::FocusGrid);
                }
                if tab { Outcome::Next } else { Outcome::Closed }
            }
            Err(error) => {
                self.error = Some(error);
                response.request_focus();
                Outcome::Open
            }
        }
    }
}

/// What a typed chord means; nothing typed takes the chord away.
fn read(text: &str) -> Result<Option<Harmony>, ChordError> {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Ok(None);
    }
    let plain = trimmed.to_ascii_uppercase();
    if matches!(plain.as_str(), "N.C." | "NC" | "N.C") {
        return Ok(Some(Harmony::NoChord));
    }
    let shift = text.len() - text.trim_start().len();
    ChordSymbol::parse(trimmed)
        .map(|symbol| Some(Harmony::Chord(symbol)))
        .map_err(|e| ChordError {
            at: e.at.start + shift..e.at.end + shift,
            ..e
        })
}

/// Text with its wrong part underlined.
fn marked(
    text: &str,
    wrong: Option<&Range<usize>>,
    font: &FontId,
    ink: egui::Color32,
    mark: Stroke,
) -> LayoutJob {
    let plain = TextFormat::simple(font.clone(), ink);
    let parts = wrong.and_then(|w| {
        let end = w.end.min(text.len());
        Some((
            text.get(..w.start)?,
            text.get(w.start..end)?,
            text.get(end..)?,
        ))
    });
    let Some((before, bad, after)) = parts else {
        return LayoutJob::single_section(text.to_owned(), plain);
    };
    let mut job = LayoutJob::default();
    job.append(before, 0.0, plain.clone());
    let underlined = TextFormat {
        underline: mark,
        ..plain.clone()
    };
    job.append(bad, 0.0, underlined);
    job.append(after, 0.0, plain);
    job
}

fn message_ui(ui: &Ui, field: Rect, message: &str) {
    let p = theme::palette(ui.visuals());
    Area::new(Id::unique("chord message"))
        .order(Order::Foreground)
        .fixed_pos(field.left_bottom() + Vec2::new(0.0, 2.0))
        .interactable(false)
        .show(ui.ctx(), |ui| {
            Frame::popup(ui.style()).show(ui, |ui| {
                ui.set_max_width(280.0);
                ui.colored_label(p.warning_text, message);
            });
        });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_chords_are_read_or_refused_at_their_letters() {
        assert_eq!(read("  "), Ok(None));
        assert_eq!(read("n.c."), Ok(Some(Harmony::NoChord)));
        assert!(matches!(read(" Cm7 "), Ok(Some(Harmony::Chord(_)))));
        let error = read("  Hm7").unwrap_err();
        assert!(error.at.start >= 2 && error.at.end <= 5, "{error:?}");
    }
}
