//! The program without its window: a session is opened, edited, solved, played, saved and
//! exported by the same actions that buttons and keys make.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use thumbwalk::arrange::Lane;
use thumbwalk::document::Edit;
use thumbwalk::document::Paper;
use thumbwalk::document::SheetSettings;
use thumbwalk::instrument::Shape;
use thumbwalk::session::Action;
use thumbwalk::session::LaneMix;
use thumbwalk::session::Mixer;
use thumbwalk::session::NoticeKind;
use thumbwalk::session::Preferences;
use thumbwalk::session::Selection;
use thumbwalk::session::Session;
use thumbwalk::session::SolverStatus;
use thumbwalk::session::SoundChoice;
use thumbwalk::session::SoundOptions;
use thumbwalk::session::Theme;
use thumbwalk::session::Trainer;
use thumbwalk::session::export::export;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Ticks;

const CHART: &str = "Title: Two Lamps\nKey: C\nTempo: 120\n[A]\n| Dm7 | G7 | Cmaj7 | A7 |\n";

fn session() -> Session {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(CHART.into()));
    session.settle();
    session
}

fn words(session: &Session) -> Vec<&str> {
    session
        .notices()
        .iter()
        .map(|notice| notice.text.as_str())
        .collect()
}

fn set_chord(bar: usize, symbol: &str) -> Action {
    let harmony = Some(Harmony::parse(symbol).expect("a chord"));
    Action::Edit(Edit::SetHarmony {
        bar,
        at: Ticks(0),
        harmony,
    })
}

fn select_bar(bar: usize) -> Action {
    let mut selection = Selection::default();
    selection.place.bar = bar;
    Action::Select(selection)
}

#[test]
fn a_typed_chart_is_arranged_and_its_voicings_listed() {
    let session = session();
    let arrangement = session.arrangement().expect("an arrangement");
    assert_eq!(arrangement.grips.len(), 4);
    assert_eq!(session.solver(), &SolverStatus::Idle);
    assert!(
        session.candidates().len() > 80,
        "{}",
        session.candidates().len()
    );
    assert!(session.candidates().iter().any(|c| c.to_next.total().0 > 0));
    assert!(session.has_unsaved_changes(), "a typed chart is on no disk");
}

#[test]
fn every_edit_can_be_taken_back_and_made_again() {
    let mut session = session();
    let before = Arc::clone(session.document());
    session.act(set_chord(1, "Db7"));
    session.act(Action::Edit(Edit::SetTempo(90)));
    assert_eq!(session.undo_label(), Some("Change tempo"));
    session.act(Action::Undo);
    session.act(Action::Undo);
    assert_eq!(*session.document(), before);
    assert_eq!(session.redo_label(), Some("Change chord in bar 2"));
    session.act(Action::Redo);
    session.settle();
    let shapes = session.arrangement().expect("an arrangement").grips.len();
    assert_eq!(shapes, 4);
    let bar = session.document().bar(1).expect("bar 2");
    assert_eq!(
        bar.chords[0].harmony,
        Harmony::parse("Db7").expect("a chord")
    );
}

#[test]
fn only_the_newest_arrangement_is_shown() {
    let mut session = session();
    for symbol in ["Db7", "D7", "Eb7", "E7", "F7", "Gb7"] {
        session.act(set_chord(1, symbol));
    }
    session.settle();
    let arrangement = session.arrangement().expect("an arrangement");
    let voicing = arrangement.grips[1].voicing.as_ref().expect("a grip");
    assert_eq!(voicing.notes[0].spelling.to_string(), "Gb");
}

