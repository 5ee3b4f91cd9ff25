//! Measured records from files, read piece by piece: memory goes by the values kept, not by the size of the file, and
//! reading can be watched and stopped.

use anyhow::{Context, Error, Result, ensure};
use std::fs::File;
use std::io::{BufReader, Read, Take};
use std::path::Path;
use washboard_log::{Log, ShortLines, read_csv};

/// Largest file that is read, bytes: an evening of forty channels at 1 kHz. Its values are bounded by the reader.
const MOST_BYTES: u64 = 4 << 30;
/// Bytes between two looks at whoever watches.
const PIECE: u64 = 1 << 20;

/// Is told how many bytes are read and how many there are, and may say that reading shall stop.
pub type Watch<'a> = dyn FnMut(u64, u64) -> Result<()> + 'a;

/// Reads a record; `wanted` names channels, empty takes all.
pub fn read(path: &Path, wanted: &[String], watch: &mut Watch<'_>) -> Result<Log> {
    let (file, all) = open(path)?;
    let mut watched = Watched { inner: file, done: 0, told: 0, all, watch, stopped: None };
    let read = read_csv(BufReader::new(&mut watched), wanted);
    match watched.stopped {
        Some(why) => Err(why),
        None => read.with_context(|| path.display().to_string()),
    }
}

/// The names in a record's header, time among them, without reading further.
pub fn columns(path: &Path) -> Result<Vec<String>> {
    let (file, _) = open(path)?;
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(ShortLines::of(BufReader::new(file)));
    let header = reader.headers().with_context(|| format!("{}, line 1", path.display()))?;
    Ok(header.iter().map(|name| name.trim_start_matches('\u{feff}').trim().to_owned()).collect())
}

/// The file, as far as a record may be long, and its size.
fn open(path: &Path) -> Result<(Take<File>, u64)> {
    let name = path.display();
    // Looked at before it is opened: opening a pipe would wait for its other end.
    let meta = std::fs::metadata(path).with_context(|| format!("{name} cannot be read"))?;
    ensure!(meta.is_file(), "{name} is not a file");
    let bytes = meta.len();
    ensure!(bytes <= MOST_BYTES, "{name} is {bytes} bytes, but a record must not be larger than {MOST_BYTES} bytes");
    let file = File::open(path).with_context(|| format!("{name} cannot be read"))?;
    Ok((file.take(MOST_BYTES), bytes))
}

/// Passes bytes on and tells how many.
struct Watched<'a, 'w, R> {
    inner: R,
    done: u64,
    told: u64,
    all: u64,
    watch: &'a mut Watch<'w>,
    stopped: Option<Error>,
}

impl<R: Read> Read for Watched<'_, '_, R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = self.inner.read(buffer)?;
        self.done += count as u64;
        if self.done - self.told >= PIECE {
            self.told = self.done;
            if let Err(why) = (self.watch)(self.done, self.all) {
                self.stopped = Some(why);
                return Err(std::io::Error::other("stopped"));
            }
        }
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_beyond_every_bound_is_refused_before_it_is_read() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("huge.csv");
        File::create(&path).unwrap().set_len(5 << 30).unwrap();
        let mut nobody = |_, _| Ok(());
        let sentence = read(&path, &[], &mut nobody).unwrap_err().to_string();
        assert!(sentence.contains("5368709120 bytes") && sentence.contains("4294967296"), "{sentence}");
        assert!(read(dir.path(), &[], &mut nobody).unwrap_err().to_string().contains("not a file"));
    }

    #[test]
    fn reading_is_watched_and_stops_when_it_is_told_to() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("long.csv");
        let rows: String = (0..400_000).map(|i| format!("{i},0.125\n")).collect();
        std::fs::write(&path, format!("time_s,a_m\n{rows}")).unwrap();
        let bytes = std::fs::metadata(&path).unwrap().len();
        let mut told = Vec::new();
        let log = read(&path, &[], &mut |done, all| {
            told.push((done, all));
            Ok(())
        })
        .unwrap();
        assert_eq!(log.samples(), 400_000);
        assert!(told.len() as u64 >= bytes / PIECE - 1 && told.iter().all(|(done, all)| done <= all && *all == bytes));
        let mut looks = 0;
        let stopped = read(&path, &[], &mut |_, _| {
            looks += 1;
            anyhow::bail!("enough")
        });
        assert_eq!((stopped.unwrap_err().to_string().as_str(), looks), ("enough", 1));
        assert_eq!(columns(&path).unwrap(), ["time_s", "a_m"]);
    }
}
