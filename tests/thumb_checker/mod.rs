//! An independent reading of the thumb writer's rules: a chart and a finished line in, every
//! broken rule out. Written from the words of the rules; knows nothing of how lines are found.

use std::sync::Arc;
use thumbwalk::theory::Chord;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Key;
use thumbwalk::theory::Meter;
use thumbwalk::theory::Midi;
use thumbwalk::theory::MoveSet;
use thumbwalk::theory::Rule;
use thumbwalk::theory::RuleSet;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::theory::beats;
use thumbwalk::theory::scale;
use thumbwalk::thumb::LineBar;
use thumbwalk::thumb::LineNote;
use thumbwalk::thumb::LineProblem;
use thumbwalk::thumb::Rung;

use ThumbMove::ApproachAbove;
use ThumbMove::ApproachBelow;
use ThumbMove::ApproachDominant;
use ThumbMove::DoubleAbove;
use ThumbMove::DoubleBelow;
use ThumbMove::Fifth;
use ThumbMove::Ghost;
use ThumbMove::Octave;
use ThumbMove::Rest;
use ThumbMove::Root;
use ThumbMove::Seventh;
use ThumbMove::StepDown;
use ThumbMove::StepUp;
use ThumbMove::Third;

/// A chart with nothing but chords.
pub struct Chart {
    pub meter: Meter,
    pub key: Key,
    pub bars: Vec<LineBar>,
    /// Bars as they are heard.
    pub heard: Vec<usize>,
}

impl Chart {
    /// Bars between strokes, chords sharing the beats of a bar.
    pub fn parse(meter: &str, key: &str, bars: &str) -> Self {
        let meter = Meter::parse(meter).expect("a metre");
        let key = Key::parse(key).expect("a key");
        let bar = |text: &str| {
            let words: Vec<&str> = text.split_whitespace().collect();
            let places = beats::shared(words.len(), meter.bar(), meter).expect("room");
            let chord = |word: &&str| {
                let harmony = Harmony::parse(word).expect("a chord");
                harmony.chord().cloned().map(Arc::new)
            };
            let chords = words.iter().map(chord);
            LineBar::walking(meter.bar(), places.into_iter().zip(chords).collect())
        };
        let bars: Vec<LineBar> = bars.split('|').map(bar).collect();
        Self {
            meter,
            key,
            heard: (0..bars.len()).collect(),
            bars,
        }
    }

    /// The same with its bars heard in another order; each leads to the one heard after it the first
    /// time.
    pub fn heard_as(mut self, heard: &[usize]) -> Self {
        self.heard = heard.to_vec();
        for bar in 0..self.bars.len() {
            self.bars[bar].leads_to = self.after(bar).filter(|next| *next != bar + 1);
        }
        self
    }

    /// The bar heard after a bar the first time; the one written after it if it is never heard, or
    /// last.
    fn after(&self, bar: usize) -> Option<usize> {
        let first = self.heard.iter().position(|heard| *heard == bar);
        let next = first.and_then(|first| self.heard.get(first + 1)).copied();
        next.or(Some(bar + 1).filter(|next| *next < self.bars.len()))
    }

    pub fn problem(&self, rung: Rung, again: bool) -> LineProblem {
        LineProblem::new(self.key, self.meter, &self.bars, rung, again)
    }

    fn chord_at(&self, bar: usize, at: Ticks) -> Option<Arc<Chord>> {
        let all = self.bars.iter().enumerate();
        let all =
            all.flat_map(|(bar, b)| b.chords.iter().map(move |(at, c)| (bar, *at, c.clone())));
        let until = all.take_while(|(b, a, _)| (*b, *a) <= (bar, at));
        until.last().and_then(|(_, _, chord)| chord)
    }
}

/// Notes of 4/4 bars from moves and key numbers; 0 is no pitch.
pub fn notes(bars: &[[(ThumbMove, u8); 4]]) -> Vec<LineNote> {
    let note = |(bar, beat, (thumb_move, number)): (usize, u32, (ThumbMove, u8))| LineNote {
        bar,
        at: Ticks::of_beat(beat),
        thumb_move,
        pitch: Midi::new(number).filter(|_| number > 0),
        spelling: None,
    };
    let all = bars.iter().enumerate();
    let all = all.flat_map(|(bar, notes)| (0..).zip(notes).map(move |(beat, n)| (bar, beat, *n)));
    all.map(note).collect()
}

