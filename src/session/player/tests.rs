//! A player with rehearsed cards: they come, go and are heard when the test says so, and the time
//! is told to it.

use super::News;
use super::Player;
use super::SoundChoice;
use super::outputs::Opener;
use super::prepare::Made;
use super::prepare::Prepared;
use crate::arrange;
use crate::device::DeviceError;
use crate::device::SilentDevice;
use crate::instrument::Instrument;
use crate::score::perform_note;
use crate::session::drill::Heard;
use crate::session::drill::Recall;
use crate::session::open;
use crate::session::problem::problem_from_document;
use crate::session::status::DeviceStatus;
use crate::session::trainer::Trainer;
use crate::session::tune::Tune;
use crate::sound::Bank;
use crate::sound::Timeline;
use crate::theory::Midi;
use std::path::Path;
use std::sync::Arc;
use std::sync::Mutex;
use std::time::Duration;

const RATE: u32 = 24_000;

/// The cards of a computer, and how often one was asked for.
#[derive(Default)]
struct Cards {
    plugged: bool,
    asked: usize,
    opened: Vec<SilentDevice>,
}

type Shared = Arc<Mutex<Cards>>;

fn opener(cards: &Shared) -> Opener {
    let cards = Arc::clone(cards);
    Arc::new(move |_| {
        let mut cards = cards.lock().expect("no test has failed");
        cards.asked += 1;
        if !cards.plugged {
            return Err(DeviceError::NoDevice);
        }
        let name = format!("card {}", cards.opened.len() + 1);
        let (device, output, remote) = SilentDevice::as_card(&name, RATE);
        cards.opened.push(device);
        Ok((output, remote))
    })
}

/// A tune of bars that last two seconds.
fn tune(bars: &str) -> Tune {
    let text = format!("Tempo: 120\n{bars}\n");
    let opened = open::open_text(&text, Path::new("test")).expect("a chart");
    let arrangement = arrange::solve(&problem_from_document(&opened.document));
    Tune {
        document: Arc::new(opened.document),
        arrangement: Arc::new(arrangement),
    }
}

/// A player with a tune of eight bars.
fn player(cards: &Shared) -> Player {
    let mut player = Player::with_opener(SoundChoice::Card, opener(cards), Arc::new(|| {}));
    player.set_tune(tune("| Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | % |"));
    player
}

const fn seconds(seconds: u64) -> Duration {
    Duration::from_secs(seconds)
}

/// Takes what is being prepared and lets the newest card be heard for a moment.
fn hear(player: &mut Player, cards: &Shared, now: Duration, seconds: f64) -> f32 {
    while player.pending.is_some() {
        let reply = player.worker.wait(Duration::from_secs(60));
        player.take_prepared(reply.expect("the sound is made ready"));
    }
    player.tick_at(now);
    let mut cards = cards.lock().expect("no test has failed");
    let device = cards.opened.last_mut().expect("a card");
    let heard = device.advance((seconds * f64::from(RATE)) as usize);
    heard.iter().fold(0.0, |most, x| most.max(x.abs()))
}

fn where_it_is(player: &Player) -> f64 {
    let (output, remote) = player.output.as_ref().expect("it is open");
    remote.playhead().frame as f64 / f64::from(output.sample_rate())
}

fn pull_out(cards: &Shared) {
    let mut cards = cards.lock().expect("no test has failed");
    cards.plugged = false;
    cards.opened.last().expect("a card").pull_out("unplugged");
}

fn plug_in(cards: &Shared) {
    cards.lock().expect("no test has failed").plugged = true;
}

fn asked(cards: &Shared) -> usize {
    cards.lock().expect("no test has failed").asked
}

/// Ticks until an attempt that is under way has answered, at one and the same time.
fn await_answer(player: &mut Player, now: Duration) {
    for _ in 0..200_000 {
        player.tick_at(now);
        if !player.search.is_asking() {
            return;
        }
        std::thread::yield_now();
    }
    panic!("the search does not answer");
}

fn lost(news: &[News]) -> bool {
    matches!(news, [News::Lost(text)] if text.contains("unplugged"))
}

