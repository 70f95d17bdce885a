//! `thumbwalk compare`: two versions of a tune side by side, what each costs as a whole and bar by
//! bar, and what differs in the bars that are not played alike.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::CompareWish;
use super::args::OtherSource;
use super::input;
use super::solved::Solved;
use super::solved::place_words;
use super::solved::title_words;
use super::table;
use super::table::Side;
use crate::arrange::Comparison;
use crate::arrange::Version;
use crate::arrange::compare;
use crate::arrange::compare::Both;
use crate::arrange::compare::ComparedBar;
use crate::arrange::compare::Differs;
use crate::arrange::compare::Held;
use crate::arrange::compare::Struck;
use crate::document::Document;
use crate::theory::Articulation;
use serde::Serialize;

/// The answer as JSON.
#[derive(Serialize)]
struct CompareJson<'a> {
    format: &'static str,
    a: TotalsJson<'a>,
    b: TotalsJson<'a>,
    bars: Vec<BarJson>,
}

#[derive(Serialize)]
struct TotalsJson<'a> {
    title: &'a str,
    sum: i32,
    max: i32,
    /// Bar and tick.
    hardest: Option<(usize, u32)>,
    comfortable_bpm: Option<u16>,
    faults: usize,
    n_bars: usize,
}

#[derive(Serialize)]
struct BarJson {
    bar: usize,
    effort_a: Option<i32>,
    effort_b: Option<i32>,
    differs: bool,
    thumb: Vec<DiffersJson<StruckJson>>,
    grips: Vec<DiffersJson<HeldJson>>,
    plucks: Vec<DiffersJson<&'static str>>,
    tune: Vec<DiffersJson<StruckJson>>,
}

#[derive(Serialize)]
struct DiffersJson<T> {
    tick: u32,
    a: Option<T>,
    b: Option<T>,
}

#[derive(Serialize)]
struct StruckJson {
    #[serde(rename = "move", skip_serializing_if = "Option::is_none")]
    thumb_move: Option<&'static str>,
    string: u8,
    fret: u8,
    pitch: u8,
}

#[derive(Serialize)]
struct HeldJson {
    shape: String,
    fingers: String,
    pitches: Vec<u8>,
}

/// Does the job.
pub fn run(wish: &CompareWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let first = input::document(&wish.a, console)?;
    let second = match &wish.b {
        OtherSource::Of(source) => input::document(source, console)?,
        OtherSource::Kept(name) => kept(&first, name)?,
    };
    let both = Both {
        a: Solved::of(first),
        b: Solved::of(second),
    };
    let of = |solved: &Solved| solved.document.n_bars();
    let found = compare(
        (&both.a.arrangement, of(&both.a)),
        (&both.b.arrangement, of(&both.b)),
    );
    if wish.json {
        console.print_json(&json(&both, &found))
    } else {
        console.print(&text(&both, &found))
    }
}

fn kept(document: &Document, name: &str) -> Result<Document, Failure> {
    let mut kept = document.versions.iter();
    let version = kept.find(|version| version.name == name);
    version
        .map(|version| Document::clone(&version.document))
        .ok_or_else(|| {
            let names: Vec<&str> = document.versions.iter().map(|v| v.name.as_str()).collect();
            let there = match names.as_slice() {
                [] => "no version is kept in it".to_owned(),
                names => format!("kept are: {}", names.join(", ")),
            };
            Failure::Refused(format!("there is no kept version `{name}`; {there}"))
        })
}

fn json<'a>(both: &'a Both<Solved>, found: &Comparison) -> CompareJson<'a> {
    let totals = |version: Version| {
        let totals = found.totals.of(version);
        TotalsJson {
            title: &both.of(version).document.title,
            sum: totals.sum.0,
            max: totals.max.0,
            hardest: totals.hardest.map(|place| (place.bar + 1, place.at.0)),
            comfortable_bpm: totals.comfortable_bpm,
            faults: totals.n_faults,
            n_bars: totals.n_bars,
        }
    };
    let strings = Both {
        a: both.a.document.instrument.n_strings(),
        b: both.b.document.instrument.n_strings(),
    };
    CompareJson {
        format: "thumbwalk-compare-1",
        a: totals(Version::A),
        b: totals(Version::B),
        bars: found
            .bars
            .iter()
            .map(|bar| bar_json(bar, strings))
            .collect(),
    }
}

