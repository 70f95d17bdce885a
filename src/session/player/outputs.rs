//! Which output the sound goes to: the list of them, made in the background because drivers take
//! their time, the choice, and what the output in use has to tell.

use super::Player;
use super::SoundChoice;
use super::Start;
use super::What;
use crate::device;
use crate::device::Output;
use crate::device::Port;
use crate::session::Wake;
use crate::session::status::SoundReport;
use crate::session::worker::Worker;

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
        if let Some((output, remote)) = self.output.take() {
            let head = remote.playhead();
            let seconds = head.frame as f64 / f64::from(output.sample_rate().max(1));
            // The old one is closed first: some cards can be open only once.
            drop((output, remote));
            self.go_on_elsewhere(seconds, head.passes);
        }
    }

    /// Opens an output and goes on from a place if the tune was playing.
    pub(super) fn go_on_elsewhere(&mut self, seconds: f64, passes: u64) {
        let was_playing = self.status.playing;
        self.output = None;
        self.loaded = None;
        self.keep_training(passes);
        self.open();
        if let (true, Some(tune)) = (was_playing, self.tune.clone()) {
            self.start = Some(Start::Seconds(seconds));
            self.prepare(What::Tune, tune);
        }
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
            gaps: output.late_blocks(),
        })
    }

    /// The chosen output, or the system's own if that one does not answer, which is told.
    pub(super) fn open_chosen(
        &mut self,
    ) -> Result<(Output, crate::sound::Remote), device::DeviceError> {
        let Some(id) = self.status.output.clone() else {
            return Output::open();
        };
        Output::open_on(&id).or_else(|error| {
            self.status.output = None;
            let opened = Output::open()?;
            self.troubles
                .push(format!("{error}; until then the default output is used"));
            Ok(opened)
        })
    }
}
