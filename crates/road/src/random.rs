//! Random roads by ISO 8608: sums of sinusoids with the density of their class, drawn from a seed.
//!
//! **The sum.** Over a period of P metres the road is a sum of sinusoids at k/P cycles/m. Component k carries the
//! variance of the density G(n) = G(n0) (n/n0)^-2 over its bin, (k -+ 1/2)/P cut to the road's band: a dn of 1/P gives
//! the amplitude sqrt(2 G dn), and bins that the band's ends cut are partly filled, so that the variance of a period is
//! G(n0) n0^2 (1/from - 1/to) to rounding.
//!
//! **The period.** P is the least power of two not below 2048 m, the distance driven and 16 longest wavelengths; the last
//! for at most 65 536 m. Beyond that, and where the table would pass 2^22 points, the road repeats. So one seed is one
//! road whatever the step, the speed and the duration, as long as no more than 2048 m are driven.
//!
//! **The phases.** Component k takes word pair k of the seed's ChaCha8 stream: its phase does not depend on the band.
//!
//! **Two tracks.** Left is A, right is gamma A + sqrt(1 - gamma^2) B per component ([`crate::track_coherence`]). B is A a
//! quarter wave on or back, by a random bit of the same word: uncorrelated with A, of uniform phase, and of such a kind
//! that each track has the class's density in every component of every road, not only in the mean over many.
//!
//! **Between points.** Elevation, slope and curvature come from inverse FFTs on a grid of 8 to 16 points a shortest
//! wavelength; between them lies the polynomial of fifth degree through all three at both ends. Its error at the shortest
//! wavelength is below (pi/4)^6/46080 = 5.1e-6 of the elevation's amplitude and below 2.3e-5 of the slope's, and falls
//! with the sixth and fifth power of the wavenumber.
//!
//! **Memory.** Periods of up to 2^18 points (8192 m of a usual road) lie in one table. Of longer ones only the components
//! are kept, and the stretch of road at hand is cut out of the sum when the car gets there ([`crate::excerpt`]).

use std::cell::RefCell;
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};
use realfft::num_complex::Complex64;
use realfft::{ComplexToReal, RealFftPlanner};

use crate::excerpt::{EXCERPT_POINTS, Excerpts};
use crate::line::{Line, Point};
use crate::{REFERENCE_CYCLES_PER_M, track_coherence};

const LEAST_PERIOD_M: f64 = 2048.0;
const LONGEST_PERIOD_M: f64 = 65_536.0;
const WAVELENGTHS_IN_PERIOD: f64 = 16.0;
const POINTS_PER_WAVELENGTH: f64 = 8.0;
const MOST_POINTS: usize = 1 << 22;

/// A random road of waviness 2 by ISO 8608; zero before distance 0, growing to its full height over `ramp_m` as
/// (1 - cos(pi x / ramp))/2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RandomRoad {
    /// Displacement PSD at 0.1 cycles/m, one-sided, m^3; of a class: [`crate::class_psd_at_n0_m3`].
    pub psd_at_n0_m3: f64,
    /// The same seed is the same road.
    pub seed: u64,
    /// Lowest wavenumber, cycles/m, positive.
    pub from_cycles_per_m: f64,
    /// Highest wavenumber, cycles/m; not above `from_cycles_per_m`: the road is flat.
    pub to_cycles_per_m: f64,
    /// Distance over which the road grows to its full height, m.
    pub ramp_m: f64,
}

impl RandomRoad {
    /// Variance of the elevation over the band, m^2: G(n0) n0^2 (1/from - 1/to).
    pub fn variance_m2(&self) -> f64 {
        self.variance_between_m2(self.from_cycles_per_m, self.to_cycles_per_m)
    }

    fn variance_between_m2(&self, from_cycles_per_m: f64, to_cycles_per_m: f64) -> f64 {
        let n0 = REFERENCE_CYCLES_PER_M;
        (self.psd_at_n0_m3 * n0 * n0 * (1.0 / from_cycles_per_m - 1.0 / to_cycles_per_m)).max(0.0)
    }
}

/// One track on an even grid, as far as it is needed.
pub(crate) struct Track {
    knots: Knots,
    /// Points in a period less one; their number is a power of two.
    mask: usize,
    points_per_m: f64,
    ramp_m: f64,
}

/// The grid points of a track.
enum Knots {
    /// All that are needed, from the first on.
    Whole(Vec<Knot>),
    /// What was cut out of a long sum last.
    InParts(Parts),
}

/// A long track, of which the last two excerpts asked for are there: the rear axle follows in the one that the front axle
/// has just left.
struct Parts {
    excerpts: Arc<Excerpts>,
    components: Components,
    /// The last one asked for first.
    cut: RefCell<[Option<Excerpt>; 2]>,
}

