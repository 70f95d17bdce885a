//! One system: the tab staff with everything above and below it. Rows that a system does not
//! need take no room. The origin of its block is the left end of the highest row; bars were
//! spaced before. Never decides which bars belong to the system.

use super::barlines;
use super::diagram;
use super::diagram::Shown;
use super::mark::Anchor;
use super::mark::Ink;
use super::mark::Meaning;
use super::measure::BarPlaces;
use super::music::BarMusic;
use super::music::ChordMark;
use super::notes;
use super::options::PageOptions;
use super::pen::Lettering;
use super::pen::Pen;
use super::pen::Style;
use super::sizes;
use super::smufl;
use super::staff::draw;
use super::staff::lead;
use super::stems;
use crate::arrange::Arrangement;
use crate::document::Document;
use crate::instrument::Grip;
use crate::instrument::StringIdx;
use crate::score::rhythm::Strike;

/// What the whole sheet is drawn from.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// The document.
    pub document: &'a Document,
    /// Its arrangement.
    pub arrangement: &'a Arrangement,
    /// What is shown.
    pub options: &'a PageOptions,
    /// Whether rows of a system stand closer together than they like, to save a page.
    pub close: bool,
}

impl Scene<'_> {
    /// Strings of the instrument.
    #[must_use]
    pub fn n_strings(&self) -> u8 {
        self.document.instrument.n_strings()
    }

    /// From the top string line to the bottom one.
    #[must_use]
    pub fn staff_height(&self) -> f64 {
        f64::from(self.n_strings().saturating_sub(1)) * sizes::STRING_GAP
    }

    /// Length of stems outside the tab.
    #[must_use]
    pub const fn stem_length(&self) -> f64 {
        if self.close {
            sizes::STEM_LENGTH_CLOSE
        } else {
            sizes::STEM_LENGTH
        }
    }

    /// White between the lowest sign of the notation staff and the tab.
    const fn staves_gap(&self) -> f64 {
        if self.close {
            sizes::STAVES_GAP_CLOSE
        } else {
            sizes::STAVES_GAP
        }
    }

    /// Between two frets of a chord diagram.
    #[must_use]
    pub const fn diagram_fret(&self) -> f64 {
        if self.close {
            sizes::DIAGRAM_FRET_CLOSE
        } else {
            sizes::DIAGRAM_FRET
        }
    }

    /// How something is set in the face of the sheet.
    #[must_use]
    pub fn style(&self, lettering: Lettering) -> Style {
        self.options.style(lettering)
    }

    /// The line of a string; the highest-pitched string lies at 0.
    #[must_use]
    pub fn string_y(&self, string: StringIdx) -> f64 {
        let from_top = self.n_strings().saturating_sub(1).saturating_sub(string.0);
        f64::from(from_top) * sizes::STRING_GAP
    }
}

/// One system, ready to be drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct System<'a> {
    /// Its bars.
    pub bars: &'a [BarMusic],
    /// Where they stand.
    pub places: Vec<BarPlaces>,
    /// Whether it is the first of the sheet.
    pub is_first: bool,
    /// Which grips get a diagram.
    pub diagrams: Shown,
    /// The time signature with which the next system begins, if it is a new one: it is announced
    /// behind the last bar line (Gould, Behind Bars, from memory).
    pub courtesy: Option<(u8, u8)>,
}

/// Heights of the rows, y from the top string line.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Rows {
    /// Top line of the notation staff, if there is one.
    pub staff_y: Option<f64>,
    /// Baseline of right-hand letters.
    pub letters_y: f64,
    /// Frets that every diagram shows; 0 if there are none.
    pub diagram_rows: u8,
    /// Bottom of the diagrams.
    pub diagrams_bottom: f64,
    /// Baseline of chord symbols.
    pub symbols_y: f64,
    /// Bottom of the row of section names and endings.
    pub names_bottom: f64,
    /// Everything lies below this.
    pub top: f64,
    /// Baseline of the codes of moves.
    pub moves_y: f64,
    /// Everything lies above this.
    pub bottom: f64,
}

/// Height of the row of section names and endings.
pub const NAMES_HEIGHT: f64 = 5.6;

