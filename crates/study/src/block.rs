//! Blocks of runs side by side: how many runs become lanes, and how long they go on between looks at the stop sign.

use crate::watch::block_key;
use crate::{Cancelled, Progress, Study};
use rayon::prelude::*;
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use washboard_car::{Damper, Model, Plant};
use washboard_control::{Calibration, HeldLevels};
use washboard_road::Input;
use washboard_signal::{Instructions, Job, Lane, Work};
use washboard_sim::{Case, Clock, Drive, Roads, Sim, Watch};

/// Plant steps between looks at the stop sign: a few tenths of a millisecond of computing.
const STEPS_BETWEEN_LOOKS: usize = 1000;

/// How blocks are computed. Results do not depend on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Engine {
    pub instructions: Instructions,
    /// Runs side by side at most: 1, 4 or 8.
    pub lanes: usize,
}

impl Engine {
    /// At most so many runs side by side, as far as the instructions serve them.
    pub fn new(instructions: Instructions, lanes: usize) -> Self {
        Engine { instructions, lanes: lanes.min(instructions.lanes()) }
    }
}

impl Default for Engine {
    fn default() -> Self {
        let instructions = Instructions::best();
        Engine::new(instructions, instructions.lanes())
    }
}

/// Everything of a model that its runs share.
pub(crate) struct Stage<'a, const C: usize> {
    pub study: &'a Study,
    pub model: Model,
    pub plants: Vec<Plant<f64, C>>,
    pub dampers: [&'a Damper; C],
    pub clock: Clock,
    /// Lever arms of the corners in the car as described, which is what a controller knows.
    pub corners_m: [[f64; 2]; C],
    pub engine: Engine,
}

impl<'a, const C: usize> Stage<'a, C> {
    pub fn new(study: &'a Study, model: Model) -> Self {
        let plants = study.plants::<C>(model);
        let clock = study.clock(model, &plants);
        // Plant 0 is the car as described.
        let corners_m = std::array::from_fn(|c| [plants[0].corners[c].x_m, plants[0].corners[c].y_m]);
        Stage { study, model, plants, dampers: study.dampers(model), clock, corners_m, engine: study.engine }
    }

    pub fn places(&self) -> [(usize, usize); C] {
        std::array::from_fn(|c| self.model.corner_places()[c])
    }

    pub fn axle_of(&self) -> [usize; C] {
        self.places().map(|p| p.0)
    }

    /// A simulation of the runs; the last one fills the lanes that are left over.
    pub fn sim<'s, L: Lane>(
        &'s self,
        runs: &[(usize, &'s Calibration)],
        clock: Clock,
        held: Option<HeldLevels>,
    ) -> Sim<'s, L, C> {
        let last = runs.len() - 1;
        let cases: Vec<Case<'s, C>> = (0..L::WIDTH)
            .map(|i| runs[i.min(last)])
            .map(|(load_case, calibration)| Case { plant: &self.plants[load_case], calibration })
            .collect();
        let estimation = self.study.estimation.as_ref().map(|e| (e, self.corners_m));
        Sim::new(&cases, self.dampers, self.axle_of(), &self.study.settings, estimation, clock, held)
            .expect("the document's check holds the roughness band below half the sample rate")
    }
}

/// One run to be made.
#[derive(Clone, Debug)]
pub(crate) struct Task<'a> {
    pub calibration: &'a Calibration,
    pub load_case: usize,
    pub course: &'a crate::snapshot::Course,
    /// How its time is divided; `input` is sampled at these steps.
    pub clock: Clock,
    pub input: Arc<Input>,
    /// Visit shares are wanted.
    pub with_visits: bool,
    /// Time histories are wanted.
    pub with_trace: bool,
}

