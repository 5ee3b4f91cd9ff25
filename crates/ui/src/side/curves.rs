//! Curves of the columns over each other: body transmissibility, wheel load, comfort against wheel load.

use super::{Shown, columns};
use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, Drawn, PlotName, Reading};
use crate::curve::{Band, Curve, Dash};
use crate::desk::Desk;
use crate::table::{Table, number};
use crate::theme::{SMALL, semibold};
use crate::tune::{comfort, curves};
use crate::view::View;
use crate::words;
use egui::{FontFamily, FontId, Rect, Stroke, Ui, vec2};
use washboard_study::{Board, Response};

const GAP: f32 = 8.0;

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, shown: Shown<'_>, rect: Rect) {
    match desk.enlarged {
        Some(PlotName::SideTransmissibility) => return transmissibility(ui, desk, shown, rect),
        Some(PlotName::SideWheelLoad) => return wheel_load(ui, view, desk, shown, rect),
        Some(PlotName::SideComfort) => return comfort_plot(ui, desk, shown, rect),
        _ => {}
    }
    if rect.width() > 2.0 * rect.height() {
        let width = (rect.width() - 2.0 * GAP) / 3.0;
        let at = |i: f32| Rect::from_min_size(rect.min + vec2(i * (width + GAP), 0.0), vec2(width, rect.height()));
        transmissibility(ui, desk, shown, at(0.0));
        wheel_load(ui, view, desk, shown, at(1.0));
        comfort_plot(ui, desk, shown, at(2.0));
    } else if rect.width() > rect.height() {
        let width = (rect.width() - GAP) / 2.0;
        let upper = (rect.height() - GAP) / 2.0;
        let at =
            |left: f32, top: f32, height: f32| Rect::from_min_size(rect.min + vec2(left, top), vec2(width, height));
        transmissibility(ui, desk, shown, at(0.0, 0.0, upper));
        wheel_load(ui, view, desk, shown, at(0.0, upper + GAP, upper));
        comfort_plot(ui, desk, shown, at(width + GAP, 0.0, rect.height()));
    } else {
        let height = (rect.height() - 2.0 * GAP) / 3.0;
        let at = |i: f32| Rect::from_min_size(rect.min + vec2(0.0, i * (height + GAP)), vec2(rect.width(), height));
        transmissibility(ui, desk, shown, at(0.0));
        wheel_load(ui, view, desk, shown, at(1.0));
        comfort_plot(ui, desk, shown, at(2.0));
    }
}

/// The board of the session, where its held dampers belong to what the columns show.
fn car<'a>(desk: &Desk<'a>, shown: Shown<'_>) -> Option<&'a Board> {
    let (now, then) = (&shown.board.request, |b: &&Board| b.request.clone());
    desk.cx.board.filter(|b| {
        let of = then(b);
        of.model == now.model
            && of.load_case == now.load_case
            && of.speed_km_h == now.speed_km_h
            && of.roughness_m_per_s2 == now.roughness_m_per_s2
    })
}

/// Adds the curve of every column, the reference first and thick.
fn add(chart: &mut Chart, desk: &Desk<'_>, shown: Shown<'_>, scale: f64, pick: impl Fn(&Response) -> Option<&[f64]>) {
    let looks = columns::looks(desk.session(), shown.keys);
    let y = chart.y.clone();
    for (column, (response, index)) in shown.board.responses.iter().zip(&looks).enumerate() {
        let Some(values) = pick(response) else { continue };
        let points = curves::points(&response.frequencies_hz, values, &y, scale);
        let is_front = column == shown.reference();
        chart.curves.push(Curve::new(shown.name(column), points).of_mode(desk.look, *index, is_front));
    }
}

fn point(shown: Shown<'_>) -> String {
    let request = &shown.board.request;
    let (speed, roughness) = (words::breakpoint(request.speed_km_h), words::breakpoint(request.roughness_m_per_s2));
    format!("{speed} km/h, {roughness} m/s²")
}

