//! All figures of a run in one accumulator that is fed once a step.
//!
//! It lets a few samples wait and then passes all of them through one small accumulator after the other, so that the state
//! of each stays in the registers on the way: storing it after every sample takes longer than computing it.

use crate::attitude::{Attitude, AttitudeFigures, Step};
use crate::band::{BandRms, BandSettings};
use crate::card::Scorecard;
use crate::corner::{Corner, StopGaps};
use crate::damper::Dampers;
use crate::dive::Dive;
use crate::impact::AfterShake;
use crate::lag::{Lag, Phase};
use crate::registry::MetricId;
use crate::sample::RideSample;
use crate::slow::{self, Slow};
use crate::sum::{Extremes, SquareSum, Squares};
use crate::transfer::Transfer;
use crate::vibration::Vibration;
use washboard_signal::Lane;
use washboard_signal::filter::{DesignError, Weighting, WeightingFilter};

/// What applies to a run.
#[derive(Clone, Copy, Debug)]
pub struct RideOptions<L, const C: usize> {
    /// Names of the corners, in the order of the samples; with four: front left, front right, rear left, rear right.
    pub corner_names: [&'static str; C],
    /// Static wheel loads, N.
    pub static_load_n: [L; C],
    /// Free travel to the stops of each corner.
    pub stop_gaps: [StopGaps<L>; C],
    /// The least and the largest rate of each corner that its damper's table goes to, m/s.
    pub table_m_per_s: [[f64; 2]; C],
    /// True if the model can roll.
    pub roll: bool,
    /// True if the model can pitch.
    pub pitch: bool,
    /// A lateral manoeuvre that ends in a steady roll angle; that is zero in lanes without.
    pub roll_step: Option<Step<L>>,
    /// A longitudinal manoeuvre that ends in a steady pitch angle; that is zero in lanes without.
    pub pitch_step: Option<Step<L>>,
    /// True if there is a lateral manoeuvre in any lane (load transfer between the axles).
    pub lateral: bool,
    /// True if a single obstacle is driven over in any lane (after-shake).
    pub obstacle: bool,
    /// When a lateral manoeuvre starts that ends steady or goes there and back, s (roll delay); infinity in lanes without.
    pub lateral_start_s: Option<L>,
    /// True if there is a longitudinal manoeuvre in any lane (dive and lift).
    pub longitudinal: bool,
    /// Distance of the wheels of an axle, m, mean of both axles (left-right difference).
    pub track_m: f64,
    /// Height of the seat above the roll axis, m.
    pub seat_above_roll_axis_m: L,
    /// Height of the seat above the centre of gravity, m.
    pub seat_above_cg_m: L,
    /// Height of the head above the roll axis, m, for head toss.
    pub head_above_roll_axis_m: Option<L>,
    /// Band edges.
    pub bands: BandSettings,
}

impl<L: Lane, const C: usize> RideOptions<L, C> {
    /// A run of heave only, without stops or manoeuvres; set the other fields as they apply.
    pub fn new(corner_names: [&'static str; C], static_load_n: [L; C]) -> Self {
        RideOptions {
            corner_names,
            static_load_n,
            stop_gaps: [StopGaps::default(); C],
            table_m_per_s: [[f64::NEG_INFINITY, f64::INFINITY]; C],
            roll: false,
            pitch: false,
            roll_step: None,
            pitch_step: None,
            lateral: false,
            obstacle: false,
            lateral_start_s: None,
            longitudinal: false,
            track_m: 0.0,
            seat_above_roll_axis_m: L::zero(),
            seat_above_cg_m: L::zero(),
            head_above_roll_axis_m: None,
            bands: BandSettings::default(),
        }
    }
}

/// Gathers the figures of a run.
#[derive(Clone, Debug)]
pub struct RideMetrics<L: Lane, const C: usize> {
    options: RideOptions<L, C>,
    step_s: f64,
    /// Samples that wait, how many they are, and whether they count.
    waiting: Box<[RideSample<L, C>; MOST_WAITING]>,
    are_waiting: usize,
    counting: bool,
    /// Samples taken, counted or not, without those that wait.
    taken: u64,
    /// Samples that counted.
    counted: u64,
    body: Body<L>,
    roll: Option<Angular<L>>,
    pitch: Option<Angular<L>>,
    corners: [Corner<L>; C],
    stops: [bool; C],
    damper: Dampers<L, C>,
    manoeuvres: Manoeuvres<L>,
    /// Means that counted, and whether those that wait do.
    slow_counted: u64,
    slow_counting: bool,
}

/// Samples that wait at most: with their hundred vectors they fit into the fastest cache.
const MOST_WAITING: usize = slow::MOST_SAMPLES;

/// Heave and seat.
#[derive(Clone, Copy, Debug)]
struct Body<L: Lane> {
    seat: Vibration<L>,
    squares: SquareSum<L>,
    extremes: Extremes<L>,
    /// Choppiness, secondary ride, wheel hop.
    bands: BandRms<L, 3>,
    /// Heave, heave acceleration, seat acceleration for the filters of low bands.
    slow: Slow<L, 3>,
    motion: BandRms<L, 1>,
    primary: BandRms<L, 1>,
    sickness: WeightedSquares<L>,
}

/// Roll or pitch.
#[derive(Clone, Copy, Debug)]
struct Angular<L: Lane> {
    attitude: Attitude<L>,
    acceleration: Squares<L>,
    secondary: BandRms<L, 1>,
    /// Angle and angular acceleration for the filters of low bands.
    slow: Slow<L, 2>,
    motion: BandRms<L, 1>,
    primary: BandRms<L, 1>,
    /// Angular acceleration through Wd: times a height it is the horizontal acceleration there.
    horizontal: WeightedSquares<L>,
}

/// What only some events have.
#[derive(Clone, Copy, Debug)]
struct Manoeuvres<L> {
    after_shake: AfterShake<L>,
    transfer: Transfer<L>,
    lateral_acceleration: L,
    lag: Option<Lag<L>>,
    phase: Phase<L>,
    dive: Dive<L>,
}

/// r.m.s. value after a weighting.
#[derive(Clone, Copy, Debug)]
struct WeightedSquares<L: Lane> {
    filter: WeightingFilter<L>,
    squares: SquareSum<L>,
}

impl<L: Lane> WeightedSquares<L> {
    fn new(weighting: Weighting, sample_rate_hz: f64) -> Result<Self, DesignError> {
        let filter = WeightingFilter::new(weighting.design(sample_rate_hz)?);
        Ok(WeightedSquares { filter, squares: SquareSum::default() })
    }

