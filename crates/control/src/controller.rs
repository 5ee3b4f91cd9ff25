//! The sampled controller: sensors in, commanded currents out, several runs side by side.
//!
//! Order within a sample: roughness and demand levels, gains from the maps, wanted force, inversion through the damper
//! table (limited to soft and firm end), end stop, floor, blending near standstill, slew.

use crate::calibration::{AxleScales, Calibration, Gains, Law, Settings, wanted_force};
use washboard_signal::filter::{BandPass, DesignError, RiseFall};
use washboard_signal::table::Table;
use washboard_signal::{Cells, Lane, for_each};

/// What the controller sees at a sample. Lever arms are calibration data: forward `x`, left `y` of the centre of gravity.
#[derive(Clone, Copy, Debug)]
pub struct Sensors<L, const C: usize> {
    /// False where no run changes its speed or is accelerated from start to end.
    pub is_driven: bool,
    /// Vehicle speed, m/s.
    pub speed_m_per_s: L,
    /// Lateral acceleration, m/s^2.
    pub lateral_m_per_s2: L,
    /// Longitudinal acceleration, m/s^2.
    pub longitudinal_m_per_s2: L,
    /// Lateral acceleration that steering tells ahead, m/s^2; the measured one where there is no lead.
    pub lateral_ahead_m_per_s2: L,
    /// Longitudinal acceleration that brake and drive tell ahead, m/s^2.
    pub longitudinal_ahead_m_per_s2: L,
    /// Body heave rate, m/s.
    pub heave_rate: L,
    /// `y * roll rate` at each corner, m/s.
    pub roll_part: [L; C],
    /// `-x * pitch rate` at each corner, m/s.
    pub pitch_part: [L; C],
    /// Body acceleration above each corner, m/s^2.
    pub body_acceleration: [L; C],
    /// Wheel rate, m/s.
    pub wheel_rate: [L; C],
    /// Wheel acceleration, m/s^2.
    pub wheel_acceleration: [L; C],
    /// Corner rate, m/s, positive in rebound.
    pub corner_rate: [L; C],
    /// Suspension deflection against the car as described, m, positive in rebound.
    pub ride_height: [L; C],
}

impl<L: Lane, const C: usize> Default for Sensors<L, C> {
    /// Everything at rest, standing.
    fn default() -> Self {
        Sensors {
            is_driven: false,
            speed_m_per_s: L::zero(),
            lateral_m_per_s2: L::zero(),
            longitudinal_m_per_s2: L::zero(),
            lateral_ahead_m_per_s2: L::zero(),
            longitudinal_ahead_m_per_s2: L::zero(),
            heave_rate: L::zero(),
            roll_part: [L::zero(); C],
            pitch_part: [L::zero(); C],
            body_acceleration: [L::zero(); C],
            wheel_rate: [L::zero(); C],
            wheel_acceleration: [L::zero(); C],
            corner_rate: [L::zero(); C],
            ride_height: [L::zero(); C],
        }
    }
}

/// What the damper of a corner can give: the inverse force table, seen from the wheel.
pub trait Inverse<L> {
    /// For a corner rate (m/s) and wanted force (N) at the wheel: the current (A) that gives it, and the forces (N, at the
    /// wheel) of soft and firm end.
    fn reach(&mut self, corner: usize, corner_rate: L, wanted_n: L) -> Reach<L>;
    /// Soft and firm end of a corner, A.
    fn ends(&self, corner: usize) -> (L, L);
}

/// Answer of the inverse force table.
#[derive(Clone, Copy, Debug, Default)]
pub struct Reach<L> {
    /// Current to command, A.
    pub current_a: L,
    /// Force at the soft end, N at the wheel.
    pub soft_n: L,
    /// Force at the firm end, N at the wheel.
    pub firm_n: L,
}

