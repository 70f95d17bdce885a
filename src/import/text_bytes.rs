//! Bytes of an XML file as text: UTF-8 and UTF-16 by their marks or by how an XML file must begin,
//! and the old one-byte encoding of Western Europe where the file says so itself.
//!
//! How encodings are told apart: "Extensible Markup Language (XML) 1.0", fifth edition, W3C 2008,
//! appendix F.

use super::score_file::ImportError;

/// The text, without a byte-order mark; also whether it had to be decoded byte by byte.
///
/// # Errors
/// If the bytes are in none of these encodings.
pub(super) fn decode(bytes: &[u8]) -> Result<String, ImportError> {
    match bytes {
        [0xFF, 0xFE, 0, 0, ..] | [0, 0, 0xFE, 0xFF, ..] | [0, 0, 0, b'<', ..] => {
            Err(ImportError::whole(
                "this XML is written in UTF-32; save it as UTF-8 and import it again",
            ))
        }
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes),
        [b'<', 0, ..] => utf16(bytes, u16::from_le_bytes),
        [0, b'<', ..] => utf16(bytes, u16::from_be_bytes),
        [0xEF, 0xBB, 0xBF, rest @ ..] => utf8(rest),
        _ => utf8(bytes),
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, ImportError> {
    let (pairs, odd) = bytes.as_chunks::<2>();
    let units = pairs.iter().map(|pair| unit(*pair));
    let text: Result<String, _> = char::decode_utf16(units).collect();
    match text {
        Ok(text) if odd.is_empty() => Ok(text),
        _ => Err(ImportError::whole(
            "this XML begins as UTF-16 but is damaged; save it again, as UTF-8 if you can",
        )),
    }
}

fn utf8(bytes: &[u8]) -> Result<String, ImportError> {
    let error = match str::from_utf8(bytes) {
        Ok(text) => return Ok(text.into()),
        Err(error) => error,
    };
    if says_latin_1(bytes) {
        return Ok(bytes.iter().map(|byte| char::from(*byte)).collect());
    }
    let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
    let line = before.split(|byte| *byte == b'\n').count();
    Err(ImportError::at(
        format!("line {line}"),
        "these bytes are no text in UTF-8; save the file as UTF-8 and import it again",
    ))
}

/// Whether the XML declaration names ISO 8859-1, whose bytes are the first 256 characters.
fn says_latin_1(bytes: &[u8]) -> bool {
    let line = bytes.split(|byte| *byte == b'>').next().unwrap_or_default();
    let head = line.get(..line.len().min(200)).unwrap_or_default();
    let head = String::from_utf8_lossy(head).to_ascii_lowercase();
    head.contains("iso-8859-1") || head.contains("latin1")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_beginnings_tell_the_encoding() {
        let text = "<a>é♭</a>";
        let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
        let marked = |mark: &[u8], rest: &[u8]| [mark, rest].concat();
        for bytes in [
            text.as_bytes().to_vec(),
            marked(b"\xEF\xBB\xBF", text.as_bytes()),
            little.clone(),
            big.clone(),
            marked(b"\xFF\xFE", &little),
            marked(b"\xFE\xFF", &big),
        ] {
            assert_eq!(decode(&bytes).as_deref(), Ok(text));
        }
        let latin = b"<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><a>\xE9</a>";
        assert!(decode(latin).is_ok_and(|text| text.ends_with("<a>é</a>")));
    }

    #[test]
    fn other_bytes_are_refused_in_words() {
        let bad = decode(b"<a>\n\xE9</a>").expect_err("refused");
        assert!(bad.to_string().starts_with("line 2: "), "{bad}");
        assert!(decode(b"\xFF\xFE<\0a\0").is_ok());
        assert!(decode(b"\xFF\xFE<\0a\0>").is_err(), "an odd byte");
        assert!(decode(b"\xFF\xFE\x00\xD8<\0").is_err(), "half a pair");
        assert!(decode(b"\0\0\0<").is_err());
    }
}
