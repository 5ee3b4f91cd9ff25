//! The sampled controller: sensors in, commanded currents out, several runs side by side.
//!
//! Order within a sample: roughness and demand levels, gains from the maps, wanted force, inversion through the damper
//! table (limited to soft and firm end), end stop, floor, blending near standstill, slew.

use crate::calibration::{Calibration, Gains, Law, Settings, wanted_force};
use washboard_signal::Lane;
use washboard_signal::filter::{Cascade, DesignError, RiseFall, band_pass};
use washboard_signal::table::Place;

/// What the controller sees at a sample. Lever arms are calibration data: forward `x`, left `y` of the centre of gravity.
#[derive(Clone, Copy, Debug)]
pub struct Sensors<L, const C: usize> {
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
    fn reach(&self, corner: usize, corner_rate: L, wanted_n: L) -> Reach<L>;
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
    /// Wanted force at the wheel, N.
    pub wanted_n: L,
    /// What the damper could give.
    pub reach: Reach<L>,
}

/// Levels that choose the columns of the maps.
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
    wheels_on_axle: [f64; 2],
    held: Option<HeldLevels>,
    band: [Cascade<L, 2>; C],
    roughness: [RiseFall<L>; 2],
    lateral: RiseFall<L>,
    longitudinal: RiseFall<L>,
    blend_velocity_m_per_s: f64,
    slew_step_a: L,
    command: [L; C],
    levels: Levels<L>,
    laws: Laws,
}

