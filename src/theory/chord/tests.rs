//! Tests of chord symbols: meanings, printing, errors, and the properties that hold for all text.
//! Expected tones are common practice, as in the harmony textbooks; nothing here is taken from a
//! program's output.

use super::*;
use proptest::prelude::*;

fn parse(text: &str) -> ChordSymbol {
    ChordSymbol::parse(text).unwrap_or_else(|e| panic!("{text}: {e} at {:?}", e.at))
}

/// Degrees with `~` before those that may be left out; root and natural fifth without.
fn tones(text: &str) -> String {
    let written: Vec<String> = parse(text)
        .chord()
        .tones()
        .iter()
        .map(|tone| {
            let free = matches!((tone.degree.number(), tone.degree.alter()), (1 | 5, 0));
            let sign = match (tone.essential, free) {
                (false, false) => "~",
                (true, true) => "!",
                _ => "",
            };
            format!("{sign}{}", tone.degree)
        })
        .collect();
    written.join(" ")
}

#[test]
fn essential_and_optional_tones_are_as_jazz_practice_has_them() {
    for (symbol, expected) in [
        ("C", "1 3 5"),
        ("C5", "1 !5"),
        ("C(no3)", "1 !5"),
        ("C6", "1 3 5 6"),
        ("C9", "1 3 5 b7 9"),
        ("C11", "1 ~3 5 b7 ~9 11"),
        ("Cmaj11", "1 ~3 5 7 ~9 11"),
        ("Cm11", "1 b3 5 b7 ~9 11"),
        ("C13", "1 3 5 b7 ~9 13"),
        ("Cm13", "1 b3 5 b7 ~9 ~11 13"),
        ("Cmaj13", "1 3 5 7 ~9 13"),
        ("C13(b9)", "1 3 5 b7 b9 13"),
        ("C13(11)", "1 3 5 b7 ~9 11 13"),
        ("C11(#11)", "1 3 5 b7 ~9 #11"),
        ("C13sus4", "1 4 5 b7 ~9 13"),
        ("C11sus4", "1 4 5 b7 ~9"),
        ("C7sus4(add3)", "1 3 5 b7 11"),
        ("Csus24", "1 2 4 5"),
        ("C7alt", "1 3 ~b5 ~#5 b7 ~b9 ~#9"),
        ("C7alt(b9)", "1 3 ~b5 ~#5 b7 b9 ~#9"),
        ("C7(b5,#5)", "1 3 b5 #5 b7"),
        ("C7(9,b9)", "1 3 5 b7 b9 9"),
        ("C7(b9,add9)", "1 3 5 b7 b9 9"),
        ("Cdim7", "1 b3 b5 bb7"),
        ("Cdim(maj7)", "1 b3 b5 7"),
        ("Cdim7(add13)", "1 b3 b5 bb7 13"),
        ("Cø9", "1 b3 b5 b7 9"),
        ("C7no3", "1 5 b7"),
        ("Cadd13", "1 3 5 6"),
    ] {
        assert_eq!(tones(symbol), expected, "{symbol}");
    }
}

