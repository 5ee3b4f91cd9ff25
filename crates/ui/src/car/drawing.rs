//! The car to scale: side view and from above, with corners, masses and centre of gravity.

use crate::desk::Desk;
use crate::theme::{self, SMALL};
use crate::words;
use egui::{Align2, Color32, FontFamily, FontId, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};
use washboard_session::Vehicle;
use washboard_study::Derived;

/// Overhang in front of and behind the axles, m; outline only.
const OVERHANG_M: f64 = 0.85;
/// Wheel radius where the sheet gives none, m; outline only.
const WHEEL_M: f64 = 0.32;

struct Scale {
    origin: Pos2,
    points_per_m: f32,
}

impl Scale {
    /// Distance behind the front axle to the right, height (or left of the middle) upwards.
    fn at(&self, behind_m: f64, up_m: f64) -> Pos2 {
        self.origin + vec2(behind_m as f32 * self.points_per_m, -up_m as f32 * self.points_per_m)
    }
    fn length(&self, m: f64) -> f32 {
        m as f32 * self.points_per_m
    }
}

struct Pen<'p> {
    painter: &'p Painter,
    line: Stroke,
    weak: Color32,
    text: Color32,
    fill: Color32,
    mark: Color32,
}

impl Pen<'_> {
    fn label(&self, at: Pos2, align: Align2, text: String) {
        self.painter.text(at, align, text, FontId::new(SMALL - 0.5, FontFamily::Proportional), self.weak);
    }
    /// The sign of a centre of gravity: a quartered circle.
    fn cg(&self, at: Pos2, filled: bool) {
        let r = 5.0;
        self.painter.circle(at, r, self.fill, Stroke::new(1.2, self.text));
        if filled {
            for (from, to) in [(0.0, 0.25), (0.5, 0.75)] {
                let mut points = vec![at];
                points.extend((0..=8).map(|i| {
                    let a = std::f32::consts::TAU * (from + (to - from) * i as f32 / 8.0);
                    at + vec2(a.cos(), a.sin()) * r
                }));
                self.painter.add(Shape::convex_polygon(points, self.text, Stroke::NONE));
            }
        }
    }
    fn dimension(&self, from: Pos2, to: Pos2, text: String) {
        self.painter.line_segment([from, to], Stroke::new(1.0, self.weak));
        let across = if (to.x - from.x).abs() > (to.y - from.y).abs() { vec2(0.0, 3.0) } else { vec2(3.0, 0.0) };
        for end in [from, to] {
            self.painter.line_segment([end - across, end + across], Stroke::new(1.0, self.weak));
        }
        let middle = from + (to - from) * 0.5;
        if across.x == 0.0 {
            self.label(middle + vec2(0.0, 2.0), Align2::CENTER_TOP, text);
        } else {
            self.label(middle + vec2(4.0, 0.0), Align2::LEFT_CENTER, text);
        }
    }
}

pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let vehicle = &desk.session().vehicle;
    let painter = ui.painter_at(rect);
    painter.rect(rect, 3.0, look.plot, look.line(), egui::StrokeKind::Inside);
    let font = FontId::new(theme::BODY, theme::semibold(ui.ctx()));
    let title = if vehicle.name.is_empty() { "the car" } else { vehicle.name.as_str() };
    painter.text(rect.left_top() + vec2(10.0, 6.0), Align2::LEFT_TOP, title, font, look.text);
    let note = "to scale; outline and wheel size are only drawn";
    painter.text(
        rect.right_top() + vec2(-10.0, 7.0),
        Align2::RIGHT_TOP,
        note,
        FontId::new(SMALL - 0.5, FontFamily::Proportional),
        look.weak,
    );
    let derived = desk.board().and_then(|b| b.derived.get(desk.cx.request.load_case));
    let pen = Pen {
        painter: &painter,
        line: Stroke::new(1.4, look.neutral),
        weak: look.weak,
        text: look.text,
        fill: look.plot,
        mark: look.step_link(),
    };
    let length = vehicle.wheelbase_m + 2.0 * OVERHANG_M;
    let half = (rect.width() - 50.0) / 2.0;
    let track = vehicle.front.track_m.max(vehicle.rear.track_m);
    let room = rect.height() - 74.0;
    let points_per_m = (half / length as f32).min(room / 1.55).min(room / (track as f32 + 0.35)).max(1.0);
    let side = Scale {
        origin: pos2(rect.left() + 16.0 + OVERHANG_M as f32 * points_per_m, rect.bottom() - 42.0),
        points_per_m,
    };
    let above_middle = rect.top() + 26.0 + (rect.height() - 60.0) / 2.0;
    let above =
        Scale { origin: pos2(rect.center().x + 20.0 + OVERHANG_M as f32 * points_per_m, above_middle), points_per_m };
    side_view(&pen, &side, vehicle, derived, desk.cx.request.load_case);
    from_above(&pen, &above, vehicle, derived, desk.cx.request.load_case);
}

