//! What drives the loop: the road under every wheel and the car's own speed and accelerations, step by step.

use std::f64::consts::TAU;
use washboard_road::Input;
use washboard_signal::{Lane, Work, each, fetch};

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
    /// Mean of it over the step around this moment, which pushes the car, m/s^2.
    pub mean_longitudinal_m_per_s2: L,
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
            mean_longitudinal_m_per_s2: L::zero(),
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

/// Samples are asked for so far ahead: some microseconds.
const FORESEEN: usize = 4 * AHEAD;

/// Most runs side by side.
const MOST_LANES: usize = 16;

/// One channel of sampled events, a lane each. Past the end of a lane its last sample holds; what is empty is zero.
#[derive(Clone, Debug)]
struct Channel<'a> {
    /// Lane after lane; a single one where all lanes have the same.
    samples: Vec<&'a [f64]>,
    /// Read so many steps ahead.
    lead: usize,
    /// From here on a lane that changes ends.
    ends_at: usize,
    /// What holds in each lane where its samples do not reach.
    held: Vec<[f64; AHEAD]>,
}

impl<'a> Channel<'a> {
    fn new(inputs: &[&'a Input], lead: usize, of: impl Fn(&'a Input) -> &'a [f64]) -> Self {
        let mut samples: Vec<&[f64]> = inputs.iter().map(|input| of(input)).collect();
        if samples.iter().all(|lane| std::ptr::eq(*lane, samples[0])) {
            samples.truncate(1);
        }
        Channel {
            lead,
            ends_at: samples.iter().map(|lane| lane.len()).filter(|&length| length > 1).min().unwrap_or(usize::MAX),
            held: samples.iter().map(|lane| beyond(lane, 0)).collect(),
            samples,
        }
    }

    /// True if it never changes in any lane.
    fn is_constant(&self) -> bool {
        self.samples.iter().all(|lane| lane.len() <= 1)
    }

    /// The samples from a step on, lane beside lane.
    #[inline(always)]
    fn at_step<L: Lane>(&mut self, step: usize) -> [L; AHEAD] {
        let from = step + self.lead;
        if from.saturating_add(AHEAD) > self.ends_at {
            self.hold(from);
        }
        let row = |lane: usize| {
            let here = self.samples[lane].get(from..from + AHEAD).and_then(|row| row.try_into().ok());
            here.unwrap_or(&self.held[lane])
        };
        if self.samples.len() == 1 {
            return row(0).map(L::splat);
        }
        let mut rows = [&[0.0; AHEAD]; MOST_LANES];
        for lane in 0..L::WIDTH {
            rows[lane] = row(lane);
            // So many streams side by side are more than a processor foresees.
            if let Some(later) = self.samples[lane].get(from + FORESEEN) {
                fetch(later);
            }
        }
        L::columns(&rows)
    }

    #[inline(never)]
    fn hold(&mut self, from: usize) {
        for (held, lane) in self.held.iter_mut().zip(&self.samples) {
            *held = beyond(lane, from);
        }
    }
}

/// The samples of a lane from one on that may lie at its end or beyond.
fn beyond(samples: &[f64], from: usize) -> [f64; AHEAD] {
    let last = samples.last().copied().unwrap_or(0.0);
    std::array::from_fn(|s| samples.get(from + s).copied().unwrap_or(last))
}

