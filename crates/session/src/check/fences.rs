//! Fences: at least one bound, bounds in order, and only names that exist.

use super::Checker;
use crate::{
    fault::{plain, quoted},
    place::Place,
};

impl Checker<'_> {
    pub(super) fn fences(&mut self) {
        let (session, top) = (self.session, Place::Top);
        for (index, fence) in session.fences.iter().enumerate() {
            let place = top.item("fences", index);
            if fence.metric.trim().is_empty() {
                self.fault(&place, "metric", quoted(&fence.metric), "it must name a metric");
            }
            match (fence.at_least, fence.at_most) {
                (None, None) => {
                    self.fault(&place, "at_most", "absent", "a fence needs at_most or at_least");
                }
                (Some(least), Some(most)) if least > most => {
                    let bound = format!("it must not be above at_most ({})", plain(most));
                    self.fault(&place, "at_least", plain(least), bound);
                }
                _ => {}
            }
            if let Some(name) = &fence.relative_to {
                self.known_mode(&place, "relative_to", name);
            }
            if let Some(name) = &fence.event {
                self.known_event(&place, "event", name);
            }
            for (index, name) in fence.modes.iter().enumerate() {
                self.known_mode(&place, &format!("modes[{index}]"), name);
            }
        }
    }
}
