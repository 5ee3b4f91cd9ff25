//! How metrics read: label, unit, figure, difference to the reference, fences.

use crate as words;
use washboard_metrics::{Better, Metric, MetricId, Scorecard};
use washboard_session::{Fence, Session};
use washboard_study::{Difference, FenceState};

/// Metrics that the scorecard always shows, comfort first.
pub const MAIN: [MetricId; 8] = [
    MetricId::WEIGHTED_ACCELERATION,
    MetricId::BODY_MOTION_RMS,
    MetricId::SECONDARY_RIDE_ACCELERATION,
    MetricId::DYNAMIC_LOAD_COEFFICIENT,
    MetricId::ROLL_RATE_PEAK,
    MetricId::PITCH_PEAK,
    MetricId::TRAVEL_USED_SHARE,
    MetricId::SHARE_DELIVERABLE,
];

/// Label with unit: `Weighted acceleration, m/s²`.
pub fn title(id: MetricId) -> String {
    let m = id.metric();
    match (id == MetricId::DYNAMIC_LOAD_COEFFICIENT, m.screen_unit) {
        // Read in the trade as a share of the static load.
        (true, _) => "Dynamic wheel load, % of static".to_owned(),
        (false, "") => m.label.to_owned(),
        (false, unit) => format!("{}, {}", m.label, words::unit(unit)),
    }
}

/// What a figure in SI is multiplied by to be read.
pub fn screen_factor(id: MetricId) -> f64 {
    // Read in the trade as a share of the static load.
    if id == MetricId::DYNAMIC_LOAD_COEFFICIENT { 100.0 } else { id.metric().screen_factor }
}

/// The unit a figure is read in: `°/s`, `% of static`; empty for a plain number.
pub fn screen_unit(id: MetricId) -> String {
    if id == MetricId::DYNAMIC_LOAD_COEFFICIENT {
        "% of static".to_owned()
    } else {
        words::unit(id.metric().screen_unit)
    }
}

fn decimals(id: MetricId) -> usize {
    if id == MetricId::DYNAMIC_LOAD_COEFFICIENT { 1 } else { id.metric().decimals }
}

/// A figure as it stands in a table, without unit.
pub fn figure(id: MetricId, si: f64) -> String {
    words::fixed(si * screen_factor(id), decimals(id))
}

/// True where differences are read in the metric's own unit: of an angle or a lag, which may be near zero or of either
/// sign, a percentage says nothing.
pub fn differs_by_unit(id: MetricId) -> bool {
    let Metric { unit, .. } = id.metric();
    matches!(*unit, "rad" | "s")
}

/// A change of a metric: `+1.2 %`, of an angle or a lag `−0.42 °`; `None` where it has no figure.
pub fn change_text(id: MetricId, before: f64, after: f64) -> Option<String> {
    if differs_by_unit(id) {
        return Some(in_unit(id, after - before));
    }
    let share = (after - before) / before.abs();
    share.is_finite().then(|| format!("{} %", words::signed(share * 100.0, 1)))
}

fn in_unit(id: MetricId, si: f64) -> String {
    format!("{} {}", words::signed(si * screen_factor(id), decimals_of(id, si)), screen_unit(id))
}

/// Decimals of a difference: up to two more than the figure has, where that would read as none.
fn decimals_of(id: MetricId, si: f64) -> usize {
    let (size, least) = ((si * screen_factor(id)).abs(), decimals(id));
    (least..least + 2).find(|d| size == 0.0 || size >= 0.5 * 0.1_f64.powi(*d as i32)).unwrap_or(least + 2)
}

/// A figure with its unit.
pub fn figure_with_unit(id: MetricId, si: f64) -> String {
    let (figure, unit) = (figure(id, si), screen_unit(id));
    if unit.is_empty() { figure } else { format!("{figure} {unit}") }
}

