//! Sampled roads, drawn once and kept between edits.

use std::sync::{Arc, Mutex};
use washboard_road::{Event, Geometry, Input, Tracks, sample};

/// How much memory sampled roads may take, the one not used for longest dropped first: some hundred roads of 20 s.
const KEPT_BYTES: usize = 128 << 20;

#[derive(Clone, Debug, PartialEq)]
struct Key {
    event: Event,
    geometry: Geometry,
    tracks: Tracks,
    step_s: f64,
    steps: usize,
}

/// Roads drawn so far. A clone shares them, so that a study of the edited session finds those of the one before.
#[derive(Clone, Debug, Default)]
pub(crate) struct RoadCache(Arc<Mutex<Kept>>);

/// Roads with what they were drawn for, least recently used first.
type Kept = Vec<(Key, Arc<Input>)>;

impl RoadCache {
    /// The road of an event, drawn if it is not there.
    pub(crate) fn get(
        &self,
        event: &Event,
        geometry: Geometry,
        tracks: Tracks,
        step_s: f64,
        steps: usize,
    ) -> Arc<Input> {
        let key = Key { event: event.clone(), geometry, tracks, step_s, steps };
        if let Some(found) = self.find(&key) {
            return found;
        }
        // Drawn outside the lock: two threads may draw the same road, and get the same bytes.
        let drawn = Arc::new(sample(event, &geometry, tracks, step_s, steps));
        let mut kept = self.0.lock().unwrap_or_else(|e| e.into_inner());
        kept.push((key, drawn.clone()));
        keep_within(&mut kept, KEPT_BYTES, |(_, input)| bytes(input));
        drawn
    }

    fn find(&self, key: &Key) -> Option<Arc<Input>> {
        let mut kept = self.0.lock().unwrap_or_else(|e| e.into_inner());
        let place = kept.iter().position(|(k, _)| k == key)?;
        let entry = kept.remove(place);
        let found = entry.1.clone();
        kept.push(entry);
        Some(found)
    }
}

/// Memory that a road takes, but for what is the same for every road.
fn bytes(input: &Input) -> usize {
    let wheels = input.wheels.iter().flatten().map(|wheel| wheel.height_m.len() + wheel.rate_m_per_s.len());
    let car = input.speed_m_per_s.len() + input.lateral_m_per_s2.len() + input.longitudinal_m_per_s2.len();
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
