//! Events: what binds the numbers of a road or manoeuvre together, and paths that stay beside the session.

use super::Checker;
use crate::{
    Event, EventKind,
    fault::{quoted, with_unit},
    place::Place,
};

impl Checker<'_> {
    pub(super) fn events(&mut self) {
        let top = Place::Top;
        for (index, event) in self.session.events.iter().enumerate() {
            self.event(&top.item("events", index), event);
        }
    }

    fn event(&mut self, place: &Place<'_>, event: &Event) {
        if event.settle_s >= event.duration_s {
            let bound = format!("it must be less than duration_s ({})", with_unit(event.duration_s, "s"));
            self.fault(place, "settle_s", with_unit(event.settle_s, "s"), bound);
        }
        let kind = place.field("kind");
        match &event.kind {
            EventKind::RandomRoad { from_cycles_per_m: from, to_cycles_per_m: to, .. } => {
                if from >= to {
                    let bound = format!("it must be less than to_cycles_per_m ({})", with_unit(*to, "cycles/m"));
                    self.fault(&kind, "from_cycles_per_m", with_unit(*from, "cycles/m"), bound);
                }
            }
            EventKind::Pothole { length_m, edge_m, .. } => {
                if 2.0 * edge_m > *length_m {
                    let bound = format!("both edges must fit into length_m ({})", with_unit(*length_m, "m"));
                    self.fault(&kind, "edge_m", with_unit(*edge_m, "m"), bound);
                }
            }
            EventKind::Sweep { from_hz, to_hz, .. } => {
                if from_hz == to_hz {
                    let bound = format!(
                        "it must differ from from_hz ({}); one frequency alone is a Harmonic",
                        with_unit(*from_hz, "Hz")
                    );
                    self.fault(&kind, "to_hz", with_unit(*to_hz, "Hz"), bound);
                }
            }
            EventKind::Profile { file } => {
                if let Some(bound) = leads_away(file) {
                    self.fault(&kind, "file", quoted(file), bound);
                }
            }
            EventKind::LateralStep { start_s, .. }
            | EventKind::LaneChange { start_s, .. }
            | EventKind::Braking { start_s, .. }
            | EventKind::Drive { start_s, .. } => {
                if *start_s >= event.duration_s {
                    let bound = format!(
                        "it must begin before the run ends (duration_s is {})",
                        with_unit(event.duration_s, "s")
                    );
                    self.fault(&kind, "start_s", with_unit(*start_s, "s"), bound);
                }
            }
            EventKind::CosineBump { .. } | EventKind::Harmonic { .. } => {}
        }
    }
}

/// Why a path may not be followed: it must lead to a file beside or below the session on every system.
fn leads_away(file: &str) -> Option<&'static str> {
    let drive = file.as_bytes().get(1) == Some(&b':');
    if file.trim().is_empty() {
        Some("it must name a file")
    } else if file.chars().any(char::is_control) {
        Some("it must be a path without control characters")
    } else if file.starts_with(['/', '\\']) || drive {
        Some("it must be a path relative to the session file")
    } else if file.split(['/', '\\']).any(|part| part == "..") {
        Some("it must not leave the folder of the session file with `..`")
    } else {
        None
    }
}
