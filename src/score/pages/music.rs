//! What is printed, bar by bar, before anything has a place: voices in written rhythm, chord
//! symbols with their diagrams, which finger numbers are worth printing. A finger number holds
//! until the bar line or until another finger takes the string, as an accidental does.

use super::diagram::Shown;
use super::options::PageOptions;
use super::staff;
use super::staff::StaffBar;
use super::symbol::SymbolRuns;
use crate::arrange::Arrangement;
use crate::arrange::ChosenGrip;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::document::Document;
use crate::document::SheetFont;
use crate::instrument::Finger;
use crate::instrument::Grip;
use crate::instrument::MAX_STRINGS;
use crate::score::rhythm;
use crate::score::rhythm::BarVoice;
use crate::score::rhythm::Voice;
use crate::score::time_signature;
use crate::score::voices;
use crate::theory::Harmony;
use crate::theory::Ticks;

/// A chord over a bar.
#[derive(Clone, PartialEq, Debug)]
pub struct ChordMark {
    /// Where in the bar.
    pub at: Ticks,
    /// The symbol, ready to be set.
    pub symbol: SymbolRuns,
    /// The grip, if there is one.
    pub grip: Option<Grip>,
    /// Whether this grip under this symbol was not printed before.
    pub first_use: bool,
}

/// A grip with which the hand takes a chord anew within it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Retake {
    /// Where in the bar.
    pub at: Ticks,
    /// The grip, another one than before.
    pub grip: Grip,
}

/// One bar as it is printed.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct BarMusic {
    /// Number from 0.
    pub bar: usize,
    /// Length.
    pub length: Ticks,
    /// Whether it is a pick-up, or at most half of the metre's bar.
    pub is_partial: bool,
    /// The time signature that changes here, count and unit.
    pub time: Option<(u8, u8)>,
    /// Whether a section begins here, and its name.
    pub section: Option<String>,
    /// Whether a section ends here.
    pub ends_section: bool,
    /// Whether it is the last bar.
    pub is_last: bool,
    /// A repeated part begins.
    pub repeat_start: bool,
    /// A repeated part ends; played so often in all (0: none ends).
    pub repeat_times: u8,
    /// Ending it belongs to (0: none).
    pub ending: u8,
    /// Whether that ending begins here.
    pub ending_opens: bool,
    /// Whether that ending ends here.
    pub ending_closes: bool,
    /// Chords by place.
    pub chords: Vec<ChordMark>,
    /// Changes of grip within chords, by place.
    pub retakes: Vec<Retake>,
    /// Fingers and tune.
    pub upper: BarVoice,
    /// Thumb.
    pub lower: BarVoice,
    /// Notes whose left-hand finger is printed.
    pub fingers: Vec<usize>,
    /// The notation staff, if it is shown.
    pub staff: Option<StaffBar>,
}

impl BarMusic {
    /// Whether the bar written next is also the one always played next.
    const fn leads_on(&self) -> bool {
        self.repeat_times == 0 && !self.ending_closes && !self.is_last
    }

    /// The changes of grip within chords that get a diagram.
    #[must_use]
    pub fn shown_retakes(&self, shown: Shown, options: &PageOptions) -> &[Retake] {
        if options.show_diagrams && shown == Shown::All {
            &self.retakes
        } else {
            &[]
        }
    }

    /// A voice.
    #[must_use]
    pub const fn voice(&self, voice: Voice) -> &BarVoice {
        match voice {
            Voice::Upper => &self.upper,
            Voice::Lower => &self.lower,
        }
    }
}

/// Gathers what is printed in every bar.
#[must_use]
pub fn bars(
    document: &Document,
    arrangement: &Arrangement,
    options: &PageOptions,
) -> Vec<BarMusic> {
    let mut all = skeleton(document);
    let mut used: Vec<(String, Grip)> = Vec::new();
    let mut carried = [Ticks(0); 2];
    let mut writer = voices::Writer::new(document, arrangement);
    for music in &mut all {
        if options.show_staff {
            let written = writer.bar(music.bar, music.length, music.leads_on());
            music.staff = Some(staff::bar(document, arrangement, written));
        }
        add_chords(music, document, arrangement, &mut used, options.font);
        music.retakes = retakes(music.bar, arrangement);
        add_voices(music, document, arrangement, &mut carried);
        if options.show_fingers {
            music.fingers = new_fingers(music.bar, arrangement);
        }
    }
    all
}