/// Which laws are present in the lanes, so that the common case pays for itself only.
#[derive(Clone, Copy, Debug)]
struct Laws {
    only_continuous: bool,
    has_floor: bool,
    has_end_stop: bool,
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
        let band = band_pass::<2>(settings.roughness_low_hz, settings.roughness_high_hz, rate)?;
        let count = |axle: usize| axle_of.iter().filter(|&&a| a == axle).count() as f64;
        let laws = Laws {
            only_continuous: calibrations.iter().all(|c| c.law == Law::Continuous),
            has_floor: calibrations.iter().any(|c| c.floor.is_some()),
            has_end_stop: calibrations.iter().any(|c| c.end_stop.is_some()),
        };
        Ok(Controller {
            axle_of,
            wheels_on_axle: [count(0), count(1)],
            held,
            band: [Cascade::new(band); C],
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
        for c in 0..C {
            rectified[self.axle_of[c]] += self.band[c].step(sensors.wheel_acceleration[c]).abs();
        }
        for axle in 0..2 {
            if self.wheels_on_axle[axle] > 0.0 {
                let mean = rectified[axle] / L::splat(self.wheels_on_axle[axle]);
                self.levels.roughness[axle] = self.roughness[axle].step(mean);
            }
        }
        let larger = |measured: L, ahead: L| measured.abs().max(ahead.abs());
        self.levels.lateral = self.lateral.step(larger(sensors.lateral_m_per_s2, sensors.lateral_ahead_m_per_s2));
        self.levels.longitudinal =
            self.longitudinal.step(larger(sensors.longitudinal_m_per_s2, sensors.longitudinal_ahead_m_per_s2));
    }

    /// Gains of each axle before the rebound and compression scales.
    #[inline(always)]
    fn gains(&self, speed_m_per_s: L) -> [Gains<L>; 2] {
        let mut gains = [Gains::default(); 2];
        let at = |lane: usize, map: fn(&Calibration) -> &washboard_signal::table::Table, column: f64| {
            map(self.calibrations[lane]).at_held(speed_m_per_s.get(lane), column)
        };
        let roll = L::from_fn(|i| at(i, |c| &c.roll, self.levels.lateral.get(i)));
        let pitch = L::from_fn(|i| at(i, |c| &c.pitch, self.levels.longitudinal.get(i)));
        for (axle, g) in gains.iter_mut().enumerate() {
            if self.wheels_on_axle[axle] == 0.0 {
                continue;
            }
            let roughness = self.levels.roughness[axle];
            let scale = |f: fn(&crate::AxleScales) -> f64| L::from_fn(|i| f(&self.calibrations[i].axles[axle]));
            *g = Gains {
                heave: L::from_fn(|i| at(i, |c| &c.heave, roughness.get(i))) * scale(|s| s.heave),
                wheel: L::from_fn(|i| at(i, |c| &c.wheel, roughness.get(i))) * scale(|s| s.wheel),
                base: L::from_fn(|i| at(i, |c| &c.base, roughness.get(i))) * scale(|s| s.base),
                roll: roll * scale(|s| s.roll),
                pitch: pitch * scale(|s| s.pitch),
            };
        }
        gains
    }

    /// One sample of the law. Returns what each corner is commanded; it holds until the next sample.
    #[inline(always)]
    pub fn sample(&mut self, sensors: &Sensors<L, C>, inverse: &impl Inverse<L>) -> [CornerCommand<L>; C] {
        self.update_levels(sensors);
        let axle_gains = self.gains(sensors.speed_m_per_s);
        let zero = L::zero();
        let mut commands = [CornerCommand::default(); C];
        for c in 0..C {
            let axle = self.axle_of[c];
            let v = sensors.corner_rate[c];
            let mut g = axle_gains[axle];
            let direction = L::select(
                v.gt(zero),
                L::from_fn(|i| self.calibrations[i].axles[axle].rebound),
                L::from_fn(|i| self.calibrations[i].axles[axle].compression),
            );
            (g.heave, g.wheel, g.base) = (g.heave * direction, g.wheel * direction, g.base * direction);
            let wanted = wanted_force(
                &g,
                sensors.heave_rate,
                sensors.roll_part[c],
                sensors.pitch_part[c],
                sensors.wheel_rate[c],
                v,
            );
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
            commands[c] = CornerCommand { current_a: current, wanted_n: wanted, reach };
        }
        commands
    }

    /// The switching laws and the held damper, lane by lane.
    #[inline(always)]
    fn other_laws(&self, sensors: &Sensors<L, C>, corner: usize, wanted: L, continuous: L, soft: L, firm: L) -> L {
        let v = sensors.corner_rate[corner];
        let acceleration = sensors.body_acceleration[corner];
        let body_rate = sensors.heave_rate + sensors.roll_part[corner] + sensors.pitch_part[corner];
        L::from_fn(|i| {
            let (soft, firm) = (soft.get(i), firm.get(i));
            let firm_if = |agree: bool| if agree { firm } else { soft };
            let (a, w, v) = (acceleration.get(i), body_rate.get(i), v.get(i));
            match self.calibrations[i].law {
                Law::Continuous => continuous.get(i),
                Law::OnOff => firm_if(wanted.get(i) * v > 0.0),
                Law::AccelerationDriven => firm_if(a * v > 0.0),
                Law::Mixed { crossover_hz } => {
                    let crossover = std::f64::consts::TAU * crossover_hz;
                    let skyhook = a * a <= crossover * crossover * (w * w);
                    firm_if(if skyhook { wanted.get(i) * v > 0.0 } else { a * v > 0.0 })
                }
                Law::Held { firmness_share } => soft + (firm - soft) * firmness_share,
            }
        })
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

    #[inline(always)]
    fn least_current(&self, speed_m_per_s: L) -> L {
        L::from_fn(|i| {
            let c = self.calibrations[i];
            let least = c
                .floor
                .as_ref()
                .map_or(c.current_min_a, |f| f.at_held(speed_m_per_s.get(i), self.levels.lateral.get(i)));
            Lane::max(Lane::min(least, c.current_max_a), c.current_min_a)
        })
    }

    /// Where a lane is on its maps at this moment: heave, wheel, base, roll, pitch by index. The roughness maps are used
    /// once by each axle.
    #[inline(always)]
    pub fn places(&self, lane: usize, speed_m_per_s: f64, mut visit: impl FnMut(usize, Place, Place)) {
        let c = self.calibrations[lane];
        for (index, map) in [&c.heave, &c.wheel, &c.base].into_iter().enumerate() {
            let row = map.rows().place_held(speed_m_per_s);
            for axle in 0..2 {
                if self.wheels_on_axle[axle] > 0.0 {
                    let column = map.columns().place_held(self.levels.roughness[axle].get(lane));
                    visit(index, row, column);
                }
            }
        }
        for (index, map, level) in [(3, &c.roll, self.levels.lateral), (4, &c.pitch, self.levels.longitudinal)] {
            visit(index, map.rows().place_held(speed_m_per_s), map.columns().place_held(level.get(lane)));
        }
    }
}
