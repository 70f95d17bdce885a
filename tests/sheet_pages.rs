//! Geometry of sheets: every note is printed once, on its own string line, nothing overlaps,
//! nothing leaves the margins, bars are whole and in order. On hand-made tunes and on random
//! arrangements. Sizes are checked against the sources named beside each check.

mod any_sheet;
mod sheet_song;

use any_sheet::any_sheet;
use proptest::prelude::*;
use sheet_song::everything::compound;
use sheet_song::everything::everything;
use sheet_song::keep;
use sheet_song::random::build;
use sheet_song::random::random_bar;
use sheet_song::tune;
use std::collections::BTreeSet;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::ChosenGrip;
use thumbwalk::arrange::Place;
use thumbwalk::document::Document;
use thumbwalk::document::Paper;
use thumbwalk::document::Section;
use thumbwalk::document::SheetFont;
use thumbwalk::document::TuneDensity;
use thumbwalk::export::pdf;
use thumbwalk::score::fonts::FontRole;
use thumbwalk::score::pages::Anchor;
use thumbwalk::score::pages::Bounds;
use thumbwalk::score::pages::Drawn;
use thumbwalk::score::pages::Mark;
use thumbwalk::score::pages::Meaning;
use thumbwalk::score::pages::Page;
use thumbwalk::score::pages::PageOptions;
use thumbwalk::score::pages::lay_out;
use thumbwalk::score::pages::sizes;
use thumbwalk::session::export::page_options;
use thumbwalk::theory::Key;
use thumbwalk::theory::Meter;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

type Song = (Document, Arrangement);

fn songs() -> Vec<Song> {
    vec![tune(1), tune(16), tune(32), everything(), compound()]
}

/// The sample projects with the arrangements that the program finds for them.
fn samples() -> Vec<Song> {
    [
        include_str!("../sample-projects/ferry-queue-blues.ron"),
        include_str!("../sample-projects/kiosk-by-the-water.ron"),
        include_str!("../sample-projects/lamp-on-the-stairs.ron"),
        include_str!("../sample-projects/new-britain.ron"),
    ]
    .map(|text| {
        let (document, _) = thumbwalk::files::project_from_text(text).expect("a sample");
        let problem = thumbwalk::session::problem_from_document(&document);
        let arrangement = thumbwalk::arrange::solve(&problem);
        (document, arrangement)
    })
    .into()
}

#[test]
fn solved_samples_are_laid_out_cleanly() {
    for song in samples() {
        for paper in Paper::ALL {
            let options = PageOptions {
                paper,
                show_move_table: paper == Paper::A4,
                ..PageOptions::default()
            };
            let pages = check(&song, &options);
            let meta = pdf::PdfMeta {
                title: song.0.title.clone(),
                ..pdf::PdfMeta::default()
            };
            let bytes = pdf::write(&pages, &meta).expect("a PDF");
            keep(&format!("{}-{}.pdf", song.0.title, paper.words()), &bytes);
        }
    }
}

/// The cells of the movement table hold the codes of the thumb, beat by beat.
#[test]
fn the_movement_table_has_every_thumb_move_in_order() {
    let song = tune(6);
    let options = PageOptions {
        show_move_table: true,
        ..PageOptions::default()
    };
    let pages = check(&song, &options);
    let texts: Vec<String> = pages
        .iter()
        .flat_map(|page| marks(page, |m| *m == Meaning::Table))
        .filter_map(|m| match &m.drawn {
            Drawn::Text { text, anchor, .. } if *anchor == Anchor::Middle => Some(text.clone()),
            _ => None,
        })
        .collect();
    let codes: Vec<&str> = song
        .1
        .notes
        .iter()
        .filter_map(|n| n.thumb_move.map(ThumbMove::code))
        .collect();
    assert_eq!(texts, codes);
}

