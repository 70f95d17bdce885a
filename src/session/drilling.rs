//! The drill at work: while a line is played the next one is written and solved in the background.
//! It drills the tune as it was when the drill began; what is changed meanwhile is heard afterwards.

use super::NoticeKind;
use super::Session;
use super::Wake;
use super::drill::DrillLine;
use super::drill::DrillPlace;
use super::drill::DrillSettings;
use super::drill::StripBar;
use super::drill::drill_line;
use super::drill::strip;
use super::tune::Tune;
use super::worker::Desk;
use super::worker::Worker;
use crate::arrange::Arrangement;
use crate::document::Document;
use std::sync::Arc;

struct DrillJob {
    run: u64,
    document: Arc<Document>,
    settings: DrillSettings,
    number: u64,
    before: Option<Arc<Arrangement>>,
}

enum DrillReply {
    Written(u64, Box<DrillLine>),
    Failed(String),
}

/// The drill with its thread.
pub struct Drilling {
    worker: Worker<DrillJob, DrillReply>,
    settings: DrillSettings,
    /// Counts the starts, so that a line of an earlier run is known.
    run: u64,
    running: Option<Running>,
}

struct Running {
    document: Arc<Document>,
    /// `None` until the first line is written.
    now: Option<DrillLine>,
    next: Option<DrillLine>,
    /// The line and pass and bar that the player has uncovered.
    peeked: Option<(u64, u64, usize)>,
}

/// What the drill shows.
#[derive(Clone, PartialEq, Debug)]
pub struct DrillStatus {
    /// The number of the line being played, from 0; `None` until the first is written.
    pub line: Option<u64>,
    /// Whether this pass of the line is to be known by heart.
    pub from_memory: bool,
    /// Whether the line differs from the one before it.
    pub is_fresh: bool,
    /// The present bar and the next two.
    pub strip: Vec<StripBar>,
    /// The beat being played, from 0, or the one being counted in.
    pub beat: Option<u32>,
    /// Whether that beat is counted in.
    pub counts_in: bool,
}

impl Drilling {
    /// Starts the thread; it sleeps until something is asked.
    pub fn new(wake: Wake) -> Self {
        let work = |job: DrillJob, desk: &Desk<'_, DrillReply>| {
            let before = job.before.as_deref();
            let line = drill_line(&job.document, &job.settings, job.number, before);
            if let Some(line) = line {
                desk.reply(DrillReply::Written(job.run, Box::new(line)));
            }
        };
        Self {
            worker: Worker::start("drill", wake, work, DrillReply::Failed),
            settings: DrillSettings::default(),
            run: 0,
            running: None,
        }
    }

    fn ask_for(&self, number: u64, before: Option<Arc<Arrangement>>) {
        if let Some(running) = &self.running {
            self.worker.submit(DrillJob {
                run: self.run,
                document: Arc::clone(&running.document),
                settings: self.settings,
                number,
                before,
            });
        }
    }

    fn end(&mut self) {
        self.running = None;
        self.run += 1;
        self.worker.cancel();
    }
}

impl Session {
    /// How the drill is set, within what the tune has.
    #[must_use]
    pub fn drill_settings(&self) -> DrillSettings {
        self.drilling.settings.for_document(self.document())
    }

    /// What the drill shows while it runs.
    #[must_use]
    pub fn drill(&self) -> Option<DrillStatus> {
        let running = self.drilling.running.as_ref()?;
        let waiting = DrillStatus {
            line: None,
            from_memory: false,
            is_fresh: true,
            strip: Vec::new(),
            beat: None,
            counts_in: false,
        };
        let (Some(now), Some((performance, range))) =
            (&running.now, self.player.line_performance())
        else {
            return Some(waiting);
        };
        let play = self.player.status();
        let recall = self.drilling.settings.recall;
        let place = self.drill_place(running);
        let lines = (now, running.next.as_ref());
        let first = performance.bars.get(range.start);
        let counts_in = play.count_left > 0;
        let counted = first.map_or(0, |bar| bar.beats_s.len() as u32);
        let beat = if counts_in {
            Some(counted.saturating_sub(play.count_left))
        } else {
            play.playhead.map(|(place, _)| place.at.beat_idx())
        };
        Some(DrillStatus {
            line: Some(now.number),
            from_memory: place.from_memory,
            is_fresh: now.is_fresh,
            strip: strip(&performance.bars, range, place, recall, lines),
            beat,
            counts_in,
        })
    }

