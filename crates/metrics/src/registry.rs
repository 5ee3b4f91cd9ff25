//! The list of metrics: name, label, unit, meaning and source of each, once for screens, files and scripts.

/// Which way a metric gets better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Better {
    /// Less is better.
    Lower,
    /// More is better.
    Higher,
    /// It depends; the number informs.
    Neither,
}

/// Whether a metric is one number for the car or one a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// One number for the car.
    One,
    /// One number a corner.
    PerCorner,
}

/// What a metric is.
#[derive(Clone, Copy, Debug)]
pub struct Metric {
    /// Name in files and scripts, ending in its SI unit; fixed for ever.
    pub name: &'static str,
    /// Label on screens, sentence case.
    pub label: &'static str,
    /// SI unit as shown; empty for a share or a ratio.
    pub unit: &'static str,
    /// Unit on screens.
    pub screen_unit: &'static str,
    /// Number on screens over number in SI.
    pub screen_factor: f64,
    /// Decimals on screens.
    pub decimals: usize,
    /// What it means, with the bounds and filters that go into it.
    pub meaning: &'static str,
    /// Where the definition comes from.
    pub source: &'static str,
    /// Which way it gets better.
    pub better: Better,
    /// One number, or one a corner.
    pub scope: Scope,
}

impl Metric {
    /// The number on screens.
    pub fn to_screen(&self, si: f64) -> f64 {
        si * self.screen_factor
    }

    /// The SI number of one on screens.
    pub fn from_screen(&self, screen: f64) -> f64 {
        screen / self.screen_factor
    }
}

/// A metric of the registry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MetricId(u16);

impl MetricId {
    /// The metric of a name.
    pub fn by_name(name: &str) -> Option<Self> {
        METRICS.iter().position(|m| m.name == name).map(|i| MetricId(i as u16))
    }

    /// Every metric, in the order of the registry.
    pub fn all() -> impl ExactSizeIterator<Item = MetricId> {
        (0..METRICS.len()).map(|i| MetricId(i as u16))
    }

    /// What the metric is.
    pub fn metric(self) -> &'static Metric {
        &METRICS[usize::from(self.0)]
    }

    /// Its name in files and scripts.
    pub fn name(self) -> &'static str {
        self.metric().name
    }

    /// Its place in the registry.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// SI unit, unit on screens, factor from one to the other.
type Unit = (&'static str, &'static str, f64);

const ACCELERATION: Unit = ("m/s²", "m/s²", 1.0);
const SICKNESS: Unit = ("m/s^1.5", "m/s^1.5", 1.0);
const DOSE: Unit = ("m/s^1.75", "m/s^1.75", 1.0);
const LENGTH: Unit = ("m", "mm", 1000.0);
const ANGLE: Unit = ("rad", "°", 180.0 / std::f64::consts::PI);
const RATE: Unit = ("m/s", "m/s", 1.0);
const ANGULAR_RATE: Unit = ("rad/s", "°/s", 180.0 / std::f64::consts::PI);
const ANGULAR_ACCELERATION: Unit = ("rad/s²", "°/s²", 180.0 / std::f64::consts::PI);
const ANGLE_PER_ACCELERATION: Unit = ("rad/(m/s²)", "°/(m/s²)", 180.0 / std::f64::consts::PI);
const FORCE: Unit = ("N", "N", 1.0);
const TIME: Unit = ("s", "s", 1.0);
const SHARE: Unit = ("", "%", 100.0);
const RATIO: Unit = ("", "", 1.0);
const ENERGY: Unit = ("J", "J", 1.0);
const POWER: Unit = ("W", "W", 1.0);
const CURRENT: Unit = ("A", "A", 1.0);

