//! What the driver said: a list to pick from, the words of the last remark first.

use super::search;
use crate::desk::Desk;
use crate::theme;
use crate::tune::of_run;
use crate::view::{Place, View};
use egui::Ui;
use washboard_metrics::MetricId;
use washboard_session::complaints::Complaint;

/// Rows whose words hold all that was typed; those that the last remark speaks of stand first.
fn found<'c>(desk: &Desk<'c>, typed: &str) -> Vec<&'c Complaint> {
    let table = desk.cx.complaints;
    let first = desk.session().logbook.last().map_or(Vec::new(), |run| of_run(table, run));
    let rest = table.complaints.iter().filter(|row| !first.contains(row));
    let typed = typed.to_lowercase();
    let fits = |row: &&Complaint| {
        let text = format!("{} {}", row.said, row.words.join(" ")).to_lowercase();
        typed.split_whitespace().all(|word| text.contains(word))
    };
    first.iter().copied().chain(rest).filter(fits).collect()
}

/// What a row is read by, and on how many events of the session.
fn end(desk: &Desk<'_>, row: &Complaint) -> String {
    let metric = MetricId::by_name(&row.metric).map_or(row.metric.as_str(), |id| id.metric().label);
    match row.events(&desk.session().events).len() {
        0 => format!("{metric} · no such event here"),
        1 => format!("{metric} · 1 event"),
        n => format!("{metric} · {n} events"),
    }
}

/// Draws it; true when it is to be closed.
pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, height: f32) -> bool {
    let lines = |typed: &str| found(desk, typed).into_iter().map(|row| (row.said.clone(), end(desk, row))).collect();
    let picked = search::show(ui, desk.look, &mut view.finder, "What did the driver say", lines, height);
    ui.add_space(4.0);
    ui.label(theme::note(desk.look, format!("Table: {}", desk.cx.complaints_from)));
    let Some(row) = picked.and_then(|i| found(desk, &view.finder.text).get(i).copied()) else { return false };
    let run = desk.session().logbook.last();
    let is_of_run = run.is_some_and(|run| of_run(desk.cx.complaints, run).contains(&row));
    view.lever.follow(row, run.filter(|_| is_of_run).map(|run| run.event.as_str()));
    view.place = Place::Tune;
    view.aside = None;
    true
}
