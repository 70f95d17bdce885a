//! The tune played through several times, each with a thumb line of its own: what is decided stays,
//! all of it is heard and written down, and pages show the chorus that was chosen. Each chorus is
//! held against the same chart solved by itself with the chorus's own seed, and what leads from one
//! to the next against the definitions of the moves.

use std::path::Path;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Changes;
use thumbwalk::arrange::HandState;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::arrange::solve;
use thumbwalk::document::Choruses;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::instrument::Grip;
use thumbwalk::score::pages::Drawn;
use thumbwalk::score::pages::Meaning;
use thumbwalk::score::pages::Page;
use thumbwalk::score::perform;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::session::arrange_document;
use thumbwalk::session::export;
use thumbwalk::session::open;
use thumbwalk::session::problem_from_document;
use thumbwalk::session::sheet_pages;
use thumbwalk::theory::Midi;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::voicing::Voicing;
use thumbwalk::voicing::voicings;

const CHART: &str = "Key: C\n|: Dm7 | G7 |1. Cmaj7 | A7 :|2. Em7 | A7 ||\n";

fn tune(walk: Walk, count: u8) -> Document {
    tune_of(CHART, walk, count)
}

fn tune_of(chart: &str, walk: Walk, count: u8) -> Document {
    let opened = open::open_text(chart, Path::new("chart"));
    let mut document = opened.expect("a chart").document;
    document.line.walk = walk;
    document.choruses.count = count;
    document
}

fn thumb(arrangement: &Arrangement) -> Vec<&PlayedNote> {
    let notes = arrangement.notes.iter();
    notes.filter(|note| note.lane == Lane::Thumb).collect()
}

#[test]
fn every_chorus_is_the_same_chart_with_the_next_seed() {
    let document = tune(Walk::Mixed, 4);
    let whole = arrange_document(&document);
    assert_eq!(whole.further.len(), 3);
    assert_eq!(whole.chorus(1), &whole);
    assert_eq!(whole.chorus(9), &whole);
    for number in 0..4 {
        let mut alone = document.clone();
        alone.line.seed += u64::from(number);
        // The last beat of the last chorus leads nowhere.
        alone.choruses.count = if number == 3 { 1 } else { 2 };
        let alone = solve(&problem_from_document(&alone));
        let chorus = whole.chorus(number + 1);
        if number == 0 {
            assert_eq!(chorus.notes, alone.notes);
        }
        let moves = |arrangement: &Arrangement| -> Vec<_> {
            thumb(arrangement).iter().map(|n| n.thumb_move).collect()
        };
        // Another octave at the beginning can ask for other moves until the line is where it was.
        let (own, others) = (moves(chorus), moves(&alone));
        let same = own.iter().zip(&others).filter(|(a, b)| a == b).count();
        assert!(2 * same > own.len(), "chorus {}", number + 1);
    }
    let lines: Vec<_> = (1..=4).map(|number| thumb(whole.chorus(number))).collect();
    assert!(
        lines.windows(2).all(|pair| pair[0] != pair[1]),
        "each its own"
    );
}

/// The last bass note of a chorus leads to the very note that the next one begins with, as far as its
/// move says (a semitone, a step or a fifth, by their definitions).
#[test]
fn every_chorus_goes_on_where_the_one_before_leads() {
    // A tune that goes back to its beginning at its end leads into the next chorus as well.
    for chart in [CHART, "Key: C\n|: G7 | C7 | Fmaj7 | D7 :|\n"] {
        goes_on_where_the_one_before_leads(chart);
    }
}

