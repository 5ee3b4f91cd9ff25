//! Logbook: runs in order with the driver's words, and the sets that left for the car.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::{RunForm, View};
use crate::widgets::{choice, forward, link, section};
use crate::words;
use egui::{Rect, RichText, Ui, pos2, vec2};
use washboard_session::{Edit, Run, Verdict};

/// Attributes that a form begins with.
const ATTRIBUTES: [&str; 4] = ["body control", "ride comfort", "impacts", "steering and roll"];

/// Opens the form of a new run, with the mode and event on screen.
pub(crate) fn open_form(view: &mut View, desk: &Desk<'_>) {
    if view.run.open {
        return;
    }
    view.run = RunForm {
        open: true,
        mode: desk.mode(view.mode).map_or(String::new(), |m| m.name.clone()),
        event: desk.session().events.get(desk.cx.request.event).map_or(String::new(), |e| e.name.clone()),
        load_case: crate::strip::load_cases(desk).get(desk.cx.request.load_case).cloned().unwrap_or_default(),
        ratings: ATTRIBUTES.map(|a| (a.to_owned(), String::new())).to_vec(),
        ..RunForm::default()
    };
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    let split = area.right() - (area.width() * 0.3).clamp(300.0, 460.0);
    let left = Rect::from_min_max(area.min, pos2(split - 12.0, area.bottom()));
    let right = Rect::from_min_max(pos2(split, area.top()), area.max);
    let mut runs_part = ui.new_child(egui::UiBuilder::new().max_rect(left).id_salt("runs"));
    runs_part.horizontal(|ui| {
        section(ui, desk.look, "runs", "newest first");
        if !view.run.open && ui.button("Add a run …").clicked() {
            open_form(view, desk);
        }
    });
    if view.run.open {
        form(&mut runs_part, view, desk);
    }
    runs_part.add_space(4.0);
    egui::ScrollArea::both().id_salt("runs").auto_shrink(false).show(&mut runs_part, |ui| runs(ui, desk));
    let mut sets_part = ui.new_child(egui::UiBuilder::new().max_rect(right).id_salt("sets"));
    section(&mut sets_part, desk.look, "sets handed over", "newest first");
    egui::ScrollArea::vertical().id_salt("sets").auto_shrink(false).show(&mut sets_part, |ui| sets(ui, desk));
}

fn runs(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let runs = &desk.session().logbook;
    if runs.is_empty() {
        ui.label("No runs yet. After a run, write down the set, the mode, the event and the driver's words.");
        return;
    }
    for (i, run) in runs.iter().enumerate().rev() {
        look.card_frame().show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.horizontal(|ui| {
                ui.label(theme::bold(ui, words::when(&run.time, &desk.cx.now), BODY));
                let set = if run.set_identity.is_empty() {
                    "no set noted".to_owned()
                } else {
                    words::identity(&run.set_identity)
                };
                ui.label(theme::number(set, SMALL + 0.5));
                let mode = desk.session().modes.iter().position(|m| m.name == run.mode);
                let color = mode.map_or(look.text, |m| look.mode(m));
                ui.label(theme::bold(ui, &run.mode, BODY).color(color));
                ui.label(RichText::new(&run.event).size(BODY));
                ui.label(theme::note(look, &run.load_case));
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    if link(ui, look, "delete").accessible_name(format!("delete the run of {}", run.time)).clicked() {
                        desk.ask(Command::Edit(Edit::DeleteRun { run: i }));
                    }
                });
            });
            if !run.remark.is_empty() {
                ui.label(RichText::new(format!("“{}”", run.remark)).size(BODY));
            }
            if !run.verdicts.is_empty() {
                ui.horizontal_wrapped(|ui| {
                    for v in &run.verdicts {
                        ui.label(theme::note(look, &v.attribute));
                        ui.label(theme::bold(ui, words::breakpoint(v.rating), BODY));
                        ui.add_space(8.0);
                    }
                });
            }
        });
    }
}

fn sets(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let sets = &desk.session().handed_over;
    if sets.is_empty() {
        ui.label("No set has left yet. Hand one over when the checks hold.");
    }
    for (i, set) in sets.iter().enumerate().rev() {
        let is_in_car = i + 1 == sets.len();
        let fill = if is_in_car { look.good_fill } else { look.card };
        look.card_frame().fill(fill).show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.horizontal(|ui| {
                ui.label(theme::identity(ui, words::identity(&set.identity), BODY + 1.0));
                if is_in_car {
                    ui.label(theme::bold(ui, "in the car", SMALL).color(look.good));
                }
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    ui.label(theme::note(look, words::when(&set.time, &desk.cx.now)));
                });
            });
            let names: Vec<&str> = set.modes.iter().map(|m| m.name.as_str()).collect();
            ui.label(theme::note(look, names.join(", ")));
            if !set.note.is_empty() {
                ui.label(RichText::new(&set.note).size(BODY));
            }
            if !set.folder.is_empty() {
                ui.horizontal(|ui| {
                    if link(ui, look, "copy path").clicked() {
                        desk.ask(Command::CopyText(set.folder.clone()));
                    }
                    ui.add(egui::Label::new(theme::note(look, &set.folder)).truncate()).on_hover_text(&set.folder);
                });
            }
        });
    }
}

