//! The notation staff of a sheet: every note of the arrangement stands on it once, at the height of
//! its pitch and over its digit on the tab; heads, accidentals, rests and words keep apart. On
//! hand-made tunes, solved samples and random arrangements. Conventions name their sources.

mod sheet_song;

use proptest::prelude::*;
use sheet_song::everything::compound;
use sheet_song::everything::everything;
use sheet_song::random::build;
use sheet_song::random::random_bar;
use sheet_song::tune;
use std::collections::BTreeMap;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::document::Document;
use thumbwalk::document::TuneDensity;
use thumbwalk::score::pages::Bounds;
use thumbwalk::score::pages::Drawn;
use thumbwalk::score::pages::Mark;
use thumbwalk::score::pages::Meaning;
use thumbwalk::score::pages::Page;
use thumbwalk::score::pages::PageOptions;
use thumbwalk::score::pages::Spot;
use thumbwalk::score::pages::Step;
use thumbwalk::score::pages::lay_out;
use thumbwalk::score::pages::sizes::SPACE;
use thumbwalk::theory::Key;
use thumbwalk::theory::Meter;
use thumbwalk::theory::ThumbMove;

type Song = (Document, Arrangement);

fn with_staff() -> PageOptions {
    PageOptions {
        show_staff: true,
        ..PageOptions::default()
    }
}

/// Top lines of the notation staves of a page.
fn top_lines(page: &Page) -> Vec<f64> {
    let lines: Vec<f64> = page
        .marks
        .iter()
        .filter_map(|mark| match (&mark.meaning, &mark.drawn) {
            (Meaning::Notation, Drawn::Line { from, .. }) => Some(from.y),
            _ => None,
        })
        .collect();
    // Drawn from the bottom line up.
    lines.chunks(5).map(|five| five[4]).collect()
}

/// The staff space of a page: music may be shrunk a little to save a page.
fn space(page: &Page) -> f64 {
    let lines = page.marks.iter().filter_map(|mark| match &mark.drawn {
        Drawn::Line { from, .. } if mark.meaning == Meaning::Notation => Some(from.y),
        _ => None,
    });
    let first: Vec<f64> = lines.take(2).collect();
    first
        .first()
        .zip(first.get(1))
        .map_or(SPACE, |(a, b)| a - b)
}

fn glyph(mark: &Mark) -> Option<(char, f64, f64)> {
    match &mark.drawn {
        Drawn::Glyph { code, at, .. } => Some((*code, at.x, at.y)),
        _ => None,
    }
}

/// Names of the seven lines and spaces from E4, the bottom line of a treble clef as written. The
/// guitar sounds an octave lower than written (common practice; the clef's 8 says so).
fn height_of(note: &thumbwalk::arrange::PlayedNote) -> i32 {
    let letters = ['C', 'D', 'E', 'F', 'G', 'A', 'B'];
    let semitones = [0, 2, 4, 5, 7, 9, 11];
    let letter = note.spelling.letter().to_char();
    let place = letters.iter().position(|l| *l == letter).expect("a letter");
    let written = i32::from(note.pitch.number()) + 12 - i32::from(note.spelling.alter());
    assert_eq!((written - semitones[place]) % 12, 0, "spelled as it sounds");
    let octave = (written - semitones[place]) / 12 - 1;
    7 * (octave - 4) + i32::try_from(place).expect("a step") - 2
}

