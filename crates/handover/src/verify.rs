//! Reads a handed-over folder back and says whether it is, bit for bit and number for number, what it claims to be.

use std::collections::BTreeMap;
use std::path::Path;

use washboard_session::Session;

use crate::difference::{Difference, compare_settings, compare_tables, difference};
use crate::export::{JSON_FILE, README_FILE, RON_FILE, SETTINGS_FILE};
use crate::fault::HandoverFault;
use crate::folder::Folder;
use crate::forms::{from_json, from_ron};
use crate::identity::{identity, sha256_hex};
use crate::layout::{Axis, Setting, Table, settings, tables};
use crate::manifest::{MANIFEST_FILE, MANIFEST_FORMAT, Manifest};
use crate::set::{CarSet, SET_FORMAT};
use crate::table_file::{read_settings, read_table};

/// What verification found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// True where nothing differs.
    pub equal: bool,
    /// The identity the manifest states.
    pub identity: String,
    /// What differs, one sentence each, naming the file or the cell.
    pub differences: Vec<String>,
}

/// Verifies a handed-over folder; with a session, also against the session's modes of the same names.
///
/// # Errors
/// Where there is no manifest that can be read; anything that merely differs is in the verdict.
pub fn verify(dir: &Path, against: Option<&Session>) -> Result<Verdict, HandoverFault> {
    let folder = Folder::read(dir)?;
    judge(&folder, against).map(|(verdict, _)| verdict)
}

/// Opens a handed-over set. A set that does not verify is refused.
pub fn read_set(dir: &Path) -> Result<CarSet, HandoverFault> {
    let folder = Folder::read(dir)?;
    match judge(&folder, None)? {
        (Verdict { equal: true, .. }, Some(set)) => Ok(set),
        (verdict, _) => Err(HandoverFault::Altered { folder: dir.to_path_buf(), differences: verdict.differences }),
    }
}

/// Reads the manifest alone, without verifying anything.
pub fn read_manifest(dir: &Path) -> Result<Manifest, HandoverFault> {
    manifest_of(&Folder::read(dir)?)
}

fn manifest_of(folder: &Folder) -> Result<Manifest, HandoverFault> {
    let unreadable = |why: String| HandoverFault::Unreadable { folder: folder.path.clone(), why };
    let bytes =
        folder.files.get(MANIFEST_FILE).ok_or_else(|| unreadable(format!("there is no {MANIFEST_FILE} in it.")))?;
    // The version first: a newer manifest may lack what this one needs.
    let version: serde_json::Value =
        serde_json::from_slice(bytes).map_err(|error| unreadable(format!("{MANIFEST_FILE} is not JSON: {error}.")))?;
    match version.get("format").and_then(serde_json::Value::as_u64) {
        Some(format) if format > u64::from(MANIFEST_FORMAT) => {
            return Err(unreadable(format!(
                "its format {format} is newer than {MANIFEST_FORMAT}, the newest this program knows; use a newer program."
            )));
        }
        _ => {}
    }
    serde_json::from_slice(bytes).map_err(|error| unreadable(format!("{MANIFEST_FILE}: {error}.")))
}

/// The verdict on a folder in memory, and the set where it could be read.
pub(crate) fn judge(folder: &Folder, against: Option<&Session>) -> Result<(Verdict, Option<CarSet>), HandoverFault> {
    let manifest = manifest_of(folder)?;
    let mut differences = folder.problems.clone();
    judge_manifest(folder, &manifest, &mut differences);
    judge_list(folder, &manifest, &mut differences);
    let set = judge_content(folder, &manifest, &mut differences);
    if let (Some(session), Some(set)) = (against, &set) {
        judge_against(set, session, &mut differences)?;
    }
    Ok((Verdict { equal: differences.is_empty(), identity: manifest.identity, differences }, set))
}

/// Canonical bytes and seal.
fn judge_manifest(folder: &Folder, manifest: &Manifest, differences: &mut Vec<String>) {
    let bytes = folder.files.get(MANIFEST_FILE);
    let canonical = manifest.canonical_bytes().ok();
    if bytes != canonical.as_ref() {
        let line = match (bytes, &canonical) {
            (Some(a), Some(b)) => {
                1 + a.split(|c| *c == b'\n').zip(b.split(|c| *c == b'\n')).take_while(|(a, b)| a == b).count()
            }
            _ => 1,
        };
        differences.push(format!("{MANIFEST_FILE}: its bytes are not in canonical form from line {line} on."));
    }
    if manifest.expected_seal().ok().as_ref() != Some(&manifest.seal) {
        differences.push(format!("{MANIFEST_FILE}: the seal is broken; something in it was changed."));
    }
    if manifest.format != MANIFEST_FORMAT {
        differences.push(format!("{MANIFEST_FILE}: format {} was never written.", manifest.format));
    }
}