    #[inline(always)]
    fn take(&mut self, samples: impl Iterator<Item = L>, counting: bool) {
        let mut squares = self.squares;
        self.filter.take(samples, &mut squares);
        if counting {
            self.squares = squares;
        }
    }
}

impl<L: Lane, const C: usize> RideMetrics<L, C> {
    /// Nothing gathered yet.
    ///
    /// # Errors
    /// If the weighting or a band cannot be designed for the sample rate.
    pub fn new(sample_rate_hz: f64, options: RideOptions<L, C>) -> Result<Self, DesignError> {
        let slow_rate_hz = Slow::<L, 1>::new(sample_rate_hz).rate_hz(sample_rate_hz);
        let slow_band = |edges| BandRms::new([edges], slow_rate_hz);
        let bands = &options.bands;
        let angular = |present: bool, step: Option<Step<L>>| -> Result<Option<Angular<L>>, DesignError> {
            if !present {
                return Ok(None);
            }
            Ok(Some(Angular {
                attitude: Attitude::new(step),
                acceleration: Squares::default(),
                secondary: BandRms::new([bands.secondary_hz], sample_rate_hz)?,
                slow: Slow::new(sample_rate_hz),
                motion: slow_band(bands.body_motion_hz)?,
                primary: slow_band(bands.primary_hz)?,
                horizontal: WeightedSquares::new(Weighting::Wd, slow_rate_hz)?,
            }))
        };
        let mut rest = RideSample::default();
        for (corner, load_n) in rest.corners.iter_mut().zip(options.static_load_n) {
            corner.quasi_static_load_n = load_n;
        }
        Ok(RideMetrics {
            step_s: 1.0 / sample_rate_hz,
            waiting: Box::new([rest; MOST_WAITING]),
            are_waiting: 0,
            counting: false,
            taken: 0,
            counted: 0,
            body: Body {
                seat: Vibration::new(Weighting::Wk, sample_rate_hz)?,
                squares: SquareSum::default(),
                extremes: Extremes::default(),
                bands: BandRms::new([bands.choppy_hz, bands.secondary_hz, bands.wheel_hop_hz], sample_rate_hz)?,
                slow: Slow::new(sample_rate_hz),
                motion: slow_band(bands.body_motion_hz)?,
                primary: slow_band(bands.primary_hz)?,
                sickness: WeightedSquares::new(Weighting::Wf, slow_rate_hz)?,
            },
            roll: angular(options.roll, options.roll_step)?,
            pitch: angular(options.pitch, options.pitch_step)?,
            corners: [Corner::default(); C],
            stops: std::array::from_fn(|i| options.stop_gaps[i].any()),
            damper: Dampers::new(sample_rate_hz, options.table_m_per_s),
            manoeuvres: Manoeuvres {
                after_shake: AfterShake::default(),
                transfer: Transfer::default(),
                lateral_acceleration: L::zero(),
                lag: options.lateral_start_s.map(Lag::new),
                phase: Phase::default(),
                dive: Dive::default(),
            },
            slow_counted: 0,
            slow_counting: false,
            options,
        })
    }

