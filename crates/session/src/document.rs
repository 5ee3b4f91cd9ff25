//! The session document: plain data in the units of the trade, exactly as it stands in the file.
//!
//! Field names carry the unit. Everything optional has a neutral default that is documented at the field, so that the
//! shortest complete session is `format`, `title`, `vehicle`, `dampers`, `controller.sample_rate_hz`, `modes`, `events`.

use std::sync::Arc;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::below::Below;
use crate::locked::LockedCells;
use crate::resting::{self, ModeInFile, Resting};

pub use crate::event::{ConeCourse, Event, EventKind, RoadClass, Side, Spacing, SpeedChange};

/// The newest document format this program writes; older ones are migrated on reading, newer ones refused.
pub const FORMAT: u32 = 1;

pub(crate) fn one() -> f64 {
    1.0
}
pub(crate) fn is_one(value: &f64) -> bool {
    *value == 1.0
}
// Minus zero is written out: what is left out comes back as plus zero, and a copy must have the same bits.
pub(crate) fn is_zero(value: &f64) -> bool {
    value.to_bits() == 0
}
fn is_immediate(demand: &Demand) -> bool {
    is_zero(&demand.rise_s) && is_zero(&demand.fall_s) && is_zero(&demand.lead_s)
}
/// Attributes that a session begins with; none of them is asked of anybody.
pub(crate) fn first_attributes() -> Vec<String> {
    ["body control", "ride comfort", "impacts", "steering and roll"].map(str::to_owned).to_vec()
}
fn are_first_attributes(attributes: &[String]) -> bool {
    *attributes == first_attributes()
}
pub(crate) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// A whole session: one car, its dampers, its controller, the modes under work and what the car is driven over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Session {
    /// Version of the document format.
    pub format: u32,
    /// What the session is called on screen and in reports.
    pub title: String,
    /// Free text.
    #[serde(default, skip_serializing_if = "is_default")]
    pub notes: String,
    /// The car.
    pub vehicle: Vehicle,
    /// Damper bench data, named; axles refer to them by name.
    pub dampers: Vec<Damper>,
    /// What all modes share: sampling, roughness filter, demand filters.
    pub controller: Controller,
    /// State of the dampers that is assumed. Default: at the bench's temperature and supplied.
    #[serde(default, skip_serializing_if = "is_default")]
    pub conditions: Conditions,
    /// The driving modes. One that rests on another holds in the file only what is its own.
    #[serde(deserialize_with = "resting::read", serialize_with = "resting::write")]
    #[schemars(with = "Vec<ModeInFile>")]
    pub modes: Vec<Mode>,
    /// What the car is driven over or made to do.
    pub events: Vec<Event>,
    /// Name of the mode that the others are compared with; absent: the first mode.
    #[serde(default, skip_serializing_if = "is_default")]
    pub reference_mode: Option<String>,
    /// Bounds that an edit must not cross.
    #[serde(default, skip_serializing_if = "is_default")]
    pub fences: Vec<Fence>,
    /// What a driver judges after a run, in the order of the form. Absent: the four attributes to begin with.
    #[serde(default = "first_attributes", skip_serializing_if = "are_first_attributes")]
    pub verdict_attributes: Vec<String>,
    /// The list of runs.
    #[serde(default, skip_serializing_if = "is_default")]
    pub logbook: Vec<Run>,
    /// Sets handed over so far, oldest first; what stands here never changes.
    #[serde(default, skip_serializing_if = "is_default")]
    pub handed_over: Vec<HandedOver>,
    /// The set in the car now where that is not the one handed over last; absent: that one.
    #[serde(default, skip_serializing_if = "is_default")]
    pub in_car: Option<InCar>,
    /// Identity of the set that the modes under work go on from; absent: of none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub began_from: Option<String>,
    /// Who answers for sets beyond a draft. Absent: nobody yet.
    #[serde(default, skip_serializing_if = "is_default")]
    pub release: Option<Release>,
    /// What was proposed for a new car and nobody has touched yet: paths of numbers and structures of the car, members of
    /// lists as `dampers/NAME`. Default: nothing.
    #[serde(default, skip_serializing_if = "is_default")]
    pub proposed: Vec<String>,
    /// The session this one rests on; a file names it in `rests_on` and then holds only what deviates, see
    /// [`below`](mod@crate::below).
    #[serde(skip)]
    #[schemars(skip)]
    pub below: Option<Box<Below>>,
}

