//! Where sound goes: the sound card (the only user of rodio) and a silent stand-in that pulls the
//! renderer all the same. Opening never panics; a missing or vanished card is a sentence to show,
//! and the program goes on without it. Never looks at a document.

#[cfg(feature = "audio")]
mod card;
mod ear;
mod health;
mod load;
mod silent;

pub use load::Load;
pub use load::LoadMeter;
pub use silent::SilentDevice;

use crate::sound::Playhead;
use crate::sound::Remote;
use ear::Ear;
use health::Health;
use std::cell::Cell;
use std::sync::Arc;
use std::time::Instant;

/// Frames that are rendered in one go for a device, and whose computing time is measured.
pub const BLOCK: usize = 256;

/// Why there is no sound.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum DeviceError {
    /// The computer has no sound output, or none that answers.
    #[error(
        "no sound output was found: connect headphones or speakers, or start the sound service, then try again; audio files can be made without it"
    )]
    NoDevice,
    /// There is one, but it cannot be used.
    #[error(
        "the sound output could not be opened ({0}): close other programs that use it, then try again; audio files can be made without it"
    )]
    CannotOpen(String),
    /// It went away while it was in use.
    #[error(
        "the sound output stopped ({0}): check that it is connected; until it is back, time passes in silence"
    )]
    Lost(String),
    /// This build of the program has no sound output.
    #[error("this build of the program plays no sound; audio files can be made")]
    NotBuiltIn,
}

/// An output that can be asked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Port {
    /// How it is asked for; stays the same as long as it is connected.
    pub id: String,
    /// What it is called.
    pub name: String,
}

/// Every output that the system names. Drivers may take a second to answer: not for a window's
/// thread.
#[must_use]
pub fn outputs() -> Vec<Port> {
    #[cfg(feature = "audio")]
    return card::outputs();
    #[cfg(not(feature = "audio"))]
    Vec::new()
}

/// An open output. Sound ends when it is dropped.
pub struct Output {
    name: String,
    sample_rate: u32,
    gulp: u32,
    health: Arc<Health>,
    load: Arc<LoadMeter>,
    ear: Cell<Ear>,
    opened: Instant,
    _stream: Stream,
}

/// What keeps the sound going.
#[expect(dead_code, reason = "held only so that dropping it ends the sound")]
enum Stream {
    #[cfg(feature = "audio")]
    Card(card::Stream),
    Silent(silent::Puller),
    /// A rehearsed card: sound goes on when its owner says so.
    Rehearsed,
}

impl Output {
    /// Opens the computer's default sound output, with a renderer of its own behind the remote
    /// control. The renderer is idle until a timeline is sent and played.
    ///
    /// # Errors
    /// If there is no output, it cannot be opened, or this build has none.
    pub fn open() -> Result<(Self, Remote), DeviceError> {
        #[cfg(feature = "audio")]
        return card::open(None);
        #[cfg(not(feature = "audio"))]
        Err(DeviceError::NotBuiltIn)
    }

    /// Opens the output with this [`Port::id`].
    ///
    /// # Errors
    /// As [`open`](Self::open); also if there is no such output any more.
    pub fn open_on(id: &str) -> Result<(Self, Remote), DeviceError> {
        #[cfg(feature = "audio")]
        return card::open(Some(id));
        #[cfg(not(feature = "audio"))]
        {
            let _ = id;
            Err(DeviceError::NotBuiltIn)
        }
    }

    /// An output that nobody hears but that runs in real time, for working without a sound card:
    /// the play-head moves as usual.
    ///
    /// # Errors
    /// If the system gives no thread for it.
    pub fn silent(sample_rate: u32) -> Result<(Self, Remote), DeviceError> {
        silent::open(sample_rate)
    }

    fn new(
        name: String,
        (sample_rate, gulp): (u32, u32),
        health: Arc<Health>,
        load: Arc<LoadMeter>,
        stream: Stream,
    ) -> Self {
        Self {
            name,
            sample_rate,
            gulp,
            health,
            load,
            ear: Cell::new(Ear::new(sample_rate, gulp)),
            opened: Instant::now(),
            _stream: stream,
        }
    }

    /// The frame that is heard now, for a play-head that moves evenly and with the sound: the
    /// renderer's own report runs ahead by what the sound card holds, and jumps.
    #[must_use]
    pub fn heard_frame(&self, head: Playhead) -> u64 {
        let mut ear = self.ear.get();
        let frame = ear.heard(head, self.opened.elapsed());
        self.ear.set(ear);
        frame
    }

    /// Its name, as far as it is known.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Frames per second.
    #[must_use]
    pub const fn sample_rate(&self) -> u32 {
        self.sample_rate
    }

    /// Whether anyone can hear it.
    #[must_use]
    pub const fn is_audible(&self) -> bool {
        !matches!(self._stream, Stream::Silent(_))
    }

    /// Tells once that the output has gone: it reported so, or has asked for no sound for two
    /// seconds. Call now and then (once per frame of the window). Afterwards drop it and open
    /// another; timelines have to be sent again.
    #[must_use]
    pub fn take_loss(&self) -> Option<DeviceError> {
        let loss = match self._stream {
            Stream::Rehearsed => self.health.take_reported_loss(),
            _ => self.health.take_loss(),
        };
        loss.map(DeviceError::Lost)
    }

    /// Frames that the output takes at a time; 0 if that is up to its driver.
    #[must_use]
    pub const fn gulp(&self) -> u32 {
        self.gulp
    }

    /// How much of its time computing the sound takes.
    #[must_use]
    pub fn load(&self) -> Load {
        self.load.read()
    }

    /// Forgets all blocks so far: for when playing begins.
    pub fn forget_load(&self) {
        self.load.forget();
    }

    /// How often sound came too late since the start.
    #[must_use]
    pub fn late_blocks(&self) -> u32 {
        self.health.late()
    }
}
