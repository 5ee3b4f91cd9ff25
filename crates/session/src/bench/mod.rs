//! Damper bench data made into a table: averaged over strokes, gas force and friction taken out, rebound positive.
//!
//! Pure reduction of numbers; reading a file is the program's. The steps, in their order:
//!
//! 1. rows of one current are gathered; currents that a bench holds scatter a little, and their mean counts;
//! 2. a force that drives the motion instead of resisting it is turned;
//! 3. rows of about one velocity are averaged over all strokes;
//! 4. a line through the slowest points of each direction, at the softest current, is carried to zero velocity: half the
//!    sum of both ends is the gas force (and any offset of the load cell), half their difference is the friction;
//! 5. which direction is rebound is told from the gas force, which pushes the rod out, and from rebound being the firmer
//!    direction (common practice, no source);
//! 6. the curves are read at common velocities, and what measuring noise broke is mended: forces of the wrong sign, forces
//!    that fall over velocity, damping that turns back over current. What is too far off to be noise is refused.

mod curves;
mod monotone;
mod taking;

pub use taking::taking;

use crate::{Damper, limits};
use curves::{Curve, Group};

/// Rows slower than this say nothing about damping, m/s: friction has any value at standstill.
pub const STANDSTILL_M_PER_S: f64 = 0.002;
/// The slowest point of each direction must not be faster than this for gas force and friction to be told, m/s.
pub const SLOW_M_PER_S: f64 = 0.12;
/// A step between currents wider than this begins a new current, A.
const CURRENT_STEP_A: f64 = 0.03;
/// A current that wanders further than this was not held, A.
const CURRENT_WANDER_A: f64 = 0.12;
/// A force at zero velocity larger than this tells the direction, N; a load cell may be off by as much.
const TELLING_FORCE_N: f64 = 30.0;
/// One direction this much firmer than the other tells the direction.
const TELLING_RATIO: f64 = 1.3;
/// Corrections up to this are noise, N; larger ones up to `NOISE_SHARE` of the largest force beside it.
const NOISE_N: f64 = 25.0;
const NOISE_SHARE: f64 = 0.05;

/// One row of a bench file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Velocity of the rod, m/s.
    pub velocity_m_per_s: f64,
    /// Force, N.
    pub force_n: f64,
    /// Current, A.
    pub current_a: f64,
}

/// What a positive velocity in the file means.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Direction {
    /// To be told from the data.
    #[default]
    FromData,
    /// The damper extends.
    Rebound,
    /// The damper shortens.
    Compression,
}

/// Why bench data cannot be made into a table; each a sentence that says what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[allow(missing_docs)]
pub enum BenchFault {
    #[error("Row {row}: {field} is {value}, but {bound}.")]
    Number { row: usize, field: &'static str, value: String, bound: String },
    #[error("There are no rows that move: at least one compression and one rebound speed are needed.")]
    Nothing,
    #[error("At {current_a} A there is only one direction of motion: compression and rebound are both needed.")]
    OneDirection { current_a: f64 },
    #[error("The current wanders from {low_a} to {high_a} A without a step: hold it while a stroke is measured.")]
    Wandering { low_a: f64, high_a: f64 },
    #[error("There are {count} currents, but a table holds at most {most}: measure at held currents.", most = limits::MOST_BREAKPOINTS)]
    TooManyCurrents { count: usize },
    #[error(
        "At {current_a} A and {velocity_m_per_s} m/s the force is {force_n} N with gas force and friction taken out, \
         so that it would drive the motion: check the zero of the load cell, or take these rows out of the file."
    )]
    Drives { current_a: f64, velocity_m_per_s: f64, force_n: f64 },
    #[error(
        "At {current_a} A the force falls from {before_n} N at {slower_m_per_s} m/s to {force_n} N at {velocity_m_per_s} m/s: \
         a damper does not get weaker as it moves faster; measure these strokes again, or take the rows out of the file."
    )]
    Falls { current_a: f64, slower_m_per_s: f64, velocity_m_per_s: f64, before_n: f64, force_n: f64 },
    #[error(
        "At {velocity_m_per_s} m/s the force goes from {before_n} N at {lower_a} A to {force_n} N at {current_a} A, against \
         the way it goes elsewhere: damping must grow or fall with current everywhere; check which rows belong to which current."
    )]
    TurnsBack { velocity_m_per_s: f64, lower_a: f64, current_a: f64, before_n: f64, force_n: f64 },
}

/// Rows of one current: velocity, m/s, and force, N.
pub type Points = Vec<[f64; 2]>;

