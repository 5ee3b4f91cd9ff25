//! The log: plain text in the data folder, one file a day, the last week kept.

use crate::place;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use tracing_appender::rolling::{RollingFileAppender, Rotation};
use washboard_ui::LogText;

const NAME: &str = "washboard";
const ENDING: &str = "log";
/// Days of which the log is kept.
const DAYS: usize = 7;
/// Most of the end of a log that is shown, bytes.
const MOST: u64 = 64 * 1024;

/// Sends everything that is traced to the log of the day; without a data folder, or where it cannot be written, nothing
/// is logged.
pub fn start() {
    let Some(folder) = folder() else { return };
    // Without its folder the appender would complain on standard error.
    if std::fs::create_dir_all(&folder).is_err() {
        return;
    }
    let appender = RollingFileAppender::builder()
        .rotation(Rotation::DAILY)
        .filename_prefix(NAME)
        .filename_suffix(ENDING)
        .max_log_files(DAYS)
        .build(folder);
    let Ok(appender) = appender else { return };
    let started = tracing_subscriber::fmt()
        .with_writer(std::sync::Mutex::new(appender))
        .with_ansi(false)
        .with_max_level(tracing::Level::INFO)
        .try_init();
    if started.is_ok() {
        tracing::info!("washboard {} begins", env!("CARGO_PKG_VERSION"));
    }
}

fn folder() -> Option<PathBuf> {
    Some(place::data_folder()?.join("log"))
}

/// The end of the newest log.
pub fn last_lines() -> LogText {
    let Some(folder) = folder() else {
        let text = "No log is written: the system names no folder for the program's own files.".to_owned();
        return LogText { path: String::new(), text };
    };
    match newest(&folder) {
        Some(path) => {
            let text = end_of(&path).unwrap_or_else(|fault| format!("It cannot be read: {fault}."));
            LogText { path: path.display().to_string(), text }
        }
        None => LogText { path: String::new(), text: format!("There is no log in {}.", folder.display()) },
    }
}

/// The log of the last day; the day stands in the name.
fn newest(folder: &Path) -> Option<PathBuf> {
    let files = std::fs::read_dir(folder).ok()?.filter_map(|entry| Some(entry.ok()?.path()));
    let is_log = |path: &PathBuf| {
        let name = path.file_name().map_or(String::new(), |n| n.to_string_lossy().into_owned());
        name.starts_with(NAME) && name.ends_with(ENDING)
    };
    files.filter(is_log).max()
}

fn end_of(path: &Path) -> std::io::Result<String> {
    let mut file = std::fs::File::open(path)?;
    let length = file.metadata()?.len();
    file.seek(SeekFrom::Start(length.saturating_sub(MOST)))?;
    let mut bytes = Vec::new();
    file.take(MOST).read_to_end(&mut bytes)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    // Where it begins in the middle of a line, that line is left out.
    let whole =
        if length > MOST { text.split_once('\n').map_or(text.clone(), |(_, rest)| rest.to_owned()) } else { text };
    Ok(whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_end_of_the_newest_log_is_shown_in_whole_lines() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("washboard.2026-11-24.log"), "old\n").unwrap();
        let long: String = (0..10_000).map(|i| format!("line {i} of the log\n")).collect();
        std::fs::write(dir.path().join("washboard.2026-11-25.log"), &long).unwrap();
        std::fs::write(dir.path().join("zzz.txt"), "another").unwrap();
        let path = newest(dir.path()).unwrap();
        assert!(path.ends_with("washboard.2026-11-25.log"));
        let text = end_of(&path).unwrap();
        assert!(text.starts_with("line ") && text.ends_with("line 9999 of the log\n"));
        assert!(text.len() as u64 <= MOST && text.len() as u64 > MOST - 100);
        assert!(newest(&dir.path().join("none")).is_none());
    }
}
