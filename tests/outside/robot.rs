//! A robot that works for hours in minutes: it writes, decides, locks, copies, transposes, plays,
//! drills, climbs ladders, saves, opens and exports without a pause, some of it at the session itself
//! and some in the window around it, where it clicks whatever is there and presses keys; every now
//! and then it says how much memory, how many handles and threads the program holds. It ends with 1
//! if they grow, if what was solved edit by edit is not what is solved from nothing, or if two things
//! in the window share an identity. By hand, in release: `cargo run --release --example robot --
//! SECONDS [SEED]`. The same seed asks for the same things in the same order; what a click meets in the
//! window depends on how far the workers are. Reads `/proc` (Linux).

#[path = "../anything/mod.rs"]
mod anything;

use anything::CHART;
use anything::action;
use egui::Key;
use egui::Modifiers;
use egui_kittest::Harness;
use egui_kittest::kittest::NodeT as _;
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use thumbwalk::gui::App;
use thumbwalk::gui::install_look;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::session::arrange_document;
use thumbwalk::session::export::FORMATS;

/// What the program holds.
#[derive(Clone, Copy, Debug)]
struct Held {
    kib: u64,
    handles: usize,
    threads: u64,
}

impl Held {
    fn now() -> Self {
        let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
        let number = |name: &str| {
            let line = status.lines().find_map(|line| line.strip_prefix(name));
            let word = line.and_then(|rest| rest.split_whitespace().next());
            word.and_then(|word| word.parse().ok()).unwrap_or(0)
        };
        Self {
            kib: number("VmRSS:"),
            handles: std::fs::read_dir("/proc/self/fd").map_or(0, Iterator::count),
            threads: number("Threads:"),
        }
    }

    fn most(self, other: Self) -> Self {
        Self {
            kib: self.kib.max(other.kib),
            handles: self.handles.max(other.handles),
            threads: self.threads.max(other.threads),
        }
    }

    fn least(self, other: Self) -> Self {
        Self {
            kib: self.kib.min(other.kib),
            handles: self.handles.min(other.handles),
            threads: self.threads.min(other.threads),
        }
    }
}

/// What the program holds with the same small chart in it every time, so that a long tune or a long undo
/// does not look like a leak.
fn held_with_a_small_chart(session: &mut Session) -> Held {
    session.act(Action::OpenText(CHART.into()));
    session.settle();
    Held::now()
}

/// The most that was held in the first four tenths and the least in the last three, if that is more by an
/// eighth and 16 MiB, or by two handles or threads. By the fourth tenth every worker has been used and
/// every cache is full.
fn growth(held: &[Held]) -> Option<(Held, Held)> {
    let (first, last) = (held.get(..4)?, held.get(7..)?);
    let before = first.iter().copied().reduce(Held::most)?;
    let after = last.iter().copied().reduce(Held::least)?;
    let grows = after.kib > before.kib + before.kib / 8 + 16 * 1024
        || after.handles > before.handles + 2
        || after.threads > before.threads + 2;
    grows.then_some((before, after))
}

/// Random numbers by xorshift64 (Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8,
/// 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u8 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 24) as u8
    }

    fn one_in(&mut self, n: u8) -> bool {
        self.roll() < 255 / n
    }
}

/// What takes longer, or goes out of the tune: once in a while.
fn errand(session: &mut Session, dice: &mut Dice, folder: &Path) {
    match dice.roll() % 8 {
        0 | 1 => {
            let format = &FORMATS[usize::from(dice.roll()) % FORMATS.len()];
            session.act(Action::Export(
                folder.join(format!("out.{}", format.ending)),
            ));
        }
        2 => {
            session.act(Action::SaveAs(folder.join("tune.ron")));
            session.act(Action::Open(folder.join("tune.ron")));
        }
        3 => session.act(Action::PlayOrStop),
        4 => session.act(Action::HearBar),
        5 => session.act(Action::StartDrill),
        6 => session.act(Action::ClimbLadder),
        _ => session.act(Action::OpenText(CHART.into())),
    }
    session.settle();
    session.act(Action::StopDrill);
    let told: Vec<u64> = session.notices().iter().map(|notice| notice.id).collect();
    for id in told {
        session.act(Action::Dismiss(id));
    }
}

/// The keys that the window knows, and some that it does not.
const KEYS: [Key; 24] = [
    Key::ArrowLeft,
    Key::ArrowRight,
    Key::ArrowUp,
    Key::ArrowDown,
    Key::Home,
    Key::End,
    Key::PageDown,
    Key::Enter,
    Key::Escape,
    Key::Space,
    Key::Tab,
    Key::Delete,
    Key::Backspace,
    Key::Num1,
    Key::Num2,
    Key::Num3,
    Key::F,
    Key::K,
    Key::L,
    Key::N,
    Key::T,
    Key::V,
    Key::Z,
    Key::F1,
];

