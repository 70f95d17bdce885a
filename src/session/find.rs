//! Finding places by what stands there: a chord in any spelling (`Dm7`, `D-7`) or by its degree
//! (`ii7`), all chords over a root (`D`), a kind of chord over any root (`m7b5`), a thumb move by its
//! name or code, a bar by its number, a section by its name, a finding by its words. Pure; chooses
//! nothing.

use super::Session;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::document::ThumbCell;
use crate::theory::Chord;
use crate::theory::Harmony;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::theory::roman;
use std::collections::BTreeSet;

/// Fewer letters are not looked for in names and findings: they are in too many.
const LEAST_LETTERS: usize = 3;

/// Where something was found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Found {
    /// What was looked for, as it was understood: `chord Dm7`.
    pub words: String,
    /// The places, in order.
    pub places: Vec<Place>,
    /// The lane in which to look, if it is in one.
    pub lane: Option<Lane>,
}

/// What a text is looked for as: the first way of reading it that is found anywhere, else the first
/// that makes sense. `None` if nothing was typed.
#[must_use]
pub fn find(document: &Document, arrangement: Option<&Arrangement>, text: &str) -> Option<Found> {
    let text = text.trim();
    if text.is_empty() {
        return None;
    }
    let readings: [&dyn Fn() -> Option<Found>; 7] = [
        &|| chord(document, text),
        &|| root(document, text),
        &|| kind(document, text),
        &|| thumb(document, arrangement, text),
        &|| bar(document, text),
        &|| section(document, text),
        &|| finding(arrangement, text),
    ];
    let mut first = None;
    for reading in readings {
        match reading() {
            Some(found) if !found.places.is_empty() => return Some(found),
            found => first = first.or(found),
        }
    }
    Some(first.unwrap_or_else(|| Found {
        words: format!("\"{text}\""),
        places: Vec::new(),
        lane: None,
    }))
}

fn at_chords(document: &Document, fits: impl Fn(&Harmony) -> bool) -> Vec<Place> {
    let bars = document.bars().enumerate();
    let chords = bars.flat_map(|(bar, written)| {
        let places = written.chords.iter().map(move |chord| (bar, chord));
        places.collect::<Vec<_>>()
    });
    let fitting = chords.filter(|(_, chord)| fits(&chord.harmony));
    fitting
        .map(|(bar, chord)| Place { bar, at: chord.at })
        .collect()
}

/// Whether two chords sound alike: the same tones above the same root over the same bass, however
/// they are spelled.
fn alike(a: &Chord, b: &Chord) -> bool {
    let sounds = |chord: &Chord| (chord.root().pitch_class(), chord.bass().pitch_class());
    sounds(a) == sounds(b) && a.tones() == b.tones()
}

fn chord(document: &Document, text: &str) -> Option<Found> {
    let symbol = if roman::is_degree(text) {
        Harmony::Chord(roman::parse(text, document.key).ok()?)
    } else {
        Harmony::parse(text).ok()?
    };
    let places = at_chords(document, |harmony| {
        match (harmony.chord(), symbol.chord()) {
            (Some(here), Some(wanted)) => alike(here, wanted),
            (None, None) => true,
            _ => false,
        }
    });
    Some(Found {
        words: format!("chord {}", symbol.printed(document.house_style)),
        places,
        lane: None,
    })
}

/// A root alone: every chord over it.
fn root(document: &Document, text: &str) -> Option<Found> {
    let symbol = Harmony::parse(text).ok()?;
    let root = symbol.chord()?.root();
    if root.to_string() != text {
        return None;
    }
    let places = at_chords(document, |harmony| {
        let here = harmony.chord();
        here.is_some_and(|here| here.root().pitch_class() == root.pitch_class())
    });
    Some(Found {
        words: format!("chords over {text}"),
        places,
        lane: None,
    })
}

