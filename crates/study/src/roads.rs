//! Sampled roads: short ones drawn once and kept between edits, long ones sampled while they are driven.

use std::sync::{Arc, Mutex};
use washboard_road::{Event, Geometry, Input, Manoeuvre, Outline, Stream, Surface, Tracks, sample};

/// How much memory sampled roads may take, the one not used for longest dropped first: some hundred roads of 20 s.
const KEPT_BYTES: usize = 128 << 20;
/// And one of them, if it is to be kept: some minutes of driving.
const ROAD_BYTES: usize = 16 << 20;

/// How much is kept.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Room {
    /// Most memory of all roads together, bytes.
    pub all: usize,
    /// Most memory of one, bytes.
    pub one: usize,
}

impl Default for Room {
    fn default() -> Self {
        Room { all: KEPT_BYTES, one: ROAD_BYTES }
    }
}

/// What a road is drawn for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Draft {
    pub event: Event,
    pub geometry: Geometry,
    pub tracks: Tracks,
    pub step_s: f64,
    pub steps: usize,
}

impl Draft {
    /// Memory that all samples would take, or somewhat more where a driver does something.
    fn bytes(&self) -> usize {
        let wheels = match (&self.event.surface, self.tracks) {
            (Surface::Flat, _) => 0,
            (_, Tracks::Single) => 2,
            (_, Tracks::Two) => 4,
        };
        // Speed and two accelerations of the car.
        let car = if self.event.manoeuvre == Manoeuvre::None { 0 } else { 3 };
        // Height and rate under each wheel.
        (2 * wheels + car) * (self.steps + 1) * size_of::<f64>()
    }

    fn outline(&self) -> Outline {
        Stream::outline(&self.event, self.step_s, self.steps)
    }

    /// The road, to be sampled piece by piece.
    pub fn stream(&self) -> Stream {
        Stream::new(&self.event, &self.geometry, self.tracks, self.step_s, self.steps)
    }
}

/// A road as runs take it. What they find on it is the same either way, to the last bit.
#[derive(Clone, Debug)]
pub(crate) enum Road {
    /// All its samples.
    Kept(Arc<Input>),
    /// What it is sampled from while it is driven, and what is known of it before.
    Streamed(Arc<(Draft, Outline)>),
}

impl Road {
    /// What is known of it without its samples.
    pub fn outline(&self) -> Outline {
        match self {
            Road::Kept(input) => input.outline(),
            Road::Streamed(streamed) => streamed.1,
        }
    }

    /// All its samples, where they are kept.
    pub fn kept(&self) -> Option<&Input> {
        match self {
            Road::Kept(input) => Some(input),
            Road::Streamed(_) => None,
        }
    }

    /// Tells whether two are one and the same road, by where it lies.
    pub fn place(&self) -> *const () {
        match self {
            Road::Kept(input) => Arc::as_ptr(input).cast(),
            Road::Streamed(streamed) => Arc::as_ptr(streamed).cast(),
        }
    }

    /// True where it is sampled while it is driven.
    pub fn is_streamed(&self) -> bool {
        matches!(self, Road::Streamed(_))
    }
}

/// Roads drawn so far. A clone shares them, so that a study of the edited session finds those of the one before.
#[derive(Clone, Debug, Default)]
pub(crate) struct RoadCache {
    kept: Arc<Mutex<Kept>>,
    room: Room,
}

/// Roads with what they were drawn for, least recently used first.
type Kept = Vec<(Draft, Arc<Input>)>;

impl RoadCache {
    /// One that keeps no more than given.
    #[cfg(test)]
    pub fn with(room: Room) -> Self {
        RoadCache { kept: Arc::default(), room }
    }

    /// Which of some roads that are wanted together may be drawn and kept.
    pub fn kept_of(&self, drafts: &[Draft]) -> Vec<bool> {
        let mut sum = 0;
        let fits = |draft: &Draft| {
            let bytes = draft.bytes();
            let fits = bytes <= self.room.one && sum + bytes <= self.room.all;
            if fits {
                sum += bytes;
            }
            fits
        };
        drafts.iter().map(fits).collect()
    }

