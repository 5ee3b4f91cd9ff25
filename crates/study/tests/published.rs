//! The published values of tests/reference/checks.json: every one of them wants a check, and those of the linear quarter car
//! are held here against the program's own response and histories.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{Rolling, progress, quarter, rolling, sine};
use serde_json::Value as Json;
use std::f64::consts::TAU;
use std::path::Path;
use washboard_session::{Event, EventKind, Session};
use washboard_signal::filter::Weighting;
use washboard_study::{Model, Profiles, ResponseRequest, Study, Trace};

/// What the program does not compute, and why a check of it could say nothing.
const NO_COUNTERPART: [(&str, &str); 7] = [
    ("03_iso2631_weights: ref_100rads_Wb_Wc_Wd_We_Wj_Wk 4", "Wj is for lying people"),
    ("07_modes: zeta_wheel_approx", "no such figure is shown"),
    ("08_frf_invariants: sdof_crossover_ratio", "there is no model without a wheel"),
    ("15_brake_pitch: tan_front_100", "anti-dive is given as a share, not as an angle of links"),
    ("15_brake_pitch: tan_rear_100", "anti-lift is given as a share, not as an angle of links"),
    ("15_brake_pitch: angle_front_100_deg", "anti-dive is given as a share, not as an angle of links"),
    ("15_brake_pitch: angle_front_for_30pct_deg", "anti-dive is given as a share, not as an angle of links"),
];

fn cases() -> Vec<Json> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/checks.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// Every number below a value, with its name.
fn leaves(value: &Json, name: &str, found: &mut Vec<(String, f64)>) {
    match value {
        Json::Object(map) => map.iter().for_each(|(k, v)| leaves(v, &format!("{name} {k}"), found)),
        Json::Array(list) => list.iter().enumerate().for_each(|(i, v)| leaves(v, &format!("{name} {i}"), found)),
        other => found.extend(other.as_f64().map(|x| (name.to_owned(), x))),
    }
}

#[test]
fn every_published_value_wants_a_check() {
    let mut wanted = 0;
    let mut left_out = 0;
    for case in cases() {
        let id = case["id"].as_str().unwrap();
        let mut found = Vec::new();
        leaves(&case["expected"], "", &mut found);
        for (name, value) in found {
            let name = format!("{id}:{name}");
            if NO_COUNTERPART.iter().any(|(n, _)| *n == name) {
                left_out += 1;
            } else {
                washboard_checks::wanted_value(&format!("checks {}", &id[..2]), &name, value);
                wanted += 1;
            }
        }
    }
    assert!(left_out == NO_COUNTERPART.len() && wanted > 250, "{wanted} wanted, {left_out} left out");
}

/// One published value, or one of a list.
fn value(id: &str, name: &str, place: Option<usize>) -> f64 {
    let cases = cases();
    let case = cases.iter().find(|c| c["id"].as_str().unwrap().starts_with(id)).unwrap();
    let found = &case["expected"][name];
    place.map_or(found, |i| &found[i]).as_f64().unwrap_or_else(|| panic!("{id} {name}"))
}

fn check(id: &str, name: &str, place: Option<usize>, source: &str, got: f64, share: f64) {
    let what = format!("quarter car, {name}{}", place.map_or(String::new(), |i| format!(" {i}")));
    washboard_checks::relative(what, &format!("checks {id}: {source}"), got, value(id, name, place), share);
}

/// Least and greatest frequency of integrals over the response, Hz, and steps between them.
const BAND_HZ: (f64, f64) = (0.2, 100.0);
const STEPS: usize = 500;
const TYRE: f64 = 250_000.0;
/// One-sided density of the road's velocity, class C at 20 m/s, (m/s)²/Hz: checks.json 01.
const ROAD: f64 = 0.002021294981343101;

/// Response of the quarter car of the published values, and its frequencies.
struct Linear {
    hz: Vec<f64>,
    /// Body acceleration, travel rate and tyre deflection over road velocity.
    acceleration: Vec<f64>,
    travel: Vec<f64>,
    tyre: Vec<f64>,
}

impl Linear {
    fn new(damping: f64) -> Self {
        let (low, high) = BAND_HZ;
        let hz: Vec<f64> = (0..=STEPS).map(|i| low * (high / low).powf(i as f64 / STEPS as f64)).collect();
        let study = Study::new(&quarter(damping, damping, &[]), &Profiles::default()).unwrap();
        let request = ResponseRequest {
            speed_km_h: 72.0,
            roughness_m_per_s2: 2.0,
            // Small, so that the wheel never lifts.
            velocity_amplitude_m_per_s: 0.01,
            frequencies_hz: hz.clone(),
        };
        let r = study.response(Model::QuarterFront, 0, 0, &request, &progress()).unwrap();
        let tyre = r.wheel_load_per_road_velocity_n_s_per_m[0].1.iter().map(|x| x / TYRE).collect();
        let travel = r.travel_per_road_height[0].1.iter().zip(&hz).map(|(x, f)| x / (TAU * f)).collect();
        Linear { acceleration: r.body_acceleration_per_road_velocity_per_s, travel, tyre, hz }
    }

