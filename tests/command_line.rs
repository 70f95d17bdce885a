//! The program from outside: runs the binary in a temporary folder and looks at what it writes,
//! what it says and how it ends. JSON is read back as plain values, as another program would, and
//! held against facts that do not come from our own code.

use serde_json::Value;
use std::collections::BTreeSet;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;
use std::process::Stdio;
use thumbwalk::session::export::FORMATS;

/// Open strings of the standard tuning as MIDI numbers, string 6 to 1: E2 A2 D3 G3 B3 E4 (common
/// practice; MIDI numbers by the General MIDI convention that A4 = 69).
const STANDARD: [i64; 6] = [40, 45, 50, 55, 59, 64];

const PROJECT: &str = r#"(
  format: "thumbwalk-project", version: 1, title: "Four bars", key: "Bb major", meter: "4/4",
  tempo: 120, feel: "swing 2:1",
  sections: [(name: "A", bars: [
    (chords: [(chord: "Cm7")]),
    (chords: [(chord: "F7")]),
    (chords: [(chord: "Bbmaj7"), (at: 1920, chord: "G7")], repeat_times: 2),
    (chords: [(chord: "N.C.")]),
  ])],
)"#;

struct Ran {
    code: Option<i32>,
    out: String,
    err: String,
}

impl Ran {
    fn json(&self) -> Value {
        assert_eq!(self.code, Some(0), "{}", self.err);
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {}", self.out))
    }
}

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_thumbwalk"))
}

fn run_with(args: &[&str], folder: &Path, input: &str) -> Ran {
    let mut child = program()
        .args(args)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("piped");
    // A job that reads no input may be over before this is written.
    drop(stdin.write_all(input.as_bytes()));
    drop(stdin);
    let output = child.wait_with_output().expect("the program ends");
    Ran {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).expect("text"),
        err: String::from_utf8(output.stderr).expect("text"),
    }
}

fn run(args: &[&str]) -> Ran {
    run_with(args, Path::new("."), "")
}

/// Runs a command with the small project above on its standard input.
fn run_on_project(args: &[&str]) -> Ran {
    run_with(args, Path::new("."), PROJECT)
}

fn list<'a>(value: &'a Value, key: &str) -> &'a Vec<Value> {
    let list = value.get(key).and_then(Value::as_array);
    list.unwrap_or_else(|| panic!("`{key}` is a list in {value}"))
}

fn number(value: &Value, key: &str) -> i64 {
    let number = value.get(key).and_then(Value::as_i64);
    number.unwrap_or_else(|| panic!("`{key}` is a number in {value}"))
}

fn word<'a>(value: &'a Value, key: &str) -> &'a str {
    let word = value.get(key).and_then(Value::as_str);
    word.unwrap_or_else(|| panic!("`{key}` is text in {value}"))
}

fn keys(value: &Value) -> BTreeSet<&str> {
    let object = value.as_object().expect("an object");
    object.keys().map(String::as_str).collect()
}

/// Pitch class of a spelled note, C = 0: letters by the white keys, then sharps and flats.
fn pitch_class(spelled: &str) -> i64 {
    let mut chars = spelled.chars();
    let letter = chars.next().expect("a letter");
    let white = [
        ('C', 0),
        ('D', 2),
        ('E', 4),
        ('F', 5),
        ('G', 7),
        ('A', 9),
        ('B', 11),
    ];
    let natural = white.iter().find(|(l, _)| *l == letter).expect("A to G").1;
    let signs: i64 = chars.map(|c| if c == 'b' { -1 } else { 1 }).sum();
    (natural + signs).rem_euclid(12)
}

#[test]
fn the_program_tells_its_version_and_every_command_has_help() {
    let version = run(&["--version"]);
    assert_eq!(
        version.out,
        concat!("thumbwalk ", env!("CARGO_PKG_VERSION"), "\n")
    );
    assert_eq!(version.code, Some(0));
    let help = run(&["--help"]);
    assert_eq!((help.code, help.err.as_str()), (Some(0), ""));
    for command in [
        "chord", "voicings", "arrange", "export", "check", "events", "trellis",
    ] {
        assert!(help.out.contains(&format!("  {command} ")), "{command}");
        let own = run(&[command, "--help"]);
        assert_eq!(own.code, Some(0), "{command}");
        assert!(
            own.out.contains(&format!("usage: thumbwalk {command}")),
            "{command}"
        );
    }
}

#[test]
fn wrong_usage_ends_with_2_and_words_on_standard_error() {
    for args in [
        &["chord"][..],
        &["chord", "C7", "--nonsense"],
        &["voicings", "C7", "--bass", "9"],
        &["arrange", "chart.txt"],
        &["arrange", "chart.txt", "-o", "x.ron", "--swing", "5"],
        &["nonsense"],
        &["import", "song.mid"],
        &["keys", "x.ron", "--capo", "6"],
        &["keys", "x.ron", "--capos", "3-1"],
        &["keys", "x.ron", "--range", "E5-D3"],
        &["ladder", "x.ron"],
        &["drill", "x.ron", "--rung", "0"],
        &["drill", "x.ron", "--lines", "25"],
        &["drill", "x.ron", "--series", "0"],
    ] {
        let ran = run(args);
        assert_eq!(ran.code, Some(2), "{args:?}");
        assert_eq!(ran.out, "", "{args:?}");
        assert!(ran.err.starts_with("thumbwalk: "), "{args:?}: {}", ran.err);
    }
}

