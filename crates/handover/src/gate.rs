//! The gate: what is looked at before a set goes out, and whether it may with the status it is meant to have.
//!
//! A draft goes out with whatever was found, unless a number could not be trusted at all; whether the cautions were
//! acknowledged stands in its papers. Track only asks for every check to pass or to be waived in a sentence, and for the
//! cautions to be acknowledged; wider use also for a name and a purpose.

use washboard_session::{CellDifference, MapName, Mode, Release, Session, SetDifference, SetStatus, sets};

use crate::checks::{PreCheck, set_checks};
use crate::layout::Layout;
use crate::quantise::quantise;
use crate::set::CarSet;

/// Shortest waiver, characters without blanks: a word is no reason.
pub const SHORTEST_WAIVER: usize = 12;
/// Most places that are named in one reason.
const MOST_NAMED: usize = 5;
/// A cell in use for less than this share of the driven time counts as never visited.
const LEAST_SHARE: f64 = 1e-6;

/// What is known of the modes from computation; absent: nobody computed it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// Every fence with its outcome.
    pub fences: Option<Vec<Finding>>,
    /// How much of the driven time each cell was in use.
    pub visits: Option<Vec<MapVisits>>,
    /// Runs without supply.
    pub supply_lost: Option<Vec<Finding>>,
}

/// One outcome of a computation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// What was found, as a clause.
    pub words: String,
    /// True where it is as it should be.
    pub holds: bool,
}

/// Visit share of one map, over all events.
#[derive(Clone, Debug, PartialEq)]
pub struct MapVisits {
    /// Name of the mode.
    pub mode: String,
    /// Which map.
    pub map: MapName,
    /// Shares in the shape of the map.
    pub shares: Vec<Vec<f64>>,
}

/// What the set is meant to be.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wish {
    /// Its status.
    pub status: SetStatus,
    /// Who answers for it.
    pub release: Release,
    /// Checks that are waived.
    pub waivers: Vec<Waiver>,
}

/// A check that does not pass, and why the set goes out all the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Waiver {
    /// Short name of the check.
    pub check: String,
    /// A sentence.
    pub sentence: String,
}

/// The gate with its checks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gate {
    /// Status asked for.
    pub status: SetStatus,
    /// Every check, in the order of looking.
    pub checks: Vec<PreCheck>,
    /// Why the set may not go out; empty: it may.
    pub obstacles: Vec<String>,
}

impl Gate {
    /// True where the set may go out.
    pub fn is_open(&self) -> bool {
        self.obstacles.is_empty()
    }
}

/// Looks at everything. Modes are indices into the session.
pub fn gate(session: &Session, modes: &[usize], layout: Option<&Layout>, evidence: &Evidence, wish: &Wish) -> Gate {
    let status = wish.status;
    let set = match CarSet::from_session(session, modes) {
        Ok(set) => set,
        Err(fault) => {
            let check = PreCheck::new("session", "Session valid", true, Err(fault.to_string()));
            return Gate { status, obstacles: vec![check.reason.clone()], checks: vec![check] };
        }
    };
    let mut checks = set_checks(&set);
    if let Some(layout) = layout {
        checks.push(PreCheck::new("layout", "Fits the control unit", true, fits(&set, layout)));
    }
    checks.push(PreCheck::new("fences", "Fences", false, fences(session, evidence)));
    checks.push(PreCheck::new("unvisited", "Edited cells in use", false, unvisited(session, modes, evidence)));
    checks.push(PreCheck::new("supply-lost", "Supply lost", false, supply_lost(evidence)));
    checks.push(PreCheck::new("caution", "Caution acknowledged", status > SetStatus::Draft, caution(wish)));
    if status == SetStatus::WiderUse {
        checks.push(PreCheck::new("responsible", "Name and purpose", true, responsible(&wish.release)));
    }
    let mut obstacles = waive(&mut checks, &wish.waivers);
    for check in &checks {
        let stands_in_the_way =
            if status == SetStatus::Draft { check.forbids && !check.passed } else { !check.is_settled() };
        if stands_in_the_way {
            obstacles.push(format!("{}: {}", check.name, check.reason));
        }
    }
    Gate { status, checks, obstacles }
}

