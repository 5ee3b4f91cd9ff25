use super::*;
use crate::fixture;
use crate::image::{decode, encode};
use crate::layout::{ByteOrder, Proposal, Width};
use crate::quantise::{compare_within_half_a_step, quantise};
use crate::set::CarSet;
use crate::slots::{numeric_settings, table_of};
use std::fmt::Write;
use std::process::Command;

fn layout(width: Width) -> Layout {
    let (name, byte_order) = ("unit */ /* \\ \u{e9}".to_owned(), ByteOrder::Big);
    Layout::propose(
        &fixture::set(),
        &Proposal { name, version: 7, address: 0x1000, byte_order, width, ..Proposal::default() },
    )
    .unwrap()
}

fn back(files: &CFiles, layout: &Layout) -> CarSet {
    let read = read(&files.header, &files.source, layout).unwrap();
    assert_eq!(read.faults, [] as [&str; 0]);
    assert_eq!(read.identity.unwrap(), crate::identity(&fixture::set()));
    decode(&read.bytes.unwrap(), layout, &fixture::set()).unwrap().set
}

#[test]
fn what_stands_twice_is_taken_as_it_stands_first() {
    let set = fixture::set();
    let layout = Layout::propose(&set, &Proposal::default()).unwrap();
    let files = write(&set, &layout, "draft").unwrap();
    let twice = files.header.replace("\n#endif", "\n#define SET_IDENTITY \"00\"\n#endif");
    let read = read(&twice, &files.source, &layout).unwrap();
    assert_eq!(read.identity, Some(crate::identity(&set)));
    assert!(read.faults.iter().any(|fault| fault.contains("changed")), "{:?}", read.faults);
}

#[test]
fn c_reads_back_as_the_image_it_was_written_from() {
    for width in [Width::Float, Width::Bits16, Width::Bits32] {
        let layout = layout(width);
        let files = write(&fixture::set(), &layout, "draft").unwrap();
        let read = read(&files.header, &files.source, &layout).unwrap();
        assert_eq!(read.bytes.unwrap(), encode(&fixture::set(), &layout).unwrap().bytes);
        assert_eq!(compare_within_half_a_step(&fixture::set(), &back(&files, &layout), &layout), [] as [&str; 0]);
    }
}

#[test]
fn no_flipped_bit_of_the_c_files_goes_unseen() {
    let layout = layout(Width::Bits16);
    let files = write(&fixture::set(), &layout, "draft").unwrap();
    let flipped = |text: &str, at: usize, bit: usize| {
        let mut bytes = text.as_bytes().to_vec();
        bytes[at] ^= 1 << bit;
        String::from_utf8(bytes).ok()
    };
    for (index, text) in [&files.header, &files.source].into_iter().enumerate() {
        for at in 0..text.len() {
            // What is no text any more is refused before it is read.
            let Some(other) = flipped(text, at, at % 8) else { continue };
            let whole = if index == 0 { (&other, &files.source) } else { (&files.header, &other) };
            assert!(!read::is_sealed(&other), "byte {at} of file {index}");
            if at.is_multiple_of(97) {
                assert!(!read(whole.0, whole.1, &layout).unwrap().faults.is_empty());
            }
        }
    }
}

/// The compiler is the second reader: what it makes of the tables is printed and held against the quantised set.
#[test]
fn a_compiler_reads_the_same_values() {
    if Command::new("cc").arg("--version").output().is_err() {
        // Without a C compiler there is nothing to hold the files against.
        return;
    }
    for width in [Width::Float, Width::Bits16] {
        let layout = layout(width);
        let files = write(&fixture::set(), &layout, "draft").unwrap();
        let quantised = quantise(&fixture::set(), &layout).unwrap().set;
        let mut main = "#include <stdio.h>\n#include \"washboard_set.h\"\nint main(void) {\n".to_owned();
        let mut expected = Vec::new();
        for at in &layout.tables {
            let stem = table_stem(at);
            let table = table_of(&quantised, at.mode, at.table).unwrap();
            let mut print = |part: &str, index: String, value: f64| {
                let name = format!("{stem}_{part}");
                let upper = name.to_ascii_uppercase();
                let _ = writeln!(main, "printf(\"%.17g\\n\", {upper}_FACTOR * {name}{index} + {upper}_OFFSET);");
                expected.push((format!("{name}{index}"), value));
            };
            for (index, &value) in table.rows.iter().enumerate() {
                print("rows", format!("[{index}]"), value);
            }
            for (index, &value) in table.columns.iter().enumerate() {
                print("columns", format!("[{index}]"), value);
            }
            for (row, cells) in table.values.iter().enumerate() {
                for (column, &value) in cells.iter().enumerate() {
                    print("values", format!("[{row}][{column}]"), value);
                }
            }
        }
        let numbers = numeric_settings(&quantised);
        for at in &layout.settings {
            let name = setting_name(at.mode, &at.setting);
            let upper = name.to_ascii_uppercase();
            let one = numbers.iter().find(|one| one.mode == at.mode && one.path == at.setting).unwrap();
            let _ = writeln!(main, "printf(\"%.17g\\n\", {upper}_FACTOR * {name} + {upper}_OFFSET);");
            expected.push((name, one.value.unwrap()));
        }
        let _ = writeln!(main, "printf(\"%s\\n\", SET_IDENTITY);\nreturn 0; }}");
        let dir = tempfile::tempdir().unwrap();
        for (name, text) in [("washboard_set.h", &files.header), ("washboard_set.c", &files.source), ("main.c", &main)]
        {
            std::fs::write(dir.path().join(name), text).unwrap();
        }
        let compiled = Command::new("cc")
            .args([
                "-std=c99",
                "-Wall",
                "-Wextra",
                "-Werror",
                "-pedantic",
                "-O0",
                "-o",
                "out",
                "main.c",
                "washboard_set.c",
            ])
            .current_dir(dir.path())
            .output()
            .unwrap();
        assert!(compiled.status.success(), "{}", String::from_utf8_lossy(&compiled.stderr));
        let printed = Command::new(dir.path().join("out")).output().unwrap();
        let printed = String::from_utf8(printed.stdout).unwrap();
        let lines: Vec<&str> = printed.lines().collect();
        assert_eq!(lines.len(), expected.len() + 1);
        for (line, (name, value)) in lines.iter().zip(&expected) {
            let got: f64 = line.parse().unwrap();
            assert!((got - value).abs() <= value.abs() * 1e-12, "{name}: {got} in C, {value} in the set");
        }
        assert_eq!(lines[expected.len()], crate::identity(&fixture::set()));
    }
}
