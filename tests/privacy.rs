//! What the program keeps to itself: every system call by which it could talk to a network or write
//! a file is traced while it does each of its jobs without a window and while it is used in the real
//! one. It opens no network socket, writes only where it is told to and in its own folders, and what
//! it writes to be handed on names neither the machine nor the person nor a folder.
//!
//! Needs strace (and for the window what the test of the real window needs). Where it is missing the
//! test says so and passes, unless `CI` is set: then it fails.

#![cfg(all(feature = "gui", feature = "audio", target_os = "linux"))]
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a test may stop at the first thing that is not as it should be, and say why"
)]

mod real_screen;
mod sound_support;

use real_screen::PROGRAM;
use real_screen::Screen;
use real_screen::wait_for;
use sound_support::desk::Desk;
use std::path::Path;
use std::path::PathBuf;
use thumbwalk::session::export::FORMATS;

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-projects");

/// Calls that reach out or write: strace(1), its sets `%network` and single calls.
const TRACED: &str = "trace=%network,open,openat,openat2,creat,mkdir,mkdirat,rename,renameat,\
                      renameat2,link,linkat,symlink,symlinkat";

/// A folder that nothing the program writes may name.
const TELLTALE: &str = "telltale-folder";

/// Starts a program under the eye of strace, which writes down what it does.
fn eye(log: &Path) -> Vec<String> {
    let log = log.to_str().unwrap();
    let words = [
        "strace", "-f", "-qq", "-y", "-s", "4096", "-o", log, "-e", TRACED,
    ];
    words.map(str::to_owned).to_vec()
}

/// The successful calls of a trace.
fn calls(log: &Path) -> Vec<String> {
    let text = String::from_utf8_lossy(&std::fs::read(log).unwrap()).into_owned();
    let calls = text.lines().filter(|line| line.contains('('));
    calls
        .filter(|line| !line.contains(" = -1 "))
        .map(str::to_owned)
        .collect()
}

/// Sockets other than those between programs of one machine.
fn network_sockets(calls: &[String]) -> Vec<&String> {
    let sockets = calls.iter().filter(|call| call.contains("socket("));
    sockets.filter(|call| !call.contains("AF_UNIX")).collect()
}

/// What was written, made or renamed, as absolute paths.
fn written(calls: &[String], folder: &Path) -> Vec<PathBuf> {
    let writes = |call: &&String| {
        let opens = call.contains(" open") || call.contains("creat(");
        let for_writing = ["O_WRONLY", "O_RDWR", "O_CREAT", "creat("];
        !call.contains("socket") && (!opens || for_writing.iter().any(|flag| call.contains(flag)))
    };
    let changes = ["open", "creat(", "mkdir", "rename", "link"];
    let mut paths = Vec::new();
    for call in calls.iter().filter(writes) {
        if changes.iter().any(|name| call.contains(name)) {
            let quoted = call.split('"').skip(1).step_by(2);
            paths.extend(quoted.map(|path| folder.join(path)));
        }
    }
    paths
}

/// Everything that a person at this machine could be known by.
fn telltales(desk: &Desk) -> Vec<String> {
    let machine = std::fs::read_to_string("/proc/sys/kernel/hostname").unwrap();
    // With a stroke behind it: `</root>` stands in many a file of marks.
    let home = std::env::var("HOME").unwrap_or_default() + "/";
    let user = std::env::var("USER").unwrap_or_default();
    let all = [
        machine.trim().to_owned(),
        home,
        user,
        TELLTALE.to_owned(),
        desk.folder().to_str().unwrap().to_owned(),
    ];
    // Shorter names are found in any music.
    all.into_iter().filter(|name| name.len() > 4).collect()
}

fn assert_names_nothing(bytes: &[u8], telltales: &[String], what: &Path) {
    for name in telltales {
        let found = bytes
            .windows(name.len())
            .any(|part| part == name.as_bytes());
        assert!(!found, "{} names {name}", what.display());
    }
}