fn radius_m(vehicle: &Vehicle, is_front: bool) -> f64 {
    let axle = if is_front { &vehicle.front } else { &vehicle.rear };
    if axle.wheel_centre_height_m > 0.05 { axle.wheel_centre_height_m } else { WHEEL_M }
}

fn side_view(pen: &Pen<'_>, scale: &Scale, vehicle: &Vehicle, derived: Option<&Derived>, case: usize) {
    let l = vehicle.wheelbase_m;
    let ground = [scale.at(-OVERHANG_M, 0.0), scale.at(l + OVERHANG_M, 0.0)];
    pen.painter.line_segment(ground, Stroke::new(1.0, pen.weak));
    let outline = [
        (-OVERHANG_M, 0.35),
        (-OVERHANG_M, 0.62),
        (-OVERHANG_M * 0.7, 0.8),
        (0.25 * l, 0.92),
        (0.45 * l, 1.38),
        (0.95 * l, 1.42),
        (l + OVERHANG_M, 0.98),
        (l + OVERHANG_M, 0.38),
        (-OVERHANG_M, 0.35),
    ];
    let points: Vec<Pos2> = outline.iter().map(|(x, z)| scale.at(*x, *z)).collect();
    pen.painter.add(Shape::line(points, pen.line));
    for (x, axle, is_front) in [(0.0, &vehicle.front, true), (l, &vehicle.rear, false)] {
        let r = radius_m(vehicle, is_front);
        let centre = scale.at(x, r);
        pen.painter.circle(centre, scale.length(r), pen.fill, pen.line);
        pen.painter.circle_filled(centre, 2.0, pen.text);
        let roll_centre = scale.at(x, axle.roll_centre_height_m);
        pen.painter.circle_stroke(roll_centre, 2.5, Stroke::new(1.2, pen.mark));
        pen.label(
            scale.at(x, 0.0) + vec2(0.0, 3.0),
            Align2::CENTER_TOP,
            format!("2 × {} kg", words::breakpoint(axle.wheel_mass_kg)),
        );
    }
    let roll_axis = [scale.at(0.0, vehicle.front.roll_centre_height_m), scale.at(l, vehicle.rear.roll_centre_height_m)];
    pen.painter.extend(Shape::dashed_line(&roll_axis, Stroke::new(1.0, pen.mark), 4.0, 3.0));
    let cg = scale.at(vehicle.cg_to_front_axle_m, vehicle.cg_height_m);
    pen.cg(cg, true);
    pen.label(cg + vec2(8.0, -6.0), Align2::LEFT_BOTTOM, format!("{} kg", words::breakpoint(vehicle.body_mass_kg)));
    if let Some(items) = case.checked_sub(1).and_then(|c| vehicle.load_cases.get(c)).map(|c| &c.items) {
        for item in items {
            let at = scale.at(vehicle.cg_to_front_axle_m - item.x_m, item.z_m);
            pen.painter.rect_stroke(
                Rect::from_center_size(at, vec2(6.0, 6.0)),
                0.0,
                Stroke::new(1.2, pen.mark),
                egui::StrokeKind::Inside,
            );
        }
    }
    if let Some(d) = derived.filter(|_| case > 0) {
        pen.cg(scale.at(d.cg_to_front_axle_m, d.cg_height_m), false);
    }
    let below = vec2(0.0, 20.0);
    let text = format!("{} m", words::breakpoint(l));
    pen.dimension(scale.at(0.0, 0.0) + below, scale.at(l, 0.0) + below, text);
}