/// On a page of its own the table stands with the meaning of its codes and nothing of the music, and
/// the pages before it are as they would be without it.
#[test]
fn the_movement_table_can_have_a_page_of_its_own() {
    for song in [tune(16), tune(40)] {
        let with = |show_move_table| PageOptions {
            show_move_table,
            table_on_own_page: true,
            ..PageOptions::default()
        };
        let without = check(&song, &with(false));
        let pages = check(&song, &with(true));
        assert_eq!(pages.len(), without.len() + 1);
        let table = &pages[without.len()];
        let frames = marks(table, |m| matches!(m, Meaning::TableBar(_)));
        assert_eq!(frames.len(), song.0.n_bars());
        assert!(staves(table, 6).is_empty());
        assert!(!marks(table, |m| *m == Meaning::Legend).is_empty());
        for (page, same) in pages.iter().zip(&without) {
            let music = |page: &Page| -> Vec<Mark> {
                let music = marks(page, |m| *m != Meaning::Foot);
                music.into_iter().cloned().collect()
            };
            assert_eq!(music(page), music(same));
        }
    }
}

/// String lines of each system of a page, top line first, and how far they reach.
fn staves(page: &Page, n_strings: usize) -> Vec<(Vec<f64>, f64)> {
    let lines: Vec<(f64, f64)> = page
        .marks
        .iter()
        .filter_map(|mark| match (&mark.meaning, &mark.drawn) {
            (Meaning::Staff, Drawn::Line { from, to, .. }) if (from.y - to.y).abs() < 1e-9 => {
                Some((from.y, to.x))
            }
            _ => None,
        })
        .collect();
    lines
        .chunks(n_strings)
        .map(|chunk| {
            let mut ys: Vec<f64> = chunk.iter().map(|(y, _)| *y).collect();
            ys.sort_by(f64::total_cmp);
            (ys, chunk[0].1)
        })
        .collect()
}

fn marks(page: &Page, wanted: impl Fn(&Meaning) -> bool) -> Vec<&Mark> {
    page.marks.iter().filter(|m| wanted(&m.meaning)).collect()
}

fn is_text(mark: &Mark) -> bool {
    matches!(mark.drawn, Drawn::Text { .. })
}

fn every_note_is_printed_once(pages: &[Page], arrangement: &Arrangement) {
    let mut seen = vec![0; arrangement.notes.len()];
    for page in pages {
        for mark in &page.marks {
            if let Meaning::Note(idx) = mark.meaning {
                seen[idx] += 1;
                let Drawn::Text { text, .. } = &mark.drawn else {
                    panic!("a digit is text");
                };
                let note = &arrangement.notes[idx];
                let ghost = note.thumb_move == Some(ThumbMove::Ghost);
                let wanted = if ghost {
                    "x".into()
                } else {
                    note.fret.to_string()
                };
                assert_eq!(text, &wanted, "two-digit frets are one unit");
            }
        }
    }
    assert!(seen.iter().all(|n| *n == 1), "{seen:?}");
}

/// Digits stand centred on their string's line (Gould, Behind Bars, from memory; common practice).
fn digits_are_centred_on_their_line(pages: &[Page], song: &Song) {
    let n_strings = usize::from(song.0.instrument.n_strings());
    for page in pages {
        let staves = staves(page, n_strings);
        for mark in &page.marks {
            let Meaning::Note(idx) = mark.meaning else {
                continue;
            };
            let b = mark.bounds();
            let middle = f64::midpoint(b.top, b.bottom);
            let from_top = n_strings - 1 - song.1.notes[idx].string.idx();
            let off = staves
                .iter()
                .map(|(ys, _)| (ys[from_top] - middle).abs())
                .fold(f64::INFINITY, f64::min);
            assert!(off < 0.1, "note {idx} is {off} mm off its line");
        }
    }
}

fn nothing_leaves_the_margins(pages: &[Page], paper: Paper) {
    let (width, height) = paper.size_mm();
    for page in pages {
        for mark in &page.marks {
            let b = mark.bounds();
            let inside = b.left >= sizes::SIDE_MARGIN - 0.5
                && b.right <= width - sizes::SIDE_MARGIN + 0.5
                && b.top >= sizes::TOP_MARGIN - 1.0
                && b.bottom <= height - sizes::BOTTOM_MARGIN + 1.0;
            assert!(inside, "{:?} {b:?}", mark.meaning);
        }
    }
}

