//! Hand over: what goes out, the checks, what differs, the caution, the folder, and the identity large.

use crate::command::Command;
use crate::context::{Check, HandOverResult};
use crate::desk::Desk;
use crate::differs;
use crate::theme::{self, BODY, HUGE, SMALL, TITLE};
use crate::view::View;
use crate::widgets::{forward, link, section};
use crate::words;
use egui::{Align, Color32, Layout, Rect, RichText, Ui, pos2, vec2};
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
    if desk.cx.hand_over.checks.iter().any(|c| !c.passed) {
        missing.push("mend what the checks found");
    }
    if !view.hand_over.acknowledged {
        missing.push("acknowledge the caution");
    }
    missing
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
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
        checks(ui, desk);
        difference(ui, desk);
    });
    part(ui, right, "the step", &mut |ui| {
        identity(ui, desk);
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

fn checks(ui: &mut Ui, desk: &Desk<'_>) {
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
        for Check { name, passed, reason } in checks {
            ui.horizontal_top(|ui| {
                let (sign, color) = if *passed { ("✓", look.good) } else { ("✕", look.crossed) };
                ui.label(RichText::new(sign).color(color));
                let width = 176.0;
                let title = if *passed {
                    RichText::new(name).size(BODY)
                } else {
                    theme::bold(ui, name, BODY).color(look.crossed)
                };
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
        let note = format!("{} since {}", words::identity(&set.identity), words::when(&set.time, &desk.cx.now));
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

fn identity(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let view = desk.cx.hand_over;
    match &view.last_result {
        Some(HandOverResult::Done { identity, folder }) => card(ui, desk, Some(look.good_fill), |ui| {
            ui.label(theme::bold(ui, "handed over", TITLE).color(look.good));
            large(ui, identity, look.text);
            ui.label(RichText::new(format!("Written, read back and proven equal: {folder}")).size(BODY));
            if identity != &view.identity && !view.identity.is_empty() {
                let text = format!("On screen now: {}, which is another set.", words::identity(&view.identity));
                ui.label(RichText::new(text).color(look.caution));
            }
        }),
        Some(HandOverResult::Failed(sentence)) => card(ui, desk, Some(look.crossed_fill), |ui| {
            ui.label(theme::bold(ui, "✕ not handed over", TITLE).color(look.crossed));
            ui.label(sentence);
        }),
        None => {}
    }
    if !matches!(&view.last_result, Some(HandOverResult::Done { identity, .. }) if *identity == view.identity) {
        let ask = std::cell::RefCell::new(None);
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
                    *ask.borrow_mut() = Some(Command::CopyText(view.identity.clone()));
                }
            });
        });
        desk.out.extend(ask.into_inner());
    }
}

/// The identity as large as the column allows, to be read across a car.
fn large(ui: &mut Ui, identity: &str, color: Color32) {
    let text = words::identity(identity);
    let size = (ui.available_width() / (text.chars().count().max(1) as f32 * 0.66)).min(HUGE);
    ui.add(egui::Label::new(theme::identity(ui, text, size).color(color)).extend());
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
        }
        if !missing.is_empty() {
            ui.add(egui::Label::new(theme::note(look, format!("First: {}.", missing.join(", ")))).wrap());
        }
    });
}
