//! Wires the loop's samples into the metrics, the time histories, and what is told of where the runs are on their maps.

use crate::Trace;
use crate::Visits;
use crate::block::{Gather, Stage, Task};
use crate::measured::Measured;
use crate::trace::{Recorder, Seen};
use crate::visits::MapVisits;
use washboard_control::Calibration;
use washboard_metrics::attitude::Step;
use washboard_metrics::{
    Delivery, EstimateErrors, MetricId, RateError, RideMetrics, RideOptions, RideSample, Scorecard, StopGaps,
};
use washboard_signal::{Lane, Work, each, for_each};
use washboard_sim::{Sample, Watch};

/// Height of the head above the seat point, m (common practice, no source).
const HEAD_ABOVE_SEAT_M: f64 = 0.6;

/// What makes runs alike enough for one block: their plant steps, from when they count, the car, and whether the road is sampled
/// on the way: such runs have one length.
type BlockKey = (usize, u64, usize, Option<usize>);

/// The key of a run. What one run measures and another does not is taken off the card of the other.
pub(crate) fn block_key(task: &Task<'_>) -> BlockKey {
    let length = task.road.is_streamed().then(|| task.road.outline().steps);
    (task.clock.substeps, task.course.settle_s.to_bits(), task.load_case, length)
}

/// Scorecards; the share of time on the maps and time histories of the runs that want them.
pub(crate) struct ScoreCards<'s, 'a, const C: usize> {
    pub stage: &'s Stage<'a, C>,
}

impl<const C: usize> Gather<C> for ScoreCards<'_, '_, C> {
    type Watch<L: Lane> = Scores<L, C>;
    type Output = (Scorecard, Visits, Option<Trace>);

