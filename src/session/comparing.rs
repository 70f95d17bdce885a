//! The tune beside another version of it: one that was kept, the same with another line, hand or
//! tuning, or a file. The other is solved once, in the background, and stays as it is while the tune
//! goes on changing; what differs is worked out anew for every arrangement.

use super::Action;
use super::NoticeKind;
use super::Session;
use super::Wake;
use super::choruses::with_choruses;
use super::locks::locked_bar;
use super::open;
use super::problem::problem_from_document;
use super::status::bars_words;
use super::tune::Tune;
use super::worker::Desk;
use super::worker::Worker;
use crate::arrange::Arranger;
use crate::arrange::Comparison;
use crate::arrange::Version;
use crate::arrange::compare;
use crate::document::Bar;
use crate::document::BarPlace;
use crate::document::Document;
use crate::document::Edit;
use crate::document::Walk;
use crate::import::Choice;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Tuning;
use crate::score::perform;
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

/// What the tune is put beside.
#[derive(Clone, PartialEq, Debug)]
pub enum Other {
    /// A kept version, by its number from 0.
    Kept(usize),
    /// The same with the thumb line of another seed; a plain walk becomes *two approaches*.
    Seed(u64),
    /// The same for another hand.
    Hand(Box<Hand>),
    /// The same in another tuning.
    Tuning(Tuning),
    /// A project, a chart or a score.
    File(PathBuf),
}

/// What is done with two versions of the tune.
#[derive(Clone, PartialEq, Debug)]
pub enum VersionsDeed {
    /// Put the tune beside another version of it.
    With(Other),
    /// Let the tune stand alone again.
    Stop,
    /// Hear the tune (A) or the other version (B).
    Hear {
        /// Which.
        version: Version,
        /// All of it, not only the selected bars.
        whole: bool,
    },
    /// Take the other version in the place of the tune.
    Take,
    /// Take the selected bars as the other version plays them.
    TakeBars,
}

struct CompareJob {
    number: u64,
    document: Arc<Document>,
}

enum CompareReply {
    Progress(u64, usize, usize),
    Solved(u64, Tune),
    Failed(String),
}

/// The other version, as far as it is known.
struct OtherVersion {
    number: u64,
    name: String,
    progress: (usize, usize),
    tune: Option<Tune>,
}

/// The comparison with its thread.
pub struct Comparing {
    worker: Worker<CompareJob, CompareReply>,
    other: Option<OtherVersion>,
    asked: u64,
    /// With the revision of the document it belongs to.
    found: Option<(u64, Arc<Comparison>)>,
}

impl Comparing {
    /// Starts the thread; it sleeps until something is asked.
    pub fn new(wake: Wake) -> Self {
        let work = |job: CompareJob, desk: &Desk<'_, CompareReply>| {
            let number = job.number;
            let mut keep_going = |progress: crate::arrange::Progress| {
                desk.reply_if_room(CompareReply::Progress(
                    number,
                    progress.done,
                    progress.total,
                ));
                desk.is_wanted()
            };
            let problem = problem_from_document(&job.document);
            let first = Arranger::default().solve(&problem, &mut keep_going);
            let further = &mut Vec::new();
            let whole = first
                .and_then(|first| with_choruses(&job.document, first, further, &mut keep_going));
            if let Some(arrangement) = whole {
                let tune = Tune {
                    document: job.document,
                    arrangement: Arc::new(arrangement),
                };
                desk.reply(CompareReply::Solved(number, tune));
            }
        };
        Self {
            worker: Worker::start("compare", wake, work, CompareReply::Failed),
            other: None,
            asked: 0,
            found: None,
        }
    }
}

impl Session {
    /// What the tune stands beside, in words; `None` if it stands alone.
    #[must_use]
    pub fn compared_with(&self) -> Option<&str> {
        self.comparing.other.as_ref().map(|o| o.name.as_str())
    }

    /// How far the other version is solved, steps done and in all; `None` once it is.
    #[must_use]
    pub fn comparing_progress(&self) -> Option<(usize, usize)> {
        let other = self.comparing.other.as_ref()?;
        other.tune.is_none().then_some(other.progress)
    }

    /// The tune as it is now (A) beside the other version (B). It may belong to a slightly older
    /// document while the solver works.
    #[must_use]
    pub fn comparison(&self) -> Option<&Arc<Comparison>> {
        self.comparing.found.as_ref().map(|(_, found)| found)
    }

    /// The chart of one of the two versions; of B only once it is solved.
    #[must_use]
    pub fn version(&self, version: Version) -> Option<&Document> {
        match version {
            Version::A => Some(self.document()),
            Version::B => self.other_tune().map(|tune| &*tune.document),
        }
    }

    fn other_tune(&self) -> Option<&Tune> {
        self.comparing.other.as_ref()?.tune.as_ref()
    }

