//! Blocks of runs side by side: how many runs become lanes, and how long they go on between looks at the stop sign.

use crate::pieces::Pieces;
use crate::roads::Road;
use crate::watch::block_key;
use crate::{Cancelled, Progress, Study};
use rayon::prelude::*;
use std::cmp::Reverse;
use std::collections::HashMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use washboard_car::{Damper, Model, Plant};
use washboard_control::{Calibration, HeldLevels};
use washboard_signal::{Instructions, Job, Lane, Precision, Work};
use washboard_sim::{Clock, Drive, Roads, Sim, Watch};

mod packing;
mod slices;
use packing::packed;
use slices::{Begun, in_slices};

/// Plant steps between looks at the stop sign: a few tenths of a millisecond of computing.
const STEPS_BETWEEN_LOOKS: usize = 1000;

/// How blocks are computed. Results do not depend on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Engine {
    pub instructions: Instructions,
    /// Runs side by side at most: 1, 4 or 8 in double precision, 8 or 16 in single precision; none where that is not served.
    pub lanes: usize,
    pub single_lanes: Option<usize>,
}

impl Engine {
    /// At most so many runs side by side in double precision, as far as the instructions serve them.
    pub fn new(instructions: Instructions, lanes: usize) -> Self {
        let single_lanes = instructions.widths(Precision::Single).last().copied();
        Engine { instructions, lanes: lanes.min(instructions.lanes()), single_lanes }
    }

    /// Runs side by side at most; those of single precision are made in double precision where that is not served.
    fn most_lanes(&self, precision: Precision) -> (Precision, usize) {
        match self.single_lanes.filter(|_| precision == Precision::Single) {
            Some(lanes) => (Precision::Single, lanes),
            None => (Precision::Double, self.lanes),
        }
    }

    /// Does a job for so many runs, with as few lanes as hold them.
    pub fn side_by_side<J: Job>(&self, precision: Precision, runs: usize, job: J) -> J::Output {
        let (precision, most) = self.most_lanes(precision);
        let widths = self.instructions.widths(precision).iter().copied();
        let lanes = widths.filter(|&lanes| lanes <= most).find(|&lanes| lanes >= runs);
        self.instructions.side_by_side(precision, lanes.unwrap_or(most), job)
    }

    /// What a step of so many runs side by side takes, in tenths of one of eight in double precision: half registers are
    /// hardly slower than one number, and whole ones take about half as long again. Measured with the pitch car; with the full
    /// car half registers take six of them.
    fn cost_of_a_step(&self, precision: Precision, runs: usize) -> u64 {
        let (precision, most) = self.most_lanes(precision);
        let widths = self.instructions.widths(precision).iter().copied();
        let lanes = widths.filter(|&lanes| lanes <= most).find(|&lanes| lanes >= runs).unwrap_or(most);
        match (precision, lanes) {
            (Precision::Double, 1) => 6,
            (Precision::Double, 2..=4) | (Precision::Single, ..=8) => 7,
            (Precision::Double, _) => 10,
            (Precision::Single, _) => 11,
        }
    }

    /// Most runs in a block.
    pub fn in_a_block(&self, precision: Precision) -> usize {
        self.most_lanes(precision).1
    }

    /// Most runs in a narrow block.
    fn in_a_narrow_block(&self, precision: Precision) -> usize {
        let narrow = match precision {
            Precision::Double => 4,
            Precision::Single => 8,
        };
        self.most_lanes(precision).1.min(narrow)
    }
}

impl Default for Engine {
    fn default() -> Self {
        let instructions = Instructions::best();
        Engine::new(instructions, instructions.lanes())
    }
}

/// How many digits are asked of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Digits {
    /// Those of double precision.
    Double,
    /// Those of single precision.
    Single,
    /// Those of single precision, or better where that costs nothing: for an answer that a better one follows, since what
    /// comes of it hangs on what else is asked.
    SingleOrBetter,
}

impl Digits {
    /// The precision that is enough.
    pub fn precision(self) -> Precision {
        match self {
            Digits::Double => Precision::Double,
            Digits::Single | Digits::SingleOrBetter => Precision::Single,
        }
    }
}

