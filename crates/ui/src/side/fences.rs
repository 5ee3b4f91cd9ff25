//! The list of fences, each with its metric, bounds, base and event to change.

use crate::command::Command;
use crate::desk::Desk;
use crate::figures;
use crate::table::{self, Table};
use crate::theme::{self, SMALL};
use crate::view::View;
use crate::widgets::{choice, link, section};
use egui::{RichText, Ui};
use washboard_metrics::MetricId;
use washboard_session::{Edit, Fence};

/// Every fence with how it stands for each mode it holds for, in SI.
fn as_table(desk: &Desk<'_>) -> Table {
    let mut table = Table::new([
        "fence",
        "metric",
        "unit",
        "mode",
        "event",
        "at least",
        "at most",
        "times the mode",
        "value",
        "bound",
        "kept",
    ]);
    let states = desk.board().map_or(&[][..], |b| &b.evaluation.fences);
    for (i, fence) in desk.session().fences.iter().enumerate() {
        let unit = MetricId::by_name(&fence.metric).map_or("", |m| m.metric().unit);
        let head = |mode: &str| {
            vec![
                (i + 1).to_string(),
                fence.metric.clone(),
                unit.to_owned(),
                mode.to_owned(),
                fence.event.clone().unwrap_or_default(),
                table::opt(fence.at_least),
                table::opt(fence.at_most),
                fence.relative_to.clone().unwrap_or_default(),
            ]
        };
        let mut has_state = false;
        for state in states.iter().filter(|s| s.fence == i) {
            has_state = true;
            let mut row = head(desk.mode(state.mode).map_or("", |m| m.name.as_str()));
            let kept = if state.kept { "yes" } else { "no" };
            row.extend([table::number(state.value), table::number(state.bound), kept.to_owned()]);
            table.row(row);
        }
        if !has_state {
            table.row(head(&fence.modes.join(" ")));
        }
    }
    table
}

/// The list of fences, each with its bound to type into.
pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let all = desk.session().fences.clone();
    let modes: Vec<String> = desk.session().modes.iter().map(|m| m.name.clone()).collect();
    let events: Vec<String> = desk.session().events.iter().map(|e| e.name.clone()).collect();
    let metrics: Vec<MetricId> = MetricId::all().collect();
    let mut changed: Option<Vec<Fence>> = None;
    ui.horizontal(|ui| {
        section(ui, look, "fences", "bounds on a metric that an edit must not cross");
        if link(ui, look, "add a fence").clicked() {
            let mut fences = all.clone();
            let relative_to = desk.mode(desk.reference()).map(|m| m.name.clone());
            fences.push(Fence {
                metric: MetricId::WEIGHTED_ACCELERATION.name().to_owned(),
                at_most: Some(1.1),
                at_least: None,
                relative_to,
                event: None,
                modes: Vec::new(),
            });
            changed = Some(fences);
        }
        let asked = table::links(ui, look, "fences", || as_table(desk));
        desk.out.extend(asked);
    });
    egui::ScrollArea::both().id_salt("fences").auto_shrink(false).show(ui, |ui| {
        if all.is_empty() {
            ui.label("None yet. A fence such as “weighted acceleration at most 1.1 times everyday” turns red here and in Tune when an edit crosses it.");
        }
        egui::Grid::new("fence list").num_columns(8).spacing([8.0, 3.0]).show(ui, |ui| {
            for (i, fence) in all.iter().enumerate() {
                let metric = MetricId::by_name(&fence.metric);
                let mut titles: Vec<String> = metrics.iter().map(|m| figures::title(*m)).collect();
                // A metric of a document that this program does not know is shown by its name, to be mended here.
                let now = metrics.iter().position(|m| Some(*m) == metric).unwrap_or_else(|| {
                    titles.push(format!("✕ unknown: {}", fence.metric));
                    metrics.len()
                });
                let change = |f: &mut dyn FnMut(&mut Fence)| {
                    let mut fences = all.clone();
                    f(&mut fences[i]);
                    Some(fences)
                };
                if let Some(m) = choice(ui, &format!("Metric of fence {}", i + 1), 220.0, now, &titles)
                    && m < metrics.len()
                {
                    changed = change(&mut |f| f.metric = metrics[m].name().to_owned());
                }
                bounds(ui, view, desk, i, fence, metric);
                let bases: Vec<String> = std::iter::once("absolute".to_owned()).chain(modes.iter().map(|m| format!("times {m}"))).collect();
                let now = fence.relative_to.as_ref().and_then(|r| modes.iter().position(|m| m == r)).map_or(0, |m| m + 1);
                if let Some(b) = choice(ui, &format!("Base of fence {}", i + 1), 110.0, now, &bases) {
                    changed = change(&mut |f| f.relative_to = b.checked_sub(1).map(|m| modes[m].clone()));
                }
                let places: Vec<String> = std::iter::once("all events".to_owned()).chain(events.iter().cloned()).collect();
                let now = fence.event.as_ref().and_then(|e| events.iter().position(|n| n == e)).map_or(0, |e| e + 1);
                if let Some(e) = choice(ui, &format!("Event of fence {}", i + 1), 130.0, now, &places) {
                    changed = change(&mut |f| f.event = e.checked_sub(1).map(|e| events[e].clone()));
                }
                if let Some(with) = whose(ui, i, fence, &modes) {
                    changed = change(&mut |f| f.modes = with.clone());
                }
                state(ui, desk, i);
                if link(ui, look, "✕").accessible_name(format!("delete fence {}", i + 1)).clicked() {
                    let mut fences = all.clone();
                    fences.remove(i);
                    changed = Some(fences);
                }
                ui.end_row();
            }
        });
        for i in 0..all.len() {
            for side in ["at_most", "at_least"] {
                crate::field::sentence(ui, view, look, &format!("fences[{i}].{side}"));
            }
        }
    });
    if let Some(fences) = changed {
        desk.ask(Command::Edit(Edit::SetFences(fences)));
    }
}

