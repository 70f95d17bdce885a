//! Project files: everything in a document survives saving and opening, every project ever
//! shipped still opens, and damaged or newer files are refused in words while they stay as they
//! are. Checks against our own format only; nothing here needs the window.

mod any_sheet;

use any_sheet::any_sheet;
use proptest::prelude::*;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use thumbwalk::document::Bar;
use thumbwalk::document::BarLine;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Choruses;
use thumbwalk::document::Document;
use thumbwalk::document::Feel;
use thumbwalk::document::KeptVersion;
use thumbwalk::document::LadderRung;
use thumbwalk::document::LineSettings;
use thumbwalk::document::Section;
use thumbwalk::document::TUNE_OCTAVES;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::TuneDensity;
use thumbwalk::document::TuneNote;
use thumbwalk::document::TuneSettings;
use thumbwalk::document::Walk;
use thumbwalk::document::types::Approach;
use thumbwalk::files;
use thumbwalk::instrument::Hand;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::Shape;
use thumbwalk::instrument::StringIdx;
use thumbwalk::instrument::StringSet;
use thumbwalk::instrument::Tuning;
use thumbwalk::session::open;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::ChordSymbol;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::HouseStyle;
use thumbwalk::theory::Key;
use thumbwalk::theory::Letter;
use thumbwalk::theory::Meter;
use thumbwalk::theory::Midi;
use thumbwalk::theory::MoveSet;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::Quality;
use thumbwalk::theory::Rule;
use thumbwalk::theory::RuleSet;
use thumbwalk::theory::ScaleChoice;
use thumbwalk::theory::Slide;
use thumbwalk::theory::Spelling;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

fn place() -> impl Strategy<Value = Ticks> {
    // Any tick of the shortest metre's bar (two beats), so that it lies inside every bar.
    (0u32..1920).prop_map(Ticks)
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~]{0,20}",
        "\\PC{0,20}",
        Just("one\ntwo \"three\" \\ ♭♯\t".to_owned())
    ]
}

fn harmony() -> impl Strategy<Value = Harmony> {
    const SYMBOLS: [&str; 8] = [
        "C", "Ebm7b5", "G7b9", "F#13", "Bbmaj7", "C/E", "Am6", "Ddim7",
    ];
    prop_oneof![
        1 => Just(Harmony::NoChord),
        5 => proptest::sample::select(&SYMBOLS[..])
            .prop_map(|s| Harmony::Chord(ChordSymbol::parse(s).expect("a chord"))),
    ]
}

fn shape() -> impl Strategy<Value = Shape> {
    proptest::collection::vec(proptest::option::of(0u8..=36), 6).prop_map(|frets| {
        let strings = (0u8..).zip(frets);
        strings.fold(Shape::silent(6), |shape, (s, fret)| {
            shape.with(StringIdx(s), fret)
        })
    })
}

fn plucks() -> impl Strategy<Value = Option<Vec<Pluck>>> {
    let how = prop_oneof![Just(Articulation::Ring), Just(Articulation::Short)];
    let how = (how, any::<bool>());
    let list = proptest::collection::btree_map(place(), how, 0..4).prop_map(|map| {
        let pluck = |(at, (articulation, ahead))| Pluck {
            at,
            articulation,
            ahead,
        };
        map.into_iter().map(pluck).collect()
    });
    proptest::option::of(list)
}

fn bar_line() -> impl Strategy<Value = BarLine> {
    let moves = proptest::collection::vec(proptest::sample::select(&ThumbMove::ALL[..]), 1..5);
    (
        proptest::option::of(proptest::sample::select(&Walk::ALL[..])),
        proptest::option::of(moves.prop_map(|moves| moves.into_iter().collect::<MoveSet>())),
        proptest::option::of(any::<bool>()),
    )
        .prop_map(|(walk, moves, riff)| BarLine { walk, moves, riff })
}

