//! Whether a file is still the one that was read or written last: another program may have changed it meanwhile.

use std::{
    fs::File,
    hash::{DefaultHasher, Hasher},
    io::{self, Read},
    path::Path,
};

use crate::read::LARGEST_FILE;

/// What a file held: its length and a hash of its bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    bytes: u64,
    hash: u64,
}

impl Stamp {
    /// Of a file; `None` where there is none.
    pub fn of(path: &Path) -> io::Result<Option<Stamp>> {
        let file = match File::open(path) {
            Ok(file) => file,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(error),
        };
        if !file.metadata()?.is_file() {
            return Err(io::Error::other("it is not a regular file"));
        }
        let mut bytes = Vec::new();
        file.take(LARGEST_FILE + 1).read_to_end(&mut bytes)?;
        Ok(Some(Stamp::of_bytes(&bytes)))
    }

    /// Of bytes.
    pub fn of_bytes(bytes: &[u8]) -> Stamp {
        // Not against a forger, only against another program's honest save.
        let mut hasher = DefaultHasher::new();
        hasher.write(bytes);
        Stamp { bytes: bytes.len() as u64, hash: hasher.finish() }
    }
}
