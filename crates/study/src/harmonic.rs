//! The fundamental of every channel on sines: least squares of a mean, a cosine and a sine over whole periods, until two
//! windows agree.
//!
//! Every lane keeps its own time: it settles, closes its windows and is done independently of what runs beside it. From a
//! few hertz on a window is weighted after Hann, which keeps the body's dying free motion out of it; below, where that would
//! take many periods, it is one plain period that slides on in parts of a period.
//!
//! On high frequencies a law can keep the body's free motion going: the currents come too late for the sine, and what is
//! left of them drives the body at its own frequency (1.2 Hz and some tenths of a millimetre on the demo, above 20 Hz).
//! Travel and load then hold the sine with that motion's sidebands, which a window of a second does not tell from the
//! fundamental: no two windows agree. One of some seconds does, so that lanes which give up on short windows take long ones.

use std::collections::VecDeque;
use std::f64::consts::TAU;
use washboard_signal::Lane;
use washboard_sim::{Clock, Sample, Watch};

/// From here on windows are weighted after Hann, Hz.
pub(crate) const HANN_FROM_HZ: f64 = 2.0;
/// Fewest periods in a weighted window.
const HANN_PERIODS: f64 = 3.0;
/// A lane is given up after so many windows that do not overlap, or periods.
const MOST_WINDOWS: usize = 8;
const MOST_PERIODS: usize = 4;
/// A lane is given up after so many windows that agree no better than others before.
const IDLE_LOOKS: usize = 3;
/// A lane with weighted windows goes over to long ones after so few; the body's own motion is a hertz or more away from the
/// sine, and a window keeps out what is farther than two over its length.
const IDLE_SHORT_LOOKS: usize = 2;
/// Length of long windows over that of short ones.
const LONG_WINDOW: f64 = 2.5;

/// How long a motion is waited for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Patience {
    /// Agreement of two windows that counts as settled, as a share of the largest figure of its kind; without one, two
    /// windows are taken as they come, so that every lane takes as long as its neighbours.
    pub settled_share: Option<f64>,
    /// Disagreement that is reported as not settled: on/off laws can wander within a band of their own.
    pub unsettled_share: f64,
    /// Shortest weighted window, s.
    pub hann_s: f64,
    /// By how much a plain window slides on, s, at about.
    pub slide_s: f64,
    /// Left out before the first window: time constants of the slowest motion, with bounds, s.
    pub time_constants: f64,
    pub settle_s: [f64; 2],
    /// The same after dampers were looked at and the motion begun anew.
    pub after_look_s: f64,
    /// Looks at the dampers.
    pub looks: usize,
}

/// Number of channels gathered: heave, roll, pitch, and at each corner wheel and load. What the body does above a corner,
/// and the travel there, are sums of these, and so are their fundamentals.
const fn gathered(corners: usize) -> usize {
    3 + 2 * corners
}

/// Figures of one frequency: magnitude of the fundamental of each channel.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Point<const C: usize> {
    pub heave: f64,
    pub pitch: f64,
    pub above: [f64; C],
    pub travel: [f64; C],
    pub load: [f64; C],
    /// By how much the last two windows differ, as a share of the largest figure of its kind.
    pub change: f64,
    pub settled: bool,
}

/// Cosine and sine of an angle that grows by the same amount from sample to sample.
#[derive(Clone, Copy, Debug)]
struct Turning<L> {
    at: (L, L),
    turn: (L, L),
}

impl<L: Lane> Turning<L> {
    fn new(step: &[f64]) -> Self {
        let turn = (L::from_fn(|i| step[i].cos()), L::from_fn(|i| step[i].sin()));
        Turning { at: (L::splat(1.0), L::zero()), turn }
    }

    /// Cosine and sine of this sample.
    #[inline(always)]
    fn next(&mut self) -> (L, L) {
        let ((c, s), (ct, st)) = (self.at, self.turn);
        self.at = (c * ct - s * st, s * ct + c * st);
        (c, s)
    }
}

/// Weighted sums of products with one, the cosine and the sine.
type Sums<L> = [L; 3];