/// A chord symbol without its root.
fn kind(document: &Document, text: &str) -> Option<Found> {
    let symbol = Harmony::parse(&format!("C{text}")).ok()?;
    let wanted = symbol.chord()?;
    if wanted.bass() != wanted.root() {
        return None;
    }
    let places = at_chords(document, |harmony| {
        harmony
            .chord()
            .is_some_and(|here| here.tones() == wanted.tones())
    });
    Some(Found {
        words: format!("{text} over any root"),
        places,
        lane: None,
    })
}

/// Whether a text is the code or the name of a move, or the beginning of its name.
fn is_called(thumb_move: ThumbMove, text: &str) -> bool {
    let name = thumb_move.word().replace('-', " ");
    let begins = |name: &str| text.chars().count() >= LEAST_LETTERS && name.starts_with(text);
    // Typed in full, a move of two names has both: approach below, approach from below.
    let plain = text.replace(" from ", " ");
    thumb_move.code() == text
        || name == plain
        || begins(&name)
        || begins(thumb_move.words())
        || name.starts_with(&plain) && plain.contains(' ')
}

fn thumb(document: &Document, arrangement: Option<&Arrangement>, text: &str) -> Option<Found> {
    let text = text.to_lowercase();
    let mut moves = ThumbMove::ALL.into_iter();
    let moves: Vec<ThumbMove> = match moves.clone().find(|m| is_exactly(*m, &text)) {
        Some(exact) => vec![exact],
        None => moves.by_ref().filter(|m| is_called(*m, &text)).collect(),
    };
    let words: Vec<String> = moves.iter().map(|m| m.word().replace('-', " ")).collect();
    if moves.is_empty() {
        return None;
    }
    let mut places = BTreeSet::new();
    for (bar, written) in document.bars().enumerate() {
        for (at, cell) in &written.thumb {
            if let ThumbCell::Move(m) | ThumbCell::Kept(m, ..) = cell
                && moves.contains(m)
            {
                places.insert(Place { bar, at: *at });
            }
        }
    }
    let notes = arrangement.map_or(&[][..], |arrangement| &arrangement.notes);
    let thumb = notes.iter().filter(|note| note.lane == Lane::Thumb);
    let fitting = thumb.filter(|note| note.thumb_move.is_some_and(|m| moves.contains(&m)));
    places.extend(fitting.map(|note| note.place));
    Some(Found {
        words: format!("thumb: {}", words.join(", ")),
        places: places.into_iter().collect(),
        lane: Some(Lane::Thumb),
    })
}

fn is_exactly(thumb_move: ThumbMove, text: &str) -> bool {
    let name = thumb_move.word().replace('-', " ");
    thumb_move.code() == text || name == text.replace(" from ", " ")
}

fn bar(document: &Document, text: &str) -> Option<Found> {
    let text = text.to_lowercase();
    let number = text.strip_prefix("bar").unwrap_or(&text).trim();
    let number: usize = number.parse().ok()?;
    let exists = (1..=document.n_bars()).contains(&number);
    let place = exists.then(|| Place {
        bar: number - 1,
        at: Ticks(0),
    });
    Some(Found {
        words: format!("bar {number}"),
        places: place.into_iter().collect(),
        lane: None,
    })
}

fn section(document: &Document, text: &str) -> Option<Found> {
    let text = text.to_lowercase();
    let name = text.strip_prefix("section").unwrap_or(&text).trim();
    let places = document.section_places().filter(|place| {
        let section = document.sections.get(place.idx);
        section.is_some_and(|section| section.name.to_lowercase() == name)
    });
    let places: Vec<Place> = places
        .map(|place| Place {
            bar: place.first,
            at: Ticks(0),
        })
        .collect();
    (!places.is_empty()).then(|| Found {
        words: format!("section {name}"),
        places,
        lane: None,
    })
}

fn finding(arrangement: Option<&Arrangement>, text: &str) -> Option<Found> {
    let text = text.to_lowercase();
    if text.chars().count() < LEAST_LETTERS {
        return None;
    }
    let findings = arrangement?.findings.iter();
    let fitting = findings.filter(|finding| finding.message.to_lowercase().contains(&text));
    let places: BTreeSet<Place> = fitting.map(|finding| finding.place).collect();
    Some(Found {
        words: format!("findings with \"{text}\""),
        places: places.into_iter().collect(),
        lane: None,
    })
}