/// Number and points of an excerpt.
type Excerpt = (usize, Vec<Knot>);

impl Parts {
    /// A grid point of the period and the next one.
    fn pair(&self, point: usize) -> [Knot; 2] {
        let (number, at) = (point / EXCERPT_POINTS, point % EXCERPT_POINTS);
        let mut cut = self.cut.borrow_mut();
        let is_it = |kept: &Option<Excerpt>| kept.as_ref().is_some_and(|kept| kept.0 == number);
        if !is_it(&cut[0]) {
            cut.swap(0, 1);
            if !is_it(&cut[0]) {
                // What is dropped makes room first.
                cut[0] = None;
                cut[0] = Some((number, self.excerpts.cut(&self.components, number)));
            }
        }
        let knots = cut[0].as_ref().map_or(&[][..], |kept| &kept.1);
        [knots[at], knots[at + 1]]
    }
}

/// Taylor coefficients at a grid point, in grid spacings.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Knot {
    /// Elevation, m.
    height_m: f64,
    /// Slope times spacing, m.
    slope_m: f64,
    /// Curvature times half the spacing squared, m.
    bend_m: f64,
}

impl Knot {
    /// Elevation, slope or bend.
    pub(crate) fn derivative_mut(&mut self, number: usize) -> &mut f64 {
        match number {
            0 => &mut self.height_m,
            1 => &mut self.slope_m,
            _ => &mut self.bend_m,
        }
    }
}

/// Half the complex amplitude of each component of a track.
pub(crate) struct Components {
    /// Number of the first one: its waves in a period.
    pub first: usize,
    pub amplitude_m: Vec<Complex64>,
}

#[derive(Clone, Copy)]
struct Grid {
    period_m: f64,
    points_per_m: f64,
    points: usize,
}

impl Grid {
    fn new(road: &RandomRoad, distance_m: f64) -> Self {
        let points_per_m = power_of_two_from(POINTS_PER_WAVELENGTH * road.to_cycles_per_m).min(MOST_POINTS as f64);
        let wavelengths_m = (WAVELENGTHS_IN_PERIOD / road.from_cycles_per_m).min(LONGEST_PERIOD_M);
        let wanted_m = LEAST_PERIOD_M.max(distance_m.min(LONGEST_PERIOD_M)).max(wavelengths_m);
        let period_m = power_of_two_from(wanted_m).min(MOST_POINTS as f64 / points_per_m);
        Grid { period_m, points_per_m, points: (period_m * points_per_m) as usize }
    }
}

/// Least power of two, negative powers included, that is not below a positive value.
fn power_of_two_from(value: f64) -> f64 {
    let mut power = value.clamp(1e-9, 1e9).log2().ceil().exp2();
    // The logarithm's last bit must not decide.
    while power / 2.0 >= value {
        power /= 2.0;
    }
    power
}

/// Draws the left track, and the right one if the tracks' distance is given; empty for a road without a band.
///
/// The road is the one for `distance_m`; it can be read `ahead_m` further.
pub(crate) fn draw(
    road: &RandomRoad,
    distance_m: f64,
    ahead_m: f64,
    track_m: Option<f64>,
) -> Option<(Track, Option<Track>)> {
    let has_band = road.from_cycles_per_m > 0.0 && road.to_cycles_per_m > road.from_cycles_per_m;
    if !has_band || road.psd_at_n0_m3 <= 0.0 {
        return None;
    }
    let grid = Grid::new(road, distance_m);
    let (left, right) = components(road, grid, track_m);
    if Excerpts::fit(grid.points, &left) {
        let excerpts = Arc::new(Excerpts::new(grid.points));
        let track = |components| {
            let parts = Parts { excerpts: excerpts.clone(), components, cut: RefCell::new([None, None]) };
            Track::new(Knots::InParts(parts), grid, road.ramp_m)
        };
        return Some((track(left), right.map(track)));
    }
    // Both ends of the last spacing; a whole period closes with its first point.
    let needed =
        (((distance_m.max(0.0) + ahead_m) * grid.points_per_m) as usize).saturating_add(2).min(grid.points + 1);
    let mut synthesis = Synthesis::new(grid, needed, road.ramp_m);
    Some((synthesis.track(&left), right.map(|right| synthesis.track(&right))))
}

