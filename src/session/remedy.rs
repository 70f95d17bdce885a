//! Takes a remedy of a finding: turns the fix, which knows only bars, places and shapes, into one
//! edit of the document and says what to select, so that the user sees what has changed. A fix
//! that no longer fits the document makes no edit.

use super::Action;
use super::Session;
use super::plucks_of;
use super::status::NoticeKind;
use super::status::Selection;
use crate::arrange::Fix;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::BarLine;
use crate::document::Document;
use crate::document::Edit;
use crate::document::LineSettings;
use crate::document::ThumbCell;
use crate::instrument::Hand;
use crate::theory::Articulation;
use crate::theory::Harmony;
use crate::theory::MoveSet;
use crate::theory::Pluck;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// Fingers that pluck with the little finger.
const WITH_LITTLE_FINGER: u8 = 4;

impl Session {
    /// Makes the change as one step of undo and selects where it is seen.
    pub(super) fn take_remedy(&mut self, fix: &Fix) {
        let Some(edit) = edit_of(self.document(), fix) else {
            let text = "this remedy was for an older chart; look at the findings again".into();
            self.notify(NoticeKind::Info, text);
            return;
        };
        if let Some((lane, place)) = seen_at(self.document(), fix) {
            self.act(Action::Select(Selection {
                lane,
                place,
                to_bar: None,
            }));
        }
        self.act(Action::EndStep);
        self.act(Action::Edit(edit));
        self.act(Action::EndStep);
    }
}

/// The edit that makes a fix; `None` if the document has nothing there any more.
fn edit_of(document: &Document, fix: &Fix) -> Option<Edit> {
    let hand = |change: &dyn Fn(&mut Hand)| {
        let mut hand = (*document.hand).clone();
        change(&mut hand);
        Edit::SetHand(hand)
    };
    let line = |change: &dyn Fn(&mut LineSettings)| {
        let mut line = document.line.clone();
        change(&mut line);
        Edit::SetLine(line)
    };
    let thumb = |place: Place, cell| Edit::SetThumb {
        bar: place.bar,
        at: place.at,
        cell,
    };
    Some(match fix {
        Fix::LeaveThumb(place) => thumb(*place, None),
        Fix::RestThumb(place) => thumb(*place, Some(ThumbCell::Move(ThumbMove::Rest))),
        Fix::LeaveShape { bar, chord_idx } => Edit::SetShape {
            bar: *bar,
            chord_idx: *chord_idx,
            shape: None,
        },
        Fix::UseShape {
            bar,
            chord_idx,
            shape,
        } => Edit::SetShape {
            bar: *bar,
            chord_idx: *chord_idx,
            shape: Some(*shape),
        },
        Fix::ShortenPluck(place) => plucks(document, *place, |pluck| {
            pluck.articulation = Articulation::Short;
            true
        })?,
        Fix::RemovePluck(place) => plucks(document, *place, |_| false)?,
        Fix::AllowBarre => hand(&|hand| hand.barre = true),
        Fix::AllowOpenStrings => line(&|line| line.open_strings = true),
        Fix::PluckWithFour => hand(&|hand| hand.plucking_fingers = WITH_LITTLE_FINGER),
        Fix::SwitchRuleOff(rule) => line(&|line| line.rules_off = line.rules_off.with(*rule)),
        Fix::AllowAllMoves { bar } => Edit::SetBarLine {
            bar: *bar,
            line: BarLine {
                moves: Some(MoveSet::ALL),
                ..document.bar(*bar)?.line
            },
        },
        Fix::UnlockBar { bar } => Edit::Together {
            label: format!("Leave the thumb of bar {} to the tool", bar + 1),
            edits: document
                .bar(*bar)?
                .thumb
                .iter()
                .map(|(at, _)| thumb(Place { bar: *bar, at: *at }, None))
                .collect(),
        },
        Fix::PlainerChord {
            bar,
            chord_idx,
            text,
        } => Edit::SetHarmony {
            bar: *bar,
            at: chord_start(document, *bar, *chord_idx)?,
            harmony: Some(Harmony::parse(text).ok()?),
        },
        Fix::RemoveSlide(place) => Edit::SetSlide {
            bar: place.bar,
            at: place.at,
            slide: None,
        },
    })
}

/// Where a fix is seen in the grid; `None` if it concerns the whole tune.
fn seen_at(document: &Document, fix: &Fix) -> Option<(Lane, Place)> {
    match fix {
        Fix::LeaveThumb(place) | Fix::RestThumb(place) => Some((Lane::Thumb, *place)),
        Fix::ShortenPluck(place) | Fix::RemovePluck(place) | Fix::RemoveSlide(place) => {
            Some((Lane::Fingers, *place))
        }
        Fix::LeaveShape { bar, chord_idx }
        | Fix::UseShape { bar, chord_idx, .. }
        | Fix::PlainerChord { bar, chord_idx, .. } => {
            let at = chord_start(document, *bar, *chord_idx)?;
            Some((Lane::Fingers, Place { bar: *bar, at }))
        }
        Fix::AllowAllMoves { bar } | Fix::UnlockBar { bar } => {
            let at = Ticks(0);
            Some((Lane::Thumb, Place { bar: *bar, at }))
        }
        Fix::AllowBarre | Fix::AllowOpenStrings | Fix::PluckWithFour | Fix::SwitchRuleOff(_) => {
            None
        }
    }
}