/// What is gathered of runs, whatever their number side by side.
pub(crate) trait Gather<const C: usize>: Sync {
    /// Looks on.
    type Watch<L: Lane>: Watch<L, C>;
    /// What is left of one run.
    type Output: Send;
    /// An onlooker of a block; there are at most as many tasks as lanes.
    fn watch<L: Lane>(&self, tasks: &[&Task<'_>]) -> Self::Watch<L>;
    /// What the onlooker of a block says of one lane.
    fn finish<L: Lane>(&self, watch: &mut Self::Watch<L>, lane: usize) -> Self::Output;
}

/// Makes all runs, several side by side, and returns what is gathered of each, in the order of the tasks.
///
/// Runs of one length and one plant step go into one block. Those over one road lie side by side, so that it is read once for all of them, and
/// those whose cars are accelerated keep together, so that the others need not compute what that does.
pub(crate) fn run_all<'a, const C: usize, G: Gather<C>>(
    stage: &Stage<'a, C>,
    tasks: &[Task<'a>],
    progress: &Progress,
    gather: &G,
) -> Result<Vec<G::Output>, Cancelled> {
    let mut order: Vec<usize> = (0..tasks.len()).collect();
    let key = |i: usize| block_key(&tasks[i]);
    // Number of a road: of the first task over it.
    let mut roads = HashMap::new();
    let road: Vec<usize> =
        tasks.iter().enumerate().map(|(i, t)| *roads.entry(Arc::as_ptr(&t.input)).or_insert(i)).collect();
    let is_driven = |i: usize| {
        let input = &tasks[i].input;
        !input.lateral_m_per_s2.is_empty() || !input.longitudinal_m_per_s2.is_empty() || input.speed_m_per_s.len() > 1
    };
    order.sort_by_key(|&i| (key(i), is_driven(i), road[i], i));
    let mut blocks: Vec<&[usize]> = order
        .chunk_by(|&a, &b| key(a) == key(b))
        .flat_map(|group| shares(group, stage.engine.lanes, rayon::current_num_threads()))
        .collect();
    // The longest first, so that no thread is left alone with one at the end.
    blocks.sort_by_key(|block| std::cmp::Reverse(width_for(block.len()) * tasks[block[0]].input.steps));
    let done = in_turn(&blocks, progress, |block| {
        let tasks: Vec<&Task> = block.iter().map(|&i| &tasks[i]).collect();
        let block = Block { stage, tasks: &tasks, progress, gather };
        stage.engine.instructions.side_by_side(width_for(tasks.len()), block)
    })?;
    let mut results: Vec<(usize, G::Output)> =
        blocks.into_iter().zip(done).flat_map(|(block, results)| block.iter().copied().zip(results)).collect();
    results.sort_by_key(|r| r.0);
    Ok(results.into_iter().map(|r| r.1).collect())
}

/// Does work block by block in the order given: a thread that is free takes the next one, so that no thread waits while
/// there is any. Results are in the order of the blocks.
pub(crate) fn in_turn<B: Sync, R: Send>(
    blocks: &[B],
    progress: &Progress,
    work: impl Fn(&B) -> Result<R, Cancelled> + Sync,
) -> Result<Vec<R>, Cancelled> {
    progress.expect(blocks.len());
    let next = AtomicUsize::new(0);
    let take = |_: usize| {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(block) = blocks.get(at) else { return Ok(done) };
            done.push((at, work(block)?));
            progress.finish_one();
        }
    };
    let threads = rayon::current_num_threads().min(blocks.len());
    let done: Vec<Vec<(usize, R)>> =
        (0..threads).into_par_iter().with_max_len(1).map(take).collect::<Result<_, Cancelled>>()?;
    let mut done: Vec<(usize, R)> = done.into_iter().flatten().collect();
    done.sort_by_key(|d| d.0);
    Ok(done.into_iter().map(|d| d.1).collect())
}

/// Lanes of a block of so many runs.
fn width_for(runs: usize) -> usize {
    match runs {
        1 => 1,
        2..=4 => 4,
        _ => 8,
    }
}

/// Cuts runs into blocks: the widest there are, but the last of them in halves where they would leave a thread idle.
fn shares<T>(runs: &[T], lanes: usize, threads: usize) -> Vec<&[T]> {
    let whole = runs.len() / lanes;
    let halved = if lanes > 4 { whole % threads.max(1) } else { 0 };
    let (wide, rest) = runs.split_at((whole - halved) * lanes);
    let narrow = if halved > 0 { lanes / 2 } else { lanes };
    let mut blocks: Vec<&[T]> = wide.chunks(lanes).collect();
    blocks.extend(rest.chunks(narrow));
    blocks
}

/// The runs of one block, to be made from start to end.
struct Block<'b, 'a, const C: usize, G> {
    stage: &'b Stage<'a, C>,
    tasks: &'b [&'b Task<'b>],
    progress: &'b Progress,
    gather: &'b G,
}

impl<const C: usize, G: Gather<C>> Job for Block<'_, '_, C, G> {
    type Output = Result<Vec<G::Output>, Cancelled>;

    fn run<L: Lane>(self) -> Self::Output {
        let Block { stage, tasks, progress, gather } = self;
        let runs: Vec<(usize, &Calibration)> = tasks.iter().map(|t| (t.load_case, t.calibration)).collect();
        let clock = tasks[0].clock;
        let mut sim = stage.sim::<L>(&runs, clock, None);
        let last = tasks.len() - 1;
        let inputs = (0..L::WIDTH).map(|i| &*tasks[i.min(last)].input).collect();
        let lead_steps = stage.study.settings.lead_s.map(|s| (s / clock.step_s).round() as usize);
        let mut roads = Roads::new(inputs, stage.places()).telling_ahead(lead_steps);
        let mut watch = gather.watch::<L>(tasks);
        advance(&mut sim, tasks[0].input.steps + 1, &mut roads, &mut watch, progress)?;
        Ok((0..tasks.len()).map(|lane| gather.finish(&mut watch, lane)).collect())
    }
}

/// Goes on by a number of steps, looking at the stop sign on the way.
pub(crate) fn advance<L: Lane, const C: usize>(
    sim: &mut Sim<'_, L, C>,
    steps: usize,
    drive: &mut impl Drive<L, C>,
    watch: &mut impl Watch<L, C>,
    progress: &Progress,
) -> Result<(), Cancelled> {
    let mut left = steps;
    while left > 0 {
        progress.check()?;
        let now = left.min(STEPS_BETWEEN_LOOKS);
        L::enter(Stretch { sim, steps: now, drive, watch });
        left -= now;
    }
    Ok(())
}

/// Some steps of a block, compiled for the instructions of its lanes.
struct Stretch<'s, 'a, L: Lane, const C: usize, D, W> {
    sim: &'s mut Sim<'a, L, C>,
    steps: usize,
    drive: &'s mut D,
    watch: &'s mut W,
}

impl<L: Lane, const C: usize, D: Drive<L, C>, W: Watch<L, C>> Work for Stretch<'_, '_, L, C, D, W> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        self.sim.advance(self.steps, self.drive, self.watch);
    }
}

#[cfg(test)]
mod tests;
