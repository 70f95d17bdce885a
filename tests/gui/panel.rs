//! The left panel: every setting of the selected bars and of the tune is set by its name, found in
//! the document, and taken back by one undo.

use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::settle;
use crate::harness::sized;
use egui::Key;
use egui_kittest::kittest::NodeT as _;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::document::Bar;
use thumbwalk::document::Document;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::MoveSet;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::Rule;
use thumbwalk::theory::Side;
use thumbwalk::theory::Slide;
use thumbwalk::theory::Sliding;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::thumb::PluckPattern;

/// A window so tall that the whole panel is in view.
fn tall() -> Window {
    sized(1400.0, 2700.0, Some(crate::harness::CHART))
}

fn bar(window: &Window, bar: usize) -> Bar {
    document(window).bar(bar).expect("a bar").clone()
}

/// Opens a choice and takes one of what it offers.
fn choose(window: &mut Window, choice: &str, item: &str) {
    click(window, choice);
    click(window, item);
}

/// What a choice shows.
fn shown(window: &Window, choice: &str) -> String {
    window.get_by_label(choice).value().unwrap_or_default()
}

/// The change is in the document; one undo takes it back, and redo makes it again.
#[track_caller]
fn is_one_step(window: &mut Window, before: &Document) {
    let after = document(window);
    assert_ne!(*after, *before, "nothing changed");
    click(window, "undo");
    assert_eq!(*document(window), *before, "one undo takes all of it back");
    click(window, "redo");
    assert_eq!(*document(window), *after);
}

fn select_bars(window: &mut Window, first: usize, last: usize) {
    click(window, &format!("bar {first}"));
    let last = format!("bar {last}");
    window
        .get_by_label(&last)
        .click_modifiers(egui::Modifiers::SHIFT);
    settle(window);
}

fn select_slot(window: &mut Window, cell: &str) {
    let cell = name_starting(window, cell);
    click(window, &cell);
}

#[test]
fn sections_fold_and_stay_folded() {
    let mut window = tall();
    assert!(window.query_by_label("thumb move: root").is_some());
    click(&mut window, "Bar 1");
    assert!(window.query_by_label("thumb move: root").is_none());
    select_slot(&mut window, "bar 3, beat 2, thumb:");
    assert!(window.query_by_label("thumb move: root").is_none());
    click(&mut window, "Bar 3");
    assert!(window.query_by_label("thumb move: root").is_some());
    for (section, inside) in [
        ("Tune", "Key"),
        ("Instrument", "Capo"),
        ("Hand", "Barre allowed"),
        ("Thumb line of bar 3", "Walk here"),
    ] {
        assert!(window.query_by_label(inside).is_some(), "{inside}");
        click(&mut window, section);
        assert!(window.query_by_label(inside).is_none(), "{inside}");
    }
}

#[test]
fn nothing_in_the_panel_sticks_out() {
    for walk in Walk::ALL {
        let mut window = tall();
        click(&mut window, "own moves");
        click(&mut window, "Rules of the line");
        if walk != Walk::Plain {
            choose(&mut window, "Thumb line", walk.words());
        }
        let edge = window.get_by_label("Slide here").rect().right();
        let (top, bottom) = (
            window.get_by_label("Bar 1").rect().top(),
            window.get_by_label("i m a c").rect().bottom(),
        );
        for name in names(&window) {
            for node in window.query_all_by_label(&name) {
                let rect = node.rect();
                if rect.left() < edge && rect.top() >= top && rect.bottom() <= bottom {
                    assert!(rect.right() <= edge + 1.0, "{name}: {rect:?} beyond {edge}");
                }
            }
        }
    }
}

#[test]
fn a_pattern_is_chosen_by_name_and_left_to_the_tune_again() {
    let mut window = tall();
    let before = document(&window);
    assert_eq!(shown(&window, "Pattern here"), "The tune's");
    choose(&mut window, "Pattern here", "Charleston");
    let charleston = PluckPattern::Charleston.plucks(before.meter);
    assert_eq!(bar(&window, 0).plucks, Some(charleston));
    assert_eq!(shown(&window, "Pattern here"), "Charleston");
    is_one_step(&mut window, &before);
    click(&mut window, "pluck at bar 1, beat 4: no pluck");
    assert_eq!(shown(&window, "Pattern here"), "Own");
    choose(&mut window, "Pattern here", "The tune's");
    assert_eq!(bar(&window, 0).plucks, None);
}

