//! What stands over the bars for the whole tune: tempo, swing, rehearsal marks, and jumps that a
//! chart cannot say. The first tempo and the first feel count.

use super::element::Element;
use super::element::number;
use super::measure;
use crate::document::Feel;
use crate::document::SWING_PERMILLE;
use crate::import::notices::Notices;
use crate::import::score_file::one_line;
use crate::theory::Harmony;

/// A triplet feel.
const SWING: Feel = Feel::Swing(2000);

/// Marks that count for the whole tune.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Marks {
    /// Quarters in a minute, and the bar where that is said.
    pub(super) tempo: Option<(f64, usize)>,
    pub(super) feel: Option<Feel>,
    /// Whether the feel was said in numbers and not only in words.
    feel_is_exact: bool,
}

/// What a direction says about its own place.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub(super) section: Option<String>,
    pub(super) no_chord: bool,
    pub(super) dropped: Vec<&'static str>,
}

impl Marks {
    /// Reads a `direction`, or a `sound` that stands alone.
    pub(super) fn read(&mut self, element: &Element, bar: usize, notices: &mut Notices) -> Found {
        let mut found = Found::default();
        let mut sounds: Vec<&Element> = element.all("sound").collect();
        if element.name() == "sound" {
            sounds.push(element);
        }
        let said = sounds
            .iter()
            .find_map(|s| s.attribute("tempo").and_then(number));
        let mut tempo = said.filter(|tempo| *tempo > 0.0);
        for sound in sounds {
            self.sound(sound, bar, notices);
        }
        for kind in element.all("direction-type").flat_map(Element::children) {
            match kind.name() {
                "rehearsal" => found.section = found.section.or(Some(one_line(kind.text()))),
                "metronome" => {
                    let shown = measure::quarters_of(kind).zip(measure::per_minute(kind));
                    tempo = tempo.or(shown.map(|(quarters, beats)| quarters * beats));
                }
                "words" => self.words(kind.text(), &mut found),
                "segno" | "coda" => jump(kind.name(), bar, notices),
                "dynamics" | "wedge" => found.dropped.push("dynamics"),
                "pedal" => found.dropped.push("pedal marks"),
                _ => found.dropped.push("other marks"),
            }
        }
        if let Some(tempo) = tempo {
            match self.tempo {
                None => self.tempo = Some((tempo, bar)),
                Some((first, _)) if (first - tempo).abs() > 0.5 => {
                    let message = "the tempo changes; the chart has one tempo, the first";
                    notices.at(bar, message);
                }
                Some(_) => {}
            }
        }
        found
    }

    fn sound(&mut self, sound: &Element, bar: usize, notices: &mut Notices) {
        for name in ["dacapo", "dalsegno", "segno", "coda", "tocoda", "fine"] {
            if sound.attribute(name).is_some() {
                jump(name, bar, notices);
            }
        }
        let Some(swing) = sound.child("swing") else {
            return;
        };
        let part = |name: &str| swing.number_of(name).filter(|n| *n >= 1.0);
        let feel = match part("first").zip(part("second")) {
            _ if swing.has("straight") => Feel::Straight,
            Some(_) if swing.text_of("swing-type") == "16th" => {
                notices.at(bar, "swung sixteenths are played straight");
                Feel::Straight
            }
            Some((long, short)) => {
                let asked = (long / short * 1000.0).round().clamp(0.0, 60_000.0) as u16;
                let ratio = asked.clamp(*SWING_PERMILLE.start(), *SWING_PERMILLE.end());
                if ratio != asked {
                    let message = "the swing ratio is brought into 1 : 1 to 3.5 : 1";
                    notices.at(bar, message);
                }
                Feel::Swing(ratio)
            }
            None => return,
        };
        match self.feel {
            Some(before) if self.feel_is_exact && before != feel => {
                notices.at(bar, "the feel changes; the chart has one feel, the first");
            }
            _ => {
                self.feel = Some(feel);
                self.feel_is_exact = true;
            }
        }
    }

    fn words(&mut self, text: &str, found: &mut Found) {
        let lower = text.to_lowercase();
        let feel = if lower.contains("swing") || lower.contains("shuffle") {
            Some(SWING)
        } else if lower.contains("straight") || lower.contains("even 8") {
            Some(Feel::Straight)
        } else {
            None
        };
        if let Ok(Harmony::NoChord) = Harmony::parse(text) {
            found.no_chord = true;
        } else if feel.is_none() {
            found.dropped.push("words");
        }
        self.feel = self.feel.or(feel);
    }
}

fn jump(name: &str, bar: usize, notices: &mut Notices) {
    let word = match name {
        "dacapo" => "“D.C.”",
        "dalsegno" => "“D.S.”",
        "tocoda" => "“to coda”",
        "coda" => "the coda sign",
        "segno" => "the segno",
        _ => "“fine”",
    };
    notices.at(
        bar,
        format!("{word} is left out: bars are played as they stand, with their repeats"),
    );
}
