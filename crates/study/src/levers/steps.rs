//! Steps on ranges of cells, each computed over all events before anybody takes it.

use super::reach::Reach;
use super::{Amount, CellLever, Change, Ground, LeverRequest, LeverStep, Levers};
use crate::{Cancelled, FenceState, Progress, Study};
use std::sync::Arc;
use washboard_metrics::Scorecard;
use washboard_session::complaints::{MapPick, Wanted};
use washboard_session::{Limit, Mode};

/// Sizes of steps, as a share of a cell's own value.
pub const STEP_SHARES: [f64; 3] = [0.05, 0.10, 0.20];
/// Where the gains are nothing to speak of, a step of 10 % is this many N s/m.
const UNITS_PER_SHARE: f64 = 1000.0;
/// Mean gain of a range below which steps are in units, N s/m.
const SMALL_GAIN: f64 = 50.0;

/// A step that was not computed yet.
struct Draft {
    reach: Reach,
    pick: usize,
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
        levers: &Levers,
        progress: &Progress,
    ) -> Result<Vec<LeverStep>, Cancelled> {
        let drafts: Vec<Draft> =
            request.maps.iter().enumerate().flat_map(|(i, pick)| self.drafts(request, i, pick, levers)).collect();
        let modes: Vec<Mode> = drafts.iter().map(|draft| draft.mode.clone()).collect();
        let events = &ground.selection.events;
        let cards = self.cards_on(request, &modes, events, progress)?;
        let before = self.evaluation(&ground.selection, &ground.places, &ground.scored);
        let mut steps = Vec::new();
        for (draft, cards) in drafts.into_iter().zip(cards) {
            let after_on = self.mean_on(request, |event| cards.get(event));
            let (Some(now), Some(then)) = (levers.now, after_on.mean(request.metric)) else { continue };
            let better = if request.wanted == Wanted::Less { then < now } else { then > now };
            if !better {
                continue;
            }
            let mut scored = ground.scored.clone();
            for (place, figures) in ground.places.iter().zip(&mut scored) {
                if place.0 == request.mode {
                    *figures = Arc::new((cards[place.1].clone(), Default::default()));
                }
            }
            let after = self.evaluation(&ground.selection, &ground.places, &scored);
            let of_mode = |overall: &[crate::Overall]| -> Option<Scorecard> {
                overall.iter().find(|o| o.mode == request.mode).map(|o| o.card.clone())
            };
            let others = match of_mode(&before.overall).zip(of_mode(&after.overall)) {
                None => Vec::new(),
                Some((b, a)) => request
                    .others
                    .iter()
                    .filter_map(|&metric| Some(Change { metric, before: b.mean(metric)?, after: a.mean(metric)? }))
                    .collect(),
            };
            steps.push(LeverStep {
                map: request.maps[draft.pick].map,
                rows: draft.reach.rows,
                columns: draft.reach.columns,
                size: draft.size,
                amount: draft.amount,
                cells: draft.cells,
                locked: draft.locked,
                effect: Change { metric: request.metric, before: now, after: then },
                others,
                crossed: made_worse(&before.fences, after.fences),
            });
        }
        let size_of = |step: &LeverStep| (step.effect.after - step.effect.before).abs();
        steps.sort_by(|a, b| size_of(b).total_cmp(&size_of(a)));
        Ok(steps)
    }

    /// Steps of all sizes on one map, as far as there is anything to step.
    fn drafts(&self, request: &LeverRequest, pick_index: usize, pick: &MapPick, levers: &Levers) -> Vec<Draft> {
        let of_map: Vec<&CellLever> = levers.cells.iter().filter(|c| c.map == pick.map).collect();
        let own = &self.session.modes[request.mode];
        let (Some(reach), Some(table)) = (Reach::of(&of_map, request.wanted, &pick.along), own.map(pick.map)) else {
            return Vec::new();
        };
        let is_locked = |_: &&CellLever| false;
        let inside: Vec<&CellLever> = of_map.into_iter().filter(|c| reach.holds(c)).collect();
        let locked = inside.iter().copied().filter(|c| is_locked(c)).count();
        let free: Vec<(usize, usize, f64)> = inside
            .iter()
            .copied()
            .filter(|c| !is_locked(c))
            .filter_map(|c| Some((c.row, c.column, table.cell(c.row, c.column)?)))
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
            drafts.push(Draft { reach, pick: pick_index, size, amount, cells, locked, mode });
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
