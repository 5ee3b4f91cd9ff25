//! Measured profiles: elevation over distance in one or two tracks, linear between samples.

/// Elevations of a measured profile, m, one a distance.
#[derive(Clone, Debug, PartialEq)]
pub enum Elevation {
    /// One track for all wheels.
    One(Vec<f64>),
    /// Left and right track.
    Two(Vec<f64>, Vec<f64>),
}

/// A measured profile; held before its first and after its last sample, linear between.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    distance_m: Vec<f64>,
    elevation_m: Elevation,
}

/// Why samples are not a profile. Indices count from 0.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ProfileError {
    /// Nothing to interpolate between.
    #[error("a profile needs at least 2 samples, this one has {samples}")]
    TooShort {
        /// Samples given.
        samples: usize,
    },
    /// A track has more or fewer elevations than there are distances.
    #[error("{distances} distances, but a track of {elevations} elevations")]
    UnequalLength {
        /// Distances given.
        distances: usize,
        /// Elevations of the track at fault.
        elevations: usize,
    },
    /// A distance or elevation is not a finite number.
    #[error("sample {index} is not a finite number: {value}")]
    NotFinite {
        /// Sample at fault.
        index: usize,
        /// Its value.
        value: f64,
    },
    /// A distance is not beyond the one before.
    #[error("distance must rise at every sample, at sample {index} it goes from {before_m} m to {value_m} m")]
    NotRising {
        /// Sample at fault.
        index: usize,
        /// Distance before it, m.
        before_m: f64,
        /// Its distance, m.
        value_m: f64,
    },
}

impl Profile {
    /// A profile from its samples: distances in m, strictly rising, at least two, and as many elevations in each track.
    pub fn new(distance_m: Vec<f64>, elevation_m: Elevation) -> Result<Self, ProfileError> {
        if distance_m.len() < 2 {
            return Err(ProfileError::TooShort { samples: distance_m.len() });
        }
        check_finite(&distance_m)?;
        if let Some(index) = (1..distance_m.len()).find(|&index| distance_m[index] <= distance_m[index - 1]) {
            let (before_m, value_m) = (distance_m[index - 1], distance_m[index]);
            return Err(ProfileError::NotRising { index, before_m, value_m });
        }
        let (left_m, right_m) = match &elevation_m {
            Elevation::One(one_m) => (one_m, one_m),
            Elevation::Two(left_m, right_m) => (left_m, right_m),
        };
        for track_m in [left_m, right_m] {
            if track_m.len() != distance_m.len() {
                let (distances, elevations) = (distance_m.len(), track_m.len());
                return Err(ProfileError::UnequalLength { distances, elevations });
            }
            check_finite(track_m)?;
        }
        Ok(Profile { distance_m, elevation_m })
    }

    /// Distances, m, strictly rising.
    pub fn distance_m(&self) -> &[f64] {
        &self.distance_m
    }

    /// Elevations, m.
    pub fn elevation_m(&self) -> &Elevation {
        &self.elevation_m
    }

    /// Mean of the tracks, m, one a distance.
    pub(crate) fn mean_m(&self) -> Vec<f64> {
        match &self.elevation_m {
            Elevation::One(one_m) => one_m.clone(),
            Elevation::Two(left_m, right_m) => left_m.iter().zip(right_m).map(|(l, r)| 0.5 * (l + r)).collect(),
        }
    }
}

fn check_finite(values: &[f64]) -> Result<(), ProfileError> {
    match values.iter().position(|value| !value.is_finite()) {
        Some(index) => Err(ProfileError::NotFinite { index, value: values[index] }),
        None => Ok(()),
    }
}
