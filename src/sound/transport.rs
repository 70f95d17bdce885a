//! The remote control of the renderer: what the caller's thread holds. Orders go down one ring,
//! timelines that are done with come back up another and are freed here, and the play-head is
//! read from atomics. Nothing here ever waits for the renderer.

use super::renderer::Renderer;
use super::timeline::Row;
use super::timeline::Timeline;
use crate::score::Performance;
use rtrb::Consumer;
use rtrb::Producer;
use rtrb::RingBuffer;
use std::collections::VecDeque;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::AtomicU32;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;

/// Loudness at the start, 0 to 1: modest, because nobody knows how the headphones are set.
pub const DEFAULT_GAIN: f32 = 0.5;

/// Seconds ahead of the reported place over which the running of time is compared in a swap.
const AHEAD_S: f64 = 0.002;

/// How many orders fit into the ring; more wait on the caller's side.
const RING: usize = 64;

/// Where the music goes on when a timeline replaces another.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Swap {
    /// Playing stops; the position is 0.
    Stop,
    /// What is at frame `from` of the old timeline is at frame `to` of the new one, and the new
    /// one takes `stretch` frames for each of the old: the position when the swap happens follows
    /// from this, so nothing is lost on the way. Held notes that go on in the new timeline are
    /// not struck again.
    Map {
        /// A frame of the old timeline near the play-head.
        from: u64,
        /// The same musical place in the new one.
        to: u64,
        /// Old tempo over new tempo.
        stretch: f64,
    },
}

/// Beats before the music begins.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct CountIn {
    /// How many.
    pub beats: u32,
    /// Frames from one to the next.
    pub frames_per_beat: u64,
}

impl CountIn {
    /// One whole bar of a performance's beats.
    #[must_use]
    pub fn one_bar(performance: &Performance, sample_rate: u32) -> Self {
        let beats = performance.bars.iter().map(|bar| bar.beats_s.len()).max();
        let frames = performance.clock.beat_s * f64::from(sample_rate);
        Self {
            beats: beats.and_then(|n| u32::try_from(n).ok()).unwrap_or(0),
            frames_per_beat: frames.round() as u64,
        }
    }
}

/// A timeline that takes over when the loop next comes round: the same bars at another tempo, with
/// no gap and every bar to the frame.
#[derive(Clone, PartialEq, Debug)]
pub struct NextPass {
    /// What is played then.
    pub timeline: Box<Timeline>,
    /// What is looped then; the first frame is where it begins.
    pub range: (u64, u64),
    /// How many passes are played before, counted since playing began.
    pub at_pass: u64,
}

/// An order.
pub(super) enum Order {
    Timeline {
        timeline: Box<Timeline>,
        swap: Swap,
        /// Refused if another number of [`NextPass`]es has taken over meanwhile.
        taken: Option<u64>,
    },
    Play(u64, Option<CountIn>),
    Stop,
    Loop(Option<(u64, u64)>),
    Next(Option<NextPass>),
    Gain(f32),
    Click(bool),
    RowGain(Row, f32),
}

/// What the renderer reports.
#[derive(Debug, Default)]
pub(super) struct Shared {
    pub position: AtomicU64,
    pub began: AtomicU64,
    pub running: AtomicBool,
    pub count_left: AtomicU32,
    pub passes: AtomicU64,
    pub taken: AtomicU64,
    pub peak_bits: AtomicU32,
    pub orders_done: AtomicU64,
}

/// Where the music is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Playhead {
    /// The frame of the timeline that leaves the renderer now.
    pub frame: u64,
    /// Where this run began: the start of playing or the last return to the start of the loop.
    pub began: u64,
    /// Whether it plays or counts in. Orders under way count as done.
    pub running: bool,
    /// Beats of the count-in that are left; 0 once the music plays.
    pub count_left: u32,
    /// How often the loop has come round since playing began.
    pub passes: u64,
    /// How often a [`NextPass`] has taken over since the renderer was made.
    pub taken: u64,
}

/// The caller's end. Not for the audio thread.
pub struct Remote {
    sample_rate: u32,
    orders: Producer<Order>,
    waiting: VecDeque<Order>,
    returned: Consumer<Box<Timeline>>,
    shared: Arc<Shared>,
    orders_sent: u64,
    /// Place and running that an order asks for, and the number of that order.
    wanted: Option<(u64, bool, u64)>,
}

/// A renderer for a sample rate and its remote control.
#[must_use]
pub fn transport(sample_rate: u32) -> (Remote, Renderer) {
    let (orders, orders_in) = RingBuffer::new(RING);
    let (returns, returned) = RingBuffer::new(RING);
    let shared = Arc::new(Shared::default());
    let remote = Remote {
        sample_rate,
        orders,
        waiting: VecDeque::new(),
        returned,
        shared: shared.clone(),
        orders_sent: 0,
        wanted: None,
    };
    let renderer = Renderer::new(sample_rate, orders_in, returns, shared);
    (remote, renderer)
}