/// Every note has one head, at its height on some staff of the page, over or beside its digit.
fn every_note_stands_on_the_staff_once(pages: &[Page], song: &Song) {
    let mut seen = vec![0; song.1.notes.len()];
    for page in pages {
        let staves = top_lines(page);
        let space = space(page);
        let mut digits: BTreeMap<usize, (usize, f64)> = BTreeMap::new();
        for mark in &page.marks {
            if let (Meaning::Note(idx), Drawn::Text { at, .. }) = (&mark.meaning, &mark.drawn) {
                let system = staves.iter().filter(|top| **top < at.y).count() - 1;
                digits.insert(*idx, (system, at.x));
            }
        }
        let heads: Vec<(&Mark, usize, f64)> = page
            .marks
            .iter()
            .filter(|m| matches!(m.meaning, Meaning::Head(_) | Meaning::HeadHeld(_)))
            .map(|mark| {
                let (_, _, y) = glyph(mark).expect("a glyph");
                let middle = |system: &usize| (staves[*system] + 2.0 * space - y).abs();
                let nearest = (0..staves.len()).min_by(|a, b| middle(a).total_cmp(&middle(b)));
                let b = mark.bounds();
                (
                    mark,
                    nearest.expect("a line"),
                    f64::midpoint(b.left, b.right),
                )
            })
            .collect();
        for (mark, system, x) in &heads {
            let Meaning::Head(idx) = mark.meaning else {
                continue;
            };
            seen[idx] += 1;
            let (_, _, y) = glyph(mark).expect("a glyph");
            let height =
                staves[*system] + f64::from(8 - height_of(&song.1.notes[idx])) * space / 2.0;
            assert!(
                (height - y).abs() < 1e-6,
                "note {idx} is at {y}, not {height}"
            );
            assert_eq!(*system, digits[&idx].0, "staff and tab of one system");
            let aside = x - digits[&idx].1;
            assert!(aside.abs() < 5.2 * space, "note {idx} is {aside} mm aside");
        }
        // At every moment some head, struck or held, stands straight over the digits.
        for (idx, (system, x)) in &digits {
            let over = heads
                .iter()
                .any(|(_, s, at)| s == system && (at - x).abs() < 0.05);
            assert!(over, "no head over the digit of note {idx}");
        }
    }
    assert!(seen.iter().all(|n| *n == 1), "{seen:?}");
}

/// What must not touch: signs that stand for something of their own.
fn solid(mark: &Mark) -> bool {
    let stands = matches!(
        mark.meaning,
        Meaning::Head(_) | Meaning::HeadHeld(_) | Meaning::Sign(_) | Meaning::StaffRest(_)
    );
    let small = matches!(mark.meaning, Meaning::SlideFrom(_));
    let text = matches!(mark.drawn, Drawn::Text { .. });
    ((stands || small) && matches!(mark.drawn, Drawn::Glyph { .. })) || text
}

/// Two voices may strike one head together, and heads of a second touch their stem from both sides.
fn may_touch(a: &Mark, b: &Mark) -> bool {
    let head = |m: &Mark| matches!(m.meaning, Meaning::Head(_) | Meaning::HeadHeld(_));
    head(a) && head(b) && a.drawn == b.drawn
}

fn nothing_touches(pages: &[Page]) {
    for page in pages {
        let mut solids: Vec<(&Mark, Bounds)> = page
            .marks
            .iter()
            .filter(|mark| solid(mark))
            .map(|mark| (mark, mark.bounds()))
            .collect();
        solids.sort_by(|a, b| a.1.left.total_cmp(&b.1.left));
        for (i, (mark, a)) in solids.iter().enumerate() {
            for (other, b) in solids.iter().skip(i + 1) {
                if b.left > a.right {
                    break;
                }
                let fine = may_touch(mark, other) || !a.overlaps(b, 0.25);
                assert!(
                    fine,
                    "{:?} {a:?} and {:?} {b:?}",
                    mark.meaning, other.meaning
                );
            }
        }
    }
}

/// No stem runs through a head: it passes at its side at most.
fn stems_cross_no_heads(pages: &[Page]) {
    for page in pages {
        let heads: Vec<(Meaning, Bounds)> = page
            .marks
            .iter()
            .filter(|m| matches!(m.meaning, Meaning::Head(_) | Meaning::HeadHeld(_)))
            .map(|m| (m.meaning, m.bounds()))
            .collect();
        for mark in &page.marks {
            if !matches!(mark.meaning, Meaning::Stem(_)) {
                continue;
            }
            let stem = mark.bounds();
            let x = f64::midpoint(stem.left, stem.right);
            for (meaning, head) in &heads {
                let middle = f64::midpoint(head.top, head.bottom);
                let inside = x > head.left + 0.3 && x < head.right - 0.3;
                let through = stem.top < middle && middle < stem.bottom;
                assert!(!(inside && through), "{meaning:?} {head:?} {stem:?}");
            }
        }
    }
}

