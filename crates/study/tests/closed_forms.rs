//! Linear dampers against closed forms: frequency response and r.m.s. values of a quarter car, invariant points.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{Rolling, progress, quarter, rolling};
use washboard_metrics::MetricId;
use washboard_study::{Model, Profiles, ResponseRequest, Study};

fn request(frequencies_hz: Vec<f64>) -> ResponseRequest {
    ResponseRequest { speed_km_h: 72.0, roughness_m_per_s2: 2.0, velocity_amplitude_m_per_s: 0.1, frequencies_hz }
}

#[test]
fn response_of_a_linear_damper_is_the_closed_form_within_half_a_percent() {
    // checks.json 08_frf_invariants (closed form): body and travel over road, 400/50 kg, 20/250 kN/m, 1500 N s/m; and the
    // invariant point at sqrt(k_t/m_u), where the ratio is m_u/m_s whatever the damper (Hedrick and Butsuen 1990).
    let frequencies = vec![1.0, 3.0, 10.0, 20.0, 11.253953951963826];
    let body = [2.3962566632466995, 0.2765558447717672, 0.13139275683726626, 0.013473620100875217, 0.125];
    let travel = [1.7114953265900839, 1.1348963122079692, 2.1535517203062207, 0.4489850997648707];
    let tyre = [0.15816156195844136, 0.1459888665293845, 1.7617967199839186, 1.42928226355923];
    let study = Study::new(&quarter(1500.0, 1500.0, &[]), &Profiles::default()).unwrap();
    let r = study.response(Model::QuarterFront, 0, 0, &request(frequencies.clone()), &progress()).unwrap();
    assert!(r.settled.iter().all(|s| *s));
    let close = |got: f64, want: f64, what: &str| {
        let source = "checks 08: closed form of the quarter car; invariant point of Hedrick and Butsuen 1990";
        washboard_checks::relative(what, source, got, want, 0.005);
    };
    for (i, f) in frequencies.iter().enumerate() {
        close(r.body_transmissibility[i], body[i], &format!("body at {f} Hz"));
        if i < 4 {
            close(r.travel_per_road_height[0].1[i], travel[i], &format!("travel at {f} Hz"));
            let load = 250_000.0 * tyre[i] / (std::f64::consts::TAU * f);
            close(r.wheel_load_per_road_velocity_n_s_per_m[0].1[i], load, &format!("wheel load at {f} Hz"));
        }
    }
}

#[test]
fn the_invariant_point_holds_for_an_on_off_law() {
    // m_u/m_s = 0.125 holds for the fundamental of any law between body and wheel; small amplitude, so that the tyre stays
    // on the road. An independent program gave 0.125148 at 1 ms control; within 1 %.
    let mut session = quarter(300.0, 3900.0, &[]);
    session.modes[0].law = washboard_session::Law::OnOff;
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let r = study.response(Model::QuarterFront, 0, 0, &request(vec![11.253953951963826]), &progress()).unwrap();
    let source = "checks 13: m_u/m_s for any law (Hedrick and Butsuen 1990)";
    washboard_checks::relative(
        "body over road at the invariant point, on/off",
        source,
        r.body_transmissibility[0],
        0.125,
        0.01,
    );
}

#[test]
fn random_road_figures_are_the_closed_form_within_their_scatter() {
    // checks.json 09_white_noise_rms: class C at 20 m/s; acceleration 1.25034 m/s^2, travel 12.3125 mm, dynamic load
    // coefficient 0.24614, damper power 126.33 W. Scatter of 60 s: 1.9 % for the acceleration (independent simulation), more for the
    // travel, which lives at low frequency; means over 8 seeds. The closed form runs over all wavenumbers, the road
    // ends at 2.83 cycles/m, at 20 m/s 56.6 Hz. Above that the wheel stands still and the load is k_t times the road, so
    // that its share is k_t^2 G(n0) n0^2 / 2.83, taken off the closed form here.
    let lost = (250_000.0_f64 / (450.0 * 9.80665)).powi(2) * 256e-6 * 0.01 / 2.83;
    let load = (0.24613770851512645_f64.powi(2) - lost).sqrt();
    let roads: Vec<u64> = (1..=8).collect();
    let study = Study::new(&quarter(1500.0, 1500.0, &roads), &Profiles::default()).unwrap();
    let selection = study.selection(Model::QuarterFront, &[], &[], &[]).unwrap();
    let evaluation = study.evaluate(&selection, &progress()).unwrap();
    let card = &evaluation.overall[0].card;
    for (metric, want, bound) in [
        (MetricId::BODY_ACCELERATION_RMS, 1.2503380891313176, 0.02),
        (MetricId::SUSPENSION_TRAVEL_RMS, 0.012312478369553894, 0.05),
        (MetricId::DYNAMIC_LOAD_COEFFICIENT, load, 0.02),
        (MetricId::DAMPER_POWER, 126.3309363339438, 0.03),
    ] {
        let got = card.mean(metric).unwrap();
        let what = format!("event RandomRoad, metric {}, class C at 20 m/s, mean of 8 x 60 s", metric.name());
        let source = "checks 09: closed form (Lyapunov); bound from the scatter of 60 s";
        washboard_checks::relative(what, source, got, want, bound);
    }
}