/// Watches all lanes of a block.
pub(crate) struct Fundamental<L, const C: usize> {
    /// Angle of each lane's sine and of its window.
    phase: Turning<L>,
    window: Turning<L>,
    /// One where the window is weighted after Hann.
    is_hann: L,
    /// Sums of the products among one, cosine and sine, then of each channel.
    gram: [Sums<L>; 3],
    sums: Vec<Sums<L>>,
    /// Lever arms of each corner, forward and left, m.
    corners_m: [[f64; 2]; C],
    /// Samples before the first lane has settled: nothing is gathered of them.
    settle: usize,
    /// Samples taken, and the sample count at which the next lane closes a stretch.
    taken: usize,
    next: usize,
    lanes: Vec<Lanewise>,
}

/// What one lane has gathered.
struct Lanewise {
    /// Samples in a stretch, not rounded, so that a number of them keeps to whole periods; and stretches in a window.
    stretch: f64,
    window: usize,
    is_hann: bool,
    /// Samples before the first window.
    settle: usize,
    settled_share: Option<f64>,
    unsettled_share: f64,
    /// Sample count at which the present stretch ends.
    ends: usize,
    /// Samples in a long window, until they are taken.
    long: Option<f64>,
    /// The present stretch only lets the motion settle.
    settling: bool,
    /// The stretches of the last window.
    recent: VecDeque<Stretch>,
    last: Option<Vec<f64>>,
    change: f64,
    least_change: f64,
    idle: usize,
    /// All stretches, but for those of the first window where agreement is waited for: where a switching law beats with its own sampling, no two windows agree, and the
    /// fundamental over all of them is given.
    all: Option<Stretch>,
    closed: usize,
    done: bool,
}

/// The sums of a stretch in one lane, of the channels that are read: heave, pitch, and at each corner body, travel and load.
#[derive(Clone)]
struct Stretch {
    gram: [Sums<f64>; 3],
    sums: Vec<Sums<f64>>,
}

impl Stretch {
    fn plus(&self, other: &Stretch) -> Stretch {
        let add = |a: &Sums<f64>, b: &Sums<f64>| std::array::from_fn(|i| a[i] + b[i]);
        Stretch {
            gram: std::array::from_fn(|i| add(&self.gram[i], &other.gram[i])),
            sums: self.sums.iter().zip(&other.sums).map(|(a, b)| add(a, b)).collect(),
        }
    }

    /// Magnitude of the fundamental of each channel, by least squares with a mean.
    fn magnitudes(&self) -> Vec<f64> {
        let [[w, wc, ws], [_, cc, cs], [_, _, ss]] = self.gram;
        // Without the mean: what is left of cosine and sine after taking off theirs.
        let (cc, cs, ss) = (cc - wc * wc / w, cs - wc * ws / w, ss - ws * ws / w);
        let determinant = cc * ss - cs * cs;
        let magnitude = |&[x, xc, xs]: &Sums<f64>| {
            let (xc, xs) = (xc - wc * x / w, xs - ws * x / w);
            ((xc * ss - xs * cs) / determinant).hypot((xs * cc - xc * cs) / determinant)
        };
        self.sums.iter().map(magnitude).collect()
    }
}

