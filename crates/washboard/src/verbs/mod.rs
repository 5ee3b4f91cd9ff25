//! The headless verbs: each turns its arguments into text and a status.

mod analyse;
mod check;
mod compare;
mod convert;
mod evaluate;
mod export;
mod figures;
mod layout;
mod report;
mod response;
mod road;
mod schema;
mod sets;
mod time;
mod trace;
mod verify;

use crate::cli::{Assumed, StatesName, Verb};
use crate::{profiles, sink};
use anyhow::{Context, Result, ensure};
use std::path::Path;
use washboard_session::{Session, States};
use washboard_study::{Profiles, Study};

/// How a verb ended when its input was good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Done: status 0.
    Done,
    /// Done, and something asked for does not hold: status 1.
    DoesNotHold,
}

/// Runs one verb.
pub fn run(verb: &Verb) -> Result<Outcome> {
    match verb {
        Verb::Evaluate(it) => evaluate::run(it),
        Verb::Trace(it) => trace::run(it),
        Verb::Response(it) => response::run(it),
        Verb::Compare(it) => compare::run(it),
        Verb::Report(it) => report::run(it),
        Verb::Export(it) => export::run(it),
        Verb::Verify(it) => verify::run(it),
        Verb::Analyse(it) => analyse::run(it),
        Verb::Road(it) => road::run(it),
        Verb::Layout(it) => layout::run(it),
        Verb::Sets(it) => sets::run(it),
        Verb::Time(it) => time::run(it),
        Verb::Check(it) => check::run(it),
        Verb::Convert(it) => convert::run(it),
        Verb::Schema(it) => schema::run(it),
    }
}

/// A session read, checked and compiled, with the profiles beside it.
struct Compiled {
    session: Session,
    profiles: Profiles,
    study: Study,
}

fn open(path: &Path) -> Result<Session> {
    let session = washboard_session::load(path)?;
    if let Some(below) = session.rests_on().filter(|below| below.has_changed) {
        sink::say(&format!(
            "{}: {}, which it rests on, has changed since it was saved; what is not its own follows.",
            path.display(),
            below.file
        ));
    }
    Ok(session)
}

fn compile(path: &Path, assumed: &Assumed) -> Result<Compiled> {
    let mut session = open(path)?;
    match (assumed.states, &session.controller.states) {
        (Some(StatesName::Ideal), _) => session.controller.states = States::Ideal,
        (Some(StatesName::Estimated), States::Ideal) => session.controller.states = States::Estimated(Box::default()),
        _ => {}
    }
    if assumed.damper_temperature_c.is_some() {
        session.conditions.damper_temperature_c = assumed.damper_temperature_c;
    }
    session.conditions.supply_lost |= assumed.supply_lost;
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let profiles = profiles::read_all(&session, Some(folder)).with_context(|| path.display().to_string())?;
    let study = Study::new(&session, &profiles).with_context(|| path.display().to_string())?;
    Ok(Compiled { session, profiles, study })
}

/// The load case asked for by name, or else the car as described.
fn load_case_or_described(study: &Study, name: Option<&str>) -> Result<usize> {
    Ok(name.map_or(Ok(0), |name| study.load_case(name))?)
}

/// Indices of the named modes of a session, each once.
fn mode_indices(session: &Session, names: &[String]) -> Result<Vec<usize>> {
    let mut indices = Vec::new();
    for name in names {
        let known = || session.modes.iter().map(|m| format!("{:?}", m.name)).collect::<Vec<_>>().join(", ");
        let index = session.modes.iter().position(|mode| mode.name == *name);
        let index = index.with_context(|| format!("there is no mode {name:?}; there are {}", known()))?;
        ensure!(!indices.contains(&index), "the mode {name:?} is named twice");
        indices.push(index);
    }
    Ok(indices)
}

/// Borrowed names, as the study takes them.
fn borrowed(names: &[String]) -> Vec<&str> {
    names.iter().map(String::as_str).collect()
}
