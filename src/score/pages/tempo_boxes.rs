//! Boxes to tick off on the way to the tempo: a row of them with a number each, for practice sheets.

use super::mark::Anchor;
use super::mark::Meaning;
use super::pen::Pen;
use super::sizes;
use crate::document::SheetFont;
use crate::score::fonts::Cut;

const BOX: f64 = 3.6;
const LINE: f64 = 0.3;
const HEAD: &str = "Tick each tempo when it feels easy";

/// The row; the second value is its height. `None` without tempi.
#[must_use]
pub fn draw(tempi: &[u16], width: f64, face: SheetFont) -> Option<(Pen, f64)> {
    if tempi.is_empty() {
        return None;
    }
    let mut pen = Pen::default();
    let style = sizes::LEGEND.in_face(face);
    let bold = sizes::LEGEND.cut(Cut::Bold).in_face(face);
    let mut y = BOX;
    let base = |y: f64| y - (BOX - style.cap()) / 2.0;
    pen.text(Meaning::Legend, bold, Anchor::Left, (0.0, base(y)), HEAD);
    let mut x = bold.width(HEAD) + 5.0;
    for bpm in tempi {
        let text = bpm.to_string();
        let item = BOX + 1.4 + style.width(&text);
        if x + item > width {
            x = 0.0;
            y += BOX + 2.0;
        }
        pen.boxed(Meaning::Legend, (x, y - BOX), (BOX, BOX), LINE);
        let at = (x + BOX + 1.4, base(y));
        pen.text(Meaning::Legend, style, Anchor::Left, at, &text);
        x += item + 5.0;
    }
    Some((pen, y + 1.5))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::pages::Drawn;
    use crate::score::pages::Mark;

    #[test]
    fn every_tempo_has_its_box_within_the_width() {
        assert!(draw(&[], 180.0, SheetFont::Sans).is_none());
        let tempi = [40, 48, 56, 64, 72, 84];
        for (width, font) in [(180.0, SheetFont::Sans), (60.0, SheetFont::Serif)] {
            let (pen, height) = draw(&tempi, width, font).expect("a row");
            let text = |mark: &Mark| match &mark.drawn {
                Drawn::Text { text, .. } => Some(text.clone()),
                _ => None,
            };
            let texts: Vec<String> = pen.marks.iter().filter_map(text).collect();
            for bpm in tempi {
                assert!(texts.contains(&bpm.to_string()), "{bpm}");
            }
            for mark in &pen.marks {
                let bounds = mark.bounds();
                assert!(
                    bounds.right <= width + 0.5 && bounds.bottom <= height,
                    "{bounds:?}"
                );
            }
        }
    }
}
