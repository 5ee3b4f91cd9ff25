//! `washboard schema`: the JSON Schema of the session.

use super::Outcome;
use crate::{cli, sink};
use anyhow::Result;

/// Prints the schema.
pub fn run(args: &cli::Schema) -> Result<Outcome> {
    let text = format!("{:#}\n", washboard_session::schema());
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}
