//! `washboard convert`: a session from RON to JSON or back, without loss; whole, or as what deviates from another.

use super::{Outcome, open};
use crate::{cli, sink};
use anyhow::Result;
use washboard_session::{Edit, load_below};

/// Reads one file and writes the other in one step; the extension says the format.
pub fn run(args: &cli::Convert) -> Result<Outcome> {
    let mut session = open(&args.from)?;
    if args.whole {
        session = session.standing_alone();
    }
    if let Some(file) = &args.rests_on {
        let below = load_below(&args.to, file)?;
        washboard_session::apply(&mut session, &Edit::RestOnSession(Some(Box::new(below))))?;
    }
    save(&args.to, &session)?;
    Ok(Outcome::Done)
}

/// Saves a session; where one that rests on another had to be written whole, standard error says why.
pub(super) fn save(path: &std::path::Path, session: &washboard_session::Session) -> Result<()> {
    let faults = washboard_session::save(path, session)?;
    if let Some(alone) = faults.iter().find(|fault| fault.field == "rests_on") {
        sink::say(&format!("{}: {alone}", path.display()));
    }
    Ok(())
}
