//! The first sitting: a car from nothing, asked for in the order an engineer has its numbers.
//!
//! Every value is there from the start as a proposal and every answer is an edit of the session, so that undo takes back
//! any of them and the results on the right are those of the car as it stands.

use super::{dampers, remarks};
use crate::command::Command;
use crate::desk::Desk;
use crate::field::{self, Field, label};
use crate::theme::{self, BODY, SMALL, TITLE};
use crate::view::{Place, View};
use crate::widgets::{choice, forward, link, toggle};
use crate::words;
use egui::{RichText, Ui, vec2};
use washboard_session::edit::End;
use washboard_session::proposal::{self, is_proposed, load_mark};
use washboard_session::{Edit, Number, axle_load_kg, limits, numbers};

const STEPS: [&str; 8] = ["name", "mass", "size", "springs", "dampers", "modes", "events", "save"];
const WHY: [&str; 8] = [
    "What the car is called on screen, in reports and on its file.",
    "The car as it stands on the scales, without driver and load; load cases come on top of it.",
    "Distances between the wheels and heights above the ground.",
    "Rates at the wheel. Springs, stops and dampers that are still proposed follow the loads.",
    "From the bench, typed, or the proposal that fits the springs.",
    "Three steps to begin with; the maps are for Tune.",
    "What the car is driven over from the first minute; Roads has all the rest.",
    "What is still proposed, and where the session goes.",
];
const FIELD: f32 = 84.0;

/// The panel in the place of the data sheet.
pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, step: usize) {
    let look = desk.look;
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, "new car", TITLE));
        ui.label(theme::note(look, proposals_left(desk)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if link(ui, look, "data sheet")
                .on_hover_text("All numbers at once; the proposals keep their marks")
                .clicked()
            {
                view.sitting = None;
            }
        });
    });
    ui.horizontal(|ui| {
        if let Some(i) = toggle(ui, look, "step", step, &STEPS) {
            go_to(view, i);
        }
    });
    ui.add_space(4.0);
    ui.label(RichText::new(WHY[step]).size(BODY));
    ui.label(theme::note(look, "Enter takes a value and goes on. Tab goes on and leaves a proposal as a proposal."));
    ui.add_space(8.0);
    let bottom = 44.0;
    let room = ui.available_height() - bottom;
    egui::ScrollArea::vertical().id_salt(("sitting", step)).max_height(room).auto_shrink(false).show(ui, |ui| {
        let all = numbers(desk.session());
        match step {
            0 => name(ui, view, desk),
            1 => mass(ui, view, desk, &all),
            2 => size(ui, view, desk, &all),
            3 => springs(ui, view, desk, &all),
            4 => fitted(ui, view, desk, &all),
            5 => modes(ui, view, desk),
            6 => events(ui, view, desk, &all),
            _ => save(ui, view, desk),
        }
    });
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        if step + 1 < STEPS.len() {
            let text = format!("Next: {}", STEPS[step + 1]);
            let next = forward(ui, look, &text, true, vec2(140.0, 28.0));
            if view.go_on.is_wanted() {
                view.go_on.goes_to(next.id);
            }
            if next.clicked() {
                go_to(view, step + 1);
            }
        }
        if step > 0 && ui.add(egui::Button::new("Back").min_size(vec2(80.0, 28.0))).clicked() {
            go_to(view, step - 1);
        }
    });
}

fn go_to(view: &mut View, step: usize) {
    view.sitting = Some(step);
    // The first field of the next step takes the keyboard.
    view.go_on.want();
}

fn proposals_left(desk: &Desk<'_>) -> String {
    match desk.session().proposed.len() {
        0 => "nothing is only proposed any more".to_owned(),
        n => format!("{} still proposed", words::count(n, "value is", "values are")),
    }
}

/// Says whether a value is a proposal or the engineer's own.
fn state(ui: &mut Ui, desk: &mut Desk<'_>, marks: &[&str]) {
    let look = desk.look;
    let proposed: Vec<String> =
        marks.iter().filter(|m| is_proposed(desk.session(), m)).map(|m| (*m).to_owned()).collect();
    if proposed.is_empty() {
        ui.label(RichText::new("✓ yours").size(SMALL).color(look.good));
        return;
    }
    let text = if proposed.len() < marks.len() { "◌ partly proposed" } else { "◌ proposed" };
    let response = link(ui, look, text).on_hover_text("Nobody has touched it. Click to take it as it is.");
    if response.clicked() {
        desk.ask(Command::Edit(Edit::AcceptProposed(proposed)));
    }
}