fn no_text_overlaps(pages: &[Page]) {
    for page in pages {
        let mut boxes: Vec<(Meaning, Bounds)> = page
            .marks
            .iter()
            .filter(|m| is_text(m) || matches!(m.meaning, Meaning::Rest(_) | Meaning::Clef))
            .filter(|m| {
                !matches!(m.meaning, Meaning::Rest(_)) || !matches!(m.drawn, Drawn::Circle { .. })
            })
            .map(|m| (m.meaning, m.bounds()))
            .collect();
        boxes.sort_by(|a, b| a.1.left.total_cmp(&b.1.left));
        for (i, (what, a)) in boxes.iter().enumerate() {
            for (other, b) in boxes.iter().skip(i + 1) {
                if b.left > a.right {
                    break;
                }
                // The figures of a time signature touch in the middle of the staff.
                let figures = *what == Meaning::Clef && *other == Meaning::Clef;
                let fine = figures || !a.overlaps(b, 0.1);
                assert!(fine, "{what:?} {a:?} and {other:?} {b:?}");
            }
        }
    }
}

/// Within a system time runs from left to right, and at one moment all digits are in one column.
fn time_runs_to_the_right(pages: &[Page], song: &Song) {
    let n_strings = usize::from(song.0.instrument.n_strings());
    for page in pages {
        for (ys, _) in staves(page, n_strings) {
            let (top, bottom) = (ys[0] - 2.0, ys[n_strings - 1] + 2.0);
            let mut notes: Vec<(Place, f64)> = page
                .marks
                .iter()
                .filter_map(|m| match (&m.meaning, &m.drawn) {
                    (Meaning::Note(idx), Drawn::Text { at, .. }) => {
                        Some((song.1.notes[*idx].place, at))
                    }
                    _ => None,
                })
                .filter(|(_, at)| at.y > top && at.y < bottom)
                .map(|(place, at)| (place, at.x))
                .collect();
            notes.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
            for pair in notes.windows(2) {
                let step = pair[1].1 - pair[0].1;
                if pair[0].0 == pair[1].0 {
                    assert!(step.abs() < 1e-6);
                } else {
                    assert!(step > 1.0, "{pair:?}");
                }
            }
        }
    }
}

/// All letters and figures are in the face that was chosen; music signs have a font of their own.
fn letters_are_in_one_face(pages: &[Page], font: SheetFont) {
    for mark in pages.iter().flat_map(|page| &page.marks) {
        if let Drawn::Text { role, text, .. } = &mark.drawn {
            let fine = match role {
                FontRole::Text(own, _) => *own == font,
                FontRole::Music => text == "♭" || text == "♯",
            };
            assert!(fine, "{text} in {role:?}");
        }
    }
}

fn check(song: &Song, options: &PageOptions) -> Vec<Page> {
    let pages = lay_out(&song.0, &song.1, options);
    every_note_is_printed_once(&pages, &song.1);
    digits_are_centred_on_their_line(&pages, song);
    nothing_leaves_the_margins(&pages, options.paper);
    no_text_overlaps(&pages);
    time_runs_to_the_right(&pages, song);
    letters_are_in_one_face(&pages, options.font);
    pages
}

#[test]
fn hand_made_tunes_are_laid_out_cleanly_on_both_papers() {
    for song in songs() {
        for paper in Paper::ALL {
            for all in [true, false] {
                let options = PageOptions {
                    paper,
                    font: match paper {
                        Paper::A4 => SheetFont::Sans,
                        Paper::Letter => SheetFont::Serif,
                    },
                    show_staff: !all,
                    size_permille: 1000,
                    show_diagrams: all,
                    show_fingers: all,
                    show_pluck_letters: all,
                    show_moves: all,
                    show_move_table: all,
                    table_on_own_page: all && paper == Paper::Letter,
                    show_student_line: all,
                    show_lesson_text: all,
                    tempo_boxes: if all { vec![60, 72, 84] } else { Vec::new() },
                    bars_per_system: None,
                    ..PageOptions::default()
                };
                check(&song, &options);
            }
        }
    }
}

