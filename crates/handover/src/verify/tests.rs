//! Every change of a folder is seen and named.

use super::*;
use crate::checks::set_checks;
use crate::export::{CNumbers, ExportInfo, ExportOptions, Origin, export, files};
use crate::fixture;
use crate::layout::{ByteOrder, Layout, Proposal, Width};
use std::fs;

fn info() -> ExportInfo {
    ExportInfo { created: "2026-11-25T10:00:00Z".into(), program: "test 0".into(), note: String::new() }
}

fn folder() -> Folder {
    let set = fixture::set();
    let (name, byte_order, width) = ("unit".to_owned(), ByteOrder::Little, Width::Bits16);
    let proposal = Proposal { name, version: 1, address: 0x8000, byte_order, width, ..Proposal::default() };
    let layout = Some(Layout::propose(&set, &proposal).unwrap());
    let options = ExportOptions { layout, c: Some(CNumbers::Proposed(Width::Float)), ..Default::default() };
    let files = files(&set, &info(), &set_checks(&set), &Origin::default(), &options).unwrap();
    let folders = ["c", "dampers", "inverse_dampers", "maps"].map(str::to_owned).to_vec();
    Folder { files, folders, ..Folder::default() }
}

/// The differences of a folder whose manifest was made anew after a file was changed.
fn resealed(change: impl FnOnce(&mut Folder)) -> Vec<String> {
    let mut folder = folder();
    let mut manifest = manifest_of(&folder).unwrap();
    change(&mut folder);
    folder.files.remove(MANIFEST_FILE);
    manifest.files = folder.files.iter().map(|(p, b)| crate::manifest::FileEntry::new(p, b)).collect();
    manifest.seal = manifest.expected_seal().unwrap();
    folder.files.insert(MANIFEST_FILE.into(), manifest.canonical_bytes().unwrap());
    judge(&folder, None).unwrap().0.differences
}

fn replace(folder: &mut Folder, file: &str, from: &str, to: &str) {
    let text = String::from_utf8(folder.files[file].clone()).unwrap();
    assert!(text.contains(from), "{file} should hold {from}:\n{text}");
    folder.files.insert(file.into(), text.replacen(from, to, 1).into_bytes());
}

#[test]
fn an_untouched_folder_is_equal_also_to_its_session() {
    let (verdict, set) = judge(&folder(), Some(&fixture::session())).unwrap();
    assert_eq!(verdict.differences, [] as [&str; 0]);
    assert!(verdict.equal);
    assert_eq!(verdict.identity, identity(&fixture::set()));
    assert_eq!(set, Some(fixture::set()));
    assert_eq!(resealed(|_| {}), [] as [&str; 0]);
}

#[test]
fn no_flipped_bit_goes_unseen() {
    let whole = folder();
    let manifest = manifest_of(&whole).unwrap();
    let mut flips = 0;
    for (file, bytes) in &whole.files {
        let flipped = |position: usize| {
            let mut other = bytes.clone();
            other[position] ^= 1 << (position % 8);
            other
        };
        // Every byte through the part of the judgement that sees it; the bit changes from byte to byte.
        for position in 0..bytes.len() {
            let alone = Folder { files: [(file.clone(), flipped(position))].into(), ..Folder::default() };
            let mut found = Vec::new();
            if file == MANIFEST_FILE {
                match manifest_of(&alone) {
                    Ok(manifest) => judge_manifest(&alone, &manifest, &mut found),
                    Err(_) => found.push(MANIFEST_FILE.to_owned()),
                }
            } else {
                let files = manifest.files.iter().filter(|entry| entry.path == *file).cloned().collect();
                judge_list(&alone, &Manifest { files, ..manifest.clone() }, &mut found);
            }
            assert!(found.iter().any(|d| d.contains(file.as_str())), "{file}, byte {position}: {found:?}");
            flips += 1;
        }
        // Some through the whole of it.
        for position in (0..bytes.len()).step_by(1 + bytes.len() / 12) {
            let mut folder = whole.clone();
            folder.files.insert(file.clone(), flipped(position));
            if let Ok((verdict, _)) = judge(&folder, None) {
                assert!(!verdict.equal, "{file}, byte {position}");
                assert!(verdict.differences.iter().any(|d| d.contains(file.as_str())), "{file}: {verdict:?}");
            }
        }
    }
    assert!(flips > 50_000, "{flips}");
    assert!(whole.files.contains_key("image.bin") && whole.files.contains_key("c/washboard_set.c"));
}

