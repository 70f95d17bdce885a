//! Rules about the sources themselves, checked as plain text in a few milliseconds: which layer
//! may use which, that every file says what it is for, that files stay small, that nothing is left
//! lying about, and that DEVELOPERS.md tells the truth about all this.

use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

/// Each layer, and the layers it may name with `crate::`. Lowest first.
const LAYERS: &[(&str, &[&str])] = &[
    ("theory", &[]),
    ("instrument", &["theory"]),
    ("voicing", &["theory", "instrument"]),
    ("thumb", &["theory", "instrument"]),
    ("arrange", &["theory", "instrument", "voicing", "thumb"]),
    ("document", &["theory", "instrument"]),
    (
        "score",
        &["theory", "instrument", "voicing", "arrange", "document"],
    ),
    ("sound", &["theory", "score"]),
    ("import", &["theory", "instrument", "document"]),
    (
        "export",
        &[
            "theory",
            "instrument",
            "arrange",
            "document",
            "score",
            "sound",
        ],
    ),
    ("files", &["theory", "instrument", "document"]),
    ("device", &["sound"]),
    (
        "session",
        &[
            "theory",
            "instrument",
            "voicing",
            "thumb",
            "arrange",
            "document",
            "score",
            "sound",
            "import",
            "export",
            "files",
            "device",
        ],
    ),
    (
        "batch",
        &[
            "theory",
            "instrument",
            "voicing",
            "thumb",
            "arrange",
            "document",
            "score",
            "sound",
            "import",
            "export",
            "files",
            "device",
            "session",
        ],
    ),
    (
        "gui",
        &[
            "theory",
            "instrument",
            "voicing",
            "thumb",
            "arrange",
            "document",
            "score",
            "session",
        ],
    ),
];

/// Names that only the listed layers may use.
const FENCED: &[(&str, &[&str])] = &[
    ("egui", &["gui"]),
    ("eframe", &["gui"]),
    ("rfd::", &["gui"]),
    ("rodio::", &["device"]),
    ("std::fs", &["files"]),
    ("std::thread", &["session", "device"]),
    ("Instant::now", &["session", "gui", "device"]),
    ("SystemTime", &[]),
    ("UNIX_EPOCH", &["files", "gui"]),
    ("serde::", &["files", "batch"]),
    ("lexopt", &["batch"]),
    ("krilla", &["export"]),
    ("quick_xml", &["import"]),
];

/// What may lie at the top of the repository, and whether it must.
const TOP_LEVEL: &[(&str, bool)] = &[
    (".cargo", true),
    (".ci", true),
    (".github", true),
    (".gitignore", true),
    ("Cargo.lock", true),
    ("Cargo.toml", true),
    ("DEVELOPERS.md", true),
    ("LICENSE", true),
    ("README.md", true),
    ("assets", true),
    ("sample-projects", true),
    ("screenshots", false),
    ("src", true),
    ("tests", true),
];

/// The most lines of a source file before its tests.
const MAX_LINES: usize = 700;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below a folder, sorted, with its path from the top of the repository.
fn files_below(folder: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![PathBuf::from(folder)];
    while let Some(folder) = open.pop() {
        let Ok(entries) = std::fs::read_dir(root().join(&folder)) else {
            continue;
        };
        for entry in entries.filter_map(Result::ok) {
            let path = folder.join(entry.file_name());
            match entry.file_type() {
                Ok(kind) if kind.is_dir() => open.push(path),
                _ => found.push(path),
            }
        }
    }
    found.sort();
    found
}

fn text_of(path: &Path) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn sources_below(folder: &str) -> Vec<(PathBuf, String)> {
    let is_source = |path: &PathBuf| path.extension().is_some_and(|e| e == "rs");
    let paths = files_below(folder).into_iter().filter(is_source);
    paths.map(|path| (path.clone(), text_of(&path))).collect()
}

/// The layer of a file below `src`; `lib.rs` and `main.rs` are the wiring and have none.
fn layer_of(path: &Path) -> Option<String> {
    let mut parts = path.components().skip(1);
    let folder = parts.next()?;
    parts.next()?;
    Some(folder.as_os_str().to_string_lossy().into())
}