#[test]
fn papers_have_their_standard_sizes() {
    // A4: ISO 216, 210 × 297 mm. Letter: ANSI/ASME Y14.1 size A, 8.5 × 11 in.
    assert_eq!(Paper::A4.size_mm(), (210.0, 297.0));
    let (width, height) = Paper::Letter.size_mm();
    assert!((width / 25.4 - 8.5).abs() < 1e-9 && (height / 25.4 - 11.0).abs() < 1e-9);
    for paper in Paper::ALL {
        let options = PageOptions {
            paper,
            ..PageOptions::default()
        };
        let (document, arrangement) = tune(4);
        let page = &lay_out(&document, &arrangement, &options)[0];
        assert_eq!((page.width, page.height), paper.size_mm());
    }
}

#[test]
fn staff_and_digits_have_the_proportions_of_the_handbooks() {
    // Six lines 1.5 staff spaces apart; digits about 1.3 to 1.5 spaces tall; a space of 1.75 to
    // 2.0 mm for parts (all Gould, from memory).
    let song = tune(8);
    let page = &lay_out(&song.0, &song.1, &PageOptions::default())[0];
    for (ys, _) in staves(page, 6) {
        for pair in ys.windows(2) {
            assert!((pair[1] - pair[0] - 1.5 * sizes::SPACE).abs() < 1e-9);
        }
    }
    for mark in marks(page, |m| matches!(m, Meaning::Note(_))) {
        let b = mark.bounds();
        let spaces = (b.bottom - b.top) / sizes::SPACE;
        assert!((1.25..=1.5).contains(&spaces), "{spaces}");
    }
    assert!((1.75..=2.0).contains(&sizes::SPACE));
}

#[test]
fn the_string_line_is_blanked_behind_every_digit() {
    // Common practice for tablature: the digit interrupts its line.
    let song = tune(8);
    let page = &lay_out(&song.0, &song.1, &PageOptions::default())[0];
    let place = |wanted: Meaning| page.marks.iter().position(|m| m.meaning == wanted);
    for mark in marks(page, |m| matches!(m, Meaning::Note(_))) {
        let Meaning::Note(idx) = mark.meaning else {
            continue;
        };
        let blank = place(Meaning::Blank(idx)).unwrap();
        assert!(
            blank < place(mark.meaning).unwrap(),
            "paper first, then ink"
        );
        let (b, n) = (page.marks[blank].bounds(), mark.bounds());
        assert!(b.left <= n.left && b.right >= n.right);
    }
}

#[test]
fn sheets_take_the_pages_they_should() {
    let table = [(0, 1), (8, 1), (16, 1), (32, 2), (64, 3)];
    for paper in Paper::ALL {
        for (n_bars, expected) in table {
            let (document, arrangement) = tune(n_bars);
            let options = PageOptions {
                paper,
                ..PageOptions::default()
            };
            let got = lay_out(&document, &arrangement, &options).len();
            let most = expected + usize::from(paper == Paper::Letter && n_bars > 8);
            assert!((expected..=most).contains(&got), "{n_bars} bars: {got}");
        }
    }
}

/// Figures of time signatures from left to right (SMuFL 1.4: U+E080 is 0).
fn times(page: &Page) -> Vec<u32> {
    let mut figures: Vec<(f64, f64, u32)> = page
        .marks
        .iter()
        .filter_map(|mark| match mark.drawn {
            Drawn::Glyph { code, at, .. } => {
                Some((at.x, at.y, u32::from(code).wrapping_sub(0xE080)))
            }
            _ => None,
        })
        .filter(|(.., figure)| *figure < 10)
        .collect();
    figures.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    figures.into_iter().map(|(.., figure)| figure).collect()
}

/// A tune in 4/4 some of whose bars are of other lengths, in ticks.
fn with_lengths(n_bars: usize, lengths: &[(usize, u32)]) -> Song {
    let (mut document, mut arrangement) = tune(n_bars);
    for (bar, ticks) in lengths {
        let mut at = *bar;
        for section in &mut document.sections {
            let section = Arc::make_mut(section);
            match section.bars.get_mut(at) {
                Some(own) => {
                    own.length = Some(Ticks(*ticks));
                    break;
                }
                None => at -= section.bars.len(),
            }
        }
        (arrangement.notes).retain(|n| n.place.bar != *bar || n.place.at.0 < *ticks);
    }
    (document, arrangement)
}

