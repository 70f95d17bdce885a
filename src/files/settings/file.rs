//! The settings file as serde sees it, and both conversions. Unlike a project it is written by the
//! program alone: what is unknown is passed over and what makes no sense becomes the usual.

use super::MAX_RECENT;
use super::NewProject;
use super::SavedInstrument;
use super::Settings;
use super::TEXT_PERCENT;
use super::Theme;
use crate::files::backups::MAX_BACKUPS;
use crate::files::project::words;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Tuning;
use serde::Deserialize;
use serde::Serialize;

/// The version that is written.
pub const VERSION: u32 = 1;

const THEMES: [(Theme, &str); 3] = [
    (Theme::System, "system"),
    (Theme::Light, "light"),
    (Theme::Dark, "dark"),
];

#[derive(Serialize, Deserialize)]
#[serde(rename = "Settings", default)]
struct SettingsFile {
    version: u32,
    theme: String,
    text_percent: u16,
    high_contrast: bool,
    volume_percent: u8,
    output: Option<String>,
    backups: u8,
    hands: Vec<HandFile>,
    instruments: Vec<InstrumentFile>,
    new_projects: NewProjectFile,
    recent: Vec<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename = "Hand", default)]
struct HandFile {
    name: String,
    reach_permille: u16,
    thumb_over: bool,
    barre: bool,
    plucking_fingers: u8,
}

#[derive(Serialize, Deserialize)]
#[serde(rename = "Instrument", default)]
struct InstrumentFile {
    name: String,
    tuning: String,
    open_strings: String,
    capo: u8,
    frets: u8,
    scale_mm: f64,
    strings: String,
    left_handed: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(rename = "NewProjects", default)]
struct NewProjectFile {
    hand: String,
    tuning: String,
    open_strings: String,
    capo: u8,
    frets: u8,
    scale_mm: f64,
    strings: String,
    left_handed: bool,
    chord_style: String,
    paper: String,
}

impl Default for SettingsFile {
    fn default() -> Self {
        from_settings(&Settings::default())
    }
}

impl Default for HandFile {
    fn default() -> Self {
        from_hand(&Hand::default())
    }
}

impl Default for InstrumentFile {
    fn default() -> Self {
        from_instrument("", &Instrument::default())
    }
}

impl Default for NewProjectFile {
    fn default() -> Self {
        from_new(&Settings::default().new)
    }
}

/// The settings as text.
pub fn text_from_settings(settings: &Settings) -> String {
    let pretty = ron::ser::PrettyConfig::new().new_line("\n").indentor("  ");
    let text = ron::ser::to_string_pretty(&from_settings(settings), pretty);
    // Writing plain structs into a string cannot fail.
    text.unwrap_or_default() + "\n"
}

/// The settings in a text, and the version of the program's settings that wrote them.
pub fn settings_from_text(text: &str) -> Result<(Settings, u32), String> {
    let file: SettingsFile = ron::from_str(text).map_err(|error| error.to_string())?;
    let version = file.version;
    Ok((into_settings(file), version))
}

fn from_settings(settings: &Settings) -> SettingsFile {
    // A path that is not text cannot be written here; it is only a convenience to lose it.
    let recent = settings.recent.iter().filter_map(|path| path.to_str());
    SettingsFile {
        version: VERSION,
        theme: words::word_of(&THEMES, &settings.theme),
        text_percent: settings.text_percent,
        high_contrast: settings.high_contrast,
        volume_percent: settings.volume_percent,
        output: settings.output.clone(),
        backups: settings.backups,
        hands: settings.hands.iter().map(from_hand).collect(),
        instruments: settings
            .instruments
            .iter()
            .map(|saved| from_instrument(&saved.name, &saved.instrument))
            .collect(),
        new_projects: from_new(&settings.new),
        recent: recent.map(Into::into).collect(),
    }
}

