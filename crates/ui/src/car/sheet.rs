//! The data sheet: numbers of the session in sections, each with unit and range.

use super::pairs::{self, Pairs};
use super::remarks;
use crate::command::Command;
use crate::desk::Desk;
use crate::field::{self, label};
use crate::table::Table;
use crate::theme::{self, BODY, Look, SMALL};
use crate::view::View;
use crate::widgets::{choice, link};
use crate::words;
use egui::{RichText, Ui};
use washboard_session::edit::End;
use washboard_session::proposal::{is_proposed, mark};
use washboard_session::{
    Conditions, Controller, Damper, Edit, EndStop, Fitted, ForceCurve, LoadCase, LoadItem, Number, Point, Session,
    States, Stop, StopCurve, TemperatureScale, free_name, limits, numbers,
};

const FIELD: f32 = 84.0;

fn heading(ui: &mut Ui, text: &str, note: &str, desk: &Desk<'_>) {
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, text, BODY));
        ui.label(theme::note(desk.look, note));
    });
}

/// Rows of label, field, unit and range.
pub(super) fn rows(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, place: &str, list: &[&Number]) {
    let look = desk.look;
    egui::Grid::new(("numbers", place)).num_columns(4).spacing([8.0, 2.0]).min_col_width(20.0).show(ui, |ui| {
        for number in list {
            label(ui, number.limit.label, 210.0);
            field::number(ui, view, desk, number, &format!("{place} {}", number.limit.label), FIELD);
            ui.label(RichText::new(words::unit(number.limit.unit)).size(BODY - 0.5));
            // The unit stands beside it already.
            ui.label(theme::note(look, words::range_beside(number.limit))).on_hover_text(words::range(number.limit));
            ui.end_row();
        }
    });
    for number in list {
        field::sentence(ui, view, look, &number.path);
        remark(ui, look, number);
    }
}

/// What is unusual about a number, where it is.
pub(super) fn remark(ui: &mut Ui, look: &Look, number: &Number) {
    let place = if number.path.starts_with("vehicle.front") {
        "front"
    } else if number.path.starts_with("vehicle.rear") {
        "rear"
    } else {
        ""
    };
    if let Some(sentence) = remarks::of_number(number, place) {
        ui.add(egui::Label::new(RichText::new(format!("⚠ {sentence}")).size(SMALL).color(look.caution)).wrap());
    }
}

/// Every single number of car, dampers and controller with its unit, range and whether it is only proposed.
pub(super) fn as_table(session: &Session) -> Table {
    let mut table = Table::new(["place", "number", "value", "unit", "allowed", "proposed"]);
    for number in numbers(session) {
        let is_of_sheet = ["vehicle", "dampers", "controller"].iter().any(|part| number.path.starts_with(part));
        let Some(value) = number.value.filter(|_| is_of_sheet) else { continue };
        let mark = if is_proposed(session, &number.path) { "proposed" } else { "" };
        let (label, unit) = (number.limit.label, number.limit.unit);
        table.row([&number.path, label, &field::plain(value), unit, &number.limit.range(), mark]);
    }
    table
}

/// Numbers directly under a place, not further below.
pub(super) fn under<'n>(all: &'n [Number], place: &str) -> Vec<&'n Number> {
    let prefix = format!("{place}.");
    all.iter().filter(|n| n.path.strip_prefix(&prefix).is_some_and(|rest| !rest.contains('.'))).collect()
}

pub(super) fn car(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let all = numbers(desk.session());
    let vehicle = &desk.session().vehicle;
    ui.horizontal(|ui| {
        label(ui, "session", 60.0);
        let title = desk.session().title.clone();
        field::text(ui, desk, "title", "Title of the session", &title, 170.0, Edit::SetTitle);
        label(ui, "car", 30.0);
        field::text(ui, desk, "car name", "Name of the car", &vehicle.name, 150.0, |name| {
            Edit::SetVehicle(Box::new(washboard_session::Vehicle { name, ..vehicle.clone() }))
        });
    });
    heading(ui, "body", "without wheels, about its own centre of gravity", desk);
    rows(ui, view, desk, "body", &under(&all, "vehicle"));
    seat(ui, view, desk, &all);
    heading(ui, "axles", "rates at the wheel, masses for one wheel", desk);
    both_axles(ui, view, desk, &all);
    stops(ui, view, desk, &all);
}

