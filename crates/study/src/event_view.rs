//! An event to look at: its road, what it asks of the car over time, and what the reader should know of it.

use crate::road_picture::road_picture_of_event;
use crate::{Cancelled, Progress, RoadPicture, Study};
use std::sync::Arc;
use washboard_road::{Cones, Event, Geometry, Manoeuvre, Steering, Surface, Tracks, sample};

/// Points of the curves over time.
const POINTS: usize = 1200;
/// Tyres are linear up to about this lateral acceleration on a dry road, m/s^2 (common practice, no source).
const LINEAR_UP_TO_M_PER_S2: f64 = 4.0;
/// More than this a road car's tyres do not give on a dry road, m/s^2 (common practice, no source).
const MOST_GRIP_M_PER_S2: f64 = 9.0;

/// An event to look at. A run with another model or load case drives the same.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EventView {
    /// Height over distance, density, class and roughness index.
    pub road: RoadPicture,
    /// Of each track of `road`, when the front axle is at each of its points, s; as far as the run drives.
    pub road_time_s: Vec<Vec<f64>>,
    /// Where something lies on the road, m from the start, with some room around it; absent where it does everywhere.
    pub focus_m: Option<(f64, f64)>,
    /// What the event asks of the car over time.
    pub demands: Demands,
    /// The way between cones, where the event has one.
    pub cones: Option<ConeView>,
    /// What the model leaves out of this event and what the reader should know of it, one sentence each.
    pub remarks: Vec<String>,
    /// How the model simplifies every event of this kind.
    pub simplified: &'static str,
    /// What it was made from.
    key: Option<(Event, Geometry)>,
}

/// What an event asks of the car: one entry a time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Demands {
    /// Times, s, evenly from 0 to the end.
    pub time_s: Vec<f64>,
    /// Distance of the front axle, m.
    pub distance_m: Vec<f64>,
    /// Speed, m/s.
    pub speed_m_per_s: Vec<f64>,
    /// Lateral acceleration, m/s^2, positive to the left; empty where it is zero throughout.
    pub lateral_m_per_s2: Vec<f64>,
    /// Longitudinal acceleration, m/s^2, positive when speeding up; empty where it is zero throughout.
    pub longitudinal_m_per_s2: Vec<f64>,
}

/// A way between cones, seen from above.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ConeView {
    /// Distance along the track, m from the start of the run.
    pub along_m: Vec<f64>,
    /// The car's middle, m to the left.
    pub left_m: Vec<f64>,
    /// Width of the car, m.
    pub vehicle_width_m: f64,
    /// Lanes between cones: from, to, right edge, left edge, m.
    pub lanes_m: Vec<[f64; 4]>,
    /// Single cones: along and to the left, m.
    pub cones_m: Vec<[f64; 2]>,
}

impl Study {
    /// Every event to look at. What an edit cannot have changed is taken over from `previous`.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn event_views(
        &self,
        previous: &[Arc<EventView>],
        progress: &Progress,
    ) -> Result<Vec<Arc<EventView>>, Cancelled> {
        // The road itself is looked at, not what tyres make of it.
        let geometry = Geometry { contact_length_m: [0.0; 2], ..self.geometry() };
        let view = |event: &Event| {
            let key = (event.clone(), geometry);
            let known = previous.iter().find(|v| v.key.as_ref() == Some(&key));
            match known {
                Some(known) => Ok(known.clone()),
                None => event_view(event, geometry, progress).map(Arc::new),
            }
        };
        self.courses.iter().map(|course| view(&course.event)).collect()
    }
}

fn event_view(event: &Event, geometry: Geometry, progress: &Progress) -> Result<EventView, Cancelled> {
    let road = match event.surface {
        Surface::Flat => RoadPicture::default(),
        _ => road_picture_of_event(event, geometry, progress)?,
    };
    let demands = demands(event, &geometry);
    let when = |x: &f64| time_at(&demands, *x);
    Ok(EventView {
        road_time_s: road.tracks.iter().map(|t| t.distance_m.iter().map_while(when).collect()).collect(),
        focus_m: focus(event, &road),
        cones: cones(event),
        remarks: remarks(event, &demands),
        simplified: simplified(event),
        demands,
        road,
        key: Some((event.clone(), geometry)),
    })
}

