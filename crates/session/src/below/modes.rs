//! Modes of a resting session beside those of the session below.

use super::part::in_order;
use crate::{Mode, resting};

/// What is its own among the modes.
pub(super) struct OwnModes {
    pub forms: Vec<resting::ModeForm>,
    pub without: Vec<String>,
    pub order: Vec<String>,
}

pub(super) fn between(base: &[Mode], own: &[Mode]) -> OwnModes {
    let forms = resting::forms_beside(base, own);
    let names: Vec<String> = own.iter().map(|m| m.name.clone()).collect();
    let without: Vec<String> = base.iter().map(|m| m.name.clone()).filter(|n| !names.contains(n)).collect();
    let mut as_read: Vec<&String> = base.iter().map(|m| &m.name).filter(|n| !without.contains(n)).collect();
    as_read.extend(own.iter().map(|m| &m.name).filter(|n| base.iter().all(|b| b.name != **n)));
    let order = if as_read.into_iter().ne(names.iter()) { names } else { Vec::new() };
    OwnModes { forms, without, order }
}

pub(super) fn on_top(
    base: &[Mode],
    forms: Vec<resting::ModeForm>,
    without: &[String],
    order: &[String],
) -> Result<Vec<Mode>, String> {
    let mut modes = resting::modes_on_top(base, forms, without)?;
    in_order(&mut modes, order, |m| &m.name);
    Ok(modes)
}
