//! A fence made in one step from a row of the scorecard: held to the reference, or to what it is now.

use crate::command::Command;
use crate::desk::Desk;
use crate::figures;
use crate::side::show_fences;
use crate::view::View;
use egui::Ui;
use washboard_metrics::{Better, MetricId};
use washboard_session::{Edit, Fence};
use washboard_study::Board;

/// Room that a fence leaves beyond the figure it is held to, as a share of it.
const ROOMS: [f64; 3] = [0.0, 0.05, 0.10];

/// A fence on a metric at a factor of what it is held to: above it where less is better, below it where more is.
fn bounds(metric: MetricId, figure: f64, room: f64) -> (Option<f64>, Option<f64>) {
    // Rounded so that the document shows a factor of 1.05 and not its neighbours.
    let at = |bound: f64| Some((bound * 1e9).round() / 1e9);
    match metric.metric().better {
        Better::Higher => (None, at(figure * (1.0 - room))),
        Better::Lower | Better::Neither => (at(figure * (1.0 + room)), None),
    }
}

/// The mode held to the reference, with so much room; `None` for the reference itself.
fn to_reference(desk: &Desk<'_>, mode: usize, metric: MetricId, event: Option<usize>, room: f64) -> Option<Fence> {
    let reference = desk.reference();
    if mode == reference {
        return None;
    }
    let (at_most, at_least) = bounds(metric, 1.0, room);
    Some(Fence {
        metric: metric.name().to_owned(),
        at_most,
        at_least,
        relative_to: Some(desk.mode(reference)?.name.clone()),
        event: event.and_then(|e| desk.session().events.get(e)).map(|e| e.name.clone()),
        modes: vec![desk.mode(mode)?.name.clone()],
    })
}

/// The mode held to its own figure of now, as fences judge it; `None` where it has none.
fn to_now(desk: &Desk<'_>, board: &Board, mode: usize, metric: MetricId, event: Option<usize>) -> Option<Fence> {
    let card = match event {
        Some(event) => figures::of_event(board, mode, event),
        None => figures::overall(desk, board, mode),
    };
    // A rounding may not cross the fence at once.
    let figure = card?.worst(metric).filter(|v| v.is_finite())?;
    let (at_most, at_least) = bounds(metric, figure, if figure == 0.0 { 0.0 } else { 1e-6 });
    Some(Fence {
        metric: metric.name().to_owned(),
        at_most,
        at_least,
        relative_to: None,
        event: event.and_then(|e| desk.session().events.get(e)).map(|e| e.name.clone()),
        modes: vec![desk.mode(mode)?.name.clone()],
    })
}

/// Puts a fence up; one that is held to the same thing gives way to it.
fn put_up(desk: &mut Desk<'_>, fence: Fence) {
    let is_same = |f: &Fence| {
        (&f.metric, &f.relative_to, &f.event, &f.modes)
            == (&fence.metric, &fence.relative_to, &fence.event, &fence.modes)
            && (f.at_most.is_some(), f.at_least.is_some()) == (fence.at_most.is_some(), fence.at_least.is_some())
    };
    let mut fences: Vec<Fence> = desk.session().fences.iter().filter(|f| !is_same(f)).cloned().collect();
    fences.push(fence);
    desk.ask(Command::Edit(Edit::SetFences(fences)));
}

/// In one step: the mode under work is held to the reference's figure over all events, the reference to its own of now.
pub(super) fn hold(view: &View, desk: &mut Desk<'_>, board: &Board, metric: MetricId) {
    let fence =
        to_reference(desk, view.mode, metric, None, 0.0).or_else(|| to_now(desk, board, view.mode, metric, None));
    if let Some(fence) = fence {
        put_up(desk, fence);
    }
}

/// Takes every fence on the metric away that holds for the mode under work alone.
pub(super) fn let_go(view: &View, desk: &mut Desk<'_>, metric: MetricId) {
    let Some(mode) = desk.mode(view.mode) else { return };
    let own = |f: &Fence| f.metric == metric.name() && f.modes == [mode.name.clone()];
    let fences: Vec<Fence> = desk.session().fences.iter().filter(|f| !own(f)).cloned().collect();
    if fences.len() < desk.session().fences.len() {
        desk.ask(Command::Edit(Edit::SetFences(fences)));
    }
}

/// The menu of a row.
pub(super) fn menu(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, board: &Board, metric: MetricId) {
    let name = desk.mode(view.mode).map_or(String::new(), |m| m.name.clone());
    let reference = desk.mode(desk.reference()).map_or(String::new(), |m| m.name.clone());
    let shown = desk.session().events.get(board.request.event).map(|e| (board.request.event, e.name.clone()));
    let places = std::iter::once((None, "over all events".to_owned()))
        .chain(shown.map(|(index, name)| (Some(index), format!("on {name}"))));
    for (event, place) in places {
        ui.label(crate::theme::note(desk.look, format!("a fence for {name}, {place}")));
        for room in ROOMS {
            let Some(fence) = to_reference(desk, view.mode, metric, event, room) else { continue };
            let key = if event.is_none() && room == 0.0 { "F" } else { "" };
            let text = match room {
                0.0 => format!("as good as {reference}"),
                room => format!("at most {} % worse than {reference}", room * 100.0),
            };
            let button = egui::Button::new(text);
            let button = if key.is_empty() { button } else { button.shortcut_text(key) };
            if ui.add(button).clicked() {
                put_up(desk, fence);
                ui.close();
            }
        }
        if let Some(fence) = to_now(desk, board, view.mode, metric, event)
            && ui.button("no worse than it is now").clicked()
        {
            put_up(desk, fence);
            ui.close();
        }
    }
    ui.separator();
    let all = desk.session().fences.clone();
    for (i, fence) in all.iter().enumerate().filter(|(_, f)| f.metric == metric.name()) {
        if ui.button(format!("Take away: {}", figures::fence_in_words(fence))).clicked() {
            let mut fences = all.clone();
            fences.remove(i);
            desk.ask(Command::Edit(Edit::SetFences(fences)));
            ui.close();
        }
    }
    if ui.button("All fences").clicked() {
        show_fences(view);
        ui.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn room_lies_on_the_worse_side() {
        assert_eq!(bounds(MetricId::WEIGHTED_ACCELERATION, 1.0, 0.05), (Some(1.05), None));
        assert_eq!(bounds(MetricId::LEAST_WHEEL_LOAD, 1.0, 0.1), (None, Some(0.9)));
    }
}
