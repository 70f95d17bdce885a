//! Listening: the lanes and the speed trainer in the transport, and the keys that mute.

use crate::harness::click;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::arrange::Lane;
use thumbwalk::session::Action;

#[test]
fn lanes_are_muted_soloed_and_levelled_in_the_transport() {
    let mut window = open();
    click(&mut window, "lanes");
    click(&mut window, "mute thumb");
    click(&mut window, "solo fingers");
    window.get_by_label("level tune").set_value_accesskit(40.0);
    settle(&mut window);
    let lanes = window.state().session().play().lanes;
    assert!(lanes.lane(Lane::Thumb).muted && lanes.lane(Lane::Fingers).solo);
    assert!((lanes.lane(Lane::Tune).level - 0.4).abs() < 1e-6);
    click(&mut window, "mute thumb");
    assert!(
        !window
            .state()
            .session()
            .play()
            .lanes
            .lane(Lane::Thumb)
            .muted
    );
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("mute thumb").is_none());
}

#[test]
fn m_mutes_the_lane_of_the_selection_and_shift_m_plays_it_alone() {
    let mut window = open();
    let thumb =
        |window: &crate::harness::Window| window.state().session().play().lanes.lane(Lane::Thumb);
    press(&mut window, &[Key::M]);
    assert!(thumb(&window).muted && !thumb(&window).solo);
    press(&mut window, &[Key::M]);
    press_with(&mut window, Modifiers::SHIFT, Key::M);
    assert!(!thumb(&window).muted && thumb(&window).solo);
}

#[test]
fn the_speed_trainer_is_set_in_the_transport_and_says_where_it_is() {
    let mut window = open();
    click(&mut window, "speed trainer");
    window.get_by_label("start tempo").set_value_accesskit(78.0);
    settle(&mut window);
    window.get_by_label("tempo step").set_value_accesskit(4.0);
    settle(&mut window);
    click(&mut window, "Get faster while looping");
    let play = window.state().session().play().clone();
    assert!(play.looping && play.trainer.on);
    assert_eq!((play.trainer.start, play.trainer.step), (78, 4));
    assert!(window.query_by_label("94 to 120 bpm in 6 steps").is_some());
    press(&mut window, &[Key::Escape]);
    window.key_press(Key::Space);
    window.run_steps(3);
    assert!(window.query_by_label("78 % of 120, pass 1").is_some());
    window.key_press(Key::Space);
    window.run_steps(3);
    assert!(window.query_by_label("78 % of 120, pass 1").is_none());
}

#[test]
fn lay_back_is_set_beside_the_feel() {
    let mut window = open();
    click(&mut window, "feel");
    window.get_by_label("lay-back").set_value_accesskit(25.0);
    settle(&mut window);
    assert_eq!(window.state().session().document().lay_back_ms, 25);
    press(&mut window, &[Key::Escape]);
    window.state_mut().session_mut().act(Action::Undo);
    settle(&mut window);
    assert_eq!(window.state().session().document().lay_back_ms, 0);
}

#[test]
fn how_sound_files_are_written_is_chosen_in_the_file_menu() {
    let mut window = open();
    click(&mut window, "file menu");
    click(&mut window, "Sound files");
    click(&mut window, "44.1 kHz");
    click(&mut window, "24 bits");
    click(&mut window, "A file for each lane as well");
    let options = window.state().session().sound_options();
    assert_eq!(
        (options.rate, options.bits, options.stems),
        (44_100, 24, true)
    );
}

#[test]
fn the_sound_item_of_the_status_line_opens_a_page_in_words() {
    let mut window = open();
    click(&mut window, "sound not opened yet");
    assert!(window.query_by_label("The system's own choice").is_some());
    press(&mut window, &[Key::Escape]);
    window.key_press(Key::Space);
    window.run_steps(3);
    window.get_by_label("no sound device").click();
    window.run_steps(3);
    let shown = |words: &str| window.query_all_by_value(words).count() > 0;
    assert!(shown("none: time passes in silence") && shown("48.0 kHz"));
}
