//! Roads: the events, what they are, and how much they count.

mod picture;

use crate::command::{Command, RequestChange};
use crate::desk::Desk;
use crate::field;
use crate::theme::{self, BODY};
use crate::view::View;
use crate::widgets::{choice, link, section};
use crate::words;
use egui::{Rect, RichText, Ui, pos2, vec2};
use washboard_session::{Edit, Event, EventKind, Number, RoadClass, Side, Spacing, numbers};

/// What a kind of event is called on screen.
pub(crate) fn kind_name(kind: &EventKind) -> &'static str {
    match kind {
        EventKind::RandomRoad { .. } => "random road",
        EventKind::CosineBump { .. } => "cosine bump",
        EventKind::Pothole { .. } => "pothole",
        EventKind::Sweep { .. } => "sweep",
        EventKind::Harmonic { .. } => "one sine",
        EventKind::Profile { .. } => "measured profile",
        EventKind::LateralStep { .. } => "lateral step",
        EventKind::LaneChange { .. } => "lane change",
        EventKind::Braking { .. } => "braking",
        EventKind::Drive { .. } => "drive-off",
    }
}

/// What it is in a few words, with its main numbers.
fn summary(kind: &EventKind) -> String {
    match kind {
        EventKind::RandomRoad { class, seed, .. } => format!("class {class:?}, seed {seed}"),
        EventKind::CosineBump { height_m, length_m, .. } => {
            format!("{} mm over {} m", words::fixed(height_m * 1e3, 0), words::breakpoint(*length_m))
        }
        EventKind::Pothole { depth_m, length_m, .. } => {
            format!("{} mm deep, {} m", words::fixed(depth_m * 1e3, 0), words::breakpoint(*length_m))
        }
        EventKind::Sweep { from_hz, to_hz, .. } => {
            format!("{} to {} Hz", words::breakpoint(*from_hz), words::breakpoint(*to_hz))
        }
        EventKind::Harmonic { frequency_hz, amplitude_m } => {
            format!("{} Hz, {} mm", words::breakpoint(*frequency_hz), words::fixed(amplitude_m * 1e3, 1))
        }
        EventKind::Profile { file } => file.clone(),
        EventKind::LateralStep { acceleration_m_per_s2, .. } => {
            format!("{} m/s²", words::breakpoint(*acceleration_m_per_s2))
        }
        EventKind::LaneChange { acceleration_m_per_s2, period_s, .. } => {
            format!("{} m/s², {} s", words::breakpoint(*acceleration_m_per_s2), words::breakpoint(*period_s))
        }
        EventKind::Braking { deceleration_m_per_s2, .. } => {
            format!("{} m/s²", words::breakpoint(*deceleration_m_per_s2))
        }
        EventKind::Drive { acceleration_m_per_s2, .. } => format!("{} m/s²", words::breakpoint(*acceleration_m_per_s2)),
    }
}

/// Events to begin with.
fn templates() -> Vec<(&'static str, f64, f64, EventKind)> {
    let (lead_m, side) = (10.0, Side::Both);
    let road = EventKind::RandomRoad {
        class: RoadClass::C,
        seed: 1,
        from_cycles_per_m: 0.011,
        to_cycles_per_m: 2.83,
        ramp_m: 10.0,
    };
    vec![
        ("random road", 80.0, 20.0, road),
        ("cosine bump", 30.0, 4.0, EventKind::CosineBump { height_m: 0.05, length_m: 0.8, lead_m, side }),
        ("pothole", 40.0, 4.0, EventKind::Pothole { depth_m: 0.05, length_m: 0.8, edge_m: 0.1, lead_m, side }),
        (
            "sweep",
            80.0,
            20.0,
            EventKind::Sweep {
                from_hz: 0.5,
                to_hz: 20.0,
                velocity_amplitude_m_per_s: 0.1,
                spacing: Spacing::Logarithmic,
            },
        ),
        ("one sine", 80.0, 10.0, EventKind::Harmonic { frequency_hz: 1.3, amplitude_m: 0.01 }),
        ("measured profile", 80.0, 20.0, EventKind::Profile { file: "profile.csv".into() }),
        ("lateral step", 80.0, 5.0, EventKind::LateralStep { acceleration_m_per_s2: 4.0, rise_s: 0.3, start_s: 0.5 }),
        ("lane change", 80.0, 6.0, EventKind::LaneChange { acceleration_m_per_s2: 4.0, period_s: 2.0, start_s: 0.5 }),
        (
            "braking",
            80.0,
            5.0,
            EventKind::Braking { deceleration_m_per_s2: 5.0, rise_s: 0.3, start_s: 0.5, hold_s: None },
        ),
        (
            "drive-off",
            20.0,
            5.0,
            EventKind::Drive { acceleration_m_per_s2: 3.0, rise_s: 0.3, start_s: 0.5, hold_s: None },
        ),
    ]
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    let split = area.left() + (area.width() * 0.58).clamp(560.0, 900.0);
    let left = Rect::from_min_max(area.min, pos2(split, area.bottom()));
    let right = Rect::from_min_max(pos2(split + 16.0, area.top()), area.max);
    view.event = view.event.min(desk.session().events.len().saturating_sub(1));
    let mut list_part = ui.new_child(egui::UiBuilder::new().max_rect(left).id_salt("events"));
    list_part.shrink_clip_rect(left.expand(2.0));
    list(&mut list_part, view, desk);
    let mut one_part = ui.new_child(egui::UiBuilder::new().max_rect(right).id_salt("event"));
    one_part.shrink_clip_rect(right.expand(2.0));
    one(&mut one_part, view, desk, right);
}

