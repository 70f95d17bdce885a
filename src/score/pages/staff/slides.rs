//! What notes slide from: small heads on the pitch of the fret they come from, and a line from each
//! to its note, which stands clear of the accidentals between them (a grace note joined by a line:
//! common practice).

use super::Area;
use super::cluster::Cluster;
use super::cluster::Head;
use super::signs;
use super::signs::Sign;
use super::step_of;
use crate::arrange::PlayedNote;
use crate::score::accidentals::Signed;
use crate::score::pages::smufl;
use crate::score::staff_pitch::Pitch;
use crate::theory::Key;

/// Size of small notes (Gould, Behind Bars, from memory: about two thirds).
pub const SMALL: f64 = 0.65;

/// Length of the line.
const LINE: f64 = 1.5;

/// White at either end of the line.
const GAP: f64 = 0.18;

/// A note that slides.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Slid {
    /// Its place in the arrangement's list.
    pub note: usize,
    /// Whether its stem goes up.
    pub up: bool,
    /// Left end of the small head.
    pub x: f64,
    /// Height of the small head.
    pub step: i32,
    /// The line from here, in spaces.
    pub from: (f64, f64),
    /// To here.
    pub to: (f64, f64),
    /// Its accidental: left end and sign.
    pub sign: Option<(f64, char)>,
}

/// The small notes before a cluster.
#[must_use]
pub fn before(
    cluster: &Cluster,
    notes: &[PlayedNote],
    signed: &Signed,
    key: Key,
    obstacles: &mut Vec<Area>,
) -> Vec<Slid> {
    let slides: Vec<(&Head, &PlayedNote, Pitch)> = cluster
        .heads
        .iter()
        .filter(|head| !head.from_before)
        .filter_map(|head| {
            let note = notes.get(head.note)?;
            Some((head, note, Pitch::slid_from(note, key)?))
        })
        .collect();
    if slides.is_empty() {
        return Vec::new();
    }
    let width = smufl::HEAD_WIDTH * SMALL;
    let clear = obstacles.iter().map(|area| area.left).fold(0.0, f64::min);
    let right = clear - LINE - 2.0 * GAP;
    let mut all: Vec<Slid> = Vec::new();
    let mut taken: Vec<i32> = Vec::new();
    for (head, note, pitch) in &slides {
        let step = step_of(*pitch);
        let aside = taken.iter().any(|s| (s - step).abs() <= 1);
        if !aside {
            taken.push(step);
        }
        let x = right - width - if aside { width } else { 0.0 };
        // A line between equal heights still rises or falls.
        let same = if step == head.step { 0.2 } else { 0.0 };
        let rises = note.slide_from.is_some_and(|from| from < note.fret);
        let lean = if rises { same } else { -same };
        let from = (right + GAP, f64::from(step) / 2.0 - lean);
        let y = f64::from(head.step) / 2.0 + lean;
        let level = Area {
            left: from.0,
            right: head.x,
            bottom: y.min(from.1) - 0.1,
            top: y.max(from.1) + 0.1,
        };
        let in_way = obstacles.iter().filter(|area| area.is_near(&level, 0.0));
        let stop = in_way.map(|area| area.left).fold(head.x, f64::min);
        all.push(Slid {
            note: head.note,
            up: cluster
                .chords
                .iter()
                .any(|chord| chord.voice == head.voice && chord.up),
            x,
            step,
            from,
            to: (stop - GAP, y),
            sign: None,
        });
    }
    for slid in &all {
        obstacles.push(Area::of_glyph(smufl::HEAD_BLACK, slid.x, slid.step, SMALL));
    }
    let carries = |slid: &&Slid| signed.contains(&(slid.note, true));
    let mut small: Vec<Sign> = (all.iter().filter(carries))
        .filter_map(|slid| {
            let pitch = notes
                .get(slid.note)
                .and_then(|n| Pitch::slid_from(n, key))?;
            Some(Sign {
                note: slid.note,
                step: slid.step,
                code: smufl::sign(pitch.spelling.alter()),
                x: slid.x,
                size: SMALL,
            })
        })
        .collect();
    signs::place(&mut small, obstacles);
    for slid in &mut all {
        let sign = small.iter().find(|sign| sign.note == slid.note);
        slid.sign = sign.map(|sign| (sign.x, sign.code));
    }
    all
}