impl Session {
    /// The set in the car now, and since when (RFC 3339); absent where none was handed over yet.
    pub fn set_in_car(&self) -> Option<(&HandedOver, &str)> {
        let told = self.in_car.as_ref().and_then(|told| {
            let set = self.handed_over.iter().rev().find(|set| set.identity == told.identity)?;
            Some((set, told.since.as_str()))
        });
        told.or_else(|| self.handed_over.last().map(|set| (set, set.time.as_str())))
    }
}

/// State of the dampers in all runs: a scenario beside the load cases.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Conditions {
    /// Temperature of the dampers, degrees Celsius; scales their bench forces by `temperature`. Absent: as on the bench.
    #[serde(skip_serializing_if = "is_default")]
    pub damper_temperature_c: Option<f64>,
    /// True where the valves have no current: every damper follows its curve `supply_lost`. Default false.
    #[serde(skip_serializing_if = "is_default")]
    pub supply_lost: bool,
}

/// The car without its load: masses, inertias, geometry, axles.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Vehicle {
    /// Name of the car.
    pub name: String,
    /// Mass of the body without wheels, kg.
    pub body_mass_kg: f64,
    /// Roll inertia of the body about its own centre of gravity, kg m^2.
    pub roll_inertia_kg_m2: f64,
    /// Pitch inertia of the body about its own centre of gravity, kg m^2.
    pub pitch_inertia_kg_m2: f64,
    /// Distance between the axles, m.
    pub wheelbase_m: f64,
    /// Distance from the body's centre of gravity back to front axle, m.
    pub cg_to_front_axle_m: f64,
    /// Height of the body's centre of gravity above ground, m.
    pub cg_height_m: f64,
    /// Where the ride is judged; absent: the centre of gravity.
    #[serde(default, skip_serializing_if = "is_default")]
    pub seat_m: Option<Point>,
    /// Front axle.
    pub front: Axle,
    /// Rear axle.
    pub rear: Axle,
    /// How the car answers to the steering wheel; only steered manoeuvres use it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub handling: Handling,
    /// Who and what is aboard, beyond the car as described.
    #[serde(default, skip_serializing_if = "is_default")]
    pub load_cases: Vec<LoadCase>,
}

/// The car as the linear single-track model sees it: enough for the lateral acceleration that follows from steering.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Handling {
    /// Slip angle of the front axle for a lateral acceleration of one g, with what steering and suspension add, deg.
    /// Default 5.5 (common practice, no source).
    pub front_cornering_compliance_deg_per_g: f64,
    /// The same of the rear axle. Default 3.5 (common practice, no source).
    pub rear_cornering_compliance_deg_per_g: f64,
    /// Yaw inertia of the whole car, kg m^2. Absent: mass times the distances from centre of gravity to front and rear axle.
    #[serde(skip_serializing_if = "is_default")]
    pub yaw_inertia_kg_m2: Option<f64>,
}

impl Default for Handling {
    fn default() -> Self {
        Handling {
            front_cornering_compliance_deg_per_g: 5.5,
            rear_cornering_compliance_deg_per_g: 3.5,
            yaw_inertia_kg_m2: None,
        }
    }
}

/// A point in the car: x forward and y left of the centre of gravity's foot on the ground, z above ground, m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Forward of the centre of gravity, m.
    pub x: f64,
    /// Left of the centre of gravity, m.
    pub y: f64,
    /// Above ground, m.
    pub z: f64,
}

