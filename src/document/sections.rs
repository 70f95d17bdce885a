//! Sections as wholes: which one a bar is in, and edits that name, put, take away, move, divide and
//! join them. Bars go along with everything in them; what sounds on over a section's edge is the
//! session's care.

use super::edit::Edit;
use super::edit::EditError;
use super::types::Document;
use super::types::MAX_BARS;
use super::types::Section;
use std::sync::Arc;

/// A section by its place in the tune.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SectionPlace {
    /// Its number from 0.
    pub idx: usize,
    /// Its first bar.
    pub first: usize,
    /// Its last bar.
    pub last: usize,
}

impl Document {
    /// The section a bar is in.
    #[must_use]
    pub fn section_place(&self, bar: usize) -> Option<SectionPlace> {
        self.section_places()
            .find(|place| (place.first..=place.last).contains(&bar))
    }

    /// Every section with its bars, in order.
    pub fn section_places(&self) -> impl Iterator<Item = SectionPlace> {
        let mut next = 0;
        self.sections.iter().enumerate().map(move |(idx, section)| {
            let first = next;
            next += section.bars.len();
            let last = next.saturating_sub(1);
            SectionPlace { idx, first, last }
        })
    }

    fn rename_section(&mut self, idx: usize, name: &str) -> Result<(), EditError> {
        let missing = self.no_such_section(idx);
        let section = self.sections.get_mut(idx).ok_or(missing)?;
        if section.name != name {
            Arc::make_mut(section).name = name.into();
        }
        Ok(())
    }

    fn put_section(&mut self, before: usize, new: &Section) -> Result<(), EditError> {
        if before > self.sections.len() {
            return Err(self.no_such_section(before));
        }
        if new.bars.is_empty() {
            return Err(EditError::OutOfRange {
                what: "a section",
                range: "at least one bar long",
            });
        }
        if self.n_bars().saturating_add(new.bars.len()) > MAX_BARS {
            return Err(EditError::TooManyBars);
        }
        self.sections.insert(before, Arc::new(new.clone()));
        Ok(())
    }

    fn delete_section(&mut self, idx: usize) -> Result<(), EditError> {
        if idx >= self.sections.len() {
            return Err(self.no_such_section(idx));
        }
        self.sections.remove(idx);
        Ok(())
    }

    fn move_section(&mut self, from: usize, to: usize) -> Result<(), EditError> {
        if let Some(missing) = [from, to].into_iter().find(|i| *i >= self.sections.len()) {
            return Err(self.no_such_section(missing));
        }
        let section = self.sections.remove(from);
        self.sections.insert(to, section);
        Ok(())
    }

    fn divide_section(&mut self, bar: usize, name: &str) -> Result<(), EditError> {
        let place = self.section_place(bar).ok_or(EditError::NoSuchBar {
            bar,
            n_bars: self.n_bars(),
        })?;
        if place.first == bar {
            return Err(EditError::BeginsAlready { bar });
        }
        if let Some(section) = self.sections.get_mut(place.idx) {
            let bars = Arc::make_mut(section).bars.split_off(bar - place.first);
            let name = name.into();
            let rest = Section { name, bars };
            self.sections.insert(place.idx + 1, Arc::new(rest));
        }
        Ok(())
    }

    fn join_section(&mut self, idx: usize) -> Result<(), EditError> {
        let missing = self.no_such_section(idx);
        if idx == 0 || idx >= self.sections.len() {
            return Err(missing);
        }
        let section = self.sections.remove(idx);
        let before = self.sections.get_mut(idx - 1).ok_or(missing)?;
        Arc::make_mut(before)
            .bars
            .extend(section.bars.iter().cloned());
        Ok(())
    }

    /// Carries out what concerns whole sections; other edits are left to others.
    pub(super) fn change_sections(&mut self, edit: &Edit) -> Result<(), EditError> {
        match edit {
            Edit::RenameSection { section, name } => self.rename_section(*section, name),
            Edit::PutSection { before, section } => self.put_section(*before, section),
            Edit::DeleteSection { section } => self.delete_section(*section),
            Edit::MoveSection { from, to } => self.move_section(*from, *to),
            Edit::DivideSection { bar, name } => self.divide_section(*bar, name),
            Edit::JoinSection { section } => self.join_section(*section),
            _ => Ok(()),
        }
    }

    fn no_such_section(&self, section: usize) -> EditError {
        EditError::NoSuchSection {
            section,
            n_sections: self.sections.len(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Bar;

    /// Sections as `A2 B1`: name and number of bars.
    fn tune(text: &str) -> Document {
        let section = |word: &str| {
            let (name, n) = word.split_at(1);
            Arc::new(Section {
                name: name.into(),
                bars: vec![Bar::default(); n.parse().expect("a number")],
            })
        };
        Document {
            sections: text.split_whitespace().map(section).collect(),
            ..Document::default()
        }
    }

    fn words(document: &Document) -> String {
        let word = |section: &Arc<Section>| format!("{}{}", section.name, section.bars.len());
        document
            .sections
            .iter()
            .map(word)
            .collect::<Vec<_>>()
            .join(" ")
    }

    #[test]
    fn sections_are_named_put_moved_divided_joined_and_deleted() {
        let new = Section {
            name: "C".into(),
            bars: vec![Bar::default(); 3],
        };
        let before = tune("A4 B2");
        for (edit, after) in [
            (
                Edit::RenameSection {
                    section: 1,
                    name: "X".into(),
                },
                "A4 X2",
            ),
            (
                Edit::PutSection {
                    before: 2,
                    section: new.clone(),
                },
                "A4 B2 C3",
            ),
            (
                Edit::PutSection {
                    before: 0,
                    section: new,
                },
                "C3 A4 B2",
            ),
            (Edit::MoveSection { from: 0, to: 1 }, "B2 A4"),
            (
                Edit::DivideSection {
                    bar: 1,
                    name: "D".into(),
                },
                "A1 D3 B2",
            ),
            (Edit::JoinSection { section: 1 }, "A6"),
            (Edit::DeleteSection { section: 0 }, "B2"),
        ] {
            let done = before.apply(&edit).expect("a valid edit");
            assert_eq!(words(&done), after, "{edit:?}");
        }
    }

    #[test]
    fn what_is_not_there_is_refused() {
        let tune = tune("A4 B2");
        for edit in [
            Edit::DeleteSection { section: 2 },
            Edit::JoinSection { section: 0 },
            Edit::MoveSection { from: 0, to: 2 },
            Edit::DivideSection {
                bar: 4,
                name: String::new(),
            },
            Edit::DivideSection {
                bar: 6,
                name: String::new(),
            },
            Edit::PutSection {
                before: 0,
                section: Section::default(),
            },
        ] {
            assert!(tune.apply(&edit).is_err(), "{edit:?}");
        }
    }

    #[test]
    fn a_bar_is_in_one_section() {
        let tune = tune("A4 B2");
        let place = tune.section_place(4).expect("a bar");
        assert_eq!((place.idx, place.first, place.last), (1, 4, 5));
        assert_eq!(tune.section_place(6), None);
    }
}
