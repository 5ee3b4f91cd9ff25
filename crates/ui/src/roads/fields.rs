//! Everything of the chosen event that can be changed: choices first, then numbers with unit and range.

use super::list::LISTED;
use crate::command::Command;
use crate::desk::Desk;
use crate::field;
use crate::theme::BODY;
use crate::view::View;
use crate::widgets::{choice, link, section};
use crate::words;
use egui::{RichText, Ui};
use washboard_session::{ConeCourse, Edit, Event, EventKind, Number, RoadClass, Side, Spacing, SpeedChange, numbers};

const LABEL: f32 = 188.0;
const CLASSES: [RoadClass; 8] =
    [RoadClass::A, RoadClass::B, RoadClass::C, RoadClass::D, RoadClass::E, RoadClass::F, RoadClass::G, RoadClass::H];

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let index = view.event;
    let Some(event) = desk.session().events.get(index) else { return };
    section(ui, look, "numbers", "");
    let all = numbers(desk.session());
    let own = format!("events[{index}].");
    let is_listed = |rest: &str| LISTED.contains(&rest);
    let list: Vec<&Number> =
        all.iter().filter(|n| n.path.strip_prefix(&own).is_some_and(|rest| !is_listed(rest))).collect();
    let of = |part: &str| list.iter().filter(|n| n.path[own.len()..].starts_with(part)).copied().collect::<Vec<_>>();
    let plain: Vec<&Number> = list.iter().filter(|n| !n.path[own.len()..].contains('.')).copied().collect();
    choices(ui, desk, index, event);
    table(ui, view, desk, event, &of("kind."));
    table(ui, view, desk, event, &plain);
    if event.kind.is_road() {
        speed_change(ui, desk, index, event);
        table(ui, view, desk, event, &of("speed_change."));
    }
    if event.kind.is_steered() {
        let handling: Vec<&Number> = all.iter().filter(|n| n.path.starts_with("vehicle.handling.")).collect();
        section(ui, look, "the car's handling", "for all steered events; one g is 9.81 m/s²");
        table(ui, view, desk, event, &handling);
    }
    if event.kind.is_road() {
        let contact: Vec<&Number> = all.iter().filter(|n| n.path.ends_with(".contact_length_m")).collect();
        section(ui, look, "the tyres' contact", "for all roads; 0 follows a point");
        table(ui, view, desk, event, &contact);
    }
}

fn table(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, event: &Event, list: &[&Number]) {
    let look = desk.look;
    for number in list {
        ui.horizontal(|ui| {
            let label = match number.path.as_str() {
                "vehicle.front.contact_length_m" => "front contact length",
                "vehicle.rear.contact_length_m" => "rear contact length",
                _ => number.limit.label,
            };
            field::label(ui, label, LABEL);
            field::number(ui, view, desk, number, &format!("{} {label}", event.name), 64.0);
            let unit = ui.label(RichText::new(words::unit(number.limit.unit)).size(BODY - 0.5));
            unit.on_hover_text(field::range(number.limit));
        });
        field::sentence(ui, view, look, &number.path);
    }
}

fn replace(desk: &mut Desk<'_>, index: usize, with: Event) {
    desk.ask(Command::Edit(Edit::ReplaceEvent { event: index, with: Box::new(with) }));
}

fn speed_change(ui: &mut Ui, desk: &mut Desk<'_>, index: usize, event: &Event) {
    let mut changes = event.speed_change.is_some();
    let box_ = ui.checkbox(&mut changes, "Speed changes on the way");
    if box_.changed() {
        let to_km_h = if event.speed_km_h > 40.0 { event.speed_km_h / 2.0 } else { event.speed_km_h * 1.5 };
        // A gentle 2 m/s² with soft ends, inside the run.
        let over_s = ((event.speed_km_h - to_km_h).abs() / 3.6 / 2.0 + 0.3).clamp(0.7, event.duration_s.max(0.7));
        let change = SpeedChange { to_km_h, start_s: 0.0, over_s: (over_s * 10.0).round() / 10.0, rise_s: 0.3 };
        replace(desk, index, Event { speed_change: changes.then_some(change), ..event.clone() });
    }
}

