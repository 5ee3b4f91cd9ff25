//! Every single number of a session by its path, so that a data sheet can list and edit them all.

use crate::{EventKind, Fault, Law, Session, States, fault::with_unit, limits::Limit, place::Place};

/// The place of a number, to write to.
#[derive(Debug)]
pub enum Slot<'a> {
    /// Always there.
    Always(&'a mut f64),
    /// May be absent.
    Maybe(&'a mut Option<f64>),
    /// A count.
    Count(&'a mut u32),
}

impl Slot<'_> {
    /// Writes a value that the limit allows.
    fn write(self, value: f64) {
        match self {
            Slot::Always(place) => *place = value,
            Slot::Maybe(place) => *place = Some(value),
            // Whole and inside the limit, which ends far below the largest u32.
            Slot::Count(place) => *place = value as u32,
        }
    }
}

/// A type of number that a field of the document can have.
pub(crate) trait Numeric {
    fn read(&self) -> Option<f64>;
    fn slot(&mut self) -> Slot<'_>;
}

impl Numeric for f64 {
    fn read(&self) -> Option<f64> {
        Some(*self)
    }
    fn slot(&mut self) -> Slot<'_> {
        Slot::Always(self)
    }
}

impl Numeric for Option<f64> {
    fn read(&self) -> Option<f64> {
        *self
    }
    fn slot(&mut self) -> Slot<'_> {
        Slot::Maybe(self)
    }
}

impl Numeric for u32 {
    fn read(&self) -> Option<f64> {
        Some(f64::from(*self))
    }
    fn slot(&mut self) -> Slot<'_> {
        Slot::Count(self)
    }
}

/// A structure of the document with numbers of its own.
pub trait Numbered {
    /// The limits of its numbers, in the order of the document.
    fn limits(&self) -> &'static [Limit];
    /// The value of a field; `None` where it is absent or there is no such number.
    fn number(&self, field: &str) -> Option<f64>;
    /// Where the value of a field is written to.
    fn slot(&mut self, field: &str) -> Option<Slot<'_>>;
}

/// Writes `Numbered` for the structures of the document from one list of limits.
macro_rules! numbered {
    (@mark $limit:expr, ) => { $limit };
    (@mark $limit:expr, $mark:ident) => { $limit.$mark() };
    (
        $( struct $owner:ident {
            $( $field:ident $(($mark:ident))? : $label:literal, $unit:literal, $lower:expr, $upper:expr; )*
        } )*
        enum $kinds:ident {
            $( $kind:ident {
                $( $of_kind:ident $(($k_mark:ident))? : $k_label:literal, $k_unit:literal, $k_lower:expr, $k_upper:expr; )*
            } )*
        }
    ) => {
        $(
            impl $crate::numbers::Numbered for $crate::document::$owner {
                fn limits(&self) -> &'static [Limit] {
                    const LIMITS: &[Limit] = by_owner::$owner;
                    LIMITS
                }
                fn number(&self, field: &str) -> Option<f64> {
                    match field {
                        $( stringify!($field) => $crate::numbers::Numeric::read(&self.$field), )*
                        _ => None,
                    }
                }
                fn slot(&mut self, field: &str) -> Option<$crate::numbers::Slot<'_>> {
                    match field {
                        $( stringify!($field) => Some($crate::numbers::Numeric::slot(&mut self.$field)), )*
                        _ => None,
                    }
                }
            }
        )*
        impl $crate::numbers::Numbered for $crate::document::$kinds {
            fn limits(&self) -> &'static [Limit] {
                match self {
                    $( $crate::document::$kinds::$kind { .. } => by_owner::$kind, )*
                }
            }
            fn number(&self, field: &str) -> Option<f64> {
                match self {
                    $( $crate::document::$kinds::$kind { $( $of_kind, )* .. } => match field {
                        $( stringify!($of_kind) => $crate::numbers::Numeric::read($of_kind), )*
                        _ => None,
                    }, )*
                }
            }
            fn slot(&mut self, field: &str) -> Option<$crate::numbers::Slot<'_>> {
                match self {
                    $( $crate::document::$kinds::$kind { $( $of_kind, )* .. } => match field {
                        $( stringify!($of_kind) => Some($crate::numbers::Numeric::slot($of_kind)), )*
                        _ => None,
                    }, )*
                }
            }
        }
        /// The limits of each structure under its name.
        #[allow(non_upper_case_globals)]
        mod by_owner {
            use super::Limit;
            $( pub(super) const $owner: &[Limit] = &[ $( $crate::numbers::numbered!(@mark
                Limit::new(stringify!($owner), stringify!($field), $label, $unit, $lower, $upper), $($mark)?), )* ]; )*
            $( pub(super) const $kind: &[Limit] = &[ $( $crate::numbers::numbered!(@mark
                Limit::new(stringify!($kind), stringify!($of_kind), $k_label, $k_unit, $k_lower, $k_upper), $($k_mark)?), )* ]; )*
        }
        /// Limits of all structures and kinds of event.
        static OF_STRUCTURES: &[&[Limit]] = &[ $( by_owner::$owner, )* $( by_owner::$kind, )* ];
    };
}
pub(crate) use numbered;

