//! Findings in the window: marks in the grid, the list with its remedies, one click that helps, and
//! long solving that shows how far it is and can be stopped.

use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::sized;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::arrange::Finding;
use thumbwalk::session::SolverStatus;

/// A chord with more tones than three fingers pluck, in the second bar.
fn thinned() -> Window {
    sized(1400.0, 900.0, Some("[A]\nC6 | G13(b9) | C6 | Am7\n"))
}

fn findings(window: &Window) -> Vec<Finding> {
    let arrangement = window.state().session().arrangement();
    arrangement.expect("an arrangement").findings.clone()
}

#[test]
fn a_mark_in_the_grid_says_what_it_is_and_opens_the_list() {
    let mut window = thinned();
    let name = name_starting(&window, "finding: bar 2, beat 1: ");
    assert!(name.contains("leaves out its"), "{name}");
    assert!(window.query_by_label_contains("Pluck with four").is_none());
    click(&mut window, &name);
    assert_eq!(window.state().session().selection().place.bar, 1);
    assert!(window.query_by_label_contains("Pluck with four").is_some());
    // The selected cell says it too, for those who don't see the mark.
    let cell = name_starting(&window, "bar 2, beat 1, thumb: ");
    assert!(cell.contains("Finding: this grip of"), "{cell}");
}

#[test]
fn one_click_takes_a_remedy_and_undo_takes_it_back() {
    let mut window = thinned();
    assert_eq!(findings(&window).len(), 1);
    click(&mut window, "1 finding");
    let four = name_starting(&window, "Pluck with four fingers; then there is ");
    click(&mut window, &four);
    assert_eq!(document(&window).hand.plucking_fingers, 4);
    assert!(findings(&window).is_empty());
    assert!(
        !names(&window)
            .iter()
            .any(|name| name.starts_with("finding:"))
    );
    click(&mut window, "undo");
    assert_eq!(document(&window).hand.plucking_fingers, 3);
    let plainer = name_starting(&window, "Write G");
    click(&mut window, &plainer);
    let chord = name_starting(&window, "bar 2, beat 1, chord ");
    assert!(!chord.contains("13(♭9)"), "{chord}");
    assert!(findings(&window).is_empty());
}

#[test]
fn a_long_list_is_scrolled_to_the_finding_of_the_mark() {
    let bars = "G13(b9) | C6 | G13(b9) | Am7\n".repeat(30);
    let mut window = sized(1400.0, 1600.0, Some(&format!("[A]\n{bars}")));
    assert_eq!(findings(&window).len(), 60);
    click(&mut window, "60 findings");
    let shown = |window: &Window, place: &str| {
        let link = format!("go to {place}: ");
        names(window).iter().any(|name| name.starts_with(&link))
    };
    assert!(shown(&window, "bar 1, beat 1") && !shown(&window, "bar 19, beat 1"));
    let mark = name_starting(&window, "finding: bar 19, beat 1: ");
    click(&mut window, &mark);
    assert!(shown(&window, "bar 19, beat 1") && !shown(&window, "bar 1, beat 1"));
}

#[test]
fn the_comfortable_tempo_is_an_estimate_and_leads_to_its_place() {
    let mut window = crate::harness::open();
    let link = name_starting(&window, "comfortable up to about ");
    assert!(link.ends_with("bpm (estimate)"), "{link}");
    let (_, place) = window
        .state()
        .session()
        .arrangement()
        .and_then(|a| a.comfortable)
        .expect("a tempo");
    click(&mut window, &link);
    assert_eq!(window.state().session().selection().place, place);
}

/// The most bars a tune can have: the solver needs many times as long as a frame.
#[test]
fn long_solving_shows_how_far_it_is_and_can_be_cancelled() {
    let bars = "Dm7 | G7 | Cmaj7 | A7 | Dm9 | Db7 | C6 | Em7 A7\n".repeat(250);
    let mut window = sized(1100.0, 700.0, None);
    let session = window.state_mut().session_mut();
    session.act(thumbwalk::session::Action::OpenText(format!("[A]\n{bars}")));
    let mut shares = Vec::new();
    while let SolverStatus::Working { done, total } = *window.state().session().solver() {
        window.step();
        shares.push(done * 1000 / total.max(1));
        if done > 0 && shares.len() > 3 {
            break;
        }
    }
    assert!(
        shares.iter().any(|share| *share > 0),
        "it tells how far it is: {shares:?}"
    );
    assert!(names(&window).contains(&"looking for the easiest way to play it".to_owned()));
    window.get_by_label("Cancel").click();
    window.step();
    window.step();
    assert_eq!(window.state().session().solver(), &SolverStatus::Cancelled);
    assert!(window.query_by_label("Cancel").is_none());
    let words = "stopped; the arrangement may not fit the chart";
    assert!(names(&window).contains(&words.to_owned()));
    // A stopped search can be taken up again.
    click(&mut window, "solve again");
    let session = window.state().session();
    assert_eq!(session.solver(), &SolverStatus::Idle);
    let grips = session.arrangement().map(|a| a.grips.len());
    assert_eq!(grips, Some(250 * 9));
}
