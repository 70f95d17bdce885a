//! Entries into the tune as tables: what was written, the cursor, what is done, what comes of it.
//! Notes are written as `C4` or `B♭3` (scientific pitch notation, C4 the middle C), lengths in
//! parts of a beat as players count them.

use super::*;
use crate::document::Bar;
use crate::document::ChordAt;
use crate::document::Section;
use crate::document::TuneNote;
use crate::document::TuneSettings;
use crate::theory::ChordSymbol;
use crate::theory::Key;
use std::sync::Arc;

const BEAT: u32 = TICKS_PER_BEAT;

fn chart(key: &str, meter: &str, n_bars: usize) -> Document {
    let section = Section {
        name: String::new(),
        bars: vec![Bar::default(); n_bars],
    };
    Document {
        key: Key::parse(key).expect("a key"),
        meter: Meter::parse(meter).expect("a metre"),
        sections: vec![Arc::new(section)],
        ..Document::default()
    }
}

const fn at(bar: usize, ticks: u32) -> Place {
    Place {
        bar,
        at: Ticks(ticks),
    }
}

/// A user who writes one thing after another.
struct Writer {
    document: Document,
    pen: TunePen,
    cursor: Place,
}

impl Writer {
    fn new(document: Document) -> Self {
        Self {
            document,
            pen: TunePen::default(),
            cursor: at(0, 0),
        }
    }

    fn try_do(&mut self, entry: TuneEntry) -> Result<Option<Midi>, String> {
        let entered = enter(&self.document, self.pen, self.cursor, entry)?;
        if let Some(edit) = &entered.edit {
            self.document = self.document.apply(edit).expect("a valid edit");
        }
        self.cursor = entered.cursor;
        self.pen = entered.pen;
        Ok(entered.heard)
    }

    fn then(mut self, entry: TuneEntry) -> Self {
        self.try_do(entry).expect("can be done");
        self
    }

    /// Letters and lengths as they are typed; a capital means nothing else.
    fn typed(mut self, keys: &str) -> Self {
        for key in keys.chars() {
            let entry = match key {
                '1' => TuneEntry::Value(Value::Whole),
                '2' => TuneEntry::Value(Value::Half),
                '4' => TuneEntry::Value(Value::Quarter),
                '8' => TuneEntry::Value(Value::Eighth),
                '6' => TuneEntry::Value(Value::Sixteenth),
                '.' => TuneEntry::Dot,
                '3' => TuneEntry::Triplet,
                'r' => TuneEntry::Rest,
                't' => TuneEntry::Tie,
                '+' => TuneEntry::Semitones(1),
                '-' => TuneEntry::Semitones(-1),
                '^' => TuneEntry::Octaves(1),
                'v' => TuneEntry::Octaves(-1),
                '<' => TuneEntry::RemoveBefore,
                'x' => TuneEntry::Remove,
                ' ' => continue,
                letter => {
                    let letter = Letter::from_char(letter.to_ascii_uppercase());
                    TuneEntry::Letter(letter.expect("a letter"))
                }
            };
            self.try_do(entry).expect(keys);
        }
        self
    }

    /// As the user moves it: what was just written is written.
    fn cursor(mut self, place: Place) -> Self {
        self.cursor = place;
        self.pen.entered = None;
        self
    }

    /// `C4 1` is a beat of C4; a tie is `~`, a silence between notes `r`.
    fn tune(&self) -> String {
        let mut words = Vec::new();
        for (bar, content) in self.document.bars().enumerate() {
            if bar > 0 {
                words.push("|".to_owned());
            }
            let mut end = 0;
            for note in &content.tune {
                if note.at.0 > end {
                    words.push(format!("r{}", beats(note.at.0 - end)));
                }
                words.push(note_words(note));
                end = note.end().0;
            }
        }
        words.join(" ")
    }
}

fn note_words(note: &TuneNote) -> String {
    let tie = if note.tied { "~" } else { "" };
    let octave = note.spelling.octave_of(note.pitch);
    let pitch = note.spelling.pretty();
    format!("{tie}{pitch}{octave}:{}", beats(note.length.0))
}

fn beats(ticks: u32) -> String {
    crate::theory::beats::amount_text(Ticks(ticks))
}

