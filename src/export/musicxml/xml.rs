//! A very small XML writer: elements are closed by the block that opened them, text and attributes
//! are escaped, and what XML cannot say is left out. Knows nothing of music.

use std::fmt::Display;
use std::fmt::Write as _;

/// Names and values of attributes.
pub type Attributes<'a> = &'a [(&'a str, &'a str)];

/// XML being written, indented by two spaces.
pub struct Xml {
    text: String,
    depth: usize,
}

impl Xml {
    /// An empty file with its declaration and, if there is one, its document type.
    #[must_use]
    pub fn new(doctype: &str) -> Self {
        let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        text.push_str(doctype);
        Self { text, depth: 0 }
    }

    /// An element with others inside.
    pub fn inside(
        &mut self,
        name: &str,
        attributes: Attributes<'_>,
        content: impl FnOnce(&mut Self),
    ) {
        self.start(name, attributes, ">\n");
        self.depth += 1;
        content(self);
        self.depth -= 1;
        let _ = writeln!(self.text, "{:1$}</{name}>", "", 2 * self.depth);
    }

    /// An element with text inside.
    pub fn leaf(&mut self, name: &str, text: impl Display) {
        self.leaf_with(name, &[], text);
    }

    /// An element with attributes and text inside.
    pub fn leaf_with(&mut self, name: &str, attributes: Attributes<'_>, text: impl Display) {
        self.start(name, attributes, ">");
        let _ = writeln!(self.text, "{}</{name}>", escaped(&text.to_string()));
    }

    /// An element with nothing inside.
    pub fn empty(&mut self, name: &str, attributes: Attributes<'_>) {
        self.start(name, attributes, "/>\n");
    }

    fn start(&mut self, name: &str, attributes: Attributes<'_>, end: &str) {
        let _ = write!(self.text, "{:1$}<{name}", "", 2 * self.depth);
        for (attribute, value) in attributes {
            let _ = write!(self.text, " {attribute}=\"{}\"", escaped(value));
        }
        self.text.push_str(end);
    }

    /// The finished text.
    #[must_use]
    pub fn finish(self) -> String {
        self.text
    }
}

/// Without the characters that XML 1.0 keeps for itself or cannot hold at all.
fn escaped(text: &str) -> String {
    let allowed = |c: &char| {
        matches!(c, '\t' | '\n') || !(c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}'))
    };
    let mut out = String::with_capacity(text.len());
    for c in text.chars().filter(allowed) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            plain => out.push(plain),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_attributes_are_escaped_and_elements_closed() {
        let mut xml = Xml::new("");
        xml.inside("a", &[("b", "\"1\" < 2")], |xml| {
            xml.leaf("c", "R & B\u{7}");
            xml.empty("d", &[]);
        });
        // XML 1.0, section 2.4: how markup is told from text; 2.2: no control characters.
        let wanted = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
                      <a b=\"&quot;1&quot; &lt; 2\">\n  <c>R &amp; B</c>\n  <d/>\n</a>\n";
        assert_eq!(xml.finish(), wanted);
    }
}