    /// Integral of a squared magnitude times the road's density over frequency, trapezoidal over its logarithm.
    fn square(&self, magnitude: impl Fn(usize) -> f64) -> f64 {
        let step = (BAND_HZ.1 / BAND_HZ.0).ln() / STEPS as f64;
        let each = |i: usize| magnitude(i).powi(2) * self.hz[i] * step * if i == 0 || i == STEPS { 0.5 } else { 1.0 };
        ROAD * (0..=STEPS).map(each).sum::<f64>()
    }

    fn acceleration_rms(&self) -> f64 {
        self.square(|i| self.acceleration[i]).sqrt()
    }

    /// Above the band the wheel stands still and the tyre's deflection is the road's height.
    fn tyre_rms(&self) -> f64 {
        (self.square(|i| self.tyre[i]) + ROAD / (TAU * TAU * BAND_HZ.1)).sqrt()
    }
}

#[test]
fn white_road_velocity_gives_the_closed_forms() {
    let source = "closed form (Lyapunov)";
    let at = |c: f64| Linear::new(c);
    let car = at(1500.0);
    let rate = car.square(|i| car.travel[i] * TAU * car.hz[i]).sqrt();
    check("09", "rms_body_acc", None, source, car.acceleration_rms(), 4e-3);
    check("09", "rms_susp", None, source, car.square(|i| car.travel[i]).sqrt(), 4e-3);
    check("09", "rms_rel_vel", None, source, rate, 4e-3);
    check("09", "mean_damper_power_W", None, source, 1500.0 * rate * rate, 8e-3);
    check("09", "rms_tyre_defl", None, source, car.tyre_rms(), 4e-3);
    check("09", "DLC", None, source, car.tyre_rms() * TYRE / (450.0 * 9.80665), 4e-3);
    let ends = [at(300.0), at(3900.0)];
    for (i, car) in ends.iter().enumerate() {
        check("09", "rms_acc_c300_c3900", Some(i), source, car.acceleration_rms(), 8e-3);
        check("09", "rms_tyre_c300_c3900", Some(i), source, car.tyre_rms(), 8e-3);
    }

    // Case 11: the same through weightings and bands with upright edges.
    let source = "quadrature of |H|² W² G";
    let band = |from: f64, to: f64| {
        car.square(|i| if (from..to).contains(&car.hz[i]) { car.acceleration[i] } else { 0.0 }).sqrt()
    };
    check("11", "a_unweighted", None, source, car.acceleration_rms(), 4e-3);
    check("11", "primary_0p5_5", None, source, band(0.5, 5.0), 0.01);
    check("11", "secondary_5_25", None, source, band(5.0, 25.0), 0.01);
    for (name, weighting) in [("aw_Wk", Weighting::Wk), ("aw_Wb", Weighting::Wb)] {
        let weighted = car.square(|i| car.acceleration[i] * weighting.gain(car.hz[i])).sqrt();
        check("11", name, None, source, weighted, 4e-3);
    }

    // Case 10: the squares are a c + b/c (acceleration; tyre with a term that stays), so that three dampings give the best one.
    let source = "best damping of the closed form";
    let fit = |f: &dyn Fn(&Linear) -> f64| {
        let (c, y) = ([300.0, 1500.0, 3900.0], [f(&ends[0]), f(&car), f(&ends[1])].map(|x| x * x));
        // y = a c + b/c + d, solved by differences.
        let row = |i: usize, j: usize| (c[i] - c[j], 1.0 / c[i] - 1.0 / c[j], y[i] - y[j]);
        let (p, q) = (row(0, 1), row(1, 2));
        let det = p.0 * q.1 - p.1 * q.0;
        let (a, b) = ((p.2 * q.1 - p.1 * q.2) / det, (p.0 * q.2 - p.2 * q.0) / det);
        (b / a).sqrt()
    };
    let (comfort, tyre) = (fit(&Linear::acceleration_rms), fit(&Linear::tyre_rms));
    let critical = 2.0 * (20_000.0_f64 * 400.0).sqrt();
    check("10", "c_comfort", None, source, comfort, 0.02);
    check("10", "zeta_comfort", None, source, comfort / critical, 0.02);
    check("10", "c_tyre", None, source, tyre, 0.02);
    check("10", "zeta_tyre", None, source, tyre / critical, 0.02);
    check("10", "rms_acc_at_c_comfort", None, source, at(comfort).acceleration_rms(), 4e-3);
    check("10", "rms_tyre_at_c_tyre", None, source, at(tyre).tyre_rms(), 6e-3);
}