    fn watch<L: Lane>(&self, tasks: &[&Task<'_>]) -> Scores<L, C> {
        Scores::new(self.stage, tasks)
    }

    fn finish<L: Lane>(&self, watch: &mut Scores<L, C>, lane: usize) -> (Scorecard, Visits, Option<Trace>) {
        let trace = watch.recorder.as_mut().and_then(|r| r.take(lane));
        watch.recorder.take_if(|r| r.is_done());
        (watch.card(lane), watch.visits(lane), trace)
    }
}

/// Metrics of a block.
pub(crate) struct Scores<L: Lane, const C: usize> {
    metrics: RideMetrics<L, C>,
    settle_s: f64,
    stops: bool,
    /// What each run measures.
    measured: Vec<Measured>,
    /// Where some lane's maps are looked at.
    visits: Option<MapVisits<L>>,
    /// Where the controller estimates its states.
    estimates: Option<Estimates<L, C>>,
    recorder: Option<Recorder<L, C>>,
}

/// Errors of the estimated rates.
struct Estimates<L: Lane, const C: usize> {
    errors: EstimateErrors<L, C>,
    /// Lever arms that the controller goes by, forward and left, m.
    corners_m: [[f64; 2]; C],
    rolls: bool,
    pitches: bool,
}

impl<L: Lane, const C: usize> Estimates<L, C> {
    #[inline(always)]
    fn sample(&mut self, s: &Sample<'_, '_, L, C>) {
        let Some(sensed) = s.estimated else { return };
        let (rate, zero) = (s.rate, L::zero());
        let (front, rear) = (self.corners_m[0], self.corners_m[C - 1]);
        let [roll, pitch] = [rate.roll, rate.pitch];
        // The body above the first corner, less what roll and pitch add there: the described centre of gravity.
        let above = s.corner_rate[0] + rate.wheels[0];
        let heave = above - L::splat(front[1]) * roll + L::splat(front[0]) * pitch;
        self.errors.sample(&RateError {
            heave: sensed.heave_rate - heave,
            roll: if self.rolls { sensed.roll_part[0] / L::splat(front[1]) - roll } else { zero },
            pitch: if self.pitches { sensed.pitch_part[C - 1] / L::splat(-rear[0]) - pitch } else { zero },
            wheels: each!(c in C => sensed.wheel_rate[c] - rate.wheels[c]),
            corners: each!(c in C => sensed.corner_rate[c] - s.corner_rate[c]),
        });
    }
}

impl<L: Lane, const C: usize> Scores<L, C> {
    pub fn new(stage: &Stage<'_, C>, tasks: &[&Task<'_>]) -> Self {
        let last = tasks.len() - 1;
        let task = |i: usize| tasks[i.min(last)];
        let plant = &stage.plants[tasks[0].load_case];
        let model = stage.model;
        let names = std::array::from_fn(|c| model.corner_names()[c]);
        let loads = std::array::from_fn(|c| L::splat(plant.corners[c].static_load_n));
        let mut options = RideOptions::new(names, loads);
        let gap = |fitted: bool, gap: L| fitted.then_some(gap);
        options.stop_gaps = std::array::from_fn(|c| {
            let axle = &stage.study.vehicle.axles[stage.axle_of()[c]];
            let moved = L::splat(plant.corners[c].static_deflection_m);
            StopGaps {
                bump_m: gap(axle.bump_stop.is_some(), L::splat(axle.bump_stop.map_or(0.0, |s| s.gap_m)) + moved),
                rebound_m: gap(
                    axle.rebound_stop.is_some(),
                    L::splat(axle.rebound_stop.map_or(0.0, |s| s.gap_m)) - moved,
                ),
            }
        });
        options.table_m_per_s = std::array::from_fn(|c| {
            let table = stage.dampers[c].table.velocity().values();
            [table[0], table[table.len() - 1]].map(|v| v / plant.corners[c].motion_ratio)
        });
        options.roll = model.rolls();
        options.pitch = model.pitches();
        let measured: Vec<Measured> = tasks.iter().map(|t| Measured::of(&t.course.event, &t.road.outline())).collect();
        let of_lane = |i: usize| &measured[i.min(last)];
        // Absent where no lane has one.
        let starts = |start_s: fn(&Measured) -> Option<f64>| {
            let any = measured.iter().any(|m| start_s(m).is_some());
            any.then(|| L::from_fn(|i| start_s(of_lane(i)).unwrap_or(f64::INFINITY)))
        };
        if let Some(start_s) = starts(|m| m.roll_step_s).filter(|_| model.rolls()) {
            let steady_rad = L::from_fn(|i| {
                let lateral = task(i).road.outline().last_lateral_m_per_s2.unwrap_or(0.0);
                of_lane(i).roll_step_s.map_or(0.0, |_| plant.roll_per_lateral * lateral)
            });
            options.roll_step = Some(Step { steady_rad, start_s });
        }
        if let Some(start_s) = starts(|m| m.pitch_step_s).filter(|_| model.pitches()) {
            let steady_rad = L::from_fn(|i| {
                let a = task(i).road.outline().last_longitudinal_m_per_s2.unwrap_or(0.0);
                of_lane(i).pitch_step_s.map_or(0.0, |_| plant.pitch_per_longitudinal[usize::from(a > 0.0)] * a)
            });
            options.pitch_step = Some(Step { steady_rad, start_s });
        }
        let track_m = 0.5 * (stage.study.vehicle.axles[0].track_m + stage.study.vehicle.axles[1].track_m);
        options.track_m = track_m;
        let loaded = &stage.study.loaded[tasks[0].load_case];
        let seat_m = stage.study.vehicle.seat_m[2];
        let above_axis = seat_m - (loaded.cg_height_m - loaded.roll_arm_m);
        options.seat_above_roll_axis_m = L::splat(above_axis);
        options.seat_above_cg_m = L::splat(seat_m - loaded.cg_height_m);
        options.head_above_roll_axis_m = Some(L::splat(above_axis + HEAD_ABOVE_SEAT_M));
        options.lateral_start_s = starts(|m| m.lateral_start_s);
        options.longitudinal = measured.iter().any(|m| m.longitudinal);
        options.lateral = measured.iter().any(|m| m.lateral);
        options.obstacle = measured.iter().any(|m| m.obstacle);
        let lanes = || tasks.iter().enumerate();
        let visited: Vec<Option<&Calibration>> = tasks.iter().map(|t| t.with_visits.then_some(t.calibration)).collect();
        let axles = [0, 1].into_iter().filter(|axle| stage.axle_of().contains(axle)).collect::<Vec<_>>();
        let recorded: Vec<(usize, &Task)> = lanes().filter(|(_, t)| t.with_trace).map(|(i, t)| (i, *t)).collect();
        Scores {
            stops: options.stop_gaps.iter().any(StopGaps::any),
            metrics: RideMetrics::new(tasks[0].clock.watch_rate_hz(), options)
                .expect("the clock watches 500 to 1000 samples a second, which every band fits"),
            settle_s: tasks[0].course.settle_s,
            measured,
            visits: MapVisits::new(&axles, &visited),
            estimates: stage.study.estimation.as_ref().map(|_| Estimates {
                errors: EstimateErrors::default(),
                corners_m: stage.corners_m,
                rolls: model.rolls(),
                pitches: model.pitches(),
            }),
            recorder: (!recorded.is_empty()).then(|| Recorder::new(stage, recorded)),
        }
    }