fn seat(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let vehicle = &desk.session().vehicle;
    heading(ui, "seat", "where the ride is judged, from the centre of gravity's foot on the ground", desk);
    if vehicle.seat_m.is_some() {
        rows(ui, view, desk, "seat", &under(all, "vehicle.seat_m"));
    }
    let (text, seat_m) = match vehicle.seat_m {
        Some(_) => ("judge at the centre of gravity instead", None),
        None => ("at the centre of gravity: set a seat", Some(Point { x: 0.0, y: 0.35, z: vehicle.cg_height_m })),
    };
    if link(ui, desk.look, text).clicked() {
        let vehicle = washboard_session::Vehicle { seat_m, ..vehicle.clone() };
        desk.ask(Command::Edit(Edit::SetVehicle(Box::new(vehicle))));
    }
}

/// Front and rear beside each other.
fn both_axles(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let look = desk.look;
    let (front, rear) = (under(all, "vehicle.front"), under(all, "vehicle.rear"));
    egui::Grid::new("axles").num_columns(5).spacing([6.0, 2.0]).min_col_width(20.0).show(ui, |ui| {
        ui.label("");
        ui.label(theme::note(look, "front"));
        ui.label(theme::note(look, "rear"));
        ui.label("");
        ui.label(theme::note(look, "range"));
        ui.end_row();
        for (front, rear) in front.iter().zip(&rear) {
            label(ui, front.limit.label, 226.0);
            field::number(ui, view, desk, front, &format!("front {}", front.limit.label), FIELD - 20.0);
            field::number(ui, view, desk, rear, &format!("rear {}", rear.limit.label), FIELD - 20.0);
            ui.label(RichText::new(words::unit(front.limit.unit)).size(BODY - 0.5));
            ui.label(theme::note(look, words::range_beside(front.limit))).on_hover_text(words::range(front.limit));
            ui.end_row();
        }
        label(ui, "damper", 226.0);
        let names: Vec<String> = desk.session().dampers.iter().map(|d| d.name.clone()).collect();
        let vehicle = &desk.session().vehicle;
        for (end, axle) in [("Front damper", &vehicle.front), ("Rear damper", &vehicle.rear)] {
            let now = names.iter().position(|n| *n == axle.damper).unwrap_or(0);
            if let Some(i) = choice(ui, end, FIELD - 8.0, now, &names) {
                let end = if end == "Front damper" { End::Front } else { End::Rear };
                desk.ask(Command::Edit(super::fit(vehicle, end, names[i].clone())));
            }
        }
        ui.end_row();
    });
    for number in front.iter().chain(&rear) {
        field::sentence(ui, view, look, &number.path);
        remark(ui, look, number);
    }
}

fn stops(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let vehicle = desk.session().vehicle.clone();
    let entries = [
        ("front bump stop", "vehicle.front.bump_stop", vehicle.front.bump_stop.is_some()),
        ("front rebound stop", "vehicle.front.rebound_stop", vehicle.front.rebound_stop.is_some()),
        ("rear bump stop", "vehicle.rear.bump_stop", vehicle.rear.bump_stop.is_some()),
        ("rear rebound stop", "vehicle.rear.rebound_stop", vehicle.rear.rebound_stop.is_some()),
    ];
    for (name, path, is_fitted) in entries {
        heading(ui, name, if is_fitted { "" } else { "none" }, desk);
        if is_fitted {
            rows(ui, view, desk, name, &under(all, path));
            stop_curve(ui, view, desk, name, path);
        }
        let text = if is_fitted { format!("take the {name} out") } else { format!("fit a {name}") };
        if link(ui, desk.look, &text).clicked() {
            let mut vehicle = vehicle.clone();
            let axle = if path.contains("front") { &mut vehicle.front } else { &mut vehicle.rear };
            let place = if path.ends_with("bump_stop") { &mut axle.bump_stop } else { &mut axle.rebound_stop };
            let stop = Stop { gap_m: 0.06, rate_n_per_m: 50_000.0, ..Stop::default() };
            *place = if is_fitted { None } else { Some(stop) };
            desk.ask(Command::Edit(Edit::SetVehicle(Box::new(vehicle))));
        }
    }
}

/// The stop of a path in the session.
fn stop_at<'v>(vehicle: &'v mut washboard_session::Vehicle, path: &str) -> &'v mut Option<Stop> {
    let axle = if path.contains("front") { &mut vehicle.front } else { &mut vehicle.rear };
    if path.ends_with("bump_stop") { &mut axle.bump_stop } else { &mut axle.rebound_stop }
}

