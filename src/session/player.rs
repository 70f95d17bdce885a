//! Playing: prepares the sound of a tune or of a single grip in the background, hands it to the
//! sound card and follows the play-head. When no card answers, or it goes away, the music goes on
//! silently in real time, so that the grid still moves, the status says so, and a card is looked
//! for from time to time.

mod lines;
mod loading;
mod outputs;
mod prepare;
mod search;
#[cfg(test)]
mod tests;
mod training;

use super::Wake;
use super::mixer::LaneMix;
use super::status::PlayStatus;
use super::tune::Tune;
use super::worker::Worker;
use crate::arrange::Lane;
use crate::device::Output;
use crate::device::Port;
use crate::score::Performance;
use crate::sound::DEFAULT_GAIN;
use crate::sound::Remote;
use crate::sound::Row;
use lines::Lines;
use loading::Start;
use outputs::Opener;
use prepare::Prepared;
use prepare::SoundJob;
use prepare::start_worker;
use search::Search;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use training::Progress;

/// Where sound may go.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SoundChoice {
    /// The computer's sound card, opened when something is played for the first time.
    Card,
    /// No card is asked; time passes all the same.
    Silent,
}

/// What is being heard.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum What {
    /// The tune.
    Tune,
    /// The tune at the speed trainer's next tempo.
    Next,
    /// A few notes by themselves.
    Audition,
    /// Nothing yet: the tune before anybody has asked for it.
    Ahead,
}

/// Something the user should be told about the sound.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum News {
    /// It could not be made or heard, and why.
    Trouble(String),
    /// The output has gone.
    Lost(String),
    /// An output was found again.
    Back(String),
}

/// The player of a session.
pub struct Player {
    choice: SoundChoice,
    opener: Opener,
    begun: Instant,
    search: Search,
    had_card: bool,
    output: Option<(Output, Remote)>,
    worker: Worker<SoundJob, Prepared>,
    lister: Worker<(), Vec<Port>>,
    status: PlayStatus,
    source: Option<Tune>,
    tune: Option<Arc<Performance>>,
    loaded: Option<(What, Arc<Performance>)>,
    /// The number of what was last given to the worker.
    newest_job: u64,
    /// What is being made ready.
    pending: Option<What>,
    progress: Progress,
    /// Seconds from the making of the player until the first note was computed.
    first_note_s: Option<f64>,
    start: Option<Start>,
    loop_bars: Option<(usize, usize)>,
    /// While lines are played one after the other in place of the tune.
    lines: Option<Lines>,
    news: Vec<News>,
}

impl Player {
    /// A player that has opened nothing yet.
    pub fn new(choice: SoundChoice, wake: Wake) -> Self {
        Self::with_opener(choice, outputs::system(), wake)
    }

    /// The same with another way to open outputs than the system's.
    fn with_opener(choice: SoundChoice, opener: Opener, wake: Wake) -> Self {
        Self {
            choice,
            search: Search::new(Arc::clone(&opener), Arc::clone(&wake)),
            had_card: false,
            opener,
            begun: Instant::now(),
            output: None,
            lister: outputs::start_lister(Arc::clone(&wake)),
            worker: start_worker(wake),
            status: PlayStatus {
                volume: DEFAULT_GAIN,
                ..PlayStatus::default()
            },
            source: None,
            tune: None,
            loaded: None,
            newest_job: 0,
            pending: None,
            progress: Progress::default(),
            first_note_s: None,
            start: None,
            loop_bars: None,
            lines: None,
            news: Vec::new(),
        }
    }

    /// Transport, device and play-head.
    pub const fn status(&self) -> &PlayStatus {
        &self.status
    }

    /// What the user should be told since the last call.
    pub fn take_news(&mut self) -> Vec<News> {
        std::mem::take(&mut self.news)
    }

    /// The tune has changed. If it plays it goes on at the same musical place.
    pub fn set_tune(&mut self, tune: Tune) {
        let Some(tune) = self.keep_for_later(tune) else {
            return;
        };
        self.source = Some(tune);
        self.tune_changed();
    }

    /// The tune, or the tempo at which it is played.
    fn tune_changed(&mut self) {
        let Some(performance) = self.source.as_ref().map(|tune| tune.at(self.percent())) else {
            return;
        };
        self.tune = Some(Arc::clone(&performance));
        if self.output.is_none() && self.choice == SoundChoice::Card {
            self.prepare_at(outputs::LIKELY_RATE, What::Ahead, performance);
            return;
        }
        // A note that is heard by itself, or is about to be, is not cut off by the tune that it
        // changes; playing makes the tune ready again.
        let hears = self.is_hearing() || self.pending == Some(What::Audition);
        if self.output.is_some() && !hears {
            self.prepare(What::Tune, performance);
        }
    }

