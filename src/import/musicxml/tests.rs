//! Small scores against what the standard says they mean: MusicXML 4.0, W3C Music Notation Community
//! Group, 2021. Other people's scores are read in `tests/outside/import_music21.py`.

use super::*;
use crate::document::TuneNote;
use crate::import::mxl;
use std::fmt::Write as _;

/// A part of bars, four divisions to the quarter, 4/4 in C.
fn score(bars: &[&str]) -> String {
    score_in(
        "<key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>",
        bars,
    )
}

fn score_in(attributes: &str, bars: &[&str]) -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\"?><score-partwise version=\"4.0\"><part-list>\
        <score-part id=\"P1\"><part-name>Voice</part-name></score-part></part-list><part id=\"P1\">",
    );
    for (number, bar) in (1..).zip(bars) {
        // A bar may begin with attributes of its own element, set apart by a semicolon.
        let (about, bar) = bar.split_once(';').unwrap_or(("", bar));
        let first = match number {
            1 => format!("<attributes><divisions>4</divisions>{attributes}</attributes>"),
            _ => String::new(),
        };
        let _ = write!(
            text,
            "<measure number=\"{number}\"{about}>{first}{bar}</measure>"
        );
    }
    text + "</part></score-partwise>"
}

/// `C5` and a length in sixteenths, with more inside.
fn note_with(name: &str, length: u32, more: &str) -> String {
    let (step, octave) = name.split_at(name.len() - 1);
    let (step, alter) = step.split_at(1);
    let alter = match alter {
        "b" => "<alter>-1</alter>",
        "#" => "<alter>1</alter>",
        _ => "",
    };
    format!(
        "<note><pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>\
        <duration>{length}</duration>{more}</note>"
    )
}

fn note(name: &str, length: u32) -> String {
    note_with(name, length, "")
}

fn rest(length: u32) -> String {
    format!("<note><rest/><duration>{length}</duration></note>")
}

fn chord(root: &str, kind: &str) -> String {
    format!("<harmony><root><root-step>{root}</root-step></root><kind>{kind}</kind></harmony>")
}

fn imported(text: &str) -> Imported {
    read(text.as_bytes(), Choice::default()).expect("a score")
}

fn said(imported: &Imported) -> String {
    let all: Vec<String> = imported.notices.iter().map(ToString::to_string).collect();
    all.join("\n")
}

/// Place, length and pitch of every note, `-` before a tied one, bars set apart.
fn tune(document: &Document) -> String {
    let one = |n: &TuneNote| {
        let tie = if n.tied { "-" } else { "" };
        format!(
            "{tie}{}+{}:{}{}",
            n.at.0,
            n.length.0,
            n.spelling,
            n.spelling.octave_of(n.pitch)
        )
    };
    let bar = |bar: &Bar| bar.tune.iter().map(one).collect::<Vec<_>>().join(" ");
    document.bars().map(bar).collect::<Vec<_>>().join(" | ")
}

fn chords(document: &Document) -> String {
    let one = |c: &ChordAt| format!("{}@{}", c.harmony.printed(document.house_style), c.at.0);
    let bar = |bar: &Bar| bar.chords.iter().map(one).collect::<Vec<_>>().join(" ");
    document.bars().map(bar).collect::<Vec<_>>().join(" | ")
}

#[test]
fn tune_and_chords_lie_where_they_are_written() {
    let first = chord("C", "major-seventh")
        + &note("E5", 6)
        + &note("D5", 2)
        + &chord("G", "dominant")
        + &note("B4", 8);
    let second = rest(4) + &note("Eb5", 4) + &note_with("F#5", 8, "<tie type='start'/>");
    let third = note_with("F#5", 16, "<tie type='stop'/>");
    let read = imported(&score(&[&first, &second, &third]));
    assert_eq!(
        tune(&read.document),
        "0+1440:E5 1440+480:D5 1920+1920:B4 | 960+960:Eb5 1920+1920:F#5 | -0+3840:F#5"
    );
    assert_eq!(chords(&read.document), "Cmaj7@0 G7@1920 |  | ");
    assert_eq!(read.document.sung().len(), 5);
    assert!(said(&read).contains("played straight"), "{}", said(&read));
}

#[test]
fn compound_beats_and_tuplets_become_our_ticks() {
    let six = "<key><fifths>0</fifths></key><time><beats>6</beats><beat-type>8</beat-type></time>";
    let bar = note("C5", 2) + &note("D5", 2) + &note("E5", 2) + &note("F5", 6);
    let read = imported(&score_in(six, &[&bar]));
    assert_eq!(
        tune(&read.document),
        "0+320:C5 320+320:D5 640+320:E5 960+960:F5"
    );
    let triplets = "<attributes><divisions>3</divisions></attributes>".to_owned()
        + &note("C5", 1)
        + &note("D5", 1)
        + &note("E5", 1)
        + &note("F5", 9);
    let read = imported(&score(&[&triplets]));
    assert_eq!(
        tune(&read.document),
        "0+320:C5 320+320:D5 640+320:E5 960+2880:F5"
    );
    let seven = "<attributes><divisions>7</divisions></attributes>".to_owned()
        + &note("C5", 1)
        + &note("D5", 6)
        + &note("E5", 21);
    let read = imported(&score(&[&seven]));
    assert_eq!(tune(&read.document), "0+137:C5 137+823:D5 960+2880:E5");
    assert!(
        said(&read).contains("bar 1: places between two ticks"),
        "{}",
        said(&read)
    );
}

