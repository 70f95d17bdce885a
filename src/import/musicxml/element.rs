//! XML in pieces small enough for any memory: the reader hands out one element at a time, with all
//! that is inside it, and forgets it again. Entities of a file's own are refused, depth and size of
//! a piece are limited, and an error knows line and column.

use crate::import::score_file::ImportError;
use quick_xml::Reader;
use quick_xml::XmlVersion;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::BytesStart;
use quick_xml::events::Event;

/// How deep elements may lie in each other; a score needs about ten.
const MAX_DEPTH: usize = 64;

/// Elements in one piece: a bar of a thousand notes has about ten thousand.
const MAX_ELEMENTS: usize = 200_000;

/// Characters that are kept of one text.
const MAX_TEXT: usize = 10_000;

/// An element with what is inside it. Names are without their namespace prefix.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Element {
    name: String,
    attributes: Vec<(String, String)>,
    text: String,
    children: Vec<Self>,
}

impl Element {
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// Its own text, trimmed.
    pub(super) fn text(&self) -> &str {
        self.text.trim()
    }

    pub(super) fn children(&self) -> &[Self] {
        &self.children
    }

    /// The first child of a name.
    pub(super) fn child(&self, name: &str) -> Option<&Self> {
        self.children.iter().find(|child| child.name == name)
    }

    /// All children of a name.
    pub(super) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Self> {
        self.children.iter().filter(move |child| child.name == name)
    }

    pub(super) fn has(&self, name: &str) -> bool {
        self.child(name).is_some()
    }

    /// The text of the first child of a name; empty if there is none.
    pub(super) fn text_of(&self, name: &str) -> &str {
        self.child(name).map_or("", Self::text)
    }

    /// The number in the first child of a name.
    pub(super) fn number_of(&self, name: &str) -> Option<f64> {
        number(self.text_of(name))
    }

    pub(super) fn attribute(&self, name: &str) -> Option<&str> {
        let own = self.attributes.iter().find(|(own, _)| own == name);
        own.map(|(_, value)| value.trim())
    }
}

/// A decimal number of a sensible size; neither endless nor undefined.
pub(super) fn number(text: &str) -> Option<f64> {
    let plain = |b: u8| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+');
    if text.is_empty() || text.len() > 20 || !text.bytes().all(plain) {
        return None;
    }
    text.parse().ok().filter(|n: &f64| n.abs() <= 1e7)
}

/// A number without a fractional part.
pub(super) fn whole_number(text: &str) -> Option<i32> {
    number(text).filter(|n| n.fract() == 0.0).map(|n| n as i32)
}

/// What comes next in the file.
#[derive(Debug)]
pub(super) enum Step {
    /// An element begins; what is inside has not been read.
    Opened(Element),
    /// The element around ends.
    Closed,
    /// The file ends.
    End,
}

/// An XML text being read.
pub(super) struct Source<'t> {
    text: &'t str,
    reader: Reader<&'t [u8]>,
    depth: usize,
}