fn trace(damping: f64, event: Event) -> Trace {
    let mut session = quarter(damping, damping, &[]);
    session.events.push(event);
    traced(&session, 1)
}

/// The same with every plant step divided.
fn traced(session: &Session, times: usize) -> Trace {
    let study = Study::new(session, &Profiles::default()).unwrap().with_finer_steps(times);
    study.trace(Model::QuarterFront, 0, 0, 0)
}

/// Fundamental of a channel over whole periods at the end: magnitude and angle against a sine, rad.
fn fundamental(trace: &Trace, name: &str, hz: f64, periods: f64) -> (f64, f64) {
    let values = trace.channel(name).unwrap().values;
    let step = trace.time_s[1] - trace.time_s[0];
    let count = (periods / hz / step).round() as usize;
    let from = values.len() - 1 - count;
    let part = |f: &dyn Fn(f64) -> f64| {
        2.0 / count as f64 * (from..from + count).map(|i| values[i] * f(TAU * hz * trace.time_s[i])).sum::<f64>()
    };
    let (sine, cosine) = (part(&f64::sin), part(&f64::cos));
    (sine.hypot(cosine), cosine.atan2(sine))
}

#[test]
fn sines_give_the_frequency_response() {
    let source = "closed form of the quarter car";
    for (i, f) in [1.0, 3.0, 10.0, 20.0].into_iter().enumerate() {
        let amplitude = 0.001;
        let trace = trace(1500.0, sine(f, amplitude, 12.0));
        let (body, angle) = fundamental(&trace, "body_heave_m", f, 4.0 * f);
        // Far above its resonance the body moves by a hundredth of the road, and 20 Hz have 50 steps a period.
        let share = if f > 15.0 { 1e-2 } else { 5e-3 };
        check("08", "body_abs", Some(i), source, body / amplitude, share);
        // The one positive angle has gone on falling below -180 degrees.
        washboard_checks::absolute(
            format!("quarter car, body_phase_deg {i}"),
            &format!("checks 08: {source}"),
            angle.to_degrees(),
            value("08", "body_phase_deg", Some(i)),
            1.0,
        );
        let wheel = fundamental(&trace, "front_wheel_height_m", f, 4.0 * f).0;
        check("08", "wheel_abs", Some(i), source, wheel / amplitude, 5e-3);
        let travel = fundamental(&trace, "front_travel_m", f, 4.0 * f).0;
        check("08", "susp_abs", Some(i), source, travel / amplitude, 5e-3);
        let load = fundamental(&trace, "front_wheel_load_n", f, 4.0 * f).0;
        check("08", "tyre_abs", Some(i), source, load / TYRE / amplitude, 5e-3);
    }
    // What is off there is the step: with an eighth of it a tenth is left.
    let mut session = quarter(1500.0, 1500.0, &[]);
    session.events.push(sine(20.0, 0.001, 12.0));
    let body = fundamental(&traced(&session, 8), "body_heave_m", 20.0, 80.0).0 / 0.001;
    check("08", "body_abs", Some(3), "closed form of the quarter car, an eighth of the step", body, 1e-3);
    // Invariant points: where curves of two dampings cross, or touch.
    let source = "invariant points (Hedrick and Butsuen 1990)";
    let (soft, firm) = (Linear::new(300.0), Linear::new(3900.0));
    let crossing = |from: f64, of: &dyn Fn(&Linear, usize) -> f64| {
        let gap = |i: usize| of(&soft, i) / of(&firm, i) - 1.0;
        let i = (1..STEPS).find(|&i| soft.hz[i] > from && gap(i - 1) * gap(i) <= 0.0).unwrap();
        let share = gap(i - 1) / (gap(i - 1) - gap(i));
        let at = |list: &dyn Fn(usize) -> f64| list(i - 1) + share * (list(i) - list(i - 1));
        (at(&|i| soft.hz[i]), at(&|i| of(&soft, i)))
    };
    let (f, gain) = crossing(8.0, &|car, i| car.acceleration[i] / (TAU * car.hz[i]));
    check("08", "f_inv_body_Hz", None, source, f, 5e-3);
    check("08", "body_at_f_inv", None, source, gain, 0.02);
    check("08", "accel_gain_at_f_inv", None, source, gain * (TAU * f).powi(2), 0.02);
    let travel = |car: &Linear, i: usize| car.travel[i] * TAU * car.hz[i];
    let apart = |i: usize| (travel(&soft, i) / travel(&firm, i) - 1.0).abs();
    let near = (0..STEPS).filter(|&i| (3.0..5.0).contains(&soft.hz[i]));
    let touch = near.min_by(|&i, &j| apart(i).total_cmp(&apart(j))).unwrap();
    let (f, gain) = (soft.hz[touch], travel(&firm, touch));
    check("08", "f_inv_susp_Hz", None, source, f, 0.01);
    check("08", "susp_at_f_inv", None, source, gain, 0.01);
}

