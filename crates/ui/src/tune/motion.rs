//! The car in motion: from the side and from behind at the moment looked at, wheels over the road, loads as bars.
//!
//! It reads the trace and computes nothing: what moves is moved by the trace's displacements, all heights made larger
//! by one factor that stands in the picture.

use crate::desk::Desk;
use crate::theme::{Look, SMALL};
use crate::view::View;
use crate::words;
use egui::{Align2, Color32, FontFamily, FontId, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};
use washboard_session::Vehicle;
use washboard_study::{Board, Pose, Trace, WheelPose};

/// Displacements are drawn this many times as large.
const LARGER: f64 = 5.0;
/// Overhang in front of and behind the axles, m; outline only.
const OVERHANG_M: f64 = 0.85;
/// Wheel radius where the sheet gives none, m; outline only.
const WHEEL_M: f64 = 0.32;
/// Height and width of the body beyond the track, m; outline only.
const ROOF_M: f64 = 1.42;
/// Height of a bar at the static load, points.
const STATIC_BAR: f32 = 16.0;
/// Room below the road for bars and their numbers, points.
const FOOT: f32 = 50.0;

/// One view of the car: metres to points.
struct Scale {
    origin: Pos2,
    points_per_m: f64,
}

impl Scale {
    /// A place across (to the right) and up, m, displaced upwards by so much, m.
    fn at(&self, across_m: f64, up_m: f64, displaced_m: f64) -> Pos2 {
        let up = (up_m + LARGER * displaced_m) * self.points_per_m;
        self.origin + vec2((across_m * self.points_per_m) as f32, -up as f32)
    }
    fn length(&self, m: f64) -> f32 {
        (m * self.points_per_m) as f32
    }
}

/// What both views draw with.
struct Pen<'p> {
    painter: &'p Painter,
    look: &'p Look,
    body: Stroke,
    tint: Color32,
}

impl Pen<'_> {
    fn font(&self) -> FontId {
        FontId::new(SMALL - 0.5, FontFamily::Proportional)
    }

    /// A wheel with its hub; one that has left the road stands out by colour and by its cross.
    fn wheel(&self, centre: Pos2, half: egui::Vec2, wheel: &WheelPose, is_far: bool) {
        let lifted = wheel.is_lifted();
        let color = if lifted { self.look.crossed } else { self.look.text };
        let width = if is_far { 0.9 } else { 1.6 };
        let rect = Rect::from_center_size(centre, half * 2.0);
        let round = half.x.min(half.y) * if half.x == half.y { 1.0 } else { 0.6 };
        let fill = if is_far { Color32::TRANSPARENT } else { self.look.plot };
        self.painter.rect(rect, round, fill, Stroke::new(width, color), egui::StrokeKind::Inside);
        if lifted {
            for d in [vec2(1.0, 1.0), vec2(1.0, -1.0)] {
                self.painter.line_segment([centre - d * 5.0, centre + d * 5.0], Stroke::new(2.0, color));
            }
        } else if !is_far {
            self.painter.circle_filled(centre, 2.0, color);
        }
    }

    /// The load of a corner as a bar that stands on `foot`, with a tick where it is at rest, and its number below.
    fn load(&self, foot: Pos2, name: &str, wheel: &WheelPose) {
        let share = if wheel.static_load_n > 0.0 { wheel.load_n / wheel.static_load_n } else { 0.0 };
        let height = (share as f32 * STATIC_BAR).clamp(0.0, 2.1 * STATIC_BAR);
        let bar = Rect::from_min_max(foot - vec2(4.0, height), foot + vec2(4.0, 0.0));
        let lifted = wheel.is_lifted();
        self.painter.rect_filled(bar, 0.0, self.tint);
        let rest = foot.y - STATIC_BAR;
        self.painter.hline(foot.x - 7.0..=foot.x + 7.0, rest, Stroke::new(1.0, self.look.text));
        let text = if lifted { format!("{name} lifted") } else { format!("{name} {:.2} kN", wheel.load_n / 1e3) };
        let color = if lifted { self.look.crossed } else { self.look.weak };
        self.painter.text(foot + vec2(0.0, 1.0), Align2::CENTER_TOP, text, self.font(), color);
    }
}