    /// A road, drawn if it is to be kept and not there.
    pub fn get(&self, draft: Draft, is_kept: bool) -> Road {
        if !is_kept {
            let outline = draft.outline();
            return Road::Streamed(Arc::new((draft, outline)));
        }
        if let Some(found) = self.find(&draft) {
            return Road::Kept(found);
        }
        // Drawn outside the lock: two threads may draw the same road, and get the same bytes.
        let Draft { event, geometry, tracks, step_s, steps } = &draft;
        let drawn = Arc::new(sample(event, geometry, *tracks, *step_s, *steps));
        let mut kept = self.kept.lock().unwrap_or_else(|e| e.into_inner());
        kept.push((draft, drawn.clone()));
        keep_within(&mut kept, self.room.all, |(_, input)| bytes(input));
        Road::Kept(drawn)
    }

    fn find(&self, draft: &Draft) -> Option<Arc<Input>> {
        let mut kept = self.kept.lock().unwrap_or_else(|e| e.into_inner());
        let place = kept.iter().position(|(k, _)| k == draft)?;
        let entry = kept.remove(place);
        let found = entry.1.clone();
        kept.push(entry);
        Some(found)
    }
}

/// Memory that a road takes, but for what is the same for every road.
fn bytes(input: &Input) -> usize {
    let wheels = input.wheels.iter().flatten().map(|wheel| wheel.height_m.len() + wheel.rate_m_per_s.len());
    let car = input.speed_m_per_s.len()
        + input.lateral_m_per_s2.len()
        + input.longitudinal_m_per_s2.len()
        + input.mean_longitudinal_m_per_s2.len();
    (wheels.sum::<usize>() + car) * size_of::<f64>()
}

/// Drops the first things until the others keep within a size; the last one stays whatever its size.
fn keep_within<T>(things: &mut Vec<T>, most: usize, size: impl Fn(&T) -> usize) {
    let mut sum = 0;
    let kept = things.iter().rev().take_while(|thing| {
        sum += size(thing);
        sum <= most
    });
    let dropped = things.len() - kept.count().max(1);
    things.drain(..dropped);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_long_alone_or_with_the_others_is_not_kept() {
        let flat = Geometry { wheelbase_m: 2.7, track_m: 1.5, contact_length_m: [0.0; 2] };
        let draft = |steps, tracks| Draft {
            event: Event {
                speed_m_per_s: 20.0,
                duration_s: steps as f64,
                surface: Surface::Harmonic { frequency_hz: 1.0, amplitude_m: 0.01 },
                manoeuvre: Manoeuvre::None,
            },
            geometry: flat,
            tracks,
            step_s: 1.0,
            steps,
        };
        let single = draft(9, Tracks::Single);
        assert_eq!(single.bytes(), 4 * 10 * 8);
        let input = sample(&single.event, &flat, Tracks::Single, 1.0, 9);
        assert_eq!(single.bytes(), input.wheels.iter().map(|w| 2 * w[0].height_m.len() * 8).sum::<usize>());
        let cache = RoadCache::with(Room { all: 1000, one: 700 });
        let drafts = [single.clone(), draft(9, Tracks::Two), single.clone(), single];
        assert_eq!(
            cache.kept_of(&drafts),
            [true, true, false, false],
            "320 and 640 bytes of 1000: {:?}",
            drafts[1].bytes()
        );
    }

    #[test]
    fn the_oldest_roads_are_dropped_first() {
        let kept = |mut sizes: Vec<usize>| {
            keep_within(&mut sizes, 10, |size| *size);
            sizes
        };
        assert_eq!(kept(vec![4, 4, 6]), [4, 6]);
        assert_eq!(kept(vec![4, 5]), [4, 5]);
        assert_eq!(kept(vec![4, 50]), [50], "the one at hand stays");
    }
}
