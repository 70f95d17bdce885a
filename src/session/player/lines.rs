//! Lines in place of the tune: a drill plays the same bars round and round, each time another line,
//! which the renderer takes where the pass ends. The tune, its loop and what is heard of it come
//! back as they were when the lines end.

use super::Player;
use super::row_of;
use crate::score::Performance;
use crate::session::drill::Heard;
use crate::session::drill::Recall;
use crate::session::mixer::Mixer;
use crate::session::tune::Tune;
use std::sync::Arc;

/// Lines being played.
pub struct Lines {
    next: Option<Tune>,
    /// How often another line has been turned to.
    turns: u64,
    /// Passes of the present line that are over.
    passes_done: u64,
    heard: Heard,
    recall: Recall,
    /// The tune, which comes back.
    tune: Option<Tune>,
    /// Its loop, which comes back.
    loop_bars: Option<(usize, usize)>,
}

impl Lines {
    pub(super) const fn passes_each(&self) -> u16 {
        self.recall.passes_per_line()
    }

    pub(super) const fn keep_loop(&mut self, bars: Option<(usize, usize)>) {
        self.loop_bars = bars;
    }

    pub(super) const fn next(&self) -> Option<&Tune> {
        self.next.as_ref()
    }
}

impl Player {
    /// Plays a first line over some written bars, again and again until another one is there.
    pub fn play_lines(
        &mut self,
        first: Tune,
        bars: (usize, usize),
        (heard, recall): (Heard, Recall),
    ) {
        self.stop();
        self.lines = Some(Lines {
            next: None,
            turns: 0,
            passes_done: 0,
            heard,
            recall,
            tune: self.source.take(),
            loop_bars: self.loop_bars,
        });
        self.loop_bars = Some(bars);
        self.progress.steps = 0;
        self.source = Some(first);
        self.tune = self.source.as_ref().map(|line| line.at(self.percent()));
        self.send_heard();
        self.play_tune_from(bars.0);
    }

    /// What follows when the passes of the present line are over.
    pub fn set_next_line(&mut self, line: Tune) {
        if let Some(lines) = &mut self.lines {
            lines.next = Some(line);
            self.prepare_next();
        }
    }

    /// Changes what is heard and what is to be known by heart, from now on.
    pub fn set_lines_heard(&mut self, heard: Heard, recall: Recall) {
        let Some(lines) = &mut self.lines else {
            return;
        };
        let changes = lines.recall.passes_per_line() != recall.passes_per_line();
        (lines.heard, lines.recall) = (heard, recall);
        self.send_heard();
        if changes {
            self.set_next(None);
            self.prepare_next();
        }
    }

    /// How often another line has been turned to, and how many passes of the present one are over;
    /// `None` if no lines are played.
    pub fn lines_at(&self) -> Option<(u64, u64)> {
        let lines = self.lines.as_ref()?;
        Some((lines.turns, lines.passes_done))
    }

    /// The performance of the line being played, and those of its bars that are repeated, as
    /// indices.
    pub fn line_performance(&self) -> Option<(&Arc<Performance>, std::ops::Range<usize>)> {
        let performance = self.tune.as_ref().filter(|_| self.lines.is_some())?;
        let (first, last) = self.loop_bars?;
        let bars = &performance.bars;
        let from = bars.iter().position(|bar| bar.written_bar == first)?;
        let rest = bars.iter().enumerate().skip(from);
        let mut rest = rest.filter(|(_, bar)| bar.written_bar == last);
        let end = rest.next().map_or(bars.len(), |(idx, _)| idx + 1);
        Some((performance, from..end))
    }

    /// The tune comes back. Whatever sounds is left as it is.
    pub(super) fn end_lines(&mut self) {
        let Some(lines) = self.lines.take() else {
            return;
        };
        self.set_next(None);
        self.progress.steps = 0;
        self.loop_bars = lines.loop_bars;
        self.source = lines.tune;
        self.send_heard();
        if let Some((_, remote)) = &mut self.output {
            remote.stop();
        }
        self.clear_playhead();
        self.loaded = None;
        self.tune_changed();
    }

    /// While lines are played a new tune waits until they end; else it is given back.
    pub(super) fn keep_for_later(&mut self, tune: Tune) -> Option<Tune> {
        match &mut self.lines {
            Some(lines) => {
                lines.tune = Some(tune);
                None
            }
            None => Some(tune),
        }
    }

    /// The renderer has taken what waited.
    pub(super) fn turn_to_next_line(&mut self) {
        if let Some(lines) = &mut self.lines
            && let Some(next) = lines.next.take()
        {
            lines.turns += 1;
            self.source = Some(next);
        }
    }

    pub(super) const fn note_pass_of_line(&mut self, passes_done: u64) {
        if let Some(lines) = &mut self.lines {
            lines.passes_done = passes_done;
        }
    }

    /// Tells the renderer what is to be heard. What is auditioned is heard whole; see
    /// `Timeline::hear_every_row`.
    pub(super) fn send_heard(&mut self) {
        let heard = self.lines.as_ref().map(|lines| lines.heard);
        let Some((_, remote)) = &mut self.output else {
            return;
        };
        for lane in Mixer::LANES {
            let sounds = heard.is_none_or(|heard| heard.sounds(lane));
            let gain = if sounds {
                self.status.lanes.gain(lane)
            } else {
                0.0
            };
            remote.set_row_gain(row_of(lane), gain);
        }
        let clicks = heard.is_some_and(|heard| heard != Heard::Everything);
        remote.set_click(self.status.click || clicks);
    }
}