/// The wheels of an axle (0 front, 1 rear): side (0 left, 1 right), short name, pose.
fn of_axle<'a>(board: &Board, pose: &'a Pose, axle: usize) -> Vec<(usize, &'a str, &'a WheelPose)> {
    let places = board.request.model.corner_places();
    let all = places.iter().zip(&pose.wheels);
    all.filter(|((a, _), _)| *a == axle)
        .map(|((_, side), (name, wheel))| (*side, words::corner_short(name), wheel))
        .collect()
}

pub(super) fn show(ui: &mut Ui, view: &View, desk: &Desk<'_>, board: &Board, trace: &Trace, index: usize, rect: Rect) {
    let look = desk.look;
    let painter = ui.painter_at(rect);
    painter.rect(rect, 3.0, look.plot, look.line(), egui::StrokeKind::Inside);
    let model = board.request.model;
    let Some(pose) = trace.pose(model.corner_names(), index) else {
        let font = FontId::new(SMALL, FontFamily::Proportional);
        painter.text(rect.center(), Align2::CENTER_CENTER, "The results do not tell.", font, look.weak);
        return;
    };
    let tint = look.mode(view.mode);
    let pen = Pen { painter: &painter, look, body: Stroke::new(1.8, tint), tint: tint.gamma_multiply(0.75) };
    let spoken = in_words(&pose);
    let response = ui.interact(rect, ui.scope_id().with("car in motion"), egui::Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, format!("the car in motion: {spoken}")));
    let inner = rect.shrink2(vec2(8.0, 4.0));
    let split = if model.rolls() && model.pitches() { 0.6 } else { 1.0 };
    let middle = inner.left() + inner.width() * split;
    if !model.rolls() {
        side(&pen, desk, board, &pose, trace, index, inner);
    } else if model.pitches() {
        side(&pen, desk, board, &pose, trace, index, inner.with_max_x(middle - 6.0));
        behind(&pen, desk, board, &pose, inner.with_min_x(middle + 6.0));
    } else {
        behind(&pen, desk, board, &pose, inner);
    }
    let drawn = painter.text(inner.left_top(), Align2::LEFT_TOP, spoken, pen.font(), look.text);
    let note = format!("heights ×{LARGER}, outline only drawn");
    painter.text(drawn.right_top() + vec2(12.0, 0.0), Align2::LEFT_TOP, note, pen.font(), look.weak);
}

/// Speed and what the event asks, and wheels in the air.
fn in_words(pose: &Pose) -> String {
    let mut text = format!("{} km/h", words::fixed(pose.speed_m_per_s * 3.6, 0));
    for (what, value) in [("lateral", pose.lateral_m_per_s2), ("longitudinal", pose.longitudinal_m_per_s2)] {
        if value.abs() >= 0.05 {
            text.push_str(&format!(", {what} {} m/s²", words::fixed(value, 1)));
        }
    }
    let lifted: Vec<String> =
        pose.wheels.iter().filter(|(_, w)| w.is_lifted()).map(|(name, _)| words::corner(name)).collect();
    if !lifted.is_empty() {
        text.push_str(&format!(" · lifted: {}", lifted.join(", ")));
    }
    text
}

fn radius_m(vehicle: &Vehicle, axle: usize) -> f64 {
    let height = if axle == 0 { vehicle.front.wheel_centre_height_m } else { vehicle.rear.wheel_centre_height_m };
    if height > 0.05 { height } else { WHEEL_M }
}

