//! What the modes do over frequency: body transmissibility and wheel-load variation, with a bar per corner.

use super::nothing_yet;
pub(crate) use super::under_heading;
use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, Drawn, PlotName, Reading};
use crate::curve::{Band, Curve, Dash};
use crate::desk::Desk;
use crate::figures;
use crate::table::Table;
use crate::theme::{Look, SMALL};
use crate::view::View;
use crate::words;
use egui::{Align2, Color32, FontFamily, FontId, Rect, Ui, pos2, vec2};
use washboard_metrics::MetricId;
use washboard_session::Session;
use washboard_study::{Board, Response};

const LOW_HZ: f64 = 0.3;
const HIGH_HZ: f64 = 30.0;

pub(crate) fn frequency_axis() -> Axis {
    Axis::logarithmic("frequency, Hz", (LOW_HZ, HIGH_HZ))
}

/// Points of a response in the coordinates of a plot.
pub(crate) fn points(frequencies: &[f64], values: &[f64], y: &Axis, scale: f64) -> Vec<[f64; 2]> {
    frequencies
        .iter()
        .zip(values)
        .filter(|(f, v)| **f > 0.0 && v.is_finite())
        .map(|(f, v)| [f.log10(), y.place(v * scale)])
        .collect()
}

/// Lowest and highest value between the ends of the frequency axis.
pub(crate) fn extremes<'a>(all: impl Iterator<Item = (&'a [f64], &'a [f64])>) -> Option<(f64, f64)> {
    all.flat_map(|(f, v)| f.iter().zip(v))
        .filter(|(f, v)| (LOW_HZ..=HIGH_HZ).contains(*f) && v.is_finite())
        .map(|(_, v)| *v)
        .fold(None, |range, v| match range {
            None => Some((v, v)),
            Some((low, high)) => Some((low.min(v), high.max(v))),
        })
}

/// Adds all modes, the chosen one last and in front, and the ghost of the chosen one before the edit.
fn add_modes<'a>(
    chart: &mut Chart,
    view: &View,
    desk: &Desk<'_>,
    responses: &'a [Response],
    ghost: Option<&'a Response>,
    pick: impl Fn(&'a Response) -> Option<&'a [f64]>,
    scale: f64,
) {
    let names = &desk.session().modes;
    let y = chart.y.clone();
    if let Some(response) = ghost
        && let Some(values) = pick(response)
    {
        let points = points(&response.frequencies_hz, values, &y, scale);
        chart.curves.push(Curve::new("before the edit", points).stroke(desk.look.neutral, 1.0, Dash::SOLID));
    }
    let order = (0..responses.len()).filter(|i| *i != view.mode).chain([view.mode]);
    for i in order {
        let Some((response, mode)) = responses.get(i).zip(names.get(i)) else {
            continue;
        };
        if let Some(values) = pick(response) {
            let points = points(&response.frequencies_hz, values, &y, scale);
            chart.curves.push(Curve::new(mode.name.clone(), points).of_mode(desk.look, i, i == view.mode));
        }
    }
}

/// The ghost of the chosen mode, where it differs from what is shown.
fn ghost_of<'a>(view: &View, desk: &Desk<'a>, board: &Board) -> Option<&'a Response> {
    let ghost = desk.ghost()?;
    let before = ghost.responses.get(view.mode)?;
    let is_same_point = ghost.request == board.request;
    (is_same_point && Some(before) != board.responses.get(view.mode)).then_some(before)
}

fn operating_point(board: &Board) -> String {
    format!(
        "{} km/h, {} m/s²",
        words::breakpoint(board.request.speed_km_h),
        words::breakpoint(board.request.roughness_m_per_s2)
    )
}

