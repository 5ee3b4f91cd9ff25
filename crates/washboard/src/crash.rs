//! The last resort: a panic becomes one sentence and a report in a file.

use crate::{place, sink};
use std::backtrace::Backtrace;
use std::io::Write;
use std::path::PathBuf;

/// Installs the hook that writes every panic's text and backtrace to the data folder and says one sentence about it.
/// Ending with status 2 is left to the caller that catches the unwinding, so that a fault in the window's background
/// work does not take the window and unsaved edits with it.
pub fn install() {
    std::panic::set_hook(Box::new(|info| {
        let reason = reason(info.payload());
        let place = info.location().map(ToString::to_string).unwrap_or_default();
        tracing::error!("a fault inside the program: {reason} (at {place})\n{}", Backtrace::force_capture());
        let details = write_report(&reason, &place)
            .map_or_else(String::new, |path| format!("; details are in {}", path.display()));
        sink::say(&format!("washboard: a fault inside the program: {reason} (at {place}){details}"));
    }));
}

/// The text a panic was raised with.
pub fn reason(payload: &(dyn std::any::Any + Send)) -> String {
    payload
        .downcast_ref::<&str>()
        .map(|s| (*s).to_owned())
        .or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no reason given".to_owned())
}

fn write_report(reason: &str, at: &str) -> Option<PathBuf> {
    let folder = place::data_folder()?;
    std::fs::create_dir_all(&folder).ok()?;
    let path = folder.join("crash.log");
    let mut file = std::fs::OpenOptions::new().create(true).append(true).open(&path).ok()?;
    let trace = Backtrace::force_capture();
    let (now, version) = (jiff::Timestamp::now(), env!("CARGO_PKG_VERSION"));
    writeln!(file, "{now} washboard {version}\n{reason}\nat {at}\n{trace}\n").ok()?;
    Some(path)
}