impl Swap {
    /// The swap that keeps the musical place when `old`, playing at `frame`, gives way to `new`:
    /// after an edit, or a change of tempo or feel.
    #[must_use]
    pub fn keeping_place(
        old: &Performance,
        new: &Performance,
        frame: u64,
        sample_rate: u32,
    ) -> Self {
        let rate = f64::from(sample_rate.max(1));
        let from_s = frame as f64 / rate;
        let to_s = old.same_place_in(new, from_s);
        // The renderer is a little ahead of what it reports: how fast time runs there, which a
        // change of swing makes different in either half of a beat.
        let ran_s = old.same_place_in(new, from_s + AHEAD_S) - to_s;
        Self::Map {
            from: frame,
            to: (to_s * rate).round() as u64,
            stretch: if ran_s > 0.0 {
                ran_s / AHEAD_S
            } else {
                new.clock.beat_s / old.clock.beat_s.max(f64::MIN_POSITIVE)
            },
        }
    }
}

impl Remote {
    /// Frames per second of the renderer.
    #[must_use]
    pub const fn sample_rate(&self) -> u32 {
        self.sample_rate
    }

    /// Replaces what is played; the timeline must be made for this sample rate. The old one comes
    /// back and is freed by [`poll`](Self::poll).
    pub fn set_timeline(&mut self, timeline: Box<Timeline>, swap: Swap) {
        debug_assert_eq!(timeline.sample_rate(), self.sample_rate);
        if swap == Swap::Stop {
            self.want(0, false);
        }
        self.send(Order::Timeline {
            timeline,
            swap,
            taken: None,
        });
    }

    /// The same, unless a [`NextPass`] takes over before the order is carried out: `taken` is that
    /// of the play-head from which the swap was computed. What is refused comes back at once, and
    /// the play-head tells another `taken`.
    pub fn set_timeline_unless_taken(&mut self, timeline: Box<Timeline>, swap: Swap, taken: u64) {
        debug_assert_eq!(timeline.sample_rate(), self.sample_rate);
        self.send(Order::Timeline {
            timeline,
            swap,
            taken: Some(taken),
        });
    }

    /// Plays a short timeline at once from its beginning, without loop: one grip, one option.
    pub fn hear(&mut self, timeline: Box<Timeline>) {
        self.set_timeline(timeline, Swap::Stop);
        self.play_from(0, None);
    }

    /// Plays from a frame on, after counting if asked. What sounded before fades at once.
    pub fn play_from(&mut self, frame: u64, count_in: Option<CountIn>) {
        self.want(frame, true);
        self.send(Order::Play(frame, count_in));
    }

    /// Stops; sounding notes fade within some milliseconds.
    pub fn stop(&mut self) {
        let frame = self.playhead().frame;
        self.want(frame, false);
        self.send(Order::Stop);
    }

    /// Repeats from the first frame to the second (not included), or goes through to the end.
    pub fn set_loop(&mut self, range: Option<(u64, u64)>) {
        self.send(Order::Loop(range.filter(|(from, to)| from < to)));
    }

    /// What takes over when the loop comes round, or nothing. A new timeline drops what waits.
    pub fn set_next(&mut self, next: Option<NextPass>) {
        self.send(Order::Next(next.filter(|next| next.range.0 < next.range.1)));
    }

    /// Master loudness, 0 to 1. At 1, six strings at full strength touch the limiter.
    pub fn set_gain(&mut self, gain: f32) {
        self.send(Order::Gain(gain));
    }

    /// Whether beats are clicked.
    pub fn set_click(&mut self, on: bool) {
        self.send(Order::Click(on));
    }

    /// Loudness of one row, 0 to 1: muting and solo.
    pub fn set_row_gain(&mut self, row: Row, gain: f32) {
        self.send(Order::RowGain(row, gain));
    }

    /// Where the music is.
    #[must_use]
    pub fn playhead(&self) -> Playhead {
        let done = self.shared.orders_done.load(Ordering::Acquire);
        let heard = Playhead {
            frame: self.shared.position.load(Ordering::Relaxed),
            began: self.shared.began.load(Ordering::Relaxed),
            running: self.shared.running.load(Ordering::Relaxed),
            count_left: self.shared.count_left.load(Ordering::Relaxed),
            passes: self.shared.passes.load(Ordering::Relaxed),
            taken: self.shared.taken.load(Ordering::Relaxed),
        };
        match self.wanted {
            Some((frame, running, order)) if done < order => Playhead {
                frame,
                began: frame,
                running,
                passes: 0,
                ..heard
            },
            _ => heard,
        }
    }

    /// The largest sample since the last call, 1 being full scale.
    #[must_use]
    pub fn take_peak(&self) -> f32 {
        f32::from_bits(self.shared.peak_bits.swap(0, Ordering::Relaxed))
    }

    /// Sends what is still waiting and frees timelines that came back; returns how many. Call
    /// once per frame of the window.
    pub fn poll(&mut self) -> usize {
        self.flush();
        let mut freed = 0;
        while self.returned.pop().is_ok() {
            freed += 1;
        }
        freed
    }

    /// The next order will bring the play-head there; until it is carried out that counts as done.
    const fn want(&mut self, frame: u64, running: bool) {
        self.wanted = Some((frame, running, self.orders_sent + 1));
    }

    fn send(&mut self, order: Order) {
        self.orders_sent += 1;
        self.waiting.push_back(order);
        self.flush();
    }

    fn flush(&mut self) {
        while let Some(order) = self.waiting.pop_front() {
            if let Err(rtrb::PushError::Full(order)) = self.orders.push(order) {
                self.waiting.push_front(order);
                return;
            }
        }
    }
}
