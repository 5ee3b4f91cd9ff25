//! Roads: the events, what they are, and how much they count.

mod fields;
mod list;
mod picture;
pub(crate) mod plots;
mod readings;
mod templates;

use crate::chart::PlotName;
use crate::command::RequestChange;
use crate::desk::Desk;
use crate::field;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::link;
use crate::words::event::{about, kind_name};
use egui::{Rect, RichText, Ui, pos2, vec2};
use washboard_session::{Edit, Event};

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    view.event = view.event.min(desk.session().events.len().saturating_sub(1));
    list::keys(ui, view, desk);
    if let Some(plot) = desk.enlarged
        && draw(ui, view, desk, plot, area)
    {
        return;
    }
    let split = area.left() + (area.width() * 0.44).clamp(500.0, 760.0);
    let left = Rect::from_min_max(area.min, pos2(split, area.bottom()));
    let right = Rect::from_min_max(pos2(split + 16.0, area.top()), area.max);
    let mut list_part = ui.new_child(egui::UiBuilder::new().max_rect(left).id_salt("events"));
    list_part.shrink_clip_rect(left.expand(3.0));
    list::show(&mut list_part, view, desk, left);
    let mut one_part = ui.new_child(egui::UiBuilder::new().max_rect(right).id_salt("event"));
    one_part.shrink_clip_rect(right.expand(3.0));
    one(&mut one_part, view, desk, right);
}

/// Draws one plot of this place; false where it belongs to another.
fn draw(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, plot: PlotName, rect: Rect) -> bool {
    match plot {
        PlotName::RoadHeight => plots::height(ui, view, desk, rect),
        PlotName::RoadDensity => plots::density(ui, view, desk, rect),
        PlotName::Demands => plots::demands(ui, view, desk, rect),
        PlotName::Cones => plots::cones(ui, view, desk, rect),
        _ => return false,
    }
    true
}

/// The plots of the chosen event, the most telling first, with the share of height each wants.
fn plots_of(view: &View, desk: &Desk<'_>) -> Vec<(PlotName, f32)> {
    let Some(found) = plots::chosen(view, desk) else { return vec![(PlotName::RoadHeight, 1.0)] };
    let mut wanted = Vec::new();
    if !found.road.tracks.is_empty() {
        wanted.push((PlotName::RoadHeight, 1.0));
    }
    if found.road.tracks.iter().any(|t| t.density.is_some()) {
        wanted.push((PlotName::RoadDensity, 1.25));
    }
    if found.cones.is_some() {
        wanted.push((PlotName::Cones, 1.0));
    }
    let demands = &found.demands;
    if !demands.lateral_m_per_s2.is_empty() || !demands.longitudinal_m_per_s2.is_empty() {
        let is_both = !demands.longitudinal_m_per_s2.is_empty();
        wanted.push((PlotName::Demands, if is_both { 1.4 } else { 1.0 }));
    }
    wanted
}

/// One event large: name, pictures, what the reader should know, numbers, and what is read from it.
fn one(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let index = view.event;
    let Some(event) = desk.session().events.get(index) else {
        return;
    };
    ui.horizontal(|ui| {
        let name = event.name.clone();
        field::text(ui, desk, &format!("event {index}"), "Name of the event", &name, 190.0, |name| {
            Edit::ReplaceEvent { event: index, with: Box::new(Event { name, ..event.clone() }) }
        });
        ui.label(theme::bold(ui, kind_name(&event.kind), BODY));
        if desk.cx.request.event == index {
            ui.label(theme::note(look, "shown in Tune"));
        } else if link(ui, look, "show it in Tune").clicked() {
            desk.request(RequestChange::SetEvent(index));
        }
    });
    ui.add(egui::Label::new(theme::note(look, about(&event.kind))).wrap());
    if let Some(found) = plots::chosen(view, desk) {
        let text = format!("Simplified: {}", found.simplified);
        ui.add(egui::Label::new(theme::note(look, text).size(SMALL)).wrap());
        let figures = plots::figure_lines(found);
        for line in figures.iter().filter(|_| found.road.tracks.iter().any(|t| t.density.is_some())) {
            ui.add(egui::Label::new(RichText::new(line).size(SMALL).color(look.text)).wrap());
        }
        for remark in found.remarks.iter().chain(&found.road.remarks) {
            ui.add(egui::Label::new(RichText::new(format!("⚠ {remark}")).size(SMALL).color(look.caution)).wrap());
        }
    }
    ui.add_space(2.0);
    let top = ui.cursor().top();
    let wanted = plots_of(view, desk);
    let below = (rect.height() * 0.34).clamp(214.0, 380.0);
    let room = (rect.bottom() - top - below).max(150.0);
    let parts: f32 = wanted.iter().map(|w| w.1).sum();
    // One plot alone does not need all there is.
    let room = if parts < 1.5 { room.min(300.0) } else { room };
    let mut at = top;
    ui.scope(|ui| {
        ui.multiply_opacity(desk.strength());
        for (plot, share) in wanted {
            let height = room * share / parts;
            draw(ui, view, desk, plot, Rect::from_min_size(pos2(rect.left(), at), vec2(rect.width(), height - 4.0)));
            at += height;
        }
    });
    let rest = Rect::from_min_max(pos2(rect.left(), at + 2.0), rect.max);
    let middle = rest.left() + (rest.width() * 0.5).min(330.0);
    let numbers = rest.with_max_x(middle - 8.0);
    let readings = rest.with_min_x(middle + 4.0);
    for (part, salt) in [(numbers, "event numbers"), (readings, "event readings")] {
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(part).id_salt(salt));
        child.shrink_clip_rect(part);
        egui::ScrollArea::vertical().id_salt(salt).auto_shrink(false).show(&mut child, |ui| {
            if salt == "event numbers" {
                fields::show(ui, view, desk);
            } else {
                readings::show(ui, view, desk, part);
            }
        });
    }
}
