//! `washboard verify`: is a handed-over set what it says it is, and what the session holds?

use super::{Outcome, open};
use crate::{cli, sink};
use anyhow::Result;
use washboard_handover::verify;

/// Reads the set back; status 1 and one line a difference where something differs.
pub fn run(args: &cli::Verify) -> Result<Outcome> {
    let session = args.against.as_deref().map(open).transpose()?;
    let verdict = verify(&args.dir, session.as_ref())?;
    let name = args.dir.display();
    let with = args.against.as_ref().map_or(String::new(), |p| format!(" and equal to {}", p.display()));
    let (text, outcome) = if verdict.equal {
        (format!("{name} is complete and unchanged{with}.\nSet {}\n", verdict.identity), Outcome::Done)
    } else {
        let mut text = format!("{name} differs:\n");
        for difference in &verdict.differences {
            text.push_str(&format!("  - {difference}\n"));
        }
        (text, Outcome::DoesNotHold)
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(outcome)
}
