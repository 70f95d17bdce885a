//! The voicing search against plain enumeration: every fret on every string, then every finger on
//! every fretted string, kept only if a second, independently written reading of the hand model
//! says it can be played. Same set, always, for many chords, tunings and hands.

use std::collections::BTreeSet;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Fretboard;
use thumbwalk::instrument::Hand;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::StringIdx;
use thumbwalk::instrument::StringSet;
use thumbwalk::instrument::Tuning;
use thumbwalk::instrument::why_not;
use thumbwalk::theory::Chord;
use thumbwalk::theory::ChordSymbol;
use thumbwalk::theory::PitchClass;
use thumbwalk::voicing::Bass;
use thumbwalk::voicing::Wish;
use thumbwalk::voicing::fingered_voicings;
use thumbwalk::voicing::voicings;

/// A shape with fingers, as text: `3x343x 1x243x`.
type Answers = BTreeSet<String>;

fn chord(symbol: &str) -> Chord {
    let symbol = ChordSymbol::parse(symbol).unwrap_or_else(|e| panic!("{symbol}: {e}"));
    symbol.chord().clone()
}

// ---------------------------------------------------------------------------------------------
// The hand model, written a second time: in millimetres and floats, one rule after the other.

/// One held string: string from the lowest, fret from the capo, finger 1 to 4, 5 for the thumb.
type Held = (usize, u8, u8);

struct Model<'a> {
    neck: Neck,
    hand: &'a Hand,
}

/// A neck as built; frets count from `capo`. The spreads are those of six strings.
#[derive(Clone, Copy)]
struct Neck {
    scale_mm: f64,
    nut_mm: f64,
    saddle_mm: f64,
    n_strings: u8,
    capo: u8,
}

impl Neck {
    fn of(instrument: &Instrument) -> Self {
        let (nut_mm, saddle_mm) = match instrument.strings {
            StringSet::Nylon => (43.0, 58.0),
            StringSet::Steel => (36.0, 56.0),
        };
        Self {
            scale_mm: instrument.scale_mm,
            nut_mm,
            saddle_mm,
            n_strings: instrument.n_strings(),
            capo: instrument.capo,
        }
    }

    /// What is left of the neck beyond the capo, as a guitar of its own without one: its scale is
    /// the length of string that is left, its nut lies at the capo and is as wide as the strings
    /// are there.
    fn beyond_capo(self) -> Self {
        let left = 2f64.powf(-f64::from(self.capo) / 12.0);
        Self {
            scale_mm: self.scale_mm * left,
            nut_mm: self.saddle_mm - (self.saddle_mm - self.nut_mm) * left,
            capo: 0,
            ..self
        }
    }

    fn fret_mm(&self, fret: u8) -> f64 {
        self.scale_mm * (1.0 - 2f64.powf(-f64::from(fret) / 12.0))
    }

    fn tip_mm(&self, fret: u8) -> f64 {
        let real = fret + self.capo;
        let (here, below) = (self.fret_mm(real), self.fret_mm(real - 1));
        here - f64::min(8.0, 0.35 * (here - below))
    }

    fn across_mm(&self, string: usize, fret: u8) -> f64 {
        let part = self.tip_mm(fret) / self.scale_mm;
        // Neighbouring strings are a fifth of the six-string spread apart; measured from the
        // middle of the neck.
        let gap = (self.nut_mm + (self.saddle_mm - self.nut_mm) * part) / 5.0;
        let middle = (f64::from(self.n_strings) - 1.0) / 2.0;
        (string as f64 - middle) * gap
    }

    fn gap_mm(&self, a: (usize, u8), b: (usize, u8)) -> f64 {
        let along = self.tip_mm(a.1) - self.tip_mm(b.1);
        along.hypot(self.across_mm(a.0, a.1) - self.across_mm(b.0, b.1))
    }
}