#[test]
fn what_a_tune_cannot_hold_is_left_out_with_a_word() {
    let bar = "<note><grace/><pitch><step>A</step><octave>4</octave></pitch></note>".to_owned()
        + &note("C5", 8)
        + &note_with("E5", 8, "<voice>1</voice>").replace("<note>", "<note><chord/>")
        + &note_with("G4", 4, "<lyric><text>la</text></lyric>")
        + &note_with("A4", 4, "<notehead>slash</notehead>")
        + "<backup><duration>16</duration></backup>"
        + &note_with("C3", 16, "<voice>2</voice>");
    let read = imported(&score(&[&bar]));
    assert_eq!(tune(&read.document), "0+1920:E5 1920+960:G4");
    let said = said(&read);
    for word in [
        "grace notes",
        "the top one",
        "other voices",
        "slashes",
        "lyrics",
    ] {
        assert!(said.contains(word), "{word}: {said}");
    }
}

#[test]
fn pick_ups_odd_bars_and_changes_of_key_keep_their_length_and_sound() {
    let pickup = format!(" implicit='yes';{}", note("G4", 4));
    let changed = "<attributes><key><fifths>2</fifths></key><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
        .to_owned() + &note("F#5", 12);
    let full = note("C5", 16);
    let read = imported(&score(&[&pickup, &full, &changed, &note("D5", 12)]));
    let lengths: Vec<Option<u32>> = read
        .document
        .bars()
        .map(|bar| bar.length.map(|l| l.0))
        .collect();
    assert_eq!(lengths, [Some(960), None, Some(2880), Some(2880)]);
    assert_eq!(read.document.key, crate::theory::Key::C_MAJOR);
    assert!(
        said(&read).contains("bar 3: the key changes to D major"),
        "{}",
        said(&read)
    );
    let cut = "<key><fifths>0</fifths></key><time symbol='cut'><beats>2</beats><beat-type>2</beat-type></time>";
    let read = imported(&score_in(cut, &[&full]));
    assert_eq!(read.document.meter, Meter::COMMON);
    assert!(read.document.bars().all(|bar| bar.length.is_none()));
    assert!(said(&read).contains("2/2 is not among"), "{}", said(&read));
}

#[test]
fn transposing_instruments_are_written_as_they_sound() {
    // A clarinet in B flat reads a tone higher than it sounds (common practice).
    let clarinet = "<key><fifths>2</fifths><mode>major</mode></key>\
        <time><beats>4</beats><beat-type>4</beat-type></time>\
        <transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>";
    let bar = chord("D", "major") + &note("F#5", 16);
    let first = clarinet.replace("<key>", "<!-- --><key>");
    let read = imported(&score_in(&first, &[&bar]));
    assert_eq!(read.document.key, crate::theory::Key::C_MAJOR);
    assert_eq!(chords(&read.document), "C@0");
    assert_eq!(tune(&read.document), "0+3840:E5");
}

#[test]
fn repeats_endings_sections_and_marks_make_the_form() {
    let barline =
        |side: &str, inside: &str| format!("<barline location='{side}'>{inside}</barline>");
    let marks = "<direction><direction-type><rehearsal>A</rehearsal></direction-type></direction>\
        <direction><direction-type><words>Medium Swing</words></direction-type>\
        <direction-type><metronome><beat-unit>half</beat-unit><per-minute>c. 60</per-minute></metronome></direction-type></direction>\
        <direction><direction-type><coda/></direction-type></direction>";
    let one = barline("left", "<repeat direction='forward'/>") + marks + &note("C5", 16);
    let two = barline("left", "<ending number='1, 2' type='start'/>")
        + &note("D5", 16)
        + &barline(
            "right",
            "<ending number='1, 2' type='stop'/><repeat direction='backward'/>",
        );
    let three = barline("left", "<ending number='3' type='start'/>")
        + &note("E5", 16)
        + &barline("right", "<ending number='3' type='discontinue'/>");
    let four = "<direction><direction-type><rehearsal>B</rehearsal></direction-type></direction>"
        .to_owned()
        + &note("F5", 16);
    let read = imported(&score(&[&one, &two, &three, &four]));
    let document = &read.document;
    assert_eq!(document.played_order(), [0, 1, 0, 2, 0, 3, 4]);
    assert_eq!(
        tune(document),
        "0+3840:C5 | 0+3840:D5 | 0+3840:D5 | 0+3840:E5 | 0+3840:F5"
    );
    let names: Vec<&str> = document.sections.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["A", "B"]);
    assert_eq!(
        (document.tempo_bpm, document.feel),
        (120, Feel::Swing(2000))
    );
    let said = said(&read);
    assert!(
        said.contains("bar 2: an ending for several passes"),
        "{said}"
    );
    assert!(said.contains("bar 1: the coda sign is left out"), "{said}");
}