/// A lead sheet of two bars, in the markup of MusicXML 4.0.
const SCORE: &str = "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Voice</part-name>\
    </score-part></part-list><part id='P1'><measure number='1'><attributes><divisions>1</divisions>\
    <key><fifths>-2</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>\
    <harmony><root><root-step>C</root-step></root><kind>minor-seventh</kind></harmony>\
    <note><pitch><step>E</step><alter>-1</alter><octave>5</octave></pitch><duration>4</duration></note></measure>\
    <measure number='2'><harmony><root><root-step>F</root-step></root><kind>dominant</kind></harmony>\
    <note><grace/><pitch><step>A</step><octave>4</octave></pitch></note>\
    <note><rest/><duration>4</duration></note></measure></part></score-partwise>";

#[test]
fn scores_of_other_programs_are_imported_and_taken_by_every_command() {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path();
    std::fs::write(path.join("lead.musicxml"), SCORE).expect("written");
    let ran = run_with(&["import", "lead.musicxml", "-o", "lead.ron"], path, "");
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(
        ran.out
            .starts_with("2 bars in Bb major, 4/4, 2 chords, 1 notes"),
        "{}",
        ran.out
    );
    assert!(
        ran.err.contains("note: bar 2: grace notes are left out"),
        "{}",
        ran.err
    );
    let ran = run_with(&["import", "-", "-o", "lead.txt"], path, SCORE);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let chart = std::fs::read_to_string(path.join("lead.txt")).expect("written");
    assert!(chart.contains("Cm7 |"), "{chart}");
    let listed = run_with(&["import", "lead.musicxml", "--list"], path, "");
    assert!(
        listed
            .out
            .contains("*  1  Voice: 2 bars, 1 note, 2 chord symbols"),
        "{}",
        listed.out
    );
    let events = run_with(&["events", "lead.musicxml", "--json"], path, "").json();
    assert!(!events["notes"].as_array().expect("notes").is_empty());
    for (args, code) in [
        (&["import", "lead.musicxml", "-o", "lead.pdf"][..], 1),
        (
            &["import", "lead.musicxml", "-o", "x.ron", "--part", "2"],
            1,
        ),
        (&["import", "lead.txt", "-o", "x.ron", "--part", "1"], 1),
        (
            &["import", "lead.musicxml", "-o", "x.ron", "--part", "0"],
            2,
        ),
        (&["import", "lead.musicxml", "-o", "x.ron", "--list"], 2),
        (
            &["import", "lead.musicxml", "-o", "x.ron", "--grid", "32"],
            2,
        ),
    ] {
        let ran = run_with(args, path, "");
        assert_eq!(ran.code, Some(code), "{args:?}: {}", ran.err);
        assert!(!path.join("x.ron").exists(), "{args:?}");
    }
}

#[test]
fn refused_input_ends_with_1_and_says_what_and_where() {
    let folder = tempfile::tempdir().expect("folder");
    let newer = PROJECT.replace("version: 1", "version: 99");
    std::fs::write(folder.path().join("newer.ron"), &newer).expect("written");
    std::fs::write(folder.path().join("bytes.txt"), [b'|', 0xFF, 0xFE]).expect("written");
    for (args, words) in [
        (&["chord", "Cqqq"][..], "Cqqq"),
        (&["voicings", "C7", "--tuning", "E E E"], "open strings"),
        (&["voicings", "C7", "--capo", "30"], "capo"),
        (&["check", "missing.ron"], "no such file"),
        (&["check", "newer.ron"], "newer Thumbwalk"),
        (&["check", "bytes.txt"], "not UTF-8"),
        (
            &["arrange", "newer.ron", "-o", "out.ron"],
            "newer Thumbwalk",
        ),
        (&["arrange", "newer.ron", "-o", "out.pdf"], "ends in .ron"),
    ] {
        let ran = run_with(args, folder.path(), "");
        assert_eq!(ran.code, Some(1), "{args:?}: {}", ran.err);
        assert_eq!(ran.out, "", "{args:?}");
        assert!(ran.err.contains(words), "{args:?}: {}", ran.err);
    }
    let kept = std::fs::read_to_string(folder.path().join("newer.ron")).expect("there");
    assert_eq!(kept, newer, "a refused file stays as it is");
    assert!(!folder.path().join("out.ron").exists());
}