/// A table made from bench data, with what was done on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduced {
    /// Velocities, m/s, rebound positive, zero among them.
    pub velocity_m_per_s: Vec<f64>,
    /// Currents, A.
    pub current_a: Vec<f64>,
    /// Forces, N: one row a velocity, one column a current.
    pub force_n: Vec<Vec<f64>>,
    /// The rows of the file as they were used, for each current: velocity (m/s, rebound positive) and force (N, gas force
    /// and friction taken out).
    pub points: Vec<Points>,
    /// Force at standstill that was taken out, N, rebound positive: a gas force is negative, for it pushes the rod out.
    pub gas_force_n: f64,
    /// Friction that was taken out, N.
    pub friction_n: f64,
    /// True where a positive velocity in the file is rebound.
    pub file_has_rebound_positive: bool,
    /// What was done, one sentence each.
    pub done: Vec<String>,
    /// What the engineer should look at, one sentence each.
    pub cautions: Vec<String>,
}

impl Reduced {
    /// The table as a damper without valve times.
    pub fn damper(&self, name: impl Into<String>) -> Damper {
        Damper {
            name: name.into(),
            velocity_m_per_s: self.velocity_m_per_s.clone(),
            current_a: self.current_a.clone(),
            force_n: self.force_n.clone(),
            dead_time_s: 0.0,
            rise_s: 0.0,
            fall_s: 0.0,
            friction_n: 0.0,
            friction_velocity_m_per_s: 0.01,
            supply_lost: None,
            temperature: None,
        }
    }
}

