//! Hand over: what goes out, the checks, what differs, the caution, the folder, and the identity large.

use crate::command::Command;
use crate::context::{Check, HandOverResult};
use crate::desk::Desk;
use crate::differs;
use crate::theme::{self, BODY, HUGE, SMALL, TITLE};
use crate::view::View;
use crate::widgets::{forward, link, section};
use crate::words;
use egui::{Align, Align2, Color32, FontFamily, FontId, Layout, Rect, RichText, StrokeKind, Ui, pos2, vec2};
use washboard_handover::CAUTIONS;

/// Why the set cannot go out yet; empty when it can.
fn missing(view: &View, desk: &Desk<'_>) -> Vec<&'static str> {
    let mut missing = Vec::new();
    if view.hand_over.modes(desk.session()).is_empty() {
        missing.push("choose at least one mode");
    }
    if desk.cx.hand_over.folder.is_empty() {
        missing.push("choose a folder");
    }
    let open = || desk.cx.hand_over.checks.iter().filter(|c| !c.passed);
    if open().any(|c| c.forbids) {
        missing.push("mend what the checks found");
    } else if open().next().is_some() && !view.hand_over.looked_at {
        missing.push("look at what the checks found");
    }
    if !view.hand_over.acknowledged {
        missing.push("acknowledge the caution");
    }
    missing
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let mut area = ui.max_rect();
    if let Some(HandOverResult::Done { identity, folder }) = &desk.cx.hand_over.last_result {
        let banner = area.with_max_y(area.top() + (area.height() * 0.26).clamp(96.0, 190.0));
        handed_over(ui, desk, banner, identity, folder);
        area.min.y = banner.bottom() + 8.0;
    }
    let column = (area.width() - 16.0) / 2.0;
    let left = Rect::from_min_size(area.min, vec2(column, area.height()));
    let right = Rect::from_min_max(pos2(left.right() + 16.0, area.top()), area.max);
    let part = |ui: &mut Ui, rect: Rect, salt: &str, add: &mut dyn FnMut(&mut Ui)| {
        let mut child =
            ui.new_child(egui::UiBuilder::new().max_rect(rect).id_salt(salt).layout(Layout::top_down(Align::Min)));
        child.shrink_clip_rect(rect.expand(2.0));
        egui::ScrollArea::vertical().id_salt(salt).auto_shrink(false).show(&mut child, |ui| add(ui));
    };
    part(ui, left, "what goes out", &mut |ui| {
        modes(ui, view, desk);
        note(ui, view, desk);
        checks(ui, view, desk);
        difference(ui, desk);
    });
    part(ui, right, "the step", &mut |ui| {
        identity(ui, desk);
        in_the_car(ui, view, desk);
        cautions(ui, view, desk);
        folder(ui, desk);
        button(ui, view, desk);
    });
}

fn card(ui: &mut Ui, desk: &Desk<'_>, fill: Option<Color32>, add: impl FnOnce(&mut Ui)) {
    let mut frame = desk.look.card_frame();
    if let Some(fill) = fill {
        frame = frame.fill(fill);
    }
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        add(ui);
    });
    ui.add_space(8.0);
}

fn modes(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    card(ui, desk, None, |ui| {
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
                    view.hand_over.acknowledged = false;
                    view.hand_over.looked_at = false;
                }
                let (rect, _) = ui.allocate_exact_size(vec2(30.0, 12.0), egui::Sense::hover());
                let stroke = egui::Stroke::new(2.0, look.mode(i));
                crate::curve::Dash::of_mode(i).sample(ui.painter(), rect.left_center(), 28.0, stroke);
                ui.label(theme::note(look, mode.purpose.as_str()));
            });
        }
    });
}

fn note(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    card(ui, desk, None, |ui| {
        section(ui, desk.look, "note", "what this set is for");
        ui.add(
            egui::TextEdit::singleline(&mut view.hand_over.note)
                .desired_width(f32::INFINITY)
                .hint_text("as in: calmer over the crest at 90, everyday only"),
        )
        .accessible_name("Note on the set");
    });
}

