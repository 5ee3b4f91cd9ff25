//! What drives the loop: the road under every wheel and the car's own speed and accelerations, step by step.

use std::f64::consts::TAU;
use washboard_road::Input;
use washboard_signal::{Lane, Work, each};

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
    /// False where no run changes its speed or is accelerated from start to end: then that need not be computed.
    pub is_driven: bool,
}

impl<L: Lane, const C: usize> Moment<L, C> {
    /// Standing on a flat road.
    pub fn at_rest() -> Self {
        Moment {
            road: [(L::zero(), L::zero()); C],
            speed_m_per_s: L::zero(),
            lateral_m_per_s2: L::zero(),
            longitudinal_m_per_s2: L::zero(),
            ahead_m_per_s2: [L::zero(); 2],
            is_driven: false,
        }
    }
}

/// Gives the moments of consecutive plant steps, from step 0 on.
pub trait Drive<L, const C: usize> {
    /// The next moment.
    fn next(&mut self) -> &Moment<L, C>;
}

/// Plant steps of road that lie ready lane beside lane.
const AHEAD: usize = 8;

/// Sampled events, one a lane.
///
/// Their samples lie run by run; a few steps at a time are put lane beside lane.
#[derive(Clone, Debug)]
pub struct Roads<'a, L, const C: usize> {
    inputs: Vec<&'a Input>,
    places: [(usize, usize); C],
    lead: [usize; 2],
    /// True where all lanes drive the same event.
    shared: bool,
    /// True where speed or accelerations change.
    varies: bool,
    step: usize,
    /// The next steps.
    moments: Box<[Moment<L, C>; AHEAD]>,
    /// Heights and rates of the next steps, lane after lane.
    rows: [Vec<[f64; AHEAD]>; 2],
}

impl<'a, L: Lane, const C: usize> Roads<'a, L, C> {
    /// One input a lane; `places` holds axle and side of each corner. Past the end of an input its last sample holds.
    ///
    /// # Panics
    /// If there is not one input a lane: a fault of the caller.
    pub fn new(inputs: Vec<&'a Input>, places: [(usize, usize); C]) -> Self {
        assert_eq!(inputs.len(), L::WIDTH, "one input a lane");
        let is_steady = |i: &&Input| {
            i.speed_m_per_s.len() == 1 && i.lateral_m_per_s2.is_empty() && i.longitudinal_m_per_s2.is_empty()
        };
        let mut roads = Roads {
            shared: inputs.iter().all(|i| std::ptr::eq(*i, inputs[0])),
            varies: !inputs.iter().all(is_steady),
            lead: [0; 2],
            step: 0,
            moments: Box::new([Moment::at_rest(); AHEAD]),
            rows: [vec![[0.0; AHEAD]; L::WIDTH], vec![[0.0; AHEAD]; L::WIDTH]],
            inputs,
            places,
        };
        roads.fill_car();
        roads
    }

    /// Steering and pedals tell lateral and longitudinal acceleration this many plant steps ahead.
    pub fn telling_ahead(mut self, lead_steps: [usize; 2]) -> Self {
        self.lead = lead_steps;
        self.fill_car();
        self
    }

    /// Puts the next steps lane beside lane.
    #[inline(always)]
    fn fill(&mut self) {
        for c in 0..C {
            let (axle, side) = self.places[c];
            if self.inputs.iter().all(|input| input.wheels[axle][side].is_flat()) {
                // Stays at the zeros it began with.
                continue;
            }
            for lane in 0..if self.shared { 1 } else { L::WIDTH } {
                let wheel = &self.inputs[lane].wheels[axle][side];
                let rows = (ahead(&wheel.height_m, self.step), ahead(&wheel.rate_m_per_s, self.step));
                (self.rows[0][lane], self.rows[1][lane]) = rows;
            }
            let (heights, rates): ([L; AHEAD], [L; AHEAD]) = if self.shared {
                (self.rows[0][0].map(L::splat), self.rows[1][0].map(L::splat))
            } else {
                (L::columns(&self.rows[0]), L::columns(&self.rows[1]))
            };
            for s in 0..AHEAD {
                self.moments[s].road[c] = (heights[s], rates[s]);
            }
        }
        if self.varies {
            self.fill_car();
        }
    }

    #[inline(never)]
    fn fill_car(&mut self) {
        for (s, moment) in self.moments.iter_mut().enumerate() {
            moment.is_driven = self.varies;
            for (lane, input) in self.inputs.iter().enumerate() {
                let at = |ahead: usize| (self.step + s + ahead).min(input.steps);
                moment.speed_m_per_s.set(lane, input.speed_at(at(0)));
                moment.lateral_m_per_s2.set(lane, input.lateral_at(at(0)));
                moment.longitudinal_m_per_s2.set(lane, input.longitudinal_at(at(0)));
                moment.ahead_m_per_s2[0].set(lane, input.lateral_at(at(self.lead[0])));
                moment.ahead_m_per_s2[1].set(lane, input.longitudinal_at(at(self.lead[1])));
            }
        }
    }
}

/// The next samples of a channel; past its end the last one holds.
#[inline(always)]
fn ahead(values: &[f64], from: usize) -> [f64; AHEAD] {
    match values.get(from..from + AHEAD).and_then(|now| now.try_into().ok()) {
        Some(now) => now,
        None => ahead_of_the_end(values, from),
    }
}

#[inline(never)]
fn ahead_of_the_end(values: &[f64], from: usize) -> [f64; AHEAD] {
    let last = values.last().copied().unwrap_or(0.0);
    std::array::from_fn(|s| values.get(from + s).copied().unwrap_or(last))
}

/// Puts the next steps lane beside lane, apart from the time loop.
struct Filling<'r, 'a, L, const C: usize>(&'r mut Roads<'a, L, C>);

impl<L: Lane, const C: usize> Work for Filling<'_, '_, L, C> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        self.0.fill();
    }
}

impl<L: Lane, const C: usize> Drive<L, C> for Roads<'_, L, C> {
    #[inline(always)]
    fn next(&mut self) -> &Moment<L, C> {
        let at = self.step % AHEAD;
        if at == 0 {
            L::enter(Filling(self));
        }
        self.step += 1;
        &self.moments[at]
    }
}

/// Endless sines of constant velocity amplitude, one frequency a lane, for harmonic responses.
#[derive(Clone, Debug)]
pub struct Sines<L, const C: usize> {
    amplitude_m: L,
    omega: L,
    /// Cosine and sine of the phase, turned by one step each time.
    turn: (L, L),
    phase: (L, L),
    /// Cosine and sine of the rear axle's lag.
    lag: [(L, L); C],
    moment: Moment<L, C>,
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
            moment: Moment { speed_m_per_s: L::splat(speed_m_per_s), ..Moment::at_rest() },
        }
    }
}

impl<L: Lane, const C: usize> Drive<L, C> for Sines<L, C> {
    #[inline(always)]
    fn next(&mut self) -> &Moment<L, C> {
        let (c0, s0) = self.phase;
        let velocity = self.amplitude_m * self.omega;
        self.moment.road = each!(c in C => {
            let (cl, sl) = self.lag[c];
            // sin(wt - wl) and cos(wt - wl)
            (self.amplitude_m * (s0 * cl - c0 * sl), velocity * (c0 * cl + s0 * sl))
        });
        let (ct, st) = self.turn;
        self.phase = (c0 * ct - s0 * st, s0 * ct + c0 * st);
        &self.moment
    }
}