pub(crate) fn transmissibility(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let (head, body) = under_heading(rect);
    let note = desk.board().map_or(String::new(), |b| format!("body over road · {}", operating_point(b)));
    chart::heading(ui, desk, head, PlotName::Transmissibility, "body transmissibility", &note);
    let Some(board) = desk.board() else {
        return nothing_yet(ui, desk, body);
    };
    let all = board.responses.iter().chain([&board.soft, &board.firm]);
    let range = extremes(all.map(|r| (r.frequencies_hz.as_slice(), r.body_transmissibility.as_slice())));
    let (low, high) = range.unwrap_or((0.1, 3.0));
    let (low, high) = (low.clamp(0.01, 0.3) * 0.8, high.clamp(1.5, 100.0) * 1.25);
    let y = Axis::logarithmic("body over road", (low, high)).spaced(26.0);
    let mut chart = Chart::new("transmissibility", frequency_axis(), y.clone());
    chart.reads = Reading { x_decimals: 2, x_unit: "Hz", y_decimals: 2, y_unit: "" };
    let place = |r: &Response| r.body_transmissibility.iter().map(|v| y.place(*v)).collect::<Vec<f64>>();
    let x: Vec<f64> = board.soft.frequencies_hz.iter().map(|f| f.log10()).collect();
    chart.bands.push(Band::new("soft to firm", &x, &place(&board.soft), &place(&board.firm), desk.look.band));
    let ghost = ghost_of(view, desk, board);
    add_modes(&mut chart, view, desk, &board.responses, ghost, |r| Some(r.body_transmissibility.as_slice()), 1.0);
    let labels = labels(&chart, desk, &[1.3, 2.0, 2.6]);
    let drawn = drawn_at_strength(ui, desk, chart, body);
    paint_labels(ui, desk, view, &drawn, &labels);
    small(desk, &drawn, "grey: soft to firm end");
    unsettled(desk, &drawn, board);
    let session = desk.session();
    let table = || table(session, board, "body over road", |r| Some(&r.body_transmissibility));
    chart::offer(ui, desk, head, PlotName::Transmissibility, &[drawn.response], table);
}

pub(crate) fn wheel_load(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let (head, body) = under_heading(rect);
    let corners = desk.board().and_then(|b| b.responses.first()).map(|r| &r.wheel_load_per_road_velocity_n_s_per_m);
    let count = corners.map_or(0, Vec::len);
    view.corner = view.corner.min(count.saturating_sub(1));
    let name = corners.and_then(|c| c.get(view.corner)).map_or(String::new(), |(name, _)| words::corner(name));
    chart::heading(ui, desk, head, PlotName::WheelLoad, "wheel-load variation", &name);
    let Some(board) = desk.board() else {
        return nothing_yet(ui, desk, body);
    };
    let bars = 92.0_f32.min(body.width() * 0.3);
    let left = Rect::from_min_max(body.min, pos2(body.right() - bars - 6.0, body.bottom()));
    let right = Rect::from_min_max(pos2(body.right() - bars, body.top()), body.max);
    let corner = view.corner;
    fn of(response: &Response, corner: usize) -> Option<&[f64]> {
        response.wheel_load_per_road_velocity_n_s_per_m.get(corner).map(|(_, v)| v.as_slice())
    }
    let all = board.responses.iter().chain([&board.firm]);
    let range = extremes(all.filter_map(|r| Some((r.frequencies_hz.as_slice(), of(r, corner)?))));
    let (_, high) = outward(0.0, range.map_or(1.0, |(_, high)| high * 1.05e-3));
    let y = Axis::linear("kN per m/s of road", (0.0, high)).spaced(26.0);
    let mut chart = Chart::new("wheel load", frequency_axis(), y);
    chart.reads = Reading { x_decimals: 2, x_unit: "Hz", y_decimals: 2, y_unit: "kN·s/m" };
    if let (Some(soft), Some(firm)) = (of(&board.soft, corner), of(&board.firm, corner)) {
        let x: Vec<f64> = board.soft.frequencies_hz.iter().map(|f| f.log10()).collect();
        let scaled = |v: &[f64]| v.iter().map(|v| v * 1e-3).collect::<Vec<f64>>();
        chart.bands.push(Band::new("soft to firm", &x, &scaled(soft), &scaled(firm), desk.look.band));
    }
    let ghost = ghost_of(view, desk, board);
    add_modes(&mut chart, view, desk, &board.responses, ghost, |r| of(r, corner), 1e-3);
    let labels = labels(&chart, desk, &[10.0, 12.0, 4.0]);
    let drawn = drawn_at_strength(ui, desk, chart, left);
    paint_labels(ui, desk, view, &drawn, &labels);
    small(desk, &drawn, "grey: soft to firm end");
    corner_bars(ui, view, desk, board, right);
    let session = desk.session();
    let table = || {
        table(session, board, "wheel load, N per m/s of road", |r| {
            r.wheel_load_per_road_velocity_n_s_per_m.get(corner).map(|(_, v)| v)
        })
    };
    chart::offer(ui, desk, head, PlotName::WheelLoad, &[drawn.response], table);
}

