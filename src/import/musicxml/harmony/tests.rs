//! Kinds against the table of pitch classes that a library gives for each of them, degrees as the
//! standard counts them, and spellings.

use super::*;
use crate::import::musicxml::element::Source;
use crate::import::musicxml::element::Step;
use std::collections::BTreeMap;

fn element(text: &str) -> Element {
    let mut source = Source::new(text);
    match source.step().expect("well-formed") {
        Step::Opened(element) => source.inside(element).expect("well-formed"),
        other => panic!("{other:?}"),
    }
}

fn harmony(inside: &str) -> Element {
    element(&format!("<harmony>{inside}</harmony>"))
}

fn said(inside: &str) -> String {
    match read(&harmony(inside), Transpose::default(), Key::C_MAJOR) {
        Ok(read) => match read.harmony {
            Harmony::Chord(symbol) => symbol.text().to_owned(),
            Harmony::NoChord => "N.C.".into(),
        },
        Err(why) => why,
    }
}

const C: &str = "<root><root-step>C</root-step></root>";

fn degree(kind: &str, value: u8, alter: i8) -> String {
    format!(
        "<degree><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter>\
        <degree-type>{kind}</degree-type></degree>"
    )
}

#[test]
fn every_kind_sounds_as_a_library_reads_it() {
    // tests/tables/musicxml_kinds_pcs.json: pitch classes of every kind as music21 reads them.
    let table = include_str!("../../../../tests/tables/musicxml_kinds_pcs.json");
    let table: BTreeMap<String, Vec<i32>> = serde_json::from_str(table).expect("a table");
    let mut compared = 0;
    for (kind, pcs) in &table {
        if matches!(kind.as_str(), "other" | "none" | "pedal") {
            continue;
        }
        let text = format!("{C}<kind>{kind}</kind>");
        let read = read(&harmony(&text), Transpose::default(), Key::C_MAJOR).expect(kind);
        let chord = read.harmony.chord().expect("a chord").clone();
        let mut own: Vec<i32> = chord
            .pitch_classes()
            .iter()
            .map(|pc| pc.number().into())
            .collect();
        own.sort_unstable();
        let mut wanted = pcs.clone();
        wanted.sort_unstable();
        // The eleventh of thirteenths over a major third: see the header of `harmony.rs`.
        if matches!(kind.as_str(), "dominant-13th" | "major-13th") {
            wanted.retain(|pc| *pc != 5);
        }
        assert_eq!(own, wanted, "{kind}");
        compared += 1;
    }
    assert_eq!(compared, 30);
}

#[test]
fn degrees_count_from_the_dominant_chord_or_from_what_is_there() {
    // MusicXML 4.0, degree-alter and degree-type.
    for (kind, changes, wanted) in [
        ("dominant", degree("add", 9, -1), "C7(b9)"),
        ("dominant", degree("alter", 5, -1), "C7(b5)"),
        ("suspended-fourth", degree("add", 7, 0), "C7sus4"),
        ("suspended-fourth", degree("add", 7, 1), "Cmaj7sus4"),
        ("major-sixth", degree("add", 9, 0), "C6/9"),
        ("dominant-13th", degree("alter", 9, -1), "C13(b9)"),
        ("major-seventh", degree("add", 11, 1), "Cmaj7(#11)"),
        ("major", degree("add", 9, 0), "Cadd9"),
        ("dominant", degree("subtract", 5, 0), "C7(no5)"),
        ("major", degree("add", 7, 0), "C7"),
        // As some programs write it: a degree the kind does not have is altered.
        ("dominant", degree("alter", 9, -1), "C7(b9)"),
    ] {
        let read = said(&format!("{C}<kind>{kind}</kind>{changes}"));
        let chord = |text: &str| ChordSymbol::parse(text).map(|s| s.chord().clone());
        assert_eq!(chord(&read), chord(wanted), "{kind} {wanted}: {read}");
    }
}

#[test]
fn the_text_is_taken_where_it_means_the_same() {
    assert_eq!(
        said(&format!("{C}<kind text='-7'>minor-seventh</kind>")),
        "C-7"
    );
    assert_eq!(
        said(&format!("{C}<kind text='7'>minor-seventh</kind>")),
        "Cm7"
    );
    assert_eq!(said(&format!("{C}<kind text='b5'>major</kind>")), "C");
    assert_eq!(said(&format!("{C}<kind text='7alt'>other</kind>")), "C7alt");
    assert_eq!(said(&format!("{C}<kind text='N.C.'>none</kind>")), "N.C.");
    let lost = said(&format!("{C}<kind text='blue'>other</kind>"));
    assert!(lost.contains("not understood"), "{lost}");
}

#[test]
fn bass_inversion_transposition_and_numerals_are_read() {
    let bass = "<bass><bass-step>E</bass-step><bass-alter>-1</bass-alter></bass>";
    assert_eq!(said(&format!("{C}<kind>minor</kind>{bass}")), "Cm/Eb");
    assert_eq!(
        said(&format!("{C}<kind>major</kind><inversion>1</inversion>")),
        "C/E"
    );
    let numeral = "<numeral><numeral-root>2</numeral-root></numeral><kind>minor-seventh</kind>";
    assert_eq!(said(numeral), "Dm7");
    assert_eq!(said("<function>V</function><kind>dominant</kind>"), "G7");
    let clarinet =
        element("<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>");
    let written = harmony("<root><root-step>D</root-step></root><kind>dominant</kind>");
    let read = read(&written, Transpose::read(&clarinet), Key::C_MAJOR).expect("a chord");
    assert_eq!(read.harmony, Harmony::parse("C7").expect("a chord"));
}
