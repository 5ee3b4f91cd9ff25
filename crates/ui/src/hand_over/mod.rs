//! Hand over: what goes out and what it may be used for, the checks, what the control unit will hold, what differs, the
//! caution, the folder, and the identity large.

mod checks;
mod control_unit;
mod in_car;
mod proposal;
mod reading;
mod release;

use crate::command::Command;
use crate::context::HandOverResult;
use crate::desk::Desk;
use crate::differs;
use crate::theme::{self, BODY, Look, SMALL};
use crate::view::View;
use crate::widgets::{forward, section, toggle};
use crate::words;
use checks::is_in_the_way;
use egui::{Align, Color32, Layout, Rect, RichText, Ui, pos2, vec2};

/// What the left side shows below the modes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum HandOverSheet {
    /// The checks with their reasons.
    #[default]
    Checks,
    /// What differs from the set in the car.
    Difference,
    /// Layout, quantisation and what it does to the figures.
    ControlUnit,
    /// What was handed over, read back.
    ReadBack,
}

const SHEETS: [(HandOverSheet, &str); 4] = [
    (HandOverSheet::Checks, "checks"),
    (HandOverSheet::Difference, "difference"),
    (HandOverSheet::ControlUnit, "control unit"),
    (HandOverSheet::ReadBack, "read back"),
];

/// Height of the step forward at the foot.
const FOOT: f32 = 48.0;

/// Why the set cannot go out yet; empty when it can.
fn missing(view: &View, desk: &Desk<'_>) -> Vec<String> {
    let it = desk.cx.hand_over;
    let mut missing = Vec::new();
    if view.hand_over.modes(desk.session()).is_empty() {
        missing.push("choose at least one mode".to_owned());
    }
    if it.folder.is_empty() {
        missing.push("choose a folder".to_owned());
    }
    let status = view.hand_over.status(desk.session());
    let in_the_way = || it.checks.iter().filter(|check| is_in_the_way(check, status));
    if in_the_way().any(|check| check.id == "caution") {
        missing.push("acknowledge the caution".to_owned());
    }
    if in_the_way().any(|check| check.id == "responsible") {
        missing.push("give a name and a purpose".to_owned());
    }
    let names = |forbids: bool| {
        let found = in_the_way().filter(|check| check.forbids == forbids);
        let found = found.filter(|check| !["caution", "responsible"].contains(&check.id.as_str()));
        found.map(|check| check.name.to_lowercase()).collect::<Vec<_>>().join("; ")
    };
    match names(true) {
        names if names.is_empty() => {}
        names => missing.push(format!("mend {names}")),
    }
    if it.computing.is_some() {
        missing.push("wait for what the checks need".to_owned());
    } else {
        match names(false) {
            names if names.is_empty() => {}
            names => missing.push(format!("mend or waive {names}")),
        }
        if missing.is_empty() && !it.is_fresh {
            missing.push("wait for the checks".to_owned());
        }
        if missing.is_empty() && !it.obstacles.is_empty() {
            missing.push("see what stands under checks".to_owned());
        }
    }
    missing
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let mut area = ui.max_rect();
    if let Some(HandOverResult::Done { identity, folder, status }) = &desk.cx.hand_over.last_result {
        let banner = area.with_max_y(area.top() + (area.height() * 0.26).clamp(96.0, 190.0));
        in_car::handed_over(ui, desk, banner, identity, folder, *status);
        area.min.y = banner.bottom() + 8.0;
    }
    let column = (area.width() - 16.0) * 0.54;
    let left = Rect::from_min_size(area.min, vec2(column, area.height()));
    let right = Rect::from_min_max(pos2(left.right() + 16.0, area.top()), area.max);
    let (step, foot) = right.split_top_bottom_at_y(right.bottom() - FOOT);
    let child = |ui: &mut Ui, rect: Rect, salt: &str| {
        let builder = egui::UiBuilder::new().max_rect(rect).id_salt(salt).layout(Layout::top_down(Align::Min));
        let mut child = ui.new_child(builder);
        child.shrink_clip_rect(rect.expand(2.0));
        child
    };
    let look = desk.look;
    let mut head = child(ui, left, "what goes out");
    card(&mut head, look, None, |ui| {
        modes(ui, view, desk);
        ui.add_space(4.0);
        release::status(ui, view, desk);
    });
    let rest = left.with_min_y(head.cursor().top());
    ui.painter().rect(rest, 3.0, look.card, look.line(), egui::StrokeKind::Inside);
    let mut sheet = child(ui, rest.shrink2(vec2(10.0, 6.0)), "sheet");
    sheet.horizontal(|ui| {
        let now = SHEETS.iter().position(|(sheet, _)| *sheet == view.hand_over.sheet).unwrap_or(0);
        if let Some(i) = toggle(ui, look, "Hand over", now, &SHEETS.map(|(_, name)| name)) {
            view.hand_over.sheet = SHEETS[i].0;
        }
    });
    sheet.add_space(4.0);
    egui::ScrollArea::vertical().id_salt(("sheet", view.hand_over.sheet as u8)).auto_shrink(false).show(
        &mut sheet,
        |ui| match view.hand_over.sheet {
            HandOverSheet::Checks => checks::show(ui, view, desk),
            HandOverSheet::Difference => difference(ui, desk),
            HandOverSheet::ControlUnit => control_unit::show(ui, view, desk),
            HandOverSheet::ReadBack => reading::show(ui, view, desk),
        },
    );
    let mut child = child(ui, step, "the step");
    egui::ScrollArea::vertical().id_salt("the step").auto_shrink(false).show(&mut child, |ui| {
        in_car::identity(ui, desk);
        in_car::in_the_car(ui, view, desk);
        note(ui, view, desk);
        release::cautions(ui, desk);
        folder(ui, desk);
    });
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(foot.with_min_y(foot.top() + 6.0)).id_salt("foot"));
    button(&mut child, view, desk);
}

