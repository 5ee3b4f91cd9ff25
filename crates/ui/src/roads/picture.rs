//! Pictures of events: height or acceleration as the event defines it; for random roads the density of their class.

use crate::axis::{Axis, outward};
use crate::chart::{Chart, Reading};
use crate::curve::{Band, Curve, Dash};
use crate::theme::{Look, SMALL};
use egui::{Align2, FontFamily, FontId, Rect, Stroke, Ui, pos2, vec2};
use washboard_session::{Event, EventKind, RoadClass, Spacing};

/// Points of an event, with titles of both axes.
struct Picture {
    x_title: &'static str,
    y_title: &'static str,
    points: Vec<[f64; 2]>,
}

/// A ramp up, a plateau and, where it ends, a ramp down.
fn ramp(duration_s: f64, value: f64, rise_s: f64, start_s: f64, hold_s: Option<f64>) -> Vec<[f64; 2]> {
    let mut points = vec![[0.0, 0.0], [start_s, 0.0], [start_s + rise_s, value]];
    match hold_s {
        Some(hold) => {
            let end = start_s + rise_s + hold;
            points.extend([[end, value], [end + rise_s, 0.0], [duration_s.max(end + rise_s), 0.0]]);
        }
        None => points.push([duration_s.max(start_s + rise_s), value]),
    }
    points
}

fn sampled(from: f64, to: f64, f: impl Fn(f64) -> f64) -> Vec<[f64; 2]> {
    (0..=400).map(|i| from + (to - from) * f64::from(i) / 400.0).map(|x| [x, f(x)]).collect()
}

fn picture(event: &Event) -> Option<Picture> {
    use std::f64::consts::TAU;
    let time = "time, s";
    let lateral = "lateral acceleration, m/s²";
    let length = "longitudinal acceleration, m/s²";
    Some(match &event.kind {
        EventKind::RandomRoad { .. } | EventKind::Profile { .. } => return None,
        EventKind::CosineBump { height_m, length_m, lead_m, .. } => {
            let shape = |x: f64| {
                let s = (x - lead_m) / length_m;
                if (0.0..=1.0).contains(&s) { height_m * 0.5e3 * (1.0 - (TAU * s).cos()) } else { 0.0 }
            };
            let (from, to) = ((lead_m - length_m).max(0.0), lead_m + 2.0 * length_m);
            Picture { x_title: "distance, m", y_title: "height, mm", points: sampled(from, to, shape) }
        }
        EventKind::Pothole { depth_m, length_m, edge_m, lead_m, .. } => {
            let edge = edge_m.min(length_m / 2.0);
            let d = -depth_m * 1e3;
            let x = [
                (lead_m - length_m).max(0.0),
                *lead_m,
                lead_m + edge,
                lead_m + length_m - edge,
                lead_m + length_m,
                lead_m + 2.0 * length_m,
            ];
            let points = x.into_iter().zip([0.0, 0.0, d, d, 0.0, 0.0]).map(|(x, y)| [x, y]).collect();
            Picture { x_title: "distance, m", y_title: "height, mm", points }
        }
        EventKind::Sweep { from_hz, to_hz, spacing, .. } => {
            let t = event.duration_s;
            let at = |s: f64| match spacing {
                Spacing::Linear => from_hz + (to_hz - from_hz) * s / t,
                Spacing::Logarithmic => from_hz * (to_hz / from_hz).powf(s / t),
            };
            Picture { x_title: time, y_title: "frequency, Hz", points: sampled(0.0, t, at) }
        }
        EventKind::Harmonic { frequency_hz, amplitude_m } => {
            let end = event.duration_s.min(4.0 / frequency_hz);
            let wave = |s: f64| amplitude_m * 1e3 * (TAU * frequency_hz * s).sin();
            Picture { x_title: time, y_title: "height, mm", points: sampled(0.0, end, wave) }
        }
        EventKind::LateralStep { acceleration_m_per_s2, rise_s, start_s } => Picture {
            x_title: time,
            y_title: lateral,
            points: ramp(event.duration_s, *acceleration_m_per_s2, *rise_s, *start_s, None),
        },
        EventKind::LaneChange { acceleration_m_per_s2, period_s, start_s } => {
            let wave = |t: f64| {
                let s = (t - start_s) / period_s;
                if (0.0..=1.0).contains(&s) { acceleration_m_per_s2 * (TAU * s).sin() } else { 0.0 }
            };
            Picture { x_title: time, y_title: lateral, points: sampled(0.0, event.duration_s, wave) }
        }
        EventKind::Braking { deceleration_m_per_s2, rise_s, start_s, hold_s } => Picture {
            x_title: time,
            y_title: length,
            points: ramp(event.duration_s, -deceleration_m_per_s2, *rise_s, *start_s, *hold_s),
        },
        EventKind::Drive { acceleration_m_per_s2, rise_s, start_s, hold_s } => Picture {
            x_title: time,
            y_title: length,
            points: ramp(event.duration_s, *acceleration_m_per_s2, *rise_s, *start_s, *hold_s),
        },
    })
}