/// `tests/tables/chords.json`: pitch classes of chord symbols as read by four published libraries
/// (named in the table), with what common practice requires and allows.
#[test]
fn chords_have_the_notes_that_published_libraries_give_them() {
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tables/chords.json");
    let table = std::fs::read_to_string(table).expect("the table is there");
    let table: Value = serde_json::from_str(&table).expect("JSON");
    let set = |value: &Value, key: &str| -> BTreeSet<i64> {
        list(value, key).iter().filter_map(Value::as_i64).collect()
    };
    // Every seventh row: the whole table is held against the parser in `theory_tables.rs`.
    let rows = list(&table, "chords").iter().step_by(7);
    for row in rows {
        let symbol = word(row, "symbol");
        let chord = run(&["chord", "--json", "--", symbol]).json();
        assert_eq!(word(&chord, "format"), "thumbwalk-chord-1");
        assert_eq!(word(&chord, "symbol"), symbol);
        let (required, optional) = (set(&chord, "required"), set(&chord, "optional"));
        let all = set(&chord, "pitch_classes");
        assert_eq!(
            required.union(&optional).copied().collect::<BTreeSet<_>>(),
            all,
            "{symbol}"
        );
        assert!(required.is_disjoint(&optional), "{symbol}");
        let spelled: BTreeSet<i64> = list(&chord, "notes")
            .iter()
            .map(|n| pitch_class(n.as_str().expect("text")))
            .collect();
        assert_eq!(spelled, all, "{symbol}");
        assert!(set(row, "required").is_subset(&all), "{symbol}: {chord}");
        assert!(all.is_subset(&set(row, "allowed")), "{symbol}: {chord}");
        assert_eq!(
            pitch_class(word(&chord, "root")),
            number(row, "root_pc"),
            "{symbol}"
        );
        assert_eq!(
            pitch_class(word(&chord, "bass")),
            number(row, "bass_pc"),
            "{symbol}"
        );
    }
}

#[test]
fn voicings_sound_what_they_say_and_come_by_rising_effort() {
    let ran = run(&["voicings", "Ebmaj7", "--json"]).json();
    let expected = ["count", "format", "symbol", "tuning", "voicings"].into();
    assert_eq!(keys(&ran), expected);
    assert_eq!(word(&ran, "format"), "thumbwalk-voicings-1");
    assert_eq!(word(&ran, "tuning"), "standard");
    let voicings = list(&ran, "voicings");
    assert_eq!(
        number(&ran, "count"),
        i64::try_from(voicings.len()).expect("fits")
    );
    assert!(voicings.len() > 20);
    let mut before = 0;
    for voicing in voicings {
        let frets = list(voicing, "frets");
        let fingers = list(voicing, "fingers");
        assert_eq!((frets.len(), fingers.len()), (6, 6));
        let mut sounding = Vec::new();
        for ((open, fret), finger) in STANDARD.iter().zip(frets).zip(fingers) {
            match fret.as_i64() {
                None => assert!(finger.is_null(), "{voicing}"),
                Some(fret) => {
                    assert_eq!(fret == 0, finger.as_i64() == Some(0), "{voicing}");
                    sounding.push((open + fret) % 12);
                }
            }
        }
        let spelled: Vec<i64> = list(voicing, "notes")
            .iter()
            .map(|n| pitch_class(n.as_str().expect("text")))
            .collect();
        assert_eq!(spelled, sounding, "{voicing}");
        // The third and the seventh of Eb major 7 are G and D: a voicing without one of them is
        // another chord (common practice).
        assert!(sounding.contains(&7) && sounding.contains(&2), "{voicing}");
        let place = usize::try_from(6 - number(voicing, "thumb_string")).expect("a string");
        let bass = STANDARD[place] + frets[place].as_i64().expect("the thumb's string sounds");
        assert_eq!(bass % 12, 3, "the bass is Eb: {voicing}");
        let effort = voicing.get("effort").expect("effort");
        let terms = effort.as_object().expect("an object").iter();
        let terms: i64 = terms
            .filter(|(k, _)| *k != "total")
            .filter_map(|(_, v)| v.as_i64())
            .sum();
        let total = number(effort, "total");
        assert_eq!(terms, total, "{voicing}");
        assert!(total >= before, "the easiest first");
        before = total;
    }
}

#[test]
fn top_takes_the_first_of_the_same_list() {
    let all = run(&["voicings", "G7", "--json", "--bass", "any"]).json();
    let top = run(&["voicings", "G7", "--json", "--bass", "any", "--top", "3"]).json();
    assert_eq!(
        list(&top, "voicings").as_slice(),
        &list(&all, "voicings")[..3]
    );
    let table = run(&["voicings", "G7", "--top", "3"]);
    assert_eq!(table.out.lines().count(), 5, "{}", table.out);
}

#[test]
fn arrange_writes_a_project_that_opens_and_says_the_same_again() {
    let folder = tempfile::tempdir().expect("folder");
    let made = run_with(
        &[
            "arrange",
            "-",
            "-o",
            "made.ron",
            "--seed",
            "5",
            "--swing",
            "1.5:1",
            "--approach",
            "easiest",
            "--tuning",
            "drop D",
            "--capo",
            "1",
        ],
        folder.path(),
        PROJECT,
    );
    assert!(matches!(made.code, Some(0 | 1)), "{}", made.err);
    assert!(made.out.contains("Four bars"), "{}", made.out);
    let text = std::fs::read_to_string(folder.path().join("made.ron")).expect("written");
    for words in [
        "seed: 5",
        "\"swing 1.5:1\"",
        "\"easiest\"",
        "\"drop D\"",
        "\"D2 A2 D3 G3 B3 E4\"",
        "capo: 1",
        "chord: \"Bbmaj7\"",
    ] {
        assert!(text.contains(words), "{words} in {text}");
    }
    let again = run_with(
        &["arrange", "made.ron", "-o", "again.ron"],
        folder.path(),
        "",
    );
    assert_eq!(again.code, made.code);
    let again = std::fs::read_to_string(folder.path().join("again.ron")).expect("written");
    assert_eq!(again, text);
}

