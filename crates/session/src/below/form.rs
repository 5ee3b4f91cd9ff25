//! A resting session as it stands in a file: what it rests on, what is its own, and nothing else.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Below, mark_of, modes, part};
use crate::{
    Conditions, Controller, Damper, Event, Fence, HandedOver, InCar, LoadCase, Release, Run, Session, Vehicle,
    document::is_default,
    numbers::{numbers, write_number},
    resting::ModeForm,
};

/// A session in a file that holds only what is its own beside the session it rests on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename = "Session")]
#[schemars(rename = "RestingSession")]
pub(crate) struct Form {
    /// Version of the document format.
    format: u32,
    /// The session it rests on: a path from the folder of this one, inside it.
    pub(super) rests_on: String,
    /// What the session below was when this one was saved; written by the program. Absent: not known.
    #[serde(default, skip_serializing_if = "is_default")]
    rests_on_mark: Option<String>,
    /// What the session is called on screen and in reports.
    title: String,
    /// Free text.
    #[serde(default, skip_serializing_if = "is_default")]
    notes: String,
    /// Single numbers of its own: of the car, the controller, the conditions, of dampers and events.
    #[serde(default, skip_serializing_if = "is_default")]
    numbers: Vec<OwnNumber>,
    /// The whole car, where more than single numbers is its own; load cases apart.
    #[serde(default, skip_serializing_if = "is_default")]
    vehicle: Option<Vehicle>,
    /// All load cases, where they are its own.
    #[serde(default, skip_serializing_if = "is_default")]
    load_cases: Option<Vec<LoadCase>>,
    /// Dampers of its own, by name: new ones, and those where more than single numbers is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    dampers: Vec<Damper>,
    /// The whole controller, where more than single numbers is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    controller: Option<Controller>,
    /// The conditions, where they are its own.
    #[serde(default, skip_serializing_if = "is_default")]
    conditions: Option<Conditions>,
    /// Modes with anything of their own, by name; a mode the session below has needs only what deviates.
    #[serde(default, skip_serializing_if = "is_default")]
    modes: Vec<ModeForm>,
    /// Events of its own, by name: new ones, and those where more than single numbers is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    events: Vec<Event>,
    /// The reference mode, where it is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    reference_mode: Option<String>,
    /// All fences, where they are its own.
    #[serde(default, skip_serializing_if = "is_default")]
    fences: Option<Vec<Fence>>,
    /// What a driver judges, where it is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    verdict_attributes: Option<Vec<String>>,
    /// What the session below has and this one has not.
    #[serde(default, skip_serializing_if = "is_default")]
    without: Without,
    /// Names in their order, where it is not that of the session below with what is new behind it.
    #[serde(default, skip_serializing_if = "is_default")]
    order: Order,
    /// The list of runs.
    #[serde(default, skip_serializing_if = "is_default")]
    logbook: Vec<Run>,
    /// Sets handed over so far, oldest first.
    #[serde(default, skip_serializing_if = "is_default")]
    handed_over: Vec<HandedOver>,
    /// The set in the car now where that is not the one handed over last.
    #[serde(default, skip_serializing_if = "is_default")]
    in_car: Option<InCar>,
    /// Identity of the set that the modes under work go on from.
    #[serde(default, skip_serializing_if = "is_default")]
    began_from: Option<String>,
    /// Who answers for sets beyond a draft.
    #[serde(default, skip_serializing_if = "is_default")]
    release: Option<Release>,
    /// What is only proposed.
    #[serde(default, skip_serializing_if = "is_default")]
    proposed: Vec<String>,
}

/// One number of its own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct OwnNumber {
    /// Name of the damper it belongs to; absent: to none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub damper: Option<String>,
    /// Name of the event it belongs to; absent: to none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub event: Option<String>,
    /// Its path within the damper or the event, else within the session: `vehicle.front.spring_rate_n_per_m`.
    pub path: String,
    /// In the unit of its field.
    pub value: f64,
}

/// Names of what is left out.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
struct Without {
    /// Dampers.
    #[serde(skip_serializing_if = "is_default")]
    dampers: Vec<String>,
    /// Modes.
    #[serde(skip_serializing_if = "is_default")]
    modes: Vec<String>,
    /// Events.
    #[serde(skip_serializing_if = "is_default")]
    events: Vec<String>,
    /// True where the first mode is the reference though the session below names one.
    #[serde(skip_serializing_if = "is_default")]
    reference_mode: bool,
}

/// Names in their order.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
struct Order {
    /// Dampers.
    #[serde(skip_serializing_if = "is_default")]
    dampers: Vec<String>,
    /// Modes.
    #[serde(skip_serializing_if = "is_default")]
    modes: Vec<String>,
    /// Events.
    #[serde(skip_serializing_if = "is_default")]
    events: Vec<String>,
}

impl Form {
    /// What stands in the file of a session; `None` where its differences do not lead back to it, as where two modes
    /// have one name.
    pub(crate) fn of(session: &Session, below: &Below) -> Option<Form> {
        let base = &*below.session;
        let form = Form::between(base, session, below)?;
        // Half-finished work may hold what names and paths cannot tell apart.
        let back = form.clone().on_top(below).ok()?;
        part::is_same(&back, session).then_some(form)
    }