/// The measured curve of a stop, beside its rate and progression.
fn stop_curve(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, name: &str, path: &str) {
    let look = desk.look;
    let mut vehicle = desk.session().vehicle.clone();
    let Some(stop) = stop_at(&mut vehicle, path).clone() else { return };
    let with = |curve: Option<StopCurve>| {
        let mut vehicle = desk.session().vehicle.clone();
        *stop_at(&mut vehicle, path) = Some(Stop { curve, ..stop.clone() });
        Edit::SetVehicle(Box::new(vehicle))
    };
    let begin = StopCurve { travel_m: vec![0.0, 0.02], force_n: vec![0.0, 1000.0] };
    let (text, curve) = match &stop.curve {
        Some(_) => ("take the measured curve out", None),
        None => ("add a measured curve", Some(begin)),
    };
    let clicked = link(ui, look, text).accessible_name(format!("{text}, {name}")).clicked();
    let edit = clicked.then(|| with(curve));
    if let Some(curve) = &stop.curve {
        let pairs = Pairs {
            place: format!("{path}.curve"),
            name: format!("measured curve of the {name}"),
            x_limit: &limits::STOP_TRAVEL,
            y_limit: &limits::STOP_FORCE,
            x: &curve.travel_m,
            y: &curve.force_n,
            fixed: Some((0.0, 0.0)),
            least: 2,
        };
        let session = desk.session();
        pairs::show(ui, view, desk, &pairs, |travel_m, force_n| {
            let mut vehicle = session.vehicle.clone();
            *stop_at(&mut vehicle, path) = Some(Stop { curve: Some(StopCurve { travel_m, force_n }), ..stop.clone() });
            Edit::SetVehicle(Box::new(vehicle))
        });
    }
    if let Some(edit) = edit {
        desk.ask(Command::Edit(edit));
    }
}

pub(super) fn load_cases(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let all = numbers(desk.session());
    let cases = desk.session().vehicle.load_cases.clone();
    let look = desk.look;
    ui.label(theme::note(
        look,
        "What is aboard beyond the car as described; places count from the centre of gravity's foot on the ground.",
    ));
    let mut changed: Option<Vec<LoadCase>> = None;
    for (c, case) in cases.iter().enumerate() {
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            let key = format!("load case {c}");
            field::text(ui, desk, &key, &format!("Name of load case {}", c + 1), &case.name, 150.0, |name| {
                let mut cases = cases.clone();
                cases[c].name = name;
                Edit::SetLoadCases(cases)
            });
            let mut levelled = case.levelled;
            if ui
                .checkbox(&mut levelled, "levelled")
                .on_hover_text(
                    "The car's own levelling brings the body back to its height, so that the stop gaps stay.",
                )
                .changed()
            {
                let mut cases = cases.clone();
                cases[c].levelled = levelled;
                changed = Some(cases);
            }
            if link(ui, look, "add an item").clicked() {
                let mut cases = cases.clone();
                cases[c].items.push(LoadItem { name: "item".into(), mass_kg: 75.0, x_m: 0.0, y_m: 0.0, z_m: 0.6 });
                changed = Some(cases);
            }
            if link(ui, look, "delete").accessible_name(format!("delete load case {}", case.name)).clicked() {
                let mut cases = cases.clone();
                cases.remove(c);
                changed = Some(cases);
            }
        });
        egui::Grid::new(("items", c)).num_columns(6).spacing([6.0, 2.0]).show(ui, |ui| {
            for head in ["item", "mass, kg", "forward, m", "left, m", "height, m", ""] {
                ui.label(theme::note(look, head));
            }
            ui.end_row();
            for (i, item) in case.items.iter().enumerate() {
                let key = format!("load case {c} item {i}");
                field::text(
                    ui,
                    desk,
                    &key,
                    &format!("Name of item {} in {}", i + 1, case.name),
                    &item.name,
                    120.0,
                    |name| {
                        let mut cases = cases.clone();
                        cases[c].items[i].name = name;
                        Edit::SetLoadCases(cases)
                    },
                );
                for number in under(&all, &format!("vehicle.load_cases[{c}].items[{i}]")) {
                    let name = format!("{} {} {}", case.name, item.name, number.limit.label);
                    field::number(ui, view, desk, number, &name, 58.0);
                }
                if link(ui, look, "✕").accessible_name(format!("delete item {}", item.name)).clicked() {
                    let mut cases = cases.clone();
                    cases[c].items.remove(i);
                    changed = Some(cases);
                }
                ui.end_row();
            }
        });
        for i in 0..case.items.len() {
            for number in under(&all, &format!("vehicle.load_cases[{c}].items[{i}]")) {
                field::sentence(ui, view, look, &number.path);
                remark(ui, look, number);
            }
        }
    }
    ui.add_space(8.0);
    if ui.button("Add a load case").clicked() {
        let mut cases = cases.clone();
        let item = LoadItem { name: "driver".into(), mass_kg: 75.0, x_m: -0.1, y_m: 0.35, z_m: 0.55 };
        cases.push(LoadCase { name: format!("load case {}", cases.len() + 1), items: vec![item], levelled: false });
        changed = Some(cases);
    }
    if let Some(cases) = changed {
        desk.ask(Command::Edit(Edit::SetLoadCases(cases)));
    }
}