fn chord_start(document: &Document, bar: usize, chord_idx: usize) -> Option<Ticks> {
    let chord = document.bar(bar)?.chords.get(chord_idx)?;
    Some(chord.at)
}

/// The strikes of a bar with one of them changed, or gone if `change` says no.
fn plucks(document: &Document, place: Place, change: impl Fn(&mut Pluck) -> bool) -> Option<Edit> {
    let bar = document.bar(place.bar)?;
    let mut plucks = plucks_of(document, bar);
    plucks.iter().find(|pluck| pluck.at == place.at)?;
    plucks.retain_mut(|pluck| pluck.at != place.at || change(pluck));
    Some(Edit::SetPlucks {
        bar: place.bar,
        plucks: Some(plucks),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Bar;
    use crate::document::ChordAt;
    use crate::document::Section;
    use crate::instrument::Shape;
    use crate::theory::Rule;
    use crate::theory::Side;
    use crate::theory::Slide;
    use crate::theory::Sliding;
    use std::sync::Arc;

    const SLIDE: Slide = Slide {
        what: Sliding::WholeGrip,
        from: Side::Below,
    };

    /// One bar of C with everything in it that a fix can change.
    fn document() -> Document {
        let bar = Bar {
            chords: vec![ChordAt {
                at: Ticks(0),
                harmony: Harmony::parse("C13(b9)").expect("a chord"),
                shape: Shape::parse("x32010"),
            }],
            thumb: vec![
                (Ticks(0), ThumbCell::Move(ThumbMove::Third)),
                (Ticks(960), ThumbCell::Move(ThumbMove::Fifth)),
            ],
            plucks: Some(vec![Pluck::new(Ticks(960), Articulation::Ring)]),
            slides: vec![(Ticks(960), SLIDE)],
            ..Bar::default()
        };
        let section = Section {
            name: String::new(),
            bars: vec![bar],
        };
        let mut document = Document {
            sections: vec![Arc::new(section)],
            ..Document::default()
        };
        document.line.open_strings = false;
        let hand = Arc::make_mut(&mut document.hand);
        hand.barre = false;
        document
    }

    #[test]
    fn every_fix_changes_what_it_names_and_nothing_else() {
        let place = Place {
            bar: 0,
            at: Ticks(960),
        };
        let shape = Shape::parse("x3233x").expect("a shape");
        let chord = |document: &Document| document.bar(0).map(|bar| bar.chords[0].clone());
        let bar = |document: &Document| document.bar(0).cloned().unwrap_or_default();
        let text = "C7".to_owned();
        type Check<'a> = &'a dyn Fn(&Document) -> bool;
        let rows: [(Fix, Check<'_>); 14] = [
            (Fix::LeaveThumb(place), &|d| bar(d).thumb.len() == 1),
            (Fix::RestThumb(place), &|d| {
                bar(d).thumb[1].1 == ThumbCell::Move(ThumbMove::Rest)
            }),
            (
                Fix::LeaveShape {
                    bar: 0,
                    chord_idx: 0,
                },
                &|d| chord(d).is_some_and(|c| c.shape.is_none()),
            ),
            (
                Fix::UseShape {
                    bar: 0,
                    chord_idx: 0,
                    shape,
                },
                &|d| chord(d).is_some_and(|c| c.shape == Some(shape)),
            ),
            (Fix::ShortenPluck(place), &|d| {
                bar(d).plucks == Some(vec![Pluck::new(Ticks(960), Articulation::Short)])
            }),
            (Fix::RemovePluck(place), &|d| {
                bar(d).plucks == Some(Vec::new())
            }),
            (Fix::AllowBarre, &|d| d.hand.barre),
            (Fix::AllowOpenStrings, &|d| d.line.open_strings),
            (Fix::PluckWithFour, &|d| d.hand.plucking_fingers == 4),
            (Fix::SwitchRuleOff(Rule::FreshBars), &|d| {
                d.line.rules_off.iter().eq([Rule::FreshBars])
            }),
            (Fix::AllowAllMoves { bar: 0 }, &|d| {
                bar(d).line.moves == Some(MoveSet::ALL)
            }),
            (Fix::UnlockBar { bar: 0 }, &|d| bar(d).thumb.is_empty()),
            (
                Fix::PlainerChord {
                    bar: 0,
                    chord_idx: 0,
                    text,
                },
                &|d| chord(d).is_some_and(|c| c.harmony == Harmony::parse("C7").expect("C7")),
            ),
            (Fix::RemoveSlide(place), &|d| bar(d).slides.is_empty()),
        ];
        let before = document();
        for (fix, done) in rows {
            assert!(!done(&before), "{fix:?} would change nothing");
            let edit = edit_of(&before, &fix).unwrap_or_else(|| panic!("{fix:?}"));
            let after = before
                .apply(&edit)
                .unwrap_or_else(|e| panic!("{fix:?}: {e}"));
            assert!(done(&after), "{fix:?}");
            assert_eq!((after.n_bars(), after.key), (1, before.key));
        }
    }
}