#[test]
fn a_card_that_comes_back_takes_the_music_up_where_it_is() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    player.set_count_in(true);
    player.play_from_bar(2);
    // A bar is counted, then half a bar is heard.
    assert!(hear(&mut player, &cards, seconds(0), 3.0) > 0.01);
    assert!((where_it_is(&player) - 5.0).abs() < 0.1);

    pull_out(&cards);
    player.tick_at(seconds(10));
    assert!(lost(&player.take_news()), "it is said once");
    assert!(player.status().playing, "time passes");
    assert!(matches!(player.status().device, DeviceStatus::Missing(_)));
    await_answer(&mut player, seconds(10));
    assert_eq!(asked(&cards), 2, "it is asked for at once");
    // At most once a second, then less and less often: at 11, 13, 17, 21 and 25 seconds.
    for tenth in 101..=250 {
        await_answer(&mut player, Duration::from_millis(100 * tenth));
    }
    assert_eq!(asked(&cards), 7);
    assert_eq!(player.take_news(), [], "nothing is said in between");
    assert!(
        player.rests_for().is_some(),
        "the window is asked to come back"
    );

    plug_in(&cards);
    await_answer(&mut player, seconds(29));
    let news = player.take_news();
    assert_eq!(news, [News::Back("Sound is back: card 2".into())]);
    assert!(hear(&mut player, &cards, seconds(29), 0.5) > 0.01);
    let at = where_it_is(&player);
    assert!(at > 5.3, "it has not begun again, nor counted: {at}");
    assert!(player.status().playing);
    for tenth in 290..400 {
        player.tick_at(Duration::from_millis(100 * tenth));
    }
    assert_eq!(asked(&cards), 8, "nothing is looked for any more");
    assert_eq!(player.take_news(), []);
}

#[test]
fn playing_begins_before_all_notes_are_computed_and_none_is_missed() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    let heard = |player: &mut Player, seconds: f64| {
        player.output.as_mut().expect("it is open").1.poll();
        let mut cards = cards.lock().expect("no test has failed");
        let device = cards.opened.last_mut().expect("a card");
        device
            .advance((seconds * f64::from(RATE)) as usize)
            .to_vec()
    };
    player.play_from_bar(0);
    heard(&mut player, 1.0);
    // Of what the thread has to say only the end is waited for; a part of it is made here.
    let mut made = loop {
        match player
            .worker
            .wait(Duration::from_secs(60))
            .expect("a reply")
        {
            Prepared::Ready(made) => break made,
            Prepared::FirstNote(at) => player.take_prepared(Prepared::FirstNote(at)),
            _ => {}
        }
    };
    let first = player.report().and_then(|report| report.first_note_s);
    assert!(first.is_some(), "it is measured");
    let mut bank = Bank::new(RATE, made.performance.stringing);
    let missing = bank.missing_from(&made.performance, 0.0);
    assert!(missing.is_sorted_by(|a, b| a.1 <= b.1));
    for (key, _) in missing.iter().filter(|(_, due_s)| *due_s < 2.0) {
        bank.insert(*key, bank.compute(*key));
    }
    let part = Made {
        job: made.job,
        performance: Arc::clone(&made.performance),
        what: made.what,
        timeline: Box::new(Timeline::new(&made.performance, &bank)),
    };
    assert!(part.timeline.missing() > 0);
    bank.prepare(&made.performance, &mut |_, _| true);
    made.timeline = Box::new(Timeline::new(&made.performance, &bank));
    player.take_prepared(Prepared::Progress(0.25));
    player.take_prepared(Prepared::Part(part));
    assert_eq!(player.status().preparing, Some(0.25));
    let mut in_parts = heard(&mut player, 1.5);
    player.take_prepared(Prepared::Ready(made));
    assert_eq!(player.status().preparing, None);
    in_parts.extend(heard(&mut player, 4.5));

    // The same with everything there from the beginning.
    player.stop();
    heard(&mut player, 8.0);
    player.play_from_bar(0);
    let mut at_once = heard(&mut player, 1.5);
    at_once.extend(heard(&mut player, 4.5));
    let apart = |(a, b): (&f32, &f32)| (a - b).abs();
    let most = in_parts.iter().zip(&at_once).map(apart).fold(0.0, f32::max);
    assert!(most < 1e-6, "{most}");
    let peak = at_once.iter().fold(0.0f32, |most, x| most.max(x.abs()));
    assert!(peak > 0.05, "{peak}");
}