/// The modes a fence holds for, ticked in a list; the new ones where they were changed.
fn whose(ui: &mut Ui, i: usize, fence: &Fence, modes: &[String]) -> Option<Vec<String>> {
    let text = if fence.modes.is_empty() { "all modes".to_owned() } else { fence.modes.join(", ") };
    let mut changed = None;
    let shown = egui::ComboBox::from_id_salt(("modes of fence", i))
        .width(100.0)
        .truncate()
        .selected_text(RichText::new(text).size(theme::BODY - 0.5))
        .close_behavior(egui::PopupCloseBehavior::CloseOnClickOutside)
        .show_ui(ui, |ui| {
            if ui.selectable_label(fence.modes.is_empty(), "all modes").clicked() {
                changed = Some(Vec::new());
            }
            for mode in modes {
                let mut is_in = fence.modes.contains(mode);
                if ui.checkbox(&mut is_in, mode).changed() {
                    let keeps = |m: &&String| if *m == mode { is_in } else { fence.modes.contains(*m) };
                    changed = Some(modes.iter().filter(keeps).cloned().collect());
                }
            }
        });
    shown.response.accessible_name(format!("Modes of fence {}", i + 1));
    changed
}

/// The two bounds, in the unit that the metric is read in or as a factor.
fn bounds(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, i: usize, fence: &Fence, metric: Option<MetricId>) {
    let (unit, factor) = match (&fence.relative_to, metric) {
        (Some(_), _) => ("×".to_owned(), 1.0),
        (None, Some(m)) => (figures::screen_unit(m), figures::screen_factor(m)),
        (None, None) => (String::new(), 1.0),
    };
    for (side, sign) in [("at_least", "≥"), ("at_most", "≤")] {
        let path = format!("fences[{i}].{side}");
        let Some(number) = washboard_session::number(desk.session(), &path) else { continue };
        ui.horizontal(|ui| {
            ui.label(sign);
            let word = if side == "at_most" { "upper" } else { "lower" };
            let comma = if unit.is_empty() { "" } else { ", " };
            let field = crate::field::Field {
                key: &number.path,
                name: format!("{word} bound of fence {}{comma}{unit}", i + 1),
                value: number.value.map(|si| as_read(si * factor)),
                limit: number.limit,
                width: 56.0,
            };
            let path = number.path.clone();
            crate::field::show(ui, view, desk, &field, move |read| Edit::SetNumber { path, value: read / factor });
            ui.label(theme::note(desk.look, &unit));
        });
    }
}

/// A bound as it is read: digits that only the change of unit made are left out.
fn as_read(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let digits = 6 - value.abs().log10().floor() as i32;
    let scale = 10_f64.powi(digits.clamp(-300, 300));
    (value * scale).round() / scale
}

/// How the fence stands now, over the modes it holds for.
fn state(ui: &mut Ui, desk: &Desk<'_>, fence: usize) {
    let look = desk.look;
    let states: Vec<_> =
        desk.board().map_or(Vec::new(), |b| b.evaluation.fences.iter().filter(|f| f.fence == fence).collect());
    let crossed = states.iter().filter(|f| !f.kept).count();
    let (text, color) = match (states.len(), crossed) {
        (0, _) if desk.board().is_some() => ("not judged".to_owned(), look.caution),
        (0, _) => ("–".to_owned(), look.weak),
        (_, 0) => ("✓ kept".to_owned(), look.good),
        (_, n) => (format!("✕ crossed by {}", crate::words::count(n, "mode", "modes")), look.crossed),
    };
    ui.label(RichText::new(text).size(SMALL + 0.5).color(color)).on_hover_ui(|ui| {
        if states.is_empty() {
            ui.label("No run on screen has this figure; another model or event may.");
        }
        for f in &states {
            let name = desk.mode(f.mode).map_or("a mode", |m| m.name.as_str());
            ui.label(figures::fence_sentence(desk.session(), name, f));
        }
    });
}
