//! The set: an immutable snapshot of everything the car's controller computes with.
//!
//! Every number is explicit, even where the session leaves it to a default, so that a reader of the file needs no
//! knowledge of this program. Modes are kept in the order of their names: the same calibration is the same set,
//! whatever order the modes had in the session or on the command line.

use serde::{Deserialize, Serialize};
use washboard_session::limits::MOST_MODES;
use washboard_session::{
    Axle, AxleScales, Controller, CurrentMap, Damper, Demand, EndStop, Estimated, Fitted, GainMap, Law, Mode,
    Roughness, SensorPlace, Session, States, Vehicle,
};

use crate::fault::HandoverFault;
use crate::inverse;

/// The newest format of a handed-over set this program writes and reads.
pub const SET_FORMAT: u32 = 1;

/// Most cells all inverse damper tables of a set may have together: what a control unit could ever hold, with room.
const MOST_INVERSE_CELLS: u64 = 2_000_000;

/// A set of modes with all that the car's controller needs to run them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CarSet {
    /// Version of this structure.
    pub format: u32,
    /// Constants shared by all modes.
    pub controller: SetController,
    /// Front axle.
    pub front: SetAxle,
    /// Rear axle.
    pub rear: SetAxle,
    /// The modes, in the order of their names.
    pub modes: Vec<SetMode>,
}

/// Constants of filters and estimator, shared by all modes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetController {
    /// Samples of the control law a second, Hz.
    pub sample_rate_hz: f64,
    /// Where the law's states come from.
    pub states: SetStates,
    /// Filter that makes the road roughness level.
    pub roughness: Roughness,
    /// Filter that makes the lateral demand.
    pub lateral_demand: Demand,
    /// Filter that makes the longitudinal demand.
    pub longitudinal_demand: Demand,
    /// Below this corner rate the current blends to its floor, m/s.
    pub blend_velocity_m_per_s: f64,
}

/// Where the control law's states come from, as far as the controller knows: without the sensors' errors.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum SetStates {
    /// The controller knew the true states.
    Ideal,
    /// Estimated with these constants.
    Estimated(SetEstimator),
}

/// Constants of the state estimation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetEstimator {
    /// Places of the body accelerometers.
    pub body_sensors: Vec<SensorPlace>,
    /// Axles with accelerometers on their wheels.
    pub wheel_accelerometers: Fitted,
    /// Leak of the body rates, Hz.
    pub body_leak_hz: f64,
    /// Share of the ride heights in the body rates below the leak.
    pub height_share: f64,
    /// Low-pass of the ride heights, Hz.
    pub height_low_pass_hz: f64,
    /// Leak of the wheel rates, Hz.
    pub wheel_leak_hz: f64,
}

impl SetStates {
    fn new(states: States) -> Self {
        let States::Estimated(estimated) = states else { return SetStates::Ideal };
        // Taken apart field by field: a constant added to the session must not be forgotten here.
        let Estimated {
            body_sensors,
            wheel_accelerometers,
            body_leak_hz,
            height_share,
            height_low_pass_hz,
            wheel_leak_hz,
            body_accelerometer: _,
            height_sensor: _,
            wheel_accelerometer: _,
            noise_seed: _,
        } = *estimated;
        SetStates::Estimated(SetEstimator {
            body_sensors,
            wheel_accelerometers,
            body_leak_hz,
            height_share,
            height_low_pass_hz,
            wheel_leak_hz,
        })
    }
}

/// What the control law knows of one axle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetAxle {
    /// Name of the damper fitted; a label only, not part of the identity.
    pub damper: String,
    /// Damper travel over wheel travel: force at the damper = force at the wheel / ratio.
    pub motion_ratio: f64,
    /// Lever arm x of both corners from the body's centre of gravity, m, forward positive.
    pub forward_m: f64,
    /// Lever arm y of the left corner, m; the right one has its negative.
    pub left_m: f64,
    /// The bench data that the inverse tables were made from.
    pub bench: SetBench,
}

