//! Files for other programs: golden files of a small tune. Other people's readers judge the same
//! formats on whole tunes in `tests/outside`.

mod sheet_song;

use midly::MetaMessage;
use midly::Smf;
use midly::TrackEventKind;
use sheet_song::check_golden;
use sheet_song::everything::compound;
use sheet_song::everything::everything;
use sheet_song::tune;
use std::fmt::Write as _;
use std::path::Path;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::export::midi;
use thumbwalk::export::moves_csv;
use thumbwalk::export::musicxml;
use thumbwalk::session::export::export;
use thumbwalk::session::open::open;
use thumbwalk::theory::Chord;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Midi;
use thumbwalk::theory::Ticks;

/// Every event in a line: track, moment in ticks, what it says.
fn midi_as_text(bytes: &[u8]) -> String {
    let smf = Smf::parse(bytes).expect("a MIDI file");
    let mut text = format!("{:?}\n", smf.header);
    for (number, track) in smf.tracks.iter().enumerate() {
        let mut now = 0;
        for event in track {
            now += event.delta.as_int();
            let said = match event.kind {
                TrackEventKind::Meta(MetaMessage::TrackName(t) | MetaMessage::Text(t)) => {
                    format!("name {}", String::from_utf8_lossy(t))
                }
                TrackEventKind::Meta(MetaMessage::Marker(t)) => {
                    format!("marker {}", String::from_utf8_lossy(t))
                }
                TrackEventKind::Midi { channel, message } => format!("{channel} {message:?}"),
                other => format!("{other:?}"),
            };
            let _ = writeln!(text, "{number} {now:>6} {said}");
        }
    }
    text
}

#[test]
fn a_small_tune_is_written_as_midi_as_in_its_golden_file() {
    let (document, arrangement) = tune(4);
    let bytes = midi::write(&document, &arrangement).expect("a short tune");
    check_golden("tune4.mid.txt", &midi_as_text(&bytes));
}

/// Moments of the notes struck in a lane's track, in ticks.
fn struck(text: &str, lane: &str) -> Vec<i64> {
    let track = text
        .lines()
        .find_map(|line| line.strip_suffix(&format!(" name {lane}")));
    let track = track
        .and_then(|line| line.split(' ').next())
        .expect("a track");
    let of_track = |line: &&str| line.starts_with(&format!("{track} ")) && line.contains("NoteOn");
    let moment = |line: &str| {
        line.split_whitespace()
            .nth(1)
            .and_then(|at| at.parse().ok())
    };
    text.lines().filter(of_track).filter_map(moment).collect()
}

#[test]
fn lay_back_lies_in_the_midi_notes_as_in_the_sound() {
    let (mut document, mut arrangement) = tune(4);
    // The fingers begin on the beat for once.
    for note in (arrangement.notes.iter_mut()).filter(|n| n.lane == Lane::Fingers) {
        note.place.at = Ticks(note.place.at.0 / 1920 * 1920);
    }
    arrangement.notes.sort_by_key(|n| n.place);
    let written = |document: &Document| {
        let bytes = midi::write(document, &arrangement).expect("a short tune");
        midi_as_text(&bytes)
    };
    document.lay_back_ms = 0;
    let plain = written(&document);
    document.lay_back_ms = 30;
    let late = written(&document);
    assert_eq!(struck(&plain, "Thumb"), struck(&late, "Thumb"));
    let by = 960.0 * 0.030 * f64::from(document.tempo_bpm) / 60.0;
    let (plain, late) = (struck(&plain, "Fingers"), struck(&late, "Fingers"));
    let held_back = |at: i64| if at % 960 == 0 { by.round() as i64 } else { 0 };
    let expected: Vec<i64> = plain.iter().map(|at| at + held_back(*at)).collect();
    assert_eq!(late, expected);
    assert_ne!(late, plain, "something is struck on a beat");
}

#[test]
fn a_small_tune_is_written_as_musicxml_as_in_its_golden_file() {
    let (document, arrangement) = tune(4);
    check_golden("tune4.musicxml", &musicxml::write(&document, &arrangement));
}

#[test]
fn the_movement_table_of_a_small_tune_is_written_as_in_its_golden_file() {
    let (document, arrangement) = tune(4);
    check_golden("tune4.csv", &moves_csv::write(&document, &arrangement));
}

