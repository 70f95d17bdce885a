//! Changing the timeline while it plays: notes that go on are carried over, others fade, and the
//! old timeline is sent back to be freed where that may take time. Never frees anything itself.

use super::Renderer;
use super::VOICES;
use crate::sound::timeline::Timeline;
use crate::sound::transport::NextPass;
use crate::sound::transport::Swap;
use crate::sound::voice::Home;
use crate::sound::voice::Voice;
use std::sync::Arc;

impl Renderer {
    /// Puts a timeline in force; the old one stays until its notes have faded.
    pub(super) fn change_timeline(&mut self, timeline: Box<Timeline>, swap: Swap) {
        self.drop_next();
        self.sympathy.tune(&timeline.tuning);
        self.leaving = self.current.replace(timeline);
        for voice in &mut self.voices {
            voice.home = Home::Leaving;
        }
        match swap {
            Swap::Stop => {
                self.running = false;
                self.counting = None;
                self.repeat = None;
                self.fade_all();
                self.seek(0);
            }
            Swap::Map { from, to, stretch } => {
                let mapped = |frame: u64| {
                    let gone = (frame as f64 - from as f64) * stretch;
                    (to as f64 + gone).round().max(0.0) as u64
                };
                let (position, began) = (mapped(self.position), mapped(self.began));
                self.seek(position);
                self.began = began.min(position);
                self.join();
            }
        }
    }

    /// The loop has come round: puts the waiting timeline in force if its pass has come and the old
    /// one can leave. Notes ring on as they do when a loop comes round. Returns whether it did.
    pub(super) fn take_next(&mut self) -> bool {
        let is_due = (self.next.as_ref()).is_some_and(|next| self.passes >= next.at_pass);
        if !is_due || self.leaving.is_some() {
            return false;
        }
        let Some(next) = self.next.take() else {
            return false;
        };
        self.leaving = self.current.replace(next.timeline);
        for voice in &mut self.voices {
            let sounds = (self.leaving.as_ref()).and_then(|t| t.samples.get(voice.sample));
            let same = (self.current.as_ref())
                .zip(sounds)
                .and_then(|(timeline, sounds)| {
                    (timeline.samples.iter()).position(|sample| Arc::ptr_eq(sample, sounds))
                });
            match same {
                Some(same) => voice.move_home(same),
                None => voice.home = Home::Leaving,
            }
        }
        self.repeat = Some(next.range);
        self.seek(next.range.0);
        self.taken += 1;
        true
    }

    /// Sends home what waits for the loop to come round. Callers have seen to it that there is room.
    pub(super) fn drop_next(&mut self) {
        if let Some(next) = self.next.take()
            && let Err(rtrb::PushError::Full(timeline)) = self.returns.push(next.timeline)
        {
            self.next = Some(NextPass { timeline, ..next });
        }
    }

    /// After a swap while playing: notes that the new timeline holds at this place go on if they
    /// are the same, or come in; notes already on their way out end as they would have; all
    /// others fade.
    fn join(&mut self) {
        let Some(timeline) = &self.current else {
            return;
        };
        let old = self.leaving.as_deref();
        let position = self.position;
        let mut settled = [false; VOICES];
        for (voice, settled) in self.voices.iter_mut().zip(&mut settled) {
            let sounds = old.and_then(|t| t.samples.get(voice.sample));
            if let Some(sounds) = sounds.filter(|_| voice.on && !voice.is_held())
                && let Some(same) = timeline.samples.iter().position(|s| Arc::ptr_eq(s, sounds))
            {
                voice.move_home(same);
                *settled = true;
            }
        }
        let mut joined = [Voice::IDLE; 8];
        let begun = timeline.events.iter().take(self.next_event).rev().take(256);
        for event in begun.filter(|e| self.running && position < e.frame + e.length) {
            let ago = position - event.frame;
            let sounds = timeline.samples.get(event.sample);
            let same = self
                .voices
                .iter_mut()
                .zip(&mut settled)
                .find(|(voice, settled)| {
                    let before = old.and_then(|t| t.samples.get(voice.sample));
                    !**settled
                        && voice.is_held()
                        && voice.string == event.string
                        && before.zip(sounds).is_some_and(|(a, b)| Arc::ptr_eq(a, b))
                });
            if let Some((voice, settled)) = same {
                voice.carry_over(event, ago);
                *settled = true;
            } else if let Some(place) = joined.get_mut(usize::from(event.string)) {
                *place = Voice::joined(event, ago, self.ramp);
            }
        }
        for (voice, _) in (self.voices.iter_mut().zip(settled)).filter(|(_, settled)| !settled) {
            voice.fade_out(self.ramp);
        }
        for voice in joined.into_iter().filter(|voice| voice.on) {
            self.place(voice);
        }
    }

    /// Sends the old timeline home once none of its notes sounds any more.
    pub(super) fn give_back(&mut self) {
        let in_use = |v: &Voice| v.on && v.home == Home::Leaving;
        if self.leaving.is_none() || self.voices.iter().any(in_use) || self.returns.is_full() {
            return;
        }
        if let Some(timeline) = self.leaving.take()
            && let Err(rtrb::PushError::Full(timeline)) = self.returns.push(timeline)
        {
            self.leaving = Some(timeline);
        }
    }
}