fn allowed_for(layer: &str) -> &'static [&'static str] {
    let row = LAYERS.iter().find(|(name, _)| *name == layer);
    row.unwrap_or_else(|| panic!("src/{layer} is not in the table of layers"))
        .1
}

/// Lines with their numbers, comments cut off.
fn code_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let code = |line: &'_ str| line.find("//").unwrap_or(line.len());
    (1..)
        .zip(text.lines())
        .map(move |(number, line)| (number, &line[..code(line)]))
}

/// Whether a whole file belongs to tests.
fn is_test_file(path: &Path) -> bool {
    path.file_stem().is_some_and(|stem| stem == "tests")
        || path.components().any(|part| part.as_os_str() == "tests")
}

/// How many lines stand before the tests of a file.
fn lines_before_tests(path: &Path, text: &str) -> usize {
    if is_test_file(path) {
        return 0;
    }
    // Only a module that is written out ends the file; one in a file of its own may stand anywhere.
    let mut pairs = text.lines().zip(text.lines().skip(1));
    let tests = pairs.position(|(line, next)| line == "#[cfg(test)]" && next == "mod tests {");
    tests.unwrap_or(text.lines().count())
}

fn first_word(text: &str) -> &str {
    let end = text
        .find(|c: char| !c.is_alphanumeric() && c != '_')
        .unwrap_or(text.len());
    &text[..end]
}

/// Whether `name` stands in the line as a word of its own (`egui` is not in `egui_extras`).
fn names(line: &str, name: &str) -> bool {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    line.match_indices(name).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let after = line[at + name.len()..].chars().next();
        let joins = name.ends_with(is_word) && after.is_some_and(is_word);
        !before.is_some_and(is_word) && !joins
    })
}

fn report(rule: &str, wrong: &[String]) {
    assert!(wrong.is_empty(), "{rule}:\n{}", wrong.join("\n"));
}

#[test]
fn layers_only_look_down() {
    let mut wrong = Vec::new();
    for (path, text) in sources_below("src") {
        let Some(layer) = layer_of(&path) else {
            continue;
        };
        let allowed = allowed_for(&layer);
        // Tests at the bottom of a file may build what they look at out of any layer.
        let own_lines = lines_before_tests(&path, &text);
        for (number, line) in code_lines(&text) {
            let place = format!("{}:{number}", path.display());
            if line.contains("crate::{") {
                wrong.push(format!("{place}: write one `use crate::…` per item"));
            }
            if line.contains("super::super") {
                wrong.push(format!("{place}: write `crate::{layer}::…`"));
            }
            for named in line.split("crate::").skip(1).map(first_word) {
                let own = number <= own_lines;
                if own && named != layer && !allowed.contains(&named) {
                    wrong.push(format!("{place}: {layer} may not use {named}"));
                }
            }
        }
    }
    report("layering", &wrong);
}

#[test]
fn what_is_fenced_stays_in_its_layer() {
    let mut wrong = Vec::new();
    for (path, text) in sources_below("src") {
        let Some(layer) = layer_of(&path) else {
            continue;
        };
        let own_lines = lines_before_tests(&path, &text);
        for (number, line) in code_lines(&text).take_while(|(number, _)| *number <= own_lines) {
            for (name, homes) in FENCED {
                if names(line, name) && !homes.contains(&layer.as_str()) {
                    let place = format!("{}:{number}", path.display());
                    wrong.push(format!("{place}: `{name}` belongs to {homes:?} only"));
                }
            }
        }
    }
    report("fences", &wrong);
}

#[test]
fn every_file_says_what_it_is_for() {
    let mut wrong = Vec::new();
    for (path, text) in sources_below("src")
        .into_iter()
        .chain(sources_below("tests"))
    {
        let comment = text.lines().take_while(|line| line.starts_with("//!"));
        let length: usize = comment.map(|line| line[3..].trim().chars().count()).sum();
        if length < 60 {
            wrong.push(format!(
                "{}: begins with {length} characters of `//!`",
                path.display()
            ));
        }
    }
    report("module comments of at least 60 characters", &wrong);
}

