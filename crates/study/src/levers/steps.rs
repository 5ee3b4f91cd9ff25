//! Steps on ranges of cells, each computed over all events before anybody takes it.

use super::reach::{Lever, Reach};
use super::{Amount, Change, Ground, LeverRequest, LeverStep};
use crate::{Cancelled, Candidate, FenceState, Influence, Progress, Study};
use std::sync::Arc;
use washboard_metrics::Scorecard;
use washboard_session::complaints::{MapPick, Wanted};
use washboard_session::{Limit, MapName, Mode};
use washboard_signal::Precision;

/// Sizes of steps, as a share of a cell's own value.
pub const STEP_SHARES: [f64; 3] = [0.05, 0.10, 0.20];
/// Where the gains are nothing to speak of, a step of 10 % is this many N s/m.
const UNITS_PER_SHARE: f64 = 1000.0;
/// Mean gain of a range below which steps are in units, N s/m.
const SMALL_GAIN: f64 = 50.0;

/// A step that was not computed yet.
struct Draft {
    reach: Reach,
    map: MapName,
    size: usize,
    amount: Amount,
    cells: Vec<(usize, usize, f64)>,
    locked: usize,
    mode: Mode,
}

impl Study {
    /// Every size of step on every map looked at, with its effect; steps for the worse are left out.
    pub(super) fn steps(
        &self,
        request: &LeverRequest,
        ground: &Ground,
        influence: &Influence,
        progress: &Progress,
    ) -> Result<Vec<LeverStep>, Cancelled> {
        let (mode, metric) = (request.influence.mode, request.influence.metric);
        let drafts: Vec<Draft> =
            request.maps.iter().flat_map(|pick| self.drafts(mode, request, pick, influence)).collect();
        let modes: Vec<Mode> = drafts.iter().map(|draft| draft.mode.clone()).collect();
        // All events are driven, also those that weigh nothing: fences may hold on them.
        let mut everywhere = self.trial(ground.selection.model, request.influence.trial.load_case);
        everywhere.events.iter_mut().for_each(|event| event.1 = 1.0);
        let mut candidates: Vec<Candidate> = Vec::new();
        self.candidates(&everywhere, Precision::Double, &modes, progress, |candidate| candidates.push(candidate))?;
        let before = self.evaluation(&ground.selection, &ground.places, &ground.scored);
        let mut steps = Vec::new();
        for (draft, candidate) in drafts.into_iter().zip(candidates) {
            let cards = candidate.of_events;
            let looked_at = request.influence.trial.driven().filter_map(|(e, weight)| Some((cards.get(e)?, weight)));
            let then = Scorecard::weighted_mean(looked_at).mean(metric);
            let (Some(now), Some(then)) = (influence.value, then) else { continue };
            let better = if request.wanted == Wanted::Less { then < now } else { then > now };
            if !better {
                continue;
            }
            let mut scored = ground.scored.clone();
            for (place, figures) in ground.places.iter().zip(&mut scored).filter(|(place, _)| place.0 == mode) {
                *figures = Arc::new((cards[place.1].clone(), Default::default()));
            }
            let after = self.evaluation(&ground.selection, &ground.places, &scored);
            let card = |overall: &[crate::Overall]| overall.iter().find(|o| o.mode == mode).map(|o| o.card.clone());
            let (was, is) = (card(&before.overall), card(&after.overall));
            let change = |metric| {
                let (was, is) = (was.as_ref()?, is.as_ref()?);
                Some(Change { metric, before: was.mean(metric)?, after: is.mean(metric)? })
            };
            steps.push(LeverStep {
                map: draft.map,
                rows: draft.reach.rows,
                columns: draft.reach.columns,
                size: draft.size,
                amount: draft.amount,
                cells: draft.cells,
                locked: draft.locked,
                effect: Change { metric, before: now, after: then },
                beside: request.influence.beside.iter().filter_map(|id| change(*id)).collect(),
                crossed: made_worse(&before.fences, after.fences),
            });
        }
        let size_of = |step: &LeverStep| (step.effect.after - step.effect.before).abs();
        steps.sort_by(|a, b| size_of(b).total_cmp(&size_of(a)));
        Ok(steps)
    }