pub(super) fn dampers(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let all = numbers(desk.session());
    let look = desk.look;
    let list = desk.session().dampers.clone();
    view.damper = view.damper.min(list.len().saturating_sub(1));
    let vehicle = &desk.session().vehicle;
    for (i, damper) in list.iter().enumerate() {
        ui.add_space(6.0);
        let is_fitted = [&vehicle.front, &vehicle.rear].map(|axle| axle.damper == damper.name);
        ui.horizontal(|ui| {
            let (key, name) = (format!("damper name {i}"), format!("Name of damper {}", i + 1));
            field::text(ui, desk, &key, &name, &damper.name, 140.0, |name| Edit::ReplaceDamper {
                damper: i,
                with: Box::new(Damper { name, ..damper.clone() }),
            });
            let note = match is_fitted {
                [true, true] => "both axles",
                [true, false] => "front axle",
                [false, true] => "rear axle",
                [false, false] => "on no axle",
            };
            ui.label(theme::note(look, note));
            if is_proposed(desk.session(), &mark("dampers", &damper.name)) {
                ui.label(theme::note(look, "◌ proposed").color(look.caution));
            }
            let bench = link(ui, look, "bench data…").accessible_name(format!("bench data for {}", damper.name));
            if bench.clicked() {
                view.bench_into = Some(i);
                desk.ask(Command::ChooseBench);
            }
            if link(ui, look, "duplicate").accessible_name(format!("duplicate {}", damper.name)).clicked() {
                let copy = format!("{} copy", damper.name);
                let name = free_name(&copy, list.iter().map(|d| d.name.as_str()));
                desk.ask(Command::Edit(Edit::AddDamper(Box::new(Damper { name, ..damper.clone() }))));
            }
            if is_fitted == [false, false] {
                let delete = link(ui, look, "delete").accessible_name(format!("delete {}", damper.name));
                if delete.clicked() {
                    desk.ask(Command::Edit(Edit::DeleteDamper { damper: i }));
                }
            }
        });
        rows(ui, view, desk, &damper.name, &under(&all, &format!("dampers[{i}]")));
        measured(ui, view, desk, i, damper);
    }
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        if ui.button("New damper from bench data…").clicked() {
            view.bench_into = None;
            desk.ask(Command::ChooseBench);
        }
    });
    conditions(ui, view, desk, &all);
    ui.add_space(8.0);
    heading(ui, "force table", "N; rows damper velocity, m/s (rebound positive); columns current, A", desk);
    let names: Vec<String> = list.iter().map(|d| d.name.clone()).collect();
    if let Some(i) = choice(ui, "Damper of the table", 160.0, view.damper, &names) {
        view.damper = i;
    }
    super::dampers::table(ui, view, desk);
}