fn bar_json(bar: &ComparedBar, strings: Both<u8>) -> BarJson {
    let struck = |note: &Struck, n_strings: u8| StruckJson {
        thumb_move: note.thumb_move.map(|thumb_move| thumb_move.word()),
        string: note.string.number(n_strings),
        fret: note.fret,
        pitch: note.pitch.number(),
    };
    let held = |held: &Held, _: u8| HeldJson {
        shape: held.grip.shape.to_string(),
        fingers: held.grip.finger_text(),
        pitches: held.pitches.iter().map(|pitch| pitch.number()).collect(),
    };
    let how = |articulation: &Articulation, _: u8| articulation.word();
    BarJson {
        bar: bar.bar + 1,
        effort_a: bar.effort.a.map(|cost| cost.0),
        effort_b: bar.effort.b.map(|cost| cost.0),
        differs: bar.differs(),
        thumb: differing(&bar.thumb, strings, struck),
        grips: differing(&bar.grips, strings, held),
        plucks: differing(&bar.plucks, strings, how),
        tune: differing(&bar.tune, strings, struck),
    }
}

fn differing<T, J>(
    list: &[Differs<T>],
    strings: Both<u8>,
    json: impl Fn(&T, u8) -> J,
) -> Vec<DiffersJson<J>> {
    let one = |differs: &Differs<T>| DiffersJson {
        tick: differs.at.0,
        a: differs.has.a.as_ref().map(|has| json(has, strings.a)),
        b: differs.has.b.as_ref().map(|has| json(has, strings.b)),
    };
    list.iter().map(one).collect()
}

fn text(both: &Both<Solved>, found: &Comparison) -> String {
    let totals = |version: Version| {
        let totals = found.totals.of(version);
        let title = title_words(&both.of(version).document);
        let hardest = totals.hardest.map(|place| {
            let place = place_words(place);
            format!("; hardest change {} into {place}", totals.max)
        });
        let faults = match totals.n_faults {
            0 => String::new(),
            1 => "; 1 fault".into(),
            n => format!("; {n} faults"),
        };
        format!(
            "{}  {title}: effort {}{}{faults}\n",
            version.letter(),
            totals.sum,
            hardest.unwrap_or_default()
        )
    };
    let mut text: String = Version::BOTH.into_iter().map(totals).collect();
    let differing: Vec<&ComparedBar> = found.bars.iter().filter(|bar| bar.differs()).collect();
    match differing.len() {
        0 => text.push_str("All bars are played alike\n"),
        n => {
            let n_bars = found.bars.len();
            text.push_str(&format!("{n} of {n_bars} bars differ\n"));
        }
    }
    if differing.is_empty() {
        return text;
    }
    let heads = [
        ("bar", Side::Right),
        ("A", Side::Right),
        ("B", Side::Right),
        ("what differs", Side::Left),
    ];
    let rows: Vec<Vec<String>> = differing.into_iter().map(row).collect();
    text.push_str(&table::columns(&heads, &rows));
    text
}

fn row(bar: &ComparedBar) -> Vec<String> {
    let cost = |cost: Option<crate::instrument::Cost>| {
        cost.map_or_else(|| "none".to_owned(), |cost| cost.to_string())
    };
    vec![
        (bar.bar + 1).to_string(),
        cost(bar.effort.a),
        cost(bar.effort.b),
        what_differs(bar),
    ]
}

/// `thumb 1 → ↑1 and 1 more; grip 3x443x → x32010; strikes`.
fn what_differs(bar: &ComparedBar) -> String {
    let thumb = |note: &Struck| {
        let code = note.thumb_move.map_or("", |thumb_move| thumb_move.code());
        if code.is_empty() {
            note.pitch.number().to_string()
        } else {
            code.to_owned()
        }
    };
    let lists = [
        some_of("thumb", &bar.thumb, thumb),
        some_of("grip", &bar.grips, |held| held.grip.shape.to_string()),
        some_of("strike", &bar.plucks, |how| how.word().to_owned()),
        (!bar.tune.is_empty()).then(|| "tune".to_owned()),
    ];
    let parts: Vec<String> = lists.into_iter().flatten().collect();
    parts.join("; ")
}

fn some_of<T>(what: &str, list: &[Differs<T>], words: impl Fn(&T) -> String) -> Option<String> {
    let first = list.first()?;
    let has = |side: &Option<T>| side.as_ref().map_or_else(|| "–".to_owned(), &words);
    let (a, b) = (has(&first.has.a), has(&first.has.b));
    // The same move or shape can lie elsewhere, or have other fingers.
    let change = if a == b {
        format!("{what} {a} played otherwise")
    } else {
        format!("{what} {a} → {b}")
    };
    Some(match list.len() {
        1 => change,
        n => format!("{change} and {} more", n - 1),
    })
}
