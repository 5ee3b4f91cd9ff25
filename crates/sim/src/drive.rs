//! What drives the loop: the road under every wheel and the car's own speed and accelerations, step by step.

use std::f64::consts::TAU;
use washboard_road::Input;
use washboard_signal::Lane;

/// What the runs meet at one plant step.
#[derive(Clone, Copy, Debug)]
pub struct Moment<L, const C: usize> {
    /// Road height m and rate m/s under each wheel.
    pub road: [(L, L); C],
    /// Vehicle speed, m/s.
    pub speed_m_per_s: L,
    /// Lateral acceleration, m/s^2.
    pub lateral_m_per_s2: L,
    /// Longitudinal acceleration, m/s^2.
    pub longitudinal_m_per_s2: L,
    /// Lateral and longitudinal acceleration that steering and pedals tell ahead, m/s^2.
    pub ahead_m_per_s2: [L; 2],
}

/// Gives the moments of consecutive plant steps, from step 0 on.
pub trait Drive<L, const C: usize> {
    /// The next moment.
    fn next(&mut self) -> Moment<L, C>;
}

/// Sampled events, one a lane.
#[derive(Clone, Debug)]
pub struct Roads<'a, const C: usize> {
    inputs: Vec<&'a Input>,
    places: [(usize, usize); C],
    lead: [usize; 2],
    step: usize,
}

impl<'a, const C: usize> Roads<'a, C> {
    /// One input a lane; `places` holds axle and side of each corner. Past the end of an input its last sample holds.
    pub fn new(inputs: Vec<&'a Input>, places: [(usize, usize); C]) -> Self {
        Roads { inputs, places, lead: [0; 2], step: 0 }
    }

    /// Steering and pedals tell lateral and longitudinal acceleration this many plant steps ahead.
    pub fn telling_ahead(mut self, lead_steps: [usize; 2]) -> Self {
        self.lead = lead_steps;
        self
    }
}

impl<L: Lane, const C: usize> Drive<L, C> for Roads<'_, C> {
    #[inline(always)]
    fn next(&mut self) -> Moment<L, C> {
        let n = self.step;
        self.step += 1;
        let road = std::array::from_fn(|c| {
            let (axle, side) = self.places[c];
            let read = |values: &[f64]| values.get(n).or(values.last()).copied().unwrap_or(0.0);
            (
                L::from_fn(|i| read(&self.inputs[i].wheels[axle][side].height_m)),
                L::from_fn(|i| read(&self.inputs[i].wheels[axle][side].rate_m_per_s)),
            )
        });
        let at = |i: usize| n.min(self.inputs[i].steps);
        let lateral = L::from_fn(|i| self.inputs[i].lateral_at(at(i)));
        let longitudinal = L::from_fn(|i| self.inputs[i].longitudinal_at(at(i)));
        let mut ahead_m_per_s2 = [lateral, longitudinal];
        if self.lead != [0; 2] {
            let later = |i: usize, k: usize| (n + self.lead[k]).min(self.inputs[i].steps);
            ahead_m_per_s2 = [
                L::from_fn(|i| self.inputs[i].lateral_at(later(i, 0))),
                L::from_fn(|i| self.inputs[i].longitudinal_at(later(i, 1))),
            ];
        }
        Moment {
            road,
            speed_m_per_s: L::from_fn(|i| self.inputs[i].speed_at(at(i))),
            lateral_m_per_s2: lateral,
            longitudinal_m_per_s2: longitudinal,
            ahead_m_per_s2,
        }
    }
}

/// Endless sines of constant velocity amplitude, one frequency a lane, for harmonic responses.
///
/// They grow over the first second, so that a rear axle that is already late in phase does not start with a jump.
#[derive(Clone, Debug)]
pub struct Sines<L, const C: usize> {
    amplitude_m: L,
    omega: L,
    /// Cosine and sine of the phase, turned by one step each time.
    turn: (L, L),
    phase: (L, L),
    /// Cosine and sine of the rear axle's lag.
    lag: [(L, L); C],
    speed_m_per_s: L,
    step: usize,
    ramp_steps: usize,
}

impl<L: Lane, const C: usize> Sines<L, C> {
    /// `late_s`: by how much each corner is later than the front axle.
    pub fn new(
        frequencies_hz: &[f64],
        velocity_amplitude_m_per_s: f64,
        speed_m_per_s: f64,
        late_s: [f64; C],
        step_s: f64,
    ) -> Self {
        let omega = L::from_fn(|i| TAU * frequencies_hz[i]);
        Sines {
            amplitude_m: L::splat(velocity_amplitude_m_per_s) / omega,
            omega,
            turn: (omega.map(|w| (w * step_s).cos()), omega.map(|w| (w * step_s).sin())),
            phase: (L::splat(1.0), L::zero()),
            lag: late_s.map(|t| (omega.map(|w| (w * t).cos()), omega.map(|w| (w * t).sin()))),
            speed_m_per_s: L::splat(speed_m_per_s),
            step: 0,
            ramp_steps: (1.0 / step_s).ceil() as usize,
        }
    }
}

impl<L: Lane, const C: usize> Drive<L, C> for Sines<L, C> {
    #[inline(always)]
    fn next(&mut self) -> Moment<L, C> {
        let (c0, s0) = self.phase;
        let share = (self.step as f64 / self.ramp_steps as f64).min(1.0);
        let grown = L::splat(share * share * (3.0 - 2.0 * share));
        let road = std::array::from_fn(|c| {
            let (cl, sl) = self.lag[c];
            // sin(wt - wl) and cos(wt - wl)
            let sine = s0 * cl - c0 * sl;
            let cosine = c0 * cl + s0 * sl;
            (self.amplitude_m * grown * sine, self.amplitude_m * self.omega * grown * cosine)
        });
        let (ct, st) = self.turn;
        self.phase = (c0 * ct - s0 * st, s0 * ct + c0 * st);
        self.step += 1;
        Moment {
            road,
            speed_m_per_s: self.speed_m_per_s,
            lateral_m_per_s2: L::zero(),
            longitudinal_m_per_s2: L::zero(),
            ahead_m_per_s2: [L::zero(); 2],
        }
    }
}
