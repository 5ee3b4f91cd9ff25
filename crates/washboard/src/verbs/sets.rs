//! `washboard sets`: the tree of sets handed over, what differs between two, and any of them as a new start.

use super::{Outcome, open};
use crate::{cli, sink};
use anyhow::{Context, Result};
use serde_json::{Value, json};
use washboard_session::sets::{difference, find, short, tree};
use washboard_session::{Edit, Session};

/// Lists, compares or goes on.
pub fn run(args: &cli::Sets) -> Result<Outcome> {
    let mut session = open(&args.session)?;
    if let Some(digits) = &args.start_from {
        let set = find(&session, digits)?;
        let identity = session.handed_over[set].identity.clone();
        washboard_session::apply(&mut session, &Edit::StartFromSet { set })?;
        let out = args.output.out.as_deref().context("--start-from needs --out")?;
        super::convert::save(out, &session)?;
        sink::deliver(&format!("{} goes on from set {identity}.\n", out.display()), None)?;
        return Ok(Outcome::Done);
    }
    if let [before, after] = &args.compare[..] {
        return compare(args, &session, before, after);
    }
    let text = if args.json { format!("{:#}\n", listed(&session)) } else { drawn(&session) };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

/// Status 1 where the sets differ.
fn compare(args: &cli::Sets, session: &Session, before: &str, after: &str) -> Result<Outcome> {
    let (before, after) = (find(session, before)?, find(session, after)?);
    let (before, after) = (&session.handed_over[before], &session.handed_over[after]);
    let found = difference(before, after);
    let text = if args.json {
        let value = json!({ "from": before.identity, "to": after.identity, "differences": found.lines() });
        format!("{value:#}\n")
    } else {
        let mut text = format!("{} to {}: {found}\n", short(&before.identity), short(&after.identity));
        found.lines().iter().for_each(|line| text.push_str(&format!("  - {line}\n")));
        text
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(if found.is_empty() { Outcome::Done } else { Outcome::DoesNotHold })
}

fn listed(session: &Session) -> Value {
    let set = |branch: &washboard_session::sets::Branch| {
        let set = &session.handed_over[branch.set];
        json!({
            "identity": set.identity,
            "parent": set.parent,
            "depth": branch.depth,
            "time": set.time,
            "status": set.status.words(),
            "note": set.note,
            "folder": set.folder,
            "modes": set.modes.iter().map(|mode| &mode.name).collect::<Vec<_>>(),
            "difference": set.difference,
            "runs": session.logbook.iter().filter(|run| run.set_identity == set.identity).count(),
        })
    };
    json!({ "began_from": session.began_from, "sets": tree(session).iter().map(set).collect::<Vec<_>>() })
}

fn drawn(session: &Session) -> String {
    let mut text = String::new();
    for branch in tree(session) {
        let set = &session.handed_over[branch.set];
        let runs = session.logbook.iter().filter(|run| run.set_identity == set.identity).count();
        let names: Vec<&str> = set.modes.iter().map(|mode| mode.name.as_str()).collect();
        let note = if set.note.is_empty() { String::new() } else { format!(": {}", set.note) };
        let began =
            if session.began_from.as_ref() == Some(&set.identity) { " <- the work goes on from here" } else { "" };
        text.push_str(&format!(
            "{}{} {} {} ({}), {runs} runs{note}{began}\n",
            "  ".repeat(branch.depth),
            short(&set.identity),
            set.time,
            set.status.words(),
            names.join(", ")
        ));
    }
    if text.is_empty() {
        text.push_str("This session has handed over no set.\n");
    }
    text
}