impl System<'_> {
    fn shows_diagram(&self, chord: &ChordMark, scene: &Scene<'_>) -> bool {
        scene.options.show_diagrams
            && chord.grip.is_some()
            && (self.diagrams > Shown::New || chord.first_use)
    }

    fn chords(&self) -> impl Iterator<Item = (&BarMusic, &BarPlaces, &ChordMark)> {
        self.bars
            .iter()
            .zip(&self.places)
            .flat_map(|(music, place)| music.chords.iter().map(move |c| (music, place, c)))
    }

    /// Grips with a diagram, and the columns over which they stand.
    fn shown_grips(&self, scene: &Scene<'_>) -> Vec<(f64, Grip)> {
        let shown = self
            .chords()
            .filter(|(_, _, c)| self.shows_diagram(c, scene));
        let mut all: Vec<(f64, Grip)> = shown
            .filter_map(|(_, place, chord)| Some((place.x_of(chord.at), chord.grip?)))
            .collect();
        for (music, place) in self.bars.iter().zip(&self.places) {
            let retakes = music.shown_retakes(self.diagrams, scene.options);
            all.extend(
                retakes
                    .iter()
                    .map(|retake| (place.x_of(retake.at), retake.grip)),
            );
        }
        all
    }

    /// Where its lines end.
    fn right(&self) -> f64 {
        let last = self.places.last().map_or(0.0, |p| p.right);
        last + courtesy_width(self.courtesy)
    }

    fn rows(&self, scene: &Scene<'_>, staff: Option<&Pen>) -> Rows {
        let mut rows = Rows::default();
        let upper = || self.bars.iter().map(|b| &b.upper);
        let lower = || self.bars.iter().map(|b| &b.lower);
        let stems = sizes::STEM_GAP + scene.stem_length();
        let dotted = |strikes: &[Strike]| strikes.iter().any(|s| s.short || s.written.triplet);
        let mut y = if staff.is_none() && upper().any(|v| !v.strikes.is_empty()) {
            -stems
        } else {
            -2.4
        };
        if let Some(staff) = staff {
            let (top, bottom) = staff.reach();
            let staff_y = y + 2.4 - scene.staves_gap() - bottom.max(draw::HEIGHT + 2.0);
            rows.staff_y = Some(staff_y);
            y = staff_y + top.min(-1.0);
        } else if upper().any(|v| dotted(&v.strikes)) {
            y -= 1.6;
        }
        rows.letters_y = y - 0.5;
        if scene.options.show_pluck_letters && upper().any(|v| !v.strikes.is_empty()) {
            y -= 2.7;
        }
        y -= 1.0;
        rows.diagrams_bottom = y;
        // All diagrams of a system have as many rows, so that their tops line up too.
        let shown = self.shown_grips(scene);
        let n_rows = shown.iter().map(|(_, grip)| diagram::window(grip).1);
        rows.diagram_rows = n_rows.max().unwrap_or(0);
        if rows.diagram_rows > 0 {
            y -= diagram::height(rows.diagram_rows, scene.diagram_fret()) + 0.6;
        }
        rows.symbols_y = y - 0.3;
        if self.chords().next().is_some() {
            y -= 0.3 + scene.style(sizes::SYMBOL).cap() + 1.0;
        }
        rows.names_bottom = y;
        if self.bars.iter().any(barlines::needs_names_row) {
            y -= NAMES_HEIGHT;
        }
        rows.top = y;
        let mut below = scene.staff_height()
            + if staff.is_none() && lower().any(|v| !v.strikes.is_empty()) {
                stems
            } else {
                1.8
            };
        if staff.is_none() && lower().any(|v| dotted(&v.strikes)) {
            below += 1.6;
        }
        if scene.options.show_moves && lower().any(|v| !v.strikes.is_empty()) {
            below += 0.9 + scene.style(sizes::MOVE).cap();
            rows.moves_y = below;
            below += 0.8;
        }
        rows.bottom = below;
        rows
    }

    /// How much lower the system is, in millimetres, with its rows close together.
    #[must_use]
    pub fn close_saves(&self, scene: &Scene<'_>) -> f64 {
        let close = Scene {
            close: true,
            ..*scene
        };
        let height = |scene: &Scene<'_>| {
            let staff = scene.options.show_staff.then(Pen::default);
            let rows = self.rows(scene, staff.as_ref());
            rows.bottom - rows.top
        };
        height(scene) - height(&close)
    }

    /// Draws the system; the second value is its height.
    #[must_use]
    pub fn draw(&self, scene: &Scene<'_>) -> (Pen, f64) {
        let right = self.right();
        let staff = scene.options.show_staff.then(|| {
            let mut pen = Pen::default();
            draw::lines(&mut pen, scene, right);
            draw::bars(&mut pen, scene, self.bars, &self.places);
            pen
        });
        let rows = self.rows(scene, staff.as_ref());
        let mut pen = Pen::default();
        self.names_and_chords(&mut pen, scene, &rows);
        if let Some((staff, y)) = staff.zip(rows.staff_y) {
            pen.place(staff, 0.0, y);
            bracket(&mut pen, y, scene.staff_height());
        }
        self.staff(&mut pen, scene, right, rows.staff_y);
        for (music, place) in self.bars.iter().zip(&self.places) {
            notes::draw(&mut pen, scene, music, place);
            // With a staff above, the tab leaves the rhythm to it (common practice).
            if rows.staff_y.is_none() {
                stems::draw(&mut pen, scene, music, place);
                for strike in music.upper.strikes.iter().chain(&music.lower.strikes) {
                    if strike.rings_on {
                        notes::open_ties(&mut pen, scene, strike, place.x_of(strike.at));
                    }
                }
            }
            if scene.options.show_moves {
                notes::moves(&mut pen, scene, music, place, rows.moves_y);
            }
        }
        barlines::draw_all(&mut pen, scene, rows.staff_y, self.bars, &self.places);
        if scene.options.show_pluck_letters {
            notes::pluck_letters(&mut pen, scene, self.bars, &self.places, &rows);
        }
        for mark in &mut pen.marks {
            mark.shift(0.0, -rows.top);
        }
        (pen, rows.bottom - rows.top)
    }

    fn names_and_chords(&self, pen: &mut Pen, scene: &Scene<'_>, rows: &Rows) {
        barlines::all_names(pen, scene, self.bars, &self.places, rows.names_bottom);
        let half_digit = scene.style(sizes::DIGIT).width("0") / 2.0;
        for (music, place, chord) in self.chords() {
            let x = place.x_of(chord.at) - half_digit;
            let meaning = Meaning::Symbol(music.bar);
            chord.symbol.draw(pen, meaning, x, rows.symbols_y);
        }
        for (x, grip) in self.shown_grips(scene) {
            let spot = diagram::Spot {
                x: x - half_digit + 0.7,
                bottom: rows.diagrams_bottom,
                n_rows: rows.diagram_rows,
                fret: scene.diagram_fret(),
                left_handed: scene.document.instrument.left_handed,
                style: scene.style(sizes::DIAGRAM_TEXT),
            };
            diagram::draw(pen, &grip, spot);
        }
    }

    fn staff(&self, pen: &mut Pen, scene: &Scene<'_>, right: f64, staff_y: Option<f64>) {
        let thick = smufl::STAFF_LINE * sizes::SPACE;
        for s in 0..scene.n_strings() {
            let y = scene.string_y(StringIdx(s));
            pen.line(Meaning::Staff, (0.0, y), (right, y), thick);
        }
        let height = scene.staff_height();
        let bar = smufl::THIN_BAR * sizes::SPACE;
        pen.line(
            Meaning::Staff,
            (bar / 2.0, staff_y.unwrap_or(0.0) - thick / 2.0),
            (bar / 2.0, height + thick / 2.0),
            bar,
        );
        let (clef, spaces) = if scene.n_strings() >= 6 {
            (smufl::TAB_CLEF_6, 6.05)
        } else {
            (smufl::TAB_CLEF_4, 4.05)
        };
        let clef_space = (height / spaces * 0.86).min(sizes::SPACE * 1.06);
        let at = (1.1, height / 2.0);
        pen.glyph(Meaning::Clef, clef, clef_space, at);
        if let Some(first) = self.bars.first() {
            // Beside the 8 of the clef there is room only above it.
            let clef_top = if staff_y.is_some() { 3.2 } else { 0.9 };
            let at = (0.0, staff_y.unwrap_or(0.0) - clef_top);
            let number = (first.bar + 1).to_string();
            let meaning = Meaning::BarNumber(first.bar);
            if !self.is_first {
                let style = scene.style(sizes::BAR_NUMBER);
                pen.text(meaning, style, Anchor::Left, at, &number);
            }
        }
        for (i, (music, place)) in self.bars.iter().zip(&self.places).enumerate() {
            let Some(time) = music.time else { continue };
            let left = if self.is_first && i == 0 {
                clefs_width(scene)
            } else {
                let repeat = if music.repeat_start {
                    sizes::REPEAT_PAD
                } else {
                    0.0
                };
                place.left + sizes::TIME_PAD + repeat
            };
            times(pen, scene, staff_y, time, left);
        }
        if let Some((time, place)) = self.courtesy.zip(self.places.last()) {
            times(pen, scene, staff_y, time, place.right + sizes::TIME_PAD);
        }
    }
}

