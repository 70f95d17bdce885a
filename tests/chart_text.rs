//! Charts as plain text: what is read, what is written, what is refused and where. The format is
//! our own; how chords share a bar is common practice of typed chord charts.

use proptest::prelude::*;
use std::sync::Arc;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Feel;
use thumbwalk::document::Section;
use thumbwalk::document::TuneNote;
use thumbwalk::document::tune::with_note;
use thumbwalk::export::chart_text;
use thumbwalk::import::chart;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::HouseStyle;
use thumbwalk::theory::Key;
use thumbwalk::theory::Letter;
use thumbwalk::theory::Meter;
use thumbwalk::theory::Spelling;
use thumbwalk::theory::Ticks;

fn read(text: &str) -> Document {
    match chart::read(text) {
        Ok((document, _)) => document,
        Err(error) => panic!("{error}\n{text}"),
    }
}

/// One bar as `C@1 G7@3`, with its marks.
fn show(bar: &Bar) -> String {
    let mut text = String::new();
    if bar.repeat_start {
        text.push_str("|: ");
    }
    if bar.ending > 0 {
        text.push_str(&format!("{}. ", bar.ending));
    }
    if let Some(length) = bar.length {
        text.push_str(&format!("<{}> ", length.0));
    }
    let chords: Vec<String> = bar
        .chords
        .iter()
        .map(|c| {
            format!(
                "{}@{}",
                c.harmony.printed(HouseStyle::Letters),
                c.at.0 as f64 / 960.0 + 1.0
            )
        })
        .collect();
    text.push_str(&chords.join(" "));
    if bar.repeat_times > 0 {
        text.push_str(&format!(" :|x{}", bar.repeat_times));
    }
    text
}

fn bars(text: &str) -> Vec<String> {
    read(text).bars().map(show).collect()
}

#[test]
fn a_whole_chart_is_read() {
    let text = "\u{feff}# a comment\r\nTitle: Blues # 3\r\nBy:\tsomebody \r\nKey: Bb\r\nMeter: 4/4  # common time\r\n\
        Tempo: 112 bpm\r\nFeel: swing 1.5:1\r\nLay-back: 25 ms\r\nTuning: D A D G B E\r\nCapo: 2\r\nLesson: Warm up.\r\nLesson: Slowly.\r\n\r\n\
        [A]\r\n|: Bbmaj7 G7(b9) | Cm7 F7 | Dm7 . . G7 | % |\r\n\
        |1. Cm7 | F7 :|2. F7 | Bb6 ||\r\n[Bridge] | ii V7 | Imaj7 | N.C. | V7/ii |  # degrees\r\n";
    let document = read(text);
    assert_eq!(document.title, "Blues # 3");
    assert_eq!(document.credits, "somebody");
    assert_eq!(Some(document.key), Key::parse("Bb"));
    assert_eq!(
        (document.tempo_bpm, document.feel),
        (112, Feel::Swing(1500))
    );
    assert_eq!(document.lay_back_ms, 25);
    assert_eq!(document.instrument.capo, 2);
    assert_eq!(document.instrument.tuning.open()[0].number(), 38);
    assert_eq!(document.lesson_text, "Warm up.\nSlowly.");
    let names: Vec<&str> = document.sections.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["A", "Bridge"]);
    let shown: Vec<String> = document.bars().map(show).collect();
    assert_eq!(
        shown,
        [
            "|: Bbmaj7@1 G7(b9)@3",
            "Cm7@1 F7@3",
            "Dm7@1 G7@4",
            "Dm7@1 G7@4",
            "1. Cm7@1",
            "1. F7@1 :|x2",
            "2. F7@1",
            "2. Bb6@1",
            "Cm@1 F7@3",
            "Bbmaj7@1",
            "N.C.@1",
            "G7@1",
        ]
    );
}

