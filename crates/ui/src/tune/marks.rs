//! Where the car is on the maps at the moment looked at: cells marked by their interpolation weights.

use super::moment;
use crate::desk::Desk;
use crate::theme::Look;
use crate::view::View;
use egui::{Painter, Pos2, Rect, Stroke};
use washboard_session::MapName;
use washboard_study::OnMap;

/// A cell of less weight is not marked.
const LEAST_WEIGHT: f64 = 0.02;

/// The places of the mode under work on a map at the moment looked at; empty without one.
pub(super) fn places(view: &View, desk: &Desk<'_>, name: MapName) -> Vec<OnMap> {
    let found = || {
        let board = desk.board()?;
        let (trace, map) = (moment::trace(view, board)?, desk.mode(view.mode)?.map(name)?);
        let index = trace.index_at(view.moment.at_s?)?;
        Some(trace.on_map(board.request.model, name, &map, index))
    };
    if desk.is_picture { Vec::new() } else { found().unwrap_or_default() }
}

/// Marks on a map drawn as a small surface; `at` says where a row and a column lie, fractions between breakpoints.
pub(super) fn on_surface(painter: &Painter, look: &Look, places: &[OnMap], at: impl Fn(f32, f32) -> Pos2) {
    for place in places {
        for (row, column, weight) in place.weights.iter().filter(|w| w.2 >= LEAST_WEIGHT) {
            let radius = 4.5 * (*weight as f32).sqrt();
            painter.circle(
                at(*row as f32, *column as f32),
                radius,
                look.card.gamma_multiply(0.35),
                Stroke::new(1.0, look.text),
            );
        }
        let here = at(place.row_place() as f32, place.column_place() as f32);
        painter.circle(here, 2.2, look.text, Stroke::new(1.0, look.card));
    }
}

/// Weight of a cell, and the axle's letter where only one reads it there.
pub(super) fn of_cell(places: &[OnMap], cell: (usize, usize)) -> Option<(f64, &'static str)> {
    let weight = |place: &OnMap| place.weights.iter().find(|w| (w.0, w.1) == cell).map_or(0.0, |w| w.2);
    let all: Vec<(f64, Option<usize>)> =
        places.iter().map(|p| (weight(p), p.axle)).filter(|w| w.0 >= LEAST_WEIGHT).collect();
    let most = all.iter().map(|w| w.0).fold(0.0, f64::max);
    let letter = match all.as_slice() {
        [] => return None,
        [(_, Some(0))] => "F",
        [(_, Some(_))] => "R",
        _ => "",
    };
    Some((most, letter))
}

/// A mark in a cell of the map as numbers: a bar at its foot, as long as its weight.
pub(super) fn on_cell(painter: &Painter, look: &Look, rect: Rect, (weight, letter): (f64, &str)) {
    let whole = egui::vec2(rect.width() - 6.0, 2.0);
    let foot = Rect::from_min_size(rect.left_bottom() + egui::vec2(3.0, -3.5), whole);
    painter.rect_filled(foot, 0.0, look.grid);
    painter.rect_filled(foot.with_max_x(foot.left() + whole.x * weight as f32), 0.0, look.text);
    if !letter.is_empty() {
        let font = egui::FontId::new(crate::theme::SMALL - 2.5, egui::FontFamily::Proportional);
        let at = rect.left_top() + egui::vec2(4.0, 1.0);
        painter.text(at, egui::Align2::LEFT_TOP, letter, font, look.weak);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_read_by_one_axle_only_bears_its_letter() {
        let place = |axle, weights: &[(usize, usize, f64)]| OnMap {
            axle: Some(axle),
            row: 0.0,
            column: 0.0,
            weights: weights.to_vec(),
        };
        let places = [place(0, &[(0, 0, 0.25), (0, 1, 0.75)]), place(1, &[(0, 1, 0.99), (0, 2, 0.01)])];
        assert_eq!(of_cell(&places, (0, 0)), Some((0.25, "F")));
        assert_eq!(of_cell(&places, (0, 1)), Some((0.99, "")));
        assert_eq!(of_cell(&places, (0, 2)), None);
        assert_eq!(of_cell(&[], (0, 0)), None);
    }
}
