//! Every command of the window in one table, most with a key: it binds them, the help page shows
//! it, and a test proves that no two clash. Keys without Ctrl are left alone while something is being
//! typed.

mod deed;
mod table;

pub use deed::About;
pub use deed::Deed;
pub use deed::Scope;
pub use deed::Step;
pub use table::TABLE;

use crate::session::TuneEntry;
use egui::Context;
use egui::Event;
use egui::Key;
use egui::Modifiers;

/// One row of the table.
#[derive(Clone, Copy, Debug)]
pub struct Shortcut {
    /// Where it works.
    pub scope: Scope,
    /// Modifier keys.
    pub modifiers: Modifiers,
    /// The key, if it has one.
    pub key: Option<Key>,
    /// What it does.
    pub deed: Deed,
    /// In words.
    pub words: &'static str,
}

impl Shortcut {
    /// How the key is called on this system: `Ctrl+Shift+Z`.
    #[must_use]
    pub fn key_words(&self, mac: bool) -> String {
        let mut words = String::new();
        let Some(key) = self.key else {
            return words;
        };
        if self.modifiers.command {
            words.push_str(if mac { "Cmd+" } else { "Ctrl+" });
        }
        if self.modifiers.alt {
            words.push_str(if mac { "Option+" } else { "Alt+" });
        }
        if self.modifiers.shift {
            words.push_str("Shift+");
        }
        words.push_str(match key {
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
            Key::Menu => "Menu",
            key => key.name(),
        });
        words
    }

    /// What it is called where it stands alone: notes of the tune by their letters.
    #[must_use]
    pub fn name(&self) -> String {
        match self.deed {
            Deed::Tune(TuneEntry::Letter(letter)) => format!("write {}", letter.to_char()),
            _ => self.words.into(),
        }
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
    row_of(deed).map_or_else(String::new, |row| row.key_words(mac))
}

/// The first row of a deed.
#[must_use]
pub fn row_of(deed: Deed) -> Option<&'static Shortcut> {
    TABLE.iter().find(|row| row.deed == deed)
}

/// Every deed once, in the order of the table.
pub fn deeds() -> impl Iterator<Item = &'static Shortcut> {
    let is_first = |(idx, row): &(usize, &Shortcut)| {
        let before = TABLE.iter().take(*idx);
        !before.into_iter().any(|other| other.deed == row.deed)
    };
    let rows = TABLE.iter().enumerate().filter(is_first);
    rows.map(|(_, row)| row)
}

/// Every key of a deed: `Ctrl+Y, Ctrl+Shift+Z`.
#[must_use]
pub fn keys_of(deed: Deed, mac: bool) -> String {
    let rows = TABLE
        .iter()
        .filter(|row| row.deed == deed && row.key.is_some());
    let keys: Vec<String> = rows.map(|row| row.key_words(mac)).collect();
    keys.join(", ")
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
            let fits = |row: &&&Shortcut| {
                row.key == Some(*key) && modifiers.matches_logically(row.modifiers)
            };
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
    use crate::theory::ThumbMove;

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
                let same = a.key.is_some()
                    && a.key == b.key
                    && a.modifiers == b.modifiers
                    && meet(a.scope, b.scope);
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
                !(row.modifiers.command && row.key.is_some_and(|key| kept.contains(&key))),
                "{row:?}"
            );
        }
    }

    #[test]
    fn no_two_commands_have_the_same_name_where_they_stand_together() {
        let mut names: Vec<(About, String)> = Vec::new();
        for row in deeds() {
            let name = (row.deed.about(), row.name());
            assert!(!names.contains(&name), "{name:?}");
            names.push(name);
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