/// Bench data of a damper.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetBench {
    /// Damper velocities, m/s, rebound positive.
    pub velocity_m_per_s: Vec<f64>,
    /// Currents, A.
    pub current_a: Vec<f64>,
    /// Forces, N: one row a velocity, one column a current.
    pub force_n: Vec<Vec<f64>>,
}

/// Inverse damper table of one axle in one mode: which current gives which force.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InverseDamper {
    /// Soft end within the mode's current limits, A.
    pub soft_a: f64,
    /// Firm end within the mode's current limits, A.
    pub firm_a: f64,
    /// Row breakpoints: damper velocity, m/s, rebound positive.
    pub velocity_m_per_s: Vec<f64>,
    /// Column breakpoints: wanted force at the damper, N, rebound positive.
    pub force_n: Vec<f64>,
    /// Currents, A: one row a velocity, one column a force.
    pub current_a: Vec<Vec<f64>>,
}

/// Extra firm demand near the ends of travel, with the travel there is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetEndStop {
    /// Travel left at which it begins, m.
    pub zone_m: f64,
    /// Corner rate at which it is fully there, m/s.
    pub rate_m_per_s: f64,
    /// Compression and rebound of the front wheels to first contact from the car as described, m; absent: no stop there.
    pub front_m: [Option<f64>; 2],
    /// The same of the rear wheels.
    pub rear_m: [Option<f64>; 2],
}

impl SetEndStop {
    fn new(end_stop: EndStop, vehicle: &Vehicle) -> Self {
        let EndStop { zone_m, rate_m_per_s } = end_stop;
        let ends = |axle: &Axle| [&axle.bump_stop, &axle.rebound_stop].map(|s| s.as_ref().map(|s| s.gap_m));
        SetEndStop { zone_m, rate_m_per_s, front_m: ends(&vehicle.front), rear_m: ends(&vehicle.rear) }
    }
}

/// One mode as the car gets it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetMode {
    /// Name.
    pub name: String,
    /// What it is for; words only, not part of the identity.
    pub purpose: String,
    /// The control law.
    pub law: Law,
    /// Skyhook gain on body heave.
    pub heave: GainMap,
    /// Groundhook gain on wheel rate.
    pub wheel: GainMap,
    /// Plain damping on the corner's own rate.
    pub base: GainMap,
    /// Skyhook gain on roll.
    pub roll: GainMap,
    /// Skyhook gain on pitch.
    pub pitch: GainMap,
    /// Least current whatever is asked; absent: none.
    pub floor: Option<CurrentMap>,
    /// Extra firm demand near the ends of travel; absent: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end_stop: Option<SetEndStop>,
    /// Scales of the maps at the front axle.
    pub front: AxleScales,
    /// Scales of the maps at the rear axle.
    pub rear: AxleScales,
    /// Least current, A.
    pub current_min_a: f64,
    /// Most current, A.
    pub current_max_a: f64,
    /// Fastest change of the commanded current, A/s; absent: unlimited.
    pub slew_a_per_s: Option<f64>,
    /// Inverse damper table of the front axle within this mode's current limits.
    pub inverse_front: InverseDamper,
    /// Inverse damper table of the rear axle within this mode's current limits.
    pub inverse_rear: InverseDamper,
}