#[test]
fn spellings_of_one_chord_mean_the_same() {
    let groups: &[&[&str]] = &[
        &[
            "Cmaj7", "CM7", "CΔ", "C△7", "C∆7", "C^", "Cma7", "CMA7", "CMaj7", "Cj7", "C7M",
        ],
        &["Cm", "Cmin", "Cmi", "C-", "C−", "CMI", "Cminor"],
        &["Cm7", "C-7", "Cmin7", "CMI7", "Cmi7", "Cm(7)"],
        &[
            "Cm7b5",
            "Cm7(b5)",
            "C-7b5",
            "C-7♭5",
            "Cø",
            "CØ7",
            "Cm7-5",
            "Chdim7",
            "Cmin7(♭5)",
        ],
        &["Cdim7", "Co7", "C°7", "Cº7", "CDIM7"],
        &[
            "CmMaj7", "Cm(maj7)", "CmM7", "C-Δ7", "C-Δ", "Cm/maj7", "CmΔ", "Cm(M7)", "Cm7M",
        ],
        &["Caug", "C+", "C(#5)", "C(+5)", "Caugmented"],
        &["C7#5", "C+7", "C7+", "Caug7", "C7(#5)", "C7aug", "C7+5"],
        &[
            "Cmaj7#5",
            "C+maj7",
            "C+M7",
            "CΔ#5",
            "Caug(maj7)",
            "Cmaj7+",
            "CM7(+5)",
        ],
        &["C6/9", "C69", "C6(9)", "C6add9", "C6(add9)", "Cmaj6/9"],
        &["Csus", "Csus4", "C(sus4)", "CSUS"],
        &["C9sus4", "C9sus", "Csus9", "C7sus4add9", "C7sus(9)"],
        &["C7sus4", "C7sus", "Csus7", "Cm7sus4", "C7(sus)"],
        &["Csus2sus4", "Csus24", "Csus4sus2"],
        &[
            "C7b9b13",
            "C7(b9,b13)",
            "C7(b13)(b9)",
            "C7b13b9",
            "C7♭9♭13",
            "C7(b9 b13)",
            "C7(b9/b13)",
            "C7b9/b13",
        ],
        &["C7(#9,#5)", "C7#5#9", "C+7#9", "C7+9+5", "Caug7(#9)"],
        &["Calt", "C7alt", "C7(alt)", "CALT", "C7altered"],
        &["Cadd9", "C(add9)", "Cadd2", "C(9)", "C(add 9)"],
        &["Cm(add9)", "Cmadd9", "C-add9", "Cm(9)"],
        &["C7(13)", "C7add13", "C7add6", "C7/13"],
        &["Cmaj7(#11 13)", "CΔ7(#11,13)", "CM7#11add13"],
        &["C13#11", "C13(#11)", "C13(+11)"],
        &["C7(no5)", "C7no5", "C7omit5", "C7(omit 5)", "C7(no5th)"],
        &["B♭7", "Bb7"],
        &["F♯m", "F#m"],
        &["C/B♭", "C/Bb"],
    ];
    for group in groups {
        for symbol in *group {
            let (first, other) = (parse(group[0]), parse(symbol));
            assert_eq!(first.chord(), other.chord(), "{} and {symbol}", group[0]);
        }
    }
}

#[test]
fn chords_that_differ_in_meaning_are_not_equal() {
    for (one, other) in [
        ("C13", "C7add13"),
        ("C9", "C7"),
        ("C11", "C9add11"),
        ("Cm6b5", "Cdim7"),
        ("C7#5", "C7b13"),
        ("C7b5", "C7#11"),
        ("C6", "Am7/C"),
        ("C#m", "Dbm"),
        ("Cm7", "CM7"),
        ("Cb5", "C(b5)"),
    ] {
        assert_ne!(
            parse(one).chord(),
            parse(other).chord(),
            "{one} and {other}"
        );
    }
}

#[test]
fn both_house_styles_print_as_their_tables_say() {
    for (symbol, letters, signs) in [
        ("CM", "C", "C"),
        ("Bbmin7", "Bbm7", "B♭-7"),
        ("F#Δ", "F#maj7", "F♯Δ7"),
        ("C-7b5", "Cm7(b5)", "Cø7"),
        ("C-9b5", "Cm9(b5)", "Cø9"),
        ("Co7", "Cdim7", "C°7"),
        ("Cdim", "Cdim", "C°"),
        ("C-Δ7", "CmMaj7", "C-Δ7"),
        ("C+", "Caug", "C+"),
        ("C+7", "C7(#5)", "C+7"),
        ("C7+9", "C7(#9)", "C7(♯9)"),
        ("C7#9#5", "C7(#5,#9)", "C+7(♯9)"),
        ("CM7#5", "Cmaj7(#5)", "CΔ7(♯5)"),
        ("C69", "C6/9", "C6/9"),
        ("C-6/9", "Cm6/9", "C-6/9"),
        ("C9sus", "C9sus4", "C9sus4"),
        ("Calt", "C7alt", "C7alt"),
        ("C7b13b9", "C7(b9,b13)", "C7(♭9,♭13)"),
        ("Cadd2", "C(add9)", "C(add9)"),
        ("Cmadd9", "Cm(add9)", "C-(add9)"),
        ("C7no5", "C7(no5)", "C7(no5)"),
        ("C7add13", "C7(add13)", "C7(add13)"),
        ("C/Bb", "C/Bb", "C/B♭"),
        ("C6/9/E", "C6/9/E", "C6/9/E"),
        ("CdimM7", "CdimMaj7", "C°Δ7"),
    ] {
        let read = parse(symbol);
        assert_eq!(read.printed(HouseStyle::Letters), letters, "{symbol}");
        assert_eq!(read.printed(HouseStyle::Signs), signs, "{symbol}");
        assert_eq!(read.text(), symbol);
    }
}

