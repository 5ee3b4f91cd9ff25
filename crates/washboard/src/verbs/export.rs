//! `washboard export`: the parameter set for the car, written, read back and proven.

use super::{Outcome, compile};
use crate::{cli, set_info, sink};
use anyhow::{Result, ensure};
use washboard_handover::{CAUTIONS, export, pre_checks};
use washboard_study::Study;

/// Writes the set; its identity, checks and cautions go to standard output.
pub fn run(args: &cli::Export) -> Result<Outcome> {
    let compiled = compile(&args.session, &cli::Assumed::default())?;
    let modes = indices(&compiled.study, &args.modes)?;
    let set = export(&compiled.session, &modes, &args.out, &set_info::now(&args.note))?;
    let mut text = format!("Set {}\nin {}, {} files.\n", set.identity, args.out.display(), set.files.len());
    text.push_str("\nChecks before the hand-over:\n");
    for check in pre_checks(&compiled.session, &modes) {
        let mark = if check.passed { "ok  " } else { "LOOK" };
        text.push_str(&format!("  {mark}  {}: {}\n", check.name, check.reason));
    }
    text.push_str("\nBefore it is driven:\n");
    for caution in CAUTIONS {
        text.push_str(&format!("  - {caution}\n"));
    }
    sink::deliver(&text, None)?;
    Ok(Outcome::Done)
}

/// Indices of the named modes, each once.
fn indices(study: &Study, names: &[String]) -> Result<Vec<usize>> {
    let mut indices = Vec::new();
    for name in names {
        let index = study.mode(name)?;
        ensure!(!indices.contains(&index), "the mode {name:?} is named twice");
        indices.push(index);
    }
    Ok(indices)
}