/// Draws a chart of results, greyed while they are older than the edit.
pub(super) fn drawn_at_strength(ui: &mut Ui, desk: &Desk<'_>, chart: Chart, rect: Rect) -> Drawn {
    ui.scope(|ui| {
        ui.multiply_opacity(desk.strength());
        chart.show(ui, desk.look, rect)
    })
    .inner
}

/// Where the names of the curves stand: at the frequency where they are furthest apart.
fn labels(chart: &Chart, desk: &Desk<'_>, candidates: &[f64]) -> Vec<(usize, f64, f64)> {
    let modes = &desk.session().modes;
    let at = |x: f64| -> Vec<(usize, f64)> {
        chart.curves.iter().filter_map(|c| Some((modes.iter().position(|m| m.name == c.label())?, c.at(x)?))).collect()
    };
    let spread = |x: f64| {
        let values = at(x);
        let high = values.iter().map(|v| v.1).fold(f64::NEG_INFINITY, f64::max);
        let low = values.iter().map(|v| v.1).fold(f64::INFINITY, f64::min);
        high - low
    };
    let best = candidates.iter().map(|f| f.log10()).max_by(|a, b| spread(*a).total_cmp(&spread(*b)));
    best.map_or(Vec::new(), |x| at(x).into_iter().map(|(i, y)| (i, x, y)).collect())
}

/// Writes the names beside their curves, pushed apart where they would overlap.
fn paint_labels(ui: &Ui, desk: &Desk<'_>, view: &View, drawn: &Drawn, labels: &[(usize, f64, f64)]) {
    let names = labels.iter().filter_map(|(i, x, y)| {
        let family = if *i == view.mode { crate::theme::semibold(ui.ctx()) } else { FontFamily::Proportional };
        let (name, color) = (desk.mode(*i)?.name.clone(), desk.look.mode(*i));
        Some(Label { name, color, family, at: drawn.at(*x, *y) })
    });
    paint_names(ui, desk.look, drawn, names.collect());
}

/// A name at its curve.
pub(crate) struct Label {
    pub name: String,
    pub color: Color32,
    pub family: FontFamily,
    pub at: egui::Pos2,
}

/// Paints names beside their curves, pushed apart where they would overlap; out of the way of a cursor.
pub(crate) fn paint_names(ui: &Ui, look: &Look, drawn: &Drawn, mut names: Vec<Label>) {
    if drawn.reads || drawn.response.contains_pointer() {
        return;
    }
    names.sort_by(|a, b| a.at.y.total_cmp(&b.at.y));
    let frame = drawn.frame();
    let mut last = frame.top();
    for label in &mut names {
        label.at.y = label.at.y.max(last + 6.0);
        last = label.at.y + 6.0;
    }
    // Where they run out at the bottom, they stack upwards from there.
    let mut last = frame.bottom();
    for label in names.iter_mut().rev() {
        label.at.y = label.at.y.min(last - 6.0);
        last = label.at.y - 6.0;
    }
    for Label { name, color, family, at } in names {
        let galley = ui.painter().layout_no_wrap(name, FontId::new(SMALL - 0.5, family), color);
        let left = pos2((at.x + 8.0).min(frame.right() - galley.size().x - 2.0), at.y - galley.size().y / 2.0);
        let back = Rect::from_min_size(left, galley.size()).expand2(vec2(2.0, -1.0));
        drawn.painter.rect_filled(back, 2.0, look.plot.gamma_multiply(0.8));
        drawn.painter.galley(left, galley, color);
    }
}

/// Small weak text at the lower left of a plot.
fn small(desk: &Desk<'_>, drawn: &Drawn, text: &str) {
    let at = drawn.frame().left_bottom() + vec2(5.0, -3.0);
    let font = FontId::new(SMALL - 1.0, FontFamily::Proportional);
    drawn.painter.text(at, Align2::LEFT_BOTTOM, text, font, desk.look.weak);
}

/// Says how well the points are known whose motion is not periodic, or had not settled within the time allowed.
fn unsettled(desk: &Desk<'_>, drawn: &Drawn, board: &Board) {
    if let Some(text) = words::unsettled(&board.responses) {
        let font = FontId::new(SMALL - 1.0, FontFamily::Proportional);
        drawn.painter.text(
            drawn.frame().right_top() + vec2(-5.0, 4.0),
            Align2::RIGHT_TOP,
            text,
            font,
            desk.look.caution,
        );
    }
}

