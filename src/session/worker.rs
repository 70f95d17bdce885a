//! One background thread with a mailbox of one slot. A new job replaces the waiting one and tells
//! the running one to stop; replies come back through a bounded channel and wake the window. The
//! caller never waits, except in tests and in batch work.

use super::Wake;
use std::panic::AssertUnwindSafe;
use std::panic::catch_unwind;
use std::sync::Arc;
use std::sync::Condvar;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::SyncSender;
use std::sync::mpsc::sync_channel;
use std::thread::Builder;
use std::thread::JoinHandle;
use std::time::Duration;

/// Replies that may wait to be taken.
const REPLIES: usize = 64;

/// What a job sees of the world: whether to go on, and where replies go.
pub struct Desk<'a, R> {
    cancel: &'a AtomicBool,
    replies: &'a SyncSender<R>,
    wake: &'a Wake,
}

impl<R> Desk<'_, R> {
    /// Whether the job is still wanted.
    #[must_use]
    pub fn is_wanted(&self) -> bool {
        !self.cancel.load(Ordering::Relaxed)
    }

    /// Sends a reply and wakes the window. Nobody listening is no fault.
    pub fn reply(&self, reply: R) {
        if self.replies.send(reply).is_ok() {
            (self.wake)();
        }
    }

    /// Sends a reply if there is room, for progress that may be skipped.
    pub fn reply_if_room(&self, reply: R) {
        if self.replies.try_send(reply).is_ok() {
            (self.wake)();
        }
    }
}

/// The slot, the end of work, and the flag of the job that runs.
struct Mailbox<J> {
    job: Option<J>,
    closed: bool,
    cancel: Arc<AtomicBool>,
}

type Shared<J> = Arc<(Mutex<Mailbox<J>>, Condvar)>;

/// A background thread that does one job after the other, the newest first.
pub struct Worker<J, R> {
    mailbox: Shared<J>,
    replies: Option<Receiver<R>>,
    thread: Option<JoinHandle<()>>,
}