pub(super) fn transmissibility(ui: &mut Ui, desk: &mut Desk<'_>, shown: Shown<'_>, rect: Rect) {
    let (head, body) = curves::under_heading(rect);
    let note = format!("body over road · {}", point(shown));
    chart::heading(ui, desk, head, PlotName::SideTransmissibility, "body transmissibility", &note);
    fn of(response: &Response) -> Option<&[f64]> {
        Some(response.body_transmissibility.as_slice())
    }
    let car = car(desk, shown);
    let held = car.into_iter().flat_map(|b| [&b.soft, &b.firm]);
    let all = shown.board.responses.iter().chain(held);
    let range = curves::extremes(all.filter_map(|r| Some((r.frequencies_hz.as_slice(), of(r)?))));
    let (low, high) = range.unwrap_or((0.1, 3.0));
    let (low, high) = (low.clamp(0.01, 0.3) * 0.8, high.clamp(1.5, 100.0) * 1.25);
    let y = Axis::logarithmic("body over road", (low, high)).spaced(26.0);
    let mut chart = Chart::new("side transmissibility", curves::frequency_axis(), y.clone());
    chart.reads = Reading { x_decimals: 2, x_unit: "Hz", y_decimals: 2, y_unit: "" };
    if let Some(car) = car {
        let place = |r: &Response| r.body_transmissibility.iter().map(|v| y.place(*v)).collect::<Vec<f64>>();
        let x: Vec<f64> = car.soft.frequencies_hz.iter().map(|f| f.log10()).collect();
        chart.bands.push(Band::new("soft to firm", &x, &place(&car.soft), &place(&car.firm), desk.look.band));
    }
    add(&mut chart, desk, shown, 1.0, of);
    let labels = labels(&chart, &[1.3, 2.0, 2.6]);
    let drawn = draw(ui, desk, shown, chart, body);
    paint_labels(ui, desk, shown, &drawn, &labels);
    let table = || table(shown, "body over road", of);
    chart::offer(ui, desk, head, PlotName::SideTransmissibility, &[drawn.response], table);
}

pub(super) fn wheel_load(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, shown: Shown<'_>, rect: Rect) {
    let (head, body) = curves::under_heading(rect);
    let corners = shown.board.responses.first().map(|r| &r.wheel_load_per_road_velocity_n_s_per_m);
    let corner = view.corner.min(corners.map_or(0, Vec::len).saturating_sub(1));
    let name = corners.and_then(|c| c.get(corner)).map_or(String::new(), |(name, _)| words::corner(name));
    chart::heading(ui, desk, head, PlotName::SideWheelLoad, "wheel-load variation", &name);
    fn of(response: &Response, corner: usize) -> Option<&[f64]> {
        response.wheel_load_per_road_velocity_n_s_per_m.get(corner).map(|(_, v)| v.as_slice())
    }
    let all = shown.board.responses.iter();
    let range = curves::extremes(all.filter_map(|r| Some((r.frequencies_hz.as_slice(), of(r, corner)?))));
    let (_, high) = outward(0.0, range.map_or(1.0, |(_, high)| high * 1.05e-3));
    let y = Axis::linear("kN per m/s of road", (0.0, high)).spaced(26.0);
    let mut chart = Chart::new("side wheel load", curves::frequency_axis(), y);
    chart.reads = Reading { x_decimals: 2, x_unit: "Hz", y_decimals: 2, y_unit: "kN·s/m" };
    add(&mut chart, desk, shown, 1e-3, |r| of(r, corner));
    let labels = labels(&chart, &[10.0, 12.0, 4.0]);
    let drawn = draw(ui, desk, shown, chart, body);
    paint_labels(ui, desk, shown, &drawn, &labels);
    let table = || table(shown, "wheel load, N per m/s of road", |r| of(r, corner));
    chart::offer(ui, desk, head, PlotName::SideWheelLoad, &[drawn.response], table);
}

