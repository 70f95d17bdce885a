//! What the fretboard shows at one moment: the grip in force, the thumb note and the tune's note
//! there, where the thumb goes next, and the degrees of the whole chord. Plain data from the
//! session.

use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::document::Document;
use crate::gui::grid::tune_model;
use crate::gui::words;
use crate::instrument::Finger;
use crate::instrument::StringIdx;
use crate::session::Session;
use crate::theory::Chord;
use crate::theory::ThumbMove;
use crate::voicing::Voicing;

/// Whose note it is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Role {
    /// The thumb's, now.
    Thumb,
    /// The grip's own bass while the thumb is elsewhere.
    Bass,
    /// The fingers'.
    Finger,
    /// The tune's.
    Tune,
}

/// A held or open string.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mark {
    /// String.
    pub string: StringIdx,
    /// Fret from the capo.
    pub fret: u8,
    /// Whose.
    pub role: Role,
    /// The left-hand finger, empty on an open string.
    pub finger: String,
    /// The note.
    pub note: String,
    /// Whether it sounds now.
    pub sounding: bool,
}

/// One moment.
#[derive(Clone, Debug, Default)]
pub struct BoardView {
    /// What is held.
    pub marks: Vec<Mark>,
    /// Fingers that lie over several strings: fret, first and last string.
    pub barres: Vec<(u8, StringIdx, StringIdx)>,
    /// Where the thumb goes next.
    pub next: Option<(StringIdx, u8, String)>,
    /// Every place of a chord tone up to a fret, with its degree.
    pub degrees: Vec<(StringIdx, u8, String)>,
    /// In words: `Cm7, 8x888x, fingers 1x234x`.
    pub caption: String,
}

/// The moment shown: the play-head while it plays, else the selection.
#[must_use]
pub fn moment(session: &Session) -> Place {
    let play = session.play();
    match play.playhead {
        Some((place, _)) if play.playing => place,
        _ => session.selection().place,
    }
}

/// What the fretboard shows.
#[must_use]
pub fn board_view(session: &Session, with_degrees: bool, last_fret: u8) -> BoardView {
    let place = moment(session);
    let chord = chord_at(session, place);
    let mut view = BoardView {
        caption: words::place(session, place.bar, place.at),
        ..BoardView::default()
    };
    if let Some((name, chord)) = &chord {
        view.caption.push_str(&format!(" · {name}"));
        if with_degrees {
            view.degrees = degrees(session, chord, last_fret);
        }
    }
    let Some(arrangement) = session.arrangement() else {
        return view;
    };
    let voicing = arrangement.grip_at(place).and_then(|g| g.voicing.as_ref());
    let thumb = arrangement
        .notes
        .iter()
        .enumerate()
        .take_while(|(_, n)| n.place <= place)
        .filter(|(_, n)| n.place.bar == place.bar && sounds_pitch(n))
        .last();
    let sounding = |idx: usize| session.play().sounding.contains(&idx);
    if let Some(voicing) = voicing {
        let shape = voicing.grip.shape;
        let fingers = voicing.grip.finger_text();
        view.caption
            .push_str(&format!(" · {shape} · fingers {fingers}"));
        let tune = tune_note(session, place);
        let moved = |finger: Option<Finger>, fret: u8| {
            let mut played = thumb.into_iter().chain(tune);
            finger.is_some() && played.any(|(_, n)| n.finger == finger && n.fret != fret)
        };
        let places = Finger::FOUR.into_iter();
        let places = places.filter_map(|f| Some((f, voicing.grip.place_of(f)?)));
        view.barres = places
            .filter(|(finger, (fret, first, last))| first != last && !moved(Some(*finger), *fret))
            .map(|(_, place)| place)
            .collect();
        view.marks = grip_marks(voicing, thumb.map(|(_, n)| n));
        // A finger that has gone to the thumb's or the tune's note holds nothing of the grip.
        view.marks.retain(|mark| {
            let finger = voicing.grip.finger(mark.string);
            mark.role != Role::Finger || !moved(finger, mark.fret)
        });
        let struck = |mark: &Mark| {
            arrangement
                .notes_in_bar(place.bar)
                .any(|n| n.lane == Lane::Fingers && n.string == mark.string)
                && session.play().sounding.iter().any(|i| {
                    let note = arrangement.notes.get(*i);
                    note.is_some_and(|n| n.string == mark.string && n.fret == mark.fret)
                })
        };
        for mark in &mut view.marks {
            mark.sounding = struck(mark);
        }
    }
    if let Some((idx, note)) = thumb {
        view.marks
            .retain(|m| m.role == Role::Finger && m.string != note.string || m.role == Role::Bass);
        view.marks.push(Mark {
            string: note.string,
            fret: note.fret,
            role: Role::Thumb,
            finger: note
                .finger
                .map_or_else(String::new, |f| f.digit().to_string()),
            note: note.spelling.pretty(),
            sounding: sounding(idx),
        });
    }
    if let Some((idx, note)) = tune_note(session, place) {
        view.marks
            .retain(|m| m.string != note.string || m.role == Role::Thumb);
        view.marks.push(Mark {
            string: note.string,
            fret: note.fret,
            role: Role::Tune,
            finger: note
                .finger
                .map_or_else(String::new, |f| f.digit().to_string()),
            note: note.spelling.pretty(),
            sounding: sounding(idx),
        });
        let n_strings = session.document().instrument.n_strings();
        let where_at = words::string_and_fret(note, n_strings);
        let name = note.spelling.pretty();
        view.caption
            .push_str(&format!(" · tune {name}, {where_at}"));
    }
    let next = next_thumb(session.document(), arrangement, place);
    view.next = next.map(|n| (n.string, n.fret, n.spelling.pretty()));
    view
}

