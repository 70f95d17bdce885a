//! What the machine may do to us: a disk that is full, a folder that cannot be written, a display
//! that cannot draw. Each time the old files are whole, nothing half is left, and the words say what
//! happened, where, and what can be done.
//!
//! The disks are small ones in memory, in a mount namespace of the test's own (unshare of
//! util-linux, mount(8) of tmpfs). Where the system does not allow that the test says so and passes,
//! unless `CI` is set: then it fails.

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
use real_screen::start_display;
use sound_support::desk::Desk;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;
use thumbwalk::session::export::FORMATS;

const TUNE: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/sample-projects/new-britain.ron"
);

const OLD: &str = "what was there before\n";

/// What became of a job on a disk of its own.
struct Outcome {
    code: Option<i32>,
    said: String,
    /// What lies on the disk afterwards, by name.
    files: BTreeMap<String, Vec<u8>>,
}

/// How a shell is started that may mount a disk for itself: as one's own root, or as the machine's.
const SHELLS: [&[&str]; 2] = [
    &["unshare", "--map-root-user", "--mount", "sh", "-c"],
    &["sudo", "-n", "unshare", "--mount", "sh", "-c"],
];

fn in_shell(shell: &[&str], script: &str) -> Command {
    let (first, rest) = shell.split_first().unwrap();
    let mut command = Command::new(first);
    command.args(rest).arg(script);
    command
}

/// The shell that this system allows, if it allows one.
fn shell() -> Option<&'static [&'static str]> {
    let works = |shell: &&&[&str]| {
        let tried = in_shell(shell, "mount -t tmpfs none /mnt").output();
        tried.is_ok_and(|output| output.status.success())
    };
    let found = SHELLS.iter().find(works).copied();
    if found.is_none() {
        assert!(std::env::var_os("CI").is_none(), "no disk can be mounted");
        println!("passed over, no disk can be mounted");
    }
    found
}

/// Mounts a disk, puts an old file on it, does the job there and copies what lies there then.
const SCRIPT: &str = r#"
    disk=$1 kept=$2 size=$3 mode=$4 old=$5 text=$6; shift 6
    mount -t tmpfs -o "size=${size}k" none "$disk" || exit 99
    printf '%s' "$text" > "$disk/$old" || exit 99
    [ "$mode" = rw ] || mount -o "remount,$mode" "$disk" || exit 99
    cd "$disk" && "$@" 2> "$kept/../said"
    code=$?
    cp -R "$disk/." "$kept/" && chmod -R a+rwX "$kept"
    exit $code
"#;

/// Runs the program on a disk of so many KiB that holds an old file and may be read-only (`ro`).
fn on_disk(shell: &[&str], (kib, mode): (u32, &str), old: &str, args: &[&str]) -> Outcome {
    let folder = tempfile::tempdir().unwrap();
    let (disk, kept) = (folder.path().join("disk"), folder.path().join("kept"));
    for made in [&disk, &kept] {
        std::fs::create_dir(made).unwrap();
    }
    let status = in_shell(shell, SCRIPT)
        .arg("sh")
        .args([&disk, &kept])
        .args([&kib.to_string(), mode, old, OLD, PROGRAM])
        .args(args)
        .status()
        .unwrap();
    assert_ne!(status.code(), Some(99), "the disk could not be prepared");
    let entries = std::fs::read_dir(&kept).unwrap().map(Result::unwrap);
    let read = |path: &Path| std::fs::read(path).unwrap_or_default();
    Outcome {
        code: status.code(),
        said: std::fs::read_to_string(folder.path().join("said")).unwrap(),
        files: entries
            .map(|entry| {
                let name = entry.file_name().into_string().unwrap();
                (name, read(&entry.path()))
            })
            .collect(),
    }
}

/// The old file is as it was, and nothing else is there.
fn assert_only_the_old(outcome: &Outcome, old: &str, job: &str) {
    let names: Vec<&str> = outcome.files.keys().map(String::as_str).collect();
    assert_eq!(names, [old], "{job}: {}", outcome.said);
    assert_eq!(outcome.files[old], OLD.as_bytes(), "{job}");
}

