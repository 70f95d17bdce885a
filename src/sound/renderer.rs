//! The renderer: reads a timeline and fills buffers with sound. The same one plays through the
//! sound card, writes audio files and is tested. It never allocates, frees, locks or waits: notes
//! come ready from the bank, orders and timelines come and go through rings.

use super::click::Click;
use super::knob::Knob;
use super::limiter::LATENCY;
use super::limiter::Limiter;
use super::room::Room;
use super::sympathy::Sympathy;
use super::timeline::Timeline;
use super::transport::CountIn;
use super::transport::DEFAULT_GAIN;
use super::transport::NextPass;
use super::transport::Order;
use super::transport::Shared;
use super::voice::Home;
use super::voice::RowGains;
use super::voice::SPAN;
use super::voice::Voice;
use rtrb::Consumer;
use rtrb::Producer;
use std::sync::Arc;
use std::sync::atomic::Ordering;

mod swap;

/// Frames by which sound leaves the renderer later than its place in the timeline (the limiter
/// looks ahead). Reported places already allow for it.
pub const LATENCY_FRAMES: usize = LATENCY;

/// Places for notes: every string of an eight-string guitar, each with notes still fading.
const VOICES: usize = 40;

/// Timelines that can be on their way out at a time, each with notes that still sound.
const LEAVING: usize = 3;

/// A new note stops the old one on its string within this time, in seconds.
const RESTRIKE_S: f64 = 0.005;

/// Stop, seek and swap fade over this time, in seconds (3 to 10 ms: no click, no delay felt).
const RAMP_S: f64 = 0.008;

/// A count-in under way.
#[derive(Clone, Copy, Debug)]
struct Counting {
    beats_left: u32,
    until_next: u64,
    frames_per_beat: u64,
    first: bool,
}

/// Fills buffers with sound.
pub struct Renderer {
    orders: Consumer<Order>,
    returns: Producer<Box<Timeline>>,
    shared: Arc<Shared>,
    orders_done: u64,
    current: Option<Box<Timeline>>,
    leaving: [Option<Box<Timeline>>; LEAVING],
    voices: [Voice; VOICES],
    position: u64,
    began: u64,
    next_event: usize,
    next_beat: usize,
    running: bool,
    counting: Option<Counting>,
    repeat: Option<(u64, u64)>,
    next: Option<NextPass>,
    passes: u64,
    taken: u64,
    click_on: bool,
    click: Click,
    gain: Knob,
    rows: [Knob; 3],
    sympathy: Sympathy,
    room: Room,
    limiter: Limiter,
    sample_rate: u32,
    restrike: u32,
    ramp: u32,
}

impl Renderer {
    pub(super) fn new(
        sample_rate: u32,
        orders: Consumer<Order>,
        returns: Producer<Box<Timeline>>,
        shared: Arc<Shared>,
    ) -> Self {
        let frames = |s: f64| (s * f64::from(sample_rate)) as u32;
        Self {
            orders,
            returns,
            shared,
            orders_done: 0,
            current: None,
            leaving: [const { None }; LEAVING],
            voices: [Voice::IDLE; VOICES],
            position: 0,
            began: 0,
            next_event: 0,
            next_beat: 0,
            running: false,
            counting: None,
            repeat: None,
            next: None,
            passes: 0,
            taken: 0,
            click_on: false,
            click: Click::new(sample_rate),
            gain: Knob::new(0.0, DEFAULT_GAIN, sample_rate),
            rows: [Knob::new(1.0, 1.0, sample_rate); 3],
            sympathy: Sympathy::new(sample_rate),
            room: Room::new(sample_rate),
            limiter: Limiter::new(sample_rate),
            sample_rate,
            restrike: frames(RESTRIKE_S),
            ramp: frames(RAMP_S),
        }
    }

    /// Frames per second.
    #[must_use]
    pub const fn sample_rate(&self) -> u32 {
        self.sample_rate
    }

    /// Carries out waiting orders and brings every loudness to its value at once, without the
    /// ramp that protects listeners. For audio files.
    pub fn settle(&mut self) {
        self.take_orders();
        self.gain.settle();
        for row in &mut self.rows {
            row.settle();
        }
    }

