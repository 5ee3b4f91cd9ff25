//! Damper bench data: force over velocity for each current, as curves and as a table.

use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, Drawn, PlotName, Reading};
use crate::command::Command;
use crate::curve::{Curve, Dash};
use crate::desk::Desk;
use crate::field::{self, Field};
use crate::table::Table;
use crate::theme::{self, Look, SMALL};
use crate::view::View;
use crate::widgets::{choice, link};
use egui::{Align2, FontFamily, FontId, Rect, Ui, pos2, vec2};
use washboard_session::{Damper, Edit, limits};

/// Colour of a curve by its place between the soft and the firm end.
pub(super) fn tint(look: &Look, currents: usize, column: usize) -> egui::Color32 {
    let share = column as f32 / (currents.max(2) - 1) as f32;
    // The softest curve must still stand out from a dark plot.
    let soft = if look.dark { 0.55 } else { 0.35 };
    Look::mix(Look::mix(look.plot, look.step_link(), soft), look.step_link(), share)
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let dampers = &desk.session().dampers;
    view.damper = view.damper.min(dampers.len().saturating_sub(1));
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), 20.0));
    let body = Rect::from_min_max(pos2(rect.left(), head.bottom()), rect.max);
    let note = if desk.is_picture { dampers.get(view.damper).map_or("", |d| d.name.as_str()) } else { "" };
    chart::heading(ui, desk, head, PlotName::Damper, PlotName::Damper.label(), note);
    let (from, to) = (head.right() - 150.0 - chart::BUTTONS, head.right() - chart::BUTTONS);
    let room = Rect::from_min_max(pos2(from, head.top()), pos2(to, head.bottom()));
    let mut child =
        ui.new_child(egui::UiBuilder::new().max_rect(room).layout(egui::Layout::right_to_left(egui::Align::Center)));
    child.spacing_mut().interact_size.y = 18.0;
    child.spacing_mut().button_padding.y = 0.0;
    let names: Vec<String> = dampers.iter().map(|d| d.name.clone()).collect();
    if !desk.is_picture
        && let Some(i) = choice(&mut child, "Damper", 130.0, view.damper, &names)
    {
        view.damper = i;
    }
    let Some(damper) = dampers.get(view.damper) else {
        return;
    };
    let curves =
        Curves { velocity_m_per_s: &damper.velocity_m_per_s, current_a: &damper.current_a, force_n: &damper.force_n };
    let drawn = plot(ui, look, body, "damper", &curves, &[]);
    chart::offer(ui, desk, head, PlotName::Damper, &[drawn.response], || bench_table(&curves));
}

/// The bench data as it stands in the session.
pub(super) fn bench_table(bench: &Curves<'_>) -> Table {
    let columns: Vec<(String, Vec<f64>)> = bench
        .current_a
        .iter()
        .enumerate()
        .map(|(c, a)| {
            (format!("force at {a} A, N"), bench.force_n.iter().filter_map(|row| row.get(c).copied()).collect())
        })
        .collect();
    let columns = columns.iter().map(|(n, y)| (n.clone(), y.as_slice()));
    Table::of_curves("velocity, m/s", bench.velocity_m_per_s, columns)
}

/// A force table to be drawn.
pub(super) struct Curves<'c> {
    pub velocity_m_per_s: &'c [f64],
    pub current_a: &'c [f64],
    pub force_n: &'c [Vec<f64>],
}

/// Force over velocity, a curve a current; the axes reach over `points` (velocity, m/s, and force, N) as well.
pub(super) fn plot(
    ui: &mut Ui,
    look: &Look,
    rect: Rect,
    id: &'static str,
    table: &Curves<'_>,
    points: &[Vec<[f64; 2]>],
) -> Drawn {
    let rows = || points.iter().flatten();
    let forces = || table.force_n.iter().flatten().copied().chain(rows().map(|p| p[1])).map(|f| f * 1e-3);
    let (low, high) = (forces().fold(0.0, f64::min), forces().fold(0.0, f64::max));
    let last = table.velocity_m_per_s.last().copied().unwrap_or(1.0);
    let velocities = || table.velocity_m_per_s.iter().copied().chain(rows().map(|p| p[0]));
    let reach = (velocities().fold(0.0, f64::min), velocities().fold(0.0, f64::max));
    let mut chart = Chart::new(
        id,
        Axis::linear("damper velocity, m/s (rebound positive)", reach),
        Axis::linear("force, kN", outward(low * 1.05, high * 1.05)).spaced(24.0),
    );
    chart.reads = Reading { x_decimals: 3, x_unit: "m/s", y_decimals: 3, y_unit: "kN" };
    let count = table.current_a.len();
    for (c, current) in table.current_a.iter().enumerate() {
        let points =
            table.velocity_m_per_s.iter().zip(table.force_n).filter_map(|(v, row)| Some([*v, row.get(c)? * 1e-3]));
        let color = tint(look, count, c);
        chart.curves.push(Curve::new(format!("{} A", field::plain(*current)), points).stroke(color, 1.6, Dash::SOLID));
    }
    let drawn = chart.show(ui, look, rect);
    if !drawn.response.contains_pointer() {
        let font = FontId::new(SMALL - 0.5, FontFamily::Proportional);
        let mut before = f32::INFINITY;
        for (c, current) in table.current_a.iter().enumerate() {
            let Some(force) = table.force_n.last().and_then(|row| row.get(c)) else { continue };
            let mut at = drawn.at(last, force * 1e-3);
            if (at.y - before).abs() < 10.0 {
                continue;
            }
            before = at.y;
            at.y = at.y.clamp(drawn.frame().top() + 7.0, drawn.frame().bottom() - 7.0);
            let text = format!("{} A", field::plain(*current));
            drawn.painter.text(at - vec2(4.0, 6.0), Align2::RIGHT_CENTER, text, font.clone(), look.weak);
        }
    }
    drawn
}