fn list(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let events = &desk.session().events;
    ui.horizontal(|ui| {
        section(ui, look, "events", "what the car is driven over or made to do");
        ui.menu_button("Add an event …", |ui| {
            for (name, speed_km_h, duration_s, kind) in templates() {
                if ui.button(name).clicked() {
                    let event =
                        Event { name: free(events, name), speed_km_h, duration_s, settle_s: 0.0, weight: 1.0, kind };
                    desk.ask(Command::Edit(Edit::AddEvent { at: events.len(), event: Box::new(event) }));
                    view.event = events.len();
                    ui.close();
                }
            }
        });
    });
    ui.add_space(4.0);
    if events.is_empty() {
        ui.label("No events yet: add a road or a manoeuvre, and every mode is driven over it at once.");
        return;
    }
    let all = numbers(desk.session());
    egui::ScrollArea::both().id_salt("event list").auto_shrink(false).show(ui, |ui| {
        const WIDTHS: [f32; 7] = [60.0, 130.0, 156.0, 66.0, 66.0, 66.0, 90.0];
        ui.horizontal(|ui| {
            for (head, width) in
                ["", "name", "kind", "speed, km/h", "duration, s", "weight", ""].into_iter().zip(WIDTHS)
            {
                cell(ui, width, 16.0, |ui| ui.label(theme::note(look, head)));
            }
        });
        for (i, event) in events.iter().enumerate() {
            ui.horizontal(|ui| {
                let (rect, response) = ui.allocate_exact_size(vec2(WIDTHS[0], 30.0), egui::Sense::click());
                picture::small(ui, look, rect, event, view.event == i);
                response.widget_info(|| {
                    egui::WidgetInfo::selected(
                        egui::Role::Button,
                        true,
                        view.event == i,
                        format!("show {}", event.name),
                    )
                });
                let text = if view.event == i {
                    theme::bold(ui, &event.name, BODY)
                } else {
                    RichText::new(&event.name).size(BODY)
                };
                let label = egui::Label::new(text).truncate().sense(egui::Sense::click());
                if cell(ui, WIDTHS[1], 30.0, |ui| ui.add(label)).clicked() || response.clicked() {
                    view.event = i;
                }
                cell(ui, WIDTHS[2], 30.0, |ui| {
                    ui.vertical(|ui| {
                        ui.spacing_mut().item_spacing.y = 0.0;
                        ui.label(RichText::new(kind_name(&event.kind)).size(BODY - 0.5));
                        ui.add(egui::Label::new(theme::note(look, summary(&event.kind))).truncate());
                    })
                });
                for (part, width) in LISTED.into_iter().zip(&WIDTHS[3..]) {
                    let path = format!("events[{i}].{part}");
                    if let Some(number) = all.iter().find(|n| n.path == path) {
                        let name = format!("{} {}", event.name, number.limit.label);
                        cell(ui, *width, 30.0, |ui| field::number(ui, view, desk, number, &name, width - 6.0));
                    }
                }
                row_links(ui, view, desk, i, event);
            });
            for part in LISTED {
                field::sentence(ui, view, look, &format!("events[{i}].{part}"));
            }
        }
    });
}

/// Numbers that stand in the list; the chosen event shows the others.
const LISTED: [&str; 3] = ["speed_km_h", "duration_s", "weight"];

/// A column of a fixed width in a row.
fn cell<R>(ui: &mut Ui, width: f32, height: f32, add: impl FnOnce(&mut Ui) -> R) -> R {
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(vec2(width, height), layout, |ui| {
        ui.set_min_size(vec2(width, height));
        ui.set_max_width(width);
        add(ui)
    })
    .inner
}

/// A name that no event has yet.
fn free(events: &[Event], wanted: &str) -> String {
    let is_taken = |name: &str| events.iter().any(|e| e.name == name);
    if !is_taken(wanted) {
        return wanted.to_owned();
    }
    (2..).map(|n| format!("{wanted} {n}")).find(|n| !is_taken(n)).unwrap_or_default()
}

fn row_links(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, i: usize, event: &Event) {
    let look = desk.look;
    let events = &desk.session().events;
    if link(ui, look, "copy").accessible_name(format!("duplicate {}", event.name)).clicked() {
        let copy = Event { name: free(events, &event.name), ..event.clone() };
        desk.ask(Command::Edit(Edit::AddEvent { at: i + 1, event: Box::new(copy) }));
        view.event = i + 1;
    }
    if link(ui, look, "delete").accessible_name(format!("delete {}", event.name)).clicked() {
        desk.ask(Command::Edit(Edit::DeleteEvent { event: i }));
    }
}

