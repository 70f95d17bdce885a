//! The tune: one melody, bar by bar, as it is written, and what is asked of its arrangement. A note
//! lies within its bar; what sounds on over a barline is tied there. Knows nothing of strings: where
//! a note is played is the arranger's business.

use super::types::Bar;
use super::types::Document;
use crate::theory::Key;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::theory::Ticks;
use crate::theory::Transposition;
use std::ops::RangeInclusive;

/// Octaves by which the tune can be moved for playing.
pub const TUNE_OCTAVES: RangeInclusive<i8> = -2..=2;

/// A written note of the tune.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct TuneNote {
    /// Where in its bar.
    pub at: Ticks,
    /// How long; it ends in its bar.
    pub length: Ticks,
    /// What sounds where the tune is not moved by octaves.
    pub pitch: Midi,
    /// How it is spelled.
    pub spelling: Spelling,
    /// Whether it goes on from the note before it instead of being struck.
    pub tied: bool,
}

impl TuneNote {
    /// Where it ends in its bar.
    #[must_use]
    pub const fn end(&self) -> Ticks {
        Ticks(self.at.0.saturating_add(self.length.0))
    }

    /// Moved by semitones and spelled for the new key; beyond the range of MIDI it stays at its
    /// edge.
    #[must_use]
    pub fn moved(self, semitones: i32, by: Transposition) -> Self {
        let pitch = Midi::clamped(i32::from(self.pitch.number()) + semitones);
        Self {
            pitch,
            spelling: by.note(self.spelling),
            ..self
        }
    }
}

/// Where the fingers strike under a tune.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum TuneDensity {
    /// Where the pluck pattern says, as without a tune.
    #[default]
    Pattern,
    /// With every note of the tune.
    EveryNote,
    /// With the notes of the tune that fall on a beat.
    OnBeats,
    /// Once for every chord: with the first note of the tune in it, or where it begins.
    Changes,
}

impl TuneDensity {
    /// Every setting, thinnest last.
    pub const ALL: [Self; 4] = [Self::Pattern, Self::EveryNote, Self::OnBeats, Self::Changes];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pattern => "As the pluck pattern says",
            Self::EveryNote => "With every tune note",
            Self::OnBeats => "With tune notes on beats",
            Self::Changes => "Only at chord changes",
        }
    }

    /// A stable ASCII word for files and the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pattern => "pattern",
            Self::EveryNote => "every-note",
            Self::OnBeats => "on-beats",
            Self::Changes => "changes",
        }
    }

    /// The setting with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|density| density.word() == word)
    }
}

/// What is asked of the tune as a whole.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct TuneSettings {
    /// Where the fingers strike in bars with a tune that have no strikes of their own.
    pub density: TuneDensity,
    /// Octaves by which it is played higher than written, within [`TUNE_OCTAVES`].
    pub octaves: i8,
}

/// A note of the tune as it is struck once: what is tied to it is part of its length.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct SungNote {
    /// Bar, from 0, in which it is struck.
    pub bar: usize,
    /// Where in that bar.
    pub at: Ticks,
    /// How long, over barlines too.
    pub length: Ticks,
    /// What is to sound, moved by octaves as the tune's settings ask.
    pub pitch: Midi,
    /// How it is spelled.
    pub spelling: Spelling,
}

/// Why notes do not make a bar of a tune.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TuneFault {
    /// A note without length, or one that does not end in its bar.
    Outside,
    /// Two notes at once.
    Overlap,
}

/// What is wrong with the notes of a bar, if anything is: they must come in order, one after the
/// other, within the bar.
#[must_use]
pub fn fault(notes: &[TuneNote], bar_length: Ticks) -> Option<TuneFault> {
    let outside = |note: &TuneNote| note.length.0 == 0 || note.end() > bar_length;
    if notes.iter().any(outside) {
        return Some(TuneFault::Outside);
    }
    let overlap = |pair: &[TuneNote]| matches!(pair, [a, b] if a.end() > b.at);
    notes.windows(2).any(overlap).then_some(TuneFault::Overlap)
}