/// A time signature on every staff, from its left end.
fn times(pen: &mut Pen, scene: &Scene<'_>, staff_y: Option<f64>, time: (u8, u8), left: f64) {
    let center = left + time_width(time) / 2.0;
    let middle = scene.staff_height() / 2.0;
    time_signature(pen, time, (center, middle), sizes::TIME_SPACE);
    if let Some(y) = staff_y {
        let middle = y + draw::HEIGHT / 2.0;
        time_signature(pen, time, (center, middle), sizes::SPACE);
    }
}

/// What a time signature behind the last bar line takes.
#[must_use]
pub fn courtesy_width(time: Option<(u8, u8)>) -> f64 {
    time.map_or(0.0, |time| time_width(time) + 1.5 * sizes::TIME_PAD)
}

/// Width of a time signature without white around it.
#[must_use]
pub fn time_width((count, unit): (u8, u8)) -> f64 {
    let figures = if count.max(unit) > 9 { 2.0 } else { 1.0 };
    figures * smufl::TIME_FIGURE * sizes::TIME_SPACE
}

/// Where the time signature begins: behind the clefs, and the key signature if there is a staff.
fn clefs_width(scene: &Scene<'_>) -> f64 {
    if scene.options.show_staff {
        let (_, behind) = lead::signs(scene.document.key);
        sizes::CLEF_WIDTH.max(behind * sizes::SPACE)
    } else {
        sizes::CLEF_WIDTH
    }
}

