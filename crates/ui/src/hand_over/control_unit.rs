//! What the control unit will hold: its layout, the form of the C files, the largest error of each table, and what that
//! does to the figures.

use super::proposal;
use crate::command::Command;
use crate::context::{Held, HeldFigure, LayoutView};
use crate::desk::Desk;
use crate::figures::{self, MAIN};
use crate::table::{self, Table};
use crate::theme::{self, BODY, SMALL};
use crate::view::{ProposalForm, View};
use crate::widgets::{choice, link, section};
use crate::words;
use egui::{RichText, Ui};
use washboard_handover::{CNumbers, TableError, Width};
use washboard_metrics::MetricId;
use washboard_session::fault::plain;

/// Most figures shown beside the main ones; the copied table has all of them.
const MOST_OTHERS: usize = 6;

/// What C files can be written in, with the words for it.
const C_CHOICES: [(&str, Option<CNumbers>); 6] = [
    ("no C files", None),
    ("floating point", Some(CNumbers::Proposed(Width::Float))),
    ("8 bits, finest factor", Some(CNumbers::Proposed(Width::Bits8))),
    ("16 bits, finest factor", Some(CNumbers::Proposed(Width::Bits16))),
    ("32 bits, finest factor", Some(CNumbers::Proposed(Width::Bits32))),
    ("the types of the layout", Some(CNumbers::AsLayout)),
];

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let layout = desk.cx.hand_over.layout.as_ref();
    section(ui, look, "control unit", "RON, JSON and CSV always go out; here is what goes along");
    ui.horizontal(|ui| {
        ui.label("C header and source:");
        let offered = if layout.is_some() { &C_CHOICES[..] } else { &C_CHOICES[..C_CHOICES.len() - 1] };
        let chosen = offered.iter().position(|(_, c)| *c == view.hand_over.c).unwrap_or(0);
        view.hand_over.c = offered[chosen].1;
        let names: Vec<String> = offered.iter().map(|(name, _)| (*name).to_owned()).collect();
        if let Some(i) = choice(ui, "C files", 170.0, chosen, &names) {
            view.hand_over.c = offered[i].1;
        }
    });
    ui.horizontal(|ui| {
        ui.label("Memory image (Intel HEX and plain):");
        match layout {
            None => {
                if ui.button("Choose a layout…").clicked() {
                    desk.ask(Command::ChooseLayout);
                }
                if view.hand_over.proposal.is_none() && ui.button("Propose a layout").clicked() {
                    view.hand_over.proposal = Some(ProposalForm::default());
                }
            }
            Some(layout) => {
                let text = format!("after {} ({})", layout.file, layout.name);
                ui.add(egui::Label::new(theme::bold(ui, text, BODY)).truncate());
                if link(ui, look, "another…").accessible_name("another layout…").clicked() {
                    desk.ask(Command::ChooseLayout);
                }
                if link(ui, look, "none").accessible_name("no layout").clicked() {
                    desk.ask(Command::LeaveLayout);
                }
            }
        }
    });
    let Some(layout) = layout else {
        let text = "A layout says where each number lies in the control unit's memory and how it is written there. A \
                    proposed one packs this set; the control unit's software must have the same addresses.";
        ui.add(egui::Label::new(theme::note(look, text)).wrap());
        proposal::show(ui, view, desk);
        return;
    };
    // What was proposed is chosen now.
    view.hand_over.proposal = None;
    ui.add_space(6.0);
    match &layout.held {
        None => drop(ui.label(theme::note(look, "Looking at what it will hold …"))),
        Some(Err(sentence)) => {
            ui.add(egui::Label::new(RichText::new(format!("✕ {sentence}")).color(look.crossed)).wrap());
        }
        Some(Ok(held)) => {
            figures_of(ui, desk, layout);
            ui.add_space(6.0);
            errors(ui, desk, held);
        }
    }
}