/// What happened at one corner in a sample.
#[derive(Clone, Copy, Debug, Default)]
pub struct CornerCommand<L> {
    /// Commanded current, A.
    pub current_a: L,
    /// Current asked before the slew limit: after law, ends, end stop, floor and blending, A.
    pub asked_a: L,
    /// Corner rate that the law saw, m/s.
    pub corner_rate: L,
    /// Wanted force at the wheel, N.
    pub wanted_n: L,
    /// What the damper could give.
    pub reach: Reach<L>,
}

/// Levels that choose the columns of the maps, as the speed chooses their rows: roughness those of heave, wheel and base,
/// the lateral demand those of roll and floor, the longitudinal one those of pitch.
#[derive(Clone, Copy, Debug, Default)]
pub struct Levels<L> {
    /// Roughness level of front and rear axle, m/s^2.
    pub roughness: [L; 2],
    /// Lateral demand, m/s^2.
    pub lateral: L,
    /// Longitudinal demand, m/s^2.
    pub longitudinal: L,
}

/// Levels given from outside, for responses at an operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldLevels {
    /// Road roughness level of both axles, m/s^2.
    pub roughness_m_per_s2: f64,
    /// Lateral demand, m/s^2.
    pub lateral_m_per_s2: f64,
    /// Longitudinal demand, m/s^2.
    pub longitudinal_m_per_s2: f64,
}

/// Controller of `L::WIDTH` runs with `C` corners each.
#[derive(Clone, Debug)]
pub struct Controller<'a, L: Lane, const C: usize> {
    calibrations: Vec<&'a Calibration>,
    axle_of: [usize; C],
    /// One over the number of wheels of each axle.
    share_of_wheel: [L::Number; 2],
    /// Axles that the model has.
    has_axle: [bool; 2],
    /// Heave, wheel and base map, read by each axle at its own roughness.
    by_roughness: [Cells<'a, L, 3>; 2],
    roll: Cells<'a, L, 1>,
    pitch: Cells<'a, L, 1>,
    /// What these two gave last, and whether they were read at all: where speed and demands stay, they stay.
    by_demand: [L; 2],
    began: bool,
    /// Least current; the map is absent, and `unless_floored` far below any limit, in lanes without one.
    floor: Cells<'a, L, 1>,
    unless_floored: L,
    scales: [Scales<L>; 2],
    /// Some scale of an axle is not one.
    scaled: [bool; 2],
    least_a: L,
    most_a: L,
    held: Option<HeldLevels>,
    band: [BandPass<L, 2>; C],
    roughness: [RiseFall<L>; 2],
    lateral: RiseFall<L>,
    longitudinal: RiseFall<L>,
    blend_velocity_m_per_s: f64,
    slew_step_a: L,
    command: [L; C],
    levels: Levels<L>,
    laws: Laws<L>,
}

/// Scales of one axle, lane by lane.
#[derive(Clone, Copy, Debug)]
struct Scales<L> {
    heave: L,
    wheel: L,
    base: L,
    roll: L,
    pitch: L,
    rebound: L,
    compression: L,
}

/// Which law each lane has, as ones and zeros with its own number, and which are present at all, so that the common case
/// pays for itself only.
#[derive(Clone, Copy, Debug)]
struct Laws<L> {
    only_continuous: bool,
    has_floor: bool,
    has_end_stop: bool,
    on_off: L,
    acceleration_driven: L,
    mixed: L,
    /// Square of the crossover's angular frequency.
    crossover_squared: L,
    held: L,
    firmness_share: L,
}