/// Everything of a model that its runs share.
pub(crate) struct Stage<'a, const C: usize> {
    pub study: &'a Study,
    pub model: Model,
    pub plants: Vec<Plant<C>>,
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

    /// A simulation of runs in a load case; the last one fills the lanes that are left over.
    pub fn sim<'s, L: Lane>(
        &'s self,
        load_case: usize,
        runs: &[&'s Calibration],
        clock: Clock,
        held: Option<HeldLevels>,
    ) -> Sim<'s, L, C> {
        let last = runs.len() - 1;
        let modes: Vec<&'s Calibration> = (0..L::WIDTH).map(|i| runs[i.min(last)]).collect();
        let estimation = self.study.estimation.as_ref().map(|e| (e, self.corners_m));
        let plant = &self.plants[load_case];
        Sim::new(plant, &modes, self.dampers, self.axle_of(), &self.study.settings, estimation, clock, held)
            .expect("the document's check holds the roughness band below half the sample rate")
    }
}

/// One run to be made.
#[derive(Clone, Debug)]
pub(crate) struct Task<'a> {
    pub calibration: &'a Calibration,
    pub load_case: usize,
    pub course: &'a crate::snapshot::Course,
    /// How its time is divided; the road is sampled at these steps.
    pub clock: Clock,
    pub road: Road,
    pub digits: Digits,
    /// Visit shares are wanted.
    pub with_visits: bool,
    /// Time histories are wanted.
    pub with_trace: bool,
}

