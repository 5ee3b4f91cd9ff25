//! Large measured records: memory goes by what is kept, not by the size of the file, and too much is a sentence.
//!
//! The file is of `WASHBOARD_LARGE_RECORD_BYTES`, small unless somebody asks for more by hand (such as 1073741824).

#![allow(clippy::unwrap_used, reason = "helpers of tests may end the test")]
#![cfg(target_os = "linux")]

mod common;

use std::io::{BufWriter, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// Size of the file where nobody asks for another.
const USUAL_BYTES: u64 = 48 << 20;
/// Channels beside time, as a logger has that records everything.
const CHANNELS: usize = 24;
/// More values than a record may keep, in a file of this size with all its channels.
const TOO_MUCH_BYTES: u64 = 700 << 20;

fn wanted_bytes() -> u64 {
    std::env::var("WASHBOARD_LARGE_RECORD_BYTES").ok().and_then(|text| text.parse().ok()).unwrap_or(USUAL_BYTES)
}

/// A record at 1 kHz of about so many bytes; gives the number of its samples.
fn write_record(path: &Path, bytes: u64) -> u64 {
    let mut out = BufWriter::new(std::fs::File::create(path).unwrap());
    let names: String = (1..CHANNELS).map(|i| format!(",channel_{i}_mm")).collect();
    writeln!(out, "time_s,seat_z_m_per_s2{names}").unwrap();
    // A wave of 64 samples, written beforehand: the same digits in every channel cost no time to make.
    let wave: Vec<String> =
        (0..64).map(|i| format!("{:.6}", (std::f64::consts::TAU * f64::from(i) / 64.0).sin())).collect();
    let rows: Vec<String> = wave.iter().map(|value| format!(",{value}").repeat(CHANNELS)).collect();
    let (mut written, mut sample) = (0, 0_u64);
    while written < bytes {
        let time = format!("{}.{:03}", sample / 1000, sample % 1000);
        let row = &rows[(sample % 64) as usize];
        writeln!(out, "{time}{row}").unwrap();
        written += (time.len() + row.len() + 1) as u64;
        sample += 1;
    }
    out.flush().unwrap();
    sample
}

/// Runs the program and watches its memory: status, standard output and error, and the most memory it held, bytes.
fn run_watched(arguments: &[&str], folder: &Path) -> (i32, String, String, u64) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_washboard"))
        .args(arguments)
        .current_dir(folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The system keeps the highest mark itself; it is gone with the program, so that the last look counts.
    let status_file = format!("/proc/{}/status", child.id());
    let mut most = 0;
    while child.try_wait().unwrap().is_none() {
        let text = std::fs::read_to_string(&status_file).unwrap_or_default();
        let mark =
            text.lines().find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB")?.parse::<u64>().ok());
        most = most.max(mark.unwrap_or(0) * 1024);
        std::thread::sleep(Duration::from_millis(2));
    }
    let output = child.wait_with_output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap_or(-1), text(output.stdout), text(output.stderr), most)
}

#[test]
fn one_channel_of_a_large_record_costs_memory_for_that_channel_only() {
    let bytes = wanted_bytes();
    let dir = tempfile::tempdir().unwrap();
    let samples = write_record(&dir.path().join("large.csv"), bytes);
    write_record(&dir.path().join("small.csv"), 100_000);
    let analyse = |file: &str| run_watched(&["analyse", file, "--channel", "seat_z_m_per_s2", "--json"], dir.path());
    let (status, _, stderr, of_the_program) = analyse("small.csv");
    assert_eq!((status, stderr.as_str()), (0, ""));
    let (status, stdout, stderr, most) = analyse("large.csv");
    assert_eq!((status, stderr.as_str()), (0, ""));
    let found: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    assert_eq!(found["samples"].as_u64(), Some(samples));
    let rms = found["channels"]["seat_z_m_per_s2"]["rms_m_per_s2"].as_f64().unwrap();
    assert!((rms - 0.5f64.sqrt()).abs() < 1e-4, "{rms}");
    let more = most.saturating_sub(of_the_program);
    writeln!(
        std::io::stdout(),
        "{bytes} bytes, {samples} samples: {most} bytes of memory, {more} above a small record's"
    )
    .unwrap();
    assert!(of_the_program > 0 && more < bytes / 2, "{more} bytes more for a file of {bytes}");
}

#[test]
fn all_channels_of_a_larger_one_are_refused_in_a_sentence_before_memory_is_gone() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("large.csv");
    let bytes = wanted_bytes();
    if bytes >= TOO_MUCH_BYTES {
        write_record(&path, bytes);
        let (status, stdout, stderr, most) = run_watched(&["analyse", "large.csv"], dir.path());
        assert_eq!((status, stdout.as_str(), stderr.lines().count()), (2, "", 1), "{stderr}");
        assert!(stderr.contains("50000000 values") && stderr.contains("name the channels"), "{stderr}");
        writeln!(std::io::stdout(), "{bytes} bytes, all channels: {most} bytes of memory").unwrap();
        assert!(most < 1 << 30, "{most}");
    }
    // Beyond every bound: refused by its size.
    std::fs::File::create(&path).unwrap().set_len(5 << 30).unwrap();
    let (status, _, stderr, most) = run_watched(&["analyse", "large.csv"], dir.path());
    assert_eq!((status, stderr.lines().count()), (2, 1));
    assert!(stderr.contains("5368709120 bytes") && most < 200 << 20, "{stderr}");
}
