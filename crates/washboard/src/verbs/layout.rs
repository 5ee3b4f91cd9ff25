//! `washboard layout`: a layout of a control unit's memory, proposed for a set.

use super::{Outcome, mode_indices, open};
use crate::{cli, sink};
use anyhow::Result;
use std::path::Path;
use washboard_handover::layout::ByteOrder;
use washboard_handover::{CarSet, Layout, Proposal};
use washboard_session::Format;

/// Writes the proposal as RON, or as JSON where `--out` ends so.
pub fn run(args: &cli::Layout) -> Result<Outcome> {
    let session = open(&args.session)?;
    let set = CarSet::from_session(&session, &mode_indices(&session, &args.modes)?)?;
    let proposal = Proposal {
        name: args.name.clone(),
        version: args.version,
        address: args.address,
        byte_order: if args.big_endian { ByteOrder::Big } else { ByteOrder::Little },
        width: args.numbers.into(),
        by_table: args.cells.iter().map(|(table, numbers)| (*table, (*numbers).into())).collect(),
        share_axes: !args.separate_axes,
    };
    let layout = Layout::propose(&set, &proposal)?;
    let out = args.output.out.as_deref();
    let format = out.and_then(|path: &Path| Format::of(path)).unwrap_or(Format::Ron);
    sink::deliver(&layout.text(format)?, out)?;
    Ok(Outcome::Done)
}
