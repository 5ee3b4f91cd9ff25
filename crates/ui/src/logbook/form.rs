//! Writing a run down in one hand: ratings first, Enter goes on, Enter behind the words is done.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::{choice, forward, link};
use crate::words;
use egui::{Id, Key, Modifiers, RichText, Ui, vec2};
use washboard_session::{Edit, Limit, Run, TyrePressures, Verdict, limits};

/// Names of the four pressures and the three temperatures, with the fields of the document that bound them.
const PRESSURES: [(&str, &str); 4] = [
    ("front left", "front_left"),
    ("front right", "front_right"),
    ("rear left", "rear_left"),
    ("rear right", "rear_right"),
];
const TEMPERATURES: [(&str, &str); 3] =
    [("air", "air_temperature_c"), ("track", "track_temperature_c"), ("dampers", "damper_temperature_c")];

/// The form of a run in the logbook.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RunForm {
    /// True while the form is open.
    pub open: bool,
    /// Index of the run that is changed; absent: a new one.
    pub(crate) changes: Option<usize>,
    /// What the run holds besides what is typed.
    pub(crate) run: Run,
    /// Attribute and typed rating.
    pub(crate) ratings: Vec<(String, String)>,
    /// Typed pressures and temperatures.
    pub(crate) pressures: [String; 4],
    pub(crate) temperatures: [String; 3],
    /// Why it was not taken.
    pub(crate) message: Option<String>,
    /// The field that wants the keyboard next.
    pub(crate) wants_focus: Option<Id>,
}

impl RunForm {
    /// True where something was typed.
    fn is_begun(&self) -> bool {
        let numbers = self.ratings.iter().map(|r| &r.1).chain(&self.pressures).chain(&self.temperatures);
        !self.run.remark.is_empty() || numbers.into_iter().any(|text| !text.is_empty())
    }
}

fn rating_field(i: usize) -> Id {
    Id::unique(("rating", i))
}

fn words_field() -> Id {
    Id::unique("words of the driver")
}

fn first_field(ratings: &[(String, String)]) -> Id {
    if ratings.is_empty() { words_field() } else { rating_field(0) }
}

/// Opens the form of a new run, with the set in the car and the mode, event and load case on screen.
pub(crate) fn open(view: &mut View, desk: &Desk<'_>) {
    if view.run.open {
        return;
    }
    if view.run.changes.is_none() && view.run.is_begun() {
        view.run.open = true;
        view.run.wants_focus = Some(first_field(&view.run.ratings));
        return;
    }
    let ratings: Vec<_> = desk.session().verdict_attributes.iter().map(|a| (a.clone(), String::new())).collect();
    let cases = crate::strip::load_cases(desk);
    view.run = RunForm {
        open: true,
        run: Run {
            set_identity: desk.cx.in_car.map(|s| s.identity.clone()).unwrap_or_default(),
            mode: desk.mode(view.mode).map_or(String::new(), |m| m.name.clone()),
            event: desk.session().events.get(desk.cx.request.event).map_or(String::new(), |e| e.name.clone()),
            load_case: cases.get(desk.cx.request.load_case).cloned().unwrap_or_default(),
            ..Run::default()
        },
        wants_focus: Some(first_field(&ratings)),
        ratings,
        ..RunForm::default()
    };
}

