//! Sampled roads, drawn once and kept between edits.

use std::sync::{Arc, Mutex};
use washboard_road::{Event, Geometry, Input, Tracks, sample};

/// How many sampled roads are kept, oldest use dropped first.
const KEPT: usize = 256;

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
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((key, drawn.clone()));
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