/// Notes the waivers; what is wrong with one comes back as a sentence.
fn waive(checks: &mut [PreCheck], waivers: &[Waiver]) -> Vec<String> {
    let mut obstacles = Vec::new();
    let known = checks.iter().map(|check| check.id.as_str()).collect::<Vec<_>>().join(", ");
    for Waiver { check: id, sentence } in waivers {
        let length = sentence.chars().filter(|c| !c.is_whitespace()).count();
        let found = checks.iter_mut().find(|check| check.id == *id);
        match found {
            None => obstacles.push(format!("There is no check \"{id}\" to be waived; there are {known}.")),
            Some(check) if check.forbids => {
                obstacles.push(format!("The check \"{id}\" cannot be waived: {}", check.reason));
            }
            Some(_) if length < SHORTEST_WAIVER || sentence.chars().any(char::is_control) => {
                obstacles.push(format!("The waiver of \"{id}\" must be a sentence that says why, on one line."));
            }
            // What passes needs no waiver; that is no reason to stop.
            Some(check) if check.passed => {}
            Some(check) => check.waiver = Some(sentence.trim().to_owned()),
        }
    }
    obstacles
}

fn fits(set: &CarSet, layout: &Layout) -> Result<String, String> {
    let quantised = quantise(set, layout).map_err(|fault| fault.to_string())?;
    let worst = quantised.errors.iter().max_by(|a, b| {
        let share = |e: &crate::TableError| if e.exact == 0.0 { 0.0 } else { (e.error() / e.exact).abs() };
        share(a).total_cmp(&share(b))
    });
    let left_out = match quantised.left_out.len() {
        0 => "it has a place for everything".to_owned(),
        count => format!("{count} numbers or tables have no place in it ({})", shortened(&quantised.left_out)),
    };
    let error = worst.map_or(String::new(), |error| format!(" Largest relative error: {}", error.sentence()));
    Ok(format!("The layout \"{}\" holds every value within half a step; {left_out}.{error}", layout.name))
}

fn fences(session: &Session, evidence: &Evidence) -> Result<String, String> {
    match &evidence.fences {
        None if session.fences.is_empty() => Ok("The session has no fences.".to_owned()),
        None => Err("The fences were not evaluated.".to_owned()),
        Some(found) => {
            let crossed: Vec<String> = found.iter().filter(|one| !one.holds).map(|one| one.words.clone()).collect();
            if crossed.is_empty() {
                Ok(format!("All {} kept.", found.len()))
            } else {
                Err(format!("{} of {} crossed: {}.", crossed.len(), found.len(), shortened(&crossed)))
            }
        }
    }
}

/// Cells that differ from the modes before and that no event uses, with the name of their mode. `share` is the share of the
/// driven time a cell is in use, by mode, map, row and column; cells of which it is not known are left out.
pub fn unvisited_edits(
    before: &[Mode],
    after: &[Mode],
    share: impl Fn(&str, MapName, usize, usize) -> Option<f64>,
) -> Vec<(String, CellDifference)> {
    let is_unused = |mode: &str, cell: &CellDifference| {
        cell.after.is_some() && share(mode, cell.map, cell.row, cell.column).is_some_and(|share| share < LEAST_SHARE)
    };
    let changed = SetDifference::between(before, after).changed;
    changed
        .into_iter()
        .flat_map(|(mode, changes)| changes.cells.into_iter().map(move |cell| (mode.clone(), cell)))
        .filter(|(mode, cell)| is_unused(mode, cell))
        .collect()
}

fn unvisited(session: &Session, modes: &[usize], evidence: &Evidence) -> Result<String, String> {
    let Some(before) = parent(session) else {
        return Ok("The session goes on from no set handed over, so that nothing counts as edited.".to_owned());
    };
    let now: Vec<_> = modes.iter().filter_map(|&index| session.modes.get(index).cloned()).collect();
    let difference = SetDifference::between(&before.modes, &now);
    let edited: usize = difference.cells();
    let since = sets::short(&before.identity);
    if edited == 0 {
        return Ok(format!("No cell differs from set {since}."));
    }
    let Some(visits) = &evidence.visits else {
        return Err(format!("{edited} cells differ from set {since}, but nobody computed which cells are in use."));
    };
    let share = |mode: &str, map: MapName, row: usize, column: usize| {
        let known = visits.iter().find(|one| one.mode == mode && one.map == map)?;
        known.shares.get(row)?.get(column).copied()
    };
    let unused: Vec<String> = unvisited_edits(&before.modes, &now, share)
        .into_iter()
        .map(|(mode, cell)| format!("mode \"{mode}\", {cell}"))
        .collect();
    if unused.is_empty() {
        Ok(format!("All {edited} cells that differ from set {since} are in use in the events."))
    } else {
        Err(format!("{} of {edited} edited cells are in use in no event: {}.", unused.len(), shortened(&unused)))
    }
}