    /// Samples that counted so far.
    pub fn counted(&self) -> u64 {
        self.counted + if self.counting { self.are_waiting as u64 } else { 0 }
    }

    /// The scorecard of a lane; empty if no sample counted.
    pub fn finish(&mut self, lane: usize) -> Scorecard {
        if self.are_waiting > 0 {
            self.take_all();
        }
        if self.body.slow.is_waiting() {
            self.take_means();
        }
        let mut card = Scorecard::new(&self.options.corner_names);
        if self.counted == 0 {
            return card;
        }
        let count = self.counted as f64;
        let last_s = (self.taken - 1) as f64 * self.step_s;
        self.body.finish(&mut card, lane, count);
        if self.slow_counted > 0 {
            self.finish_slow(&mut card, lane, count);
        }
        if self.options.obstacle {
            card.set_some(MetricId::AFTER_SHAKE, self.manoeuvres.after_shake.duration_s(lane, last_s));
        }
        if let Some(roll) = &self.roll {
            self.finish_roll(&mut card, roll, lane, count, last_s);
        }
        if let Some(pitch) = &self.pitch {
            card.set_one(MetricId::PITCH_ACCELERATION_RMS, pitch.acceleration.rms(lane, count));
            card.set_one(MetricId::SECONDARY_PITCH_ACCELERATION, pitch.secondary.rms(0, lane, count));
            if self.options.longitudinal
                && let Some((dive, lift)) = self.manoeuvres.dive.dive_and_lift_m(lane)
            {
                card.set_one(MetricId::DIVE, dive);
                card.set_one(MetricId::LIFT, lift);
            }
            set_attitude(&mut card, &PITCH, pitch.attitude.figures(lane, count, last_s, self.step_s));
        }
        self.finish_corners(&mut card, lane, count);
        self.damper.finish(&mut card, lane, count);
        card
    }

    fn finish_roll(&self, card: &mut Scorecard, roll: &Angular<L>, lane: usize, count: f64, last_s: f64) {
        let figures = roll.attitude.figures(lane, count, last_s, self.step_s);
        card.set_one(MetricId::SECONDARY_ROLL_ACCELERATION, roll.secondary.rms(0, lane, count));
        card.set_one(MetricId::ROLL_ACCELERATION_RMS, roll.acceleration.rms(lane, count));
        let lateral = self.manoeuvres.lateral_acceleration.get(lane);
        if self.options.lateral && lateral != 0.0 {
            card.set_some(MetricId::ROLL_GRADIENT, figures.steady_rad.map(|steady| steady / lateral));
        }
        set_attitude(card, &ROLL, figures);
        if self.options.track_m > 0.0 {
            let track = self.options.track_m;
            card.set_one(MetricId::LEFT_RIGHT_ACCELERATION_RMS, track * roll.acceleration.rms(lane, count));
            card.set_one(MetricId::LEFT_RIGHT_ACCELERATION_PEAK, track * roll.acceleration.peak(lane));
        }
        if let Some(lag) = &self.manoeuvres.lag {
            let steady = self.options.roll_step.and(figures.steady_rad);
            card.set_some(MetricId::ROLL_DELAY, lag.lag_s(lane, steady, self.step_s));
        }
        if let Some(height) = self.options.head_above_roll_axis_m {
            let height = height.get(lane).abs();
            card.set_one(MetricId::HEAD_TOSS_RMS, height * roll.acceleration.rms(lane, count));
            card.set_one(MetricId::HEAD_TOSS_PEAK, height * roll.acceleration.peak(lane));
        }
        if self.options.lateral {
            card.set_some(MetricId::FRONT_LOAD_TRANSFER_SHARE, self.manoeuvres.transfer.front_share(lane));
            if self.options.pitch {
                card.set_some(MetricId::ROLL_PITCH_PHASE, self.manoeuvres.phase.phase_rad(lane));
            }
        }
    }

