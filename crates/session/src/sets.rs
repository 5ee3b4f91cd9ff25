//! The sets handed over as a tree: which went on from which, found by identity, and any of them as a new start.

use crate::{Fault, HandedOver, Session, SetDifference, edit::missing, fault::quoted};

/// Digits that name a set to people; two sets of one session never share them by chance.
const SHORT: usize = 12;

/// A set in the tree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Branch {
    /// Index among the session's sets.
    pub set: usize,
    /// Index of the set it went on from; `None` where that is not of this session, or there is none.
    pub parent: Option<usize>,
    /// How many sets stand between it and the first of its line.
    pub depth: usize,
}

/// The first digits of an identity.
pub fn short(identity: &str) -> &str {
    identity.get(..SHORT).unwrap_or(identity)
}

/// All sets in the order of a tree: each behind the one it went on from, the older line first.
///
/// A calibration may be handed over twice: its children belong to the last one before them.
pub fn tree(session: &Session) -> Vec<Branch> {
    let sets = &session.handed_over;
    let parent_of = |index: usize| {
        let parent = sets[index].parent.as_deref()?;
        sets[..index].iter().rposition(|set| set.identity == parent)
    };
    let parents: Vec<Option<usize>> = (0..sets.len()).map(parent_of).collect();
    let mut children = vec![Vec::new(); sets.len()];
    for (index, parent) in parents.iter().enumerate() {
        if let Some(parent) = parent {
            children[*parent].push(index);
        }
    }
    let mut order = Vec::with_capacity(sets.len());
    // Parents stand before their children in the list, so that this ends.
    let mut open: Vec<(usize, usize)> =
        (0..sets.len()).rev().filter(|&i| parents[i].is_none()).map(|i| (i, 0)).collect();
    while let Some((set, depth)) = open.pop() {
        order.push(Branch { set, parent: parents[set], depth });
        open.extend(children[set].iter().rev().map(|&child| (child, depth + 1)));
    }
    order
}

/// Index of the last set whose identity begins with these digits.
pub fn find(session: &Session, digits: &str) -> Result<usize, Fault> {
    let sets = &session.handed_over;
    let begins = |set: &&HandedOver| set.identity.starts_with(digits);
    let mut found: Vec<&str> = sets.iter().filter(begins).map(|set| set.identity.as_str()).collect();
    found.dedup();
    let refuse = |why: String| Err(Fault::new("", "set", quoted(digits), why));
    match found[..] {
        _ if digits.is_empty() => refuse("it must be the first digits of an identity".to_owned()),
        [] => refuse(format!("the session has handed over no set that begins so (it has {})", sets.len())),
        [first, ..] if found.iter().any(|other| *other != first) => {
            refuse(format!("{} sets begin so: give more digits", found.len()))
        }
        _ => Ok(sets.iter().rposition(|set| set.identity.starts_with(digits)).unwrap_or(0)),
    }
}

/// What differs from one set to another.
pub fn difference(before: &HandedOver, after: &HandedOver) -> SetDifference {
    SetDifference::between(&before.modes, &after.modes)
}

/// What differs from a set to the session's modes of the same names, a sentence each; at most so many, then a count.
pub fn since(session: &Session, before: &HandedOver, modes: &[usize], most: usize) -> Vec<String> {
    let now: Vec<_> = modes.iter().filter_map(|&index| session.modes.get(index).cloned()).collect();
    let mut lines = SetDifference::between(&before.modes, &now).lines();
    if lines.len() > most {
        let more = lines.len() - most;
        lines.truncate(most);
        lines.push(format!("and {more} more"));
    }
    lines
}

/// Puts a set's modes in the place of the session's of the same names, behind them where there are none.
pub(crate) fn start_from(session: &mut Session, index: usize) -> Result<(), Fault> {
    let count = session.handed_over.len();
    let set = session.handed_over.get(index).ok_or_else(|| missing("handed_over", index, count))?.clone();
    for mode in set.modes.iter() {
        match session.modes.iter_mut().find(|own| own.name == mode.name) {
            Some(own) => {
                let rests_on = own.rests_on.take();
                own.clone_from(mode);
                own.rests_on = rests_on;
            }
            None => session.modes.push(mode.clone()),
        }
    }
    session.began_from = Some(set.identity);
    // They are as they were in the set, whatever they rest on has now.
    crate::resting::own_anew(session);
    Ok(())
}