/// As small as a set can be, with every form of output.
fn smallest() -> (Folder, CarSet, Layout) {
    let mut session = fixture::session();
    session.modes.truncate(1);
    let mode = &mut session.modes[0];
    mode.floor = None;
    for map in [&mut mode.heave, &mut mode.wheel, &mut mode.base, &mut mode.roll, &mut mode.pitch] {
        map.rows.truncate(2);
        map.columns.truncate(2);
        map.values_n_s_per_m.truncate(2);
        map.values_n_s_per_m.iter_mut().for_each(|row| row.truncate(2));
    }
    for damper in &mut session.dampers {
        damper.current_a = vec![0.3, 1.6];
        damper.velocity_m_per_s = vec![-1.0, 0.0, 1.0];
        damper.force_n = vec![vec![-500.0, -900.0], vec![0.0, 0.0], vec![900.0, 3000.0]];
    }
    session.controller.inverse_table = washboard_session::InverseTable { velocities: 3, forces: 3 };
    let set = CarSet::from_session(&session, &[0]).unwrap();
    let (name, byte_order, width) = ("unit".to_owned(), ByteOrder::Little, Width::Bits16);
    let layout = Layout::propose(
        &set,
        &Proposal { name, version: 1, address: 0x8000, byte_order, width, ..Proposal::default() },
    )
    .unwrap();
    let options = ExportOptions { layout: Some(layout.clone()), c: Some(CNumbers::AsLayout), ..Default::default() };
    // Without checks the manifest is short; their words are as all others.
    let files = files(&set, &info(), &[], &Origin::default(), &options).unwrap();
    let folders = ["c", "dampers", "inverse_dampers", "maps"].map(str::to_owned).to_vec();
    (Folder { files, folders, ..Folder::default() }, set, layout)
}

#[test]
fn every_single_bit_of_a_folder_with_every_output_is_seen_when_it_flips() {
    let (whole, ..) = smallest();
    assert_eq!(judge(&whole, None).unwrap().0.differences, [] as [&str; 0]);
    let manifest = manifest_of(&whole).unwrap();
    // Every second bit of a file, from the first or from the second on.
    let half = |first: usize| {
        let mut flips = 0;
        for (file, bytes) in &whole.files {
            let files = manifest.files.iter().filter(|entry| entry.path == *file).cloned().collect();
            let listed = Manifest { files, ..manifest.clone() };
            let mut alone = Folder { files: [(file.clone(), bytes.clone())].into(), ..Folder::default() };
            for bit in (first..8 * bytes.len()).step_by(2) {
                let (at, mask) = (bit / 8, 1_u8 << (bit % 8));
                alone.files.get_mut(file).unwrap()[at] ^= mask;
                let mut found = Vec::new();
                if file == MANIFEST_FILE {
                    match manifest_of(&alone) {
                        Ok(manifest) => judge_manifest(&alone, &manifest, &mut found),
                        Err(_) => found.push(MANIFEST_FILE.to_owned()),
                    }
                } else {
                    judge_list(&alone, &listed, &mut found);
                }
                assert!(!found.is_empty(), "{file}, byte {at}, bit {}: not seen", bit % 8);
                alone.files.get_mut(file).unwrap()[at] ^= mask;
                flips += 1;
            }
        }
        flips
    };
    let flips: usize = std::thread::scope(|scope| {
        let other = scope.spawn(|| half(1));
        half(0) + other.join().unwrap()
    });
    assert_eq!(flips, whole.files.values().map(|bytes| 8 * bytes.len()).sum::<usize>());
    assert!(flips > 100_000, "{flips}");
    let outputs = ["set.ron", "set.json", "settings.csv", "README.txt", "image.hex", "image.bin", "layout.ron"];
    assert!(outputs.iter().all(|file| whole.files.contains_key(*file)));
    assert!(whole.files.contains_key("c/washboard_set.c") && whole.files.contains_key("c/washboard_set.h"));
}

/// A dump of the memory has no manifest beside it: the image itself must tell.
#[test]
fn every_single_bit_of_an_image_alone_is_seen_when_it_flips() {
    let (whole, set, layout) = smallest();
    let dir = tempfile::tempdir().unwrap();
    for file in ["image.bin", "image.hex"] {
        let path = dir.path().join(file);
        let mut bytes = whole.files[file].clone();
        fs::write(&path, &bytes).unwrap();
        assert!(crate::verify_output(&path, Some(&layout), &set).unwrap().equal);
        for bit in 0..8 * bytes.len() {
            bytes[bit / 8] ^= 1 << (bit % 8);
            fs::write(&path, &bytes).unwrap();
            // What can no longer be read at all is seen as well.
            let is_seen = crate::verify_output(&path, Some(&layout), &set).map_or(true, |verdict| !verdict.equal);
            assert!(is_seen, "{file}, byte {}, bit {}: not seen", bit / 8, bit % 8);
            bytes[bit / 8] ^= 1 << (bit % 8);
        }
    }
}