impl Model<'_> {
    fn limit_mm(&self, low: u8, high: u8) -> f64 {
        let adult = match (low, high) {
            (1, 2) => 58.0,
            (2, 3) => 52.0,
            (3, 4) => 58.0,
            (1, 3) => 92.0,
            (2, 4) => 98.0,
            (1, 4) => 122.0,
            _ => panic!("{low}-{high}"),
        };
        adult * f64::from(self.hand.reach_permille) / 1000.0
    }

    /// Whether all of the rules of the hand model hold. `frets` are all strings, `held` the
    /// fretted ones with fingers.
    fn playable(&self, frets: &[Option<u8>], held: &[Held]) -> bool {
        (1..=5).all(|f| self.finger_is_possible(frets, held, f))
            && (1..=4).all(|low| (low + 1..=4).all(|high| self.pair_is_possible(held, low, high)))
    }

    fn finger_is_possible(&self, frets: &[Option<u8>], held: &[Held], finger: u8) -> bool {
        let mine: Vec<Held> = held.iter().copied().filter(|h| h.2 == finger).collect();
        let Some(&(first, fret, _)) = mine.first() else {
            return true;
        };
        if mine.iter().any(|h| h.1 != fret) {
            return false;
        }
        if finger == 5 {
            return self.hand.thumb_over && mine.len() == 1 && first == 0 && {
                let lowest = held.iter().filter(|h| h.2 < 5).min_by_key(|h| h.2);
                let reach = 40.0 * f64::from(self.hand.reach_permille) / 1000.0;
                lowest
                    .is_none_or(|h| (self.neck.tip_mm(h.1) - self.neck.tip_mm(fret)).abs() <= reach)
            };
        }
        if mine.len() == 1 {
            return true;
        }
        let last = mine[mine.len() - 1].0;
        let thumb_over = held.iter().any(|h| h.2 == 5);
        let longest = match finger {
            _ if thumb_over => 2,
            1 => 99,
            3 => 3,
            _ => 2,
        };
        self.hand.barre
            && last - first < longest
            && (first..=last).all(|s| match frets[s] {
                None => true,
                Some(0) => false,
                Some(_) => held.iter().any(|h| {
                    h.0 == s && (h.2 == finger || (h.2 < 5 && h.2 > finger && h.1 > fret))
                }),
            })
    }

    fn pair_is_possible(&self, held: &[Held], low: u8, high: u8) -> bool {
        let of = |finger| held.iter().copied().filter(move |h: &Held| h.2 == finger);
        let (Some(a), Some(b)) = (of(low).next(), of(high).next()) else {
            return true;
        };
        if a.1 > b.1 {
            return false;
        }
        let (a_strings, b_strings): (Vec<usize>, Vec<usize>) = (
            of(low).map(|h| h.0).collect(),
            of(high).map(|h| h.0).collect(),
        );
        let (a_run, b_run) = (run(&a_strings), run(&b_strings));
        if a.1 == b.1 {
            let straight = a_run.1 < b_run.0;
            let turned = b_run.1 < a_run.0 && a_run.0 - b_run.1 > 2;
            if !straight && !turned {
                return false;
            }
        }
        let mut nearest = f64::MAX;
        for s in a_run.0..=a_run.1 {
            for t in b_run.0..=b_run.1 {
                nearest = nearest.min(self.neck.gap_mm((s, a.1), (t, b.1)));
            }
        }
        nearest <= self.limit_mm(low, high)
    }
}

fn run(strings: &[usize]) -> (usize, usize) {
    (
        *strings.iter().min().unwrap_or(&0),
        *strings.iter().max().unwrap_or(&0),
    )
}

// ---------------------------------------------------------------------------------------------
// Plain enumeration.