/// From the side, driving to the right: the left wheels, the road before and behind, the right ones thin.
fn side(pen: &Pen<'_>, desk: &Desk<'_>, board: &Board, pose: &Pose, trace: &Trace, index: usize, rect: Rect) {
    let (look, vehicle) = (pen.look, &desk.session().vehicle);
    let wheelbase_m = vehicle.wheelbase_m;
    let cg_m = board.derived.get(board.request.load_case).map_or(vehicle.cg_to_front_axle_m, |d| d.cg_to_front_axle_m);
    let room = f64::from(rect.height() - FOOT - 16.0) / (ROOF_M + 0.35);
    let points_per_m = room.min(f64::from(rect.width()) / (wheelbase_m + 2.0 * OVERHANG_M + 0.6)).max(1.0);
    // The origin is the front axle on level ground; the car stands in the middle.
    let front_x = rect.center().x + (wheelbase_m / 2.0 * points_per_m) as f32;
    let scale = Scale { origin: pos2(front_x, rect.bottom() - FOOT), points_per_m };
    let corners = board.request.model.corner_names();
    let (behind_m, ahead_m) =
        (f64::from(rect.left() - front_x) / points_per_m, f64::from(rect.right() - front_x) / points_per_m);
    // The road as the first corner of each side drives over it: those of one axle, or the only ones there are.
    let places = board.request.model.corner_places();
    let first = places.first().map_or(0, |p| p.0);
    let at_m = if first == 0 { 0.0 } else { -wheelbase_m };
    for (corner, (_, s)) in corners.iter().zip(places).filter(|(_, (axle, _))| *axle == first).rev() {
        let road = trace.road_around(corner, index, behind_m - at_m, ahead_m - at_m);
        let points: Vec<Pos2> = road.iter().map(|[d, z]| scale.at(at_m + d, 0.0, *z)).collect();
        let stroke = if *s == 0 { Stroke::new(1.5, look.text) } else { Stroke::new(1.0, look.border) };
        if points.len() > 1 {
            pen.painter.add(Shape::line(points, stroke));
        }
    }
    // The body is moved as a rigid one: heave at the centre of gravity less pitch times the place before it.
    let moved = |x: f64| pose.heave_m - (x + cg_m) * pose.pitch_rad;
    let l = wheelbase_m;
    let has = |axle: usize| !of_axle(board, pose, axle).is_empty();
    let outline: Vec<(f64, f64)> = if has(0) && has(1) {
        vec![
            (OVERHANG_M, 0.35),
            (OVERHANG_M, 0.62),
            (OVERHANG_M * 0.7, 0.8),
            (-0.25 * l, 0.92),
            (-0.45 * l, 1.38),
            (-0.95 * l, ROOF_M),
            (-l - OVERHANG_M, 0.98),
            (-l - OVERHANG_M, 0.38),
            (OVERHANG_M, 0.35),
        ]
    } else {
        let middle = if has(0) { 0.0 } else { -l };
        [(-0.6, 0.8), (0.6, 0.8), (0.6, 1.15), (-0.6, 1.15), (-0.6, 0.8)].map(|(x, z)| (middle + x, z)).to_vec()
    };
    // A quarter car's body only heaves.
    let points = outline.iter().map(|(x, z)| scale.at(*x, *z, moved(*x))).collect();
    pen.painter.add(Shape::line(points, pen.body));
    for (axle, x) in [(0, 0.0), (1, -l)] {
        let r = radius_m(vehicle, axle);
        let wheels = of_axle(board, pose, axle);
        for (s, _, wheel) in wheels.iter().rev() {
            let half = egui::Vec2::splat(scale.length(r));
            pen.wheel(scale.at(x, r, wheel.height_m), half, wheel, *s == 1);
        }
        // Left and right bar stand beside each other.
        let count = wheels.len() as f32;
        for (i, (_, name, wheel)) in wheels.iter().enumerate() {
            let apart = if count > 1.0 { 64.0 } else { 0.0 };
            let foot = pos2(scale.at(x, 0.0, 0.0).x + apart * (i as f32 - (count - 1.0) / 2.0), rect.bottom() - 13.0);
            pen.load(foot, name, wheel);
        }
    }
}