/// The force table of the chosen damper: every cell, every velocity and every current to type into.
pub(super) fn table(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let index = view.damper.min(desk.session().dampers.len().saturating_sub(1));
    let Some(damper) = desk.session().dampers.get(index) else {
        return;
    };
    let all =
        Curves { velocity_m_per_s: &damper.velocity_m_per_s, current_a: &damper.current_a, force_n: &damper.force_n };
    ui.horizontal(|ui| {
        if let Some(asked) = crate::table::links(ui, look, "force table", || bench_table(&all)) {
            desk.ask(asked);
        }
    });
    let replace = |with: Damper| Edit::ReplaceDamper { damper: index, with: Box::new(with) };
    let key = |part: &str, at: usize| format!("dampers[{index}].{part}[{at}]");
    let cell_key = |r: usize, c: usize| format!("dampers[{index}].force_n[{r}][{c}]");
    egui::ScrollArea::horizontal().id_salt("force table").show(ui, |ui| {
        egui::Grid::new(("forces", index)).spacing([4.0, 2.0]).show(ui, |ui| {
            ui.label(theme::note(look, "m/s"));
            for (c, current) in damper.current_a.iter().enumerate() {
                ui.horizontal(|ui| {
                    let key = key("current_a", c);
                    let name = format!("{} current {}, A", damper.name, c + 1);
                    let field =
                        Field { key: &key, name, value: Some(*current), limit: &limits::BENCH_CURRENT, width: 40.0 };
                    field::show(ui, view, desk, &field, |value| {
                        let mut with = damper.clone();
                        with.current_a[c] = value;
                        replace(with)
                    });
                    ui.label(theme::note(look, "A"));
                });
            }
            ui.end_row();
            for (r, velocity) in damper.velocity_m_per_s.iter().enumerate() {
                if *velocity == 0.0 {
                    ui.label(theme::number("0", SMALL));
                } else {
                    let key = key("velocity_m_per_s", r);
                    let name = format!("{} velocity {}, m/s", damper.name, r + 1);
                    let limit = &limits::BENCH_VELOCITY;
                    let field = Field { key: &key, name, value: Some(*velocity), limit, width: 58.0 };
                    field::show(ui, view, desk, &field, |value| {
                        let mut with = damper.clone();
                        with.velocity_m_per_s[r] = value;
                        replace(with)
                    });
                }
                for (c, current) in damper.current_a.iter().enumerate() {
                    let value = damper.force_n.get(r).and_then(|row| row.get(c)).copied();
                    if *velocity == 0.0 {
                        ui.label(theme::note(look, "0"));
                        continue;
                    }
                    let key = cell_key(r, c);
                    let name = format!("{} force at {velocity} m/s and {current} A, N", damper.name);
                    let field = Field { key: &key, name, value, limit: &limits::BENCH_FORCE, width: 66.0 };
                    field::show(ui, view, desk, &field, |value| Edit::SetDamperCells {
                        damper: index,
                        cells: vec![(r, c, value)],
                    });
                }
                if *velocity != 0.0 && damper.velocity_m_per_s.len() > 3 {
                    let out = link(ui, look, "✕").accessible_name(format!("take out {velocity} m/s"));
                    if out.on_hover_text("Take this velocity out of the table").clicked() {
                        desk.ask(Command::Edit(replace(damper.without_velocity(r))));
                    }
                }
                ui.end_row();
            }
            if damper.current_a.len() > 1 {
                ui.label("");
                for (c, current) in damper.current_a.iter().enumerate() {
                    let out = link(ui, look, "✕").accessible_name(format!("take out {current} A"));
                    if out.on_hover_text("Take this current out of the table").clicked() {
                        desk.ask(Command::Edit(replace(damper.without_current(c))));
                    }
                }
                ui.end_row();
            }
        });
    });
    let sentence = |ui: &mut Ui, view: &mut View, key: &str| field::sentence(ui, view, look, key);
    for c in 0..damper.current_a.len() {
        sentence(ui, view, &key("current_a", c));
    }
    for r in 0..damper.velocity_m_per_s.len() {
        sentence(ui, view, &key("velocity_m_per_s", r));
        for c in 0..damper.current_a.len() {
            sentence(ui, view, &cell_key(r, c));
        }
    }
    ui.horizontal(|ui| {
        ui.label(theme::note(look, "add a velocity, m/s"));
        let (at_v, at_c) = (key("new velocity", 0), key("new current", 0));
        let name = format!("New velocity of {}, m/s", damper.name);
        let field = Field { key: &at_v, name, value: None, limit: &limits::BENCH_VELOCITY, width: 50.0 };
        // One that is there already changes nothing.
        field::show(ui, view, desk, &field, |v| replace(damper.with_velocity(v).unwrap_or_else(|| damper.clone())));
        ui.label(theme::note(look, "a current, A"));
        let name = format!("New current of {}, A", damper.name);
        let field = Field { key: &at_c, name, value: None, limit: &limits::BENCH_CURRENT, width: 50.0 };
        field::show(ui, view, desk, &field, |a| replace(damper.with_current(a).unwrap_or_else(|| damper.clone())));
        ui.label(theme::note(look, "read from the table as it is"));
    });
    for part in ["new velocity", "new current"] {
        sentence(ui, view, &key(part, 0));
    }
}
