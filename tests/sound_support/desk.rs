//! A sound server of a test's own, with a sink that goes nowhere and a recorder at its end, and the
//! measuring of what arrives. Touches no server, display or settings of the person at the machine.
//!
//! Needs pulseaudio, parec, pactl and the ALSA plug-in for pulse. Where they are missing the tests
//! say so and pass, unless `CI` or `THUMBWALK_REAL_AUDIO` is set: then they fail.

use super::RATE;
use std::path::Path;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

const SINK: &str = "nowhere";

/// A process that ends with the test.
pub struct Held(pub Child);

impl Drop for Held {
    fn drop(&mut self) {
        self.0.kill().ok();
        self.0.wait().ok();
    }
}

/// A sound server of our own, in a folder of its own.
pub struct Desk {
    folder: tempfile::TempDir,
    pub server: Option<Held>,
}

impl Desk {
    /// `None` if something is missing and that is allowed here; `more` names programs that are
    /// needed beside those for sound.
    pub fn open(with_server: bool, more: &[&str]) -> Option<Self> {
        let missing = missing_tools(more);
        if !missing.is_empty() {
            let wanted = ["CI", "THUMBWALK_REAL_AUDIO"]
                .iter()
                .any(|name| std::env::var_os(name).is_some());
            assert!(!wanted, "missing on this machine: {missing:?}");
            println!("passed over, missing: {missing:?}");
            return None;
        }
        let folder = tempfile::tempdir().unwrap();
        let runtime = folder.path().join("run");
        std::fs::create_dir(&runtime).unwrap();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            std::fs::set_permissions(&runtime, std::fs::Permissions::from_mode(0o700)).unwrap();
        }
        std::fs::write(
            folder.path().join("alsa.conf"),
            "</usr/share/alsa/alsa.conf>\npcm.!default { type pulse }\nctl.!default { type pulse }\n",
        )
        .unwrap();
        let mut desk = Self {
            folder,
            server: None,
        };
        if with_server {
            desk.start_server();
        }
        Some(desk)
    }

    /// Where everything of this desk lies.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// A program in the surroundings of this desk.
    pub fn command(&self, program: impl AsRef<std::ffi::OsStr>) -> Command {
        let mut command = Command::new(program);
        let folder = self.folder.path();
        command
            .env("XDG_RUNTIME_DIR", folder.join("run"))
            .env("HOME", folder)
            .env("XDG_CONFIG_HOME", folder.join("config"))
            .env("XDG_DATA_HOME", folder.join("data"))
            .env("XDG_STATE_HOME", folder.join("state"))
            .env("XDG_CACHE_HOME", folder.join("cache"))
            .env("ALSA_CONFIG_PATH", folder.join("alsa.conf"))
            .env_remove("PULSE_SERVER")
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("DBUS_SESSION_BUS_ADDRESS")
            .stdin(Stdio::null())
            .stderr(Stdio::null());
        command
    }

    /// Starts the server, or another one where the first has ended.
    pub fn start_server(&mut self) {
        let sink = format!("module-null-sink sink_name={SINK} rate={RATE}");
        let server = self
            .command("pulseaudio")
            .args(["-n", "--exit-idle-time=-1", "--daemonize=no"])
            .args(["-L", "module-native-protocol-unix", "-L", &sink])
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        self.server = Some(Held(server));
        let begun = Instant::now();
        while !(self
            .command("pactl")
            .arg("info")
            .stdout(Stdio::null())
            .status())
        .is_ok_and(|status| status.success())
        {
            assert!(begun.elapsed() < Duration::from_secs(15), "no sound server");
            std::thread::sleep(Duration::from_millis(100));
        }
    }

    /// Starts recording what the sink receives.
    pub fn record(&self, to: &Path) -> Held {
        let file = std::fs::File::create(to).unwrap();
        let recorder = self
            .command("parec")
            .args(["-d", &format!("{SINK}.monitor"), "--format=s16le"])
            .args([
                &format!("--rate={RATE}"),
                "--channels=2",
                "--raw",
                "--latency-msec=20",
            ])
            .stdout(file)
            .spawn()
            .unwrap();
        let begun = Instant::now();
        while std::fs::metadata(to).unwrap().len() == 0 {
            assert!(
                begun.elapsed() < Duration::from_secs(10),
                "nothing is recorded"
            );
            std::thread::sleep(Duration::from_millis(20));
        }
        Held(recorder)
    }
}

fn missing_tools(more: &[&str]) -> Vec<String> {
    let mut missing: Vec<String> = ["pulseaudio", "parec", "pactl"]
        .iter()
        .chain(more)
        .filter(|tool| {
            (Command::new(tool).arg("--version"))
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .status()
                .is_err()
        })
        .map(|tool| (*tool).to_owned())
        .collect();
    let plugin = ["/usr/lib", "/usr/lib64"].iter().any(|lib| {
        let below = std::fs::read_dir(lib).into_iter().flatten().flatten();
        below
            .map(|entry| entry.path())
            .chain([lib.into()])
            .any(|folder| {
                folder
                    .join("alsa-lib/libasound_module_pcm_pulse.so")
                    .exists()
            })
    });
    if !plugin {
        missing.push("the ALSA plug-in for pulse".to_owned());
    }
    missing
}

/// Mono recording from interleaved 16-bit samples.
pub fn recorded(path: &Path) -> Vec<f32> {
    let bytes = std::fs::read(path).unwrap();
    (bytes.chunks_exact(4))
        .map(|b| {
            let left = i16::from_le_bytes([b[0], b[1]]);
            let right = i16::from_le_bytes([b[2], b[3]]);
            (f32::from(left) + f32::from(right)) / 65_536.0
        })
        .collect()
}

/// Where sound begins: above what rounding to 16 bits leaves.
pub const AUDIBLE: f32 = 2e-3;

/// The first frame that is heard.
pub fn first_sound(sound: &[f32]) -> Option<usize> {
    sound.iter().position(|x| x.abs() > AUDIBLE)
}

/// The same without the silence before it.
pub fn from_first_sound(mut sound: Vec<f32>) -> Vec<f32> {
    sound.drain(..first_sound(&sound).unwrap());
    sound
}

/// Where a sound begins in a recording, near a frame: the best place by normalised correlation.
pub fn find(sound: &[f32], template: &[f32], near: usize, within: usize) -> (usize, f32) {
    let energy = |x: &[f32]| x.iter().map(|v| v * v).sum::<f32>();
    let own = energy(template).sqrt();
    (near.saturating_sub(within)..=near + within)
        .filter_map(|at| {
            let part = sound.get(at..at + template.len())?;
            let dot: f32 = part.iter().zip(template).map(|(a, b)| a * b).sum();
            Some((at, dot / (own * energy(part).sqrt()).max(1e-9)))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap()
}
