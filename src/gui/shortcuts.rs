//! Every key of the window in one table: it binds them, the help page shows it, and a test proves
//! that no two clash. Keys without Ctrl are left alone while something is being typed.

use crate::score::rhythm::Value;
use crate::session::TuneEntry;
use crate::theory::Articulation;
use crate::theory::Letter;
use crate::theory::ThumbMove;
use egui::Context;
use egui::Event;
use egui::Key;
use egui::Modifiers;

/// Where a key works.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Scope {
    /// In the whole window.
    Everywhere,
    /// While the keyboard is in the beat grid.
    Grid,
    /// In the grid's tune lane.
    TuneLane,
    /// In the grid's fingers and thumb lanes.
    HandLanes,
    /// In the grid's thumb lane.
    ThumbLane,
    /// In the grid's fingers lane.
    FingersLane,
}

impl Scope {
    /// The heading on the help page.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Everywhere => "Everywhere",
            Self::Grid => "In the beat grid",
            Self::TuneLane => "In the tune lane",
            Self::HandLanes => "In the fingers and thumb lanes",
            Self::ThumbLane => "In the thumb lane",
            Self::FingersLane => "In the fingers lane",
        }
    }
}

/// What a key does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Deed {
    /// Start an empty chart.
    New,
    /// Open a file.
    Open,
    /// Save.
    Save,
    /// Save under another name.
    SaveAs,
    /// Export.
    Export,
    /// Take back.
    Undo,
    /// Do again.
    Redo,
    /// Play or stop.
    Play,
    /// Hear the selection.
    Hear,
    /// Hear the selected bar.
    HearBar,
    /// Hear the grip of the selected chord.
    HearGrip,
    /// Mute the selected lane, or let it sound.
    MuteLane,
    /// Hear only the selected lane, or all.
    SoloLane,
    /// The page of shortcuts.
    Help,
    /// The preferences.
    Preferences,
    /// Light or dark.
    Theme,
    /// The left panel.
    Side,
    /// The comparison with another version.
    Compare,
    /// Leave or close.
    Escape,
    /// Move the selection.
    Go(Step),
    /// Select more bars (forwards or backwards).
    Extend(bool),
    /// Write the chord.
    EditChord,
    /// Write a chord on exactly this beat.
    NewChord,
    /// Leave the cell to the tool again.
    Clear,
    /// Show the tune's lane and go there.
    TuneLane,
    /// Show the tune's lane, or close it.
    ToggleTune,
    /// Write in the tune.
    Tune(TuneEntry),
    /// Copy the selected bars.
    CopyBars,
    /// Cut them.
    CutBars,
    /// Paste what was copied after them.
    PasteBars,
    /// Put a copy of them after them.
    DuplicateBars,
    /// Put an empty bar after them.
    InsertBar,
    /// Take them away.
    DeleteBars,
    /// Decide a thumb move.
    Thumb(ThumbMove),
    /// Lock what is selected, or unlock it.
    Lock,
    /// Play the bar another way.
    NextWay,
    /// Have the tool write another thumb line.
    AnotherLine,
    /// Strike here.
    Pluck(Articulation),
    /// No strike here.
    Unpluck,
    /// Step through the slides into this slot.
    NextSlide,
    /// Strike the next chord here, early, or this one again.
    Ahead,
}

/// A step of the selection.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Step {
    /// One slot back.
    Back,
    /// One slot on.
    On,
    /// One lane up.
    Up,
    /// One lane down.
    Down,
    /// One bar back.
    BarBack,
    /// One bar on.
    BarOn,
    /// The first bar.
    First,
    /// The last bar.
    Last,
}