/// One axle; every rate is given at the wheel, every mass for one wheel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Axle {
    /// Distance between left and right wheel, m.
    pub track_m: f64,
    /// Unsprung mass of one wheel, kg.
    pub wheel_mass_kg: f64,
    /// Spring rate at one wheel, N/m.
    pub spring_rate_n_per_m: f64,
    /// Roll rate of the anti-roll bar, N m/rad. Default 0: no bar.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub anti_roll_rate_n_m_per_rad: f64,
    /// Vertical tyre rate, N/m.
    pub tyre_rate_n_per_m: f64,
    /// Vertical tyre damping, N s/m. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub tyre_damping_n_s_per_m: f64,
    /// Damper travel over wheel travel. Default 1.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub motion_ratio: f64,
    /// Rate of the damper's top mount, in line with the damper, N/m. Absent: rigid.
    #[serde(default, skip_serializing_if = "is_default")]
    pub top_mount_rate_n_per_m: Option<f64>,
    /// Height of the roll centre above ground, m. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub roll_centre_height_m: f64,
    /// Height of the wheels' centre of gravity above ground, m; it carries their own lateral load transfer. Default 0: none.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub wheel_centre_height_m: f64,
    /// Share of the pitch moment that bypasses the springs of this axle under braking (anti-dive in front, anti-lift
    /// behind), 0 to 1. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub anti_pitch_braking_share: f64,
    /// The same under drive (anti-lift in front, anti-squat behind), 0 to 1. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub anti_pitch_driving_share: f64,
    /// Stop at the end of compression. Absent: none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub bump_stop: Option<Stop>,
    /// Stop at the end of rebound. Absent: none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub rebound_stop: Option<Stop>,
    /// Length of the contact patch, m: the tyre feels the road's mean over it. Default 0: it follows a point.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub contact_length_m: f64,
    /// Name of the damper fitted, one on each wheel.
    pub damper: String,
}

/// An elastic stop, at the wheel: force = rate * x + progression * x^3 + curve(x) with x the travel beyond the gap.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stop {
    /// Wheel travel from the position of the car as described to first contact, m.
    pub gap_m: f64,
    /// Rate at first contact, N/m.
    pub rate_n_per_m: f64,
    /// Cubic growth, N/m^3. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub progression_n_per_m3: f64,
    /// Measured force over travel beyond the gap, beside rate and progression. Absent: none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub curve: Option<StopCurve>,
}

/// Measured force of a stop over travel, at the wheel: linear between its points, continued by its last piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StopCurve {
    /// Travel beyond the gap, m, from 0, strictly rising.
    pub travel_m: Vec<f64>,
    /// Force, N, from 0, not falling; one a travel.
    pub force_n: Vec<f64>,
}

/// One load case: items put into the car as described.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadCase {
    /// Name on screen and in results.
    pub name: String,
    /// What is aboard.
    #[serde(default)]
    pub items: Vec<LoadItem>,
    /// True where the car's own levelling brings the body back to its height, so that the stop gaps stay. Default false.
    #[serde(default, skip_serializing_if = "is_default")]
    pub levelled: bool,
}

/// One mass aboard; its place counts from the centre of gravity's foot on the ground.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadItem {
    /// What it is.
    #[serde(default, skip_serializing_if = "is_default")]
    pub name: String,
    /// Its mass, kg.
    pub mass_kg: f64,
    /// Forward of the centre of gravity, m.
    pub x_m: f64,
    /// Left of the centre of gravity, m.
    pub y_m: f64,
    /// Above ground, m.
    pub z_m: f64,
}

/// Bench data of one damper: force over velocity and current, and how fast its valve follows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Damper {
    /// Name that the axles refer to.
    pub name: String,
    /// Damper velocities, m/s, strictly rising, both signs, zero among them; rebound positive.
    pub velocity_m_per_s: Vec<f64>,
    /// Currents, A, strictly rising.
    pub current_a: Vec<f64>,
    /// Forces, N: one row a velocity, one column a current; of the velocity's sign.
    pub force_n: Vec<Vec<f64>>,
    /// Time from command to first reaction, s. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub dead_time_s: f64,
    /// Time constant of the current when it rises, s (10 to 90 % takes 2.2 of them). Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub rise_s: f64,
    /// Time constant of the current when it falls, s. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub fall_s: f64,
    /// Friction of the damper beside its bench force, N: `friction_n` times the velocity over `friction_velocity_m_per_s`,
    /// held at one either way (regularised Coulomb friction). The controller does not know it. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub friction_n: f64,
    /// Damper velocity at which the friction is fully there, m/s. Default 0.01.
    #[serde(default = "hundredth", skip_serializing_if = "is_hundredth")]
    pub friction_velocity_m_per_s: f64,
    /// Force without supply, whatever the current was. Absent: not known.
    #[serde(default, skip_serializing_if = "is_default")]
    pub supply_lost: Option<ForceCurve>,
    /// Force over that of the bench at other temperatures. Absent: not known.
    #[serde(default, skip_serializing_if = "is_default")]
    pub temperature: Option<TemperatureScale>,
}

