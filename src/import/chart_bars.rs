//! Bars of a chart text: sections, barlines, repeats, endings and what stands between barlines.
//! Keeps the state that runs on from line to line and stops at the first thing it cannot read.

use super::chart::ChartError;
use super::chart_header::Header;
use super::chart_line::Line;
use super::chart_tune;
use super::chart_words::Barline;
use super::chart_words::barline;
use super::chart_words::ending_number;
use super::chart_words::word;
use super::notice::Notice;
use crate::document::Bar;
use crate::document::ChordAt;
use crate::document::Section;
use crate::document::types::MAX_BARS;
use crate::theory::Harmony;
use crate::theory::Ticks;
use crate::theory::beats;
use crate::theory::roman;
use std::sync::Arc;

/// A word and the byte it begins at.
type Word<'t> = (usize, &'t str);

/// The bars read so far and the state that runs on.
#[derive(Debug, Default)]
pub(super) struct Bars {
    sections: Vec<Section>,
    n_bars: usize,
    /// A `|:` waits for its first bar; the line it stands on.
    opening: Option<usize>,
    /// A repeat is open; the line it began on.
    open_repeat: Option<usize>,
    ending: u8,
    /// Bars of the last line of bars that wait for a tune line; they end the last section.
    without_tune: usize,
    /// The line of the last tune line, if no bars came since.
    tune_line: Option<usize>,
}

impl Bars {
    /// Whether a section or bar has begun, so that header lines are over.
    pub(super) const fn begun(&self) -> bool {
        !self.sections.is_empty()
    }

    /// The sections, and notices about what is odd in them.
    pub(super) fn finish(self) -> (Vec<Arc<Section>>, Vec<Notice>) {
        let mut notices = Vec::new();
        if let Some(line) = self.opening.or(self.open_repeat) {
            let message = "the repeat that begins here never ends; it is played once";
            notices.push(Notice::new(format!("line {line}"), message));
        }
        if self.n_bars == 0 {
            notices.push(Notice::new("", "the chart has no bars yet"));
        }
        (self.sections.into_iter().map(Arc::new).collect(), notices)
    }

    /// Reads a line of bars.
    ///
    /// # Errors
    /// At the first word that makes no sense.
    pub(super) fn read(&mut self, line: &Line<'_>, header: &Header) -> Result<(), ChartError> {
        self.without_tune = 0;
        self.tune_line = None;
        let mut at = self.section(line)?;
        let mut words: Vec<Word<'_>> = Vec::new();
        let mut before: Option<Barline> = None;
        loop {
            let rest = line.text.get(at..).unwrap_or("");
            let spaces = rest.len() - rest.trim_start().len();
            at += spaces;
            let rest = rest.trim_start();
            if rest.is_empty() {
                break;
            }
            if let Some((next, len)) = barline(rest) {
                let joined = before.is_some_and(|b| b.closes() && next.start_repeat);
                if !words.is_empty() || (before.is_some() && !joined) {
                    self.bar(line, header, &words, at)?;
                    words.clear();
                }
                self.pass(line, at, next)?;
                before = Some(next);
                at += len;
            } else {
                let text = word(rest);
                words.push((at, text));
                at += text.len();
            }
        }
        if words.is_empty() {
            return Ok(());
        }
        self.bar(line, header, &words, at)
    }

    /// A section name at the start of the line; where the bars begin.
    fn section(&mut self, line: &Line<'_>) -> Result<usize, ChartError> {
        let (at, text) = line.value_from(0);
        let Some(inner) = text.strip_prefix('[') else {
            return Ok(at);
        };
        let Some(len) = inner.find(']') else {
            return Err(line.error(at, "this section name needs a closing ]"));
        };
        self.ending = 0;
        self.sections.push(Section {
            name: inner.get(..len).unwrap_or("").trim().into(),
            bars: Vec::new(),
        });
        Ok(at + len + 2)
    }

    /// Takes over what a barline says.
    fn pass(&mut self, line: &Line<'_>, at: usize, barline: Barline) -> Result<(), ChartError> {
        if barline.end_times > 0 {
            let last = self.sections.last_mut().and_then(|s| s.bars.last_mut());
            let Some(last) = last else {
                return Err(line.error(at, "there is no bar before this end of a repeat"));
            };
            last.repeat_times = barline.end_times;
            self.open_repeat = None;
        }
        if barline.closes() || barline.start_repeat {
            self.ending = 0;
        }
        if barline.start_repeat {
            self.opening = Some(line.number());
        }
        if barline.ending > 0 {
            self.ending = barline.ending;
        }
        Ok(())
    }