#[test]
fn chords_are_described_in_words() {
    for (symbol, words) in [
        ("C", "C major"),
        ("Ebm7b5/Db", "E♭ half-diminished seventh over D♭"),
        ("G7b9", "G dominant seventh, flat ninth"),
        ("F#sus4", "F♯ suspended fourth"),
        ("Cm(add9)", "C minor, added ninth"),
        ("C7no5", "C dominant seventh, without fifth"),
        ("Calt", "C altered dominant"),
    ] {
        assert_eq!(parse(symbol).chord().describe(), words, "{symbol}");
    }
}

#[test]
fn errors_point_at_the_wrong_bytes_and_say_what_to_write() {
    for (text, at, words) in [
        ("", 0..0, "expected a chord"),
        ("H7", 0..1, "written B"),
        ("c7", 0..1, "capital letter: C"),
        ("%", 0..1, "A to G"),
        ("Cq", 1..2, "“q”"),
        ("C7b10", 2..5, "altered tone"),
        ("Bb7b", 3..4, "altered tone"),
        ("C2", 1..2, "sus2"),
        ("C4", 1..2, "sus4"),
        ("C8", 1..2, "no chord with 8"),
        ("C/H", 2..3, "bass note"),
        ("C/", 2..2, "bass note"),
        ("C/Em", 2..4, "bass note"),
        ("C7(b9", 2..5, "never closed"),
        ("C7b9)", 4..5, "never opened"),
        ("C maj7", 1..6, "no spaces"),
        ("C7 alt", 2..6, "no spaces"),
        ("Cm7alt", 3..6, "dominant"),
        ("Caddb", 1..5, "after “add”"),
        ("Cno7", 1..4, "after “no”"),
        ("C5no5", 0..5, "no note but the root"),
        ("Cmmaj", 2..5, "after the word for major"),
        ("C7(b9)x", 6..7, "“x”"),
        ("Csus4maj9x", 9..10, "“x”"),
        ("C7(maj7)", 3..7, "major seventh"),
    ] {
        let Err(error) = ChordSymbol::parse(text) else {
            panic!("{text} was read");
        };
        assert!(error.message.contains(words), "{text}: {error}");
        assert_eq!(error.at, at, "{text}: {error}");
    }
}

#[test]
fn no_chord_is_read_in_its_usual_spellings() {
    for text in ["N.C.", "NC", "n.c.", "N.C", " nc "] {
        assert_eq!(Harmony::parse(text), Ok(Harmony::NoChord), "{text}");
    }
    assert!(Harmony::parse("N").is_err());
}

#[test]
fn alt_asks_for_at_least_one_altered_tone() {
    let colours = |text: &str| parse(text).chord().one_of();
    assert_eq!(colours("Calt").len(), 4);
    assert!(colours("Calt(b9)").is_empty());
    assert!(colours("C7b9").is_empty());
    assert_eq!(parse("Calt").chord().required().len(), 2);
}

#[test]
fn pitch_classes_are_required_or_optional_and_never_both() {
    let numbers = |set: PcSet| set.iter().map(PitchClass::number).collect::<Vec<_>>();
    for (text, required, optional) in [
        ("C13", &[4, 9, 10][..], &[0, 2, 7][..]),
        ("C/Bb", &[4], &[0, 7, 10]),
        ("C7/Bb", &[4, 10], &[0, 7]),
        ("C5", &[7], &[0]),
        ("Cø", &[3, 6, 10], &[0]),
        ("Calt", &[4, 10], &[0, 1, 3, 6, 8]),
    ] {
        let symbol = parse(text);
        assert_eq!(numbers(symbol.chord().required()), required, "{text}");
        assert_eq!(numbers(symbol.chord().optional()), optional, "{text}");
    }
}