fn hundredth() -> f64 {
    0.01
}
fn is_hundredth(v: &f64) -> bool {
    *v == 0.01
}

/// A damper force over velocity alone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ForceCurve {
    /// Damper velocities, m/s, strictly rising, both signs, zero among them; rebound positive.
    pub velocity_m_per_s: Vec<f64>,
    /// Forces, N, of the velocity's sign; one a velocity.
    pub force_n: Vec<f64>,
}

/// Scale on the bench force over temperature: linear between its points, held at its ends.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TemperatureScale {
    /// Damper temperatures, degrees Celsius, strictly rising.
    pub temperature_c: Vec<f64>,
    /// Force over that of the bench, one a temperature.
    pub force_scale: Vec<f64>,
}

/// What all modes share.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Controller {
    /// Samples of the control law a second, Hz.
    pub sample_rate_hz: f64,
    /// Where the law's states come from. Default ideal.
    #[serde(default, skip_serializing_if = "is_default")]
    pub states: States,
    /// Filter that makes the road roughness level.
    #[serde(default, skip_serializing_if = "is_default")]
    pub roughness: Roughness,
    /// Filter that makes the lateral demand.
    #[serde(default, skip_serializing_if = "is_immediate")]
    pub lateral_demand: Demand,
    /// Filter that makes the longitudinal demand.
    #[serde(default, skip_serializing_if = "is_immediate")]
    pub longitudinal_demand: Demand,
    /// Below this damper-independent corner rate the current blends to its floor, m/s. Default 0: no blending.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub blend_velocity_m_per_s: f64,
    /// Size of the inverse damper tables that are handed over with a set.
    #[serde(default, skip_serializing_if = "is_default")]
    pub inverse_table: InverseTable,
}

/// Where the control law's states come from.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub enum States {
    /// The controller knows the true states.
    #[default]
    Ideal,
    /// The controller estimates them from the sensors of the car.
    Estimated(Box<Estimated>),
}

/// Sensors of the car and the filters that make the law's states of their readings.
///
/// Body accelerations follow from the three accelerometers; body rates are their leaky integral, `q' = q" + w (s u - q')`
/// with w = 2 pi `body_leak_hz`, s = `height_share` and u the body rates seen by the ride heights (least squares); the
/// suspension rate is the ride height through a first-order low-pass, differentiated; wheel rates come from the wheel
/// accelerometers by a leaky integral, or where none is fitted from body rate at the corner minus suspension rate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Estimated {
    /// Places of the three body accelerometers; not in one line. Default 1 m ahead on both sides and 1 m behind.
    pub body_sensors: Vec<SensorPlace>,
    /// Axles with accelerometers on their wheels. Default none.
    pub wheel_accelerometers: Fitted,
    /// Leak of the body rates, Hz. Default 0.1.
    pub body_leak_hz: f64,
    /// How far the body rates lean on the ride heights below the leak, 0 (not at all) to 1. Default 0.
    #[serde(skip_serializing_if = "is_zero")]
    pub height_share: f64,
    /// Low-pass of the ride height before it is differentiated, Hz. Default 40.
    pub height_low_pass_hz: f64,
    /// Leak of the wheel rates where wheel accelerometers are fitted, Hz. Default 0.5.
    pub wheel_leak_hz: f64,
    /// The body accelerometers. Default without errors.
    #[serde(skip_serializing_if = "is_default")]
    pub body_accelerometer: Accelerometer,
    /// The ride-height sensors, one a corner, scaled to wheel travel. Default without errors.
    #[serde(skip_serializing_if = "is_default")]
    pub height_sensor: HeightSensor,
    /// The wheel accelerometers. Default without errors.
    #[serde(skip_serializing_if = "is_default")]
    pub wheel_accelerometer: Accelerometer,
    /// Seed of the noise: the same seed is the same noise, in every run. Default 1.
    pub noise_seed: u32,
}