/// What is gathered of runs, whatever their number side by side.
pub(crate) trait Gather<const C: usize>: Sync {
    /// Looks on.
    type Watch<L: Lane>: Watch<L, C> + Send;
    /// What is left of one run.
    type Output: Send;
    /// An onlooker of a block; there are at most as many tasks as lanes.
    fn watch<L: Lane>(&self, tasks: &[&Task<'_>]) -> Self::Watch<L>;
    /// What the onlooker of a block says of one lane, when its run is at its end; others may go on.
    fn finish<L: Lane>(&self, watch: &mut Self::Watch<L>, lane: usize) -> Self::Output;
}

/// Makes all runs, several side by side, and returns what is gathered of each, in the order of the tasks.
///
/// Runs of one plant step and one load case that count from the same time on go into one block, those of about one length
/// together: a lane whose run is at its end is read there and then, and goes on unseen until the longest is done. Those over one
/// road lie side by side, so that it is read once for all of them, and those whose cars are accelerated keep together, so that
/// the others need not compute what that does. Roads that are kept and roads that are sampled on the way do not mix. Runs for
/// which single precision is enough have blocks of their own, but for the last few that find room beside others. A car that
/// came to rest further down than single precision reaches is driven again in double.
pub(crate) fn run_all<'a, const C: usize, G: Gather<C>>(
    stage: &Stage<'a, C>,
    tasks: &[Task<'a>],
    progress: &Progress,
    gather: &G,
) -> Result<Vec<G::Output>, Cancelled> {
    let mut order: Vec<usize> = (0..tasks.len()).collect();
    let precision = &with_company(stage.engine, tasks)[..];
    let key = |i: usize| (block_key(&tasks[i]), precision[i]);
    let steps = |i: usize| tasks[i].road.outline().steps;
    // Number of a road: of the first task over it.
    let mut roads = HashMap::new();
    let road: Vec<usize> = tasks.iter().enumerate().map(|(i, t)| *roads.entry(t.road.place()).or_insert(i)).collect();
    let is_driven = |i: usize| tasks[i].road.outline().is_driven();
    order.sort_by_key(|&i| (key(i), Reverse(steps(i)), is_driven(i), road[i], i));
    let blocks_of = |most: fn(&Engine, Precision) -> usize| {
        let blocks_of_group = |group: &'_ [usize]| {
            let (lengths, precision) = (group.iter().map(|&i| steps(i) + 1).collect::<Vec<_>>(), precision[group[0]]);
            packed(&lengths, most(&stage.engine, precision), |runs| stage.engine.cost_of_a_step(precision, runs))
        };
        let groups = order.chunk_by(|&a, &b| key(a) == key(b));
        let blocks = groups.flat_map(|group| blocks_of_group(group).into_iter().map(move |block| &group[block]));
        blocks.collect::<Vec<&[usize]>>()
    };
    let mut blocks = blocks_of(Engine::in_a_block);
    if blocks.len() < rayon::current_num_threads() {
        // Better two narrow blocks than a wide one beside an idle thread.
        blocks = blocks_of(Engine::in_a_narrow_block);
    }
    // The longest first: what is left at the end is short.
    blocks.sort_by_key(|block| Reverse(steps(block[0])));
    let tasks_of: Vec<Vec<&Task>> = blocks.iter().map(|block| block.iter().map(|&i| &tasks[i]).collect()).collect();
    let begin = |at: usize| {
        let block = Block { stage, tasks: &tasks_of[at], progress, gather };
        stage.engine.side_by_side(precision[blocks[at][0]], tasks_of[at].len(), block)
    };
    let kind = |block: &[usize]| (steps(block[0]), precision[block[0]]);
    let alike = blocks.windows(2).all(|two| kind(two[0]) == kind(two[1]));
    let done = in_slices(blocks.len(), alike, progress, begin)?;
    let mut results: Vec<(usize, Made<G::Output>)> =
        blocks.into_iter().zip(done).flat_map(|(block, results)| block.iter().copied().zip(results)).collect();
    results.sort_by_key(|r| r.0);
    let mut made: Vec<Made<G::Output>> = results.into_iter().map(|r| r.1).collect();
    let is_lost =
        |&i: &usize| made[i].is_lost && precision[i] == Precision::Single && tasks[i].course.moves(stage.model);
    let lost: Vec<usize> = (0..made.len()).filter(is_lost).collect();
    if !lost.is_empty() {
        let again: Vec<Task> = lost.iter().map(|&i| Task { digits: Digits::Double, ..tasks[i].clone() }).collect();
        for (i, figures) in lost.into_iter().zip(run_all(stage, &again, progress, gather)?) {
            made[i].figures = figures;
        }
    }
    Ok(made.into_iter().map(|m| m.figures).collect())
}

/// What came of a run.
struct Made<R> {
    /// Its last motions were too small for its numbers: what the controller asked for then is not what it should have.
    is_lost: bool,
    figures: R,
}

/// Rates below so many times the least number with all its digits are lost: what a step adds to a place is a thousandth of them,
/// which keeps five digits down to there, and of their products with forces the sign is left, which is all that is asked of them.
const SMALLEST_MOTIONS: f64 = 100.0;

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

/// The precision of each run: the one that is enough, or a better one where that is welcome and the last few runs, which would
/// fill no block of single precision, find room in a block of the others.
fn with_company(engine: Engine, tasks: &[Task<'_>]) -> Vec<Precision> {
    let mut precision: Vec<Precision> = tasks.iter().map(|t| engine.most_lanes(t.digits.precision()).0).collect();
    let mut groups: HashMap<_, [Vec<usize>; 2]> = HashMap::new();
    for (i, task) in tasks.iter().enumerate() {
        let group = groups.entry(block_key(task)).or_default();
        group[usize::from(precision[i] == Precision::Single)].push(i);
    }
    let steps = |i: usize| tasks[i].road.outline().steps;
    for [double, mut single] in groups.into_values() {
        single.sort_by_key(|&i| (Reverse(steps(i)), i));
        let longest = double.iter().map(|&i| steps(i)).max().unwrap_or(0);
        let width = if double.len() <= 4 { engine.lanes.min(4) } else { engine.lanes };
        let room = if double.is_empty() { 0 } else { double.len().next_multiple_of(width) - double.len() };
        let last = single.len() % engine.in_a_narrow_block(Precision::Single);
        let (_, last) = single.split_at(single.len() - last);
        let may_join = |&i: &usize| steps(i) <= longest && tasks[i].digits == Digits::SingleOrBetter;
        if last.len() <= room && last.iter().all(may_join) {
            last.iter().for_each(|&i| precision[i] = Precision::Double);
        }
    }
    precision
}

/// The runs of one block, to be made from start to end.
struct Block<'b, 'a, const C: usize, G> {
    stage: &'b Stage<'a, C>,
    tasks: &'b [&'b Task<'b>],
    progress: &'b Progress,
    gather: &'b G,
}

impl<'b, const C: usize, G: Gather<C>> Job for Block<'b, '_, C, G> {
    type Output = Box<dyn Begun<Vec<Made<G::Output>>> + 'b>;

    fn run<L: Lane>(self) -> Self::Output {
        let Block { stage, tasks, progress, gather } = self;
        let clock = tasks[0].clock;
        let modes: Vec<&Calibration> = tasks.iter().map(|t| t.calibration).collect();
        let last = tasks.len() - 1;
        let lead_steps = stage.study.settings.lead_s.map(|s| (s / clock.step_s).round() as usize);
        let lanes = (0..L::WIDTH).map(|i| i.min(last));
        let way = match Pieces::new(tasks, lead_steps[0].max(lead_steps[1])) {
            Some(pieces) => {
                let of_lane = lanes.map(|i| pieces.input_of(i)).collect();
                Way::Streamed(pieces, of_lane)
            }
            None => {
                let inputs = lanes.filter_map(|i| tasks[i].road.kept()).collect();
                Way::Kept(Roads::new(inputs, stage.places()).telling_ahead(lead_steps))
            }
        };
        Box::new(Running {
            sim: stage.sim::<L>(tasks[0].load_case, &modes, clock, None),
            way,
            places: stage.places(),
            lead_steps,
            watch: gather.watch::<L>(tasks),
            ends: tasks.iter().map(|t| t.road.outline().steps + 1).collect(),
            made: tasks.iter().map(|_| None).collect(),
            done: 0,
            progress,
            gather,
        })
    }
}

/// The roads of a block.
#[allow(clippy::large_enum_variant, reason = "one a block, which lies in a box as a whole")]
enum Way<'b, L, const C: usize> {
    /// All their samples lie there.
    Kept(Roads<'b, L, C>),
    /// They are sampled on the way: which one each lane drives.
    Streamed(Pieces, Vec<usize>),
}

/// A block under way.
struct Running<'b, L: Lane, const C: usize, G: Gather<C>> {
    sim: Sim<'b, L, C>,
    way: Way<'b, L, C>,
    places: [(usize, usize); C],
    lead_steps: [usize; 2],
    watch: G::Watch<L>,
    /// How many steps each run has.
    ends: Vec<usize>,
    /// What came of the runs that are at their end.
    made: Vec<Option<Made<G::Output>>>,
    /// Steps.
    done: usize,
    progress: &'b Progress,
    gather: &'b G,
}

