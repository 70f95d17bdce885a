//! The table of commands: what each is called, and the key it has, if it has one. Keys, menus, the
//! strip in which commands are looked up and the help page are all made from it.

use super::Shortcut;
use super::deed::Deed;
use super::deed::Scope;
use super::deed::Step;
use crate::score::rhythm::Value;
use crate::session::Area;
use crate::session::Fill;
use crate::session::TuneEntry;
use crate::theory::Articulation;
use crate::theory::Letter;
use crate::theory::ThumbMove;
use egui::Key;
use egui::Modifiers;

/// A thumb move by a key of the thumb lane.
const fn thumb(modifiers: Modifiers, key: Key, thumb_move: ThumbMove) -> Shortcut {
    row(
        THUMB,
        modifiers,
        key,
        Deed::Thumb(thumb_move),
        thumb_move.name(),
    )
}

const fn row(
    scope: Scope,
    modifiers: Modifiers,
    key: Key,
    deed: Deed,
    words: &'static str,
) -> Shortcut {
    Shortcut {
        scope,
        modifiers,
        key: Some(key),
        deed,
        words,
    }
}

/// A command without a key of its own.
const fn bare(scope: Scope, deed: Deed, words: &'static str) -> Shortcut {
    Shortcut {
        scope,
        modifiers: Modifiers::NONE,
        key: None,
        deed,
        words,
    }
}

const NONE: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;
const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers {
    shift: true,
    ..Modifiers::COMMAND
};
const ALT: Modifiers = Modifiers::ALT;
const EVERYWHERE: Scope = Scope::Everywhere;
const GRID: Scope = Scope::Grid;
const TUNE: Scope = Scope::TuneLane;
const HANDS: Scope = Scope::HandLanes;
const THUMB: Scope = Scope::ThumbLane;
const FINGERS: Scope = Scope::FingersLane;

