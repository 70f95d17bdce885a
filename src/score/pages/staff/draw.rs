//! Draws the staff of a system once its columns have their places: lines, clef and signatures, then
//! bar by bar what stands at each moment, stems with flags or beams, triplets, and ties. The origin
//! is the left end of the top line.

use super::MIDDLE;
use super::StaffBar;
use super::TOP_LINE;
use super::beams;
use super::beams::Beam;
use super::beams::Post;
use super::cluster::Chord;
use super::cluster::Cluster;
use super::cluster::Head;
use super::lead;
use super::slides::SMALL;
use super::slides::Slid;
use super::stems;
use super::ties;
use crate::score::pages::mark::Anchor;
use crate::score::pages::mark::Meaning;
use crate::score::pages::mark::Spot;
use crate::score::pages::mark::Step;
use crate::score::pages::measure::BarPlaces;
use crate::score::pages::music::BarMusic;
use crate::score::pages::pen::Pen;
use crate::score::pages::pen::Style;
use crate::score::pages::sizes;
use crate::score::pages::sizes::SPACE;
use crate::score::pages::smufl;
use crate::score::pages::system::Scene;
use crate::score::rhythm::Value;
use crate::score::rhythm::pieces::Piece;
use crate::theory::Ticks;
use std::ops::Range;

/// Height of the staff in millimetres.
pub const HEIGHT: f64 = 4.0 * SPACE;

/// Millimetres below the top line of a height in spaces above the bottom line.
fn down(spaces: f64) -> f64 {
    (4.0 - spaces) * SPACE
}

/// The same of a height in steps.
fn at_step(step: i32) -> f64 {
    down(f64::from(step) / 2.0)
}

/// Draws lines, clef and key signature.
pub fn lines(pen: &mut Pen, scene: &Scene<'_>, right: f64) {
    let thick = smufl::STAFF_LINE * SPACE;
    for line in (0..=TOP_LINE).step_by(2) {
        let y = at_step(line);
        pen.line(Meaning::Notation, (0.0, y), (right, y), thick);
    }
    let (signs, _) = lead::signs(scene.document.key);
    for (code, x, step) in signs {
        pen.glyph(Meaning::Clef, code, SPACE, (x * SPACE, at_step(step)));
    }
}

/// Draws the bars of a system.
pub fn bars(pen: &mut Pen, scene: &Scene<'_>, bars: &[BarMusic], places: &[BarPlaces]) {
    let staves: Vec<(&BarMusic, &StaffBar, &BarPlaces)> = bars
        .iter()
        .zip(places)
        .filter_map(|(music, place)| Some((music, music.staff.as_ref()?, place)))
        .collect();
    for (music, staff, place) in &staves {
        let drawing = Drawing {
            music,
            staff,
            place,
            figures: scene.style(sizes::STAFF_TRIPLET),
        };
        for cluster in &staff.clusters {
            drawing.cluster(pen, cluster);
        }
        for voice in 0..staff.voices.len() {
            drawing.voice(pen, voice);
        }
    }
    for (i, (_, staff, place)) in staves.iter().enumerate() {
        let next = staves.get(i + 1).map(|(_, staff, place)| (*staff, *place));
        tie_bar(pen, staff, place, i == 0, next);
    }
}

struct Drawing<'a> {
    music: &'a BarMusic,
    staff: &'a StaffBar,
    place: &'a BarPlaces,
    /// How figures of triplets are set.
    figures: Style,
}

