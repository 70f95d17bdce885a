//! The sound card through rodio: the default output is opened once and our renderer added to its
//! mixer as the one and only source. The mixer is never touched again, because its controls lock
//! and allocate; everything else goes through the renderer's own rings.

use super::BLOCK;
use super::DeviceError;
use super::Output;
use super::Port;
use super::health::Health;
use super::load::LoadMeter;
use crate::sound::Renderer;
use crate::sound::transport;
use rodio::ChannelCount;
use rodio::DeviceSinkBuilder;
use rodio::DeviceSinkError;
use rodio::MixerDeviceSink;
use rodio::SampleRate;
use rodio::Source;
use rodio::cpal;
use rodio::cpal::traits::DeviceTrait as _;
use rodio::cpal::traits::HostTrait as _;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;

/// What keeps the sound card playing.
pub(super) type Stream = MixerDeviceSink;

/// Opens an output, or the default one, with a new renderer behind it.
pub(super) fn open(id: Option<&str>) -> Result<(Output, crate::sound::Remote), DeviceError> {
    let health = Arc::new(Health::new());
    let load = Arc::new(LoadMeter::default());
    let device = match id {
        Some(id) => device_of(id)?,
        None => (host()?.default_output_device()).ok_or(DeviceError::NoDevice)?,
    };
    let name = name_of(&device);
    let mut sink = DeviceSinkBuilder::from_device(device)
        .map_err(|error| refused(&error))?
        .with_error_callback({
            let health = health.clone();
            move |error| hear_error(&error, &health)
        })
        .open_stream()
        .map_err(|error| refused(&error))?;
    sink.log_on_drop(false);
    let sample_rate = sink.config().sample_rate();
    let (remote, renderer) = transport(sample_rate.get());
    sink.mixer().add(Blocks::new(
        renderer,
        sample_rate,
        health.clone(),
        load.clone(),
    ));
    let gulp = match sink.config().buffer_size() {
        cpal::BufferSize::Fixed(frames) => *frames,
        cpal::BufferSize::Default => 0,
    };
    let stream = super::Stream::Card(sink);
    let output = Output::new(name, (sample_rate.get(), gulp), health, load, stream);
    Ok((output, remote))
}

/// Which reports mean the end, which a gap in the sound, and which nothing.
fn hear_error(error: &cpal::Error, health: &Health) {
    match error.kind() {
        cpal::ErrorKind::DeviceNotAvailable
        | cpal::ErrorKind::HostUnavailable
        | cpal::ErrorKind::StreamInvalidated => health.lose(error.to_string()),
        cpal::ErrorKind::Xrun => health.count_late(),
        cpal::ErrorKind::DeviceChanged | cpal::ErrorKind::RealtimeDenied => {}
        _ => health.complain(error.to_string(), Instant::now()),
    }
}

fn refused(error: &DeviceSinkError) -> DeviceError {
    let cause = match error {
        DeviceSinkError::NoDevice => return DeviceError::NoDevice,
        DeviceSinkError::PlayError(cause)
        | DeviceSinkError::DefaultSinkConfigError(cause)
        | DeviceSinkError::BuildError(cause)
        | DeviceSinkError::SupportedConfigsError(cause) => cause,
        DeviceSinkError::UnsupportedSampleFormat => {
            return DeviceError::CannotOpen("its sample format is unknown".to_owned());
        }
    };
    match cause.kind() {
        cpal::ErrorKind::DeviceNotAvailable | cpal::ErrorKind::HostUnavailable => {
            DeviceError::NoDevice
        }
        _ => DeviceError::CannotOpen(cause.to_string()),
    }
}

/// The sound system of this computer. Unlike [`cpal::default_host`] it does not end the program where
/// there is none, as with ALSA settings that name a file that is gone.
fn host() -> Result<cpal::Host, DeviceError> {
    let mut refusal = DeviceError::NoDevice;
    for id in cpal::ALL_HOSTS {
        match cpal::host_from_id(*id) {
            Ok(host) => return Ok(host),
            Err(error) => refusal = DeviceError::CannotOpen(error.to_string()),
        }
    }
    Err(refusal)
}

fn name_of(device: &cpal::Device) -> String {
    let described = device.description().ok();
    described.map_or_else(|| "default output".to_owned(), |d| d.name().to_owned())
}

fn device_of(id: &str) -> Result<cpal::Device, DeviceError> {
    let host = host()?;
    let found = id.parse().ok();
    found
        .and_then(|id| host.device_by_id(&id))
        .ok_or_else(|| DeviceError::CannotOpen("it is no longer there".to_owned()))
}

/// Every output of the system, by name.
pub(super) fn outputs() -> Vec<Port> {
    let devices = host().ok().and_then(|host| host.output_devices().ok());
    let port = |device: cpal::Device| {
        let id = device.id().ok()?.to_string();
        let name = name_of(&device);
        Some(Port { id, name })
    };
    let mut ports: Vec<Port> = devices.into_iter().flatten().filter_map(port).collect();
    ports.sort_by(|a, b| (&a.name, &a.id).cmp(&(&b.name, &b.id)));
    ports.dedup();
    ports
}

/// The renderer as a stream of single samples, made in small blocks.
struct Blocks {
    renderer: Renderer,
    sample_rate: SampleRate,
    health: Arc<Health>,
    load: Arc<LoadMeter>,
    period: Duration,
    block: [f32; 2 * BLOCK],
    at: usize,
}

impl Blocks {
    fn new(
        renderer: Renderer,
        sample_rate: SampleRate,
        health: Arc<Health>,
        load: Arc<LoadMeter>,
    ) -> Self {
        let period = BLOCK as f64 / f64::from(sample_rate.get());
        Self {
            load,
            period: Duration::from_secs_f64(period),
            renderer,
            sample_rate,
            health,
            block: [0.0; 2 * BLOCK],
            at: 2 * BLOCK,
        }
    }
}

impl Iterator for Blocks {
    type Item = f32;

    fn next(&mut self) -> Option<f32> {
        if self.at >= self.block.len() {
            // Reading the clock neither waits nor allocates.
            let from = Instant::now();
            self.renderer.render(&mut self.block);
            self.load.note(from.elapsed(), self.period);
            self.health.count_block();
            self.at = 0;
        }
        let x = self.block.get(self.at).copied();
        self.at += 1;
        x
    }
}

impl Source for Blocks {
    fn current_span_len(&self) -> Option<usize> {
        None
    }

    fn channels(&self) -> ChannelCount {
        const STEREO: ChannelCount = ChannelCount::MIN.saturating_add(1);
        STEREO
    }

    fn sample_rate(&self) -> SampleRate {
        self.sample_rate
    }

    fn total_duration(&self) -> Option<Duration> {
        None
    }
}