/// What is asked of a bar.
#[derive(Clone, Copy)]
pub struct Asked {
    /// Rules that hold in it; for a riff without [`Rule::FreshBars`].
    pub rules: RuleSet,
    /// The moves that are allowed in it, if not all.
    pub moves: Option<MoveSet>,
}

/// A broken rule (or, with `None`, a note that is not what its move says), and where.
pub type Fault = (Option<Rule>, String);

/// What the checker knows of a note.
struct Heard {
    bar: usize,
    at: Ticks,
    chord: Option<Arc<Chord>>,
    begins: bool,
    first_of_bar: bool,
    thumb_move: ThumbMove,
    pitch: Option<i32>,
}

const APPROACHES: &[ThumbMove] = &[
    ApproachBelow,
    ApproachAbove,
    ApproachDominant,
    StepUp,
    StepDown,
];

const TONES: &[ThumbMove] = &[Root, Octave, Third, Fifth, Seventh];

fn is_tone(m: ThumbMove) -> bool {
    TONES.contains(&m)
}

/// Every fault of a line whose bars all keep the same rules.
pub fn broken(
    chart: &Chart,
    again: bool,
    rules: RuleSet,
    range: (Midi, Midi),
    notes: &[LineNote],
) -> Vec<Fault> {
    let asked = Asked { rules, moves: None };
    let bars = vec![asked; chart.bars.len()];
    let faults = broken_bars(chart, again, &bars, range, notes).into_iter();
    faults.map(|(rule, _, words)| (rule, words)).collect()
}

/// Every fault of a line with the bar it is in, where each bar has rules of its own: a rule about
/// several notes or bars holds if it holds for the last of them.
pub fn broken_bars(
    chart: &Chart,
    again: bool,
    asked: &[Asked],
    range: (Midi, Midi),
    notes: &[LineNote],
) -> Vec<(Option<Rule>, usize, String)> {
    let mut heard: Vec<Heard> = Vec::new();
    for note in notes {
        let chord = chart.chord_at(note.bar, note.at);
        let before = heard.last();
        heard.push(Heard {
            bar: note.bar,
            at: note.at,
            chord,
            begins: false,
            first_of_bar: before.is_none_or(|b| b.bar != note.bar),
            thumb_move: note.thumb_move,
            pitch: note.pitch.map(|p| i32::from(p.number())),
        });
    }
    let sources = sources(chart, &heard);
    for (index, before) in sources.iter().enumerate() {
        let written = index.checked_sub(1).is_some_and(|i| before.contains(&i));
        let other = before.iter().any(|b| heard[*b].chord != heard[index].chord);
        heard[index].begins = heard[index].chord.is_some() && (!written || other);
    }
    let last = chart.bars.len() - 1;
    let ends = chart.after(last).is_none();
    let check = Check {
        chart,
        asked,
        heard: &heard,
        sources: &sources,
        goal: heard
            .first()
            .and_then(|h| h.chord.clone())
            .filter(|_| again && ends),
    };
    let mut faults = Vec::new();
    for (index, note) in heard.iter().enumerate() {
        check.meaning(index, &mut faults);
        check.places(index, &mut faults);
        check.pairs(index, &mut faults);
        let inside =
            |p: i32| (i32::from(range.0.number())..=i32::from(range.1.number())).contains(&p);
        if note.pitch.is_some_and(|p| !inside(p)) {
            faults.push((Some(Rule::Range), note.bar, check.place(index)));
        }
    }
    check.sides(&mut faults);
    check.bars(&mut faults);
    faults.retain(|(rule, bar, _)| rule.is_none_or(|rule| asked[*bar].rules.has(rule)));
    faults
}