impl Default for Estimated {
    fn default() -> Self {
        let at = |x_m: f64, y_m: f64| SensorPlace { x_m, y_m };
        Estimated {
            body_sensors: vec![at(1.0, 0.5), at(1.0, -0.5), at(-1.0, 0.0)],
            wheel_accelerometers: Fitted::None,
            body_leak_hz: 0.1,
            height_share: 0.0,
            height_low_pass_hz: 40.0,
            wheel_leak_hz: 0.5,
            body_accelerometer: Accelerometer::default(),
            height_sensor: HeightSensor::default(),
            wheel_accelerometer: Accelerometer::default(),
            noise_seed: 1,
        }
    }
}

/// Where a body accelerometer stands; counts from the centre of gravity of the car as described.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SensorPlace {
    /// Forward of the centre of gravity, m.
    pub x_m: f64,
    /// Left of the centre of gravity, m.
    pub y_m: f64,
}

/// Axles that have a sensor on each wheel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Fitted {
    /// No axle.
    #[default]
    None,
    /// The front axle.
    Front,
    /// The rear axle.
    Rear,
    /// Both axles.
    Both,
}

/// Errors of an accelerometer: reading = delayed(stepped(limited(truth + noise))).
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Accelerometer {
    /// Standard deviation of the noise of a sample, m/s^2. Default 0.
    #[serde(skip_serializing_if = "is_zero")]
    pub noise_rms_m_per_s2: f64,
    /// Largest magnitude it shows, m/s^2. Absent: without end.
    #[serde(skip_serializing_if = "is_default")]
    pub range_m_per_s2: Option<f64>,
    /// Step of its reading, m/s^2. Default 0: continuous.
    #[serde(skip_serializing_if = "is_zero")]
    pub resolution_m_per_s2: f64,
    /// How late the controller gets it, s; rounded to control samples. Default 0.
    #[serde(skip_serializing_if = "is_zero")]
    pub delay_s: f64,
}

/// Errors of a ride-height sensor: reading = delayed(stepped(limited(truth + noise))).
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct HeightSensor {
    /// Standard deviation of the noise of a sample, m of wheel travel. Default 0.
    #[serde(skip_serializing_if = "is_zero")]
    pub noise_rms_m: f64,
    /// Largest travel it shows either way from the car as described, m. Absent: without end.
    #[serde(skip_serializing_if = "is_default")]
    pub range_m: Option<f64>,
    /// Step of its reading, m. Default 0: continuous.
    #[serde(skip_serializing_if = "is_zero")]
    pub resolution_m: f64,
    /// How late the controller gets it, s; rounded to control samples. Default 0.
    #[serde(skip_serializing_if = "is_zero")]
    pub delay_s: f64,
}

/// Road roughness level: wheel acceleration, band-passed, rectified, smoothed with its own rise and fall times.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Roughness {
    /// Lower corner of the second-order Butterworth band-pass, Hz. Default 8.
    pub low_hz: f64,
    /// Upper corner, Hz. Default 16.
    pub high_hz: f64,
    /// Time constant while the level rises, s. Default 0.3.
    pub rise_s: f64,
    /// Time constant while it falls, s. Default 1.0.
    pub fall_s: f64,
}

impl Default for Roughness {
    fn default() -> Self {
        Roughness { low_hz: 8.0, high_hz: 16.0, rise_s: 0.3, fall_s: 1.0 }
    }
}

