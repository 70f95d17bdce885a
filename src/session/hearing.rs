//! What the user asks to hear: the tune, alone or in a loop, and single grips, bars and notes of it.
//! Playing itself is the player's.

use super::Session;
use super::status::Area;
use super::status::NoticeKind;
use super::trainer::Trainer;
use crate::instrument::Grip;
use crate::score::Performance;
use crate::score::TimedNote;
use crate::score::perform;
use crate::score::perform_shape;
use std::sync::Arc;

impl Session {
    pub(super) fn set_volume(&mut self, volume: f32) {
        self.player.set_volume(volume);
        self.memory.set_volume(volume);
    }

    pub(super) fn hear_voicing(&mut self, grip: &Grip) {
        let instrument = Arc::clone(&self.document().instrument);
        self.player
            .audition(perform_shape(&instrument, &grip.shape, None));
    }

    /// The notes struck in the selected slot, in the selected lane.
    pub(super) fn hear_selection(&mut self) {
        let Some((_, arrangement)) = &self.solved else {
            return;
        };
        let (place, lane) = (self.selection.place, self.selection.lane);
        let whole = perform(self.document(), arrangement, None);
        let wanted = |note: &&TimedNote| note.place == place && note.lane == lane;
        let Some(first) = whole.notes.iter().find(wanted) else {
            return;
        };
        let (played_bar, start) = (first.played_bar, first.start_s);
        let notes = whole
            .notes
            .iter()
            .filter(|n| wanted(n) && n.played_bar == played_bar);
        let mut notes: Vec<_> = notes.copied().collect();
        for note in &mut notes {
            note.start_s -= start;
            note.end_s -= start;
        }
        let total_s = notes.iter().map(|note| note.end_s).fold(0.0, f64::max) + 0.2;
        let bars = Vec::new();
        self.player.audition(Performance {
            notes,
            bars,
            total_s,
            ..whole
        });
    }

    /// The selected bar alone, as it first comes round.
    pub(super) fn hear_bar(&mut self) {
        let Some((_, arrangement)) = &self.solved else {
            return;
        };
        let bar = self.selection.place.bar;
        let order = self.document().played_order();
        let Some(first) = order.iter().position(|written| *written == bar) else {
            return;
        };
        let range = Some(first..first + 1);
        self.player
            .audition(perform(self.document(), arrangement, range));
    }

    /// The grip that the arrangement has at the selected place.
    pub(super) fn hear_grip(&mut self) {
        let Some((_, arrangement)) = &self.solved else {
            return;
        };
        let place = self.selection.place;
        let grips = arrangement.grips.iter();
        let in_force = grips.take_while(|grip| grip.place <= place).last();
        if let Some(voicing) = in_force.and_then(|grip| grip.voicing.as_ref()) {
            let grip = voicing.grip;
            self.hear_voicing(&grip);
        }
    }

    pub(super) fn play_or_stop(&mut self) {
        if self.drill().is_some() {
            self.stop_drill();
        } else if self.player.status().playing {
            self.player.stop();
        } else if self.solved.is_none() {
            let text = "there is nothing to play yet: type or open a chart first".into();
            self.notify(NoticeKind::Info, text);
        } else {
            self.player.play_from_bar(self.selection.bars().0);
        }
    }

    pub(super) fn toggle_loop(&mut self) {
        let range = (!self.player.status().looping).then(|| self.loop_range());
        self.player.set_loop(range);
    }

    pub(super) fn set_trainer(&mut self, trainer: Trainer) {
        self.player.set_trainer(trainer);
        // A drill repeats by itself.
        if trainer.on && !self.player.status().looping && self.area != Area::Practice {
            self.toggle_loop();
        }
    }

    /// The selected bars if there are several, else the whole tune.
    pub(super) fn loop_range(&self) -> (usize, usize) {
        match self.selection.to_bar {
            Some(_) => self.selection.bars(),
            None => (0, self.document().n_bars().saturating_sub(1)),
        }
    }
}
