//! Damaged sets, layouts, images and C files: refused in a sentence or read as what they are, never a panic.

#[path = "../../session/tests/common/mutate.rs"]
mod mutate;

use mutate::{Dice, corpus, damaged};

use crate::c_source;
use crate::fixture;
use crate::forms::{from_json, from_ron, to_json, to_ron};
use crate::image::{decode, encode, read_hex};
use crate::layout::{ByteOrder, Layout, Proposal};
use crate::quantise::compare_within_half_a_step;
use washboard_session::Format;

/// Damaged copies of each sample.
const COPIES: usize = 300;

fn layout() -> Layout {
    proposed(false)
}

fn proposed(share_axes: bool) -> Layout {
    let (name, byte_order) = ("unit".to_owned(), ByteOrder::Big);
    let proposal = Proposal { name, version: 2, address: 0x4000, byte_order, share_axes, ..Proposal::default() };
    Layout::propose(&fixture::set(), &proposal).unwrap()
}

/// Tries damaged copies; says how many were read.
fn read(whole: &[u8], seed: u64, mut reads: impl FnMut(&[u8]) -> bool) -> usize {
    let mut dice = Dice::new(seed);
    (0..COPIES).filter(|_| reads(&damaged(whole, &mut dice))).count()
}

#[test]
fn damaged_sets_are_refused_without_a_panic() {
    let set = fixture::set();
    let ron = to_ron(&set).unwrap();
    let json = to_json(&set).unwrap();
    let judged = |read: Result<crate::CarSet, String>| {
        read.is_ok_and(|set| {
            // Whatever was read is judged, identified and compared without a panic.
            let _ = (set.faults(), crate::identity(&set), crate::difference(&fixture::set(), &set).summary());
            true
        })
    };
    for (index, whole) in corpus("set").iter().map(Vec::as_slice).chain([ron.as_bytes(), json.as_bytes()]).enumerate() {
        let count = read(whole, index as u64, |bytes| judged(from_ron(bytes)) || judged(from_json(bytes)));
        assert!(count < COPIES, "every damaged copy was read as a set");
    }
}

#[test]
fn damaged_layouts_are_refused_and_what_holds_writes_an_image() {
    let set = fixture::set();
    let own = layout().text(Format::Ron).unwrap();
    for (index, whole) in corpus("layout").iter().map(Vec::as_slice).chain([own.as_bytes()]).enumerate() {
        read(whole, index as u64, |bytes| {
            let Ok(layout) = Layout::from_ron(&String::from_utf8_lossy(bytes)) else { return false };
            // A layout that holds either takes the set, and gives it back within half a step, or says why not.
            if let Ok(image) = encode(&set, &layout) {
                let decoded = decode(&image.bytes, &layout, &set).unwrap();
                assert_eq!(compare_within_half_a_step(&set, &decoded.set, &layout), [] as [&str; 0]);
            }
            true
        });
    }
}

#[test]
fn damaged_images_never_pass() {
    let (set, layout) = (fixture::set(), layout());
    let image = encode(&set, &layout).unwrap();
    let hex = image.to_hex().unwrap();
    read(hex.as_bytes(), 3, |bytes| {
        let read = read_hex(&String::from_utf8_lossy(bytes), &layout);
        // What still reads holds the same bytes: an empty line more, or nothing changed at all.
        read.is_ok_and(|read| {
            assert_eq!(read, image.bytes);
            true
        })
    });
    read(&image.bytes, 4, |bytes| {
        let decoded = decode(bytes, &layout, &set);
        decoded.is_ok_and(|decoded| {
            assert!(bytes == image.bytes || !decoded.faults.is_empty());
            true
        })
    });
    for whole in corpus("image") {
        read(&whole, 5, |bytes| read_hex(&String::from_utf8_lossy(bytes), &layout).is_ok());
    }
}

#[test]
fn damaged_c_files_never_pass() {
    let (set, layout) = (fixture::set(), layout());
    let files = c_source::write(&set, &layout, "draft").unwrap();
    for (index, whole) in [&files.header, &files.source].into_iter().enumerate() {
        read(whole.as_bytes(), index as u64 + 10, |bytes| {
            let text = String::from_utf8_lossy(bytes);
            let (header, source) = if index == 0 { (&*text, &*files.source) } else { (&*files.header, &*text) };
            let read = c_source::read(header, source, &layout).unwrap();
            assert!(text == **whole || !read.faults.is_empty());
            true
        });
    }
    for whole in corpus("c_source") {
        read(&whole, 12, |bytes| {
            let text = String::from_utf8_lossy(bytes);
            c_source::read(&text, &text, &layout).is_ok()
        });
    }
}

/// Samples for fuzzing, written anew where the environment says so.
#[test]
fn the_corpus_is_written_where_it_is_wanted() {
    if std::env::var_os("WASHBOARD_WRITE_CORPUS").is_none() {
        return;
    }
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus");
    let (set, layout) = (fixture::set(), layout());
    let files = c_source::write(&set, &layout, "draft").unwrap();
    for (name, text) in [
        ("set/two_modes.ron", to_ron(&set).unwrap()),
        ("set/two_modes.json", to_json(&set).unwrap()),
        ("layout/proposed.ron", layout.text(Format::Ron).unwrap()),
        ("layout/shared_axes.ron", proposed(true).text(Format::Ron).unwrap()),
        ("image/two_modes.hex", encode(&set, &layout).unwrap().to_hex().unwrap()),
        ("c_source/both.txt", format!("{}\0{}", files.header, files.source)),
        ("c_source/header.h", files.header),
        ("c_source/source.c", files.source),
        ("../../tests/layouts/set.json", to_json(&set).unwrap()),
    ] {
        std::fs::write(folder.join(name), text).unwrap();
    }
}
