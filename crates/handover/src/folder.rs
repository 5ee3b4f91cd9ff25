//! A folder read into memory once, with bounds: nothing is followed out of it, nothing too large is read.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use crate::fault::HandoverFault;

/// Largest file that is read, bytes.
pub(crate) const MOST_FILE_BYTES: u64 = 64 << 20;
/// Most bytes read together.
const MOST_BYTES: u64 = 256 << 20;
/// Most entries a folder may have.
const MOST_ENTRIES: usize = 5_000;
/// Folders inside folders.
const MOST_DEPTH: usize = 4;

/// What a folder holds.
#[derive(Clone, Debug, Default)]
pub(crate) struct Folder {
    /// Where it is.
    pub path: PathBuf,
    /// Bytes of every plain file, by path with `/` between the parts.
    pub files: BTreeMap<String, Vec<u8>>,
    /// Every folder inside.
    pub folders: Vec<String>,
    /// What has no place in a set: links, devices, files too large, one sentence each.
    pub problems: Vec<String>,
}

impl Folder {
    /// Reads everything below `path`.
    pub fn read(path: &Path) -> Result<Folder, HandoverFault> {
        let unreadable = |why: &str| HandoverFault::Unreadable { folder: path.to_path_buf(), why: why.to_owned() };
        let kind = fs::metadata(path).map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound => unreadable("there is no such folder."),
            _ => HandoverFault::io("look at", path, error),
        })?;
        if !kind.is_dir() {
            return Err(unreadable("it is a file, not a folder."));
        }
        let mut folder = Folder { path: path.to_path_buf(), ..Folder::default() };
        let (mut entries, mut bytes) = (0, 0);
        // Names below the folder, still to be looked into.
        let mut open = vec![(String::new(), path.to_path_buf(), 0)];
        while let Some((prefix, place, depth)) = open.pop() {
            for entry in fs::read_dir(&place).map_err(|error| HandoverFault::io("list", &place, error))? {
                let entry = entry.map_err(|error| HandoverFault::io("list", &place, error))?;
                entries += 1;
                if entries > MOST_ENTRIES {
                    return Err(unreadable(&format!("it has more than {MOST_ENTRIES} entries.")));
                }
                let file_name = entry.file_name();
                let Some(name) = file_name.to_str() else {
                    let name = file_name.to_string_lossy();
                    folder
                        .problems
                        .push(format!("{prefix}{name}: its name is not plain text; a set has no such file."));
                    continue;
                };
                let relative = format!("{prefix}{name}");
                let full = entry.path();
                // Of the entry itself: a link is not followed.
                let data = fs::symlink_metadata(&full).map_err(|error| HandoverFault::io("look at", &full, error))?;
                if data.is_dir() {
                    if depth + 1 > MOST_DEPTH {
                        folder.problems.push(format!("{relative}: folders are nested deeper than in any set."));
                    } else {
                        open.push((format!("{relative}/"), full, depth + 1));
                    }
                    folder.folders.push(relative);
                } else if data.is_file() {
                    if data.len() > MOST_FILE_BYTES || bytes + data.len() > MOST_BYTES {
                        folder.problems.push(format!(
                            "{relative}: with {} bytes it is larger than any file of a set and was not read.",
                            data.len()
                        ));
                        continue;
                    }
                    let content = read_bounded(&full)?;
                    bytes += content.len() as u64;
                    folder.files.insert(relative, content);
                } else {
                    let what = if data.is_symlink() { "a link" } else { "no plain file" };
                    folder.problems.push(format!("{relative}: it is {what}; a set holds plain files only."));
                }
            }
        }
        folder.folders.sort();
        folder.problems.sort();
        Ok(folder)
    }
}

/// Reads one plain file of at most so many bytes; a pipe or a device is never waited for.
pub(crate) fn read_file(path: &Path, most_bytes: u64) -> Result<Vec<u8>, HandoverFault> {
    let refuse = |why: String| HandoverFault::Unreadable { folder: path.to_path_buf(), why };
    let data = fs::metadata(path).map_err(|error| HandoverFault::io("look at", path, error))?;
    if !data.is_file() {
        return Err(refuse("it is no plain file.".to_owned()));
    }
    if data.len() > most_bytes {
        return Err(refuse(format!("it has {} bytes, but at most {most_bytes} are read.", data.len())));
    }
    let file = File::open(path).map_err(|error| HandoverFault::io("open", path, error))?;
    let mut content = Vec::new();
    file.take(most_bytes + 1).read_to_end(&mut content).map_err(|error| HandoverFault::io("read", path, error))?;
    if content.len() as u64 > most_bytes {
        return Err(refuse(format!("it has more than the {most_bytes} bytes that are read.")));
    }
    Ok(content)
}

/// Reads a file that may grow meanwhile, up to one byte more than allowed.
fn read_bounded(path: &Path) -> Result<Vec<u8>, HandoverFault> {
    let file = File::open(path).map_err(|error| HandoverFault::io("open", path, error))?;
    let mut content = Vec::new();
    file.take(MOST_FILE_BYTES + 1).read_to_end(&mut content).map_err(|error| HandoverFault::io("read", path, error))?;
    Ok(content)
}