#[test]
fn a_pattern_is_given_to_several_bars_to_the_section_and_to_the_tune() {
    let mut window = tall();
    select_bars(&mut window, 2, 3);
    let before = document(&window);
    choose(&mut window, "Pattern here", "Every beat");
    let beats = Some(PluckPattern::EveryBeat.plucks(before.meter));
    let having = |window: &Window, plucks: &Option<Vec<Pluck>>| -> Vec<usize> {
        let document = document(window);
        let bars = document.bars().enumerate();
        let found = bars.filter(|(_, bar)| bar.plucks == *plucks);
        found.map(|(idx, _)| idx).collect()
    };
    assert_eq!(having(&window, &beats), [1, 2]);
    is_one_step(&mut window, &before);

    let before = document(&window);
    click(&mut window, "apply the pattern to the section");
    assert_eq!(having(&window, &beats), [0, 1, 2, 3], "section A");
    is_one_step(&mut window, &before);

    let before = document(&window);
    click(&mut window, "apply the pattern to the tune");
    assert_eq!(document(&window).line.plucks, beats);
    assert_eq!(
        having(&window, &None).len(),
        8,
        "every bar follows the tune"
    );
    is_one_step(&mut window, &before);
}

#[test]
fn bars_that_differ_are_shown_as_various_and_set_together() {
    let mut window = tall();
    click(&mut window, "bar 2");
    choose(&mut window, "Pattern here", "Charleston");
    choose(&mut window, "Walk here", "Runs");
    choose(&mut window, "Riff here", "Varied");
    click(&mut window, "own moves");
    click(&mut window, "bar 1");
    window
        .get_by_label("bar 2, own line: runs; moves 1 3 5 7 ↑1 ↓1 / \\; varied")
        .click_modifiers(egui::Modifiers::SHIFT);
    settle(&mut window);
    for choice in ["Pattern here", "Walk here", "Riff here"] {
        assert_eq!(shown(&window, choice), "various", "{choice}");
    }
    let various = "pluck at bars 1 to 2, beat 1: various";
    assert!(window.query_by_label(various).is_some());
    let before = document(&window);
    click(&mut window, various);
    for idx in [0, 1] {
        let plucks = bar(&window, idx).plucks.unwrap();
        assert_eq!(plucks[0], Pluck::new(Ticks(0), Articulation::Ring));
    }
    is_one_step(&mut window, &before);

    let before = document(&window);
    choose(&mut window, "Walk here", "Two approaches");
    for idx in [0, 1] {
        assert_eq!(bar(&window, idx).line.walk, Some(Walk::TwoApproaches));
    }
    assert_eq!(bar(&window, 1).line.riff, Some(false), "the rest stays");
    is_one_step(&mut window, &before);
    click(&mut window, "the walk's moves");
    assert_eq!(bar(&window, 1).line.moves, None);
}

#[test]
fn a_slide_is_chosen_and_brings_a_ringing_strike_where_none_is() {
    let mut window = tall();
    let before = document(&window);
    choose(&mut window, "Slide here", "Whole grip from below");
    let slide = Slide {
        what: Sliding::WholeGrip,
        from: Side::Below,
    };
    assert_eq!(bar(&window, 0).slides, [(Ticks(0), slide)]);
    let strike = Pluck::new(Ticks(0), Articulation::Ring);
    assert!(bar(&window, 0).plucks.unwrap().contains(&strike));
    is_one_step(&mut window, &before);
    let label = "pluck at bar 1, beat 1: ring, slides";
    assert!(window.query_by_label(label).is_some());

    let before = document(&window);
    choose(&mut window, "Slide here", "No slide");
    assert!(bar(&window, 0).slides.is_empty());
    assert!(bar(&window, 0).plucks.unwrap().contains(&strike));
    is_one_step(&mut window, &before);
}

#[test]
fn a_slide_does_not_outlive_its_strike() {
    let mut window = tall();
    choose(&mut window, "Slide here", "Fingers from above");
    let before = document(&window);
    choose(&mut window, "Pattern here", "On 2 and 4");
    assert!(bar(&window, 0).slides.is_empty());
    is_one_step(&mut window, &before);
}