/// What is asked, read a second time: the sounding notes alone decide.
fn sounds_right(
    chord: &Chord,
    instrument: &Instrument,
    hand: &Hand,
    wish: &Wish,
    frets: &[Option<u8>],
) -> bool {
    let n = frets.len();
    let root = chord.root().pitch_class();
    let mut notes = Vec::new();
    for (s, fret) in frets.iter().enumerate() {
        if let Some(fret) = *fret {
            let open = instrument.tuning.open()[s].number();
            notes.push((s, open + instrument.capo + fret, fret));
        }
    }
    let Some((&(thumb, bass, _), fingers)) = notes.split_first() else {
        return false;
    };
    let class = |pitch: u8| PitchClass::new(i32::from(pitch));
    let tones: Vec<PitchClass> = chord.tones().iter().map(|t| t.degree.above(root)).collect();
    let degrees = |number: u8| -> Vec<PitchClass> {
        let found = chord.tones().iter().filter(|t| t.degree.number() == number);
        found.map(|t| t.degree.above(root)).collect()
    };
    let first_of = |numbers: &[u8]| {
        let all = numbers.iter().map(|n| degrees(*n));
        all.into_iter().find(|d| !d.is_empty()).unwrap_or_default()
    };
    let bass_classes = match wish.bass {
        Bass::Root => vec![chord.bass().pitch_class()],
        Bass::Any => tones
            .iter()
            .copied()
            .chain([chord.bass().pitch_class()])
            .collect(),
        Bass::Third => first_of(&[3, 4, 2]),
        Bass::Fifth => degrees(5),
        Bass::Seventh => first_of(&[7, 6]),
    };
    let highest_thumb = if wish.thumb_on_third_string {
        n - 3
    } else {
        n - 4
    };
    // A tune note on top may be foreign to the chord.
    let given = |pitch: u8| wish.top.is_some_and(|top| top.number() == pitch);
    let sounding: Vec<PitchClass> = notes.iter().map(|(_, p, _)| class(*p)).collect();
    let top = notes.iter().map(|(_, p, _)| *p).max().unwrap_or(0);
    thumb <= highest_thumb
        && bass_classes.contains(&class(bass))
        && fingers
            .iter()
            .all(|(_, p, _)| *p > bass && (tones.contains(&class(*p)) || given(*p)))
        && fingers.len() <= usize::from(hand.plucking_fingers)
        && (usize::from(wish.notes.0)..=usize::from(wish.notes.1)).contains(&notes.len())
        && chord.required().iter().all(|pc| sounding.contains(&pc))
        && (chord.one_of().is_empty() || sounding.iter().any(|pc| chord.one_of().contains(*pc)))
        && wish.top.is_none_or(|t| t.number() == top)
        && wish.top_class.is_none_or(|t| t == class(top))
        && notes.iter().all(|(_, _, fret)| match fret {
            0 => wish.open_strings,
            fret => (wish.frets.0..=wish.frets.1).contains(fret),
        })
}

fn plain(
    chord: &Chord,
    instrument: &Instrument,
    neck: Neck,
    hand: &Hand,
    wish: &Wish,
    upto: u8,
) -> Answers {
    let n = usize::from(instrument.n_strings());
    let hand = Hand {
        barre: hand.barre && wish.barre,
        ..hand.clone()
    };
    let model = Model { neck, hand: &hand };
    let mut answers = Answers::new();
    // A counter in base upto + 2: silent, open, fret 1 … upto.
    let base = usize::from(upto) + 2;
    for code in 0..base.pow(u32::try_from(n).unwrap_or(0)) {
        let mut rest = code;
        let frets: Vec<Option<u8>> = (0..n)
            .map(|_| {
                let digit = rest % base;
                rest /= base;
                u8::try_from(digit).ok().and_then(|d| d.checked_sub(1))
            })
            .collect();
        if sounds_right(chord, instrument, &hand, wish, &frets) {
            every_finger(&model, &frets, &mut answers);
        }
    }
    answers
}

/// Every finger on every fretted string, 5 to the power of their number.
fn every_finger(model: &Model<'_>, frets: &[Option<u8>], answers: &mut Answers) {
    let fretted: Vec<(usize, u8)> = frets
        .iter()
        .enumerate()
        .filter_map(|(s, fret)| fret.filter(|f| *f > 0).map(|f| (s, f)))
        .collect();
    for code in 0..5usize.pow(u32::try_from(fretted.len()).unwrap_or(0)) {
        let mut rest = code;
        let held: Vec<Held> = fretted
            .iter()
            .map(|&(s, fret)| {
                let finger = u8::try_from(rest % 5).unwrap_or(0) + 1;
                rest /= 5;
                (s, fret, finger)
            })
            .collect();
        if model.playable(frets, &held) {
            answers.insert(text(frets, &held));
        }
    }
}