fn goes_on_where_the_one_before_leads(chart: &str) {
    let mut n_leading = 0;
    for walk in Walk::ALL {
        for seed in 0..8 {
            let mut document = tune_of(chart, walk, 3);
            document.line.seed = seed;
            let whole = arrange_document(&document);
            for number in 1..3 {
                let last = *thumb(whole.chorus(number)).last().expect("a bass note");
                let first = thumb(whole.chorus(number + 1))[0];
                let away = i16::from(first.pitch.number()) - i16::from(last.pitch.number());
                let wanted: &[i16] = match last.thumb_move {
                    Some(ThumbMove::ApproachBelow) => &[1],
                    Some(ThumbMove::ApproachAbove) => &[-1],
                    Some(ThumbMove::ApproachDominant) => &[5, -7],
                    Some(ThumbMove::StepUp) => &[1, 2],
                    Some(ThumbMove::StepDown) => &[-1, -2],
                    _ => continue,
                };
                assert!(
                    wanted.contains(&away),
                    "{chart} {walk:?} {seed} {number}: {away}"
                );
                n_leading += 1;
            }
        }
    }
    // Two changes of chorus, eight seeds, every walk but that of roots.
    assert_eq!(n_leading, 2 * 8 * (Walk::ALL.len() - 1));
}

/// The change into a chorus is in its sum: it is what the change is between the two grips, and with
/// no other first grip the chorus with its change is easier.
#[test]
fn the_change_into_a_chorus_is_weighed() {
    let mut document = tune(Walk::Roots, 2);
    document.line.seed = 3;
    let whole = arrange_document(&document);
    let next = &whole.further[0];
    let grip = |arrangement: &Arrangement, first: bool| {
        let mut grips = arrangement.grips.iter();
        let grip = if first { grips.next() } else { grips.last() };
        grip.and_then(|grip| grip.voicing.clone()).expect("a grip")
    };
    let end = whole.end.expect("an end");
    assert_eq!(end.hand, HandState::of_grip(&grip(&whole, false).grip));
    // From the last beat to the next: a beat at 120 in a minute.
    assert_eq!(end.time_us, 500_000);
    let changes = Changes::new(&document.instrument);
    let into = |shape: &Grip| changes.cost(&end.hand, &HandState::of_grip(shape), end.time_us);
    let own = &next.grips[0];
    let first = grip(next, true);
    let mut lines = own.change.total().0 - into(&first.grip).0;
    // 200 for every semitone of the bass beyond a fifth, 150 for every one of the top beyond a third.
    let (a, b) = (grip(&whole, false), &first);
    let leap = |a: Option<Midi>, b: Option<Midi>, free: i32, price: i32| {
        let (a, b) = (a.expect("a note"), b.expect("a note"));
        price * (i32::from(a.number().abs_diff(b.number())) - free).max(0)
    };
    let bass = |voicing: &Voicing| voicing.bass().map(|note| note.pitch);
    let top = |voicing: &Voicing| voicing.notes.last().map(|note| note.pitch);
    lines -= leap(bass(&a), bass(b), 7, 200) + leap(top(&a), top(b), 4, 150);
    assert_eq!(lines, 0);
    let total: i32 = next.slots.iter().map(|slot| slot.effort.total().0).sum();
    assert_eq!(total, next.sum.0);
    let wish = problem_from_document(&document).wish;
    let chord = document.bars().next().expect("a bar").chords[0]
        .harmony
        .clone();
    let all = voicings(
        chord.chord().expect("a chord"),
        &document.instrument,
        &document.hand,
        &wish,
    );
    let mut alone = tune(Walk::Roots, 1);
    alone.line.seed = 4;
    for voicing in all.iter().step_by(5) {
        let edit = Edit::SetShape {
            bar: 0,
            chord_idx: 0,
            shape: Some(voicing.grip.shape),
        };
        let with = solve(&problem_from_document(
            &alone.apply(&edit).expect("a chord"),
        ));
        let b = grip(&with, true);
        let lines = leap(bass(&a), bass(&b), 7, 200) + leap(top(&a), top(&b), 4, 150);
        let sum = with.sum.0 + into(&b.grip).0 + lines;
        assert!(next.sum.0 <= sum, "{}", voicing.grip.shape);
    }
}

