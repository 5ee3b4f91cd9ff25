//! The one home of every limit: label, unit, lower and upper bound of each number in a session.
//!
//! The bounds are wide engineering bounds: they let odd but possible cars and test rigs through and stop slips of the unit
//! (mm for m, mA for A) and of a zero too many. Editors, faults and the schema take them from here. What binds two fields
//! together (a centre of gravity between its axles, currents inside the damper's table) is in `check`.

use crate::{fault::plain, numbers::numbered};

/// What one number may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// The structure the number is in, or the kind of event: `Axle`, `CosineBump`.
    pub owner: &'static str,
    /// Name of the field in the document.
    pub field: &'static str,
    /// What it is, in words for people.
    pub label: &'static str,
    /// Its unit in the document; empty for a plain number.
    pub unit: &'static str,
    /// Least value.
    pub lower: f64,
    /// Greatest value.
    pub upper: f64,
    /// True where the least value itself is not allowed.
    pub lower_exclusive: bool,
    /// True where the greatest value itself is not allowed.
    pub upper_exclusive: bool,
    /// True where only whole numbers are allowed.
    pub whole: bool,
}

impl Limit {
    /// A limit whose ends are allowed.
    pub const fn new(
        owner: &'static str,
        field: &'static str,
        label: &'static str,
        unit: &'static str,
        lower: f64,
        upper: f64,
    ) -> Limit {
        let (lower_exclusive, upper_exclusive, whole) = (false, false, false);
        Limit { owner, field, label, unit, lower, upper, lower_exclusive, upper_exclusive, whole }
    }

    /// The same with the lower end not allowed.
    pub const fn above(self) -> Limit {
        Limit { lower_exclusive: true, ..self }
    }

    /// The same for whole numbers.
    pub const fn counted(self) -> Limit {
        Limit { whole: true, ..self }
    }

    /// True where the value is allowed; never for what is not finite.
    pub fn allows(&self, value: f64) -> bool {
        let low = if self.lower_exclusive { value > self.lower } else { value >= self.lower };
        let high = if self.upper_exclusive { value < self.upper } else { value <= self.upper };
        value.is_finite() && low && high && !(self.whole && value.fract() != 0.0)
    }

    /// The range in words: `1 to 20000 kg`, `more than 0 and at most 5`.
    pub fn range(&self) -> String {
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        let whole = if self.whole { "a whole number, " } else { "" };
        let (lower, upper) = (plain(self.lower), plain(self.upper));
        match (self.lower_exclusive, self.upper_exclusive) {
            (false, false) => format!("{whole}{lower} to {upper}{unit}"),
            (true, false) => format!("{whole}more than {lower} and at most {upper}{unit}"),
            (false, true) => format!("{whole}at least {lower} and less than {upper}{unit}"),
            (true, true) => format!("{whole}more than {lower} and less than {upper}{unit}"),
        }
    }

    /// The clause of a fault: `it must be 1 to 20000 kg`.
    pub fn bound(&self) -> String {
        format!("it must be {}", self.range())
    }
}

/// The limit of a field by the structure that holds it (or the kind of event) and its name.
pub fn find(owner: &str, field: &str) -> Option<&'static Limit> {
    all().find(|limit| limit.owner == owner && limit.field == field)
}

/// Every limit there is, those of tables included.
pub fn all() -> impl Iterator<Item = &'static Limit> {
    OF_STRUCTURES.iter().copied().flatten().chain(TABLES.iter().copied())
}