#[test]
fn a_voicing_can_be_pinned_compared_and_used() {
    let mut session = session();
    session.act(select_bar(1));
    session.settle();
    let wanted = Shape::parse("3x343x").expect("a shape");
    let find = |s: &Session| {
        s.candidates()
            .iter()
            .find(|c| c.voicing.grip.shape == wanted)
            .expect("listed")
            .voicing
            .grip
    };
    let grip = find(&session);
    let other = session.candidates()[5].voicing.grip;
    session.act(Action::Pin(grip));
    session.act(Action::Pin(other));
    session.act(Action::Pin(other));
    assert_eq!(session.pins().len(), 2, "the same voicing is pinned once");
    assert!(session.pins()[0].from_previous.total().0 > 0);
    session.act(Action::UseVoicing(grip));
    session.settle();
    let arrangement = session.arrangement().expect("an arrangement");
    assert_eq!(
        arrangement.grips[1].voicing.as_ref().map(|v| v.grip.shape),
        Some(wanted)
    );
    assert_eq!(session.undo_label(), Some("Choose voicing in bar 2"));
}

#[test]
fn the_ways_of_the_selected_bar_are_known_and_follow_the_selection() {
    let mut session = session();
    let sum = |s: &Session| s.arrangement().expect("an arrangement").sum;
    let first = session.ways().expect("ways of bar 1").to_vec();
    assert_eq!(first.len(), 12);
    assert_eq!(first[0].sum, sum(&session));
    // Another bar, there and back, and none in between for the wrong one.
    session.act(select_bar(1));
    assert_eq!(session.ways(), None);
    session.act(select_bar(0));
    assert_eq!(session.ways(), Some(first.as_slice()));
    session.act(select_bar(2));
    session.settle();
    let third = session.ways().expect("ways of bar 3").to_vec();
    assert_ne!(third, first);
    assert_eq!(third[0].sum, sum(&session));
    // Another document: they come anew, for the bar that is selected when it is solved.
    session.act(set_chord(2, "Ebmaj7"));
    assert_eq!(session.ways(), None);
    session.act(select_bar(0));
    session.act(select_bar(2));
    session.settle();
    let changed = session.ways().expect("ways of the new bar 3");
    assert_ne!(changed, third);
    assert_eq!(changed[0].sum, sum(&session));
    let own = session.arrangement().expect("an arrangement").grips[2]
        .voicing
        .as_ref();
    assert_eq!(changed[0].shapes, [(0, own.map(|v| v.grip.shape))]);
}

#[test]
fn where_the_hardest_change_is_kept_easy_no_ways_are_awaited() {
    let mut session = session();
    let mut line = session.document().line.clone();
    line.keep_hardest_easy = true;
    session.act(Action::Edit(Edit::SetLine(line)));
    session.settle();
    assert_eq!(session.solver(), &SolverStatus::Idle);
    session.act(select_bar(1));
    session.settle();
    assert_eq!(session.ways(), None);
}

#[test]
fn a_stopped_solver_owes_no_ways() {
    let mut session = session();
    session.act(set_chord(1, "Db7"));
    session.act(Action::CancelSolving);
    session.act(select_bar(3));
    session.settle();
    // It may have been done before it was stopped.
    let is_done = session.solver() == &SolverStatus::Idle;
    assert!(is_done || session.ways().is_none());
    session.act(set_chord(1, "D7"));
    session.settle();
    assert!(session.ways().is_some_and(|ways| ways.len() == 12));
}

#[test]
fn saving_opening_and_exporting_leave_whole_files() {
    let folder = tempfile::tempdir().expect("a folder");
    let project = folder.path().join("two lamps.ron");
    let mut session = session();
    session.act(Action::SaveAs(project.clone()));
    assert!(!session.has_unsaved_changes());
    for ending in ["txt", "pdf"] {
        let out = folder.path().join(format!("two lamps.{ending}"));
        session.act(Action::Export(out.clone()));
        session.settle();
        assert!(
            out.metadata().is_ok_and(|meta| meta.len() > 300),
            "{ending}: {:?}",
            words(&session)
        );
    }
    let mut again = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    again.act(Action::Open(project));
    again.settle();
    assert_eq!(again.document(), session.document());
    assert_eq!(again.arrangement(), session.arrangement());
    assert!(!again.has_unsaved_changes());
}