impl<L: Lane, const C: usize> Fundamental<L, C> {
    /// One frequency a lane; `settle_s` is left out before the first window.
    pub fn new(
        frequencies_hz: &[f64],
        settle_s: &[f64],
        corners_m: [[f64; 2]; C],
        patience: &Patience,
        clock: &Clock,
    ) -> Self {
        let rate = clock.watch_rate_hz();
        let lanes: Vec<Lanewise> = frequencies_hz
            .iter()
            .zip(settle_s)
            .map(|(&f, settle_s)| {
                let is_hann = f >= HANN_FROM_HZ;
                let weighted = |length_s: f64| (HANN_PERIODS.max((length_s * f).ceil()) / f * rate).round();
                let (stretch, window) = if is_hann {
                    (weighted(patience.hann_s), 1)
                } else {
                    let window = (1.0 / f / patience.slide_s).round().max(1.0);
                    (rate / f / window, window as usize)
                };
                let settle = (settle_s * rate).round() as usize + 1;
                Lanewise {
                    stretch,
                    window,
                    is_hann,
                    settle,
                    settled_share: patience.settled_share,
                    unsettled_share: patience.unsettled_share,
                    ends: settle,
                    long: (is_hann && patience.settled_share.is_some())
                        .then(|| weighted(LONG_WINDOW * patience.hann_s)),
                    settling: true,
                    recent: VecDeque::with_capacity(window),
                    last: None,
                    change: f64::INFINITY,
                    least_change: f64::INFINITY,
                    idle: 0,
                    all: None,
                    closed: 0,
                    done: false,
                }
            })
            .collect();
        let steps: Vec<f64> = frequencies_hz.iter().map(|f| TAU * f / rate).collect();
        let windows: Vec<f64> = lanes.iter().map(|l| TAU / l.stretch).collect();
        Fundamental {
            phase: Turning::new(&steps),
            window: Turning::new(&windows),
            is_hann: L::from_fn(|i| if lanes[i].is_hann { 1.0 } else { 0.0 }),
            gram: [[L::zero(); 3]; 3],
            sums: vec![[L::zero(); 3]; gathered(C)],
            corners_m,
            settle: lanes.iter().map(|l| l.settle).min().unwrap_or(0),
            taken: 0,
            next: lanes.iter().map(|l| l.ends).min().unwrap_or(0),
            lanes,
        }
    }

    /// True when every lane is done.
    pub fn is_done(&self) -> bool {
        self.lanes.iter().all(|l| l.done)
    }

    /// Samples until something happens.
    pub fn until_next(&self) -> usize {
        self.next - self.taken
    }

    /// The figures of a lane.
    pub fn point(&self, lane: usize) -> Point<C> {
        let lane = &self.lanes[lane];
        let all = lane.all.as_ref().map(Stretch::magnitudes);
        let is_last_best = lane.settled_share.map_or(!lane.is_hann, |share| lane.change < share);
        let read = if is_last_best { lane.last.as_ref() } else { all.as_ref().or(lane.last.as_ref()) };
        let v = |k: usize| read.map_or(0.0, |values| values[k]);
        Point {
            heave: v(0),
            pitch: v(1),
            above: std::array::from_fn(|c| v(2 + 3 * c)),
            travel: std::array::from_fn(|c| v(3 + 3 * c)),
            load: std::array::from_fn(|c| v(4 + 3 * c)),
            change: lane.change,
            settled: lane.change < lane.unsettled_share,
        }
    }

    /// Closes the stretches that end now.
    #[inline(never)]
    fn close(&mut self) {
        for (i, lane) in self.lanes.iter_mut().enumerate() {
            if lane.done || lane.ends != self.taken {
                continue;
            }
            let of = |sums: &mut Sums<L>| {
                let mut values = [0.0; 3];
                for (value, sum) in values.iter_mut().zip(sums) {
                    *value = sum.get(i);
                    sum.set(i, 0.0);
                }
                values
            };
            let gram = [of(&mut self.gram[0]), of(&mut self.gram[1]), of(&mut self.gram[2])];
            let own: Vec<Sums<f64>> = self.sums.iter_mut().map(of).collect();
            let stretch = Stretch { gram, sums: read(&own, &self.corners_m) };
            self.window.at.0.set(i, 1.0);
            self.window.at.1.set(i, 0.0);
            if lane.settling {
                lane.settling = false;
            } else {
                lane.take(stretch);
                if lane.lengthen(self.taken) {
                    let angle = TAU / lane.stretch;
                    self.window.turn.0.set(i, angle.cos());
                    self.window.turn.1.set(i, angle.sin());
                }
            }
            lane.ends = lane.settle + ((lane.closed + 1) as f64 * lane.stretch).round() as usize;
        }
        let waiting = self.lanes.iter().filter(|l| !l.done);
        self.next = waiting.map(|l| l.ends).min().unwrap_or(usize::MAX);
    }

    #[inline(always)]
    fn add(&mut self, channel: usize, x: L, w: [L; 3]) {
        for k in 0..3 {
            self.sums[channel][k] += w[k] * x;
        }
    }
}

