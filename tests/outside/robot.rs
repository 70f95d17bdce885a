//! A robot that works for hours in minutes: it writes, decides, locks, copies, transposes, plays,
//! drills, climbs ladders, saves, opens and exports without a pause, and every now and then says how
//! much memory, how many handles and threads the program holds. It ends with 1 if they grow.
//! By hand, in release: `cargo run --release --example robot -- SECONDS [SEED]`. The same seed does the
//! same things in the same order; only how many depends on the time. Reads `/proc` (Linux).

#[path = "../anything/mod.rs"]
mod anything;

use anything::CHART;
use anything::action;
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;

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
    let endings = [
        "pdf",
        "svg",
        "png",
        "txt",
        "chart.txt",
        "mid",
        "musicxml",
        "mxl",
        "csv",
        "wav",
    ];
    match dice.roll() % 8 {
        0 | 1 => {
            let ending = endings[usize::from(dice.roll()) % endings.len()];
            session.act(Action::Export(folder.join(format!("out.{ending}"))));
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

fn main() {
    let mut args = std::env::args().skip(1);
    let seconds = args.next().and_then(|a| a.parse().ok()).unwrap_or(60);
    let seed = args.next().and_then(|a| a.parse().ok()).unwrap_or(1);
    let mut out = std::io::stdout();
    let Ok(folder) = tempfile::tempdir() else {
        std::process::exit(2);
    };
    let mut dice = Dice(seed);
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(CHART.into()));
    let whole = Duration::from_secs(seconds);
    let begun = Instant::now();
    let (mut done, mut errands, mut told) = (0_u64, 0_u64, 0_u32);
    let mut after_first_part = None;
    while begun.elapsed() < whole {
        let roll = (dice.roll(), dice.roll(), dice.roll(), dice.roll());
        if session.document().n_bars() == 0 {
            session.act(Action::OpenText(CHART.into()));
        }
        // Locks, voicings and ways need to know what the tool has.
        if (8..13).contains(&(roll.0 % 16)) {
            session.settle();
        }
        let deed = action(&session, roll);
        session.act(deed);
        session.tick();
        done += 1;
        if dice.one_in(60) {
            errand(&mut session, &mut dice, folder.path());
            errands += 1;
        }
        let tenths = (begun.elapsed().as_secs_f64() / whole.as_secs_f64() * 10.0) as u32;
        if tenths > told {
            told = tenths;
            let held = Held::now();
            // By then every worker has been used and every cache is full.
            if told == 3 {
                after_first_part = Some(held);
            }
            let _ = writeln!(
                out,
                "{:>6.0} s: {done} deeds, {errands} errands; {} MiB, {} handles, {} threads",
                begun.elapsed().as_secs_f64(),
                held.kib / 1024,
                held.handles,
                held.threads
            );
        }
    }
    let (Some(before), after) = (after_first_part, Held::now()) else {
        return;
    };
    // The undo of one long day of work is kept: it may grow by that, and by nothing else.
    let grows = after.kib > before.kib + before.kib / 4 + 16 * 1024;
    if grows || after.handles > before.handles + 2 || after.threads > before.threads + 2 {
        let _ = writeln!(out, "it grows: from {before:?} to {after:?}");
        std::process::exit(1);
    }
}
