//! The first page: what this is, of which calibration, which set is in the car, and the cautions.

use super::{day, heading, text};
use crate::material::Material;
use crate::paper::{Block, Kind, Table};
use washboard_handover::CAUTIONS;
use washboard_session::{HandedOver, Session, sets};
use washboard_words as words;

/// Differences to the set in the car that are told one by one.
const MOST_DIFFERENCES: usize = 8;

pub(super) fn blocks(material: &Material) -> Vec<Block> {
    let session = &material.session;
    let mut blocks = vec![
        Block::Heading(1, session.title.clone()),
        text(format!("Calibration report, {}, {}.", day(&material.imprint.time), material.imprint.program)),
        Block::Table(facts(material)),
    ];
    if !session.notes.trim().is_empty() {
        blocks.push(text(format!("Notes of the session: {}", session.notes.trim())));
    }
    blocks.push(Block::Caution("Before any of this is driven".to_owned(), CAUTIONS.map(str::to_owned).to_vec()));
    blocks.extend(in_the_car(material));
    blocks
}

fn facts(material: &Material) -> Table {
    let session = &material.session;
    let mut table =
        Table::new("What this report is about", [(String::new(), Kind::Words), (String::new(), Kind::Words)]);
    let mut row = |name: &str, value: String| table.rows.push(vec![name.into(), value.into()]);
    row("Car", session.vehicle.name.clone());
    let modes: Vec<String> = material.wish.modes.iter().map(|m| purpose(session, *m)).collect();
    row("Modes", modes.join("; "));
    row("Compared with", format!("{}, the reference mode", material.mode(material.wish.reference)));
    match &material.identity {
        Ok(identity) => {
            row("Identity of this calibration", format!("{} ({identity})", words::identity(identity)));
            row("Its status", status(session, identity));
        }
        Err(sentence) => row("Identity of this calibration", format!("none: {sentence}")),
    }
    row(
        "Set in the car",
        match session.set_in_car() {
            Some((set, since)) => in_words(set, since),
            None => "none was handed over from this session".to_owned(),
        },
    );
    if let Some(release) = session.release.as_ref().filter(|r| !r.name.trim().is_empty()) {
        let purpose = release.purpose.trim();
        let purpose = if purpose.is_empty() { String::new() } else { format!(", for {purpose}") };
        row("Answers for wider use", format!("{}{purpose}", release.name.trim()));
    }
    row("Model", material.wish.model.label().to_owned());
    let cases: Vec<&str> =
        material.wish.load_cases.iter().filter_map(|i| material.load_cases.get(*i)).map(String::as_str).collect();
    row("Load cases", cases.join(", "));
    table
}

fn purpose(session: &Session, mode: usize) -> String {
    session.modes.get(mode).map_or(String::new(), |m| match m.purpose.trim() {
        "" => m.name.clone(),
        purpose => format!("{} ({purpose})", m.name),
    })
}

/// What is known of a set with this very identity.
fn status(session: &Session, identity: &str) -> String {
    match session.handed_over.iter().rev().find(|s| s.identity == identity) {
        Some(set) => {
            let note = if set.note.trim().is_empty() { String::new() } else { format!(", \"{}\"", set.note.trim()) };
            format!("handed over {} as {}{note}", day(&set.time), set.status.words())
        }
        None => "never handed over: on paper only".to_owned(),
    }
}

fn in_words(set: &HandedOver, since: &str) -> String {
    let note = if set.note.trim().is_empty() { String::new() } else { format!(", \"{}\"", set.note.trim()) };
    format!("{} since {}, {}{note}", words::identity(&set.identity), day(since), set.status.words())
}

/// How what is reported differs from what the car has.
fn in_the_car(material: &Material) -> Vec<Block> {
    let session = &material.session;
    let Some((set, _)) = session.set_in_car() else { return Vec::new() };
    let mut blocks = vec![heading("This calibration and the set in the car")];
    let name = words::identity(&set.identity);
    if material.identity.as_ref().is_ok_and(|identity| *identity == set.identity) {
        blocks.push(text(format!("The car has exactly this calibration: set {name}.")));
        return blocks;
    }
    let lines = sets::since(session, set, &material.wish.modes, MOST_DIFFERENCES);
    if lines.is_empty() {
        let other = "No map or setting of the modes shown differs from it; another choice of modes, other damper data, \
                     lever arms or controller constants make another identity.";
        blocks.push(text(format!("The car has set {name}. {other}")));
    } else {
        blocks.push(text(format!("The car has set {name}, which is not this calibration. Since then:")));
        blocks.push(Block::Items(lines));
    }
    if material.identity.as_ref().is_ok_and(|identity| material.known_sets().contains(identity.as_str())) {
        blocks.push(text("A set of this very calibration was handed over before, but is not the one in the car."));
    }
    blocks
}