/// From behind: the rear axle before the front one, which is thin.
fn behind(pen: &Pen<'_>, desk: &Desk<'_>, board: &Board, pose: &Pose, rect: Rect) {
    let (look, vehicle) = (pen.look, &desk.session().vehicle);
    let cg_m = board.derived.get(board.request.load_case).map_or(vehicle.cg_to_front_axle_m, |d| d.cg_to_front_axle_m);
    let track = |axle: usize| if axle == 0 { vehicle.front.track_m } else { vehicle.rear.track_m };
    let room = f64::from(rect.height() - FOOT - 16.0) / (ROOF_M + 0.35);
    let widest = track(0).max(track(1));
    let points_per_m = room.min(f64::from(rect.width()) / (widest + 1.0)).max(1.0);
    let scale = Scale { origin: pos2(rect.center().x, rect.bottom() - FOOT), points_per_m };
    let has = |axle: usize| !of_axle(board, pose, axle).is_empty();
    let nearest = usize::from(has(1));
    // Left stands on the left: y is positive to the left.
    let place = |axle: usize| if axle == 0 { cg_m } else { cg_m - vehicle.wheelbase_m };
    let moved = |y: f64| pose.heave_m + y * pose.roll_rad - place(nearest) * pose.pitch_rad;
    let half = widest / 2.0 + 0.11;
    let outline = [
        (half, 0.42),
        (half, 0.88),
        (half - 0.18, 1.3),
        (half - 0.36, ROOF_M),
        (-half + 0.36, ROOF_M),
        (-half + 0.18, 1.3),
        (-half, 0.88),
        (-half, 0.42),
        (half, 0.42),
    ];
    let points = outline.iter().map(|(y, z)| scale.at(-*y, *z, moved(*y))).collect();
    for axle in [1 - nearest, nearest] {
        let is_far = axle != nearest;
        let r = radius_m(vehicle, axle);
        for (side, name, wheel) in of_axle(board, pose, axle) {
            let y = if side == 0 { track(axle) / 2.0 } else { -track(axle) / 2.0 };
            let centre = scale.at(-y, r, wheel.height_m);
            pen.wheel(centre, vec2(scale.length(0.1), scale.length(r)), wheel, is_far);
            let ground = scale.at(-y, 0.0, wheel.road_m);
            let stroke = if is_far { Stroke::new(1.0, look.border) } else { Stroke::new(1.5, look.text) };
            let reach = scale.length(0.24);
            pen.painter.line_segment([ground - vec2(reach, 0.0), ground + vec2(reach, 0.0)], stroke);
            if !is_far {
                pen.load(pos2(ground.x, rect.bottom() - 13.0), name, wheel);
            }
        }
    }
    pen.painter.add(Shape::line(points, pen.body));
    let text = format!("from behind · roll {}°", words::signed(pose.roll_rad.to_degrees(), 2));
    pen.painter.text(rect.right_top(), Align2::RIGHT_TOP, text, pen.font(), look.weak);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lifted_wheel_and_what_the_event_asks_are_said() {
        let wheel = |load_n: f64| WheelPose { load_n, static_load_n: 4000.0, ..WheelPose::default() };
        let pose = Pose {
            speed_m_per_s: 20.0,
            lateral_m_per_s2: -3.96,
            wheels: vec![("front_left", wheel(3000.0)), ("rear_left", wheel(0.0))],
            ..Pose::default()
        };
        assert_eq!(in_words(&pose), "72 km/h, lateral −4.0 m/s² · lifted: rear left");
    }

    #[test]
    fn places_grow_upwards_and_displacements_are_larger() {
        let scale = Scale { origin: pos2(100.0, 200.0), points_per_m: 50.0 };
        assert_eq!(scale.at(1.0, 1.0, 0.0), pos2(150.0, 150.0));
        assert_eq!(scale.at(0.0, 0.0, 0.1), pos2(100.0, 200.0 - 25.0));
    }
}