#[test]
fn the_whole_grip_slides_only_where_the_thumb_strikes() {
    let mut window = tall();
    select_slot(&mut window, "bar 1, beat 1 and, fingers:");
    let before = document(&window);
    click(&mut window, "Slide here");
    let grip = window.get_by_label("Whole grip from below");
    assert!(grip.accesskit_node().is_disabled());
    let why = "The whole grip slides only where the thumb strikes too";
    assert!(window.query_all_by_value(why).count() > 0, "it says why");
    click(&mut window, "Fingers from below");
    assert_eq!(bar(&window, 0).slides.len(), 1);
    is_one_step(&mut window, &before);
}

#[test]
fn a_strike_is_made_ahead_only_before_a_change() {
    let mut window = tall();
    let ahead = "Ahead of the change";
    select_slot(&mut window, "bar 1, beat 3 and, fingers:");
    let toggle = window.get_by_label(ahead);
    assert!(toggle.accesskit_node().is_disabled(), "beat 4 comes first");
    select_slot(&mut window, "bar 1, beat 4 and, fingers:");
    let before = document(&window);
    click(&mut window, ahead);
    let strike = Pluck {
        ahead: true,
        ..Pluck::new(Ticks(3360), Articulation::Ring)
    };
    assert!(bar(&window, 0).plucks.unwrap().contains(&strike));
    is_one_step(&mut window, &before);
    let before = document(&window);
    click(&mut window, "pluck at bar 1, beat 4 and: ring, ahead");
    let short = Pluck {
        articulation: Articulation::Short,
        ..strike
    };
    assert!(bar(&window, 0).plucks.unwrap().contains(&short));
    is_one_step(&mut window, &before);
    click(&mut window, ahead);
    let plucks = bar(&window, 0).plucks.unwrap();
    assert!(plucks.iter().all(|pluck| !pluck.ahead), "{plucks:?}");
    // Bar 8 has two chords, so there is a change in its middle; after it the tune ends.
    select_slot(&mut window, "bar 8, beat 2 and, fingers:");
    assert!(!window.get_by_label(ahead).accesskit_node().is_disabled());
    select_slot(&mut window, "bar 8, beat 4 and, fingers:");
    assert!(window.get_by_label(ahead).accesskit_node().is_disabled());
}

#[test]
fn keys_step_through_slides_and_make_a_strike_early() {
    let mut window = open();
    press(&mut window, &[Key::ArrowUp]);
    let slides = |window: &Window| -> Vec<&'static str> {
        let slides = bar(window, 0).slides;
        slides.iter().map(|(_, slide)| slide.word()).collect()
    };
    for word in [
        "fingers-from-below",
        "fingers-from-above",
        "grip-from-below",
        "grip-from-above",
    ] {
        press(&mut window, &[Key::K]);
        assert_eq!(slides(&window), [word]);
    }
    press(&mut window, &[Key::K]);
    assert!(slides(&window).is_empty());
    press(&mut window, &[Key::E]);
    let early = |window: &Window| {
        let plucks = bar(window, 0).plucks.unwrap_or_default();
        plucks.iter().filter(|pluck| pluck.ahead).count()
    };
    assert_eq!(early(&window), 0, "not on the beat");
    for _ in 0..7 {
        press(&mut window, &[Key::ArrowRight]);
    }
    press(&mut window, &[Key::E]);
    assert_eq!(early(&window), 1);
    press(&mut window, &[Key::O, Key::P]);
    assert_eq!(early(&window), 1, "ringing or short, it stays early");
    press(&mut window, &[Key::E]);
    assert_eq!(early(&window), 0);
    press(&mut window, &[Key::K, Key::R]);
    assert!(slides(&window).is_empty(), "no strike, no slide");
}

#[test]
fn the_bars_walk_riff_and_moves_are_set() {
    let mut window = tall();
    for (choice, item) in [("Walk here", "Mixed"), ("Riff here", "Riff")] {
        let before = document(&window);
        choose(&mut window, choice, item);
        assert_eq!(shown(&window, choice), item);
        is_one_step(&mut window, &before);
    }
    let line = bar(&window, 0).line;
    assert_eq!((line.walk, line.riff), (Some(Walk::Mixed), Some(true)));

    let before = document(&window);
    click(&mut window, "own moves");
    let own = bar(&window, 0).line.moves.unwrap();
    assert_eq!(
        own,
        MoveSet::ALL.without(ThumbMove::Rest),
        "as the walk has it"
    );
    is_one_step(&mut window, &before);

    let before = document(&window);
    click(&mut window, "allow ghost note");
    let fewer = own.without(ThumbMove::Ghost);
    assert_eq!(bar(&window, 0).line.moves, Some(fewer));
    is_one_step(&mut window, &before);
    click(&mut window, "allow rest");
    assert_eq!(
        bar(&window, 0).line.moves,
        Some(fewer.with(ThumbMove::Rest))
    );
    click(&mut window, "the walk's moves");
    assert_eq!(bar(&window, 0).line.moves, None);
}