impl CarSet {
    /// The set of the chosen modes (indices into the session) of a session that passes its checks.
    ///
    /// The order of `modes` does not matter and a mode named twice counts once.
    pub fn from_session(session: &Session, modes: &[usize]) -> Result<CarSet, HandoverFault> {
        if let Err(faults) = washboard_session::check(session) {
            return Err(HandoverFault::Session(faults.iter().map(ToString::to_string).collect()));
        }
        if modes.is_empty() {
            return Err(HandoverFault::NoMode);
        }
        let count = session.modes.len();
        if let Some(&index) = modes.iter().find(|&&index| index >= count) {
            return Err(HandoverFault::NoSuchMode { index, count });
        }
        let vehicle = &session.vehicle;
        let damper_of = |axle: &'static str, name: &str| {
            session
                .dampers
                .iter()
                .find(|d| d.name == name)
                .ok_or_else(|| HandoverFault::NoSuchDamper { axle, damper: name.to_owned() })
        };
        let front = damper_of("front", &vehicle.front.damper)?;
        let rear = damper_of("rear", &vehicle.rear.damper)?;
        let controller = &session.controller;
        let size = &controller.inverse_table;
        let cells = 2
            * u64::try_from(modes.len()).unwrap_or(u64::MAX).min(count as u64)
            * u64::from(size.velocities)
            * u64::from(size.forces);
        if cells > MOST_INVERSE_CELLS {
            return Err(HandoverFault::Session(vec![format!(
                "Its inverse damper tables would hold {cells} cells, more than the {MOST_INVERSE_CELLS} a set may have; \
                 choose fewer modes or smaller tables."
            )]));
        }

        let mut chosen: Vec<SetMode> = (0..count)
            .filter(|index| modes.contains(index))
            .map(|index| SetMode::new(&session.modes[index], front, rear, session))
            .collect();
        chosen.sort_by(|a, b| a.name.cmp(&b.name));

        let set = CarSet {
            format: SET_FORMAT,
            controller: SetController::new(controller),
            front: SetAxle {
                damper: front.name.clone(),
                motion_ratio: vehicle.front.motion_ratio,
                forward_m: vehicle.cg_to_front_axle_m,
                left_m: vehicle.front.track_m / 2.0,
                bench: SetBench::new(front),
            },
            rear: SetAxle {
                damper: rear.name.clone(),
                motion_ratio: vehicle.rear.motion_ratio,
                forward_m: vehicle.cg_to_front_axle_m - vehicle.wheelbase_m,
                left_m: vehicle.rear.track_m / 2.0,
                bench: SetBench::new(rear),
            },
            modes: chosen,
        };
        let set = set.without_negative_zeros()?;
        let faults = set.faults();
        if faults.is_empty() { Ok(set) } else { Err(HandoverFault::Session(vec![format!("{}.", faults.join("; "))])) }
    }

    /// The modes as a session holds them, in the set's order.
    pub fn modes(&self) -> Vec<Mode> {
        self.modes.iter().map(SetMode::mode).collect()
    }

    /// The same set with every -0.0 as 0.0, which is the same number and must be the same bytes.
    fn without_negative_zeros(&self) -> Result<CarSet, HandoverFault> {
        fn clean(value: &mut serde_json::Value) {
            match value {
                serde_json::Value::Number(n) if n.is_f64() && n.as_f64() == Some(0.0) => {
                    *value = serde_json::Value::from(0.0);
                }
                serde_json::Value::Array(items) => items.iter_mut().for_each(clean),
                serde_json::Value::Object(fields) => fields.values_mut().for_each(clean),
                _ => {}
            }
        }
        let form = |why: serde_json::Error| HandoverFault::Form { form: "plain values", why: why.to_string() };
        let mut value = serde_json::to_value(self).map_err(form)?;
        clean(&mut value);
        serde_json::from_value(value).map_err(form)
    }

    /// What is wrong with the set's shape, one clause each: a set that was read may hold anything.
    ///
    /// A set without faults has rectangular tables of finite numbers over rising axes and modes in order of name.
    pub(crate) fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        if self.modes.is_empty() {
            faults.push("the set holds no mode".to_owned());
        }
        if self.modes.len() > MOST_MODES {
            // Nothing below is worth the time that so many would take.
            return vec![format!(
                "the set holds {} modes, more than the {MOST_MODES} a session may have",
                self.modes.len()
            )];
        }
        for pair in self.modes.windows(2) {
            if pair[0].name >= pair[1].name {
                faults.push(format!(
                    "the modes \"{}\" and \"{}\" are not in the order of their names, each name once",
                    pair[0].name, pair[1].name
                ));
            }
        }
        for table in crate::parts::tables(self) {
            let place = &table.place;
            for axis in [&table.rows, &table.columns] {
                if axis.values.is_empty() || !axis.values.windows(2).all(|w| w[0] < w[1]) {
                    faults.push(format!("{place}: the axis {} does not rise strictly", axis.name));
                }
            }
            let wide = table.columns.values.len();
            if table.values.len() != table.rows.values.len() || table.values.iter().any(|row| row.len() != wide) {
                faults.push(format!(
                    "{place}: the table does not have one row a {} and one column a {}",
                    table.rows.name, table.columns.name
                ));
            }
            let numbers = table.rows.values.iter().chain(table.columns.values).chain(table.values.iter().flatten());
            if numbers.clone().any(|n| !n.is_finite()) {
                faults.push(format!("{place}: a number is not finite"));
            }
        }
        for setting in crate::parts::settings(self) {
            if setting.number.is_some_and(|n| !n.is_finite()) {
                faults.push(format!("{}: {} is not finite", setting.place, setting.name));
            }
        }
        faults
    }
}