fn supply_lost(evidence: &Evidence) -> Result<String, String> {
    let Some(found) = &evidence.supply_lost else {
        return Err("The car without supply was not evaluated.".to_owned());
    };
    if found.is_empty() {
        return Err("There is no event in which the car without supply could be evaluated.".to_owned());
    }
    let bad: Vec<String> = found.iter().filter(|one| !one.holds).map(|one| one.words.clone()).collect();
    if bad.is_empty() {
        let words: Vec<String> = found.iter().map(|one| one.words.clone()).collect();
        Ok(format!("Evaluated: {}.", shortened(&words)))
    } else {
        Err(format!("Without supply: {}.", shortened(&bad)))
    }
}

fn caution(wish: &Wish) -> Result<String, String> {
    if wish.release.caution_acknowledged {
        Ok("The cautions were read and acknowledged.".to_owned())
    } else if wish.status == SetStatus::Draft {
        Err("Nobody has acknowledged the cautions; the papers of a draft say so.".to_owned())
    } else {
        Err("The cautions must be read and acknowledged first.".to_owned())
    }
}

fn responsible(release: &Release) -> Result<String, String> {
    match (release.name.trim(), release.purpose.trim()) {
        ("", _) => Err("Wider use needs the name of who answers for it.".to_owned()),
        (_, "") => Err("Wider use needs a purpose.".to_owned()),
        (name, purpose) => Ok(format!("{name} answers for it: {purpose}.")),
    }
}

/// The set that the work goes on from.
pub(crate) fn parent(session: &Session) -> Option<&washboard_session::HandedOver> {
    let identity = session.began_from.as_deref()?;
    session.handed_over.iter().rev().find(|set| set.identity == identity)
}

