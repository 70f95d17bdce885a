//! The tune's lane in a session: whether it is shown, the length in hand, and carrying out what is
//! written in it. What an entry does is decided by pure functions; this makes the edit, moves the
//! cursor and lets the note be heard.

use super::NoticeKind;
use super::Session;
use super::status::Selection;
use super::tune_entry;
use super::tune_entry::TuneEntry;
use super::tune_entry::TunePen;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::tune::note_at;
use crate::score::perform_note;
use crate::theory::Midi;

impl Session {
    /// Whether the tune has a lane of its own: it has notes, or somebody asked for it.
    #[must_use]
    pub fn shows_tune(&self) -> bool {
        self.tune_lane || self.document().has_tune()
    }

    /// What is in hand while the tune is written.
    #[must_use]
    pub const fn tune_pen(&self) -> &TunePen {
        &self.tune_pen
    }

    /// The lanes that are shown, top to bottom.
    #[must_use]
    pub fn lanes(&self) -> &'static [Lane] {
        const ALL: [Lane; 3] = [Lane::Tune, Lane::Fingers, Lane::Thumb];
        let [_, without @ ..] = &ALL;
        if self.shows_tune() { &ALL } else { without }
    }

    /// Shows the tune's lane and goes there, or closes it if it is empty and may go.
    pub(super) fn show_tune_lane(&mut self, shown: bool) {
        self.tune_lane = shown;
        let lane = match (shown, self.selection.lane) {
            (true, _) => Lane::Tune,
            (false, Lane::Tune) if !self.shows_tune() => Lane::Fingers,
            (false, lane) => lane,
        };
        let selection = Selection {
            lane,
            to_bar: None,
            ..self.selection
        };
        if selection.lane != self.selection.lane {
            self.select(selection);
        }
    }

    /// Whoever goes to the tune's lane wants to see it; the length of a note that is gone to is
    /// taken in hand.
    pub(super) fn cursor_moved(&mut self) {
        self.tune_pen.entered = None;
        if self.selection.lane != Lane::Tune {
            return;
        }
        self.tune_lane = true;
        let place = self.selection.place;
        let document = self.history.present();
        let note = document
            .bar(place.bar)
            .and_then(|bar| note_at(bar, place.at))
            .filter(|note| note.at == place.at);
        let value = note.and_then(|note| tune_entry::value_of(note.length, document.meter));
        if let Some(length) = value {
            self.tune_pen.length = length;
        }
    }

    /// Writes in the tune at the selected place.
    pub(super) fn enter_tune(&mut self, entry: TuneEntry) {
        let cursor = match entry {
            TuneEntry::Until(note, _) | TuneEntry::Move(note, _) => note,
            _ => self.selection.place,
        };
        let entered = tune_entry::enter(self.document(), self.tune_pen, cursor, entry);
        let entered = match entered {
            Ok(entered) => entered,
            Err(why) => return self.notify(NoticeKind::Info, why),
        };
        if let Some(edit) = &entered.edit {
            let before = self.revision;
            self.edit(edit);
            self.history.close_step();
            if self.revision == before {
                return;
            }
        }
        self.select(Selection {
            lane: Lane::Tune,
            place: entered.cursor,
            to_bar: None,
        });
        self.tune_pen = entered.pen;
        if let Some(pitch) = entered.heard {
            self.hear_tune_note(pitch);
        }
    }

    /// The note of the tune at the selected place by itself.
    pub(super) fn hear_tune_here(&mut self) {
        let Place { bar, at } = self.selection.place;
        let note = self.document().bar(bar).and_then(|bar| note_at(bar, at));
        if let Some(pitch) = note.map(|note| note.pitch) {
            self.hear_tune_note(pitch);
        }
    }

    /// One written pitch, where the tune would be played; nothing while the tune plays or its lane
    /// is silent.
    fn hear_tune_note(&mut self, pitch: Midi) {
        let play = self.player.status();
        let silent = play.lanes.gain(Lane::Tune) == 0.0;
        let document = self.history.present();
        let sounding = pitch.up(12 * i32::from(document.tune.octaves));
        if let Some(pitch) = sounding.filter(|_| !play.playing && !silent) {
            let performance = perform_note(&document.instrument, pitch);
            self.player.audition(performance);
        }
    }
}
