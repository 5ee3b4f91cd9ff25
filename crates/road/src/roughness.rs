//! Roughness index of a profile after Sayers and ASTM E1926: how much a reference quarter car works on it at 80 km/h.
//!
//! The quarter car (rates and masses over its body mass: tyre 653 1/s^2, spring 63.3 1/s^2, damper 6 1/s, wheel 0.15) runs
//! over the profile with its slope constant within each step, by the exact solution over the step, whatever its length;
//! the index is the mean of the magnitude of body slope minus wheel slope over the way, in m/km, which is mm/m
//! (constants from memory; published state-transition tables hold them in the tests). It starts as if it had come from a
//! road of the slope between the first sample and the one 11 m on, half a second at 80 km/h.
//!
//! **Smoothing.** The slope at a sample is that of the line to the profile 250 mm ahead, which is the slope of the
//! profile's moving average over 250 mm. Where 250 mm are no whole number of steps, Sayers' recursion rounds to the
//! nearest whole number, 0.2 m at a spacing of 0.2 m and 0.3 m at one of 0.1 m, which moves the index by up to 1.6 %;
//! here the base stays 250 mm, the profile between samples being [`washboard_signal::resample::Curve`]. Where the
//! spacing is a divisor of 250 mm both are the same. A step longer than 250 mm is its own base.
//!
//! **Uneven places.** A slope that is held over steps of ever other length carries the index by up to 2.3 % to either side;
//! there every step is divided into equal parts of at most half the base, which leaves less than 0.7 %.

use nalgebra::{Matrix4, Matrix5, Vector4};
use std::collections::HashMap;
use washboard_signal::resample::{Curve, median_step, unevenness};

/// Speed of the quarter car, m/s.
const SPEED_M_PER_S: f64 = 80.0 / 3.6;
/// Tyre rate over body mass, 1/s^2.
const TYRE_PER_S2: f64 = 653.0;
/// Spring rate over body mass, 1/s^2.
const SPRING_PER_S2: f64 = 63.3;
/// Damper coefficient over body mass, 1/s.
const DAMPER_PER_S: f64 = 6.0;
/// Wheel mass over body mass.
const WHEEL_SHARE: f64 = 0.15;
/// Base of the moving average, m.
pub const BASE_M: f64 = 0.25;
/// Distance whose slope the quarter car comes with, m.
pub const START_M: f64 = 11.0;
/// Largest departure of an even profile's steps from their median, as a share of it: distances are often rounded.
const EVEN_SHARE: f64 = 0.05;
/// Step lengths kept with their solution; beyond that many different ones each is solved anew.
const MOST_KEPT: usize = 10_000;

/// Roughness index of a track, m/km; `None` below [`START_M`] of profile. Distances strictly rising and as many elevations,
/// in m, all finite.
pub fn roughness_index_m_per_km(distance_m: &[f64], elevation_m: &[f64]) -> Option<f64> {
    index(distance_m, elevation_m, Some(BASE_M))
}

/// As [`roughness_index_m_per_km`], with the base of the moving average, or without one.
fn index(distance_m: &[f64], elevation_m: &[f64], base_m: Option<f64>) -> Option<f64> {
    let (first, last) = (*distance_m.first()?, *distance_m.last()?);
    if last - first < START_M || distance_m.len() != elevation_m.len() {
        return None;
    }
    let mut ahead = Curve::new(distance_m, elevation_m);
    let start = (ahead.clone().at(first + START_M) - elevation_m[0]) / START_M;
    let mut here = ahead.clone();
    let mut state = Vector4::new(start, 0.0, start, 0.0);
    let mut steps = Steps::default();
    let (mut sum, mut way) = (0.0, 0.0);
    let is_even = median_step(distance_m).is_some_and(|median| unevenness(distance_m, median) <= EVEN_SHARE);
    for sample in distance_m.windows(2) {
        let whole_m = sample[1] - sample[0];
        let parts = if is_even { 1.0 } else { (2.0 * whole_m / BASE_M).ceil().max(1.0) };
        let step_m = whole_m / parts;
        for part in 0..parts as usize {
            let place_m = sample[0] + part as f64 * step_m;
            let base = base_m.map_or(step_m, |base| base.max(step_m));
            // A hair of tolerance, so that the last whole base is not lost to rounding.
            if place_m + base > last + 1e-6 * base {
                break;
            }
            let slope = (ahead.at(place_m + base) - here.at(place_m)) / base;
            let step = steps.of(step_m);
            state = step.transition * state + step.input * slope;
            sum += (state[2] - state[0]).abs() * step_m;
            way += step_m;
        }
    }
    (way > 0.0).then(|| 1000.0 * sum / way)
}