/// A signature that changes with a system is announced at the end of the one before, on every staff,
/// behind the bar line (Gould, Behind Bars, from memory).
#[test]
fn a_signature_that_changes_with_a_system_is_announced_before_it() {
    let song = with_lengths(12, &[(4, 2880), (5, 2880), (6, 2880), (7, 2880)]);
    for show_staff in [false, true] {
        let options = PageOptions {
            show_staff,
            bars_per_system: Some(4),
            ..PageOptions::default()
        };
        let pages = check(&song, &options);
        // 4/4 and a warning of 3/4; 3/4 and a warning of 4/4; 4/4.
        let n_staves = if show_staff { 2 } else { 1 };
        let all: Vec<u32> = pages.iter().flat_map(times).collect();
        let threes = all.iter().filter(|figure| **figure == 3).count();
        assert_eq!((all.len(), threes), (10 * n_staves, 2 * n_staves));
        let right = 210.0 - sizes::SIDE_MARGIN;
        let (lines, last_bar): (Vec<f64>, Vec<f64>) = pages
            .iter()
            .flat_map(|page| staves(page, 6).into_iter().map(move |staff| (page, staff)))
            .map(|(page, (ys, reach))| {
                let bars = marks(page, |m| matches!(m, Meaning::BarLine(_)));
                let own = bars.iter().map(|m| m.bounds());
                let own = own.filter(|b| b.top < ys[5] && b.bottom > ys[5]);
                (reach, own.map(|b| b.right).fold(0.0, f64::max))
            })
            .unzip();
        // The lines of a system with a warning go on behind its last bar line, to the margin at most.
        for (reach, bar) in lines.iter().zip(&last_bar).take(2) {
            assert!(reach - bar > 5.0 && *reach < right + 0.01, "{last_bar:?}");
        }
        assert!((lines[0] - right).abs() < 0.01, "{lines:?}");
        assert!((last_bar[2] - lines[2]).abs() < 0.2, "{last_bar:?}");
    }
}

/// A bar of another length says so, and the next one says that it is over; a pick-up has the metre's
/// own signature (common practice).
#[test]
fn odd_bars_have_a_time_signature_of_their_own() {
    let lengths = |lengths: &[(usize, u32)]| {
        let pages = check(&with_lengths(4, lengths), &PageOptions::default());
        times(&pages[0])
    };
    assert_eq!(lengths(&[]), [4, 4]);
    assert_eq!(lengths(&[(1, 1920)]), [4, 4, 2, 4, 4, 4]);
    assert_eq!(lengths(&[(0, 960)]), [4, 4], "a pick-up");
    assert_eq!(lengths(&[(3, 4800)]), [4, 4, 5, 4]);
}

/// Under a tune a chord can be taken anew with another grip: where there is room for all diagrams,
/// that one is shown over the note where the hand takes it.
#[test]
fn grips_that_are_taken_anew_within_a_chord_have_diagrams() {
    let text = include_str!("../sample-projects/new-britain.ron");
    let (mut document, _) = thumbwalk::files::project_from_text(text).expect("a sample");
    document.tune.density = TuneDensity::EveryNote;
    let problem = thumbwalk::session::problem_from_document(&document);
    let song = (document, thumbwalk::arrange::solve(&problem));
    let options = PageOptions {
        bars_per_system: Some(1),
        ..PageOptions::default()
    };
    let grip = |chosen: &ChosenGrip| chosen.voicing.as_ref().map(|voicing| voicing.grip);
    let (mut expected, mut taken_anew) = (0, 0);
    let mut seen = Vec::new();
    for (bar, written) in song.0.bars().enumerate() {
        let of_bar = |all: &'_ [ChosenGrip]| -> Vec<ChosenGrip> {
            let own = all.iter().filter(|chosen| chosen.place.bar == bar);
            own.filter(|chosen| grip(chosen).is_some())
                .cloned()
                .collect()
        };
        let chords = of_bar(&song.1.grips);
        let mut any_new = false;
        for chosen in &chords {
            let symbol = written.chords[chosen.chord_idx]
                .harmony
                .printed(song.0.house_style);
            let key = (symbol, grip(chosen));
            any_new |= !seen.contains(&key);
            seen.push(key);
        }
        let changed = of_bar(&song.1.retaken).into_iter().filter(|chosen| {
            let before = song.1.grip_before(chosen.held_from);
            before.and_then(grip) != grip(chosen)
        });
        if any_new {
            let changed = changed.count();
            expected += chords.len() + changed;
            taken_anew += changed;
        }
    }
    let pages = check(&song, &options);
    let upright = |m: &&Mark| match &m.drawn {
        Drawn::Line { from, to, .. } => (from.x - to.x).abs() < 1e-9,
        _ => false,
    };
    let strings = pages
        .iter()
        .flat_map(|page| marks(page, |m| *m == Meaning::Diagram));
    let strings = strings.filter(upright).count();
    assert!(taken_anew > 5, "{taken_anew}");
    assert_eq!(strings, 6 * expected);
}