/// One event large: picture, name, every number.
fn one(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let index = view.event;
    let Some(event) = desk.session().events.get(index) else {
        return;
    };
    ui.horizontal(|ui| {
        let name = event.name.clone();
        field::text(ui, desk, &format!("event {index}"), "Name of the event", &name, 170.0, |name| {
            Edit::ReplaceEvent { event: index, with: Box::new(Event { name, ..event.clone() }) }
        });
        ui.label(RichText::new(kind_name(&event.kind)).size(BODY));
        if desk.cx.request.event == index {
            ui.label(theme::note(look, "shown in Tune"));
        } else if link(ui, look, "show it in Tune").clicked() {
            desk.request(RequestChange::SetEvent(index));
        }
    });
    let picture = Rect::from_min_size(ui.cursor().min, vec2(rect.width(), (rect.height() * 0.42).min(300.0)));
    picture::large(ui, look, picture, event);
    ui.advance_cursor_after_rect(picture);
    ui.add_space(6.0);
    egui::ScrollArea::vertical().id_salt("event numbers").auto_shrink(false).show(ui, |ui| {
        let all = numbers(desk.session());
        let (own, of_kind) = (format!("events[{index}]."), format!("events[{index}].kind."));
        let list: Vec<&Number> = all
            .iter()
            .filter(|n| {
                n.path.starts_with(&of_kind)
                    || n.path.strip_prefix(&own).is_some_and(|rest| !LISTED.contains(&rest) && !rest.contains('.'))
            })
            .collect();
        egui::Grid::new("event numbers").num_columns(4).spacing([8.0, 2.0]).show(ui, |ui| {
            choices(ui, desk, index, event);
            for number in &list {
                field::label(ui, number.limit.label, 190.0);
                field::number(ui, view, desk, number, &format!("{} {}", event.name, number.limit.label), 70.0);
                ui.label(RichText::new(words::unit(number.limit.unit)).size(BODY - 0.5));
                ui.label(theme::note(look, field::range(number.limit)));
                ui.end_row();
            }
        });
        for number in &list {
            field::sentence(ui, view, look, &number.path);
        }
    });
}

/// What of an event is not a number: class, seed, side, spacing, file.
fn choices(ui: &mut Ui, desk: &mut Desk<'_>, index: usize, event: &Event) {
    const CLASSES: [RoadClass; 8] = [
        RoadClass::A,
        RoadClass::B,
        RoadClass::C,
        RoadClass::D,
        RoadClass::E,
        RoadClass::F,
        RoadClass::G,
        RoadClass::H,
    ];
    let mut kind = event.kind.clone();
    let mut has_changed = false;
    match &mut kind {
        EventKind::RandomRoad { class, seed, .. } => {
            ui.label("class (ISO 8608)");
            let names: Vec<String> = CLASSES.iter().map(|c| format!("{c:?}")).collect();
            let now = CLASSES.iter().position(|c| c == class).unwrap_or(0);
            if let Some(i) = choice(ui, "Road class", 60.0, now, &names) {
                *class = CLASSES[i];
                has_changed = true;
            }
            ui.end_row();
            ui.label("seed").on_hover_text("The same seed is the same road.");
            let response = ui.add(egui::DragValue::new(seed).speed(0.05)).accessible_name("Seed of the road");
            has_changed |= response.changed();
            ui.end_row();
        }
        EventKind::CosineBump { side, .. } | EventKind::Pothole { side, .. } => {
            ui.label("wheels that meet it");
            let sides = [Side::Both, Side::Left, Side::Right];
            let now = sides.iter().position(|s| s == side).unwrap_or(0);
            if let Some(i) = choice(ui, "Side", 80.0, now, &["both", "left", "right"].map(str::to_owned)) {
                *side = sides[i];
                has_changed = true;
            }
            ui.end_row();
        }
        EventKind::Sweep { spacing, .. } => {
            ui.label("equal time");
            let spacings = [Spacing::Logarithmic, Spacing::Linear];
            let now = spacings.iter().position(|s| s == spacing).unwrap_or(0);
            if let Some(i) = choice(ui, "Spacing", 90.0, now, &["an octave", "a hertz"].map(str::to_owned)) {
                *spacing = spacings[i];
                has_changed = true;
            }
            ui.end_row();
        }
        EventKind::Profile { file } => {
            ui.label("file");
            let now = file.clone();
            field::text(ui, desk, &format!("profile {index}"), "Profile file", &now, 220.0, |file| {
                Edit::ReplaceEvent {
                    event: index,
                    with: Box::new(Event { kind: EventKind::Profile { file }, ..event.clone() }),
                }
            });
            ui.end_row();
        }
        _ => {}
    }
    if has_changed {
        desk.ask(Command::Edit(Edit::ReplaceEvent { event: index, with: Box::new(Event { kind, ..event.clone() }) }));
    }
}