/// Accidentals and rests keep clear of stems, flags and dots; dots keep clear of heads; leger lines
/// of two columns do not run into one another.
fn small_signs_keep_clear(pages: &[Page]) {
    for page in pages {
        let of = |wanted: &dyn Fn(&Mark) -> bool| -> Vec<(Meaning, Bounds)> {
            let marks = page.marks.iter().filter(|m| wanted(m));
            marks.map(|m| (m.meaning, m.bounds())).collect()
        };
        let signs = of(&|m| matches!(m.meaning, Meaning::Sign(_) | Meaning::StaffRest(_)));
        let heads = of(&|m| matches!(m.meaning, Meaning::Head(_) | Meaning::HeadHeld(_)));
        let rhythm = of(&|m| matches!(m.meaning, Meaning::Stem(_) | Meaning::StaffRhythm(_)));
        let dots = of(&|m| {
            matches!(m.meaning, Meaning::StaffRhythm(_)) && matches!(m.drawn, Drawn::Circle { .. })
        });
        for (a, b) in [(&signs, &rhythm), (&dots, &heads)] {
            for (what, one) in a {
                for (other, two) in b {
                    assert!(
                        !one.overlaps(two, 0.1),
                        "{what:?} {one:?} and {other:?} {two:?}"
                    );
                }
            }
        }
        let mut legers = of(&|m| matches!(m.meaning, Meaning::Leger(_)));
        legers.sort_by(|a, b| {
            a.1.top
                .total_cmp(&b.1.top)
                .then(a.1.left.total_cmp(&b.1.left))
        });
        for pair in legers.windows(2) {
            let level = (pair[0].1.top - pair[1].1.top).abs() < 1e-6;
            assert!(!level || pair[0].1.right + 0.3 < pair[1].1.left, "{pair:?}");
        }
    }
}

/// Where a path runs, point by point.
fn points(steps: &[Step]) -> Vec<Spot> {
    let mut all: Vec<Spot> = Vec::new();
    for step in steps {
        match step {
            Step::Move(to) | Step::Line(to) => all.push(*to),
            Step::Curve(one, two, to) => {
                let from = *all.last().expect("a path begins with a point");
                let mix = |a: f64, b: f64, c: f64, d: f64, t: f64| {
                    let u = 1.0 - t;
                    u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
                };
                all.extend((1..=32).map(|i| {
                    let t = f64::from(i) / 32.0;
                    Spot::new(
                        mix(from.x, one.x, two.x, to.x, t),
                        mix(from.y, one.y, two.y, to.y, t),
                    )
                }));
            }
            Step::Close => {}
        }
    }
    all
}

/// A tie begins beyond the dots that stand where it begins (Gould, Behind Bars, from memory). A long one
/// may pass over the dot of a later note in another voice.
fn ties_keep_clear_of_dots(pages: &[Page]) {
    for page in pages {
        let dots = page.marks.iter().filter_map(|mark| match &mark.drawn {
            Drawn::Circle { center, radius, .. }
                if matches!(mark.meaning, Meaning::StaffRhythm(_)) =>
            {
                Some((*center, *radius))
            }
            _ => None,
        });
        let dots: Vec<(Spot, f64)> = dots.collect();
        let near = 2.0 * space(page);
        for mark in &page.marks {
            let (Meaning::Tie(_), Drawn::Path { steps, .. }) = (mark.meaning, &mark.drawn) else {
                continue;
            };
            let begin = mark.bounds().left;
            for point in points(steps) {
                for (center, radius) in dots.iter().filter(|(dot, _)| dot.x < begin + near) {
                    let apart = (point.x - center.x).hypot(point.y - center.y);
                    assert!(
                        apart > *radius,
                        "{:?} within {:?} through {center:?}",
                        mark.meaning,
                        mark.bounds()
                    );
                }
            }
        }
    }
}