/// For each note those that it is heard after: the one written before it, unless its bar leads
/// elsewhere, and the last notes of bars that lead here from elsewhere.
fn sources(chart: &Chart, heard: &[Heard]) -> Vec<Vec<usize>> {
    let mut sources = vec![Vec::new(); heard.len()];
    for index in 0..heard.len() {
        let bar = heard[index].bar;
        let is_last = heard.get(index + 1).is_none_or(|next| next.bar != bar);
        let next = if is_last {
            let goal = chart.after(bar);
            goal.and_then(|goal| heard.iter().position(|note| note.bar == goal))
        } else {
            Some(index + 1)
        };
        if let Some(next) = next {
            sources[next].push(index);
        }
    }
    sources
}

type BarFault = (Option<Rule>, usize, String);

struct Check<'a> {
    chart: &'a Chart,
    asked: &'a [Asked],
    heard: &'a [Heard],
    /// For each note the notes it is heard after.
    sources: &'a [Vec<usize>],
    /// The chord the last note leads to.
    goal: Option<Arc<Chord>>,
}

impl Check<'_> {
    fn place(&self, index: usize) -> String {
        let heard = &self.heard[index];
        format!(
            "bar {} beat {} {:?}",
            heard.bar + 1,
            heard.at.beat_idx() + 1,
            heard.thumb_move
        )
    }

    /// The note heard next.
    fn next(&self, index: usize) -> Option<&Heard> {
        let next = self.sources.iter().position(|from| from.contains(&index));
        self.heard.get(next?)
    }

    /// Whether the next note has another chord.
    fn leads_to_change(&self, index: usize) -> bool {
        let own = &self.heard[index].chord;
        match self.next(index) {
            Some(next) => own.is_some() && next.chord.is_some() && next.chord != *own,
            None => own.is_some() && self.goal.is_some() && self.goal != *own,
        }
    }

    /// Whether the note `up` semitones away is the next one, which fits `wanted`; after the last
    /// note, whether it is the bass the tune begins with.
    fn goes(&self, index: usize, ups: &[i32], wanted: &dyn Fn(ThumbMove) -> bool) -> bool {
        let Some(pitch) = self.heard[index].pitch else {
            return false;
        };
        match (self.next(index), &self.goal) {
            (Some(next), _) => {
                wanted(next.thumb_move) && next.pitch.is_some_and(|p| ups.contains(&(p - pitch)))
            }
            (None, Some(goal)) => {
                let bass = i32::from(goal.bass().pitch_class().number());
                wanted(Root) && ups.iter().any(|up| (pitch + up).rem_euclid(12) == bass)
            }
            (None, None) => false,
        }
    }

    /// A note is what its move says.
    fn meaning(&self, index: usize, faults: &mut Vec<BarFault>) {
        let heard = &self.heard[index];
        let root = heard.thumb_move == Root;
        let up = |m: ThumbMove| is_tone(m) || matches!(m, StepUp | ApproachBelow | DoubleBelow);
        let down = |m: ThumbMove| is_tone(m) || matches!(m, StepDown | ApproachAbove | DoubleAbove);
        let right = match (&heard.chord, heard.thumb_move) {
            (None, m) => matches!(m, Ghost | Rest) && heard.pitch.is_none(),
            (_, Ghost | Rest) => heard.pitch.is_none(),
            (Some(chord), Root | Octave) => {
                let bass = i32::from(chord.bass().pitch_class().number());
                let right = heard.pitch.is_some_and(|p| p % 12 == bass);
                right && (root || self.is_octave_of_root(index))
            }
            (Some(chord), Third) => self.is_degree(index, chord, &[3, 4, 2]),
            (Some(chord), Fifth) => self.is_degree(index, chord, &[5]),
            (Some(chord), Seventh) => self.is_degree(index, chord, &[7, 6]),
            (_, ApproachBelow) => self.goes(index, &[1], &is_tone),
            (_, ApproachAbove) => self.goes(index, &[-1], &is_tone),
            (_, DoubleBelow) => self.goes(index, &[1], &|m| m == ApproachBelow),
            (_, DoubleAbove) => self.goes(index, &[-1], &|m| m == ApproachAbove),
            (_, ApproachDominant) => self.goes(index, &[5, -7], &|m| matches!(m, Root | Octave)),
            (Some(chord), StepUp) => self.in_scale(index, chord) && self.goes(index, &[1, 2], &up),
            (Some(chord), StepDown) => {
                self.in_scale(index, chord) && self.goes(index, &[-1, -2], &down)
            }
        };
        if !right {
            let words = format!("{}: not what it says", self.place(index));
            faults.push((None, heard.bar, words));
        }
    }

    fn is_octave_of_root(&self, index: usize) -> bool {
        let begin = (0..=index)
            .rev()
            .find(|i| self.heard[*i].begins)
            .unwrap_or(0);
        let mut roots = self.heard[begin..index]
            .iter()
            .filter(|h| h.thumb_move == Root);
        let own = self.heard[index].pitch;
        let root = roots.next().and_then(|h| h.pitch);
        root.zip(own).is_some_and(|(a, b)| (a - b).abs() == 12)
    }

    /// Whether a note is the chord's first tone among these degree numbers.
    fn is_degree(&self, index: usize, chord: &Chord, numbers: &[u8]) -> bool {
        let root = i32::from(chord.root().pitch_class().number());
        let tone = numbers.iter().find_map(|n| {
            let tone = chord.tones().iter().find(|t| t.degree.number() == *n)?;
            Some((root + tone.degree.semitones()).rem_euclid(12))
        });
        let own = self.heard[index].pitch.map(|p| p.rem_euclid(12));
        own.is_some() && own == tone
    }

    fn in_scale(&self, index: usize, chord: &Chord) -> bool {
        let scale = scale::scale_of(chord, self.chart.key).notes;
        let own = self.heard[index].pitch.map(|p| p.rem_euclid(12));
        scale
            .iter()
            .any(|n| Some(i32::from(n.pitch_class().number())) == own)
    }

    /// Rules about where a note stands.
    fn places(&self, index: usize, faults: &mut Vec<BarFault>) {
        let heard = &self.heard[index];
        let Some(chord) = &heard.chord else { return };
        let mut fault = |rule| faults.push((Some(rule), heard.bar, self.place(index)));
        let bass = i32::from(chord.bass().pitch_class().number());
        let on_bass = heard.pitch.is_some_and(|p| p % 12 == bass);
        let approaches = self.leads_to_change(index) && !heard.begins;
        if heard.begins && !(on_bass && heard.thumb_move == Root) {
            fault(Rule::RootFirst);
        }
        if heard.first_of_bar && !approaches {
            if !on_bass {
                fault(Rule::RootOnDownbeat);
            }
            if !is_tone(heard.thumb_move) {
                fault(Rule::ToneOnDownbeat);
            }
        }
        if approaches && !APPROACHES.contains(&heard.thumb_move) {
            fault(Rule::ApproachBeforeChange);
        }
    }

    /// Rules about a note and those before it or after it.
    fn pairs(&self, index: usize, faults: &mut Vec<BarFault>) {
        for from in &self.sources[index] {
            self.pair((index, Some(*from)), faults);
        }
        if self.sources[index].is_empty() {
            self.pair((index, None), faults);
        }
    }

    fn pair(&self, (index, from): (usize, Option<usize>), faults: &mut Vec<BarFault>) {
        let heard = &self.heard[index];
        let mut fault = |rule| faults.push((Some(rule), heard.bar, self.place(index)));
        let before = from.map(|from| &self.heard[from]);
        // A leap to a note that is written elsewhere needs no answer.
        let is_written = from.is_none_or(|from| from + 1 == index);
        let jump = before.and_then(|b| Some(heard.pitch? - b.pitch?));
        let way = match heard.thumb_move {
            StepUp => 1,
            StepDown => -1,
            _ => 0,
        };
        if way != 0 && !self.leads_to_change(index) {
            let source =
                before.is_some_and(|b| is_tone(b.thumb_move) || b.thumb_move == heard.thumb_move);
            let by_step = jump.is_some_and(|jump| (1..=2).contains(&(jump * way)));
            if !(source && by_step) {
                fault(Rule::RunsLeadOn);
            }
        }
        if let (Some(jump), Some(b)) = (jump, before) {
            let only_note = heard.begins && (b.begins || self.leads_to_change(index));
            // A leap into a bar with the rule is answered where the answer's bar has it too.
            let answer = self.next(index).filter(|next| next.chord.is_some());
            let answer = answer.filter(|next| self.asked[next.bar].rules.has(Rule::AnswerLeaps));
            let answered = answer.is_none_or(|next| {
                let back = next
                    .pitch
                    .zip(heard.pitch)
                    .map(|(n, p)| (n - p) * -jump.signum());
                back.is_some_and(|back| (1..=2).contains(&back))
            });
            if jump.abs() > 12 || (jump.abs() > 7 && is_written && !only_note && !answered) {
                fault(Rule::AnswerLeaps);
            }
            let approach = self.leads_to_change(index) && !heard.begins;
            let changes = heard.chord != b.chord;
            let into_change = approach || (changes && !b.begins);
            if jump == 0
                && (into_change
                    || (self.is_strong(b) && !self.is_strong(heard) && !(changes && b.begins)))
            {
                fault(Rule::FreshNotes);
            }
        }
        let silent = |h: &Heard| h.chord.is_some() && matches!(h.thumb_move, Ghost | Rest);
        if silent(heard) && before.is_some_and(silent) {
            fault(Rule::SilenceAlone);
        }
    }

    fn is_strong(&self, heard: &Heard) -> bool {
        let beat = heard.at.beat_idx();
        match self.chart.meter.to_string().as_str() {
            "4/4" | "12/8" => beat == 0 || beat == 2,
            "5/4" => beat == 0 || beat == 3,
            _ => beat == 0,
        }
    }

    fn sides(&self, faults: &mut Vec<BarFault>) {
        for bar in self.heard.chunk_by(|a, b| a.bar == b.bar) {
            let sides = bar.iter().map(|h| h.thumb_move);
            let sides: Vec<ThumbMove> = sides
                .filter(|m| matches!(m, ApproachBelow | ApproachAbove))
                .collect();
            if sides.windows(2).any(|pair| pair[0] == pair[1]) {
                let number = bar[0].bar;
                let words = format!("bar {}", number + 1);
                faults.push((Some(Rule::OppositeSides), number, words));
            }
        }
    }

    /// Whether the place of a note, the rules of its bar and the moves allowed in it leave more
    /// than one move.
    fn has_choice(&self, index: usize) -> bool {
        let heard = &self.heard[index];
        let Asked { rules, moves } = self.asked[heard.bar];
        let approaches = self.leads_to_change(index) && !heard.begins;
        let begins_bar = heard.first_of_bar && !approaches;
        let fits = |m: &ThumbMove| {
            moves.is_none_or(|moves| moves.has(*m))
                && (!heard.begins || !rules.has(Rule::RootFirst) || *m == Root)
                && (!begins_bar || !rules.has(Rule::RootOnDownbeat) || matches!(m, Root | Octave))
                && (!begins_bar || !rules.has(Rule::ToneOnDownbeat) || is_tone(*m))
                && (!approaches || !rules.has(Rule::ApproachBeforeChange) || APPROACHES.contains(m))
        };
        heard.chord.is_some() && ThumbMove::ALL.iter().filter(|m| fits(m)).count() > 1
    }

    /// No bar like the one before; bars without a chord do not count, nor neighbours in which
    /// nothing can be chosen.
    fn bars(&self, faults: &mut Vec<BarFault>) {
        let bars: Vec<&[Heard]> = self.heard.chunk_by(|a, b| a.bar == b.bar).collect();
        let mut start = 0;
        for pair in bars.windows(2) {
            let mut both = start..start + pair[0].len() + pair[1].len();
            start += pair[0].len();
            let open = both.any(|index| self.has_choice(index));
            let moves = |bar: &[Heard]| bar.iter().map(|h| h.thumb_move).collect::<Vec<_>>();
            if self.chart.after(pair[0][0].bar) != Some(pair[0][0].bar + 1) {
                continue;
            }
            let counts = pair.iter().all(|bar| bar.iter().any(|h| h.chord.is_some()));
            if counts && open && moves(pair[0]) == moves(pair[1]) {
                let number = pair[1][0].bar;
                let words = format!("bar {}", number + 1);
                faults.push((Some(Rule::FreshBars), number, words));
            }
        }
    }
}