/// The thumb note heard after a place: the next one of its bar, else the first from the bar on that it
/// leads to.
fn next_thumb<'a>(
    document: &Document,
    arrangement: &'a Arrangement,
    place: Place,
) -> Option<&'a PlayedNote> {
    let mut here = arrangement.notes_in_bar(place.bar);
    let in_bar = here.find(|n| n.place > place && sounds_pitch(n));
    let onward = document.form().leads_to(place.bar).unwrap_or(place.bar + 1);
    let from = arrangement.notes.partition_point(|n| n.place.bar < onward);
    let beyond = || {
        arrangement
            .notes
            .iter()
            .skip(from)
            .find(|n| sounds_pitch(n))
    };
    in_bar.or_else(beyond)
}

/// The note of the tune that is played at a place, or held there.
fn tune_note(session: &Session, place: Place) -> Option<(usize, &PlayedNote)> {
    let notes = session.arrangement()?.notes.iter().enumerate();
    let begun = notes.take_while(|(_, note)| note.place <= place);
    let last = begun.filter(|(_, note)| note.lane == Lane::Tune).last()?;
    tune_model::reaches(session.document(), last.1, place).then_some(last)
}

fn sounds_pitch(note: &PlayedNote) -> bool {
    let silent = matches!(note.thumb_move, Some(ThumbMove::Ghost | ThumbMove::Rest));
    note.lane == Lane::Thumb && !silent
}

fn grip_marks(voicing: &Voicing, thumb: Option<&PlayedNote>) -> Vec<Mark> {
    let mark = |note: &crate::voicing::VoicedNote| {
        let fret = voicing.grip.shape.fret(note.string)?;
        let is_bass = note.string == voicing.thumb_string;
        let thumb_here = thumb.is_some_and(|t| t.string == note.string && t.fret == fret);
        let role = match (is_bass, thumb_here) {
            (true, true) => Role::Thumb,
            (true, false) => Role::Bass,
            (false, _) => Role::Finger,
        };
        let finger = voicing.grip.finger(note.string);
        Some(Mark {
            string: note.string,
            fret,
            role,
            finger: finger.map_or_else(String::new, |f| f.digit().to_string()),
            note: note.spelling.pretty(),
            sounding: false,
        })
    };
    voicing.notes.iter().filter_map(mark).collect()
}

/// The chord in force at a place, with its printed name.
#[must_use]
pub fn chord_at(session: &Session, place: Place) -> Option<(String, Chord)> {
    let document = session.document();
    let bars: Vec<_> = document.bars().take(place.bar + 1).collect();
    let here = |(bar_idx, bar): (usize, &&crate::document::Bar)| {
        let found = bar.chords.iter().rev();
        let mut found = found.filter(|c| bar_idx < place.bar || c.at <= place.at);
        found.next().cloned()
    };
    let chord = bars.iter().enumerate().rev().find_map(here)?;
    let name = words::pretty(&chord.harmony.printed(document.house_style));
    chord.harmony.chord().map(|c| (name, c.clone()))
}

fn degrees(session: &Session, chord: &Chord, last_fret: u8) -> Vec<(StringIdx, u8, String)> {
    let instrument = &session.document().instrument;
    let mut found = Vec::new();
    for string in (0..instrument.n_strings()).map(StringIdx) {
        for fret in 0..=last_fret.saturating_sub(instrument.capo) {
            let pitch = instrument.pitch(string, fret);
            let degree = pitch.and_then(|p| chord.degree_of(p.pitch_class()));
            if let Some(degree) = degree {
                found.push((string, fret, degree.pretty()));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::Action;
    use crate::session::Selection;
    use crate::session::SoundChoice;
    use std::sync::Arc;

    /// A tune over shapes with barres: the thumb and the tune take fingers from them.
    const CHART: &str = "Key: Am\n[A]\nAm7 | Am/G | Bm7b5 E7#9 | Am7 D9 | F13 | Bb7\n\
        Tune: A4 B4 C5 A4 | G4 A4 B4 _ | D5 C5 B4 G#4 | A4 E5 D5 C5 | F4 A4 D5 F5 | D5 F5 G5 _\n";

    #[test]
    fn no_finger_is_shown_in_two_frets() {
        let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
        session.act(Action::OpenText(CHART.into()));
        session.settle();
        let notes = session.arrangement().map(|a| a.notes.clone());
        let mut n_barres = 0;
        for note in notes.expect("an arrangement") {
            session.act(Action::Select(Selection {
                place: note.place,
                lane: note.lane,
                to_bar: None,
            }));
            let view = board_view(&session, false, 12);
            n_barres += view.barres.len();
            let held = |role: Role| view.marks.iter().filter(move |mark| mark.role == role);
            for taken in held(Role::Thumb).chain(held(Role::Tune)) {
                let elsewhere = held(Role::Finger).find(|mark| {
                    !mark.finger.is_empty()
                        && mark.finger == taken.finger
                        && mark.fret != taken.fret
                });
                assert!(elsewhere.is_none(), "{}", view.caption);
            }
        }
        assert!(n_barres > 0);
    }
}