fn form(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let set = desk.cx.in_car.map(|s| s.identity.clone()).unwrap_or_default();
    look.card_frame().show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            ui.label(theme::note(look, "set in the car"));
            let text = if set.is_empty() { "none handed over".to_owned() } else { words::identity(&set) };
            ui.label(theme::number(text, BODY));
            let modes: Vec<String> = desk.session().modes.iter().map(|m| m.name.clone()).collect();
            let events: Vec<String> = desk.session().events.iter().map(|e| e.name.clone()).collect();
            let cases = crate::strip::load_cases(desk);
            for (name, options, value) in [
                ("Mode driven", &modes, &mut view.run.mode),
                ("Event driven", &events, &mut view.run.event),
                ("Load case driven", &cases, &mut view.run.load_case),
            ] {
                let now = options.iter().position(|o| o == value).unwrap_or(0);
                if let Some(i) = choice(ui, name, 110.0, now, options) {
                    *value = options[i].clone();
                }
            }
        });
        ui.add(
            egui::TextEdit::singleline(&mut view.run.remark)
                .desired_width(f32::INFINITY)
                .hint_text("the driver's words, as in: floats over the crest at 90"),
        )
        .accessible_name("The driver's words");
        ui.horizontal_wrapped(|ui| {
            for (i, (attribute, rating)) in view.run.ratings.iter_mut().enumerate() {
                ui.add_sized([118.0, 20.0], egui::TextEdit::singleline(attribute))
                    .accessible_name(format!("Attribute {}", i + 1));
                ui.add_sized([44.0, 20.0], egui::TextEdit::singleline(rating).hint_text("1–10"))
                    .accessible_name(format!("Rating of {attribute}, 1 to 10"));
                ui.add_space(6.0);
            }
        });
        if let Some(message) = &view.run.message {
            ui.label(RichText::new(format!("✕ {message}")).size(SMALL).color(look.crossed));
        }
        ui.horizontal(|ui| {
            if forward(ui, look, "Add to the logbook", true, vec2(130.0, 26.0)).clicked() {
                match filled(&view.run, &set, &desk.cx.now) {
                    Ok(run) => {
                        desk.ask(Command::Edit(Edit::AddRun(Box::new(run))));
                        view.run = RunForm::default();
                    }
                    Err(message) => view.run.message = Some(message),
                }
            }
            if ui.button("Leave it").clicked() {
                view.run = RunForm::default();
            }
        });
    });
}

/// The run of a filled form; 5 is borderline on the scale of 1 to 10.
fn filled(form: &RunForm, set_identity: &str, now: &str) -> Result<Run, String> {
    let mut verdicts = Vec::new();
    for (attribute, text) in form.ratings.iter().filter(|r| !r.1.trim().is_empty()) {
        let cleaned = text.trim().replace(',', ".").replace('½', ".5");
        let rating: f64 =
            cleaned.parse().map_err(|_| format!("“{text}” for {attribute} is not a number from 1 to 10."))?;
        if !(1.0..=10.0).contains(&rating) {
            return Err(format!("{attribute}: {rating} is outside 1 to 10."));
        }
        verdicts.push(Verdict { attribute: attribute.trim().to_owned(), rating });
    }
    if verdicts.is_empty() && form.remark.trim().is_empty() {
        return Err("Write the driver's words or at least one rating.".to_owned());
    }
    Ok(Run {
        time: now.to_owned(),
        set_identity: set_identity.to_owned(),
        mode: form.mode.clone(),
        event: form.event.clone(),
        load_case: form.load_case.clone(),
        verdicts,
        remark: form.remark.trim().to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_becomes_a_run_or_says_why_not() {
        let mut form = RunForm {
            ratings: vec![("comfort".into(), "7½".into()), ("impacts".into(), String::new())],
            ..RunForm::default()
        };
        let run = filled(&form, "7f3a", "2026-11-25 15:00").expect("one rating is enough");
        assert_eq!(run.verdicts, [Verdict { attribute: "comfort".into(), rating: 7.5 }]);
        form.ratings[0].1 = "11".into();
        assert!(filled(&form, "", "").is_err());
        form.ratings[0].1 = String::new();
        assert!(filled(&form, "", "").is_err());
    }
}