fn text(frets: &[Option<u8>], held: &[Held]) -> String {
    let finger = |s: usize| {
        held.iter()
            .find(|h| h.0 == s)
            .map_or('0', |h| " 1234T".as_bytes()[usize::from(h.2)] as char)
    };
    let fingers: String = (0..frets.len())
        .map(|s| if frets[s].is_none() { 'x' } else { finger(s) })
        .collect();
    let frets: Vec<String> = frets
        .iter()
        .map(|f| f.map_or("x".into(), |f| f.to_string()))
        .collect();
    format!("{} {fingers}", frets.join("."))
}

// ---------------------------------------------------------------------------------------------

fn check(symbol: &str, instrument: &Instrument, hand: &Hand, wish: &Wish, upto: u8) -> usize {
    check_on(symbol, instrument, Neck::of(instrument), hand, wish, upto)
}

/// The one place that compares: the search on an instrument with plain enumeration on a neck.
fn check_on(
    symbol: &str,
    instrument: &Instrument,
    neck: Neck,
    hand: &Hand,
    wish: &Wish,
    upto: u8,
) -> usize {
    let chord = chord(symbol);
    let instrument = Instrument {
        frets: instrument.capo + upto,
        ..instrument.clone()
    };
    let found = fingered_voicings(&chord, &instrument, hand, wish, usize::MAX);
    let mut ours = Answers::new();
    for voicing in &found {
        let grip = &voicing.grip;
        let all: Vec<Held> = grip
            .held()
            .map(|(s, fret, finger)| {
                let number = match finger {
                    Finger::Thumb => 5,
                    Finger::Index => 1,
                    Finger::Middle => 2,
                    Finger::Ring => 3,
                    Finger::Little => 4,
                };
                (s.idx(), fret, number)
            })
            .collect();
        assert_eq!(
            why_not(grip, &instrument, hand),
            None,
            "{symbol} {}",
            grip.shape
        );
        assert!(
            ours.insert(text(grip.shape.frets(), &all)),
            "{symbol}: twice the same"
        );
    }
    let expected = plain(&chord, &instrument, neck, hand, wish, upto);
    let missed: Vec<&String> = expected.difference(&ours).collect();
    let invented: Vec<&String> = ours.difference(&expected).collect();
    assert!(
        missed.is_empty() && invented.is_empty(),
        "{symbol} on {} with {hand:?}, {wish:?}: missed {missed:?}, invented {invented:?}",
        instrument.tuning.name()
    );
    // One entry per shape when only the best fingering is asked for: the same shapes.
    let shapes: BTreeSet<_> = found.iter().map(|v| v.grip.shape).collect();
    let best = voicings(&chord, &instrument, hand, wish);
    assert_eq!(best.len(), shapes.len());
    assert_eq!(
        best.iter().map(|v| v.grip.shape).collect::<BTreeSet<_>>(),
        shapes
    );
    ours.len()
}

fn tuned(text: &str) -> Instrument {
    Instrument {
        tuning: Tuning::parse(text).unwrap_or_else(|e| panic!("{e}")),
        ..Instrument::default()
    }
}

fn any_bass() -> Wish {
    Wish {
        bass: Bass::Any,
        ..Wish::default()
    }
}

#[test]
fn standard_tuning_gives_the_same_set_for_many_chords() {
    let guitar = Instrument::default();
    let mut total = 0;
    for symbol in [
        "C", "Am", "G7", "Cmaj7", "Dm7", "Bm7b5", "F#dim7", "A6", "Em6", "E7b9", "C7#9", "D13",
        "G7alt", "E9", "G7sus4", "C/E", "Dm7/C", "A/B", "F#m11", "Bmaj7#11",
    ] {
        total += check(symbol, &guitar, &Hand::default(), &Wish::default(), 5);
    }
    assert!(total > 1000, "{total} answers prove little");
}

