//! What a resting session has of its own, in words, each with the edit that lets it follow again.

use super::part;
use crate::{
    Edit, Mode, ModeDifference, Session,
    fault::{counted, listed, with_unit},
    numbers::number,
    resting::Resting,
};

/// One part that a session has of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnOfSession {
    /// What it is, with its place.
    pub what: String,
    /// What the session below has, with its unit.
    pub below: String,
    /// What this session has, with its unit.
    pub own: String,
    /// Takes it back; absent where several edits would be needed.
    pub back: Option<Edit>,
}

impl Session {
    /// What a session that rests on another has of its own, in the order of the document; empty where it stands alone.
    pub fn own_parts(&self) -> Vec<OwnOfSession> {
        let Some(below) = self.rests_on() else { return Vec::new() };
        let mut list = List { base: &below.session, own: self, found: Vec::new() };
        list.numbers_or_whole(
            "vehicle",
            "car",
            |s| part::without_load_cases(&s.vehicle),
            |base, own| {
                let mut vehicle = base.vehicle.clone();
                vehicle.load_cases.clone_from(&own.vehicle.load_cases);
                Edit::SetVehicle(Box::new(vehicle))
            },
        );
        list.load_cases();
        list.dampers();
        list.numbers_or_whole(
            "controller",
            "controller",
            |s| s.controller.clone(),
            |base, _| Edit::SetController(Box::new(base.controller.clone())),
        );
        list.numbers_or_whole(
            "conditions",
            "conditions of the dampers",
            |s| s.conditions.clone(),
            |base, _| Edit::SetConditions(base.conditions.clone()),
        );
        list.modes();
        list.events();
        list.rest();
        list.found
    }
}

struct List<'s> {
    base: &'s Session,
    own: &'s Session,
    found: Vec<OwnOfSession>,
}

impl List<'_> {
    fn note(&mut self, what: impl Into<String>, below: impl Into<String>, own: impl Into<String>, back: Option<Edit>) {
        self.found.push(OwnOfSession { what: what.into(), below: below.into(), own: own.into(), back });
    }

    /// A part that is there once: its numbers one by one, or the part as a whole.
    fn numbers_or_whole<T: serde::Serialize + PartialEq>(
        &mut self,
        head: &str,
        label: &str,
        part_of: impl Fn(&Session) -> T,
        back: impl Fn(&Session, &Session) -> Edit,
    ) {
        let (base, own) = (self.base, self.own);
        match part::numbers_of(head, base, own, &part_of) {
            Some(numbers) => {
                for it in numbers {
                    let (what, below, is) = in_words(base, own, (&it.path, &it.path), label);
                    let value = number(base, &it.path).and_then(|n| n.value);
                    // What is absent below cannot come back as a number.
                    let edit = value.map(|value| Edit::SetNumber { path: it.path, value });
                    self.note(what, below, is, Some(edit.unwrap_or_else(|| back(base, own))));
                }
            }
            None => self.note(label, "as below", "more than single numbers", Some(back(base, own))),
        }
    }

    fn load_cases(&mut self) {
        let (base, own) = (&self.base.vehicle.load_cases, &self.own.vehicle.load_cases);
        if !part::is_same(base, own) {
            let words = |cases: &[crate::LoadCase]| listed(cases.iter().map(|c| c.name.as_str()));
            self.note("load cases", words(base), words(own), Some(Edit::SetLoadCases(base.clone())));
        }
    }

    fn dampers(&mut self) {
        let (base, own) = (self.base, self.own);
        let found = part::named(base, own, "dampers", |s| &s.dampers, |d| &d.name);
        for (name, path, _) in found.numbers {
            self.number_of("dampers", &name, &path);
        }
        for damper in found.whole {
            let at = own.dampers.iter().position(|d| d.name == damper.name).unwrap_or_default();
            let what = format!("damper {}", damper.name);
            match base.dampers.iter().find(|d| d.name == damper.name) {
                Some(below) => {
                    let back = Edit::ReplaceDamper { damper: at, with: Box::new(below.clone()) };
                    self.note(what, "as below", "bench data of its own", Some(back));
                }
                None => self.note(what, "none", "only here", Some(Edit::DeleteDamper { damper: at })),
            }
        }
        for name in found.without {
            let below = base.dampers.iter().find(|d| d.name == name);
            let back = below.map(|d| Edit::AddDamper(Box::new(d.clone())));
            self.note(format!("damper {name}"), "there", "taken out", back);
        }
    }

    fn events(&mut self) {
        let (base, own) = (self.base, self.own);
        let found = part::named(base, own, "events", |s| &s.events, |e| &e.name);
        for (name, path, _) in found.numbers {
            self.number_of("events", &name, &path);
        }
        for event in found.whole {
            let at = own.events.iter().position(|e| e.name == event.name).unwrap_or_default();
            let what = format!("event {}", event.name);
            match base.events.iter().find(|e| e.name == event.name) {
                Some(below) => {
                    let back = Edit::ReplaceEvent { event: at, with: Box::new(below.clone()) };
                    self.note(what, "as below", "more than single numbers", Some(back));
                }
                None => self.note(what, "none", "only here", Some(Edit::DeleteEvent { event: at })),
            }
        }
        for name in found.without {
            let below = base.events.iter().find(|e| e.name == name);
            let back = below.map(|e| Edit::AddEvent { at: own.events.len(), event: Box::new(e.clone()) });
            self.note(format!("event {name}"), "there", "taken out", back);
        }
        if !found.order.is_empty() {
            self.note("order of the events", "as below", "its own", None);
        }
    }

    /// A number of a named member of a list.
    fn number_of(&mut self, list: &str, name: &str, path: &str) {
        let (base, own) = (self.base, self.own);
        let place = |session: &Session| {
            let at = match list {
                "dampers" => session.dampers.iter().position(|d| d.name == name),
                _ => session.events.iter().position(|e| e.name == name),
            };
            at.map_or(String::new(), |at| format!("{list}[{at}].{path}"))
        };
        let (at_base, at_own) = (place(base), place(own));
        let (what, below, is) = in_words(base, own, (&at_base, &at_own), name);
        let value = number(base, &at_base).and_then(|n| n.value);
        self.note(what, below, is, value.map(|value| Edit::SetNumber { path: at_own, value }));
    }

    fn modes(&mut self) {
        let (base, own) = (self.base, self.own);
        for (at, mode) in own.modes.iter().enumerate() {
            let Some(below) = base.modes.iter().find(|m| m.name == mode.name) else {
                self.note(format!("mode {}", mode.name), "none", "only here", Some(Edit::DeleteMode { mode: at }));
                continue;
            };
            if !part::is_same(below, mode) {
                let back = Edit::ReplaceMode { mode: at, with: Box::new(below.clone()) };
                self.note(format!("mode {}", mode.name), "as below", mode_in_words(below, mode), Some(back));
            }
        }
        for mode in base.modes.iter().filter(|b| own.modes.iter().all(|m| m.name != b.name)) {
            let back = Edit::AddMode { at: own.modes.len(), mode: Box::new(mode.clone()) };
            self.note(format!("mode {}", mode.name), "there", "taken out", Some(back));
        }
    }

    fn rest(&mut self) {
        let (base, own) = (self.base, self.own);
        if base.reference_mode != own.reference_mode {
            let words = |name: &Option<String>| name.clone().unwrap_or_else(|| "the first mode".to_owned());
            let back = Edit::SetReferenceMode(base.reference_mode.clone());
            self.note("reference mode", words(&base.reference_mode), words(&own.reference_mode), Some(back));
        }
        if !part::is_same(&base.fences, &own.fences) {
            let words = |session: &Session| counted(session.fences.len(), "fence");
            let back = Edit::SetFences(base.fences.clone());
            self.note("fences", words(base), format!("{} of its own", words(own)), Some(back));
        }
        if base.verdict_attributes != own.verdict_attributes {
            let words = |session: &Session| listed(session.verdict_attributes.iter().map(String::as_str));
            let back = Edit::SetVerdictAttributes(base.verdict_attributes.clone());
            self.note("attributes judged", words(base), words(own), Some(back));
        }
    }
}