/// A field of one number by its path; in front and rear pairs the label stands once.
fn one(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number], path: &str, lead: &str) {
    let Some(number) = all.iter().find(|n| n.path == path) else {
        return;
    };
    // Scales stay as they are while a wheel or the wheelbase is measured.
    let moves_loads = path == "vehicle.wheelbase_m" || path.ends_with("wheel_mass_kg");
    let unit = words::unit(number.limit.unit);
    let comma = if unit.is_empty() { "" } else { ", " };
    let what = Field {
        key: path,
        name: format!("{lead}{}{comma}{unit}", number.limit.label),
        value: number.value,
        limit: number.limit,
        width: FIELD,
    };
    let set = |value: f64| Edit::SetNumber { path: path.to_owned(), value };
    let vehicle = &desk.session().vehicle;
    let loads = End::ALL.map(|end| Edit::SetAxleLoad { end, load_kg: axle_load_kg(vehicle, end) });
    let holds_loads = moves_loads && view.by_loads;
    field::show(ui, view, desk, &what, move |value| {
        if holds_loads {
            let [front, rear] = loads;
            let label = format!("change {}", number.limit.label);
            Edit::Several { label, edits: vec![set(value), front, rear] }
        } else {
            set(value)
        }
    });
}

/// A grid of rows: label, one field or a front and a rear one, unit, state.
fn grid(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number], name: &str, rows: &[&str]) {
    let look = desk.look;
    let has_pairs = rows.iter().any(|row| row.starts_with("axle."));
    egui::Grid::new(("sitting", name)).num_columns(5).spacing([8.0, 3.0]).min_col_width(20.0).show(ui, |ui| {
        if has_pairs {
            ui.label("");
            ui.label(theme::note(look, "front"));
            ui.label(theme::note(look, "rear"));
            ui.end_row();
        }
        for row in rows {
            let paths: Vec<String> = match row.strip_prefix("axle.") {
                Some(field) => ["front", "rear"].iter().map(|end| format!("vehicle.{end}.{field}")).collect(),
                None => vec![format!("vehicle.{row}")],
            };
            let Some(limit) = all.iter().find(|n| n.path == paths[0]).map(|n| n.limit) else { continue };
            label(ui, limit.label, 214.0);
            for (path, lead) in paths.iter().zip(if paths.len() > 1 { ["front ", "rear "] } else { ["", ""] }) {
                one(ui, view, desk, all, path, lead);
            }
            if has_pairs && paths.len() == 1 {
                ui.label("");
            }
            ui.label(RichText::new(words::unit(limit.unit)).size(BODY - 0.5));
            let marks: Vec<&str> = paths.iter().map(String::as_str).collect();
            state(ui, desk, &marks);
            ui.end_row();
        }
    });
    let of_rows = |path: &str| {
        rows.iter().any(|row| match row.strip_prefix("axle.") {
            Some(field) => path == format!("vehicle.front.{field}") || path == format!("vehicle.rear.{field}"),
            None => path == format!("vehicle.{row}"),
        })
    };
    for number in all.iter().filter(|n| of_rows(&n.path)) {
        field::sentence(ui, view, look, &number.path);
        super::sheet::remark(ui, look, number);
    }
    ui.add_space(8.0);
}

fn heading(ui: &mut Ui, text: &str, note: &str, desk: &Desk<'_>) {
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, text, BODY));
        ui.label(theme::note(desk.look, note));
    });
}

fn name(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let vehicle = desk.session().vehicle.clone();
    egui::Grid::new("sitting name").num_columns(3).spacing([8.0, 6.0]).show(ui, |ui| {
        label(ui, "name of the car", 140.0);
        let text = field::Text { key: "vehicle.name", name: "Name of the car", now: &vehicle.name, width: 220.0 };
        field::text_on(ui, view, desk, &text, |name| {
            Edit::SetVehicle(Box::new(washboard_session::Vehicle { name, ..vehicle.clone() }))
        });
        state(ui, desk, &["vehicle.name"]);
        ui.end_row();
        label(ui, "title of the session", 140.0);
        let title = desk.session().title.clone();
        let text = field::Text { key: "title", name: "Title of the session", now: &title, width: 220.0 };
        field::text_on(ui, view, desk, &text, Edit::SetTitle);
        state(ui, desk, &["title"]);
        ui.end_row();
    });
    ui.label(theme::note(desk.look, "The title follows the name until it is given one of its own."));
}