/// Sixteen bars with a diagram over every chord go on one page: the music may become smaller for
/// that, but no smaller than a staff of 6.5 mm (Gould, Behind Bars, from memory; MOLA guidelines) or,
/// as tab alone, the size *Small*.
#[test]
fn sixteen_bars_with_diagrams_fit_on_one_page_at_a_readable_size() {
    let mut n_saved = 0;
    for song in samples() {
        for show_staff in [false, true] {
            let options = PageOptions {
                show_staff,
                ..PageOptions::default()
            };
            let pages = check(&song, &options);
            if song.0.n_bars() <= 17 && !show_staff {
                assert_eq!(pages.len(), 1, "{}", song.0.title);
                n_saved += 1;
            }
            let least = if show_staff { 6.5 / 7.0 } else { 0.86 };
            for (ys, _) in pages.iter().flat_map(|page| staves(page, 6)) {
                let gap = (ys[5] - ys[0]) / 5.0 / sizes::STRING_GAP;
                assert!(gap > least - 1e-3, "{}: {gap}", song.0.title);
            }
        }
    }
    assert_eq!(n_saved, 3);
}

/// A bar that would stand alone behind its section, often a second ending, joins the system before or
/// has company: no system of one bar where others have four (common practice).
#[test]
fn no_bar_stands_alone_behind_full_systems() {
    for n_bars in [9, 13, 17] {
        for (show_staff, size_permille) in [(false, 1000), (true, 1000), (true, 1200)] {
            let (mut document, arrangement) = tune(n_bars);
            let bars = document.bars().cloned().collect();
            let name = "A".into();
            document.sections = vec![Arc::new(Section { name, bars })];
            let options = PageOptions {
                show_staff,
                size_permille,
                ..PageOptions::default()
            };
            let pages = check(&(document, arrangement), &options);
            let opening = pages
                .iter()
                .flat_map(|page| marks(page, |m| matches!(m, Meaning::BarNumber(_))));
            let Some(Meaning::BarNumber(last)) = opening.map(|mark| mark.meaning).next_back()
            else {
                panic!("{n_bars} bars have several systems");
            };
            assert!(
                n_bars - last > 1,
                "{n_bars} bars: the last system begins with {last}"
            );
        }
    }
}

/// What does not go on one page leaves no page but the last one half empty.
#[test]
fn pages_before_the_last_are_well_filled() {
    let tunes = [8, 14, 20, 24, 28, 40].map(tune);
    for song in samples().into_iter().chain(tunes) {
        for (show_staff, size_permille) in
            [(false, 1000), (true, 1000), (true, 1200), (false, 1200)]
        {
            let options = PageOptions {
                show_staff,
                size_permille,
                ..PageOptions::default()
            };
            let pages = check(&song, &options);
            for page in pages.iter().rev().skip(1) {
                let music = marks(page, |m| !matches!(m, Meaning::Foot));
                let lowest = music.iter().map(|m| m.bounds().bottom).fold(0.0, f64::max);
                let room =
                    page.height - sizes::BOTTOM_MARGIN - sizes::FOOT_HEIGHT - sizes::TOP_MARGIN;
                let filled = (lowest - sizes::TOP_MARGIN) / room;
                assert!(filled > 0.7, "{}: {filled}", song.0.title);
            }
        }
    }
}