    /// Steps of all sizes on one map, as far as there is anything to step.
    fn drafts(&self, mode: usize, request: &LeverRequest, pick: &MapPick, influence: &Influence) -> Vec<Draft> {
        // Steps are of gains: a least current has another unit.
        if pick.map == MapName::Floor {
            return Vec::new();
        }
        let own = &self.session.modes[mode];
        let (Some(known), Some(table)) = (influence.maps.iter().find(|m| m.map == pick.map), own.map(pick.map)) else {
            return Vec::new();
        };
        let levers: Vec<Lever> = known
            .cells
            .iter()
            .enumerate()
            .flat_map(|(row, cells)| cells.iter().enumerate().map(move |(column, cell)| (row, column, cell)))
            .filter_map(|(row, column, cell)| Some(Lever { row, column, per_unit: cell.effect.as_ref()?.per_unit? }))
            .collect();
        let Some(reach) = Reach::of(&levers, request.wanted, &pick.along) else { return Vec::new() };
        let inside = || levers.iter().filter(|lever| reach.holds(lever)).map(|lever| (lever.row, lever.column));
        let is_locked = |&(row, column): &(usize, usize)| own.is_locked(pick.map, row, column);
        let locked = inside().filter(is_locked).count();
        let free: Vec<(usize, usize, f64)> = inside()
            .filter(|cell| !is_locked(cell))
            .filter_map(|(row, column)| Some((row, column, table.cell(row, column)?)))
            .collect();
        let mean = free.iter().map(|f| f.2).sum::<f64>() / free.len().max(1) as f64;
        let limit = pick.map.value_limit();
        let mut drafts = Vec::new();
        for (size, share) in STEP_SHARES.into_iter().enumerate() {
            let share = reach.way * share;
            let amount = if mean >= SMALL_GAIN { Amount::Share(share) } else { Amount::Units(share * UNITS_PER_SHARE) };
            let mut cells: Vec<(usize, usize, f64)> =
                free.iter().map(|&(r, c, now)| (r, c, stepped(now, amount, limit))).collect();
            cells.retain(|&(r, c, value)| table.cell(r, c) != Some(value));
            if cells.is_empty() {
                continue;
            }
            cells.sort_by_key(|cell| (cell.0, cell.1));
            let mut mode = own.clone();
            if let Some(map) = mode.map_mut(pick.map) {
                for &(r, c, value) in &cells {
                    map.values[r][c] = value;
                }
            }
            drafts.push(Draft { reach, map: pick.map, size, amount, cells, locked, mode });
        }
        drafts
    }
}

/// A cell after a step: a round number inside the limit, and like a pulled handle it ends at zero.
fn stepped(now: f64, amount: Amount, limit: &Limit) -> f64 {
    let wanted = match amount {
        Amount::Share(share) => now * (1.0 + share),
        Amount::Units(units) => now + units,
    };
    let round = if wanted.abs() >= 200.0 { 10.0 } else { 1.0 };
    let wanted = (wanted / round).round() * round;
    wanted.clamp(limit.lower.max(0.0).min(now), limit.upper.max(now))
}

/// Fences that are crossed after a step and either were kept before or are crossed further.
fn made_worse(before: &[FenceState], after: Vec<FenceState>) -> Vec<FenceState> {
    let same = |a: &FenceState, b: &FenceState| {
        (a.fence, a.mode, a.event, a.load_case, a.is_upper) == (b.fence, b.mode, b.event, b.load_case, b.is_upper)
    };
    // By how much a fence is crossed: a bound that is relative to the mode under work moves with it.
    let over = |f: &FenceState| if f.is_upper { f.value - f.bound } else { f.bound - f.value };
    let is_worse = |f: &FenceState| !f.kept && before.iter().find(|b| same(b, f)).is_none_or(|b| over(f) > over(b));
    after.into_iter().filter(is_worse).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_session::limits::MAP_GAIN;

    #[test]
    fn steps_end_on_round_numbers_inside_the_limit_and_not_below_zero() {
        assert_eq!(stepped(2345.0, Amount::Share(0.1), &MAP_GAIN), 2580.0);
        assert_eq!(stepped(100.0, Amount::Share(-0.05), &MAP_GAIN), 95.0);
        assert_eq!(stepped(30.0, Amount::Units(-100.0), &MAP_GAIN), 0.0);
        assert_eq!(stepped(MAP_GAIN.upper, Amount::Share(0.2), &MAP_GAIN), MAP_GAIN.upper);
        assert_eq!(stepped(-40.0, Amount::Units(-100.0), &MAP_GAIN), -40.0, "what was typed below zero stays");
    }
}