#[test]
fn riff_and_rules_are_settings_of_the_project_and_check_tells_the_variety() {
    let folder = tempfile::tempdir().expect("folder");
    let chart = format!("Key: C\n{}\n", "| Cmaj7 | Am7 | Dm7 | G7 ".repeat(4) + "|");
    let mut different = Vec::new();
    for (options, words) in [
        (
            &["--walk", "mixed", "--seed", "3"][..],
            &["\"mixed\"", "seed: 3"][..],
        ),
        (
            &[
                "--walk",
                "mixed",
                "--seed",
                "3",
                "--riff",
                "--without-rule",
                "answer-leaps",
                "--without-rule",
                "fresh-notes",
            ],
            &["riff: true", "answer-leaps", "fresh-notes"],
        ),
    ] {
        let mut args = vec!["arrange", "-", "-o", "line.ron"];
        args.extend(options);
        let made = run_with(&args, folder.path(), &chart);
        assert!(matches!(made.code, Some(0 | 1)), "{}", made.err);
        let text = std::fs::read_to_string(folder.path().join("line.ron")).expect("written");
        for word in words {
            assert!(text.contains(word), "{word} in {text}");
        }
        let told = run_with(&["check", "line.ron"], folder.path(), "");
        let check = run_with(&["check", "line.ron", "--json"], folder.path(), "");
        let check: Value = serde_json::from_str(&check.out).expect("JSON");
        let line = check.get("line").expect("a written line");
        assert_eq!(keys(line), ["bars", "different", "repeated"].into());
        assert_eq!(number(line, "bars"), 16);
        let words = format!(
            "thumb line: {} different bars of 16",
            number(line, "different")
        );
        assert!(told.out.contains(&words), "{}", told.out);
        different.push((number(line, "different"), number(line, "repeated")));
    }
    let [(walk, 0), (riff, repeated)] = different[..] else {
        panic!("without a riff no bar is like the one before: {different:?}")
    };
    assert!(riff < walk && repeated > 0, "{different:?}");
    let plain = run_with(&["check", "-", "--json"], folder.path(), &chart).json();
    assert_eq!(plain.get("line"), Some(&Value::Null));
    let plain = run_with(&["check", "-"], folder.path(), &chart);
    assert!(!plain.out.contains("thumb line"), "{}", plain.out);
}

#[test]
fn a_chart_from_standard_input_becomes_a_project_and_a_chart_again() {
    let folder = tempfile::tempdir().expect("folder");
    let chart = "Title: Two bars\nKey: Bb\nTempo: 90\n\n[A]\n| Cm7 F7 | Bb6 |\n";
    let made = run_with(&["arrange", "-", "-o", "two.ron"], folder.path(), chart);
    assert_eq!(made.code, Some(0), "{}", made.err);
    let back = run_with(
        &["export", "two.ron", "-o", "two.chart.txt"],
        folder.path(),
        "",
    );
    assert_eq!(back.code, Some(0), "{}", back.err);
    let again = run_with(
        &["arrange", "two.chart.txt", "-o", "again.ron"],
        folder.path(),
        "",
    );
    assert_eq!(again.code, Some(0), "{}", again.err);
    let text = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("written");
    assert_eq!(text("two.ron"), text("again.ron"));
}