impl<J: Send + 'static, R: Send + 'static> Worker<J, R> {
    /// Starts a thread. `work` does a job; `fault` makes a reply of a bug in it, in words. Without
    /// threads on this machine (it happens under tight limits) jobs are never done, and say so.
    pub fn start(
        name: &str,
        wake: Wake,
        mut work: impl FnMut(J, &Desk<'_, R>) + Send + 'static,
        fault: fn(String) -> R,
    ) -> Self {
        let cancel = Arc::new(AtomicBool::new(false));
        let mailbox: Shared<J> = Arc::new((
            Mutex::new(Mailbox {
                job: None,
                closed: false,
                cancel,
            }),
            Condvar::new(),
        ));
        let (sender, receiver) = sync_channel(REPLIES);
        let shared = Arc::clone(&mailbox);
        let refused = sender.clone();
        let thread = Builder::new().name(name.into()).spawn(move || {
            while let Some((job, cancel)) = next_job(&shared) {
                let desk = Desk {
                    cancel: &cancel,
                    replies: &sender,
                    wake: &wake,
                };
                if let Err(panic) = catch_unwind(AssertUnwindSafe(|| work(job, &desk))) {
                    let words = panic.downcast_ref::<&str>().map(ToString::to_string);
                    let words = words.or_else(|| panic.downcast_ref::<String>().cloned());
                    desk.reply(fault(words.unwrap_or_else(|| "no reason given".into())));
                }
            }
        });
        if let Err(error) = &thread {
            // There is room: nothing has been sent yet.
            refused
                .try_send(fault(format!("no background thread: {error}")))
                .unwrap_or(());
        }
        Self {
            mailbox,
            replies: Some(receiver),
            thread: thread.ok(),
        }
    }

    /// Puts a job into the slot. A waiting one is dropped, a running one told to stop.
    pub fn submit(&self, job: J) {
        let (lock, bell) = &*self.mailbox;
        let mut mailbox = lock_anyway(lock);
        mailbox.cancel.store(true, Ordering::Relaxed);
        mailbox.job = Some(job);
        bell.notify_one();
    }

    /// Drops the waiting job and tells the running one to stop.
    pub fn cancel(&self) {
        let mut mailbox = lock_anyway(&self.mailbox.0);
        mailbox.cancel.store(true, Ordering::Relaxed);
        mailbox.job = None;
    }

    /// The next reply, if one is there.
    #[must_use]
    pub fn take(&self) -> Option<R> {
        self.replies.as_ref()?.try_recv().ok()
    }

    /// The next reply, waiting at most so long.
    #[must_use]
    pub fn wait(&self, at_most: Duration) -> Option<R> {
        self.replies.as_ref()?.recv_timeout(at_most).ok()
    }
}

impl<J, R> Drop for Worker<J, R> {
    fn drop(&mut self) {
        {
            let mut mailbox = lock_anyway(&self.mailbox.0);
            mailbox.closed = true;
            mailbox.job = None;
            mailbox.cancel.store(true, Ordering::Relaxed);
        }
        self.mailbox.1.notify_all();
        // A job that waits to send must not keep us waiting.
        self.replies = None;
        if let Some(thread) = self.thread.take() {
            // A panic was already turned into a reply; there is nothing left to report.
            thread.join().unwrap_or(());
        }
    }
}

fn next_job<J>(shared: &Shared<J>) -> Option<(J, Arc<AtomicBool>)> {
    let (lock, bell) = &**shared;
    let mut mailbox = lock_anyway(lock);
    loop {
        if mailbox.closed {
            return None;
        }
        if let Some(job) = mailbox.job.take() {
            let cancel = Arc::new(AtomicBool::new(false));
            mailbox.cancel = Arc::clone(&cancel);
            return Some((job, cancel));
        }
        mailbox = bell.wait(mailbox).unwrap_or_else(PoisonError::into_inner);
    }
}

/// The mailbox holds no half-made state, so a poisoned lock is as good as any.
pub(super) fn lock_anyway<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicUsize;

    fn silent() -> Wake {
        Arc::new(|| {})
    }

    const LONG: Duration = Duration::from_secs(20);

    #[test]
    fn replies_come_back_and_wake_the_window() {
        let woken = Arc::new(AtomicUsize::new(0));
        let counter = Arc::clone(&woken);
        let wake: Wake = Arc::new(move || {
            counter.fetch_add(1, Ordering::Relaxed);
        });
        let worker = Worker::start(
            "test",
            wake,
            |job: u32, desk| desk.reply(job * 2),
            |_| u32::MAX,
        );
        worker.submit(21);
        assert_eq!(worker.wait(LONG), Some(42));
        drop(worker);
        assert_eq!(woken.load(Ordering::Relaxed), 1);
    }

    #[test]
    fn a_newer_job_stops_the_running_one() {
        let worker = Worker::start(
            "test",
            silent(),
            |job: u32, desk| {
                desk.reply(job);
                while job == 1 && desk.is_wanted() {
                    std::thread::yield_now();
                }
                desk.reply(job + 10);
            },
            |_| u32::MAX,
        );
        worker.submit(1);
        assert_eq!(worker.wait(LONG), Some(1));
        worker.submit(2);
        let replies: Vec<_> = (0..3).map(|_| worker.wait(LONG)).collect();
        assert_eq!(replies, [Some(11), Some(2), Some(12)]);
    }

    #[test]
    fn a_bug_in_a_job_is_a_reply_and_the_next_job_is_done() {
        let work = |job: u32, desk: &Desk<'_, String>| {
            assert!(job != 13, "unlucky");
            desk.reply(format!("did {job}"));
        };
        let worker = Worker::start("test", silent(), work, |fault| format!("fault: {fault}"));
        worker.submit(13);
        assert_eq!(worker.wait(LONG), Some("fault: unlucky".into()));
        worker.submit(14);
        assert_eq!(worker.wait(LONG), Some("did 14".into()));
    }
}