impl<L: Lane> Laws<L> {
    fn new(calibrations: &[&Calibration]) -> Self {
        let of_lanes = |value: fn(Law) -> f64| L::from_fn(|i| value(calibrations[i].law));
        let flag = |is: bool| if is { 1.0 } else { 0.0 };
        Laws {
            only_continuous: calibrations.iter().all(|c| c.law == Law::Continuous),
            has_floor: calibrations.iter().any(|c| c.floor.is_some()),
            has_end_stop: calibrations.iter().any(|c| c.end_stop.is_some()),
            on_off: L::from_fn(|i| flag(calibrations[i].law == Law::OnOff)),
            acceleration_driven: L::from_fn(|i| flag(calibrations[i].law == Law::AccelerationDriven)),
            mixed: L::from_fn(|i| flag(matches!(calibrations[i].law, Law::Mixed { .. }))),
            crossover_squared: of_lanes(|law| match law {
                Law::Mixed { crossover_hz } => (std::f64::consts::TAU * crossover_hz).powi(2),
                _ => 0.0,
            }),
            held: L::from_fn(|i| flag(matches!(calibrations[i].law, Law::Held { .. }))),
            firmness_share: of_lanes(|law| match law {
                Law::Held { firmness_share } => firmness_share,
                _ => 0.0,
            }),
        }
    }
}