#[test]
fn files_stay_small_enough_to_read() {
    let mut wrong = Vec::new();
    for (path, text) in sources_below("src") {
        let n_lines = lines_before_tests(&path, &text);
        if n_lines > MAX_LINES {
            wrong.push(format!("{}: {n_lines} lines", path.display()));
        }
    }
    report(
        &format!("at most {MAX_LINES} lines before the tests"),
        &wrong,
    );
}

#[test]
fn nothing_is_left_lying_about() {
    let mut wrong = Vec::new();
    for (path, text) in sources_below("src") {
        let prints = layer_of(&path).is_some_and(|layer| layer == "batch");
        let own_lines = lines_before_tests(&path, &text);
        for (number, line) in (1..).zip(text.lines()) {
            let place = format!("{}:{number}", path.display());
            if line.contains("TODO") && !line.contains("TODO(") {
                wrong.push(format!("{place}: a TODO needs a name: TODO(name)"));
            }
            let (_, code) = code_lines(line).next().unwrap_or((0, ""));
            for left in ["dbg!(", "todo!(", "unimplemented!(", "#[ignore"] {
                if code.contains(left) {
                    wrong.push(format!("{place}: `{left}`"));
                }
            }
            let said = ["println!(", "print!(", "eprintln!(", "eprint!("];
            if !prints && number <= own_lines && said.iter().any(|name| names(code, name)) {
                wrong.push(format!("{place}: only the command line prints"));
            }
        }
    }
    report("leftovers", &wrong);
}

#[test]
fn lines_have_no_tabs_and_no_blanks_at_their_ends() {
    let mut wrong = Vec::new();
    let sources = sources_below("src")
        .into_iter()
        .chain(sources_below("tests"));
    let pages = ["README.md", "DEVELOPERS.md"].map(|name| (name.into(), text_of(name.as_ref())));
    for (path, text) in sources.chain(pages) {
        for (number, line) in (1..).zip(text.lines()) {
            if line.ends_with(' ') || line.contains('\t') {
                wrong.push(format!("{}:{number}", path.display()));
            }
        }
    }
    report("blanks at line ends or tabs", &wrong);
}

/// Places that exist on one machine only: homes of people, this one's home, and the folder the
/// project lies in.
fn places_of_this_machine() -> Vec<String> {
    let home = std::env::var("HOME").ok();
    let around = root().parent().map(|folder| folder.display().to_string());
    let here = [home, around].into_iter().flatten();
    let here = here.filter(|folder| folder.len() > 1);
    let folders = ["/home".to_owned(), "/Users".to_owned()]
        .into_iter()
        .chain(here);
    folders.map(|folder| format!("{folder}/")).collect()
}

#[test]
fn no_file_names_a_place_on_somebodys_machine() {
    let mut wrong = Vec::new();
    let forbidden = places_of_this_machine();
    let own = Path::new("tests/tidy.rs");
    let folders = [
        "src",
        "tests",
        "assets",
        "sample-projects",
        ".ci",
        ".cargo",
        ".github",
    ];
    let below = folders.iter().flat_map(|folder| files_below(folder));
    let top = [
        "README.md",
        "DEVELOPERS.md",
        "Cargo.toml",
        "LICENSE",
        ".gitignore",
    ];
    for path in below
        .chain(top.map(PathBuf::from))
        .filter(|path| path != own)
    {
        // Fonts and pictures are no text.
        let Ok(text) = std::fs::read_to_string(root().join(&path)) else {
            continue;
        };
        for (number, line) in (1..).zip(text.lines()) {
            for word in forbidden.iter().filter(|word| line.contains(*word)) {
                wrong.push(format!("{}:{number}: {word}", path.display()));
            }
        }
    }
    report("places on one machine", &wrong);
}

/// Rows of the first table of DEVELOPERS.md whose head begins with `layer`.
fn documented_layers() -> Vec<(String, BTreeSet<String>)> {
    let text = text_of(Path::new("DEVELOPERS.md"));
    let cells = |line: &str| -> Vec<String> {
        line.trim_matches('|')
            .split('|')
            .map(|cell| cell.trim().replace('`', ""))
            .collect()
    };
    let rows = text
        .lines()
        .skip_while(|line| !line.starts_with("| layer "));
    let rows = rows
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .map(cells);
    rows.map(|row| {
        let used = row.get(1).map_or("", String::as_str);
        let used = used
            .split(", ")
            .filter(|name| *name != "–")
            .map(str::to_owned);
        (row.first().cloned().unwrap_or_default(), used.collect())
    })
    .collect()
}

