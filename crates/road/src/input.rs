//! What every wheel meets at every plant step, sampled from an event.

use std::sync::Arc;

use crate::stream::Stream;
use crate::{Event, Geometry, Tracks};

/// What every wheel meets, and what the car as a whole does, at the times 0, `step_s`, ..., `steps * step_s`.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Time between samples, s.
    pub step_s: f64,
    /// Number of steps; there is one sample more.
    pub steps: usize,
    /// Road under the wheels: front and rear axle, and of each the left and right wheel.
    pub wheels: [[WheelInput; 2]; 2],
    /// Vehicle speed, m/s: one entry a sample, or one entry for all.
    pub speed_m_per_s: Vec<f64>,
    /// Lateral acceleration, m/s^2, positive to the left: one entry a sample, or empty for zero throughout.
    pub lateral_m_per_s2: Vec<f64>,
    /// Longitudinal acceleration, m/s^2, positive when speeding up: one entry a sample, or empty for zero throughout.
    pub longitudinal_m_per_s2: Vec<f64>,
    /// Mean of it over the step around each sample, which is what pushes the car from one velocity to the next: one entry a
    /// sample, or empty where none differs from [`Self::longitudinal_m_per_s2`].
    pub mean_longitudinal_m_per_s2: Vec<f64>,
}

/// Road under one wheel: one entry a sample, or both empty for a flat road.
#[derive(Clone, Debug, PartialEq)]
pub struct WheelInput {
    /// Height, m, positive upwards.
    pub height_m: Arc<[f64]>,
    /// Rate of the height, m/s.
    pub rate_m_per_s: Arc<[f64]>,
}

impl WheelInput {
    /// A flat road.
    pub fn flat() -> Self {
        WheelInput { height_m: Arc::from([]), rate_m_per_s: Arc::from([]) }
    }

    /// True where the road is flat throughout.
    pub fn is_flat(&self) -> bool {
        self.height_m.is_empty()
    }
}

impl Input {
    /// Vehicle speed at a sample, m/s.
    pub fn speed_at(&self, sample: usize) -> f64 {
        self.speed_m_per_s[if self.speed_m_per_s.len() == 1 { 0 } else { sample }]
    }

    /// Lateral acceleration at a sample, m/s^2.
    pub fn lateral_at(&self, sample: usize) -> f64 {
        self.lateral_m_per_s2.get(sample).copied().unwrap_or(0.0)
    }

    /// What is known of it without its samples.
    pub fn outline(&self) -> Outline {
        Outline {
            steps: self.steps,
            changes_speed: self.speed_m_per_s.len() > 1,
            last_lateral_m_per_s2: self.lateral_m_per_s2.last().copied(),
            last_longitudinal_m_per_s2: self.longitudinal_m_per_s2.last().copied(),
        }
    }

    /// Longitudinal accelerations that push the car, step by step: means over the step around each sample, m/s^2.
    pub fn pushing_m_per_s2(&self) -> &[f64] {
        match &self.mean_longitudinal_m_per_s2[..] {
            [] => &self.longitudinal_m_per_s2,
            means => means,
        }
    }

    /// Longitudinal acceleration at a sample, m/s^2.
    pub fn longitudinal_at(&self, sample: usize) -> f64 {
        self.longitudinal_m_per_s2.get(sample).copied().unwrap_or(0.0)
    }
}

/// Samples an event at every plant step for a car of the given geometry.
///
/// The front axle is as far along the road as the car has driven, the rear axle one wheelbase behind. Sweep and harmonic
/// are functions of time: the rear axle meets them later by wheelbase over the speed at t = 0, and never at standstill.
/// Rates are slope times speed, or the derivative in time of a sine. Roads over distance are averaged over the contact
/// patch; sines of time are what the tyre feels already.
pub fn sample(event: &Event, geometry: &Geometry, tracks: Tracks, step_s: f64, steps: usize) -> Input {
    Stream::new(event, geometry, tracks, step_s, steps).piece(0, steps + 1)
}

/// What is known of an event at a step without its samples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outline {
    /// Number of steps; there is one sample more.
    pub steps: usize,
    /// The car's speed changes.
    pub changes_speed: bool,
    /// Lateral acceleration at the last sample, m/s^2; `None` where it is zero throughout.
    pub last_lateral_m_per_s2: Option<f64>,
    /// Longitudinal acceleration at the last sample, m/s^2; `None` where it is zero throughout.
    pub last_longitudinal_m_per_s2: Option<f64>,
}

impl Outline {
    /// True where the car is accelerated somewhere on its way.
    pub fn is_driven(&self) -> bool {
        self.changes_speed || self.last_lateral_m_per_s2.is_some() || self.last_longitudinal_m_per_s2.is_some()
    }
}
