//! Settings come back as they were saved, broken ones are set aside, unknown ones passed over, and
//! two running programs do not undo each other's changes.

use super::*;
use crate::instrument::StringSet;
use crate::instrument::Tuning;

fn own() -> Settings {
    let mut settings = Settings {
        theme: Theme::System,
        text_percent: 130,
        high_contrast: true,
        volume_percent: 65,
        output: Some("card \"one\"".into()),
        backups: 2,
        hands: vec![
            Hand::default(),
            Hand {
                name: "Mia, 11".into(),
                reach_permille: 850,
                thumb_over: true,
                barre: false,
                plucking_fingers: 4,
            },
        ],
        instruments: vec![SavedInstrument {
            name: "Seven strings".into(),
            instrument: Instrument {
                tuning: Tuning::parse("A1 D2 A2 D3 G3 B3 E4")
                    .expect("seven notes")
                    .called("low D over A"),
                scale_mm: 700.0,
                ..Instrument::default()
            },
        }],
        new: NewProject {
            hand: "Mia, 11".into(),
            instrument: Instrument {
                tuning: Tuning::named("drop D").expect("known"),
                capo: 2,
                frets: 19,
                scale_mm: 580.5,
                strings: StringSet::Steel,
                left_handed: true,
            },
            house_style: HouseStyle::Signs,
            paper: Paper::Letter,
        },
        recent: Vec::new(),
    };
    settings.remember(Path::new("/music/blues.ron"));
    settings.remember(Path::new("/music/ballad.ron"));
    settings
}

#[test]
fn settings_come_back_as_they_were_saved() {
    let folder = tempfile::tempdir().expect("folder");
    let inner = folder.path().join("a").join("thumbwalk");
    own().save(&inner).expect("saved");
    assert_eq!(Settings::load(Some(&inner)), (own(), None));
    let document = own().new_document();
    assert_eq!(document.hand.name, "Mia, 11");
    assert_eq!(*document.instrument, own().new.instrument);
    assert_eq!(document.sheet.paper, Paper::Letter);
}

#[test]
fn a_first_start_has_quiet_plain_settings_and_nothing_to_say() {
    let folder = tempfile::tempdir().expect("folder");
    for folder in [None, Some(folder.path())] {
        assert_eq!(Settings::load(folder), (Settings::default(), None));
    }
    assert_eq!(Settings::default().new_document(), Document::default());
}

#[test]
fn a_broken_file_is_set_aside_with_a_word() {
    for broken in [&b"(theme: "[..], b"(theme: \"dark\xFF\")"] {
        let folder = tempfile::tempdir().expect("folder");
        std::fs::write(folder.path().join(FILE_NAME), broken).expect("written");
        let (settings, word) = Settings::load(Some(folder.path()));
        assert_eq!(settings, Settings::default());
        assert!(word.is_some_and(|w| w.contains("settings.broken.ron")));
        let aside = std::fs::read(folder.path().join("settings.broken.ron"));
        assert_eq!(aside.expect("kept"), broken);
        assert_eq!(Settings::load(Some(folder.path())).1, None);
    }
}

#[test]
fn what_is_unknown_is_passed_over_and_what_is_senseless_becomes_usual() {
    let folder = tempfile::tempdir().expect("folder");
    let text = "(version: 7, theme: \"dark\", later: [(1, 2)], volume_percent: 200, \
                text_percent: 9, hands: [(name: \"A\", toes: 5, reach_permille: 9)], \
                new_projects: (frets: 2, paper: \"papyrus\", strap: \"red\"))";
    let path = folder.path().join(FILE_NAME);
    std::fs::write(&path, text).expect("written");
    let (settings, word) = Settings::load(Some(folder.path()));
    assert_eq!(word, None);
    let usual = Settings::default();
    assert_eq!(
        (
            settings.theme,
            settings.volume_percent,
            settings.text_percent
        ),
        (Theme::Dark, 100, 70)
    );
    assert_eq!(
        (
            settings.hands[0].name.as_str(),
            settings.hands[0].reach_permille
        ),
        ("A", 500)
    );
    assert_eq!(settings.new.instrument, usual.new.instrument);
    assert_eq!(settings.new.paper, Paper::A4);
    let copy = std::fs::read_to_string(path.with_extension("version-7.ron"));
    assert_eq!(copy.expect("what a newer program wrote is kept"), text);
}

#[test]
fn two_programs_do_not_undo_each_others_changes() {
    let folder = tempfile::tempdir().expect("folder");
    let before = Settings::default();
    before.save(folder.path()).expect("saved");
    let one = Settings {
        hands: own().hands,
        ..before.clone()
    };
    let two = Settings {
        volume_percent: 10,
        ..before.clone()
    };
    one.save_beside_others(&before, folder.path())
        .expect("saved");
    two.save_beside_others(&before, folder.path())
        .expect("saved");
    let (both, _) = Settings::load(Some(folder.path()));
    assert_eq!((both.hands, both.volume_percent), (own().hands, 10));
}

#[test]
fn the_newest_file_is_first_and_stands_there_once() {
    let mut settings = Settings::default();
    for number in 0..15 {
        settings.remember(Path::new(&format!("{number}.ron")));
    }
    settings.remember(Path::new("10.ron"));
    assert_eq!(settings.recent.len(), MAX_RECENT);
    assert_eq!(settings.recent.first(), Some(&PathBuf::from("10.ron")));
    assert_eq!(settings.recent.get(1), Some(&PathBuf::from("14.ron")));
}
