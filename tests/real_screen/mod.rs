//! The program itself in its window, on a display of its own: started on a file, worked by keys,
//! looked at, and ended. Everything is waited for by looking, never by the clock alone.

#![allow(
    dead_code,
    missing_docs,
    clippy::unwrap_used,
    reason = "shared by several test programs, each of which uses a part"
)]

use crate::sound_support::desk::Desk;
use crate::sound_support::desk::Held;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;
use std::process::ExitStatus;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

/// The program; examples, which only borrow other parts of this folder, have none.
pub const PROGRAM: &str = match option_env!("CARGO_BIN_EXE_thumbwalk") {
    Some(program) => program,
    None => "",
};

/// A tune to open.
pub const SAMPLE: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/sample-projects/ferry-queue-blues.ron"
);

/// Generous: the whole machine may be busy with something else.
const PATIENCE: Duration = Duration::from_secs(90);

/// What the program says when it runs without its window; findings may be among it.
pub fn said_by_program(desk: &Desk, words: &[&str]) -> String {
    let output = desk.command(PROGRAM).args(words).output().unwrap();
    assert!(output.status.code().is_some_and(|code| code <= 1));
    String::from_utf8(output.stdout).unwrap()
}

/// What is struck in a chart or project, as the program tells it.
pub fn notes_of(desk: &Desk, tune: &Path) -> Vec<Value> {
    let json = said_by_program(desk, &["events", tune.to_str().unwrap(), "--json"]);
    let json: Value = serde_json::from_str(&json).unwrap();
    json["notes"].as_array().unwrap().clone()
}

/// Starts the program, under another one if words for that are given.
fn start(desk: &Desk, display: &str, file: &Path, under: &[String]) -> Held {
    let words = std::fs::File::create(desk.folder().join("words")).unwrap();
    let mut line = under.to_vec();
    line.push(PROGRAM.to_owned());
    let (first, rest) = line.split_first().unwrap();
    let app = desk
        .command(first)
        .args(rest)
        .arg(file)
        .current_dir(desk.folder())
        .env("DISPLAY", display)
        .env("LIBGL_ALWAYS_SOFTWARE", "1")
        .stdout(Stdio::null())
        .stderr(words)
        .spawn()
        .unwrap();
    Held(app)
}

/// Starts a display; its name.
pub fn start_display(desk: &Desk) -> (Held, String) {
    let named = desk.folder().join("display");
    // Xvfb looks for a free number by itself and writes it to its standard output. Between two
    // programs it would start anew and refuse them.
    let server = desk
        .command("Xvfb")
        .args(["-noreset", "-displayfd", "1", "-screen", "0", "1400x900x24"])
        .stdout(std::fs::File::create(&named).unwrap())
        .spawn()
        .unwrap();
    let display = Held(server);
    let number = wait_for("a display", || {
        let text = std::fs::read_to_string(&named).unwrap();
        text.ends_with('\n').then(|| text.trim().to_owned())
    });
    (display, format!(":{number}"))
}

