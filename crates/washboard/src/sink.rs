//! Where results go: standard output or a file, whole or not at all.

use anyhow::{Context, Result};
use std::io::{ErrorKind, Write};
use std::path::Path;

/// Writes `text` to `out`, or to standard output where there is none. A reader that has gone away is no fault.
pub fn deliver(text: &str, out: Option<&Path>) -> Result<()> {
    match out {
        None => quiet(to_stdout(text)).context("standard output could not be written"),
        Some(path) => write_file(path, text.as_bytes()),
    }
}

fn to_stdout(text: &str) -> std::io::Result<()> {
    let mut stdout = std::io::stdout().lock();
    stdout.write_all(text.as_bytes())?;
    stdout.flush()
}

fn quiet(result: std::io::Result<()>) -> std::io::Result<()> {
    match result {
        Err(e) if e.kind() == ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// Replaces a file in one step, so that nobody ever reads half of it; pipes and devices are written as they are.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<()> {
    let is_special = std::fs::metadata(path).is_ok_and(|m| !m.is_file() && !m.is_dir());
    let written = if is_special {
        std::fs::OpenOptions::new().write(true).open(path).and_then(|mut f| quiet(f.write_all(bytes)))
    } else {
        atomic_write_file::AtomicWriteFile::open(path).and_then(|mut f| {
            f.write_all(bytes)?;
            f.commit()
        })
    };
    written.with_context(|| format!("{} could not be written", path.display()))
}

/// Says one line on standard error; there is nowhere left to report that this failed.
pub fn say(line: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{}", one_line(line));
}

/// Joins the lines of a text, so that a fault stays one sentence on one line.
pub fn one_line(text: &str) -> String {
    text.split(['\n', '\r']).map(str::trim).filter(|l| !l.is_empty()).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_of_many_lines_becomes_one() {
        assert_eq!(one_line("a\n  b\r\n\nc "), "a b c");
    }

    #[test]
    fn a_file_is_replaced_whole() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x.txt");
        write_file(&path, b"first, longer").unwrap();
        write_file(&path, b"second").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"second");
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
    }
}