/// Sampled events, one a lane.
///
/// Their samples lie run by run; a few steps at a time are put lane beside lane.
#[derive(Clone, Debug)]
pub struct Roads<'a, L, const C: usize> {
    /// Height and rate under each wheel, absent where it is flat in every lane.
    wheels: [Option<[Channel<'a>; 2]>; C],
    /// Speed, lateral, longitudinal acceleration, mean of the latter, and both accelerations told ahead ([`of_car`]).
    car: [Channel<'a>; 6],
    step: usize,
    /// The next steps.
    moments: Box<[Moment<L, C>; AHEAD]>,
}

/// A channel of the car, in the order of [`Roads::car`].
#[inline(always)]
fn of_car<L: Lane, const C: usize>(moment: &mut Moment<L, C>, channel: usize) -> &mut L {
    match channel {
        0 => &mut moment.speed_m_per_s,
        1 => &mut moment.lateral_m_per_s2,
        2 => &mut moment.longitudinal_m_per_s2,
        3 => &mut moment.mean_longitudinal_m_per_s2,
        4 => &mut moment.ahead_m_per_s2[0],
        _ => &mut moment.ahead_m_per_s2[1],
    }
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
        let car = |of: fn(&Input) -> &[f64]| Channel::new(&inputs, 0, of);
        let [speed, lateral, longitudinal, mean] = [
            car(|input| &input.speed_m_per_s),
            car(|input| &input.lateral_m_per_s2),
            car(|input| &input.longitudinal_m_per_s2),
            car(Input::pushing_m_per_s2),
        ];
        let at_rest = Moment { is_driven: !inputs.iter().all(is_steady), ..Moment::at_rest() };
        let mut roads = Roads {
            wheels: places.map(|(axle, side)| {
                let rates = Channel::new(&inputs, 0, |input| &input.wheels[axle][side].rate_m_per_s);
                let heights = Channel::new(&inputs, 0, |input| &input.wheels[axle][side].height_m);
                let is_flat = inputs.iter().all(|input| input.wheels[axle][side].is_flat());
                (!is_flat).then_some([heights, rates])
            }),
            car: [speed, lateral.clone(), longitudinal.clone(), mean, lateral, longitudinal],
            step: 0,
            moments: Box::new([at_rest; AHEAD]),
        };
        for channel in 0..roads.car.len() {
            roads.fill_car(channel);
        }
        roads
    }

    /// Steering and pedals tell lateral and longitudinal acceleration this many plant steps ahead.
    pub fn telling_ahead(mut self, lead_steps: [usize; 2]) -> Self {
        (self.car[4].lead, self.car[5].lead) = (lead_steps[0], lead_steps[1]);
        self
    }

    /// Puts the next steps lane beside lane. What is flat or constant stays as it was at the beginning.
    #[inline(always)]
    fn fill(&mut self) {
        for c in 0..C {
            if let Some([heights, rates]) = &mut self.wheels[c] {
                let (heights, rates): ([L; AHEAD], [L; AHEAD]) = (heights.at_step(self.step), rates.at_step(self.step));
                for s in 0..AHEAD {
                    self.moments[s].road[c] = (heights[s], rates[s]);
                }
            }
        }
        if self.moments[0].is_driven {
            for channel in 0..self.car.len() {
                if !self.car[channel].is_constant() {
                    self.fill_car(channel);
                }
            }
        }
    }

    #[inline(always)]
    fn fill_car(&mut self, channel: usize) {
        let values: [L; AHEAD] = self.car[channel].at_step(self.step);
        for s in 0..AHEAD {
            *of_car(&mut self.moments[s], channel) = values[s];
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_road::WheelInput;
    use washboard_signal::Lanes;

    const PLACES: [(usize, usize); 2] = [(0, 0), (1, 0)];
    const LEAD: [usize; 2] = [3, 50];

    /// An event whose every channel tells where it is read.
    fn event(steps: usize, k: f64, driven: bool) -> Input {
        let channel = |size: f64| (0..=steps).map(|i| k + size * i as f64).collect::<Vec<f64>>();
        let wheel = |size: f64| WheelInput { height_m: channel(size).into(), rate_m_per_s: channel(-size).into() };
        Input {
            step_s: 0.001,
            steps,
            wheels: [[wheel(0.1), WheelInput::flat()], [wheel(0.2), WheelInput::flat()]],
            speed_m_per_s: if driven { channel(3.0) } else { vec![k] },
            lateral_m_per_s2: if driven { channel(5.0) } else { Vec::new() },
            longitudinal_m_per_s2: if driven { channel(7.0) } else { Vec::new() },
            mean_longitudinal_m_per_s2: if driven { channel(11.0) } else { Vec::new() },
        }
    }

    /// What a lane should meet at a step, looked up sample by sample.
    fn expected(input: &Input, step: usize) -> Vec<f64> {
        let at = |ahead: usize| (step + ahead).min(input.steps);
        let wheels = PLACES.iter().flat_map(|&(axle, side)| {
            let wheel = &input.wheels[axle][side];
            [&wheel.height_m, &wheel.rate_m_per_s].map(|channel| channel.get(at(0)).copied().unwrap_or(0.0))
        });
        let pushing = input.pushing_m_per_s2().get(at(0)).copied().unwrap_or(0.0);
        let car = [input.speed_at(at(0)), input.lateral_at(at(0)), input.longitudinal_at(at(0)), pushing];
        let ahead = [input.lateral_at(at(LEAD[0])), input.longitudinal_at(at(LEAD[1]))];
        wheels.chain(car).chain(ahead).collect()
    }

    fn met<L: Lane>(moment: &Moment<L, 2>, lane: usize) -> Vec<f64> {
        let road = moment.road.iter().flat_map(|(height, rate)| [height, rate]);
        let accelerations =
            [&moment.lateral_m_per_s2, &moment.longitudinal_m_per_s2, &moment.mean_longitudinal_m_per_s2];
        let car = std::iter::once(&moment.speed_m_per_s).chain(accelerations);
        road.chain(car).chain(&moment.ahead_m_per_s2).map(|x| x.get(lane)).collect()
    }

    #[test]
    fn every_lane_meets_its_own_event_up_to_its_end_and_beyond() {
        let flat = Input {
            wheels: std::array::from_fn(|_| [WheelInput::flat(), WheelInput::flat()]),
            ..event(90, 4.0, false)
        };
        let events = [event(101, 1.0, true), event(64, 2.0, false), flat, event(100, 3.0, false)];
        for lanes in [[0, 1, 2, 3], [1, 1, 3, 3], [0, 0, 0, 0], [1, 1, 1, 1], [2, 2, 2, 2]] {
            let inputs = lanes.map(|i| &events[i]);
            let mut wide = Roads::<Lanes<4>, 2>::new(inputs.to_vec(), PLACES).telling_ahead(LEAD);
            let mut narrow = inputs.map(|input| Roads::<f64, 2>::new(vec![input], PLACES).telling_ahead(LEAD));
            for step in 0..130 {
                let moment = wide.next();
                assert_eq!(moment.is_driven, lanes.contains(&0));
                for lane in 0..4 {
                    let want = expected(inputs[lane], step);
                    assert_eq!(met(moment, lane), want, "step {step}, lane {lane} of {lanes:?}");
                    assert_eq!(met(narrow[lane].next(), 0), want, "alone, step {step}, lane {lane} of {lanes:?}");
                }
            }
        }
    }
}