/// The notes of a bar with one more, cut where the bar ends. It takes the place of what begins
/// while it sounds, and a note that sounds into it ends where it begins.
#[must_use]
pub fn with_note(notes: &[TuneNote], mut note: TuneNote, bar_length: Ticks) -> Vec<TuneNote> {
    note.length = Ticks(note.length.0.min(bar_length.0.saturating_sub(note.at.0)));
    let mut kept = without(notes, note.at, note.end());
    if note.length.0 > 0 {
        let place = kept.partition_point(|other| other.at < note.at);
        kept.insert(place, note);
    }
    kept
}

/// The notes of a bar without those that begin in a stretch of it; one that sounds into it ends
/// where it begins.
#[must_use]
pub fn without(notes: &[TuneNote], from: Ticks, until: Ticks) -> Vec<TuneNote> {
    let outside = |note: &&TuneNote| note.at < from || note.at >= until;
    let cut = |note: &TuneNote| {
        let longest = if note.at < from {
            from.0 - note.at.0
        } else {
            u32::MAX
        };
        TuneNote {
            length: Ticks(note.length.0.min(longest)),
            ..*note
        }
    };
    notes.iter().filter(outside).map(cut).collect()
}

/// The note of a bar that sounds at a place.
#[must_use]
pub fn note_at(bar: &Bar, at: Ticks) -> Option<&TuneNote> {
    bar.tune
        .iter()
        .find(|note| note.at <= at && at < note.end())
}

/// How a pitch is spelled in a key where nobody says so: as the key has it, else as a raised tone.
#[must_use]
pub fn usual_spelling(pitch: Midi, key: Key) -> Spelling {
    key.spell(pitch.pitch_class(), true)
}

impl Document {
    /// Whether any bar has a note of the tune.
    #[must_use]
    pub fn has_tune(&self) -> bool {
        self.bars().any(|bar| !bar.tune.is_empty())
    }