fn checks(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    let look = desk.look;
    let checks = &desk.cx.hand_over.checks;
    let open = checks.iter().filter(|c| !c.passed).count();
    card(ui, desk, None, |ui| {
        let text = match (checks.len(), open) {
            (0, _) => "they run when a set can be made".to_owned(),
            (n, 0) => format!("all {n} hold"),
            (n, open) => format!("{open} of {n} do not hold"),
        };
        section(ui, look, "checks", &text);
        for Check { name, passed, forbids, reason } in checks {
            ui.horizontal_top(|ui| {
                let (sign, color) = match (passed, forbids) {
                    (true, _) => ("✓", look.good),
                    (false, true) => ("✕", look.crossed),
                    (false, false) => ("⚠", look.caution),
                };
                ui.label(RichText::new(sign).color(color));
                let width = 176.0;
                let title =
                    if *passed { RichText::new(name).size(BODY) } else { theme::bold(ui, name, BODY).color(color) };
                ui.allocate_ui(vec2(width, 16.0), |ui| {
                    ui.set_min_width(width);
                    ui.add(egui::Label::new(title).wrap());
                });
                ui.add(
                    egui::Label::new(RichText::new(reason).size(SMALL + 0.5).color(if *passed {
                        look.weak
                    } else {
                        look.text
                    }))
                    .wrap(),
                );
            });
        }
        if checks.iter().any(|c| !c.passed && !c.forbids) {
            let text = "I have looked at what is marked ⚠ and hand this set over as it is.";
            ui.checkbox(&mut view.hand_over.looked_at, text);
        }
    });
}

fn difference(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    card(ui, desk, None, |ui| {
        let Some(set) = desk.cx.in_car else {
            section(ui, look, "difference to the set in the car", "");
            ui.label("No set has been handed over yet: this is the first.");
            return;
        };
        let note =
            format!("{} since {}", words::identity(&set.identity), words::when(desk.cx.in_car_since, &desk.cx.now));
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
    });
}

/// The identity as large as the place allows, to be read across a car.
fn handed_over(ui: &mut Ui, desk: &Desk<'_>, rect: Rect, identity: &str, folder: &str) {
    let look = desk.look;
    ui.painter().rect(rect, 3.0, look.good_fill, egui::Stroke::new(1.0, look.good), StrokeKind::Inside);
    let inner = rect.shrink2(vec2(14.0, 8.0));
    let (head, foot) = (inner.with_max_y(inner.top() + 22.0), inner.with_min_y(inner.bottom() - 18.0));
    let put = |ui: &Ui, rect: Rect, text: &str, size: f32, family, color| {
        crate::widgets::put_text(ui, rect, Align2::LEFT_CENTER, text, size, family, color)
    };
    put(ui, head, "✓ handed over: in the car now", TITLE, theme::semibold(ui.ctx()), look.good);
    put(ui, foot, &format!("Written, read back and proven equal: {folder}"), BODY, FontFamily::Proportional, look.text);
    let middle = Rect::from_min_max(pos2(inner.left(), head.bottom()), pos2(inner.right(), foot.top()));
    let text = words::identity(identity);
    // A letter of this face is 0.62 of its size wide.
    let widest = middle.width() / (text.chars().count().max(1) as f32 * 0.62);
    let size = widest.min(middle.height() * 0.9).min(HUGE);
    let label = egui::Label::new(theme::identity(ui, text, size).color(look.text)).extend();
    ui.put(middle, label);
    let on_screen = &desk.cx.hand_over.identity;
    if identity != on_screen && !on_screen.is_empty() {
        let text = format!("On screen now: {}, which is another set.", words::identity(on_screen));
        let at = head.right_center();
        let font = FontId::new(BODY, FontFamily::Proportional);
        ui.painter().text(at, Align2::RIGHT_CENTER, text, font, look.caution);
    }
}