/// Notes side by side in the first half of a bar.
fn tune() -> impl Strategy<Value = Vec<TuneNote>> {
    let note = (
        0u32..300,
        1u32..300,
        24u8..=100,
        proptest::sample::select(&Letter::ALL[..]),
        any::<bool>(),
    );
    proptest::collection::vec(note, 0..4).prop_map(|notes| {
        let mut end = 0;
        let mut tune = Vec::new();
        for (gap, length, number, letter, tied) in notes {
            let pitch = Midi::new(number).expect("in range");
            let at = end + gap;
            end = at + length;
            let spelling = Spelling::with_letter(letter, pitch.pitch_class());
            tune.extend(spelling.map(|spelling| TuneNote {
                at: Ticks(at),
                length: Ticks(length),
                pitch,
                spelling,
                tied,
            }));
        }
        tune
    })
}

fn rung() -> impl Strategy<Value = LadderRung> {
    let moves = proptest::collection::vec(proptest::sample::select(&ThumbMove::ALL[..]), 0..4);
    (
        (text(), text()),
        proptest::sample::select(&Walk::ALL[..]),
        proptest::option::of(moves),
        any::<(bool, bool)>(),
        proptest::collection::vec(30u16..=320, 0..3),
    )
        .prop_map(
            |((name, advice), walk, moves, (slides, tune), reached)| LadderRung {
                name,
                walk,
                moves: moves.map(|moves| MoveSet::of(&moves)),
                slides,
                tune,
                advice,
                reached,
            },
        )
}

fn choruses() -> impl Strategy<Value = Choruses> {
    let number = 1u8..=12;
    (number.clone(), number).prop_map(|(count, on_sheet)| Choruses { count, on_sheet })
}

fn tune_settings() -> impl Strategy<Value = TuneSettings> {
    let density = proptest::sample::select(&TuneDensity::ALL[..]);
    (density, TUNE_OCTAVES).prop_map(|(density, octaves)| TuneSettings { density, octaves })
}

fn bar() -> impl Strategy<Value = Bar> {
    let cell = prop_oneof![
        proptest::sample::select(&ThumbMove::ALL[..]).prop_map(ThumbCell::Move),
        (0u8..6, 0u8..=36).prop_map(|(s, fret)| ThumbCell::Place(StringIdx(s), fret)),
        (
            proptest::sample::select(&ThumbMove::ALL[..]),
            0u8..6,
            0u8..=36
        )
            .prop_map(|(named, s, fret)| ThumbCell::Kept(named, StringIdx(s), fret)),
    ];
    let chord = (harmony(), proptest::option::of(shape()));
    (
        proptest::collection::btree_map(place(), chord, 0..4),
        proptest::collection::btree_map(place(), cell, 0..5),
        (plucks(), bar_line(), tune()),
        proptest::collection::btree_map(place(), proptest::sample::select(&Slide::ALL[..]), 0..3),
        proptest::option::of((1920u32..6000).prop_map(Ticks)),
        (any::<bool>(), any::<u8>(), any::<u8>()),
    )
        .prop_map(
            |(chords, thumb, (plucks, line, tune), slides, length, repeat)| Bar {
                chords: chords
                    .into_iter()
                    .map(|(at, (harmony, shape))| ChordAt { at, harmony, shape })
                    .collect(),
                thumb: thumb.into_iter().collect(),
                line,
                plucks,
                slides: slides.into_iter().collect(),
                tune,
                length,
                repeat_start: repeat.0,
                repeat_times: repeat.1,
                ending: repeat.2,
            },
        )
}

fn instrument() -> impl Strategy<Value = Instrument> {
    (
        (text(), proptest::collection::vec(0u8..128, 6)),
        (0u8..=12, 17u8..=36),
        300.0..=900.0,
        any::<(bool, bool)>(),
    )
        .prop_map(
            |((name, open), (capo, frets), scale_mm, (steel, left_handed))| {
                let open: Vec<Midi> = open.into_iter().filter_map(Midi::new).collect();
                Instrument {
                    tuning: Tuning::new(&name, &open).expect("six strings"),
                    capo,
                    frets,
                    scale_mm,
                    strings: if steel {
                        StringSet::Steel
                    } else {
                        StringSet::Nylon
                    },
                    left_handed,
                }
            },
        )
}

