//! Safety of work in a session without a window: what an earlier run left is offered once and
//! restored, files that somebody else changed are never overwritten unasked, earlier versions come
//! back. The clock is ours, and the journal does not pause.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tempfile::TempDir;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::files;
use thumbwalk::files::Entry;
use thumbwalk::files::OwnJournal;
use thumbwalk::files::Stamp;
use thumbwalk::session::Action;
use thumbwalk::session::Offer;
use thumbwalk::session::SafetyOptions;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;

const CHART: &str = "Title: Two Lamps\nKey: C\n[A]\n| Dm7 | G7 | Cmaj7 | A7 |\n";

/// The year 2100: whatever the disk says is long ago.
const fn clock() -> u64 {
    4_102_444_800
}

/// A session that keeps its work safe below a folder.
fn session(folder: &TempDir) -> Session {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.keep_safe(SafetyOptions {
        folder: folder.path().join("data"),
        clock,
        pause: Duration::ZERO,
    });
    session
}

fn set_title(session: &mut Session, title: &str) {
    session.act(Action::Edit(Edit::SetTitle(title.into())));
    session.act(Action::EndStep);
}

fn words(session: &Session) -> Vec<&str> {
    let notices = session.notices().iter();
    notices.map(|notice| notice.text.as_str()).collect()
}

/// A journal as a program leaves it that ends without warning.
fn leave(folder: &TempDir, entry: &Entry) {
    let journal = OwnJournal::claim(&folder.path().join("data")).expect("a journal");
    journal.write(entry).expect("written");
}

fn titled(title: &str) -> Arc<Document> {
    Arc::new(Document {
        title: title.into(),
        ..Document::default()
    })
}

fn title_on_disk(path: &Path) -> String {
    files::load_project(path).expect("whole").0.title
}

/// A project on disk, opened.
fn opened(folder: &TempDir) -> (Session, std::path::PathBuf) {
    let path = folder.path().join("lamps.ron");
    let mut session = session(folder);
    session.act(Action::OpenText(CHART.into()));
    session.act(Action::SaveAs(path.clone()));
    assert!(!session.has_unsaved_changes());
    (session, path)
}

#[test]
fn what_an_earlier_run_left_is_offered_and_restored() {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("mill.ron");
    let stamp = files::save_project(&path, &titled("Mill")).expect("saved");
    let work = Entry {
        file: Some(path.clone()),
        stamp: Some(stamp),
        document: Some(titled("Mill walk")),
        draft: String::new(),
    };
    leave(&folder, &work);
    let mut session = session(&folder);
    let offers = session.offers();
    let [
        Offer::LeftBehind {
            number,
            name,
            ago_s,
            file_changed: false,
            is_draft: false,
        },
    ] = offers.as_slice()
    else {
        panic!("{offers:?}");
    };
    assert_eq!(name, "Mill walk");
    assert!(ago_s.is_some_and(|ago| ago > 0));
    session.act(Action::Restore(*number));
    assert_eq!(session.document().title, "Mill walk");
    assert_eq!(session.path(), Some(path.as_path()));
    assert!(session.has_unsaved_changes());
    assert_eq!(session.offers(), []);
    assert_eq!(title_on_disk(&path), "Mill", "restoring saves nothing");
    session.act(Action::Save);
    assert_eq!(title_on_disk(&path), "Mill walk", "{:?}", words(&session));
    drop(session);
    assert_eq!(self::session(&folder).offers(), []);
}

#[test]
fn restored_work_that_is_not_saved_is_offered_again() {
    let folder = tempfile::tempdir().expect("folder");
    let work = Entry {
        document: Some(titled("Mill walk")),
        ..Entry::default()
    };
    leave(&folder, &work);
    let mut first = session(&folder);
    assert_eq!(first.offers().len(), 1);
    assert_eq!(session(&folder).offers(), [], "the first one offers it");
    first.act(Action::Restore(0));
    drop(first);
    let mut second = session(&folder);
    assert_eq!(second.offers().len(), 1);
    second.act(Action::DiscardLeft(0));
    assert_eq!(second.offers(), []);
    drop(second);
    assert_eq!(session(&folder).offers(), []);
}

#[test]
fn work_that_the_user_lets_go_is_not_offered() {
    let folder = tempfile::tempdir().expect("folder");
    let mut one = session(&folder);
    one.act(Action::OpenText(CHART.into()));
    one.act(Action::LetGo);
    drop(one);
    assert_eq!(session(&folder).offers(), []);
}