    /// Plays from the first time a written bar comes round.
    pub fn play_from_bar(&mut self, bar: usize) {
        self.end_lines();
        self.play_tune_from(bar);
    }

    fn play_tune_from(&mut self, bar: usize) {
        self.start_training();
        let Some(tune) = self.tune.clone() else {
            return;
        };
        self.open();
        self.start = Some(Start::Bar(bar));
        self.status.playing = true;
        match &self.loaded {
            // While it is being made ready it may lack notes that are needed from here.
            Some((What::Tune, loaded))
                if Arc::ptr_eq(loaded, &tune) && self.pending != Some(What::Tune) =>
            {
                self.begin();
                self.prepare_next();
            }
            _ => self.prepare(What::Tune, tune),
        }
    }

    /// Stops whatever sounds.
    pub fn stop(&mut self) {
        self.start = None;
        if let Some((_, remote)) = &mut self.output {
            remote.stop();
        }
        self.clear_playhead();
        self.end_lines();
    }

    /// Plays a few notes once.
    pub fn audition(&mut self, performance: Performance) {
        self.end_lines();
        self.open();
        self.clear_playhead();
        self.start = Some(Start::Seconds(0.0));
        self.prepare(What::Audition, Arc::new(performance));
    }

    /// Loops these written bars, or nothing.
    pub fn set_loop(&mut self, bars: Option<(usize, usize)>) {
        let trained = self.trains();
        self.status.looping = bars.is_some();
        if let Some(lines) = &mut self.lines {
            // It is the tune's, and comes back with it.
            lines.keep_loop(bars);
            return;
        }
        self.loop_bars = bars;
        self.send_loop();
        if trained != self.trains() {
            self.retune();
        } else {
            self.set_next(None);
            self.prepare_next();
        }
    }

    /// Click on the beats.
    pub fn set_click(&mut self, on: bool) {
        self.status.click = on;
        self.send_heard();
    }

    /// One bar is counted before playing.
    pub const fn set_count_in(&mut self, on: bool) {
        self.status.count_in = on;
    }

    /// Master volume, 0 to 1.
    pub fn set_volume(&mut self, volume: f32) {
        self.status.volume = volume.clamp(0.0, 1.0);
        if let Some((_, remote)) = &mut self.output {
            remote.set_gain(self.status.volume);
        }
    }

    /// How loud a lane is heard.
    pub fn set_lane(&mut self, lane: Lane, mix: LaneMix) {
        self.status.lanes.set(lane, mix);
        self.send_heard();
    }

    /// Takes what the other threads have to say and moves the play-head.
    pub fn tick(&mut self) {
        self.tick_at(self.begun.elapsed());
    }

    /// The same at a time since the player was made.
    fn tick_at(&mut self, now: Duration) {
        while let Some(reply) = self.worker.take() {
            self.take_prepared(reply);
        }
        self.take_outputs();
        if let Some((_, remote)) = &mut self.output {
            remote.poll();
        }
        self.watch_device(now);
        self.search_at(now);
        self.follow_training();
        self.follow();
    }

    /// Whether something is auditioned now.
    pub fn is_hearing(&self) -> bool {
        matches!(self.loaded, Some((What::Audition, _))) && self.is_running()
    }

    fn is_running(&self) -> bool {
        self.output
            .as_ref()
            .is_some_and(|(_, remote)| remote.playhead().running)
    }

    fn clear_playhead(&mut self) {
        self.status.playing = false;
        self.status.playhead = None;
        self.status.played_bar = None;
        self.status.count_left = 0;
        self.status.sounding.clear();
    }

    fn follow(&mut self) {
        let (Some((What::Tune, performance)), Some((output, remote))) =
            (&self.loaded, &self.output)
        else {
            return;
        };
        let head = remote.playhead();
        self.status.count_left = head.count_left;
        if !head.running {
            if self.start.is_none() {
                self.clear_playhead();
            }
            return;
        }
        if head.count_left > 0 {
            return;
        }
        let heard = output.heard_frame(head);
        let seconds = heard as f64 / f64::from(output.sample_rate().max(1));
        let place = performance.place_at(seconds);
        self.status.playhead = place.map(|(place, part)| (place, part as f32));
        self.status.played_bar = performance.bar_at(seconds);
        self.status.sounding.clear();
        if self.lines.is_some() {
            // The notes of another arrangement than the one on the screen.
            return;
        }
        // The grid shows the first chorus; in another one other notes sound.
        let sounding = performance.sounding_at(seconds);
        let shown = sounding.filter(|note| note.chorus == 0);
        self.status.sounding.extend(shown.map(|note| note.note_idx));
    }
}

/// What the sound calls a lane.
pub const fn row_of(lane: Lane) -> Row {
    match lane {
        Lane::Tune => Row::Tune,
        Lane::Fingers => Row::Fingers,
        Lane::Thumb => Row::Thumb,
    }
}