impl<'t> Source<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        let mut reader = Reader::from_str(text);
        reader.config_mut().expand_empty_elements = true;
        Self {
            text,
            reader,
            depth: 0,
        }
    }

    /// The next begin or end of an element; text between them is passed over.
    pub(super) fn step(&mut self) -> Result<Step, ImportError> {
        loop {
            match self.event()? {
                Event::Start(tag) => return self.opened(&tag).map(Step::Opened),
                Event::End(_) => {
                    self.depth = self.depth.saturating_sub(1);
                    return Ok(Step::Closed);
                }
                Event::Eof if self.depth > 0 => {
                    return Err(self.error("the file ends in the middle; it is not complete"));
                }
                Event::Eof => return Ok(Step::End),
                _ => {}
            }
        }
    }

    /// All that is inside an element that was just opened, up to its end.
    pub(super) fn inside(&mut self, opened: Element) -> Result<Element, ImportError> {
        let mut open = vec![opened];
        let mut n_elements = 0_usize;
        loop {
            match self.event()? {
                Event::Start(tag) => {
                    n_elements += 1;
                    if n_elements > MAX_ELEMENTS {
                        return Err(self.error("one bar holds more than any bar of music can"));
                    }
                    open.push(self.opened(&tag)?);
                }
                Event::End(_) => {
                    self.depth = self.depth.saturating_sub(1);
                    let Some(done) = open.pop() else {
                        return Ok(Element::default());
                    };
                    match open.last_mut() {
                        Some(around) => around.children.push(done),
                        None => return Ok(done),
                    }
                }
                Event::Text(text) => {
                    let text = text
                        .xml10_content()
                        .map_err(|e| self.error(e.to_string()))?;
                    add_text(&mut open, &text);
                }
                Event::CData(text) => {
                    let text = text
                        .xml10_content()
                        .map_err(|e| self.error(e.to_string()))?;
                    add_text(&mut open, &text);
                }
                Event::GeneralRef(reference) => {
                    let name = reference.decode().map_err(|e| self.error(e.to_string()))?;
                    if let Some(known) = resolve_predefined_entity(&name) {
                        add_text(&mut open, known);
                    } else {
                        let sign = reference.resolve_char_ref().ok().flatten();
                        let sign = sign.ok_or_else(|| self.unknown_entity(&name))?;
                        add_text(&mut open, sign.encode_utf8(&mut [0; 4]));
                    }
                }
                Event::Eof => {
                    return Err(self.error("the file ends in the middle; it is not complete"));
                }
                _ => {}
            }
        }
    }

    /// Passes over all that is inside an element that was just opened.
    pub(super) fn skip(&mut self) -> Result<(), ImportError> {
        let outside = self.depth.saturating_sub(1);
        while self.depth > outside {
            if let Step::End = self.step()? {
                return Ok(());
            }
        }
        Ok(())
    }

    fn event(&mut self) -> Result<Event<'t>, ImportError> {
        let event = self.reader.read_event();
        event.map_err(|error| {
            let at = self.reader.error_position();
            self.error_at(at, format!("this is no well-formed XML: {error}"))
        })
    }

    fn opened(&mut self, tag: &BytesStart<'_>) -> Result<Element, ImportError> {
        self.depth += 1;
        if self.depth > MAX_DEPTH {
            return Err(self.error("elements lie too deep in each other for a score"));
        }
        let mut element = Element {
            name: self.name(tag.local_name().into_inner())?,
            ..Element::default()
        };
        for attribute in tag.attributes().with_checks(false) {
            let attribute = attribute.map_err(|error| self.error(error.to_string()))?;
            let value = attribute.normalized_value(XmlVersion::Implicit1_0);
            let value = value.map_err(|error| self.error(error.to_string()))?;
            let name = self.name(attribute.key.local_name().into_inner())?;
            element.attributes.push((name, value.into_owned()));
        }
        Ok(element)
    }

    fn name(&self, bytes: &[u8]) -> Result<String, ImportError> {
        let name = str::from_utf8(bytes);
        let name = name.map_err(|_| self.error("a name is damaged"))?;
        Ok(name.into())
    }

    fn unknown_entity(&self, name: &str) -> ImportError {
        let short: String = name.chars().take(40).collect();
        self.error(format!(
            "“&{short};” stands for something the file does not spell out; save it again without such abbreviations"
        ))
    }

    /// An error where the reader now is.
    pub(super) fn error(&self, message: impl Into<String>) -> ImportError {
        self.error_at(self.reader.buffer_position(), message)
    }

    fn error_at(&self, at: u64, message: impl Into<String>) -> ImportError {
        let at = usize::try_from(at)
            .unwrap_or(usize::MAX)
            .min(self.text.len());
        let before = self.text.as_bytes().get(..at).unwrap_or_default();
        let line = before.split(|byte| *byte == b'\n').count();
        let since = before.rsplit(|byte| *byte == b'\n').next();
        let column = String::from_utf8_lossy(since.unwrap_or_default())
            .chars()
            .count();
        ImportError::at(format!("line {line}, column {}", column.max(1)), message)
    }
}

fn add_text(open: &mut [Element], text: &str) {
    if let Some(element) = open.last_mut() {
        let room = MAX_TEXT.saturating_sub(element.text.len());
        element.text.extend(text.chars().take(room));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(text: &str) -> Result<Element, ImportError> {
        let mut source = Source::new(text);
        match source.step()? {
            Step::Opened(element) => source.inside(element),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn elements_come_with_attributes_texts_and_children() {
        let text = "<?xml version='1.0'?><!DOCTYPE a [<!ELEMENT a ANY>]>\n<x:a b='1 &amp; 2'>\
            <!-- no --><c>  caf&#xE9; &lt;<![CDATA[<d>]]> </c><c/><e>7.5</e></x:a>";
        let a = whole(text).expect("well-formed");
        assert_eq!((a.name(), a.attribute("b")), ("a", Some("1 & 2")));
        assert_eq!(a.text_of("c"), "café <<d>");
        assert_eq!(a.all("c").count(), 2);
        assert_eq!(a.number_of("e"), Some(7.5));
        assert!(!a.has("f") && a.text_of("f").is_empty());
    }

    #[test]
    fn what_is_not_well_formed_is_refused_with_its_place() {
        for (text, place, word) in [
            ("<a>\n<b></a>", "line 2, column ", "well-formed"),
            ("<a>\n\n<b>", "line 3", "not complete"),
            ("<a>&bomb;</a>", "line 1", "&bomb;"),
            ("<a b></a>", "line 1", ""),
        ] {
            let error = whole(text).expect_err(text).to_string();
            assert!(error.starts_with(place), "{error}");
            assert!(error.contains(word), "{error}");
        }
        let bomb = "<!DOCTYPE a [<!ENTITY x 'xx'><!ENTITY y '&x;&x;'>]><a>&y;</a>";
        assert!(
            whole(bomb).is_err(),
            "a file's own entities are never expanded"
        );
        let deep = "<a>".repeat(100_000);
        assert!(whole(&deep).is_err());
        let many = format!("<a>{}</a>", "<b/>".repeat(MAX_ELEMENTS + 1));
        assert!(whole(&many).is_err());
    }

    #[test]
    fn numbers_are_plain_and_of_a_sensible_size() {
        assert_eq!(number("-1.5"), Some(-1.5));
        for text in ["", "nan", "inf", "1e9", "99999999999", "1,5", "--1"] {
            assert_eq!(number(text), None, "{text}");
        }
        assert_eq!(whole_number("3"), Some(3));
        assert_eq!(whole_number("3.5"), None);
    }
}
