//! Damper bench data: force over velocity for each current, as curves and as a table.

use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, PlotName, Reading};
use crate::curve::{Curve, Dash};
use crate::desk::Desk;
use crate::field::{self, Field};
use crate::table::Table;
use crate::theme::{self, Look, SMALL};
use crate::view::View;
use crate::widgets::choice;
use egui::{Align2, FontFamily, FontId, Rect, Ui, pos2, vec2};
use washboard_session::{Damper, Edit, limits};

/// Colour of a curve by its place between the soft and the firm end.
fn tint(look: &Look, damper: &Damper, column: usize) -> egui::Color32 {
    let share = column as f32 / (damper.current_a.len().max(2) - 1) as f32;
    Look::mix(Look::mix(look.plot, look.step_link(), 0.35), look.step_link(), share)
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
    let values = |scale: f64| damper.force_n.iter().flatten().map(move |f| f * scale);
    let low = values(1e-3).fold(0.0, f64::min);
    let high = values(1e-3).fold(0.0, f64::max);
    let ends = (
        damper.velocity_m_per_s.first().copied().unwrap_or(-1.0),
        damper.velocity_m_per_s.last().copied().unwrap_or(1.0),
    );
    let mut chart = Chart::new(
        "damper",
        Axis::linear("damper velocity, m/s (rebound positive)", ends),
        Axis::linear("force, kN", outward(low * 1.05, high * 1.05)).spaced(24.0),
    );
    chart.reads = Reading { x_decimals: 3, x_unit: "m/s", y_decimals: 3, y_unit: "kN" };
    for (c, current) in damper.current_a.iter().enumerate() {
        let points =
            damper.velocity_m_per_s.iter().zip(&damper.force_n).filter_map(|(v, row)| Some([*v, row.get(c)? * 1e-3]));
        chart.curves.push(Curve::new(format!("{} A", field::plain(*current)), points).stroke(
            tint(look, damper, c),
            1.6,
            Dash::SOLID,
        ));
    }
    let drawn = chart.show(ui, look, body);
    if !drawn.response.contains_pointer() {
        let font = FontId::new(SMALL - 0.5, FontFamily::Proportional);
        let mut last = f32::INFINITY;
        for (c, current) in damper.current_a.iter().enumerate() {
            let Some(force) = damper.force_n.last().and_then(|row| row.get(c)) else { continue };
            let mut at = drawn.at(ends.1, force * 1e-3);
            if (at.y - last).abs() < 10.0 {
                continue;
            }
            last = at.y;
            at.y = at.y.clamp(drawn.frame().top() + 7.0, drawn.frame().bottom() - 7.0);
            let text = format!("{} A", field::plain(*current));
            drawn.painter.text(at - vec2(4.0, 6.0), Align2::RIGHT_CENTER, text, font.clone(), look.weak);
        }
    }
    chart::offer(ui, desk, head, PlotName::Damper, &[drawn.response], || bench_table(damper));
}

/// The bench data as it stands in the session.
fn bench_table(damper: &Damper) -> Table {
    let columns: Vec<(String, Vec<f64>)> = damper
        .current_a
        .iter()
        .enumerate()
        .map(|(c, a)| {
            (format!("force at {a} A, N"), damper.force_n.iter().filter_map(|row| row.get(c).copied()).collect())
        })
        .collect();
    let columns = columns.iter().map(|(n, y)| (n.clone(), y.as_slice()));
    Table::of_curves("velocity, m/s", &damper.velocity_m_per_s, columns)
}

/// The force table of the chosen damper, every cell to type into.
pub(super) fn table(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let names: Vec<String> = desk.session().dampers.iter().map(|d| d.name.clone()).collect();
    view.damper = view.damper.min(names.len().saturating_sub(1));
    if let Some(i) = choice(ui, "Damper of the table", 160.0, view.damper, &names) {
        view.damper = i;
    }
    let index = view.damper;
    let Some(damper) = desk.session().dampers.get(index) else {
        return;
    };
    egui::ScrollArea::horizontal().id_salt("force table").show(ui, |ui| {
        egui::Grid::new(("forces", index)).spacing([4.0, 2.0]).show(ui, |ui| {
            ui.label(theme::note(look, "m/s"));
            for current in &damper.current_a {
                ui.label(theme::note(look, format!("{} A", field::plain(*current))));
            }
            ui.end_row();
            for (r, velocity) in damper.velocity_m_per_s.iter().enumerate() {
                ui.label(theme::number(field::plain(*velocity), SMALL));
                for (c, current) in damper.current_a.iter().enumerate() {
                    let key = format!("dampers[{index}].force_n[{r}][{c}]");
                    let name = format!("{} force at {velocity} m/s and {current} A, N", damper.name);
                    let value = damper.force_n.get(r).and_then(|row| row.get(c)).copied();
                    let field = Field { key: &key, name, value, limit: &limits::BENCH_FORCE, width: 56.0 };
                    field::show(ui, view, desk, &field, |value| Edit::SetDamperCells {
                        damper: index,
                        cells: vec![(r, c, value)],
                    });
                }
                ui.end_row();
            }
        });
    });
    for r in 0..damper.velocity_m_per_s.len() {
        for c in 0..damper.current_a.len() {
            field::sentence(ui, view, look, &format!("dampers[{index}].force_n[{r}][{c}]"));
        }
    }
}