#[test]
fn an_asymmetric_damper_jacks_the_body_down() {
    // checks.json 13_nonlinear: 2250/750 N s/m, 10 mm at 3 Hz, mean deflection -5.131 mm (independent RK4).
    let mut session = quarter(1500.0, 1500.0, &[]);
    for (v, row) in session.dampers[0].velocity_m_per_s.clone().iter().zip(&mut session.dampers[0].force_n) {
        row.fill(if *v > 0.0 { 2250.0 * v } else { 750.0 * v });
    }
    session.events.push(common::sine(3.0, 0.01, 30.0));
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let trace = study.trace(Model::QuarterFront, 0, 0, 0);
    let travel = trace.channel("front_travel_m").unwrap().values;
    // Whole periods at the end: 30 of them in 10 s.
    let tail = &travel[20_000..30_000];
    let mean = tail.iter().sum::<f64>() / tail.len() as f64;
    let source = "checks 13: independent Runge-Kutta integration";
    washboard_checks::relative(
        "mean deflection of an asymmetric damper, m",
        source,
        mean,
        -0.0051306466150691865,
        0.01,
    );
}

#[test]
fn a_bump_gives_the_peaks_of_the_independent_solution() {
    // checks.json 12_bumps, 30 mm over 2 m at 30 km/h: solve_ivp at 1e-10 on a grid of 50 us; here the peaks of samples 1 ms
    // apart. Linear tyre, point contact, from rest.
    // The circular hump likewise, 100 mm over 3.7 m at 20 km/h.
    let side = washboard_session::Side::Both;
    let cosine = washboard_session::EventKind::CosineBump { height_m: 0.03, length_m: 2.0, lead_m: 0.0, side };
    let hump = washboard_session::EventKind::CircularHump { height_m: 0.1, length_m: 3.7, lead_m: 0.0, side };
    for (name, speed_km_h, kind, want) in [
        (
            "event CosineBump",
            30.0,
            cosine,
            [
                2.2652498975200164,
                -2.188090151025698,
                -0.023958768003834716,
                0.020143928252095232,
                5563.481534763863,
                3526.8522527980413,
                0.019786576448610118,
            ],
        ),
        (
            "event CircularHump",
            20.0,
            hump,
            [
                3.65270979625187,
                -3.8661371048068536,
                -0.06263249333798337,
                0.07206470437498172,
                6657.500595466343,
                2768.656255708749,
                0.14069945551827642,
            ],
        ),
    ] {
        let mut session = quarter(1500.0, 1500.0, &[]);
        session.events.push(washboard_session::Event::new(name, speed_km_h, 3.0, kind));
        let study = Study::new(&session, &Profiles::default()).unwrap();
        let trace = study.trace(Model::QuarterFront, 0, 0, 0);
        let of = |name: &str| trace.channel(name).unwrap().values;
        let most = |name: &str| of(name).iter().copied().fold(f64::MIN, f64::max);
        let least = |name: &str| of(name).iter().copied().fold(f64::MAX, f64::min);
        for ((what, got), want) in [
            ("acceleration", most("body_acceleration_m_per_s2")),
            ("acceleration down", least("body_acceleration_m_per_s2")),
            ("compression", least("front_travel_m")),
            ("rebound", most("front_travel_m")),
            ("wheel load", most("front_wheel_load_n")),
            ("least wheel load", least("front_wheel_load_n")),
            ("body", most("body_heave_m")),
        ]
        .into_iter()
        .zip(want)
        {
            let source = "checks 12: solve_ivp at 1e-10";
            washboard_checks::relative(format!("{name}, quarter car, peak of {what}"), source, got, want, 0.002);
        }
    }
}