fn hand() -> impl Strategy<Value = Hand> {
    let reach = 500u16..=1500;
    (text(), reach, any::<(bool, bool)>(), 3u8..=4).prop_map(
        |(name, reach_permille, flags, plucking_fingers)| Hand {
            name,
            reach_permille,
            thumb_over: flags.0,
            barre: flags.1,
            plucking_fingers,
        },
    )
}

fn line() -> impl Strategy<Value = LineSettings> {
    let approach = prop_oneof![
        Just(Approach::Below),
        Just(Approach::Above),
        Just(Approach::Alternate),
        Just(Approach::Easiest),
    ];
    (
        prop::sample::select(Walk::ALL.to_vec()),
        approach,
        any::<u64>(),
        plucks(),
        any::<(bool, bool, bool)>(),
        (
            proptest::collection::vec(proptest::sample::select(&Rule::ALL[..]), 0..4),
            proptest::collection::vec(
                (0u8..12, proptest::sample::select(&Quality::WORDS[..])),
                0..3,
            ),
        ),
    )
        .prop_map(
            |(
                walk,
                approach,
                seed,
                plucks,
                (open_strings, keep_hardest_easy, riff),
                (rules_off, scales),
            )| LineSettings {
                riff,
                rules_off: rules_off.into_iter().fold(RuleSet::EMPTY, RuleSet::with),
                scales: scales
                    .into_iter()
                    .map(|(above_tonic, (quality, _))| ScaleChoice {
                        above_tonic,
                        quality,
                        scale: "dorian".into(),
                    })
                    .collect(),
                walk,
                approach,
                seed,
                plucks,
                open_strings,
                keep_hardest_easy,
            },
        )
}

/// A document that keeps versions of other tunes.
fn document() -> impl Strategy<Value = Document> {
    let version = (text(), single());
    (single(), proptest::collection::vec(version, 0..2)).prop_map(|(document, versions)| {
        let kept = |(number, (name, document)): (usize, (String, Document))| KeptVersion {
            name: format!("{number} {name}"),
            document: Arc::new(document),
        };
        Document {
            versions: versions.into_iter().enumerate().map(kept).collect(),
            ..document
        }
    })
}

fn single() -> impl Strategy<Value = Document> {
    let feel = prop_oneof![
        Just(Feel::Straight),
        Just(Feel::FollowTempo),
        (1000u16..=3500).prop_map(Feel::Swing),
    ];
    let feel = (feel, 0u8..=40);
    let key = proptest::sample::select(&["C major", "Bb minor", "F# major", "Eb major"][..]);
    let section = (text(), proptest::collection::vec(bar(), 0..4));
    (
        (text(), text(), text(), any_sheet()),
        (
            key,
            proptest::sample::select(&Meter::ALL[..]),
            30u16..=320,
            feel,
        ),
        any::<bool>(),
        (
            instrument(),
            hand(),
            line(),
            tune_settings(),
            (proptest::collection::vec(rung(), 0..3), choruses()),
        ),
        proptest::collection::vec(section, 0..4),
    )
        .prop_map(
            |(texts, (key, meter, tempo_bpm, (feel, lay_back_ms)), signs, parts, sections)| {
                Document {
                    title: texts.0,
                    credits: texts.1,
                    key: Key::parse(key).expect("a key"),
                    meter,
                    tempo_bpm,
                    feel,
                    lay_back_ms,
                    house_style: if signs {
                        HouseStyle::Signs
                    } else {
                        HouseStyle::Letters
                    },
                    instrument: Arc::new(parts.0),
                    hand: Arc::new(parts.1),
                    line: parts.2,
                    tune: parts.3,
                    choruses: parts.4.1,
                    rungs: parts.4.0,
                    lesson_text: texts.2,
                    sheet: texts.3,
                    sections: sections
                        .into_iter()
                        .map(|(name, bars)| Arc::new(Section { name, bars }))
                        .collect(),
                    versions: Vec::new(),
                }
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(200)
    })]

    #[test]
    fn a_saved_document_opens_as_it_was(document in document()) {
        let text = files::text_from_document(&document);
        prop_assert!(files::is_project_text(&text));
        let (opened, notices) = files::project_from_text(&text).expect("opens");
        prop_assert_eq!(&opened, &document);
        prop_assert_eq!(notices, Vec::<String>::new());
        prop_assert_eq!(files::text_from_document(&opened), text);
    }

    #[test]
    fn a_project_cut_short_or_scribbled_on_never_panics(
        document in document(),
        cut in any::<proptest::sample::Index>(),
        scribble in "[ -~]{0,3}",
    ) {
        let text = files::text_from_document(&document);
        let at = (0..=cut.index(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
        let (head, tail) = text.split_at(at);
        // Whatever comes out, it comes out as a value.
        drop(files::project_from_text(head));
        drop(files::project_from_text(&format!("{head}{scribble}{tail}")));
    }
}

fn projects_in(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<PathBuf> = std::fs::read_dir(&folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == files::PROJECT_ENDING))
        .collect();
    paths.sort();
    assert!(!paths.is_empty(), "nothing in {}", folder.display());
    paths
}