fn from_above(pen: &Pen<'_>, scale: &Scale, vehicle: &Vehicle, derived: Option<&Derived>, case: usize) {
    let l = vehicle.wheelbase_m;
    let width = vehicle.front.track_m.max(vehicle.rear.track_m) + 0.22;
    let body = Rect::from_two_pos(scale.at(-OVERHANG_M, width / 2.0), scale.at(l + OVERHANG_M, -width / 2.0));
    pen.painter.rect_stroke(body, scale.length(0.3), pen.line, egui::StrokeKind::Inside);
    for (x, axle, is_front, short) in
        [(0.0, &vehicle.front, true, ["FL", "FR"]), (l, &vehicle.rear, false, ["RL", "RR"])]
    {
        let r = radius_m(vehicle, is_front);
        for (side, name) in [(1.0, short[0]), (-1.0, short[1])] {
            let centre = scale.at(x, side * axle.track_m / 2.0);
            let wheel = Rect::from_center_size(centre, vec2(scale.length(2.0 * r), scale.length(0.2)));
            pen.painter.rect(wheel, 2.0, pen.fill, pen.line, egui::StrokeKind::Inside);
            let corner = usize::from(!is_front) * 2 + usize::from(side < 0.0);
            let load = derived.map_or(String::new(), |d| format!(" {:.2} kN", d.wheel_load_n[corner] / 1e3));
            let inside = centre + vec2(0.0, side as f32 * (scale.length(0.12) + 7.0));
            pen.label(inside, Align2::CENTER_CENTER, format!("{name}{load}"));
        }
        let (left, right) = (scale.at(x, axle.track_m / 2.0), scale.at(x, -axle.track_m / 2.0));
        let gap = vec2(0.0, scale.length(0.12) + 16.0);
        pen.painter.line_segment([left + gap, right - gap], Stroke::new(1.0, pen.weak));
        let at = scale.at(x, 0.0) + vec2(4.0, scale.length(0.3));
        pen.label(at, Align2::LEFT_CENTER, format!("{} m", words::breakpoint(axle.track_m)));
    }
    pen.cg(scale.at(vehicle.cg_to_front_axle_m, 0.0), true);
    if let Some(seat) = vehicle.seat_m {
        let at = scale.at(vehicle.cg_to_front_axle_m - seat.x, seat.y);
        pen.painter.circle_stroke(at, 3.5, Stroke::new(1.2, pen.mark));
        pen.label(at + vec2(6.0, 0.0), Align2::LEFT_CENTER, "seat".to_owned());
    }
    if let Some(items) = case.checked_sub(1).and_then(|c| vehicle.load_cases.get(c)).map(|c| &c.items) {
        for item in items {
            let at = scale.at(vehicle.cg_to_front_axle_m - item.x_m, item.y_m);
            pen.painter.rect_stroke(
                Rect::from_center_size(at, vec2(6.0, 6.0)),
                0.0,
                Stroke::new(1.2, pen.mark),
                egui::StrokeKind::Inside,
            );
            // Beside the seat its own word is enough.
            let is_at_seat = vehicle.seat_m.is_some_and(|seat| (seat.x - item.x_m).hypot(seat.y - item.y_m) < 0.05);
            if !is_at_seat {
                pen.label(at + vec2(6.0, 0.0), Align2::LEFT_CENTER, item.name.clone());
            }
        }
    }
}