#[test]
fn what_is_decided_is_the_same_in_every_chorus() {
    let document = tune(Walk::Mixed, 5);
    let locked = document.apply(&Edit::SetThumb {
        bar: 1,
        at: Ticks::of_beat(2),
        cell: Some(ThumbCell::Move(ThumbMove::Third)),
    });
    let whole = arrange_document(&locked.expect("a slot"));
    for number in 1..=5 {
        let notes = thumb(whole.chorus(number));
        let here = notes
            .iter()
            .find(|n| n.place.bar == 1 && n.place.at == Ticks::of_beat(2));
        assert_eq!(here.and_then(|n| n.thumb_move), Some(ThumbMove::Third));
    }
}

/// Before another chorus the last beat leads to the first chord of the tune: a semitone, a step, or
/// a fifth away from its root (the moves that lead, by their definition).
#[test]
fn the_last_beat_leads_into_the_next_chorus() {
    for seed in 0..20 {
        let mut document = tune(Walk::TwoApproaches, 2);
        document.line.seed = seed;
        let whole = arrange_document(&document);
        let last = *thumb(&whole).last().expect("a bass note");
        let away = (i16::from(last.pitch.number()) - 2).rem_euclid(12);
        assert!(
            [1, 11, 7, 10, 2].contains(&away),
            "seed {seed}: {away} from D"
        );
    }
}

#[test]
fn all_choruses_are_played_one_after_the_other() {
    let document = tune(Walk::Runs, 3);
    let whole = arrange_document(&document);
    let played = perform(&document, &whole, None);
    let one = perform(&tune(Walk::Runs, 1), &whole.further[1], None);
    let order = document.played_order();
    assert_eq!(played.bars.len(), 3 * order.len());
    assert!((played.total_s - 3.0 * one.total_s).abs() < 1e-6);
    let written: Vec<usize> = played.bars.iter().map(|bar| bar.written_bar).collect();
    assert_eq!(written, [&order[..], &order[..], &order[..]].concat());
    // The last chorus is what it is by itself, so much later.
    let last = played.notes.iter().filter(|note| note.chorus == 2);
    let told = |start_s: f64, pitch: u8| ((start_s * 1e4).round() as i64, pitch);
    let last: Vec<_> = last
        .map(|n| told(n.start_s - 2.0 * one.total_s, n.pitch.number()))
        .collect();
    let alone: Vec<_> = (one.notes.iter())
        .map(|n| told(n.start_s, n.pitch.number()))
        .collect();
    assert_eq!(last, alone);
}

/// In a plain walk nothing is left to dice: what stands between two others is the same each time, and
/// the last one differs in its last beat, from which no chord follows.
#[test]
fn a_plain_walk_differs_only_where_it_ends() {
    let whole = arrange_document(&tune(Walk::Plain, 4));
    assert_eq!(whole.further.len(), 3);
    assert_eq!(whole.further[1].notes, whole.further[0].notes);
    let moves = |arrangement: &Arrangement| -> Vec<_> {
        thumb(arrangement).iter().map(|n| n.thumb_move).collect()
    };
    let (first, last) = (moves(&whole), moves(&whole.further[2]));
    let n_notes = first.len();
    assert_eq!(first[..n_notes - 1], last[..n_notes - 1]);
    assert_eq!(first[n_notes - 1], Some(ThumbMove::ApproachBelow));
    assert_eq!(last[n_notes - 1], Some(ThumbMove::Root));
}

