//! What the user is told: notices that stay until they are dismissed, those that merely inform until
//! the tune is changed; the same words once at a time.
//! Of a sound output that goes and comes only the latest stands, and of what merely informs the
//! oldest makes room.

use super::Session;
use super::player::News;
use super::status::Notice;
use super::status::NoticeKind;

/// Informative notices that are kept; older ones make room.
const MOST_INFORMING: usize = 6;

/// What is shown, oldest first.
#[derive(Default)]
pub struct Notices {
    shown: Vec<Notice>,
    next: u64,
    /// What was last said about an output that went or came.
    about_output: Option<u64>,
}

impl Notices {
    /// All that is shown, oldest first.
    pub fn shown(&self) -> &[Notice] {
        &self.shown
    }

    /// Takes one away, if it is still shown.
    pub fn dismiss(&mut self, id: u64) {
        self.shown.retain(|notice| notice.id != id);
    }

    /// Takes away all of a kind.
    pub fn dismiss_all(&mut self, kind: NoticeKind) {
        self.shown.retain(|notice| notice.kind != kind);
    }

    fn tell(&mut self, kind: NoticeKind, text: String) {
        if self.shown.iter().any(|notice| notice.text == text) {
            return;
        }
        let id = self.next;
        self.shown.push(Notice { id, kind, text });
        self.next += 1;
        let informs = |notice: &Notice| notice.kind == NoticeKind::Info;
        let n_informing = self.shown.iter().filter(|notice| informs(notice)).count();
        if n_informing > MOST_INFORMING
            && let Some(oldest) = self.shown.iter().position(informs)
        {
            self.shown.remove(oldest);
        }
    }

    fn tell_of_output(&mut self, kind: NoticeKind, text: String) {
        if let Some(before) = self.about_output.take() {
            self.dismiss(before);
        }
        self.tell(kind, text);
        self.about_output = self.shown.last().map(|notice| notice.id);
    }
}

impl Session {
    /// Notices that are still shown, oldest first.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        self.notices.shown()
    }

    /// Tells the user something. The same words are not said twice at a time.
    pub(super) fn notify(&mut self, kind: NoticeKind, text: String) {
        self.notices.tell(kind, text);
    }

    /// Tells what became of the sound.
    pub(super) fn tell_news(&mut self, news: News) {
        match news {
            News::Trouble(text) => self.notices.tell(NoticeKind::Warning, text),
            News::Lost(text) => self.notices.tell_of_output(NoticeKind::Warning, text),
            News::Back(text) => self.notices.tell_of_output(NoticeKind::Info, text),
        }
    }
}
