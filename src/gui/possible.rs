//! Which commands can be carried out now, and if one can't, why not in a few words. Menus and the
//! strip of commands show it; nothing relies on it, since the session refuses in its own words.

use super::actions::Page;
use super::grid::fingers;
use super::grid::model;
use super::shortcuts;
use super::shortcuts::Deed;
use super::shortcuts::Scope;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::session::Area;
use crate::session::Beside;
use crate::session::LadderStatus;
use crate::session::SectionDeed;
use crate::session::Session;
use crate::session::candidates;

/// What is known about the moment.
#[derive(Clone, Copy)]
pub struct Now<'a> {
    /// The session.
    pub session: &'a Session,
    /// The page in the place of the work, if one is open.
    pub page: Option<Page>,
    /// Whether anything was looked for.
    pub looked_for: bool,
}

impl Now<'_> {
    /// Why a command can't be carried out now; `None` if it can.
    #[must_use]
    pub fn why_not(&self, deed: Deed) -> Option<String> {
        self.without_tune(deed)
            .or_else(|| self.elsewhere(deed))
            .or_else(|| self.here(deed))
    }

    fn bars(&self) -> (usize, usize) {
        self.session.selection().bars()
    }

    /// What needs a chart.
    fn without_tune(&self, deed: Deed) -> Option<String> {
        let needs = match deed {
            Deed::New
            | Deed::Open
            | Deed::PasteChart
            | Deed::Preferences
            | Deed::Help
            | Deed::About
            | Deed::Theme
            | Deed::Side
            | Deed::Escape
            | Deed::Do
            | Deed::Undo
            | Deed::Redo
            | Deed::Click
            | Deed::CountIn
            | Deed::Area(_) => false,
            _ => self.session.document().n_bars() == 0,
        };
        needs.then(|| "write or open a chart first".into())
    }

    /// What needs the grid, or one of its lanes.
    fn elsewhere(&self, deed: Deed) -> Option<String> {
        let scope = shortcuts::row_of(deed)?.scope;
        if scope == Scope::Everywhere {
            return None;
        }
        if self.page.is_some() || self.session.area() != Area::Arrange {
            return Some("go to Arrange first".into());
        }
        let in_tune = self.session.selection().lane == Lane::Tune;
        match (scope, in_tune) {
            (Scope::TuneLane, false) => Some("go to the tune lane first".into()),
            (Scope::HandLanes | Scope::ThumbLane | Scope::FingersLane, true) => {
                let is_chord = matches!(deed, Deed::NewChord | Deed::RemoveChord);
                (!is_chord).then(|| "go to the fingers or the thumb lane first".into())
            }
            _ => None,
        }
    }

    /// What depends on what is selected.
    fn here(&self, deed: Deed) -> Option<String> {
        let session = self.session;
        let why = |impossible: bool, words: &str| impossible.then(|| words.to_owned());
        match deed {
            Deed::Do => Some("this is it".into()),
            Deed::Undo => why(
                session.undo_label().is_none(),
                "there is nothing to take back",
            ),
            Deed::Redo => why(
                session.redo_label().is_none(),
                "there is nothing to do again",
            ),
            Deed::Booklet => {
                let known = matches!(session.ladder(), LadderStatus::Known(_));
                why(!known, "make the ladder first")
            }
            Deed::Export | Deed::ExportSet => why(
                session.arrangement().is_none(),
                "wait until the arrangement is solved",
            ),
            Deed::Findings => {
                let none = session.arrangement().is_none_or(|a| a.findings.is_empty());
                why(none, "nothing was found")
            }
            Deed::FindStep(_) => why(!self.looked_for, "find something first"),
            Deed::UsePin(number) => {
                let pinned = usize::from(number) <= session.pins().len();
                why(!pinned, "pin a voicing in the list first")
            }
            _ => self.in_bars(deed).or_else(|| self.in_cell(deed)),
        }
    }

    fn in_bars(&self, deed: Deed) -> Option<String> {
        let session = self.session;
        let (first, last) = self.bars();
        let n_bars = session.document().n_bars();
        match deed {
            Deed::PasteBefore | Deed::PasteOver => {
                let none = session.clip().is_none();
                none.then(|| "copy bars first".into())
            }
            Deed::CutBars | Deed::DeleteBars if last - first + 1 >= n_bars => {
                Some("a tune keeps at least one bar".into())
            }
            Deed::RepeatToEnd => {
                let place = session.document().section_place(last);
                let ends = place.is_none_or(|place| place.last <= last);
                ends.then(|| "no bar of their section comes after them".into())
            }
            Deed::Fill(_) if first == last => Some("select several bars first".into()),
            _ => session.why_not_section(section_deed(deed)?),
        }
    }

    fn in_cell(&self, deed: Deed) -> Option<String> {
        let document = self.session.document();
        let place = self.session.selection().place;
        match deed {
            Deed::FindSame | Deed::HearGrip => {
                let chord = candidates::chord_at(document, place);
                chord.is_none().then(|| "there is no chord here".into())
            }
            Deed::RemoveChord => {
                let bar = document.bar(place.bar);
                let chords = bar.map(|bar| bar.chords.as_slice()).unwrap_or_default();
                let written = chords.iter().any(|chord| chord.at <= place.at);
                (!written).then(|| "no chord is written here in this bar".into())
            }
            Deed::NextSlide => {
                let chord = fingers::has_chord(document, place);
                (!chord).then(|| "there is no chord here".into())
            }
            Deed::Ahead => {
                let at = model::slot_of(document.meter, place.at);
                let slot = Place { at, ..place };
                let may =
                    fingers::is_ahead(self.session, slot) || fingers::can_be_ahead(document, slot);
                let why = "only the last off-beat before another chord can be struck early";
                (!may).then(|| why.into())
            }
            _ => None,
        }
    }
}

/// What a command does to the section of the selected bar; naming it asks for the name.
#[must_use]
pub const fn section_deed(deed: Deed) -> Option<SectionDeed> {
    Some(match deed {
        Deed::InsertSection(true) => SectionDeed::Insert(Beside::After),
        Deed::InsertSection(false) => SectionDeed::Insert(Beside::Before),
        Deed::DuplicateSection => SectionDeed::Duplicate,
        Deed::MoveSection(later) => SectionDeed::Move { later },
        Deed::DeleteSection => SectionDeed::Delete,
        Deed::BeginSection => SectionDeed::Begin,
        Deed::JoinSection => SectionDeed::Join,
        _ => return None,
    })
}