/// The quarter car over one step: body slope, its rate in time, wheel slope, its rate.
#[derive(Clone, Copy, Debug)]
struct Step {
    transition: Matrix4<f64>,
    input: Vector4<f64>,
}

impl Step {
    fn new(step_m: f64) -> Self {
        let (k, c, kt, u) = (SPRING_PER_S2, DAMPER_PER_S, TYRE_PER_S2, WHEEL_SHARE);
        // States and, as a fifth that stays, the slope of the profile: one exponential gives both matrices.
        #[rustfmt::skip]
        let rate = Matrix5::new(
            0.0,   1.0,    0.0,           0.0,    0.0,
            -k,    -c,     k,             c,      0.0,
            0.0,   0.0,    0.0,           1.0,    0.0,
            k / u, c / u, -(k + kt) / u, -c / u, kt / u,
            0.0,   0.0,    0.0,           0.0,    0.0,
        );
        let solved = (rate * (step_m / SPEED_M_PER_S)).exp();
        Step {
            transition: solved.fixed_view::<4, 4>(0, 0).into_owned(),
            input: solved.fixed_view::<4, 1>(0, 4).into_owned(),
        }
    }
}

/// Solutions by step length, which in an even profile differs from sample to sample in its last digits only.
#[derive(Default)]
struct Steps {
    kept: HashMap<u64, Step>,
}