impl Drawing<'_> {
    fn x(&self, cluster: &Cluster, spaces: f64) -> f64 {
        self.place.x_of(cluster.at) + spaces * SPACE
    }

    fn cluster(&self, pen: &mut Pen, cluster: &Cluster) {
        let rhythm = Meaning::StaffRhythm(self.music.bar);
        let glyph = |pen: &mut Pen, meaning, code, size: f64, x: f64, step: i32| {
            let at = (self.x(cluster, x), at_step(step));
            pen.glyph(meaning, code, SPACE * size, at);
        };
        for (left, right, step) in &cluster.legers {
            let y = at_step(*step);
            let ends = [*left, *right].map(|x| (self.x(cluster, x), y));
            let thick = smufl::LEGER_LINE * SPACE;
            pen.line(Meaning::Leger(self.music.bar), ends[0], ends[1], thick);
        }
        for sign in &cluster.signs {
            let meaning = Meaning::Sign(sign.note);
            glyph(pen, meaning, sign.code, 1.0, sign.x, sign.step);
        }
        for head in &cluster.heads {
            let meaning = if head.from_before {
                Meaning::HeadHeld(head.note)
            } else {
                Meaning::Head(head.note)
            };
            glyph(pen, meaning, head.shape.code(), 1.0, head.x, head.step);
        }
        for (x, step) in &cluster.dots {
            let center = (self.x(cluster, x + Cluster::DOT / 2.0), at_step(*step));
            pen.disc(rhythm, center, Cluster::DOT / 2.0 * SPACE);
        }
        for slid in &cluster.slides {
            let meaning = Meaning::SlideFrom(slid.note);
            if let Some((x, code)) = slid.sign {
                glyph(pen, meaning, code, SMALL, x, slid.step);
            }
            glyph(pen, meaning, smufl::HEAD_BLACK, SMALL, slid.x, slid.step);
            let ends = [slid.from, slid.to].map(|(x, y)| (self.x(cluster, x), down(y)));
            pen.line(meaning, ends[0], ends[1], 0.16 * SPACE);
        }
        for up in [true, false] {
            self.small_stem(pen, cluster, up);
        }
        for rest in &cluster.rests {
            let middle = if rest.fills_bar {
                f64::midpoint(self.place.left, self.place.right)
            } else {
                self.x(cluster, 0.0)
            };
            let at = (middle - rest.half_width * SPACE, at_step(rest.step));
            let meaning = Meaning::StaffRest(self.music.bar);
            pen.glyph(meaning, rest.code, SPACE, at);
            if rest.dotted {
                let x = middle + (rest.half_width + 0.45) * SPACE;
                pen.disc(meaning, (x, at_step(rest.step) - 0.5 * SPACE), 0.2 * SPACE);
            }
        }
    }

    /// The stem of the small notes of a voice, with a flag.
    fn small_stem(&self, pen: &mut Pen, cluster: &Cluster, up: bool) {
        let own: Vec<&Slid> = cluster.slides.iter().filter(|s| s.up == up).collect();
        let (Some(low), Some(high)) = (
            own.iter().map(|s| s.step).min(),
            own.iter().map(|s| s.step).max(),
        ) else {
            return;
        };
        let Some(first) = own.iter().find(|s| s.step == if up { low } else { high }) else {
            return;
        };
        let thick = smufl::STEM * SPACE * 0.8;
        let width = smufl::HEAD_WIDTH * SMALL * SPACE;
        let left = self.x(cluster, first.x);
        let x = if up {
            left + width - thick / 2.0
        } else {
            left + thick / 2.0
        };
        let sign = if up { -1.0 } else { 1.0 };
        let from = at_step(first.step) + sign * smufl::STEM_JOINS * SMALL * SPACE;
        let end = at_step(if up { high } else { low }) + sign * 2.4 * SPACE;
        let meaning = Meaning::StaffRhythm(self.music.bar);
        pen.line(meaning, (x, from), (x, end), thick);
        let flag = if up {
            smufl::FLAG_8_UP
        } else {
            smufl::FLAG_8_DOWN
        };
        pen.glyph(meaning, flag, SPACE * SMALL, (x - thick / 2.0, end));
    }

    /// Chords of a voice with where their columns stand, by piece.
    fn chords(&self, voice: usize) -> Vec<(usize, f64, &Chord)> {
        let clusters = self.staff.clusters.iter();
        let chords = clusters.flat_map(|cluster| {
            let own = cluster.chords.iter().filter(|c| c.voice == voice);
            own.map(|chord| (chord.piece, self.x(cluster, 0.0), chord))
        });
        chords.collect()
    }

    fn voice(&self, pen: &mut Pen, voice_idx: usize) {
        let Some(voice) = self.staff.voices.get(voice_idx) else {
            return;
        };
        let chords = self.chords(voice_idx);
        let mut ends: Vec<(usize, f64, f64)> = Vec::new();
        for (piece, column, chord) in chords.iter().filter(|c| !voice.is_beamed(c.0)) {
            let end = self.alone(pen, *column, chord);
            ends.push((*piece, column + chord.stem_x * SPACE, end));
        }
        for group in &voice.beams {
            let own = chords.iter().filter(|(piece, ..)| group.contains(piece));
            let own: Vec<(usize, f64, &Chord)> = own.copied().collect();
            ends.extend(self.beamed(pen, &own, voice.is_up(group.start)));
        }
        ends.sort_by_key(|(piece, ..)| *piece);
        for (piece, x, end) in &ends {
            let short = chords.iter().find(|c| c.0 == *piece && c.2.short);
            if let Some((_, column, chord)) = short {
                let sign = if chord.up { 1.0 } else { -1.0 };
                let x = if chord.has_stem() { *x } else { *column };
                let center = (x, down(end + sign * 0.6));
                let meaning = Meaning::StaffRhythm(self.music.bar);
                pen.disc(meaning, center, 0.168 * SPACE);
            }
        }
        for group in &voice.triplets {
            let beamed = voice.beams.contains(group);
            self.triplet(pen, voice_idx, group, &ends, beamed);
        }
    }

    /// Draws a stem without a beam; tells where it ends, in spaces above the bottom line.
    fn alone(&self, pen: &mut Pen, column: f64, chord: &Chord) -> f64 {
        let meaning = Meaning::StaffRhythm(self.music.bar);
        let sign = if chord.up { 1.0 } else { -1.0 };
        if !chord.has_stem() {
            return f64::from(chord.near()) / 2.0 + sign * 0.5;
        }
        let x = column + chord.stem_x * SPACE;
        let mut end = stems::end(chord.near(), chord.up, chord.value) / 2.0;
        if chord.is_followed && chord.value.is_beamable() {
            end += sign * 0.5;
        }
        self.stem(pen, chord, x, end);
        let flag = match (chord.value, chord.up) {
            (Value::Eighth, true) => smufl::FLAG_8_UP,
            (Value::Eighth, false) => smufl::FLAG_8_DOWN,
            (Value::Sixteenth, true) => smufl::FLAG_16_UP,
            (Value::Sixteenth, false) => smufl::FLAG_16_DOWN,
            _ => return end,
        };
        let at = (x - smufl::STEM * SPACE / 2.0, down(end));
        pen.glyph(meaning, flag, SPACE, at);
        end
    }

    fn stem(&self, pen: &mut Pen, chord: &Chord, x: f64, end: f64) {
        let sign = if chord.up { 1.0 } else { -1.0 };
        let far = if chord.up { chord.low } else { chord.high };
        let from = down(f64::from(far) / 2.0 + sign * chord.joins);
        let meaning = Meaning::Stem(self.music.bar);
        pen.line(meaning, (x, from), (x, down(end)), smufl::STEM * SPACE);
    }

    /// Draws stems under a beam; tells where each ends.
    fn beamed(
        &self,
        pen: &mut Pen,
        chords: &[(usize, f64, &Chord)],
        up: bool,
    ) -> Vec<(usize, f64, f64)> {
        let posts: Vec<Post> = chords
            .iter()
            .map(|(_, column, chord)| Post {
                x: column / SPACE + chord.stem_x,
                step: chord.near(),
                value: chord.value,
            })
            .collect();
        let beam = beams::over(&posts, up);
        let half_stem = smufl::STEM / 2.0;
        if let (Some(first), Some(last)) = (posts.first(), posts.last()) {
            self.beam_bar(pen, &beam, first.x - half_stem..last.x + half_stem, up, 0.0);
        }
        self.second_beams(pen, &beam, &posts, up);
        let mut ends = Vec::with_capacity(chords.len());
        for ((piece, _, chord), post) in chords.iter().zip(&posts) {
            let end = beam.at(post.x);
            let inside = if up { end - 0.1 } else { end + 0.1 };
            self.stem(pen, chord, post.x * SPACE, inside);
            ends.push((*piece, post.x * SPACE, end));
        }
        ends
    }

    /// Beams of sixteenths; one alone gets a stub towards the stem it belongs to.
    fn second_beams(&self, pen: &mut Pen, beam: &Beam, posts: &[Post], up: bool) {
        const STUB: f64 = 1.1;
        let half_stem = smufl::STEM / 2.0;
        let depth = smufl::BEAM + smufl::BEAM_GAP;
        let is_16 = |post: Option<&Post>| post.is_some_and(|p| p.value == Value::Sixteenth);
        for (i, post) in posts.iter().enumerate() {
            if !is_16(Some(post)) {
                continue;
            }
            let before = i.checked_sub(1).and_then(|b| posts.get(b));
            let range = match posts.get(i + 1) {
                Some(next) if is_16(Some(next)) => post.x - half_stem..next.x + half_stem,
                _ if is_16(before) => continue,
                Some(_) if i == 0 => post.x - half_stem..post.x + STUB,
                _ => post.x - STUB..post.x + half_stem,
            };
            self.beam_bar(pen, beam, range, up, depth);
        }
    }

    fn beam_bar(&self, pen: &mut Pen, beam: &Beam, range: Range<f64>, up: bool, depth: f64) {
        let inwards = if up { -1.0 } else { 1.0 };
        let spot = |x: f64, depth: f64| {
            let y = beam.at(x) + inwards * depth;
            Spot::new(x * SPACE, down(y))
        };
        let (left, right) = (range.start, range.end);
        let meaning = Meaning::Beam(self.music.bar);
        pen.path(
            meaning,
            vec![
                Step::Move(spot(left, depth)),
                Step::Line(spot(right, depth)),
                Step::Line(spot(right, depth + smufl::BEAM)),
                Step::Line(spot(left, depth + smufl::BEAM)),
                Step::Close,
            ],
        );
    }

    /// The figure of a triplet, with a bracket where no beam joins its notes.
    fn triplet(
        &self,
        pen: &mut Pen,
        voice_idx: usize,
        group: &Range<usize>,
        ends: &[(usize, f64, f64)],
        beamed: bool,
    ) {
        let Some(voice) = self.staff.voices.get(voice_idx) else {
            return;
        };
        let meaning = Meaning::Triplet(self.music.bar);
        let up = voice.is_up(group.start);
        let sign = if up { 1.0 } else { -1.0 };
        let own = || ends.iter().filter(|(piece, ..)| group.contains(piece));
        let columns = || {
            let pieces = voice.pieces.get(group.clone()).unwrap_or_default();
            pieces.iter().map(|piece| self.place.x_of(piece.at))
        };
        let left = columns().fold(f64::INFINITY, f64::min) - 0.6 * SPACE;
        let right = columns().fold(f64::NEG_INFINITY, f64::max) + 0.6 * SPACE;
        let short = self.chords(voice_idx);
        let short = short
            .iter()
            .any(|(p, _, chord)| group.contains(p) && chord.short);
        let edge = own().map(|(_, _, end)| sign * end);
        // Outside the staff, and beyond the dots of short notes.
        let least = if up { 4.0 } else { 0.0 };
        let edge = edge.fold(sign * least, f64::max) + if short { 1.2 } else { 0.4 };
        let middle = f64::midpoint(left, right);
        let cap = self.figures.cap();
        let base = down(sign * (edge + 0.3)) + if up { 0.0 } else { cap };
        pen.text(meaning, self.figures, Anchor::Middle, (middle, base), "3");
        if beamed {
            return;
        }
        let line = smufl::TUPLET_LINE * SPACE;
        let y = base - cap / 2.0;
        let gap = self.figures.width("3") / 2.0 + 0.5;
        for (from, to) in [(left, middle - gap), (middle + gap, right)] {
            if to > from {
                pen.line(meaning, (from, y), (to, y), line);
            }
        }
        for x in [left, right] {
            let hook = y + sign * 0.7;
            pen.line(meaning, (x, y - sign * line / 2.0), (x, hook), line);
        }
    }
}