#[test]
fn every_project_ever_shipped_still_opens() {
    for path in projects_in("tests/projects/v1") {
        let (document, notices) = files::load_project(&path).unwrap_or_else(|e| panic!("{e}"));
        assert!(notices.is_empty(), "{}: {notices:?}", path.display());
        assert!(document.n_bars() > 0, "{}", path.display());
    }
}

#[test]
fn the_sample_projects_open_and_say_what_their_charts_say() {
    let paths = projects_in("sample-projects");
    assert_eq!(paths.len(), thumbwalk::session::samples::SAMPLES.len());
    for path in paths {
        let chart = path.with_extension("chart.txt");
        let project = open::open(&path).unwrap_or_else(|e| panic!("{e}"));
        let from_chart = open::open(&chart).unwrap_or_else(|e| panic!("{e}"));
        assert!(project.is_project && !from_chart.is_project);
        assert_eq!(project.document, from_chart.document, "{}", path.display());
        assert_eq!((project.notices.len(), from_chart.notices.len()), (0, 0));
        let n_bars = project.document.n_bars();
        assert!(
            (12..=32).contains(&n_bars),
            "{}: {n_bars} bars",
            path.display()
        );
        assert!(!project.document.lesson_text.is_empty());
    }
}

#[test]
fn a_full_project_has_every_field_where_the_file_says() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/v1/everything.ron");
    let (document, _) = files::load_project(&path).expect("opens");
    assert_eq!(document.title, "Everything at once");
    assert_eq!(document.credits, "Test bench");
    assert_eq!(document.key.to_string(), "Eb minor");
    assert_eq!(document.meter.to_string(), "12/8");
    assert_eq!((document.tempo_bpm, document.feel), (84, Feel::Swing(1667)));
    assert_eq!(document.house_style, HouseStyle::Signs);
    let instrument = &document.instrument;
    // Open strings of drop D as MIDI numbers: common practice, D2 A2 D3 G3 B3 E4.
    let open: Vec<u8> = instrument
        .tuning
        .open()
        .iter()
        .map(|m| m.number())
        .collect();
    assert_eq!(open, [38, 45, 50, 55, 59, 64]);
    assert_eq!((instrument.capo, instrument.frets), (2, 19));
    assert_eq!(instrument.strings, StringSet::Steel);
    assert!(instrument.left_handed);
    assert_eq!(document.hand.name, "Student");
    assert_eq!(document.hand.reach_permille, 850);
    assert_eq!(document.line.approach, Approach::Alternate);
    assert_eq!(document.line.seed, 7);
    assert_eq!(document.lesson_text, "Slow first.\nThen slower.");
    let first = document.bar(0).expect("a bar");
    assert_eq!(first.length, Some(Ticks(960)));
    assert_eq!(
        first.chords.first().map(|c| &c.harmony),
        Some(&Harmony::NoChord)
    );
    let second = document.bar(1).expect("a bar");
    assert!(second.repeat_start);
    assert_eq!(
        second.chords.get(1).and_then(|c| c.shape),
        Shape::parse("3x343x")
    );
    assert_eq!(
        second.thumb,
        [
            (Ticks(0), ThumbCell::Move(ThumbMove::Root)),
            (Ticks(960), ThumbCell::Place(StringIdx(0), 3)),
        ]
    );
    assert_eq!(second.plucks.as_ref().map(Vec::len), Some(2));
    let last = document.bar(2).expect("a bar");
    assert_eq!((last.repeat_times, last.ending), (2, 1));
}