    /// Whether music is running or being counted in. Notes may still ring when it is not.
    #[must_use]
    pub const fn is_running(&self) -> bool {
        self.running || self.counting.is_some()
    }

    /// Fills interleaved stereo frames. How many at a time makes no difference to the sound.
    pub fn render(&mut self, out: &mut [f32]) {
        self.take_orders();
        out.fill(0.0);
        for span in out.chunks_mut(2 * SPAN) {
            let mut rest = span;
            while rest.len() > 1 {
                let frames = self.next_span(rest.len() / 2);
                let (now, later) = rest.split_at_mut(2 * frames);
                self.fill(now);
                self.advance(frames as u64);
                rest = later;
            }
        }
        self.give_back();
        self.report(out);
    }

    /// Starts what is due now and says for how many frames nothing else happens.
    fn next_span(&mut self, most: usize) -> usize {
        if let Some(counting) = &mut self.counting {
            if counting.until_next > 0 {
                return usize::try_from(counting.until_next).map_or(most, |n| n.min(most));
            }
            if counting.beats_left > 0 {
                self.click.strike(counting.first);
                counting.first = false;
                counting.beats_left -= 1;
                counting.until_next = counting.frames_per_beat.max(1);
                return usize::try_from(counting.until_next).map_or(most, |n| n.min(most));
            }
            self.counting = None;
            self.running = true;
        }
        if !self.running {
            return most;
        }
        if let Some((from, to)) = self.repeat
            && self.position >= to
        {
            self.passes += 1;
            if !self.take_next() {
                self.seek(from);
            }
        }
        let Some(total) = self.current.as_ref().map(|timeline| timeline.total()) else {
            self.running = false;
            return most;
        };
        let end = self.repeat.map_or(total, |(_, to)| to);
        if self.position >= end {
            self.running = false;
            return most;
        }
        self.strike_due();
        let (event, beat) = self.upcoming();
        let until = event.min(beat).min(end).saturating_sub(self.position);
        usize::try_from(until).map_or(most, |n| n.clamp(1, most))
    }

    /// Frames of the next event and the next beat.
    fn upcoming(&self) -> (u64, u64) {
        let Some(timeline) = &self.current else {
            return (u64::MAX, u64::MAX);
        };
        let event = timeline.events.get(self.next_event);
        let beat = timeline.beats.get(self.next_beat);
        (
            event.map_or(u64::MAX, |e| e.frame),
            beat.map_or(u64::MAX, |b| b.frame),
        )
    }

    fn strike_due(&mut self) {
        while let Some(event) = (self.current.as_ref())
            .and_then(|timeline| timeline.events.get(self.next_event))
            .copied()
            .filter(|event| event.frame <= self.position)
        {
            self.next_event += 1;
            for voice in &mut self.voices {
                if voice.on && voice.string == event.string {
                    voice.fade_out(self.restrike);
                }
            }
            self.place(Voice::struck(&event));
        }
        while let Some(beat) = (self.current.as_ref())
            .and_then(|timeline| timeline.beats.get(self.next_beat))
            .filter(|beat| beat.frame <= self.position)
        {
            self.next_beat += 1;
            if self.click_on {
                self.click.strike(beat.first);
            }
        }
    }

    /// Puts a note into a free place, or into that of the faintest one.
    fn place(&mut self, voice: Voice) {
        let weight = |v: &Voice| if v.on { v.weight() } else { -1.0 };
        let faintest = (self.voices.iter_mut()).min_by(|a, b| weight(a).total_cmp(&weight(b)));
        if let Some(place) = faintest {
            *place = voice;
        }
    }

    /// Sounds of one span: notes, what open strings answer, click, loudness, room, limiter.
    fn fill(&mut self, span: &mut [f32]) {
        let mut row_gains: RowGains = [[0.0; SPAN]; 3];
        for (row, knob) in row_gains.iter_mut().zip(&mut self.rows) {
            for gain in row.iter_mut().take(span.len() / 2) {
                *gain = knob.step();
            }
        }
        for voice in self.voices.iter_mut().filter(|voice| voice.on) {
            let timeline = match voice.home {
                Home::Current => &self.current,
                Home::Leaving(which) => self.leaving.get(which).unwrap_or(&None),
            };
            let samples = timeline.as_ref().and_then(|t| t.samples.get(voice.sample));
            match samples {
                Some(samples) => voice.add(samples, &row_gains, span),
                None => voice.on = false,
            }
        }
        self.sympathy.add(span);
        self.click.add(span);
        for frame in span.chunks_exact_mut(2) {
            if let [left, right] = frame {
                let gain = self.gain.step();
                let (l, r) = (gain * *left, gain * *right);
                let [room_l, room_r] = self.room.step(l, r);
                [*left, *right] = self.limiter.step([l + room_l, r + room_r]);
            }
        }
    }