#[test]
fn bars_are_read_as_people_type_them() {
    for (text, expected) in [
        ("C", &["C@1"][..]),
        ("C | G7", &["C@1", "G7@1"]),
        ("| C | G7 |", &["C@1", "G7@1"]),
        ("| C |\n| G7 |", &["C@1", "G7@1"]),
        ("| C\nG7 |\nF", &["C@1", "G7@1", "F@1"]),
        ("| C | | G7 |", &["C@1", "", "G7@1"]),
        ("| C || G7 |]", &["C@1", "G7@1"]),
        ("| C F G |", &["C@1 F@3 G@4"]),
        ("| C . F . |", &["C@1 F@3"]),
        ("| C / F / |", &["C@1 F@3"]),
        ("| C ... |", &["C@1"]),
        ("| . . G7 . |", &["G7@3"]),
        ("| C . . . . . . G7 |", &["C@1 G7@4.5"]),
        ("| C G7@4.5 |", &["C@1 G7@4.5"]),
        ("| C@2 G7@7/2 |", &["C@2 G7@3.5"]),
        ("Meter: 3/4\nC G", &["C@1 G@3"]),
        ("Meter: 5/4\nC G", &["C@1 G@4"]),
        ("Meter: 6/8\nC G", &["C@1 G@2"]),
        ("Meter: 12/8\nC . G . ", &["C@1 G@3"]),
        ("Pickup: 1\nG7 | C", &["<960> G7@1", "C@1"]),
        ("| C | <2> F G | C |", &["C@1", "<1920> F@1 G@2", "C@1"]),
        ("|: C :| |: F :|", &["|: C@1 :|x2", "|: F@1 :|x2"]),
        ("|: C :|: F :|x3", &["|: C@1 :|x2", "|: F@1 :|x3"]),
        ("|: C :| x4", &["|: C@1 :|x4"]),
        ("|: C |\nF :|", &["|: C@1", "F@1 :|x2"]),
        ("|: C |:\n", &["|: C@1"]),
        (
            "C |1. F :|2. G | A || C",
            &["C@1", "1. F@1 :|x2", "2. G@1", "2. A@1", "C@1"],
        ),
        ("C | 1. F :| 2. G | [", &[]),
        ("Key: C\n| I #ivdim7 | V # five", &["C@1 F#dim7@3", "G@1"]),
        ("| C F#m7 | #G7", &["C@1 F#m7@3"]),
        ("| C7(b9, #5) nc |", &["C7(#5,b9)@1 N.C.@3"]),
        ("[A]\n[B] C | %", &["C@1", "C@1"]),
    ] {
        if expected.is_empty() {
            assert!(chart::read(text).is_err(), "{text}");
        } else {
            assert_eq!(bars(text), expected, "{text}");
        }
    }
}

#[test]
fn errors_name_line_column_and_what_was_expected() {
    for (text, line, column, words) in [
        ("| C | Qm |", 1, 7, "A to G"),
        ("| C |\n| Cm7x |", 2, 6, "“x”"),
        ("| ♭ C", 1, 3, "A to G"),
        ("| C♯m♭ | c", 1, 6, "altered tone"),
        ("Tonart: C", 1, 1, "known are Title"),
        ("  A: C", 1, 3, "[A]"),
        ("Key: X", 1, 6, "expected a key"),
        ("Meter: 7/8", 1, 8, "4/4"),
        ("Tempo: 20", 1, 8, "30 to 320"),
        ("Lay-back: 50", 1, 11, "0 to 40"),
        ("Feel: loose", 1, 7, "swing"),
        ("Feel: swing 4:1", 1, 7, "3.5:1"),
        ("Tuning: H", 1, 9, "known by name"),
        ("Capo: x", 1, 7, "fret"),
        ("Capo: 19", 1, 7, "capo"),
        ("Pickup: 0", 1, 9, "pick-up"),
        ("Key: C\nKey: D", 2, 1, "twice"),
        ("C |\nKey: D", 2, 1, "above the first bar"),
        ("| % |", 1, 3, "before this %"),
        ("Pickup: 1\nC | %", 2, 5, "another length"),
        ("| C % |", 1, 5, "alone"),
        ("| C | [B] D", 1, 7, "start of a line"),
        ("[A | C", 1, 1, "closing ]"),
        (":| C", 1, 1, "no bar before"),
        ("| ii V", 1, 3, "Key:"),
        ("Key: C\n| iix", 2, 5, "“x”"),
        ("| C . F |", 1, 3, "3 chords and dots"),
        ("| C F@9 |", 1, 5, "not in the bar"),
        ("| C@3 F@2 |", 1, 7, "after the chord before"),
        ("| C@x |", 1, 3, "no beat"),
        ("| C F G@4 |", 1, 5, "every chord"),
        ("| C C C C C C C C C |", 1, 3, "too many chords"),
        ("| <x> C |", 1, 3, "<2>"),
        ("| C : D |", 1, 5, "A to G"),
    ] {
        let Err(error) = chart::read(text) else {
            panic!("{text} was read");
        };
        let at = (error.line, error.column);
        assert!(
            at == (line, column) && error.message.contains(words),
            "{text}: {error}"
        );
    }
}