fn card(ui: &mut Ui, look: &Look, fill: Option<Color32>, add: impl FnOnce(&mut Ui)) {
    let mut frame = look.card_frame();
    if let Some(fill) = fill {
        frame = frame.fill(fill);
    }
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        add(ui);
    });
    ui.add_space(8.0);
}

fn modes(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    let look = desk.look;
    section(ui, look, "what goes out", "maps, limits, inverse damper tables, filters");
    for (i, mode) in desk.session().modes.iter().enumerate() {
        ui.horizontal(|ui| {
            let mut goes = !view.hand_over.left_out.contains(&mode.name);
            let text = RichText::new(format!("{} {}", i + 1, mode.name)).color(look.text);
            if ui.checkbox(&mut goes, text).changed() {
                if goes {
                    view.hand_over.left_out.remove(&mode.name);
                } else {
                    view.hand_over.left_out.insert(mode.name.clone());
                }
                // Another set is another decision.
                view.hand_over.put_waivers_aside();
            }
            let (rect, _) = ui.allocate_exact_size(vec2(30.0, 12.0), egui::Sense::hover());
            let stroke = egui::Stroke::new(2.0, look.mode(i));
            crate::curve::Dash::of_mode(i).sample(ui.painter(), rect.left_center(), 28.0, stroke);
            ui.add(egui::Label::new(theme::note(look, mode.purpose.as_str())).truncate());
        });
    }
}

fn note(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    card(ui, desk.look, None, |ui| {
        section(ui, desk.look, "note", "what this set is for");
        ui.add(
            egui::TextEdit::singleline(&mut view.hand_over.note)
                .desired_width(f32::INFINITY)
                .hint_text("as in: calmer over the crest at 90, everyday only"),
        )
        .accessible_name("Note on the set");
    });
}

fn difference(ui: &mut Ui, desk: &Desk<'_>) {
    let look = desk.look;
    let Some(set) = desk.cx.in_car else {
        section(ui, look, "difference to the set in the car", "");
        ui.label("No set has been handed over yet: this is the first.");
        return;
    };
    let note = format!("{} since {}", words::identity(&set.identity), desk.when(desk.cx.in_car_since));
    section(ui, look, "difference to the set in the car", &note);
    let text = differs::in_words(desk.session(), set);
    if text.is_empty() {
        ui.label(RichText::new("None.").color(look.good));
    }
    for (title, lines) in text {
        ui.label(theme::bold(ui, title, BODY));
        for line in lines {
            ui.label(RichText::new(line).size(SMALL + 0.5));
        }
    }
}

fn folder(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let mut asks = false;
    card(ui, look, None, |ui| {
        section(ui, look, "folder", "the set becomes a new folder inside it");
        ui.horizontal(|ui| {
            asks = ui.button("Choose…").accessible_name("Choose the folder").clicked();
            let folder = &desk.cx.hand_over.folder;
            let text = if folder.is_empty() { "none chosen yet" } else { folder.as_str() };
            ui.add(egui::Label::new(RichText::new(text).size(BODY)).truncate()).on_hover_text(text);
        });
    });
    if asks {
        desk.ask(Command::ChooseFolder);
    }
}

fn button(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let missing = missing(view, desk);
    ui.horizontal(|ui| {
        let response = forward(ui, look, "Hand over to the car", missing.is_empty(), vec2(190.0, 40.0));
        if response.clicked() {
            desk.ask(Command::HandOver {
                modes: view.hand_over.modes(desk.session()),
                note: view.hand_over.note.trim().to_owned(),
                c: view.hand_over.c,
                wish: view.hand_over.wish(desk.session()),
            });
            // The next set needs its own sentences.
            view.hand_over.put_waivers_aside();
        }
        if !missing.is_empty() {
            ui.add(egui::Label::new(theme::note(look, format!("First: {}.", missing.join(", ")))).wrap());
        }
    });
}