/// Displacement density at 0.1 cycles/m of a class, geometric mean, m³ (ISO 8608:2016: 16e-6 * 4^class).
fn density_at_n0(class: RoadClass) -> f64 {
    16e-6 * 4f64.powi(class as i32)
}

/// A small sign of the event for the list.
pub(super) fn small(ui: &Ui, look: &Look, rect: Rect, event: &Event, is_chosen: bool) {
    let painter = ui.painter_at(rect);
    let stroke = if is_chosen { Stroke::new(1.5, look.chosen) } else { look.line() };
    painter.rect(rect, 2.0, look.plot, stroke, egui::StrokeKind::Inside);
    let inner = rect.shrink2(vec2(4.0, 5.0));
    let pen = Stroke::new(1.3, look.text);
    let points = match (&event.kind, picture(event)) {
        (_, Some(picture)) => picture.points,
        // A sign of roughness, not the road itself: its waves grow with the class.
        (EventKind::RandomRoad { class, .. }, None) => {
            let height = 0.25 + 0.1 * f64::from(*class as i32);
            sampled(0.0, 1.0, |x| height * ((17.0 * x).sin() + 0.6 * (41.0 * x + 1.0).sin() + 0.4 * (83.0 * x).sin()))
        }
        _ => {
            let font = FontId::new(SMALL - 1.0, FontFamily::Proportional);
            painter.text(rect.center(), Align2::CENTER_CENTER, "file", font, look.weak);
            return;
        }
    };
    let range =
        |i: usize| points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[i]), h.max(p[i])));
    let ((x0, x1), (y0, y1)) = (range(0), range(1));
    let (y0, y1) = if matches!(event.kind, EventKind::RandomRoad { .. }) { (-2.0, 2.0) } else { (y0, y1) };
    let span = |a: f64, b: f64| if b > a { b - a } else { 1.0 };
    let line = points
        .iter()
        .map(|p| {
            let x = ((p[0] - x0) / span(x0, x1)) as f32;
            let y = ((p[1] - y0) / span(y0, y1)) as f32;
            pos2(inner.left() + x * inner.width(), inner.bottom() - y * inner.height())
        })
        .collect();
    painter.add(egui::Shape::line(line, pen));
}

