//! Parts of a session held against those below: as single numbers where that is all that differs, else whole.

use serde::Serialize;

use super::form::{OwnNumber, under};
use crate::{Session, Vehicle, numbers::write_number, write::ron_text};

/// True where two parts are the same bits.
pub(super) fn is_same<T: Serialize + PartialEq>(one: &T, other: &T) -> bool {
    // Equality alone takes minus zero for zero, and NaN for another NaN.
    matches!((ron_text(one), ron_text(other)), (Ok(one), Ok(other)) if one == other)
}

/// The car apart from its load cases.
pub(super) fn without_load_cases(vehicle: &Vehicle) -> Vehicle {
    Vehicle { load_cases: Vec::new(), ..vehicle.clone() }
}

/// Numbers under a path that differ; `None` where the part differs by more than numbers.
fn differing<T: Serialize + PartialEq>(
    (head, base): (&str, &Session),
    (own_head, own): (&str, &Session),
    part_of: (impl Fn(&Session) -> T, impl Fn(&Session) -> T),
) -> Option<Vec<(String, f64)>> {
    let wanted = part_of.1(own);
    if is_same(&part_of.0(base), &wanted) {
        return Some(Vec::new());
    }
    let below = under(base, head);
    let mut found = Vec::new();
    for (path, value) in under(own, own_head) {
        let Some(value) = value else { continue };
        let before = below.iter().find(|(known, _)| *known == path)?.1;
        if before.map(f64::to_bits) != Some(value.to_bits()) {
            found.push((path, value));
        }
    }
    let mut trial = base.clone();
    let fits = found.iter().all(|(path, value)| write_number(&mut trial, &format!("{head}.{path}"), *value));
    (fits && is_same(&part_of.0(&trial), &wanted)).then_some(found)
}

/// The same for a part that is there once.
pub(super) fn numbers_of<T: Serialize + PartialEq>(
    head: &str,
    base: &Session,
    own: &Session,
    part_of: impl Fn(&Session) -> T,
) -> Option<Vec<OwnNumber>> {
    let found = differing((head, base), (head, own), (&part_of, &part_of))?;
    let number = |(path, value)| OwnNumber { damper: None, event: None, path: format!("{head}.{path}"), value };
    Some(found.into_iter().map(number).collect())
}

/// What is its own in a list whose members are told apart by their names.
pub(super) struct Named<T> {
    /// Numbers: name of the member, path within it, value.
    pub numbers: Vec<(String, String, f64)>,
    /// Members of its own, whole.
    pub whole: Vec<T>,
    /// Names that are gone.
    pub without: Vec<String>,
    /// Names in their order, where it is not the one they have anyway.
    pub order: Vec<String>,
}

pub(super) fn named<T: Clone + Serialize + PartialEq>(
    base: &Session,
    own: &Session,
    list: &str,
    list_of: impl Fn(&Session) -> &Vec<T>,
    name_of: impl Fn(&T) -> &String,
) -> Named<T> {
    let (below, above) = (list_of(base), list_of(own));
    let mut found = Named { numbers: Vec::new(), whole: Vec::new(), without: Vec::new(), order: Vec::new() };
    for (at, member) in above.iter().enumerate() {
        let name = name_of(member);
        let numbers = below.iter().position(|b| name_of(b) == name).and_then(|at_base| {
            let heads = (format!("{list}[{at_base}]"), format!("{list}[{at}]"));
            let part_of = (|s: &Session| list_of(s).get(at_base).cloned(), |s: &Session| list_of(s).get(at).cloned());
            differing((&heads.0, base), (&heads.1, own), part_of)
        });
        match numbers {
            Some(numbers) => {
                found.numbers.extend(numbers.into_iter().map(|(path, value)| (name.clone(), path, value)));
            }
            None => found.whole.push(member.clone()),
        }
    }
    let names: Vec<String> = above.iter().map(|m| name_of(m).clone()).collect();
    found.without = below.iter().map(|b| name_of(b).clone()).filter(|n| !names.contains(n)).collect();
    let mut as_read = below.clone();
    put_named(&mut as_read, found.whole.clone(), &found.without, &[], &name_of);
    if as_read.iter().map(&name_of).ne(names.iter()) {
        found.order = names;
    }
    found
}

/// Puts members of its own into a list from below.
pub(super) fn put_named<T>(
    list: &mut Vec<T>,
    own: Vec<T>,
    without: &[String],
    order: &[String],
    name_of: impl Fn(&T) -> &String,
) {
    list.retain(|member| !without.contains(name_of(member)));
    for member in own {
        match list.iter().position(|known| name_of(known) == name_of(&member)) {
            Some(at) => list[at] = member,
            None => list.push(member),
        }
    }
    in_order(list, order, name_of);
}

/// Brings a list into an order of names; what the order does not know stays behind it.
pub(super) fn in_order<T>(list: &mut [T], order: &[String], name_of: impl Fn(&T) -> &String) {
    if !order.is_empty() {
        list.sort_by_key(|member| order.iter().position(|n| n == name_of(member)).unwrap_or(order.len()));
    }
}
