//! Every state of the window worth looking at: each area, each panel, list, menu and question, full,
//! empty, busy, refused. A state is a tune and a way to get there.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use std::path::Path;
use std::time::Duration;
use thumbwalk::session::Action;
use thumbwalk::session::SafetyOptions;
use thumbwalk::session::Session;

/// What is open at first.
#[derive(Clone, Copy)]
pub enum Tune {
    /// Nothing: the start page.
    None,
    /// A chart as text.
    Chart(&'static str),
    /// A sample project.
    Sample(&'static str),
}

/// A state, named as its picture.
pub struct State {
    pub name: &'static str,
    pub tune: Tune,
    /// What a session needs before there is a window; a folder that lasts as long as the window.
    pub before: fn(&mut Session, &Path),
    pub go: fn(&mut Window),
}

const fn state(name: &'static str, tune: Tune, go: fn(&mut Window)) -> State {
    State {
        name,
        tune,
        before: |_, _| {},
        go,
    }
}

/// Everything that a chart can do to a card: a pick-up, long names, many chords, repeats, rests.
const CROWDED: &str = "Title: The very long evening in which nobody went home before midnight\nKey: Gb\n\
    Tempo: 208\n[Introduction, freely and slowly]\nGbmaj7#11 Ab13(b9) Dbm7b5 Cb7#9 | Ebm7b5/Bbb Ab7#5 | N.C. | %\n\
    [A]\n|: Gb6/9 | Fm7b5 Bb7(b9) | Ebm9 :| Abm11 Db13sus4 |\n";
const WALTZ: &str =
    "Title: Waltz\nKey: Bb\nMeter: 3/4\n[A]\nBb6 | Gm7 | Cm7 | F7 | Bb6 G7 C7 | F7\n";
const TWELVE: &str = "Title: Slow\nKey: E\nMeter: 12/8\n[A]\nE6 | A7 | E6 | B7\n";
const TROUBLED: &str = "[A]\nC6 | G13(b9) | C6 | Am7\n";
const TUNE: Tune = Tune::Chart(CHART);
const SONG: Tune = Tune::Sample("new-britain");

/// Clicks what has this name, wherever it has to be scrolled to.
fn on(window: &mut Window, name: &str) {
    window.get_by_label(name).scroll_to_me();
    settle(window);
    window.get_by_label(name).click();
    settle(window);
}

fn on_starting(window: &mut Window, start: &str) {
    let name = names(window).into_iter().find(|n| n.starts_with(start));
    on(window, &name.unwrap_or_else(|| panic!("no {start}")));
}

fn command(window: &mut Window, key: Key) {
    press_with(window, Modifiers::COMMAND, key);
}

/// Does a command by its name, which works in every area and size.
fn by_name(window: &mut Window, name: &str) {
    command(window, Key::Enter);
    type_into(window, "what to do", name);
    press(window, &[Key::Enter]);
}

fn tab(window: &mut Window, n: usize) {
    for _ in 0..n {
        press(window, &[Key::Tab]);
    }
}

fn practice(window: &mut Window) {
    command(window, Key::Num2);
}

fn make_ladder(window: &mut Window) {
    practice(window);
    on(window, "Make the ladder");
}

fn sheet(window: &mut Window) {
    command(window, Key::Num3);
}

/// The voicings, which a narrow window shows in the place of the left panel.
fn voicings(window: &mut Window) {
    if window.query_by_label("Family").is_none() {
        command(window, Key::L);
    }
}

fn pin(window: &mut Window, n: usize) {
    voicings(window);
    for number in 0..n {
        // What the list of a low window does not show is not there to be pressed.
        let session = window.state_mut().session_mut();
        let candidate = session.candidates().get(number).expect("a voicing").clone();
        session.act(Action::Pin(candidate.voicing.grip));
        settle(window);
    }
}

/// A tune that is not solved in the blink of an eye.
fn open_long(window: &mut Window) {
    let long = "| Dm7 G7 | Cmaj7 A7 | Fmaj7 Bb13 | Em7b5 A7(b9) ".repeat(400);
    let session = window.state_mut().session_mut();
    session.act(Action::OpenText(format!("[A]\n{long}")));
}

fn cell_menu(window: &mut Window, item: &str) {
    press(window, &[Key::Menu]);
    on(window, item);
}

/// Types into a field of the window.
fn type_into(window: &mut Window, field: &str, text: &str) {
    window.get_by_label(field).type_text(text);
    settle(window);
}

fn file_menu(window: &mut Window, item: &str) {
    on(window, "file menu");
    if !item.is_empty() {
        let item = name_starting(window, item);
        window.get_by_label(&item).click();
        settle(window);
    }
}

/// All of them.
pub const STATES: &[State] = &[
    state("start", Tune::None, |_| {}),
    state("start-refused", Tune::None, |window| {
        let field = "Type or paste chords, bars between | signs";
        window.get_by_label(field).focus();
        settle(window);
        type_into(window, field, "[A]\nHm7 | Q9");
        on(window, "Arrange these chords");
    }),
    state("grid", TUNE, |_| {}),
    state("grid-crowded", Tune::Chart(CROWDED), |_| {}),
    state("grid-waltz", Tune::Chart(WALTZ), |_| {}),
    state("grid-twelve", Tune::Chart(TWELVE), |_| {}),
    state("grid-song", SONG, |window| {
        command(window, Key::ArrowRight);
        command(window, Key::ArrowRight);
    }),
    state("grid-blues", Tune::Sample("ferry-queue-blues"), |window| {
        press(window, &[Key::N]);
        command(window, Key::End);
    }),
    state("grid-range", TUNE, |window| {
        press_with(window, Modifiers::SHIFT, Key::ArrowRight);
        for _ in 0..2 {
            let wider = Modifiers::SHIFT | Modifiers::COMMAND;
            press_with(window, wider, Key::ArrowRight);
        }
    }),
    state("grid-fingers", TUNE, |window| {
        press(window, &[Key::ArrowUp])
    }),
    state("grid-tune-lane", TUNE, |window| press(window, &[Key::T])),
    state("grid-decided", TUNE, |window| {
        press(window, &[Key::Num5, Key::L, Key::ArrowRight, Key::G]);
        press(window, &[Key::ArrowUp, Key::O, Key::ArrowRight, Key::P]);
    }),
    state("focus-tool", TUNE, |window| tab(window, 1)),
    state("focus-button", TUNE, |window| {
        window.get_by_label("Add bar").focus();
        settle(window);
    }),
    state("focus-check", TUNE, |window| {
        window.get_by_label("Use open strings").scroll_to_me();
        settle(window);
        window.get_by_label("Use open strings").focus();
        settle(window);
    }),
    state("focus-slider", TUNE, |window| {
        window.get_by_label("volume").focus();
        settle(window);
    }),
    state("focus-choice", TUNE, |window| {
        window.get_by_label("Pattern here").focus();
        settle(window);
    }),
    state("no-chord", Tune::Chart("[A]\nN.C. | C6 | F6\n"), |_| {}),
    state("no-left-panel", TUNE, |window| {
        by_name(window, "left panel")
    }),
    state("chord-field", TUNE, |window| {
        press(window, &[Key::Enter]);
        settle(window);
    }),
    state("chord-field-refused", TUNE, |window| {
        press(window, &[Key::Enter]);
        let field = name_starting(window, "chord at");
        type_into(window, &field, "Hx9");
    }),
    state("section-name", TUNE, |window| press(window, &[Key::F2])),
    state("cell-menu", TUNE, |window| press(window, &[Key::Menu])),
    state("cell-menu-chord", TUNE, |window| cell_menu(window, "Chord")),
    state("cell-menu-bar", TUNE, |window| cell_menu(window, "Bar")),
    state("cell-menu-section", TUNE, |window| {
        cell_menu(window, "Section")
    }),
    state("file-menu", TUNE, |window| file_menu(window, "")),
    state("file-menu-sound", TUNE, |window| {
        file_menu(window, "Sound files")
    }),
    state("feel", TUNE, |window| on(window, "feel")),
    state("lanes", TUNE, |window| on(window, "lanes")),
    state("speed-trainer", TUNE, |window| on(window, "speed trainer")),
    state("sound", TUNE, |window| {
        on_starting(window, "sound not opened")
    }),
    state("do-strip", TUNE, |window| command(window, Key::Enter)),
    state("do-strip-some", TUNE, |window| {
        command(window, Key::Enter);
        type_into(window, "what to do", "bar");
    }),
    state("do-strip-nothing", TUNE, |window| {
        command(window, Key::Enter);
        type_into(window, "what to do", "xyzzy");
    }),
    state("find", TUNE, |window| {
        command(window, Key::F);
        type_into(window, "Find", "Dm7");
    }),
    state("find-nothing", TUNE, |window| {
        command(window, Key::F);
        type_into(window, "Find", "Bbm11 or something like it");
    }),
    state("rules", TUNE, |window| on(window, "Rules of the line")),
    state("choice-key", TUNE, |window| on(window, "Key")),
    state("choice-tuning", TUNE, |window| on(window, "Tuning")),
    state("choice-pattern", TUNE, |window| on(window, "Pattern here")),
    state("choice-family", TUNE, |window| {
        voicings(window);
        on(window, "Family");
    }),
    state("no-voicings", TUNE, |window| {
        voicings(window);
        on(window, "Position");
        on(window, "fret 8 and up");
        on(window, "Notes");
        on(window, "5");
        on(window, "Barre");
    }),
    state("pinned-list", TUNE, |window| pin(window, 1)),
    state("pinned-compared", TUNE, |window| {
        pin(window, 2);
        on_starting(window, "Compare 2 pinned");
    }),
    state("findings", Tune::Chart(TROUBLED), |window| {
        on(window, "1 finding")
    }),
    state("compare", TUNE, |window| command(window, Key::K)),
    state("compare-other", TUNE, |window| {
        command(window, Key::K);
        on(window, "Other version");
        on_starting(window, "Another line");
    }),
    state("question", TUNE, |window| {
        press(window, &[Key::Num5]);
        command(window, Key::O);
    }),
    state("path-open", Tune::None, |window| command(window, Key::O)),
    state("path-save", TUNE, |window| {
        press_with(window, Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    }),
    state("path-export", TUNE, |window| command(window, Key::E)),
    state("notices", TUNE, |window| {
        let session = window.state_mut().session_mut();
        session.act(Action::Open(
            "/nowhere/at/all/with/a/long/path/to/it/that/goes/on.ron".into(),
        ));
        session.act(Action::Tell("something that is said once".into()));
        settle(window);
    }),
    State {
        name: "offers",
        tune: TUNE,
        before: left_behind,
        go: |_| {},
    },
    State {
        name: "import-report",
        tune: Tune::None,
        before: |session, folder| {
            let path = folder.join("lead.musicxml");
            std::fs::write(&path, crate::files::SCORE).expect("written");
            session.act(Action::Open(path));
        },
        go: |_| {},
    },
    State {
        name: "earlier-versions",
        tune: TUNE,
        before: left_behind,
        go: |window| file_menu(window, "Earlier versions"),
    },
    state("solving", TUNE, |window| {
        open_long(window);
        window.run_steps(2);
    }),
    state("solving-stopped", TUNE, |window| {
        open_long(window);
        let session = window.state_mut().session_mut();
        session.act(Action::CancelSolving);
        settle(window);
    }),
    state("exporting", SONG, |window| {
        let path =
            std::env::temp_dir().join(format!("thumbwalk-{:?}.wav", std::thread::current().id()));
        window
            .state_mut()
            .session_mut()
            .act(Action::Export(path.clone()));
        window.run_steps(2);
        window.state_mut().session_mut().act(Action::CancelExport);
        let _ = std::fs::remove_file(path);
    }),
    state("practice", TUNE, practice),
    state("practice-ladder", TUNE, make_ladder),
    state("practice-ladder-end", TUNE, |window| {
        make_ladder(window);
        let last = names(window)
            .into_iter()
            .rfind(|n| n.starts_with("Drill rung"));
        window.get_by_label(&last.expect("rungs")).scroll_to_me();
        settle(window);
    }),
    state("practice-busy", SONG, |window| {
        practice(window);
        window.get_by_label("Make the ladder").click();
        window.run_steps(3);
    }),
    state("drill", TUNE, |window| {
        practice(window);
        on(window, "Start the drill");
    }),
    state("sheet", TUNE, sheet),
    state("sheet-song", SONG, sheet),
    state("sheet-empty", Tune::None, sheet),
    state("sheet-files", TUNE, |window| {
        sheet(window);
        on(window, "Several files at once");
    }),
    state("sheet-end", TUNE, |window| {
        sheet(window);
        on(window, "Movement table");
    }),
    state("sheet-waiting", TUNE, |window| {
        open_long(window);
        window.key_press_modifiers(Modifiers::COMMAND, Key::Num3);
        window.run_steps(3);
    }),
    state("help", TUNE, |window| press(window, &[Key::Questionmark])),
    state("preferences", TUNE, |window| command(window, Key::Comma)),
    state("preferences-measure", TUNE, |window| {
        command(window, Key::Comma);
        on(window, "How to measure a hand");
    }),
    state("about", TUNE, |window| file_menu(window, "About Thumbwalk")),
];

/// A folder with unsaved work of another run, and a file that somebody else has changed.
fn left_behind(session: &mut Session, folder: &Path) {
    let safe = || SafetyOptions {
        folder: folder.join("data"),
        clock: || 0,
        pause: Duration::ZERO,
    };
    let mut before = crate::harness::silent();
    before.keep_safe(safe());
    before.act(Action::OpenText(CHART.into()));
    drop(before);
    session.keep_safe(safe());
    let path = folder.join("mill.ron");
    session.act(Action::OpenText(CHART.into()));
    session.act(Action::SaveAs(path.clone()));
    session.act(Action::SaveAs(path.clone()));
    std::fs::write(&path, "something else").expect("written");
    session.act(Action::LookAtDisk);
}