    /// Adds the bar made of these words; `end` is where it ends in the line.
    fn bar(
        &mut self,
        line: &Line<'_>,
        header: &Header,
        words: &[Word<'_>],
        end: usize,
    ) -> Result<(), ChartError> {
        let at = words.first().map_or(end, |(at, _)| *at);
        if self.n_bars >= MAX_BARS {
            let message = format!("a tune can have at most {MAX_BARS} bars");
            return Err(line.error(at, message));
        }
        let mut words = words;
        if let Some(((_, first), rest)) = words.split_first()
            && let Some(number) = ending_number(first)
        {
            self.ending = number;
            words = rest;
        }
        let mut bar = Bar {
            length: header.pickup.filter(|_| self.n_bars == 0),
            ending: self.ending,
            ..Bar::default()
        };
        if let Some(((at, first), rest)) = words.split_first()
            && first.starts_with('<')
        {
            bar.length = Some(own_length(line, *at, first)?);
            words = rest;
        }
        let length = bar.length_in(header.document.meter);
        bar.chords = match words {
            [(at, "%")] => self.chords_before(line, *at, length, header)?,
            _ => chords(line, header, words, length)?,
        };
        if let Some(line_number) = self.opening.take() {
            bar.repeat_start = true;
            self.open_repeat = Some(line_number);
        }
        self.n_bars += 1;
        self.without_tune += 1;
        if self.sections.is_empty() {
            self.sections.push(Section::default());
        }
        if let Some(section) = self.sections.last_mut() {
            section.bars.push(bar);
        }
        Ok(())
    }

    /// Reads the tune of the bars in the line before; `at` is where it begins.
    ///
    /// # Errors
    /// If there are no such bars, or at the first word that makes no sense.
    pub(super) fn tune(
        &mut self,
        line: &Line<'_>,
        at: usize,
        header: &Header,
    ) -> Result<(), ChartError> {
        if let Some(before) = self.tune_line {
            let message = format!("the bars above have their tune already, in line {before}");
            return Err(line.error(0, message));
        }
        let texts = chart_tune::bars_of(line, at)?;
        let n_bars = self.without_tune;
        if n_bars == 0 {
            let message = "a tune line stands under the line of bars it belongs to";
            return Err(line.error(0, message));
        }
        if texts.len() != n_bars {
            let message = format!(
                "the line above has {n_bars} bars and this one {}; each needs its own between barlines",
                texts.len()
            );
            return Err(line.error(at, message));
        }
        let meter = header.document.meter;
        let length = |bar: &Bar| bar.length_in(meter);
        let reaches = |bar: &Bar| {
            let last = bar.tune.last().copied();
            last.filter(|note| note.end() == length(bar))
        };
        let all = self.sections.iter().flat_map(|section| &section.bars);
        let first = self.n_bars.saturating_sub(n_bars);
        let before = first.checked_sub(1).and_then(|i| all.clone().nth(i));
        let mut before = before.and_then(reaches);
        let Some(section) = self.sections.last_mut() else {
            return Ok(());
        };
        let first = section.bars.len().saturating_sub(n_bars);
        for (bar, text) in section.bars.iter_mut().skip(first).zip(texts) {
            bar.tune = chart_tune::notes(line, text, length(bar), meter, before)?;
            before = reaches(bar);
        }
        self.without_tune = 0;
        self.tune_line = Some(line.number());
        Ok(())
    }

    /// What `%` repeats.
    fn chords_before(
        &self,
        line: &Line<'_>,
        at: usize,
        length: Ticks,
        header: &Header,
    ) -> Result<Vec<ChordAt>, ChartError> {
        let last = self.sections.iter().rev().find_map(|s| s.bars.last());
        let Some(last) = last else {
            return Err(line.error(at, "there is no bar before this % to repeat"));
        };
        if last.length_in(header.document.meter) != length {
            let message = "% cannot repeat a bar of another length; write its chords";
            return Err(line.error(at, message));
        }
        Ok(last.chords.clone())
    }
}

/// `<2>`: the bar's own length.
fn own_length(line: &Line<'_>, at: usize, word: &str) -> Result<Ticks, ChartError> {
    let inner = word.strip_prefix('<').and_then(|w| w.strip_suffix('>'));
    let length = inner.and_then(beats::amount).filter(|length| length.0 > 0);
    length.ok_or_else(|| line.error(at, "expected the beats of this bar, such as <2> or <1.5>"))
}

/// One word between barlines.
struct Item<'t> {
    at: usize,
    /// `None` is a dot.
    harmony: Option<Harmony>,
    /// The beat after `@`, as a place in the bar.
    place: Option<(&'t str, Option<Ticks>)>,
}

fn chords(
    line: &Line<'_>,
    header: &Header,
    words: &[Word<'_>],
    length: Ticks,
) -> Result<Vec<ChordAt>, ChartError> {
    let mut items = Vec::new();
    for (at, word) in words {
        if word.bytes().all(|b| b == b'.' || b == b'/') {
            items.extend((0..word.len()).map(|offset| Item {
                at: at + offset,
                harmony: None,
                place: None,
            }));
            continue;
        }
        let (symbol, beat) = match word.split_once('@') {
            Some((symbol, beat)) => (symbol, Some(beat)),
            None => (*word, None),
        };
        items.push(Item {
            at: *at,
            harmony: Some(harmony(line, header, *at, symbol)?),
            place: beat.map(|beat| (beat, beats::place(beat))),
        });
    }
    let places = places(line, header, &items, length)?;
    let chords = items.into_iter().zip(places).filter_map(|(item, at)| {
        item.harmony.map(|harmony| ChordAt {
            at,
            harmony,
            shape: None,
        })
    });
    Ok(chords.collect())
}

fn harmony(
    line: &Line<'_>,
    header: &Header,
    at: usize,
    symbol: &str,
) -> Result<Harmony, ChartError> {
    let read = if symbol == "%" {
        return Err(line.error(at, "% stands alone in its bar"));
    } else if symbol.starts_with('[') {
        let message = "a section name in [ ] stands at the start of a line";
        return Err(line.error(at, message));
    } else if roman::is_degree(symbol) {
        if !header.has_key() {
            let message = format!("“{symbol}” is a degree; it needs a “Key:” line at the top");
            return Err(line.error(at, message));
        }
        roman::parse(symbol, header.document.key).map(Harmony::Chord)
    } else {
        Harmony::parse(symbol)
    };
    read.map_err(|error| {
        let message = format!("“{symbol}”: {}", error.message);
        line.error(at + error.at.start, message)
    })
}

/// Where each item falls.
fn places(
    line: &Line<'_>,
    header: &Header,
    items: &[Item<'_>],
    length: Ticks,
) -> Result<Vec<Ticks>, ChartError> {
    let first_at = items.first().map_or(0, |item| item.at);
    if items.iter().any(|item| item.place.is_some()) {
        return explicit(line, items, length);
    }
    if items.iter().any(|item| item.harmony.is_none()) {
        let Some(each) = beats::place_length(items.len(), length) else {
            let n = items.len();
            let n_beats = beats::amount_text(length);
            let message = format!(
                "{n} chords and dots do not divide {n_beats} beats; write one for each beat, or leave out the dots"
            );
            return Err(line.error(first_at, message));
        };
        let index = 0..u32::try_from(items.len()).unwrap_or(0);
        return Ok(index.map(|i| Ticks(i * each.0)).collect());
    }
    beats::shared(items.len(), length, header.document.meter).ok_or_else(|| {
        let message = "too many chords for the beats of this bar; place them, as in G7@4.5";
        line.error(first_at, message)
    })
}

fn explicit(line: &Line<'_>, items: &[Item<'_>], length: Ticks) -> Result<Vec<Ticks>, ChartError> {
    let mut places: Vec<Ticks> = Vec::new();
    for (index, item) in items.iter().enumerate() {
        let place = match &item.place {
            None if index == 0 && item.harmony.is_some() => Ticks(0),
            None => {
                let message = "where one chord has an @ place, every chord but the first needs one, and no dots";
                return Err(line.error(item.at, message));
            }
            Some((beat, None)) => {
                let message = format!("“{beat}” is no beat; beats count from 1, as in G7@4.5");
                return Err(line.error(item.at, message));
            }
            Some((_, Some(place))) => *place,
        };
        if place >= length || places.last().is_some_and(|last| *last >= place) {
            let message = "this beat is not in the bar, or not after the chord before it";
            return Err(line.error(item.at, message));
        }
        places.push(place);
    }
    Ok(places)
}
