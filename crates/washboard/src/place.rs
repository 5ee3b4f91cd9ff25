//! The folders the program keeps its own files in.

use std::path::PathBuf;

/// Name under which the desktop and the data folder know the program.
pub const APP_ID: &str = "washboard";

/// Folder for the log, recovery copies and the window's layout; absent where the system names no home.
pub fn data_folder() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", APP_ID).map(|dirs| dirs.data_dir().to_owned())
}
