//! Writes a document's chart as plain text in the format that `import::chart` reads; reading it
//! back gives the same chart with the same tune. Four bars a line, their tune below; chords as they
//! were typed. Shapes, thumb lines and plucking are not part of a chart and are not written, nor is
//! how the tune is to be arranged.

use super::chart_tune;
use crate::document::Bar;
use crate::document::ChordAt;
use crate::document::Document;
use crate::document::Feel;
use crate::document::Section;
use crate::document::TuneNote;
use crate::instrument::Tuning;
use crate::theory::Harmony;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;
use crate::theory::beats;

const BARS_PER_LINE: usize = 4;

/// The chart as text.
#[must_use]
pub fn write(document: &Document) -> String {
    let mut text = header(document);
    let pickup = document.bars().next().and_then(|bar| bar.length);
    let mut writer = Writer {
        meter: document.meter,
        ending: 0,
        is_pickup: pickup.is_some(),
        sounding: None,
        tune_line: String::new(),
        has_tune: false,
    };
    for (index, section) in document.sections.iter().enumerate() {
        text.push('\n');
        let unnamed_start = index == 0 && section.name.is_empty() && !section.bars.is_empty();
        if !unnamed_start {
            text.push_str(&format!("[{}]\n", section_name(&section.name)));
        }
        writer.section(section, &mut text);
    }
    text
}

/// A text without line ends, as a header line can hold it.
fn one_line(text: &str) -> String {
    text.replace(['\n', '\r'], " ").trim().into()
}

/// A section name; the bracket that would end it early becomes a round one.
fn section_name(name: &str) -> String {
    one_line(&name.replace(']', ")"))
}

fn header(document: &Document) -> String {
    let instrument = &document.instrument;
    let pickup = document.bars().next().and_then(|bar| bar.length);
    let standard = instrument.tuning.open() == Tuning::standard().open();
    let tuning = (!standard).then(|| tuning(&instrument.tuning));
    let lay_back = Some(document.lay_back_ms).filter(|ms| *ms > 0);
    let lay_back = lay_back.map(|ms| format!("{ms} ms"));
    let fields = [
        ("Title", Some(one_line(&document.title))),
        ("By", Some(one_line(&document.credits))),
        ("Key", Some(document.key.to_string())),
        ("Meter", Some(document.meter.to_string())),
        ("Tempo", Some(document.tempo_bpm.to_string())),
        ("Feel", Some(feel(document.feel))),
        ("Lay-back", lay_back),
        ("Tuning", tuning),
        (
            "Capo",
            Some(instrument.capo)
                .filter(|c| *c > 0)
                .map(|c| c.to_string()),
        ),
        ("Pickup", pickup.map(beats::amount_text)),
    ];
    let mut text = String::new();
    for (name, value) in fields {
        if let Some(value) = value.filter(|v| !v.is_empty()) {
            text.push_str(&format!("{name}: {value}\n"));
        }
    }
    for line in document.lesson_text.lines() {
        text.push_str(format!("Lesson: {}", line.trim()).trim_end());
        text.push('\n');
    }
    text
}

fn feel(feel: Feel) -> String {
    match feel {
        Feel::Straight => "straight".into(),
        Feel::FollowTempo => "follow tempo".into(),
        Feel::Swing(ratio) => {
            let digits = format!("{}.{:03}", ratio / 1000, ratio % 1000);
            let short = digits.trim_end_matches('0').trim_end_matches('.');
            format!("swing {short}:1")
        }
    }
}

/// A known name, else the open strings with octaves.
fn tuning(tuning: &Tuning) -> String {
    let known = Tuning::named(tuning.name()).filter(|known| known.open() == tuning.open());
    match known {
        Some(known) => known.name().into(),
        None => tuning
            .open()
            .iter()
            .map(|p| pitch(*p))
            .collect::<Vec<_>>()
            .join(" "),
    }
}

fn pitch(pitch: Midi) -> String {
    const NAMES: [&str; 12] = [
        "C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B",
    ];
    let name = NAMES
        .get(usize::from(pitch.pitch_class().number()))
        .unwrap_or(&"C");
    format!("{name}{}", i32::from(pitch.number()) / 12 - 1)
}

/// The state that runs on from bar to bar, as the reader keeps it.
struct Writer {
    meter: Meter,
    ending: u8,
    /// The next bar is the first and its length stands in the header.
    is_pickup: bool,
    /// The note that sounds up to the end of the bar before.
    sounding: Option<TuneNote>,
    /// The tune of the bars of this line, and whether it has a note.
    tune_line: String,
    has_tune: bool,
}

