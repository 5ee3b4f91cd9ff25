//! Small pictures of events for the list: what is really driven, drawn from the results.

use crate::theme::{Look, SMALL};
use egui::{Align2, FontFamily, FontId, Pos2, Rect, Stroke, Ui, pos2, vec2};
use washboard_study::EventView;

/// Points of a small picture, with the lowest and highest of every stretch kept.
const POINTS: usize = 200;

/// The curve that says most of an event: height of the left track, else lateral, else longitudinal acceleration.
fn curve(view: &EventView) -> Option<(&[f64], &[f64])> {
    let demands = &view.demands;
    let tracks = &view.road.tracks;
    let is_level = |heights: &[f64]| heights.iter().all(|z| *z == heights[0]);
    let track = tracks.iter().find(|t| !is_level(&t.height_m)).or(tracks.first());
    if let Some(track) = track {
        Some((&track.distance_m, &track.height_m))
    } else if !demands.lateral_m_per_s2.is_empty() {
        Some((&demands.time_s, &demands.lateral_m_per_s2))
    } else if !demands.longitudinal_m_per_s2.is_empty() {
        Some((&demands.time_s, &demands.longitudinal_m_per_s2))
    } else {
        None
    }
}

/// A small sign of the event for the list.
pub(super) fn small(ui: &Ui, look: &Look, rect: Rect, view: Option<&EventView>, is_chosen: bool) {
    let painter = ui.painter_at(rect);
    let stroke = if is_chosen { Stroke::new(1.5, look.chosen) } else { look.line() };
    painter.rect(rect, 2.0, look.plot, stroke, egui::StrokeKind::Inside);
    let Some((x, y)) = view.and_then(curve) else {
        let font = FontId::new(SMALL, FontFamily::Proportional);
        painter.text(rect.center(), Align2::CENTER_CENTER, "…", font, look.weak);
        return;
    };
    let focus = view.and_then(|v| v.focus_m).unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
    let inner = rect.shrink2(vec2(5.0, 6.0));
    let line = fitted(x, y, focus, inner);
    painter.hline(inner.x_range(), level(y, inner), Stroke::new(1.0, look.grid));
    painter.add(egui::Shape::line(line, Stroke::new(1.3, look.text)));
}

/// Lowest and highest value, zero among them.
fn range(y: &[f64]) -> (f64, f64) {
    y.iter().fold((0.0, 0.0), |(low, high), y| (f64::min(low, *y), f64::max(high, *y)))
}

fn place(y: f64, (low, high): (f64, f64), inner: Rect) -> f32 {
    let share = if high > low { (y - low) / (high - low) } else { 0.5 };
    inner.bottom() - share as f32 * inner.height()
}

/// Where zero lies.
fn level(y: &[f64], inner: Rect) -> f32 {
    place(0.0, range(y), inner)
}

/// The curve inside a rectangle, thinned; only what lies in the focus.
fn fitted(x: &[f64], y: &[f64], focus: (f64, f64), inner: Rect) -> Vec<Pos2> {
    let from = x.partition_point(|x| *x < focus.0).saturating_sub(1);
    let to = (x.partition_point(|x| *x <= focus.1) + 1).min(x.len());
    let (x, y, all) = (&x[from..to], &y[from..to], range(y));
    let (Some(first), Some(last)) = (x.first(), x.last()) else { return Vec::new() };
    let (first, last) = (first.max(focus.0), last.min(focus.1));
    let across = |x: f64| {
        let share = if last > first { ((x - first) / (last - first)).clamp(0.0, 1.0) } else { 0.0 };
        inner.left() + share as f32 * inner.width()
    };
    let stretch = x.len().div_ceil(POINTS / 4).max(1);
    let mut points = Vec::with_capacity(POINTS + 4);
    for begin in (0..x.len()).step_by(stretch) {
        let part = begin..(begin + stretch).min(x.len());
        let lowest = part.clone().min_by(|a, b| y[*a].total_cmp(&y[*b])).unwrap_or(begin);
        let highest = part.max_by(|a, b| y[*a].total_cmp(&y[*b])).unwrap_or(begin);
        // Ends of a stretch keep level road level where thousands of points are left out.
        let mut kept = [begin, lowest, highest, (begin + stretch).min(x.len()) - 1];
        kept.sort_unstable();
        points.extend(kept.map(|i| pos2(across(x[i]), place(y[i], all, inner))));
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_picture_keeps_the_peak_and_stays_in_its_frame() {
        let x: Vec<f64> = (0..5000).map(f64::from).collect();
        let mut y = vec![0.0; 5000];
        y[3333] = 1.0;
        let inner = Rect::from_min_size(pos2(10.0, 10.0), vec2(60.0, 20.0));
        let points = fitted(&x, &y, (f64::NEG_INFINITY, f64::INFINITY), inner);
        assert!(points.len() <= POINTS + 4);
        assert!(points.iter().any(|p| p.y == inner.top()), "the peak is there");
        assert!(points.iter().all(|p| inner.contains(*p)));
        let near = fitted(&x, &y, (3300.0, 3366.0), inner);
        assert!(near.iter().all(|p| inner.contains(*p)) && near.iter().any(|p| p.y == inner.top()));
    }
}