/// The table.
#[rustfmt::skip]
pub const TABLE: &[Shortcut] = &[
    row(EVERYWHERE, NONE, Key::Space, Deed::Play, "play from the selected bar, or stop"),
    row(EVERYWHERE, NONE, Key::H, Deed::Hear, "hear the selected slot"),
    row(EVERYWHERE, SHIFT, Key::H, Deed::HearBar, "hear the selected bar"),
    row(EVERYWHERE, NONE, Key::V, Deed::HearGrip, "hear the grip in force"),
    row(EVERYWHERE, CTRL_SHIFT, Key::L, Deed::Loop, "loop on or off"),
    bare(EVERYWHERE, Deed::Click, "click on or off"),
    bare(EVERYWHERE, Deed::CountIn, "count-in on or off"),
    row(EVERYWHERE, CTRL, Key::Z, Deed::Undo, "undo"),
    row(EVERYWHERE, CTRL, Key::Y, Deed::Redo, "redo"),
    row(EVERYWHERE, CTRL_SHIFT, Key::Z, Deed::Redo, "redo"),
    row(EVERYWHERE, CTRL, Key::N, Deed::New, "new chart"),
    bare(EVERYWHERE, Deed::PasteChart, "paste a chart from the clipboard"),
    row(EVERYWHERE, CTRL, Key::O, Deed::Open, "open…"),
    row(EVERYWHERE, CTRL, Key::S, Deed::Save, "save"),
    row(EVERYWHERE, CTRL_SHIFT, Key::S, Deed::SaveAs, "save as…"),
    row(EVERYWHERE, CTRL, Key::E, Deed::Export, "export…"),
    bare(EVERYWHERE, Deed::ExportSet, "export several files at once…"),
    bare(EVERYWHERE, Deed::ClimbLadder, "make the ladder"),
    bare(EVERYWHERE, Deed::Drill, "start or stop the drill"),
    bare(EVERYWHERE, Deed::Booklet, "write the ladder as a booklet…"),
    row(EVERYWHERE, CTRL, Key::Enter, Deed::Do, "do anything by its name"),
    row(EVERYWHERE, CTRL, Key::F, Deed::Find, "find a chord, a move, a bar…"),
    row(EVERYWHERE, NONE, Key::F3, Deed::FindStep(true), "next place found"),
    row(EVERYWHERE, SHIFT, Key::F3, Deed::FindStep(false), "place found before"),
    row(EVERYWHERE, CTRL, Key::Num1, Deed::Area(Area::Arrange), "go to Arrange"),
    row(EVERYWHERE, CTRL, Key::Num2, Deed::Area(Area::Practice), "go to Practice"),
    row(EVERYWHERE, CTRL, Key::Num3, Deed::Area(Area::Sheet), "go to Sheet"),
    row(EVERYWHERE, CTRL, Key::L, Deed::Side, "show or close the left panel"),
    row(EVERYWHERE, CTRL, Key::K, Deed::Compare, "compare with another version"),
    bare(EVERYWHERE, Deed::Findings, "show or close the list of findings"),
    row(EVERYWHERE, CTRL_SHIFT, Key::D, Deed::Theme, "light or dark"),
    row(EVERYWHERE, CTRL, Key::Comma, Deed::Preferences, "preferences"),
    row(EVERYWHERE, NONE, Key::Questionmark, Deed::Help, "the page of shortcuts and cautions"),
    bare(EVERYWHERE, Deed::About, "what the program is made of"),
    row(EVERYWHERE, NONE, Key::Escape, Deed::Escape, "close or leave"),
    row(GRID, NONE, Key::ArrowLeft, Deed::Go(Step::Back), "one slot back"),
    row(GRID, NONE, Key::ArrowRight, Deed::Go(Step::On), "one slot on"),
    row(GRID, NONE, Key::ArrowUp, Deed::Go(Step::Up), "one lane up"),
    row(GRID, NONE, Key::ArrowDown, Deed::Go(Step::Down), "one lane down"),
    row(GRID, CTRL, Key::ArrowLeft, Deed::Go(Step::BarBack), "one bar back"),
    row(GRID, CTRL, Key::ArrowRight, Deed::Go(Step::BarOn), "one bar on"),
    row(GRID, NONE, Key::Home, Deed::Go(Step::First), "first bar"),
    row(GRID, NONE, Key::End, Deed::Go(Step::Last), "last bar"),
    row(GRID, NONE, Key::Menu, Deed::Menu, "commands for what is selected"),
    row(GRID, SHIFT, Key::F10, Deed::Menu, "commands for what is selected"),
    row(GRID, CTRL_SHIFT, Key::ArrowLeft, Deed::Extend(false), "select bars backwards"),
    row(GRID, CTRL_SHIFT, Key::ArrowRight, Deed::Extend(true), "select bars onwards"),
    row(GRID, NONE, Key::Enter, Deed::EditChord, "edit the chord"),
    row(GRID, CTRL_SHIFT, Key::F, Deed::FindSame, "find this chord everywhere"),
    row(GRID, ALT, Key::Num1, Deed::UsePin(1), "use the first pinned voicing"),
    row(GRID, ALT, Key::Num2, Deed::UsePin(2), "use the second pinned voicing"),
    row(GRID, ALT, Key::Num3, Deed::UsePin(3), "use the third pinned voicing"),
    row(GRID, ALT, Key::Num4, Deed::UsePin(4), "use the fourth pinned voicing"),
    row(GRID, SHIFT, Key::T, Deed::ToggleTune, "show the tune lane, or close it"),
    row(GRID, CTRL, Key::C, Deed::CopyBars, "copy the selected bars"),
    row(GRID, CTRL, Key::X, Deed::CutBars, "cut the selected bars"),
    row(GRID, CTRL, Key::V, Deed::PasteBars, "paste bars after the selected ones"),
    bare(GRID, Deed::PasteBefore, "paste bars before the selected ones"),
    bare(GRID, Deed::PasteOver, "paste bars over the selected ones"),
    row(GRID, CTRL, Key::D, Deed::DuplicateBars, "duplicate the selected bars"),
    bare(GRID, Deed::RepeatBars(2), "put two copies after the selected bars"),
    bare(GRID, Deed::RepeatBars(3), "put three copies after the selected bars"),
    bare(GRID, Deed::RepeatBars(7), "put seven copies after the selected bars"),
    row(GRID, CTRL, Key::R, Deed::RepeatToEnd, "repeat the bars to the end of the section"),
    row(GRID, ALT, Key::P, Deed::Fill(Fill::Plucks), "give the selected bars these plucks"),
    row(GRID, ALT, Key::T, Deed::Fill(Fill::Thumb), "give the selected bars these thumb moves"),
    row(GRID, ALT, Key::V, Deed::Fill(Fill::Voicings), "give the selected bars these voicings"),
    row(GRID, NONE, Key::Insert, Deed::InsertBar, "put an empty bar after the selected ones"),
    bare(GRID, Deed::InsertBefore, "put an empty bar before the selected ones"),
    row(GRID, CTRL, Key::Delete, Deed::DeleteBars, "delete the selected bars"),
    row(GRID, CTRL, Key::Backspace, Deed::DeleteBars, "delete the selected bars"),
    row(GRID, NONE, Key::F2, Deed::RenameSection, "name the section"),
    bare(GRID, Deed::InsertSection(true), "put a new section after this one"),
    bare(GRID, Deed::InsertSection(false), "put a new section before this one"),
    bare(GRID, Deed::DuplicateSection, "duplicate the section"),
    row(GRID, ALT, Key::ArrowUp, Deed::MoveSection(false), "move the section earlier"),
    row(GRID, ALT, Key::ArrowDown, Deed::MoveSection(true), "move the section later"),
    bare(GRID, Deed::DeleteSection, "delete the section"),
    bare(GRID, Deed::BeginSection, "begin a section with this bar"),
    bare(GRID, Deed::JoinSection, "join the section to the one before"),
    row(GRID, NONE, Key::L, Deed::Lock, "lock the cell or the selected bars, or unlock them"),
    row(GRID, NONE, Key::M, Deed::MuteLane, "mute the lane, or let it sound"),
    row(GRID, SHIFT, Key::M, Deed::SoloLane, "hear only this lane, or all"),
    row(GRID, NONE, Key::W, Deed::NextWay, "play the bar another way"),
    row(TUNE, NONE, Key::A, Deed::Tune(TuneEntry::Letter(Letter::A)), "write the note of the key nearest to the one before"),
    row(TUNE, NONE, Key::B, Deed::Tune(TuneEntry::Letter(Letter::B)), "write the note of the key nearest to the one before"),
    row(TUNE, NONE, Key::C, Deed::Tune(TuneEntry::Letter(Letter::C)), "write the note of the key nearest to the one before"),
    row(TUNE, NONE, Key::D, Deed::Tune(TuneEntry::Letter(Letter::D)), "write the note of the key nearest to the one before"),
    row(TUNE, NONE, Key::E, Deed::Tune(TuneEntry::Letter(Letter::E)), "write the note of the key nearest to the one before"),
    row(TUNE, NONE, Key::F, Deed::Tune(TuneEntry::Letter(Letter::F)), "write the note of the key nearest to the one before"),
    row(TUNE, NONE, Key::G, Deed::Tune(TuneEntry::Letter(Letter::G)), "write the note of the key nearest to the one before"),
    row(TUNE, NONE, Key::R, Deed::Tune(TuneEntry::Rest), "rest"),
    row(TUNE, NONE, Key::T, Deed::Tune(TuneEntry::Tie), "tie to the note before, or hold it on"),
    row(TUNE, NONE, Key::Num1, Deed::Tune(TuneEntry::Value(Value::Whole)), "whole note, for the next note or the selected one"),
    row(TUNE, NONE, Key::Num2, Deed::Tune(TuneEntry::Value(Value::Half)), "half note"),
    row(TUNE, NONE, Key::Num4, Deed::Tune(TuneEntry::Value(Value::Quarter)), "quarter note"),
    row(TUNE, NONE, Key::Num8, Deed::Tune(TuneEntry::Value(Value::Eighth)), "eighth note"),
    row(TUNE, NONE, Key::Num6, Deed::Tune(TuneEntry::Value(Value::Sixteenth)), "sixteenth note"),
    row(TUNE, NONE, Key::Period, Deed::Tune(TuneEntry::Dot), "dotted, or not"),
    row(TUNE, NONE, Key::Num3, Deed::Tune(TuneEntry::Triplet), "triplet, or not"),
    row(TUNE, NONE, Key::Plus, Deed::Tune(TuneEntry::Semitones(1)), "a semitone up"),
    row(TUNE, SHIFT, Key::ArrowUp, Deed::Tune(TuneEntry::Semitones(1)), "a semitone up"),
    row(TUNE, NONE, Key::Minus, Deed::Tune(TuneEntry::Semitones(-1)), "a semitone down"),
    row(TUNE, SHIFT, Key::ArrowDown, Deed::Tune(TuneEntry::Semitones(-1)), "a semitone down"),
    row(TUNE, CTRL, Key::ArrowUp, Deed::Tune(TuneEntry::Octaves(1)), "an octave up"),
    row(TUNE, CTRL, Key::ArrowDown, Deed::Tune(TuneEntry::Octaves(-1)), "an octave down"),
    row(TUNE, SHIFT, Key::ArrowRight, Deed::Tune(TuneEntry::Longer(true)), "longer"),
    row(TUNE, SHIFT, Key::ArrowLeft, Deed::Tune(TuneEntry::Longer(false)), "shorter"),
    row(TUNE, ALT, Key::ArrowRight, Deed::Tune(TuneEntry::Later(true)), "move the note later"),
    row(TUNE, ALT, Key::ArrowLeft, Deed::Tune(TuneEntry::Later(false)), "move the note earlier"),
    row(TUNE, NONE, Key::Delete, Deed::Tune(TuneEntry::Remove), "take the note away"),
    row(TUNE, NONE, Key::Backspace, Deed::Tune(TuneEntry::RemoveBefore), "take the note before away and go back"),
    row(HANDS, NONE, Key::T, Deed::TuneLane, "write the tune: show its lane and go there"),
    row(HANDS, SHIFT, Key::ArrowLeft, Deed::Extend(false), "select bars backwards"),
    row(HANDS, SHIFT, Key::ArrowRight, Deed::Extend(true), "select bars onwards"),
    row(HANDS, NONE, Key::C, Deed::NewChord, "write a chord on this beat"),
    row(HANDS, SHIFT, Key::C, Deed::RemoveChord, "take the chord away"),
    row(HANDS, NONE, Key::Delete, Deed::Clear, "leave the cell to the tool again"),
    row(HANDS, NONE, Key::Backspace, Deed::Clear, "leave the cell to the tool again"),
    thumb(NONE, Key::Num1, ThumbMove::Root),
    thumb(NONE, Key::Num3, ThumbMove::Third),
    thumb(NONE, Key::Num5, ThumbMove::Fifth),
    thumb(NONE, Key::Num7, ThumbMove::Seventh),
    thumb(NONE, Key::Num8, ThumbMove::Octave),
    thumb(NONE, Key::B, ThumbMove::ApproachBelow),
    thumb(NONE, Key::A, ThumbMove::ApproachAbove),
    thumb(SHIFT, Key::B, ThumbMove::DoubleBelow),
    thumb(SHIFT, Key::A, ThumbMove::DoubleAbove),
    thumb(NONE, Key::D, ThumbMove::ApproachDominant),
    thumb(NONE, Key::S, ThumbMove::StepUp),
    thumb(SHIFT, Key::S, ThumbMove::StepDown),
    thumb(NONE, Key::G, ThumbMove::Ghost),
    thumb(NONE, Key::R, ThumbMove::Rest),
    row(THUMB, NONE, Key::N, Deed::AnotherLine, "another line"),
    row(FINGERS, NONE, Key::P, Deed::Pluck(Articulation::Ring), "pluck and let ring"),
    row(FINGERS, NONE, Key::O, Deed::Pluck(Articulation::Short), "pluck short"),
    row(FINGERS, NONE, Key::R, Deed::Unpluck, "no pluck"),
    row(FINGERS, NONE, Key::K, Deed::NextSlide, "slide into the slot, one way after another, or none"),
    row(FINGERS, NONE, Key::E, Deed::Ahead, "pluck early, ahead of the change, or in place"),
];