/// The channels that are read, from those gathered.
fn read<const C: usize>(gathered: &[Sums<f64>], corners_m: &[[f64; 2]; C]) -> Vec<Sums<f64>> {
    let [heave, roll, pitch] = [gathered[0], gathered[1], gathered[2]];
    let mut channels = vec![heave, pitch];
    for (c, [x, y]) in corners_m.iter().enumerate() {
        let (wheel, load) = (gathered[3 + 2 * c], gathered[4 + 2 * c]);
        let above: Sums<f64> = std::array::from_fn(|k| heave[k] + y * roll[k] - x * pitch[k]);
        channels.extend([above, std::array::from_fn(|k| above[k] - wheel[k]), load]);
    }
    channels
}

impl Lanewise {
    /// Goes over to long windows where short ones do not agree, and forgets those; tells whether it did.
    fn lengthen(&mut self, taken: usize) -> bool {
        if self.settled_share.is_some_and(|share| self.change < share) || self.idle < IDLE_SHORT_LOOKS {
            return false;
        }
        let Some(long) = self.long.take() else { return false };
        (self.stretch, self.settle, self.closed, self.done) = (long, taken, 0, false);
        (self.last, self.all) = (None, None);
        (self.change, self.least_change, self.idle) = (f64::INFINITY, f64::INFINITY, 0);
        true
    }

    /// Reads the window that a stretch completes, and compares it with the one before.
    fn take(&mut self, stretch: Stretch) {
        self.closed += 1;
        if self.settled_share.is_none() || self.closed > self.window {
            self.all = Some(self.all.as_ref().map_or_else(|| stretch.clone(), |all| all.plus(&stretch)));
        }
        self.recent.push_back(stretch);
        if self.recent.len() < self.window {
            return;
        }
        let mut sum = self.recent[0].clone();
        self.recent.iter().skip(1).for_each(|stretch| sum = sum.plus(stretch));
        let window = sum.magnitudes();
        self.recent.pop_front();
        if let Some(last) = &self.last {
            // Small figures (a channel at its null) are held against the largest of their kind.
            let largest = |k: usize| (k..window.len()).step_by(3).map(|k| window[k]).fold(1e-12, f64::max);
            let scale = |k: usize| if k == 0 { window[0].max(1e-12) } else { largest(2 + (k - 2) % 3) };
            let changes = window.iter().zip(last).enumerate().filter(|(k, _)| *k != 1);
            self.change = changes.map(|(k, (a, b))| (a - b).abs() / scale(k)).fold(0.0, f64::max);
            self.idle = if self.change < self.least_change { 0 } else { self.idle + 1 };
            self.least_change = self.least_change.min(self.change);
        }
        self.last = Some(window);
        let is_late = self.closed >= MOST_WINDOWS.max(MOST_PERIODS * self.window);
        self.done = match self.settled_share {
            Some(share) => self.change < share || self.idle >= IDLE_LOOKS || is_late,
            None => self.closed > self.window,
        };
    }
}

impl<L: Lane, const C: usize> Watch<L, C> for Fundamental<L, C> {
    #[inline(always)]
    fn sample(&mut self, s: &Sample<'_, '_, L, C>) {
        let half = L::splat(0.5);
        let (cosine, sine) = self.phase.next();
        let weight = L::splat(1.0) - self.is_hann * (half + half * self.window.next().0);
        if self.taken >= self.settle {
            let w = [weight, weight * cosine, weight * sine];
            let [_, wc, ws] = w;
            for k in 0..3 {
                self.gram[0][k] += w[k];
            }
            self.gram[1][1] += wc * cosine;
            self.gram[1][2] += wc * sine;
            self.gram[2][2] += ws * sine;
            self.add(0, s.position.heave, w);
            if s.plant.rolls {
                self.add(1, s.position.roll, w);
            }
            self.add(2, s.position.pitch, w);
            for corner in 0..C {
                let load = s.forces[corner].wheel_load_n - L::spread(s.plant.corners[corner].static_load_n);
                self.add(3 + 2 * corner, s.position.wheels[corner], w);
                self.add(4 + 2 * corner, load, w);
            }
        }
        self.taken += 1;
        if self.taken == self.next {
            self.close();
        }
    }
}