#[test]
fn the_limit_is_two_thousand_bars() {
    assert_eq!(read(&"C|".repeat(2000)).n_bars(), 2000);
    let error = chart::read(&"C|".repeat(2001)).expect_err("too many");
    assert_eq!((error.line, error.column), (1, 4001));
}

#[test]
fn odd_but_harmless_things_are_noticed() {
    let notices = |text: &str| -> Vec<String> {
        let (_, notices) = chart::read(text).expect("a chart");
        notices.iter().map(ToString::to_string).collect()
    };
    assert!(notices("C | D").is_empty());
    assert!(notices("|: C | D :|").is_empty());
    assert_eq!(notices("Title: x"), ["the chart has no bars yet"]);
    let open = notices("C\n|: C | D");
    assert!(
        open.len() == 1 && open[0].starts_with("line 2: the repeat"),
        "{open:?}"
    );
}

#[test]
fn a_chart_is_written_as_one_would_type_it() {
    let text = "Title: Slow Bus Home\nKey: Bb major\nMeter: 4/4\nTempo: 112\nFeel: swing 2:1\n\
        Tuning: drop D\nCapo: 2\nPickup: 1\n\n[A]\n| F7 |: Bbmaj7 G7 | Cm7 . . F7 | . |\n\
        |1. N.C. :|2. C C#dim7@2.25 || F :|x3\n";
    let document = read(text);
    assert_eq!(chart_text::write(&document), text);
}

/// The tune of every bar: place and length in beats, `~` before a tied note.
fn tunes(text: &str) -> Vec<String> {
    let beats = |ticks: u32| f64::from(ticks) / 960.0;
    let one = |note: &TuneNote| {
        let tie = if note.tied { "~" } else { "" };
        let octave = note.spelling.octave_of(note.pitch);
        let (at, length) = (beats(note.at.0) + 1.0, beats(note.length.0));
        format!("{tie}{}{octave}@{at}+{length}", note.spelling)
    };
    let bar = |bar: &Bar| bar.tune.iter().map(one).collect::<Vec<_>>().join(" ");
    read(text).bars().map(bar).collect()
}

#[test]
fn tune_lines_give_the_bars_above_their_notes() {
    let text = "Key: Bb\n| Bbmaj7 | Eb7 | F7 | Bb6 |\nTune: D5 _ C5 A4 | Bb4 | - | G4@2.5 _A4@4";
    let expected = ["D5@1+2 C5@3+1 A4@4+1", "Bb4@1+4", "", "G4@2.5+1.5 ~A4@4+1"];
    assert_eq!(tunes(text), expected);
    let over = "C | F\ntune: | C5 - - E5 | _ _ D5 F#5 |\n\n# more\nC\nTune: _";
    let expected = ["C5@1+1 E5@4+1", "~E5@1+2 D5@3+1 F#5@4+1", "~F#5@1+4"];
    assert_eq!(tunes(over), expected);
    // As chords share a bar: the earlier ones take what is left over.
    assert_eq!(tunes("C\nTune: C5 D5 E5"), ["C5@1+2 D5@3+1 E5@4+1"]);
    let twelve = ["C5"; 12].join(" ");
    let triplets = tunes(&format!("C\nTune: {twelve}"));
    assert!(triplets[0].starts_with("C5@1+0.333"), "{triplets:?}");
    let six = "Meter: 6/8\nC | G\nTune: C5 D5 E5 F5 - _G5 | |";
    assert!(chart::read(six).is_ok());
    assert_eq!(
        tunes("Pickup: 1\nC | F\nTune: G4 A4 | |"),
        ["G4@1+0.5 A4@1.5+0.5", ""]
    );
}