/// Opens the form of a run that is there.
pub(super) fn change(view: &mut View, desk: &Desk<'_>, index: usize) {
    let Some(run) = desk.session().logbook.get(index) else { return };
    let text = |value: Option<f64>| value.map_or(String::new(), crate::field::plain);
    let given = |a: &String| run.verdicts.iter().find(|v| v.attribute == *a).map(|v| v.rating);
    let listed = &desk.session().verdict_attributes;
    // Attributes that were taken out of the list stay with the runs rated in them.
    let others = run.verdicts.iter().map(|v| &v.attribute).filter(|a| !listed.contains(a));
    let ratings: Vec<_> = listed.iter().chain(others).map(|a| (a.clone(), text(given(a)))).collect();
    view.run = RunForm {
        open: true,
        changes: Some(index),
        wants_focus: Some(first_field(&ratings)),
        ratings,
        pressures: super::sheet::pressures(run).map(text),
        temperatures: super::sheet::temperatures(run).map(text),
        run: run.clone(),
        message: None,
    };
}

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let has_question = desk.cx.question.is_some();
    let pressed = |ui: &Ui, modifiers, key| !has_question && ui.input_mut(|i| i.consume_key(modifiers, key));
    let leaves = pressed(ui, Modifiers::NONE, Key::Escape);
    let mut adds = pressed(ui, Modifiers::COMMAND, Key::Enter);
    let frame = look.card_frame().stroke(egui::Stroke::new(1.5, look.border));
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        what(ui, view, desk);
        ui.add_space(2.0);
        ratings(ui, &mut view.run);
        let edit = egui::TextEdit::singleline(&mut view.run.run.remark)
            .id(words_field())
            .desired_width(f32::INFINITY)
            .hint_text("the driver's words, as in: floats over the crest at 90");
        let response = ui.add(edit).accessible_name("The driver's words");
        adds |= response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        around(ui, view, desk);
        if let Some(message) = &view.run.message {
            ui.label(RichText::new(format!("✕ {message}")).size(SMALL + 0.5).color(look.crossed));
        }
        ui.horizontal(|ui| {
            let label = if view.run.changes.is_some() { "Change the run" } else { "Add to the logbook" };
            adds |= forward(ui, look, label, true, vec2(130.0, 26.0)).clicked();
            if leaves {
                // Put aside: what is typed is there when the form opens again.
                view.run.open = false;
            }
            if ui.button("Drop it").on_hover_text("Esc puts it aside instead").clicked() {
                view.run = RunForm::default();
            }
            ui.label(theme::note(
                look,
                "1 to 10 with halves, 5 borderline · up and down step by a half · Enter goes on · Ctrl+Enter adds at once",
            ));
        });
    });
    if adds && view.run.open {
        add(view, desk);
    }
    if let Some(field) = view.run.wants_focus.take() {
        ui.memory_mut(|m| m.request_focus(field));
    }
}

/// Adds or changes the run, or says why not.
fn add(view: &mut View, desk: &mut Desk<'_>) {
    match filled(&view.run, &desk.cx.now) {
        Ok(run) => {
            let with = Box::new(run);
            view.logbook.chosen = match view.run.changes {
                Some(run) => {
                    desk.ask(Command::Edit(Edit::ReplaceRun { run, with }));
                    Some(run)
                }
                None => {
                    desk.ask(Command::Edit(Edit::AddRun(with)));
                    Some(desk.session().logbook.len())
                }
            };
            view.run = RunForm::default();
        }
        Err(message) => view.run.message = Some(message),
    }
}

/// Set, mode, event and load case driven.
fn what(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    let look = desk.look;
    let run = &mut view.run.run;
    ui.horizontal(|ui| {
        // A set that went out more than once is one set; newest first.
        let session = desk.session();
        let sets = session.handed_over.iter().enumerate().rev();
        let mut identities: Vec<String> = sets
            .filter(|(i, set)| session.set_of(&set.identity) == Some(*i))
            .map(|(_, set)| set.identity.clone())
            .chain([String::new()])
            .collect();
        if !identities.contains(&run.set_identity) {
            identities.push(run.set_identity.clone());
        }
        let in_car = desk.cx.in_car.map(|s| s.identity.as_str());
        let named: Vec<String> = identities
            .iter()
            .map(|identity| match identity.as_str() {
                "" => "no set".to_owned(),
                id if Some(id) == in_car => format!("{} in the car", words::identity(id)),
                id => words::identity(id),
            })
            .collect();
        ui.label(theme::note(look, "set"));
        let now = identities.iter().position(|i| *i == run.set_identity).unwrap_or(0);
        if let Some(i) = choice(ui, "Set driven", 140.0, now, &named) {
            run.set_identity.clone_from(&identities[i]);
        }
        let modes: Vec<String> = session.modes.iter().map(|m| m.name.clone()).collect();
        let events: Vec<String> = session.events.iter().map(|e| e.name.clone()).collect();
        let cases = crate::strip::load_cases(desk);
        for (name, mut options, value) in [
            ("Mode driven", modes, &mut run.mode),
            ("Event driven", events, &mut run.event),
            ("Load case driven", cases, &mut run.load_case),
        ] {
            // What was driven may have another name today.
            if !options.contains(value) {
                options.push(value.clone());
            }
            let now = options.iter().position(|o| o == value).unwrap_or(0);
            if let Some(i) = choice(ui, name, 112.0, now, &options) {
                value.clone_from(&options[i]);
            }
        }
    });
}

