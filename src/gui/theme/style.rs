//! Turns the palette into egui's style: flat controls with a hairline, one corner radius, spacing
//! on the raster, quiet scroll bars, no motion beyond a short fade. Both themes are installed at
//! once, so that switching costs nothing.

use super::DARK;
use super::DARK_HIGH;
use super::LIGHT;
use super::LIGHT_HIGH;
use super::Palette;
use super::RADIUS;
use super::fonts;
use egui::Context;
use egui::CornerRadius;
use egui::FontFamily;
use egui::FontId;
use egui::Margin;
use egui::Shadow;
use egui::Stroke;
use egui::Style;
use egui::TextStyle;
use egui::Theme;
use egui::ThemePreference;
use egui::Vec2;
use egui::Visuals;
use egui::style::WidgetVisuals;

/// Installs fonts, colours and spacing. Call once, before the first frame.
pub fn install_look(ctx: &Context) {
    fonts::install(ctx);
    show(ctx, ThemePreference::Light, false);
}

/// Shows a theme, with high contrast or without. Where the system does not tell how it is set, it
/// is taken for light.
pub fn show(ctx: &Context, theme: ThemePreference, high_contrast: bool) {
    let (light, dark) = if high_contrast {
        (&LIGHT_HIGH, &DARK_HIGH)
    } else {
        (&LIGHT, &DARK)
    };
    ctx.set_style_of(Theme::Light, style(light, Visuals::light()));
    ctx.set_style_of(Theme::Dark, style(dark, Visuals::dark()));
    ctx.options_mut(|options| options.fallback_theme = Theme::Light);
    ctx.set_theme(theme);
}

fn style(palette: &Palette, base: Visuals) -> Style {
    let mut style = Style {
        visuals: visuals(palette, base),
        animation_time: 0.08,
        ..Style::default()
    };
    let face = |size| FontId::new(size, FontFamily::Proportional);
    style.text_styles = [
        (TextStyle::Small, face(super::SMALL)),
        (TextStyle::Body, face(super::BODY)),
        (TextStyle::Button, face(super::BODY)),
        (TextStyle::Monospace, face(super::BODY)),
        (
            TextStyle::Heading,
            FontId::new(super::LARGE, FontFamily::Name(fonts::BOLD.into())),
        ),
    ]
    .into();
    style.drag_value_text_style = TextStyle::Button;
    style.interaction.selectable_labels = false;
    style.interaction.tooltip_delay = 0.35;
    let spacing = &mut style.spacing;
    spacing.item_spacing = Vec2::new(8.0, 4.0);
    spacing.button_padding = Vec2::new(8.0, 2.0);
    spacing.interact_size = Vec2::new(28.0, 28.0);
    spacing.menu_margin = Margin::same(8);
    spacing.window_margin = Margin::same(16);
    spacing.icon_width = 16.0;
    spacing.icon_width_inner = 10.0;
    spacing.icon_spacing = 8.0;
    spacing.slider_rail_height = 4.0;
    spacing.slider_width = 88.0;
    spacing.combo_width = 64.0;
    spacing.tooltip_width = 320.0;
    spacing.scroll.bar_width = 8.0;
    spacing.scroll.floating_width = 4.0;
    // Thin while nobody is near, but there: what goes on below must be seen to go on.
    spacing.scroll.foreground_color = true;
    spacing.scroll.dormant_handle_opacity = 0.5;
    spacing.scroll.active_handle_opacity = 0.6;
    spacing.scroll.interact_handle_opacity = 0.9;
    style
}

fn visuals(p: &Palette, base: Visuals) -> Visuals {
    let mut v = base;
    v.override_text_color = None;
    v.weak_text_color = Some(p.ink_soft);
    v.hyperlink_color = p.thumb_text;
    v.faint_bg_color = p.sunk;
    v.extreme_bg_color = p.card;
    v.text_edit_bg_color = Some(p.card);
    v.code_bg_color = p.sunk;
    v.warn_fg_color = p.warning_text;
    v.error_fg_color = p.warning_text;
    v.panel_fill = p.paper;
    v.window_fill = p.card;
    v.window_stroke = Stroke::new(1.0, p.outline);
    v.window_corner_radius = CornerRadius::same(RADIUS);
    v.menu_corner_radius = CornerRadius::same(RADIUS);
    let shadow = Shadow {
        offset: [0, 2],
        blur: 12,
        spread: 0,
        color: egui::Color32::from_black_alpha(40),
    };
    v.window_shadow = shadow;
    v.popup_shadow = shadow;
    v.selection.bg_fill = p.selection;
    v.selection.stroke = Stroke::new(1.0, p.thumb_text);
    v.slider_trailing_fill = true;
    v.handle_shape = egui::style::HandleShape::Circle;
    v.button_frame = true;
    v.indent_has_left_vline = false;
    v.text_cursor.stroke = Stroke::new(2.0, p.thumb_text);
    let is_high = [LIGHT_HIGH.paper, DARK_HIGH.paper].contains(&p.paper);
    v.disabled_alpha = if is_high { 0.6 } else { 0.45 };
    let state = |fill, outline, ink| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, outline),
        corner_radius: CornerRadius::same(RADIUS),
        fg_stroke: Stroke::new(1.0, ink),
        expansion: 0.0,
    };
    v.widgets.noninteractive = state(p.paper, p.lines, p.ink);
    v.widgets.inactive = state(p.card, p.outline, p.ink);
    v.widgets.inactive.bg_fill = p.card;
    v.widgets.hovered = state(p.hover, p.outline, p.ink);
    v.widgets.active = state(p.pressed, p.ink_soft, p.ink);
    v.widgets.open = state(p.hover, p.outline, p.ink);
    v
}