    /// Figures of the low bands, and with those of the seat its total over the axes.
    fn finish_slow(&self, card: &mut Scorecard, lane: usize, count: f64) {
        let (body, slow) = (&self.body, self.slow_counted as f64);
        card.set_one(MetricId::BODY_MOTION_RMS, body.motion.rms(0, lane, slow));
        card.set_one(MetricId::PRIMARY_RIDE_ACCELERATION, body.primary.rms(0, lane, slow));
        // Root of the integral of the square: r.m.s. times the root of the duration.
        let sickness = body.sickness.squares.rms(lane, slow) * (count * self.step_s).sqrt();
        card.set_one(MetricId::MOTION_SICKNESS_DOSE, sickness);
        let mut axes = vec![(1.0, body.seat.rms(lane, count))];
        if let Some(roll) = &self.roll {
            let lateral = self.options.seat_above_roll_axis_m.get(lane).abs() * roll.horizontal.squares.rms(lane, slow);
            card.set_one(MetricId::ROLL_MOTION_RMS, roll.motion.rms(0, lane, slow));
            card.set_one(MetricId::PRIMARY_ROLL_ACCELERATION, roll.primary.rms(0, lane, slow));
            card.set_one(MetricId::WEIGHTED_LATERAL_ACCELERATION, lateral);
            axes.push((1.0, lateral));
        }
        if let Some(pitch) = &self.pitch {
            let longitudinal = self.options.seat_above_cg_m.get(lane).abs() * pitch.horizontal.squares.rms(lane, slow);
            card.set_one(MetricId::PITCH_MOTION_RMS, pitch.motion.rms(0, lane, slow));
            card.set_one(MetricId::PRIMARY_PITCH_ACCELERATION, pitch.primary.rms(0, lane, slow));
            card.set_one(MetricId::WEIGHTED_LONGITUDINAL_ACCELERATION, longitudinal);
            axes.push((1.0, longitudinal));
        }
        if axes.len() > 1 {
            card.set_one(MetricId::TOTAL_WEIGHTED_ACCELERATION, crate::series::total(&axes));
        }
    }

