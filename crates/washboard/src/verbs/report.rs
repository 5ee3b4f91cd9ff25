//! `washboard report`: a report as HTML or PDF.

use super::{Outcome, borrowed, compile, load_case_or_described};
use crate::bar::with_bar;
use crate::report_file::{Form, bytes, command};
use crate::{cli, set_info, sink};
use anyhow::{Result, ensure};
use washboard_report::{Imprint, Material, Wish};

/// Writes the report; status 1 where a fence is crossed.
pub fn run(args: &cli::Report) -> Result<Outcome> {
    let form = Form::of(&args.out)?;
    if let Some(time) = &args.time {
        ensure!(
            time.parse::<jiff::Timestamp>().is_ok(),
            "--time {time:?} is no time as RFC 3339 has it (2026-11-25T14:05:00Z)"
        );
    }
    let compiled = compile(&args.session, &args.assumed)?;
    let study = &compiled.study;
    let chosen = study.selection(args.model.into(), &borrowed(&args.modes), &[], &borrowed(&args.load_cases))?;
    let reference = match &args.reference {
        Some(name) => study.mode(name)?,
        None => study.reference(),
    };
    let wish = Wish {
        model: chosen.model,
        modes: chosen.modes,
        load_cases: if args.load_cases.is_empty() {
            vec![load_case_or_described(study, None)?]
        } else {
            chosen.load_cases
        },
        reference,
        event: args.event.as_deref().map(|name| study.event(name)).transpose()?,
        speed_km_h: args.speed_km_h,
        roughness_m_per_s2: args.roughness_m_per_s2,
    };
    wish.operating_point().check(study.session().controller.sample_rate_hz)?;
    let info = set_info::now("");
    let imprint = Imprint {
        session_file: args.session.display().to_string(),
        command: command(&args.session, &args.out, study, &wish, &args.assumed),
        time: args.time.clone().unwrap_or(info.created),
        program: info.program,
    };
    let material = with_bar(|progress| Material::gather(study, &wish, imprint, progress))??;
    sink::write_file(&args.out, &bytes(&material, form)?)?;
    Ok(if material.all_kept() { Outcome::Done } else { Outcome::DoesNotHold })
}