#[test]
fn two_programs_keep_their_work_apart() {
    let folder = tempfile::tempdir().expect("folder");
    let (mut one, mut two) = (session(&folder), session(&folder));
    one.act(Action::OpenText(CHART.into()));
    two.act(Action::OpenText(CHART.into()));
    set_title(&mut one, "One");
    set_title(&mut two, "Two");
    assert_eq!(session(&folder).offers(), [], "both are running");
    drop((one, two));
    let names = |session: &Session| -> Vec<String> {
        let offers = session.offers().into_iter();
        let mut names: Vec<String> = offers
            .map(|offer| match offer {
                Offer::LeftBehind { name, .. } => name,
                Offer::FileChanged { .. } | Offer::NameTaken { .. } => panic!("no file"),
            })
            .collect();
        names.sort();
        names
    };
    assert_eq!(names(&session(&folder)), ["One", "Two"]);
}

#[test]
fn work_that_reached_its_file_is_not_offered() {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("mill.ron");
    let old = Stamp::of(b"older");
    files::save_project(&path, &titled("Mill walk")).expect("saved");
    let work = |title: &str| Entry {
        file: Some(path.clone()),
        stamp: Some(old),
        document: Some(titled(title)),
        draft: String::new(),
    };
    leave(&folder, &work("Mill walk"));
    let one = session(&folder);
    assert_eq!(one.offers(), [], "ended between saving and forgetting");
    leave(&folder, &work("Mill run"));
    let two = session(&folder);
    let offers = two.offers();
    assert!(
        matches!(
            offers.as_slice(),
            [Offer::LeftBehind {
                file_changed: true,
                ..
            }]
        ),
        "{offers:?}"
    );
}

#[test]
fn typed_chords_are_kept_before_they_are_a_chart() {
    let folder = tempfile::tempdir().expect("folder");
    let mut one = session(&folder);
    one.act(Action::Draft("Dm7 | G7".into()));
    assert!(!one.has_unsaved_changes(), "nothing to be asked about");
    drop(one);
    let mut two = session(&folder);
    two.act(Action::Draft("C6".into()));
    two.act(Action::Restore(0));
    assert_eq!(two.draft(), "Dm7 | G7\n\nC6");
    two.act(Action::OpenText(CHART.into()));
    assert_eq!(two.draft(), "");
}

#[test]
fn a_file_changed_by_somebody_else_is_not_saved_over_unasked() {
    let folder = tempfile::tempdir().expect("folder");
    let (mut session, path) = opened(&folder);
    session.act(Action::LookAtDisk);
    assert_eq!(session.offers(), []);
    files::save_project(&path, &titled("Theirs")).expect("saved by another");
    set_title(&mut session, "Mine");
    session.act(Action::Save);
    assert_eq!(title_on_disk(&path), "Theirs");
    let asked = |saving| {
        vec![Offer::FileChanged {
            name: "lamps.ron".into(),
            saving,
        }]
    };
    assert_eq!(session.offers(), asked(true));
    session.act(Action::KeepMine);
    assert_eq!(title_on_disk(&path), "Mine", "{:?}", words(&session));
    assert_eq!(session.offers(), []);
    let earlier = session.earlier();
    assert_eq!(title_on_disk(&earlier[0].path), "Theirs", "not lost either");

    files::save_project(&path, &titled("Theirs again")).expect("saved by another");
    session.act(Action::LookAtDisk);
    assert_eq!(session.offers(), asked(false));
    session.act(Action::LoadTheirs);
    assert_eq!(session.document().title, "Theirs again");
    assert!(!session.has_unsaved_changes());
    files::save_project(&path, &titled("Later")).expect("saved by another");
    session.act(Action::Save);
    assert_eq!(title_on_disk(&path), "Later", "nor after loading");
    assert_eq!(session.offers(), asked(true));
    session.act(Action::LoadTheirs);
    assert_eq!(session.document().title, "Later");
    session.act(Action::Undo);
    session.act(Action::Undo);
    assert_eq!(session.document().title, "Mine", "loading can be undone");
    session.act(Action::Save);
    assert_eq!(title_on_disk(&path), "Mine");

    files::save_project(&path, &titled("Third")).expect("saved by another");
    session.act(Action::LookAtDisk);
    session.act(Action::KeepMine);
    assert_eq!(title_on_disk(&path), "Third", "keeping is not saving");
    assert!(session.has_unsaved_changes());
    let elsewhere = folder.path().join("elsewhere.ron");
    session.act(Action::SaveAs(elsewhere.clone()));
    assert_eq!(title_on_disk(&elsewhere), "Mine");
    assert_eq!(title_on_disk(&path), "Third");
}

