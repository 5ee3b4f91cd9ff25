//! `washboard trace`: time histories as CSV, unit in each header.

use super::{Outcome, compile, load_case_or_described};
use crate::bar::with_bar;
use crate::{cli, sink};
use anyhow::{Context, Result};
use washboard_study::Trace;

/// Computes the trace of one mode over one event.
pub fn run(args: &cli::Trace) -> Result<Outcome> {
    let study = compile(&args.session, &args.assumed)?.study;
    let (mode, event) = (study.mode(&args.mode)?, study.event(&args.event)?);
    let load_case = load_case_or_described(&study, args.load_case.as_deref())?;
    let trace = with_bar(|_| study.trace(args.model.into(), mode, event, load_case));
    let text = csv(&trace).context("the time histories could not be written as CSV")?;
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

/// The trace as CSV: `time_s` first, then the channels; numbers in full precision.
pub fn csv(trace: &Trace) -> Result<String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["time_s"].into_iter().chain(trace.titles().iter().map(|title| title.name.as_str())))?;
    for (time, row) in trace.time_s.iter().zip(trace.rows()) {
        writer.write_record([exact(*time)].into_iter().chain(row.map(exact)))?;
    }
    Ok(String::from_utf8(writer.into_inner()?)?)
}

/// The shortest text that reads back as the same number.
fn exact(value: f64) -> String {
    format!("{value:?}")
}
