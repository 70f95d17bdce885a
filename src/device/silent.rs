//! An output without a sound card: it pulls the renderer and throws the sound away, either in
//! real time on a thread of its own or when told, frame by frame, for tests.

use super::BLOCK;
use super::DeviceError;
use super::Output;
use super::Stream;
use super::health::Health;
use super::load::LoadMeter;
use crate::sound::Remote;
use crate::sound::Renderer;
use crate::sound::transport;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::thread::JoinHandle;
use std::time::Duration;
use std::time::Instant;

/// A device that plays when told, and shows what it would have played.
pub struct SilentDevice {
    renderer: Renderer,
    played: Vec<f32>,
    health: Arc<Health>,
}

impl SilentDevice {
    /// A stopped device and the remote control of its renderer.
    #[must_use]
    pub fn new(sample_rate: u32) -> (Self, Remote) {
        let (remote, renderer) = transport(sample_rate);
        let device = Self {
            renderer,
            played: Vec::new(),
            health: Arc::new(Health::new()),
        };
        (device, remote)
    }

    /// The same behind an output that looks like a card, for rehearsing what a program does with
    /// one: it is heard when told, and can be pulled out.
    #[must_use]
    pub fn as_card(name: &str, sample_rate: u32) -> (Self, Output, Remote) {
        let (device, remote) = Self::new(sample_rate);
        let (health, load) = (Arc::clone(&device.health), Arc::default());
        let output = Output::new(
            name.to_owned(),
            (sample_rate, 0),
            health,
            load,
            Stream::Rehearsed,
        );
        (device, output, remote)
    }

    /// The output behind which this device stands has gone, for a reason.
    pub fn pull_out(&self, why: &str) {
        self.health.lose(why.to_owned());
    }

    /// Lets time pass; returns the interleaved stereo frames that a listener would have heard.
    pub fn advance(&mut self, frames: usize) -> &[f32] {
        self.played.resize(2 * frames, 0.0);
        for block in self.played.chunks_mut(2 * BLOCK) {
            self.renderer.render(block);
            self.health.count_block();
        }
        &self.played
    }

    /// The renderer itself.
    pub const fn renderer(&mut self) -> &mut Renderer {
        &mut self.renderer
    }
}

/// A thread that pulls a renderer at the speed of a sound card.
pub(super) struct Puller {
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Puller {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            // A puller that panicked has nothing left to tell.
            drop(thread.join());
        }
    }
}

pub(super) fn open(sample_rate: u32) -> Result<(Output, Remote), DeviceError> {
    let (remote, renderer) = transport(sample_rate);
    let health = Arc::new(Health::new());
    let load = Arc::new(LoadMeter::default());
    let stop = Arc::new(AtomicBool::new(false));
    let thread = std::thread::Builder::new()
        .name("silent-sound".to_owned())
        .spawn({
            let (health, load, stop) = (health.clone(), load.clone(), stop.clone());
            move || pull(renderer, &health, &load, &stop)
        })
        .map_err(|error| DeviceError::CannotOpen(error.to_string()))?;
    let puller = Puller {
        stop,
        thread: Some(thread),
    };
    let stream = Stream::Silent(puller);
    let output = Output::new("silent".to_owned(), (sample_rate, 0), health, load, stream);
    Ok((output, remote))
}

fn pull(mut renderer: Renderer, health: &Health, load: &LoadMeter, stop: &AtomicBool) {
    let rate = f64::from(renderer.sample_rate().max(1));
    let mut block = [0.0; 2 * BLOCK];
    let period = Duration::from_secs_f64(BLOCK as f64 / rate);
    let begun = Instant::now();
    let mut frames = 0u64;
    while !stop.load(Ordering::Relaxed) {
        let due = (begun.elapsed().as_secs_f64() * rate) as u64;
        while frames < due {
            let from = Instant::now();
            renderer.render(&mut block);
            load.note(from.elapsed(), period);
            health.count_block();
            frames += BLOCK as u64;
        }
        std::thread::sleep(Duration::from_millis(4));
    }
}