#[test]
fn the_last_move_taken_away_leaves_the_moves_to_the_walk() {
    let mut window = tall();
    click(&mut window, "own moves");
    let own = bar(&window, 0).line.moves.unwrap();
    for thumb_move in own.iter() {
        let word = match thumb_move {
            ThumbMove::Root => "root",
            ThumbMove::ApproachBelow => "approach from below",
            ThumbMove::ApproachAbove => "approach from above",
            other => panic!("a plain walk has no {other:?}"),
        };
        click(&mut window, &format!("allow {word}"));
    }
    assert_eq!(bar(&window, 0).line.moves, None);
}

#[test]
fn the_tunes_riff_and_rules_are_switched() {
    let mut window = tall();
    let before = document(&window);
    click(&mut window, "Line as a riff");
    assert!(document(&window).line.riff);
    is_one_step(&mut window, &before);

    click(&mut window, "Rules of the line");
    let waits = "A plain walk writes no line, so these rules wait";
    assert!(window.query_all_by_value(waits).count() > 0);
    choose(&mut window, "Thumb line", "Two approaches");
    assert_eq!(window.query_all_by_value(waits).count(), 0);
    for rule in Rule::ALL {
        let before = document(&window);
        click(&mut window, rule.words());
        assert!(document(&window).line.rules_off.has(rule));
        is_one_step(&mut window, &before);
    }
}

/// Lydian over a major chord on I, as many players hear it (common practice).
#[test]
fn a_scale_is_chosen_for_every_chord_of_its_kind_on_its_degree() {
    let mut window = tall();
    select_slot(&mut window, "bar 3, beat 1, thumb:");
    let scale = "Scale over the selected chord";
    assert_eq!(shown(&window, scale), "ionian");
    assert!(names(&window).contains(&"For every major chord on I".to_owned()));
    let before = document(&window);
    choose(&mut window, scale, "lydian");
    let scales = document(&window).line.scales.clone();
    assert_eq!(scales.len(), 1);
    assert_eq!(
        (scales[0].above_tonic, scales[0].scale.as_str()),
        (0, "lydian")
    );
    is_one_step(&mut window, &before);
    // Bar 7 has C6, a major chord on I as well; bar 1 has a minor one on II.
    select_slot(&mut window, "bar 7, beat 1, thumb:");
    assert_eq!(shown(&window, scale), "lydian");
    select_slot(&mut window, "bar 1, beat 1, thumb:");
    assert_eq!(shown(&window, scale), "dorian");
    assert!(names(&window).contains(&"For every minor chord on II".to_owned()));
    select_slot(&mut window, "bar 7, beat 1, thumb:");
    choose(&mut window, scale, "ionian (usual)");
    assert!(document(&window).line.scales.is_empty());
}

#[test]
fn a_decided_thumb_slot_of_several_bars_says_which_bar_is_meant() {
    let mut window = tall();
    select_bars(&mut window, 5, 8);
    assert!(window.query_by_label("Bars 5 to 8").is_some());
    let title = "Thumb on bar 5, beat 1";
    assert!(window.query_all_by_value(title).count() > 0);
    let before = document(&window);
    click(&mut window, "thumb move: fifth");
    let decided = (Ticks(0), ThumbCell::Move(ThumbMove::Fifth));
    assert_eq!(bar(&window, 4).thumb, [decided]);
    assert!(bar(&window, 5).thumb.is_empty());
    is_one_step(&mut window, &before);
}

#[test]
fn keys_are_compared_and_the_tune_moves_to_the_one_pressed() {
    let mut window = open();
    window.get_by_label("Best-lying key").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Best-lying key");
    window.get_by_label("Compare keys").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Compare keys");
    let best = name_starting(&window, "key 1: ");
    window.get_by_label(&best).scroll_to_me();
    settle(&mut window);
    let before = document(&window).key;
    click(&mut window, &best);
    let after = document(&window).key;
    assert!(best.starts_with(&format!("key 1: {after}")), "{best}");
    let label = window.state().session().undo_label().map(str::to_owned);
    let moved = (after != before).then(|| format!("Move to {after}"));
    assert_eq!(label, moved);
    assert_eq!(name_starting(&window, "key 1: "), best, "the list stays");
}

