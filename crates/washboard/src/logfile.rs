//! The window's log: plain text in the data folder, one file a start, the one before kept.

use crate::place;
use std::fs::File;
use std::path::PathBuf;
use std::sync::Mutex;

/// Sends everything that is traced to `washboard.log` in the data folder; without such a folder nothing is logged.
pub fn start() -> Option<PathBuf> {
    let folder = place::data_folder()?;
    std::fs::create_dir_all(&folder).ok()?;
    let path = folder.join("washboard.log");
    if path.exists() {
        // Losing the older log is no reason not to start.
        let _ = std::fs::rename(&path, folder.join("washboard.before.log"));
    }
    let file = File::create(&path).ok()?;
    tracing_subscriber::fmt()
        .with_writer(Mutex::new(file))
        .with_ansi(false)
        .with_max_level(tracing::Level::INFO)
        .try_init()
        .ok()?;
    Some(path)
}