pub(super) fn comfort_plot(ui: &mut Ui, desk: &mut Desk<'_>, shown: Shown<'_>, rect: Rect) {
    let (head, body) = curves::under_heading(rect);
    let name = PlotName::SideComfort;
    chart::heading(ui, desk, head, name, "comfort against wheel load", "grey: every fixed damper");
    let look = desk.look;
    let fixed: Vec<[f64; 2]> = car(desk, shown).map_or(Vec::new(), |b| {
        let fixed = b.fixed_dampers.iter();
        fixed.map(|d| [d.dynamic_load_coefficient * 100.0, d.weighted_acceleration_m_per_s2]).collect()
    });
    let points: Vec<(usize, [f64; 2])> = shown
        .board
        .points
        .iter()
        .map(|p| (p.mode, [p.dynamic_load_coefficient * 100.0, p.weighted_acceleration_m_per_s2]))
        .collect();
    let Some((x, y)) = comfort::axes(fixed.iter().copied().chain(points.iter().map(|p| p.1))) else {
        return comfort::needs_a_road(ui, look, body);
    };
    let mut chart = Chart::new("side comfort", x, y);
    chart.readout = false;
    chart.curves.push(Curve::new("every fixed damper", fixed.iter().copied()).unsorted().stroke(
        look.neutral,
        1.5,
        Dash::SOLID,
    ));
    let drawn = draw(ui, desk, shown, chart, body);
    let mut painter = drawn.painter.clone();
    painter.multiply_opacity(shown.strength);
    for p in &fixed {
        painter.circle_filled(drawn.at(p[0], p[1]), 2.0, look.neutral);
    }
    let looks = columns::looks(desk.session(), shown.keys);
    let dots: Vec<egui::Pos2> =
        points.iter().map(|p| p.1).chain(fixed.iter().copied()).map(|p| drawn.at(p[0], p[1])).collect();
    let mut labels: Vec<Rect> = Vec::new();
    let mut lines = Vec::new();
    for (column, p) in &points {
        let (at, index) = (drawn.at(p[0], p[1]), looks.get(*column).copied().unwrap_or(0));
        let is_reference = *column == shown.reference();
        painter.circle(at, 5.5, look.mode(index), Stroke::new(1.5, look.plot));
        if is_reference {
            painter.circle_stroke(at, 8.0, Stroke::new(1.2, look.text));
        }
        let font = FontId::new(SMALL, FontFamily::Proportional);
        let galley = painter.layout_no_wrap(shown.name(*column), font, look.text);
        let place = comfort::label_place(at, galley.size(), drawn.frame(), &dots, &labels);
        labels.push(place);
        painter.galley(place.min, galley, look.text);
        lines.push((look.mode(index), shown.name(*column), format!("{:.1} %  {:.3} m/s²", p[0], p[1])));
    }
    if let Some(at) = drawn.response.hover_pos().filter(|p| drawn.frame().contains(*p)) {
        let here = drawn.transform.value_from_position(at);
        chart::paint_readout(ui, look, &drawn, at, &format!("{:.1} %  {:.3} m/s²", here.x, here.y), &lines);
    } else if let Some(i) = crate::cursor::walk(ui, &drawn.response, points.len()) {
        let at = drawn.at(points[i].1[0], points[i].1[1]);
        painter.circle_stroke(at, 10.0, Stroke::new(1.5, look.chosen));
        chart::paint_readout(ui, look, &drawn, at, "load and acceleration", &lines[i..=i]);
    }
    let table = || {
        let mut table = Table::new(["what", "dynamic wheel load, % of static", "weighted acceleration, m/s²"]);
        for p in &fixed {
            table.row(["fixed damper".to_owned(), number(p[0]), number(p[1])]);
        }
        for (column, p) in &points {
            table.row([shown.name(*column), number(p[0]), number(p[1])]);
        }
        table
    };
    chart::offer(ui, desk, head, name, &[drawn.response], table);
}

/// Draws a chart of the columns, greyed while it is older than what is asked for.
fn draw(ui: &mut Ui, desk: &Desk<'_>, shown: Shown<'_>, chart: Chart, rect: Rect) -> Drawn {
    ui.scope(|ui| {
        ui.multiply_opacity(shown.strength);
        chart.show(ui, desk.look, rect)
    })
    .inner
}

/// Where the names of the curves stand: at the frequency where they are furthest apart.
fn labels(chart: &Chart, candidates: &[f64]) -> Vec<(usize, f64, f64)> {
    let at = |x: f64| -> Vec<(usize, f64)> {
        chart.curves.iter().enumerate().filter_map(|(i, c)| Some((i, c.at(x)?))).collect()
    };
    let spread = |x: f64| {
        let values = at(x);
        let high = values.iter().map(|v| v.1).fold(f64::NEG_INFINITY, f64::max);
        high - values.iter().map(|v| v.1).fold(f64::INFINITY, f64::min)
    };
    let best = candidates.iter().map(|f| f.log10()).max_by(|a, b| spread(*a).total_cmp(&spread(*b)));
    best.map_or(Vec::new(), |x| at(x).into_iter().map(|(i, y)| (i, x, y)).collect())
}

fn paint_labels(ui: &Ui, desk: &Desk<'_>, shown: Shown<'_>, drawn: &Drawn, labels: &[(usize, f64, f64)]) {
    let looks = columns::looks(desk.session(), shown.keys);
    let names = labels.iter().filter_map(|(column, x, y)| {
        let family = if *column == shown.reference() { semibold(ui.ctx()) } else { FontFamily::Proportional };
        let color = desk.look.mode(*looks.get(*column)?);
        Some(curves::Label { name: shown.name(*column), color, family, at: drawn.at(*x, *y) })
    });
    curves::paint_names(ui, desk.look, drawn, names.collect());
}

/// A response of every column over frequency.
fn table(shown: Shown<'_>, what: &str, pick: impl Fn(&Response) -> Option<&[f64]>) -> Table {
    let all = shown.board.responses.iter().enumerate();
    let columns: Vec<(String, &[f64])> =
        all.filter_map(|(c, r)| Some((format!("{}: {what}", shown.name(c)), pick(r)?))).collect();
    let frequencies = shown.board.responses.first().map_or(&[][..], |r| &r.frequencies_hz);
    Table::of_curves("frequency, Hz", frequencies, columns)
}
