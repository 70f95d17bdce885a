//! How an output is doing: what its driver reported, how often sound came late, and whether it
//! still asks for sound at all. Written from the driver's threads, read from the caller's.

use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::AtomicU32;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;
use std::time::Duration;
use std::time::Instant;

/// An output that has asked for nothing for so long is gone: drivers of servers that end often
/// just fall silent.
const STALL: Duration = Duration::from_secs(2);

/// Shared between an output and whoever owns it.
#[derive(Debug)]
pub struct Health {
    blocks: AtomicU64,
    late: AtomicU32,
    told: AtomicBool,
    loss: Mutex<Option<String>>,
    seen: Mutex<(u64, Instant)>,
}

impl Health {
    /// A new output in good health.
    pub fn new() -> Self {
        Self {
            blocks: AtomicU64::new(0),
            late: AtomicU32::new(0),
            told: AtomicBool::new(false),
            loss: Mutex::new(None),
            seen: Mutex::new((0, Instant::now())),
        }
    }

    /// Counts a rendered block. For the audio thread: one atomic addition.
    pub fn count_block(&self) {
        self.blocks.fetch_add(1, Ordering::Relaxed);
    }

    /// Counts a gap in the sound.
    #[cfg(feature = "audio")]
    pub fn count_late(&self) {
        self.late.fetch_add(1, Ordering::Relaxed);
    }

    /// Gaps so far.
    pub fn late(&self) -> u32 {
        self.late.load(Ordering::Relaxed)
    }

    /// Notes that the output has gone. For the driver's error thread; the first reason stays.
    #[cfg(feature = "audio")]
    pub fn lose(&self, why: String) {
        if let Ok(mut loss) = self.loss.lock() {
            loss.get_or_insert(why);
        }
    }

    /// Why the output has gone, told once.
    pub fn take_loss(&self) -> Option<String> {
        let why = self.reported().or_else(|| self.stalled())?;
        (!self.told.swap(true, Ordering::Relaxed)).then_some(why)
    }

    fn reported(&self) -> Option<String> {
        self.loss.lock().ok()?.clone()
    }

    fn stalled(&self) -> Option<String> {
        let blocks = self.blocks.load(Ordering::Relaxed);
        let mut seen = self.seen.lock().ok()?;
        let now = Instant::now();
        if seen.0 != blocks {
            *seen = (blocks, now);
        }
        (now - seen.1 > STALL).then(|| "it no longer asks for sound".to_owned())
    }
}