fn components(road: &RandomRoad, grid: Grid, track_m: Option<f64>) -> (Components, Option<Components>) {
    let (from, to, period_m) = (road.from_cycles_per_m, road.to_cycles_per_m, grid.period_m);
    // Component 0 would be a constant; what the band holds below the first full bin goes to component 1.
    let most = (grid.points / 2).saturating_sub(1).max(1);
    let first = ((from * period_m).round() as usize).clamp(1, most);
    let last = ((to * period_m).round() as usize).clamp(first, most);
    let mut words = ChaCha8Rng::seed_from_u64(road.seed);
    words.set_word_pos(2 * first as u128);
    let mut left = Vec::with_capacity(last - first + 1);
    let mut right = Vec::with_capacity(if track_m.is_some() { last - first + 1 } else { 0 });
    for k in first..=last {
        let lower = if k == first { from } else { (k as f64 - 0.5) / period_m };
        let upper = if k == last { to } else { (k as f64 + 0.5) / period_m };
        let amplitude_m = (2.0 * road.variance_between_m2(lower, upper)).sqrt();
        let word = words.next_u64();
        let phase = TAU * ((word >> 11) as f64 * (1.0 / (1_u64 << 53) as f64));
        let a = Complex64::from_polar(0.5 * amplitude_m, phase);
        left.push(a);
        if let Some(track_m) = track_m {
            let gamma = track_coherence(k as f64 / period_m, track_m);
            let rest = (1.0 - gamma * gamma).sqrt();
            let quarter = if word & 1 == 0 { rest } else { -rest };
            right.push(a * Complex64::new(gamma, quarter));
        }
    }
    (Components { first, amplitude_m: left }, track_m.map(|_| Components { first, amplitude_m: right }))
}

thread_local! {
    /// Tables of the transform, kept because making them costs more than using them.
    static PLANNER: RefCell<RealFftPlanner<f64>> = RefCell::new(RealFftPlanner::new());
}

/// The inverse transform of a length.
pub(crate) fn inverse_transform(length: usize) -> Arc<dyn ComplexToReal<f64>> {
    PLANNER.with_borrow_mut(|planner| planner.plan_fft_inverse(length))
}

/// The transform from components to a track, with its buffers.
struct Synthesis {
    transform: Arc<dyn ComplexToReal<f64>>,
    spectrum: Vec<Complex64>,
    scratch: Vec<Complex64>,
    values: Vec<f64>,
    grid: Grid,
    needed: usize,
    ramp_m: f64,
}

impl Synthesis {
    fn new(grid: Grid, needed: usize, ramp_m: f64) -> Self {
        let transform = inverse_transform(grid.points);
        Synthesis {
            spectrum: transform.make_input_vec(),
            scratch: transform.make_scratch_vec(),
            values: transform.make_output_vec(),
            transform,
            grid,
            needed,
            ramp_m,
        }
    }

    fn track(&mut self, components: &Components) -> Track {
        let mut points = vec![Knot::default(); self.needed];
        self.inverse(components, |amplitude, _| amplitude);
        for (knot, &value) in points.iter_mut().zip(self.around()) {
            knot.height_m = value;
        }
        self.inverse(components, |amplitude, turn| Complex64::new(-turn * amplitude.im, turn * amplitude.re));
        for (knot, &value) in points.iter_mut().zip(self.around()) {
            knot.slope_m = value;
        }
        self.inverse(components, |amplitude, turn| amplitude * (-0.5 * turn * turn));
        for (knot, &value) in points.iter_mut().zip(self.around()) {
            knot.bend_m = value;
        }
        Track::new(Knots::Whole(points), self.grid, self.ramp_m)
    }

    /// Fills `values` with the sum of the components, each changed by `derive` with its angle a grid spacing.
    fn inverse(&mut self, components: &Components, derive: impl Fn(Complex64, f64) -> Complex64) {
        let turn = TAU / self.grid.points as f64;
        // The transform leaves its input in disorder.
        self.spectrum.fill(Complex64::ZERO);
        for (k, &amplitude) in (components.first..).zip(&components.amplitude_m) {
            self.spectrum[k] = derive(amplitude, turn * k as f64);
        }
        self.transform
            .process_with_scratch(&mut self.spectrum, &mut self.values, &mut self.scratch)
            .expect("the buffers are the transform's own and the spectrum's ends are zero");
    }

    /// The period's values and, after the last, its first again.
    fn around(&self) -> impl Iterator<Item = &f64> {
        self.values.iter().chain(&self.values[..1])
    }
}

impl Line for Track {
    /// Height and slope at a distance; zero before distance 0, ramped in from there.
    #[inline]
    fn at(&self, x_m: f64) -> Point {
        if x_m < 0.0 {
            return Point::default();
        }
        let full = self.unramped(x_m);
        if x_m >= self.ramp_m {
            return full;
        }
        let (sin, cos) = (PI * (x_m / self.ramp_m)).sin_cos();
        let share = 0.5 * (1.0 - cos);
        let share_per_m = 0.5 * PI / self.ramp_m * sin;
        Point { height_m: share * full.height_m, slope: share * full.slope + share_per_m * full.height_m }
    }