/// A file stands where its folder should be.
#[test]
fn a_save_that_fails_keeps_the_work_and_says_why() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("no folder");
    std::fs::write(&file, "a file").expect("written");
    let mut session = session();
    session.act(Action::Edit(Edit::SetTitle("Kept".into())));
    session.act(Action::SaveAs(file.join("tune.ron")));
    assert!(session.has_unsaved_changes());
    assert_eq!(session.document().title, "Kept");
    let said = words(&session).join("; ");
    assert!(said.contains("tune.ron"), "{said}");
    assert_eq!(std::fs::read_to_string(&file).expect("there"), "a file");
}

/// Pictures of many dots take longer than a moment. PNG tells its width at byte 16 (ISO/IEC 15948);
/// A4 is 210 mm wide.
#[test]
fn pictures_are_written_in_the_background_one_after_the_other() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = session();
    session.act(Action::SetPictureDpi(300));
    for name in ["a.png", "b.png"] {
        session.act(Action::Export(folder.path().join(name)));
    }
    assert_eq!(session.writing().map(|(what, _)| what), Some("pictures"));
    session.settle();
    for name in ["a.png", "b.png"] {
        let bytes = std::fs::read(folder.path().join(name)).expect(name);
        let width = u32::from_be_bytes(bytes[16..20].try_into().expect("four bytes"));
        assert!(
            (f64::from(width) - 210.0 / 25.4 * 300.0).abs() < 1.5,
            "{width}"
        );
    }
    let stopped = folder.path().join("stopped.png");
    session.act(Action::Export(folder.path().join("c.png")));
    session.act(Action::Export(stopped.clone()));
    session.act(Action::CancelExport);
    session.settle();
    assert!(!stopped.exists(), "what waits is cancelled too");
    assert!(
        words(&session)
            .iter()
            .any(|w| w.contains("pictures was cancelled"))
    );
}

/// What is being written is the tune as it was when that was asked for.
#[test]
fn pages_of_every_format_are_written_in_the_background_and_can_be_cancelled() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = session();
    let (document, arrangement) = {
        let arrangement = session.arrangement().expect("solved");
        (Arc::clone(session.document()), Arc::clone(arrangement))
    };
    for ending in ["pdf", "svg", "png"] {
        let path = folder.path().join("tune").with_extension(ending);
        session.act(Action::Export(path.clone()));
        let what = if ending == "png" { "pictures" } else { "pages" };
        assert_eq!(session.writing().map(|(what, _)| what), Some(what));
        session.act(Action::Edit(Edit::SetTitle(format!("later, {ending}"))));
        session.settle();
        assert_eq!(session.writing(), None);
        // The same as the command line writes.
        let straight = folder.path().join("straight").with_extension(ending);
        if ending == "pdf" {
            export(&document, &arrangement, &straight).expect("written");
            let bytes = |path| std::fs::read(path).expect("a file");
            assert_eq!(bytes(path), bytes(straight));
        }
        session.act(Action::Undo);
        session.settle();
        let stopped = folder.path().join("stopped").with_extension(ending);
        session.act(Action::Export(folder.path().join("first.png")));
        session.act(Action::Export(stopped.clone()));
        session.act(Action::CancelExport);
        session.settle();
        assert!(!stopped.exists(), "{ending}");
    }
}