/// The ratings; Enter goes on to the next field.
fn ratings(ui: &mut Ui, form: &mut RunForm) {
    let count = form.ratings.len();
    let mut next = None;
    ui.horizontal_wrapped(|ui| {
        for (i, (attribute, rating)) in form.ratings.iter_mut().enumerate() {
            let id = rating_field(i);
            if ui.memory(|m| m.has_focus(id)) {
                for (key, step) in [(Key::ArrowUp, 0.5), (Key::ArrowDown, -0.5)] {
                    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, key)) {
                        // From the borderline, where nothing is typed yet.
                        let from = read_rating(attribute, rating).ok();
                        let value = from.map_or(5.0, |v| (v + step).clamp(1.0, 10.0));
                        *rating = crate::field::plain(value);
                    }
                }
            }
            ui.label(RichText::new(attribute.as_str()).size(BODY - 0.5));
            let edit = egui::TextEdit::singleline(rating).id(id).hint_text("1–10");
            let response = ui.add_sized([46.0, 20.0], edit);
            let response = response.accessible_name(format!("Rating of {attribute}, 1 to 10"));
            if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
                next = Some(if i + 1 < count { rating_field(i + 1) } else { words_field() });
            }
            ui.add_space(8.0);
        }
    });
    if next.is_some() {
        form.wants_focus = next;
    }
}

/// Width that pressures and temperatures need beside each other.
const ONE_LINE: f32 = 880.0;

/// Pressures and temperatures, which often stay as they were; below each other where the line is short.
fn around(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    let form = &mut view.run;
    if ui.available_width() >= ONE_LINE {
        ui.horizontal(|ui| {
            pressures(ui, form, desk);
            ui.add_space(8.0);
            temperatures(ui, form, desk);
        });
    } else {
        ui.horizontal(|ui| pressures(ui, form, desk));
        ui.horizontal(|ui| temperatures(ui, form, desk));
    }
}

fn pressures(ui: &mut Ui, form: &mut RunForm, desk: &Desk<'_>) {
    ui.label(theme::note(desk.look, "tyres, bar"));
    for ((name, _), text) in PRESSURES.iter().zip(&mut form.pressures) {
        ui.label(theme::note(desk.look, *name));
        let edit = egui::TextEdit::singleline(text).hint_text("–");
        ui.add_sized([44.0, 20.0], edit).accessible_name(format!("Tyre pressure {name}, bar"));
    }
}

fn temperatures(ui: &mut Ui, form: &mut RunForm, desk: &Desk<'_>) {
    let look = desk.look;
    ui.label(theme::note(look, "temperatures, °C"));
    for ((name, _), text) in TEMPERATURES.iter().zip(&mut form.temperatures) {
        ui.label(theme::note(look, *name));
        let edit = egui::TextEdit::singleline(text).hint_text("–");
        ui.add_sized([44.0, 20.0], edit).accessible_name(format!("Temperature {name}, °C"));
    }
    if let Some(last) = desk.session().logbook.last().filter(|_| form.changes.is_none()) {
        let tip = "Pressures and temperatures of the run before";
        if link(ui, look, "as the run before").on_hover_text(tip).clicked() {
            let text = |value: Option<f64>| value.map_or(String::new(), crate::field::plain);
            form.pressures = super::sheet::pressures(last).map(text);
            form.temperatures = super::sheet::temperatures(last).map(text);
        }
    }
}

/// A number as typed by one hand: comma or point, a half as ½.
fn number(text: &str) -> Option<f64> {
    let cleaned = text.trim().replace(',', ".").replace('½', ".5").replace('−', "-");
    cleaned.parse().ok()
}