/// Where a tie may begin, from the middle of its column: beyond the head, and beyond the dots of its own
/// piece (Gould, Behind Bars, from memory) and those of others that stand where it begins.
fn begins(staff: &StaffBar, piece: &Piece, head: &Head, up: bool) -> f64 {
    let above = |step: i32| {
        if up {
            step - head.step
        } else {
            head.step - step
        }
    };
    let in_way = |step: i32| piece.written.dotted || (0..=2).contains(&above(step));
    let clusters = staff.clusters.iter();
    let dots = clusters
        .filter(|cluster| cluster.at == piece.at)
        .flat_map(|cluster| &cluster.dots);
    dots.filter(|(_, step)| in_way(*step))
        .map(|(x, _)| x + Cluster::DOT)
        .fold(head.right(), f64::max)
}

/// Ties that begin in a bar, and those that come into a system.
fn tie_bar(
    pen: &mut Pen,
    staff: &StaffBar,
    place: &BarPlaces,
    opens_system: bool,
    next: Option<(&StaffBar, &BarPlaces)>,
) {
    // A note has one head at a moment, whichever voice it is in by then.
    let head_at = |staff: &StaffBar, at: Ticks, note: usize| {
        let mut clusters = staff.clusters.iter();
        let cluster = clusters.find(|cluster| cluster.at == at)?;
        let own = |h: &&Head| h.note == note;
        let head = cluster.heads.iter().find(own)?;
        Some((at, *head))
    };
    for voice in &staff.voices {
        for (piece_idx, piece) in voice.pieces.iter().enumerate() {
            let up = voice.is_up(piece_idx);
            for held in piece.notes() {
                let note = held.note;
                let Some((at, head)) = head_at(staff, piece.at, note) else {
                    continue;
                };
                let column = place.x_of(at);
                let y = at_step(head.step);
                let meaning = Meaning::Tie(note);
                let left = column + (head.x - ties::GAP) * SPACE;
                if held.from_before && piece_idx == 0 && opens_system {
                    ties::draw(pen, meaning, left - 1.6 * SPACE, left, y, up);
                }
                if !held.into_next {
                    continue;
                }
                let from = column + (begins(staff, piece, &head, up) + ties::GAP) * SPACE;
                let end = Ticks(piece.at.0.saturating_add(piece.length.0));
                let here = head_at(staff, end, note).map(|h| (place, h));
                let over = || {
                    let (staff, place) = next?;
                    Some((place, head_at(staff, Ticks(0), note)?))
                };
                let to = match here.or_else(over) {
                    Some((place, (at, head))) => place.x_of(at) + (head.x - ties::GAP) * SPACE,
                    None => place.right - 0.4 * SPACE,
                };
                ties::draw(pen, meaning, from, to.max(from + SPACE), y, up);
            }
        }
    }
}

/// The height of the middle line in millimetres below the top line.
#[must_use]
pub fn middle() -> f64 {
    at_step(MIDDLE)
}