impl Session {
    /// Where something stands in the tune; `None` if nothing was typed.
    #[must_use]
    pub fn find(&self, text: &str) -> Option<Found> {
        let arrangement = self.arrangement().map(AsRef::as_ref);
        find(self.document(), arrangement, text)
    }

    /// What finds the chord in force at the selected place again; `None` if there is none.
    #[must_use]
    pub fn chord_text_here(&self) -> Option<String> {
        let place = self.selection.place;
        let harmony = self.document().harmony_at(place.bar, place.at)?;
        Some(harmony.printed(self.document().house_style))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::Action;
    use crate::session::SoundChoice;
    use std::sync::Arc;

    fn session(chart: &str) -> Session {
        let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
        session.act(Action::OpenText(chart.into()));
        session.settle();
        session
    }

    /// What was understood, and the bars from 1.
    fn found(session: &Session, text: &str) -> (String, Vec<usize>) {
        let found = session.find(text).expect("something was typed");
        let bars = found.places.iter().map(|place| place.bar + 1).collect();
        (found.words, bars)
    }

    #[test]
    fn chords_are_found_in_any_spelling_by_degree_and_by_kind() {
        let session =
            session("Key: C\n[A]\nDm7 | G7 | C6 | D-7 Db7\n[B]\nC#7 | Bm7b5 | Dmi7 | N.C.\n");
        for (text, words, bars) in [
            ("Dm7", "chord Dm7", &[1, 4, 7][..]),
            (" D-7 ", "chord Dm7", &[1, 4, 7]),
            ("C#7", "chord C#7", &[4, 5]),
            ("ii7", "chord Dm7", &[1, 4, 7]),
            ("V7", "chord G7", &[2]),
            ("nc", "chord N.C.", &[8]),
            ("m7b5", "m7b5 over any root", &[6]),
            ("m7", "m7 over any root", &[1, 4, 7]),
            ("F#m7", "chord F#m7", &[]),
            ("Db", "chords over Db", &[4, 5]),
            ("bar 6", "bar 6", &[6]),
            ("section b", "section b", &[5]),
        ] {
            assert_eq!(
                found(&session, text),
                (words.into(), bars.to_vec()),
                "{text}"
            );
        }
        assert_eq!(session.find("  "), None);
    }

    #[test]
    fn thumb_moves_are_found_by_name_beginning_and_code() {
        let mut session = session("Key: C\nDm7 | G7 | Cmaj7 | A7\n");
        for (bar, thumb_move) in [(1, ThumbMove::Ghost), (2, ThumbMove::Rest)] {
            session.act(Action::Edit(crate::document::Edit::SetThumb {
                bar,
                at: Ticks(960),
                cell: Some(ThumbCell::Move(thumb_move)),
            }));
        }
        session.settle();
        assert_eq!(found(&session, "ghost").1, [2]);
        assert_eq!(found(&session, "Rest").1, [3]);
        let by_code = found(&session, "↑1");
        assert_eq!(by_code, found(&session, "approach from below"));
        assert_eq!(by_code.1, [1, 2, 3], "a plain walk approaches each change");
        let all = session.find("approach").expect("typed");
        assert_eq!(
            all.words,
            "thumb: approach below, approach above, approach dominant"
        );
        assert_eq!(all.lane, Some(Lane::Thumb));
    }

    #[test]
    fn findings_are_found_by_their_words() {
        // C6 to G13(b9) asks for more than four fingers can hold, so something is found.
        let session = session("[A]\nC6 | G13(b9) | C6 | Am7\n");
        let arrangement = session.arrangement().expect("solved");
        let finding = arrangement.findings.first().expect("a finding");
        let mut words: Vec<&str> = finding.message.split_whitespace().collect();
        words.sort_by_key(|word| word.len());
        let word = words.pop().expect("a word");
        let places = session.find(word).expect("typed").places;
        assert!(places.contains(&finding.place), "{word}");
        assert_eq!(found(&session, "zither").1, Vec::<usize>::new());
    }
}
