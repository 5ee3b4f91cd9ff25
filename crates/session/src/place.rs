//! Where something stands in a session: a path built on the stack while the session is walked, written out only for a fault.

use std::fmt;

use crate::{Session, fault::quoted};

/// A step into the document, knowing the one before.
#[derive(Clone, Copy, Debug)]
pub enum Place<'a> {
    /// The top of the session.
    Top,
    /// A field of the place before.
    Field(&'a Place<'a>, &'static str),
    /// A member of a list that is a field of the place before.
    Item(&'a Place<'a>, &'static str, usize),
}

impl Place<'_> {
    /// The field of this name below here.
    pub fn field(&self, name: &'static str) -> Place<'_> {
        Place::Field(self, name)
    }

    /// The member of the list of this name below here.
    pub fn item(&self, name: &'static str, index: usize) -> Place<'_> {
        Place::Item(self, name, index)
    }

    /// The path of a field below here, as `SetNumber` takes it.
    pub fn path_to(&self, field: &str) -> String {
        match self {
            Place::Top => field.to_owned(),
            place => format!("{place}.{field}"),
        }
    }

    /// The path with the names of list members, as people read it.
    pub fn described(&self, session: &Session) -> String {
        let (Place::Field(before, part) | Place::Item(before, part, _)) = self else {
            return String::new();
        };
        let mut text = before.described(session);
        if !text.is_empty() {
            text.push('.');
        }
        text.push_str(part);
        if let Place::Item(before, part, index) = self {
            text.push_str(&format!("[{index}]"));
            if let Some(name) = name_of(session, before, part, *index).filter(|name| !name.is_empty()) {
                text.push(' ');
                text.push_str(&quoted(name));
            }
        }
        text
    }
}

impl fmt::Display for Place<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (Place::Field(before, part) | Place::Item(before, part, _)) = self else {
            return Ok(());
        };
        if !matches!(before, Place::Top) {
            write!(out, "{before}.")?;
        }
        out.write_str(part)?;
        if let Place::Item(_, _, index) = self { write!(out, "[{index}]") } else { Ok(()) }
    }
}

fn name_of<'s>(session: &'s Session, before: &Place<'_>, list: &str, index: usize) -> Option<&'s str> {
    match (before, list) {
        (Place::Top, "dampers") => session.dampers.get(index).map(|it| it.name.as_str()),
        (Place::Top, "modes") => session.modes.get(index).map(|it| it.name.as_str()),
        (Place::Top, "events") => session.events.get(index).map(|it| it.name.as_str()),
        (Place::Top, "fences") => session.fences.get(index).map(|it| it.metric.as_str()),
        (Place::Top, "handed_over") => session.handed_over.get(index).map(|it| it.identity.as_str()),
        (Place::Field(Place::Top, "vehicle"), "load_cases") => {
            session.vehicle.load_cases.get(index).map(|it| it.name.as_str())
        }
        (Place::Item(Place::Field(Place::Top, "vehicle"), "load_cases", case), "items") => {
            let items = &session.vehicle.load_cases.get(*case)?.items;
            items.get(index).map(|it| it.name.as_str())
        }
        (Place::Item(Place::Top, "handed_over", set), "modes") => {
            session.handed_over.get(*set)?.modes.get(index).map(|it| it.name.as_str())
        }
        _ => None,
    }
}
