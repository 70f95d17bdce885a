//! Tells whether a file is still the one that was read or written: by size and time at a glance,
//! by its bytes where it matters. Knows nothing of what is in the file.

use super::read::read_bytes;
use std::fs;
use std::io;
use std::path::Path;
use std::time::UNIX_EPOCH;

/// What a file holds, in short.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Stamp {
    /// Its length in bytes.
    pub bytes: u64,
    /// Checksum of them (CRC-32 as in PNG and ZIP).
    pub checksum: u32,
}

impl Stamp {
    /// Of bytes at hand.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self {
            bytes: u64::try_from(bytes.len()).unwrap_or(u64::MAX),
            checksum: crc32fast::hash(bytes),
        }
    }
}

/// How a file stands to its stamp.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum OnDisk {
    /// As it was.
    Same,
    /// Something else stands there now.
    Changed(Stamp),
    /// It is no longer there.
    Gone,
    /// The system does not let it be read; whether it changed is not known.
    Unreadable,
}

/// Compares a file with what it held before, by its bytes.
#[must_use]
pub fn compare(path: &Path, before: Stamp) -> OnDisk {
    if let Err(error) = fs::metadata(path) {
        return if error.kind() == io::ErrorKind::NotFound {
            OnDisk::Gone
        } else {
            OnDisk::Unreadable
        };
    }
    match read_bytes(path).map(|bytes| Stamp::of(&bytes)) {
        Ok(now) if now == before => OnDisk::Same,
        Ok(now) => OnDisk::Changed(now),
        Err(_) => OnDisk::Unreadable,
    }
}

/// Size and time of last change: if they are as before, the bytes need not be read again.
#[must_use]
pub fn glance(path: &Path) -> Option<(u64, u128)> {
    let known = fs::metadata(path).ok()?;
    let changed = known.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
    Some((known.len(), changed.as_nanos()))
}

/// When a file was last changed, in seconds since the beginning of 1970; 0 if the system does not
/// tell.
#[must_use]
pub fn changed_s(path: &Path) -> u64 {
    glance(path).map_or(0, |(_, nanos)| {
        u64::try_from(nanos / 1_000_000_000).unwrap_or(0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stamp_is_the_published_checksum() {
        // The check value of CRC-32/ISO-HDLC: "123456789" gives CBF43926 (Catalogue of
        // parametrised CRC algorithms, G. Cook).
        let stamp = Stamp::of(b"123456789");
        assert_eq!((stamp.bytes, stamp.checksum), (9, 0xCBF4_3926));
    }

    #[test]
    fn a_file_is_the_same_changed_or_gone() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("tune.ron");
        let stamp = Stamp::of(b"one");
        assert_eq!(compare(&path, stamp), OnDisk::Gone);
        fs::write(&path, "one").expect("written");
        assert_eq!(compare(&path, stamp), OnDisk::Same);
        fs::write(&path, "two").expect("written");
        assert_eq!(compare(&path, stamp), OnDisk::Changed(Stamp::of(b"two")));
        assert!(glance(&path).is_some() && changed_s(&path) > 0);
        assert_eq!(compare(folder.path(), stamp), OnDisk::Unreadable);
    }
}