#[test]
fn tune_lines_that_make_no_sense_are_refused_in_place() {
    for (text, line, column, word) in [
        ("Tune: C5", 1, 1, "under the line of bars"),
        ("[A]\nTune: C5", 2, 1, "under the line of bars"),
        ("C\nTune: C5\nTune: D5", 3, 1, "already, in line 2"),
        ("C | F\nTune: C5", 2, 6, "2 bars and this one 1"),
        ("C\nTune: C5 | D5", 2, 6, "1 bars and this one 2"),
        ("C\nTune: C", 2, 7, "no note"),
        ("C\nTune: C5 H5", 2, 10, "no note"),
        ("C\nTune: C99", 2, 7, "no note"),
        ("C\nTune: Cbbbb4", 2, 7, "no note"),
        ("C\nTune: _ C5", 2, 7, "holds the note before"),
        ("C\nTune: - _ C5 C5", 2, 9, "holds the note before"),
        ("C\nTune: C5 - E5", 2, 7, "3 places do not divide 4 beats"),
        ("C\nTune: C5 E5@5", 2, 10, "not in the bar"),
        ("C\nTune: C5@2 E5@2", 2, 12, "not after"),
        ("C\nTune: C5@2 E5", 2, 12, "everything but the first"),
        ("C\nTune: C5@x", 2, 7, "no beat"),
        ("C\nTune: |: C5 :|", 2, 8, "plain barlines"),
    ] {
        let error = chart::read(text).expect_err(text);
        assert_eq!(
            (error.line, error.column),
            (line, column),
            "{text}: {error}"
        );
        assert!(error.message.contains(word), "{text}: {error}");
    }
}

#[test]
fn numbers_out_of_all_proportion_are_refused_like_others() {
    for feel in [
        "swing 99999:1",
        "swing 4294967:1",
        "swing 1:99999.999",
        "swing 0:0",
    ] {
        assert!(chart::read(&format!("Feel: {feel}\nC")).is_err(), "{feel}");
    }
}

#[test]
fn a_tune_is_written_under_its_bars_in_the_simplest_way() {
    let text = "Key: F major\nMeter: 4/4\nTempo: 120\nFeel: straight\n\n| F6 | Gm7 | C7 | F6 |\n\
        Tune: C5 D5 F5 A5 | _ - G5 F5 | - | E5@1.25 _F5@2\n| F6 |\n| F6 | C7 |\nTune: C5 _ D5 _ _ E5 - - | F5\n";
    let once = chart_text::write(&read(text));
    assert!(
        once.contains("Tune: C5 D5 F5 A5 | _ - G5 F5 | - | - E5@1.25 _F5@2\n"),
        "{once}"
    );
    assert!(
        once.contains("Tune: - | C5 _ D5 _ _ E5 - - | F5\n"),
        "{once}"
    );
    assert_eq!(chart_text::write(&read(&once)), once);
}

/// A pick-up of 64 beats is the longest bar there is; its last beat is a place like any other.
#[test]
fn the_last_beat_of_the_longest_bar_can_be_named() {
    let text = "Key: C major\nMeter: 4/4\nTempo: 120\nFeel: straight\nPickup: 64\n\n[A]\n| C6@64.5 | F6 |\n\
        Tune: C4 E4@191/3 G4@193/3 | -\n";
    let once = chart_text::write(&read(text));
    assert!(once.contains("E4@191/3 G4@193/3"), "{once}");
    assert_eq!(chart_text::write(&read(&once)), once);
}

#[test]
fn a_very_long_line_is_refused_or_read_quickly() {
    let brackets = "C( ".repeat(200_000);
    assert!(chart::read(&brackets).is_err());
    assert!(chart::read(&"C".repeat(1_000_000)).is_err());
    assert!(chart::read(&"\t".repeat(1_000_000)).is_ok());
    assert!(chart::read(&"#".repeat(1_000_000)).is_ok());
    assert!(chart::read(&format!("C{}", " #".repeat(300_000))).is_ok());
}

const CHORDS: &[&str] = &[
    "C",
    "F#m7",
    "Bb7",
    "N.C.",
    "Ebmaj7",
    "A7(b9,#5)",
    "Dø",
    "G7alt",
    "C/E",
    "A♭Δ",
    "B°7",
    "C6/9",
    "E7(b9, b13)",
];