/// The exact figures beside those in the car.
fn figures_of(ui: &mut Ui, desk: &mut Desk<'_>, layout: &LayoutView) {
    let look = desk.look;
    let figures = match &layout.figures {
        None => return drop(ui.label(theme::note(look, "Computing the figures with what it will hold …"))),
        Some(Err(sentence)) => {
            ui.add(egui::Label::new(RichText::new(format!("✕ Not computed: {sentence}")).color(look.crossed)).wrap());
            return;
        }
        Some(Ok(figures)) => figures,
    };
    let mut asked = None;
    ui.horizontal(|ui| {
        let note = "exact → held; means over all events, car as described";
        section(ui, look, "figures in the car", note);
        asked = table::links(ui, look, "figures in the car", || as_table(figures));
    });
    desk.out.extend(asked);
    ui.scope(|ui| {
        if !layout.figures_are_fresh {
            ui.multiply_opacity(0.55);
        }
        egui::ScrollArea::horizontal().id_salt("figures in the car").show(ui, |ui| grid(ui, desk, figures));
        ui.label(theme::note(look, "All other figures differ less; copy has all of them."));
        if figures.iter().any(draws_another_current) {
            ui.add(egui::Label::new(theme::note(look, OTHER_CURRENT)).wrap());
        }
    });
}

/// Why mean currents part while forces do not. Measured with the demo's cars and tables of 21 x 21 points (13 to 32 % over
/// all events); 121 x 121 still leave 6 to 24 %, for the inverse looks the same at every scale around rest.
const OTHER_CURRENT: &str = "Mean current differs because near rest the exact inversion still asks for what a vanishing \
    motion wants, while a finite table falls to the soft end below its slowest velocity: within 4 % on roads, down to a third \
    over obstacles and manoeuvres that come to rest. Forces there are next to nothing. For heat and battery take the held \
    figure; with a blending velocity of 5 mm/s both are alike within 5 %.";
/// From this difference on it is said, as a share.
const OTHER_CURRENT_SHARE: f64 = 0.02;

fn draws_another_current(one: &HeldFigure) -> bool {
    one.metric == MetricId::MEAN_CURRENT && one.share().is_some_and(|share| share.abs() > OTHER_CURRENT_SHARE)
}

/// A row a figure, a column a mode: the main figures, then those that differ most.
fn grid(ui: &mut Ui, desk: &Desk<'_>, figures: &[HeldFigure]) {
    let look = desk.look;
    let mut modes: Vec<&str> = Vec::new();
    for one in figures {
        if !modes.contains(&one.mode.as_str()) {
            modes.push(&one.mode);
        }
    }
    // In the order that they have everywhere else; a set sorts its modes by name.
    modes.sort_by_key(|name| desk.session().modes.iter().position(|own| own.name == *name));
    let of = |metric: MetricId, mode: &str| figures.iter().find(|one| one.metric == metric && one.mode == mode);
    let mut rows: Vec<MetricId> =
        MAIN.into_iter().filter(|metric| figures.iter().any(|one| one.metric == *metric)).collect();
    let main = rows.len();
    // What reads the same on both sides says nothing, whatever its share.
    let reads_alike =
        |one: &HeldFigure| figures::figure(one.metric, one.exact) == figures::figure(one.metric, one.held);
    for one in largest_first(figures).into_iter().filter(|one| !reads_alike(one)) {
        if rows.len() < main + MOST_OTHERS && !rows.contains(&one.metric) {
            rows.push(one.metric);
        }
    }
    egui::Grid::new("figures in the car").num_columns(1 + modes.len()).spacing([14.0, 2.0]).striped(true).show(
        ui,
        |ui| {
            ui.label(theme::note(look, "figure"));
            for mode in &modes {
                let at = desk.session().modes.iter().position(|own| own.name == *mode);
                ui.label(theme::bold(ui, *mode, SMALL + 0.5).color(at.map_or(look.text, |at| look.mode(at))));
            }
            ui.end_row();
            for metric in rows {
                ui.label(RichText::new(figures::title(metric)).size(SMALL + 0.5))
                    .on_hover_ui(|ui| figures::explain(ui, look, metric));
                for mode in &modes {
                    let Some(one) = of(metric, mode) else {
                        ui.label(theme::note(look, "–"));
                        continue;
                    };
                    let share =
                        one.share().map_or(String::new(), |share| format!(" ({} %)", words::signed(share * 100.0, 1)));
                    let values =
                        format!("{} → {}", figures::figure(metric, one.exact), figures::figure(metric, one.held));
                    ui.label(theme::number(format!("{values}{share}"), SMALL)).on_hover_text(format!(
                        "{} with the exact maps, {} with what the control unit holds",
                        figures::figure_with_unit(metric, one.exact),
                        figures::figure_with_unit(metric, one.held)
                    ));
                }
                ui.end_row();
            }
        },
    );
}