/// One row of the table.
#[derive(Clone, Copy, Debug)]
pub struct Shortcut {
    /// Where it works.
    pub scope: Scope,
    /// Modifier keys.
    pub modifiers: Modifiers,
    /// The key.
    pub key: Key,
    /// What it does.
    pub deed: Deed,
    /// In words.
    pub words: &'static str,
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
        key,
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
    row(EVERYWHERE, CTRL, Key::Z, Deed::Undo, "undo"),
    row(EVERYWHERE, CTRL, Key::Y, Deed::Redo, "redo"),
    row(EVERYWHERE, CTRL_SHIFT, Key::Z, Deed::Redo, "redo"),
    row(EVERYWHERE, CTRL, Key::N, Deed::New, "new chart"),
    row(EVERYWHERE, CTRL, Key::O, Deed::Open, "open"),
    row(EVERYWHERE, CTRL, Key::S, Deed::Save, "save"),
    row(EVERYWHERE, CTRL_SHIFT, Key::S, Deed::SaveAs, "save as"),
    row(EVERYWHERE, CTRL, Key::E, Deed::Export, "export"),
    row(EVERYWHERE, CTRL, Key::L, Deed::Side, "show or close the left panel"),
    row(EVERYWHERE, CTRL, Key::K, Deed::Compare, "compare with another version"),
    row(EVERYWHERE, CTRL_SHIFT, Key::D, Deed::Theme, "light or dark"),
    row(EVERYWHERE, CTRL, Key::Comma, Deed::Preferences, "preferences"),
    row(EVERYWHERE, NONE, Key::Questionmark, Deed::Help, "this page"),
    row(EVERYWHERE, NONE, Key::Escape, Deed::Escape, "close or leave"),
    row(GRID, NONE, Key::ArrowLeft, Deed::Go(Step::Back), "one slot back"),
    row(GRID, NONE, Key::ArrowRight, Deed::Go(Step::On), "one slot on"),
    row(GRID, NONE, Key::ArrowUp, Deed::Go(Step::Up), "one lane up"),
    row(GRID, NONE, Key::ArrowDown, Deed::Go(Step::Down), "one lane down"),
    row(GRID, CTRL, Key::ArrowLeft, Deed::Go(Step::BarBack), "one bar back"),
    row(GRID, CTRL, Key::ArrowRight, Deed::Go(Step::BarOn), "one bar on"),
    row(GRID, NONE, Key::Home, Deed::Go(Step::First), "first bar"),
    row(GRID, NONE, Key::End, Deed::Go(Step::Last), "last bar"),
    row(GRID, CTRL_SHIFT, Key::ArrowLeft, Deed::Extend(false), "select bars backwards"),
    row(GRID, CTRL_SHIFT, Key::ArrowRight, Deed::Extend(true), "select bars onwards"),
    row(GRID, NONE, Key::Enter, Deed::EditChord, "edit the chord"),
    row(GRID, SHIFT, Key::T, Deed::ToggleTune, "show the tune lane, or close it if it is empty"),
    row(GRID, CTRL, Key::C, Deed::CopyBars, "copy the selected bars"),
    row(GRID, CTRL, Key::X, Deed::CutBars, "cut the selected bars"),
    row(GRID, CTRL, Key::V, Deed::PasteBars, "paste bars after the selected ones"),
    row(GRID, CTRL, Key::D, Deed::DuplicateBars, "duplicate the selected bars"),
    row(GRID, NONE, Key::Insert, Deed::InsertBar, "put an empty bar after the selected ones"),
    row(GRID, CTRL, Key::Delete, Deed::DeleteBars, "delete the selected bars"),
    row(GRID, CTRL, Key::Backspace, Deed::DeleteBars, "delete the selected bars"),
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
    row(HANDS, NONE, Key::Delete, Deed::Clear, "leave the cell to the tool again"),
    row(HANDS, NONE, Key::Backspace, Deed::Clear, "leave the cell to the tool again"),
    row(THUMB, NONE, Key::Num1, Deed::Thumb(ThumbMove::Root), "root"),
    row(THUMB, NONE, Key::Num3, Deed::Thumb(ThumbMove::Third), "third"),
    row(THUMB, NONE, Key::Num5, Deed::Thumb(ThumbMove::Fifth), "fifth"),
    row(THUMB, NONE, Key::Num7, Deed::Thumb(ThumbMove::Seventh), "seventh or sixth"),
    row(THUMB, NONE, Key::Num8, Deed::Thumb(ThumbMove::Octave), "octave"),
    row(THUMB, NONE, Key::B, Deed::Thumb(ThumbMove::ApproachBelow), "approach from below"),
    row(THUMB, NONE, Key::A, Deed::Thumb(ThumbMove::ApproachAbove), "approach from above"),
    row(THUMB, SHIFT, Key::B, Deed::Thumb(ThumbMove::DoubleBelow), "double approach from below"),
    row(THUMB, SHIFT, Key::A, Deed::Thumb(ThumbMove::DoubleAbove), "double approach from above"),
    row(THUMB, NONE, Key::D, Deed::Thumb(ThumbMove::ApproachDominant), "fifth of the next root"),
    row(THUMB, NONE, Key::S, Deed::Thumb(ThumbMove::StepUp), "scale step upwards"),
    row(THUMB, SHIFT, Key::S, Deed::Thumb(ThumbMove::StepDown), "scale step downwards"),
    row(THUMB, NONE, Key::G, Deed::Thumb(ThumbMove::Ghost), "ghost note"),
    row(THUMB, NONE, Key::R, Deed::Thumb(ThumbMove::Rest), "rest"),
    row(THUMB, NONE, Key::N, Deed::AnotherLine, "another line"),
    row(FINGERS, NONE, Key::P, Deed::Pluck(Articulation::Ring), "pluck and let ring"),
    row(FINGERS, NONE, Key::O, Deed::Pluck(Articulation::Short), "pluck short"),
    row(FINGERS, NONE, Key::R, Deed::Unpluck, "no pluck"),
    row(FINGERS, NONE, Key::K, Deed::NextSlide, "slide into the slot, one way after another, or none"),
    row(FINGERS, NONE, Key::E, Deed::Ahead, "pluck early, ahead of the change, or in place"),
];