/// Demand level: the larger of the magnitudes of the acceleration measured and the one predicted, fast up and slow down.
///
/// Steering leads the lateral acceleration, brake and drive pedal lead the longitudinal one: the prediction is the
/// manoeuvre's acceleration `lead_s` ahead.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Demand {
    /// Time constant while the demand rises, s. Default 0: at once.
    pub rise_s: f64,
    /// Time constant while it falls, s. Default 0: at once.
    pub fall_s: f64,
    /// How far ahead steering, or brake and drive, tell the acceleration, s. Default 0: measured only.
    #[serde(skip_serializing_if = "is_zero")]
    pub lead_s: f64,
}

/// Size of the finite inverse damper table (current over wanted force and rate) that the control unit holds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct InverseTable {
    /// Number of damper velocities, spread over the bench data's range. Default 21.
    pub velocities: u32,
    /// Number of forces, spread over the bench data's range. Default 21.
    pub forces: u32,
}

impl Default for InverseTable {
    fn default() -> Self {
        InverseTable { velocities: 21, forces: 21 }
    }
}

/// Which control law a mode runs.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub enum Law {
    /// Wanted force from the maps, inverted through the damper table.
    #[default]
    Continuous,
    /// Firm end where the wanted force and the rate agree in sign, else soft end.
    OnOff,
    /// Firm end where body acceleration and rate at the corner agree in sign, else soft end.
    AccelerationDriven,
    /// On/off skyhook below the crossover, acceleration-driven above (Savaresi and Spelta).
    Mixed(Mixed),
}

/// Settings of the mixed law.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mixed {
    /// Where the law changes from skyhook to acceleration-driven, Hz.
    pub crossover_hz: f64,
}

/// One driving mode: a full set of gain maps and settings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mode {
    /// Name on screen and in results.
    pub name: String,
    /// What it rests on, and what of it is its own. Absent: it stands alone.
    #[serde(default, skip_serializing_if = "is_default")]
    #[schemars(skip)]
    pub rests_on: Option<Box<Resting>>,
    /// What it is for, in the engineer's words.
    #[serde(default, skip_serializing_if = "is_default")]
    pub purpose: String,
    /// The control law.
    #[serde(default)]
    pub law: Law,
    /// Skyhook gain on body heave: rows speed km/h, columns roughness level m/s^2.
    pub heave: GainMap,
    /// Groundhook gain on wheel rate: rows speed km/h, columns roughness level m/s^2.
    pub wheel: GainMap,
    /// Plain damping on the corner's own rate: rows speed km/h, columns roughness level m/s^2.
    pub base: GainMap,
    /// Skyhook gain on roll: rows speed km/h, columns lateral demand m/s^2.
    pub roll: GainMap,
    /// Skyhook gain on pitch: rows speed km/h, columns longitudinal demand m/s^2.
    pub pitch: GainMap,
    /// Least current whatever is asked: rows speed km/h, columns lateral demand m/s^2. Absent: none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub floor: Option<CurrentMap>,
    /// Extra firm demand near the ends of travel. Absent: none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub end_stop: Option<EndStop>,
    /// Scales of the maps at the front axle.
    #[serde(default, skip_serializing_if = "is_default")]
    pub front: AxleScales,
    /// Scales of the maps at the rear axle.
    #[serde(default, skip_serializing_if = "is_default")]
    pub rear: AxleScales,
    /// Least current, A.
    pub current_min_a: f64,
    /// Most current, A.
    pub current_max_a: f64,
    /// Fastest change of the commanded current, A/s. Absent: unlimited.
    #[serde(default, skip_serializing_if = "is_default")]
    pub slew_a_per_s: Option<f64>,
    /// Cells that no edit may change; the car does not see them. Default: none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub locked: LockedCells,
}

/// Extra firm demand near the ends of travel, on every law: while a corner moves towards a stop, the current goes at least
/// the share `(1 - left / zone_m) * |v| / rate_m_per_s`, both factors held between 0 and 1, of the way from soft to firm
/// end; `left` is the travel left to the stop's first contact, v the corner's rate.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndStop {
    /// Travel left at which it begins, m at the wheel.
    pub zone_m: f64,
    /// Rate at which it is fully there, m/s at the wheel.
    pub rate_m_per_s: f64,
}

