//! Damages texts and bytes the same way in every run: flips, cuts, repeats, swaps in words that readers may stumble over.

#![allow(dead_code)] // each test binary uses its own part
#![allow(clippy::unwrap_used, reason = "helpers of tests may end the test")]

/// A small generator of pseudo-random numbers (xorshift64), so that every run tries the same.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % bound.max(1) as u64) as usize
    }
}

/// What tends to upset readers.
const WORDS: [&str; 24] = [
    "NaN",
    "inf",
    "-inf",
    "1e999",
    "-0.0",
    "1e-320",
    "18446744073709551616",
    "-1",
    "0",
    "[",
    "]",
    "(",
    ")",
    "{",
    "}",
    "\"",
    ",",
    ":",
    "Some(",
    "null",
    "\u{0}",
    "\u{feff}",
    "\n",
    "[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[",
];

/// One damaged copy.
pub fn damaged(whole: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    for _ in 0..=dice.below(3) {
        let at = dice.below(bytes.len());
        match dice.below(7) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << dice.below(8),
            1 => bytes.truncate(at),
            2 => {
                let word = WORDS[dice.below(WORDS.len())];
                bytes.splice(at..at, word.bytes());
            }
            3 => {
                let to = (at + dice.below(40)).min(bytes.len());
                bytes.drain(at..to);
            }
            4 => {
                let to = (at + dice.below(200)).min(bytes.len());
                let piece = bytes[at..to].to_vec();
                let there = dice.below(bytes.len());
                bytes.splice(there..there, piece);
            }
            5 => {
                // A number in the text becomes another word.
                let from = bytes[at..].iter().position(u8::is_ascii_digit).map(|i| at + i);
                if let Some(from) = from {
                    let length = bytes[from..].iter().take_while(|b| b.is_ascii_digit() || **b == b'.').count();
                    let word = WORDS[dice.below(9)];
                    bytes.splice(from..from + length, word.bytes());
                }
            }
            _ => {
                let other = dice.below(bytes.len());
                if !bytes.is_empty() {
                    let last = bytes.len() - 1;
                    bytes.swap(at.min(last), other);
                }
            }
        }
    }
    bytes
}

/// Every file of a folder of the fuzzing corpus, sorted by name.
pub fn corpus(name: &str) -> Vec<Vec<u8>> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus").join(name);
    let entries = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    assert!(!paths.is_empty(), "the corpus {name} is empty");
    paths.iter().map(|path| std::fs::read(path).unwrap()).collect()
}
