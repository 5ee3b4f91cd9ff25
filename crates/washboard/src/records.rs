//! Measured records from files, with a bound on their size.

use anyhow::{Context, Result, ensure};
use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;
use washboard_log::{Log, read_csv};

/// Largest file that is read, bytes.
const MOST_BYTES: u64 = 512 * 1024 * 1024;

/// Reads a record; `wanted` names channels, empty takes all.
pub fn read(path: &Path, wanted: &[String]) -> Result<Log> {
    let name = path.display();
    // Looked at before it is opened: opening a pipe would wait for its other end.
    let meta = std::fs::metadata(path).with_context(|| format!("{name} cannot be read"))?;
    ensure!(meta.is_file(), "{name} is not a file");
    let bytes = meta.len();
    ensure!(bytes <= MOST_BYTES, "{name} is {bytes} bytes, but a record must not be larger than {MOST_BYTES} bytes");
    let file = File::open(path).with_context(|| format!("{name} cannot be read"))?;
    read_csv(BufReader::new(file).take(MOST_BYTES), wanted).with_context(|| name.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_of_a_gigabyte_is_refused_before_it_is_read() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("huge.csv");
        File::create(&path).unwrap().set_len(1 << 30).unwrap();
        let sentence = read(&path, &[]).unwrap_err().to_string();
        assert!(sentence.contains("1073741824 bytes"), "{sentence}");
        assert!(read(dir.path(), &[]).unwrap_err().to_string().contains("not a file"));
    }
}