/// Most breakpoints along an axis of a map or a damper table.
pub const MOST_BREAKPOINTS: usize = 200;
/// Most modes, load cases and dampers in a session.
pub const MOST_MODES: usize = 100;
/// Most load cases.
pub const MOST_LOAD_CASES: usize = 100;
/// Most items in a load case.
pub const MOST_ITEMS: usize = 1000;
/// Most dampers.
pub const MOST_DAMPERS: usize = 100;
/// Most events.
pub const MOST_EVENTS: usize = 1000;
/// Most fences.
pub const MOST_FENCES: usize = 1000;
/// Most attributes that a driver judges.
pub const MOST_ATTRIBUTES: usize = 50;
/// Most runs in the logbook.
pub const MOST_RUNS: usize = 100_000;
/// Most sets handed over.
pub const MOST_HANDED_OVER: usize = 10_000;
/// Most values that are still only proposed.
pub const MOST_PROPOSED: usize = 10_000;
/// Longest name, in characters.
pub const LONGEST_NAME: usize = 200;

/// Largest gain of a map, N s/m: ten times what a stiff racing damper has.
const GAIN: f64 = 1e5;

/// Vehicle speed at a row of a map.
pub const MAP_SPEED: Limit = Limit::new("GainMap", "rows", "vehicle speed", "km/h", 0.0, 500.0);
/// Road roughness level at a column of a map.
pub const MAP_ROUGHNESS: Limit = Limit::new("GainMap", "columns", "road roughness level", "m/s^2", 0.0, 1000.0);
/// Lateral demand at a column of a map.
pub const MAP_LATERAL: Limit = Limit::new("GainMap", "columns", "lateral demand", "m/s^2", 0.0, 100.0);
/// Longitudinal demand at a column of a map.
pub const MAP_LONGITUDINAL: Limit = Limit::new("GainMap", "columns", "longitudinal demand", "m/s^2", 0.0, 100.0);
/// A gain of the heave, wheel, roll and pitch maps; below zero it works against the motion it is named after.
pub const MAP_GAIN: Limit = Limit::new("GainMap", "values_n_s_per_m", "gain", "N s/m", -GAIN, GAIN);
/// A gain of the base map: plain damping, never below zero, for a damper can only resist.
pub const MAP_BASE: Limit = Limit::new("GainMap", "values_n_s_per_m", "damping", "N s/m", 0.0, GAIN);
/// A current of the floor map.
pub const MAP_CURRENT: Limit = Limit::new("CurrentMap", "values_a", "least current", "A", -20.0, 20.0);
/// A damper velocity on the bench.
pub const BENCH_VELOCITY: Limit = Limit::new("Damper", "velocity_m_per_s", "damper velocity", "m/s", -20.0, 20.0);
/// A current on the bench.
pub const BENCH_CURRENT: Limit = Limit::new("Damper", "current_a", "current", "A", -20.0, 20.0);
/// A damper force on the bench.
pub const BENCH_FORCE: Limit = Limit::new("Damper", "force_n", "damper force", "N", -2e5, 2e5);

/// A damper velocity of the curve without supply.
pub const LOST_VELOCITY: Limit = Limit::new("ForceCurve", "velocity_m_per_s", "damper velocity", "m/s", -20.0, 20.0);
/// A damper force without supply.
pub const LOST_FORCE: Limit = Limit::new("ForceCurve", "force_n", "damper force", "N", -2e5, 2e5);
/// A damper temperature.
pub const TEMPERATURE: Limit =
    Limit::new("TemperatureScale", "temperature_c", "damper temperature", "°C", -60.0, 250.0);
/// Force over that of the bench.
pub const TEMPERATURE_SCALE: Limit =
    Limit::new("TemperatureScale", "force_scale", "force over that of the bench", "", 0.05, 20.0);
/// Travel into a stop.
pub const STOP_TRAVEL: Limit = Limit::new("StopCurve", "travel_m", "travel beyond the gap", "m", 0.0, 2.0);
/// Force of a stop.
pub const STOP_FORCE: Limit = Limit::new("StopCurve", "force_n", "force of the stop", "N", 0.0, 1e7);
/// Most points of a stop's curve.
pub const MOST_STOP_POINTS: usize = 12;
/// The mass that stands on one axle with its wheels; [`crate::Edit::SetAxleLoad`] takes it.
pub const AXLE_LOAD: Limit = Limit::new("Axle", "load_kg", "load on the axle, wheels included", "kg", 1.0, 20_000.0);