fn mass(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let look = desk.look;
    ui.horizontal(|ui| {
        ui.label("known from");
        let words = ["scales: load on each axle", "design: mass and centre of gravity"];
        if let Some(i) = toggle(ui, look, "mass known from", usize::from(!view.by_loads), &words) {
            view.by_loads = i == 0;
        }
    });
    ui.add_space(6.0);
    if view.by_loads {
        egui::Grid::new("sitting loads").num_columns(5).spacing([8.0, 3.0]).min_col_width(20.0).show(ui, |ui| {
            ui.label("");
            ui.label(theme::note(look, "front"));
            ui.label(theme::note(look, "rear"));
            ui.end_row();
            label(ui, limits::AXLE_LOAD.label, 214.0);
            for end in End::ALL {
                let kg = axle_load_kg(&desk.session().vehicle, end);
                let what = Field {
                    key: load_mark(end),
                    name: format!("load on the {} axle, kg", end.field()),
                    value: Some((kg * 10.0).round() / 10.0),
                    limit: &limits::AXLE_LOAD,
                    width: FIELD,
                };
                field::show(ui, view, desk, &what, |load_kg| Edit::SetAxleLoad { end, load_kg });
            }
            ui.label(RichText::new("kg").size(BODY - 0.5));
            state(ui, desk, &End::ALL.map(load_mark));
            ui.end_row();
        });
        for end in End::ALL {
            field::sentence(ui, view, look, load_mark(end));
        }
        let vehicle = &desk.session().vehicle;
        ui.label(theme::note(
            look,
            format!(
                "The body alone: {} kg, its centre of gravity {} m behind the front axle.",
                words::fixed(vehicle.body_mass_kg, 1),
                words::fixed(vehicle.cg_to_front_axle_m, 3)
            ),
        ));
        ui.add_space(8.0);
    } else {
        grid(ui, view, desk, all, "body", &["body_mass_kg", "cg_to_front_axle_m"]);
    }
    grid(
        ui,
        view,
        desk,
        all,
        "wheels and inertias",
        &["axle.wheel_mass_kg", "cg_height_m", "roll_inertia_kg_m2", "pitch_inertia_kg_m2"],
    );
    heading(ui, "load cases", "who and what is aboard", desk);
    let cases = desk.session().vehicle.load_cases.clone();
    for case in &cases {
        let kg: f64 = case.items.iter().map(|i| i.mass_kg).sum();
        let items = words::count(case.items.len(), "item", "items");
        ui.label(format!("{}: {items}, {} kg", case.name, words::breakpoint(kg)));
    }
    ui.horizontal(|ui| {
        state(ui, desk, &["vehicle.load_cases"]);
        if link(ui, look, "change them in the data sheet").clicked() {
            (view.sitting, view.sheet) = (None, 1);
        }
    });
}

fn size(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    if view.by_loads {
        ui.label(theme::note(desk.look, "The loads on the axles stay as they are when the wheelbase changes."));
    }
    let rows = ["wheelbase_m", "axle.track_m", "axle.wheel_centre_height_m", "axle.roll_centre_height_m"];
    grid(ui, view, desk, all, "size", &rows);
    heading(ui, "seat", "where the ride is judged", desk);
    let text = match desk.session().vehicle.seat_m {
        Some(seat) => format!(
            "{} m forward and {} m left of the centre of gravity, {} m above ground",
            words::breakpoint(seat.x),
            words::breakpoint(seat.y),
            words::breakpoint(seat.z)
        ),
        None => "at the centre of gravity".to_owned(),
    };
    ui.label(text);
    ui.horizontal(|ui| {
        state(ui, desk, &["vehicle.seat_m"]);
        if link(ui, desk.look, "change it in the data sheet").clicked() {
            (view.sitting, view.sheet) = (None, 0);
        }
    });
}