fn empty() -> (Document, Arrangement) {
    (Document::default(), Arrangement::default())
}

#[test]
fn everything_there_is_can_be_written() {
    for (document, arrangement) in [everything(), compound(), empty()] {
        let xml = musicxml::write(&document, &arrangement);
        let opened = xml.matches("<measure ").count();
        assert_eq!(opened, document.n_bars().max(1));
        assert_eq!(xml.matches("</measure>").count(), opened);
        let bytes = midi::write(&document, &arrangement).expect("not too long");
        Smf::parse(&bytes).expect("a MIDI file");
        let table = moves_csv::write(&document, &arrangement);
        let fields = |line: &str| line.matches(',').count();
        let wanted = table.lines().next().map(fields);
        // RFC 4180, section 2: each line should contain the same number of fields.
        let unquoted = table.lines().filter(|line| !line.contains('"'));
        assert!(unquoted.map(|line| Some(fields(line))).all(|n| n == wanted));
    }
}

fn meaning(chord: &ChordAt) -> Option<Chord> {
    match &chord.harmony {
        Harmony::Chord(symbol) => Some(symbol.chord().clone()),
        Harmony::NoChord => None,
    }
}

/// What a chart says of itself: everything that our own exchange file has to bring back.
fn chart(document: &Document) -> String {
    let mut text = format!(
        "{:?} {:?} {:?}\n{} {} {} {:?} octaves {}\n",
        document.title,
        document.credits,
        document.lesson_text,
        document.key,
        document.meter,
        document.tempo_bpm,
        document.feel,
        document.tune.octaves,
    );
    for section in &document.sections {
        let _ = writeln!(text, "[{}]", section.name);
        for bar in &section.bars {
            // As printed: what was typed for a chord is not in the file, what it means is.
            let said = |c: &ChordAt| (c.at, c.harmony.printed(document.house_style), meaning(c));
            let chords: Vec<_> = bar.chords.iter().map(said).collect();
            let form = (bar.repeat_start, bar.repeat_times, bar.ending);
            let length = bar.length.unwrap_or_else(|| document.meter.bar());
            let _ = writeln!(text, "{length:?} {form:?} {chords:?} {:?}", bar.tune);
        }
    }
    text
}

/// Solved as the command line solves them.
fn solved(path: &Path) -> (Document, Arrangement) {
    let document = open(path).expect("a project").document;
    let problem = thumbwalk::session::problem_from_document(&document);
    let arrangement = thumbwalk::arrange::solve(&problem);
    (document, arrangement)
}

#[test]
fn our_own_exchange_files_bring_the_chart_back_with_its_tune() {
    let folder = tempfile::tempdir().expect("a folder");
    let samples = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-projects");
    let mut seen = 0;
    let mut sung = 0;
    for entry in std::fs::read_dir(samples).expect("the samples") {
        let path = entry.expect("a file").path();
        if path.extension().is_none_or(|ending| ending != "ron") {
            continue;
        }
        let (mut document, arrangement) = solved(&path);
        // The chart is heard an octave lower, and written where it is heard.
        for octaves in [0, -1] {
            let mut arrangement = arrangement.clone();
            document.tune.octaves = octaves;
            for note in arrangement
                .notes
                .iter_mut()
                .filter(|n| n.lane == Lane::Tune)
            {
                note.pitch =
                    Midi::clamped(i32::from(note.pitch.number()) + 12 * i32::from(octaves));
            }
            for ending in ["musicxml", "mxl"] {
                let path = folder.path().join("tune").with_extension(ending);
                export(&document, &arrangement, &path).expect("written");
                let read = open(&path).expect("our own file").document;
                let octaves = if document.has_tune() { octaves } else { 0 };
                let mut wanted = document.clone();
                wanted.tune.octaves = octaves;
                let (read, wanted) = (chart(&read), chart(&wanted));
                assert_eq!(read.lines().count(), wanted.lines().count());
                for (read, wanted) in read.lines().zip(wanted.lines()) {
                    assert_eq!(read, wanted, "{ending}");
                }
            }
        }
        seen += 1;
        sung += document.sung().len();
    }
    assert!(seen >= 4 && sung >= 30, "{seen} samples, {sung} notes");
}
