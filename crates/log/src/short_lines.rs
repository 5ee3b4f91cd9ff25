//! Text whose lines have a sensible length: one that has not is refused before memory is spent on it.

use std::io::{self, Read};

/// Longest line, bytes: a thousand columns of a thousand characters.
pub const LONGEST_LINE: usize = 1 << 20;

/// Passes text on until a line is longer than [`LONGEST_LINE`], which is an error.
///
/// A reader of CSV keeps a whole line with the place of each field in it: a line of a hundred million commas would cost it
/// gigabytes, however small the bound on the file.
#[derive(Debug)]
pub struct ShortLines<R> {
    inner: R,
    since_break: usize,
}

impl<R: Read> ShortLines<R> {
    /// Around a reader.
    pub fn of(inner: R) -> Self {
        ShortLines { inner, since_break: 0 }
    }
}

impl<R: Read> Read for ShortLines<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(buffer)?;
        for piece in buffer[..count].split_inclusive(|byte| matches!(byte, b'\n' | b'\r')) {
            self.since_break += piece.len();
            if self.since_break > LONGEST_LINE {
                let words = format!("a line is longer than {LONGEST_LINE} bytes");
                return Err(io::Error::new(io::ErrorKind::InvalidData, words));
            }
            if piece.ends_with(b"\n") || piece.ends_with(b"\r") {
                self.since_break = 0;
            }
        }
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &[u8]) -> io::Result<Vec<u8>> {
        let mut out = Vec::new();
        ShortLines::of(text).read_to_end(&mut out).map(|_| out)
    }

    #[test]
    fn lines_up_to_the_longest_pass_and_one_byte_more_does_not() {
        let mut text = vec![b','; LONGEST_LINE - 1];
        text.push(b'\n');
        text.extend(text.clone());
        assert_eq!(read(&text).unwrap(), text);
        text.insert(0, b',');
        assert!(read(&text).is_err());
    }
}
