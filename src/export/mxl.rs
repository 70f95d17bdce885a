//! Compressed MusicXML: a ZIP file with a container that names the score. Two members, deflated;
//! no times, so that the same score gives the same bytes.
//!
//! Layout: ".ZIP File Format Specification", PKWARE, version 6.3.3, sections 4.3.7, 4.3.12 and
//! 4.3.16; container and media types: MusicXML 4.0, "Compressed .mxl files".

/// Where the score lies in the file.
const SCORE: &str = "score.musicxml";

const CONTAINER: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <container>\n  <rootfiles>\n    \
    <rootfile full-path=\"score.musicxml\" media-type=\"application/vnd.recordare.musicxml+xml\"/>\n  \
    </rootfiles>\n</container>\n";

/// Version 2.0 of the format has deflate.
const VERSION: u16 = 20;
/// Names are UTF-8.
const FLAGS: u16 = 1 << 11;
const DEFLATE: u16 = 8;
/// 1 January 1980, midnight: the earliest date there is.
const DATE: u16 = 0x21;
const LEVEL: u8 = 6;

/// A score as the bytes of an `.mxl` file.
#[must_use]
pub fn pack(score: &str) -> Vec<u8> {
    let mut file = Vec::new();
    let mut directory = Vec::new();
    let members = [("META-INF/container.xml", CONTAINER), (SCORE, score)];
    for (name, text) in members {
        let offset = file.len();
        let packed = miniz_oxide::deflate::compress_to_vec(text.as_bytes(), LEVEL);
        let mut about = Vec::new();
        for word in [VERSION, FLAGS, DEFLATE, 0, DATE] {
            about.extend(word.to_le_bytes());
        }
        let crc = crc32fast::hash(text.as_bytes());
        for word in [
            crc,
            length(packed.len()),
            length(text.len()),
            length(name.len()),
        ] {
            about.extend(word.to_le_bytes());
        }
        file.extend(b"PK\x03\x04");
        file.extend(&about);
        file.extend(name.as_bytes());
        file.extend(&packed);
        directory.extend(b"PK\x01\x02");
        directory.extend(VERSION.to_le_bytes());
        directory.extend(&about);
        // No comment, first disk, no attributes.
        directory.extend([0; 10]);
        directory.extend(length(offset).to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let offset = file.len();
    file.extend(&directory);
    file.extend(b"PK\x05\x06");
    file.extend([0; 4]);
    file.extend([2, 0, 2, 0]);
    file.extend(length(directory.len()).to_le_bytes());
    file.extend(length(offset).to_le_bytes());
    file.extend([0; 2]);
    file
}

/// Lengths are 32 bits; a score of 2,000 bars takes a hundredth of what they reach.
fn length(bytes: usize) -> u32 {
    u32::try_from(bytes).unwrap_or(u32::MAX)
}