#[test]
fn pages_show_the_chosen_chorus_and_midi_has_them_all() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(CHART.into()));
    let mut line = session.document().line.clone();
    line.walk = Walk::Mixed;
    session.act(Action::Edit(Edit::SetLine(line)));
    let text = |session: &mut Session, on_sheet: u8| {
        let choruses = Choruses { count: 2, on_sheet };
        session.act(Action::Edit(Edit::SetChoruses(choruses)));
        session.settle();
        let path = folder.path().join(format!("{on_sheet}.txt"));
        session.act(Action::Export(path.clone()));
        std::fs::read_to_string(path).expect("the tab")
    };
    let (first, second) = (text(&mut session, 1), text(&mut session, 2));
    assert!(first.contains("Chorus 1 of 2") && second.contains("Chorus 2 of 2"));
    assert_ne!(
        first.replace("Chorus 1", ""),
        second.replace("Chorus 2", "")
    );
    let arrangement = Arc::clone(session.arrangement().expect("solved"));
    let shown = export::on_sheet(session.document(), &arrangement);
    assert_eq!(shown, &arrangement.further[0]);
    let twice = folder.path().join("twice.mid");
    session.act(Action::Export(twice.clone()));
    let bytes = std::fs::read(twice).expect("the MIDI file");
    let n_notes = |arrangement: &Arrangement| {
        perform(&tune(Walk::Mixed, 1), arrangement, None)
            .notes
            .len()
    };
    let song = midly::Smf::parse(&bytes).expect("MIDI");
    let struck = song.tracks.iter().flatten().filter(|event| {
        let midly::TrackEventKind::Midi { message, .. } = event.kind else {
            return false;
        };
        matches!(message, midly::MidiMessage::NoteOn { vel, .. } if vel > 0)
    });
    let both = perform(session.document(), &arrangement, None).notes.len();
    assert_eq!(struck.count(), both);
    assert!(both > n_notes(&arrangement.further[0]));
}

/// Words of a kind on a page.
fn words(page: &Page, meaning: Meaning) -> Vec<&str> {
    let own = page.marks.iter().filter(|mark| mark.meaning == meaning);
    own.filter_map(|mark| match &mark.drawn {
        Drawn::Text { text, .. } => Some(text.as_str()),
        _ => None,
    })
    .collect()
}

/// Pages say which chorus they show; those of all choruses follow one another, numbered through, with
/// every note of every chorus.
#[test]
fn pages_of_one_chorus_or_of_all_say_which_they_show() {
    let mut document = tune(Walk::Mixed, 3);
    let whole = arrange_document(&document);
    document.choruses.on_sheet = 2;
    let one = sheet_pages::of(&document, &whole);
    assert!(words(&one.pages[0], Meaning::Title).contains(&"Chorus 2 of 3"));
    assert_eq!(one.choruses, vec![2; one.pages.len()]);
    document.sheet.all_choruses = true;
    let all = sheet_pages::of(&document, &whole);
    assert_eq!(all.choruses, [1, 2, 3]);
    for (i, (page, number)) in all.pages.iter().zip(1_u8..).enumerate() {
        let chorus = format!("Chorus {number} of 3");
        assert!(words(page, Meaning::Title).contains(&chorus.as_str()));
        let foot = words(page, Meaning::Foot);
        let number_of_page = format!("page {} of 3", i + 1);
        assert!(
            foot.iter().any(|text| text.ends_with(&number_of_page)),
            "{foot:?}"
        );
        let digits = page
            .marks
            .iter()
            .filter(|mark| matches!(mark.meaning, Meaning::Note(_)));
        assert_eq!(digits.count(), whole.chorus(number).notes.len());
    }
    document.choruses.count = 1;
    let alone = sheet_pages::of(&document, &whole);
    let titles = words(&alone.pages[0], Meaning::Title).concat();
    assert!(
        alone.pages.len() == 1 && !titles.contains("Chorus"),
        "{titles}"
    );
}

#[test]
fn more_choruses_than_anybody_plays_are_refused() {
    let too_many = Choruses {
        count: 13,
        on_sheet: 1,
    };
    let refused = Document::default().apply(&Edit::SetChoruses(too_many));
    assert!(refused.is_err_and(|error| error.to_string().contains("1 to 12")));
}
