//! An event sampled piece by piece, so that a long one needs no more memory than a short one.

use std::collections::VecDeque;

use crate::laid::Laid;
use crate::manoeuvre::Motion;
use crate::way::{Course, Way};
use crate::{Event, Geometry, Input, Outline, Tracks};

/// An event on its way, of which pieces are sampled as they are needed.
///
/// Pieces hold what [`crate::sample`] gives for all samples at once, to the last bit.
pub struct Stream {
    event: Event,
    geometry: Geometry,
    step_s: f64,
    steps: usize,
    laid: Laid,
    lateral: Option<Lateral>,
}

/// Lateral acceleration, which can depend on what came before.
struct Lateral {
    coming: Box<dyn Iterator<Item = f64> + Send>,
    /// Samples that may be asked for again, and the number of the first.
    ready: VecDeque<f64>,
    from: usize,
}

impl Stream {
    /// The event of `steps` plant steps for a car of the given geometry.
    pub fn new(event: &Event, geometry: &Geometry, tracks: Tracks, step_s: f64, steps: usize) -> Self {
        let covered_m = Course::new(event, step_s).at(steps).distance_m;
        let motion = Motion::new(event.speed_m_per_s, &event.manoeuvre);
        let lateral = event.manoeuvre.lateral_m_per_s2(&motion, step_s);
        Stream {
            event: event.clone(),
            geometry: *geometry,
            step_s,
            steps,
            laid: Laid::new(event, geometry, tracks, covered_m),
            lateral: lateral.map(|coming| Lateral { coming, ready: VecDeque::new(), from: 0 }),
        }
    }

    /// Number of steps of the whole event.
    pub fn steps(&self) -> usize {
        self.steps
    }

    /// What is known of an event without its samples. It takes time where a driver steers, but no memory.
    pub fn outline(event: &Event, step_s: f64, steps: usize) -> Outline {
        let motion = Motion::new(event.speed_m_per_s, &event.manoeuvre);
        let is_steady = event.manoeuvre.is_steady();
        Outline {
            steps,
            changes_speed: !is_steady,
            last_lateral_m_per_s2: event.manoeuvre.lateral_m_per_s2(&motion, step_s).and_then(|mut all| all.nth(steps)),
            last_longitudinal_m_per_s2: (!is_steady)
                .then(|| Course::new(event, step_s).at(steps).acceleration_m_per_s2),
        }
    }

    /// The samples from number `from` on, at most `count` of them and none past the event's end; `from` never goes back.
    ///
    /// Lateral acceleration before a piece once given is zero, for it is not kept.
    pub fn piece(&mut self, from: usize, count: usize) -> Input {
        let count = count.min((self.steps + 1).saturating_sub(from));
        let way = Way::piece(&self.event, &self.geometry, self.step_s, from, count);
        Input {
            step_s: self.step_s,
            steps: count.saturating_sub(1),
            wheels: way.wheels(&self.laid),
            lateral_m_per_s2: self.lateral.as_mut().map_or_else(Vec::new, |lateral| lateral.piece(from, count)),
            longitudinal_m_per_s2: way.acceleration_m_per_s2,
            mean_longitudinal_m_per_s2: way.mean_acceleration_m_per_s2,
            speed_m_per_s: way.speed_m_per_s,
        }
    }
}

impl Lateral {
    fn piece(&mut self, from: usize, count: usize) -> Vec<f64> {
        let passed = from.saturating_sub(self.from);
        let kept = passed.min(self.ready.len());
        self.ready.drain(..kept);
        for _ in kept..passed {
            self.coming.next();
        }
        self.from += passed;
        let missing = count.saturating_sub(self.ready.len());
        self.ready.extend(self.coming.by_ref().take(missing));
        self.ready.iter().take(count).copied().collect()
    }
}
