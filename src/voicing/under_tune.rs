//! Voicings of a chord with a note of the tune on top. The tune note lies on the highest string that
//! sounds, above all others, and need not belong to the chord. Where the hand cannot have the whole
//! chord under it, the chord is thinned by a stated order: first tensions, then guide tones, as few
//! as possible, at last all but bass and tune. The tune note itself is never left out.

use super::search::fingered_voicings;
use super::thinned::thinned_voicings;
use super::voiced::Voicing;
use super::wish::Wish;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::theory::Chord;
use crate::theory::Degree;
use crate::theory::Midi;
use crate::theory::Spelling;
use std::collections::BTreeMap;

/// All voicings of a chord with exactly `top` as their highest note, with up to `most` fingerings
/// each, by rising effort: of the whole chord, else of as much of it as there is room for. `spelling`
/// names the tune note where it is no chord tone. Empty if `top` lies so that no bass note of the
/// chord fits below it.
#[must_use]
pub fn voicings_under(
    (top, spelling): (Midi, Spelling),
    chord: &Chord,
    instrument: &Instrument,
    hand: &Hand,
    wish: &Wish,
    most: usize,
) -> Vec<Voicing> {
    let wish = Wish {
        top: Some(top),
        notes: (2, wish.notes.1),
        ..wish.clone()
    };
    let list = |chord: &Chord| fingered_voicings(chord, instrument, hand, &wish, most);
    let mut found = thinned_voicings(chord, instrument, hand, &wish, most);
    found.retain(is_on_top);
    let mut chords = vec![chord.clone()];
    while found.is_empty() && !chords.is_empty() {
        chords = chords.iter().flat_map(one_less).collect();
        // The same chord comes from several orders, the same voicing from several chords.
        chords.sort_by_key(essentials);
        chords.dedup_by_key(|chord| essentials(chord));
        let mut by_effort = BTreeMap::new();
        for voicing in chords.iter().flat_map(list).filter(is_on_top) {
            by_effort.insert((voicing.effort.total(), voicing.grip), voicing);
        }
        found = by_effort.into_values().collect();
    }
    for voicing in &mut found {
        let tones = chord.tones().iter().map(|tone| tone.degree);
        let own: Vec<Degree> = tones.collect();
        for note in &mut voicing.notes {
            if note.pitch == top && !own.contains(&note.degree) {
                note.spelling = spelling;
            }
        }
    }
    found
}

/// Whether the highest note lies on the highest string that sounds, and no other string has it too.
fn is_on_top(voicing: &Voicing) -> bool {
    let Some((last, below)) = voicing.notes.split_last() else {
        return false;
    };
    below.iter().all(|note| note.pitch < last.pitch)
}

/// The chord with one more tone that may go, in every way.
fn one_less(chord: &Chord) -> Vec<Chord> {
    let less = |degree: Degree| chord.with_optional(degree);
    essentials(chord).into_iter().map(less).collect()
}

fn essentials(chord: &Chord) -> Vec<Degree> {
    let tones = chord.tones().iter().filter(|tone| tone.essential);
    tones.map(|tone| tone.degree).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ChordSymbol;
    use crate::theory::Key;

    fn under(symbol: &str, top: u8) -> Vec<Voicing> {
        let symbol = ChordSymbol::parse(symbol).expect("a chord");
        let top = Midi::new(top).expect("in range");
        let spelling = Key::C_MAJOR.spell(top.pitch_class(), true);
        let (instrument, hand) = (Instrument::default(), Hand::default());
        let wish = Wish::default();
        voicings_under(
            (top, spelling),
            symbol.chord(),
            &instrument,
            &hand,
            &wish,
            1,
        )
    }

    fn shapes(found: &[Voicing]) -> Vec<String> {
        let shape = |voicing: &Voicing| voicing.grip.shape.to_string();
        found.iter().map(shape).collect()
    }

    /// Common practice: everyday shapes with their top notes.
    #[test]
    fn everyday_shapes_are_found_under_their_own_top_note() {
        for (symbol, top, shape) in [
            ("C7", 64, "x32310"),
            ("Cmaj7", 67, "x35453"),
            ("Dm7", 65, "xx0211"),
            ("G7", 65, "3x3001"),
            ("Am7", 69, "5x5555"),
        ] {
            let found = shapes(&under(symbol, top));
            // The whole shape where three fingers can pluck it, else one of its parts.
            let strings: Vec<char> = shape.chars().collect();
            let part = |found: &String| {
                let pairs = found.chars().zip(&strings);
                pairs.clone().all(|(a, b)| a == *b || a == 'x') && found.ends_with(strings[5])
            };
            assert!(found.iter().any(part), "{symbol} {top}: {found:?}");
        }
    }

    #[test]
    fn the_tune_note_is_on_top_and_alone_there() {
        for top in 55..=79 {
            for voicing in under("G7", top) {
                let (last, below) = voicing.notes.split_last().expect("notes");
                assert_eq!(last.pitch.number(), top);
                assert!(below.iter().all(|note| note.pitch.number() < top));
            }
        }
    }

    #[test]
    fn a_foreign_tune_note_leaves_the_guide_tones_where_there_is_room() {
        // D flat is no tone of Cmaj7.
        let found = under("Cmaj7", 73);
        assert!(!found.is_empty());
        for voicing in &found {
            let has = |number| voicing.notes.iter().any(|n| n.degree.number() == number);
            assert!(has(3) && has(7), "{}", voicing.grip.shape);
            let foreign = |n: &&crate::voicing::VoicedNote| n.pitch.pitch_class().number() == 1;
            assert_eq!(voicing.notes.iter().filter(foreign).count(), 1);
        }
    }

    #[test]
    fn what_does_not_fit_under_a_low_tune_note_goes_and_bass_and_tune_stay() {
        // B2 over G: between bass and tune there is room for little.
        let found = under("G7", 47);
        assert!(!found.is_empty());
        for voicing in &found {
            assert_eq!(voicing.bass().map(|n| n.pitch.number() % 12), Some(7));
            assert_eq!(voicing.top().map(|n| n.pitch.number()), Some(47));
        }
        assert!(
            under("G7", 40).is_empty(),
            "nothing lies below the lowest string"
        );
    }
}