impl SetController {
    fn new(controller: &Controller) -> Self {
        // Taken apart field by field: a constant added to the session must not be forgotten here.
        let Controller {
            sample_rate_hz,
            states,
            roughness,
            lateral_demand,
            longitudinal_demand,
            blend_velocity_m_per_s,
            inverse_table: _,
        } = controller.clone();
        let states = SetStates::new(states);
        SetController { sample_rate_hz, states, roughness, lateral_demand, longitudinal_demand, blend_velocity_m_per_s }
    }
}

impl SetBench {
    fn new(damper: &Damper) -> Self {
        SetBench {
            velocity_m_per_s: damper.velocity_m_per_s.clone(),
            current_a: damper.current_a.clone(),
            force_n: damper.force_n.clone(),
        }
    }
}

impl SetMode {
    fn new(mode: &Mode, front_damper: &Damper, rear_damper: &Damper, session: &Session) -> Self {
        let controller = &session.controller;
        // Taken apart field by field: a setting added to the session must not be forgotten here.
        let Mode {
            name,
            purpose,
            law,
            heave,
            wheel,
            base,
            roll,
            pitch,
            floor,
            end_stop,
            front,
            rear,
            current_min_a,
            current_max_a,
            slew_a_per_s,
            // What an engineer keeps his hands off, and what a mode rests on, is nothing to the car.
            locked: _,
            rests_on: _,
        } = mode.clone();
        let table = |damper| inverse::table(damper, current_min_a, current_max_a, &controller.inverse_table);
        SetMode {
            name,
            purpose,
            law,
            heave,
            wheel,
            base,
            roll,
            pitch,
            floor,
            end_stop: end_stop.map(|it| SetEndStop::new(it, &session.vehicle)),
            front,
            rear,
            current_min_a,
            current_max_a,
            slew_a_per_s,
            inverse_front: table(front_damper),
            inverse_rear: table(rear_damper),
        }
    }

    /// The mode as a session holds it.
    pub fn mode(&self) -> Mode {
        let SetMode {
            name,
            purpose,
            law,
            heave,
            wheel,
            base,
            roll,
            pitch,
            floor,
            end_stop,
            front,
            rear,
            current_min_a,
            current_max_a,
            slew_a_per_s,
            inverse_front: _,
            inverse_rear: _,
        } = self.clone();
        Mode {
            name,
            purpose,
            law,
            heave,
            wheel,
            base,
            roll,
            pitch,
            floor,
            end_stop: end_stop.map(|it| EndStop { zone_m: it.zone_m, rate_m_per_s: it.rate_m_per_s }),
            front,
            rear,
            current_min_a,
            current_max_a,
            slew_a_per_s,
            locked: Default::default(),
            rests_on: None,
        }
    }
}