fn identity(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let view = desk.cx.hand_over;
    if let Some(HandOverResult::Failed(sentence)) = &view.last_result {
        card(ui, desk, Some(look.crossed_fill), |ui| {
            ui.label(theme::bold(ui, "✕ not handed over", TITLE).color(look.crossed));
            ui.label(sentence);
        });
    }
    if matches!(&view.last_result, Some(HandOverResult::Done { identity, .. }) if *identity == view.identity) {
        return;
    }
    let mut asked = None;
    card(ui, desk, None, |ui| {
        section(ui, look, "identity of the set on screen", "the same calibration always has the same identity");
        if view.identity.is_empty() {
            ui.label(theme::note(look, "Not known yet."));
            return;
        }
        ui.label(theme::identity(ui, words::identity(&view.identity), 28.0));
        ui.horizontal(|ui| {
            let short: String = view.identity.chars().take(32).collect();
            ui.label(theme::identity(ui, format!("{short}…"), SMALL).color(look.weak));
            if link(ui, look, "copy").accessible_name("copy the whole identity").clicked() {
                asked = Some(Command::CopyText(view.identity.clone()));
            }
        });
    });
    desk.out.extend(asked);
}

/// Which set is in the car now, and the way to say that it is another one.
fn in_the_car(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let mut asked = Vec::new();
    card(ui, desk, None, |ui| {
        ui.horizontal(|ui| {
            section(ui, look, "in the car now", "");
            if let Some(set) = desk.cx.in_car {
                ui.label(theme::identity(ui, words::identity(&set.identity), BODY + 1.0));
                ui.label(theme::note(look, format!("since {}", words::when(desk.cx.in_car_since, &desk.cx.now))));
            } else {
                ui.label(theme::note(look, "no set known"));
            }
        });
        let text =
            if view.hand_over.chooses_in_car { "leave it as it is" } else { "another set was put in the car…" };
        if link(ui, look, text).clicked() {
            view.hand_over.chooses_in_car = !view.hand_over.chooses_in_car;
        }
        if view.hand_over.chooses_in_car {
            asked = known_sets(ui, view, desk);
        }
    });
    desk.out.extend(asked);
}

/// All sets known, newest first, to say which is in the car.
fn known_sets(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) -> Vec<Command> {
    let look = desk.look;
    let mut asked = Vec::new();
    let sets = &desk.session().handed_over;
    if sets.is_empty() {
        ui.label("No set is known yet. A folder that a set was handed over into can be taken in.");
    }
    egui::Grid::new("known sets").num_columns(4).spacing([10.0, 3.0]).show(ui, |ui| {
        for (i, set) in sets.iter().enumerate().rev() {
            let name = words::identity(&set.identity);
            let is_there = desk.cx.in_car.is_some_and(|s| std::ptr::eq(s, set) || s.identity == set.identity);
            ui.label(theme::identity(ui, &name, BODY));
            ui.label(theme::number(words::when(&set.time, &desk.cx.now), SMALL));
            if is_there {
                ui.label(RichText::new("in the car").color(look.good));
            } else if ui.button("is in the car").accessible_name(format!("set {name} is in the car")).clicked() {
                view.hand_over.chooses_in_car = false;
                asked.push(Command::SetInCar(i));
            }
            let modes: Vec<&str> = set.modes.iter().map(|m| m.name.as_str()).collect();
            let note = if set.note.is_empty() { modes.join(", ") } else { set.note.clone() };
            ui.add(egui::Label::new(theme::note(look, note)).truncate()).on_hover_text(&set.folder);
            ui.end_row();
        }
    });
    if ui.button("Take in a set from a folder…").clicked() {
        asked.push(Command::TakeInSet);
    }
    asked
}

fn cautions(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    let look = desk.look;
    card(ui, desk, Some(look.caution_fill), |ui| {
        ui.label(theme::bold(ui, "⚠ caution", BODY + 1.0).color(look.caution));
        for caution in CAUTIONS {
            ui.horizontal_top(|ui| {
                ui.label("·");
                ui.add(egui::Label::new(caution).wrap());
            });
        }
        ui.add_space(4.0);
        ui.checkbox(&mut view.hand_over.acknowledged, "I have read this and take it into account for this set.");
    });
}

fn folder(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let mut asks = false;
    card(ui, desk, None, |ui| {
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
                caution_acknowledged: view.hand_over.acknowledged,
            });
            // The next set needs its own acknowledgement.
            view.hand_over.acknowledged = false;
            view.hand_over.looked_at = false;
        }
        if !missing.is_empty() {
            ui.add(egui::Label::new(theme::note(look, format!("First: {}.", missing.join(", ")))).wrap());
        }
    });
}
