//! Compressed MusicXML: finds the score in a ZIP archive by its container, and unpacks it within
//! limits that no archive can talk its way around.
//!
//! Container: MusicXML 4.0, "Compressed .mxl files", W3C Music Notation Community Group, 2021.

use super::musicxml;
use super::score_file::Choice;
use super::score_file::ImportError;
use super::score_file::Imported;
use super::zip;
use super::zip::Member;

/// The most bytes that a score may have unpacked, as for one that is not compressed.
const MAX_UNPACKED: usize = 32 * 1024 * 1024;

/// How many times larger than the archive a score may be.
const MAX_EXPANSION: usize = 16;

/// Up to this size a score may be more than [`MAX_EXPANSION`] times larger: markup of music packs
/// well, fifty times in large scores.
const ANY_EXPANSION: usize = 8 * 1024 * 1024;

/// Whether bytes begin as an archive.
#[must_use]
pub fn looks_like(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// Reads a compressed score.
///
/// # Errors
/// Where it is no score, what is wrong and what to do.
pub fn read(bytes: &[u8], choice: Choice) -> Result<Imported, ImportError> {
    musicxml::read(&score(bytes)?, choice)
}

fn score(bytes: &[u8]) -> Result<Vec<u8>, ImportError> {
    let limit = bytes.len().saturating_mul(MAX_EXPANSION);
    let limit = limit.clamp(ANY_EXPANSION, MAX_UNPACKED);
    let members = zip::members(bytes)?;
    let named = |name: &[u8]| members.iter().find(|member| member.name == name);
    let container = named(b"META-INF/container.xml").map(|member| member.unpacked(limit));
    let path = match container {
        Some(container) => musicxml::root_file(&container?)?,
        None => None,
    };
    let by_container = path.as_ref().and_then(|path| named(path.as_bytes()));
    let member = by_container.or_else(|| members.iter().find(|member| is_score(member)));
    let message = "there is no MusicXML score in this compressed file";
    member
        .ok_or_else(|| ImportError::whole(message))?
        .unpacked(limit)
}

/// Whether a member is a score by its name, where the container does not say.
fn is_score(member: &Member<'_>) -> bool {
    let ends = [&b".musicxml"[..], b".xml"];
    let outside = !member.name.starts_with(b"META-INF");
    outside && ends.iter().any(|end| member.name.ends_with(end))
}
