//! Reads members of a ZIP archive out of memory, and no more than it was told to: the sizes that an
//! archive claims are not believed. Stored and deflated members; nothing encrypted, no disks.
//!
//! Layout: ".ZIP File Format Specification", PKWARE, version 6.3.3, sections 4.3.7, 4.3.12 and
//! 4.3.16.

use super::score_file::ImportError;
use miniz_oxide::inflate::decompress_to_vec_with_limit;

/// The end of the directory and the longest comment behind it.
const TAIL: usize = 22 + 65_535;

/// Members that are looked at.
const MAX_MEMBERS: usize = 4096;

/// A member of an archive, still packed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Member<'a> {
    pub(super) name: &'a [u8],
    method: u16,
    encrypted: bool,
    checksum: u32,
    packed: &'a [u8],
}

/// The members of an archive in the order of its directory.
///
/// # Errors
/// If the archive is damaged.
pub(super) fn members(bytes: &[u8]) -> Result<Vec<Member<'_>>, ImportError> {
    let damaged = || ImportError::whole("this compressed file is damaged or not complete");
    let from = bytes.len().saturating_sub(TAIL);
    let tail = bytes.get(from..).unwrap_or_default();
    let end = tail.windows(4).rposition(|word| word == b"PK\x05\x06");
    let end = end.map(|at| from + at).ok_or_else(damaged)?;
    let count = short(bytes, end + 10).ok_or_else(damaged)?;
    let mut at = long(bytes, end + 16).ok_or_else(damaged)?;
    let mut members = Vec::new();
    for _ in 0..usize::from(count).min(MAX_MEMBERS) {
        let (member, next) = member(bytes, at).ok_or_else(damaged)?;
        members.push(member);
        at = next;
    }
    Ok(members)
}

/// A member by its entry in the directory, and where the next entry begins.
fn member(bytes: &[u8], at: usize) -> Option<(Member<'_>, usize)> {
    if bytes.get(at..at.checked_add(4)?)? != b"PK\x01\x02" {
        return None;
    }
    let length = |offset: usize| short(bytes, at + offset).map(usize::from);
    let name_from = at + 46;
    let name_until = name_from + length(28)?;
    let next = name_until + length(30)? + length(32)?;
    let packed_len = long(bytes, at + 20)?;
    let local = long(bytes, at + 42)?;
    if bytes.get(local..local.checked_add(4)?)? != b"PK\x03\x04" {
        return None;
    }
    let skipped = usize::from(short(bytes, local + 26)?) + usize::from(short(bytes, local + 28)?);
    let packed_from = local + 30 + skipped;
    let member = Member {
        name: bytes.get(name_from..name_until)?,
        encrypted: short(bytes, at + 8)? & 1 != 0,
        method: short(bytes, at + 10)?,
        checksum: u32::try_from(long(bytes, at + 16)?).ok()?,
        packed: bytes.get(packed_from..packed_from.checked_add(packed_len)?)?,
    };
    Some((member, next))
}

impl Member<'_> {
    /// What the member holds, if that is no more than `limit` bytes.
    ///
    /// # Errors
    /// If it is more, packed in another way, encrypted or damaged.
    pub(super) fn unpacked(&self, limit: usize) -> Result<Vec<u8>, ImportError> {
        if self.encrypted {
            let message = "this compressed file has a password; save it without one";
            return Err(ImportError::whole(message));
        }
        let too_large = || {
            let mib = limit.div_ceil(1024 * 1024);
            ImportError::whole(format!(
                "unpacked, the score would be larger than {mib} MiB; export a part of it"
            ))
        };
        let bytes = match self.method {
            0 if self.packed.len() > limit => return Err(too_large()),
            0 => self.packed.to_vec(),
            8 => decompress_to_vec_with_limit(self.packed, limit).map_err(|error| {
                match error.status {
                    miniz_oxide::inflate::TINFLStatus::HasMoreOutput => too_large(),
                    _ => ImportError::whole("this compressed file is damaged"),
                }
            })?,
            _ => {
                let message = "this file is compressed in an unusual way; save it uncompressed";
                return Err(ImportError::whole(message));
            }
        };
        if crc32fast::hash(&bytes) != self.checksum {
            return Err(ImportError::whole(
                "this compressed file is damaged: its checksum is wrong",
            ));
        }
        Ok(bytes)
    }
}

fn short(bytes: &[u8], at: usize) -> Option<u16> {
    let pair = bytes.get(at..at.checked_add(2)?)?;
    pair.try_into().ok().map(u16::from_le_bytes)
}

fn long(bytes: &[u8], at: usize) -> Option<usize> {
    let four = bytes.get(at..at.checked_add(4)?)?;
    let number = four.try_into().ok().map(u32::from_le_bytes)?;
    usize::try_from(number).ok()
}