#[test]
fn what_was_stopped_stays_stopped_when_the_card_comes_back() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    player.play_from_bar(0);
    hear(&mut player, &cards, seconds(0), 1.0);
    pull_out(&cards);
    player.tick_at(seconds(1));
    player.stop();
    await_answer(&mut player, seconds(1));
    assert!(lost(&player.take_news()));
    plug_in(&cards);
    await_answer(&mut player, seconds(2));
    assert_eq!(
        player.take_news(),
        [News::Back("Sound is back: card 2".into())]
    );
    assert!(!player.status().playing);
    assert!(hear(&mut player, &cards, seconds(2), 1.0) < 1e-6);
    // And the next time it is played it is heard there.
    player.play_from_bar(0);
    assert!(hear(&mut player, &cards, seconds(3), 1.0) > 0.01);
    assert_eq!(asked(&cards), 3);
}

#[test]
fn a_card_that_was_never_there_is_looked_for_too_and_play_asks_at_once() {
    let cards = Shared::default();
    let mut player = player(&cards);
    player.play_from_bar(0);
    assert!(matches!(
        player.take_news().as_slice(),
        [News::Trouble(text)] if text.contains("no sound output was found")
    ));
    await_answer(&mut player, seconds(100));
    player.stop();
    plug_in(&cards);
    player.play_from_bar(0);
    assert!(hear(&mut player, &cards, seconds(101), 1.0) > 0.01);
    assert_eq!(player.status().device, DeviceStatus::Open("card 1".into()));
    assert_eq!(player.take_news(), [], "whoever presses Play hears it");
    player.tick_at(seconds(200));
    assert_eq!(asked(&cards), 3);
}

/// Between the look at the play-head and the arrival of the edit the loop comes round, at another
/// tempo.
#[test]
fn a_tune_that_changes_while_a_note_is_made_ready_does_not_play_in_its_place() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    let note = perform_note(&Instrument::default(), Midi::new(64).expect("a note"));
    player.audition(note);
    player.set_tune(tune("| Dm7 | Db7 | Cmaj7 | A7 |"));
    assert!(hear(&mut player, &cards, seconds(0), 0.2) > 0.0);
    assert!(player.is_hearing());
    assert!(!player.status().playing);
    player.play_from_bar(1);
    hear(&mut player, &cards, seconds(0), 0.2);
    assert!(player.status().playing);
    assert!((where_it_is(&player) - 2.2).abs() < 0.02);
}

#[test]
fn an_edit_that_meets_a_change_of_tempo_is_made_again_at_the_new_one() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    player.set_loop(Some((0, 1)));
    player.set_trainer(Trainer {
        on: true,
        start: 50,
        step: 25,
        every: 1,
        target: 150,
    });
    player.play_from_bar(0);
    // Two bars at half the tempo last eight seconds.
    hear(&mut player, &cards, seconds(0), 7.5);
    hear(&mut player, &cards, seconds(0), 0.25);
    let head = player.output.as_ref().expect("it is open").1.playhead();
    let edited = tune("| Dm7 | Db7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | % |");
    player.set_tune(edited.clone());
    let made = loop {
        let reply = player.worker.wait(Duration::from_secs(60));
        if let Prepared::Ready(made) = reply.expect("a reply") {
            break made;
        }
    };
    player.pending = None;
    {
        let mut cards = cards.lock().expect("no test has failed");
        let device = cards.opened.last_mut().expect("a card");
        device.advance(RATE as usize / 2);
    }
    player.load_at(made, head);
    hear(&mut player, &cards, seconds(0), 0.1);
    hear(&mut player, &cards, seconds(0), 0.1);
    let training = player.status().training.expect("it trains");
    assert_eq!((training.percent, training.pass), (75, 2));
    // 0.25 s of the second pass were over when the edit came.
    let at = where_it_is(&player);
    assert!((at - 0.45).abs() < 0.02, "{at}");
    let loaded = player.loaded.as_ref().map(|(_, performance)| performance);
    assert_eq!(loaded, Some(&edited.at(75)));
    // What is heard from here on is the edited tune, to its next change of tempo.
    hear(&mut player, &cards, seconds(0), 4.6);
    hear(&mut player, &cards, seconds(0), 0.4);
    player.tick_at(seconds(0));
    let training = player.status().training.expect("it trains");
    assert_eq!((training.percent, training.pass), (100, 3));
    let loaded = player.loaded.as_ref().map(|(_, performance)| performance);
    assert_eq!(loaded, Some(&edited.at(100)));
}

