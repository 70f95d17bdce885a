//! Audio files: the arrangement rendered by the same renderer that plays it, as a WAVE file with
//! PCM samples. Nothing is lost at the ends: the file begins with the first note and lasts until
//! the last one has died away. Returns bytes and opens no file.
//!
//! Layout: "Multimedia Programming Interface and Data Specifications 1.0", IBM and Microsoft,
//! August 1991: RIFF chunk of form WAVE with `fmt ` and `data` chunks, little-endian.

use crate::arrange::Arrangement;
use crate::document::Document;
use crate::score::Performance;
use crate::score::perform;
use crate::sound::Bank;
use crate::sound::LATENCY_FRAMES;
use crate::sound::Swap;
use crate::sound::Timeline;
use crate::sound::transport;
use std::ops::Range;

/// Bits of a sample.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Depth {
    /// 16 bits, as on a compact disc.
    #[default]
    Bits16,
    /// 24 bits.
    Bits24,
}

impl Depth {
    const fn bytes(self) -> u16 {
        match self {
            Self::Bits16 => 2,
            Self::Bits24 => 3,
        }
    }
}

/// What is written.
#[derive(Clone, PartialEq, Debug)]
pub struct WavOptions {
    /// Frames per second: 44,100 or 48,000.
    pub sample_rate: u32,
    /// Bits of a sample.
    pub depth: Depth,
    /// Bars of the played order; `None` is all of them.
    pub bars: Option<Range<usize>>,
    /// Whether the beats are clicked.
    pub click: bool,
}

impl Default for WavOptions {
    fn default() -> Self {
        Self {
            sample_rate: 48_000,
            depth: Depth::Bits16,
            bars: None,
            click: false,
        }
    }
}

/// Seconds that notes and room may still sound after the last bar.
const TAIL_S: f64 = 1.5;

/// The arrangement as a stereo WAVE file. An empty arrangement gives a file of silence.
#[must_use]
pub fn write(document: &Document, arrangement: &Arrangement, options: &WavOptions) -> Vec<u8> {
    let performance = perform(document, arrangement, options.bars.clone());
    let frames = render(&performance, options);
    wave_file(&frames, options.sample_rate, options.depth)
}

/// A performance as interleaved stereo at full loudness.
#[must_use]
pub fn render(performance: &Performance, options: &WavOptions) -> Vec<f32> {
    let mut bank = Bank::new(options.sample_rate, performance.stringing);
    bank.prepare(performance, &mut |_, _| true);
    let timeline = Box::new(Timeline::new(performance, &bank));
    let tail = (TAIL_S * f64::from(options.sample_rate)) as u64;
    let frames = usize::try_from(timeline.total() + tail).unwrap_or(0);
    let (mut remote, mut renderer) = transport(options.sample_rate);
    remote.set_timeline(timeline, Swap::Stop);
    remote.set_gain(1.0);
    remote.set_click(options.click);
    remote.play_from(0, None);
    renderer.settle();
    let mut out = vec![0.0; 2 * (frames + LATENCY_FRAMES)];
    renderer.render(&mut out);
    out.split_off(2 * LATENCY_FRAMES)
}

/// Interleaved stereo samples as a WAVE file. Samples beyond ±1 are limited to it.
#[must_use]
pub fn wave_file(stereo: &[f32], sample_rate: u32, depth: Depth) -> Vec<u8> {
    const CHANNELS: u16 = 2;
    const PCM: u16 = 1;
    let frame_bytes = CHANNELS * depth.bytes();
    // A RIFF size has 32 bits: more than four gibibytes cannot be told, and is not made.
    let most = (u32::MAX as usize - 64) / usize::from(frame_bytes) * usize::from(CHANNELS);
    let stereo = stereo.get(..most.min(stereo.len())).unwrap_or(stereo);
    let data = (stereo.len() * usize::from(depth.bytes())) as u32;
    let mut file = Vec::with_capacity(44 + data as usize);
    file.extend(b"RIFF");
    file.extend((36 + data).to_le_bytes());
    file.extend(b"WAVEfmt ");
    file.extend(16u32.to_le_bytes());
    file.extend(PCM.to_le_bytes());
    file.extend(CHANNELS.to_le_bytes());
    file.extend(sample_rate.to_le_bytes());
    file.extend((sample_rate * u32::from(frame_bytes)).to_le_bytes());
    file.extend(frame_bytes.to_le_bytes());
    file.extend((8 * depth.bytes()).to_le_bytes());
    file.extend(b"data");
    file.extend(data.to_le_bytes());
    for x in stereo {
        let x = f64::from(x.clamp(-1.0, 1.0));
        match depth {
            Depth::Bits16 => file.extend(((x * 32_767.0).round() as i16).to_le_bytes()),
            Depth::Bits24 => {
                let [a, b, c, _] = ((x * 8_388_607.0).round() as i32).to_le_bytes();
                file.extend([a, b, c]);
            }
        }
    }
    file
}
