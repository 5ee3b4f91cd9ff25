//! History: attributes that are judged, runs of the logbook, and the sets that were handed over.

use super::{Checker, names::unfit};
use crate::{
    Fault,
    fault::quoted,
    limits::{MOST_ATTRIBUTES, MOST_HANDED_OVER, MOST_MODES, MOST_RUNS},
    place::Place,
};

impl Checker<'_> {
    /// Runs: how many, and that set identities are what they claim.
    pub(super) fn logbook(&mut self) {
        let (session, top) = (self.session, Place::Top);
        if self.count(&top, "verdict_attributes", session.verdict_attributes.len(), 0, MOST_ATTRIBUTES) {
            self.unique(&top, "verdict_attributes", session.verdict_attributes.iter().map(String::as_str));
        }
        self.count(&top, "logbook", session.logbook.len(), 0, MOST_RUNS);
        for (index, run) in session.logbook.iter().enumerate() {
            let place = top.item("logbook", index);
            if !run.set_identity.chars().all(|sign| sign.is_ascii_hexdigit()) {
                let bound = "an identity must be hexadecimal digits";
                self.fault(&place, "set_identity", quoted(&run.set_identity), bound);
            }
            self.numbers_of(&place, run);
            self.numbers_of(&place.field("tyre_pressures_bar"), &run.tyre_pressures_bar);
            for (index, verdict) in run.verdicts.iter().enumerate() {
                self.numbers_of(&place.item("verdicts", index), verdict);
                if verdict.attribute.trim().is_empty() {
                    let bound = "it must say what was judged";
                    self.fault(&place.item("verdicts", index), "attribute", quoted(&verdict.attribute), bound);
                }
            }
        }
    }

    /// Sets handed over: their modes hold by themselves; the dampers may have changed since.
    pub(super) fn handed_over(&mut self) {
        let (session, top) = (self.session, Place::Top);
        if let Some(identity) = &session.began_from {
            self.identity(&top, "began_from", identity);
        }
        if let Some(release) = &session.release {
            for (field, text) in [("name", &release.name), ("purpose", &release.purpose)] {
                if let Some(bound) = unfit(text).filter(|_| !text.is_empty()) {
                    self.fault(&top.field("release"), field, quoted(text), bound);
                }
            }
        }
        if let Some(told) = &session.in_car
            && !session.handed_over.iter().any(|set| set.identity == told.identity)
        {
            let bound = "it must be the identity of a set among handed_over";
            self.fault(&top.field("in_car"), "identity", quoted(&told.identity), bound);
        }
        self.count(&top, "handed_over", session.handed_over.len(), 0, MOST_HANDED_OVER);
        for (index, set) in session.handed_over.iter().enumerate() {
            let place = top.item("handed_over", index);
            self.identity(&place, "identity", &set.identity);
            if let Some(parent) = &set.parent {
                self.identity(&place, "parent", parent);
            }
            self.count(&place, "modes", set.modes.len(), 1, MOST_MODES);
            self.count(&place, "left_behind", set.left_behind.len(), 0, MOST_MODES);
            let all = set.modes.iter().chain(set.left_behind.iter());
            self.unique(&place, "modes", all.map(|mode| mode.name.as_str()));
            for (list, modes) in [("modes", &set.modes), ("left_behind", &set.left_behind)] {
                for (index, mode) in modes.iter().enumerate() {
                    let place = place.item(list, index);
                    self.numbers_of(&place, mode);
                    self.numbers_of(&place.field("front"), &mode.front);
                    self.numbers_of(&place.field("rear"), &mode.rear);
                    if let crate::Law::Mixed(mixed) = &mode.law {
                        self.numbers_of(&place.field("law"), mixed);
                    }
                    if let Some(end_stop) = &mode.end_stop {
                        self.numbers_of(&place.field("end_stop"), end_stop);
                    }
                    self.mode(&place, mode);
                }
            }
            if set.surroundings.is_some() {
                self.surroundings(&place, index);
            }
        }
    }

    /// An identity stands where one must.
    fn identity(&mut self, place: &Place<'_>, field: &str, identity: &str) {
        if identity.is_empty() || !identity.chars().all(|sign| sign.is_ascii_hexdigit()) {
            self.fault(place, field, quoted(identity), "an identity must be hexadecimal digits");
        }
    }

    /// What was noted beside the modes must make a whole session with them.
    fn surroundings(&mut self, place: &Place<'_>, set: usize) {
        let Some(past) = self.session.as_it_was(set) else { return };
        let place = place.field("surroundings");
        for fault in super::check_working_part(&past.session).err().unwrap_or_default() {
            let Fault { place: inner, field, value, bound } = fault;
            let whole = format!("{}.{inner}", place.described(self.session));
            self.faults.push(Fault::new(whole.trim_end_matches('.'), field, value, bound));
        }
    }
}