#[test]
fn developers_md_shows_the_table_of_layers() {
    let expected: Vec<(String, BTreeSet<String>)> = LAYERS
        .iter()
        .map(|(name, used)| ((*name).into(), used.iter().map(|u| (*u).into()).collect()))
        .collect();
    assert_eq!(
        documented_layers(),
        expected,
        "the table in DEVELOPERS.md differs from LAYERS"
    );
}

#[test]
fn every_folder_of_the_sources_is_a_layer_and_is_written_about() {
    let text = text_of(Path::new("DEVELOPERS.md"));
    let folders: BTreeSet<String> = files_below("src")
        .iter()
        .filter_map(|path| layer_of(path))
        .collect();
    let known: BTreeSet<String> = LAYERS.iter().map(|(name, _)| (*name).into()).collect();
    assert_eq!(folders, known);
    for folder in folders {
        assert!(
            text.contains(&format!("`{folder}`")),
            "DEVELOPERS.md does not mention {folder}"
        );
    }
}

/// What git has or would take; without git, everything but what builds leave behind.
fn top_level() -> BTreeSet<String> {
    let listed = std::process::Command::new("git")
        .args(["ls-files", "--cached", "--others", "--exclude-standard"])
        .current_dir(root())
        .output();
    let listed = listed.ok().filter(|output| output.status.success());
    if let Some(output) = listed.filter(|output| !output.stdout.is_empty()) {
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        let first = |line: &str| line.split('/').next().unwrap_or(line).to_owned();
        return text.lines().map(first).collect();
    }
    let entries = std::fs::read_dir(root()).expect("the repository is there");
    let names = entries.filter_map(Result::ok);
    let names = names.map(|entry| entry.file_name().to_string_lossy().into_owned());
    names
        .filter(|name| !["target", ".git"].contains(&name.as_str()))
        .collect()
}

#[test]
fn the_top_level_holds_what_belongs_there_and_nothing_else() {
    let found = top_level();
    let mut wrong: Vec<String> = found
        .iter()
        .filter(|name| TOP_LEVEL.iter().all(|(known, _)| known != name))
        .map(|name| format!("{name} does not belong at the top"))
        .collect();
    let missing = TOP_LEVEL
        .iter()
        .filter(|(name, must)| *must && !found.contains(*name));
    wrong.extend(missing.map(|(name, _)| format!("{name} is missing")));
    report("top level", &wrong);
}

/// The crates of the lock file but ourselves: name and version.
fn locked_crates() -> BTreeSet<(String, String)> {
    let text = text_of(Path::new("Cargo.lock"));
    let mut lines = text.lines();
    let mut found = BTreeSet::new();
    let value = |line: &str, key: &str| {
        let quoted = line.strip_prefix(key)?.strip_prefix(" = \"")?;
        Some(quoted.trim_end_matches('"').to_owned())
    };
    while let Some(line) = lines.next() {
        if let Some(name) = value(line, "name") {
            let version = lines.next().and_then(|line| value(line, "version"));
            found.insert((name, version.expect("a version follows a name")));
        }
    }
    found.retain(|(name, _)| name != "thumbwalk");
    found
}

#[test]
fn the_list_of_licences_names_what_the_lock_file_names() {
    let text = text_of(Path::new("assets/licences.txt"));
    let rows = text.lines().filter(|line| !line.starts_with('#'));
    let mut listed = BTreeSet::new();
    for row in rows {
        let cells: Vec<&str> = row.split('\t').collect();
        let [name, version, licence, _] = cells.as_slice() else {
            panic!("four cells a row, not {row:?}");
        };
        assert!(!licence.is_empty(), "{name} has no licence");
        listed.insert(((*name).to_owned(), (*version).to_owned()));
    }
    let locked = locked_crates();
    let changed: Vec<_> = locked.symmetric_difference(&listed).collect();
    assert!(
        changed.is_empty(),
        "run tests/tools/licences; these changed: {changed:?}"
    );
}
