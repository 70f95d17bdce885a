//! Header lines of a chart text: each name, what it accepts and what to say if it is something
//! else. Every field may come once (`Lesson` any number of times).

use super::chart::ChartError;
use super::chart_line::Field;
use super::chart_line::Line;
use crate::document::Document;
use crate::document::Feel;
use crate::document::LAY_BACK_MS;
use crate::document::SWING_PERMILLE;
use crate::instrument::Instrument;
use crate::instrument::Tuning;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Ticks;
use crate::theory::beats;
use std::sync::Arc;

/// Known names, as errors list them.
const NAMES: [&str; 11] = [
    "Title", "By", "Key", "Meter", "Tempo", "Feel", "Lay-back", "Tuning", "Capo", "Pickup",
    "Lesson",
];

/// What the header lines said so far.
#[derive(Debug, Default)]
pub(super) struct Header {
    pub(super) document: Document,
    pub(super) pickup: Option<Ticks>,
    seen: Vec<&'static str>,
}

impl Header {
    /// A header that has said nothing yet about a document.
    pub(super) fn onto(document: Document) -> Self {
        Self {
            document,
            ..Self::default()
        }
    }

    /// Whether degrees have a key to refer to.
    pub(super) fn has_key(&self) -> bool {
        self.seen.contains(&"Key")
    }

    /// Takes one header line.
    ///
    /// # Errors
    /// If the name is unknown or comes twice, or its value is not what it takes.
    pub(super) fn read(&mut self, line: &Line<'_>, field: &Field<'_>) -> Result<(), ChartError> {
        let known = NAMES
            .into_iter()
            .find(|name| name.eq_ignore_ascii_case(field.name));
        let Some(name) = known else {
            let short: String = field.name.chars().take(30).collect();
            let message = format!(
                "“{short}:” is no header line; known are {} (a section is written [{short}])",
                NAMES.join(", ")
            );
            return Err(line.error(field.at, message));
        };
        if self.seen.contains(&name) && name != "Lesson" {
            return Err(line.error(field.at, format!("“{name}:” is given twice")));
        }
        self.seen.push(name);
        let (at, value) = line.value_from(field.value_at);
        let raw = line.raw_from(field.value_at);
        self.set(name, value, raw)
            .map_err(|message| line.error(at, message))
    }

    fn set(&mut self, name: &str, value: &str, raw: &str) -> Result<(), String> {
        let document = &mut self.document;
        match name {
            "Title" => document.title = raw.into(),
            "By" => document.credits = raw.into(),
            "Lesson" => {
                let n_lines = self.seen.iter().filter(|n| **n == "Lesson").count();
                if n_lines > 1 {
                    document.lesson_text.push('\n');
                }
                document.lesson_text.push_str(raw);
            }
            "Key" => {
                document.key =
                    Key::parse(value).ok_or("expected a key such as C, Bb, F#m or “C minor”")?;
            }
            "Meter" => {
                let known = Meter::ALL.map(|meter| meter.to_string()).join(", ");
                document.meter =
                    Meter::parse(value).ok_or_else(|| format!("expected a metre: {known}"))?;
            }
            "Tempo" => document.tempo_bpm = tempo(value)?,
            "Feel" => document.feel = feel(value)?,
            "Lay-back" => document.lay_back_ms = lay_back(value)?,
            "Tuning" => {
                let tuning = Tuning::parse(value).map_err(|error| {
                    let known: Vec<String> =
                        Tuning::known().iter().map(|t| t.name().into()).collect();
                    format!("{error}; known by name are {}", known.join(", "))
                })?;
                Arc::make_mut(&mut document.instrument).tuning = tuning;
            }
            "Capo" => document.instrument = Arc::new(with_capo(&document.instrument, value)?),
            _ => {
                let length = beats::amount(value).filter(|length| length.0 > 0);
                let message = "expected the beats of the pick-up bar, such as 1 or 1.5";
                self.pickup = Some(length.ok_or(message)?);
            }
        }
        Ok(())
    }
}

fn tempo(value: &str) -> Result<u16, String> {
    let lower = value.to_lowercase();
    let number = lower.strip_suffix("bpm").unwrap_or(&lower).trim_end();
    let tempo = number.parse().ok().filter(|bpm| (30..=320).contains(bpm));
    tempo.ok_or_else(|| "expected a whole number of beats per minute from 30 to 320".into())
}

fn lay_back(value: &str) -> Result<u8, String> {
    let lower = value.to_lowercase();
    let number = lower.strip_suffix("ms").unwrap_or(&lower).trim_end();
    let ms = (number.parse().ok()).filter(|ms| LAY_BACK_MS.contains(ms));
    ms.ok_or_else(|| "expected milliseconds from 0 to 40".into())
}

fn with_capo(instrument: &Instrument, value: &str) -> Result<Instrument, String> {
    let capo = value
        .parse()
        .map_err(|_| "expected a fret number; 0 is no capo")?;
    let with = Instrument {
        capo,
        ..instrument.clone()
    };
    with.check().map_err(|error| error.to_string())?;
    Ok(with)
}

fn feel(value: &str) -> Result<Feel, String> {
    let lower = value.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    match words.as_slice() {
        ["straight" | "even"] => Ok(Feel::Straight),
        ["follow", "tempo"] | ["tempo"] => Ok(Feel::FollowTempo),
        ["swing"] => Ok(Feel::Swing(2000)),
        ["swing", ratio] => swing_ratio(ratio).map(Feel::Swing),
        _ => Err("expected “straight”, “swing”, “swing 2:1” or “follow tempo”".into()),
    }
}

/// `2:1`, `1.5:1`, `3:2` or `1.5` as thousandths.
fn swing_ratio(text: &str) -> Result<u16, String> {
    let (long, short) = text.split_once(':').unwrap_or((text, "1"));
    let ratio = beats::thousandths(long)
        .zip(beats::thousandths(short))
        .and_then(|(long, short)| {
            let (long, short) = (u64::from(long), u64::from(short));
            let ratio = (long * 1000 + short / 2).checked_div(short)?;
            u16::try_from(ratio)
                .ok()
                .filter(|r| SWING_PERMILLE.contains(r))
        });
    ratio.ok_or_else(|| "expected a swing ratio from 1:1 to 3.5:1, long to short".into())
}