#[test]
fn sound_is_written_in_the_background_with_its_stems_and_can_be_cancelled() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("two lamps.wav");
    let mut session = session();
    assert_eq!(session.sound_options(), SoundOptions::default());
    session.act(Action::SetSoundOptions(SoundOptions {
        rate: 44_100,
        bits: 24,
        stems: true,
    }));
    session.act(Action::Export(path.clone()));
    assert!(session.writing().is_some());
    session.act(Action::Export(path.clone()));
    let one_at_a_time = words(&session).iter().any(|w| w.contains("being written"));
    assert!(one_at_a_time, "{:?}", words(&session));
    session.settle();
    assert_eq!(session.writing(), None);
    // A WAVE file tells its frame rate at byte 24 and its bits at byte 34, as published in 1991.
    for name in [
        "two lamps.wav",
        "two lamps-fingers.wav",
        "two lamps-thumb.wav",
    ] {
        let bytes = std::fs::read(folder.path().join(name)).expect(name);
        assert_eq!(bytes[24..28], 44_100u32.to_le_bytes(), "{name}");
        assert_eq!(bytes[34..36], 24u16.to_le_bytes(), "{name}");
    }
    assert!(!folder.path().join("two lamps-tune.wav").exists());
    assert!(words(&session).iter().any(|w| w.contains("-thumb.wav")));
    let stopped = folder.path().join("stopped.wav");
    session.act(Action::Export(stopped.clone()));
    session.act(Action::CancelExport);
    assert_eq!(session.writing(), None);
    assert!(words(&session).iter().any(|w| w.contains("cancelled")));
    // The next one is not held up.
    session.act(Action::Export(path));
    session.settle();
    assert_eq!(session.writing(), None);
    let left = std::fs::read_dir(folder.path()).expect("a folder");
    let names = left.map(|file| file.expect("a file").file_name());
    assert!(
        names
            .into_iter()
            .all(|name| !name.to_string_lossy().contains("tmp"))
    );
}

#[test]
fn what_cannot_be_done_is_said_and_nothing_is_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let broken = folder.path().join("broken.ron");
    std::fs::write(
        &broken,
        "(format: \"thumbwalk-project\", version: 1, title: ",
    )
    .expect("written");
    let newer = folder.path().join("newer.ron");
    std::fs::write(&newer, "(format: \"thumbwalk-project\", version: 999)").expect("written");
    let nowhere = Path::new("/no/such/folder/x.ron").to_path_buf();
    let mut session = session();
    let before = Arc::clone(session.document());
    let refused = [
        Action::Open(folder.path().join("missing.ron")),
        Action::Open(broken),
        Action::Open(newer),
        Action::OpenText("| Dm7 | H7 |".into()),
        Action::SaveAs(nowhere.clone()),
        Action::Export(nowhere.with_extension("pdf")),
        Action::Export(folder.path().join("x.unknown")),
        Action::Edit(Edit::SetTempo(5)),
        Action::Edit(Edit::DeleteBars { first: 3, last: 9 }),
    ];
    for action in refused {
        let n_notices = session.notices().len();
        session.act(action.clone());
        session.settle();
        assert_eq!(
            session.notices().len(),
            n_notices + 1,
            "{action:?} said nothing"
        );
        assert_eq!(*session.document(), before, "{action:?}");
    }
    assert!(session.notices().iter().all(|n| n.kind != NoticeKind::Info));
    let first = session.notices()[0].id;
    session.act(Action::Dismiss(first));
    assert!(session.notices().iter().all(|n| n.id != first));
}