#[test]
fn a_shortened_or_lengthened_file_is_seen() {
    let whole = folder();
    for file in whole.files.keys() {
        for change in [|bytes: &mut Vec<u8>| bytes.truncate(bytes.len() - 1), |bytes: &mut Vec<u8>| bytes.push(b'\n')] {
            let mut folder = whole.clone();
            change(folder.files.get_mut(file).unwrap());
            assert!(judge(&folder, None).is_ok_and(|(verdict, _)| !verdict.equal), "{file}");
        }
    }
}

#[test]
fn extra_missing_renamed_and_linked_files_are_named() {
    let dir = tempfile::tempdir().unwrap();
    let target = dir.path().join("set");
    export(&fixture::session(), &[0, 1], &target, &info()).unwrap();
    let differences = || verify(&target, None).unwrap().differences.join("\n");
    assert_eq!(differences(), "");

    for extra in ["more.txt", ".hidden", "maps/more.csv", "maps/.DS_Store"] {
        fs::write(target.join(extra), "").unwrap();
        assert!(differences().contains(&format!("{extra}: it is in the folder, but not listed")), "{extra}");
        fs::remove_file(target.join(extra)).unwrap();
    }
    for extra in ["empty", "maps/empty"] {
        fs::create_dir(target.join(extra)).unwrap();
        assert!(differences().contains(&format!("{extra}: this folder holds no listed file")));
        fs::remove_dir(target.join(extra)).unwrap();
    }
    let (from, to) = (target.join("dampers/rear.csv"), target.join("dampers/Rear.csv"));
    fs::rename(&from, &to).unwrap();
    assert!(differences().contains("dampers/rear.csv: listed in the manifest, but missing"));
    assert!(differences().contains("dampers/Rear.csv: it is in the folder, but not listed"));
    assert!(matches!(read_set(&target), Err(HandoverFault::Altered { .. })));
    #[cfg(unix)]
    {
        // A link to the very same bytes is still a link: they may change without the folder.
        std::os::unix::fs::symlink(&to, &from).unwrap();
        assert!(differences().contains("dampers/rear.csv: it is a link"));
        fs::remove_file(&from).unwrap();
    }
    fs::rename(&to, &from).unwrap();
    assert_eq!(differences(), "");
}

#[test]
fn a_folder_without_a_readable_manifest_is_a_fault() {
    let dir = tempfile::tempdir().unwrap();
    assert!(verify(&dir.path().join("nowhere"), None).is_err());
    assert!(verify(dir.path(), None).unwrap_err().to_string().contains("no manifest.json"));
    for text in ["", "[]", "null", "{}", "{\"format\": 1}", "\u{0}", "{\"format\": \"1\"}"] {
        fs::write(dir.path().join(MANIFEST_FILE), text).unwrap();
        assert!(matches!(verify(dir.path(), None), Err(HandoverFault::Unreadable { .. })), "{text}");
    }
    fs::write(dir.path().join(MANIFEST_FILE), "[".repeat(100_000)).unwrap();
    assert!(verify(dir.path(), None).is_err());
    fs::write(dir.path().join(MANIFEST_FILE), "{\"format\": 2}").unwrap();
    assert!(verify(dir.path(), None).unwrap_err().to_string().contains("newer"));
    assert!(verify(&dir.path().join(MANIFEST_FILE), None).unwrap_err().to_string().contains("not a folder"));
}

#[test]
fn a_huge_file_is_a_difference_and_is_not_read() {
    let dir = tempfile::tempdir().unwrap();
    let target = dir.path().join("set");
    export(&fixture::session(), &[0], &target, &info()).unwrap();
    fs::File::create(target.join("set.ron")).unwrap().set_len(crate::folder::MOST_FILE_BYTES + 1).unwrap();
    let verdict = verify(&target, None).unwrap();
    assert!(verdict.differences.iter().any(|d| d.starts_with("set.ron: with")), "{verdict:?}");
}

#[test]
fn manifest_bytes_that_are_not_canonical_are_a_difference() {
    let whole = folder();
    let text = String::from_utf8(whole.files[MANIFEST_FILE].clone()).unwrap();
    let compact = serde_json::from_str::<serde_json::Value>(&text).unwrap().to_string();
    let more = text.replacen("{\n", "{\n  \"more\": 1,\n", 1);
    for other in [compact, more, text.replace("\n", "\r\n"), format!("{text} ")] {
        let mut folder = whole.clone();
        folder.files.insert(MANIFEST_FILE.into(), other.into_bytes());
        let verdict = judge(&folder, None).unwrap().0;
        assert!(verdict.differences[0].contains("canonical"), "{verdict:?}");
    }
}