    pub fn card(&mut self, lane: usize) -> Scorecard {
        let mut card = self.metrics.finish(lane);
        if let Some(e) = &self.estimates {
            e.errors.finish(&mut card, lane, e.rolls, e.pitches);
        }
        let measured = &self.measured[lane];
        if !measured.obstacle {
            card.remove(MetricId::AFTER_SHAKE);
        }
        if !measured.lateral {
            card.remove(MetricId::FRONT_LOAD_TRANSFER_SHARE);
            card.remove(MetricId::ROLL_PITCH_PHASE);
        }
        card
    }

    pub fn visits(&mut self, lane: usize) -> Visits {
        self.visits.as_mut().map_or_else(Visits::default, |visits| visits.of(lane))
    }
}

impl<L: Lane, const C: usize> Watch<L, C> for Scores<L, C> {
    #[inline(always)]
    fn sample(&mut self, s: &Sample<'_, '_, L, C>) {
        let counting = s.time_s >= self.settle_s;
        let stops = self.stops;
        // Written where it waits: else the whole sample would wait in registers that are not there.
        write_ride_sample(self.metrics.next_sample(counting), s, stops);
        if let Some(estimates) = self.estimates.as_mut().filter(|_| counting) {
            estimates.sample(s);
        }
        if let Some(visits) = &mut self.visits {
            visits.sample(counting, s.moment.speed_m_per_s, s.controller.levels());
        }
        if let Some(recorder) = &mut self.recorder {
            // Read where it was just written, and copies: a reference to the loop's own numbers would keep them out of the
            // registers.
            L::enter(Recording {
                recorder,
                ride: self.metrics.newest(),
                seen: Seen {
                    time_s: s.time_s,
                    moment: s.moment,
                    levels: s.controller.levels(),
                    position: s.position,
                    heave_rate: s.rate.heave,
                    wheel_rate: if s.estimated.is_some() { s.rate.wheels } else { [L::zero(); C] },
                    estimated: s.estimated,
                    commands: s.commands,
                    arrived_a: s.arrived_a,
                },
            });
        }
    }
}

/// A sample into the time histories, apart from the loop.
struct Recording<'r, 's, L: Lane, const C: usize> {
    recorder: &'r mut Recorder<L, C>,
    ride: &'s RideSample<L, C>,
    seen: Seen<'s, L, C>,
}

impl<L: Lane, const C: usize> Work for Recording<'_, '_, L, C> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        self.recorder.sample(self.ride, &self.seen);
    }
}

/// What the metrics want to know of a sample.
#[inline(always)]
fn write_ride_sample<L: Lane, const C: usize>(to: &mut RideSample<L, C>, s: &Sample<'_, '_, L, C>, stops: bool) {
    to.heave_m = s.position.heave;
    to.heave_acceleration_m_per_s2 = s.acceleration.heave;
    // What a model does not have, and what no run meets, stays at rest.
    if s.plant.rolls {
        to.roll_rad = s.position.roll;
        to.roll_rate_rad_per_s = s.rate.roll;
        to.roll_acceleration_rad_per_s2 = s.acceleration.roll;
    }
    to.pitch_rad = s.position.pitch;
    to.pitch_rate_rad_per_s = s.rate.pitch;
    to.pitch_acceleration_rad_per_s2 = s.acceleration.pitch;
    to.seat_acceleration_m_per_s2 = s.plant.at_seat(s.acceleration);
    let (lateral, longitudinal) = (s.moment.lateral_m_per_s2, s.moment.longitudinal_m_per_s2);
    if s.moment.is_driven {
        to.lateral_acceleration_m_per_s2 = lateral;
        to.longitudinal_acceleration_m_per_s2 = longitudinal;
    }
    for_each!(c in C => {
        let (corner, command, to) = (&s.plant.corners[c], &s.commands[c], &mut to.corners[c]);
        to.deflection_m = s.plant.deflection(c, s.position);
        to.rate_m_per_s = s.corner_rate[c];
        to.wheel_load_n = s.forces[c].wheel_load_n;
        if s.moment.is_driven {
            to.quasi_static_load_n = s.plant.quasi_static_load(c, lateral, longitudinal);
        }
        to.damper_force_n = s.damper_n[c];
        to.stop_force_n = if stops { s.forces[c].stop_n + L::spread(corner.static_stop_n) } else { L::zero() };
        to.current_a = s.current_a[c];
        // As the controller saw it when it asked.
        let (soft_n, firm_n) = (command.reach.soft_n, command.reach.firm_n);
        to.delivery = Delivery::classify(command.wanted_n, command.corner_rate, soft_n, firm_n);
    });
}