    /// The ramp has no closed integral: eight-point Gauss-Legendre over at most a shortest wavelength at a time, which
    /// leaves less than 1e-9 of a sine's amplitude.
    fn mean(&self, x_m: f64, length_m: f64) -> Point {
        let parts = (length_m * self.points_per_m / POINTS_PER_WAVELENGTH).ceil().max(1.0);
        let (from_m, part_m) = (x_m - 0.5 * length_m, length_m / parts);
        let mut sum_m = 0.0;
        for part in 0..parts as usize {
            let middle_m = from_m + (part as f64 + 0.5) * part_m;
            for (place, weight) in GAUSS_LEGENDRE {
                let off_m = 0.5 * part_m * place;
                sum_m += weight * (self.at(middle_m - off_m).height_m + self.at(middle_m + off_m).height_m);
            }
        }
        let (behind, ahead) = (self.at(from_m), self.at(x_m + 0.5 * length_m));
        Point { height_m: 0.5 * sum_m / parts, slope: (ahead.height_m - behind.height_m) / length_m }
    }

    fn has_kinks(&self) -> bool {
        false
    }
}

/// Places between 0 and 1 and weights of the eight-point rule (Abramowitz and Stegun 1964, table 25.4).
const GAUSS_LEGENDRE: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
];

impl Track {
    fn new(knots: Knots, grid: Grid, ramp_m: f64) -> Self {
        Track { knots, mask: grid.points - 1, points_per_m: grid.points_per_m, ramp_m }
    }

    #[inline]
    fn unramped(&self, x_m: f64) -> Point {
        let place = x_m * self.points_per_m;
        // Places are not negative here, so that cutting off is rounding down.
        let whole = place as i64;
        let t = place - whole as f64;
        let i = whole as usize & self.mask;
        let [near, far] = match &self.knots {
            Knots::Whole(points) => [points[i], points[i + 1]],
            Knots::InParts(parts) => parts.pair(i),
        };
        let Knot { height_m: f0, slope_m: d0, bend_m: c0 } = near;
        let Knot { height_m: f1, slope_m: d1, bend_m: c1 } = far;
        // What is left at the far end after the parabola of the near end: height, slope and half curvature.
        let height = f1 - f0 - d0 - c0;
        let slope = d1 - d0 - 2.0 * c0;
        let bend = c1 - c0;
        let a3 = 10.0 * height - 4.0 * slope + bend;
        let a4 = -15.0 * height + 7.0 * slope - 2.0 * bend;
        let a5 = 6.0 * height - 3.0 * slope + bend;
        Point {
            height_m: f0 + t * (d0 + t * (c0 + t * (a3 + t * (a4 + t * a5)))),
            slope: self.points_per_m * (d0 + t * (2.0 * c0 + t * (3.0 * a3 + t * (4.0 * a4 + t * 5.0 * a5)))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The whole period in one transform is what excerpts must be.
    #[test]
    fn excerpts_are_what_the_whole_period_holds() {
        for (from_cycles_per_m, distance_m) in [(0.011, 16_000.0), (0.0005, 60_000.0)] {
            let road =
                RandomRoad { psd_at_n0_m3: 256e-6, seed: 3, from_cycles_per_m, to_cycles_per_m: 2.83, ramp_m: 0.0 };
            let grid = Grid::new(&road, distance_m);
            let (left, right) = components(&road, grid, Some(1.5));
            assert!(Excerpts::fit(grid.points, &left), "{} points", grid.points);
            let excerpts = Excerpts::new(grid.points);
            let mut synthesis = Synthesis::new(grid, grid.points + 1, 0.0);
            for components in [left, right.unwrap()] {
                let whole = synthesis.track(&components);
                let Knots::Whole(whole) = whole.knots else { unreachable!("one transform gives all") };
                let most = grid.points / EXCERPT_POINTS - 1;
                for number in [0, 1, most / 2, most] {
                    let cut = excerpts.cut(&components, number);
                    let part = &whole[number * EXCERPT_POINTS..=(number + 1) * EXCERPT_POINTS];
                    for derivative in 0..3 {
                        let value = |knot: &Knot| *knot.clone().derivative_mut(derivative);
                        let square = part.iter().map(|knot| value(knot) * value(knot)).sum::<f64>();
                        let rms = (square / part.len() as f64).sqrt();
                        let off = cut.iter().zip(part).map(|(a, b)| (value(a) - value(b)).abs());
                        let worst = off.fold(0.0, f64::max) / rms;
                        assert!(worst < 1e-11, "derivative {derivative} of excerpt {number}: {worst:e} of its r.m.s.");
                    }
                }
            }
        }
    }
}