/// Makes a table from the rows of a bench file, in any order.
///
/// # Errors
/// If the rows cannot be made right; the fault says what to do.
pub fn reduce(samples: &[Sample], direction: Direction) -> Result<Reduced, BenchFault> {
    for (row, sample) in samples.iter().enumerate() {
        for (limit, value) in [
            (&limits::BENCH_VELOCITY, sample.velocity_m_per_s),
            (&limits::BENCH_FORCE, sample.force_n),
            (&limits::BENCH_CURRENT, sample.current_a),
        ] {
            if !limit.allows(value) {
                let value = crate::fault::with_unit(value, limit.unit);
                return Err(BenchFault::Number { row: row + 1, field: limit.label, value, bound: limit.bound() });
            }
        }
    }
    let (mut done, mut cautions) = (Vec::new(), Vec::new());
    let still = samples.iter().filter(|s| s.velocity_m_per_s.abs() < STANDSTILL_M_PER_S).count();
    let (current_a, mut rows) = by_current(samples)?;

    // A damper takes energy out of the motion; a bench that logs the force on itself has it the other way round.
    let power: f64 = rows.iter().flatten().map(|[v, f]| v * f).sum();
    if power < 0.0 {
        rows.iter_mut().flatten().for_each(|point| point[1] = -point[1]);
        done.push(
            "The force in the file drives the motion, so that it is the force on the bench: it was turned.".into(),
        );
    }
    let mut sides: Vec<[Curve; 2]> = Vec::new();
    for (points, &current) in rows.iter().zip(&current_a) {
        let both = [-1.0, 1.0].map(|sign| Curve::of(points, sign));
        if both.iter().any(Curve::is_empty) {
            return Err(BenchFault::OneDirection { current_a: current });
        }
        sides.push(both);
    }
    let groups = |side: usize| sides.iter().map(|both| both[side].groups().len()).max().unwrap_or(0);
    let moving = samples.len() - still;
    done.push(format!(
        "{moving} rows in any order became {}; rows of about one velocity were averaged over all strokes: up to {} and {} velocities in the two directions.",
        crate::fault::counted(current_a.len(), "current"),
        groups(0),
        groups(1),
    ));
    if still > 0 {
        done.push(format!(
            "{} slower than {STANDSTILL_M_PER_S} m/s left out: at standstill friction has any value.",
            if still == 1 { "1 row was".to_owned() } else { format!("{still} rows were") }
        ));
    }

    let middle = 0.5 * sides.iter().flatten().map(Curve::fastest).fold(f64::INFINITY, f64::min);
    let softest = softest(&sides, middle);
    let (mut gas_force_n, friction_n, is_known) = at_standstill(&sides[softest]);
    let firmness = |side: usize| sides.iter().map(|both| both[side].at(middle).abs()).sum::<f64>();
    let offset = gas_force_n;
    let (negative, positive) = (firmness(0) + offset * sides.len() as f64, firmness(1) - offset * sides.len() as f64);
    let positive_is_rebound = match direction {
        Direction::Rebound => true,
        Direction::Compression => false,
        Direction::FromData => told(gas_force_n, positive / negative.max(1.0), &mut done, &mut cautions),
    };
    if !positive_is_rebound {
        gas_force_n = -gas_force_n;
        for both in &mut sides {
            both.swap(0, 1);
            both.iter_mut().for_each(Curve::turn);
        }
        rows.iter_mut().flatten().for_each(|point| *point = [-point[0], -point[1]]);
        done.push("Velocity and force were turned, so that rebound is positive.".into());
    } else {
        done.push("Rebound is positive, as it was in the file.".into());
    }
    if is_known {
        done.push(format!(
            "At {} A, carried to standstill, gas and load-cell offset push the rod {} with {:.0} N, and friction is {friction_n:.0} N either way: both were taken out.",
            current_a[softest],
            if gas_force_n <= 0.0 { "out" } else { "in" },
            gas_force_n.abs(),
        ));
        if gas_force_n > TELLING_FORCE_N {
            cautions.push(format!(
                "The force at standstill pulls the rod in by {gas_force_n:.0} N, but gas pushes it out: check the direction, or the zero of the load cell."
            ));
        }
    } else {
        cautions.push(format!(
            "Gas force and friction are still in the curves: to tell them apart from damping, measure both directions below {SLOW_M_PER_S} m/s."
        ));
    }
    for both in &mut sides {
        both[0].shift(-gas_force_n + friction_n);
        both[1].shift(-gas_force_n - friction_n);
    }
    for [velocity, force] in rows.iter_mut().flatten() {
        *force -= gas_force_n + velocity.signum() * friction_n;
    }
    scatter(&sides, &current_a, &mut done);

    let compression = curves::common_velocities(sides.iter().map(|both| &both[0]), &mut done, "compression");
    let rebound = curves::common_velocities(sides.iter().map(|both| &both[1]), &mut done, "rebound");
    if compression.is_empty() || rebound.is_empty() {
        return Err(BenchFault::Nothing);
    }
    // Sizes of force, one row a speed, away from zero on each side.
    let sizes = |side: usize, speeds: &[f64]| -> Vec<Vec<f64>> {
        let sign = if side == 0 { -1.0 } else { 1.0 };
        speeds.iter().map(|&v| sides.iter().map(|both| sign * both[side].at(v)).collect()).collect()
    };
    let mut halves = [sizes(0, &compression), sizes(1, &rebound)];
    let is_firm_high = {
        let sum = |column: usize| halves.iter().flatten().map(|row| row[column]).sum::<f64>();
        sum(current_a.len() - 1) >= sum(0)
    };
    let mut mended = monotone::Mended::default();
    for (half, (speeds, sign)) in halves.iter_mut().zip([(&compression, -1.0), (&rebound, 1.0)]) {
        let axes = monotone::Axes { speeds, sign, current_a: &current_a, is_firm_high };
        monotone::mend(half, &axes, &mut mended)?;
    }
    mended.tell(&mut done);

    let tidy = |size: f64, sign: f64| if size == 0.0 { 0.0 } else { sign * (size * 10.0).round() / 10.0 };
    let [down, up] = &halves;
    let mut velocity_m_per_s: Vec<f64> = compression.iter().rev().map(|v| -v).collect();
    let mut force_n: Vec<Vec<f64>> =
        down.iter().rev().map(|row| row.iter().map(|&f| tidy(f, -1.0) + 0.0).collect()).collect();
    velocity_m_per_s.push(0.0);
    force_n.push(vec![0.0; current_a.len()]);
    velocity_m_per_s.extend(&rebound);
    force_n.extend(up.iter().map(|row| row.iter().map(|&f| tidy(f, 1.0) + 0.0).collect::<Vec<f64>>()));
    done.push(format!(
        "The table has {} velocities from {} to {} m/s and {}; it is 0 N at 0 m/s.",
        velocity_m_per_s.len(),
        velocity_m_per_s[0],
        velocity_m_per_s[velocity_m_per_s.len() - 1],
        crate::fault::counted(current_a.len(), "current"),
    ));
    Ok(Reduced {
        velocity_m_per_s,
        current_a,
        force_n,
        points: rows,
        gas_force_n: if is_known { gas_force_n } else { 0.0 },
        friction_n,
        file_has_rebound_positive: positive_is_rebound,
        done,
        cautions,
    })
}