/// Each file of `tests/projects/refused` with words that its message must have.
const REFUSED: [(&str, &[&str]); 8] = [
    (
        "newer.ron",
        &["newer Thumbwalk", "version 2", "not been changed"],
    ),
    (
        "other-format.ron",
        &["not a Thumbwalk project", "grocery-list"],
    ),
    ("cut-short.ron", &["damaged at line 9", "earlier copy"]),
    ("unknown-field.ron", &["line 6", "temppo"]),
    ("bad-chord.ron", &["in bar 2", "chord `Xm7`", "from A to G"]),
    ("bad-shape.ron", &["in bar 1", "3x4q3x", "shape such as"]),
    ("bad-meter.ron", &["in the header", "meter `7/9`", "4/4"]),
    ("no-header.ron", &["damaged at line 1", "format"]),
];

#[test]
fn what_cannot_be_opened_is_refused_in_words_and_left_alone() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/refused");
    for (name, words) in REFUSED {
        let path = folder.join(name);
        let before = std::fs::read(&path).expect("the file is there");
        let message = match files::load_project(&path) {
            Ok(_) => panic!("{name} was opened"),
            Err(error) => error.to_string(),
        };
        for word in words {
            assert!(message.contains(word), "{name}: {message}\nlacks {word:?}");
        }
        assert!(message.ends_with(name), "the path comes last: {message}");
        assert_eq!(std::fs::read(&path).expect("still there"), before);
    }
    assert_eq!(projects_in("tests/projects/refused").len(), REFUSED.len());
}

#[test]
fn values_out_of_range_are_brought_into_it_with_a_sentence_each() {
    let text = r#"(
        format: "thumbwalk-project", version: 1, key: "C major", meter: "4/4",
        tempo: 900, feel: "swing 9:1", lay_back: 200,
        hand: (plucking_fingers: 7),
        sections: [(bars: [(
            chords: [(at: 1920, chord: "G7"), (chord: "C"), (at: 9000, chord: "F"), (chord: "D")],
        )])],
    )"#;
    let (document, notices) = files::project_from_text(text).expect("opens");
    assert_eq!(
        (document.tempo_bpm, document.feel),
        (320, Feel::Swing(3500))
    );
    assert_eq!(document.lay_back_ms, 40);
    assert_eq!(document.hand.plucking_fingers, 4);
    let bar = document.bar(0).expect("a bar");
    let style = HouseStyle::Letters;
    let chords: Vec<String> = bar
        .chords
        .iter()
        .map(|c| c.harmony.printed(style))
        .collect();
    assert_eq!(chords, ["C", "G7"]);
    let all = notices.join("\n");
    assert_eq!(notices.len(), 6, "{all}");
    for words in [
        "tempo 900",
        "lay-back",
        "swing",
        "plucking fingers 7",
        "in bar 1: F at tick 9000",
        "more than one chord",
    ] {
        assert!(all.contains(words), "{all}\nlacks {words:?}");
    }
}

#[test]
fn a_saved_project_is_readable_one_bar_a_line() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/v1/everything.ron");
    let (document, _) = files::load_project(&path).expect("opens");
    let text = files::text_from_document(&document);
    assert!(text.contains("format: \"thumbwalk-project\""));
    let chords = text.lines().filter(|line| line.contains("chords:"));
    assert_eq!(chords.count(), 3, "{text}");
    assert!(
        text.contains("shape:\"3x343x\"") || text.contains("shape: \"3x343x\""),
        "{text}"
    );
}

#[test]
fn charts_are_not_taken_for_projects() {
    for (text, expected) in [
        ("Title: Blues\n| C7 |", false),
        ("# comment\n\n[A]\n| C7 | % |", false),
        ("", false),
        (
            "// note\n\n(format: \"thumbwalk-project\", version: 1)",
            true,
        ),
        ("  ( version: 3 )", true),
    ] {
        assert_eq!(files::is_project_text(text), expected, "{text:?}");
    }
}