#[test]
fn a_step_of_lateral_acceleration_rolls_the_body_as_a_second_order_system() {
    // checks.json 14_roll: 1280 kg, 0.365 m, 28 650 N m/rad, 600 kg m^2 about the roll axis, damping ratio 0.3: gradient
    // m h/(K - m g h), overshoot exp(-pi zeta/sqrt(1 - zeta^2)) = 0.37233, time of the peak pi/(w sqrt(1 - zeta^2)). The tyre
    // is a stiff spring in series there and here, and the rise takes 0.1 ms instead of none.
    let Rolling { mut session, mass_kg: m, height_m: h, stiffness_n_m_per_rad: effective, .. } = rolling();
    let Rolling { inertia_kg_m2: inertia, damping_ratio: zeta, .. } = rolling();
    let a = 0.4 * 9.81;
    session.events.push(washboard_session::Event {
        name: "step".into(),
        speed_km_h: 80.0,
        duration_s: 6.0,
        settle_s: 0.0,
        weight: 1.0,
        speed_change: None,
        kind: washboard_session::EventKind::LateralStep { acceleration_m_per_s2: a, rise_s: 1e-4, start_s: 0.0 },
    });
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let steady = a * m * h / effective;
    let damped = (1.0 - zeta * zeta).sqrt();
    let overshoot = (-std::f64::consts::PI * zeta / damped).exp();
    assert!((overshoot - 0.3723261049265864).abs() < 1e-9);
    let peak_s = std::f64::consts::PI / ((effective / inertia).sqrt() * damped);
    for model in [Model::Full, Model::RollFront] {
        let trace = study.trace(model, 0, 0, 0);
        let roll = trace.channel("roll_rad").unwrap().values;
        let close = |what: &str, got: f64, want: f64, bound: f64| {
            let what = format!("roll step, {}, {what}", model.label());
            washboard_checks::relative(what, "checks 14: second-order system", got, want, bound);
        };
        close("steady roll", *roll.last().unwrap(), steady, 2e-3);
        let gradient = roll.last().unwrap() / a;
        close("roll gradient, rad/(m/s²)", gradient, 0.019412660644752965, 3e-3);
        close("roll gradient, degrees a g", gradient.to_degrees() * 9.81, 10.911305171068394, 3e-3);
        let (at, peak) = roll.iter().enumerate().fold((0, 0.0), |m, (i, &x)| if x > m.1 { (i, x) } else { m });
        close("overshoot", peak / steady - 1.0, overshoot, 5e-3);
        close("time of the peak", trace.time_s[at], peak_s, 4e-3);
        close("roll frequency, Hz", 0.5 / (trace.time_s[at] * damped), 1.0079834283123446, 4e-3);
    }
}

#[test]
fn the_interval_of_a_random_road_is_as_wide_as_its_scatter() {
    // checks.md: class C at 20 m/s, r.m.s. acceleration 1.25034 m/s^2 (closed form) with a coefficient of variation of
    // 1.9 % at 60 s; of eight draws the 95 % interval of the mean is 2.3646 times that over the root of eight, 1.6 %,
    // which itself scatters by a factor of two.
    let study = Study::new(&quarter(1500.0, 1500.0, &[3]), &Profiles::default()).unwrap();
    let selection = study.selection(Model::QuarterFront, &[], &[], &[]).unwrap();
    let intervals = study.intervals(&selection, 8, &progress()).unwrap();
    let found = intervals.iter().find(|i| i.metric == MetricId::BODY_ACCELERATION_RMS).unwrap();
    assert_eq!(found.draws, 8);
    let share = found.half_width / found.mean;
    assert!((0.008..0.032).contains(&share), "{share}");
    assert!((found.mean - 1.2503380891313176).abs() < 2.0 * found.half_width, "{found:?}");
    assert!(study.intervals(&selection, 1, &progress()).unwrap().is_empty());
}