/// Every listed file as listed, nothing else.
fn judge_list(folder: &Folder, manifest: &Manifest, differences: &mut Vec<String>) {
    let mut listed = BTreeMap::new();
    for entry in &manifest.files {
        if entry.path == MANIFEST_FILE || listed.insert(entry.path.as_str(), entry).is_some() {
            differences.push(format!("{MANIFEST_FILE}: it lists {} where it must not.", entry.path));
        }
    }
    for (path, entry) in &listed {
        match folder.files.get(*path) {
            None => differences.push(format!("{path}: listed in the manifest, but missing.")),
            Some(bytes) if sha256_hex(bytes) != entry.sha256 => differences.push(format!(
                "{path}: its bytes were changed ({} bytes, {} when handed over; SHA-256 {} instead of {}).",
                bytes.len(),
                entry.bytes,
                sha256_hex(bytes),
                entry.sha256
            )),
            Some(bytes) if bytes.len() as u64 != entry.bytes => {
                differences.push(format!("{path}: it has {} bytes, listed are {}.", bytes.len(), entry.bytes));
            }
            Some(_) => {}
        }
    }
    for path in folder.files.keys().filter(|path| *path != MANIFEST_FILE) {
        if !listed.contains_key(path.as_str()) {
            differences.push(format!("{path}: it is in the folder, but not listed in the manifest."));
        }
    }
    for inner in &folder.folders {
        if !listed.keys().any(|path| path.starts_with(&format!("{inner}/"))) {
            differences.push(format!("{inner}: this folder holds no listed file."));
        }
    }
}

/// The files among each other: RON, JSON, every CSV, the identity.
fn judge_content(folder: &Folder, manifest: &Manifest, differences: &mut Vec<String>) -> Option<CarSet> {
    let mut read = |file: &str, parse: fn(&[u8]) -> Result<CarSet, String>| {
        let Some(bytes) = folder.files.get(file) else {
            differences.push(format!("{file}: a set must have it, but it is missing."));
            return None;
        };
        let set = match parse(bytes) {
            Ok(set) => set,
            Err(why) => {
                differences.push(format!("{file}: it cannot be read: {why}."));
                return None;
            }
        };
        let faults = set.faults();
        if !faults.is_empty() {
            differences.push(format!("{file}: {}.", faults.join("; ")));
            return None;
        }
        let own = identity(&set);
        if own != manifest.identity {
            differences
                .push(format!("{file}: its content has the identity {own}, the manifest says {}.", manifest.identity));
        }
        if set.format != SET_FORMAT {
            differences.push(format!("{file}: format {} was never written.", set.format));
        }
        let names: Vec<&String> = set.modes.iter().map(|mode| &mode.name).collect();
        if names != manifest.modes.iter().collect::<Vec<_>>() {
            differences.push(format!("{file}: its modes are {names:?}, the manifest says {:?}.", manifest.modes));
        }
        Some(set)
    };
    let ron = read(RON_FILE, from_ron);
    let json = read(JSON_FILE, from_json);
    if let (Some(ron), Some(json)) = (&ron, &json)
        && ron != json
    {
        let found = difference(ron, json).sentences(&format!("in {RON_FILE}"), &format!("in {JSON_FILE}"));
        if found.is_empty() {
            differences.push(format!("{JSON_FILE}: a label is not the one in {RON_FILE}."));
        }
        differences.extend(found);
    }
    let set = ron.or(json)?;
    judge_tables(folder, &set, differences);
    judge_settings(folder, &set, differences);
    match folder.files.get(README_FILE) {
        None => differences.push(format!("{README_FILE}: a set must have it, but it is missing.")),
        Some(bytes) if !String::from_utf8_lossy(bytes).contains(&manifest.identity) => {
            differences.push(format!("{README_FILE}: it does not name the identity {}.", manifest.identity));
        }
        Some(_) => {}
    }
    judge_strangers(&set, manifest, differences);
    Some(set)
}

/// Listed files that are no part of a set.
fn judge_strangers(set: &CarSet, manifest: &Manifest, differences: &mut Vec<String>) {
    let tables = tables(set);
    for entry in &manifest.files {
        let known = [RON_FILE, JSON_FILE, SETTINGS_FILE, README_FILE, MANIFEST_FILE].contains(&entry.path.as_str())
            || tables.iter().any(|table| table.file == entry.path);
        if !known {
            differences.push(format!("{}: listed, but no part of a set.", entry.path));
        }
    }
}

/// Every table file against the set.
fn judge_tables(folder: &Folder, set: &CarSet, differences: &mut Vec<String>) {
    for table in tables(set) {
        let file = &table.file;
        let Some(bytes) = folder.files.get(file) else {
            differences.push(format!("{file}: a set must have it, but it is missing."));
            continue;
        };
        let read = match read_table(bytes) {
            Ok(read) => read,
            Err(why) => {
                differences.push(format!("{file}: it cannot be read: {why}."));
                continue;
            }
        };
        if read.corner != table.corner() {
            differences.push(format!("{file}: its first cell is \"{}\", not \"{}\".", read.corner, table.corner()));
        }
        let in_file = Table {
            rows: Axis { values: &read.rows, ..table.rows.clone() },
            columns: Axis { values: &read.columns, ..table.columns.clone() },
            values: &read.values,
            ..table.clone()
        };
        let mut found = Difference::default();
        compare_tables(&table, &in_file, &mut found);
        differences.extend(found.sentences("in the set", &format!("in {file}")));
    }
}