/// Clicks anything that can be clicked, or presses a key, or types a little, and lets the window
/// draw what comes of it.
fn at_the_window(window: &mut Harness<'static, App>, dice: &mut Dice) {
    match dice.roll() % 8 {
        0 => {
            let typed = [
                "Am7 | D7", "bridge", "7", "a4", "Eb", "120", "\u{266D}", "x",
            ];
            let text = typed[usize::from(dice.roll()) % typed.len()];
            window.event(egui::Event::Text(text.into()));
        }
        1 | 2 => {
            let key = KEYS[usize::from(dice.roll()) % KEYS.len()];
            let modifiers = match dice.roll() % 4 {
                0 => Modifiers::COMMAND,
                1 => Modifiers::SHIFT,
                _ => Modifiers::NONE,
            };
            window.key_press_modifiers(modifiers, key);
        }
        _ => {
            let root = window.root();
            let all = root.children_recursive().filter(|node| {
                let node = node.accesskit_node();
                node.data().supports_action(egui::accesskit::Action::Click) && !node.is_disabled()
            });
            let all: Vec<_> = all.collect();
            let at = usize::from(dice.roll()) * 256 + usize::from(dice.roll());
            if let Some(node) = all.get(at % all.len().max(1)) {
                node.click_accesskit();
            }
        }
    }
    window.run_steps(2);
    let clash = window.output().shapes.iter().any(|clipped| {
        matches!(&clipped.shape, egui::Shape::Text(text) if text.galley.text().starts_with("\u{1F525}"))
    });
    assert!(!clash, "two things in the window share an identity");
}

/// What was solved edit by edit must be what is solved from nothing.
fn hold_against_a_fresh_start(session: &mut Session) {
    session.settle();
    let (document, solved) = (session.document(), session.arrangement());
    if document.n_bars() > 0 && !session.is_solving() {
        let fresh = arrange_document(document);
        assert!(
            solved.is_none_or(|solved| **solved == fresh),
            "solved edit by edit it is another arrangement:\n{}",
            thumbwalk::files::text_from_document(document)
        );
    }
}

/// The window, in memory alone, around a session without a sound card.
fn window() -> Harness<'static, App> {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(CHART.into()));
    Harness::builder()
        .with_size(egui::vec2(1400.0, 900.0))
        .with_context_setup(|ctx| {
            install_look(ctx);
            ctx.options_mut(|options| options.warn_on_id_clash = true);
        })
        .build_eframe(move |_| App::for_test(session))
}

fn main() {
    let mut args = std::env::args().skip(1);
    let seconds = args.next().and_then(|a| a.parse().ok()).unwrap_or(60);
    let seed = args.next().and_then(|a| a.parse().ok()).unwrap_or(1);
    let mut out = std::io::stdout();
    let Ok(folder) = tempfile::tempdir() else {
        std::process::exit(2);
    };
    // Whatever name it types for a file, or takes as suggested, the file comes to lie here.
    if std::env::var_os("THUMBWALK_ROBOT").is_none() {
        let again = std::env::current_exe().and_then(|program| {
            std::process::Command::new(program)
                .args(std::env::args_os().skip(1))
                .env("THUMBWALK_ROBOT", "1")
                .env("HOME", folder.path())
                .current_dir(folder.path())
                .status()
        });
        drop(folder);
        std::process::exit(again.ok().and_then(|end| end.code()).unwrap_or(2));
    }
    let mut dice = Dice(seed);
    let mut window = window();
    let whole = Duration::from_secs(seconds);
    let begun = Instant::now();
    let (mut done, mut errands, mut clicks, mut told) = (0_u64, 0_u64, 0_u64, 0_u32);
    let mut held_at = Vec::new();
    while begun.elapsed() < whole {
        let session = window.state_mut().session_mut();
        let roll = (dice.roll(), dice.roll(), dice.roll(), dice.roll());
        if session.document().n_bars() == 0 {
            session.act(Action::OpenText(CHART.into()));
        }
        // Locks, voicings and ways need to know what the tool has.
        if (8..13).contains(&(roll.0 % 16)) {
            session.settle();
        }
        if session.document().n_bars() > 0 {
            let deed = action(session, roll);
            session.act(deed);
        }
        session.tick();
        done += 1;
        if dice.one_in(60) {
            errand(session, &mut dice, folder.path());
            errands += 1;
        }
        if dice.one_in(100) {
            hold_against_a_fresh_start(session);
        }
        if dice.one_in(4) {
            at_the_window(&mut window, &mut dice);
            clicks += 1;
        }
        let tenths = (begun.elapsed().as_secs_f64() / whole.as_secs_f64() * 10.0) as u32;
        if tenths > told {
            told = tenths;
            let held = held_with_a_small_chart(window.state_mut().session_mut());
            held_at.push(held);
            let _ = writeln!(
                out,
                "{:>6.0} s: {done} deeds, {clicks} in the window, {errands} errands; {} MiB, {} handles, {} threads",
                begun.elapsed().as_secs_f64(),
                held.kib / 1024,
                held.handles,
                held.threads
            );
        }
    }
    if let Some((before, after)) = growth(&held_at) {
        let _ = writeln!(out, "it grows: from {before:?} to {after:?}");
        std::process::exit(1);
    }
}
