//! Reads a handed-over folder back and says whether it is, bit for bit and number for number, what it claims to be.

mod outputs;

use std::collections::BTreeMap;
use std::path::Path;

use washboard_session::Session;

use crate::difference::{Difference, compare_settings, compare_tables, difference};
use crate::export::{JSON_FILE, README_FILE, RON_FILE, SETTINGS_FILE};
use crate::fault::HandoverFault;
use crate::folder::Folder;
use crate::forms::{from_json, from_ron};
use crate::identity::{identity, sha256_hex};
use crate::manifest::{MANIFEST_FILE, MANIFEST_FORMAT, Manifest};
use crate::parts::{Axis, Setting, Table, settings, tables};
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

/// Verifies a handed-over folder, also against another set.
pub fn verify_against_set(dir: &Path, other: &CarSet) -> Result<Verdict, HandoverFault> {
    let folder = Folder::read(dir)?;
    let (mut verdict, set) = judge(&folder, None)?;
    if let Some(set) = set {
        verdict.differences.extend(difference(&set, other).sentences("in this set", "in the other"));
    }
    verdict.equal = verdict.differences.is_empty();
    Ok(verdict)
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
    outputs::judge_outputs(folder, &set, manifest, differences);
    judge_strangers(&set, manifest, differences);
    Some(set)
}

/// Listed files that are no part of a set.
fn judge_strangers(set: &CarSet, manifest: &Manifest, differences: &mut Vec<String>) {
    let tables = tables(set);
    for entry in &manifest.files {
        let known = [RON_FILE, JSON_FILE, SETTINGS_FILE, README_FILE, MANIFEST_FILE].contains(&entry.path.as_str())
            || outputs::OUTPUTS.contains(&entry.path.as_str())
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
mod tests;