/// The difference in per cent, with or without its interval: `−7.2 ±0.9 %`; of angles and lags in their unit,
/// `−0.42 ±0.05 °`.
pub fn difference_text(d: &Difference, with_interval: bool) -> Option<String> {
    if differs_by_unit(d.metric) {
        let by = d.value - d.reference;
        let half = d.half_width.map(|half| half * d.reference.abs()).filter(|half| with_interval && half.is_finite());
        return by.is_finite().then(|| match half {
            Some(half) => format!(
                "{} ±{} {}",
                words::signed(by * screen_factor(d.metric), decimals_of(d.metric, by)),
                words::fixed(half * screen_factor(d.metric), decimals_of(d.metric, by)),
                screen_unit(d.metric)
            ),
            None => in_unit(d.metric, by),
        });
    }
    if !d.share.is_finite() {
        return None;
    }
    let share = words::signed(d.share * 100.0, 1);
    Some(match d.half_width {
        Some(half) if with_interval && half.is_finite() => format!("{share} ±{} %", words::fixed(half * 100.0, 1)),
        _ => format!("{share} %"),
    })
}

/// True where the difference is larger than its interval.
pub fn is_certain(d: &Difference) -> bool {
    d.share.abs() > d.half_width.unwrap_or(0.0).max(0.0005)
}

/// True where the difference is for the better, false for the worse.
pub fn is_better(d: &Difference) -> Option<bool> {
    match d.metric.metric().better {
        Better::Lower => Some(d.share < 0.0),
        Better::Higher => Some(d.share > 0.0),
        Better::Neither => None,
    }
}

/// The one number of a metric in tables: the mean of corners, as differences have it.
pub fn value(card: &Scorecard, id: MetricId) -> Option<f64> {
    card.mean(id).filter(|v| v.is_finite())
}

/// A fence held against a mode of this name, as a sentence.
pub fn fence_sentence(session: &Session, mode: &str, fence: &FenceState) -> String {
    let place = match fence.event.and_then(|e| session.events.get(e)) {
        Some(event) => format!("on {}", event.name),
        None => "over all events".to_owned(),
    };
    let side = if fence.is_upper { "at most" } else { "at least" };
    let state = if fence.kept { "keeps" } else { "crosses" };
    format!(
        "{mode} {state} the fence {}: {} {place}, {side} {}.",
        fence.metric.metric().label.to_lowercase(),
        figure_with_unit(fence.metric, fence.value),
        figure_with_unit(fence.metric, fence.bound)
    )
}

/// A fence as it stands in a list: `at most 1.05 times everyday on the lane change, for firm`.
pub fn fence_in_words(fence: &Fence) -> String {
    let metric = MetricId::by_name(&fence.metric);
    let bound = |b: f64| match (&fence.relative_to, metric) {
        (Some(base), _) => format!("{} times {base}", words::breakpoint(b)),
        (None, Some(id)) => figure_with_unit(id, b),
        (None, None) => words::breakpoint(b),
    };
    let sides = [("at least", fence.at_least), ("at most", fence.at_most)];
    let mut text = sides
        .into_iter()
        .filter_map(|(side, b)| Some(format!("{side} {}", bound(b?))))
        .collect::<Vec<_>>()
        .join(" and ");
    if let Some(event) = &fence.event {
        text.push_str(&format!(" on {event}"));
    }
    if !fence.modes.is_empty() {
        text.push_str(&format!(", for {}", fence.modes.join(" and ")));
    }
    text
}

/// A fence with its metric: `Weighted acceleration at most 1.05 times everyday`.
pub fn fence_title(fence: &Fence) -> String {
    let metric = MetricId::by_name(&fence.metric);
    let label =
        metric.map_or_else(|| format!("“{}” (no known metric)", fence.metric), |id| id.metric().label.to_owned());
    format!("{label} {}", fence_in_words(fence))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_carry_their_unit_or_the_words_for_it() {
        assert_eq!(figure_with_unit(MetricId::DYNAMIC_LOAD_COEFFICIENT, 0.0712), "7.1 % of static");
        assert_eq!(figure_with_unit(MetricId::WEIGHTED_ACCELERATION, 0.4271), "0.427 m/s²");
        assert_eq!(figure_with_unit(MetricId::CREST_FACTOR, 4.44), "4.4");
    }
}
