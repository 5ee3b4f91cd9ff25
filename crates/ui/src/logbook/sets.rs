//! The sets that left for the car as a tree: which went on from which, what differs, and any of them as a new start.

use crate::command::Command;
use crate::desk::Desk;
use crate::side::ColumnKey;
use crate::theme::{self, BODY, SMALL};
use crate::view::{Place, View};
use crate::widgets::link;
use crate::words;
use egui::{RichText, Ui};
use washboard_session::sets::{self, Branch};
use washboard_session::{Edit, HandedOver};

/// How far a set is moved in below the one it went on from, points; deep lines stop going further in.
const STEP: f32 = 12.0;
const DEEPEST: usize = 8;
/// Most differences shown of a set; the copied text has all of them.
const MOST_LINES: usize = 12;

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let session = desk.session();
    if session.handed_over.is_empty() {
        ui.label("No set has left yet: Hand over (Alt+6) writes one when the checks hold, and it is noted here.");
        return;
    }
    let base = view.logbook.compared_with.as_ref().and_then(|identity| session.set_of(identity));
    ui.horizontal_wrapped(|ui| match base {
        None => drop(ui.label(theme::note(look, "each below the one it went on from, with what differs from it"))),
        Some(set) => {
            let name = words::identity(&session.handed_over[set].identity);
            ui.label(theme::note(look, format!("what differs from set {name}")));
            if link(ui, look, "from the one before").accessible_name("compare each set with the one before").clicked() {
                view.logbook.compared_with = None;
            }
        }
    });
    egui::ScrollArea::vertical().id_salt("sets").auto_shrink(false).show(ui, |ui| {
        for branch in sets::tree(session) {
            ui.horizontal_top(|ui| {
                ui.add_space(STEP * branch.depth.min(DEEPEST) as f32);
                ui.vertical(|ui| card(ui, view, desk, &branch, base));
            });
        }
    });
}

fn card(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, branch: &Branch, base: Option<usize>) {
    let look = desk.look;
    let session = desk.session();
    let set = &session.handed_over[branch.set];
    let is_in_car = desk.cx.in_car.is_some_and(|it| it.identity == set.identity);
    let fill = if is_in_car { look.good_fill } else { look.card };
    look.card_frame().fill(fill).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            if branch.parent.is_some() {
                ui.label(theme::note(look, "└"));
            }
            ui.label(theme::identity(ui, words::identity(&set.identity), BODY + 1.0));
            if is_in_car {
                ui.label(theme::bold(ui, "in the car", SMALL).color(look.good));
            }
            ui.label(theme::note(look, set.status.words()));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(theme::note(look, desk.when(&set.time)));
            });
        });
        let names: Vec<&str> = set.modes.iter().map(|m| m.name.as_str()).collect();
        let runs = session.logbook.iter().filter(|r| r.set_identity == set.identity).count();
        ui.label(theme::note(look, format!("{} · {}", names.join(", "), words::count(runs, "run", "runs"))));
        if !set.note.is_empty() {
            ui.add(egui::Label::new(RichText::new(&set.note).size(BODY)).wrap());
        }
        if session.began_from.as_deref() == Some(set.identity.as_str()) {
            ui.label(theme::note(look, "the modes on screen go on from here").color(look.text));
        }
        differs(ui, desk, set, branch, base);
        actions(ui, view, desk, branch.set, set);
    });
}

/// What differs from the set before, or from the one that all are compared with; it unfolds.
fn differs(ui: &mut Ui, desk: &mut Desk<'_>, set: &HandedOver, branch: &Branch, base: Option<usize>) {
    let look = desk.look;
    let session = desk.session();
    let before = base.or(branch.parent).filter(|before| session.handed_over[*before].identity != set.identity);
    let (name, lines) = match (before, &set.parent) {
        (Some(before), _) => {
            let before = &session.handed_over[before];
            (words::identity(&before.identity), sets::difference(before, set).lines())
        }
        // A set from elsewhere brings the words it was handed over with.
        (None, Some(parent)) if base.is_none() => (words::identity(parent), set.difference.clone()),
        (None, _) => return,
    };
    if lines.is_empty() {
        ui.label(theme::note(look, format!("no difference to {name}")));
        return;
    }
    let title = format!("{} to {name}", words::count(lines.len(), "difference", "differences"));
    let head = RichText::new(title).size(SMALL + 0.5);
    egui::CollapsingHeader::new(head).id_salt(("differences", branch.set)).show(ui, |ui| {
        for line in lines.iter().take(MOST_LINES) {
            ui.add(egui::Label::new(RichText::new(line).size(SMALL)).wrap());
        }
        ui.horizontal(|ui| {
            let more = lines.len().saturating_sub(MOST_LINES);
            if more > 0 {
                ui.label(theme::note(look, format!("… and {more} more")));
            }
            let short = words::identity(&set.identity);
            if link(ui, look, "copy").accessible_name(format!("copy what differs in {short}")).clicked() {
                desk.ask(Command::CopyText(lines.join("\n")));
            }
        });
    });
}

fn actions(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, index: usize, set: &HandedOver) {
    let look = desk.look;
    let short = words::identity(&set.identity);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 14.0;
        let beside = link(ui, look, "side by side").accessible_name(format!("side by side {short}"));
        if beside.on_hover_text("Its modes beside those of the session").clicked() {
            for mode in set.modes.iter() {
                view.side.add(ColumnKey::OfSet { identity: set.identity.clone(), mode: mode.name.clone() });
            }
            view.place = Place::SideBySide;
        }
        let reopen = link(ui, look, "reopen").accessible_name(format!("reopen {short}"));
        if reopen.on_hover_text("The session as it was at this set, as a copy").clicked() {
            desk.ask(Command::ReopenSet(index));
        }
        let start = link(ui, look, "go on from here").accessible_name(format!("go on from {short}"));
        let words =
            "Its modes take the place of those on screen; the next set goes on from this one (undo brings them back)";
        if start.on_hover_text(words).clicked() {
            desk.ask(Command::Edit(Edit::StartFromSet { set: index }));
        }
        let compare = link(ui, look, "compare all with it").accessible_name(format!("compare all with {short}"));
        if compare.on_hover_text("What differs from this set, at every other").clicked() {
            view.logbook.compared_with = Some(set.identity.clone());
        }
        if !set.folder.is_empty() {
            let copy = link(ui, look, "copy path").accessible_name(format!("copy the path of {short}"));
            if copy.on_hover_text(&set.folder).clicked() {
                desk.ask(Command::CopyText(set.folder.clone()));
            }
        }
    });
}