fn springs(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let rows = [
        "axle.spring_rate_n_per_m",
        "axle.anti_roll_rate_n_m_per_rad",
        "axle.tyre_rate_n_per_m",
        "axle.tyre_damping_n_s_per_m",
        "axle.motion_ratio",
        "axle.anti_pitch_braking_share",
        "axle.anti_pitch_driving_share",
    ];
    grid(ui, view, desk, all, "springs", &rows);
    if let Some(derived) = desk.board().and_then(|b| b.derived.first()) {
        let [front, rear] = derived.ride_frequency_hz;
        ui.label(format!(
            "Ride frequency of the car as described: {} Hz front, {} Hz rear.",
            words::fixed(front, 2),
            words::fixed(rear, 2)
        ));
        for remark in remarks::of_derived(derived).iter().filter(|r| r.contains("ride frequency")) {
            super::derived::remark(ui, desk, remark);
        }
    }
    ui.add_space(8.0);
    heading(ui, "stops", "bump and rebound stops of both axles", desk);
    ui.horizontal(|ui| {
        let marks = [
            "vehicle.front.bump_stop",
            "vehicle.front.rebound_stop",
            "vehicle.rear.bump_stop",
            "vehicle.rear.rebound_stop",
        ];
        state(ui, desk, &marks);
        if link(ui, desk.look, "change them in the data sheet").clicked() {
            (view.sitting, view.sheet) = (None, 0);
        }
    });
}

fn fitted(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let look = desk.look;
    let names: Vec<String> = desk.session().dampers.iter().map(|d| d.name.clone()).collect();
    egui::Grid::new("sitting dampers").num_columns(4).spacing([8.0, 4.0]).show(ui, |ui| {
        for end in End::ALL {
            let vehicle = desk.session().vehicle.clone();
            let fitted = if end == End::Front { &vehicle.front.damper } else { &vehicle.rear.damper };
            let now = names.iter().position(|n| n == fitted).unwrap_or(0);
            label(ui, &format!("{} axle", end.field()), 80.0);
            if let Some(i) = choice(ui, &format!("Damper of the {} axle", end.field()), 150.0, now, &names) {
                desk.ask(Command::Edit(super::fit(&vehicle, end, names[i].clone())));
            }
            let button = ui.button("From the bench…").on_hover_text("A CSV file with velocity, force and current");
            if button.accessible_name(format!("Bench file of the {} damper", end.field())).clicked() {
                view.bench_into = Some(now);
                desk.ask(Command::ChooseBench);
            }
            state(ui, desk, &[&proposal::mark("dampers", fitted)]);
            ui.end_row();
        }
    });
    ui.add_space(8.0);
    view.damper = view.damper.min(names.len().saturating_sub(1));
    ui.horizontal(|ui| {
        label(ui, "to type into", 80.0);
        if let Some(i) = choice(ui, "Damper to type into", 150.0, view.damper, &names) {
            view.damper = i;
        }
    });
    let path = format!("dampers[{}]", view.damper);
    let valve = super::sheet::under(all, &path);
    let name = names.get(view.damper).cloned().unwrap_or_default();
    super::sheet::rows(ui, view, desk, &name, &valve);
    ui.add_space(4.0);
    ui.label(theme::note(look, "Force, N: rows damper velocity, m/s (rebound positive); columns current, A."));
    dampers::table(ui, view, desk);
}