/// A response of every mode over frequency.
fn table<'a>(
    session: &Session,
    board: &'a Board,
    what: &str,
    pick: impl Fn(&'a Response) -> Option<&'a Vec<f64>>,
) -> Table {
    let all = board.responses.iter().zip(&session.modes);
    let columns: Vec<(String, &[f64])> =
        all.filter_map(|(r, m)| Some((format!("{}: {what}", m.name), pick(r)?.as_slice()))).collect();
    let frequencies = board.responses.first().map_or(&[][..], |r| &r.frequencies_hz);
    Table::of_curves("frequency, Hz", frequencies, columns)
}

/// Dynamic load coefficient of every corner over all events, a bar a mode.
fn corner_bars(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, board: &Board, rect: Rect) {
    let look = desk.look;
    let id = MetricId::DYNAMIC_LOAD_COEFFICIENT;
    let corners = desk.cx.request.model.corner_names();
    let modes = desk.session().modes.len();
    let values: Vec<Vec<Option<f64>>> = (0..modes)
        .map(|m| {
            let card = figures::overall(desk, board, m);
            corners.iter().map(|c| card.and_then(|k| k.at(id, c))).collect()
        })
        .collect();
    let most = values.iter().flatten().flatten().copied().fold(0.01, f64::max);
    let strength = desk.strength();
    let title = Rect::from_min_size(rect.min, vec2(rect.width(), 0.0));
    let foot = 28.0;
    let area = Rect::from_min_max(
        pos2(rect.left() + 18.0, title.bottom() + 2.0),
        pos2(rect.right() - 2.0, rect.bottom() - foot),
    );
    let slot = area.height() / corners.len().max(1) as f32;
    let font = FontId::new(SMALL - 0.5, FontFamily::Proportional);
    let number = FontId::new(SMALL - 1.5, FontFamily::Monospace);
    for (c, name) in corners.iter().enumerate() {
        let top = area.top() + c as f32 * slot;
        let row = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), slot));
        let response = ui.interact(row, ui.scope_id().with(("corner bar", c)), egui::Sense::click());
        response.widget_info(|| {
            egui::WidgetInfo::selected(
                egui::Role::Button,
                true,
                view.corner == c,
                format!("corner {}", words::corner(name)),
            )
        });
        let is_on = view.corner == c;
        let family = if is_on { crate::theme::semibold(ui.ctx()) } else { FontFamily::Proportional };
        ui.painter().text(
            pos2(area.left() - 4.0, row.center().y),
            Align2::RIGHT_CENTER,
            words::corner_short(name).chars().take(2).collect::<String>(),
            FontId::new(SMALL - 0.5, family),
            if is_on { look.text } else { look.weak },
        );
        let height = ((slot - 6.0) / modes.max(1) as f32).clamp(2.0, 14.0);
        let first = row.center().y - height * modes as f32 / 2.0;
        for (m, of_mode) in values.iter().enumerate() {
            let Some(value) = of_mode[c] else { continue };
            let width = (value / most) as f32 * (area.width() - 22.0);
            let bar =
                Rect::from_min_size(pos2(area.left(), first + m as f32 * height), vec2(width, (height - 1.0).max(1.0)));
            ui.painter().rect_filled(bar, 0.0, look.mode(m).gamma_multiply(strength));
            if height >= 8.0 {
                let at = bar.right_center() + vec2(2.0, 0.0);
                let text = figures::figure(id, value);
                ui.painter().text(at, Align2::LEFT_CENTER, text, number.clone(), look.weak);
            }
        }
        if response.clicked() {
            view.corner = c;
        }
        let texts: Vec<String> = values
            .iter()
            .zip(&desk.session().modes)
            .filter_map(|(v, m)| Some(format!("{}  {}", m.name, figures::figure_with_unit(id, v[c]?))))
            .collect();
        response.on_hover_ui(|ui| {
            ui.label(words::corner(name));
            for text in texts {
                ui.label(crate::theme::number(text, SMALL));
            }
            figures::explain(ui, look, id);
            ui.label("Click: show this corner's wheel load and current.");
        });
    }
    ui.painter().vline(area.left(), area.y_range(), look.line());
    let at = pos2(rect.center().x, rect.bottom() - foot + 2.0);
    ui.painter().text(at, Align2::CENTER_TOP, "dynamic load,", font.clone(), look.weak);
    ui.painter().text(at + vec2(0.0, 12.0), Align2::CENTER_TOP, "% of static", font, look.weak);
}
