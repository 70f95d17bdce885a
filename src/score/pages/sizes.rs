//! Sizes of everything on a sheet, in millimetres, in one place. The tab staff is 1.5 normal
//! staff spaces between lines and a normal staff of this size would be 7 mm tall, within what
//! parts are printed at (sources: Gould, Behind Bars, from memory; common practice). Numbers
//! only; layout decides where things go.

use super::pen::Lettering;
use crate::score::fonts::Cut;

/// One normal staff space.
pub const SPACE: f64 = 1.75;
/// Between two string lines.
pub const STRING_GAP: f64 = 1.5 * SPACE;
/// Staff space of stems, flags and rests outside the staff.
pub const RHYTHM_SPACE: f64 = 1.3;
/// From the outer string line to where stems begin.
pub const STEM_GAP: f64 = 1.5;
/// Length of stems outside the staff.
pub const STEM_LENGTH: f64 = 3.4 * RHYTHM_SPACE;
/// The same where a page is to be saved.
pub const STEM_LENGTH_CLOSE: f64 = 2.9 * RHYTHM_SPACE;
/// Left and right margin of the paper.
pub const SIDE_MARGIN: f64 = 15.0;
/// Top margin.
pub const TOP_MARGIN: f64 = 14.0;
/// Bottom margin, to the baseline of the foot.
pub const BOTTOM_MARGIN: f64 = 13.0;
/// Kept free above the foot.
pub const FOOT_HEIGHT: f64 = 7.0;
/// White between the lowest sign of the notation staff and the highest fret digit of the tab.
pub const STAVES_GAP: f64 = 3.2;
/// The same where a page is to be saved.
pub const STAVES_GAP_CLOSE: f64 = 2.2;
/// From the bracket to the staves.
pub const BRACKET_GAP: f64 = 0.75;
/// What a system with a bracket is moved to the right.
pub const BRACKET_WIDTH: f64 = 2.0;
/// Between systems.
pub const SYSTEM_GAP: f64 = 5.5;
/// From a bar line to the first digit's box.
pub const BAR_PAD: f64 = 2.0;
/// Extra room beside a repeat sign.
pub const REPEAT_PAD: f64 = 2.6;
/// Width of an eighth's column before justification.
pub const EIGHTH_WIDTH: f64 = 6.0;
/// Least white between two columns.
pub const COLUMN_GAP: f64 = 0.9;
/// From the clef's left end to the first bar.
pub const CLEF_WIDTH: f64 = 5.6;
/// Staff space of the time signature.
pub const TIME_SPACE: f64 = 0.82 * STRING_GAP;
/// White after the time signature.
pub const TIME_PAD: f64 = 1.6;

/// Between two strings of a chord diagram.
pub const DIAGRAM_STRING: f64 = 2.0;
/// Between two frets of a chord diagram.
pub const DIAGRAM_FRET: f64 = 2.35;
/// The same where a page is to be saved.
pub const DIAGRAM_FRET_CLOSE: f64 = 2.1;
/// Radius of a dot.
pub const DIAGRAM_DOT: f64 = 0.78;

/// Fret digits: 1.3 normal spaces tall.
pub const DIGIT: Lettering = Lettering::new(Cut::Bold, 3.15);
/// The fret a slide comes from.
pub const GRACE_DIGIT: Lettering = Lettering::new(Cut::Bold, 2.4);
/// Left-hand fingers beside digits.
pub const FINGER: Lettering = Lettering::new(Cut::Regular, 2.2);
/// White between a finger and its digit.
pub const FINGER_GAP: f64 = 0.2;
/// How far a finger's middle lies above the string line.
pub const FINGER_LIFT: f64 = 0.5;
/// Right-hand letters.
pub const PLUCK: Lettering = Lettering::new(Cut::Italic, 2.9);
/// Codes of thumb moves.
pub const MOVE: Lettering = Lettering::new(Cut::Regular, 3.0);
/// Chord symbols: root.
pub const SYMBOL: Lettering = Lettering::new(Cut::Bold, 4.9);
/// Chord symbols: what follows the root.
pub const SYMBOL_TAIL: Lettering = Lettering::new(Cut::Bold, 4.0);
/// Section names.
pub const SECTION: Lettering = Lettering::new(Cut::Bold, 4.2);
/// Endings and how often to repeat.
pub const ENDING: Lettering = Lettering::new(Cut::Bold, 3.4);
/// The three of a triplet outside the tab.
pub const TAB_TRIPLET: Lettering = Lettering::new(Cut::Italic, 2.6);
/// The three of a triplet on the notation staff.
pub const STAFF_TRIPLET: Lettering = Lettering::new(Cut::Italic, 3.0);
/// The three of the swing's equation.
pub const FEEL_TRIPLET: Lettering = Lettering::new(Cut::Italic, 2.3);
/// Bar numbers.
pub const BAR_NUMBER: Lettering = Lettering::new(Cut::Italic, 2.7);
/// The title, in the first of these sizes in which it needs at most two lines.
pub const TITLES: [Lettering; 4] = [
    Lettering::new(Cut::Bold, 8.2),
    Lettering::new(Cut::Bold, 7.2),
    Lettering::new(Cut::Bold, 6.2),
    Lettering::new(Cut::Bold, 5.4),
];
/// Who wrote it.
pub const CREDITS: Lettering = Lettering::new(Cut::Italic, 3.7);
/// Key, metre, tempo.
pub const FACTS: Lettering = Lettering::new(Cut::Regular, 3.7);
/// Words for the student.
pub const LESSON: Lettering = Lettering::new(Cut::Regular, 3.6);
/// Legend.
pub const LEGEND: Lettering = Lettering::new(Cut::Regular, 3.1);
/// Foot of the page.
pub const FOOT: Lettering = Lettering::new(Cut::Regular, 2.6);
/// Digits and marks of a chord diagram.
pub const DIAGRAM_TEXT: Lettering = Lettering::new(Cut::Regular, 2.4);