#[test]
fn jobs_without_a_window_reach_no_network_and_write_only_what_they_are_told() {
    let Some(desk) = Desk::open(false, &["strace"]) else {
        return;
    };
    let folder = desk.folder().join(TELLTALE);
    std::fs::create_dir(&folder).unwrap();
    let tune = format!("{SAMPLES}/new-britain.ron");
    let chart = format!("{SAMPLES}/kiosk-by-the-water.chart.txt");
    let outputs = FORMATS
        .iter()
        .map(|format| format!("out.{}", format.ending));
    let outputs: Vec<String> = outputs.collect();
    let mut export = vec!["export", tune.as_str()];
    for output in &outputs {
        export.extend(["-o", output.as_str()]);
    }
    let jobs: [&[&str]; 11] = [
        &["chord", "G13(b9)"],
        &["voicings", "G7", "--top", "3"],
        &["arrange", &chart, "-o", "made.ron"],
        &export,
        &["import", "out.musicxml", "-o", "back.ron"],
        &["check", &tune],
        &["events", &tune, "--json"],
        &["keys", &chart],
        &["drill", &chart],
        &["ladder", &chart, "-o", "rungs"],
        &["trellis", &chart],
    ];
    let log = desk.folder().join("trace");
    for job in jobs {
        let eye = eye(&log);
        let (strace, watch) = eye.split_first().unwrap();
        let mut command = desk.command(strace);
        let end = command
            .args(watch)
            .arg(PROGRAM)
            .args(job)
            .current_dir(&folder);
        let output = end.output().unwrap();
        assert!(
            output.status.code().is_some_and(|code| code <= 1),
            "{job:?}"
        );
        let calls = calls(&log);
        assert!(!calls.is_empty(), "{job:?} was not seen");
        let sockets: Vec<_> = calls
            .iter()
            .filter(|call| call.contains("socket("))
            .collect();
        assert!(sockets.is_empty(), "{job:?}: {sockets:?}");
        for path in written(&calls, &folder) {
            assert!(
                path.starts_with(&folder),
                "{job:?} writes {}",
                path.display()
            );
        }
    }
    let telltales = telltales(&desk);
    let mut folders = vec![folder];
    let mut n_files = 0;
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                n_files += 1;
                assert_names_nothing(&std::fs::read(&path).unwrap(), &telltales, &path);
            }
        }
    }
    assert!(n_files > 20, "{n_files} files were looked at");
}

/// Where the window may write: its own folders, where it is told, and what the libraries between it
/// and the machine need (the drawing library's cache, the sound server's folder, devices).
fn is_allowed(path: &Path, desk: &Desk, told: &Path) -> bool {
    let own = [
        "config/thumbwalk",
        "data/thumbwalk",
        "run",
        "cache/mesa_shader_cache",
    ];
    let own_root = ["config", "data", "cache"].map(|name| desk.folder().join(name));
    let in_folder = own.iter().any(|name| {
        let allowed = desk.folder().join(name).into_os_string();
        // Mesa writes its cache into folders with endings of their own, too.
        path.as_os_str()
            .as_encoded_bytes()
            .starts_with(allowed.as_encoded_bytes())
    });
    let is_told = path.parent() == told.parent()
        && path
            .file_name()
            .is_some_and(|name| name.to_string_lossy().contains("kept.ron"));
    let is_device = ["/dev/", "/proc/self/", "/memfd:"]
        .iter()
        .any(|start| path.starts_with(start) || path.to_string_lossy().starts_with(start));
    in_folder || is_told || is_device || own_root.iter().any(|root| root == path)
}

#[test]
fn the_window_reaches_no_network_and_writes_only_where_it_may() {
    let Some(desk) = Desk::open(true, &["strace", "Xvfb", "xdotool", "import"]) else {
        return;
    };
    let folder = desk.folder().join(TELLTALE);
    std::fs::create_dir(&folder).unwrap();
    let tune = folder.join("tune.ron");
    std::fs::copy(format!("{SAMPLES}/ferry-queue-blues.ron"), &tune).unwrap();
    let log = desk.folder().join("trace");
    let mut screen = Screen::open_under(&desk, &tune, &eye(&log));
    screen.wait_for_rest();
    screen.wait_for_keys();
    // Decide something, hear it, save it under another name.
    screen.press(&["Right", "5"]);
    screen.wait_for_unsaved(true);
    screen.press(&["space"]);
    wait_for("the sound server", || {
        let seen = std::fs::read_to_string(&log).unwrap_or_default();
        seen.contains("pulse/native").then_some(())
    });
    screen.press(&["space"]);
    let kept = folder.join("kept.ron");
    screen.save_as(&kept);
    screen.press(&["ctrl+q"]);
    assert_eq!(screen.end().code(), Some(0));

    let calls = calls(&log);
    assert!(
        calls.iter().any(|call| call.contains("AF_UNIX")),
        "not seen"
    );
    let sockets = network_sockets(&calls);
    assert!(sockets.is_empty(), "{sockets:?}");
    for path in written(&calls, &folder) {
        assert!(
            is_allowed(&path, &desk, &kept),
            "it writes {}",
            path.display()
        );
    }
    let bytes = wait_for("the project", || std::fs::read(&kept).ok());
    assert_names_nothing(&bytes, &telltales(&desk), &kept);
}
