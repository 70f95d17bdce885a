//! Chord symbols, frequencies, transposition and degrees against tables made outside the project:
//! `tests/tables/chords.json` holds the readings of four libraries and common-practice formulas.

use serde_json::Value;
use std::collections::BTreeSet;
use thumbwalk::theory::ChordSymbol;
use thumbwalk::theory::HouseStyle;
use thumbwalk::theory::Key;
use thumbwalk::theory::Midi;
use thumbwalk::theory::roman;

type Pcs = BTreeSet<u64>;

fn rows() -> Vec<Value> {
    let text = include_str!("tables/chords.json");
    let table: Value = serde_json::from_str(text).expect("the table is JSON");
    table["chords"].as_array().expect("a list of rows").clone()
}

fn pcs(value: &Value) -> Pcs {
    let list = value.as_array().expect("a list of pitch classes");
    list.iter().filter_map(Value::as_u64).collect()
}

fn symbol(row: &Value) -> &str {
    row["symbol"].as_str().expect("a symbol")
}

#[test]
fn every_symbol_of_the_table_has_the_pitch_classes_that_libraries_agree_on() {
    let mut wrong = Vec::new();
    let mut n_strict = 0;
    for row in rows() {
        let symbol = symbol(&row);
        let parsed = match ChordSymbol::parse(symbol) {
            Ok(parsed) => parsed,
            Err(error) => {
                wrong.push(format!("{symbol}: {error} at {:?}", error.at));
                continue;
            }
        };
        let chord = parsed.chord();
        let ours: Pcs = chord
            .pitch_classes()
            .iter()
            .map(|pc| pc.number().into())
            .collect();
        let (agreed, required) = (pcs(&row["pcs"]), pcs(&row["required"]));
        let allowed = pcs(&row["allowed"]);
        let trusted = matches!(row["confidence"].as_str(), Some("strong" | "good"));
        let dissent = row["dissent"].as_object().is_some_and(|d| !d.is_empty());
        let bass = row["bass_pc"].as_u64();
        let with_bass = |set: &Pcs| set.iter().copied().chain(bass).collect::<Pcs>();
        let right = if trusted && !dissent && agreed == required && required == allowed {
            n_strict += 1;
            ours == with_bass(&agreed)
        } else {
            required.is_subset(&ours) && ours.is_subset(&with_bass(&allowed))
        };
        let root_pc = u64::from(chord.root().pitch_class().number());
        let bass_pc = u64::from(chord.bass().pitch_class().number());
        if !right || Some(root_pc) != row["root_pc"].as_u64() || Some(bass_pc) != bass {
            wrong.push(format!(
                "{symbol}: {ours:?}, required {required:?}, allowed {allowed:?}"
            ));
        }
        let essential: Pcs = chord
            .required()
            .iter()
            .map(|pc| pc.number().into())
            .collect();
        if !essential.is_subset(&with_bass(&required)) {
            wrong.push(format!(
                "{symbol}: essential {essential:?}, required {required:?}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(n_strict > 100, "only {n_strict} rows were tested strictly");
}

#[test]
fn notes_are_spelled_as_the_libraries_that_agree_spell_them() {
    for row in rows() {
        if row["note_names_agree"] != true || row["confidence"] != "strong" {
            continue;
        }
        let parsed = ChordSymbol::parse(symbol(&row)).expect("a symbol");
        let ours: BTreeSet<String> = parsed
            .chord()
            .notes()
            .iter()
            .map(ToString::to_string)
            .collect();
        let names = row["note_names"].as_object().expect("names by library");
        for (library, list) in names {
            let theirs: BTreeSet<String> = list
                .as_array()
                .expect("a list")
                .iter()
                .filter_map(Value::as_str)
                .map(str::to_owned)
                .collect();
            let theirs: BTreeSet<String> = theirs
                .into_iter()
                .chain(row["bass"].as_str().map(str::to_owned))
                .collect();
            assert_eq!(ours, theirs, "{} as {library} spells it", symbol(&row));
        }
    }
}

#[test]
fn what_is_printed_reads_back_to_the_same_meaning() {
    for row in rows() {
        let parsed = ChordSymbol::parse(symbol(&row)).expect("a symbol");
        for style in [HouseStyle::Letters, HouseStyle::Signs] {
            let printed = parsed.printed(style);
            let again = ChordSymbol::parse(&printed).expect(&printed);
            assert_eq!(
                parsed.chord(),
                again.chord(),
                "{} as {printed}",
                symbol(&row)
            );
            assert_eq!(again.printed(style), printed);
        }
    }
}

/// `tests/tables/degrees.csv`: answers of music21 10.5.1 (`RomanNumeral`) in all 24 keys, for the
/// figures that harmony textbooks and jazz charts read alike. Where its root needs two
/// accidentals ours is the plain name, so sound is compared everywhere and spelling elsewhere.
#[test]
fn degrees_in_all_keys_are_the_chords_that_music21_reads() {
    let mut n = 0;
    for line in include_str!("tables/degrees.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [key, degree, root, tones] = cells.as_slice() else {
            panic!("{line}");
        };
        let key = Key::parse(key).expect("a key");
        let symbol = roman::parse(degree, key).expect(degree);
        let ours: Pcs = symbol
            .chord()
            .pitch_classes()
            .iter()
            .map(|pc| pc.number().into())
            .collect();
        let theirs: Pcs = tones.split(' ').filter_map(|pc| pc.parse().ok()).collect();
        assert_eq!(ours, theirs, "{degree} in {key}");
        if root.len() <= 2 {
            assert_eq!(
                symbol.chord().root().to_string(),
                *root,
                "{degree} in {key}"
            );
        }
        n += 1;
    }
    assert!(n > 600, "only {n} rows");
}

/// ISO 16:1975 gives A4 = 440 Hz; open strings of the standard tuning in equal temperament from
/// the formula f = 440 · 2^((m − 69)/12), rounded to four places as guitar handbooks print them.
#[test]
fn midi_numbers_sound_at_the_frequencies_of_iso_16() {
    for (number, hertz) in [
        (69, 440.0),
        (40, 82.4069),
        (45, 110.0),
        (50, 146.8324),
        (55, 195.9977),
        (59, 246.9417),
        (64, 329.6276),
        (60, 261.6256),
        (57, 220.0),
        (81, 880.0),
        (0, 8.1758),
        (127, 12543.8540),
    ] {
        let pitch = Midi::new(number).expect("a MIDI number");
        let off = (pitch.frequency_hz() - hertz).abs();
        assert!(
            off < 6e-5,
            "{number}: {} is not {hertz}",
            pitch.frequency_hz()
        );
    }
}