/// Bars of two seconds, two of which are drilled.
#[test]
fn a_line_is_followed_by_the_next_where_its_pass_ends_and_the_tune_comes_back() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    let own = player.source.clone().expect("a tune").at(100);
    player.set_loop(Some((4, 7)));
    let first = tune("| Dm7 | Db7 | Cmaj7 | A7 |");
    let second = tune("| Dm7 | Ab7 | Cmaj7 | A7 |");
    player.play_lines(first.clone(), (1, 2), (Heard::Everything, Recall::Nothing));
    assert!(hear(&mut player, &cards, seconds(0), 1.0) > 0.01);
    assert_eq!(player.lines_at(), Some((0, 0)));
    assert!((where_it_is(&player) - 3.0).abs() < 0.1);
    // Without another line the same one comes again, at once and without a gap.
    hear(&mut player, &cards, seconds(0), 3.5);
    hear(&mut player, &cards, seconds(0), 0.1);
    player.tick_at(seconds(0));
    assert_eq!(player.lines_at(), Some((0, 1)));
    player.set_next_line(second.clone());
    // An edit made meanwhile waits.
    let edited = tune("| Em7 | A7 | Dm7 | G7 | Em7 | A7 | Dm7 | G7 |");
    player.set_tune(edited.clone());
    hear(&mut player, &cards, seconds(0), 0.1);
    hear(&mut player, &cards, seconds(0), 3.4);
    hear(&mut player, &cards, seconds(0), 0.1);
    player.tick_at(seconds(0));
    assert_eq!(player.lines_at(), Some((1, 0)));
    let loaded = player.loaded.as_ref().map(|(_, performance)| performance);
    assert_eq!(loaded, Some(&second.at(100)));
    assert!(player.status().sounding.is_empty(), "not the tune's notes");
    let (_, range) = player.line_performance().expect("a line");
    assert_eq!(range, 1..3);

    player.stop();
    assert_eq!(player.lines_at(), None);
    assert!(player.status().looping, "as it was before");
    assert_eq!(player.loop_bars, Some((4, 7)));
    player.play_from_bar(0);
    hear(&mut player, &cards, seconds(0), 0.5);
    let loaded = player.loaded.as_ref().map(|(_, performance)| performance);
    assert_eq!(loaded, Some(&edited.at(100)));
    assert_ne!(loaded, Some(&own));
}

#[test]
fn a_line_from_memory_has_a_second_pass_and_the_tempo_rises_over_passes() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    player.set_trainer(Trainer {
        on: true,
        start: 50,
        step: 25,
        every: 4,
        target: 75,
    });
    let line = tune("| Dm7 | Db7 |");
    player.play_lines(line.clone(), (0, 0), (Heard::ClickOnly, Recall::EachLine));
    player.set_next_line(line.clone());
    let mut seen = Vec::new();
    // A bar lasts four seconds at half the tempo.
    for _ in 0..6 {
        hear(&mut player, &cards, seconds(0), 1.0);
        let percent = player.status().training.expect("it trains").percent;
        seen.push((player.lines_at().expect("lines"), percent));
        let bar_s = 400.0 / f64::from(percent) * 0.5;
        hear(&mut player, &cards, seconds(0), bar_s - 1.0);
        hear(&mut player, &cards, seconds(0), 1e-3);
        player.tick_at(seconds(0));
        player.set_next_line(line.clone());
    }
    let wanted = [
        ((0, 0), 50),
        ((0, 1), 50),
        ((1, 0), 50),
        ((1, 1), 50),
        ((2, 0), 75),
        ((2, 1), 75),
    ];
    assert_eq!(seen, wanted);
}

#[test]
fn a_drill_is_heard_without_the_thumb_or_as_a_click_alone() {
    let cards = Shared::default();
    plug_in(&cards);
    let mut player = player(&cards);
    let line = tune("| Dm7 |");
    let loudest = |player: &mut Player, heard| {
        player.play_lines(line.clone(), (0, 0), (heard, Recall::Nothing));
        // The thumb and the click are on the beat, the fingers between: tenths of a second.
        let mut tenths = [0.0; 5];
        for tenth in &mut tenths {
            *tenth = hear(player, &cards, seconds(0), 0.1);
        }
        tenths
    };
    let [thumb, .., chord, _] = loudest(&mut player, Heard::Everything);
    assert!(thumb > 0.05 && chord > 0.1, "{thumb}, {chord}");
    let [click, before, .., chord, _] = loudest(&mut player, Heard::ChordsAndClick);
    assert!(
        click > 0.1 && before < 0.01 && chord > 0.1,
        "{click}, {before}, {chord}"
    );
    let [click, .., between] = loudest(&mut player, Heard::ClickOnly);
    assert!(click > 0.1 && between < 1e-3, "{click}, {between}");
}