fn modes(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let modes = desk.session().modes.clone();
    egui::Grid::new("sitting modes").num_columns(5).spacing([8.0, 4.0]).show(ui, |ui| {
        for head in ["name", "what it is for", "current, A", "", ""] {
            ui.label(theme::note(look, head));
        }
        ui.end_row();
        for (i, mode) in modes.iter().enumerate() {
            let mark = proposal::mark("modes", &mode.name);
            let name = format!("Name of mode {}", i + 1);
            let text = field::Text { key: &mark, name: &name, now: &mode.name, width: 90.0 };
            field::text_on(ui, view, desk, &text, |name| Edit::RenameMode { mode: i, name });
            let (key, name) = (format!("purpose {i}"), format!("Purpose of {}", mode.name));
            let text = field::Text { key: &key, name: &name, now: &mode.purpose, width: 190.0 };
            field::text_on(ui, view, desk, &text, |purpose| Edit::SetPurpose { mode: i, purpose });
            let (least, most) = (words::breakpoint(mode.current_min_a), words::breakpoint(mode.current_max_a));
            ui.label(theme::number(format!("{least}–{most}"), SMALL));
            if modes.len() > 1 {
                let out = link(ui, look, "leave out").accessible_name(format!("leave out {}", mode.name));
                if out.clicked() {
                    desk.ask(Command::Edit(Edit::DeleteMode { mode: i }));
                }
            } else {
                ui.label("");
            }
            state(ui, desk, &[&mark]);
            ui.end_row();
        }
    });
    ui.add_space(6.0);
    let heave = modes.iter().map(|mode| {
        let most = mode.heave.values_n_s_per_m.iter().flatten().copied().fold(0.0, f64::max);
        format!("{} up to {} N·s/m", mode.name, words::fixed(most, 0))
    });
    let gains: Vec<String> = heave.collect();
    ui.add(egui::Label::new(theme::note(look, format!("Heave gain at the wheel: {}.", gains.join(", ")))).wrap());
}

fn events(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let look = desk.look;
    let events = desk.session().events.clone();
    egui::Grid::new("sitting events").num_columns(5).spacing([8.0, 4.0]).show(ui, |ui| {
        for head in ["event", "speed, km/h", "length, s", "", ""] {
            ui.label(theme::note(look, head));
        }
        ui.end_row();
        for (i, event) in events.iter().enumerate() {
            ui.label(&event.name);
            for name in ["speed_km_h", "duration_s"] {
                let path = format!("events[{i}].{name}");
                if let Some(number) = all.iter().find(|n| n.path == path) {
                    field::number(ui, view, desk, number, &format!("{} {}", event.name, number.limit.label), 64.0);
                }
            }
            if link(ui, look, "leave out").accessible_name(format!("leave out {}", event.name)).clicked() {
                desk.ask(Command::Edit(Edit::DeleteEvent { event: i }));
            }
            state(ui, desk, &[&proposal::mark("events", &event.name)]);
            ui.end_row();
        }
    });
    for number in all.iter().filter(|n| n.path.starts_with("events[")) {
        field::sentence(ui, view, look, &number.path);
    }
    if link(ui, look, "more of them in Roads").clicked() {
        view.place = Place::Roads;
    }
}

fn save(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let session = desk.session();
    match washboard_session::check(session) {
        Ok(()) => {
            ui.label(RichText::new("✓ Every number holds: the session is valid.").color(look.good));
        }
        Err(faults) => {
            for fault in faults.iter().take(6) {
                ui.add(egui::Label::new(RichText::new(format!("✕ {fault}")).color(look.crossed)).wrap());
            }
        }
    }
    ui.add_space(6.0);
    let left = &session.proposed;
    if left.is_empty() {
        ui.label("Nothing is only proposed any more.");
    } else {
        let of = |list: &str| left.iter().filter(|m| m.starts_with(list)).count();
        let parts = [
            (of("vehicle"), "number or part of the car", "numbers and parts of the car"),
            (of("dampers/"), "damper", "dampers"),
            (of("modes/"), "mode", "modes"),
            (of("events/"), "event", "events"),
        ];
        let listed: Vec<String> =
            parts.iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| words::count(*n, one, many)).collect();
        if !listed.is_empty() {
            ui.label(format!("Still proposed: {}.", listed.join(", ")));
        }
        ui.add(
            egui::Label::new(theme::note(
                look,
                "They stay marked in the session, also after saving, and go on following what you type.",
            ))
            .wrap(),
        );
        ui.add_space(4.0);
        if ui.button("Take all of them as they are").clicked() {
            desk.ask(Command::Edit(Edit::AcceptProposed(left.clone())));
        }
    }
    ui.add_space(12.0);
    ui.horizontal(|ui| {
        let button = forward(ui, look, "Save the session…", true, vec2(170.0, 30.0));
        if view.go_on.is_wanted() {
            view.go_on.goes_to(button.id);
        }
        if button.clicked() {
            desk.ask(Command::Save);
        }
        if ui.add(egui::Button::new("Go to Tune").min_size(vec2(110.0, 30.0))).clicked() {
            view.place = Place::Tune;
        }
    });
}