impl Writer {
    fn section(&mut self, section: &Section, text: &mut String) {
        self.ending = 0;
        for (index, bar) in section.bars.iter().enumerate() {
            let opens_line = index % BARS_PER_LINE == 0;
            let next = section.bars.get(index + 1);
            let closes_line = next.is_none() || index % BARS_PER_LINE == BARS_PER_LINE - 1;
            if opens_line || bar.repeat_start {
                text.push_str(if bar.repeat_start { "|:" } else { "|" });
            }
            if bar.repeat_start {
                self.ending = 0;
            }
            if bar.ending > 0 && bar.ending != self.ending {
                let joined = text.ends_with(['|', ':']);
                text.push_str(if joined { "" } else { " " });
                text.push_str(&format!("{}.", bar.ending));
                self.ending = bar.ending;
            }
            text.push_str(&format!(" {} ", self.bar(bar)));
            self.end_bar(bar, next, closes_line, text);
            self.tune(bar);
            if closes_line {
                text.push('\n');
                self.end_tune_line(text);
            }
        }
    }

    /// Takes up the tune of a bar for the line below.
    fn tune(&mut self, bar: &Bar) {
        let length = bar.length_in(self.meter);
        let words = chart_tune::words(&bar.tune, length, self.meter, self.sounding.as_ref());
        let last = bar.tune.last().copied();
        self.sounding = last.filter(|note| note.end() == length);
        self.has_tune |= !bar.tune.is_empty();
        self.tune_line.push_str(&format!(" {words} |"));
    }

    /// A tune line, unless all its bars are silent.
    fn end_tune_line(&mut self, text: &mut String) {
        let words = std::mem::take(&mut self.tune_line);
        if std::mem::take(&mut self.has_tune) {
            text.push_str(&format!("Tune:{}\n", words.trim_end_matches(" |")));
        }
    }

    /// The barline after a bar, unless the `|:` of the next bar stands for it.
    fn end_bar(&mut self, bar: &Bar, next: Option<&Bar>, closes_line: bool, text: &mut String) {
        let opens_repeat = next.is_some_and(|next| next.repeat_start);
        let leaves_ending = bar.ending > 0 && next.is_none_or(|next| next.ending == 0);
        match bar.repeat_times {
            0 if opens_repeat && !closes_line => {}
            0 if leaves_ending => {
                text.push_str("||");
                self.ending = 0;
            }
            0 => text.push('|'),
            times => {
                text.push_str(":|");
                if times != 2 {
                    text.push_str(&format!("x{times}"));
                }
                self.ending = 0;
                text.push_str(if opens_repeat && !closes_line {
                    " "
                } else {
                    ""
                });
            }
        }
    }

    fn bar(&mut self, bar: &Bar) -> String {
        let length = bar.length_in(self.meter);
        let said_above = std::mem::replace(&mut self.is_pickup, false);
        let own = bar.length.filter(|_| !said_above);
        let own = own.map(|length| format!("<{}> ", beats::amount_text(length)));
        format!(
            "{}{}",
            own.unwrap_or_default(),
            self.chords(&bar.chords, length)
        )
    }

    fn chords(&self, chords: &[ChordAt], length: Ticks) -> String {
        if chords.is_empty() {
            return ".".into();
        }
        let places: Vec<Ticks> = chords.iter().map(|c| c.at).collect();
        let names: Vec<&str> = chords.iter().map(|c| name(&c.harmony)).collect();
        if beats::shared(chords.len(), length, self.meter).as_ref() == Some(&places) {
            return names.join(" ");
        }
        self.dotted(&names, &places, length).unwrap_or_else(|| {
            let one = |(name, at): (&&str, &Ticks)| match at.0 {
                0 => (*name).to_owned(),
                ticks => {
                    let from_one = Ticks(ticks + TICKS_PER_BEAT);
                    format!("{name}@{}", beats::amount_text(from_one))
                }
            };
            let all: Vec<String> = names.iter().zip(&places).map(one).collect();
            all.join(" ")
        })
    }

    /// Chords with dots for the places between them, in the fewest places that fit. Places
    /// finer than the metre's halves or thirds of a beat are left to `@`.
    fn dotted(&self, names: &[&str], places: &[Ticks], length: Ticks) -> Option<String> {
        let most = self.meter.divisions() * length.0.div_ceil(TICKS_PER_BEAT);
        let fits = |n: &usize| {
            beats::place_length(*n, length)
                .is_some_and(|each| places.iter().all(|at| at.0.is_multiple_of(each.0)))
        };
        let n = (names.len() + 1..=usize::try_from(most).ok()?).find(fits)?;
        let each = beats::place_length(n, length)?;
        let mut words = vec!["."; n];
        for (name, at) in names.iter().zip(places) {
            *words.get_mut(usize::try_from(at.0 / each.0).ok()?)? = name;
        }
        Some(words.join(" "))
    }
}

fn name(harmony: &Harmony) -> &str {
    match harmony {
        Harmony::Chord(symbol) => symbol.text(),
        Harmony::NoChord => "N.C.",
    }
}