#[test]
fn notes_begin_with_a_foreign_bass() {
    let notes = |text: &str| -> Vec<String> {
        parse(text)
            .chord()
            .notes()
            .iter()
            .map(ToString::to_string)
            .collect()
    };
    assert_eq!(notes("C/Bb"), ["Bb", "C", "E", "G"]);
    assert_eq!(notes("C/E"), ["C", "E", "G"]);
    assert_eq!(notes("Gb7b9"), ["Gb", "Bb", "Db", "Fb", "Abb"]);
}

const QUALITIES: &[&str] = &[
    "", "m", "-", "maj7", "Δ", "7", "m7", "mMaj7", "dim", "o7", "ø", "+", "+7", "6", "m6", "69",
    "9", "m9", "maj9", "11", "m11", "maj11", "13", "m13", "maj13", "7alt", "5", "dimMaj7", "+M7",
    "ø11", "mM9", "o9",
];
const CHANGES: &[&str] = &[
    "sus4", "sus2", "sus24", "(b5)", "(#5)", "(b9)", "(#9)", "(#11)", "(b13)", "add9", "add11",
    "add13", "add3", "addb9", "add#11", "add5", "no3", "no5", "no9",
];

fn any_symbol() -> impl Strategy<Value = String> {
    let root = proptest::sample::select(&["C", "Bb", "F#", "Ebb", "A##"][..]);
    let quality = proptest::sample::select(QUALITIES);
    let changes = proptest::collection::vec(proptest::sample::select(CHANGES), 0..4);
    let bass = proptest::sample::select(&["", "/E", "/Bb"][..]);
    (root, quality, changes, bass).prop_map(|(root, quality, changes, bass)| {
        format!("{root}{quality}{}{bass}", changes.concat())
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn any_symbol_that_can_be_read_can_be_printed(text in any_symbol()) {
        let Ok(read) = ChordSymbol::parse(&text) else { return Ok(()) };
        for style in [HouseStyle::Letters, HouseStyle::Signs] {
            let printed = read.printed(style);
            let again = ChordSymbol::parse(&printed);
            prop_assert_eq!(again.as_ref().map(ChordSymbol::chord), Ok(read.chord()), "{}", printed);
        }
    }

    #[test]
    fn any_set_of_degrees_that_makes_a_chord_can_be_printed(bits in 1u32..1 << 19) {
        let degrees: Vec<Degree> = Tone::all()
            .filter(|tone| bits & 1 << *tone as u32 != 0)
            .map(Tone::degree)
            .collect();
        let root = Spelling::new(crate::theory::Letter::D, 0);
        let n_sevenths = degrees.iter().filter(|d| d.number() == 7).count();
        match Chord::from_degrees(root, &degrees, None) {
            Some(chord) => {
                for style in [HouseStyle::Letters, HouseStyle::Signs] {
                    let printed = chord.printed(style);
                    let again = ChordSymbol::parse(&printed);
                    prop_assert_eq!(again.as_ref().map(ChordSymbol::chord), Ok(&chord), "{}", printed);
                }
            }
            None => prop_assert!(n_sevenths > 1 || bits == 1, "{degrees:?}"),
        }
    }

    #[test]
    fn no_text_makes_the_parser_panic(text in "\\PC{0,40}") {
        let _ = Harmony::parse(&text);
    }

    #[test]
    fn texts_of_chord_letters_point_inside_themselves(text in "[A-Gb#mMajdinsu+°Δ0-9(),/♭ -]{0,16}") {
        if let Err(error) = ChordSymbol::parse(&text) {
            prop_assert!(text.get(error.at.clone()).is_some(), "{:?}", error);
            prop_assert!(!error.message.is_empty());
        }
    }
}
