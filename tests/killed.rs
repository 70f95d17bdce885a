//! The program is killed while it is used, by the signal that nothing can be prepared for: a project
//! is open in the real window, keys decide one thumb note after the other and save now and then, and
//! at a random moment it ends. The project file must be whole, and what the next start offers must
//! be what was there after some of the keys, in their order, and nothing else.
//!
//! `THUMBWALK_KILLS=200 cargo test --test killed -- --nocapture` does it two hundred times instead
//! of six, and then also holds the work that was lost against two seconds.
//!
//! Needs what `sound_support::desk` needs, Xvfb, xdotool and `import`. Where they are missing the
//! test says so and passes, unless `CI` is set: then it fails.

#![cfg(all(feature = "gui", unix))]
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a test may stop at the first thing that is not as it should be, and say why"
)]

mod real_screen;
mod sound_support;

use real_screen::Screen;
use real_screen::wait_for;
use sound_support::desk::Desk;
use std::io::Write as _;
use std::path::Path;
use std::process::ChildStdin;
use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use thumbwalk::document::Document;
use thumbwalk::document::ThumbCell;
use thumbwalk::files;
use thumbwalk::session::Action;
use thumbwalk::session::Offer;
use thumbwalk::session::SafetyOptions;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::theory::ThumbMove;

/// Our own; long enough that no round comes to its end.
const CHART: &str = "Title: Long pier\nKey: C\n[A]\n\
                     Dm7 | G7 | Cmaj7 | A7 | Dm7 | G13 | C6 | Em7 A7\n\
                     Dm7 | G7 | Cmaj7 | A7 | Dm7 | G13 | C6 | C6\n";

/// Keys and what they decide.
const KEYS: [(&str, ThumbMove); 5] = [
    ("1", ThumbMove::Root),
    ("3", ThumbMove::Third),
    ("5", ThumbMove::Fifth),
    ("7", ThumbMove::Seventh),
    ("8", ThumbMove::Octave),
];

/// The most work that may be lost.
const MOST_LOST: Duration = Duration::from_secs(2);

/// Random enough for moments: xorshift64 (Marsaglia, "Xorshift RNGs", Journal of Statistical
/// Software 8, 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

/// A key that was pressed: what it decides, and when it was sent.
type Pressed = (ThumbMove, Instant);

/// Keys of a round that may not reach the program: a bare display on a busy machine swallows one
/// now and then.
const SWALLOWED: usize = 6;

/// The thumb notes that a document shows, in order; they must be those of the first keys, in their
/// order, and nothing else.
#[track_caller]
fn shown(document: &Document, pressed: &[Pressed]) -> Vec<ThumbMove> {
    let cells = document.bars().flat_map(|bar| &bar.thumb);
    let shown: Vec<ThumbMove> = cells
        .map(|(_, cell)| match cell {
            ThumbCell::Move(thumb_move) => *thumb_move,
            other => panic!("nobody asked for {other:?}"),
        })
        .collect();
    let asked: Vec<ThumbMove> = pressed.iter().map(|(asked, _)| *asked).collect();
    let mut rest = asked.iter();
    let in_order = shown.iter().all(|there| rest.any(|asked| asked == there));
    let passed_over = (asked.len() - rest.len()).saturating_sub(shown.len());
    assert!(
        in_order && passed_over <= SWALLOWED,
        "asked for {asked:?}, found {shown:?}"
    );
    shown
}

fn silent() -> Session {
    Session::with_sound(Arc::new(|| {}), SoundChoice::Silent)
}

/// What the next start offers, restored, if it offers something; and then it is gone.
fn restored(data: &Path) -> Option<Arc<Document>> {
    let mut session = silent();
    session.keep_safe(SafetyOptions {
        folder: data.into(),
        clock: || 0,
        pause: Duration::ZERO,
    });
    let words: Vec<_> = session.notices().iter().map(|n| &n.text).collect();
    assert!(words.is_empty(), "{words:?}");
    let offers = session.offers();
    assert!(offers.len() <= 1, "{offers:?}");
    let Some(Offer::LeftBehind { number, .. }) = offers.first() else {
        return None;
    };
    session.act(Action::Restore(*number));
    assert!(session.has_unsaved_changes() && session.path().is_some());
    let document = Arc::clone(session.document());
    session.act(Action::LetGo);
    Some(document)
}

/// The work in the journals, while the program runs.
fn journals(data: &Path) -> Vec<Arc<Document>> {
    let entries = std::fs::read_dir(data.join("unsaved work")).into_iter();
    let paths = entries.flatten().flatten().map(|entry| entry.path());
    let journals = paths.filter(|path| path.extension().is_some_and(|e| e == "ron"));
    let texts = journals.filter_map(|path| std::fs::read_to_string(path).ok());
    texts
        .filter_map(|text| files::entry_from_text(&text).ok()?.document)
        .collect()
}