fn shortened(words: &[String]) -> String {
    let head = words.iter().take(MOST_NAMED).cloned().collect::<Vec<_>>().join("; ");
    match words.len().saturating_sub(MOST_NAMED) {
        0 => head,
        more => format!("{head}; and {more} more"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use washboard_session::{Edit, HandedOver, apply};

    fn finding(words: &str, holds: bool) -> Finding {
        Finding { words: words.to_owned(), holds }
    }

    fn evidence() -> Evidence {
        Evidence {
            fences: Some(vec![finding("wheel load of soft/1", true)]),
            visits: Some(vec![]),
            supply_lost: Some(vec![finding("soft/1 over road: least wheel load 1200 N", true)]),
        }
    }

    fn wish(status: SetStatus, caution_acknowledged: bool, name: &str, purpose: &str) -> Wish {
        let release = Release { caution_acknowledged, name: name.into(), purpose: purpose.into() };
        Wish { status, release, waivers: vec![] }
    }

    fn look(evidence: &Evidence, wish: &Wish) -> Gate {
        // The fixture's small inverse tables are coarse on purpose: here they are not the point.
        let mut session = fixture::session();
        session.controller.inverse_table = Default::default();
        gate(&session, &[0, 1], None, evidence, wish)
    }

    #[test]
    fn a_draft_goes_out_with_open_questions_and_track_use_does_not() {
        let nothing = Evidence::default();
        let draft = look(&nothing, &Wish::default());
        assert!(draft.is_open(), "{:?}", draft.obstacles);
        assert!(draft.checks.iter().any(|check| check.id == "supply-lost" && !check.passed));
        // Control units cannot tell a draft from another set: what nobody has read is said, not passed.
        let caution = |gate: &Gate| gate.checks.iter().find(|check| check.id == "caution").unwrap().passed;
        assert!(!caution(&draft) && caution(&look(&nothing, &wish(SetStatus::Draft, true, "", ""))));
        let track = look(&nothing, &wish(SetStatus::TrackOnly, true, "", ""));
        assert!(
            track.obstacles.iter().any(|o| o.contains("without supply was not evaluated")),
            "{:?}",
            track.obstacles
        );
        assert!(look(&evidence(), &wish(SetStatus::TrackOnly, true, "", "")).is_open());
        let unread = look(&evidence(), &wish(SetStatus::TrackOnly, false, "", ""));
        assert_eq!(unread.obstacles.len(), 1);
        assert!(unread.obstacles[0].contains("acknowledged first"));
    }

    #[test]
    fn wider_use_needs_a_name_and_a_purpose() {
        for (name, purpose, word) in [("", "fleet trial", "name"), ("A. Person", " ", "purpose")] {
            let gate = look(&evidence(), &wish(SetStatus::WiderUse, true, name, purpose));
            assert!(gate.obstacles.len() == 1 && gate.obstacles[0].contains(word), "{:?}", gate.obstacles);
        }
        assert!(look(&evidence(), &wish(SetStatus::WiderUse, true, "A. Person", "fleet trial")).is_open());
    }

    #[test]
    fn a_waiver_needs_a_sentence_a_check_and_one_that_may_be_waived() {
        let crossed = Evidence { fences: Some(vec![finding("wheel load of soft/1", false)]), ..evidence() };
        let with = |check: &str, sentence: &str| {
            let waivers = vec![Waiver { check: check.into(), sentence: sentence.into() }];
            look(&crossed, &Wish { waivers, ..wish(SetStatus::TrackOnly, true, "", "") })
        };
        assert!(with("fences", "ok").obstacles[0].contains("sentence"));
        assert!(with("fence", "the smooth track only").obstacles[0].contains("no check"));
        assert!(with("caution", "the smooth track only").obstacles[0].contains("cannot be waived"));
        let gate = with("fences", "the smooth track only");
        assert!(gate.is_open(), "{:?}", gate.obstacles);
        let check = gate.checks.iter().find(|check| check.id == "fences").unwrap();
        assert_eq!((check.outcome(), check.waiver.as_deref()), ("waived", Some("the smooth track only")));
    }

    #[test]
    fn every_check_says_what_to_do_about_it() {
        let mut checks = look(&evidence(), &wish(SetStatus::WiderUse, false, "", "")).checks;
        checks.push(PreCheck::new("layout", "Fits the control unit", true, Ok(String::new())));
        for check in checks {
            assert_ne!(check.what_to_do(), "Look at what it names.", "{}", check.id);
        }
    }

    #[test]
    fn an_edited_cell_that_no_event_uses_is_named() {
        let mut session = fixture::session();
        let modes = session.modes.clone().into();
        let set = HandedOver { identity: "ab12".into(), modes, ..Default::default() };
        apply(&mut session, &Edit::AddHandedOver(Box::new(set))).unwrap();
        session.modes[0].heave.values_n_s_per_m[1][2] += 10.0;
        let shares = |used: f64| {
            let mut shares = vec![vec![0.1; 4]; 3];
            shares[1][2] = used;
            Some(vec![MapVisits { mode: "soft/1".into(), map: MapName::Heave, shares }])
        };
        let reason = |visits| {
            let gate = gate(&session, &[0, 1], None, &Evidence { visits, ..evidence() }, &Wish::default());
            let check = gate.checks.into_iter().find(|check| check.id == "unvisited").unwrap();
            (check.passed, check.reason)
        };
        let (passed, words) = reason(shares(0.0));
        assert!(!passed && words.contains("soft/1") && words.contains("60 km/h, 4 m/s^2"), "{words}");
        assert!(reason(shares(0.01)).0);
        assert!(!reason(None).0);
    }

    #[test]
    fn a_value_that_a_layout_cannot_hold_closes_the_gate_even_for_a_draft() {
        use crate::layout::{ByteOrder, Proposal, Width};
        let (name, byte_order, width) = ("unit".to_owned(), ByteOrder::Little, Width::Bits16);
        let proposal = Proposal { name, version: 1, address: 0, byte_order, width, ..Proposal::default() };
        let layout = Layout::propose(&fixture::set(), &proposal).unwrap();
        let mut session = fixture::session();
        assert!(gate(&session, &[0, 1], Some(&layout), &evidence(), &Wish::default()).is_open());
        session.modes[0].roll.values_n_s_per_m[0][0] = 90_000.0;
        let gate = gate(&session, &[0, 1], Some(&layout), &evidence(), &Wish::default());
        assert!(gate.obstacles[0].contains("90000") && gate.obstacles[0].contains("u16 holds"), "{:?}", gate.obstacles);
    }
}