/// What else may be measured of a damper: its force without supply, and its scale over temperature.
fn measured(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, index: usize, damper: &Damper) {
    let look = desk.look;
    let replace = |with: Damper| Edit::ReplaceDamper { damper: index, with: Box::new(with) };
    let mut changed = None;
    ui.horizontal(|ui| {
        ui.label(theme::note(look, "force without supply"));
        let (text, supply_lost) = match &damper.supply_lost {
            Some(_) => ("take it out", None),
            None => ("not measured: begin with the curve nearest to no current", Some(damper.curve_nearest_to_none())),
        };
        let link = link(ui, look, text).accessible_name(format!("force without supply of {}: {text}", damper.name));
        if link.clicked() {
            changed = Some(Damper { supply_lost, ..damper.clone() });
        }
    });
    if let Some(curve) = &damper.supply_lost {
        let pairs = Pairs {
            place: format!("dampers[{index}].supply_lost"),
            name: format!("{} without supply", damper.name),
            x_limit: &limits::LOST_VELOCITY,
            y_limit: &limits::LOST_FORCE,
            x: &curve.velocity_m_per_s,
            y: &curve.force_n,
            fixed: Some((0.0, 0.0)),
            least: 3,
        };
        pairs::show(ui, view, desk, &pairs, |velocity_m_per_s, force_n| {
            replace(Damper { supply_lost: Some(ForceCurve { velocity_m_per_s, force_n }), ..damper.clone() })
        });
    }
    ui.horizontal(|ui| {
        ui.label(theme::note(look, "force over temperature"));
        let begin = TemperatureScale { temperature_c: vec![20.0, 60.0], force_scale: vec![1.0, 1.0] };
        let (text, temperature) = match &damper.temperature {
            Some(_) => ("take it out", None),
            None => ("not measured: begin with no change from 20 to 60 °C", Some(begin)),
        };
        let link = link(ui, look, text).accessible_name(format!("force over temperature of {}: {text}", damper.name));
        if link.clicked() {
            changed = Some(Damper { temperature, ..damper.clone() });
        }
    });
    if let Some(scale) = &damper.temperature {
        let pairs = Pairs {
            place: format!("dampers[{index}].temperature"),
            name: format!("{} over temperature", damper.name),
            x_limit: &limits::TEMPERATURE,
            y_limit: &limits::TEMPERATURE_SCALE,
            x: &scale.temperature_c,
            y: &scale.force_scale,
            fixed: None,
            least: 1,
        };
        pairs::show(ui, view, desk, &pairs, |temperature_c, force_scale| {
            replace(Damper { temperature: Some(TemperatureScale { temperature_c, force_scale }), ..damper.clone() })
        });
    }
    if let Some(with) = changed {
        desk.ask(Command::Edit(replace(with)));
    }
}

/// State of the dampers in all runs: temperature, and supply lost.
fn conditions(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let session = desk.session();
    let now = session.conditions.clone();
    let fitted = |d: &&Damper| d.name == session.vehicle.front.damper || d.name == session.vehicle.rear.damper;
    let (cold, lost) = (
        session.dampers.iter().filter(fitted).all(|d| d.temperature.is_some()),
        session.dampers.iter().filter(fitted).all(|d| d.supply_lost.is_some()),
    );
    heading(ui, "conditions", "of the dampers, in every run and every mode", desk);
    let mut changed = None;
    let mut supply_lost = now.supply_lost;
    ui.add_enabled_ui(lost || supply_lost, |ui| {
        if ui
            .checkbox(&mut supply_lost, "supply lost")
            .on_hover_text("No current in any valve: every damper follows its force without supply.")
            .on_disabled_hover_text(
                "It needs the force without supply of the dampers fitted: give it at each damper above.",
            )
            .changed()
        {
            changed = Some(Conditions { supply_lost, ..now.clone() });
        }
    });
    if now.damper_temperature_c.is_some() {
        rows(ui, view, desk, "conditions", &under(all, "conditions"));
        if link(ui, desk.look, "as on the bench").clicked() {
            changed = Some(Conditions { damper_temperature_c: None, ..now });
        }
    } else if cold && link(ui, desk.look, "assume a damper temperature").clicked() {
        changed = Some(Conditions { damper_temperature_c: Some(60.0), ..now });
    }
    if let Some(conditions) = changed {
        desk.ask(Command::Edit(Edit::SetConditions(conditions)));
    }
}

pub(super) fn controller(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let all = numbers(desk.session());
    let sections = [
        ("controller", "controller", "what all modes share"),
        ("road roughness level", "controller.roughness", "wheel acceleration, band-passed, rectified, smoothed"),
        ("lateral demand", "controller.lateral_demand", "magnitude of lateral acceleration, fast up, slow down"),
        ("longitudinal demand", "controller.longitudinal_demand", "magnitude of longitudinal acceleration"),
        ("inverse damper table", "controller.inverse_table", "size of the table that goes to the car"),
    ];
    for (name, path, note) in sections {
        heading(ui, name, note, desk);
        rows(ui, view, desk, name, &under(&all, path));
    }
    states(ui, view, desk, &all);
}