/// From the left end of a system to its first bar; `first` is the first bar of the tune.
#[must_use]
pub fn lead(scene: &Scene<'_>, first: Option<&BarMusic>) -> f64 {
    match first.and_then(|bar| bar.time) {
        Some(time) => clefs_width(scene) + time_width(time) + sizes::TIME_PAD,
        None => clefs_width(scene),
    }
}

/// The bracket that joins two staves, left of them.
fn bracket(pen: &mut Pen, top: f64, bottom: f64) {
    let space = sizes::SPACE;
    let thick = smufl::BRACKET * space;
    let x = -sizes::BRACKET_GAP - thick;
    let (top, bottom) = (top - 0.25 * space, bottom + 0.25 * space);
    let size = (thick, bottom - top);
    pen.filled(Meaning::Bracket, (x, top), size, Ink::Black);
    for (code, y) in [(smufl::BRACKET_TOP, top), (smufl::BRACKET_BOTTOM, bottom)] {
        pen.glyph(Meaning::Bracket, code, space, (x, y));
    }
}

fn time_signature(pen: &mut Pen, time: (u8, u8), (center, middle): (f64, f64), space: f64) {
    let (count, unit) = time;
    for (number, y) in [(count, -space), (unit, space)] {
        let text = number.to_string();
        let n = f64::from(u8::try_from(text.len()).unwrap_or(1));
        let mut x = center - n * smufl::TIME_FIGURE * space / 2.0;
        for digit in text.chars().filter_map(|c| c.to_digit(10)) {
            let code = char::from_u32(smufl::TIME_SIG_0 + digit).unwrap_or(' ');
            pen.glyph(Meaning::Clef, code, space, (x, middle + y));
            x += smufl::TIME_FIGURE * space;
        }
    }
}