/// Moving rows gathered by current, and the currents, rising.
fn by_current(samples: &[Sample]) -> Result<(Vec<f64>, Vec<Points>), BenchFault> {
    let mut moving: Vec<&Sample> = samples.iter().filter(|s| s.velocity_m_per_s.abs() >= STANDSTILL_M_PER_S).collect();
    moving.sort_by(|a, b| a.current_a.total_cmp(&b.current_a));
    if moving.is_empty() {
        return Err(BenchFault::Nothing);
    }
    let mut currents = Vec::new();
    let mut rows = Vec::new();
    for run in moving.chunk_by(|a, b| b.current_a - a.current_a <= CURRENT_STEP_A) {
        let (low_a, high_a) = (run[0].current_a, run[run.len() - 1].current_a);
        if high_a - low_a > CURRENT_WANDER_A {
            return Err(BenchFault::Wandering { low_a, high_a });
        }
        let mean = run.iter().map(|s| s.current_a).sum::<f64>() / run.len() as f64;
        // Two held currents are further apart than the rounding.
        currents.push((mean * 100.0).round() / 100.0 + 0.0);
        rows.push(run.iter().map(|s| [s.velocity_m_per_s, s.force_n]).collect());
    }
    if currents.len() > limits::MOST_BREAKPOINTS {
        return Err(BenchFault::TooManyCurrents { count: currents.len() });
    }
    Ok((currents, rows))
}

/// The current with the least force between both directions.
fn softest(sides: &[[Curve; 2]], speed: f64) -> usize {
    let span = |both: &[Curve; 2]| both[1].at(speed) - both[0].at(speed);
    (0..sides.len()).min_by(|&a, &b| span(&sides[a]).total_cmp(&span(&sides[b]))).unwrap_or(0)
}

/// Force and friction at zero velocity, and whether there were points slow enough to tell them.
fn at_standstill([down, up]: &[Curve; 2]) -> (f64, f64, bool) {
    if down.slowest() > SLOW_M_PER_S || up.slowest() > SLOW_M_PER_S {
        return (0.0, 0.0, false);
    }
    let (low, high) = (down.at_zero(), up.at_zero());
    (0.5 * (low + high), (0.5 * (high - low)).max(0.0), true)
}

/// Whether a positive velocity is rebound, told from the force at standstill and from the firmer direction.
fn told(force_n: f64, ratio: f64, done: &mut Vec<String>, cautions: &mut Vec<String>) -> bool {
    let by_gas = (force_n.abs() > TELLING_FORCE_N).then_some(force_n < 0.0);
    let by_firmness = if ratio > TELLING_RATIO {
        Some(true)
    } else if ratio < 1.0 / TELLING_RATIO {
        Some(false)
    } else {
        None
    };
    let word = |is_rebound: bool| if is_rebound { "rebound" } else { "compression" };
    match (by_gas, by_firmness) {
        (Some(gas), Some(firm)) if gas == firm => {
            done.push(format!(
                "A positive velocity in the file is {}: the force at standstill and the firmer direction agree.",
                word(gas)
            ));
            gas
        }
        (Some(gas), Some(firm)) => {
            cautions.push(format!(
                "The firmer direction says that a positive velocity in the file is {}, the force at standstill says {}: the first was believed. Choose the direction yourself if it is not so.",
                word(firm),
                word(gas)
            ));
            firm
        }
        (None, Some(firm)) => {
            done.push(format!("A positive velocity in the file is {}: rebound is the firmer direction.", word(firm)));
            firm
        }
        (Some(gas), None) => {
            done.push(format!(
                "A positive velocity in the file is {}: at standstill gas pushes the rod out.",
                word(gas)
            ));
            gas
        }
        (None, None) => {
            cautions.push(
                "The data do not tell which direction is rebound: a positive velocity was taken as rebound. Choose the direction yourself if it is not so.".into(),
            );
            true
        }
    }
}

/// Names the widest scatter of rows that were averaged.
fn scatter(sides: &[[Curve; 2]], current_a: &[f64], done: &mut Vec<String>) {
    let all = sides.iter().zip(current_a).flat_map(|(both, a)| {
        both.iter().zip([-1.0, 1.0]).flat_map(move |(curve, sign)| curve.groups().iter().map(move |g| (g, sign, *a)))
    });
    let widest: Option<(&Group, f64, f64)> = all.max_by(|a, b| a.0.scatter_n.total_cmp(&b.0.scatter_n));
    if let Some((group, sign, current)) = widest.filter(|(g, ..)| g.scatter_n >= 1.0) {
        done.push(format!(
            "Rows averaged into one point scatter by at most {:.0} N (standard deviation), at {current} A and {:.3} m/s.",
            group.scatter_n,
            sign * group.speed_m_per_s
        ));
    }
}