/// Limits of the numbers in tables, which have no path of their own.
pub const TABLES: [&Limit; 16] = [
    &LOST_VELOCITY,
    &LOST_FORCE,
    &TEMPERATURE,
    &TEMPERATURE_SCALE,
    &STOP_TRAVEL,
    &STOP_FORCE,
    &MAP_SPEED,
    &MAP_ROUGHNESS,
    &MAP_LATERAL,
    &MAP_LONGITUDINAL,
    &MAP_GAIN,
    &MAP_BASE,
    &MAP_CURRENT,
    &BENCH_VELOCITY,
    &BENCH_CURRENT,
    &BENCH_FORCE,
];

numbered! {
    struct Vehicle {
        body_mass_kg: "body mass without wheels", "kg", 1.0, 20_000.0;
        roll_inertia_kg_m2: "roll inertia of the body", "kg m^2", 1e-3, 1e6;
        pitch_inertia_kg_m2: "pitch inertia of the body", "kg m^2", 1e-3, 1e6;
        wheelbase_m: "wheelbase", "m", 0.1, 20.0;
        cg_to_front_axle_m: "centre of gravity to front axle", "m", 0.0, 20.0;
        cg_height_m: "height of the centre of gravity", "m", 0.0, 5.0;
    }
    struct Handling {
        front_cornering_compliance_deg_per_g: "slip angle of the front axle at one g", "deg", 0.1, 60.0;
        rear_cornering_compliance_deg_per_g: "slip angle of the rear axle at one g", "deg", 0.1, 60.0;
        yaw_inertia_kg_m2: "yaw inertia of the car", "kg m^2", 1e-3, 1e6;
    }
    struct Point {
        x: "forward of the centre of gravity", "m", -20.0, 20.0;
        y: "left of the centre of gravity", "m", -5.0, 5.0;
        z: "height above ground", "m", 0.0, 10.0;
    }
    struct Axle {
        track_m: "track", "m", 0.1, 5.0;
        wheel_mass_kg: "unsprung mass of one wheel", "kg", 0.1, 2000.0;
        spring_rate_n_per_m: "spring rate at one wheel", "N/m", 1.0, 1e8;
        anti_roll_rate_n_m_per_rad: "roll rate of the anti-roll bar", "N m/rad", 0.0, 1e7;
        tyre_rate_n_per_m: "vertical tyre rate", "N/m", 1.0, 1e8;
        tyre_damping_n_s_per_m: "vertical tyre damping", "N s/m", 0.0, 1e6;
        motion_ratio: "damper travel over wheel travel", "", 0.05, 5.0;
        top_mount_rate_n_per_m: "rate of the damper's top mount", "N/m", 1e4, 1e9;
        roll_centre_height_m: "height of the roll centre", "m", -2.0, 5.0;
        wheel_centre_height_m: "height of the wheels' centre of gravity", "m", 0.0, 3.0;
        anti_pitch_braking_share: "anti-pitch share under braking", "", 0.0, 1.0;
        anti_pitch_driving_share: "anti-pitch share under drive", "", 0.0, 1.0;
        contact_length_m: "length of the contact patch", "m", 0.0, 0.5;
    }
    struct Stop {
        gap_m: "wheel travel to first contact", "m", 0.0, 2.0;
        rate_n_per_m: "rate at first contact", "N/m", 0.0, 1e8;
        progression_n_per_m3: "cubic growth", "N/m^3", 0.0, 1e13;
    }
    struct LoadItem {
        mass_kg: "mass", "kg", 0.0, 20_000.0;
        x_m: "forward of the centre of gravity", "m", -20.0, 20.0;
        y_m: "left of the centre of gravity", "m", -5.0, 5.0;
        z_m: "height above ground", "m", 0.0, 10.0;
    }
    struct Damper {
        dead_time_s: "time from command to first reaction", "s", 0.0, 1.0;
        rise_s: "time constant of a rising current", "s", 0.0, 5.0;
        fall_s: "time constant of a falling current", "s", 0.0, 5.0;
        friction_n: "friction of the damper", "N", 0.0, 5000.0;
        friction_velocity_m_per_s: "velocity of full friction", "m/s", 1e-3, 1.0;
    }
    struct Controller {
        sample_rate_hz: "samples a second", "Hz", 50.0, 20_000.0;
        blend_velocity_m_per_s: "rate below which the current blends to its floor", "m/s", 0.0, 5.0;
    }
    struct Estimated {
        body_leak_hz: "leak of the body rates", "Hz", 0.0, 10.0;
        height_share: "share of the ride heights in the body rates", "", 0.0, 1.0;
        height_low_pass_hz: "low-pass of the ride heights", "Hz", 0.1, 5000.0;
        wheel_leak_hz: "leak of the wheel rates", "Hz", 0.0, 100.0;
        noise_seed (counted): "seed of the sensors' noise", "", 0.0, 4_294_967_295.0;
    }
    struct SensorPlace {
        x_m: "forward of the centre of gravity", "m", -20.0, 20.0;
        y_m: "left of the centre of gravity", "m", -5.0, 5.0;
    }
    struct Accelerometer {
        noise_rms_m_per_s2: "noise of a sample, r.m.s.", "m/s^2", 0.0, 100.0;
        range_m_per_s2 (above): "largest magnitude shown", "m/s^2", 0.0, 1e5;
        resolution_m_per_s2: "step of the reading", "m/s^2", 0.0, 100.0;
        delay_s: "delay to the controller", "s", 0.0, 1.0;
    }
    struct HeightSensor {
        noise_rms_m: "noise of a sample, r.m.s.", "m", 0.0, 0.1;
        range_m (above): "largest travel shown", "m", 0.0, 5.0;
        resolution_m: "step of the reading", "m", 0.0, 0.1;
        delay_s: "delay to the controller", "s", 0.0, 1.0;
    }
    struct Roughness {
        low_hz: "lower corner of the roughness band", "Hz", 0.01, 5000.0;
        high_hz: "upper corner of the roughness band", "Hz", 0.01, 5000.0;
        rise_s: "time constant while roughness rises", "s", 0.0, 60.0;
        fall_s: "time constant while roughness falls", "s", 0.0, 60.0;
    }
    struct Demand {
        rise_s: "time constant while the demand rises", "s", 0.0, 60.0;
        fall_s: "time constant while the demand falls", "s", 0.0, 60.0;
        lead_s: "lead of steering or pedals", "s", 0.0, 5.0;
    }
    struct InverseTable {
        velocities (counted): "velocities in the inverse table", "", 2.0, 1000.0;
        forces (counted): "forces in the inverse table", "", 2.0, 1000.0;
    }
    struct Mixed {
        crossover_hz: "crossover of the mixed law", "Hz", 0.01, 1000.0;
    }
    struct Mode {
        current_min_a: "least current", "A", -20.0, 20.0;
        current_max_a: "most current", "A", -20.0, 20.0;
        slew_a_per_s (above): "fastest change of current", "A/s", 0.0, 1e7;
    }
    struct EndStop {
        zone_m: "travel left where it begins", "m", 1e-4, 2.0;
        rate_m_per_s: "rate at which it is fully there", "m/s", 1e-3, 20.0;
    }
    struct Conditions {
        damper_temperature_c: "damper temperature", "°C", -60.0, 250.0;
    }
    struct AxleScales {
        heave: "scale on the heave map", "", 0.0, 100.0;
        wheel: "scale on the wheel map", "", 0.0, 100.0;
        base: "scale on the base map", "", 0.0, 100.0;
        roll: "scale on the roll map", "", 0.0, 100.0;
        pitch: "scale on the pitch map", "", 0.0, 100.0;
        rebound: "scale in rebound", "", 0.0, 100.0;
        compression: "scale in compression", "", 0.0, 100.0;
    }
    struct Event {
        speed_km_h: "vehicle speed at the start", "km/h", 1.0, 400.0;
        duration_s: "length of the run", "s", 0.1, 3600.0;
        settle_s: "time before metrics count", "s", 0.0, 3600.0;
        weight: "weight in the overall figures", "", 0.0, 1000.0;
    }
    struct SpeedChange {
        to_km_h: "speed afterwards", "km/h", 1.0, 400.0;
        start_s: "when the speed begins to change", "s", 0.0, 3600.0;
        over_s: "time the change takes", "s", 0.01, 3600.0;
        rise_s: "time in which acceleration rises", "s", 0.0, 600.0;
    }
    struct Fence {
        at_most: "upper bound", "", -1e15, 1e15;
        at_least: "lower bound", "", -1e15, 1e15;
    }
    struct Run {
        air_temperature_c: "air temperature", "°C", -60.0, 80.0;
        track_temperature_c: "track temperature", "°C", -60.0, 120.0;
        damper_temperature_c: "damper temperature", "°C", -60.0, 300.0;
    }
    struct TyrePressures {
        front_left: "tyre pressure front left", "bar", 0.1, 15.0;
        front_right: "tyre pressure front right", "bar", 0.1, 15.0;
        rear_left: "tyre pressure rear left", "bar", 0.1, 15.0;
        rear_right: "tyre pressure rear right", "bar", 0.1, 15.0;
    }
    struct Verdict {
        rating: "verdict", "", 1.0, 10.0;
    }
    enum EventKind {
        RandomRoad {
            from_cycles_per_m: "lowest wavenumber", "cycles/m", 1e-4, 100.0;
            to_cycles_per_m: "highest wavenumber", "cycles/m", 1e-4, 100.0;
            ramp_m: "distance over which the road grows", "m", 0.0, 10_000.0;
        }
        CosineBump {
            height_m: "height", "m", -2.0, 2.0;
            length_m: "length along the road", "m", 0.01, 1000.0;
            lead_m: "flat road before it", "m", 0.0, 10_000.0;
        }
        CircularHump {
            height_m: "height in the middle", "m", -2.0, 2.0;
            length_m: "length along the road", "m", 0.01, 1000.0;
            lead_m: "flat road before it", "m", 0.0, 10_000.0;
        }
        Undulation {
            height_m: "height from trough to crest", "m", -2.0, 2.0;
            length_m: "length of a wave", "m", 0.01, 1000.0;
            waves (counted): "number of waves", "", 1.0, 10_000.0;
            right_lag_share: "share of a wave by which the right track is late", "", 0.0, 1.0;
            lead_m: "flat road before it", "m", 0.0, 10_000.0;
        }
        RailwayCrossing {
            tracks (counted): "number of tracks", "", 1.0, 20.0;
            track_spacing_m: "distance between tracks", "m", 1.0, 100.0;
            rail_height_m: "height of the rail heads over the road", "m", -0.2, 0.2;
            groove_width_m: "width of the grooves", "m", 0.001, 0.5;
            groove_depth_m: "depth of the grooves", "m", 0.0, 0.2;
            edge_m: "length of every sloping edge", "m", 0.001, 0.03;
            lead_m: "flat road before the first rail", "m", 0.0, 10_000.0;
        }
        ExpansionJoints {
            spacing_m: "distance from joint to joint", "m", 0.05, 1000.0;
            joints (counted): "number of joints", "", 1.0, 10_000.0;
            gap_m: "length of a joint along the road", "m", 0.002, 10.0;
            depth_m: "depth of a joint", "m", -0.5, 0.5;
            fault_m: "rise of each slab until its end", "m", -0.5, 0.5;
            edge_m: "length of every sloping edge", "m", 0.001, 5.0;
            lead_m: "flat road before the first joint", "m", 0.0, 10_000.0;
        }
        PatchedRoad {
            height_m: "largest height and depth of a patch", "m", 0.0, 0.5;
            length_m: "mean length of a patch", "m", 0.1, 100.0;
            clear_m: "mean length of road between patches", "m", 0.1, 1000.0;
            edge_m: "length of every sloping edge", "m", 0.001, 10.0;
            lead_m: "flat road before the first patch", "m", 0.0, 10_000.0;
        }
        Pothole {
            depth_m: "depth", "m", 0.0, 2.0;
            length_m: "length over all along the road", "m", 0.01, 1000.0;
            edge_m: "length of each sloping edge", "m", 0.001, 500.0;
            lead_m: "flat road before it", "m", 0.0, 10_000.0;
        }
        Sweep {
            from_hz: "first frequency", "Hz", 0.01, 500.0;
            to_hz: "last frequency", "Hz", 0.01, 500.0;
            velocity_amplitude_m_per_s: "amplitude of the road's velocity", "m/s", 0.0, 10.0;
        }
        Harmonic {
            frequency_hz: "frequency", "Hz", 0.01, 500.0;
            amplitude_m: "amplitude of the road's height", "m", 0.0, 2.0;
        }
        Profile {}
        LateralStep {
            acceleration_m_per_s2: "final lateral acceleration", "m/s^2", -30.0, 30.0;
            rise_s: "time of the rise", "s", 0.0, 600.0;
            start_s: "when the rise begins", "s", 0.0, 3600.0;
        }
        LaneChange {
            acceleration_m_per_s2: "peak lateral acceleration", "m/s^2", -30.0, 30.0;
            period_s: "time of the full sine", "s", 0.01, 600.0;
            start_s: "when it begins", "s", 0.0, 3600.0;
        }
        StepSteer {
            acceleration_m_per_s2: "lateral acceleration in the end", "m/s^2", -30.0, 30.0;
            rise_s: "time of the rise", "s", 0.0, 600.0;
            start_s: "when it begins", "s", 0.0, 3600.0;
        }
        SineSteer {
            acceleration_m_per_s2: "amplitude as steady lateral acceleration", "m/s^2", -30.0, 30.0;
            frequency_hz: "frequency", "Hz", 0.01, 20.0;
            periods (counted): "number of periods", "", 1.0, 1000.0;
            start_s: "when it begins", "s", 0.0, 3600.0;
        }
        ConeLaneChange {
            vehicle_width_m: "width of the car", "m", 1.0, 3.0;
            lead_m: "straight way before it", "m", 0.0, 10_000.0;
        }
        Slalom {
            spacing_m: "distance from cone to cone", "m", 1.0, 500.0;
            cones (counted): "number of cones", "", 2.0, 1000.0;
            vehicle_width_m: "width of the car", "m", 1.0, 3.0;
            lead_m: "straight way before it", "m", 0.0, 10_000.0;
        }
        BrakeInBend {
            lateral_m_per_s2: "lateral acceleration before braking", "m/s^2", -30.0, 30.0;
            entry_s: "time of the entry into the circle", "s", 0.0, 600.0;
            start_s: "when the entry begins", "s", 0.0, 3600.0;
            deceleration_m_per_s2: "deceleration", "m/s^2", 0.0, 30.0;
            rise_s: "time in which deceleration rises", "s", 0.0, 600.0;
            brake_s: "when braking begins", "s", 0.0, 3600.0;
        }
        Braking {
            deceleration_m_per_s2: "deceleration", "m/s^2", 0.0, 30.0;
            rise_s: "time of the rise", "s", 0.0, 600.0;
            start_s: "when it begins", "s", 0.0, 3600.0;
            hold_s: "time at full deceleration", "s", 0.0, 3600.0;
        }
        Drive {
            acceleration_m_per_s2: "acceleration", "m/s^2", 0.0, 30.0;
            rise_s: "time of the rise", "s", 0.0, 600.0;
            start_s: "when it begins", "s", 0.0, 3600.0;
            hold_s: "time at full acceleration", "s", 0.0, 3600.0;
        }
    }
}