/// Presses keys for a while, saving now and then; `until` says when it is enough.
fn work(
    hands: &mut ChildStdin,
    dice: &mut Dice,
    saving: bool,
    mut until: impl FnMut(usize) -> bool,
) -> Vec<Pressed> {
    let mut pressed = Vec::new();
    writeln!(hands, "key Home").unwrap();
    // Sixteen bars of eight slots.
    while pressed.len() < 120 && !until(pressed.len()) {
        let (key, thumb_move) = KEYS[usize::try_from(dice.below(5)).unwrap()];
        pressed.push((thumb_move, Instant::now()));
        writeln!(hands, "key --delay 10 {key} Right").unwrap();
        if saving && dice.below(20) == 0 {
            writeln!(hands, "key ctrl+s").unwrap();
        }
        std::thread::sleep(Duration::from_millis(15 + dice.below(60)));
    }
    pressed
}

fn kills() -> Option<usize> {
    std::env::var("THUMBWALK_KILLS").ok()?.parse().ok()
}

#[test]
fn a_killed_program_costs_no_more_than_the_last_moments() {
    let Some(desk) = Desk::open(false, &["Xvfb", "xdotool", "import"]) else {
        return;
    };
    let project = desk.folder().join("pier.ron");
    let data = desk.folder().join("data").join("thumbwalk");
    let mut first = silent();
    first.act(Action::OpenText(CHART.into()));
    first.act(Action::SaveAs(project.clone()));
    let fresh = std::fs::read(&project).unwrap();
    drop(first);
    let measured = kills().is_some();
    let rounds = kills().unwrap_or(6);
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let mut screen = Screen::open(&desk, &project);
    let (mut worst, mut offered, mut total) = (Duration::ZERO, 0, 0);
    for round in 0..rounds {
        if round > 0 {
            std::fs::write(&project, &fresh).unwrap();
            screen.open_again(&project);
        }
        screen.wait_for_rest();
        screen.wait_for_keys();
        let hands = screen
            .command("xdotool")
            .arg("-")
            .stdin(Stdio::piped())
            .spawn();
        let mut hands = hands.unwrap();
        let mut pipe = hands.stdin.take().unwrap();
        // Every third round ends at rest, with everything written down; then nothing may be lost.
        let at_rest = round % 3 == 2;
        let begun = Instant::now();
        let long = Duration::from_millis(200 + dice.below(4000));
        let few = 4 + usize::try_from(dice.below(20)).unwrap();
        let pressed = work(&mut pipe, &mut dice, !at_rest, |done| {
            if at_rest {
                done >= few
            } else {
                begun.elapsed() >= long
            }
        });
        let mut written = None;
        if at_rest {
            // Until the journal has all that has arrived, and no more comes.
            let mut quiet = 0;
            wait_for("the journal", || {
                let found = journals(&data);
                let now = found.first().map(|work| shown(work, &pressed));
                quiet = if now.is_some() && now == written {
                    quiet + 1
                } else {
                    0
                };
                written = now;
                (found.len() == 1 && quiet >= 20).then_some(())
            });
        }
        screen.kill();
        let killed = Instant::now();
        drop(pipe);
        hands.kill().ok();
        hands.wait().unwrap();

        let (on_disk, notices) = files::load_project(&project).unwrap();
        assert!(notices.is_empty(), "{notices:?}");
        let saved = shown(&on_disk, &pressed);
        let work = restored(&data);
        offered += usize::from(work.is_some());
        let kept = work.map_or_else(|| saved.clone(), |work| shown(&work, &pressed));
        assert!(
            kept.starts_with(&saved),
            "kept {kept:?}, which does not go on from {saved:?}"
        );
        if at_rest {
            assert_eq!(Some(&kept), written.as_ref(), "it had been written down");
        }
        let (saved, kept) = (saved.len(), kept.len());
        let lost = pressed.get(kept).filter(|_| !at_rest);
        let lost = lost.map_or(Duration::ZERO, |(_, sent)| killed.duration_since(*sent));
        worst = worst.max(lost);
        total += pressed.len();
        println!(
            "round {}: {} keys, {saved} saved, {kept} kept, lost {:.2} s",
            round + 1,
            pressed.len(),
            lost.as_secs_f64()
        );
    }
    println!(
        "{rounds} kills, {total} keys, {offered} offers, most lost {:.2} s",
        worst.as_secs_f64()
    );
    assert!(offered > 0, "no round had anything to offer");
    // What a key needs to reach the window counts as lost as well, so a busy machine proves nothing.
    if measured {
        assert!(worst <= MOST_LOST, "{worst:?} of work was lost");
    }
}