/// Two spaces and a half at least (Gould, Behind Bars, from memory), from the head nearest to the
/// stem's end; so no stem is shorter.
fn stems_are_long_enough(pages: &[Page]) {
    for page in pages {
        let space = space(page);
        for mark in &page.marks {
            if let (Meaning::Stem(_), Drawn::Line { from, to, .. }) = (&mark.meaning, &mark.drawn) {
                let length = (from.y - to.y).abs() / space;
                // A stem begins beside the head's middle, that of a cross at its tip, and ends
                // within its beam.
                assert!(length >= 2.5 - 0.444 - 0.1, "{length} spaces");
            }
        }
    }
}

fn nothing_leaves_the_margins(pages: &[Page]) {
    for page in pages {
        for mark in &page.marks {
            let b = mark.bounds();
            let inside = b.left >= 14.5
                && b.right <= page.width - 14.5
                && b.top >= 13.0
                && b.bottom <= page.height - 12.0;
            assert!(inside, "{:?} {b:?}", mark.meaning);
        }
    }
}

fn check(song: &Song, options: &PageOptions) -> Vec<Page> {
    let pages = lay_out(&song.0, &song.1, options);
    every_note_stands_on_the_staff_once(&pages, song);
    nothing_touches(&pages);
    stems_cross_no_heads(&pages);
    small_signs_keep_clear(&pages);
    ties_keep_clear_of_dots(&pages);
    stems_are_long_enough(&pages);
    nothing_leaves_the_margins(&pages);
    pages
}

#[test]
fn hand_made_tunes_stand_on_the_staff_cleanly() {
    for song in [tune(1), tune(16), everything(), compound()] {
        check(&song, &with_staff());
    }
}

/// Glyphs of one meaning with their heights in steps above the bottom line of the staff they are
/// nearest to.
fn steps_of(page: &Page, wanted: impl Fn(&Meaning) -> bool) -> Vec<(char, f64)> {
    let (staves, space) = (top_lines(page), space(page));
    let marks = page.marks.iter().filter(|m| wanted(&m.meaning));
    marks
        .filter_map(glyph)
        .map(|(code, _, y)| {
            let steps = staves.iter().map(|top| 8.0 - (y - top) * 2.0 / space);
            let nearest = steps.min_by(|a, b| (a - 4.0).abs().total_cmp(&(b - 4.0).abs()));
            (code, (nearest.expect("a line") * 100.0).round() / 100.0)
        })
        .collect()
}

/// SMuFL 1.4: U+E052 is the G clef with an 8 below, its origin on the line of G. Key signatures of
/// treble clefs: common practice.
#[test]
fn every_system_begins_with_clef_and_key_signature() {
    let (document, arrangement) = tune(12);
    let document = Document {
        key: Key::parse("Eb").unwrap(),
        ..document
    };
    let pages = lay_out(&document, &arrangement, &with_staff());
    let mut n_systems = 0;
    for page in &pages {
        let clef_and_key = |m: &Meaning| *m == Meaning::Clef;
        let shown = steps_of(page, clef_and_key);
        let tab_clefs_and_times = ['\u{E06D}', '\u{E084}'];
        let shown: Vec<(char, f64)> = shown
            .into_iter()
            .filter(|(code, _)| !tab_clefs_and_times.contains(code))
            .collect();
        let wanted = [
            ('\u{E052}', 2.0),
            ('\u{E260}', 4.0),
            ('\u{E260}', 7.0),
            ('\u{E260}', 3.0),
        ];
        n_systems += top_lines(page).len();
        assert_eq!(shown, wanted.repeat(top_lines(page).len()));
    }
    assert_eq!(n_systems, 3, "four bars a system");
}

/// SMuFL 1.4 code points. Wholes, halves and quarters have heads of their own, ghosts are crosses.
#[test]
fn heads_show_values_and_ghosts() {
    let song = everything();
    let pages = lay_out(&song.0, &song.1, &with_staff());
    let mut shown: BTreeMap<usize, char> = BTreeMap::new();
    for mark in pages.iter().flat_map(|page| &page.marks) {
        if let (Meaning::Head(idx), Some((code, ..))) = (mark.meaning, glyph(mark)) {
            shown.insert(idx, code);
        }
    }
    for (idx, note) in song.1.notes.iter().enumerate() {
        let ghost = note.thumb_move == Some(ThumbMove::Ghost);
        // Of the long notes of the last bars no other note of their voice cuts anything off.
        let wanted = match (note.place.bar, note.length.0) {
            _ if ghost => '\u{E0A9}',
            (9, 3840) => '\u{E0A2}',
            (8, 1920 | 2880) => '\u{E0A3}',
            (8, _) => '\u{E0A4}',
            _ => continue,
        };
        assert_eq!(shown[&idx], wanted, "{note:?}");
    }
}