    /// The tune as it is struck, in written order: ties joined, octaves moved. A tie counts where the
    /// note before it has the same pitch and ends where it begins; elsewhere the note is struck. A
    /// note that octaves would move beyond the range of MIDI stays at its edge.
    #[must_use]
    pub fn sung(&self) -> Vec<SungNote> {
        let mut sung: Vec<SungNote> = Vec::new();
        let up = 12 * i32::from(self.tune.octaves);
        let mut starts = 0_u64;
        // Where the last note ends, in ticks from the start of the tune.
        let mut ended = None;
        for (bar, written) in self.bars().enumerate() {
            for note in &written.tune {
                let begins = starts + u64::from(note.at.0);
                let pitch = Midi::clamped(i32::from(note.pitch.number()) + up);
                let goes_on = note.tied && ended == Some(begins);
                match sung.last_mut() {
                    Some(last) if goes_on && last.pitch == pitch => {
                        last.length = Ticks(last.length.0.saturating_add(note.length.0));
                    }
                    _ => sung.push(SungNote {
                        bar,
                        at: note.at,
                        length: note.length,
                        pitch,
                        spelling: note.spelling,
                    }),
                }
                ended = Some(begins + u64::from(note.length.0));
            }
            starts += u64::from(written.length_in(self.meter).0);
        }
        sung
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Section;
    use crate::theory::Letter;
    use std::sync::Arc;

    fn note(at: u32, length: u32, pitch: u8) -> TuneNote {
        let pitch = Midi::new(pitch).expect("in range");
        TuneNote {
            at: Ticks(at),
            length: Ticks(length),
            pitch,
            spelling: usual_spelling(pitch, Key::C_MAJOR),
            tied: false,
        }
    }

    fn tied(note: TuneNote) -> TuneNote {
        TuneNote { tied: true, ..note }
    }

    fn document(bars: &[&[TuneNote]]) -> Document {
        let bar = |notes: &&[TuneNote]| Bar {
            tune: notes.to_vec(),
            ..Bar::default()
        };
        let section = Section {
            name: String::new(),
            bars: bars.iter().map(bar).collect(),
        };
        Document {
            sections: vec![Arc::new(section)],
            ..Document::default()
        }
    }

    #[test]
    fn notes_must_lie_side_by_side_within_their_bar() {
        let bar = Ticks(3840);
        assert_eq!(fault(&[], bar), None);
        assert_eq!(fault(&[note(0, 960, 60), note(960, 2880, 62)], bar), None);
        let late = [note(2880, 961, 60)];
        assert_eq!(fault(&late, bar), Some(TuneFault::Outside));
        let empty = [note(0, 0, 60)];
        assert_eq!(fault(&empty, bar), Some(TuneFault::Outside));
        let both = [note(0, 961, 60), note(960, 960, 62)];
        assert_eq!(fault(&both, bar), Some(TuneFault::Overlap));
        let turned = [note(960, 960, 60), note(0, 960, 62)];
        assert_eq!(fault(&turned, bar), Some(TuneFault::Overlap));
    }

    #[test]
    fn a_new_note_takes_the_place_of_what_begins_under_it() {
        let bar = Ticks(3840);
        let before = [note(0, 1920, 60), note(1920, 960, 62), note(2880, 960, 64)];
        let after = with_note(&before, note(960, 1440, 65), bar);
        let expected = [note(0, 960, 60), note(960, 1440, 65), note(2880, 960, 64)];
        assert_eq!(after, expected);
        assert_eq!(fault(&after, bar), None);
        let long = with_note(&[], note(2880, 3840, 65), bar);
        assert_eq!(long, [note(2880, 960, 65)], "cut at the barline");
        assert!(with_note(&[], note(3840, 960, 65), bar).is_empty());
        let rest = without(&before, Ticks(960), Ticks(2880));
        assert_eq!(rest, [note(0, 960, 60), note(2880, 960, 64)]);
    }

    #[test]
    fn ties_join_notes_of_one_pitch_and_nothing_else() {
        let first = [note(0, 1920, 60), note(1920, 1920, 67)];
        let second = [tied(note(0, 960, 67)), tied(note(960, 960, 65))];
        let third = [tied(note(0, 3840, 65))];
        let mut document = document(&[&first, &second, &third]);
        let short = |n: &SungNote| (n.bar, n.at.0, n.length.0, n.pitch.number());
        let sung: Vec<_> = document.sung().iter().map(short).collect();
        let expected = [
            (0, 0, 1920, 60),
            (0, 1920, 2880, 67),
            // Another pitch is struck; and so is one after a silence.
            (1, 960, 960, 65),
            (2, 0, 3840, 65),
        ];
        assert_eq!(sung, expected);
        document.tune.octaves = 1;
        assert!(document.sung().iter().all(|n| n.pitch.number() >= 72));
    }

    #[test]
    fn the_note_that_sounds_at_a_place_is_found() {
        let bar = Bar {
            tune: vec![note(480, 960, 60), note(1440, 480, 62)],
            ..Bar::default()
        };
        let pitch = |at| note_at(&bar, Ticks(at)).map(|n| n.pitch.number());
        assert_eq!(
            [0, 480, 1439, 1440, 1920].map(pitch),
            [None, Some(60), Some(60), Some(62), None]
        );
    }

    #[test]
    fn moving_keeps_the_interval_and_the_spelling_of_the_new_key() {
        let by = Transposition::by(Key::C_MAJOR, 3);
        let moved = note(0, 960, 64).moved(3, by);
        assert_eq!(moved.pitch.number(), 67);
        assert_eq!(moved.spelling, Spelling::new(Letter::G, 0));
        let edge = note(0, 960, 126).moved(11, Transposition::by(Key::C_MAJOR, 11));
        assert_eq!(edge.pitch.number(), 127);
    }
}