impl<'a, L: Lane, const C: usize> Controller<'a, L, C> {
    /// At rest, every command at its soft end.
    ///
    /// `calibrations`: one a lane; `axle_of`: 0 front, 1 rear of each corner; `soft_a`: soft end of each corner.
    ///
    /// # Errors
    /// If the roughness band does not fit the sample rate.
    pub fn new(
        settings: &Settings,
        calibrations: Vec<&'a Calibration>,
        axle_of: [usize; C],
        soft_a: [L; C],
        held: Option<HeldLevels>,
    ) -> Result<Self, DesignError> {
        assert_eq!(calibrations.len(), L::WIDTH, "one calibration a lane");
        let rate = settings.sample_rate_hz;
        let step_s = 1.0 / rate;
        let band = BandPass::new((settings.roughness_low_hz, settings.roughness_high_hz), rate)?;
        let share = |axle: usize| match axle_of.iter().filter(|&&a| a == axle).count() {
            0 => 0.0,
            wheels => 1.0 / wheels as f64,
        };
        let of_lanes = |value: fn(&Calibration) -> f64| L::from_fn(|i| value(calibrations[i]));
        let scales = [0, 1].map(|axle| {
            let scale = |value: fn(&AxleScales) -> f64| L::from_fn(|i| value(&calibrations[i].axles[axle]));
            Scales {
                heave: scale(|s| s.heave),
                wheel: scale(|s| s.wheel),
                base: scale(|s| s.base),
                roll: scale(|s| s.roll),
                pitch: scale(|s| s.pitch),
                rebound: scale(|s| s.rebound),
                compression: scale(|s| s.compression),
            }
        });
        let map =
            |of: fn(&'a Calibration) -> Option<&'a Table>| Cells::new(calibrations.iter().map(|&c| [of(c)]).collect());
        let by_roughness: Cells<'a, L, 3> =
            Cells::new(calibrations.iter().map(|c| [Some(&c.heave), Some(&c.wheel), Some(&c.base)]).collect());
        let laws = Laws::new(&calibrations);
        Ok(Controller {
            axle_of,
            share_of_wheel: [0, 1].map(|axle| L::number(share(axle))),
            has_axle: [0, 1].map(|axle| share(axle) > 0.0),
            by_roughness: [by_roughness.clone(), by_roughness],
            roll: map(|c| Some(&c.roll)),
            pitch: map(|c| Some(&c.pitch)),
            by_demand: [L::zero(); 2],
            began: false,
            floor: map(|c| c.floor.as_ref()),
            scaled: [0, 1].map(|axle| calibrations.iter().any(|c| c.axles[axle] != AxleScales::NONE)),
            unless_floored: of_lanes(|c| if c.floor.is_some() { 0.0 } else { f64::NEG_INFINITY }),
            scales,
            least_a: of_lanes(|c| c.current_min_a),
            most_a: of_lanes(|c| c.current_max_a),
            held,
            band: [band; C],
            roughness: [RiseFall::new(step_s, settings.roughness_rise_s, settings.roughness_fall_s); 2],
            lateral: RiseFall::new(step_s, settings.lateral_s[0], settings.lateral_s[1]),
            longitudinal: RiseFall::new(step_s, settings.longitudinal_s[0], settings.longitudinal_s[1]),
            blend_velocity_m_per_s: settings.blend_velocity_m_per_s,
            slew_step_a: L::from_fn(|i| calibrations[i].slew_a_per_s * step_s),
            command: soft_a,
            levels: Levels::default(),
            laws,
            calibrations,
        })
    }

    /// Levels of the last sample.
    pub fn levels(&self) -> &Levels<L> {
        &self.levels
    }

    /// Roughness and demands from the sensors, or as held.
    #[inline(always)]
    fn update_levels(&mut self, sensors: &Sensors<L, C>) {
        if let Some(held) = self.held {
            self.levels = Levels {
                roughness: [L::splat(held.roughness_m_per_s2); 2],
                lateral: L::splat(held.lateral_m_per_s2),
                longitudinal: L::splat(held.longitudinal_m_per_s2),
            };
            return;
        }
        let mut rectified = [L::zero(); 2];
        for_each!(c in C => {
            let swing = self.band[c].step(sensors.wheel_acceleration[c]).abs();
            if self.axle_of[c] == 0 {
                rectified[0] += swing;
            } else {
                rectified[1] += swing;
            }
        });
        for axle in 0..2 {
            if self.has_axle[axle] {
                let mean = rectified[axle] * L::spread(self.share_of_wheel[axle]);
                self.levels.roughness[axle] = self.roughness[axle].step(mean);
            }
        }
        if !sensors.is_driven {
            // Both demands stay at the zero they began with.
            return;
        }
        let larger = |measured: L, ahead: L| measured.abs().max(ahead.abs());
        self.levels.lateral = self.lateral.step(larger(sensors.lateral_m_per_s2, sensors.lateral_ahead_m_per_s2));
        self.levels.longitudinal =
            self.longitudinal.step(larger(sensors.longitudinal_m_per_s2, sensors.longitudinal_ahead_m_per_s2));
    }

    /// What the maps over the demands give, roll and pitch: read where they may have changed.
    #[inline(always)]
    fn read_demands(&mut self, speed_m_per_s: L, is_driven: bool) {
        if is_driven || !self.began {
            self.began = true;
            self.by_demand = [
                self.roll.at_held(speed_m_per_s, self.levels.lateral)[0],
                self.pitch.at_held(speed_m_per_s, self.levels.longitudinal)[0],
            ];
        }
    }

    /// Gains of an axle before the rebound and compression scales.
    #[inline(always)]
    fn gains_of(&mut self, axle: usize, speed_m_per_s: L) -> Gains<L> {
        let [roll, pitch] = self.by_demand;
        let [heave, wheel, base] = self.by_roughness[axle].at_held(speed_m_per_s, self.levels.roughness[axle]);
        if !self.scaled[axle] {
            return Gains { heave, wheel, base, roll, pitch };
        }
        let scale = &self.scales[axle];
        Gains {
            heave: heave * scale.heave,
            wheel: wheel * scale.wheel,
            base: base * scale.base,
            roll: roll * scale.roll,
            pitch: pitch * scale.pitch,
        }
    }

    /// One sample of the law. `commands` becomes what each corner is commanded; it holds until the next sample.
    #[inline(always)]
    pub fn sample(
        &mut self,
        sensors: &Sensors<L, C>,
        inverse: &mut impl Inverse<L>,
        commands: &mut [CornerCommand<L>; C],
    ) {
        self.update_levels(sensors);
        self.read_demands(sensors.speed_m_per_s, sensors.is_driven);
        // Corners of an axle follow one another, and share their gains.
        let mut gains = self.gains_of(self.axle_of[0], sensors.speed_m_per_s);
        for_each!(c in C => {
            if c > 0 && self.axle_of[c] != self.axle_of[c - 1] {
                gains = self.gains_of(self.axle_of[c], sensors.speed_m_per_s);
            }
            commands[c] = self.command(c, gains, sensors, inverse);
        });
    }

    /// What one corner is commanded.
    #[inline(always)]
    fn command(
        &mut self,
        c: usize,
        mut g: Gains<L>,
        sensors: &Sensors<L, C>,
        inverse: &mut impl Inverse<L>,
    ) -> CornerCommand<L> {
        let zero = L::zero();
        let axle = self.axle_of[c];
        let v = sensors.corner_rate[c];
        if self.scaled[axle] {
            let direction = L::select(v.gt(zero), self.scales[axle].rebound, self.scales[axle].compression);
            (g.heave, g.wheel, g.base) = (g.heave * direction, g.wheel * direction, g.base * direction);
        }
        let wanted =
            wanted_force(&g, sensors.heave_rate, sensors.roll_part[c], sensors.pitch_part[c], sensors.wheel_rate[c], v);
        let reach = inverse.reach(c, v, wanted);
        let (soft, firm) = inverse.ends(c);
        let mut asked = reach.current_a;
        if !self.laws.only_continuous {
            asked = self.other_laws(sensors, c, wanted, asked, soft, firm);
        }
        if self.laws.has_end_stop {
            asked = self.near_the_end(sensors, c, asked, soft, firm);
        }
        let mut floor = soft;
        if self.laws.has_floor {
            let least = self.least_current(sensors.speed_m_per_s);
            asked = asked.max(least);
            floor = floor.max(least);
        }
        if self.blend_velocity_m_per_s > 0.0 {
            let share = (v.abs() / L::splat(self.blend_velocity_m_per_s)).min(L::splat(1.0));
            asked = floor + (asked - floor) * share;
        }
        let last = self.command[c];
        let current = asked.min(last + self.slew_step_a).max(last - self.slew_step_a);
        self.command[c] = current;
        CornerCommand { current_a: current, asked_a: asked, corner_rate: v, wanted_n: wanted, reach }
    }

    /// The switching laws and the held damper.
    #[inline(always)]
    fn other_laws(&self, sensors: &Sensors<L, C>, corner: usize, wanted: L, continuous: L, soft: L, firm: L) -> L {
        let zero = L::zero();
        let v = sensors.corner_rate[corner];
        let a = sensors.body_acceleration[corner];
        let w = sensors.heave_rate + sensors.roll_part[corner] + sensors.pitch_part[corner];
        let by_force = L::select(wanted.agrees(v), firm, soft);
        let by_acceleration = L::select(a.agrees(v), firm, soft);
        let is_slow = (self.laws.crossover_squared * (w * w)).ge(a * a);
        let mixed = L::select(is_slow, by_force, by_acceleration);
        let held = soft + (firm - soft) * self.laws.firmness_share;
        let mut asked = L::select(self.laws.on_off.gt(zero), by_force, continuous);
        asked = L::select(self.laws.acceleration_driven.gt(zero), by_acceleration, asked);
        asked = L::select(self.laws.mixed.gt(zero), mixed, asked);
        L::select(self.laws.held.gt(zero), held, asked)
    }

    /// The current asked, or as much more towards the firm end as the nearness of a stop asks.
    #[inline(always)]
    fn near_the_end(&self, sensors: &Sensors<L, C>, corner: usize, asked: L, soft: L, firm: L) -> L {
        let (height, v) = (sensors.ride_height[corner], sensors.corner_rate[corner]);
        let share = L::from_fn(|i| {
            let end_stop = &self.calibrations[i].end_stop;
            end_stop.map_or(0.0, |e| e.share(self.axle_of[corner], height.get(i), v.get(i)))
        });
        let least = soft + (firm - soft) * share;
        L::select(firm.ge(soft), asked.max(least), asked.min(least))
    }

    /// The floor of each lane within its limits; the lower limit where it has none.
    #[inline(always)]
    fn least_current(&mut self, speed_m_per_s: L) -> L {
        let [least] = self.floor.at_held(speed_m_per_s, self.levels.lateral);
        (least + self.unless_floored).min(self.most_a).max(self.least_a)
    }
}