/// A number in words: what it is, what the session below has, what this one has.
fn in_words(base: &Session, own: &Session, paths: (&str, &str), label: &str) -> (String, String, String) {
    let say = |session: &Session, path: &str| {
        let it = number(session, path);
        let value = it.as_ref().and_then(|n| n.value);
        let unit = it.map_or("", |n| n.limit.unit);
        value.map_or("none".to_owned(), |v| with_unit(v, unit))
    };
    let field = number(own, paths.1).map_or_else(|| paths.1.to_owned(), |n| n.limit.label.to_owned());
    // The way between the part and the number, such as "front bump stop".
    let between: Vec<&str> = paths.1.split('.').skip(1).collect();
    let way = between.split_last().map_or(String::new(), |(_, way)| way.join(" ").replace('_', " "));
    let place = [label, &way].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", ");
    (format!("{place}: {field}"), say(base, paths.0), say(own, paths.1))
}

/// How a mode differs from that of the session below: the parts themselves where they are few.
fn mode_in_words(below: &Mode, own: &Mode) -> String {
    let differs = ModeDifference::between(below, own);
    let lines: Vec<String> =
        differs.settings.iter().map(ToString::to_string).chain(differs.cells.iter().map(ToString::to_string)).collect();
    let parts = |it: &Mode| it.rests_on.as_deref().map_or(0, Resting::count);
    match lines.len() {
        0 if below.base_name() != own.base_name() || parts(below) != parts(own) => "rests otherwise".to_owned(),
        0 => "purpose or locks of its own".to_owned(),
        1..=3 => lines.join("; "),
        _ => {
            let count = [(differs.cells.len(), "cell"), (differs.settings.len(), "setting")];
            let some = count.into_iter().filter(|(n, _)| *n > 0).map(|(n, what)| counted(n, what));
            format!("{} of its own", some.collect::<Vec<_>>().join(" and "))
        }
    }
}