#[test]
fn the_part_with_chords_is_taken_unless_another_is_chosen() {
    let one = score(&[&note("C3", 16)]);
    let two = score(&[&(chord("C", "major") + &note("C5", 16))]);
    let body = |text: &str| {
        let from = text.find("<measure").expect("a bar");
        let until = text.find("</part>").expect("an end");
        text[from..until].to_owned()
    };
    let both = format!(
        "<score-partwise><part-list><score-part id='A'><part-name>Bass</part-name></score-part>\
        <score-part id='B'><part-name>Voice</part-name></score-part></part-list>\
        <part id='A'>{}</part><part id='B'>{}</part></score-partwise>",
        body(&one),
        body(&two)
    );
    let read = imported(&both);
    assert_eq!(tune(&read.document), "0+3840:C5");
    assert_eq!((read.taken, read.parts.len()), (1, 2));
    assert!(said(&read).contains("part 2, “Voice”"));
    let first = Choice {
        part: Some(0),
        grid: None,
    };
    let first = super::read(both.as_bytes(), first).expect("a score");
    assert_eq!(
        (tune(&first.document), chords(&first.document)),
        ("0+3840:C3".into(), "C@0".into())
    );
    let third = Choice {
        part: Some(2),
        grid: None,
    };
    let error = super::read(both.as_bytes(), third)
        .expect_err("refused")
        .to_string();
    assert!(
        error.contains("there is no part 3; there are: 1 Bass: 1 bar, 1 note"),
        "{error}"
    );
    let timewise = "<score-timewise><part-list><score-part id='A'><part-name>Bass</part-name></score-part></part-list>\
        <measure number='1'><part id='A'><attributes><divisions>4</divisions></attributes>".to_owned()
        + &note("C3", 16) + "</part></measure></score-timewise>";
    assert_eq!(tune(&imported(&timewise).document), "0+3840:C3");
}

#[test]
fn titles_and_names_become_title_and_credits() {
    let text = score(&[&note("C5", 16)]).replace(
        "<part-list>",
        "<work><work-title> A\n tune </work-title></work><identification>\
        <creator type='composer'>Ada</creator><creator type='lyricist'>Bo</creator>\
        <creator type='arranger'>Cy</creator><rights>free</rights></identification><part-list>",
    );
    let read = imported(&text);
    assert_eq!(read.document.title, "A tune");
    assert_eq!(read.document.credits, "Ada, words: Bo, arr. Cy");
    assert!(said(&read).contains("“free”"));
}

#[test]
fn what_is_no_score_is_refused_in_words() {
    for (text, word) in [
        ("", "nothing in this file"),
        ("<html/>", "holds “html”"),
        ("<opus/>", "lists other files"),
        ("<score-partwise/>", "no bars"),
        ("<score-partwise><part id='A'><measure>", "not complete"),
    ] {
        let error = read(text.as_bytes(), Choice::default())
            .expect_err(text)
            .to_string();
        assert!(error.contains(word), "{text}: {error}");
    }
    let many = score(&vec![""; crate::document::MAX_BARS + 1]);
    let error = read(many.as_bytes(), Choice::default()).expect_err("refused");
    assert!(error.message.contains("2000 bars"), "{error}");
}

#[test]
fn compressed_scores_are_unpacked_within_their_limits() {
    let text = score(&[&note("C5", 16)]);
    let packed = crate::export::mxl::pack(&text);
    assert!(mxl::looks_like(&packed));
    let read = mxl::read(&packed, Choice::default()).expect("a score");
    assert_eq!(tune(&read.document), "0+3840:C5");
    // A text of 40 MB packs to 40 kB.
    let huge = text + &" ".repeat(40_000_000);
    let error =
        mxl::read(&crate::export::mxl::pack(&huge), Choice::default()).expect_err("refused");
    assert!(error.message.contains("larger than 8 MiB"), "{error}");
    for cut in [0, 4, 30, packed.len() / 2, packed.len() - 23] {
        assert!(
            mxl::read(&packed[..cut], Choice::default()).is_err(),
            "{cut}"
        );
    }
}

#[test]
fn lengths_that_make_no_sense_do_no_harm() {
    for duration in ["-5", "1e99", "9999999", "nan", "", "0.0001"] {
        let bar = note("C5", 16).replace(">16<", &format!(">{duration}<"));
        let read = imported(&score(&[&bar, &bar, &note("D5", 16)]));
        assert_eq!(read.document.n_bars(), 3, "{duration}");
    }
    let none =
        score(&[&note("C5", 1)]).replace("<divisions>4</divisions>", "<divisions>0</divisions>");
    assert!(said(&imported(&none)).contains("how it counts"));
    let beats = ["9999999"; 300].join("+");
    let endless = format!("<time><beats>{beats}</beats><beat-type>4</beat-type></time>");
    let read = imported(&score_in(&endless, &[&note("C5", 16)]));
    assert!(said(&read).contains("a time signature that cannot be read"));
}
