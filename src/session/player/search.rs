//! Looking for a sound output while there is none: asked at once when one goes away, then after a
//! second, then at growing intervals, always on a thread of its own because drivers take their time
//! to say no. Sees time only as it is told.

use super::outputs::Opened;
use super::outputs::Opener;
use super::outputs::open_wanted;
use crate::session::Wake;
use crate::session::worker::Worker;
use std::time::Duration;

/// The first wait; each further one is twice as long.
const FIRST: Duration = Duration::from_secs(1);

/// The longest: about as long as a player waits before wondering.
const LONGEST: Duration = Duration::from_secs(4);

/// What is asked for and what comes back; `None` if nothing answers.
type Finder = Worker<Option<String>, Option<Box<Opened>>>;

/// The search.
pub struct Search {
    opener: Opener,
    wake: Wake,
    /// Started with the first search: most players never need one.
    finder: Option<Finder>,
    state: State,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum State {
    /// Nothing is missing.
    Idle,
    /// The next attempt, and the wait if it fails.
    Waiting(Duration, Duration),
    /// An attempt is under way; the wait if it fails.
    Asking(Duration),
}

impl Search {
    /// Nothing is missing yet.
    pub fn new(opener: Opener, wake: Wake) -> Self {
        Self {
            opener,
            wake,
            finder: None,
            state: State::Idle,
        }
    }

    /// Something is missing from now on.
    pub fn begin(&mut self, now: Duration) {
        if self.state == State::Idle {
            self.state = State::Waiting(now, FIRST);
        }
    }

    /// Nothing is missing any more. An attempt under way counts for nothing.
    pub fn end(&mut self) {
        self.state = State::Idle;
        if let Some(finder) = &self.finder {
            finder.cancel();
        }
    }

    /// Makes the next attempt if it is time, and returns what an earlier one has found.
    pub fn advance(&mut self, now: Duration, wanted: Option<&str>) -> Option<Opened> {
        let found = self.take_answer(now);
        if let State::Waiting(at, wait) = self.state
            && now >= at
            && found.is_none()
        {
            let (opener, wake) = (&self.opener, &self.wake);
            let finder = self
                .finder
                .get_or_insert_with(|| start_finder(opener, wake));
            finder.submit(wanted.map(str::to_owned));
            self.state = State::Asking(wait);
        }
        found
    }

    fn take_answer(&mut self, now: Duration) -> Option<Opened> {
        let answer = self.finder.as_ref()?.take()?;
        let State::Asking(wait) = self.state else {
            return None;
        };
        let longer = (2 * wait).min(LONGEST);
        self.state = State::Waiting(now + wait, longer);
        answer.map(|opened| *opened)
    }

    /// How long until the next attempt, if there is to be one.
    pub fn rests_for(&self, now: Duration) -> Option<Duration> {
        match self.state {
            State::Waiting(at, _) => Some(at.saturating_sub(now)),
            // The answer wakes the window.
            State::Idle | State::Asking(_) => None,
        }
    }

    /// Whether an attempt is under way.
    #[cfg(test)]
    pub const fn is_asking(&self) -> bool {
        matches!(self.state, State::Asking(_))
    }
}

fn start_finder(opener: &Opener, wake: &Wake) -> Finder {
    let opener = Opener::clone(opener);
    Worker::start(
        "find-output",
        Wake::clone(wake),
        move |wanted: Option<String>, desk| {
            let opened = open_wanted(&opener, wanted.as_deref());
            desk.reply(opened.ok().map(Box::new));
        },
        |_| None,
    )
}
