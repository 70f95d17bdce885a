//! From a document to the project file's own types, field by field and by hand, so that renaming
//! something in the program never changes the format.

use super::FORMAT;
use super::v1::BarLineV1;
use super::v1::BarV1;
use super::v1::ChordV1;
use super::v1::ChorusesV1;
use super::v1::HandV1;
use super::v1::InstrumentV1;
use super::v1::LineV1;
use super::v1::PlucksV1;
use super::v1::ProjectV1;
use super::v1::RungV1;
use super::v1::SectionV1;
use super::v1::SheetV1;
use super::v1::TuneV1;
use super::v1::VersionV1;
use super::words;
use crate::document::Bar;
use crate::document::BarLine;
use crate::document::Document;
use crate::document::KeptVersion;
use crate::document::LadderRung;
use crate::document::LineSettings;
use crate::document::SheetSettings;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::theory::Harmony;
use crate::theory::MoveSet;
use crate::theory::Pluck;
use crate::theory::Quality;
use crate::theory::ScaleChoice;

/// The project of a document.
pub fn v1_from_document(document: &Document) -> ProjectV1 {
    let n_strings = document.instrument.n_strings();
    let section = |section: &crate::document::Section| SectionV1 {
        name: section.name.clone(),
        bars: section.bars.iter().map(|b| bar(b, n_strings)).collect(),
    };
    ProjectV1 {
        format: FORMAT.into(),
        version: 1,
        title: document.title.clone(),
        credits: document.credits.clone(),
        key: document.key.to_string(),
        meter: document.meter.to_string(),
        tempo: document.tempo_bpm,
        feel: words::text_from_feel(document.feel),
        lay_back: document.lay_back_ms,
        chord_style: words::word_of(&words::STYLES, &document.house_style),
        instrument: instrument(&document.instrument),
        hand: hand(&document.hand),
        line: line(&document.line),
        tune: TuneV1 {
            density: document.tune.density.word().into(),
            octaves: document.tune.octaves,
        },
        choruses: ChorusesV1 {
            count: document.choruses.count,
            on_sheet: document.choruses.on_sheet,
        },
        rungs: document.rungs.iter().map(rung).collect(),
        lesson: document.lesson_text.clone(),
        sheet: sheet(document.sheet),
        sections: document.sections.iter().map(|s| section(s)).collect(),
        versions: document.versions.iter().map(version).collect(),
    }
}

fn version(kept: &KeptVersion) -> VersionV1 {
    VersionV1 {
        name: kept.name.clone(),
        project: v1_from_document(&kept.document),
    }
}

fn sheet(sheet: SheetSettings) -> SheetV1 {
    SheetV1 {
        paper: sheet.paper.word().into(),
        staff: sheet.staff,
        font: sheet.font.word().into(),
        size: sheet.size.word().into(),
        bars_per_system: sheet.bars_per_system,
        all_choruses: sheet.all_choruses,
        diagrams: sheet.diagrams,
        fingers: sheet.fingers,
        pluck_letters: sheet.pluck_letters,
        moves: sheet.moves,
        move_table: sheet.move_table,
        table_page: sheet.table_page,
        student_line: sheet.student_line,
        lesson_text: sheet.lesson_text,
    }
}

fn instrument(instrument: &Instrument) -> InstrumentV1 {
    let open = instrument.tuning.open().iter().copied();
    let open: Vec<String> = open.map(words::text_from_pitch).collect();
    InstrumentV1 {
        tuning: instrument.tuning.name().into(),
        open_strings: open.join(" "),
        capo: instrument.capo,
        frets: instrument.frets,
        scale_mm: instrument.scale_mm,
        strings: words::word_of(&words::STRING_SETS, &instrument.strings),
        left_handed: instrument.left_handed,
    }
}

fn hand(hand: &Hand) -> HandV1 {
    HandV1 {
        name: hand.name.clone(),
        reach_permille: hand.reach_permille,
        thumb_over: hand.thumb_over,
        barre: hand.barre,
        plucking_fingers: hand.plucking_fingers,
    }
}

fn line(line: &LineSettings) -> LineV1 {
    LineV1 {
        approach: words::word_of(&words::APPROACHES, &line.approach),
        seed: line.seed,
        walk: line.walk.word().into(),
        open_strings: line.open_strings,
        keep_hardest_easy: line.keep_hardest_easy,
        plucks: line.plucks.as_deref().map(plucks),
        riff: line.riff,
        rules_off: line
            .rules_off
            .iter()
            .map(|rule| rule.word().into())
            .collect(),
        scales: line.scales.iter().map(scale).collect(),
    }
}

fn plucks(plucks: &[Pluck]) -> PlucksV1 {
    plucks
        .iter()
        .map(|pluck| (pluck.at.0, words::text_from_pluck(*pluck)))
        .collect()
}

fn scale(choice: &ScaleChoice) -> (u8, String, String) {
    let quality = words::word_of(&Quality::WORDS, &choice.quality);
    (choice.above_tonic, quality, choice.scale.clone())
}

fn rung(rung: &LadderRung) -> RungV1 {
    let moves = |set: MoveSet| set.iter().map(|m| m.word().into()).collect();
    RungV1 {
        name: rung.name.clone(),
        walk: rung.walk.word().into(),
        moves: rung.moves.map(moves),
        slides: rung.slides,
        tune: rung.tune,
        advice: rung.advice.clone(),
        reached: rung.reached.clone(),
    }
}

fn bar_line(line: &BarLine) -> BarLineV1 {
    let moves = |set: MoveSet| set.iter().map(|m| m.word().into()).collect();
    BarLineV1 {
        walk: line.walk.map(|walk| walk.word().into()),
        moves: line.moves.map(moves),
        riff: line.riff,
    }
}

fn bar(bar: &Bar, n_strings: u8) -> BarV1 {
    let chord = |chord: &crate::document::ChordAt| ChordV1 {
        at: chord.at.0,
        chord: match &chord.harmony {
            Harmony::Chord(symbol) => symbol.text().into(),
            Harmony::NoChord => "N.C.".into(),
        },
        shape: chord.shape.map_or_else(String::new, |s| s.to_string()),
    };
    BarV1 {
        chords: bar.chords.iter().map(chord).collect(),
        thumb: bar
            .thumb
            .iter()
            .map(|(at, cell)| (at.0, words::text_from_cell(*cell, n_strings)))
            .collect(),
        plucks: bar.plucks.as_deref().map(plucks),
        slides: bar
            .slides
            .iter()
            .map(|(at, slide)| (at.0, slide.word().into()))
            .collect(),
        tune: bar
            .tune
            .iter()
            .map(|note| (note.at.0, note.length.0, words::text_from_tune_note(note)))
            .collect(),
        line: bar_line(&bar.line),
        length: bar.length.map(|ticks| ticks.0),
        repeat_start: bar.repeat_start,
        repeat_times: bar.repeat_times,
        ending: bar.ending,
    }
}
