//! What a step of a run tells the metrics.

use crate::delivery::Delivery;
use washboard_signal::Lane;

/// The motion of body and corners at one step. Axes after ISO 8855; displacements from static equilibrium.
///
/// Angles that a model does not have stay zero and are left out by [`crate::RideOptions`].
#[derive(Clone, Copy, Debug)]
pub struct RideSample<L, const C: usize> {
    /// Heave of the body at its centre of gravity, m.
    pub heave_m: L,
    /// Heave acceleration, m/s^2.
    pub heave_acceleration_m_per_s2: L,
    /// Roll angle, rad, positive with the left side up.
    pub roll_rad: L,
    /// Roll rate, rad/s.
    pub roll_rate_rad_per_s: L,
    /// Roll acceleration, rad/s^2.
    pub roll_acceleration_rad_per_s2: L,
    /// Pitch angle, rad, positive with the nose down.
    pub pitch_rad: L,
    /// Pitch rate, rad/s.
    pub pitch_rate_rad_per_s: L,
    /// Pitch acceleration, rad/s^2.
    pub pitch_acceleration_rad_per_s2: L,
    /// Vertical acceleration at the seat, m/s^2.
    pub seat_acceleration_m_per_s2: L,
    /// Lateral acceleration of the manoeuvre, m/s^2, positive to the left.
    pub lateral_acceleration_m_per_s2: L,
    /// Longitudinal acceleration of the manoeuvre, m/s^2, positive when speeding up.
    pub longitudinal_acceleration_m_per_s2: L,
    /// The corners, in the order of the names in the options.
    pub corners: [CornerSample<L>; C],
}

/// One corner at one step. Forces at the wheel.
#[derive(Clone, Copy, Debug, Default)]
pub struct CornerSample<L> {
    /// Body minus wheel displacement from static equilibrium, m, positive in rebound.
    pub deflection_m: L,
    /// Its rate, m/s.
    pub rate_m_per_s: L,
    /// Vertical tyre load, N.
    pub wheel_load_n: L,
    /// Static load plus the load transfer at this lateral and longitudinal acceleration, N.
    pub quasi_static_load_n: L,
    /// Damper force, N, positive in rebound.
    pub damper_force_n: L,
    /// Force of the stops, N: positive from the rebound stop, negative from the bump stop, zero in free travel.
    pub stop_force_n: L,
    /// Current of the valve, A.
    pub current_a: L,
    /// Where the wanted force lies.
    pub delivery: Delivery<L>,
}

impl<L: Lane, const C: usize> Default for RideSample<L, C> {
    /// Everything at rest and zero, the loads too.
    fn default() -> Self {
        RideSample {
            heave_m: L::zero(),
            heave_acceleration_m_per_s2: L::zero(),
            roll_rad: L::zero(),
            roll_rate_rad_per_s: L::zero(),
            roll_acceleration_rad_per_s2: L::zero(),
            pitch_rad: L::zero(),
            pitch_rate_rad_per_s: L::zero(),
            pitch_acceleration_rad_per_s2: L::zero(),
            seat_acceleration_m_per_s2: L::zero(),
            lateral_acceleration_m_per_s2: L::zero(),
            longitudinal_acceleration_m_per_s2: L::zero(),
            corners: [CornerSample::default(); C],
        }
    }
}
