//! `washboard check`: one sentence that a session is valid, or the fault that makes it invalid.

use super::{Outcome, compile};
use crate::{cli, sink};
use anyhow::Result;

/// Reads, checks and compiles the session, its profiles included.
pub fn run(args: &cli::Check) -> Result<Outcome> {
    let session = compile(&args.session, &cli::Assumed::default())?.session;
    let parts = [
        count(session.modes.len(), "mode", "modes"),
        count(session.events.len(), "event", "events"),
        count(session.vehicle.load_cases.len(), "load case", "load cases"),
        count(session.fences.len(), "fence", "fences"),
    ];
    let name = args.session.display();
    sink::deliver(&format!("{name} is valid: {}.\n", parts.join(", ")), None)?;
    Ok(Outcome::Done)
}

fn count(n: usize, one: &str, many: &str) -> String {
    match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    }
}
