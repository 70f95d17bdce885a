//! Command lines and what they are read as, row by row; nothing is carried out here.

use super::*;
use crate::document::Feel;
use crate::voicing::Bass;

fn typed(line: &str) -> Result<Command, String> {
    let words = line.split_whitespace().map(OsString::from);
    parse(words).map_err(|usage| usage.to_string())
}

#[test]
fn a_file_or_nothing_opens_the_window() {
    assert_eq!(typed(""), Ok(Command::Window(None)));
    for file in ["tune.ron", "./tune", "folder/tune.chart.txt"] {
        assert_eq!(typed(file), Ok(Command::Window(Some(file.into()))));
    }
}

#[test]
fn every_command_has_its_help_wherever_it_is_asked_for() {
    assert_eq!(typed("--help"), Ok(Command::Help(Topic::Main)));
    assert_eq!(typed("-h"), Ok(Command::Help(Topic::Main)));
    for topic in Topic::COMMANDS {
        let word = topic.word().expect("a command");
        assert_eq!(typed(&format!("{word} --help")), Ok(Command::Help(topic)));
        assert_eq!(typed(&format!("{word} x -h")), Ok(Command::Help(topic)));
    }
}

#[test]
fn options_stand_before_or_after_the_word() {
    let expected = Command::Voicings(VoicingsWish {
        symbol: "G7b9".into(),
        bass: Bass::Third,
        tuning: Some("drop-d".into()),
        capo: Some(2),
        top: Some(5),
        json: true,
    });
    for line in [
        "voicings G7b9 --bass 3 --tuning drop-d --capo 2 --top 5 --json",
        "voicings --json --bass=3 --tuning=drop-d --capo=2 --top=5 G7b9",
    ] {
        assert_eq!(typed(line).as_ref(), Ok(&expected), "{line}");
    }
}

#[test]
fn feels_are_ratios_or_words() {
    let feel = |text: &str| match typed(&format!("arrange a.txt -o b.ron --swing {text}")) {
        Ok(Command::Arrange(wish)) => wish.changes.feel,
        _ => None,
    };
    for (text, expected) in [
        ("straight", Some(Feel::Straight)),
        ("tempo", Some(Feel::FollowTempo)),
        ("2", Some(Feel::Swing(2000))),
        ("1.5:1", Some(Feel::Swing(1500))),
        ("3.5", Some(Feel::Swing(3500))),
        ("0.9", None),
        ("3.501", None),
        ("swung", None),
    ] {
        assert_eq!(feel(text), expected, "{text}");
    }
}

#[test]
fn lay_back_is_milliseconds() {
    for (text, expected) in [
        ("0", Some(0)),
        ("30", Some(30)),
        ("41", None),
        ("late", None),
    ] {
        let wish = match typed(&format!("arrange a.txt -o b.ron --lay-back {text}")) {
            Ok(Command::Arrange(wish)) => wish.changes.lay_back_ms,
            _ => None,
        };
        assert_eq!(wish, expected, "{text}");
    }
}

#[test]
fn wrong_lines_say_what_was_expected() {
    for (line, words) in [
        ("chord", "a chord symbol is missing"),
        ("chord C7 D7", "one word too many"),
        ("chord C7 --top 3", "no option `--top`"),
        ("voicings C7 --top 0", "a whole number from 1"),
        ("voicings C7 --top", "`--top` needs a whole number"),
        ("voicings C7 --bass 4", "root, any, 3, 5 or 7"),
        ("arrange a.txt", "say where to write"),
        ("arrange -o b.ron", "a file is missing"),
        ("arrange a.txt -o b.ron --seed -1", "a whole number from 0"),
        (
            "arrange a.txt -o b.ron --approach sideways",
            "below, above, alternate or easiest",
        ),
        (
            "arrange a.txt -o b.ron --without-rule root",
            "root-first, root-on-downbeat",
        ),
        ("check a.ron --riff", "no option `--riff`"),
        ("export a.ron --out b.pdf", "no option `--out`"),
        ("check --json", "a file is missing"),
        ("voicing C7", "there is no command `voicing`"),
        ("import a.mid", "say where to write: `-o FILE`"),
        ("keys a.ron --capo 6", "a fret from 0 to 5"),
        ("compare a.ron", "a second file is missing, or --kept NAME"),
        ("compare a.ron b.ron --kept x", "not both"),
        ("compare a.ron b.ron c.ron", "`c.ron` is one word too many"),
        ("compare - -", "only one of the two can be standard input"),
        ("ladder a.ron", "say where to write: `-o FOLDER`"),
        ("drill a.ron --lines 0", "expected a number from 1 to 24"),
        ("--verbose", "no option `--verbose`"),
        ("a.ron b.ron", "only one file"),
    ] {
        let message = typed(line).expect_err(line);
        assert!(message.contains(words), "{line}: {message}");
        assert!(message.contains("usage:"), "{line}: {message}");
    }
}

#[test]
fn a_hyphen_is_standard_input() {
    let expected = FileWish {
        source: Source::StandardInput,
        json: false,
    };
    assert_eq!(typed("check -"), Ok(Command::Check(expected)));
}