/// Looks again and again until there is something to see.
#[track_caller]
pub fn wait_for<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let begun = Instant::now();
    loop {
        if let Some(seen) = look() {
            return seen;
        }
        assert!(begun.elapsed() < PATIENCE, "waited in vain for {what}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

/// Waits until a process ends.
#[track_caller]
pub fn end_of(what: &str, process: &mut Held) -> ExitStatus {
    wait_for(what, || process.0.try_wait().unwrap())
}

/// The program in its window on its own display. What ends first is declared first.
pub struct Screen<'a> {
    app: Held,
    _display: Held,
    pub desk: &'a Desk,
    name: String,
    pub window: String,
}

impl<'a> Screen<'a> {
    pub fn open(desk: &'a Desk, file: &Path) -> Self {
        Self::open_under(desk, file, &[])
    }

    /// The same under another program, such as one that watches it.
    pub fn open_under(desk: &'a Desk, file: &Path, under: &[String]) -> Self {
        let (display, name) = start_display(desk);
        let mut screen = Self {
            app: start(desk, &name, file, under),
            _display: display,
            desk,
            name,
            window: String::new(),
        };
        screen.find_window();
        screen
    }

    /// Starts the program again, once it has ended.
    pub fn open_again(&mut self, file: &Path) {
        self.app = start(self.desk, &self.name, file, &[]);
        self.find_window();
    }

    fn find_window(&mut self) {
        self.window = wait_for("the window", || {
            self.assert_open();
            let found = self.xdotool(&["search", "--onlyvisible", "--name", "Thumbwalk"]);
            found.lines().next().map(str::to_owned)
        });
        self.xdotool(&["windowfocus", &self.window]);
    }

    /// Ends the program as nothing can be prepared for: by the signal that can't be caught.
    pub fn kill(&mut self) {
        self.app.0.kill().unwrap();
        self.app.0.wait().unwrap();
    }

    /// How the program ends by itself.
    pub fn end(&mut self) -> ExitStatus {
        end_of("the end of the program", &mut self.app)
    }

    pub fn command(&self, program: &str) -> Command {
        let mut command = self.desk.command(program);
        command.env("DISPLAY", &self.name);
        command
    }

    /// Runs xdotool; what it says. It says nothing where it finds nothing.
    pub fn xdotool(&self, words: &[&str]) -> String {
        let said = self.desk.folder().join("said");
        let child = self
            .command("xdotool")
            .args(words)
            .stdout(std::fs::File::create(&said).unwrap())
            .spawn()
            .unwrap();
        end_of("xdotool", &mut Held(child));
        std::fs::read_to_string(said).unwrap()
    }

    pub fn press(&self, keys: &[&str]) {
        for key in keys {
            self.xdotool(&["key", key]);
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// What stands in the window's title; an asterisk in it means unsaved changes.
    pub fn title(&self) -> String {
        self.xdotool(&["getwindowname", &self.window])
    }

    /// Waits until keys arrive: a bare display may give the keyboard to a new window only after a
    /// while. A thumb note is decided and taken back.
    pub fn wait_for_keys(&mut self) {
        wait_for("the first key", || {
            self.assert_open();
            self.xdotool(&["windowfocus", &self.window]);
            self.press(&["Home", "1"]);
            std::thread::sleep(Duration::from_millis(300));
            self.title().contains('*').then_some(())
        });
        wait_for("the key that takes it back", || {
            self.assert_open();
            self.press(&["ctrl+z"]);
            std::thread::sleep(Duration::from_millis(300));
            (!self.title().contains('*')).then_some(())
        });
    }

    pub fn wait_for_unsaved(&mut self, unsaved: bool) {
        wait_for("the mark of unsaved changes", || {
            self.assert_open();
            (self.title().contains('*') == unsaved).then_some(())
        });
    }

    /// Saves under another name, by keys alone.
    pub fn save_as(&mut self, path: &Path) {
        self.press(&["ctrl+shift+s"]);
        self.wait_for_rest();
        self.press(&["ctrl+a"]);
        self.xdotool(&["type", "--delay", "30", path.to_str().unwrap()]);
        self.press(&["Return"]);
        self.wait_for_unsaved(false);
    }

    #[track_caller]
    pub fn assert_open(&mut self) {
        let end = self.app.0.try_wait().unwrap();
        let words = std::fs::read_to_string(self.desk.folder().join("words")).unwrap();
        assert!(end.is_none(), "the program ended by itself: {words}");
    }

    /// The picture of the whole display, three bytes a point.
    fn picture(&self) -> Vec<u8> {
        let path = self.desk.folder().join("picture.rgb");
        let child = self
            .command("import")
            .args(["-window", "root", "-depth", "8"])
            .arg(format!("rgb:{}", path.display()))
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let end = end_of("import", &mut Held(child));
        assert!(end.success(), "no picture can be taken");
        std::fs::read(path).unwrap()
    }

    /// Waits until something is drawn and stays as it is; the picture.
    pub fn wait_for_rest(&mut self) -> Vec<u8> {
        let mut before = Vec::new();
        wait_for("a drawing at rest", || {
            self.assert_open();
            std::thread::sleep(Duration::from_millis(400));
            let now = self.picture();
            let colours: BTreeSet<&[u8]> = now.chunks_exact(3).collect();
            let done = now == before && colours.len() > 50;
            before.clone_from(&now);
            done.then_some(now)
        })
    }
}