fn from_hand(hand: &Hand) -> HandFile {
    HandFile {
        name: hand.name.clone(),
        reach_permille: hand.reach_permille,
        thumb_over: hand.thumb_over,
        barre: hand.barre,
        plucking_fingers: hand.plucking_fingers,
    }
}

fn from_instrument(name: &str, instrument: &Instrument) -> InstrumentFile {
    InstrumentFile {
        name: name.into(),
        tuning: instrument.tuning.name().into(),
        open_strings: instrument.tuning.notes(),
        capo: instrument.capo,
        frets: instrument.frets,
        scale_mm: instrument.scale_mm,
        strings: words::word_of(&words::STRING_SETS, &instrument.strings),
        left_handed: instrument.left_handed,
    }
}

/// The instrument that is written; `None` if it can't be.
fn into_instrument(file: &InstrumentFile) -> Option<Instrument> {
    let notes = file.open_strings.split_whitespace();
    let open: Option<Vec<_>> = notes.map(words::pitch_from_text).collect();
    let tuning = open.and_then(|open| Tuning::new(&file.tuning, &open));
    let instrument = Instrument {
        tuning: tuning.unwrap_or_else(Tuning::standard),
        capo: file.capo,
        frets: file.frets,
        scale_mm: file.scale_mm,
        strings: words::value_of(&words::STRING_SETS, &file.strings).unwrap_or_default(),
        left_handed: file.left_handed,
    };
    instrument.check().is_ok().then_some(instrument)
}

fn from_new(new: &NewProject) -> NewProjectFile {
    let InstrumentFile {
        tuning,
        open_strings,
        capo,
        frets,
        scale_mm,
        strings,
        left_handed,
        ..
    } = from_instrument("", &new.instrument);
    NewProjectFile {
        hand: new.hand.clone(),
        tuning,
        open_strings,
        capo,
        frets,
        scale_mm,
        strings,
        left_handed,
        chord_style: words::word_of(&words::STYLES, &new.house_style),
        paper: words::word_of(&words::PAPERS, &new.paper),
    }
}

fn into_settings(file: SettingsFile) -> Settings {
    let hands: Vec<Hand> = file.hands.into_iter().map(into_hand).collect();
    let usual = Settings::default();
    Settings {
        theme: words::value_of(&THEMES, &file.theme).unwrap_or(usual.theme),
        text_percent: file
            .text_percent
            .clamp(*TEXT_PERCENT.start(), *TEXT_PERCENT.end()),
        high_contrast: file.high_contrast,
        volume_percent: file.volume_percent.min(100),
        output: file.output,
        backups: file.backups.min(MAX_BACKUPS),
        hands: if hands.is_empty() { usual.hands } else { hands },
        instruments: file
            .instruments
            .into_iter()
            .filter_map(|saved| {
                Some(SavedInstrument {
                    instrument: into_instrument(&saved)?,
                    name: saved.name,
                })
            })
            .collect(),
        new: into_new(file.new_projects, usual.new),
        recent: file
            .recent
            .into_iter()
            .take(MAX_RECENT)
            .map(Into::into)
            .collect(),
    }
}

fn into_hand(file: HandFile) -> Hand {
    Hand {
        name: file.name,
        reach_permille: file.reach_permille.clamp(500, 1500),
        thumb_over: file.thumb_over,
        barre: file.barre,
        plucking_fingers: file.plucking_fingers.clamp(3, 4),
    }
}

fn into_new(file: NewProjectFile, usual: NewProject) -> NewProject {
    let instrument = into_instrument(&InstrumentFile {
        name: String::new(),
        tuning: file.tuning,
        open_strings: file.open_strings,
        capo: file.capo,
        frets: file.frets,
        scale_mm: file.scale_mm,
        strings: file.strings,
        left_handed: file.left_handed,
    });
    NewProject {
        hand: file.hand,
        instrument: instrument.unwrap_or(usual.instrument),
        house_style: words::value_of(&words::STYLES, &file.chord_style).unwrap_or_default(),
        paper: words::value_of(&words::PAPERS, &file.paper).unwrap_or_default(),
    }
}
