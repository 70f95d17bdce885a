//! Which fingers of the right hand pluck what the fingers and the tune strike. What is struck at
//! once is taken in the order of the strings, from i upwards; a note of the tune alone by middle and
//! index in turn, as scales are played (common practice). The thumb's notes are p throughout.

use super::result::Lane;
use super::result::PlayedNote;
use super::result::PluckFinger;

/// Fingers beside the thumb, in the order of the strings.
const FINGERS: [PluckFinger; 4] = [
    PluckFinger::I,
    PluckFinger::M,
    PluckFinger::A,
    PluckFinger::C,
];

/// Gives every note that the thumb does not pluck its finger.
pub fn letters(notes: &mut [PlayedNote]) {
    let mut upper: Vec<&mut PlayedNote> = notes
        .iter_mut()
        .filter(|note| note.lane != Lane::Thumb)
        .collect();
    upper.sort_by_key(|note| (note.place, note.string));
    let mut alone = PluckFinger::M;
    for struck in upper.chunk_by_mut(|a, b| a.place == b.place) {
        if let [note] = struck
            && note.lane == Lane::Tune
        {
            note.pluck = alone;
            alone = match alone {
                PluckFinger::M => PluckFinger::I,
                _ => PluckFinger::M,
            };
            continue;
        }
        for (note, finger) in struck.iter_mut().zip(FINGERS) {
            note.pluck = finger;
        }
        // After a chord its highest finger rests.
        alone = PluckFinger::M;
    }
}