/// Lets the silent device run until something holds, at most some seconds.
fn wait_until(session: &mut Session, done: impl Fn(&Session) -> bool) -> bool {
    for _ in 0..2_000 {
        session.tick();
        if done(session) {
            return true;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    false
}

#[test]
fn without_a_sound_card_the_play_head_still_moves_and_stops() {
    let mut session = session();
    session.act(select_bar(2));
    session.act(Action::PlayOrStop);
    assert!(wait_until(&mut session, |s| s
        .play()
        .playhead
        .is_some_and(|(p, _)| p.bar == 2)));
    assert!(session.play().playing && !session.play().sounding.is_empty());
    // A change while playing goes on at the same place.
    session.act(Action::Edit(Edit::SetTempo(240)));
    session.settle();
    assert!(wait_until(&mut session, |s| s
        .play()
        .playhead
        .is_some_and(|(p, _)| p.bar == 3)));
    assert!(
        wait_until(&mut session, |s| !s.play().playing),
        "it stops at the end"
    );
    assert_eq!(session.play().playhead, None);
}

#[test]
fn theme_volume_and_recent_files_are_remembered() {
    let folder = tempfile::tempdir().expect("a folder");
    let settings = Some(folder.path().join("settings"));
    let project = folder.path().join("tune.ron");
    let mut first = session();
    first.remember_in(settings.clone());
    first.act(Action::SetVolume(0.25));
    let preferences = Preferences {
        theme: Theme::Dark,
        ..first.preferences().clone()
    };
    first.act(Action::SetPreferences(Box::new(preferences)));
    first.act(Action::SaveAs(project.clone()));
    drop(first);
    let mut second = session();
    second.remember_in(settings.clone());
    assert_eq!(second.preferences().theme, Theme::Dark);
    assert!((second.play().volume - 0.25).abs() < 0.01);
    assert_eq!(second.recent(), std::slice::from_ref(&project));
    std::fs::remove_file(&project).expect("removed");
    second.act(Action::Open(project));
    assert!(
        second.recent().is_empty(),
        "a file that is gone is forgotten"
    );
    drop(second);
    let file = folder.path().join("settings").join("settings.ron");
    std::fs::write(&file, "broken").expect("written");
    let mut third = session();
    third.remember_in(settings);
    assert!(words(&third).iter().any(|text| text.contains("settings")));
}

/// Page sizes in points: ISO 216 A4 is 210 × 297 mm (595.3 × 841.9), Letter 8.5 × 11 in (612 × 792).
#[test]
fn the_paper_of_the_project_is_the_paper_of_the_export() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = session();
    for (paper, size) in [(Paper::A4, "595."), (Paper::Letter, "612 792")] {
        let sheet = SheetSettings {
            paper,
            ..session.document().sheet
        };
        session.act(Action::Edit(Edit::SetSheet(sheet)));
        session.settle();
        let out = folder.path().join("sheet.pdf");
        session.act(Action::Export(out.clone()));
        session.settle();
        let bytes = std::fs::read(out).expect("a file");
        let text = String::from_utf8_lossy(&bytes);
        let media = text.split("/MediaBox").nth(1).expect("a page");
        let media: String = media.chars().take(40).collect();
        assert!(media.contains(size), "{paper:?}: {media}");
    }
}

#[test]
fn lanes_are_muted_and_solo_for_listening_only() {
    let mut session = session();
    let (document, arrangement) = (
        Arc::clone(session.document()),
        session.arrangement().cloned(),
    );
    let muted = LaneMix {
        muted: true,
        ..LaneMix::default()
    };
    session.act(Action::SetLane(Lane::Thumb, muted));
    session.act(Action::PlayOrStop);
    assert!(wait_until(&mut session, |s| !s.play().sounding.is_empty()));
    let percents = |s: &Session| {
        let lanes = s.play().lanes;
        Mixer::LANES.map(|lane| (100.0 * lanes.gain(lane)) as u32)
    };
    assert_eq!(percents(&session), [100, 100, 0]);
    let level = LaneMix {
        solo: true,
        level: 0.5,
        ..LaneMix::default()
    };
    session.act(Action::SetLane(Lane::Fingers, level));
    let lanes = session.play().lanes;
    assert_eq!(percents(&session), [0, 50, 0]);
    assert_eq!(*session.document(), document);
    assert_eq!(session.arrangement().cloned(), arrangement);
    assert!(!session.has_unsaved_changes() || session.undo_label().is_none());
    // Another tune is heard as the lanes are set.
    session.act(Action::OpenSample(0));
    assert_eq!(session.play().lanes, lanes);
}

#[test]
fn a_slot_a_bar_and_a_grip_can_be_heard() {
    for hear in [Action::HearSelection, Action::HearBar, Action::HearGrip] {
        let mut session = session();
        session.act(select_bar(1));
        session.act(Action::PlayOrStop);
        assert!(wait_until(&mut session, |s| s.play().playhead.is_some()));
        session.act(hear.clone());
        assert!(!session.play().playing, "{hear:?}: the tune makes room");
        assert!(wait_until(&mut session, |s| s.is_hearing()), "{hear:?}");
        assert!(
            wait_until(&mut session, |s| !s.is_hearing()),
            "{hear:?} ends by itself"
        );
        assert!(words(&session).is_empty(), "{:?}", words(&session));
    }
}

#[test]
fn the_speed_trainer_raises_the_tempo_between_passes() {
    let mut session = session();
    session.act(Action::Edit(Edit::SetTempo(320)));
    session.settle();
    let trainer = Trainer {
        on: true,
        start: 100,
        step: 25,
        every: 2,
        target: 150,
    };
    assert!(!session.play().trainer.on, "it is off by default");
    let first_bar = Selection {
        to_bar: Some(0),
        ..Selection::default()
    };
    session.act(Action::Select(first_bar));
    session.act(Action::SetTrainer(trainer));
    assert!(session.play().looping, "it needs the loop");
    session.act(Action::PlayOrStop);
    let mut seen = Vec::new();
    assert!(wait_until(&mut session, |s| {
        let now = s.play().training.map(|t| (t.percent, t.pass));
        now.is_some_and(|now| now.1 >= 6)
    }));
    seen.extend(session.play().training.map(|t| (t.percent, t.pass)));
    assert_eq!(seen, [(150, 6)]);
    // Off again, the tempo of the tune comes back at the same place.
    session.act(Action::SetTrainer(Trainer {
        on: false,
        ..trainer
    }));
    session.tick();
    assert_eq!(session.play().training, None);
    assert!(session.play().playing);
    // From the start once more, it begins with the first tempo.
    session.act(Action::PlayOrStop);
    session.act(Action::SetTrainer(trainer));
    session.act(Action::PlayOrStop);
    session.tick();
    let training = session.play().training.map(|t| (t.percent, t.pass));
    assert_eq!(training, Some((100, 1)));
    // An edit while it plays leaves tempo and pass alone.
    assert!(wait_until(&mut session, |s| s
        .play()
        .training
        .is_some_and(|t| t.percent == 125)));
    session.act(set_chord(0, "Fmaj7"));
    session.settle();
    let training = session.play().training.expect("it trains");
    assert!(training.percent >= 125 && training.pass >= 3);
}

#[test]
fn the_output_tells_how_it_is_doing_and_another_one_goes_on_at_the_same_place() {
    let mut session = session();
    assert_eq!(
        session.sound_report(),
        None,
        "nothing is opened before it is needed"
    );
    session.act(Action::ListOutputs);
    session.act(select_bar(2));
    session.act(Action::PlayOrStop);
    assert!(wait_until(&mut session, |s| s.play().playhead.is_some()));
    let report = session.sound_report().expect("it is open");
    assert!(!report.audible && report.sample_rate == 48_000);
    let measured = |s: &Session| {
        s.sound_report()
            .is_some_and(|r| r.average > 0.0 && r.peak > 0.0)
    };
    assert!(wait_until(&mut session, measured));
    session.act(Action::ChooseOutput(Some("another".into())));
    assert_eq!(session.play().output.as_deref(), Some("another"));
    assert!(session.play().playing);
    // Bar 3 goes on; it does not begin again from bar 1.
    assert!(wait_until(&mut session, |s| s.play().playhead.is_some()));
    let (place, _) = session.play().playhead.expect("it plays");
    assert!(place.bar >= 2, "{place:?}");
    assert!(words(&session).is_empty(), "{:?}", words(&session));
}
