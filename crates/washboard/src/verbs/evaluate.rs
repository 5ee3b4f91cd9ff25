//! `washboard evaluate`: scorecards of modes × events × load cases.

use super::{Outcome, borrowed, compile, figures};
use crate::bar::with_bar;
use crate::{cli, sink};
use anyhow::Result;
use serde_json::{Map, Value, json};

/// Computes the scorecards; status 1 where a fence is crossed.
pub fn run(args: &cli::Evaluate) -> Result<Outcome> {
    let compiled = compile(&args.session, &args.assumed)?;
    let study = &compiled.study;
    let (modes, events, load_cases) = (borrowed(&args.modes), borrowed(&args.events), borrowed(&args.load_cases));
    let selection = study.selection(args.model.into(), &modes, &events, &load_cases)?;
    let evaluation = with_bar(|progress| study.evaluate(&selection, progress))?;
    let seeds = args.seeds.map_or(0, |n| n as usize);
    let intervals = with_bar(|progress| study.intervals(&selection, seeds, progress))?;
    let text = if args.json {
        let mut object = Map::new();
        object.insert("session".into(), json!(compiled.session.title));
        object.insert("model".into(), json!(selection.model.name()));
        object.insert("states".into(), json!(figures::states(&compiled.session)));
        let conditions = &compiled.session.conditions;
        if let Some(temperature) = conditions.damper_temperature_c {
            object.insert("damper_temperature_c".into(), json!(temperature));
        }
        if conditions.supply_lost {
            object.insert("supply_lost".into(), json!(true));
        }
        figures::put_evaluation(&mut object, study, &evaluation);
        if args.seeds.is_some() {
            object.insert("intervals".into(), figures::intervals(study, &intervals));
        }
        format!("{:#}\n", Value::Object(object))
    } else {
        let mut words = vec![study.states_in_words().to_owned()];
        words.extend(study.conditions_in_words());
        words.extend(study.finer_steps_in_words(&evaluation));
        words.push(format!("{}: {}", selection.model.label(), selection.model.simplification()));
        let tables = figures::tables(study, &evaluation) + &figures::interval_table(study, &intervals);
        format!("{}\n\n{tables}", words.join("\n"))
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(if figures::all_kept(&evaluation) { Outcome::Done } else { Outcome::DoesNotHold })
}
