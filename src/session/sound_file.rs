//! Sound files: how they are written. A file is whole or not there; with stems every lane that has
//! notes gets a file of its own beside the whole, and added up they are the whole.

use super::mixer::Mixer;
use super::player::row_of;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::document::Document;
use crate::export::wav;
use crate::export::wav::WavError;
use crate::files;
use std::path::Path;
use std::path::PathBuf;

/// The ending of sound files, without a dot.
const SOUND_ENDING: &str = "wav";

/// Frames per second that can be asked for.
pub const SOUND_RATES: [u32; 2] = [44_100, 48_000];

/// Bits of a sample that can be asked for.
pub const SOUND_BITS: [u16; 2] = [16, 24];

/// How sound files are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SoundOptions {
    /// Frames per second, one of [`SOUND_RATES`].
    pub rate: u32,
    /// Bits of a sample, one of [`SOUND_BITS`].
    pub bits: u16,
    /// Whether every lane gets a file of its own as well.
    pub stems: bool,
}

impl Default for SoundOptions {
    fn default() -> Self {
        Self {
            rate: 48_000,
            bits: 16,
            stems: false,
        }
    }
}

impl SoundOptions {
    fn of_file(self) -> wav::WavOptions {
        wav::WavOptions {
            sample_rate: if self.rate == 44_100 { 44_100 } else { 48_000 },
            depth: if self.bits == 24 {
                wav::Depth::Bits24
            } else {
                wav::Depth::Bits16
            },
            ..wav::WavOptions::default()
        }
    }
}

/// Whether the name of a file asks for sound.
#[must_use]
pub fn is_sound(path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default();
    ending.eq_ignore_ascii_case(SOUND_ENDING)
}

/// Writes the whole and, if asked, its stems; tells which files it made. `go_on` is asked now and
/// then with the part that is done, 0 to 1; `false` stops, and `None` is returned. Files that are
/// whole by then stay.
///
/// # Errors
/// In words: if the tune is too long for the format, or a file cannot be written.
pub fn write_sound(
    document: &Document,
    arrangement: &Arrangement,
    path: &Path,
    options: SoundOptions,
    go_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Option<Vec<PathBuf>>, String> {
    let of_file = options.of_file();
    let has_notes = |lane: &Lane| arrangement.notes.iter().any(|note| note.lane == *lane);
    let mut parts = vec![None];
    if options.stems {
        parts.extend(Mixer::LANES.into_iter().filter(has_notes).map(Some));
    }
    let steps = (parts.len() + 1) as f32;
    let mut written = Vec::new();
    let work = |go_on: &mut dyn FnMut(f32) -> bool| {
        let mut part_done = |step: usize, part: f32| go_on((step as f32 + part) / steps);
        let recording = wav::Recording::prepare(document, arrangement, &of_file, &mut |part| {
            part_done(0, part)
        });
        let recording = recording.map_err(Stop::Sound)?;
        for (step, lane) in (1..).zip(parts) {
            let row = lane.map(row_of);
            let file = recording.write(&of_file, row, &mut |part| part_done(step, part));
            let path = path_of(path, lane);
            let bytes = file.map_err(Stop::Sound)?;
            files::write_bytes_atomically(&path, &bytes)
                .map_err(|error| Stop::File(error.to_string()))?;
            written.push(path);
        }
        Ok(())
    };
    match work(go_on) {
        Ok(()) => Ok(Some(written)),
        Err(Stop::Sound(WavError::Cancelled)) => Ok(None),
        Err(Stop::Sound(error)) => Err(error.to_string()),
        Err(Stop::File(error)) => Err(error),
    }
}

/// Why the writing ended early.
enum Stop {
    Sound(WavError),
    File(String),
}

/// `tune.wav` for the whole, `tune-thumb.wav` for the thumb's lane.
fn path_of(path: &Path, lane: Option<Lane>) -> PathBuf {
    let Some(lane) = lane else {
        return path.into();
    };
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{}.{ending}", lane.word()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_asks_for_sound_and_a_stem_is_named_by_its_lane() {
        for (name, expected) in [
            ("a.wav", true),
            ("A.WAV", true),
            ("wav", false),
            ("a.txt", false),
        ] {
            assert_eq!(is_sound(Path::new(name)), expected, "{name}");
        }
        let path = Path::new("out/my tune.wav");
        assert_eq!(path_of(path, None), path);
        assert_eq!(
            path_of(path, Some(Lane::Thumb)),
            Path::new("out/my tune-thumb.wav")
        );
    }
}
