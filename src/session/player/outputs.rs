//! Which output the sound goes to: the list of them, made in the background because drivers take
//! their time, the choice, and what the output in use has to tell. When it goes away the music goes
//! on in silence at the same place until another one is found.

use super::News;
use super::Player;
use super::SoundChoice;
use super::What;
use super::loading::Start;
use crate::device;
use crate::device::DeviceError;
use crate::device::Output;
use crate::device::Port;
use crate::session::Wake;
use crate::session::status::DeviceStatus;
use crate::session::status::SoundReport;
use crate::session::worker::Worker;
use crate::sound::Remote;
use std::sync::Arc;
use std::time::Duration;

/// Sample rate for which notes are computed before an output is open: that of nearly all of them.
pub const LIKELY_RATE: u32 = 48_000;

/// How often an output in use is looked at while nothing else wakes the window.
const WATCH: Duration = Duration::from_secs(2);

/// Opens an output by how it is asked for, or the system's own choice.
pub type Opener = Arc<dyn Fn(Option<&str>) -> Result<(Output, Remote), DeviceError> + Send + Sync>;

/// An open output, and why it is not the one that was asked for if it is not.
pub struct Opened {
    /// What is heard through, and the remote control of its renderer.
    pub pair: (Output, Remote),
    /// Why the chosen one does not answer.
    pub instead: Option<DeviceError>,
}

/// The outputs of this computer.
pub fn system() -> Opener {
    Arc::new(|id| id.map_or_else(Output::open, Output::open_on))
}

/// The chosen output, or the system's own if that one does not answer.
pub fn open_wanted(opener: &Opener, id: Option<&str>) -> Result<Opened, DeviceError> {
    let (pair, instead) = match (opener(id), id) {
        (Err(error), Some(_)) => (opener(None)?, Some(error)),
        (opened, _) => (opened?, None),
    };
    Ok(Opened { pair, instead })
}

/// Starts the thread that asks for outputs.
pub fn start_lister(wake: Wake) -> Worker<(), Vec<Port>> {
    Worker::start(
        "outputs",
        wake,
        |(), desk| desk.reply(device::outputs()),
        |_| Vec::new(),
    )
}

impl Player {
    /// Asks for the outputs there are; they come with a later tick.
    pub fn list_outputs(&self) {
        if self.choice == SoundChoice::Card {
            self.lister.submit(());
        }
    }

    pub(super) fn take_outputs(&mut self) {
        while let Some(ports) = self.lister.take() {
            self.status.outputs = ports.into_iter().map(|port| (port.id, port.name)).collect();
        }
    }

    /// Plays on another output from now on, at the same place; `None` is the system's own choice.
    pub fn choose_output(&mut self, id: Option<String>) {
        if self.status.output == id {
            return;
        }
        self.status.output = id;
        self.search.end();
        if self.output.is_some() {
            // The old one is closed first: some cards can be open only once.
            let place = self.let_go();
            self.open();
            self.go_on_from(place);
        }
    }

    /// Opens the card if it is not open; with none, the silent stand-in.
    pub(super) fn open(&mut self) {
        if self.is_audible() {
            return;
        }
        let card = match self.choice {
            SoundChoice::Card => open_wanted(&self.opener, self.status.output.as_deref()),
            SoundChoice::Silent => Err(DeviceError::NotBuiltIn),
        };
        match card {
            Ok(opened) => self.take_opened(opened),
            Err(error) if self.output.is_none() => {
                if self.choice == SoundChoice::Card {
                    self.news.push(News::Trouble(error.to_string()));
                    if error != DeviceError::NotBuiltIn {
                        self.search.begin(self.begun.elapsed());
                    }
                }
                self.status.device = DeviceStatus::Missing(error.to_string());
                self.open_stand_in(LIKELY_RATE);
            }
            Err(_) => {}
        }
    }

    fn open_stand_in(&mut self, sample_rate: u32) {
        match Output::silent(sample_rate) {
            Ok(pair) => self.take_output(pair),
            Err(error) => self.news.push(News::Trouble(error.to_string())),
        }
    }

    /// A card has answered.
    fn take_opened(&mut self, opened: Opened) {
        self.search.end();
        self.had_card = true;
        if let Some(error) = opened.instead {
            self.status.output = None;
            let text = format!("{error}; until then the default output is used");
            self.news.push(News::Trouble(text));
        }
        self.status.device = DeviceStatus::Open(opened.pair.0.name().into());
        self.take_output(opened.pair);
    }

    fn take_output(&mut self, (output, mut remote): (Output, Remote)) {
        remote.set_gain(self.status.volume);
        self.output = Some((output, remote));
        self.send_heard();
        self.loaded = None;
    }

    /// Closes the output; the seconds where the music is.
    fn let_go(&mut self) -> f64 {
        self.loaded = None;
        let Some((output, remote)) = self.output.take() else {
            return 0.0;
        };
        let head = remote.playhead();
        self.keep_training(head.passes);
        head.frame as f64 / f64::from(output.sample_rate().max(1))
    }

    /// Goes on from a place, if the tune was playing, on the output that is open now.
    fn go_on_from(&mut self, seconds: f64) {
        if let (true, Some(tune)) = (self.status.playing, self.tune.clone()) {
            // What was to begin and has not yet still begins where it should.
            self.start.get_or_insert(Start::Seconds(seconds));
            self.prepare(What::Tune, tune);
        }
    }

    /// When the card has gone: on in silence from the same place, and look for another.
    pub(super) fn watch_device(&mut self, now: Duration) {
        let Some((output, _)) = &self.output else {
            return;
        };
        let Some(loss) = output.take_loss() else {
            return;
        };
        let sample_rate = output.sample_rate();
        self.news.push(News::Lost(loss.to_string()));
        self.status.device = DeviceStatus::Missing(loss.to_string());
        let place = self.let_go();
        // Of the same rate, so that the notes that are ready serve on.
        self.open_stand_in(sample_rate);
        self.go_on_from(place);
        self.search.begin(now);
    }

    /// Looks for a card if it is time, and goes on there if one was found.
    pub(super) fn search_at(&mut self, now: Duration) {
        let Some(opened) = self.search.advance(now, self.status.output.as_deref()) else {
            return;
        };
        if self.is_audible() {
            return;
        }
        let what = if self.had_card {
            "is back"
        } else {
            "is there now"
        };
        let text = format!("Sound {what}: {}", opened.pair.0.name());
        let place = self.let_go();
        self.take_opened(opened);
        self.news.push(News::Back(text));
        self.go_on_from(place);
    }

    /// How long a window may sleep without missing anything about the output; `None` is for ever.
    pub fn rests_for(&self) -> Option<Duration> {
        let watched = self.is_audible().then_some(WATCH);
        self.search.rests_for(self.begun.elapsed()).or(watched)
    }

    fn is_audible(&self) -> bool {
        (self.output.as_ref()).is_some_and(|(output, _)| output.is_audible())
    }

    /// What the output in use has to tell.
    pub fn report(&self) -> Option<SoundReport> {
        let (output, _) = self.output.as_ref()?;
        let load = output.load();
        Some(SoundReport {
            name: output.name().to_owned(),
            audible: output.is_audible(),
            sample_rate: output.sample_rate(),
            buffer: output.gulp(),
            average: load.average,
            peak: load.peak,
            median: load.median,
            p999: load.p999,
            gaps: output.late_blocks(),
            first_note_s: self.first_note_s,
        })
    }
}
