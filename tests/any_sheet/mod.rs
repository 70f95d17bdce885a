//! Every way in which a sheet can be set, for random tests of what keeps and what prints it. What it
//! shows is drawn as one array, so that a setting that is added here without a draw does not compile.

use proptest::prelude::*;
use thumbwalk::document::BARS_PER_SYSTEM;
use thumbwalk::document::MusicSize;
use thumbwalk::document::Paper;
use thumbwalk::document::SheetFont;
use thumbwalk::document::SheetSettings;

/// Any settings of a sheet.
pub fn any_sheet() -> impl Strategy<Value = SheetSettings> {
    let shown = proptest::array::uniform10(any::<bool>());
    let page = (
        prop::sample::select(Paper::ALL.to_vec()),
        prop::sample::select(SheetFont::ALL.to_vec()),
        prop::sample::select(MusicSize::ALL.to_vec()),
        proptest::option::of(BARS_PER_SYSTEM),
    );
    (page, shown).prop_map(|((paper, font, size, bars_per_system), shown)| {
        let [
            staff,
            all_choruses,
            diagrams,
            fingers,
            pluck_letters,
            moves,
            move_table,
            table_page,
            student_line,
            lesson_text,
        ] = shown;
        SheetSettings {
            paper,
            staff,
            font,
            size,
            bars_per_system,
            all_choruses,
            diagrams,
            fingers,
            pluck_letters,
            moves,
            move_table,
            table_page,
            student_line,
            lesson_text,
        }
    })
}