fn skeleton(document: &Document) -> Vec<BarMusic> {
    let mut all: Vec<BarMusic> = Vec::new();
    let full = document.meter.bar();
    for section in &document.sections {
        let n_bars = section.bars.len();
        for (i, bar) in section.bars.iter().enumerate() {
            let number = all.len();
            let before = all.last().map_or(0, |b| b.ending);
            let length = bar.length.unwrap_or(full);
            all.push(BarMusic {
                bar: number,
                length,
                is_partial: length < full && (number == 0 || 2 * length.0 <= full.0),
                section: (i == 0).then(|| section.name.trim().to_owned()),
                ends_section: i + 1 == n_bars,
                repeat_start: bar.repeat_start,
                repeat_times: bar.repeat_times,
                ending: bar.ending,
                ending_opens: bar.ending > 0 && bar.ending != before,
                ..BarMusic::default()
            });
        }
    }
    let endings: Vec<u8> = all.iter().map(|bar| bar.ending).chain([0]).collect();
    for (bar, next) in all.iter_mut().zip(endings.iter().skip(1)) {
        bar.ending_closes = bar.ending > 0 && bar.ending != *next;
    }
    if let Some(last) = all.last_mut() {
        last.is_last = true;
    }
    let lengths: Vec<Ticks> = all.iter().map(|bar| bar.length).collect();
    let times = time_signature::shown(&lengths, document.meter);
    for (bar, time) in all.iter_mut().zip(times) {
        bar.time = time.map(|(count, log2)| (count, 1 << log2.min(6)));
    }
    all
}

fn add_chords(
    music: &mut BarMusic,
    document: &Document,
    arrangement: &Arrangement,
    used: &mut Vec<(String, Grip)>,
    font: SheetFont,
) {
    let Some(bar) = document.bar(music.bar) else {
        return;
    };
    for (i, chord) in bar.chords.iter().enumerate() {
        let printed = chord.harmony.printed(document.house_style);
        let root_length = match &chord.harmony {
            Harmony::Chord(symbol) => symbol.chord().root().to_string().len(),
            Harmony::NoChord => printed.len(),
        };
        let place = Place {
            bar: music.bar,
            at: chord.at,
        };
        let grip = chosen(arrangement, place, i)
            .and_then(|g| g.voicing.as_ref())
            .map(|v| v.grip);
        let key = grip.map(|g| (printed.clone(), g));
        let first_use = key.as_ref().is_some_and(|k| !used.contains(k));
        if first_use {
            used.extend(key);
        }
        music.chords.push(ChordMark {
            at: chord.at,
            symbol: SymbolRuns::new(&printed, root_length, font),
            grip,
            first_use,
        });
    }
}

fn grip_of(chosen: &ChosenGrip) -> Option<Grip> {
    Some(chosen.voicing.as_ref()?.grip)
}

/// Where in a bar a chord goes on with another grip.
fn retakes(bar: usize, arrangement: &Arrangement) -> Vec<Retake> {
    let of_bar = arrangement
        .retaken
        .iter()
        .filter(|own| own.place.bar == bar);
    let changed = of_bar.filter_map(|own| {
        let grip = grip_of(own)?;
        let before = arrangement.grip_before(own.held_from).and_then(grip_of);
        (before != Some(grip)).then_some(Retake {
            at: own.place.at,
            grip,
        })
    });
    changed.collect()
}

fn chosen(arrangement: &Arrangement, place: Place, chord_idx: usize) -> Option<&ChosenGrip> {
    let from = arrangement
        .grips
        .partition_point(|g| g.place.bar < place.bar);
    arrangement
        .grips
        .iter()
        .skip(from)
        .take_while(|g| g.place.bar == place.bar)
        .find(|g| g.chord_idx == chord_idx || g.place == place)
}

fn add_voices(
    music: &mut BarMusic,
    document: &Document,
    arrangement: &Arrangement,
    carried: &mut [Ticks; 2],
) {
    let notes = numbered_notes(music.bar, arrangement);
    let [upper_carried, lower_carried] = carried;
    let of = |voice: Voice| -> Vec<(usize, &PlayedNote)> {
        notes
            .iter()
            .filter(|(_, note)| Voice::of(note.lane) == voice)
            .copied()
            .collect()
    };
    let write =
        |voice, carried| rhythm::write_voice(&of(voice), music.length, document.meter, carried);
    (music.upper, *upper_carried) = write(Voice::Upper, *upper_carried);
    (music.lower, *lower_carried) = write(Voice::Lower, *lower_carried);
}

/// Notes of a bar with their places in the arrangement's list.
fn numbered_notes(bar: usize, arrangement: &Arrangement) -> Vec<(usize, &PlayedNote)> {
    let from = arrangement.notes.partition_point(|n| n.place.bar < bar);
    arrangement
        .notes
        .iter()
        .enumerate()
        .skip(from)
        .take_while(|(_, n)| n.place.bar == bar)
        .collect()
}

fn new_fingers(bar: usize, arrangement: &Arrangement) -> Vec<usize> {
    let mut last: [Option<(u8, Option<Finger>)>; MAX_STRINGS] = [None; MAX_STRINGS];
    let mut shown = Vec::new();
    for (idx, note) in numbered_notes(bar, arrangement) {
        let Some(place) = last.get_mut(note.string.idx()) else {
            continue;
        };
        let now = Some((note.fret, note.finger));
        if note.finger.is_some() && *place != now {
            shown.push(idx);
        }
        *place = now;
    }
    shown
}