/// Where the law's states come from: true, or estimated from the car's sensors.
fn states(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, all: &[Number]) {
    let controller = desk.session().controller.clone();
    let mut changed = None;
    let note = match &controller.states {
        States::Ideal => "ideal: the controller knows the true states",
        States::Estimated(_) => "estimated from the car's sensors; lateral and longitudinal acceleration are true",
    };
    heading(ui, "states of the law", note, desk);
    match &controller.states {
        States::Ideal => {
            if link(ui, desk.look, "estimate them from sensors").clicked() {
                changed = Some(States::Estimated(Box::default()));
            }
        }
        States::Estimated(estimated) => {
            rows(ui, view, desk, "states", &under(all, "controller.states"));
            ui.horizontal(|ui| {
                label(ui, "wheel accelerometers", 210.0);
                let names = ["none", "front", "rear", "both axles"].map(str::to_owned);
                let kinds = [Fitted::None, Fitted::Front, Fitted::Rear, Fitted::Both];
                let now = kinds.iter().position(|k| *k == estimated.wheel_accelerometers).unwrap_or(0);
                if let Some(i) = choice(ui, "Wheel accelerometers", FIELD, now, &names) {
                    let mut estimated = estimated.clone();
                    estimated.wheel_accelerometers = kinds[i];
                    changed = Some(States::Estimated(estimated));
                }
            });
            for index in 0..estimated.body_sensors.len() {
                let name = format!("body accelerometer {}", index + 1);
                heading(ui, &name, "place from the centre of gravity", desk);
                rows(ui, view, desk, &name, &under(all, &format!("controller.states.body_sensors[{index}]")));
            }
            for (name, field) in [
                ("errors of the body accelerometers", "body_accelerometer"),
                ("errors of the ride-height sensors", "height_sensor"),
                ("errors of the wheel accelerometers", "wheel_accelerometer"),
            ] {
                heading(ui, name, "", desk);
                rows(ui, view, desk, name, &under(all, &format!("controller.states.{field}")));
            }
            if link(ui, desk.look, "take the true states instead").clicked() {
                changed = Some(States::Ideal);
            }
        }
    }
    if let Some(states) = changed {
        desk.ask(Command::Edit(Edit::SetController(Box::new(Controller { states, ..controller }))));
    }
}

/// Numbers of a mode, for the sheet of modes.
pub(super) fn of_mode(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, mode: usize, name: &str) {
    let all = numbers(desk.session());
    rows(ui, view, desk, name, &under(&all, &format!("modes[{mode}]")));
    let law = under(&all, &format!("modes[{mode}].law"));
    if !law.is_empty() {
        rows(ui, view, desk, &format!("{name} law"), &law);
    }
    let end_stop = under(&all, &format!("modes[{mode}].end_stop"));
    if !end_stop.is_empty() {
        rows(ui, view, desk, &format!("{name} end stop"), &end_stop);
    }
    let axles = [&desk.session().vehicle.front, &desk.session().vehicle.rear];
    let has_stops = axles.iter().any(|a| a.bump_stop.is_some() || a.rebound_stop.is_some());
    let words = if end_stop.is_empty() { "firm up near the stops" } else { "no extra firmness near the stops" };
    if (has_stops || !end_stop.is_empty())
        && link(ui, desk.look, words).accessible_name(format!("{words}, {name}")).clicked()
    {
        let added = EndStop { zone_m: 0.02, rate_m_per_s: 0.5 };
        let mut changed = desk.session().modes[mode].clone();
        changed.end_stop = if end_stop.is_empty() { Some(added) } else { None };
        desk.ask(Command::Edit(Edit::ReplaceMode { mode, with: Box::new(changed) }));
    }
    let look = desk.look;
    let (front, rear) = (under(&all, &format!("modes[{mode}].front")), under(&all, &format!("modes[{mode}].rear")));
    egui::Grid::new(("scales", mode)).num_columns(8).spacing([6.0, 2.0]).show(ui, |ui| {
        ui.label(theme::note(look, "scales"));
        for number in &front {
            let text = number.path.rsplit('.').next().unwrap_or_default().to_owned();
            ui.label(theme::note(look, text));
        }
        ui.end_row();
        for (end, list) in [("front", &front), ("rear", &rear)] {
            ui.label(RichText::new(end).size(BODY - 0.5));
            for number in list {
                field::number(ui, view, desk, number, &format!("{name} {end} {}", number.limit.label), 44.0);
            }
            ui.end_row();
        }
    });
    for number in front.iter().chain(&rear) {
        field::sentence(ui, view, look, &number.path);
    }
}