#[test]
fn a_letter_is_the_note_of_the_key_nearest_to_the_one_before() {
    // Key signatures from the circle of fifths; nearest means within a fourth (common practice).
    for (key, keys, tune) in [
        ("C", "c d e", "C5:1 D5:1 E5:1"),
        ("F", "a b c", "A4:1 B♭4:1 C5:1"),
        ("G", "e f g", "E4:1 F♯4:1 G4:1"),
        ("Ab", "g a b d", "G4:1 A♭4:1 B♭4:1 D♭5:1"),
        ("C", "g c", "G4:1 C5:1"),
        ("C", "g d", "G4:1 D4:1"),
        // Six semitones either way: four letters count less than five.
        ("C", "f b", "F4:1 B4:1"),
        ("C", "b f", "B4:1 F4:1"),
        ("C", "f+ c", "F♯4:1 C4:1"),
    ] {
        let writer = Writer::new(chart(key, "4/4", 1)).typed(keys);
        let nearer = writer.tune();
        // The first C from G4 is a fourth up or a fifth down.
        assert_eq!(nearer, tune, "{key}: {keys}");
    }
}

#[test]
fn lengths_move_the_cursor_on_and_rests_are_silent() {
    for (meter, keys, tune, cursor) in [
        (
            "4/4",
            "4g 8aa 6gggg",
            "G4:1 A4:0.5 A4:0.5 G4:0.25 G4:0.25 G4:0.25 G4:0.25",
            at(0, 3 * BEAT),
        ),
        ("4/4", "4.g 8a 2g", "G4:1.5 A4:0.5 G4:2", at(1, 0)),
        (
            "4/4",
            "83ggg 4a",
            "G4:1/3 G4:1/3 G4:1/3 A4:1",
            at(0, 2 * BEAT),
        ),
        ("4/4", "r 8r g", "r1.5 G4:0.5", at(0, 2 * BEAT)),
        ("3/4", "2.g", "G4:3", at(1, 0)),
        // In 6/8 the beat is a dotted quarter, so an eighth is a third of it.
        ("6/8", "8ggg 4.a", "G4:1/3 G4:1/3 G4:1/3 A4:1", at(1, 0)),
    ] {
        let writer = Writer::new(chart("C", meter, 2)).typed(keys);
        let shown = writer.tune();
        assert_eq!(shown.trim_end_matches(" |"), tune, "{keys}");
        assert_eq!(writer.cursor, cursor, "{keys}");
    }
}

#[test]
fn what_is_longer_than_its_bar_is_tied_over_the_barline() {
    let writer = Writer::new(chart("C", "4/4", 3)).typed("2.g 2a g");
    assert_eq!(writer.tune(), "G4:3 A4:1 | ~A4:1 G4:2 |");
    assert_eq!(writer.cursor, at(1, 3 * BEAT));
    let raised = writer.cursor(at(1, 0)).typed("+");
    assert_eq!(raised.tune(), "G4:3 A♯4:1 | ~A♯4:1 G4:2 |");
    let removed = raised.typed("x");
    assert_eq!(removed.tune(), "G4:3 | r1 G4:2 |");
    assert_eq!(removed.cursor, at(0, 3 * BEAT));
}

#[test]
fn raising_and_lowering_mean_the_note_just_written() {
    for (key, keys, tune) in [
        ("C", "f+ g", "F♯4:1 G4:1"),
        ("C", "b- a", "B♭4:1 A4:1"),
        ("F", "b+", "B4:1"),
        ("G", "f-", "F4:1"),
        ("Am", "g+ a", "G♯4:1 A4:1"),
        // Raised into the next note of the key, it is that note.
        ("C", "e+", "F4:1"),
        ("C", "c^ v v", "C4:1"),
    ] {
        let writer = Writer::new(chart(key, "4/4", 2)).typed(keys);
        assert_eq!(writer.tune().trim_end_matches(" |"), tune, "{key}: {keys}");
    }
    // With the cursor moved by hand, the note under it is meant.
    let writer = Writer::new(chart("C", "4/4", 1)).typed("g a");
    let writer = writer.cursor(at(0, 0)).typed("+");
    assert_eq!(writer.tune(), "G♯4:1 A4:1");
}

