//! Comfort against wheel load: every fixed damper as a curve, the modes as points before it.

use super::curves::drawn_at_strength;
use super::{nothing_yet, under_heading};
use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, PlotName, Reading};
use crate::cursor;
use crate::curve::{Curve, Dash};
use crate::desk::Desk;
use crate::table::{Table, number};
use crate::theme::{Look, SMALL};
use crate::view::View;
use egui::{Align2, FontFamily, FontId, Pos2, Rect, Stroke, Ui, Vec2, pos2, vec2};
use washboard_metrics::MetricId;

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let (head, body) = under_heading(rect);
    chart::heading(ui, desk, head, PlotName::Comfort, "comfort against wheel load", "grey: every fixed damper");
    let Some(board) = desk.board() else {
        return nothing_yet(ui, desk, body);
    };
    let look = desk.look;
    let fixed: Vec<[f64; 2]> = board
        .fixed_dampers
        .iter()
        .map(|d| [d.dynamic_load_coefficient * 100.0, d.weighted_acceleration_m_per_s2])
        .collect();
    let point = |p: &washboard_study::ModePoint| [p.dynamic_load_coefficient * 100.0, p.weighted_acceleration_m_per_s2];
    let modes: Vec<(usize, [f64; 2])> = board.mode_points.iter().map(|p| (p.mode, point(p))).collect();
    let Some((x, y)) = axes(fixed.iter().copied().chain(modes.iter().map(|m| m.1))) else {
        return needs_a_road(ui, look, body);
    };
    let mut chart = Chart::new("comfort", x, y);
    chart.reads = Reading { x_decimals: 1, x_unit: "%", y_decimals: 3, y_unit: "m/s²" };
    chart.readout = false;
    chart.curves.push(Curve::new("every fixed damper", fixed.iter().copied()).unsorted().stroke(
        look.neutral,
        1.5,
        Dash::SOLID,
    ));
    let drawn = drawn_at_strength(ui, desk, chart, body);
    let mut painter = drawn.painter.clone();
    painter.multiply_opacity(desk.strength());
    let font = FontId::new(SMALL, FontFamily::Proportional);
    for p in &fixed {
        painter.circle_filled(drawn.at(p[0], p[1]), 2.0, look.neutral);
    }
    if let (Some(soft), Some(firm)) = (fixed.first(), fixed.last()) {
        for (p, text) in [(soft, "soft"), (firm, "firm")] {
            let at = drawn.at(p[0], p[1]);
            let align = if at.x > drawn.frame().center().x { Align2::RIGHT_BOTTOM } else { Align2::LEFT_BOTTOM };
            let shift = if at.x > drawn.frame().center().x { vec2(-4.0, -3.0) } else { vec2(4.0, -3.0) };
            painter.text(at + shift, align, text, FontId::new(SMALL - 1.0, FontFamily::Proportional), look.weak);
        }
    }
    let ghost = desk.ghost().filter(|g| g.request == board.request);
    let dots: Vec<Pos2> =
        modes.iter().map(|m| m.1).chain(fixed.iter().copied()).map(|p| drawn.at(p[0], p[1])).collect();
    let mut labels: Vec<Rect> = Vec::new();
    for (mode, p) in &modes {
        let at = drawn.at(p[0], p[1]);
        let color = look.mode(*mode);
        let before = ghost.and_then(|g| g.mode_points.iter().find(|q| q.mode == *mode)).map(point);
        if let Some(b) = before.map(|b| drawn.at(b[0], b[1]))
            && b.distance(at) > 3.0
        {
            painter.circle_stroke(b, 3.0, Stroke::new(1.0, color));
            painter.line_segment([b, at], Stroke::new(1.0, color));
        }
        painter.circle(at, if *mode == view.mode { 6.5 } else { 5.0 }, color, Stroke::new(1.5, look.plot));
        if *mode == view.mode {
            painter.circle_stroke(at, 8.0, Stroke::new(1.2, look.text));
        }
        // A fence on either figure that this mode crosses is marked where the mode lies.
        let is_of_plot = |id| id == MetricId::WEIGHTED_ACCELERATION || id == MetricId::DYNAMIC_LOAD_COEFFICIENT;
        if board.evaluation.fences.iter().any(|f| f.mode == *mode && !f.kept && is_of_plot(f.metric)) {
            for d in [vec2(1.0, 1.0), vec2(1.0, -1.0)] {
                painter.line_segment([at - d * 5.5, at + d * 5.5], Stroke::new(3.5, look.plot));
                painter.line_segment([at - d * 5.0, at + d * 5.0], Stroke::new(2.0, look.crossed));
            }
        }
        let name = desk.mode(*mode).map_or("", |m| m.name.as_str());
        let galley = painter.layout_no_wrap(name.to_owned(), font.clone(), look.text);
        let place = label_place(at, galley.size(), drawn.frame(), &dots, &labels);
        labels.push(place);
        painter.galley(place.min, galley, look.text);
    }
    let of_mode = |mode: usize, p: [f64; 2]| {
        let name = desk.mode(mode).map_or(String::new(), |m| m.name.clone());
        (look.mode(mode), name, format!("{:.1} %  {:.3} m/s²", p[0], p[1]))
    };
    let of_fixed = |i: usize| {
        let firmness = board.fixed_dampers[i].firmness_share * 100.0;
        (look.neutral, format!("fixed, {firmness:.0} % firm"), format!("{:.1} %  {:.3} m/s²", fixed[i][0], fixed[i][1]))
    };
    let pointer = drawn.response.hover_pos().filter(|p| drawn.frame().contains(*p));
    // By the arrows from mode to mode, then along the fixed dampers.
    let walked = cursor::walk(ui, &drawn.response, modes.len() + fixed.len());
    if let Some(at) = pointer {
        let near = |p: &[f64; 2]| drawn.at(p[0], p[1]).distance(at);
        let mut lines: Vec<_> = modes.iter().map(|(mode, p)| of_mode(*mode, *p)).collect();
        let nearest = (0..fixed.len()).min_by(|a, b| near(&fixed[*a]).total_cmp(&near(&fixed[*b])));
        lines.extend(nearest.map(of_fixed));
        let here = drawn.transform.value_from_position(at);
        chart::paint_readout(ui, look, &drawn, at, &format!("{:.1} %  {:.3} m/s²", here.x, here.y), &lines);
    } else if let Some(i) = walked {
        let (p, line) = match modes.get(i) {
            Some((mode, p)) => (*p, of_mode(*mode, *p)),
            None => (fixed[i - modes.len()], of_fixed(i - modes.len())),
        };
        let at = drawn.at(p[0], p[1]);
        painter.circle_stroke(at, 10.0, Stroke::new(1.5, look.chosen));
        let spoken = format!("{} {}", line.1, line.2);
        chart::paint_readout(ui, look, &drawn, at, "load and acceleration", &[line]);
        drawn.response.widget_info(|| {
            let mut info = egui::WidgetInfo::labeled(egui::Role::GraphicsDocument, true, "plot comfort");
            info.current_text_value = Some(spoken.clone());
            info
        });
    }
    let names = desk.session();
    let table = || {
        let mut table =
            Table::new(["what", "firmness, %", "dynamic wheel load, % of static", "weighted acceleration, m/s²"]);
        for (d, p) in board.fixed_dampers.iter().zip(&fixed) {
            table.row(["fixed damper".to_owned(), number(d.firmness_share * 100.0), number(p[0]), number(p[1])]);
        }
        for (m, p) in &modes {
            let name = names.modes.get(*m).map_or(String::new(), |m| m.name.clone());
            table.row([name, String::new(), number(p[0]), number(p[1])]);
        }
        table
    };
    chart::offer(ui, desk, head, PlotName::Comfort, &[drawn.response], table);
}

