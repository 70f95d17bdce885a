//! The ladder on the samples and on random charts: every rung costs more than the one below, allows
//! what it says and nothing more, and is a project of its own. The command writes them all.

use proptest::prelude::*;
use std::ffi::OsString;
use std::sync::Arc;
use thumbwalk::batch;
use thumbwalk::batch::Console;
use thumbwalk::batch::Exit;
use thumbwalk::batch::Outcome;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::document::Walk;
use thumbwalk::files;
use thumbwalk::score::pages::Drawn;
use thumbwalk::score::pages::Meaning;
use thumbwalk::session::ladder::Ladder;
use thumbwalk::session::ladder::climb;
use thumbwalk::session::sheet_pages;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Meter;
use thumbwalk::theory::MoveSet;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

fn rises(ladder: &Ladder) -> Result<(), String> {
    for pair in ladder.rungs.windows(2) {
        let [below, above] = pair else { continue };
        if below.effort() >= above.effort() {
            return Err(format!(
                "{} costs {} and {} above it {}",
                below.rung.name,
                below.effort(),
                above.rung.name,
                above.effort()
            ));
        }
    }
    for rung in &ladder.rungs {
        let allowed = match rung.rung.walk {
            Walk::Roots => MoveSet::EMPTY.with(ThumbMove::Root),
            Walk::Plain => MoveSet::EMPTY
                .with(ThumbMove::Root)
                .union(MoveSet::CHROMATIC),
            _ => MoveSet::ALL,
        };
        if !rung.moves.minus(allowed).is_empty() {
            return Err(format!("{} has {:?}", rung.rung.name, rung.moves));
        }
        if !rung.rung.tune && rung.document.has_tune() {
            return Err(format!("{} has the tune", rung.rung.name));
        }
    }
    Ok(())
}

fn samples() -> Vec<Document> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-projects");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the samples")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == files::PROJECT_ENDING))
        .collect();
    paths.sort();
    let open = |path: &std::path::PathBuf| files::load_project(path).expect("a project").0;
    paths.iter().map(open).collect()
}

#[test]
fn the_ladders_of_all_samples_rise() {
    for document in samples() {
        let ladder = climb(&document, &mut |_, _| true).expect("a ladder");
        assert_eq!(rises(&ladder), Ok(()), "{}", document.title);
        assert!(
            ladder.rungs.len() >= 4,
            "{}: {:?}",
            document.title,
            ladder.left_out
        );
        assert!(ladder.rungs.iter().all(|rung| rung.n_faults() == 0));
    }
}

const SYMBOLS: &[&str] = &[
    "C", "Dm7", "G7", "Fmaj7", "Am7", "Bm7b5", "E7b9", "Bb9", "Ebmaj7", "Ab13", "Gm6", "D7",
];

fn chart() -> impl Strategy<Value = Document> {
    let meter = prop::sample::select(Meter::ALL.to_vec());
    let symbols = prop::collection::vec(prop::sample::select(SYMBOLS), 2..6);
    (meter, symbols, any::<u64>()).prop_map(|(meter, symbols, seed)| {
        let bar = |symbol: &str| Bar {
            chords: vec![ChordAt {
                at: Ticks(0),
                harmony: Harmony::parse(symbol).expect("a chord"),
                shape: None,
            }],
            ..Bar::default()
        };
        let section = Section {
            name: String::new(),
            bars: symbols.into_iter().map(bar).collect(),
        };
        let mut document = Document {
            meter,
            sections: vec![Arc::new(section)],
            ..Document::default()
        };
        document.line.seed = seed;
        document
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_ladders_of_random_charts_rise(document in chart()) {
        let ladder = climb(&document, &mut |_, _| true).expect("a ladder");
        prop_assert_eq!(rises(&ladder), Ok(()));
        let named = ladder.rungs.len() + ladder.left_out.len();
        prop_assert_eq!(named, document.ladder().len());
    }
}

#[test]
fn the_command_writes_every_rung_as_a_project_and_as_pages() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("rungs");
    let mut input = "Title: Two Lanterns\nKey: C\n| Dm7 | G7 | Cmaj7 | A7 |\n".as_bytes();
    let (mut results, mut messages) = (Vec::new(), Vec::new());
    let mut console = Console {
        input: &mut input,
        out: &mut results,
        err: &mut messages,
    };
    let args = ["ladder", "-", "-o"].map(OsString::from);
    let args = args.into_iter().chain([out.clone().into_os_string()]);
    let outcome = batch::run(args, &mut console);
    let told = String::from_utf8_lossy(&messages).into_owned();
    assert_eq!(outcome, Outcome::Done(Exit::Fine), "{told}");
    let table = String::from_utf8(results).expect("text");
    assert!(table.starts_with("Two Lanterns: the same tune on rising rungs\n"));
    let projects: Vec<_> = told.lines().filter(|line| line.ends_with(".ron")).collect();
    assert!(projects.len() >= 4, "{told}");
    let first = files::load_project(&out.join("1-roots.ron"))
        .expect("a project")
        .0;
    assert_eq!(first.line.walk, Walk::Roots);
    let pages = std::fs::read(out.join("1-roots.pdf")).expect("pages");
    assert!(pages.starts_with(b"%PDF-"));
}

/// A booklet is numbered through: `page 3 of 8`, whichever rung it belongs to.
#[test]
fn pages_of_a_booklet_are_numbered_through() {
    let document = samples().swap_remove(0);
    let ladder = climb(&document, &mut |_, _| true).expect("a ladder");
    let pages = sheet_pages::of_ladder(&ladder);
    assert!(pages.len() >= ladder.rungs.len());
    for (i, page) in pages.iter().enumerate() {
        let wanted = format!("page {} of {}", i + 1, pages.len());
        let says_so = page.marks.iter().any(|mark| match &mark.drawn {
            Drawn::Text { text, .. } => mark.meaning == Meaning::Foot && text.ends_with(&wanted),
            _ => false,
        });
        assert!(says_so, "{wanted}");
    }
}