#[test]
fn keys_are_compared_in_other_tunings_and_heard() {
    let mut window = tall();
    click(&mut window, "Best-lying key");
    for choice in ["tunings to compare", "Try drop D", "Try standard"] {
        click(&mut window, choice);
    }
    press(&mut window, &[Key::Escape]);
    click(&mut window, "Compare keys");
    let found = match window.state().session().keys() {
        thumbwalk::session::KeysStatus::Known(found) => found.len(),
        other => panic!("{other:?}"),
    };
    assert_eq!(found, 24);
    let before = document(&window);
    click(&mut window, "hear key 1");
    assert_eq!(document(&window), before, "hearing moves nothing");
}

#[test]
fn an_own_tuning_is_typed_refused_with_a_word_and_used() {
    let mut window = tall();
    click(&mut window, "Own tuning");
    let strings = |window: &mut Window, text: &str| {
        window
            .get_by_label("Notes of the open strings")
            .set_text_value_accesskit(text);
        settle(window);
    };
    strings(&mut window, "C G D");
    let shown = names(&window);
    let is_told = |name: &String| name.contains("3 open strings given");
    assert!(shown.iter().any(is_told), "{shown:?}");
    assert!(window.query_by_label("Tune it so").is_none());
    strings(&mut window, "A1 D2 A2 D3 G3 B3 E4");
    let name = window.get_by_label("Name of the tuning");
    name.set_text_value_accesskit("Low D over A");
    settle(&mut window);
    let before = document(&window);
    click(&mut window, "Tune it so");
    let tuning = document(&window).instrument.tuning.clone();
    assert_eq!((tuning.name(), tuning.n_strings()), ("Low D over A", 7));
    let solved = window.state().session().arrangement().expect("solved");
    assert!(solved.grips.iter().all(|grip| grip.voicing.is_some()));
    is_one_step(&mut window, &before);
}

#[test]
fn scale_and_frets_are_set_and_a_capo_without_room_is_refused() {
    let mut window = tall();
    for (name, value) in [("Scale length", 580.0), ("Frets on the neck", 12.0)] {
        window.get_by_label(name).set_value_accesskit(value);
        settle(&mut window);
    }
    let instrument = document(&window).instrument.clone();
    assert_eq!((instrument.scale_mm, instrument.frets), (580.0, 12));
    choose(&mut window, "Capo", "fret 9");
    assert_eq!(document(&window).instrument.capo, 0);
    let told = &window
        .state()
        .session()
        .notices()
        .last()
        .expect("a word")
        .text;
    assert!(
        told.contains("a capo at fret 9 leaves fewer than 5"),
        "{told}"
    );
}

#[test]
fn choruses_are_set_with_the_tune_and_chosen_for_the_sheet() {
    let mut window = tall();
    window.get_by_label("Choruses").set_value_accesskit(3.0);
    settle(&mut window);
    assert_eq!(document(&window).choruses.count, 3);
    assert!(
        window
            .query_by_label("a plain walk hardly varies")
            .is_some()
    );
    choose(&mut window, "Thumb line", "Mixed");
    assert!(window.query_by_label("each with its own line").is_some());
    let further = |window: &Window| {
        let arrangement = window.state().session().arrangement().expect("solved");
        arrangement.further.len()
    };
    assert_eq!(further(&window), 2);
    click(&mut window, "Sheet");
    window
        .get_by_label("Number of the chorus")
        .set_value_accesskit(2.0);
    settle(&mut window);
    assert_eq!(document(&window).choruses.on_sheet, 2);
    let n_pages = |window: &Window| {
        let pages = names(window);
        pages
            .iter()
            .filter(|n| n.starts_with("go to page "))
            .count()
    };
    let before = n_pages(&window);
    click(&mut window, "All choruses, one after another");
    assert!(document(&window).sheet.all_choruses);
    assert_eq!(n_pages(&window), 3 * before);
    click(&mut window, "undo");
    assert!(!document(&window).sheet.all_choruses);
}
