//! `washboard convert`: a session from RON to JSON or back, without loss.

use super::{Outcome, open};
use crate::cli;
use anyhow::Result;

/// Reads one file and writes the other in one step; the extension says the format.
pub fn run(args: &cli::Convert) -> Result<Outcome> {
    let session = open(&args.from)?;
    washboard_session::save(&args.to, &session)?;
    Ok(Outcome::Done)
}