#[test]
fn motion_after_a_bump_has_the_modes_of_the_closed_form() {
    // What follows the bump is a sum of two decaying sines: heave and wheel at three samples obey one linear law, whose
    // eigenvalues are the modes.
    let bump =
        EventKind::CosineBump { height_m: 0.01, length_m: 0.6, lead_m: 0.0, side: washboard_session::Side::Both };
    let trace = trace(1500.0, Event::new("bump", 40.0, 1.2, bump));
    let (body, wheel) =
        (trace.channel("body_heave_m").unwrap().values, trace.channel("front_wheel_height_m").unwrap().values);
    let stride = 8;
    let step = stride as f64 * (trace.time_s[1] - trace.time_s[0]);
    let state = |i: usize| nalgebra::Vector4::new(body[i], wheel[i], body[i + stride], wheel[i + stride]);
    let (mut now, mut next) = (nalgebra::Matrix4::zeros(), nalgebra::Matrix4::zeros());
    for i in 80..400 {
        now += state(i) * state(i).transpose();
        next += state(i + stride) * state(i).transpose();
    }
    let law = next * now.try_inverse().unwrap();
    let mut modes: Vec<_> = law.complex_eigenvalues().iter().map(|z| z.ln() / step).filter(|p| p.im > 0.0).collect();
    modes.sort_by(|a, b| a.im.total_cmp(&b.im));
    assert_eq!(modes.len(), 2);
    for (i, mode) in modes.iter().enumerate() {
        check("07", "damped_model_fn_Hz", Some(i), "eigenvalues", mode.norm() / TAU, 5e-3);
        check("07", "zeta", Some(i), "eigenvalues", -mode.re / mode.norm(), 0.01);
    }
}

#[test]
fn nonlinear_dampers_give_the_published_figures() {
    let f = value("08", "f_inv_body_Hz", None);
    let mut session = quarter(300.0, 3900.0, &[]);
    session.modes[0].law = washboard_session::Law::OnOff;
    // The law scales with amplitude; 1 mm stands for 10 mm, at which the wheel would lift.
    session.events.push(sine(f, 0.001, 20.0));
    let trace = Study::new(&session, &Profiles::default()).unwrap().trace(Model::QuarterFront, 0, 0, 0);
    let (gain, angle) = fundamental(&trace, "body_heave_m", f, 100.0);
    let source = "constraint of Hedrick and Butsuen 1990, any law";
    check("13", "fundamental_body_over_road", None, source, gain / 0.001, 0.01);
    check("13", "phase_deg_abs", None, source, angle.to_degrees().abs(), 0.01);
    let mut session = quarter(1500.0, 1500.0, &[]);
    for (v, row) in session.dampers[0].velocity_m_per_s.clone().iter().zip(&mut session.dampers[0].force_n) {
        row.fill(if *v > 0.0 { 2250.0 * v } else { 750.0 * v });
    }
    session.events.push(sine(3.0, 0.01, 30.0));
    let trace = Study::new(&session, &Profiles::default()).unwrap().trace(Model::QuarterFront, 0, 0, 0);
    let force = trace.channel("front_damper_force_n").unwrap().values;
    // Whole periods at the end: 30 of them in 10 s. What the damper pulls down on average the spring holds up.
    let mean = force[20_000..30_000].iter().sum::<f64>() / 10_000.0;
    check("13", "asym_mean_force_check", None, "Runge-Kutta integration", -mean, 0.01);
}

/// Ramp of 0.3 s on the car of case 14, and the roll damping that the delay tells.
#[test]
fn a_ramp_rolls_the_body_as_published() {
    let Rolling { mut session, stiffness_n_m_per_rad: effective, .. } = rolling();
    let ramp = EventKind::LateralStep { acceleration_m_per_s2: 0.4 * 9.81, rise_s: 0.3, start_s: 0.0 };
    session.events.push(Event::new("ramp", 80.0, 8.0, ramp));
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let selection = study.selection(Model::Full, &[], &[], &[]).unwrap();
    let card = &study.evaluate(&selection, &progress()).unwrap().runs[0].card;
    let one = |id| card.worst(id).unwrap();
    let source = "second-order system";
    check(
        "14",
        "overshoot_ramp_0p3s_zeta0p3",
        None,
        source,
        one(washboard_metrics::MetricId::ROLL_OVERSHOOT_SHARE),
        5e-3,
    );
    let delay = one(washboard_metrics::MetricId::ROLL_DELAY);
    check("14", "c_roll_for_zeta0p3", None, "roll delay is damping over stiffness", delay * effective, 0.01);
}
