//! The session as it was when a set left for the car, put together from what was noted with the sets.

use std::sync::Arc;

use crate::{HandedOver, Mode, Session, Surroundings};

impl Surroundings {
    /// What stands around the modes now.
    pub fn of(session: &Session) -> Surroundings {
        let Session { vehicle, dampers, controller, conditions, events, reference_mode, fences, .. } = session.clone();
        Surroundings { vehicle, dampers, controller, conditions, events, reference_mode, fences }
    }

    fn are_those_of(&self, session: &Session) -> bool {
        self.vehicle == session.vehicle
            && self.dampers == session.dampers
            && self.controller == session.controller
            && self.conditions == session.conditions
            && self.events == session.events
            && self.reference_mode == session.reference_mode
            && self.fences == session.fences
    }
}

/// An earlier state of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    /// The session as it was, with the whole history up to now.
    pub session: Session,
    /// False where only the modes of the set are known: car, dampers and events are today's.
    pub is_whole: bool,
}

impl Session {
    /// The note of a set that leaves now: `modes` are indices of those that go out; the rest of the session is noted where
    /// it is not as at the set before.
    pub fn note_of_set(
        &self,
        identity: String,
        time: String,
        note: String,
        folder: String,
        modes: &[usize],
    ) -> HandedOver {
        let (out, behind): (Vec<(usize, &Mode)>, _) =
            self.modes.iter().enumerate().partition(|(index, _)| modes.contains(index));
        let owned =
            |modes: Vec<(usize, &Mode)>| modes.into_iter().map(|(_, mode)| mode.clone().standing_alone()).collect();
        let known = self.handed_over.len().checked_sub(1).and_then(|last| self.surroundings_at(last));
        let is_known = known.is_some_and(|known| known.are_those_of(self));
        HandedOver {
            identity,
            time,
            note,
            folder,
            modes: owned(out),
            left_behind: owned(behind),
            surroundings: (!is_known).then(|| Arc::new(Surroundings::of(self))),
            ..HandedOver::default()
        }
    }

    /// The session without its runs and sets, on which no figure depends.
    pub fn without_history(&self) -> Session {
        let mut session = self.clone();
        (session.logbook, session.handed_over) = (Vec::new(), Vec::new());
        (session.in_car, session.began_from) = (None, None);
        session.below = None;
        session
    }

    /// What stood around the modes when the set of that index left; `None` where no set up to it has it noted.
    pub fn surroundings_at(&self, set: usize) -> Option<&Arc<Surroundings>> {
        self.handed_over.get(..=set)?.iter().rev().find_map(|it| it.surroundings.as_ref())
    }

    /// Index of the newest set of this identity; `None` where no such set was noted.
    pub fn set_of(&self, identity: &str) -> Option<usize> {
        self.handed_over.iter().rposition(|set| !identity.is_empty() && set.identity == identity)
    }

    /// The session as it was when the set of that index left, with today's title, notes, logbook and sets; it stands
    /// alone.
    pub fn as_it_was(&self, set: usize) -> Option<Past> {
        let record = self.handed_over.get(set)?;
        // What lies below is of today.
        let mut session = self.clone().standing_alone();
        session.modes = record.modes.iter().chain(record.left_behind.iter()).cloned().collect();
        let around = self.surroundings_at(set);
        if let Some(around) = around {
            let Surroundings { vehicle, dampers, controller, conditions, events, reference_mode, fences } =
                (**around).clone();
            (session.vehicle, session.dampers, session.controller) = (vehicle, dampers, controller);
            (session.conditions, session.events) = (conditions, events);
            (session.reference_mode, session.fences) = (reference_mode, fences);
            // What is noted as proposed belongs to the car of today.
            session.proposed.clear();
        }
        session.began_from = Some(record.identity.clone());
        session.let_go_of_unknown_modes();
        Some(Past { session, is_whole: around.is_some() })
    }

    /// Fences and the reference that name a mode which is not there are taken out.
    fn let_go_of_unknown_modes(&mut self) {
        let names: Vec<&str> = self.modes.iter().map(|mode| mode.name.as_str()).collect();
        let is_known = |name: &String| names.contains(&name.as_str());
        self.reference_mode = self.reference_mode.take().filter(is_known);
        self.fences.retain(|fence| fence.relative_to.iter().chain(&fence.modes).all(is_known));
    }
}
