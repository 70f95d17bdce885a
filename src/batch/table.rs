//! Columns of plain text for a terminal: as wide as their widest cell, numbers to the right.
//! Counts characters, not bytes, so that ♭ and ♯ keep the columns straight.

/// How a column stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    /// Text.
    Left,
    /// Numbers.
    Right,
}

/// Rows in columns two spaces apart, with a heading; without blanks at line ends.
pub fn columns(heads: &[(&str, Side)], rows: &[Vec<String>]) -> String {
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        let widest = cells.map(|cell| cell.chars().count()).max().unwrap_or(0);
        let head = heads
            .get(column)
            .map_or(0, |(head, _)| head.chars().count());
        widest.max(head)
    };
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    let line = |cells: &[&str]| {
        let mut text = String::new();
        for ((cell, width), (_, side)) in cells.iter().zip(&widths).zip(heads) {
            text.push_str("  ");
            text.push_str(&match side {
                Side::Left => format!("{cell:<width$}"),
                Side::Right => format!("{cell:>width$}"),
            });
        }
        format!("{}\n", text.trim_end())
    };
    let head: Vec<&str> = heads.iter().map(|(head, _)| *head).collect();
    let mut text = line(&head);
    for row in rows {
        let cells: Vec<&str> = row.iter().map(String::as_str).collect();
        text.push_str(&line(&cells));
    }
    text
}

/// Labels with values, the values under each other.
pub fn facts(pairs: &[(&str, String)]) -> String {
    let width = pairs.iter().map(|(label, _)| label.chars().count()).max();
    let width = width.unwrap_or(0);
    let line = |(label, value): &(&str, String)| format!("  {label:<width$}  {value}\n");
    pairs.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_as_wide_as_their_widest_cell() {
        let rows = [
            vec!["1.5".into(), "E♭ G B♭".into(), "a".into()],
            vec!["21.5".into(), "C".into(), String::new()],
        ];
        let heads = [
            ("no", Side::Right),
            ("notes", Side::Left),
            ("x", Side::Left),
        ];
        let expected = "    no  notes    x\n   1.5  E♭ G B♭  a\n  21.5  C\n";
        assert_eq!(columns(&heads, &rows), expected);
    }

    #[test]
    fn facts_stand_under_each_other() {
        let pairs = [("root", "C".into()), ("may go", "5".into())];
        assert_eq!(facts(&pairs), "  root    C\n  may go  5\n");
    }
}
