//! `washboard time`: how long the live computation takes on this machine.

use super::{Outcome, compile};
use crate::{cli, sink};
use anyhow::Result;
use serde_json::json;
use washboard_study::{Model, Timing};

/// Measures evaluation, responses and the refresh after an edit.
pub fn run(args: &cli::Time) -> Result<Outcome> {
    let compiled = compile(&args.session, &args.assumed)?;
    let model = Model::from(args.model);
    let selection = compiled.study.selection(model, &[], &[], &[])?;
    let timing = compiled.study.timing(&selection, &compiled.profiles)?;
    let text = if args.json {
        let object = json!({
            "threads": timing.threads,
            "lanes": timing.lanes,
            "runs": timing.runs,
            "run_steps": timing.run_steps,
            "single_lanes": timing.single_lanes,
            "evaluate_ms": timing.evaluate_ms,
            "evaluate_at_once_ms": timing.evaluate_at_once_ms,
            "response_ms": timing.response_ms,
            "refresh_at_once_ms": timing.refresh_at_once_ms,
            "refresh_one_mode_ms": timing.refresh_one_mode_ms,
            "ns_per_run_step_one_thread": timing.ns_per_run_step_one_thread,
            "ns_per_run_step_one_thread_at_once": timing.ns_per_run_step_one_thread_at_once,
        });
        format!("{object:#}\n")
    } else {
        in_words(model, &timing)
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

fn in_words(model: Model, t: &Timing) -> String {
    format!(
        "Model {}: {} runs, {} run-steps; {} threads, {} runs side by side ({}){}; medians, roads already drawn.\n\
         evaluation of all runs                 {:9.2} ms\n\
         at once, single precision where enough {:9.2} ms\n\
         responses of all modes                 {:9.2} ms\n\
         after an edit of one mode, at once     {:9.2} ms\n\
         and all digits with the intervals      {:9.2} ms\n\
         a run-step on one thread               {:9.1} ns\n\
         at once                                {:9.1} ns\n",
        model.name(),
        t.runs,
        t.run_steps,
        t.threads,
        t.lanes,
        t.instructions,
        if t.single_lanes > 0 { format!(", {} in single precision", t.single_lanes) } else { String::new() },
        t.evaluate_ms,
        t.evaluate_at_once_ms,
        t.response_ms,
        t.refresh_at_once_ms,
        t.refresh_one_mode_ms,
        t.ns_per_run_step_one_thread,
        t.ns_per_run_step_one_thread_at_once
    )
}