/// The settings file against the set.
fn judge_settings(folder: &Folder, set: &CarSet, differences: &mut Vec<String>) {
    let Some(bytes) = folder.files.get(SETTINGS_FILE) else {
        differences.push(format!("{SETTINGS_FILE}: a set must have it, but it is missing."));
        return;
    };
    let read = match read_settings(bytes) {
        Ok(read) => read,
        Err(why) => {
            differences.push(format!("{SETTINGS_FILE}: it cannot be read: {why}."));
            return;
        }
    };
    let in_set = settings(set);
    let in_file: Vec<Setting> = read
        .iter()
        .map(|[place, name, value, _]| Setting {
            place: place.clone(),
            name: name.clone(),
            // Only what the set holds as a number is compared as one.
            number: in_set
                .iter()
                .find(|one| one.place == *place && one.name == *name)
                .and_then(|one| one.number)
                .and_then(|_| value.parse().ok()),
            value: value.clone(),
            unit: "",
            counts: true,
        })
        .collect();
    // Labels count here: the file must say what the set says.
    let in_set: Vec<Setting> = in_set.into_iter().map(|one| Setting { counts: true, ..one }).collect();
    let mut found = Difference::default();
    compare_settings(&in_set, &in_file, &mut found);
    if in_set.len() != in_file.len() {
        differences.push(format!("{SETTINGS_FILE}: it has {} rows, the set {} settings.", in_file.len(), in_set.len()));
    }
    for (one, [place, name, _, unit]) in in_set.iter().zip(&read) {
        if one.unit != unit {
            differences
                .push(format!("{SETTINGS_FILE}: {place}, {name}: the unit is \"{unit}\", not \"{}\".", one.unit));
        }
    }
    differences.extend(found.sentences("in the set", &format!("in {SETTINGS_FILE}")));
}

/// The set against the session's modes of the same names.
fn judge_against(set: &CarSet, session: &Session, differences: &mut Vec<String>) -> Result<(), HandoverFault> {
    let mut indices = Vec::new();
    for mode in &set.modes {
        match session.modes.iter().position(|other| other.name == mode.name) {
            Some(index) => indices.push(index),
            None => differences.push(format!("The session has no mode \"{}\".", mode.name)),
        }
    }
    if indices.is_empty() {
        return Ok(());
    }
    let own = CarSet::from_session(session, &indices)?;
    // Modes the session lacks are named once, not table by table.
    let shared = CarSet {
        modes: set.modes.iter().filter(|mode| own.modes.iter().any(|other| other.name == mode.name)).cloned().collect(),
        ..set.clone()
    };
    let found = difference(&shared, &own).sentences("in the set", "in the session");
    if found.is_empty() && identity(&shared) != identity(&own) {
        differences.push("The set and the session have different identities.".to_owned());
    }
    differences.extend(found);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::set_checks;
    use crate::export::{ExportInfo, export, files};
    use crate::fixture;
    use std::fs;

    fn info() -> ExportInfo {
        ExportInfo { created: "2026-11-25T10:00:00Z".into(), program: "test 0".into(), note: String::new() }
    }

    fn folder() -> Folder {
        let set = fixture::set();
        let files = files(&set, &info(), &set_checks(&set)).unwrap();
        let folders = ["dampers", "inverse_dampers", "maps"].map(str::to_owned).to_vec();
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
        let mut flips = 0;
        for (file, bytes) in &whole.files {
            // Every byte of the manifest and of short files, every few of long ones; the bit changes from byte to byte.
            let step = if file == MANIFEST_FILE { 1 } else { 1 + bytes.len() / 300 };
            for position in (0..bytes.len()).step_by(step) {
                let mut folder = whole.clone();
                folder.files.get_mut(file).unwrap()[position] ^= 1 << (position % 8);
                if let Ok((verdict, _)) = judge(&folder, None) {
                    assert!(!verdict.equal, "{file}, byte {position}");
                    assert!(verdict.differences.iter().any(|d| d.contains(file.as_str())), "{file}: {verdict:?}");
                }
                flips += 1;
            }
        }
        assert!(flips > 5000, "{flips}");
    }

    #[test]
    fn a_shortened_or_lengthened_file_is_seen() {
        let whole = folder();
        for file in whole.files.keys() {
            for change in
                [|bytes: &mut Vec<u8>| bytes.truncate(bytes.len() - 1), |bytes: &mut Vec<u8>| bytes.push(b'\n')]
            {
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
            let text: Vec<String> = (0..3)
                .map(|r| format!("{},{},{},{}\n", read.rows[r], turned(r, 0), turned(r, 1), turned(r, 2)))
                .collect();
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
}