#[test]
fn a_file_that_is_gone_is_written_again_and_one_that_was_touched_is_the_same() {
    let folder = tempfile::tempdir().expect("folder");
    let (mut session, path) = opened(&folder);
    let text = std::fs::read(&path).expect("read");
    std::fs::remove_file(&path).expect("removed");
    session.act(Action::LookAtDisk);
    assert_eq!(session.offers(), []);
    set_title(&mut session, "Mine");
    session.act(Action::Save);
    assert_eq!(title_on_disk(&path), "Mine");
    session.act(Action::Undo);
    session.act(Action::Save);
    std::fs::write(&path, text).expect("the same again");
    session.act(Action::LookAtDisk);
    assert_eq!(session.offers(), []);
}

#[test]
fn a_broken_file_of_somebody_else_is_explained_and_mine_stays() {
    let folder = tempfile::tempdir().expect("folder");
    let (mut session, path) = opened(&folder);
    std::fs::write(&path, "Project(format: ").expect("written");
    session.act(Action::LookAtDisk);
    session.act(Action::LoadTheirs);
    assert_eq!(session.document().title, "Two Lamps");
    assert!(words(&session).iter().any(|text| text.contains("damaged")));
    assert_eq!(session.offers().len(), 1, "still to be decided");
}

#[test]
fn earlier_versions_come_back_as_a_step() {
    let folder = tempfile::tempdir().expect("folder");
    let (mut session, _) = opened(&folder);
    for number in 1..=8 {
        set_title(&mut session, &format!("Version {number}"));
        session.act(Action::Save);
    }
    let earlier = session.earlier();
    let titles: Vec<String> = earlier.iter().map(|e| title_on_disk(&e.path)).collect();
    let expected = [7, 6, 5, 4, 3].map(|number| format!("Version {number}"));
    assert_eq!(titles, expected);
    assert!(earlier[0].ago_s.is_some_and(|ago| ago > 0));
    session.act(Action::OpenEarlier(earlier[4].path.clone()));
    assert_eq!(session.document().title, "Version 3");
    assert_eq!(session.undo_label(), Some("Go back to an earlier version"));
    assert!(session.has_unsaved_changes());
    session.act(Action::Undo);
    assert_eq!(session.document().title, "Version 8");
    assert!(!session.has_unsaved_changes());
}

#[test]
fn without_a_place_for_it_work_goes_on_and_the_user_is_told() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::write(folder.path().join("data"), "not a folder").expect("written");
    let mut session = session(&folder);
    assert!(
        words(&session)
            .iter()
            .any(|text| text.starts_with("unsaved work can't be kept safe")),
        "{:?}",
        words(&session)
    );
    session.act(Action::OpenText(CHART.into()));
    let path = folder.path().join("lamps.ron");
    session.act(Action::SaveAs(path.clone()));
    assert_eq!(title_on_disk(&path), "Two Lamps");
}

/// A clock that is set wrong again and again: years ahead, before 1970, at the end of its numbers.
fn jumping_clock() -> u64 {
    use std::sync::atomic::AtomicUsize;
    use std::sync::atomic::Ordering;
    static CALLS: AtomicUsize = AtomicUsize::new(0);
    let times = [4_102_444_800, 0, u64::MAX, 86_400, 1_000_000_000];
    times[CALLS.fetch_add(1, Ordering::Relaxed) % times.len()]
}

#[test]
fn a_clock_that_jumps_loses_no_work_and_keeps_versions_in_order() {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("lamps.ron");
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.keep_safe(SafetyOptions {
        folder: folder.path().join("data"),
        clock: jumping_clock,
        pause: Duration::ZERO,
    });
    session.act(Action::OpenText(CHART.into()));
    session.act(Action::SaveAs(path.clone()));
    for (title, days) in [("one", 20_000), ("two", 3), ("three", 40_000), ("four", 1)] {
        // The disk's clock jumps as well: the file is from another day than the system believes.
        let file = std::fs::File::options().append(true).open(&path);
        let day = std::time::UNIX_EPOCH + Duration::from_secs(days * 86_400);
        file.expect("ours").set_modified(day).expect("set");
        session.act(Action::LookAtDisk);
        set_title(&mut session, title);
        session.act(Action::Save);
        assert!(!session.has_unsaved_changes(), "{:?}", words(&session));
    }
    set_title(&mut session, "five");
    assert_eq!(session.offers(), [], "nobody else has changed the file");
    let earlier: Vec<String> = session
        .earlier()
        .into_iter()
        .map(|e| title_on_disk(&e.path))
        .collect();
    assert_eq!(
        earlier,
        ["three", "two", "one", "Two Lamps"],
        "newest first"
    );
}