/// A gain map: bilinear between breakpoints, held at the edges.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GainMap {
    /// Row breakpoints: vehicle speed, km/h, strictly rising.
    pub rows: Vec<f64>,
    /// Column breakpoints: road roughness level or demand, m/s^2, strictly rising.
    pub columns: Vec<f64>,
    /// Gains at the wheel, N s/m: one row a speed.
    pub values_n_s_per_m: Vec<Vec<f64>>,
}

/// A map of currents: bilinear between breakpoints, held at the edges.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CurrentMap {
    /// Row breakpoints: vehicle speed, km/h, strictly rising.
    pub rows: Vec<f64>,
    /// Column breakpoints: lateral demand, m/s^2, strictly rising.
    pub columns: Vec<f64>,
    /// Currents, A: one row a speed.
    pub values_a: Vec<Vec<f64>>,
}

/// Scales of one axle on the maps; all default 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct AxleScales {
    /// On the heave map.
    pub heave: f64,
    /// On the wheel map.
    pub wheel: f64,
    /// On the base map.
    pub base: f64,
    /// On the roll map.
    pub roll: f64,
    /// On the pitch map.
    pub pitch: f64,
    /// On heave, wheel and base while the damper extends.
    pub rebound: f64,
    /// On heave, wheel and base while the damper shortens.
    pub compression: f64,
}

impl Default for AxleScales {
    fn default() -> Self {
        AxleScales { heave: 1.0, wheel: 1.0, base: 1.0, roll: 1.0, pitch: 1.0, rebound: 1.0, compression: 1.0 }
    }
}

/// A bound on a metric that an edit must not cross. Per-corner metrics are judged by their worst corner.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fence {
    /// Name of the metric as in `evaluate --json`.
    pub metric: String,
    /// Upper bound, in the metric's SI unit; with `relative_to` a factor on the reference's figure.
    #[serde(default, skip_serializing_if = "is_default")]
    pub at_most: Option<f64>,
    /// Lower bound, likewise.
    #[serde(default, skip_serializing_if = "is_default")]
    pub at_least: Option<f64>,
    /// Mode whose figure the bounds multiply; absent: bounds are absolute.
    #[serde(default, skip_serializing_if = "is_default")]
    pub relative_to: Option<String>,
    /// Event it holds for; absent: the weighted mean over all events.
    #[serde(default, skip_serializing_if = "is_default")]
    pub event: Option<String>,
    /// Modes it holds for; empty: all.
    #[serde(default, skip_serializing_if = "is_default")]
    pub modes: Vec<String>,
}

/// One run in the logbook.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Run {
    /// When, as written (RFC 3339 where the program wrote it).
    pub time: String,
    /// Identity of the set in the car, hexadecimal.
    pub set_identity: String,
    /// Mode driven.
    pub mode: String,
    /// Event driven.
    pub event: String,
    /// Load case.
    pub load_case: String,
    /// Tyre pressures before the run; what was not measured is absent.
    #[serde(skip_serializing_if = "is_default")]
    pub tyre_pressures_bar: TyrePressures,
    /// Temperature of the air, °C.
    #[serde(skip_serializing_if = "is_default")]
    pub air_temperature_c: Option<f64>,
    /// Temperature of the track's surface, °C.
    #[serde(skip_serializing_if = "is_default")]
    pub track_temperature_c: Option<f64>,
    /// Temperature of the dampers, °C.
    #[serde(skip_serializing_if = "is_default")]
    pub damper_temperature_c: Option<f64>,
    /// Verdict a attribute, 1 to 10 with fractions.
    pub verdicts: Vec<Verdict>,
    /// The driver's words.
    pub remark: String,
    /// The logger's file, relative to the session's folder where it can be; empty: none.
    #[serde(skip_serializing_if = "is_default")]
    pub log_file: String,
}

