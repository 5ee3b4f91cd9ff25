//! Scorecards as JSON and as tables.

use crate::table::{Table, number};
use serde_json::{Map, Value as Json, json};
use washboard_metrics::{MetricId, REACTIONS_SOURCE, Scorecard, Value};
use washboard_session::{Session, States};
use washboard_study::{Evaluation, FenceState, Interval, Overall, RunFigures, Study};

/// Metrics of one card: a number each, or an object keyed by corner; what does not apply is absent.
pub fn card(card: &Scorecard) -> Json {
    let mut object = Map::new();
    for (id, value) in card.iter() {
        let figure = match value {
            Value::One(number) => json!(number),
            Value::PerCorner(_) => {
                let corners = card.corners().iter();
                let there = corners.filter_map(|c| card.at(id, c).map(|v| ((*c).to_owned(), json!(v))));
                Json::Object(there.collect())
            }
        };
        object.insert(id.name().to_owned(), figure);
    }
    Json::Object(object)
}

/// Likely reactions to the total weighted acceleration, or to the vertical one where a model has no other axis.
fn comfort(card: &Scorecard) -> Option<String> {
    [MetricId::TOTAL_WEIGHTED_ACCELERATION, MetricId::WEIGHTED_ACCELERATION]
        .into_iter()
        .find_map(|id| id.reactions(card.worst(id)?))
}

/// Where the law's states come from, in a word.
pub fn states(session: &Session) -> &'static str {
    match session.controller.states {
        States::Ideal => "ideal",
        States::Estimated(_) => "estimated",
    }
}

/// The three lists of an evaluation: `results`, `overall`, `fences`.
pub fn put_evaluation(object: &mut Map<String, Json>, study: &Study, evaluation: &Evaluation) {
    let (modes, events, load_cases) = (study.mode_names(), study.event_names(), study.load_case_names());
    let result = |run: &RunFigures| {
        json!({
            "mode": modes[run.mode],
            "event": events[run.event],
            "load_case": load_cases[run.load_case],
            "metrics": card(&run.card),
            "comfort": comfort(&run.card),
        })
    };
    let overall = |mean: &Overall| json!({ "mode": modes[mean.mode], "load_case": load_cases[mean.load_case], "metrics": card(&mean.card) });
    let fence = |state: &FenceState| {
        let mut fence = json!({
            "metric": state.metric.name(),
            "mode": modes[state.mode],
            "load_case": load_cases[state.load_case],
            "value": state.value,
        });
        fence[if state.is_upper { "at_most" } else { "at_least" }] = json!(state.bound);
        fence["kept"] = json!(state.kept);
        if let Some(event) = state.event {
            fence["event"] = json!(events[event]);
        }
        fence
    };
    object.insert("results".into(), evaluation.runs.iter().map(result).collect());
    object.insert("overall".into(), evaluation.overall.iter().map(overall).collect());
    object.insert("fences".into(), evaluation.fences.iter().map(fence).collect());
}

/// Means over several draws of each random road, with the half width of their 95 % interval.
pub fn intervals(study: &Study, intervals: &[Interval]) -> Json {
    let (modes, events, load_cases) = (study.mode_names(), study.event_names(), study.load_case_names());
    let one = |i: &Interval| {
        json!({
            "mode": modes[i.mode],
            "event": events[i.event],
            "load_case": load_cases[i.load_case],
            "metric": i.metric.name(),
            "mean": i.mean,
            "half_width": i.half_width,
            "draws": i.draws,
        })
    };
    intervals.iter().map(one).collect()
}

/// The same as text; empty where there are none.
pub fn interval_table(study: &Study, intervals: &[Interval]) -> String {
    if intervals.is_empty() {
        return String::new();
    }
    let (modes, events, load_cases) = (study.mode_names(), study.event_names(), study.load_case_names());
    let mut table = Table::new(5, ["metric", "unit", "mode", "event", "load case", "mean", "± 95 %", "draws"]);
    for i in intervals {
        let metric = i.metric.metric();
        table.row([
            metric.label,
            metric.unit,
            modes[i.mode],
            events[i.event],
            load_cases[i.load_case],
            &number(i.mean),
            &number(i.half_width),
            &i.draws.to_string(),
        ]);
    }
    format!("\nmeans over several draws of each random road (of several corners their mean)\n{}", table.render())
}