    fn drill_place(&self, running: &Running) -> DrillPlace {
        let (turns, passes_done) = self.player.lines_at().unwrap_or_default();
        let played_bar = self.player.status().played_bar;
        let recall = self.drilling.settings.recall;
        let each = u64::from(recall.passes_per_line());
        let peeked = (running.peeked).zip(played_bar);
        DrillPlace {
            played_bar,
            // Where the next line is late the present one goes on, covered.
            from_memory: each > 1 && passes_done + 1 >= each,
            is_peeked: peeked.is_some_and(|(peeked, bar)| peeked == (turns, passes_done, bar)),
        }
    }

    pub(super) fn set_drill(&mut self, wanted: DrillSettings) {
        let wanted = wanted.for_document(self.document());
        let was = self.drilling.settings.for_document(self.document());
        self.drilling.settings = wanted;
        if self.drilling.running.is_none() {
            return;
        }
        self.player.set_lines_heard(wanted.heard, wanted.recall);
        if (was.rung, was.bars, was.series) != (wanted.rung, wanted.bars, wanted.series) {
            self.start_drill();
        }
    }

    /// Begins with the first line of the series.
    pub(super) fn start_drill(&mut self) {
        if self.document().n_bars() == 0 {
            let text = "there is nothing to drill yet: type or open a chart first".into();
            self.notify(NoticeKind::Info, text);
            return;
        }
        self.player.stop();
        self.drilling.end();
        self.drilling.settings = self.drill_settings();
        self.drilling.running = Some(Running {
            document: Arc::clone(self.document()),
            now: None,
            next: None,
            peeked: None,
        });
        self.drilling.ask_for(0, None);
    }

    pub(super) fn stop_drill(&mut self) {
        if self.drilling.running.is_some() {
            self.drilling.end();
            self.player.stop();
        }
    }

    /// Uncovers the bar being played until it is over.
    pub(super) fn peek(&mut self) {
        let at = self.player.lines_at().zip(self.play().played_bar);
        if let (Some(running), Some(((turns, passes), bar))) = (&mut self.drilling.running, at) {
            running.peeked = Some((turns, passes, bar));
        }
    }

    /// Takes lines that were written, and notices what the player has turned to.
    pub(super) fn follow_drill(&mut self) {
        while let Some(reply) = self.drilling.worker.take() {
            self.take_drill_reply(reply);
        }
        let Some(running) = &mut self.drilling.running else {
            return;
        };
        let Some(now) = &running.now else {
            return;
        };
        let Some((turns, _)) = self.player.lines_at() else {
            // Something else is heard.
            self.drilling.end();
            return;
        };
        if turns > now.number
            && let Some(next) = running.next.take()
        {
            let number = next.number + 1;
            let before = Arc::clone(&next.arrangement);
            running.now = Some(next);
            self.drilling.ask_for(number, Some(before));
        }
    }

    fn take_drill_reply(&mut self, reply: DrillReply) {
        let (run, line) = match reply {
            DrillReply::Written(run, line) => (run, *line),
            DrillReply::Failed(why) => {
                self.stop_drill();
                let text = format!("no line could be written, a fault in the program ({why})");
                self.notify(NoticeKind::Error, text);
                return;
            }
        };
        let settings = self.drilling.settings;
        let Some(running) = self.drilling.running.as_mut() else {
            return;
        };
        if run != self.drilling.run {
            return;
        }
        let tune = Tune {
            document: Arc::clone(&line.document),
            arrangement: Arc::clone(&line.arrangement),
        };
        if running.now.is_none() {
            let bars = settings.range(&running.document);
            let before = Arc::clone(&line.arrangement);
            running.now = Some(line);
            let how = (settings.heard, settings.recall);
            self.player.play_lines(tune, bars, how);
            self.drilling.ask_for(1, Some(before));
        } else {
            running.next = Some(line);
            self.player.set_next_line(tune);
        }
    }

    /// Waits until the lines that were asked for are written.
    pub(super) fn settle_drill(&mut self) {
        let is_waiting = |drilling: &Drilling| {
            let running = drilling.running.as_ref();
            running.is_some_and(|running| running.now.is_none() || running.next.is_none())
        };
        while is_waiting(&self.drilling) {
            match self.drilling.worker.wait(super::SETTLE_AT_MOST) {
                Some(reply) => self.take_drill_reply(reply),
                None => return,
            }
        }
    }
}