    pub(super) fn do_versions(&mut self, deed: VersionsDeed) {
        match deed {
            VersionsDeed::With(other) => self.compare_with(other),
            VersionsDeed::Stop => self.stop_comparing(),
            VersionsDeed::Hear { version, whole } => self.hear_version(version, whole),
            VersionsDeed::Take => self.take_other(),
            VersionsDeed::TakeBars => self.take_other_bars(),
        }
    }

    fn compare_with(&mut self, other: Other) {
        let (name, document) = match self.other_document(other) {
            Ok(found) => found,
            Err(error) => return self.notify(NoticeKind::Error, error),
        };
        if document.n_bars() == 0 {
            let text = format!("{name} has no bars to compare with");
            return self.notify(NoticeKind::Warning, text);
        }
        let comparing = &mut self.comparing;
        comparing.asked += 1;
        comparing.found = None;
        let number = comparing.asked;
        comparing.other = Some(OtherVersion {
            number,
            name,
            progress: (0, 1),
            tune: None,
        });
        let document = Arc::new(document);
        comparing.worker.submit(CompareJob { number, document });
    }

    pub(super) fn stop_comparing(&mut self) {
        self.comparing.worker.cancel();
        self.comparing.other = None;
        self.comparing.found = None;
    }

    /// The other version with its name.
    fn other_document(&mut self, other: Other) -> Result<(String, Document), String> {
        let now = Arc::clone(self.document());
        let changed = |edit: Edit| now.apply(&edit).map_err(|error| error.to_string());
        match other {
            Other::Kept(number) => {
                let kept = now.versions.get(number);
                let kept = kept.ok_or("there is no such kept version")?;
                Ok((kept.name.clone(), Document::clone(&kept.document)))
            }
            Other::Seed(seed) => {
                let mut line = now.line.clone();
                line.seed = seed;
                if line.walk == Walk::Plain {
                    line.walk = Walk::TwoApproaches;
                }
                Ok((
                    format!("the line of seed {seed}"),
                    changed(Edit::SetLine(line))?,
                ))
            }
            Other::Hand(hand) => Ok((
                format!("the hand {}", hand.name),
                changed(Edit::SetHand(*hand))?,
            )),
            Other::Tuning(tuning) => {
                let name = format!("the tuning {}", tuning.name());
                Ok((name, changed(Edit::SetInstrument(tuned(&now, tuning)?))?))
            }
            Other::File(path) => {
                let base = self.memory.new_document();
                let opened = open::open_onto(&path, Choice::default(), &base)?;
                let name = crate::files::name_of(&path);
                for notice in opened.notices {
                    self.notify(NoticeKind::Warning, format!("{name}: {notice}"));
                }
                Ok((name, opened.document))
            }
        }
    }

    /// Plays one of the two: the selected bars as they first come round, or all of it.
    fn hear_version(&mut self, version: Version, whole: bool) {
        let tune = match version {
            Version::A => self.arrangement().map(|arrangement| Tune {
                document: Arc::clone(self.document()),
                arrangement: Arc::clone(arrangement),
            }),
            Version::B => self.other_tune().cloned(),
        };
        let Some(tune) = tune else {
            let text = "wait until both are solved, then listen again".into();
            return self.notify(NoticeKind::Info, text);
        };
        let bars = self.selection.bars();
        let range = played_range(&tune.document, bars).filter(|_| !whole);
        if range.is_none() && !whole {
            let text = format!("{} has no {}", version.letter(), bars_words(bars));
            return self.notify(NoticeKind::Info, text);
        }
        self.player
            .audition(perform(&tune.document, &tune.arrangement, range));
    }

    /// Takes the other version in the place of the tune; one step of undo.
    fn take_other(&mut self) {
        let Some(other) = &self.comparing.other else {
            return;
        };
        let Some(tune) = &other.tune else {
            let text = "wait until the other version is solved, then take it".into();
            return self.notify(NoticeKind::Info, text);
        };
        let edit = Edit::TakeDocument {
            document: Arc::clone(&tune.document),
            label: format!("Take {}", other.name),
        };
        self.act(Action::Edit(edit));
        self.act(Action::EndStep);
    }

    /// Takes the selected bars as the other version plays them: chords, tune and slides as written
    /// there, shapes, thumb notes and strikes as decisions. The form stays.
    fn take_other_bars(&mut self) {
        let bars = self.selection.bars();
        match self.edits_from_other(bars) {
            Ok(edits) => {
                let label = format!("Take {} of the other version", bars_words(bars));
                self.act(Action::Edit(Edit::Together { label, edits }));
                self.act(Action::EndStep);
            }
            Err(why) => self.notify(NoticeKind::Info, why),
        }
    }