#[test]
fn a_tone_of_the_chord_is_spelled_as_the_chord_has_it() {
    // Fm: F A♭ C; E7: E G♯ B D; F7: F A C E♭ (tertian spelling of chords).
    for (chord, keys, tune) in [
        ("Fm", "g+", "A♭4:1"),
        ("E7", "g+", "G♯4:1"),
        ("F7", "d+", "E♭4:1"),
        ("C6", "d+", "D♯4:1"),
    ] {
        let mut document = chart("C", "4/4", 1);
        let symbol = ChordSymbol::parse(chord).expect("a chord");
        let section = document.sections.first_mut().map(Arc::make_mut);
        let bar = section.and_then(|s| s.bars.first_mut()).expect("a bar");
        bar.chords.push(ChordAt {
            at: Ticks(0),
            harmony: Harmony::Chord(symbol),
            shape: None,
        });
        assert_eq!(Writer::new(document).typed(keys).tune(), tune, "{chord}");
    }
}

#[test]
fn backspace_takes_the_last_note_back_and_steps_over_silence() {
    let writer = Writer::new(chart("C", "4/4", 1)).typed("g 8a r");
    assert_eq!(writer.cursor, at(0, 2 * BEAT));
    let writer = writer.typed("<");
    assert_eq!(
        (writer.tune().as_str(), writer.cursor),
        ("G4:1 A4:0.5", at(0, 3 * BEAT / 2))
    );
    let writer = writer.typed("<");
    assert_eq!(
        (writer.tune().as_str(), writer.cursor),
        ("G4:1", at(0, BEAT))
    );
    let writer = writer.typed("<<");
    assert_eq!((writer.tune().as_str(), writer.cursor), ("", at(0, 0)));
    // At the end of the document the cursor stays on the last note.
    let full = Writer::new(chart("C", "4/4", 1)).typed("2g a <");
    assert_eq!(
        (full.tune().as_str(), full.cursor),
        ("G4:2", at(0, 2 * BEAT))
    );
}

#[test]
fn a_tie_joins_notes_of_one_pitch_or_holds_a_note_on() {
    let writer = Writer::new(chart("C", "4/4", 2)).typed("2.g 8g a");
    let writer = writer.cursor(at(0, 3 * BEAT)).typed("t");
    assert_eq!(writer.tune(), "G4:3 ~G4:0.5 A4:0.5 |");
    assert_eq!(writer.typed("t").tune(), "G4:3 G4:0.5 A4:0.5 |");
    let held = Writer::new(chart("C", "4/4", 2)).typed("1g 2t a");
    assert_eq!(held.tune(), "G4:4 | ~G4:2 A4:2");
    let mut other = Writer::new(chart("C", "4/4", 2)).typed("g a");
    other = other.cursor(at(0, BEAT));
    let refused = other.try_do(TuneEntry::Tie).expect_err("another pitch");
    assert!(refused.contains("one pitch"), "{refused}");
    let mut silent = Writer::new(chart("C", "4/4", 2)).typed("g r");
    assert!(silent.try_do(TuneEntry::Tie).is_err());
}

#[test]
fn a_length_is_for_the_next_note_or_for_the_one_gone_to() {
    let writer = Writer::new(chart("C", "4/4", 1)).typed("g 8a");
    assert_eq!(writer.tune(), "G4:1 A4:0.5");
    let writer = writer.cursor(at(0, 0)).typed("8");
    assert_eq!(writer.tune(), "G4:0.5 r0.5 A4:0.5");
    let mut writer = writer.cursor(at(0, 0)).typed("4.");
    assert_eq!(writer.tune(), "G4:1.5");
    writer.document.meter = Meter::parse("6/8").expect("a metre");
    assert!(writer.try_do(TuneEntry::Triplet).is_err());
}

