//! The tune of a bar as words of a tune line, in the simplest way that `import::chart` reads back to
//! the same notes: notes alone, places that divide the bar, or notes with their beats.

use crate::document::TuneNote;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;
use crate::theory::beats;

/// The words of a bar of this length. `before` is the note that sounds up to its beginning.
#[must_use]
pub fn words(notes: &[TuneNote], length: Ticks, meter: Meter, before: Option<&TuneNote>) -> String {
    let items = items(notes, length, before);
    let names: Vec<&str> = items.iter().map(|item| item.name.as_str()).collect();
    let places: Vec<Ticks> = items.iter().map(|item| item.at).collect();
    if items.len() <= 1 {
        return names.concat();
    }
    if items.iter().all(Item::is_named) {
        let even = || {
            let each = beats::place_length(items.len(), length)?;
            let index = 0..u32::try_from(items.len()).ok()?;
            Some(index.map(|i| Ticks(i * each.0)).collect())
        };
        if beats::shared(items.len(), length, meter)
            .or_else(even)
            .as_ref()
            == Some(&places)
        {
            return names.join(" ");
        }
    }
    let one = |item: &Item| match item.at.0 {
        0 => item.name.clone(),
        at => {
            let from_one = Ticks(at + TICKS_PER_BEAT);
            format!("{}@{}", item.name, beats::amount_text(from_one))
        }
    };
    let placed = items.iter().map(one).collect::<Vec<_>>().join(" ");
    // Many small places say less than a few beats.
    let readable = |text: &String| text.len() <= placed.len() + 8;
    evenly(&items, length, meter)
        .filter(readable)
        .unwrap_or(placed)
}

/// Something that begins at a place of the bar.
struct Item {
    at: Ticks,
    name: String,
}

impl Item {
    /// Whether it is a note with its name, and no sign that takes a place of its own.
    fn is_named(&self) -> bool {
        self.name != "-" && self.name != "_"
    }
}

fn items(notes: &[TuneNote], length: Ticks, before: Option<&TuneNote>) -> Vec<Item> {
    let mut items = Vec::new();
    let mut end = Ticks(0);
    let rest = |at: Ticks| Item {
        at,
        name: "-".into(),
    };
    for note in notes {
        if note.at > end || (items.is_empty() && note.at.0 > 0) {
            items.push(rest(end));
        }
        let named = format!("{}{}", note.spelling, note.spelling.octave_of(note.pitch));
        let goes_on = before.filter(|_| note.at.0 == 0 && note.tied);
        let same = |b: &TuneNote| b.pitch == note.pitch && b.spelling == note.spelling;
        items.push(Item {
            at: note.at,
            name: match (note.tied, goes_on.is_some_and(same)) {
                (_, true) => "_".into(),
                (true, false) => format!("_{named}"),
                (false, false) => named,
            },
        });
        end = note.end();
    }
    if end < length {
        items.push(rest(end));
    }
    items
}

/// As the fewest equal places that hold every item, down to quarters of a beat (sixths of a dotted
/// one).
fn evenly(items: &[Item], length: Ticks, meter: Meter) -> Option<String> {
    let most = 2 * meter.divisions() * length.0.div_ceil(TICKS_PER_BEAT);
    let named = items.iter().all(Item::is_named);
    let fewest = items.len() + usize::from(named);
    let fits = |n: &usize| {
        beats::place_length(*n, length)
            .is_some_and(|each| items.iter().all(|item| item.at.0.is_multiple_of(each.0)))
    };
    let n = (fewest..=usize::try_from(most).ok()?).find(fits)?;
    let each = beats::place_length(n, length)?;
    let mut words: Vec<&str> = Vec::with_capacity(n);
    let mut left = items.iter().peekable();
    for at in (0..n).map(|i| u32::try_from(i).unwrap_or(0) * each.0) {
        match left.next_if(|item| item.at.0 == at) {
            Some(item) => words.push(&item.name),
            None => words.push(if words.last() == Some(&"-") { "-" } else { "_" }),
        }
    }
    Some(words.join(" "))
}
