//! The checks one by one: what was found, what to do about it, and a sentence where a set goes out all the same.

use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::{link, section};
use crate::words;
use egui::{RichText, Ui};
use washboard_handover::{PreCheck, SHORTEST_WAIVER};
use washboard_session::SetStatus;

/// Checks that wait for computation.
const COMPUTED: [&str; 3] = ["fences", "unvisited", "supply-lost"];

/// True where the check holds a set of this status back. The cautions are for every set that this window sends to a car,
/// and are acknowledged once.
pub(super) fn is_in_the_way(check: &PreCheck, status: SetStatus) -> bool {
    if check.id == "caution" {
        return !check.passed;
    }
    if status == SetStatus::Draft { check.forbids && !check.passed } else { !check.is_settled() }
}

/// True where a sentence lets the set go out all the same.
fn can_be_waived(check: &PreCheck, status: SetStatus) -> bool {
    status > SetStatus::Draft && !check.passed && !check.forbids
}

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    let look = desk.look;
    let it = desk.cx.hand_over;
    let status = view.hand_over.status(desk.session());
    let open = it.checks.iter().filter(|check| !check.passed).count();
    let text = match (it.checks.len(), open) {
        (0, _) => "they run when a set can be made".to_owned(),
        (n, 0) => format!("all {n} hold"),
        (n, open) => format!("{open} of {n} do not hold"),
    };
    section(ui, look, "checks", &text);
    if let Some((done, all)) = it.computing {
        let text = match all {
            0 => "Computing fences, cells in use and the car without supply …".to_owned(),
            all => format!("Computing fences, cells in use and the car without supply: {done} of {all} runs …"),
        };
        ui.label(theme::note(look, text));
    }
    if let Some(fault) = &it.fault {
        ui.add(egui::Label::new(RichText::new(format!("✕ Not computed: {fault}")).color(look.crossed)).wrap());
    }
    ui.add_space(2.0);
    // What asks for something stands first: below a banner or on a small screen the end of the list is out of sight.
    let (passed, others): (Vec<_>, Vec<_>) = it.checks.iter().partition(|check| check.passed);
    for check in others.into_iter().chain(passed) {
        let is_awaited = it.computing.is_some() && !check.passed && COMPUTED.contains(&check.id.as_str());
        if is_awaited {
            ui.horizontal(|ui| {
                ui.label(theme::note(look, "…"));
                ui.label(theme::note(look, format!("{}: being computed", check.name)));
            });
        } else {
            line(ui, desk, check);
        }
        if !check.passed && !is_awaited {
            below(ui, |ui| {
                ui.add(egui::Label::new(theme::note(look, check.what_to_do())).wrap());
            });
            if can_be_waived(check, status) {
                below(ui, |ui| waiver(ui, view, desk, check));
            }
            ui.add_space(3.0);
        }
    }
    if status == SetStatus::Draft && it.checks.iter().any(|check| !check.passed && !is_in_the_way(check, status)) {
        ui.label(theme::note(look, "A draft goes out with open questions; they stand in its papers."));
    }
    // What no check says: a waiver that is none.
    for obstacle in it.obstacles.iter().filter(|o| !it.checks.iter().any(|c| o.starts_with(&c.name))) {
        ui.add(egui::Label::new(RichText::new(obstacle).color(look.crossed)).wrap());
    }
}

/// Sign, name and reason.
fn line(ui: &mut Ui, desk: &Desk<'_>, check: &PreCheck) {
    let look = desk.look;
    let is_waived = check.waiver.is_some();
    ui.horizontal_top(|ui| {
        let (sign, color, state) = match (check.passed, is_waived, check.forbids) {
            (true, ..) => ("✓", look.good, "passed"),
            (false, true, _) => ("⚑", look.caution, "waived"),
            (false, false, true) => ("✕", look.crossed, "must be mended"),
            (false, false, false) => ("⚠", look.caution, "look at this"),
        };
        ui.label(RichText::new(sign).color(color)).on_hover_text(state);
        let width = 158.0;
        let title = if check.passed {
            RichText::new(&check.name).size(BODY)
        } else {
            theme::bold(ui, &check.name, BODY).color(color)
        };
        ui.allocate_ui(egui::vec2(width, 16.0), |ui| {
            ui.set_min_width(width);
            ui.add(egui::Label::new(title).wrap());
        });
        let color = if check.passed { look.weak } else { look.text };
        ui.add(egui::Label::new(RichText::new(words::signs(&check.reason)).size(SMALL + 0.5).color(color)).wrap());
    });
}

/// Something under the reason of a check.
fn below(ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    ui.horizontal_top(|ui| {
        ui.add_space(176.0);
        ui.vertical(|ui| add(ui));
    });
}

/// The sentence that lets a set go out although the check does not pass.
fn waiver(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, check: &PreCheck) {
    let look = desk.look;
    let form = &mut view.hand_over;
    let text = form.waivers.entry(check.id.clone()).or_default();
    let edit =
        egui::TextEdit::singleline(text).desired_width(f32::INFINITY).hint_text("goes out all the same because …");
    // The row may move while a sentence is typed; the keyboard stays in it.
    let edit = edit.id_salt(("waiver", &check.id));
    ui.add(edit).accessible_name(format!("Waiver of {}", check.name));
    let letters = text.chars().filter(|c| !c.is_whitespace()).count();
    if letters > 0 && letters < SHORTEST_WAIVER {
        let text =
            format!("A sentence that says why: {} more.", words::count(SHORTEST_WAIVER - letters, "letter", "letters"));
        ui.label(theme::note(look, text));
    }
    if letters == 0
        && let Some(before) = form.waivers_before.get(&check.id)
    {
        let again = link(ui, look, "as at the set before").accessible_name(format!("waive {} as before", check.name));
        if again.on_hover_text(before).clicked() {
            form.waivers.insert(check.id.clone(), before.clone());
        }
    }
}