    fn between(base: &Session, own: &Session, below: &Below) -> Option<Form> {
        let Session { format, title, notes, logbook, handed_over, in_car, began_from, release, proposed, .. } =
            own.clone();
        let rests_on_mark = Some(mark_of(base));
        let rests_on = below.file.clone();
        let mut form = Form { format, rests_on, rests_on_mark, title, notes, ..Form::default() };
        (form.logbook, form.handed_over, form.in_car) = (logbook, handed_over, in_car);
        (form.began_from, form.release, form.proposed) = (began_from, release, proposed);

        match part::numbers_of("vehicle", base, own, |s| part::without_load_cases(&s.vehicle)) {
            Some(differing) => form.numbers.extend(differing),
            None => form.vehicle = Some(part::without_load_cases(&own.vehicle)),
        }
        if !part::is_same(&base.vehicle.load_cases, &own.vehicle.load_cases) {
            form.load_cases = Some(own.vehicle.load_cases.clone());
        }
        match part::numbers_of("controller", base, own, |s| s.controller.clone()) {
            Some(differing) => form.numbers.extend(differing),
            None => form.controller = Some(own.controller.clone()),
        }
        if !part::is_same(&base.conditions, &own.conditions) {
            form.conditions = Some(own.conditions.clone());
        }
        let dampers = part::named(base, own, "dampers", |s| &s.dampers, |d| &d.name);
        form.numbers.extend(dampers.numbers.into_iter().map(|(name, path, value)| OwnNumber {
            damper: Some(name),
            event: None,
            path,
            value,
        }));
        let events = part::named(base, own, "events", |s| &s.events, |e| &e.name);
        form.numbers.extend(events.numbers.into_iter().map(|(name, path, value)| OwnNumber {
            damper: None,
            event: Some(name),
            path,
            value,
        }));
        (form.dampers, form.without.dampers, form.order.dampers) = (dampers.whole, dampers.without, dampers.order);
        (form.events, form.without.events, form.order.events) = (events.whole, events.without, events.order);
        let own_modes = modes::between(&base.modes, &own.modes);
        (form.modes, form.without.modes, form.order.modes) = (own_modes.forms, own_modes.without, own_modes.order);
        if base.reference_mode != own.reference_mode {
            form.reference_mode.clone_from(&own.reference_mode);
            form.without.reference_mode = own.reference_mode.is_none();
        }
        if !part::is_same(&base.fences, &own.fences) {
            form.fences = Some(own.fences.clone());
        }
        if base.verdict_attributes != own.verdict_attributes {
            form.verdict_attributes = Some(own.verdict_attributes.clone());
        }
        Some(form)
    }

    /// The session that it is on top of the one below; the fault is a clause that says what does not fit.
    pub(crate) fn on_top(self, below: &Below) -> Result<Session, String> {
        let base = &*below.session;
        let mut session = base.clone();
        for (index, it) in self.numbers.iter().enumerate() {
            let unknown = |what: &str, name: &str| {
                format!("numbers[{index}] names the {what} {name:?}, but the session below has none of that name")
            };
            let path = match (&it.damper, &it.event) {
                (Some(name), None) => {
                    let at = session.dampers.iter().position(|d| d.name == *name);
                    format!("dampers[{}].{}", at.ok_or_else(|| unknown("damper", name))?, it.path)
                }
                (None, Some(name)) => {
                    let at = session.events.iter().position(|e| e.name == *name);
                    format!("events[{}].{}", at.ok_or_else(|| unknown("event", name))?, it.path)
                }
                (None, None) => it.path.clone(),
                (Some(_), Some(_)) => {
                    return Err(format!("numbers[{index}] names both a damper and an event, but it belongs to one"));
                }
            };
            if !write_number(&mut session, &path, it.value) {
                return Err(format!("numbers[{index}] is {path} {}, but there is no such number below", it.value));
            }
        }
        if let Some(vehicle) = self.vehicle {
            let cases = std::mem::take(&mut session.vehicle.load_cases);
            session.vehicle = vehicle;
            if session.vehicle.load_cases.is_empty() {
                session.vehicle.load_cases = cases;
            }
        }
        if let Some(cases) = self.load_cases {
            session.vehicle.load_cases = cases;
        }
        session.controller = self.controller.unwrap_or(session.controller);
        session.conditions = self.conditions.unwrap_or(session.conditions);
        part::put_named(&mut session.dampers, self.dampers, &self.without.dampers, &self.order.dampers, |d| &d.name);
        part::put_named(&mut session.events, self.events, &self.without.events, &self.order.events, |e| &e.name);
        session.modes = modes::on_top(&base.modes, self.modes, &self.without.modes, &self.order.modes)?;
        if self.without.reference_mode {
            session.reference_mode = None;
        }
        session.reference_mode = self.reference_mode.or(session.reference_mode);
        session.fences = self.fences.unwrap_or(session.fences);
        session.verdict_attributes = self.verdict_attributes.unwrap_or(session.verdict_attributes);

        (session.format, session.title, session.notes) = (self.format, self.title, self.notes);
        (session.logbook, session.handed_over, session.in_car) = (self.logbook, self.handed_over, self.in_car);
        (session.began_from, session.release, session.proposed) = (self.began_from, self.release, self.proposed);
        let has_changed = self.rests_on_mark.is_some_and(|mark| mark != mark_of(base));
        session.below = Some(Box::new(Below { has_changed, ..below.clone() }));
        Ok(session)
    }
}

/// How many single numbers a session has under a path; for the parts above.
pub(super) fn under(session: &Session, head: &str) -> Vec<(String, Option<f64>)> {
    let head = format!("{head}.");
    numbers(session)
        .into_iter()
        .filter_map(|n| {
            let rest = n.path.strip_prefix(&head)?;
            // A place in a list may be another's tomorrow: such parts are held whole.
            (!rest.contains('[')).then(|| (rest.to_owned(), n.value))
        })
        .collect()
}