/// The largest error of each table.
fn errors(ui: &mut Ui, desk: &mut Desk<'_>, held: &Held) {
    let look = desk.look;
    let mut asked = None;
    ui.horizontal(|ui| {
        section(ui, look, "largest error of each table", "in the control unit, and at which cell");
        asked = table::links(ui, look, "largest errors", || error_table(&held.errors));
    });
    desk.out.extend(asked);
    if !held.left_out.is_empty() {
        let text = format!(
            "The layout has no place for {}: the control unit must have them from elsewhere.",
            words::count(held.left_out.len(), "number or table", "numbers or tables")
        );
        ui.add(egui::Label::new(RichText::new(text).color(look.caution)).wrap())
            .on_hover_text(held.left_out.join("\n"));
    }
    egui::Grid::new("largest errors").num_columns(4).spacing([12.0, 2.0]).striped(true).show(ui, |ui| {
        for title in ["table", "at", "exact → held", "error"] {
            ui.label(theme::note(look, title));
        }
        ui.end_row();
        for error in &held.errors {
            let text = |text: &str| RichText::new(text).size(SMALL + 0.5);
            let unit = words::unit(error.unit);
            table_name(ui, &error.place).on_hover_text(&error.place);
            ui.label(text(&error.at.replace("m/s^2", "m/s²")));
            ui.label(theme::number(format!("{} → {} {unit}", short(error.exact), short(error.quantised)), SMALL));
            let half = format!("Half a step of its number is {} {unit}.", short(error.half_step));
            ui.label(theme::number(format!("{} {unit}", short(error.error())), SMALL)).on_hover_text(half);
            ui.end_row();
        }
    });
}

/// Which table a row is of, as wide as the column of all of them.
pub(super) fn table_name(ui: &mut Ui, place: &str) -> egui::Response {
    const WIDTH: f32 = 240.0;
    // What tells two of them apart stands at the end.
    let short = place.replace("inverse damper table of the", "inverse table,");
    let label = egui::Label::new(RichText::new(short).size(SMALL + 0.5)).truncate();
    let left = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(egui::vec2(WIDTH, 16.0), left, |ui| {
        ui.set_min_width(WIDTH);
        ui.add(label)
    })
    .inner
}

/// Four significant digits.
pub(super) fn short(value: f64) -> String {
    words::minus(plain(format!("{value:.3e}").parse().unwrap_or(value)))
}

impl HeldFigure {
    /// Difference over the exact figure; none where that is nothing.
    fn share(&self) -> Option<f64> {
        Some((self.held - self.exact) / self.exact.abs()).filter(|share| share.is_finite())
    }
}

fn largest_first(figures: &[HeldFigure]) -> Vec<&HeldFigure> {
    let mut sorted: Vec<&HeldFigure> = figures.iter().collect();
    let size = |one: &HeldFigure| one.share().map_or(0.0, f64::abs);
    sorted.sort_by(|a, b| size(b).total_cmp(&size(a)));
    sorted
}

fn as_table(figures: &[HeldFigure]) -> Table {
    let mut table = Table::new(["mode", "figure", "unit", "exact", "in the car", "difference, %"]);
    for one in largest_first(figures) {
        let metric = one.metric.metric();
        let share = one.share().map(|share| share * 100.0);
        table.row([
            one.mode.clone(),
            metric.name.to_owned(),
            metric.unit.to_owned(),
            table::number(one.exact),
            table::number(one.held),
            table::opt(share),
        ]);
    }
    table
}

fn error_table(errors: &[TableError]) -> Table {
    let mut table = Table::new(["table", "at", "unit", "exact", "held", "error", "half a step"]);
    for error in errors {
        table.row([
            error.place.clone(),
            error.at.clone(),
            error.unit.to_owned(),
            table::number(error.exact),
            table::number(error.quantised),
            table::number(error.error()),
            table::number(error.half_step),
        ]);
    }
    table
}