#[test]
fn full_systems_are_justified_and_a_short_last_one_is_not_stretched() {
    let song = tune(14);
    let page = &lay_out(&song.0, &song.1, &PageOptions::default())[0];
    let reach: Vec<f64> = staves(page, 6).iter().map(|(_, right)| *right).collect();
    assert_eq!(reach.len(), 4);
    let right = 210.0 - sizes::SIDE_MARGIN;
    for full in &reach[..3] {
        assert!((full - right).abs() < 0.01, "{reach:?}");
    }
    // Two bars of four: half of the bars' room behind the clef.
    let share = (reach[3] - sizes::SIDE_MARGIN) / (right - sizes::SIDE_MARGIN);
    assert!((0.45..0.65).contains(&share), "{share}");
}

#[test]
fn the_asked_number_of_bars_stands_in_a_system() {
    let song = tune(16);
    for asked in 1..=4_u8 {
        let options = PageOptions {
            bars_per_system: Some(asked),
            ..PageOptions::default()
        };
        let pages = check(&song, &options);
        let systems: usize = pages.iter().map(|p| staves(p, 6).len()).sum();
        // Sections of eight bars each.
        assert_eq!(systems, 2 * 8_usize.div_ceil(usize::from(asked)));
    }
}

#[test]
fn bar_numbers_stand_at_the_start_of_every_system_but_the_first() {
    let song = tune(16);
    let page = &lay_out(&song.0, &song.1, &PageOptions::default())[0];
    let numbers: Vec<Meaning> = marks(page, |m| matches!(m, Meaning::BarNumber(_)))
        .iter()
        .map(|m| m.meaning)
        .collect();
    assert_eq!(numbers, [4, 8, 12].map(Meaning::BarNumber));
}

#[test]
fn the_caution_and_the_page_number_stand_on_every_page() {
    let song = tune(32);
    let pages = lay_out(&song.0, &song.1, &PageOptions::default());
    for (i, page) in pages.iter().enumerate() {
        let foot: Vec<&String> = marks(page, |m| *m == Meaning::Foot)
            .iter()
            .filter_map(|m| match &m.drawn {
                Drawn::Text { text, .. } => Some(text),
                _ => None,
            })
            .collect();
        let number = format!("page {} of {}", i + 1, pages.len());
        assert!(foot.iter().any(|t| t.contains("stop if it hurts")));
        assert!(foot.iter().any(|t| t.ends_with(&number)), "{foot:?}");
    }
}

#[test]
fn left_hand_fingers_are_repeated_only_where_they_change() {
    let song = tune(4);
    let page = &lay_out(&song.0, &song.1, &PageOptions::default())[0];
    let shown: BTreeSet<usize> = marks(page, |m| matches!(m, Meaning::Finger(_)))
        .iter()
        .filter_map(|m| match m.meaning {
            Meaning::Finger(idx) => Some(idx),
            _ => None,
        })
        .collect();
    for (idx, note) in song.1.notes.iter().enumerate() {
        let again = song.1.notes[..idx]
            .iter()
            .rev()
            .find(|n| n.place.bar == note.place.bar && n.string == note.string);
        let same = again.is_some_and(|n| n.fret == note.fret && n.finger == note.finger);
        assert_eq!(
            shown.contains(&idx),
            !same && note.finger.is_some(),
            "{note:?}"
        );
    }
}

/// Every way in which a sheet can be asked for.
fn any_options() -> impl Strategy<Value = PageOptions> {
    any_sheet().prop_map(|sheet| {
        let document = Document {
            sheet,
            ..Document::default()
        };
        PageOptions {
            chorus: sheet.moves.then_some((2, 3)),
            ..page_options(&document)
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 48,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn random_arrangements_are_laid_out_cleanly(
        plan in proptest::collection::vec(random_bar(), 1..9),
        meter in 0..Meter::ALL.len(),
        options in any_options(),
    ) {
        let song = build(Meter::ALL[meter], Key::C_MAJOR, &plan);
        check(&song, &options);
    }
}
