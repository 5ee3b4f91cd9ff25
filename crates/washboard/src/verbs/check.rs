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
    let mut text = format!("{name} is valid: {}.\n", parts.join(", "));
    if let Some(below) = session.rests_on() {
        let own = session.own_parts();
        let count = count(own.len(), "part of its own", "parts of its own");
        text.push_str(&format!(
            "It rests on {:?} with {count}{}\n",
            below.file,
            if own.is_empty() { "." } else { ":" }
        ));
        for part in own {
            text.push_str(&format!("  - {}: {} → {}\n", part.what, part.below, part.own));
        }
    }
    sink::deliver(&text, None)?;
    Ok(Outcome::Done)
}

fn count(n: usize, one: &str, many: &str) -> String {
    match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    }
}