#[test]
fn a_wrong_chart_is_refused_with_line_and_column() {
    for (chart, words) in [
        ("| C7 | Hm7 |", "line 1, column 8"),
        ("Key: Q\n| C |", "line 1"),
        ("", "bar"),
    ] {
        let ran = run_with(&["check", "-"], Path::new("."), chart);
        assert_eq!(ran.code, Some(1), "{chart:?}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains(words), "{chart:?}: {}", ran.err);
    }
}

#[test]
fn more_than_32_mib_are_refused_wherever_they_come_from() {
    let folder = tempfile::tempdir().expect("folder");
    let long = "# a long comment\n".repeat(2_000_000);
    std::fs::write(folder.path().join("long.chart.txt"), &long).expect("written");
    for (args, input) in [
        (["check", "long.chart.txt"], ""),
        (["check", "-"], long.as_str()),
    ] {
        let ran = run_with(&args, folder.path(), input);
        assert_eq!(ran.code, Some(1));
        assert!(ran.err.contains("larger than 32 MiB"), "{}", ran.err);
    }
}

#[test]
fn events_lie_where_their_strings_and_frets_say_and_swing_as_told() {
    let events = run_on_project(&["events", "-", "--json"]).json();
    assert_eq!(
        keys(&events),
        ["format", "meter", "notes", "swing", "tempo"].into()
    );
    assert_eq!(word(&events, "meter"), "4/4");
    assert_eq!(number(&events, "tempo"), 120);
    let ratio = events
        .get("swing")
        .and_then(Value::as_f64)
        .expect("a ratio");
    assert!((ratio - 2.0).abs() < 1e-9);
    let beat_s = 60.0 / 120.0;
    let notes = list(&events, "notes");
    let mut before = 0.0;
    let mut played_bars = BTreeSet::new();
    for note in notes {
        let string = usize::try_from(number(note, "string")).expect("a string");
        let open = STANDARD[6 - string];
        assert_eq!(number(note, "pitch"), open + number(note, "fret"), "{note}");
        assert!(["p", "i", "m", "a"].contains(&word(note, "hand")), "{note}");
        let lane = word(note, "lane");
        assert_eq!(lane == "thumb", note.get("move").is_some(), "{note}");
        assert_eq!(lane == "thumb", word(note, "hand") == "p", "{note}");
        let start = note
            .get("start_s")
            .and_then(Value::as_f64)
            .expect("seconds");
        let end = note.get("end_s").and_then(Value::as_f64).expect("seconds");
        assert!(start >= before && end > start, "{note}");
        before = start;
        // The off-beat eighth lies at r/(1+r) of the beat: two thirds at 2 : 1.
        assert_eq!(number(note, "ticks_per_beat"), 960);
        let tick = number(note, "tick");
        let within = match tick % 960 {
            0 => 0.0,
            480 => ratio / (1.0 + ratio),
            other => panic!("no slot at tick {other}: {note}"),
        };
        let in_beat = (start / beat_s).fract();
        let off = (in_beat - within).abs();
        assert!(off < 1e-4 || (1.0 - off) < 1e-4, "{note}");
        played_bars.insert((start / (4.0 * beat_s) + 1e-6).floor() as i64);
    }
    // Three bars, played twice; the fourth has no chord and no notes.
    assert_eq!(played_bars, (0..6).collect());
}

/// Solves a written-out problem anew, in the plainest way: the cheapest sum that ends in each node.
fn cheapest(trellis: &Value) -> i64 {
    let costs = |layer: &Value| -> Vec<i64> {
        layer
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(Value::as_i64)
            .collect()
    };
    let mut layers = list(trellis, "layers").iter().map(costs);
    let mut sums: Vec<Option<i64>> = layers
        .next()
        .expect("a layer")
        .into_iter()
        .map(Some)
        .collect();
    for (own, edges) in layers.zip(list(trellis, "edges")) {
        let mut next: Vec<Option<i64>> = vec![None; own.len()];
        for edge in edges.as_array().expect("a list") {
            let edge: Vec<i64> = edge
                .as_array()
                .expect("a list")
                .iter()
                .filter_map(Value::as_i64)
                .collect();
            let [from, to, cost] = edge[..] else {
                panic!("three numbers")
            };
            let (from, to) = (
                usize::try_from(from).expect("index"),
                usize::try_from(to).expect("index"),
            );
            if let Some(sum) = sums[from] {
                let sum = sum + cost + own[to];
                next[to] = Some(next[to].map_or(sum, |known| known.min(sum)));
            }
        }
        sums = next;
    }
    sums.into_iter().flatten().min().expect("there is a path")
}

#[test]
fn check_says_what_helps_nearest_first() {
    // Root, third, seventh, ninth and thirteenth are five notes; thumb and three fingers pluck four.
    let chart = "| G13(b9) |\n";
    let check = run_with(&["check", "-", "--json"], Path::new("."), chart).json();
    let findings = list(&check, "findings");
    let remedies = list(&findings[0], "remedies");
    assert_eq!(remedies[0].as_str(), Some(word(&findings[0], "remedy")));
    let first = word(&findings[0], "remedy");
    assert!(first.starts_with("pluck with four fingers"), "{first}");
    let text = run_with(&["check", "-"], Path::new("."), chart).out;
    for (label, remedy) in ["  try:", "  or:"].iter().zip(remedies) {
        let line = text.lines().find(|line| line.starts_with(label));
        let words = remedy.as_str().expect("words");
        assert!(line.is_some_and(|line| line.ends_with(words)), "{text}");
    }
}

/// The row of the chart's own key has what `check` says of the chart; a capo of three under shapes
/// of a key a minor third lower is another way to the same key.
#[test]
fn keys_ranks_all_twelve_with_what_check_says_of_each() {
    let chart = "Key: Bb\n| Bbmaj7 | Gm7 | Cm7 | F7 |\n";
    let on_chart = |args: &[&str]| run_with(args, Path::new("."), chart);
    let told = on_chart(&["keys", "-", "--json"]).json();
    assert_eq!(keys(&told), ["format", "key", "keys", "title"].into());
    let ranked = list(&told, "keys");
    assert_eq!(ranked.len(), 12);
    let sums: Vec<i64> = ranked.iter().map(|row| number(row, "sum")).collect();
    assert!(sums.is_sorted(), "{sums:?}");
    let own = ranked.iter().find(|row| number(row, "semitones") == 0);
    let own = own.expect("its own key");
    let check = on_chart(&["check", "-", "--json"]).json();
    for field in ["sum", "max", "faults"] {
        assert_eq!(number(own, field), number(&check, field), "{field}");
    }
    let bars = list(own, "bars").iter().filter_map(Value::as_i64);
    assert_eq!(bars.sum::<i64>(), number(own, "sum"));
    let many = [
        "keys",
        "-",
        "--capos",
        "0,3",
        "--tunings",
        "standard,D A D G B E",
        "--json",
    ];
    let many = on_chart(&many).json();
    let tunings: BTreeSet<&str> = list(&many, "keys")
        .iter()
        .map(|row| word(row, "tuning"))
        .collect();
    assert_eq!(tunings, ["drop D", "standard"].into());
    assert_eq!(list(&many, "keys").len(), 48);
    let none = on_chart(&["keys", "-", "--range", "D3-E5"]);
    assert!(
        none.err.contains("no tune to hold against --range"),
        "{}",
        none.err
    );
    let sung = format!("{chart}Tune: Bb4 D5 F5 Bb5 | F5 | F5 | D5 |\n");
    let sung = |args: &[&str]| run_with(args, Path::new("."), &sung);
    let ranged = sung(&["keys", "-", "--range", "A3-A4", "--json"]).json();
    let outside: Vec<i64> = list(&ranged, "keys")
        .iter()
        .map(|row| number(&row["range"], "below") + number(&row["range"], "above"))
        .collect();
    assert_eq!(outside, [0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6]);
    let told = sung(&["keys", "-", "--range", "A3-A4", "--top", "1"]).out;
    assert!(told.contains("in range, sung an octave lower"), "{told}");
    let text = on_chart(&["keys", "-", "--capo", "3", "--top", "4"]).out;
    assert_eq!(text.lines().count(), 6, "{text}");
    let all = on_chart(&["keys", "-", "--capo", "3"]).out;
    assert!(all.contains("3, fingered in G major"), "{all}");
}

/// Common practice: a chord's first beat has its root (move 1), and an approach from below or above
/// leads to the next root from a semitone away, on the last beat before it.
#[test]
fn a_drill_has_new_lines_that_keep_to_the_craft_and_come_again() {
    let blues = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/sample-projects/ferry-queue-blues.ron"
    );
    let asked = |more: &[&str]| {
        let ran = run(&[&["drill", blues][..], more].concat());
        assert_eq!(ran.code, Some(0), "{}", ran.err);
        ran.out
    };
    let lines = asked(&["--rung", "2", "--lines", "3"]);
    let rows: Vec<&str> = lines.lines().skip(2).collect();
    assert_eq!(rows.len(), 12, "{lines}");
    let mut columns = vec![Vec::new(); 3];
    for row in rows {
        let cells: Vec<&str> = row.split("  ").filter(|cell| !cell.is_empty()).collect();
        let [_, _, moves @ ..] = cells.as_slice() else {
            panic!("{row}");
        };
        assert_eq!(moves.len(), 3, "{row}");
        for (column, moves) in columns.iter_mut().zip(moves) {
            let moves = moves.trim();
            assert!(moves.starts_with("1 "), "{row}");
            column.push(moves.to_owned());
        }
    }
    for pair in columns.windows(2) {
        assert_ne!(pair[0], pair[1], "{lines}");
    }
    for moves in columns.iter().flatten() {
        assert!(
            moves
                .split(' ')
                .all(|code| ["1", "↑1", "↓1"].contains(&code)),
            "{moves}"
        );
    }
    assert_eq!(lines, asked(&["--rung", "2", "--lines", "3"]));
    assert_ne!(
        lines,
        asked(&["--rung", "2", "--lines", "3", "--series", "2"])
    );
    let refused = run(&["drill", blues, "--rung", "9"]);
    assert_eq!(refused.code, Some(1));
    assert!(
        refused.err.contains("`--rung` takes 1 to 5"),
        "{}",
        refused.err
    );
}

