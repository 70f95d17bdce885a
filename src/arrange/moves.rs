//! Where a thumb move can lie before anything is searched: its pitch classes on a chord, the
//! strings the right thumb plucks, and the fingers that can take a fret. Never looks at a grip.

use crate::instrument::Finger;
use crate::instrument::StringIdx;
use crate::theory::Chord;
use crate::theory::Key;
use crate::theory::Letter;
use crate::theory::PcSet;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::thumb;

/// Pitch classes that a move can have on a chord, before a bass note of one of these classes.
#[must_use]
pub fn move_classes(chord: &Chord, thumb_move: ThumbMove, key: Key, next_bass: PcSet) -> PcSet {
    let next = |semitones: i32| next_bass.iter().map(|pc| pc.up(semitones)).collect();
    match thumb_move {
        // The first note of a double approach lies a semitone from the second.
        ThumbMove::ApproachBelow | ThumbMove::DoubleBelow => next(-1),
        ThumbMove::ApproachAbove | ThumbMove::DoubleAbove => next(1),
        ThumbMove::ApproachDominant => next(7),
        ThumbMove::StepUp => in_key(key, next(-1).union(next(-2))),
        ThumbMove::StepDown => in_key(key, next(1).union(next(2))),
        of_the_chord => thumb::tone_classes(chord, of_the_chord),
    }
}

fn in_key(key: Key, classes: PcSet) -> PcSet {
    let scale = |letter| Spelling::new(letter, key.alter_of(letter)).pitch_class();
    let key: PcSet = Letter::ALL.into_iter().map(scale).collect();
    classes.iter().filter(|pc| key.contains(*pc)).collect()
}

/// Strings the right thumb plucks: all but the three highest.
pub fn thumb_strings(n_strings: u8) -> impl Iterator<Item = StringIdx> {
    (0..n_strings.saturating_sub(3)).map(StringIdx)
}

/// Fingers that can take a fret when nothing else is held; none is needed for an open string.
pub fn fingers_for(fret: u8) -> impl Iterator<Item = Option<Finger>> {
    let open = (fret == 0).then_some(None);
    let fretted = Finger::FOUR.into_iter().filter(move |_| fret > 0).map(Some);
    open.into_iter().chain(fretted)
}
