//! How metrics read on screen: label, unit, figure, difference to the reference, and what a figure means.

use crate::desk::Desk;
use crate::theme::{self, BODY, Look};
use egui::Ui;
use washboard_metrics::{Better, MetricId, Scorecard};
use washboard_study::{Board, Difference};
pub(crate) use washboard_words::figures::*;

/// Means, formula and source of a metric, as shown under the pointer.
pub(crate) fn explain(ui: &mut Ui, look: &Look, id: MetricId) {
    let m = id.metric();
    ui.label(theme::bold(ui, title(id), BODY));
    ui.label(m.meaning);
    ui.label(theme::note(look, format!("Simplified: {}", id.simplification())));
    ui.label(theme::note(look, id.accuracy_in_words()));
    let better = match m.better {
        Better::Lower => "Less is better.",
        Better::Higher => "More is better.",
        Better::Neither => "Neither way is better by itself.",
    };
    ui.label(theme::note(look, format!("{better} Source: {}", m.source)));
    ui.label(theme::note(look, format!("In files: {}", m.name)));
}

/// The difference of a mode to the reference in a metric.
pub(crate) fn difference(board: &Board, mode: usize, id: MetricId) -> Option<&Difference> {
    board.differences.iter().find(|d| d.mode == mode && d.metric == id)
}

/// Scorecard of a mode over all events, for the load case on screen.
pub(crate) fn overall<'a>(desk: &Desk<'a>, board: &'a Board, mode: usize) -> Option<&'a Scorecard> {
    let of_mode = || board.evaluation.overall.iter().filter(move |o| o.mode == mode);
    let case = desk.cx.request.load_case;
    of_mode().find(|o| o.load_case == case).or_else(|| of_mode().next()).map(|o| &o.card)
}

/// Scorecard of a mode over one event.
pub(crate) fn of_event(board: &Board, mode: usize, event: usize) -> Option<&Scorecard> {
    board.evaluation.runs.iter().find(|r| r.mode == mode && r.event == event).map(|r| &r.card)
}