#[test]
fn notes_grow_and_move_by_columns_and_others_give_way() {
    let writer = || {
        Writer::new(chart("C", "4/4", 2))
            .typed("g a b")
            .cursor(at(0, BEAT))
    };
    for (entry, tune) in [
        (TuneEntry::Longer(true), "G4:1 A4:1.5 B4:0.5 |"),
        (TuneEntry::Longer(false), "G4:1 A4:0.5 r0.5 B4:1 |"),
        (TuneEntry::Later(true), "G4:1 r0.5 A4:1 B4:0.5 |"),
        (TuneEntry::Later(false), "G4:0.5 A4:1 r0.5 B4:1 |"),
        (
            TuneEntry::Until(at(0, BEAT), at(1, BEAT)),
            "G4:1 A4:3 | ~A4:1",
        ),
        (
            TuneEntry::Move(at(0, BEAT), at(1, BEAT)),
            "G4:1 r1 B4:1 | r1 A4:1",
        ),
    ] {
        assert_eq!(writer().then(entry).tune(), tune, "{entry:?}");
    }
    let last = Writer::new(chart("C", "4/4", 1))
        .typed("1g")
        .cursor(at(0, 0));
    let last = last.then(TuneEntry::Longer(true));
    assert_eq!(last.tune(), "G4:4", "cut off where the document ends");
}

#[test]
fn a_pitch_from_the_neck_is_written_an_octave_lower_if_it_is_played_an_octave_higher() {
    let mut document = chart("C", "4/4", 2);
    document.tune = TuneSettings {
        octaves: 1,
        ..TuneSettings::default()
    };
    let mut writer = Writer::new(document);
    let heard = writer.try_do(TuneEntry::Pitch(Midi::clamped(76)));
    assert_eq!(heard, Ok(Some(Midi::clamped(64))));
    assert_eq!(writer.tune(), "E4:1 |");
    // On a note that is there it changes the pitch only.
    let writer = writer
        .cursor(at(0, 480))
        .then(TuneEntry::Pitch(Midi::clamped(77)));
    assert_eq!(
        (writer.tune().as_str(), writer.cursor),
        ("F4:1 |", at(0, 480))
    );
}

#[test]
fn the_cursor_steps_by_the_length_in_hand_and_stops_where_notes_begin_and_end() {
    let writer = Writer::new(chart("C", "4/4", 2)).typed("6g 83gg");
    let way = |value: Value| {
        let pen = TunePen {
            length: plain(value),
            entered: None,
        };
        let mut places = vec![at(0, 0)];
        while let Some(last) = places.last().copied().filter(|last| last.bar == 0) {
            places.push(cursor_step(&writer.document, &pen, last, true));
        }
        let back = places
            .windows(2)
            .all(|pair| cursor_step(&writer.document, &pen, pair[1], false) == pair[0]);
        assert!(back, "{places:?}");
        places.iter().map(|place| place.at.0).collect::<Vec<u32>>()
    };
    assert_eq!(way(Value::Quarter), [0, 240, 560, 880, 960, 1920, 2880, 0]);
    assert_eq!(way(Value::Whole), way(Value::Quarter), "at most a beat");
    let eighths = way(Value::Eighth);
    assert_eq!(
        eighths,
        [0, 240, 480, 560, 880, 960, 1440, 1920, 2400, 2880, 3360, 0]
    );
}

#[test]
fn the_whole_tune_moves_by_octaves_and_stays_where_it_cannot() {
    let written = Writer::new(chart("C", "4/4", 2)).typed("1g a").document;
    let up = moved_by_octave(&written, true).expect("there is room");
    assert_eq!(up.label(), "Move tune an octave up");
    let mut moved = Writer::new(written.apply(&up).expect("a valid edit"));
    assert_eq!(moved.tune(), "G5:4 | A5:4");
    for _ in 0..5 {
        if let Some(up) = moved_by_octave(&moved.document, true) {
            moved.document = moved.document.apply(&up).expect("a valid edit");
        }
    }
    // MIDI ends at 127, a G.
    assert_eq!(moved.tune(), "G8:4 | A8:4");
    assert_eq!(moved_by_octave(&chart("C", "4/4", 1), true), None);
}

#[test]
fn every_length_is_found_again_by_its_ticks() {
    for meter in [Meter::COMMON, Meter::parse("12/8").expect("a metre")] {
        for value in VALUES {
            let written = plain(value);
            assert_eq!(value_of(written.ticks(meter), meter), Some(written));
        }
        assert_eq!(value_of(Ticks(7), meter), None);
    }
}

#[test]
fn places_snap_to_the_columns_of_the_grid() {
    let document = chart("C", "4/4", 1);
    let pen = TunePen::default();
    for (ticks, snapped) in [(0, 0), (239, 0), (240, 480), (3700, 3840), (9999, 3840)] {
        assert_eq!(snap(&document, &pen, at(0, ticks)), at(0, snapped));
    }
}
