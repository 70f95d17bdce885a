//! The outline of a PDF, which viewers show as bookmarks: every named section where it begins, the
//! lesson text and the movement table, in the order of the pages. Read off the marks, so it leads
//! to what is printed.

use super::point;
use crate::score::pages::Drawn;
use crate::score::pages::Meaning;
use crate::score::pages::Page;
use crate::score::pages::Spot;
use krilla::destination::XyzDestination;
use krilla::outline::Outline;
use krilla::outline::OutlineNode;

/// White left above the place that a bookmark leads to, in millimetres.
const AIR: f64 = 4.0;

/// One bookmark.
#[derive(Clone, PartialEq, Debug)]
pub struct Bookmark {
    /// Its words.
    pub words: String,
    /// The page, from 0.
    pub page: usize,
    /// How far down the page, in millimetres.
    pub y: f64,
}

/// The bookmarks of some pages.
#[must_use]
pub fn bookmarks(pages: &[Page]) -> Vec<Bookmark> {
    let mut all: Vec<Bookmark> = Vec::new();
    let (mut lesson, mut table) = (false, false);
    for (page_idx, page) in pages.iter().enumerate() {
        for mark in &page.marks {
            let Drawn::Text { text, .. } = &mark.drawn else {
                continue;
            };
            let words = match mark.meaning {
                Meaning::Section => text.clone(),
                Meaning::Lesson if !std::mem::replace(&mut lesson, true) => "Lesson text".into(),
                Meaning::Table if !std::mem::replace(&mut table, true) => text.clone(),
                _ => continue,
            };
            all.push(Bookmark {
                words,
                page: page_idx,
                y: (mark.bounds().top - AIR).max(0.0),
            });
        }
    }
    all
}

/// The outline with these bookmarks.
#[must_use]
pub fn outline(bookmarks: Vec<Bookmark>) -> Outline {
    let mut outline = Outline::new();
    for mark in bookmarks {
        let place = XyzDestination::new(mark.page, point(Spot::new(0.0, mark.y)));
        outline.push_child(OutlineNode::new(mark.words, place));
    }
    outline
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::Arrangement;
    use crate::document::Bar;
    use crate::document::Document;
    use crate::document::Section;
    use crate::score::pages;
    use crate::score::pages::PageOptions;
    use std::sync::Arc;

    #[test]
    fn sections_and_lesson_are_bookmarks_where_they_stand() {
        let section = |name: &str| {
            Arc::new(Section {
                name: name.into(),
                bars: vec![Bar::default(); 40],
            })
        };
        let document = Document {
            lesson_text: "Slowly.\nSofter.".into(),
            sections: vec![section("A"), section(""), section("Bridge")],
            ..Document::default()
        };
        let arrangement = Arrangement::default();
        let pages = pages::lay_out(&document, &arrangement, &PageOptions::default());
        let marks = bookmarks(&pages);
        let words: Vec<&str> = marks.iter().map(|m| m.words.as_str()).collect();
        assert_eq!(words, ["Lesson text", "A", "Bridge"]);
        assert!(
            marks
                .windows(2)
                .all(|m| (m[0].page, m[0].y) < (m[1].page, m[1].y))
        );
        assert!(marks[2].page > 0, "{marks:?}");
    }
}