/// Axes that hold all points: dynamic wheel load across, weighted acceleration up; `None` where there is no point.
pub(crate) fn axes(points: impl Iterator<Item = [f64; 2]>) -> Option<(Axis, Axis)> {
    let all: Vec<[f64; 2]> = points.filter(|p| p[0].is_finite() && p[1].is_finite()).collect();
    let range = |i: usize| {
        let (low, high) = all.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[i]), h.max(p[i])));
        let room = (high - low).max(high.abs() * 0.05) * 0.12;
        outward((low - room).max(0.0), high + room)
    };
    let x = Axis::linear("dynamic wheel load, % of static", range(0)).spaced(44.0);
    let y = Axis::linear("weighted acceleration, m/s²", range(1)).spaced(26.0);
    (!all.is_empty()).then_some((x, y))
}

/// What stands where the plot would be without a random road.
pub(crate) fn needs_a_road(ui: &Ui, look: &Look, rect: Rect) {
    let text = "Needs a random road among the events.";
    ui.painter().rect(rect, 2.0, look.plot, look.line(), egui::StrokeKind::Inside);
    let font = FontId::new(SMALL, FontFamily::Proportional);
    ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, font, look.weak);
}

/// Where a point's name stands: beside it where there is room, else above or below, free of dots and other names.
pub(crate) fn label_place(at: Pos2, size: Vec2, frame: Rect, dots: &[Pos2], labels: &[Rect]) -> Rect {
    let (w, h) = (size.x, size.y);
    let places = [
        pos2(at.x + 11.0, at.y - h / 2.0),
        pos2(at.x - 11.0 - w, at.y - h / 2.0),
        pos2(at.x - w / 2.0, at.y + 9.0),
        pos2(at.x - w / 2.0, at.y - 9.0 - h),
        pos2(at.x - w / 2.0, at.y + 9.0 + h),
        pos2(at.x - w / 2.0, at.y - 9.0 - 2.0 * h),
    ];
    let rects = places.map(|p| {
        let left = p.x.clamp(frame.left() + 2.0, (frame.right() - w - 2.0).max(frame.left() + 2.0));
        Rect::from_min_size(pos2(left, p.y), size)
    });
    let is_free = |r: &Rect| {
        frame.contains_rect(*r)
            && dots.iter().all(|d| !r.expand(3.0).contains(*d))
            && labels.iter().all(|l| !l.intersects(*r))
    };
    rects.into_iter().find(is_free).unwrap_or(rects[2])
}