fn read_rating(attribute: &str, text: &str) -> Result<f64, String> {
    let rating = number(text).ok_or_else(|| format!("“{text}” for {attribute} is not a number from 1 to 10."))?;
    if !(1.0..=10.0).contains(&rating) {
        Err(format!("{attribute}: {rating} is outside 1 to 10."))
    } else if (rating * 2.0).fract() != 0.0 {
        Err(format!("{attribute}: {rating} is no whole or half number, as in 6 or 6.5."))
    } else {
        Ok(rating)
    }
}

fn read_measured(owner: &str, field: &str, text: &str) -> Result<Option<f64>, String> {
    let limit: Option<&Limit> = limits::find(owner, field);
    let label = limit.map_or(field, |l| l.label);
    if text.trim().is_empty() {
        return Ok(None);
    }
    let value = number(text).ok_or_else(|| format!("“{text}” for {label} is not a number."))?;
    match limit.filter(|l| !l.allows(value)) {
        Some(limit) => Err(format!("{label}: {value} is not allowed; it must be {}.", crate::field::range(limit))),
        None => Ok(Some(value)),
    }
}

/// The run of a filled form; 5 is borderline on the scale of 1 to 10 (SAE J1441).
fn filled(form: &RunForm, now: &str) -> Result<Run, String> {
    let mut verdicts = Vec::new();
    for (attribute, text) in form.ratings.iter().filter(|r| !r.1.trim().is_empty()) {
        verdicts.push(Verdict { attribute: attribute.clone(), rating: read_rating(attribute, text)? });
    }
    let remark = form.run.remark.trim().to_owned();
    if verdicts.is_empty() && remark.is_empty() {
        return Err("Write the driver's words or at least one rating.".to_owned());
    }
    let pressure = |i: usize| read_measured("TyrePressures", PRESSURES[i].1, &form.pressures[i]);
    let temperature = |i: usize| read_measured("Run", TEMPERATURES[i].1, &form.temperatures[i]);
    Ok(Run {
        time: if form.changes.is_some() { form.run.time.clone() } else { now.to_owned() },
        tyre_pressures_bar: TyrePressures {
            front_left: pressure(0)?,
            front_right: pressure(1)?,
            rear_left: pressure(2)?,
            rear_right: pressure(3)?,
        },
        air_temperature_c: temperature(0)?,
        track_temperature_c: temperature(1)?,
        damper_temperature_c: temperature(2)?,
        verdicts,
        remark,
        ..form.run.clone()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(rating: &str) -> RunForm {
        RunForm {
            ratings: vec![("comfort".into(), rating.into()), ("impacts".into(), String::new())],
            ..RunForm::default()
        }
    }

    #[test]
    fn a_form_becomes_a_run_or_says_why_not() {
        for (text, rating) in [("7½", 7.5), ("7,5", 7.5), (" 10 ", 10.0), ("1", 1.0)] {
            let run = filled(&form(text), "2026-11-25 15:00").expect("one rating is enough");
            assert_eq!(run.verdicts, [Verdict { attribute: "comfort".into(), rating }]);
            assert_eq!(run.time, "2026-11-25 15:00");
        }
        for (text, says) in [("11", "outside 1 to 10"), ("0.5", "outside"), ("6.3", "half"), ("good", "not a number")] {
            let sentence = filled(&form(text), "").expect_err("no rating on the scale");
            assert!(sentence.contains(says) && sentence.contains("comfort"), "{sentence}");
        }
        assert!(filled(&form(""), "").is_err(), "neither words nor a rating");
    }

    #[test]
    fn pressures_and_temperatures_keep_to_their_limits() {
        let mut form = form("6");
        form.pressures = ["2,4", "2.45", "", "2.2"].map(str::to_owned);
        form.temperatures[2] = "61.5".into();
        let run = filled(&form, "").expect("all inside their limits");
        let tyres = run.tyre_pressures_bar;
        assert_eq!((tyres.front_left, tyres.rear_left, tyres.rear_right), (Some(2.4), None, Some(2.2)));
        assert_eq!((run.air_temperature_c, run.damper_temperature_c), (None, Some(61.5)));
        form.pressures[0] = "240".into();
        let sentence = filled(&form, "").expect_err("kilopascal");
        assert!(sentence.contains("tyre pressure front left: 240") && sentence.contains("0.1 to 15 bar"), "{sentence}");
    }
}