fn demands(event: &Event, geometry: &Geometry) -> Demands {
    let flat = Event { surface: Surface::Flat, ..event.clone() };
    let step_s = event.duration_s / POINTS as f64;
    let input = sample(&flat, geometry, Tracks::Single, step_s, POINTS);
    let speed: Vec<f64> = (0..=POINTS).map(|i| input.speed_at(i)).collect();
    let mut distance_m = Vec::with_capacity(POINTS + 1);
    let mut here_m = 0.0;
    for i in 0..=POINTS {
        if i > 0 {
            // Exact for constant acceleration within a step.
            here_m += 0.5 * step_s * (speed[i - 1] + speed[i]);
        }
        distance_m.push(here_m);
    }
    Demands {
        time_s: (0..=POINTS).map(|i| i as f64 * step_s).collect(),
        distance_m,
        speed_m_per_s: speed,
        lateral_m_per_s2: input.lateral_m_per_s2,
        longitudinal_m_per_s2: input.longitudinal_m_per_s2,
    }
}

/// When the front axle is at a distance; `None` where the run does not come that far.
fn time_at(demands: &Demands, distance_m: f64) -> Option<f64> {
    let (x, t) = (&demands.distance_m, &demands.time_s);
    // Rounding must not lose the last point.
    let last = x.last().copied()?;
    let distance_m = if distance_m > last && distance_m <= last * (1.0 + 1e-9) { last } else { distance_m };
    let next = x.partition_point(|&place_m| place_m < distance_m);
    let (after_m, after_s) = (*x.get(next)?, t[next]);
    let Some(before) = next.checked_sub(1) else { return Some(after_s) };
    let share = if after_m > x[before] { (distance_m - x[before]) / (after_m - x[before]) } else { 0.0 };
    Some(t[before] + share * (after_s - t[before]))
}

/// The stretch with anything on it: from the first to the last height that is not that of the start, and half as much
/// on either side.
fn focus(event: &Event, road: &RoadPicture) -> Option<(f64, f64)> {
    if matches!(
        event.surface,
        Surface::Flat | Surface::Random(_) | Surface::Patched(_) | Surface::Sweep { .. } | Surface::Harmonic { .. }
    ) {
        return None;
    }
    let (mut from, mut to) = (f64::INFINITY, f64::NEG_INFINITY);
    for track in &road.tracks {
        let level = track.height_m.first().copied().unwrap_or(0.0);
        for (x, z) in track.distance_m.iter().zip(&track.height_m) {
            if (z - level).abs() > 1e-6 {
                (from, to) = (from.min(*x), to.max(*x));
            }
        }
    }
    let room = 0.5 * (to - from).max(0.5);
    (to > from).then(|| ((from - room).max(0.0), to + room))
}

fn cones(event: &Event) -> Option<ConeView> {
    let Manoeuvre::Steered { steering: Steering::Cones(track), .. } = &event.manoeuvre else { return None };
    let line = track.line_of_the_car();
    let length_m = track.length_m();
    let along_m: Vec<f64> = (0..=400).map(|i| length_m * f64::from(i) / 400.0).collect();
    let lanes = track.lanes().into_iter();
    let cones_m = match track.cones {
        Cones::Slalom { spacing_m, count } => {
            (0..count).map(|cone| [line.origin_m + f64::from(cone) * spacing_m, 0.0]).collect()
        }
        Cones::DoubleLaneChange | Cones::ObstacleAvoidance => Vec::new(),
    };
    Some(ConeView {
        left_m: along_m.iter().map(|x| line.left_m(*x)).collect(),
        along_m,
        vehicle_width_m: track.vehicle_width_m,
        lanes_m: lanes.map(|l| [line.origin_m + l.from_m, line.origin_m + l.to_m, l.right_m, l.left_m]).collect(),
        cones_m,
    })
}