    fn edits_from_other(&self, (first, last): (usize, usize)) -> Result<Vec<Edit>, String> {
        let Some(other) = self.other_tune() else {
            return Err("wait until the other version is solved, then take its bars".into());
        };
        let (here, there) = (&self.document().instrument, &other.document.instrument);
        if here.tuning.open() != there.tuning.open() || here.capo != there.capo {
            return Err(
                "the other version has other open strings, and its grips do not fit here: take all of it"
                    .into(),
            );
        }
        let mut edits = Vec::new();
        for bar in first..=last {
            let now = self.document().bar(bar);
            let locked = locked_bar(&other.document, &other.arrangement, bar);
            let (Some(now), Some(locked)) = (now, locked) else {
                return Err(format!(
                    "the other version has no {}",
                    bars_words((bar, bar))
                ));
            };
            let lengths = [
                self.document().bar_length(bar),
                other.document.bar_length(bar),
            ];
            let [length, length_there] = lengths;
            if length != length_there {
                return Err(format!(
                    "bar {} is not as long in the other version, so it does not fit here",
                    bar + 1
                ));
            }
            let taken = Bar {
                length: now.length,
                repeat_start: now.repeat_start,
                repeat_times: now.repeat_times,
                ending: now.ending,
                ..locked
            };
            edits.push(Edit::PutBars {
                place: BarPlace::After(bar),
                bars: vec![taken],
            });
            edits.push(Edit::DeleteBars {
                first: bar,
                last: bar,
            });
        }
        Ok(edits)
    }

    pub(super) fn take_compare_replies(&mut self) {
        while let Some(reply) = self.comparing.worker.take() {
            self.take_compare_reply(reply);
        }
        self.compare_again();
    }

    fn take_compare_reply(&mut self, reply: CompareReply) {
        let other = self.comparing.other.as_mut();
        match reply {
            CompareReply::Progress(number, done, total) => {
                if let Some(other) = other.filter(|other| other.number == number) {
                    other.progress = (done, total);
                }
            }
            CompareReply::Solved(number, tune) => {
                if let Some(other) = other.filter(|other| other.number == number) {
                    other.tune = Some(tune);
                    self.comparing.found = None;
                }
            }
            CompareReply::Failed(why) => {
                self.stop_comparing();
                let text =
                    format!("the versions could not be compared, a fault in the program ({why})");
                self.notify(NoticeKind::Error, text);
            }
        }
    }

    /// Works out what differs, if that is not known for the arrangement shown.
    fn compare_again(&mut self) {
        let Some((revision, arrangement)) = &self.solved else {
            return;
        };
        let known = self.comparing.found.as_ref().map(|(of, _)| *of);
        if known == Some(*revision) {
            return;
        }
        let Some(other) = self.other_tune() else {
            return;
        };
        // The newest arrangement may lag behind the document; its own bars count.
        let n_bars = self.document().n_bars();
        let there = (&*other.arrangement, other.document.n_bars());
        let found = compare((arrangement, n_bars), there);
        self.comparing.found = Some((*revision, Arc::new(found)));
    }

    /// Waits until a comparison that was asked for is there.
    pub(super) fn settle_comparing(&mut self) {
        while self.comparing_progress().is_some() {
            match self.comparing.worker.wait(super::SETTLE_AT_MOST) {
                Some(reply) => self.take_compare_reply(reply),
                None => return,
            }
        }
        self.compare_again();
    }
}

fn tuned(document: &Document, tuning: Tuning) -> Result<Instrument, String> {
    let instrument = Instrument {
        tuning,
        ..Instrument::clone(&document.instrument)
    };
    let fits = instrument.check();
    fits.map(|()| instrument).map_err(|error| error.to_string())
}

/// The played bars in which a run of written ones first comes round; `None` if it has none of them.
fn played_range(document: &Document, (first, last): (usize, usize)) -> Option<Range<usize>> {
    let order = document.played_order();
    let from = order.iter().position(|bar| (first..=last).contains(bar))?;
    let run = order.iter().skip(from);
    let mut n = 0;
    let mut before = None;
    for bar in run {
        if !(first..=last).contains(bar) || before.is_some_and(|before| bar <= before) {
            break;
        }
        before = Some(bar);
        n += 1;
    }
    Some(from..from + n)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Repeats and endings are unfolded as players read them (common practice): C F G, C F D, E.
    #[test]
    fn a_run_of_bars_is_heard_as_it_first_comes_round() {
        let text = "|: C | F |1. G :|2. D | E ||\n";
        let opened = open::open_text(text, std::path::Path::new("chart"));
        let document = opened.expect("a chart").document;
        assert_eq!(document.played_order(), [0, 1, 2, 0, 1, 3, 4]);
        for (run, expected) in [
            ((0, 0), Some(0..1)),
            ((0, 2), Some(0..3)),
            ((1, 3), Some(1..3)),
            ((3, 4), Some(5..7)),
            ((5, 6), None),
        ] {
            assert_eq!(played_range(&document, run), expected, "{run:?}");
        }
    }
}
