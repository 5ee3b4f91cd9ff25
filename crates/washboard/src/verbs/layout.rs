//! `washboard layout`: a layout of a control unit's memory, proposed for a set.

use super::{Outcome, mode_indices, open};
use crate::{cli, sink};
use anyhow::Result;
use std::path::Path;
use washboard_handover::layout::ByteOrder;
use washboard_handover::{CarSet, Layout, Proposal, Width};
use washboard_session::Format;

/// Writes the proposal as RON, or as JSON where `--out` ends so.
pub fn run(args: &cli::Layout) -> Result<Outcome> {
    let session = open(&args.session)?;
    let set = CarSet::from_session(&session, &mode_indices(&session, &args.modes)?)?;
    let width = match args.numbers {
        cli::WidthName::Float => Width::Float,
        cli::WidthName::Fixed8 => Width::Bits8,
        cli::WidthName::Fixed16 => Width::Bits16,
        cli::WidthName::Fixed32 => Width::Bits32,
    };
    let byte_order = if args.big_endian { ByteOrder::Big } else { ByteOrder::Little };
    let (name, version, address) = (args.name.clone(), args.version, args.address);
    let layout = Layout::propose(&set, &Proposal { name, version, address, byte_order, width })?;
    let out = args.output.out.as_deref();
    let format = out.and_then(|path: &Path| Format::of(path)).unwrap_or(Format::Ron);
    sink::deliver(&layout.text(format)?, out)?;
    Ok(Outcome::Done)
}
