//! `washboard verify`: is a handed-over set, one of its files or a dump of the car's memory what it says it is, and what
//! the session holds?

use super::{Outcome, mode_indices, open};
use crate::{cli, sink};
use anyhow::{Context, Result, ensure};
use std::path::{Path, PathBuf};
use washboard_handover::{
    CarSet, Layout, Verdict, identity, read_back, read_set, verify, verify_against_set, verify_output,
};
use washboard_session::Session;

/// Reads the set back; status 1 and one line a difference where something differs.
pub fn run(args: &cli::Verify) -> Result<Outcome> {
    let is_file = args.dir.is_file();
    let (verdict, remark) = if is_file { of_a_file(args)? } else { (of_a_folder(args)?, String::new()) };
    let name = args.dir.display();
    let with = args.against.as_ref().map_or(String::new(), |p| format!(" and equal to {}", p.display()));
    let (text, outcome) = if verdict.equal {
        let what = if is_file { "reads back as it was handed over" } else { "is complete and unchanged" };
        (format!("{name} {what}{with}.\nSet {}\n{remark}", verdict.identity), Outcome::Done)
    } else {
        let mut text = format!("{name} differs:\n");
        for difference in &verdict.differences {
            text.push_str(&format!("  - {difference}\n"));
        }
        (text + &remark, Outcome::DoesNotHold)
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(outcome)
}

fn of_a_folder(args: &cli::Verify) -> Result<Verdict> {
    ensure!(args.modes.is_empty(), "--mode is for an image; a folder names its modes itself");
    ensure!(args.layout.is_none(), "--layout is for an image; a folder holds its layout itself");
    Ok(match &args.against {
        Some(other) if other.is_dir() => verify_against_set(&args.dir, &read_set(other)?)?,
        Some(session) => verify(&args.dir, Some(&open(session)?))?,
        None => verify(&args.dir, None)?,
    })
}

fn of_a_file(args: &cli::Verify) -> Result<(Verdict, String)> {
    let path = &args.dir;
    let end = path.extension().map(|end| end.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    let is_set = end == "ron" || end == "json";
    let layout = match &args.layout {
        Some(file) => Some(Layout::load(file)?),
        None if is_set => None,
        None => beside(path, "layout.ron").map(|file| Layout::load(&file)).transpose()?,
    };
    let layout = layout.as_ref();
    let meant = match &args.against {
        Some(folder) if folder.is_dir() => Some(read_set(folder)?),
        Some(file) => Some(of_a_session(&open(file)?, args, path, layout)?),
        // In a set's own folder its set is what is meant.
        None if !is_set => beside(path, "manifest.json").and_then(|file| file.parent().map(read_set)).transpose()?,
        None => None,
    };
    let Some(meant) = meant else {
        let read = read_back(path, layout, None)?;
        let identity = read.identity.unwrap_or_default();
        let remark =
            format!("It was read as {}; --against SESSION or DIR tells whether it is the one meant.\n", read.kind);
        return Ok((Verdict { equal: read.faults.is_empty(), identity, differences: read.faults }, remark));
    };
    Ok((verify_output(path, layout, &meant)?, String::new()))
}

/// The set of a session that a file was made of: of the modes named, or of those the identity in it was handed over with,
/// or of all.
fn of_a_session(session: &Session, args: &cli::Verify, path: &Path, layout: Option<&Layout>) -> Result<CarSet> {
    if !args.modes.is_empty() {
        return Ok(CarSet::from_session(session, &mode_indices(session, &args.modes)?)?);
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
        let indices = mode_indices(session, &names)
            .with_context(|| format!("the set {stated} was handed over from this session, but its modes are gone"))?;
        return Ok(CarSet::from_session(session, &indices)?);
    }
    // Never noted in the session, but perhaps of one of its modes alone.
    let single = all.iter().filter_map(|&index| CarSet::from_session(session, &[index]).ok());
    Ok(single.into_iter().find(|set| identity(set) == stated).unwrap_or(whole))
}

/// A file in the folder of another one, or in the folder above, which is a set's for its C files.
fn beside(path: &Path, name: &str) -> Option<PathBuf> {
    let folder = path.parent()?;
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let above = folder.join("..").join(name);
    [folder.join(name), above].into_iter().find(|file| file.is_file())
}