/// Writes a walk over all structures with numbers, once for reading and once for writing.
macro_rules! walk {
    ($(#[$doc:meta])* $name:ident, $iter:ident, $option:ident, [$($change:tt)*]) => {
        $(#[$doc])*
        pub(crate) fn $name(
            session: & $($change)* Session,
            visit: &mut dyn FnMut(&Place<'_>, & $($change)* dyn Numbered),
        ) {
            let top = Place::Top;
            let Session { vehicle, dampers, controller, conditions, modes, events, fences, logbook, .. } = session;
            let place = top.field("vehicle");
            visit(&place, vehicle);
            visit(&place.field("handling"), & $($change)* vehicle.handling);
            if let Some(seat) = vehicle.seat_m.$option() {
                visit(&place.field("seat_m"), seat);
            }
            for (name, axle) in [("front", & $($change)* vehicle.front), ("rear", & $($change)* vehicle.rear)] {
                let place = place.field(name);
                visit(&place, axle);
                if let Some(stop) = axle.bump_stop.$option() {
                    visit(&place.field("bump_stop"), stop);
                }
                if let Some(stop) = axle.rebound_stop.$option() {
                    visit(&place.field("rebound_stop"), stop);
                }
            }
            for (index, case) in vehicle.load_cases.$iter().enumerate() {
                let place = place.item("load_cases", index);
                for (index, item) in case.items.$iter().enumerate() {
                    visit(&place.item("items", index), item);
                }
            }
            for (index, damper) in dampers.$iter().enumerate() {
                visit(&top.item("dampers", index), damper);
            }
            visit(&top.field("conditions"), conditions);
            let place = top.field("controller");
            visit(&place, controller);
            if let States::Estimated(estimated) = & $($change)* controller.states {
                let place = place.field("states");
                visit(&place, & $($change)* **estimated);
                for (index, sensor) in estimated.body_sensors.$iter().enumerate() {
                    visit(&place.item("body_sensors", index), sensor);
                }
                visit(&place.field("body_accelerometer"), & $($change)* estimated.body_accelerometer);
                visit(&place.field("height_sensor"), & $($change)* estimated.height_sensor);
                visit(&place.field("wheel_accelerometer"), & $($change)* estimated.wheel_accelerometer);
            }
            visit(&place.field("roughness"), & $($change)* controller.roughness);
            visit(&place.field("lateral_demand"), & $($change)* controller.lateral_demand);
            visit(&place.field("longitudinal_demand"), & $($change)* controller.longitudinal_demand);
            visit(&place.field("inverse_table"), & $($change)* controller.inverse_table);
            for (index, mode) in modes.$iter().enumerate() {
                let place = top.item("modes", index);
                visit(&place, mode);
                visit(&place.field("front"), & $($change)* mode.front);
                visit(&place.field("rear"), & $($change)* mode.rear);
                if let Law::Mixed(mixed) = & $($change)* mode.law {
                    visit(&place.field("law"), mixed);
                }
                if let Some(end_stop) = mode.end_stop.$option() {
                    visit(&place.field("end_stop"), end_stop);
                }
            }
            for (index, event) in events.$iter().enumerate() {
                let place = top.item("events", index);
                visit(&place, event);
                if let Some(change) = event.speed_change.$option() {
                    visit(&place.field("speed_change"), change);
                }
                let kind: & $($change)* EventKind = & $($change)* event.kind;
                visit(&place.field("kind"), kind);
            }
            for (index, fence) in fences.$iter().enumerate() {
                visit(&top.item("fences", index), fence);
            }
            for (index, run) in logbook.$iter().enumerate() {
                let place = top.item("logbook", index);
                visit(&place, run);
                visit(&place.field("tyre_pressures_bar"), & $($change)* run.tyre_pressures_bar);
                for (index, verdict) in run.verdicts.$iter().enumerate() {
                    visit(&place.item("verdicts", index), verdict);
                }
            }
        }
    };
}

walk!(
    /// Visits every structure with numbers of its own in the order of the document.
    walk, iter, as_ref, []
);
walk!(
    /// The same, to change them.
    walk_mut, iter_mut, as_mut, [mut]
);

/// One number of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// Its path, such as `vehicle.front.spring_rate_n_per_m`; `Edit::SetNumber` takes it.
    pub path: String,
    /// Its value; absent: the documented default holds.
    pub value: Option<f64>,
    /// What it may be, with label and unit.
    pub limit: &'static Limit,
}

/// All single numbers of a session in the order of the document. Tables have edits of their own.
pub fn numbers(session: &Session) -> Vec<Number> {
    let mut all = Vec::new();
    walk(session, &mut |place, holder| {
        for limit in holder.limits() {
            all.push(Number { path: place.path_to(limit.field), value: holder.number(limit.field), limit });
        }
    });
    all
}

/// One number by its path.
pub fn number(session: &Session, path: &str) -> Option<Number> {
    numbers(session).into_iter().find(|number| number.path == path)
}

/// Writes one number by its path if its limit allows it.
pub(crate) fn set_number(session: &mut Session, path: &str, value: f64) -> Result<(), Fault> {
    let (head, field) = path.rsplit_once('.').unwrap_or(("", path));
    let mut found = None;
    walk(session, &mut |place, holder| {
        if found.is_none() && place.to_string() == head {
            let limit = holder.limits().iter().find(|limit| limit.field == field);
            found = limit.map(|limit| (limit, place.described(session)));
        }
    });
    let Some((limit, place)) = found else {
        return Err(Fault::new("", path, with_unit(value, ""), "there is no number of this path"));
    };
    if !limit.allows(value) {
        return Err(Fault::new(place, field, with_unit(value, limit.unit), limit.bound()));
    }
    write_number(session, path, value);
    Ok(())
}

/// Writes one number by its path whatever its limit says, as a file may hold it before it is checked; false where there is
/// no such number, or a count cannot hold it.
pub(crate) fn write_number(session: &mut Session, path: &str, value: f64) -> bool {
    let (head, field) = path.rsplit_once('.').unwrap_or(("", path));
    let mut is_written = false;
    walk_mut(session, &mut |place, holder| {
        if place.to_string() == head
            && let Some(slot) = holder.slot(field)
        {
            let fits = !matches!(slot, Slot::Count(_)) || (value.fract() == 0.0 && (0.0..=4e9).contains(&value));
            if fits {
                slot.write(value);
            }
            is_written = fits;
        }
    });
    is_written
}
