//! What parts a column from the reference, in a sentence made of its numbers.

use crate as words;
use crate::figures;
use washboard_metrics::MetricId;
use washboard_study::{Difference, FenceState};

/// What is smaller than this share is not worth a word, however certain.
const LEAST_SHARE: f64 = 0.005;

/// A metric with the words for less and for more of it: before and behind the name of the reference.
type Wording = (MetricId, (&'static str, &'static str), (&'static str, &'static str));

const WORDINGS: [Wording; 4] = [
    (MetricId::ROLL_RATE_PEAK, ("firmer", " in roll"), ("softer", " in roll")),
    (MetricId::BODY_MOTION_RMS, ("calmer", " in the body"), ("floats more", "")),
    (MetricId::WEIGHTED_ACCELERATION, ("more comfortable", ""), ("less comfortable", "")),
    (MetricId::DYNAMIC_LOAD_COEFFICIENT, ("steadier", " in wheel load"), ("less steady", " in wheel load")),
];

/// The sentence of one mode against the reference, from the differences to it and the fences held against the modes.
pub fn of(differences: &[Difference], fences: &[FenceState], mode: usize, reference: &str) -> String {
    let difference = |id: MetricId| differences.iter().find(|d| d.mode == mode && d.metric == id);
    let told: Vec<&Difference> =
        WORDINGS.iter().filter_map(|(id, ..)| difference(*id)).filter(|d| is_worth_a_word(d)).collect();
    let fences: Vec<&FenceState> = fences.iter().filter(|f| f.mode == mode).collect();
    format!("{}{}.", against(&told, reference), within(&fences))
}

fn is_worth_a_word(d: &Difference) -> bool {
    figures::is_certain(d) && d.share.abs() >= LEAST_SHARE
}

fn against(told: &[&Difference], reference: &str) -> String {
    let mut parts: Vec<String> = Vec::new();
    for d in told {
        let Some((_, less, more)) = WORDINGS.iter().find(|(id, ..)| *id == d.metric) else { continue };
        let (before, behind) = if d.share < 0.0 { less } else { more };
        let than = if parts.is_empty() { format!(" than {reference}") } else { String::new() };
        let share = d.share.abs() * 100.0;
        let share = words::fixed(share, if share < 9.95 { 1 } else { 0 });
        parts.push(format!("{before}{than}{behind} by {share} %"));
    }
    if parts.is_empty() {
        format!("not told apart from {reference} in roll, body, comfort and wheel load")
    } else {
        parts.join(", ")
    }
}

fn within(fences: &[&FenceState]) -> String {
    let mut parts = Vec::new();
    let is_comfort = |f: &&&FenceState| f.metric == MetricId::WEIGHTED_ACCELERATION;
    let comfort: Vec<_> = fences.iter().filter(is_comfort).collect();
    match (comfort.is_empty(), comfort.iter().all(|f| f.kept)) {
        (true, _) => {}
        (false, true) => parts.push("comfort within the fence".to_owned()),
        (false, false) => parts.push("comfort beyond the fence".to_owned()),
    }
    let crossed: Vec<&str> = fences.iter().filter(|f| !f.kept && !is_comfort(f)).map(|f| f.metric.metric().label).fold(
        Vec::new(),
        |mut names, name| {
            if !names.contains(&name) {
                names.push(name);
            }
            names
        },
    );
    let others = fences.len() - comfort.len();
    if !crossed.is_empty() {
        parts.push(format!("beyond its fence in {}", crossed.join(", ").to_lowercase()));
    } else if others > 0 {
        parts.push(if comfort.is_empty() { "within all fences" } else { "all others too" }.to_owned());
    }
    if parts.is_empty() { String::new() } else { format!("; {}", parts.join(", ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn difference(mode: usize, metric: MetricId, share: f64, half_width: f64) -> Difference {
        Difference { mode, metric, value: 1.0 + share, reference: 1.0, share, half_width: Some(half_width) }
    }

    fn fence(metric: MetricId, kept: bool) -> FenceState {
        FenceState {
            fence: 0,
            mode: 1,
            event: None,
            load_case: 0,
            metric,
            value: 1.0,
            bound: 1.0,
            is_upper: true,
            kept,
        }
    }

    #[test]
    fn it_says_what_is_certain_and_how_the_fences_stand() {
        let of_firm = vec![
            difference(1, MetricId::ROLL_RATE_PEAK, -0.184, 0.01),
            difference(1, MetricId::BODY_MOTION_RMS, -0.02, 0.05),
            difference(1, MetricId::WEIGHTED_ACCELERATION, 0.034, 0.01),
            difference(2, MetricId::ROLL_RATE_PEAK, 0.3, 0.01),
            difference(2, MetricId::WEIGHTED_ACCELERATION, 0.002, 0.0001),
        ];
        let kept = [fence(MetricId::WEIGHTED_ACCELERATION, true)];
        assert_eq!(
            of(&of_firm, &kept, 1, "everyday"),
            "firmer than everyday in roll by 18 %, less comfortable by 3.4 %; comfort within the fence."
        );
        let crossed = [fence(MetricId::WEIGHTED_ACCELERATION, false), fence(MetricId::LIFT_TIME, false)];
        let said = of(&of_firm, &crossed, 1, "everyday");
        assert!(said.ends_with("; comfort beyond the fence, beyond its fence in lift time."), "{said}");
        assert_eq!(of(&of_firm, &crossed, 2, "everyday"), "softer than everyday in roll by 30 %.");
        let others = [fence(MetricId::LIFT_TIME, true)];
        assert!(of(&of_firm, &others, 1, "everyday").ends_with("; within all fences."));
        assert!(of(&of_firm, &others, 3, "everyday").starts_with("not told apart from everyday"));
    }
}