/// Both sides have what `check` says of each, the bars add up, and a kept version is found by name.
#[test]
fn compare_tells_what_each_version_costs_and_which_bars_differ() {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path();
    let chart = "Key: Bb\n| Bbmaj7 | Gm7 | Cm7 | F7 | Bbmaj7 | Gm7 | Cm7 | F7 |\n";
    std::fs::write(path.join("plain.txt"), chart).expect("written");
    for (walk, out) in [("mixed", "mixed.ron"), ("plain", "plain.ron")] {
        let args = ["arrange", "plain.txt", "-o", out, "--walk", walk];
        assert_eq!(run_with(&args, path, "").code, Some(0));
    }
    let told = run_with(&["compare", "plain.ron", "mixed.ron", "--json"], path, "").json();
    assert_eq!(keys(&told), ["a", "b", "bars", "format"].into());
    for (side, file) in [("a", "plain.ron"), ("b", "mixed.ron")] {
        let check = run_with(&["check", file, "--json"], path, "").json();
        for field in ["sum", "max", "faults"] {
            assert_eq!(
                number(&told[side], field),
                number(&check, field),
                "{file}: {field}"
            );
        }
        let effort = format!("effort_{side}");
        let bars = list(&told, "bars").iter().map(|bar| number(bar, &effort));
        assert_eq!(bars.sum::<i64>(), number(&told[side], "sum"), "{file}");
    }
    let differing = list(&told, "bars")
        .iter()
        .filter(|bar| bar["differs"] == true);
    let n_differing = differing.count();
    assert!(n_differing > 0);
    let text = run_with(&["compare", "plain.ron", "mixed.ron"], path, "").out;
    assert!(
        text.contains(&format!("{n_differing} of 8 bars differ\n")),
        "{text}"
    );
    assert_eq!(text.lines().count(), 4 + n_differing, "{text}");
    let alike = run_with(&["compare", "plain.ron", "-"], path, chart).out;
    assert!(alike.ends_with("All bars are played alike\n"), "{alike}");
    let missing = run_with(&["compare", "plain.ron", "--kept", "Old"], path, "");
    assert_eq!(missing.code, Some(1));
    assert!(
        missing.err.contains("no version is kept in it"),
        "{}",
        missing.err
    );
}