    fn advance(&mut self, frames: u64) {
        if let Some(counting) = &mut self.counting {
            counting.until_next = counting.until_next.saturating_sub(frames);
        } else if self.running {
            self.position += frames;
        }
    }

    fn seek(&mut self, frame: u64) {
        self.position = frame;
        self.began = frame;
        let Some(timeline) = &self.current else {
            return;
        };
        self.next_event = timeline.events.partition_point(|e| e.frame < frame);
        self.next_beat = timeline.beats.partition_point(|b| b.frame < frame);
    }

    fn fade_all(&mut self) {
        for voice in &mut self.voices {
            voice.fade_out(self.ramp);
        }
    }

    fn take_orders(&mut self) {
        while let Ok(order) = self.orders.peek() {
            // Few timelines can be on their way out at a time: the next waits its turn, and they make
            // haste. One that is refused, or waits for the loop to come round, can only be dropped
            // where there is room to send it home.
            let full = self.returns.is_full();
            let waits = match order {
                Order::Timeline { .. } => full || self.leaving.iter().all(Option::is_some),
                Order::Next(_) => full && self.next.is_some(),
                _ => false,
            };
            if waits {
                self.hurry();
                break;
            }
            let Ok(order) = self.orders.pop() else {
                break;
            };
            self.carry_out(order);
            self.orders_done += 1;
        }
    }

    fn carry_out(&mut self, order: Order) {
        match order {
            Order::Timeline {
                timeline,
                swap,
                taken,
            } => {
                if taken.is_some_and(|taken| taken != self.taken) {
                    self.send_home(timeline);
                } else {
                    self.change_timeline(timeline, swap);
                }
            }
            Order::Play(frame, count_in) => self.play(frame, count_in),
            Order::Stop => {
                self.running = false;
                self.counting = None;
                self.fade_all();
            }
            Order::Loop(range) => self.repeat = range,
            Order::Next(next) => {
                self.drop_next();
                self.next = next;
            }
            Order::Gain(gain) => self.gain.set(gain),
            Order::Click(on) => self.click_on = on,
            Order::RowGain(row, gain) => {
                if let Some(knob) = self.rows.get_mut(row as usize) {
                    knob.set(gain);
                }
            }
        }
    }

    fn play(&mut self, frame: u64, count_in: Option<CountIn>) {
        self.fade_all();
        self.seek(frame);
        self.passes = 0;
        let count_in = count_in.filter(|c| c.beats > 0);
        self.running = count_in.is_none();
        self.counting = count_in.map(|c| Counting {
            beats_left: c.beats,
            until_next: 0,
            frames_per_beat: c.frames_per_beat,
            first: true,
        });
    }

    fn report(&self, out: &[f32]) {
        let shared = &self.shared;
        let heard = self.position.saturating_sub(LATENCY_FRAMES as u64);
        let counting = self.counting.map_or(0, |c| c.beats_left + 1);
        shared
            .position
            .store(heard.max(self.began), Ordering::Relaxed);
        shared.began.store(self.began, Ordering::Relaxed);
        shared.running.store(self.is_running(), Ordering::Relaxed);
        shared.count_left.store(counting, Ordering::Relaxed);
        shared.passes.store(self.passes, Ordering::Relaxed);
        shared.taken.store(self.taken, Ordering::Relaxed);
        let peak = out.iter().fold(0.0f32, |most, x| most.max(x.abs()));
        shared
            .peak_bits
            .fetch_max(peak.to_bits(), Ordering::Relaxed);
        shared
            .orders_done
            .store(self.orders_done, Ordering::Release);
    }
}