impl Shortcut {
    /// How the key is called on this system: `Ctrl+Shift+Z`.
    #[must_use]
    pub fn key_words(&self, mac: bool) -> String {
        let mut words = String::new();
        if self.modifiers.command {
            words.push_str(if mac { "Cmd+" } else { "Ctrl+" });
        }
        if self.modifiers.alt {
            words.push_str(if mac { "Option+" } else { "Alt+" });
        }
        if self.modifiers.shift {
            words.push_str("Shift+");
        }
        words.push_str(match self.key {
            Key::ArrowLeft => "Left",
            Key::ArrowRight => "Right",
            Key::ArrowUp => "Up",
            Key::ArrowDown => "Down",
            Key::Questionmark => "?",
            Key::Plus => "+",
            Key::Minus => "−",
            Key::Period => ".",
            Key::Comma => ",",
            Key::Escape => "Esc",
            key => key.name(),
        });
        words
    }

    const fn weight(&self) -> u8 {
        let modifiers = self.modifiers;
        modifiers.command as u8 + modifiers.alt as u8 + modifiers.shift as u8
    }
}

/// The shortcut text of a deed, for hints: `Ctrl+Z`. Empty if it has none.
#[must_use]
pub fn key_of(deed: Deed, ctx: &Context) -> String {
    let mac = ctx.os().is_mac();
    TABLE
        .iter()
        .find(|row| row.deed == deed)
        .map_or_else(String::new, |row| row.key_words(mac))
}

/// Takes the first key pressed in this frame that belongs to the given scopes. With `typing`, only
/// keys with Ctrl, and not those that the text field itself understands.
pub fn take_next(ctx: &Context, scopes: &[Scope], typing: bool) -> Option<Deed> {
    let mut rows: Vec<&Shortcut> = TABLE
        .iter()
        .filter(|row| scopes.contains(&row.scope))
        .filter(|row| !typing || (row.modifiers.command && !understood_by_text(row.deed)))
        .collect();
    // egui ignores extra Shift when it matches, so the rows with most modifiers go first.
    rows.sort_by_key(|row| std::cmp::Reverse(row.weight()));
    let deed_of = |event: &Event| match event {
        Event::Key {
            key,
            modifiers,
            pressed: true,
            ..
        } => {
            let fits =
                |row: &&&Shortcut| row.key == *key && modifiers.matches_logically(row.modifiers);
            rows.iter().find(fits).map(|row| row.deed)
        }
        _ => None,
    };
    ctx.input_mut(|input| {
        let mut found = input.events.iter().enumerate();
        let (idx, deed) = found.find_map(|(idx, event)| Some((idx, deed_of(event)?)))?;
        input.events.remove(idx);
        Some(deed)
    })
}

/// Takes what the system makes of Ctrl with C, X and V before it becomes a key, with the text that
/// is pasted. For when bars are meant, not text.
pub fn take_clipboard(ctx: &Context) -> Vec<(Deed, Option<String>)> {
    let mut taken = Vec::new();
    ctx.input_mut(|input| {
        input.events.retain(|event| {
            taken.push(match event {
                Event::Copy => (Deed::CopyBars, None),
                Event::Cut => (Deed::CutBars, None),
                Event::Paste(text) => (Deed::PasteBars, Some(text.clone())),
                _ => return true,
            });
            false
        });
    });
    taken
}

const fn understood_by_text(deed: Deed) -> bool {
    matches!(
        deed,
        Deed::Undo | Deed::Redo | Deed::Go(_) | Deed::Extend(_)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether two scopes can be in force at once.
    fn meet(a: Scope, b: Scope) -> bool {
        let lanes = |scope| match scope {
            Scope::Everywhere | Scope::Grid => [true; 3],
            Scope::TuneLane => [true, false, false],
            Scope::HandLanes => [false, true, true],
            Scope::FingersLane => [false, true, false],
            Scope::ThumbLane => [false, false, true],
        };
        let (a, b) = (lanes(a), lanes(b));
        a[0] && b[0] || a[1] && b[1] || a[2] && b[2]
    }

    #[test]
    fn no_two_shortcuts_clash() {
        for (i, a) in TABLE.iter().enumerate() {
            for b in TABLE.iter().skip(i + 1) {
                let same = a.key == b.key && a.modifiers == b.modifiers && meet(a.scope, b.scope);
                assert!(
                    !same,
                    "{} and {} share {}",
                    a.words,
                    b.words,
                    a.key_words(false)
                );
            }
        }
    }

    #[test]
    fn no_shortcut_takes_a_key_that_egui_keeps() {
        // egui 0.37: Ctrl+Q closes the window; Ctrl with plus, minus and 0 zooms.
        let kept = [Key::Q, Key::Plus, Key::Minus, Key::Num0];
        for row in TABLE {
            assert!(
                !(row.modifiers.command && kept.contains(&row.key)),
                "{row:?}"
            );
        }
    }

    #[test]
    fn every_thumb_move_has_a_key() {
        for thumb_move in ThumbMove::ALL {
            let found = TABLE.iter().any(|row| row.deed == Deed::Thumb(thumb_move));
            assert!(found, "{thumb_move:?}");
        }
    }
}
