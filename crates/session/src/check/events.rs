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
        self.speed_change(place, event);
        self.steered(place, event);
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
            EventKind::CircularHump { height_m, length_m, .. } => {
                if height_m.abs() > 0.25 * length_m {
                    let bound = format!("it must be a quarter of length_m ({}) at most", with_unit(*length_m, "m"));
                    self.fault(&kind, "height_m", with_unit(*height_m, "m"), bound);
                }
            }
            EventKind::RailwayCrossing { tracks, track_spacing_m, groove_width_m, edge_m, .. } => {
                // Both rails of a track with their heads: 1.435 m and twice 72 mm.
                if *tracks > 1 && *track_spacing_m < 1.6 {
                    let bound = "neighbouring tracks must be 1.6 m apart at least, for a track is that wide";
                    self.fault(&kind, "track_spacing_m", with_unit(*track_spacing_m, "m"), bound);
                }
                self.edges_fit(&kind, *edge_m, "groove_width_m", *groove_width_m);
            }
            EventKind::ExpansionJoints { spacing_m, gap_m, edge_m, .. } => {
                if gap_m >= spacing_m {
                    let bound = format!("it must be less than spacing_m ({})", with_unit(*spacing_m, "m"));
                    self.fault(&kind, "gap_m", with_unit(*gap_m, "m"), bound);
                }
                self.edges_fit(&kind, *edge_m, "gap_m", *gap_m);
            }
            EventKind::PatchedRoad { length_m, edge_m, .. } => {
                // The shortest patch has half the mean length.
                if 4.0 * edge_m > *length_m {
                    let bound = format!("it must be a quarter of length_m ({}) at most", with_unit(*length_m, "m"));
                    self.fault(&kind, "edge_m", with_unit(*edge_m, "m"), bound);
                }
            }
            EventKind::BrakeInBend { start_s, brake_s, .. } => {
                if brake_s < start_s {
                    let bound = format!("it must not be before start_s ({})", with_unit(*start_s, "s"));
                    self.fault(&kind, "brake_s", with_unit(*brake_s, "s"), bound);
                }
                self.begins_in_time(&kind, "start_s", *start_s, event);
                self.begins_in_time(&kind, "brake_s", *brake_s, event);
            }
            EventKind::StepSteer { start_s, .. }
            | EventKind::SineSteer { start_s, .. }
            | EventKind::LateralStep { start_s, .. }
            | EventKind::LaneChange { start_s, .. }
            | EventKind::Braking { start_s, .. }
            | EventKind::Drive { start_s, .. } => {
                self.begins_in_time(&kind, "start_s", *start_s, event);
            }
            EventKind::CosineBump { .. }
            | EventKind::Undulation { .. }
            | EventKind::Harmonic { .. }
            | EventKind::ConeLaneChange { .. }
            | EventKind::Slalom { .. } => {}
        }
    }

    fn begins_in_time(&mut self, kind: &Place<'_>, field: &'static str, start_s: f64, event: &Event) {
        if start_s >= event.duration_s {
            let end = with_unit(event.duration_s, "s");
            let bound = format!("it must begin before the run ends (duration_s is {end})");
            self.fault(kind, field, with_unit(start_s, "s"), bound);
        }
    }

    fn edges_fit(&mut self, kind: &Place<'_>, edge_m: f64, field: &str, length_m: f64) {
        if 2.0 * edge_m > length_m {
            let bound = format!("both edges must fit into {field} ({})", with_unit(length_m, "m"));
            self.fault(kind, "edge_m", with_unit(edge_m, "m"), bound);
        }
    }

    fn speed_change(&mut self, place: &Place<'_>, event: &Event) {
        let Some(change) = &event.speed_change else { return };
        let at = place.field("speed_change");
        if !event.kind.is_road() {
            let bound = "only a road over distance can be driven over at a changing speed; a manoeuvre brings its own";
            self.fault(place, "speed_change", "given", bound);
        }
        if change.to_km_h == event.speed_km_h {
            let bound = format!("it must differ from speed_km_h ({})", with_unit(event.speed_km_h, "km/h"));
            self.fault(&at, "to_km_h", with_unit(change.to_km_h, "km/h"), bound);
        }
        if 2.0 * change.rise_s > change.over_s {
            let bound = format!("rise and fall must fit into over_s ({})", with_unit(change.over_s, "s"));
            self.fault(&at, "rise_s", with_unit(change.rise_s, "s"), bound);
        }
        self.begins_in_time(&at, "start_s", change.start_s, event);
    }

    /// A car whose rear axle is the more compliant one spins from its critical speed on: u^2 = g L/(Dr - Df).
    fn steered(&mut self, place: &Place<'_>, event: &Event) {
        if !event.kind.is_steered() {
            return;
        }
        let vehicle = &self.session.vehicle;
        let handling = &vehicle.handling;
        let loose_deg = handling.rear_cornering_compliance_deg_per_g - handling.front_cornering_compliance_deg_per_g;
        let critical_km_h = 3.6 * (9.806_65 * vehicle.wheelbase_m / loose_deg.to_radians()).sqrt();
        // Not a number where the front axle is the more compliant one.
        if event.speed_km_h >= critical_km_h {
            let bound = format!(
                "it must be below {}, where a car of this vehicle.handling (rear more compliant than front) spins unsteered",
                with_unit((10.0 * critical_km_h).round() / 10.0, "km/h")
            );
            self.fault(place, "speed_km_h", with_unit(event.speed_km_h, "km/h"), bound);
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
