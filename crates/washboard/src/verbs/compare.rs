//! `washboard compare`: scorecards side by side, differences to a reference mode, map differences.

use super::{Compiled, Outcome, borrowed, compile, figures, load_case_or_described, mode_indices};
use crate::bar::with_bar;
use crate::in_the_car::{Beside, beside};
use crate::table::{Table, number};
use crate::{cli, sink};
use anyhow::{Result, ensure};
use serde_json::{Map, Value, json};
use std::path::Path;
use washboard_handover::{CarSet, Layout, quantise};
use washboard_session::ModeDifference;
use washboard_study::{Difference, Study};

/// Most random roads a class road is drawn as.
const MOST_SEEDS: u32 = 200;

/// Cells that differ are listed up to here; beyond, a reader has to look at the maps.
const MOST_CELLS_IN_WORDS: usize = 24;

/// Compares modes with one of them; fences do not bear on the status.
pub fn run(args: &cli::Compare) -> Result<Outcome> {
    ensure!(
        (2..=MOST_SEEDS).contains(&args.seeds),
        "--seeds is {}, but it must be 2 to {MOST_SEEDS}: an interval needs at least two roads",
        args.seeds
    );
    let mut compiled = compile(&args.session, &args.assumed)?;
    let mut names = args.modes.clone();
    if let Some(layout) = &args.in_car {
        add_those_in_the_car(&mut compiled, layout, &args.reference, &mut names)?;
    }
    let (session, study) = (&compiled.session, &compiled.study);
    let reference = study.mode(&args.reference)?;
    let load_case = study.load_case_names()[load_case_or_described(study, args.load_case.as_deref())?];
    let mut modes = borrowed(&names);
    if !modes.is_empty() && !modes.contains(&args.reference.as_str()) {
        modes.insert(0, &args.reference);
    }
    let selection = study.selection(args.model.into(), &modes, &borrowed(&args.events), &[load_case])?;
    let comparison = with_bar(|progress| study.compare(&selection, reference, args.seeds as usize, progress))?;
    // That the reference does not differ from itself need not be said.
    let differences: Vec<Difference> = comparison.differences.iter().filter(|d| d.mode != reference).cloned().collect();
    let compared = selection.modes.iter().filter(|m| **m != reference);
    let maps: Vec<(&str, ModeDifference)> = compared
        .map(|&m| {
            (session.modes[m].name.as_str(), ModeDifference::between(&session.modes[reference], &session.modes[m]))
        })
        .collect();
    let text = if args.json {
        let mut object = Map::new();
        object.insert("session".into(), json!(session.title));
        object.insert("model".into(), json!(selection.model.name()));
        object.insert("reference".into(), json!(args.reference));
        figures::put_evaluation(&mut object, study, &comparison.evaluation);
        let names = study.mode_names();
        object.insert("differences".into(), differences.iter().map(|d| difference(&names, d)).collect());
        put_map_differences(&mut object, &maps);
        format!("{:#}\n", Value::Object(object))
    } else {
        let mut text = figures::tables(study, &comparison.evaluation);
        text.push_str(&format!(
            "\ndifference to {}, means over {} draws of the random roads\n{}",
            args.reference,
            args.seeds,
            table(study, &differences)
        ));
        for (mode, difference) in &maps {
            text.push_str(&format!("\nmaps and settings, {} → {mode}\n{}", args.reference, in_words(difference)));
        }
        text
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

/// Puts beside the reference and each mode named what a control unit holds of them, for all figures of both.
fn add_those_in_the_car(
    compiled: &mut Compiled,
    layout: &Path,
    reference: &str,
    names: &mut Vec<String>,
) -> Result<()> {
    let layout = Layout::load(layout)?;
    if !names.iter().any(|name| name == reference) {
        names.insert(0, reference.to_owned());
    }
    let set = CarSet::from_session(&compiled.session, &mode_indices(&compiled.session, names)?)?;
    let Beside { session, study, pairs } = beside(&compiled.session, &compiled.profiles, &quantise(&set, &layout)?)?;
    names.extend(pairs.into_iter().map(|(_, name)| name));
    (compiled.session, compiled.study) = (session, study);
    Ok(())
}

fn difference(modes: &[&str], difference: &Difference) -> Value {
    let mut object = json!({
        "mode": modes[difference.mode],
        "metric": difference.metric.name(),
        "value": difference.value,
        "reference": difference.reference,
    });
    // A share of nothing is no number, and then it is absent.
    if difference.share.is_finite() {
        object["share"] = json!(difference.share);
    }
    if let Some(half_width) = difference.half_width.filter(|h| h.is_finite()) {
        object["share_half_width_95"] = json!(half_width);
    }
    object
}

fn table(study: &Study, differences: &[Difference]) -> String {
    let names = study.mode_names();
    let headers = ["metric", "mode", "unit", "value", "reference", "difference, %", "95 % interval, ± %"];
    let mut table = Table::new(3, headers);
    let percent = |share: f64| if share.is_finite() { format!("{:+.1}", share * 100.0) } else { String::new() };
    for d in differences {
        let metric = d.metric.metric();
        let interval = d.half_width.map_or(String::new(), |h| percent(h).trim_start_matches('+').to_owned());
        table.row([
            metric.label,
            names[d.mode],
            metric.unit,
            &number(d.value),
            &number(d.reference),
            &percent(d.share),
            &interval,
        ]);
    }
    table.render()
}

fn put_map_differences(object: &mut Map<String, Value>, maps: &[(&str, ModeDifference)]) {
    let mut cells = Vec::new();
    let mut settings = Vec::new();
    for (mode, difference) in maps {
        cells.extend(difference.cells.iter().map(|c| {
            json!({
                "mode": mode,
                "map": c.map.field(),
                "row": c.row_value,
                "column": c.column_value,
                "unit": c.map.value_unit(),
                "reference": c.before,
                "value": c.after,
            })
        }));
        settings.extend(
            difference
                .settings
                .iter()
                .map(|s| json!({ "mode": mode, "setting": s.what, "reference": s.before, "value": s.after })),
        );
    }
    object.insert("map_differences".into(), Value::Array(cells));
    object.insert("setting_differences".into(), Value::Array(settings));
}

fn in_words(difference: &ModeDifference) -> String {
    if difference.is_empty() {
        return "no difference\n".to_owned();
    }
    let settings = difference.settings.iter().map(ToString::to_string);
    let cells = difference.cells.iter().take(MOST_CELLS_IN_WORDS).map(ToString::to_string);
    let mut text: String = settings.chain(cells).map(|line| format!("  {line}\n")).collect();
    let more = difference.cells.len().saturating_sub(MOST_CELLS_IN_WORDS);
    if more > 0 {
        text.push_str(&format!("  and {more} more cells; --json lists them all\n"));
    }
    text
}
