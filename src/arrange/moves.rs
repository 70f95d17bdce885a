//! Where a thumb move can lie before anything is searched: its pitch classes on a chord, the
//! strings the right thumb plucks, and the fingers that can take a fret. Never looks at a grip.

use crate::instrument::Finger;
use crate::instrument::StringIdx;
use crate::theory::Chord;
use crate::theory::Key;
use crate::theory::Letter;
use crate::theory::MoveSet;
use crate::theory::PcSet;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::thumb;

/// Pitch classes that a move can have on a chord, before a bass note of one of these classes.
#[must_use]
pub fn move_classes(chord: &Chord, thumb_move: ThumbMove, key: Key, next_bass: PcSet) -> PcSet {
    let ups = thumb_move.leads_by();
    if ups.is_empty() {
        return thumb::tone_classes(chord, thumb_move);
    }
    let before = |up: &i8| {
        let up = i32::from(*up);
        next_bass.iter().map(move |pc| pc.up(-up))
    };
    let leading = ups.iter().flat_map(before).collect();
    if MoveSet::STEPS.has(thumb_move) {
        in_key(key, leading)
    } else {
        leading
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
