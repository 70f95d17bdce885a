//! What changes from pass to pass, the tempo of the speed trainer or the line of a drill: the next
//! one is made ready while a pass is played and waits in the renderer, which changes over where the
//! loop comes round. How many passes there have been is the renderer's to say.

use super::Player;
use super::What;
use super::lines::Lines;
use crate::score::Performance;
use crate::session::trainer::Trainer;
use crate::session::trainer::Training;
use crate::session::tune::seconds_of_bars;
use crate::sound::NextPass;
use crate::sound::Timeline;
use std::sync::Arc;

/// Where the trainer is.
#[derive(Default)]
pub struct Progress {
    /// Steps of the tempo so far.
    pub steps: u32,
    /// The pass with which this tempo began, as the renderer counts them.
    began: u64,
    /// Passes before the renderer began to count.
    before: u64,
    /// What waits in the renderer.
    queued: Option<Arc<Performance>>,
    /// What waited there when a new timeline was sent. If it takes over all the same, it came first
    /// and that timeline was refused.
    overtaken: Option<Arc<Performance>>,
    /// How often the renderer had taken what waited, when we last looked.
    taken: u64,
}

impl Progress {
    /// A new timeline was sent, which drops what waits.
    pub fn forget_queued(&mut self) {
        if let Some(queued) = self.queued.take() {
            self.overtaken = Some(queued);
        }
    }
}

impl Player {
    /// Sets the speed trainer; if it acts already, it begins anew.
    pub fn set_trainer(&mut self, trainer: Trainer) {
        let trainer = trainer.in_range();
        if trainer != self.status.trainer {
            let was = self.trains();
            self.status.trainer = trainer;
            if was || self.trains() {
                self.retune();
            }
        }
    }

    /// Whether the tempo is the trainer's.
    pub(super) const fn trains(&self) -> bool {
        self.status.trainer.on && (self.status.looping || self.lines.is_some())
    }

    /// Whether something else is played after some passes.
    const fn changes(&self) -> bool {
        self.lines.is_some() || self.trains()
    }

    /// The passes that are played of each thing.
    fn passes_each(&self) -> u16 {
        let of_line = self.lines.as_ref().map(Lines::passes_each);
        of_line.unwrap_or(self.status.trainer.every)
    }

    /// The tempo in force, in per cent of the tune's.
    pub(super) fn percent(&self) -> u16 {
        self.percent_after(self.progress.steps)
    }

    /// The tempo after so many changes.
    fn percent_after(&self, changes: u32) -> u16 {
        let trainer = self.status.trainer;
        match &self.lines {
            _ if !self.trains() => 100,
            Some(lines) => {
                let passes = changes.saturating_mul(u32::from(lines.passes_each()));
                trainer.percent(passes / u32::from(trainer.every.max(1)))
            }
            None => trainer.percent(changes),
        }
    }

    /// From the first tempo on, at the place where the music is.
    pub(super) fn retune(&mut self) {
        let passes = (self.output.as_ref()).map_or(0, |(_, remote)| remote.playhead().passes);
        self.progress.steps = 0;
        self.progress.began = passes;
        self.set_next(None);
        self.tune_changed();
    }

    /// The transport starts from the beginning of a run: so does the trainer.
    pub(super) fn start_training(&mut self) {
        // What waits was to come at a pass of the run before.
        self.set_next(None);
        let steps = std::mem::take(&mut self.progress.steps);
        self.progress.began = 0;
        self.progress.before = 0;
        if steps > 0 && self.trains() {
            self.tune = self.source.as_ref().map(|source| source.at(self.percent()));
        }
    }

    /// The output has gone: the tempo stays, passes are counted on.
    pub(super) fn keep_training(&mut self, passes: u64) {
        self.progress.before += passes;
        self.progress.began = 0;
        self.progress.queued = None;
        self.progress.taken = 0;
    }

    /// Makes ready what comes next, another tempo or another line, if there is one.
    pub(super) fn prepare_next(&mut self) {
        let next = self.progress.steps.saturating_add(1);
        let loaded = matches!(self.loaded, Some((What::Tune, _))) && self.pending.is_none();
        if !self.changes() || !loaded {
            return;
        }
        let source = match &self.lines {
            Some(lines) => lines.next(),
            None if next > self.status.trainer.n_steps() => None,
            None => self.source.as_ref(),
        };
        if let Some(source) = source {
            let performance = source.at(self.percent_after(next));
            self.prepare(What::Next, performance);
        }
    }

    /// Gives the renderer what it plays from a later pass on.
    pub(super) fn queue_next(&mut self, performance: Arc<Performance>, timeline: Box<Timeline>) {
        let range = (self.loop_bars).and_then(|bars| seconds_of_bars(&performance, bars));
        let Some((from, to)) = range.filter(|_| self.changes()) else {
            return;
        };
        let next = NextPass {
            range: (timeline.frame_at(from), timeline.frame_at(to)),
            timeline,
            at_pass: self.progress.began + u64::from(self.passes_each()),
        };
        self.set_next(Some(next));
        self.progress.queued = Some(performance);
    }

    /// Drops or replaces what waits in the renderer.
    pub(super) fn set_next(&mut self, next: Option<NextPass>) {
        if next.is_none() && self.progress.queued.take().is_none() {
            return;
        }
        if let Some((_, remote)) = &mut self.output {
            remote.set_next(next);
        }
    }

    /// Notices that the renderer has changed over.
    pub(super) fn follow_training(&mut self) {
        let Some((_, remote)) = &self.output else {
            return;
        };
        let head = remote.playhead();
        if head.taken != self.progress.taken {
            self.progress.taken = head.taken;
            self.progress.steps = self.progress.steps.saturating_add(1);
            self.progress.began = head.passes;
            self.turn_to_next_line();
            let queued = self.progress.queued.take();
            let refused = queued.is_none();
            let overtaken = self.progress.overtaken.take();
            let percent = self.percent();
            let source = self.source.as_ref();
            let now = (queued.or(overtaken)).or_else(|| source.map(|source| source.at(percent)));
            self.loaded = now.clone().map(|now| (What::Tune, now));
            if refused || self.pending == Some(What::Tune) {
                // An edit was made for the tempo before: it comes again at this one.
                self.tune_changed();
            } else {
                self.tune = now;
                self.prepare_next();
            }
        }
        self.note_pass_of_line(head.passes.saturating_sub(self.progress.began));
        self.status.training = (self.trains() && self.status.playing).then(|| Training {
            percent: self.percent(),
            pass: self.progress.before + head.passes + 1,
        });
    }
}