impl<L: Lane, const C: usize, G: Gather<C>> Running<'_, L, C, G> {
    fn advance(&mut self, steps: usize) -> Result<(), Cancelled> {
        match &mut self.way {
            Way::Kept(roads) => advance(&mut self.sim, steps, roads, &mut self.watch, self.progress),
            Way::Streamed(pieces, of_lane) => {
                let mut left = steps;
                while left > 0 {
                    let (now, inputs) = pieces.next(left);
                    let of_lanes = of_lane.iter().map(|&i| &inputs[i]).collect();
                    let mut roads = Roads::new(of_lanes, self.places).telling_ahead(self.lead_steps);
                    advance(&mut self.sim, now, &mut roads, &mut self.watch, self.progress)?;
                    left -= now;
                }
                Ok(())
            }
        }
    }

    /// The step at which the next run is at its end, of those that are not.
    fn next_end(&self) -> Option<usize> {
        self.ends.iter().copied().filter(|&end| end > self.done).min()
    }

    /// Reads the runs that have just come to their end.
    fn read_ended(&mut self) {
        let lost = SMALLEST_MOTIONS * L::LEAST_POSITIVE;
        for lane in (0..self.ends.len()).filter(|&lane| self.ends[lane] == self.done) {
            let is_lost = self.sim.fastest(lane) < lost;
            self.made[lane] = Some(Made { is_lost, figures: self.gather.finish(&mut self.watch, lane) });
        }
    }
}

impl<L: Lane, const C: usize, G: Gather<C>> Begun<Vec<Made<G::Output>>> for Running<'_, L, C, G> {
    fn left(&self) -> usize {
        self.ends.iter().max().map_or(0, |last| last - self.done)
    }

    fn go_on(&mut self, steps: usize) -> Result<(), Cancelled> {
        let goal = self.done + steps.min(self.left());
        while let Some(end) = self.next_end().filter(|_| self.done < goal) {
            let until = end.min(goal);
            self.advance(until - self.done)?;
            self.done = until;
            self.read_ended();
        }
        Ok(())
    }

    fn finish(self: Box<Self>) -> Vec<Made<G::Output>> {
        debug_assert!(self.made.iter().all(Option::is_some), "every run is read at its end");
        self.made.into_iter().flatten().collect()
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