#[test]
fn other_tunings_and_numbers_of_strings_give_the_same_set() {
    let known = Tuning::known();
    // With more strings there is more to enumerate in every fret.
    let known = known.iter().map(|tuning| {
        let upto = if tuning.n_strings() > 6 { 3 } else { 5 };
        (tuning.name(), upto)
    });
    for (tuning, upto) in known.chain([("D G B E", 9), ("A D G B E", 6), ("C3 G2 C3 E3 G3 C4", 4)])
    {
        let instrument = tuned(tuning);
        for symbol in ["Dm7", "G7", "Cmaj7", "D7b9"] {
            check(symbol, &instrument, &Hand::default(), &any_bass(), upto);
        }
    }
    let steel = Instrument {
        strings: StringSet::Steel,
        scale_mm: 628.65,
        capo: 4,
        ..Instrument::default()
    };
    for symbol in ["Dm7", "Ab7", "C6"] {
        check(symbol, &steel, &Hand::default(), &any_bass(), 5);
    }
}

/// A capo makes a shorter guitar (string length left: L·2^(−c/12), equal temperament), and nothing
/// else: same distances between all places, so the same grips can be held.
#[test]
fn a_capo_leaves_a_shorter_guitar_with_a_wider_nut_and_the_same_set_on_it() {
    for (strings, scale_mm, capo) in [
        (StringSet::Nylon, 648.0, 1),
        (StringSet::Nylon, 648.0, 5),
        (StringSet::Steel, 628.65, 3),
        (StringSet::Steel, 650.0, 9),
    ] {
        let guitar = Instrument {
            strings,
            scale_mm,
            capo,
            ..Instrument::default()
        };
        let short = Neck::of(&guitar).beyond_capo();
        let board = Fretboard::new(&guitar);
        let places = || (0..6u8).flat_map(|s| (1..=guitar.last_fret()).map(move |f| (s, f)));
        for (a, b) in places().flat_map(|a| places().map(move |b| (a, b))) {
            let ours = board.gap_mm((StringIdx(a.0), a.1), (StringIdx(b.0), b.1));
            let theirs = short.gap_mm((usize::from(a.0), a.1), (usize::from(b.0), b.1));
            // Both ends are rounded to a micrometre along and across, the distance is cut to one.
            assert!((ours - theirs).abs() < 0.003, "{a:?} {b:?} at capo {capo}");
        }
        for symbol in ["Dm7", "Ab7", "C6", "F#m7b5"] {
            let (hand, wish) = (Hand::default(), any_bass());
            assert!(check_on(symbol, &guitar, short, &hand, &wish, 5) > 20);
        }
    }
}

#[test]
fn every_hand_profile_gives_the_same_set() {
    let guitar = Instrument::default();
    let hands = [
        Hand {
            reach_permille: 800,
            ..Hand::default()
        },
        Hand {
            reach_permille: 1150,
            ..Hand::default()
        },
        Hand {
            barre: false,
            ..Hand::default()
        },
        Hand {
            thumb_over: true,
            ..Hand::default()
        },
        Hand {
            thumb_over: true,
            reach_permille: 800,
            plucking_fingers: 4,
            ..Hand::default()
        },
        Hand {
            plucking_fingers: 4,
            ..Hand::default()
        },
        Hand {
            plucking_fingers: 2,
            ..Hand::default()
        },
    ];
    for hand in &hands {
        for symbol in ["G7", "Fmaj7", "F#m7", "A7b9"] {
            check(symbol, &guitar, hand, &Wish::default(), 5);
        }
    }
}