/// Tyre pressures over ambient, bar (1 bar = 100 kPa).
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct TyrePressures {
    /// Front left.
    #[serde(skip_serializing_if = "is_default")]
    pub front_left: Option<f64>,
    /// Front right.
    #[serde(skip_serializing_if = "is_default")]
    pub front_right: Option<f64>,
    /// Rear left.
    #[serde(skip_serializing_if = "is_default")]
    pub rear_left: Option<f64>,
    /// Rear right.
    #[serde(skip_serializing_if = "is_default")]
    pub rear_right: Option<f64>,
}

/// One attribute judged on a scale of 1 to 10, 5 being borderline (SAE J1441).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Verdict {
    /// What was judged.
    pub attribute: String,
    /// 1 to 10.
    pub rating: f64,
}

/// A set that was put in the car by other means than a hand-over from here.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InCar {
    /// Identity of one of the sets handed over, hexadecimal.
    pub identity: String,
    /// Since when, RFC 3339.
    pub since: String,
}

/// A set that left for the car: enough to name it and to count what differs since.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HandedOver {
    /// Identity, hexadecimal.
    pub identity: String,
    /// When, RFC 3339.
    pub time: String,
    /// What it is for.
    #[serde(default, skip_serializing_if = "is_default")]
    pub note: String,
    /// Folder it was written to.
    #[serde(default, skip_serializing_if = "is_default")]
    pub folder: String,
    /// Identity of the set it went on from; absent: of none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub parent: Option<String>,
    /// What differs from the parent, a sentence each.
    #[serde(default, skip_serializing_if = "is_default")]
    pub difference: Vec<String>,
    /// What it may be used for.
    #[serde(default, skip_serializing_if = "is_default")]
    pub status: SetStatus,
    /// The modes as they were; shared between snapshots, for they never change and a long project has many.
    pub modes: Arc<[Mode]>,
    /// Modes of the session that stayed behind.
    #[serde(default = "no_modes", skip_serializing_if = "are_no_modes")]
    pub left_behind: Arc<[Mode]>,
    /// What stood around the modes at that moment. Absent: the same as at the set before, or not known where none
    /// before has it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub surroundings: Option<Arc<Surroundings>>,
}

/// Everything beside the modes that figures are computed with, as it was when a set left for the car.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Surroundings {
    /// The car.
    pub vehicle: Vehicle,
    /// Damper bench data.
    pub dampers: Vec<Damper>,
    /// What all modes share.
    pub controller: Controller,
    /// State of the dampers that was assumed. Default: at the bench's temperature and supplied.
    #[serde(default, skip_serializing_if = "is_default")]
    pub conditions: Conditions,
    /// What the car was driven over or made to do.
    pub events: Vec<Event>,
    /// The mode that the others were compared with.
    #[serde(default, skip_serializing_if = "is_default")]
    pub reference_mode: Option<String>,
    /// Bounds that an edit must not cross.
    #[serde(default, skip_serializing_if = "is_default")]
    pub fences: Vec<Fence>,
}

fn no_modes() -> Arc<[Mode]> {
    Arc::new([])
}
fn are_no_modes(modes: &Arc<[Mode]>) -> bool {
    modes.is_empty()
}

/// What a set may be used for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub enum SetStatus {
    /// For the bench and for reading; not for driving.
    #[default]
    Draft,
    /// For trained drivers on closed courses, once the cautions were acknowledged.
    TrackOnly,
    /// For more than that, by somebody named, for a purpose named.
    WiderUse,
}

impl SetStatus {
    /// All of them, the narrowest first.
    pub const ALL: [SetStatus; 3] = [SetStatus::Draft, SetStatus::TrackOnly, SetStatus::WiderUse];

    /// In words, as every output shows it.
    pub fn words(self) -> &'static str {
        match self {
            SetStatus::Draft => "draft",
            SetStatus::TrackOnly => "track only",
            SetStatus::WiderUse => "wider use",
        }
    }
}

/// Who answers for sets beyond a draft; asked for once and remembered in the session.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Release {
    /// True once the cautions were read and acknowledged.
    pub caution_acknowledged: bool,
    /// Name of the person who answers for wider use.
    #[serde(skip_serializing_if = "is_default")]
    pub name: String,
    /// What wider use is for.
    #[serde(skip_serializing_if = "is_default")]
    pub purpose: String,
}
