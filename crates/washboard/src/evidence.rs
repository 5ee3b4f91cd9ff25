//! What the gate of a hand-over needs from computation: fences, visit shares, and the car without supply.

use anyhow::Result;
use washboard_handover::supply::{stand_ins, without_supply};
use washboard_handover::{Evidence, Finding, MapVisits};
use washboard_metrics::MetricId;
use washboard_session::Session;
use washboard_study::{Model, Profiles, Progress, Study};

/// Without supply a wheel may be in the air at most so much longer than with it, s.
const MORE_LIFT_S: f64 = 0.1;

/// Evaluates the modes (indices) with the full car over all events and load cases, and once without supply.
pub fn gather(session: &Session, profiles: &Profiles, modes: &[usize], progress: &Progress) -> Result<Evidence> {
    let study = Study::new(session, profiles)?;
    let names: Vec<&str> = modes.iter().filter_map(|&m| session.modes.get(m)).map(|mode| mode.name.as_str()).collect();
    // Fences may compare with a mode that does not go out.
    let selection = study.selection(Model::Full, &[], &[], &[])?;
    let (evaluation, visits) = study.evaluate_with_visits(&selection, true, progress)?;
    let (events, load_cases) = (study.event_names(), study.load_case_names());
    let mut fences = Vec::new();
    for state in evaluation.fences.iter().filter(|state| modes.contains(&state.mode)) {
        let metric = state.metric.metric();
        let event = state.event.map_or("weighted mean", |event| events[event]);
        let (mode, load_case) = (&session.modes[state.mode].name, load_cases[state.load_case]);
        let side = if state.is_upper { "at most" } else { "at least" };
        let words = format!(
            "mode \"{mode}\", {event}, {load_case}: {} is {:.4} {unit}, {side} {:.4} {unit}",
            metric.label,
            state.value,
            state.bound,
            unit = metric.unit
        );
        fences.push(Finding { words, holds: state.kept });
    }
    let mut shares = Vec::new();
    for (mode, visits) in selection.modes.iter().zip(visits).filter(|(mode, _)| modes.contains(mode)) {
        for (map, values) in visits.maps {
            shares.push(MapVisits { mode: session.modes[*mode].name.clone(), map, shares: values });
        }
    }
    let supply_lost = supply_lost(session, profiles, &names, progress)?;
    Ok(Evidence { fences: Some(fences), visits: Some(shares), supply_lost: Some(supply_lost) })
}

/// The car as described over every event without supply, beside the first mode with it.
fn supply_lost(session: &Session, profiles: &Profiles, names: &[&str], progress: &Progress) -> Result<Vec<Finding>> {
    let Some(&mode) = names.first().filter(|_| !session.events.is_empty()) else { return Ok(Vec::new()) };
    let at = stand_ins(session).join(", ");
    let figures = |session: &Session| -> Result<Vec<[Option<f64>; 3]>> {
        let study = Study::new(session, profiles)?;
        let selection = study.selection(Model::Full, &[mode], &[], &["as described"])?;
        let evaluation = study.evaluate(&selection, progress)?;
        let metrics = ["lift_time_s", "least_wheel_load_n", "weighted_acceleration_m_per_s2"].map(MetricId::by_name);
        Ok(evaluation.runs.iter().map(|run| metrics.map(|id| id.and_then(|id| run.card.worst(id)))).collect())
    };
    let with = figures(session)?;
    let without = match figures(&without_supply(session)) {
        Ok(without) => without,
        // Such as bench data whose force falls with velocity: no curve for a lost supply may.
        Err(fault) => {
            let words = format!("{at} could not be evaluated: {fault:#}").trim_end_matches('.').to_owned();
            return Ok(vec![Finding { words, holds: false }]);
        }
    };
    // What stands in for the curves is said once; an event that fails says it again, for it is shown alone.
    let mut found = vec![Finding { words: at.clone(), holds: true }];
    for ((event, with), without) in session.events.iter().zip(with).zip(without) {
        let [lift, load, acceleration] = without;
        let more_s = lift.unwrap_or(0.0) - with[0].unwrap_or(0.0);
        let are_finite = [lift, load, acceleration].into_iter().flatten().all(f64::is_finite);
        let number =
            |value: Option<f64>, digits: usize| value.map_or("-".to_owned(), |value| format!("{value:.digits$}"));
        let holds = are_finite && more_s <= MORE_LIFT_S;
        let words = format!(
            "{}{}: least wheel load {} N, lift {} s, weighted acceleration {} m/s^2 ({} with supply)",
            event.name,
            if holds { String::new() } else { format!(" ({at})") },
            number(load, 0),
            number(lift, 2),
            number(acceleration, 2),
            number(with[2], 2)
        );
        found.push(Finding { words, holds });
    }
    Ok(found)
}