/// True while no fence is crossed.
pub fn all_kept(evaluation: &Evaluation) -> bool {
    evaluation.fences.iter().all(|f| f.kept)
}

/// Scorecards as text: for every load case and event one table with the modes in columns, then means and fences.
pub fn tables(study: &Study, evaluation: &Evaluation) -> String {
    let (modes, events, load_cases) = (study.mode_names(), study.event_names(), study.load_case_names());
    let mut text = String::new();
    let mut done: Vec<(usize, usize)> = Vec::new();
    for run in &evaluation.runs {
        let place = (run.event, run.load_case);
        if done.contains(&place) {
            continue;
        }
        done.push(place);
        let cards: Vec<(&str, &Scorecard)> = evaluation
            .runs
            .iter()
            .filter(|r| (r.event, r.load_case) == place)
            .map(|r| (modes[r.mode], &r.card))
            .collect();
        text.push_str(&format!("{}, {}\n{}\n", events[run.event], load_cases[run.load_case], side_by_side(&cards)));
    }
    let mut done: Vec<usize> = Vec::new();
    for mean in &evaluation.overall {
        if done.contains(&mean.load_case) {
            continue;
        }
        done.push(mean.load_case);
        let cards: Vec<(&str, &Scorecard)> = evaluation
            .overall
            .iter()
            .filter(|m| m.load_case == mean.load_case)
            .map(|m| (modes[m.mode], &m.card))
            .collect();
        let load_case = load_cases[mean.load_case];
        text.push_str(&format!("weighted mean over the events, {load_case}\n{}\n", side_by_side(&cards)));
    }
    if evaluation.runs.is_empty() {
        text.push_str("There are no events: nothing to evaluate.\n");
    }
    text + &fences(study, evaluation)
}

/// Cards in columns: one row a metric, or one a corner of it; numbers in SI.
fn side_by_side(cards: &[(&str, &Scorecard)]) -> String {
    let headers = ["metric", "corner", "unit"].into_iter().chain(cards.iter().map(|(name, _)| *name));
    let mut table = Table::new(3, headers);
    for id in MetricId::all() {
        let cell = |value: Option<f64>| value.map_or(String::new(), number);
        let mut row = |corner: &str, cells: Vec<String>| {
            let words = [id.metric().label, corner, id.metric().unit].map(str::to_owned);
            table.row(words.into_iter().chain(cells));
        };
        let is_one = cards.iter().any(|(_, card)| matches!(card.get(id), Some(Value::One(_))));
        if is_one {
            row("", cards.iter().map(|(_, card)| cell(card.mean(id))).collect());
            continue;
        }
        let corners = cards.first().map_or(&[][..], |(_, card)| card.corners());
        for corner in corners {
            let values: Vec<Option<f64>> = cards.iter().map(|(_, card)| card.at(id, corner)).collect();
            if values.iter().any(Option::is_some) {
                row(&corner.replace('_', " "), values.into_iter().map(cell).collect());
            }
        }
    }
    let words: Vec<String> =
        cards.iter().filter_map(|(name, card)| Some(format!("{name} {}", comfort(card)?))).collect();
    let comfort = if words.is_empty() { String::new() } else { format!("{REACTIONS_SOURCE}: {}\n", words.join(", ")) };
    table.render() + &comfort
}

fn fences(study: &Study, evaluation: &Evaluation) -> String {
    if evaluation.fences.is_empty() {
        return String::new();
    }
    let (modes, events, load_cases) = (study.mode_names(), study.event_names(), study.load_case_names());
    let mut table = Table::new(5, ["fence", "mode", "event", "load case", "state", "value", "", "bound", "unit"]);
    for fence in &evaluation.fences {
        let metric = fence.metric.metric();
        table.row([
            metric.label,
            modes[fence.mode],
            fence.event.map_or("weighted mean", |e| events[e]),
            load_cases[fence.load_case],
            if fence.kept { "kept" } else { "crossed" },
            &number(fence.value),
            if fence.is_upper { "at most" } else { "at least" },
            &number(fence.bound),
            metric.unit,
        ]);
    }
    table.render()
}
