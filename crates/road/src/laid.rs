//! An event's surface, drawn and laid out: which line lies in which track.

use crate::line::{Line, Mean, Shifted};
use crate::obstacle::{CircularHump, CosineWaves, Pothole};
use crate::pieces::Polyline;
use crate::sine::{Sweep, harmonic};
use crate::way::Under;
use crate::{Elevation, Event, Geometry, Profile, Side, Surface, Tracks, random};

/// What lies in the tracks of an event.
pub(crate) enum Laid {
    /// Nothing.
    Flat,
    /// A road over time, in both tracks.
    Time(Time),
    /// The same line in both tracks.
    One(Box<dyn Under>),
    /// Left and right; flat where there is none.
    Two([Option<Box<dyn Under>>; 2]),
}

/// A road over time.
pub(crate) enum Time {
    /// A walk through frequencies.
    Sweep(Sweep),
    /// One frequency, Hz, at one amplitude, m.
    Harmonic(f64, f64),
}

impl Time {
    /// Height (m) and its rate (m/s) at a time.
    pub(crate) fn at(&self, time_s: f64) -> (f64, f64) {
        match self {
            Time::Sweep(sweep) => sweep.at(time_s),
            &Time::Harmonic(frequency_hz, amplitude_m) => harmonic(frequency_hz, amplitude_m, time_s),
        }
    }
}

fn one(line: impl Under + 'static) -> Laid {
    Laid::One(Box::new(line))
}

fn two(left: impl Under + 'static, right: impl Under + 'static) -> Laid {
    Laid::Two([Some(Box::new(left)), Some(Box::new(right))])
}

impl Laid {
    /// Lays out the surface of an event as far as `covered_m`.
    pub(crate) fn new(event: &Event, geometry: &Geometry, tracks: Tracks, covered_m: f64) -> Self {
        match &event.surface {
            Surface::Flat => Laid::Flat,
            Surface::Random(road) => {
                let apart_m = (tracks == Tracks::Two).then_some(geometry.track_m);
                let ahead_m = 0.5 * geometry.contact_length_m[0].max(geometry.contact_length_m[1]);
                match random::draw(road, covered_m, ahead_m, apart_m) {
                    None => Laid::Flat,
                    Some((track, None)) => one(track),
                    Some((left, Some(right))) => two(left, right),
                }
            }
            &Surface::CosineBump { height_m, length_m, lead_m, side } => {
                sided(CosineWaves { height_m, length_m, waves: 1.0 }, lead_m, side, tracks)
            }
            &Surface::CircularHump { height_m, length_m, lead_m, side } => {
                sided(CircularHump { height_m, length_m }, lead_m, side, tracks)
            }
            &Surface::Pothole { depth_m, length_m, edge_m, lead_m, side } => {
                sided(Pothole { depth_m, length_m, edge_m }, lead_m, side, tracks)
            }
            &Surface::Undulation { height_m, length_m, waves, right_lag_share, lead_m } => {
                let line = CosineWaves { height_m, length_m, waves: f64::from(waves) };
                let late = |share: f64| Shifted { line, by_m: lead_m + share * length_m, times: 1.0 };
                match tracks {
                    _ if right_lag_share == 0.0 => one(late(0.0)),
                    Tracks::Two => two(late(0.0), late(right_lag_share)),
                    Tracks::Single => one(Mean(late(0.0), late(right_lag_share))),
                }
            }
            Surface::RailwayCrossing(crossing) => sided(crossing.line(), 0.0, Side::Both, tracks),
            Surface::ExpansionJoints { joints, side } => sided(joints.line(), 0.0, *side, tracks),
            Surface::Patched(road) => {
                let [left, right] = road.lines(covered_m);
                match tracks {
                    Tracks::Two => two(left, right),
                    Tracks::Single => one(left),
                }
            }
            &Surface::Sweep { from_hz, to_hz, velocity_amplitude_m_per_s, spacing } => {
                let duration_s = event.duration_s;
                Laid::Time(Time::Sweep(Sweep { from_hz, to_hz, velocity_amplitude_m_per_s, spacing, duration_s }))
            }
            &Surface::Harmonic { frequency_hz, amplitude_m } => Laid::Time(Time::Harmonic(frequency_hz, amplitude_m)),
            Surface::Profile(profile) => measured(profile, tracks),
        }
    }
}

fn measured(profile: &Profile, tracks: Tracks) -> Laid {
    let line = |elevation_m: &[f64]| Polyline::new(profile.distance_m().to_vec(), elevation_m.to_vec());
    match (profile.elevation_m(), tracks) {
        (Elevation::Two(left_m, right_m), Tracks::Two) => two(line(left_m), line(right_m)),
        (Elevation::One(one_m), _) => one(line(one_m)),
        (Elevation::Two(..), Tracks::Single) => one(line(&profile.mean_m())),
    }
}

/// A line that begins after `lead_m`, in one track or both.
fn sided(line: impl Line + Send + 'static, lead_m: f64, side: Side, tracks: Tracks) -> Laid {
    // A car on one track meets the mean of both.
    let times = if tracks == Tracks::Single && side != Side::Both { 0.5 } else { 1.0 };
    let line = Shifted { line, by_m: lead_m, times };
    match (side, tracks) {
        (Side::Both, _) | (_, Tracks::Single) => one(line),
        (Side::Left, Tracks::Two) => Laid::Two([Some(Box::new(line)), None]),
        (Side::Right, Tracks::Two) => Laid::Two([None, Some(Box::new(line))]),
    }
}
