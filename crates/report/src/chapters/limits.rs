//! What the numbers do not carry: limits met in these runs, simplifications of the model; how to make them again; meanings.

use super::{heading, note, part, text};
use crate::material::Material;
use crate::paper::{Block, Kind, Table};
use std::collections::BTreeSet;
use washboard_metrics::MetricId;
use washboard_words::figures;

/// What the model leaves out, as in the readme.
const SIMPLIFICATIONS: [&str; 7] = [
    "A rigid body, small angles: no engine on its mounts, no bending body, no seat. A car shows more above some 15 Hz.",
    "Springs and bars are straight lines at the wheel, only the stops bend; motion ratio, roll centres and anti-pitch shares \
     stay the same over travel.",
    "The tyre is a straight spring on a point or an averaged length of road. It can lift, but it neither slips nor steers.",
    "Lateral and longitudinal acceleration are given over time, or follow from steering by a linear single-track model at \
     constant speed; roll does not act back on them.",
    "The damper is its bench table, straight between the points, behind a dead time and a first-order lag; friction does not \
     stick, one temperature holds for a run.",
    "Random roads are Gaussian and of one waviness. Sensors' noise is the same in every run.",
    "The controller computes in full precision here; what a control unit rounds is shown by the verb compare with --in-car.",
];

pub(super) fn blocks(material: &Material) -> Vec<Block> {
    let mut blocks = vec![heading("What limits these numbers")];
    blocks.push(part("Met in these runs"));
    let mut met: Vec<String> = material.board.remarks.clone();
    met.extend(material.states.iter().filter(|s| !material.board.remarks.contains(s)).cloned());
    met.extend(deliverable(material));
    met.push(format!(
        "The plant was computed in steps of {} ms.",
        washboard_words::breakpoint(material.board.plant_step_s * 1e3)
    ));
    blocks.push(Block::Items(met));
    blocks.push(part("Left out by the model"));
    blocks.push(Block::Items(SIMPLIFICATIONS.map(str::to_owned).to_vec()));
    blocks.extend(again(material));
    blocks.extend(meanings(material));
    blocks
}

/// How much of what was wanted a damper could give, and where the current was at its end.
fn deliverable(material: &Material) -> Vec<String> {
    let overall = &material.board.evaluation.overall;
    let say = |mode: &usize| {
        let card = &overall.iter().find(|o| o.mode == *mode)?.card;
        let share = |id: MetricId| card.mean(id).map(|v| washboard_words::fixed(v * 100.0, 0));
        Some(format!(
            "{}: of the driven time {} % of the wanted force could be delivered, {} % was of the wrong sign, {} % below the \
             soft end, {} % above the firm end.",
            material.mode(*mode),
            share(MetricId::SHARE_DELIVERABLE)?,
            share(MetricId::SHARE_WRONG_SIGN)?,
            share(MetricId::SHARE_BELOW_SOFT)?,
            share(MetricId::SHARE_ABOVE_FIRM)?
        ))
    };
    material.wish.modes.iter().filter_map(say).collect()
}

fn again(material: &Material) -> Vec<Block> {
    let imprint = &material.imprint;
    let file = if imprint.session_file.is_empty() {
        "The session had no file yet when this was written: save it to make the same report again.".to_owned()
    } else {
        format!("Session file: {}.", imprint.session_file)
    };
    let identity = match &material.identity {
        Ok(identity) => format!("The same calibration has the identity {identity}."),
        Err(_) => String::new(),
    };
    let mut blocks = vec![
        heading("How to make this again"),
        text(format!("{file} {identity} Seeds of all random roads stand in the session.").replace("  ", " ")),
    ];
    if !imprint.command.is_empty() {
        blocks.push(Block::Code(imprint.command.clone()));
    }
    blocks.push(note(format!("Written by {}.", imprint.program)));
    blocks
}

/// What each figure shown means, and where its definition comes from.
fn meanings(material: &Material) -> Vec<Block> {
    let cards = || material.board.evaluation.overall.iter().map(|o| &o.card);
    let shown: BTreeSet<MetricId> = cards().flat_map(|card| card.iter().map(|(id, _)| id)).collect();
    if shown.is_empty() {
        return Vec::new();
    }
    let columns = ["figure", "meaning", "simplified", "source"].map(|t| (t.to_owned(), Kind::Words));
    let mut table = Table::new("Every figure in this report", columns);
    for id in shown {
        let metric = id.metric();
        table.rows.push(vec![
            figures::title(id).into(),
            metric.meaning.into(),
            format!("{} {}", id.simplification(), id.accuracy_in_words()).into(),
            metric.source.into(),
        ]);
    }
    vec![heading("What the figures mean"), Block::Table(table)]
}
