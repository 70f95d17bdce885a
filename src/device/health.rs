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

/// Nothing but complaints of the driver for so long, without a block in between, means the same.
#[cfg(feature = "audio")]
const PATIENCE: Duration = Duration::from_millis(400);

/// Shared between an output and whoever owns it.
#[derive(Debug)]
pub struct Health {
    blocks: AtomicU64,
    late: AtomicU32,
    told: AtomicBool,
    loss: Mutex<Option<String>>,
    complaint: Mutex<Option<Complaint>>,
    seen: Mutex<(u64, Instant)>,
}

/// What a driver said that may or may not be the end.
#[derive(Clone, Debug)]
struct Complaint {
    text: String,
    at_block: u64,
    #[cfg(feature = "audio")]
    since: Instant,
}

impl Health {
    /// A new output in good health.
    pub fn new() -> Self {
        Self {
            blocks: AtomicU64::new(0),
            late: AtomicU32::new(0),
            told: AtomicBool::new(false),
            loss: Mutex::new(None),
            complaint: Mutex::new(None),
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

    /// Notes an error of the driver, at a moment, after which it goes on or tries to. Drivers of
    /// sound servers report passing troubles in this way; the output counts as gone only if it
    /// stops asking for sound, or does nothing but complain. Complaints without a block in
    /// between count as one gap.
    #[cfg(feature = "audio")]
    pub fn complain(&self, text: String, now: Instant) {
        let at_block = self.blocks.load(Ordering::Relaxed);
        let Ok(mut complaint) = self.complaint.lock() else {
            return;
        };
        let before = complaint.take().filter(|c| c.at_block == at_block);
        if before.is_none() {
            self.count_late();
        }
        let since = before.map_or(now, |c| c.since);
        if now.saturating_duration_since(since) > PATIENCE {
            self.lose(text.clone());
        }
        *complaint = Some(Complaint {
            text,
            at_block,
            since,
        });
    }

    /// Notes that the output has gone. For the driver's error thread; the first reason stays.
    pub fn lose(&self, why: String) {
        if let Ok(mut loss) = self.loss.lock() {
            loss.get_or_insert(why);
        }
    }

    /// Why the output has gone, told once.
    pub fn take_loss(&self) -> Option<String> {
        let why = self.reported().or_else(|| self.stalled())?;
        self.tell_once(why)
    }

    /// The same for an output that asks for sound when it is told to, and so cannot stall.
    pub fn take_reported_loss(&self) -> Option<String> {
        let why = self.reported()?;
        self.tell_once(why)
    }

    fn tell_once(&self, why: String) -> Option<String> {
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
        (now - seen.1 > STALL).then(|| {
            let complaint = self.complaint.lock().ok().and_then(|c| c.clone());
            let last = complaint.filter(|c| c.at_block == blocks).map(|c| c.text);
            last.unwrap_or_else(|| "it no longer asks for sound".to_owned())
        })
    }
}

#[cfg(all(test, feature = "audio"))]
mod tests {
    use super::Health;
    use super::PATIENCE;
    use std::time::Instant;

    #[test]
    fn a_passing_trouble_is_no_loss_but_endless_complaints_are() {
        let health = Health::new();
        let begun = Instant::now();
        let complain = |tenths: u32| {
            let text = "input or output error".to_owned();
            health.complain(text, begun + PATIENCE * tenths / 10);
        };
        for tenths in 0..30 {
            complain(tenths);
            health.count_block();
        }
        assert_eq!(health.take_loss(), None);
        assert_eq!(health.late(), 30);
        for tenths in 30..=41 {
            complain(tenths);
        }
        assert_eq!(health.late(), 31);
        assert_eq!(health.take_loss().as_deref(), Some("input or output error"));
        assert_eq!(health.take_loss(), None, "it is told once");
    }

    #[test]
    fn the_first_reason_stays() {
        let health = Health::new();
        health.lose("unplugged".to_owned());
        health.lose("no such device".to_owned());
        assert_eq!(health.take_loss().as_deref(), Some("unplugged"));
    }
}
