//! `washboard export`: the parameter set for the car, written, read back and proven.

use super::{Outcome, compile, mode_indices};
use crate::bar::with_bar;
use crate::{cli, evidence, set_info, sink};
use anyhow::Result;
use washboard_handover::{
    CAUTIONS, CNumbers, CarSet, ExportOptions, Layout, Waiver, Width, Wish, export_with, gate, quantise,
};
use washboard_session::{Release, SetStatus};

/// Writes the set; its identity, checks and cautions go to standard output.
pub fn run(args: &cli::Export) -> Result<Outcome> {
    let compiled = compile(&args.session, &cli::Assumed::default())?;
    let modes = mode_indices(&compiled.session, &args.modes)?;
    let mut options = options(args, compiled.session.release.clone().unwrap_or_default())?;
    options.evidence = with_bar(|progress| evidence::gather(&compiled.session, &compiled.profiles, &modes, progress))?;
    let looked = gate(&compiled.session, &modes, options.layout.as_ref(), &options.evidence, &options.wish);
    let set = export_with(&compiled.session, &modes, &args.out, &set_info::now(&args.note), &options)?;
    let status = looked.status.words();
    let mut text = format!("Set {}\n{status}, in {}, {} files.\n", set.identity, args.out.display(), set.files.len());
    text.push_str("\nChecks before the hand-over:\n");
    for check in &looked.checks {
        let mark = match check.outcome() {
            "passed" => "ok    ",
            "waived" => "waived",
            _ => "LOOK  ",
        };
        let why = check.waiver.as_ref().map_or(String::new(), |why| format!(" Waived: {why}"));
        text.push_str(&format!("  {mark}  {} ({}): {}{why}\n", check.name, check.id, check.reason));
    }
    if let Some(layout) = &options.layout {
        text.push_str(&format!("\nWhat the control unit \"{}\" will hold:\n", layout.name));
        let quantised = quantise(&CarSet::from_session(&compiled.session, &modes)?, layout)?;
        for error in &quantised.errors {
            text.push_str(&format!("  {}\n", error.sentence()));
        }
        if !quantised.left_out.is_empty() {
            text.push_str(&format!("  The layout has no place for: {}.\n", quantised.left_out.join("; ")));
        }
    }
    text.push_str("\nBefore it is driven:\n");
    for caution in CAUTIONS {
        text.push_str(&format!("  - {caution}\n"));
    }
    sink::deliver(&text, None)?;
    Ok(Outcome::Done)
}

/// What goes out besides RON, JSON and CSV.
fn options(args: &cli::Export, remembered: Release) -> Result<ExportOptions> {
    let layout = args.layout.as_deref().map(Layout::load).transpose()?;
    let c = args.c.map(|numbers| match numbers {
        cli::CNumbersName::Layout => CNumbers::AsLayout,
        cli::CNumbersName::Float => CNumbers::Proposed(Width::Float),
        cli::CNumbersName::Fixed8 => CNumbers::Proposed(Width::Bits8),
        cli::CNumbersName::Fixed16 => CNumbers::Proposed(Width::Bits16),
        cli::CNumbersName::Fixed32 => CNumbers::Proposed(Width::Bits32),
    });
    let status = match args.status {
        cli::StatusName::Draft => SetStatus::Draft,
        cli::StatusName::TrackOnly => SetStatus::TrackOnly,
        cli::StatusName::WiderUse => SetStatus::WiderUse,
    };
    let release = Release {
        caution_acknowledged: args.acknowledge_caution || remembered.caution_acknowledged,
        name: args.responsible.clone().unwrap_or(remembered.name),
        purpose: args.purpose.clone().unwrap_or(remembered.purpose),
    };
    let waivers = args.waivers.iter().cloned().map(|(check, sentence)| Waiver { check, sentence }).collect();
    Ok(ExportOptions { layout, c, wish: Wish { status, release, waivers }, ..ExportOptions::default() })
}
