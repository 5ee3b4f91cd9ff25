//! A measured curve of a few points as a small table: each number to type into, points to add and to take out.

use crate::command::Command;
use crate::desk::Desk;
use crate::field::{self, Field};
use crate::theme::{self, SMALL};
use crate::view::View;
use crate::widgets::link;
use crate::words;
use egui::Ui;
use washboard_session::{Edit, Limit};

/// A curve y over x.
pub(super) struct Pairs<'p> {
    /// Where it stands in the session, as in `dampers[0].supply_lost`.
    pub place: String,
    /// What it is called when read aloud.
    pub name: String,
    /// What x may be.
    pub x_limit: &'static Limit,
    /// What y may be.
    pub y_limit: &'static Limit,
    /// Points.
    pub x: &'p [f64],
    /// One value a point.
    pub y: &'p [f64],
    /// The point that cannot be anything else, as no force without velocity.
    pub fixed: Option<(f64, f64)>,
    /// Fewest points.
    pub least: usize,
}

/// Draws the table; `make` builds the edit from all points.
pub(super) fn show(
    ui: &mut Ui,
    view: &mut View,
    desk: &mut Desk<'_>,
    curve: &Pairs<'_>,
    make: impl Fn(Vec<f64>, Vec<f64>) -> Edit,
) {
    let look = desk.look;
    let title = |limit: &Limit| format!("{}, {}", limit.label, words::unit(limit.unit));
    let key = |part: &str, at: usize| format!("{}.{part}[{at}]", curve.place);
    let (x_part, y_part) = (curve.x_limit.field, curve.y_limit.field);
    egui::Grid::new(("pairs", &curve.place)).num_columns(3).spacing([6.0, 2.0]).show(ui, |ui| {
        ui.label(theme::note(look, title(curve.x_limit)));
        ui.label(theme::note(look, title(curve.y_limit)));
        ui.end_row();
        for (i, (&x, &y)) in curve.x.iter().zip(curve.y).enumerate() {
            if curve.fixed == Some((x, y)) {
                ui.label(theme::number(field::plain(x), SMALL));
                ui.label(theme::number(field::plain(y), SMALL));
                ui.end_row();
                continue;
            }
            for (part, limit, value, is_x) in [(x_part, curve.x_limit, x, true), (y_part, curve.y_limit, y, false)] {
                let key = key(part, i);
                let name = format!("{}, {} {}", curve.name, limit.label, i + 1);
                let field = Field { key: &key, name, value: Some(value), limit, width: 84.0 };
                field::show(ui, view, desk, &field, |value| {
                    let (mut x, mut y) = (curve.x.to_vec(), curve.y.to_vec());
                    if is_x {
                        x[i] = value
                    } else {
                        y[i] = value
                    }
                    make(x, y)
                });
            }
            if curve.x.len() > curve.least {
                let out = link(ui, look, "✕").accessible_name(format!("take point {} out of {}", i + 1, curve.name));
                if out.on_hover_text("Take this point out").clicked() {
                    let (mut x, mut y) = (curve.x.to_vec(), curve.y.to_vec());
                    x.remove(i);
                    y.remove(i);
                    desk.ask(Command::Edit(make(x, y)));
                }
            }
            ui.end_row();
        }
    });
    for i in 0..curve.x.len() {
        field::sentence(ui, view, look, &key(x_part, i));
        field::sentence(ui, view, look, &key(y_part, i));
    }
    ui.horizontal(|ui| {
        ui.label(theme::note(look, format!("add a {}, {}", curve.x_limit.label, words::unit(curve.x_limit.unit))));
        let key = key("new", 0);
        let name = format!("New {} of {}", curve.x_limit.label, curve.name);
        let field = Field { key: &key, name, value: None, limit: curve.x_limit, width: 60.0 };
        // One that is there already changes nothing.
        field::show(ui, view, desk, &field, |value| {
            let (x, y) = with_point(curve.x, curve.y, value);
            make(x, y)
        });
        ui.label(theme::note(look, "read from the curve as it is"));
    });
    field::sentence(ui, view, look, &key("new", 0));
}

/// The points with one more, read from the curve: linear between its points, held at its ends.
fn with_point(x: &[f64], y: &[f64], at: f64) -> (Vec<f64>, Vec<f64>) {
    let (mut xs, mut ys) = (x.to_vec(), y.to_vec());
    let place = x.partition_point(|known| *known < at);
    if x.get(place) == Some(&at) {
        return (xs, ys);
    }
    let value = match (place.checked_sub(1).map(|i| (x[i], y[i])), x.get(place).zip(y.get(place))) {
        (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (at - x0) / (x1 - x0),
        (Some((_, y)), None) | (None, Some((_, &y))) => y,
        (None, None) => 0.0,
    };
    xs.insert(place, at);
    ys.insert(place, (value * 1000.0).round() / 1000.0);
    (xs, ys)
}

#[cfg(test)]
mod tests {
    use super::with_point;

    #[test]
    fn a_new_point_reads_the_curve_that_was() {
        let (x, y) = ([-1.0, 0.0, 2.0], [-400.0, 0.0, 900.0]);
        assert_eq!(with_point(&x, &y, 1.0), (vec![-1.0, 0.0, 1.0, 2.0], vec![-400.0, 0.0, 450.0, 900.0]));
        assert_eq!(with_point(&x, &y, 3.0).1, [-400.0, 0.0, 900.0, 900.0]);
        assert_eq!(with_point(&x, &y, -2.0).1, [-400.0, -400.0, 0.0, 900.0]);
        assert_eq!(with_point(&x, &y, 0.0), (x.to_vec(), y.to_vec()));
    }
}