/// The event large, with axes.
pub(super) fn large(ui: &mut Ui, look: &Look, rect: Rect, event: &Event) {
    match &event.kind {
        EventKind::RandomRoad { class, from_cycles_per_m, to_cycles_per_m, .. } => {
            density(ui, look, rect, *class, *from_cycles_per_m, *to_cycles_per_m);
        }
        EventKind::Profile { file } => {
            ui.painter().rect(rect, 2.0, look.plot, look.line(), egui::StrokeKind::Inside);
            let text = format!(
                "Measured profile from {file}, relative to the session file.\nDistance and elevation of one track or two."
            );
            let font = FontId::new(SMALL, FontFamily::Proportional);
            ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, font, look.weak);
        }
        _ => {
            let Some(picture) = picture(event) else { return };
            let range = |i: usize| {
                picture.points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[i]), h.max(p[i])))
            };
            let (low, high) = range(1);
            let room = (high - low).max(1e-6) * 0.08;
            let y = Axis::linear(picture.y_title, outward(low - room, high + room)).spaced(28.0);
            let mut chart = Chart::new("event picture", Axis::linear(picture.x_title, range(0)), y);
            chart.reads = Reading { x_decimals: 2, x_unit: "", y_decimals: 2, y_unit: "" };
            chart.curves.push(Curve::new(event.name.clone(), picture.points).stroke(look.text, 1.8, Dash::SOLID));
            chart.show(ui, look, rect);
        }
    }
}

/// Displacement density of the class, straight in double logarithm, between the bounds of its class.
fn density(ui: &mut Ui, look: &Look, rect: Rect, class: RoadClass, from: f64, to: f64) {
    let at = |level: f64, n: f64| level * (n / 0.1).powi(-2);
    let level = density_at_n0(class);
    let (low, high) = (at(level, to) / 20.0, at(level, from) * 20.0);
    let x = Axis::logarithmic("wavenumber, cycles/m", (0.005, 5.0));
    let y = Axis::logarithmic("displacement density, m³", (low, high)).spaced(30.0);
    let mut chart = Chart::new("event picture", x, y);
    chart.reads = Reading { x_decimals: 3, x_unit: "cycles/m", y_decimals: 8, y_unit: "m³" };
    let ns = [from, to];
    let xs: Vec<f64> = ns.iter().map(|n| n.log10()).collect();
    let bound = |factor: f64| ns.iter().map(|n| at(level * factor, *n).log10()).collect::<Vec<f64>>();
    // Class bounds lie a factor of two below and above the geometric mean.
    chart.bands.push(Band::new("class", &xs, &bound(0.5), &bound(2.0), look.band));
    let mean = xs.iter().zip(bound(1.0)).map(|(x, y)| [*x, y]);
    chart.curves.push(Curve::new(format!("class {class:?}"), mean).stroke(look.text, 1.8, Dash::SOLID));
    let drawn = chart.show(ui, look, rect);
    let text = format!("class {class:?}: {:.0}·10⁻⁶ m³ at 0.1 cycles/m; grey: its bounds", level * 1e6);
    let font = FontId::new(SMALL, FontFamily::Proportional);
    drawn.painter.text(drawn.frame().right_top() + vec2(-6.0, 5.0), Align2::RIGHT_TOP, text, font, look.weak);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn class_densities_are_those_of_iso_8608() {
        // ISO 8608:2016, table C.2: geometric means 16, 64, 256 and 1024 times 1e-6 m³.
        for (class, mean) in
            [(RoadClass::A, 16e-6), (RoadClass::B, 64e-6), (RoadClass::C, 256e-6), (RoadClass::D, 1024e-6)]
        {
            assert!((density_at_n0(class) - mean).abs() < 1e-12);
        }
    }

    #[test]
    fn a_bump_is_as_high_and_as_long_as_it_says() {
        let kind =
            EventKind::CosineBump { height_m: 0.05, length_m: 0.8, lead_m: 10.0, side: washboard_session::Side::Both };
        let event = Event { name: String::new(), speed_km_h: 30.0, duration_s: 4.0, settle_s: 0.0, weight: 1.0, kind };
        let picture = picture(&event).expect("a bump has a shape");
        let top = picture.points.iter().map(|p| p[1]).fold(0.0, f64::max);
        assert!((top - 50.0).abs() < 0.1, "{top}");
        assert!(picture.points.iter().filter(|p| p[1] > 0.0).all(|p| (10.0..=10.8).contains(&p[0])));
    }
}