#[test]
fn a_full_disk_costs_no_old_file_and_leaves_no_half_one() {
    let Some(shell) = shell() else {
        return;
    };
    for ending in FORMATS.iter().map(|format| format.ending) {
        let old = format!("old.{ending}");
        // The old file takes the one page of memory that there is.
        let outcome = on_disk(shell, (4, "rw"), &old, &["export", TUNE, "-o", &old]);
        assert_eq!(outcome.code, Some(1), "{ending}: {}", outcome.said);
        assert_only_the_old(&outcome, &old, ending);
        let said = &outcome.said;
        assert!(
            said.contains(&old) && said.contains("full"),
            "{ending}: {said}"
        );
    }
}

#[test]
fn a_project_is_not_lost_where_its_disk_is_full() {
    let Some(shell) = shell() else {
        return;
    };
    let outcome = on_disk(
        shell,
        (4, "rw"),
        "old.ron",
        &["arrange", TUNE, "-o", "old.ron"],
    );
    assert_eq!(outcome.code, Some(1), "{}", outcome.said);
    assert_only_the_old(&outcome, "old.ron", "arrange");
    assert!(outcome.said.contains("full"), "{}", outcome.said);
}

#[test]
fn a_folder_that_cannot_be_written_is_named() {
    let Some(shell) = shell() else {
        return;
    };
    for (old, job) in [
        ("old.pdf", ["export", TUNE, "-o", "old.pdf"]),
        ("old.ron", ["arrange", TUNE, "-o", "old.ron"]),
        ("old.wav", ["export", TUNE, "-o", "old.wav"]),
        ("old.txt", ["ladder", TUNE, "-o", "rungs"]),
    ] {
        let outcome = on_disk(shell, (1024, "ro"), old, &job);
        assert_eq!(outcome.code, Some(1), "{job:?}: {}", outcome.said);
        assert_only_the_old(&outcome, old, old);
        let target = job[3];
        let said = &outcome.said;
        assert!(
            said.contains(target) && said.to_lowercase().contains("read-only"),
            "{job:?}: {said}"
        );
    }
}

/// A ladder that does not fit leaves whole files only: those that were written before the disk was
/// full.
#[test]
fn many_files_at_once_stop_at_the_first_that_does_not_fit() {
    let Some(shell) = shell() else {
        return;
    };
    let outcome = on_disk(
        shell,
        (64, "rw"),
        "old.txt",
        &["export", TUNE, "-o", "a.mid", "-o", "b.wav"],
    );
    assert_eq!(outcome.code, Some(1), "{}", outcome.said);
    assert!(outcome.said.contains("b.wav"), "{}", outcome.said);
    assert_eq!(outcome.files["old.txt"], OLD.as_bytes());
    let names: Vec<&str> = outcome.files.keys().map(String::as_str).collect();
    assert_eq!(names, ["a.mid", "old.txt"]);
    assert!(outcome.files["a.mid"].starts_with(b"MThd"));
}

/// The folders of all drawing libraries are hidden (environment variables of Mesa and of libglvnd).
#[test]
fn a_display_that_cannot_draw_is_explained() {
    let Some(desk) = Desk::open(false, &["Xvfb"]) else {
        return;
    };
    let (_display, name) = start_display(&desk);
    let said = desk.folder().join("said");
    let status = desk
        .command(PROGRAM)
        .arg(TUNE)
        .env("DISPLAY", name)
        .env("LIBGL_DRIVERS_PATH", "/nowhere")
        .env("__EGL_VENDOR_LIBRARY_DIRS", "/nowhere")
        .stderr(std::fs::File::create(&said).unwrap())
        .status()
        .unwrap();
    let said = std::fs::read_to_string(said).unwrap();
    assert_eq!(status.code(), Some(1), "{said}");
    assert!(
        said.contains("the window cannot open") && said.contains("OpenGL"),
        "{said}"
    );
    assert!(!said.contains("panicked"), "{said}");
}