/// One of several words; sends the kind as it becomes.
fn pick<T: Copy + PartialEq>(ui: &mut Ui, name: &str, label: &str, now: T, options: &[(T, &str)]) -> Option<T> {
    let mut picked = None;
    ui.horizontal(|ui| {
        field::label(ui, label, LABEL);
        let names: Vec<String> = options.iter().map(|o| o.1.to_owned()).collect();
        let at = options.iter().position(|o| o.0 == now).unwrap_or(0);
        picked = choice(ui, name, 110.0, at, &names).map(|i| options[i].0);
    });
    picked
}

/// What of an event is not a number: class, seed, side, spacing, cones, file.
fn choices(ui: &mut Ui, desk: &mut Desk<'_>, index: usize, event: &Event) {
    let mut kind = event.kind.clone();
    let mut has_changed = false;
    match &mut kind {
        EventKind::RandomRoad { class, seed: drawn, .. } => {
            let letters = ["A", "B", "C", "D", "E", "F", "G", "H"];
            let options: Vec<(RoadClass, &str)> = CLASSES.into_iter().zip(letters).collect();
            if let Some(picked) = pick(ui, "Road class", "class (ISO 8608)", *class, &options) {
                *class = picked;
                has_changed = true;
            }
            has_changed |= seed(ui, desk, drawn);
        }
        EventKind::PatchedRoad { seed: drawn, .. } => has_changed |= seed(ui, desk, drawn),
        EventKind::CosineBump { side, .. }
        | EventKind::CircularHump { side, .. }
        | EventKind::ExpansionJoints { side, .. }
        | EventKind::Pothole { side, .. } => {
            let options = [(Side::Both, "both"), (Side::Left, "left"), (Side::Right, "right")];
            if let Some(picked) = pick(ui, "Side", "wheels that meet it", *side, &options) {
                *side = picked;
                has_changed = true;
            }
        }
        EventKind::Sweep { spacing, .. } => {
            let options = [(Spacing::Logarithmic, "an octave"), (Spacing::Linear, "a hertz")];
            if let Some(picked) = pick(ui, "Spacing", "equal time", *spacing, &options) {
                *spacing = picked;
                has_changed = true;
            }
        }
        EventKind::ConeLaneChange { course, .. } => {
            let options = [(ConeCourse::DoubleLaneChange, "ISO 3888-1"), (ConeCourse::ObstacleAvoidance, "ISO 3888-2")];
            if let Some(picked) = pick(ui, "Cones", "cones", *course, &options) {
                *course = picked;
                has_changed = true;
            }
        }
        EventKind::Profile { file } => {
            ui.horizontal(|ui| {
                field::label(ui, "file", 40.0);
                let now = file.clone();
                field::text(ui, desk, &format!("profile {index}"), "Profile file", &now, 170.0, |file| {
                    let with = Event { kind: EventKind::Profile { file }, ..event.clone() };
                    Edit::ReplaceEvent { event: index, with: Box::new(with) }
                });
                if ui
                    .button("Choose …")
                    .on_hover_text("CSV: distance_m,elevation_m or distance_m,left_m,right_m")
                    .clicked()
                {
                    desk.ask(Command::ChooseProfile { event: Some(index) });
                }
            });
        }
        _ => {}
    }
    if has_changed {
        replace(desk, index, Event { kind, ..event.clone() });
    }
}

/// The seed of a road that is drawn; another one is another road of the same kind.
fn seed(ui: &mut Ui, desk: &Desk<'_>, seed: &mut u64) -> bool {
    let before = *seed;
    ui.horizontal(|ui| {
        field::label(ui, "seed", LABEL);
        let id = egui::Id::unique("seed of the road");
        let mut text = ui.data(|d| d.get_temp::<String>(id)).unwrap_or_else(|| seed.to_string());
        let edit = egui::TextEdit::singleline(&mut text).id(id).desired_width(f32::INFINITY);
        let response = ui.add_sized([64.0, 19.0], edit).accessible_name("Seed of the road");
        let response = response.on_hover_text("The same seed is the same road.");
        if response.has_focus() {
            ui.data_mut(|d| d.insert_temp(id, text.clone()));
        }
        if response.lost_focus() {
            ui.data_mut(|d| d.remove_temp::<String>(id));
            if let Ok(typed) = text.trim().parse() {
                *seed = typed;
            }
        }
        if link(ui, desk.look, "another").on_hover_text("Another road of the same kind").clicked() {
            *seed = seed.wrapping_add(1);
        }
    });
    *seed != before
}
