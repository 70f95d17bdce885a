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
use crate::sound::Remote;
use crate::sound::Renderer;
use crate::sound::Row;
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

/// Why there is no audio file.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum WavError {
    /// More than the four gibibytes that a WAVE file can tell of.
    #[error("the tune is too long for one audio file ({hours} hours): export fewer bars at a time")]
    TooLong {
        /// Its length.
        hours: u64,
    },
    /// The caller said so.
    #[error("the audio export was cancelled")]
    Cancelled,
}

/// Seconds that notes and room may still sound after the last bar.
const TAIL_S: f64 = 1.5;

/// Frames rendered between two questions whether to go on.
const BLOCK: usize = 8192;

const CHANNELS: u16 = 2;

/// Bytes before the samples.
const HEADER: u32 = 44;

/// The arrangement as a stereo WAVE file. An empty arrangement gives a file of silence.
///
/// # Errors
/// If the tune is too long for the format.
pub fn write(
    document: &Document,
    arrangement: &Arrangement,
    options: &WavOptions,
) -> Result<Vec<u8>, WavError> {
    write_watched(document, arrangement, options, &mut |_| true)
}

/// Like [`write()`], asking `go_on` now and then with the part that is done, 0 to 1; `false` stops.
///
/// # Errors
/// If the tune is too long for the format, or the work was stopped.
pub fn write_watched(
    document: &Document,
    arrangement: &Arrangement,
    options: &WavOptions,
    go_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Vec<u8>, WavError> {
    let recording = Recording::prepare(document, arrangement, options, &mut |_| true)?;
    recording.write(options, None, go_on)
}

/// A performance with all its notes computed, from which files can be made: the whole, and single
/// rows of it.
pub struct Recording {
    performance: Performance,
    bank: Bank,
}

impl Recording {
    /// Computes the notes, asking `go_on` after each with the part that is done, 0 to 1; `false`
    /// stops. Bars and sample rate are those of the options.
    ///
    /// # Errors
    /// If the tune is too long for the format, or the work was stopped.
    pub fn prepare(
        document: &Document,
        arrangement: &Arrangement,
        options: &WavOptions,
        go_on: &mut dyn FnMut(f32) -> bool,
    ) -> Result<Self, WavError> {
        let performance = perform(document, arrangement, options.bars.clone());
        let rate = f64::from(options.sample_rate);
        data_bytes((performance.total_s * rate) as u64, options)?;
        let mut bank = Bank::new(options.sample_rate, performance.stringing);
        let mut wanted = true;
        let complete = bank.prepare(&performance, &mut |done, of_all| {
            wanted = go_on(done as f32 / of_all.max(1) as f32);
            wanted
        });
        if complete && wanted {
            Ok(Self { performance, bank })
        } else {
            Err(WavError::Cancelled)
        }
    }

    /// The whole, or one row of it as it sounds in the whole, as a file; the rows add up to the
    /// whole as long as the limiter has nothing to do. Asks `go_on` now and then with the part that
    /// is done, 0 to 1; `false` stops. The options must have the sample rate it was prepared for.
    ///
    /// # Errors
    /// If it is too long for the format, or the work was stopped.
    pub fn write(
        &self,
        options: &WavOptions,
        only: Option<Row>,
        go_on: &mut dyn FnMut(f32) -> bool,
    ) -> Result<Vec<u8>, WavError> {
        let mut take = Take::new(&self.performance, &self.bank, options, only);
        let frames = take.frames();
        let data = data_bytes(frames, options)?;
        let mut file = header(data, options.sample_rate, options.depth);
        file.reserve_exact(data as usize);
        let mut block = vec![0.0; 2 * BLOCK];
        let mut done = 0;
        while done < frames {
            let now = (frames - done).min(BLOCK as u64);
            let samples = block.get_mut(..2 * now as usize).unwrap_or_default();
            take.renderer.render(samples);
            push_samples(&mut file, samples, options.depth);
            done += now;
            if !go_on(done as f32 / frames as f32) {
                return Err(WavError::Cancelled);
            }
        }
        Ok(file)
    }
}

/// A performance as interleaved stereo at full loudness.
#[must_use]
pub fn render(performance: &Performance, options: &WavOptions) -> Vec<f32> {
    let mut bank = Bank::new(options.sample_rate, performance.stringing);
    bank.prepare(performance, &mut |_, _| true);
    let mut take = Take::new(performance, &bank, options, None);
    let mut out = vec![0.0; 2 * usize::try_from(take.frames()).unwrap_or(0)];
    take.renderer.render(&mut out);
    out
}

/// Interleaved stereo samples as a WAVE file. Samples beyond ±1 are limited to it.
///
/// # Errors
/// If there are more than the format can hold.
pub fn wave_file(stereo: &[f32], options: &WavOptions) -> Result<Vec<u8>, WavError> {
    let data = data_bytes(stereo.len() as u64 / u64::from(CHANNELS), options)?;
    let mut file = header(data, options.sample_rate, options.depth);
    push_samples(&mut file, stereo, options.depth);
    Ok(file)
}

/// A performance about to be recorded, its first frame next.
struct Take {
    renderer: Renderer,
    total: u64,
    sample_rate: u32,
    // The renderer listens to its remote control only while that exists.
    _remote: Remote,
}

impl Take {
    fn new(
        performance: &Performance,
        bank: &Bank,
        options: &WavOptions,
        only: Option<Row>,
    ) -> Self {
        let sample_rate = options.sample_rate;
        let timeline = Box::new(Timeline::new(performance, bank));
        let total = timeline.total();
        let (mut remote, mut renderer) = transport(sample_rate);
        remote.set_timeline(timeline, Swap::Stop);
        remote.set_gain(1.0);
        remote.set_click(options.click);
        for row in Row::ALL {
            let heard = only.is_none_or(|only| only == row);
            remote.set_row_gain(row, if heard { 1.0 } else { 0.0 });
        }
        remote.play_from(0, None);
        renderer.settle();
        renderer.render(&mut [0.0; 2 * LATENCY_FRAMES]);
        Self {
            renderer,
            total,
            sample_rate,
            _remote: remote,
        }
    }

    fn frames(&self) -> u64 {
        self.total + (TAIL_S * f64::from(self.sample_rate)) as u64
    }
}

fn data_bytes(frames: u64, options: &WavOptions) -> Result<u32, WavError> {
    let bytes = frames.saturating_mul(u64::from(CHANNELS * options.depth.bytes()));
    (u32::try_from(bytes).ok())
        .filter(|bytes| *bytes <= u32::MAX - HEADER)
        .ok_or_else(|| WavError::TooLong {
            hours: frames / (3600 * u64::from(options.sample_rate.max(1))),
        })
}

fn header(data: u32, sample_rate: u32, depth: Depth) -> Vec<u8> {
    const PCM: u16 = 1;
    let frame_bytes = CHANNELS * depth.bytes();
    let mut file = Vec::with_capacity(HEADER as usize);
    file.extend(b"RIFF");
    file.extend((HEADER - 8 + data).to_le_bytes());
    file.extend(b"WAVEfmt ");
    file.extend(16u32.to_le_bytes());
    file.extend(PCM.to_le_bytes());
    file.extend(CHANNELS.to_le_bytes());
    file.extend(sample_rate.to_le_bytes());
    file.extend(
        sample_rate
            .saturating_mul(u32::from(frame_bytes))
            .to_le_bytes(),
    );
    file.extend(frame_bytes.to_le_bytes());
    file.extend((8 * depth.bytes()).to_le_bytes());
    file.extend(b"data");
    file.extend(data.to_le_bytes());
    file
}

fn push_samples(file: &mut Vec<u8>, samples: &[f32], depth: Depth) {
    for x in samples {
        let x = f64::from(x.clamp(-1.0, 1.0));
        match depth {
            Depth::Bits16 => file.extend(((x * 32_767.0).round() as i16).to_le_bytes()),
            Depth::Bits24 => {
                let [a, b, c, _] = ((x * 8_388_607.0).round() as i32).to_le_bytes();
                file.extend([a, b, c]);
            }
        }
    }
}
