//! `thumbwalk check`: what cannot be played as written or breaks a rule, where, and what would
//! help. Cautions are told and change nothing else; faults make the exit code 1.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::FileWish;
use super::input;
use super::solved::Solved;
use super::solved::place_words;
use super::solved::title_words;
use super::table;
use crate::arrange::Finding;
use crate::session::line_variety;
use crate::thumb::Variety;
use serde::Serialize;

/// The answer as JSON.
#[derive(Serialize)]
struct CheckJson<'a> {
    format: &'static str,
    title: &'a str,
    sum: i32,
    max: i32,
    /// About the tempo up to which all changes are comfortable; `null` if nothing moves.
    comfortable_bpm: Option<u16>,
    /// How much the bars of the written thumb line differ; `null` if none is written.
    line: Option<LineJson>,
    faults: usize,
    findings: Vec<FindingJson<'a>>,
}

#[derive(Serialize)]
struct LineJson {
    bars: usize,
    different: usize,
    repeated: usize,
}

#[derive(Serialize)]
struct FindingJson<'a> {
    kind: &'static str,
    fault: bool,
    bar: usize,
    tick: u32,
    message: &'a str,
    /// The first of the remedies.
    remedy: &'a str,
    remedies: Vec<&'a str>,
}

/// Does the job.
pub fn run(wish: &FileWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let solved = Solved::of(input::document(&wish.source, console)?);
    if wish.json {
        console.print_json(&json(&solved))?;
    } else {
        console.print(&format!("{}{}", summary(&solved), findings(&solved)))?;
    }
    Ok(solved.exit())
}

fn json(solved: &Solved) -> CheckJson<'_> {
    CheckJson {
        format: "thumbwalk-check-1",
        title: &solved.document.title,
        sum: solved.arrangement.sum.0,
        max: solved.arrangement.max.0,
        comfortable_bpm: solved.arrangement.comfortable.map(|(bpm, _)| bpm),
        line: line_variety(&solved.document).map(|variety| LineJson {
            bars: variety.n_bars,
            different: variety.n_patterns,
            repeated: variety.n_repeated,
        }),
        faults: solved.n_faults(),
        findings: solved
            .arrangement
            .findings
            .iter()
            .map(finding_json)
            .collect(),
    }
}

fn finding_json(finding: &Finding) -> FindingJson<'_> {
    let remedies: Vec<&str> = finding.remedies.iter().map(|r| r.words.as_str()).collect();
    FindingJson {
        kind: finding.kind.word(),
        fault: finding.kind.is_fault(),
        bar: finding.place.bar + 1,
        tick: finding.place.at.0,
        message: &finding.message,
        remedy: remedies.first().copied().unwrap_or_default(),
        remedies,
    }
}

/// The tune and its effort, a line each.
pub fn summary(solved: &Solved) -> String {
    let document = &solved.document;
    let arrangement = &solved.arrangement;
    let title = title_words(document);
    let n_bars = document.n_bars();
    let bars = if n_bars == 1 { "bar" } else { "bars" };
    let hardest = arrangement.hardest.map(|place| {
        let place = place_words(place);
        format!("; hardest change {} into {place}", arrangement.max)
    });
    let comfortable = arrangement.comfortable.map(|(bpm, place)| {
        let place = place_words(place);
        format!("  comfortable up to about {bpm} bpm (an estimate; the change into {place})\n")
    });
    let line = line_variety(document).map(variety_words);
    format!(
        "{title}: {}, {}, {} bpm, {n_bars} {bars}\n  effort {}{}\n{}{}",
        document.key,
        document.meter,
        document.tempo_bpm,
        arrangement.sum,
        hardest.unwrap_or_default(),
        comfortable.unwrap_or_default(),
        line.unwrap_or_default()
    )
}

/// How much the bars of the written thumb line differ, as a line.
fn variety_words(variety: Variety) -> String {
    let repeated = match variety.n_repeated {
        0 => "none like the one before".to_owned(),
        n => format!("{n} like the one before"),
    };
    format!(
        "  thumb line: {} different bars of {} ({} %), {repeated}\n",
        variety.n_patterns,
        variety.n_bars,
        variety.percent()
    )
}

/// The findings, each with its remedies under it, the nearest first.
pub fn findings(solved: &Solved) -> String {
    let findings = &solved.arrangement.findings;
    let n_faults = solved.n_faults();
    let n_cautions = findings.len() - n_faults;
    let counted = |n: usize, word: &str| match n {
        1 => format!("1 {word}"),
        _ => format!("{n} {word}s"),
    };
    let mut text = match (n_faults, n_cautions) {
        (0, 0) => "  nothing to report: all of it can be played as written\n".to_owned(),
        (0, n) => format!("  no faults, {}\n", counted(n, "caution")),
        (n, 0) => format!("  {}\n", counted(n, "fault")),
        (n, m) => format!("  {}, {}\n", counted(n, "fault"), counted(m, "caution")),
    };
    for finding in findings {
        let kind = if finding.kind.is_fault() {
            "fault"
        } else {
            "caution"
        };
        text.push_str(&format!(
            "\n{}: {} ({kind}: {})\n",
            place_words(finding.place),
            finding.message,
            finding.kind.word()
        ));
        let labels = ["try:"].into_iter().chain(std::iter::repeat("or:"));
        let remedies = finding.remedies.iter().map(|remedy| remedy.words.clone());
        let facts: Vec<(&str, String)> = labels.zip(remedies).collect();
        text.push_str(&table::facts(&facts));
    }
    text
}