/// In two voices the rests of the upper one stand above the middle line, and a bar in which nothing
/// sounds has a whole rest hanging from the fourth line (Gould, Behind Bars, from memory; common
/// practice). A thumb that is silent all the bar leaves no rest beside the fingers.
#[test]
fn rests_stand_where_the_handbooks_put_them() {
    let song = tune(4);
    for page in lay_out(&song.0, &song.1, &with_staff()) {
        for (code, step) in steps_of(&page, |m| matches!(m, Meaning::StaffRest(_))) {
            assert!(step >= 6.0, "{code:?} at {step}");
        }
    }
    let mut fingers = tune(1);
    fingers.1.notes.retain(|note| note.thumb_move.is_none());
    let page = &lay_out(&fingers.0, &fingers.1, &with_staff())[0];
    let rests = steps_of(page, |m| matches!(m, Meaning::StaffRest(_)));
    assert!(
        !rests.is_empty() && rests.iter().all(|(_, step)| (*step - 4.0).abs() < 1e-9),
        "{rests:?}"
    );
    let (silent, _) = tune(1);
    let page = &lay_out(&silent, &Arrangement::default(), &with_staff())[0];
    let rests = steps_of(page, |m| matches!(m, Meaning::StaffRest(_)));
    assert_eq!(rests, [('\u{E4E3}', 6.0)]);
}

/// The staff takes the rhythm from the tab: no stems, rests or open ties there (common practice for
/// notation with tab).
#[test]
fn the_tab_below_a_staff_has_frets_only() {
    let song = tune(8);
    for page in lay_out(&song.0, &song.1, &with_staff()) {
        let of_tab = |m: &&Mark| {
            matches!(
                m.meaning,
                Meaning::Rhythm(_) | Meaning::Rest(_) | Meaning::Ring(_)
            )
        };
        assert_eq!(page.marks.iter().filter(of_tab).count(), 0);
    }
}

/// A tune on top: the third voice comes and goes between the outer two.
#[test]
fn a_solved_tune_stands_on_the_staff_cleanly_in_three_voices() {
    let text = include_str!("../sample-projects/new-britain.ron");
    let (mut document, _) = thumbwalk::files::project_from_text(text).expect("a sample");
    for density in TuneDensity::ALL {
        document.tune.density = density;
        let problem = thumbwalk::session::problem_from_document(&document);
        let song = (document.clone(), thumbwalk::arrange::solve(&problem));
        let pages = check(&song, &with_staff());
        // Every note of the tune has the value it is written in: no other voice cuts it.
        let tied: Vec<usize> = pages
            .iter()
            .flat_map(|page| &page.marks)
            .filter_map(|mark| match mark.meaning {
                Meaning::Tie(idx) => Some(idx),
                _ => None,
            })
            .filter(|idx| song.1.notes[*idx].lane == Lane::Tune)
            .collect();
        let over_barlines = document.bars().flat_map(|bar| &bar.tune);
        let over_barlines = over_barlines.filter(|note| note.tied).count();
        assert!(
            over_barlines > 0 && tied.len() <= 2 * over_barlines,
            "{tied:?}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 40,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn random_arrangements_stand_on_the_staff_cleanly(
        plan in proptest::collection::vec(random_bar(), 1..5),
        meter in 0..Meter::ALL.len(),
        key in prop::sample::select(vec!["C", "Db", "F#", "Em", "Cm", "A"]),
    ) {
        let song = build(Meter::ALL[meter], Key::parse(key).unwrap(), &plan);
        check(&song, &with_staff());
    }
}