macro_rules! registry {
    ($($id:ident, $name:literal, $label:literal, $unit:ident, $decimals:literal, $better:ident, $scope:ident,
       $meaning:literal, $source:literal;)*) => {
        /// Every metric there is.
        pub static METRICS: &[Metric] = &[$(Metric {
            name: $name,
            label: $label,
            unit: $unit.0,
            screen_unit: $unit.1,
            screen_factor: $unit.2,
            decimals: $decimals,
            meaning: $meaning,
            source: $source,
            better: Better::$better,
            scope: Scope::$scope,
        }),*];

        /// Places in the registry.
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        #[repr(u16)]
        enum Place { $($id),* }

        impl MetricId {
            $(#[doc = $meaning] pub const $id: MetricId = MetricId(Place::$id as u16);)*
        }
    };
}

registry! {
    BODY_ACCELERATION_RMS, "body_acceleration_rms_m_per_s2", "Body acceleration, r.m.s.", ACCELERATION, 3, Lower, One,
        "r.m.s. vertical acceleration of the body at its centre of gravity, all frequencies.", "Definition.";
    BODY_ACCELERATION_PEAK_TO_PEAK, "body_acceleration_peak_to_peak_m_per_s2", "Body acceleration, peak to peak",
        ACCELERATION, 2, Lower, One,
        "Largest minus least vertical acceleration of the body at its centre of gravity.", "Definition.";
    WEIGHTED_ACCELERATION, "weighted_acceleration_m_per_s2", "Weighted acceleration", ACCELERATION, 3, Lower, One,
        "r.m.s. vertical acceleration at the seat, weighted with Wk.", "ISO 2631-1:1997, 6.1.";
    VIBRATION_DOSE, "vibration_dose_m_per_s1_75", "Vibration dose", DOSE, 2, Lower, One,
        "Fourth root of the time integral of the fourth power of the Wk-weighted acceleration at the seat; it grows with the duration.",
        "ISO 2631-1:1997, 6.3.2.";
    MTVV, "mtvv_m_per_s2", "Running r.m.s. maximum", ACCELERATION, 3, Lower, One,
        "Maximum transient vibration value: largest running r.m.s. of the Wk-weighted acceleration at the seat, exponential window of 1 s that starts at zero.",
        "ISO 2631-1:1997, 6.3.1.";
    CREST_FACTOR, "crest_factor", "Crest factor", RATIO, 1, Neither, One,
        "Peak over r.m.s. of the Wk-weighted acceleration at the seat; above 9 the r.m.s. value understates the vibration.",
        "ISO 2631-1:1997, 6.2.1.";
    WEIGHTED_LATERAL_ACCELERATION, "weighted_lateral_acceleration_m_per_s2", "Weighted lateral acceleration", ACCELERATION, 3, Lower, One,
        "r.m.s. lateral acceleration at the seat from roll acceleration about the roll axis, weighted with Wd; the manoeuvre's own lateral acceleration is not in it.",
        "ISO 2631-1:1997, 6.1.";
    WEIGHTED_LONGITUDINAL_ACCELERATION, "weighted_longitudinal_acceleration_m_per_s2", "Weighted longitudinal acceleration",
        ACCELERATION, 3, Lower, One,
        "r.m.s. longitudinal acceleration at the seat from pitch acceleration about the centre of gravity, weighted with Wd; the manoeuvre's own longitudinal acceleration is not in it.",
        "ISO 2631-1:1997, 6.1.";
    TOTAL_WEIGHTED_ACCELERATION, "total_weighted_acceleration_m_per_s2", "Weighted acceleration, all axes", ACCELERATION, 3, Lower, One,
        "Root of the sum of squares of weighted vertical, lateral and longitudinal acceleration at the seat, factors 1; of the axes the model has.",
        "ISO 2631-1:1997, 6.5 and 8.2.";
    MOTION_SICKNESS_DOSE, "motion_sickness_dose_m_per_s1_5", "Motion sickness dose", SICKNESS, 3, Lower, One,
        "Root of the time integral of the square of the Wf-weighted vertical acceleration at the seat; it grows with the duration, and means little below some minutes.",
        "ISO 2631-1:1997, D.1.1.";

    BODY_MOTION_RMS, "body_motion_rms_m", "Body motion", LENGTH, 2, Lower, One,
        "r.m.s. heave displacement of the body at its centre of gravity, 0.5 to 2 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Common practice.";
    ROLL_MOTION_RMS, "roll_motion_rms_rad", "Roll motion", ANGLE, 3, Lower, One,
        "r.m.s. roll angle, 0.5 to 2 Hz unless set otherwise, Butterworth band-pass of order 2.", "Common practice.";
    PITCH_MOTION_RMS, "pitch_motion_rms_rad", "Pitch motion", ANGLE, 3, Lower, One,
        "r.m.s. pitch angle, 0.5 to 2 Hz unless set otherwise, Butterworth band-pass of order 2.", "Common practice.";
    PRIMARY_RIDE_ACCELERATION, "primary_ride_acceleration_m_per_s2", "Primary ride", ACCELERATION, 3, Lower, One,
        "r.m.s. vertical body acceleration, 0.5 to 5 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Band: Guastadisegni et al. 2024.";
    CHOPPY_ACCELERATION, "choppy_acceleration_m_per_s2", "Choppiness", ACCELERATION, 3, Lower, One,
        "r.m.s. vertical body acceleration, 5 to 10 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Band: Guastadisegni et al. 2024.";
    SECONDARY_RIDE_ACCELERATION, "secondary_ride_acceleration_m_per_s2", "Secondary ride", ACCELERATION, 3, Lower, One,
        "r.m.s. vertical body acceleration, 5 to 25 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Band: Guastadisegni et al. 2024.";
    WHEEL_HOP_ACCELERATION, "wheel_hop_acceleration_m_per_s2", "Wheel hop felt in the body", ACCELERATION, 3, Lower, One,
        "r.m.s. vertical body acceleration, 8 to 16 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Common practice.";
    PRIMARY_ROLL_ACCELERATION, "primary_roll_acceleration_rad_per_s2", "Primary ride, roll", ANGULAR_ACCELERATION, 2, Lower, One,
        "r.m.s. roll acceleration, 0.5 to 5 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Band: Guastadisegni et al. 2024.";
    SECONDARY_ROLL_ACCELERATION, "secondary_roll_acceleration_rad_per_s2", "Secondary ride, roll", ANGULAR_ACCELERATION, 2, Lower, One,
        "r.m.s. roll acceleration, 5 to 25 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Band: Guastadisegni et al. 2024.";
    PRIMARY_PITCH_ACCELERATION, "primary_pitch_acceleration_rad_per_s2", "Primary ride, pitch", ANGULAR_ACCELERATION, 2, Lower, One,
        "r.m.s. pitch acceleration, 0.5 to 5 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Band: Guastadisegni et al. 2024.";
    SECONDARY_PITCH_ACCELERATION, "secondary_pitch_acceleration_rad_per_s2", "Secondary ride, pitch", ANGULAR_ACCELERATION, 2, Lower, One,
        "r.m.s. pitch acceleration, 5 to 25 Hz unless set otherwise, Butterworth band-pass of order 2.",
        "Band: Guastadisegni et al. 2024.";
    AFTER_SHAKE, "after_shake_s", "After-shake", TIME, 3, Lower, One,
        "After an obstacle: from the peak of the vertical body acceleration until it stays below a tenth of that peak.",
        "Definition.";

    WHEEL_LOAD_VARIATION_RMS, "wheel_load_variation_rms_n", "Wheel-load variation", FORCE, 0, Lower, PerCorner,
        "r.m.s. difference of the wheel load from its quasi-static value (static load plus load transfer).", "Definition.";
    DYNAMIC_LOAD_COEFFICIENT, "dynamic_load_coefficient", "Dynamic load coefficient", RATIO, 3, Lower, PerCorner,
        "Wheel-load variation over the static wheel load.", "Definition.";
    LEAST_WHEEL_LOAD, "least_wheel_load_n", "Least wheel load", FORCE, 0, Higher, PerCorner,
        "Least vertical load of the wheel.", "Definition.";
    LIFT_TIME, "lift_time_s", "Lift time", TIME, 3, Lower, PerCorner, "Time the wheel carries no load.", "Definition.";

    SUSPENSION_TRAVEL_RMS, "suspension_travel_rms_m", "Travel, r.m.s.", LENGTH, 1, Neither, PerCorner,
        "r.m.s. deflection at the wheel from static equilibrium (not about its mean).", "Definition.";
    SUSPENSION_TRAVEL_PEAK, "suspension_travel_peak_m", "Travel, peak", LENGTH, 1, Lower, PerCorner,
        "Largest magnitude of the deflection at the wheel from static equilibrium.", "Definition.";
    COMPRESSION_PEAK, "compression_peak_m", "Compression, peak", LENGTH, 1, Lower, PerCorner,
        "Largest compression at the wheel from static equilibrium; at the front axle under braking this is the dive.",
        "Definition.";
    REBOUND_PEAK, "rebound_peak_m", "Rebound, peak", LENGTH, 1, Lower, PerCorner,
        "Largest rebound at the wheel from static equilibrium; at the rear axle under braking this is the lift.",
        "Definition.";
    TRAVEL_USED_SHARE, "travel_used_share", "Free travel used", SHARE, 0, Lower, PerCorner,
        "Larger share of the free travel to either stop that was used; above 100 % the stop touched.", "Definition.";
    BUMP_STOP_TIME, "bump_stop_time_s", "Bump-stop contact", TIME, 3, Lower, PerCorner,
        "Time in contact with the bump stop.", "Definition.";
    REBOUND_STOP_TIME, "rebound_stop_time_s", "Rebound-stop contact", TIME, 3, Lower, PerCorner,
        "Time in contact with the rebound stop.", "Definition.";
    BUMP_STOP_CONTACTS, "bump_stop_contacts", "Bump-stop contacts", RATIO, 0, Lower, PerCorner,
        "How often the bump stop was touched.", "Definition.";
    REBOUND_STOP_CONTACTS, "rebound_stop_contacts", "Rebound-stop contacts", RATIO, 0, Lower, PerCorner,
        "How often the rebound stop was touched.", "Definition.";
    STOP_ENERGY, "stop_energy_j", "Energy into stops", ENERGY, 1, Lower, PerCorner,
        "Energy put into both stops while they are being loaded.", "Definition.";

    ROLL_PEAK, "roll_peak_rad", "Roll, peak", ANGLE, 2, Lower, One, "Largest magnitude of the roll angle.", "Definition.";
    ROLL_RATE_PEAK, "roll_rate_peak_rad_per_s", "Roll rate, peak", ANGULAR_RATE, 2, Lower, One,
        "Largest magnitude of the roll rate.", "Definition.";
    ROLL_RATE_RMS, "roll_rate_rms_rad_per_s", "Roll rate, r.m.s.", ANGULAR_RATE, 2, Lower, One,
        "r.m.s. roll rate.", "Definition.";
    ROLL_ACCELERATION_RMS, "roll_acceleration_rms_rad_per_s2", "Roll acceleration, r.m.s.", ANGULAR_ACCELERATION, 1, Lower, One,
        "r.m.s. roll acceleration; times the distance to the side it is the left-right difference of the ride.", "Definition.";
    LEFT_RIGHT_ACCELERATION_RMS, "left_right_acceleration_rms_m_per_s2", "Left-right difference, r.m.s.", ACCELERATION, 3, Lower, One,
        "r.m.s. difference of the vertical body acceleration above the left and the right wheels: mean track times roll acceleration.",
        "Definition.";
    LEFT_RIGHT_ACCELERATION_PEAK, "left_right_acceleration_peak_m_per_s2", "Left-right difference, peak", ACCELERATION, 2, Lower, One,
        "Largest difference of the vertical body acceleration above the left and the right wheels: mean track times roll acceleration.",
        "Definition.";
    ROLL_STEADY, "roll_steady_rad", "Roll, steady", ANGLE, 2, Neither, One,
        "Quasi-static roll angle the manoeuvre tends to.", "Definition.";
    ROLL_OVERSHOOT_SHARE, "roll_overshoot_share", "Roll overshoot", SHARE, 1, Lower, One,
        "How far the roll angle goes beyond the steady one, as a share of it.", "Definition.";
    ROLL_SETTLING, "roll_settling_s", "Roll settling", TIME, 3, Lower, One,
        "From the start of the manoeuvre until the roll angle stays within 5 % of the steady one; absent if it never does.",
        "Definition.";
    ROLL_GRADIENT, "roll_gradient_rad_per_m_per_s2", "Roll gradient", ANGLE_PER_ACCELERATION, 3, Lower, One,
        "Steady roll angle over the lateral acceleration at the end of the manoeuvre.", "Definition.";
    ROLL_DELAY, "roll_delay_s", "Roll delay", TIME, 3, Lower, One,
        "Mean lag of the roll angle behind the lateral acceleration, and so of the roll rate behind its rate of change; of a linear car the roll damping over the roll stiffness. Absent if the car has not come to rest.",
        "First moments of the response.";
    ROLL_PITCH_PHASE, "roll_pitch_phase_rad", "Pitch behind roll", ANGLE, 0, Neither, One,
        "Phase of the pitch rate behind the roll rate in a lateral manoeuvre, as of two sines of the roll rate's mean frequency; positive where pitch comes later.",
        "Definition.";
    HEAD_TOSS_RMS, "head_toss_rms_m_per_s2", "Head toss, r.m.s.", ACCELERATION, 3, Lower, One,
        "r.m.s. lateral acceleration at head height, 0.6 m above the seat point, from roll acceleration about the roll axis.", "Definition; height by common practice, no source.";
    HEAD_TOSS_PEAK, "head_toss_peak_m_per_s2", "Head toss, peak", ACCELERATION, 2, Lower, One,
        "Largest lateral acceleration at head height, 0.6 m above the seat point, from roll acceleration about the roll axis.", "Definition; height by common practice, no source.";
    FRONT_LOAD_TRANSFER_SHARE, "front_load_transfer_share", "Load transfer at the front", SHARE, 1, Neither, One,
        "Share of the front axle in the load that moves from one side to the other, least squares over the run.",
        "Definition.";

    PITCH_PEAK, "pitch_peak_rad", "Pitch, peak", ANGLE, 2, Lower, One, "Largest magnitude of the pitch angle.", "Definition.";
    PITCH_RATE_PEAK, "pitch_rate_peak_rad_per_s", "Pitch rate, peak", ANGULAR_RATE, 2, Lower, One,
        "Largest magnitude of the pitch rate.", "Definition.";
    PITCH_RATE_RMS, "pitch_rate_rms_rad_per_s", "Pitch rate, r.m.s.", ANGULAR_RATE, 2, Lower, One,
        "r.m.s. pitch rate.", "Definition.";
    PITCH_ACCELERATION_RMS, "pitch_acceleration_rms_rad_per_s2", "Pitch acceleration, r.m.s.", ANGULAR_ACCELERATION, 1, Lower, One,
        "r.m.s. pitch acceleration.", "Definition.";
    DIVE, "dive_m", "Dive", LENGTH, 1, Lower, One,
        "Largest compression of the axle that goes down, mean of its wheels: the front one in braking, the rear one in driving off.",
        "Definition.";
    LIFT, "lift_m", "Lift", LENGTH, 1, Lower, One,
        "Largest rebound of the axle that rises, mean of its wheels: the rear one in braking, the front one in driving off.",
        "Definition.";
    PITCH_STEADY, "pitch_steady_rad", "Pitch, steady", ANGLE, 2, Neither, One,
        "Quasi-static pitch angle the manoeuvre tends to.", "Definition.";
    PITCH_OVERSHOOT_SHARE, "pitch_overshoot_share", "Pitch overshoot", SHARE, 1, Lower, One,
        "How far the pitch angle goes beyond the steady one, as a share of it.", "Definition.";
    PITCH_SETTLING, "pitch_settling_s", "Pitch settling", TIME, 3, Lower, One,
        "From the start of the manoeuvre until the pitch angle stays within 5 % of the steady one; absent if it never does.",
        "Definition.";

    MEAN_CURRENT, "mean_current_a", "Mean current", CURRENT, 2, Neither, PerCorner, "Mean current of the valve.", "Definition.";
    SHARE_WRONG_SIGN, "share_wrong_sign", "Wanted force of wrong sign", SHARE, 1, Lower, One,
        "Share of time, over all corners, the wanted force does not oppose the motion of the damper: no damper can give it, the soft end acts.",
        "Definition.";
    SHARE_BELOW_SOFT, "share_below_soft", "Wanted force below soft", SHARE, 1, Lower, One,
        "Share of time, over all corners, the wanted force has the right sign but the soft end already gives more.",
        "Definition.";
    SHARE_DELIVERABLE, "share_deliverable", "Wanted force deliverable", SHARE, 1, Higher, One,
        "Share of time, over all corners, the wanted force lies between soft and firm end.", "Definition.";
    SHARE_ABOVE_FIRM, "share_above_firm", "Wanted force above firm", SHARE, 1, Lower, One,
        "Share of time, over all corners, more is wanted than the firm end gives.", "Definition.";
    SHARE_OUTSIDE_TABLE, "share_outside_table", "Outside the damper table", SHARE, 1, Lower, One,
        "Share of time, over all corners, the damper works at velocities beyond its force table, where the force is continued linearly.",
        "Definition.";
    DAMPER_POWER, "damper_power_w", "Damper power", POWER, 0, Neither, PerCorner,
        "Mean power the damper turns into heat.", "Definition.";
    FORCE_STEP_RMS, "force_step_rms_n", "Force steps", FORCE, 1, Lower, One,
        "r.m.s. change of the damper force at the wheel within a millisecond (within one sample where samples are further apart), over all corners.",
        "Definition.";

    HEAVE_RATE_ERROR, "heave_rate_error_rms_m_per_s", "Estimated heave rate, error", RATE, 4, Lower, One,
        "r.m.s. difference between the body's heave rate that the law goes by and the true one, at the centre of gravity of the car as described; only where states are estimated.",
        "Definition.";
    ROLL_RATE_ERROR, "roll_rate_error_rms_rad_per_s", "Estimated roll rate, error", ANGULAR_RATE, 3, Lower, One,
        "r.m.s. difference between the roll rate that the law goes by and the true one; only where states are estimated.", "Definition.";
    PITCH_RATE_ERROR, "pitch_rate_error_rms_rad_per_s", "Estimated pitch rate, error", ANGULAR_RATE, 3, Lower, One,
        "r.m.s. difference between the pitch rate that the law goes by and the true one; only where states are estimated.", "Definition.";
    WHEEL_RATE_ERROR, "wheel_rate_error_rms_m_per_s", "Estimated wheel rate, error", RATE, 4, Lower, PerCorner,
        "r.m.s. difference between the vertical wheel rate that the law goes by and the true one; only where states are estimated.", "Definition.";
    TRAVEL_RATE_ERROR, "suspension_rate_error_rms_m_per_s", "Estimated suspension rate, error", RATE, 4, Lower, PerCorner,
        "r.m.s. difference between the rate of suspension travel that the law goes by and the true one; only where states are estimated.", "Definition.";
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_id_finds_its_own_name() {
        for id in MetricId::all() {
            assert_eq!(MetricId::by_name(id.name()), Some(id));
        }
        assert_eq!(MetricId::BODY_ACCELERATION_RMS.name(), "body_acceleration_rms_m_per_s2");
        assert_eq!(MetricId::TRAVEL_RATE_ERROR.name(), "suspension_rate_error_rms_m_per_s");
        assert_eq!(MetricId::DAMPER_POWER.metric().scope, Scope::PerCorner);
        assert_eq!(MetricId::by_name("no_such_metric"), None);
    }

    #[test]
    fn the_names_scripts_rely_on_are_there() {
        // The fixed names of the --json output of evaluate.
        for name in [
            "body_acceleration_rms_m_per_s2",
            "weighted_acceleration_m_per_s2",
            "vibration_dose_m_per_s1_75",
            "suspension_travel_rms_m",
            "suspension_travel_peak_m",
            "wheel_load_variation_rms_n",
            "dynamic_load_coefficient",
            "least_wheel_load_n",
            "lift_time_s",
            "roll_peak_rad",
            "roll_overshoot_share",
            "roll_settling_s",
            "pitch_peak_rad",
            "mean_current_a",
            "share_wrong_sign",
            "share_below_soft",
            "share_deliverable",
            "share_above_firm",
            "share_outside_table",
            "damper_power_w",
        ] {
            assert!(MetricId::by_name(name).is_some(), "{name}");
        }
    }

    #[test]
    fn names_are_unique_and_end_in_their_si_unit() {
        METRICS.iter().for_each(|m| washboard_checks::wanted("metric", m.name));
        let names: BTreeSet<_> = METRICS.iter().map(|m| m.name).collect();
        assert_eq!(names.len(), METRICS.len());
        for m in METRICS {
            let suffix = match m.unit {
                "m/s²" => "_m_per_s2",
                "m/s^1.75" => "_m_per_s1_75",
                "m/s^1.5" => "_m_per_s1_5",
                "m" => "_m",
                "m/s" => "_m_per_s",
                "rad" => "_rad",
                "rad/s" => "_rad_per_s",
                "rad/s²" => "_rad_per_s2",
                "rad/(m/s²)" => "_rad_per_m_per_s2",
                "N" => "_n",
                "s" => "_s",
                "J" => "_j",
                "W" => "_w",
                "A" => "_a",
                _ => "",
            };
            assert!(m.name.ends_with(suffix), "{} in {}", m.name, m.unit);
            assert!(m.label.starts_with(char::is_uppercase) && m.meaning.ends_with('.') && m.source.ends_with('.'));
            assert!((m.from_screen(m.to_screen(0.3)) - 0.3).abs() < 1e-15);
        }
    }
}