fn any_bar(meter: Meter) -> impl Strategy<Value = Bar> {
    let length = prop_oneof![
        6 => Just(None),
        1 => (1_u32..9).prop_map(|halves| Some(Ticks(halves * 480))),
        1 => (1_u32..8000).prop_map(|ticks| Some(Ticks(ticks))),
    ];
    let grid = proptest::sample::select(&[960_u32, 480, 320, 240, 1][..]);
    let places = proptest::collection::btree_set(0_u32..6000, 0..6);
    let names = proptest::collection::vec(proptest::sample::select(CHORDS), 6);
    let marks = (any::<bool>(), 0_u8..4, 0_u8..4, 0_u8..6);
    let letter = proptest::sample::select(&Letter::ALL[..]);
    let note = (
        0_u32..6000,
        1_u32..5000,
        letter,
        -2_i8..=2,
        0_i32..9,
        0_u8..3,
    );
    let notes = proptest::collection::vec(note, 0..8);
    let notes = prop_oneof![1 => Just(Vec::new()), 2 => notes];
    (length, grid, places, names, marks, notes).prop_map(
        move |(length, grid, places, names, (start, times, ending, rare), notes)| {
            let full = length.unwrap_or_else(|| meter.bar());
            let places: std::collections::BTreeSet<u32> =
                places.iter().map(|p| p % full.0 / grid * grid).collect();
            let chords = places.iter().zip(&names).map(|(at, name)| ChordAt {
                at: Ticks(*at),
                harmony: Harmony::parse(name).expect("a chord"),
                shape: None,
            });
            let mut tune: Vec<TuneNote> = Vec::new();
            for (at, length, letter, alter, octave, kind) in notes {
                let spelling = Spelling::new(letter, alter);
                let note = TuneNote {
                    at: Ticks(at % full.0 / grid * grid),
                    length: Ticks(length.div_ceil(grid) * grid),
                    pitch: spelling.in_octave(octave).expect("in range"),
                    spelling,
                    tied: kind == 0,
                };
                tune = with_note(&tune, note, full);
            }
            // Now and then a note goes on over the barline.
            if let [first, .., last] = tune.as_mut_slice()
                && rare == 5
                && first.at.0 == 0
            {
                (last.pitch, last.spelling) = (first.pitch, first.spelling);
            }
            Bar {
                chords: chords.collect(),
                tune,
                length,
                repeat_start: start && rare == 0,
                repeat_times: if rare < 2 { times } else { 0 },
                ending: if rare < 3 { ending } else { 0 },
                ..Bar::default()
            }
        },
    )
}

fn any_document() -> impl Strategy<Value = Document> {
    let meter = proptest::sample::select(&Meter::ALL[..]);
    let key = proptest::sample::select(&["C", "Bb", "F#m", "Ebm", "D"][..]);
    let feel = prop_oneof![
        Just(Feel::Straight),
        Just(Feel::FollowTempo),
        (1000_u16..=3500).prop_map(Feel::Swing),
    ];
    let feel = (feel, 0_u8..=40);
    (meter, key, feel, 30_u16..=320).prop_flat_map(|(meter, key, feel, tempo)| {
        let bars = proptest::collection::vec(any_bar(meter), 0..10);
        let section = ("[A-Za-z0-9 :|#♭(\\[-]{0,8}", bars).prop_map(|(name, bars)| Section {
            name: name.trim().into(),
            bars,
        });
        let words = ("[ -~]{0,12}", "\\PC{0,12}");
        (proptest::collection::vec(section, 0..4), words).prop_map(move |(sections, words)| {
            Document {
                title: words.0.trim().into(),
                credits: words.1.trim().into(),
                key: Key::parse(key).expect("a key"),
                meter,
                feel: feel.0,
                lay_back_ms: feel.1,
                tempo_bpm: tempo,
                sections: sections.into_iter().map(Arc::new).collect(),
                ..Document::default()
            }
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn what_is_written_reads_back_to_the_same_chart(document in any_document()) {
        let text = chart_text::write(&document);
        match chart::read(&text) {
            Ok((again, _)) => prop_assert_eq!(&again, &document, "{}", text),
            Err(error) => prop_assert!(false, "{error}\n{text}"),
        }
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "(\\PC|\n){0,80}") {
        let _ = chart::read(&text);
    }

    #[test]
    fn texts_of_chart_characters_are_read_or_refused_in_place(
        text in "(Key: C\n)?((Tune:)?[A-GivIV#b7m@%./<>()1-4x_ \\[\\]-]{0,4}[|:\n#]){0,12}",
    ) {
        match chart::read(&text) {
            Ok((document, _)) => {
                let (again, _) = chart::read(&chart_text::write(&document)).expect("our own text");
                prop_assert_eq!(again.sections, document.sections);
            }
            Err(error) => {
                let line = text.lines().nth(error.line - 1).unwrap_or("");
                prop_assert!(error.column <= line.chars().count() + 1, "{error}");
                prop_assert!(!error.message.is_empty());
            }
        }
    }
}