#[test]
fn the_trellis_can_be_solved_again_and_gives_the_same_sum() {
    let trellis = run_on_project(&["trellis", "-", "--json"]).json();
    let expected = ["edges", "format", "layers", "max", "path", "sum"].into();
    assert_eq!(keys(&trellis), expected);
    assert_eq!(
        list(&trellis, "edges").len() + 1,
        list(&trellis, "layers").len()
    );
    assert_eq!(list(&trellis, "path").len(), list(&trellis, "layers").len());
    assert_eq!(cheapest(&trellis), number(&trellis, "sum"));
    let check = run_on_project(&["check", "-", "--json"]).json();
    assert_eq!(number(&check, "sum"), number(&trellis, "sum"));
    assert_eq!(number(&check, "max"), number(&trellis, "max"));
}

#[test]
fn export_writes_what_the_ending_says_and_refuses_other_endings() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("tune.ron"), PROJECT).expect("written");
    // First bytes as published: ISO 32000-1, 7.5.2 (PDF); "Multimedia Programming Interface and
    // Data Specifications 1.0" (WAVE); "Standard MIDI Files 1.0" (MIDI);
    // the PNG specification, 5.2;
    // MusicXML 4.0, `score-partwise` and "Compressed .mxl files"; our own heads (CSV); the
    // namespace of SVG 1.1, section 5.1.2, stands near the start of every drawing; text begins with
    // the title.
    let rows = [
        ("tune.pdf", &["%PDF-1."][..]),
        ("tune.wav", &["RIFF", "WAVEfmt "]),
        ("tune.mid", &["MThd", "MTrk"]),
        ("tune.musicxml", &["<score-partwise version=\"4.0\">"]),
        ("tune.mxl", &["PK\u{3}\u{4}", "META-INF/container.xml"]),
        ("tune.png", &["PNG\r\n\u{1a}\n", "IHDR"]),
        ("tune.csv", &["bar,section,form,chords,beat 1"]),
        ("tune.svg", &["<svg", "http://www.w3.org/2000/svg"]),
        ("tune.txt", &["Four bars"]),
        ("tune.chart.txt", &["Title: Four bars", "Cm7"]),
    ];
    for ending in FORMATS.iter().map(|format| format.ending) {
        let out = format!("tune.{ending}");
        assert!(rows.iter().any(|row| row.0 == out), "{out} is not tried");
    }
    for (out, signs) in rows {
        let ran = run_with(&["export", "tune.ron", "-o", out], folder.path(), "");
        assert_eq!((ran.code, ran.out.as_str()), (Some(0), ""), "{}", ran.err);
        assert!(ran.err.contains(out), "the file is named: {}", ran.err);
        let bytes = std::fs::read(folder.path().join(out)).expect("written");
        let start = String::from_utf8_lossy(bytes.get(..250).unwrap_or(&bytes)).into_owned();
        assert!(
            signs.iter().all(|sign| start.contains(sign)),
            "{out}: {start}"
        );
    }
    for out in ["tune.docx", "tune"] {
        let ran = run_with(&["export", "tune.ron", "-o", out], folder.path(), "");
        assert_eq!(ran.code, Some(1));
        assert!(
            ran.err.contains(".wav"),
            "the formats are listed: {}",
            ran.err
        );
        assert!(!folder.path().join(out).exists());
    }
}

/// "Multimedia Programming Interface and Data Specifications 1.0" (1991): the frame rate stands at
/// byte 24 of a PCM file, the bits of a sample at byte 34.
#[test]
fn sound_is_written_at_the_rate_and_depth_asked_for_with_stems() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("tune.ron"), PROJECT).expect("written");
    let export = |more: &[&str]| {
        let args = [&["export", "tune.ron", "-o", "tune.wav"], more].concat();
        run_with(&args, folder.path(), "")
    };
    for (more, rate, bits) in [
        (&[][..], 48_000u32, 16u16),
        (&["--rate", "44100", "--bits", "24", "--stems"], 44_100, 24),
    ] {
        let ran = export(more);
        assert_eq!(ran.code, Some(0), "{}", ran.err);
        let bytes = std::fs::read(folder.path().join("tune.wav")).expect("written");
        assert_eq!(bytes[24..28], rate.to_le_bytes());
        assert_eq!(bytes[34..36], bits.to_le_bytes());
        let thumb = folder.path().join("tune-thumb.wav");
        assert_eq!(thumb.exists(), more.contains(&"--stems"), "{more:?}");
        assert_eq!(ran.err.contains("tune-thumb.wav"), thumb.exists());
    }
    for wrong in [&["--rate", "96000"][..], &["--bits", "8"]] {
        let ran = export(wrong);
        assert_eq!(ran.code, Some(2), "{wrong:?}: {}", ran.err);
    }
    let pages = ["export", "tune.ron", "-o", "tune.pdf", "--stems"];
    let ran = run_with(&pages, folder.path(), "");
    assert_eq!(ran.code, Some(2), "{}", ran.err);
}

