//! One window a session file: the first holds a lock, a second one learns who holds it.
//!
//! The lock is one of the system's on a hidden file beside the session, freed however the program ends. The hidden file
//! says who holds it.

use std::{
    fs::{self, File, TryLockError},
    io::{self, Read, Seek, Write},
    path::{Path, PathBuf},
};

/// Longest note that is read, bytes.
const LONGEST_NOTE: u64 = 500;

/// A lock that is held. Dropping it frees the session.
#[derive(Debug)]
pub struct SessionLock {
    file: File,
    path: PathBuf,
}

/// What became of the wish for a lock.
#[derive(Debug)]
pub enum Locking {
    /// It is ours.
    Held(SessionLock),
    /// Another program holds it: its note, empty where it cannot be read.
    Elsewhere(String),
    /// There is no locking here, such as in a folder that cannot be written to.
    Impossible(io::Error),
}

/// Wishes for the lock of a session file; `note` says to others who holds it, in one line.
pub fn lock(session: &Path, note: &str) -> Locking {
    // A hidden file that its owner deletes between our opening and our locking it is tried for again.
    for _ in 0..10 {
        match attempt(session, note) {
            Ok(Some(locking)) => return locking,
            Ok(None) => {}
            Err(error) => return Locking::Impossible(error),
        }
    }
    Locking::Elsewhere(String::new())
}

fn attempt(session: &Path, note: &str) -> io::Result<Option<Locking>> {
    let path = path_of(session)?;
    let mut file = File::options().create(true).truncate(false).read(true).write(true).open(&path)?;
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let mut bytes = Vec::new();
            // Where the system locks reading too, there is no note.
            let _ = file.take(LONGEST_NOTE).read_to_end(&mut bytes);
            let note = String::from_utf8_lossy(&bytes).lines().next().unwrap_or_default().to_owned();
            return Ok(Some(Locking::Elsewhere(note)));
        }
        Err(TryLockError::Error(error)) => return Err(error),
    }
    if !is_still(&file, &path) {
        return Ok(None);
    }
    let line: String = note.chars().filter(|c| !c.is_control()).collect();
    file.set_len(0)?;
    file.rewind()?;
    file.write_all(format!("{line}\n").as_bytes())?;
    Ok(Some(Locking::Held(SessionLock { file, path })))
}

/// `.NAME.lock` beside the session, behind links, so that two ways to one file meet.
fn path_of(session: &Path) -> io::Result<PathBuf> {
    let real = fs::canonicalize(session)?;
    let mut name = std::ffi::OsString::from(".");
    name.push(real.file_name().unwrap_or_default());
    name.push(".lock");
    Ok(real.with_file_name(name))
}

/// True where the path still leads to the file that was opened.
#[cfg(unix)]
fn is_still(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let (Ok(open), Ok(there)) = (file.metadata(), fs::metadata(path)) else { return false };
    (open.dev(), open.ino()) == (there.dev(), there.ino())
}

/// An open file cannot be deleted there.
#[cfg(not(unix))]
fn is_still(_file: &File, path: &Path) -> bool {
    path.exists()
}

impl Drop for SessionLock {
    fn drop(&mut self) {
        // First the name, then the lock: whoever opens in between finds another file or none. A file that stays is taken
        // over by the next one.
        let _ = fs::remove_file(&self.path);
        let _ = self.file.unlock();
    }
}