#[test]
fn every_wish_gives_the_same_set() {
    let guitar = Instrument::default();
    let midi = |n| thumbwalk::theory::Midi::new(n);
    let wishes = [
        Wish {
            bass: Bass::Third,
            ..Wish::default()
        },
        Wish {
            bass: Bass::Fifth,
            ..Wish::default()
        },
        Wish {
            bass: Bass::Seventh,
            ..Wish::default()
        },
        Wish {
            thumb_on_third_string: true,
            ..any_bass()
        },
        Wish {
            notes: (4, 4),
            ..any_bass()
        },
        Wish {
            notes: (2, 3),
            ..any_bass()
        },
        Wish {
            notes: (1, 9),
            ..any_bass()
        },
        Wish {
            frets: (2, 4),
            ..any_bass()
        },
        Wish {
            frets: (3, 5),
            open_strings: false,
            ..any_bass()
        },
        Wish {
            top: midi(64),
            ..any_bass()
        },
        Wish {
            top: midi(67),
            barre: false,
            ..any_bass()
        },
        Wish {
            top: midi(66),
            notes: (2, 5),
            ..Wish::default()
        },
        Wish {
            top: midi(68),
            ..any_bass()
        },
        Wish {
            top_class: Some(PitchClass::new(11)),
            ..any_bass()
        },
    ];
    for wish in &wishes {
        for symbol in ["G7", "Cmaj7", "C"] {
            check(symbol, &guitar, &Hand::default(), wish, 5);
        }
    }
}

/// The plain rules (`why_not`) and the second reading agree on every finger on every string of
/// many shapes, playable or not.
#[test]
fn plain_rules_agree_with_the_second_reading() {
    let guitar = Instrument {
        frets: 8,
        ..Instrument::default()
    };
    let hand = Hand {
        thumb_over: true,
        ..Hand::default()
    };
    let model = Model {
        neck: Neck::of(&guitar),
        hand: &hand,
    };
    let (mut n_playable, mut n_refused) = (0, 0);
    for frets in [
        "3x443x", "3x332x", "x3434x", "1x321x", "2x023x", "x02210", "x3333x", "4xx4xx", "113x33",
        "x6858x",
    ] {
        let shape = thumbwalk::instrument::Shape::parse(frets).unwrap_or_else(|| panic!("{frets}"));
        let fretted: Vec<(usize, u8)> = shape
            .sounding()
            .filter(|n| n.1 > 0)
            .map(|(s, f)| (s.idx(), f))
            .collect();
        for code in 0..5usize.pow(u32::try_from(fretted.len()).unwrap_or(0)) {
            let mut rest = code;
            let mut held: Vec<Held> = Vec::new();
            let mut grip = thumbwalk::instrument::Grip::unfingered(shape);
            for &(s, fret) in &fretted {
                let finger = u8::try_from(rest % 5).unwrap_or(0) + 1;
                rest /= 5;
                held.push((s, fret, finger));
                let digit = char::from(b" 1234T"[usize::from(finger)]);
                let string = StringIdx(u8::try_from(s).unwrap_or(0));
                grip = grip.with_finger(string, Finger::from_digit(digit));
            }
            let allowed = why_not(&grip, &guitar, &hand).is_none();
            assert_eq!(
                allowed,
                model.playable(shape.frets(), &held),
                "{frets} {}",
                grip.finger_text()
            );
            if allowed {
                n_playable += 1
            } else {
                n_refused += 1
            }
        }
    }
    assert!(
        n_playable > 30 && n_refused > 1000,
        "{n_playable} {n_refused}"
    );
}

/// The order is total and the same every time.
#[test]
fn order_is_total_and_repeatable() {
    let guitar = Instrument::default();
    for symbol in ["C7", "Am9", "F#dim7"] {
        let chord = chord(symbol);
        let list = || fingered_voicings(&chord, &guitar, &Hand::default(), &any_bass(), 3);
        let first = list();
        assert_eq!(first, list());
        let key = |v: &thumbwalk::voicing::Voicing| (v.effort.total(), v.grip);
        assert!(
            first.windows(2).all(|pair| key(&pair[0]) < key(&pair[1])),
            "{symbol}"
        );
        assert!(first.iter().all(|v| v.thumb_string < StringIdx(3)));
    }
}