#[test]
fn the_seal_is_that_of_the_bytes_with_an_empty_seal() {
    let folder = folder();
    let text = String::from_utf8(folder.files[MANIFEST_FILE].clone()).unwrap();
    let manifest = manifest_of(&folder).unwrap();
    // As anyone can do it with an editor and sha256sum.
    let open = text.replace(&manifest.seal, "");
    assert_eq!(sha256_hex(open.as_bytes()), manifest.seal);
}

#[test]
fn files_that_disagree_under_a_good_seal_are_named_by_cell() {
    let file = "maps/02_soft_1_heave.csv";
    let found = resealed(|f| replace(f, file, "60,1110,1111,1112,", "60,1110,1111,1212,"));
    assert_eq!(
        found,
        [format!("mode \"soft/1\", heave map at 60 km/h, 4 m/s^2: 1112 N s/m in the set, 1212 N s/m in {file}.")]
    );
    let found = resealed(|f| replace(f, file, "roughness_m_per_s2", "lateral_demand_m_per_s2"));
    assert!(found.len() == 1 && found[0].contains("first cell"), "{found:?}");
    let found = resealed(|f| replace(f, "settings.csv", "slew_a_per_s,150,", "slew_a_per_s,151,"));
    assert_eq!(found, ["mode \"soft/1\", slew_a_per_s: 150 A/s in the set, 151 in settings.csv."]);
    let found = resealed(|f| replace(f, "settings.csv", "slew_a_per_s,150,A/s", "slew_a_per_s,150,mA/s"));
    assert!(found.len() == 1 && found[0].contains("unit"), "{found:?}");
    let found = resealed(|f| replace(f, "set.json", "1112.0", "1113.0"));
    assert!(found.iter().any(|d| d.contains("set.json: its content has the identity")), "{found:?}");
    assert!(found.iter().any(|d| d.contains("1112 N s/m in set.ron, 1113 N s/m in set.json")), "{found:?}");
    let found = resealed(|f| replace(f, "set.ron", "1112.0", "inf"));
    assert!(found.iter().any(|d| d.contains("set.ron") && d.contains("not finite")), "{found:?}");
    let found = resealed(|f| drop(f.files.insert("notes.txt".into(), vec![])));
    assert_eq!(found, ["notes.txt: listed, but no part of a set."]);
    let found = resealed(|f| drop(f.files.remove("set.json")));
    assert!(found[0].contains("set.json: a set must have it"), "{found:?}");
}

#[test]
fn rows_and_columns_swapped_are_seen() {
    // A 3 x 3 map has no shape to betray it.
    let file = "maps/02_soft_1_roll.csv";
    let found = resealed(|folder| {
        let read = read_table(&folder.files[file]).unwrap();
        let turned = |r: usize, c: usize| read.values[c][r].to_string();
        let text: Vec<String> =
            (0..3).map(|r| format!("{},{},{},{}\n", read.rows[r], turned(r, 0), turned(r, 1), turned(r, 2))).collect();
        let head = String::from_utf8(folder.files[file].clone()).unwrap();
        let head = head.lines().next().unwrap().to_owned() + "\n";
        folder.files.insert(file.into(), (head + &text.concat()).into_bytes());
    });
    assert_eq!(found.len(), 6, "all cells off the diagonal: {found:?}");
}

#[test]
fn against_a_session_every_difference_is_named_with_both_values() {
    let folder = folder();
    let against = |change: &dyn Fn(&mut Session)| {
        let mut session = fixture::session();
        change(&mut session);
        judge(&folder, Some(&session)).unwrap().0.differences
    };
    let found = against(&|s| s.modes[1].pitch.values_n_s_per_m[2][1] = 99.5);
    assert_eq!(
        found,
        ["mode \"firm, wet\", pitch map at 130 km/h, 3 m/s^2: 1758 N s/m in the set, 99.5 N s/m in the session."]
    );
    let found = against(&|s| s.modes[0].rear.rebound = 1.25);
    assert_eq!(found, ["mode \"soft/1\", rear.rebound: 0.96 in the set, 1.25 in the session."]);
    let found = against(&|s| s.dampers[1].force_n[6][1] += 1.0);
    assert!(found[0].starts_with("damper of the rear axle at 1.2 m/s, 0.9 A: "), "{found:?}");
    assert!(found.iter().any(|d| d.contains("inverse damper table of the rear axle at ")), "{found:?}");
    assert!(!found.iter().any(|d| d.contains("front")), "{found:?}");
    let found = against(&|s| s.modes[0].name = "gone".into());
    assert_eq!(found, ["The session has no mode \"soft/1\"."]);
    let found = against(&|s| {
        s.title = "other".into();
        s.modes[0].purpose = "other".into();
        s.modes.reverse();
        s.vehicle.body_mass_kg = 1500.0;
    });
    assert_eq!(found, [] as [&str; 0]);
}
