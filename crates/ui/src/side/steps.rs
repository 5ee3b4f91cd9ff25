//! Steps from each column to the next in what a driver feels, and whether they are felt and lead one way.

use super::{Shown, columns};
use crate::desk::Desk;
use crate::figures;
use crate::table::{self, Table};
use crate::theme::{self, BODY, SMALL};
use crate::words;
use egui::{RichText, Ui};
use washboard_metrics::MetricId;
use washboard_study::{FELT, FELT_SHARE, Step};

pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>, shown: Shown<'_>) {
    let look = desk.look;
    let steps = &shown.board.steps;
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, "steps from each column to the next", BODY + 0.5).color(look.text));
        if !steps.is_empty() {
            let asked = table::links(ui, look, "steps between columns", || as_table(shown));
            desk.out.extend(asked);
        }
    });
    let bound = format!("A step below {:.0} % is marked as not felt: common practice, no source.", FELT_SHARE * 100.0);
    ui.label(theme::note(look, bound));
    if shown.keys.len() < 2 {
        ui.add_space(8.0);
        ui.label("Tick a second column: a step leads from each column to the one behind it.");
        return;
    }
    if steps.is_empty() {
        ui.add_space(8.0);
        ui.label("The events tell nothing of roll, body motion or comfort: add a road and a manoeuvre in Roads.");
        return;
    }
    let looks = columns::looks(desk.session(), shown.keys);
    let felt: Vec<MetricId> = FELT.into_iter().filter(|id| steps.iter().any(|s| s.difference.metric == *id)).collect();
    ui.add_space(6.0);
    look.card_frame().show(ui, |ui| {
        ui.multiply_opacity(shown.strength);
        egui::Grid::new("steps").num_columns(felt.len() + 1).spacing([26.0, 8.0]).show(ui, |ui| {
            ui.label(theme::note(look, "from → to"));
            for id in &felt {
                let title = ui.label(theme::bold(ui, figures::title(*id), BODY - 0.5));
                title.on_hover_ui(|ui| figures::explain(ui, look, *id));
            }
            ui.end_row();
            for to in 1..shown.keys.len() {
                ui.horizontal(|ui| {
                    let name = |c: usize| theme::bold(ui, shown.name(c), BODY).color(look.mode(looks[c]));
                    let (from, to) = (name(to - 1), name(to));
                    ui.label(from);
                    ui.label(theme::note(look, "→"));
                    ui.label(to);
                });
                for id in &felt {
                    match steps.iter().find(|s| s.difference.mode == to && s.difference.metric == *id) {
                        Some(step) => one(ui, desk, step),
                        None => drop(ui.label("–")),
                    }
                }
                ui.end_row();
            }
            if shown.keys.len() > 2 {
                ui.label(theme::note(look, "all steps one way"));
                for id in &felt {
                    let (text, color) = if leads_one_way(steps, *id) {
                        ("✓ in order", look.good)
                    } else {
                        ("✕ turns back", look.crossed)
                    };
                    ui.label(RichText::new(text).size(BODY - 0.5).color(color));
                }
                ui.end_row();
            }
        });
    });
}

/// A step: figures, share with its interval, and whether it is felt.
fn one(ui: &mut Ui, desk: &Desk<'_>, step: &Step) {
    let (look, d) = (desk.look, &step.difference);
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        let figures =
            format!("{} → {}", figures::figure(d.metric, d.reference), figures::figure_with_unit(d.metric, d.value));
        ui.label(theme::number(figures, SMALL));
        ui.horizontal(|ui| {
            let share = figures::difference_text(d, true).unwrap_or_default();
            let (word, color) = if step.is_felt { ("● felt", look.text) } else { ("○ not felt", look.caution) };
            ui.label(theme::number(share, SMALL).color(color));
            ui.label(RichText::new(word).size(SMALL + 0.5).color(color));
        });
    });
}

/// True where no step of a quantity goes against another.
fn leads_one_way(steps: &[Step], id: MetricId) -> bool {
    let shares = || steps.iter().filter(move |s| s.difference.metric == id).map(|s| s.difference.share);
    shares().all(|s| s >= 0.0) || shares().all(|s| s <= 0.0)
}

fn as_table(shown: Shown<'_>) -> Table {
    let felt = format!("felt (at least {} %)", words::fixed(FELT_SHARE * 100.0, 0));
    let head = ["from", "to", "metric", "unit", "from value", "to value", "difference, %", "95 % interval, ± %"];
    let mut table = Table::new(head.map(str::to_owned).into_iter().chain([felt]));
    for step in &shown.board.steps {
        let d = &step.difference;
        table.row([
            shown.name(step.from),
            shown.name(d.mode),
            d.metric.name().to_owned(),
            d.metric.metric().unit.to_owned(),
            table::number(d.reference),
            table::number(d.value),
            table::number(d.share * 100.0),
            table::opt(d.half_width.map(|h| h * 100.0)),
            if step.is_felt { "yes" } else { "no" }.to_owned(),
        ]);
    }
    table
}