#[test]
fn export_writes_several_files_in_one_go_or_none() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("tune.ron"), PROJECT).expect("written");
    let all = ["a.mid", "b.csv", "c.musicxml", "d.png"];
    let mut args = vec!["export", "tune.ron", "--dpi", "72"];
    args.extend(all.iter().flat_map(|out| ["-o", *out]));
    let ran = run_with(&args, folder.path(), "");
    assert_eq!((ran.code, ran.out.as_str()), (Some(0), ""), "{}", ran.err);
    for out in all {
        assert!(
            folder.path().join(out).exists() && ran.err.contains(out),
            "{out}"
        );
    }
    // A4 (ISO 216) is 210 mm wide: 595 dots at 72 to the inch of 25.4 mm. PNG, 11.2.1.
    let png = std::fs::read(folder.path().join("d.png")).expect("written");
    assert_eq!(png.get(16..20), Some(&595u32.to_be_bytes()[..]));
    let wrong = ["export", "tune.ron", "-o", "e.mid", "-o", "f.docx"];
    let ran = run_with(&wrong, folder.path(), "");
    assert_eq!(ran.code, Some(1));
    assert!(ran.err.contains("f.docx") && !folder.path().join("e.mid").exists());
    for dpi in ["10", "5000", "many"] {
        let ran = run_with(
            &["export", "tune.ron", "-o", "g.png", "--dpi", dpi],
            folder.path(),
            "",
        );
        assert_eq!(ran.code, Some(2), "{}", ran.err);
    }
    let twice = ["arrange", "tune.ron", "-o", "h.ron", "-o", "i.ron"];
    assert_eq!(run_with(&twice, folder.path(), "").code, Some(2));
}

/// How many pages an SVG export of the project makes, and the text of all of them.
fn pages(options: &[&str]) -> (usize, String) {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("tune.ron"), PROJECT).expect("written");
    let mut args = vec!["export", "tune.ron", "-o", "p.svg"];
    args.extend(options);
    let ran = run_with(&args, folder.path(), "");
    assert_eq!(ran.code, Some(0), "{options:?}: {}", ran.err);
    let mut files: Vec<_> = std::fs::read_dir(folder.path())
        .expect("a folder")
        .map(|file| file.expect("a file").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "svg"))
        .collect();
    files.sort();
    let read = |path| std::fs::read_to_string(path).expect("text");
    (files.len(), files.iter().map(read).collect())
}

/// Paper sizes: ISO 216 and ANSI/ASME Y14.1.
#[test]
fn options_of_export_change_the_pages() {
    let (n, usual) = pages(&[]);
    assert_eq!(n, 1);
    assert!(usual.contains("210mm") && pages(&["--paper", "letter"]).1.contains("215.9mm"));
    // Each changes the pages, and none of them the project.
    for options in [
        ["--staff", "on"],
        ["--font", "serif"],
        ["--size", "large"],
        ["--bars", "1"],
        ["--table", "on"],
        ["--purpose", "beginner"],
        ["--purpose", "score"],
    ] {
        assert_ne!(pages(&options).1, usual, "{options:?}");
    }
    for options in [
        ["--staff", "off"],
        ["--font", "sans"],
        ["--size", "normal"],
        ["--bars", "auto"],
        ["--table", "off"],
        ["--purpose", "handout"],
    ] {
        assert_eq!(pages(&options).1, usual, "{options:?}");
    }
    let (n, on_its_own) = pages(&["--table", "page"]);
    assert_eq!(n, 2, "the table has a page of its own");
    assert_ne!(on_its_own, pages(&["--table", "on"]).1);
    let beginner = pages(&["--purpose", "beginner"]).1;
    assert_eq!(
        pages(&["--table", "on", "--purpose", "beginner"]).1,
        beginner
    );
    assert_ne!(
        pages(&["--table", "off", "--purpose", "beginner"]).1,
        beginner
    );
    for wrong in [
        ["--staff", "yes"],
        ["--font", "times"],
        ["--size", "huge"],
        ["--bars", "9"],
        ["--table", "own"],
        ["--purpose", "fun"],
        ["--paper", "a5"],
        ["--chorus", "0"],
    ] {
        let folder = tempfile::tempdir().expect("folder");
        std::fs::write(folder.path().join("tune.ron"), PROJECT).expect("written");
        let mut args = vec!["export", "tune.ron", "-o", "p.svg"];
        args.extend(wrong);
        let ran = run_with(&args, folder.path(), "");
        assert_eq!(ran.code, Some(2), "{wrong:?}: {}", ran.err);
        assert!(ran.err.contains(wrong[0]) && !folder.path().join("p.svg").exists());
    }
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let mut child = program()
        .args(["voicings", "C13", "--bass", "any", "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("the program ends");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[cfg(all(feature = "gui", target_os = "linux"))]
#[test]
fn without_a_display_the_program_says_so_and_names_the_way_out() {
    let output = program()
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .output()
        .expect("the program ends");
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(
        said.contains("the window cannot open") && said.contains("--help"),
        "{said}"
    );
    assert!(
        said.contains("from a desktop with a display") && !said.contains("OpenGL"),
        "{said}"
    );
    assert!(!said.contains(".rs:"), "no places in sources: {said}");
}
