//! A single file of a hand-over, or a dump of the car's memory, read back and held against the set that was meant.

use anyhow::{Context, Result, anyhow, ensure};
use std::path::{Path, PathBuf};
use washboard_handover::{CarSet, Layout, Verdict, identity, read_back, read_set, verify_output};
use washboard_session::{HandedOver, Session};

/// What a file is held against.
pub enum Meant<'a> {
    /// Nothing was named: the set in whose folder the file lies, if it does.
    Nothing,
    /// A set.
    Set(Box<CarSet>),
    /// A session: of the modes named, or of those the identity in the file was handed over with, or of all.
    Session(&'a Session, &'a [String]),
}

/// Reads a file back. Without a layout the one beside it is taken. The words say what is not known.
pub fn of_a_file(path: &Path, layout: Option<Layout>, meant: Meant<'_>) -> Result<(Verdict, String)> {
    let end = path.extension().map(|end| end.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    let is_set = end == "ron" || end == "json";
    let layout = match layout {
        Some(layout) => Some(layout),
        None if is_set => None,
        None => beside(path, "layout.ron").map(|file| Layout::load(&file)).transpose()?,
    };
    let layout = layout.as_ref();
    let meant = match meant {
        Meant::Set(set) => Some(*set),
        Meant::Session(session, modes) => Some(of_a_session(session, modes, path, layout)?),
        // In a set's own folder its set is what is meant.
        Meant::Nothing if !is_set => {
            beside(path, "manifest.json").and_then(|file| file.parent().map(read_set)).transpose()?
        }
        Meant::Nothing => None,
    };
    let Some(meant) = meant else {
        let read = read_back(path, layout, None)?;
        let identity = read.identity.unwrap_or_default();
        return Ok((
            Verdict { equal: read.faults.is_empty(), identity, differences: read.faults },
            read.kind.to_owned(),
        ));
    };
    Ok((verify_output(path, layout, &meant)?, String::new()))
}

/// The set of a session that a file was made of.
fn of_a_session(session: &Session, names: &[String], path: &Path, layout: Option<&Layout>) -> Result<CarSet> {
    if !names.is_empty() {
        return Ok(CarSet::from_session(session, &indices(session, names)?)?);
    }
    let all: Vec<usize> = (0..session.modes.len()).collect();
    let whole = CarSet::from_session(session, &all)?;
    // Any set of the right size will do to find out which one the file says it is.
    let stated = (1..=all.len())
        .filter_map(|count| CarSet::from_session(session, &all[..count]).ok())
        .find_map(|base| read_back(path, layout, Some(&base)).ok())
        .and_then(|read| read.identity);
    let Some(stated) = stated else { return Ok(whole) };
    if let Some(record) = session.handed_over.iter().rev().find(|record| record.identity == stated) {
        let names: Vec<String> = record.modes.iter().map(|mode| mode.name.clone()).collect();
        let indices = indices(session, &names)
            .with_context(|| format!("the set {stated} was handed over from this session, but its modes are gone"))?;
        return Ok(CarSet::from_session(session, &indices)?);
    }
    // Never noted in the session, but perhaps of one of its modes alone.
    let single = all.iter().filter_map(|&index| CarSet::from_session(session, &[index]).ok());
    Ok(single.into_iter().find(|set| identity(set) == stated).unwrap_or(whole))
}

/// A set that a session has noted, as it was.
///
/// # Errors
/// A sentence where the session does not know what stood around its modes.
pub fn noted(session: &Session, set: usize) -> Result<CarSet> {
    let record: &HandedOver = session.handed_over.get(set).context("the session has no such set")?;
    let past = session.as_it_was(set).context("the session has no such set")?;
    let names: Vec<String> = record.modes.iter().map(|mode| mode.name.clone()).collect();
    let whole = CarSet::from_session(&past.session, &indices(&past.session, &names)?)?;
    ensure!(
        identity(&whole) == record.identity,
        "of set {} only the modes are noted, not the dampers and the controller of that time: read its folder",
        washboard_session::sets::short(&record.identity)
    );
    Ok(whole)
}

fn indices(session: &Session, names: &[String]) -> Result<Vec<usize>> {
    let place = |name: &String| {
        let at = session.modes.iter().position(|mode| mode.name == *name);
        at.ok_or_else(|| anyhow!("the session has no mode {name:?}"))
    };
    names.iter().map(place).collect()
}

/// A file in the folder of another one, or in the folder above, which is a set's for its C files.
fn beside(path: &Path, name: &str) -> Option<PathBuf> {
    let folder = path.parent()?;
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let above = folder.join("..").join(name);
    [folder.join(name), above].into_iter().find(|file| file.is_file())
}
