//! Blocks of runs side by side: how many runs become lanes, and how long they go on between looks at the stop sign.

use crate::watch::block_key;
use crate::{Cancelled, Progress, Study};
use rayon::prelude::*;
use std::sync::Arc;
use washboard_car::{Damper, Model, Plant};
use washboard_control::{Calibration, HeldLevels};
use washboard_road::Input;
use washboard_signal::{Lane, Lanes};
use washboard_sim::{Case, Clock, Drive, Roads, Sim, Watch};

/// The lane type of a block. Results do not depend on it.
pub(crate) type Wide = Lanes<4>;

/// Plant steps between looks at the stop sign: about half a millisecond of computing.
const STEPS_BETWEEN_LOOKS: usize = 2000;

/// Everything of a model that its runs share.
pub(crate) struct Stage<'a, const C: usize> {
    pub study: &'a Study,
    pub model: Model,
    pub plants: Vec<Plant<f64, C>>,
    pub dampers: [&'a Damper; C],
    pub clock: Clock,
    /// Lever arms of the corners in the car as described, which is what a controller knows.
    pub corners_m: [[f64; 2]; C],
}

impl<'a, const C: usize> Stage<'a, C> {
    pub fn new(study: &'a Study, model: Model) -> Self {
        let plants = study.plants::<C>(model);
        let clock = study.clock(model, &plants);
        // Plant 0 is the car as described.
        let corners_m = std::array::from_fn(|c| [plants[0].corners[c].x_m, plants[0].corners[c].y_m]);
        Stage { study, model, plants, dampers: study.dampers(model), clock, corners_m }
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
    pub input: Arc<Input>,
}

/// Makes all runs, several side by side, and returns what `finish` says of each, in the order of the tasks.
///
/// Runs that measure alike go into one block.
pub(crate) fn run_all<'a, const C: usize, W, R>(
    stage: &Stage<'a, C>,
    tasks: &[Task<'a>],
    progress: &Progress,
    watch: impl Fn(&[&Task<'a>]) -> W + Sync,
    finish: impl Fn(&W, usize) -> R + Sync,
) -> Result<Vec<R>, Cancelled>
where
    W: Watch<Wide, C>,
    R: Send,
{
    let mut order: Vec<usize> = (0..tasks.len()).collect();
    let key = |i: usize| block_key(&tasks[i]);
    order.sort_by_key(|&i| (key(i), i));
    let blocks: Vec<&[usize]> =
        order.chunk_by(|&a, &b| key(a) == key(b)).flat_map(|group| group.chunks(Wide::WIDTH)).collect();
    progress.expect(blocks.len());
    let done: Vec<Vec<(usize, R)>> = blocks
        .into_par_iter()
        .map(|block| {
            let members: Vec<&Task> = block.iter().map(|&i| &tasks[i]).collect();
            let mut watch = watch(&members);
            run_block(stage, &members, &mut watch, progress)?;
            progress.finish_one();
            Ok(block.iter().enumerate().map(|(lane, &i)| (i, finish(&watch, lane))).collect())
        })
        .collect::<Result<_, Cancelled>>()?;
    let mut results: Vec<(usize, R)> = done.into_iter().flatten().collect();
    results.sort_by_key(|r| r.0);
    Ok(results.into_iter().map(|r| r.1).collect())
}

/// Makes the runs of one block from start to end.
pub(crate) fn run_block<L: Lane, const C: usize>(
    stage: &Stage<'_, C>,
    tasks: &[&Task<'_>],
    watch: &mut impl Watch<L, C>,
    progress: &Progress,
) -> Result<(), Cancelled> {
    let runs: Vec<(usize, &Calibration)> = tasks.iter().map(|t| (t.load_case, t.calibration)).collect();
    let mut sim = stage.sim::<L>(&runs, stage.clock, None);
    let last = tasks.len() - 1;
    let inputs = (0..L::WIDTH).map(|i| &*tasks[i.min(last)].input).collect();
    let lead_steps = stage.study.settings.lead_s.map(|s| (s / stage.clock.step_s).round() as usize);
    let mut roads = Roads::new(inputs, stage.places()).telling_ahead(lead_steps);
    advance(&mut sim, tasks[0].input.steps + 1, &mut roads, watch, progress)
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
        sim.advance(now, drive, watch);
        left -= now;
    }
    Ok(())
}
