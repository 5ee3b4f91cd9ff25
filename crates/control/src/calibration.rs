//! What a mode asks for: gain maps, axle scales, limits and the law, compiled from checked values.

use washboard_signal::Lane;
use washboard_signal::table::Table;

/// Which control law a mode runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// Wanted force from the maps, inverted through the damper table.
    Continuous,
    /// Firm end where wanted force and corner rate agree in sign, else soft end (Karnopp, Crosby, Harwood 1974).
    OnOff,
    /// Firm end where body acceleration and corner rate agree in sign, else soft end (Savaresi, Silani, Bittanti 2005).
    AccelerationDriven,
    /// On/off skyhook where `acceleration^2 <= (2 pi f)^2 rate^2` of the body at the corner, else acceleration-driven
    /// (Savaresi and Spelta 2007: both two-state).
    Mixed {
        /// Crossover, Hz.
        crossover_hz: f64,
    },
    /// The current stays at one share of the way from soft to firm end: a passive damper to compare with.
    Held {
        /// 0 soft end, 1 firm end.
        firmness_share: f64,
    },
}

impl Law {
    /// True where the law jumps from one end of the damper to the other.
    pub fn switches(self) -> bool {
        match self {
            Law::OnOff | Law::AccelerationDriven | Law::Mixed { .. } => true,
            Law::Continuous | Law::Held { .. } => false,
        }
    }
}

/// Scales of one axle on the maps.
#[derive(Clone, Copy, Debug, PartialEq)]
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
    /// On heave, wheel and base in rebound.
    pub rebound: f64,
    /// On heave, wheel and base in compression.
    pub compression: f64,
}

impl AxleScales {
    /// The maps as they are.
    pub const NONE: AxleScales =
        AxleScales { heave: 1.0, wheel: 1.0, base: 1.0, roll: 1.0, pitch: 1.0, rebound: 1.0, compression: 1.0 };
}

/// One mode.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The law.
    pub law: Law,
    /// Skyhook gain on heave, N s/m over speed (m/s) and roughness level (m/s^2).
    pub heave: Table,
    /// Groundhook gain, likewise.
    pub wheel: Table,
    /// Plain damping, likewise.
    pub base: Table,
    /// Skyhook gain on roll, N s/m over speed (m/s) and lateral demand (m/s^2).
    pub roll: Table,
    /// Skyhook gain on pitch, N s/m over speed (m/s) and longitudinal demand (m/s^2).
    pub pitch: Table,
    /// Least current, A over speed (m/s) and lateral demand (m/s^2).
    pub floor: Option<Table>,
    /// Extra firm demand near the ends of travel.
    pub end_stop: Option<EndStop>,
    /// Scales of front and rear axle.
    pub axles: [AxleScales; 2],
    /// Least current, A.
    pub current_min_a: f64,
    /// Most current, A.
    pub current_max_a: f64,
    /// Fastest change of the command, A/s; infinite without limit.
    pub slew_a_per_s: f64,
    /// Finite inverse damper tables of front and rear axle as a control unit holds them: current (A) over damper velocity
    /// (m/s) and wanted force at the damper (N). Absent: the damper tables are inverted exactly.
    pub inverse: Option<[Table; 2]>,
}

/// Extra firm demand near the ends of travel, on every law: while a corner moves towards a stop, the current goes at least
/// the share `(1 - left/zone) * |v|/rate`, both factors held between 0 and 1, of the way from soft to firm end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndStop {
    /// Travel left at which it begins, m.
    pub zone_m: f64,
    /// Corner rate at which it is fully there, m/s.
    pub rate_m_per_s: f64,
    /// Travel from the car as described to the stops, compression and rebound, of front and rear wheels, m; infinite where
    /// there is none.
    pub ends_m: [[f64; 2]; 2],
}

impl EndStop {
    /// Share of the way to the firm end that is asked at least, for a wheel of an axle.
    #[inline(always)]
    pub fn share(&self, axle: usize, ride_height_m: f64, corner_rate_m_per_s: f64) -> f64 {
        let [compression_m, rebound_m] = self.ends_m[axle];
        let left = if corner_rate_m_per_s < 0.0 { compression_m + ride_height_m } else { rebound_m - ride_height_m };
        let near = (1.0 - left / self.zone_m).clamp(0.0, 1.0);
        near * (corner_rate_m_per_s.abs() / self.rate_m_per_s).min(1.0)
    }
}

/// What all modes share.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Samples a second, Hz.
    pub sample_rate_hz: f64,
    /// Band of the roughness filter, Hz.
    pub roughness_low_hz: f64,
    /// Upper corner, Hz.
    pub roughness_high_hz: f64,
    /// Time constant of a rising roughness level, s.
    pub roughness_rise_s: f64,
    /// Time constant of a falling roughness level, s.
    pub roughness_fall_s: f64,
    /// Time constants of the lateral demand, rising and falling, s.
    pub lateral_s: [f64; 2],
    /// Time constants of the longitudinal demand, rising and falling, s.
    pub longitudinal_s: [f64; 2],
    /// Lead of the predicted lateral and longitudinal acceleration, s; 0: measured only.
    pub lead_s: [f64; 2],
    /// Corner rate below which the current blends to its floor, m/s; 0 without blending.
    pub blend_velocity_m_per_s: f64,
}

/// Gains of one moment at one corner, N s/m.
#[derive(Clone, Copy, Debug, Default)]
pub struct Gains<L> {
    /// On body heave rate.
    pub heave: L,
    /// On wheel rate.
    pub wheel: L,
    /// On the corner's own rate.
    pub base: L,
    /// On roll rate times lever.
    pub roll: L,
    /// On pitch rate times lever.
    pub pitch: L,
}

/// Wanted damper force at the wheel, N, positive in rebound:
/// `g_heave*zdot + g_roll*(y*phidot) + g_pitch*(-x*thetadot) - g_wheel*zdot_wheel + g_base*v`.
///
/// With heave, roll, pitch and wheel gains alike and no base gain it is the passive damper `g*v`.
#[inline(always)]
pub fn wanted_force<L: Lane>(
    g: &Gains<L>,
    heave_rate: L,
    roll_part: L,
    pitch_part: L,
    wheel_rate: L,
    corner_rate: L,
) -> L {
    g.heave * heave_rate + g.roll * roll_part + g.pitch * pitch_part - g.wheel * wheel_rate + g.base * corner_rate
}