    fn finish_corners(&self, card: &mut Scorecard, lane: usize, count: f64) {
        let (corners, dt) = (&self.corners, self.step_s);
        card.set_corners(MetricId::WHEEL_LOAD_VARIATION_RMS, |i| Some(corners[i].load_variation_n(lane, count)));
        card.set_corners(MetricId::DYNAMIC_LOAD_COEFFICIENT, |i| {
            let load = self.options.static_load_n[i].get(lane);
            (load > 0.0).then(|| corners[i].load_variation_n(lane, count) / load)
        });
        card.set_corners(MetricId::LEAST_WHEEL_LOAD, |i| Some(corners[i].least_load_n(lane)));
        card.set_corners(MetricId::LIFT_TIME, |i| Some(corners[i].lift_time_s(lane, dt)));
        card.set_corners(MetricId::SUSPENSION_TRAVEL_RMS, |i| Some(corners[i].travel_rms_m(lane, count)));
        card.set_corners(MetricId::SUSPENSION_TRAVEL_PEAK, |i| Some(corners[i].travel_peak_m(lane)));
        card.set_corners(MetricId::COMPRESSION_PEAK, |i| Some(corners[i].compression_m(lane)));
        card.set_corners(MetricId::REBOUND_PEAK, |i| Some(corners[i].rebound_m(lane)));
        let gaps = &self.options.stop_gaps;
        card.set_corners(MetricId::TRAVEL_USED_SHARE, |i| corners[i].travel_used_share(lane, &gaps[i]));
        card.set_corners(MetricId::BUMP_STOP_TIME, |i| gaps[i].bump_m.map(|_| corners[i].bump_time_s(lane, dt)));
        card.set_corners(MetricId::REBOUND_STOP_TIME, |i| {
            gaps[i].rebound_m.map(|_| corners[i].rebound_time_s(lane, dt))
        });
        card.set_corners(MetricId::BUMP_STOP_CONTACTS, |i| gaps[i].bump_m.map(|_| corners[i].bump_contacts(lane)));
        card.set_corners(MetricId::REBOUND_STOP_CONTACTS, |i| {
            gaps[i].rebound_m.map(|_| corners[i].rebound_contacts(lane))
        });
        card.set_corners(MetricId::STOP_ENERGY, |i| self.stops[i].then(|| corners[i].stop_energy_j(lane, dt)));
        card.set_corners(MetricId::MEAN_CURRENT, |i| Some(corners[i].mean_current_a(lane, count)));
        card.set_corners(MetricId::DAMPER_POWER, |i| Some(corners[i].mean_power_w(lane, count)));
    }
}

impl<L: Lane> Body<L> {
    fn finish(&self, card: &mut Scorecard, lane: usize, count: f64) {
        card.set_one(MetricId::BODY_ACCELERATION_RMS, self.squares.rms(lane, count));
        card.set_one(MetricId::BODY_ACCELERATION_PEAK_TO_PEAK, self.extremes.span(lane));
        card.set_one(MetricId::WEIGHTED_ACCELERATION, self.seat.rms(lane, count));
        card.set_one(MetricId::VIBRATION_DOSE, self.seat.dose(lane));
        card.set_one(MetricId::MTVV, self.seat.running_maximum(lane));
        card.set_some(MetricId::CREST_FACTOR, self.seat.crest_factor(lane, count));
        card.set_one(MetricId::CHOPPY_ACCELERATION, self.bands.rms(0, lane, count));
        card.set_one(MetricId::SECONDARY_RIDE_ACCELERATION, self.bands.rms(1, lane, count));
        card.set_one(MetricId::WHEEL_HOP_ACCELERATION, self.bands.rms(2, lane, count));
    }
}

/// Where the figures of an angle go.
struct AttitudeIds {
    peak: MetricId,
    rate_peak: MetricId,
    rate_rms: MetricId,
    steady: MetricId,
    overshoot: MetricId,
    settling: MetricId,
}

const ROLL: AttitudeIds = AttitudeIds {
    peak: MetricId::ROLL_PEAK,
    rate_peak: MetricId::ROLL_RATE_PEAK,
    rate_rms: MetricId::ROLL_RATE_RMS,
    steady: MetricId::ROLL_STEADY,
    overshoot: MetricId::ROLL_OVERSHOOT_SHARE,
    settling: MetricId::ROLL_SETTLING,
};

const PITCH: AttitudeIds = AttitudeIds {
    peak: MetricId::PITCH_PEAK,
    rate_peak: MetricId::PITCH_RATE_PEAK,
    rate_rms: MetricId::PITCH_RATE_RMS,
    steady: MetricId::PITCH_STEADY,
    overshoot: MetricId::PITCH_OVERSHOOT_SHARE,
    settling: MetricId::PITCH_SETTLING,
};

fn set_attitude(card: &mut Scorecard, ids: &AttitudeIds, figures: AttitudeFigures) {
    card.set_one(ids.peak, figures.peak_rad);
    card.set_one(ids.rate_peak, figures.rate_peak_rad_per_s);
    card.set_one(ids.rate_rms, figures.rate_rms_rad_per_s);
    card.set_some(ids.steady, figures.steady_rad);
    card.set_some(ids.overshoot, figures.overshoot_share);
    card.set_some(ids.settling, figures.settling_s);
}

mod take;
#[cfg(test)]
mod tests;
