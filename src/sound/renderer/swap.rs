//! Changing the timeline while it plays: notes that go on are carried over, what is changed about
//! sounding notes is heard from the next slot of the grid on, and the old timeline is sent back to
//! be freed where that may take time. Never frees anything itself.

use super::LEAVING;
use super::Renderer;
use super::VOICES;
use crate::sound::timeline::Timeline;
use crate::sound::transport::NextPass;
use crate::sound::transport::Swap;
use crate::sound::voice::Home;
use crate::sound::voice::Voice;
use std::sync::Arc;

/// The samples that a voice reads.
fn sounds_of<'a>(
    voice: &Voice,
    current: Option<&'a Timeline>,
    leaving: &'a [Option<Box<Timeline>>; LEAVING],
) -> Option<&'a Arc<[f32]>> {
    let timeline = match voice.home {
        Home::Current => current,
        Home::Leaving(which) => leaving.get(which)?.as_deref(),
    };
    timeline?.samples.get(voice.sample)
}

/// Where a timeline has these samples.
fn place_of(timeline: Option<&Timeline>, sounds: &Arc<[f32]>) -> Option<usize> {
    (timeline?.samples.iter()).position(|sample| Arc::ptr_eq(sample, sounds))
}

impl Renderer {
    /// Puts a timeline in force; the old one stays until its notes have faded.
    pub(super) fn change_timeline(&mut self, timeline: Box<Timeline>, swap: Swap) {
        self.drop_next();
        self.sympathy.tune(&timeline.tuning);
        self.replace(timeline);
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

    /// Puts the timeline in force and the old one among those that leave. Callers have seen to it
    /// that there is room.
    fn replace(&mut self, timeline: Box<Timeline>) {
        let old = self.current.replace(timeline);
        let Some((which, place)) =
            (self.leaving.iter_mut().enumerate()).find(|(_, place)| place.is_none())
        else {
            return;
        };
        *place = old;
        for voice in &mut self.voices {
            if voice.home == Home::Current {
                voice.home = Home::Leaving(which);
            }
        }
    }

    /// The loop has come round: puts the waiting timeline in force if its pass has come and the old
    /// one can leave. Notes ring on as they do when a loop comes round. Returns whether it did.
    pub(super) fn take_next(&mut self) -> bool {
        let is_due = (self.next.as_ref()).is_some_and(|next| self.passes >= next.at_pass);
        if !is_due || self.leaving.iter().all(Option::is_some) {
            return false;
        }
        let Some(next) = self.next.take() else {
            return false;
        };
        self.replace(next.timeline);
        for voice in &mut self.voices {
            let sounds = sounds_of(voice, None, &self.leaving);
            let same = sounds.and_then(|sounds| place_of(self.current.as_deref(), sounds));
            if let Some(same) = same {
                voice.move_home(same);
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

    /// Sends home what is refused. Callers have seen to it that there is room; if there is not, it
    /// leaves as if it had been in force.
    pub(super) fn send_home(&mut self, timeline: Box<Timeline>) {
        if let Err(rtrb::PushError::Full(timeline)) = self.returns.push(timeline)
            && let Some(place) = self.leaving.iter_mut().find(|place| place.is_none())
        {
            *place = Some(timeline);
        }
    }

    /// After a swap while playing: notes that the new timeline holds at this place go on if they
    /// are the same; notes already on their way out end as they would have; of all others the old
    /// ones go, and the new ones come in, where the next slot of the grid begins.
    fn join(&mut self) {
        let Some(timeline) = self.current.as_deref() else {
            return;
        };
        let position = self.position;
        let slot = if self.running {
            timeline.slot_from(position)
        } else {
            position
        };
        let wait = u32::try_from(slot.saturating_sub(position)).unwrap_or(0);
        let mut settled = [false; VOICES];
        for (voice, settled) in self.voices.iter_mut().zip(&mut settled) {
            let sounds = sounds_of(voice, None, &self.leaving);
            if let Some(sounds) = sounds.filter(|_| voice.on && !voice.is_held())
                && let Some(same) = place_of(Some(timeline), sounds)
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
                    let before = sounds_of(voice, None, &self.leaving);
                    !**settled
                        && voice.is_held()
                        && voice.string == event.string
                        && before.zip(sounds).is_some_and(|(a, b)| Arc::ptr_eq(a, b))
                });
            if let Some((voice, settled)) = same {
                voice.carry_over(event, ago);
                *settled = true;
            } else if slot < event.frame + event.length
                && let Some(place) = joined.get_mut(usize::from(event.string))
            {
                *place = Voice::joined(event, ago, wait, self.ramp);
            }
        }
        for (voice, _) in (self.voices.iter_mut().zip(settled)).filter(|(_, settled)| !settled) {
            voice.fade_out_after(wait, self.ramp);
        }
        for voice in joined.into_iter().filter(|voice| voice.on) {
            self.place(voice);
        }
    }

    /// Another timeline waits for one to leave: what it waits for is not put off any longer.
    pub(super) fn hurry(&mut self) {
        for voice in &mut self.voices {
            voice.hurry();
        }
    }

    /// Sends old timelines home once none of their notes sounds any more.
    pub(super) fn give_back(&mut self) {
        for (which, place) in self.leaving.iter_mut().enumerate() {
            let in_use = |v: &Voice| v.on && v.home == Home::Leaving(which);
            if place.is_none() || self.voices.iter().any(in_use) || self.returns.is_full() {
                continue;
            }
            if let Some(timeline) = place.take()
                && let Err(rtrb::PushError::Full(timeline)) = self.returns.push(timeline)
            {
                *place = Some(timeline);
            }
        }
    }
}