impl Steps {
    fn of(&mut self, step_m: f64) -> Step {
        // To the nanometre.
        let key = (step_m * 1e9).round() as u64;
        if let Some(step) = self.kept.get(&key) {
            return *step;
        }
        let step = Step::new(if key > 0 { key as f64 * 1e-9 } else { step_m });
        if self.kept.len() < MOST_KEPT {
            self.kept.insert(key, step);
        }
        step
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// checks.json 05_iri_matrix: published single-precision tables (Sayers, Gillespie and Paterson 1986, ASTM E1926) for
    /// 0.25 m and 0.10 m, transition row after row, then input. They hold to 1e-6, the first input to 1e-3 of itself.
    const PUBLISHED: [(f64, [f64; 16], [f64; 4]); 2] = [
        (
            0.25,
            [
                0.9966071,
                0.01091514,
                -0.002083274,
                0.0003190145,
                -0.5563044,
                0.9438768,
                -0.8324718,
                0.05064701,
                0.02153176,
                0.002126763,
                0.7508714,
                0.008221888,
                3.335013,
                0.3376467,
                -39.12762,
                0.4347564,
            ],
            [0.005476107, 1.388776, 0.2275968, 35.79262],
        ),
        (
            0.1,
            [
                0.9994014,
                0.004442351,
                0.0002188854,
                5.72179e-05,
                -0.2570548,
                0.975036,
                0.007966216,
                0.02458427,
                0.003960378,
                0.0003814527,
                0.9548048,
                0.004055587,
                1.687312,
                0.1638951,
                -19.34264,
                0.7948701,
            ],
            [0.0003793992, 0.2490886, 0.04123478, 17.65532],
        ),
    ];

    const PRINTED: &str = "checks 05: published tables (Sayers et al. 1986, ASTM E1926)";

    #[test]
    fn steps_are_those_of_the_published_tables() {
        for (step_m, transition, input) in PUBLISHED {
            let step = Step::new(step_m);
            for row in 0..4 {
                for column in 0..4 {
                    let (got, want) = (step.transition[(row, column)], transition[4 * row + column]);
                    let what = format!("roughness index, transition {row}, {column} over {step_m} m");
                    washboard_checks::relative_to(what, PRINTED, got, want, want.abs().max(1.0), 1e-6);
                }
                let (got, want) = (step.input[row], input[row]);
                let bound = if row == 0 { 1e-3 } else { 1e-6 };
                washboard_checks::relative(
                    format!("roughness index, input {row} over {step_m} m"),
                    PRINTED,
                    got,
                    want,
                    bound,
                );
            }
        }
    }

    fn sine(wavelength_m: f64, step_m: f64, length_m: f64) -> (Vec<f64>, Vec<f64>) {
        let x: Vec<f64> = (0..=(length_m / step_m).round() as usize).map(|i| i as f64 * step_m).collect();
        let z = x.iter().map(|x| 0.001 * (TAU * x / wavelength_m).sin()).collect();
        (x, z)
    }

    #[test]
    fn sines_have_the_index_of_the_frequency_response() {
        // checks.json 06_iri_profiles: 1 mm sines, with the moving average; from the frequency response, no published example.
        for (wavelength_m, want) in [(15.0, 0.40709680016128785), (5.0, 0.931889440315794), (2.5, 2.575562970637154)] {
            for step_m in [0.01, 0.05] {
                let (x, z) = sine(wavelength_m, step_m, 3000.0);
                let got = roughness_index_m_per_km(&x, &z).unwrap();
                let what = format!("roughness index of a 1 mm sine of {wavelength_m} m every {step_m} m, m/km");
                washboard_checks::relative(what, "checks 06: frequency response", got, want, 0.002);
            }
        }
        // Without it.
        for (wavelength_m, want) in [(15.0, 0.4072828728397873), (2.5, 2.618422240426648)] {
            let (x, z) = sine(wavelength_m, 0.01, 3000.0);
            let got = index(&x, &z, None).unwrap();
            let what = format!("the same without moving average, {wavelength_m} m");
            washboard_checks::relative(what, "checks 06: frequency response", got, want, 0.002);
        }
    }

    #[test]
    fn a_triangle_has_the_index_of_the_recursion() {
        // checks.json 06_iri_profiles: 0.25 m steps, 0 to 15 m, +6 mm/m from 2 m to 3 m and back to zero at 4 m; no moving
        // average; the slope over the first 11 m is zero.
        let x: Vec<f64> = (0..=60).map(|i| 0.25 * f64::from(i)).collect();
        let z: Vec<f64> = x.iter().map(|x| 0.006 * (1.0 - (x - 3.0).abs()).max(0.0)).collect();
        let got = index(&x, &z, None).unwrap();
        let source = "checks 06: recursion of Sayers 1995";
        washboard_checks::relative("roughness index of a triangle, m/km", source, got, 1.3504548494043942, 1e-6);
    }

    /// Mean-free gain of body less wheel slope over the slope of a sine of so many cycles a metre, from the step's own matrices.
    fn gain(step: &Step, step_m: f64, cycles_per_m: f64) -> f64 {
        let turn = nalgebra::Complex::from_polar(1.0, TAU * cycles_per_m * step_m);
        let rows = Matrix4::from_diagonal_element(turn) - step.transition.map(nalgebra::Complex::from);
        let state = rows.try_inverse().unwrap() * step.input.map(nalgebra::Complex::from) * turn;
        (state[2] - state[0]).norm()
    }

    #[test]
    fn poles_gains_and_white_slopes_are_those_of_the_published_quarter_car() {
        let step_m = 0.005;
        let step = Step::new(step_m);
        let source = "checks 05: eigenvalues of the quarter car of ASTM E1926";
        let check = |what: &str, source: &str, got: f64, want: f64, share: f64| {
            washboard_checks::relative(format!("roughness index, {what}"), source, got, want, share);
        };
        let mut poles: Vec<_> = step
            .transition
            .complex_eigenvalues()
            .iter()
            .map(|z| z.ln() * (SPEED_M_PER_S / step_m))
            .filter(|p| p.im > 0.0)
            .collect();
        poles.sort_by(|a, b| a.im.total_cmp(&b.im));
        for (pole, name, re, im, fn_hz, zeta) in [
            (poles[0], "body", POLES[0][0], POLES[0][1], POLES[0][2], POLES[0][3]),
            (poles[1], "wheel", POLES[1][0], POLES[1][1], POLES[1][2], POLES[1][3]),
        ] {
            check(&format!("pole of the {name}, real part, 1/s"), source, pole.re, re, 1e-6);
            check(&format!("pole of the {name}, imaginary part, 1/s"), source, pole.im, im, 1e-6);
            check(&format!("frequency of the {name}, Hz"), source, pole.norm() / TAU, fn_hz, 1e-6);
            check(&format!("damping ratio of the {name}"), source, -pole.re / pole.norm(), zeta, 1e-6);
        }
        // Peaks of the gain, on a grid of 5e-5 cycles/m, and the mean of a rectified Gaussian: sqrt(2/pi) of its deviation.
        let source = "checks 06: frequency response and its integral";
        let grid = |from: f64, to: f64| (0..).map(move |i| from + 5e-5 * f64::from(i)).take_while(move |n| *n < to);
        for ((from, to), peak, place) in
            [((0.03, 0.15), PEAKS[0][0], PEAKS[0][1]), ((0.2, 0.8), PEAKS[1][0], PEAKS[1][1])]
        {
            let (n, most) =
                grid(from, to).map(|n| (n, gain(&step, step_m, n))).max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
            check(&format!("largest gain near {place} cycles/m"), source, most, peak, 1e-3);
            check("its wavenumber, cycles/m", source, n, place, 5e-3);
        }
        // Class A: slope density (2 pi n0)^2 G(n0), flat.
        let density = (TAU * 0.1).powi(2) * 16e-6;
        let index_of = |base_m: f64| {
            let dn = 1e-3;
            let square = |n: f64| {
                let smoothed = if base_m > 0.0 {
                    (std::f64::consts::PI * n * base_m).sin() / (std::f64::consts::PI * n * base_m)
                } else {
                    1.0
                };
                (gain(&step, step_m, n) * smoothed).powi(2) * density * dn
            };
            let variance: f64 = (0..40_000).map(|i| square((f64::from(i) + 0.5) * dn)).sum();
            1000.0 * (2.0 / std::f64::consts::PI * variance).sqrt()
        };
        check("white slopes of class A, no moving average, m/km", source, index_of(0.0), 2.218897024808931, 2e-3);
        check("white slopes of class A, m/km", source, index_of(BASE_M), 2.1725856374681345, 2e-3);
    }

    /// checks.json 05_iri_matrix: real and imaginary part, frequency and damping ratio of body and wheel.
    const POLES: [[f64; 4]; 2] = [
        [-2.590073786677789, 7.323397385729725, 1.2363033814832252, 0.3334319490641195],
        [-20.409926213322194, 64.42262610541198, 10.755436048017614, 0.30201849841223255],
    ];
    /// checks.json 06_iri_profiles: gain and wavenumber of its peaks.
    const PEAKS: [[f64; 2]; 2] = [[1.5375994604447727, 0.0634], [1.6764826640659252, 0.43625]];

    #[test]
    fn a_slope_alone_is_smooth_and_a_short_profile_has_none() {
        let x: Vec<f64> = (0..400).map(|i| 0.1 * f64::from(i)).collect();
        let z: Vec<f64> = x.iter().map(|x| 0.05 * x).collect();
        assert!(roughness_index_m_per_km(&x, &z).unwrap() < 1e-9);
        assert_eq!(roughness_index_m_per_km(&x[..100], &z[..100]), None);
        assert_eq!(roughness_index_m_per_km(&[], &[]), None);
    }
}
