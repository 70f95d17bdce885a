//! The look follows the preferences: theme, contrast, size. The size is egui's zoom, which has keys
//! of its own; what they set is remembered as well.

use super::App;
use crate::gui::theme;
use crate::session::Action;
use crate::session::Preferences;
use crate::session::TEXT_PERCENT;
use crate::session::Theme;
use egui::Context;
use egui::ThemePreference;

/// The look that was set up last.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Look {
    theme: Theme,
    high_contrast: bool,
    percent: u16,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            theme: Theme::Light,
            high_contrast: false,
            percent: 100,
        }
    }
}

impl App {
    /// Sets up what the preferences ask for, if it is not set up yet.
    pub(super) fn follow_preferences(&mut self, ctx: &Context) {
        let wanted = self.session.preferences();
        let look = Look {
            theme: wanted.theme,
            high_contrast: wanted.high_contrast,
            percent: wanted.text_percent,
        };
        let now = self.view.look;
        if (look.theme, look.high_contrast) != (now.theme, now.high_contrast) {
            theme::show(ctx, preference(look.theme), look.high_contrast);
        }
        if look.percent != now.percent {
            ctx.set_zoom_factor(f32::from(look.percent) / 100.0);
        }
        self.view.look = look;
        self.view.dark = ctx.theme() == egui::Theme::Dark;
    }

    /// Takes up a size that was set by egui's own keys.
    pub(super) fn take_zoom(&mut self, ctx: &Context) {
        let percent = (ctx.zoom_factor() * 100.0).round() as u16;
        if percent == self.view.look.percent {
            return;
        }
        let percent = percent.clamp(*TEXT_PERCENT.start(), *TEXT_PERCENT.end());
        // Also where it was out of range: then it is set back.
        self.view.look.percent = 0;
        self.prefer(|preferences| preferences.text_percent = percent);
    }

    /// Light becomes dark and dark becomes light, whatever the system says.
    pub(super) fn toggle_theme(&mut self) {
        let theme = if self.view.dark {
            Theme::Light
        } else {
            Theme::Dark
        };
        self.prefer(|preferences| preferences.theme = theme);
    }

    fn prefer(&mut self, change: impl FnOnce(&mut Preferences)) {
        let mut wanted = self.session.preferences().clone();
        change(&mut wanted);
        self.session.act(Action::SetPreferences(Box::new(wanted)));
    }
}

const fn preference(theme: Theme) -> ThemePreference {
    match theme {
        Theme::System => ThemePreference::System,
        Theme::Light => ThemePreference::Light,
        Theme::Dark => ThemePreference::Dark,
    }
}