/// One sentence an event.
fn simplified(event: &Event) -> &'static str {
    match event.manoeuvre {
        Manoeuvre::LateralStep { .. } | Manoeuvre::LaneChange { .. } => {
            "Lateral acceleration is given over time: no steering, no yaw, no tyre slip."
        }
        Manoeuvre::Steered { .. } => {
            "Steering works through a linear single-track model at constant speed: tyres without a limit of grip, no roll steer."
        }
        Manoeuvre::Longitudinal { .. } => {
            "Longitudinal acceleration is given over time: wheels do not slip or lock, the powertrain does not swing along."
        }
        Manoeuvre::BrakingInBend { .. } => {
            "Both accelerations are given over time: the car keeps its circle, wheels do not slip or lock."
        }
        Manoeuvre::None => match event.surface {
            Surface::Random(_) => {
                "Gaussian heights of one waviness from end to end: no joints, patches or change of surface."
            }
            Surface::Sweep { .. } | Surface::Harmonic { .. } => {
                "A sine of time under the wheels, as on a rig, at the rear axle later by wheelbase over speed; no contact length."
            }
            Surface::Flat => "A flat road at constant speed.",
            _ => {
                "The tyre meets the road in a point or averages over its contact length; it does not roll over edges as a tyre of its radius does."
            }
        },
    }
}

fn remarks(event: &Event, demands: &Demands) -> Vec<String> {
    let mut said = Vec::new();
    let covered_m = demands.distance_m.last().copied().unwrap_or(0.0);
    if let Manoeuvre::Steered { steering, .. } = &event.manoeuvre {
        said.push(
            "Lateral acceleration follows from steering by a linear single-track model at constant speed; roll does not steer."
                .to_owned(),
        );
        if let Steering::Cones(track) = steering {
            let needed_m = track.length_m();
            if covered_m < needed_m {
                said.push(format!(
                    "The run ends after {covered_m:.0} m, before the way between the cones does ({needed_m:.0} m): drive longer."
                ));
            }
        }
    }
    let peak = demands.lateral_m_per_s2.iter().fold(0.0_f64, |most, a| most.max(a.abs()));
    if peak > MOST_GRIP_M_PER_S2 {
        said.push(format!(
            "Lateral acceleration reaches {peak:.1} m/s²: tyres of a road car do not give more than about {MOST_GRIP_M_PER_S2:.0} m/s² on a dry road."
        ));
    } else if peak > LINEAR_UP_TO_M_PER_S2 && matches!(event.manoeuvre, Manoeuvre::Steered { .. }) {
        said.push(format!(
            "Lateral acceleration reaches {peak:.1} m/s²: beyond about {LINEAR_UP_TO_M_PER_S2:.0} m/s² tyres are no longer linear, the car answers later and less."
        ));
    }
    if matches!(event.manoeuvre, Manoeuvre::BrakingInBend { .. }) {
        said.push("The car stays on its circle while braking: yaw is not part of the model.".to_owned());
    }
    if matches!(event.surface, Surface::RailwayCrossing(_) | Surface::ExpansionJoints { .. }) {
        said.push(
            "Gaps shorter than the tyre's contact patch feel harsher to a point than to a tyre, and the load of a damped point jumps between samples: give the axles a contact length."
                .to_owned(),
        );
    }
    let passes = match &event.surface {
        Surface::CosineBump { length_m, lead_m, .. }
        | Surface::CircularHump { length_m, lead_m, .. }
        | Surface::Pothole { length_m, lead_m, .. } => Some(lead_m + length_m),
        Surface::Undulation { length_m, waves, lead_m, right_lag_share, .. } => {
            Some(lead_m + (f64::from(*waves) + right_lag_share) * length_m)
        }
        Surface::ExpansionJoints { joints, .. } => {
            Some(joints.lead_m + f64::from(joints.joints.saturating_sub(1)) * joints.spacing_m + joints.gap_m)
        }
        Surface::RailwayCrossing(c) => Some(c.lead_m + f64::from(c.tracks.saturating_sub(1)) * c.track_spacing_m + 1.6),
        _ => None,
    };
    if let Some(end_m) = passes.filter(|end_m| covered_m < *end_m) {
        said.push(format!("The run ends after {covered_m:.0} m, before the road does ({end_m:.0} m): drive longer."));
    }
    said
}
