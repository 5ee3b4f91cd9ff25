//! Car: every number of the session's car on the left; drawing, dampers and derived figures on the right.

pub(crate) mod below;
mod bench;
pub(crate) mod dampers;
mod derived;
mod drawing;
mod modes;
mod pairs;
mod remarks;
pub(crate) mod resting;
mod sheet;
mod sitting;

use crate::desk::Desk;
use crate::theme::UNIT;
use crate::view::{Splits, View};
use crate::widgets::{link, splitter, toggle};
use egui::{Rect, Ui, pos2};
use washboard_session::edit::End;
use washboard_session::{Edit, Vehicle};

const SHEETS: [&str; 5] = ["car", "load cases", "dampers", "controller", "modes"];

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    let split = area.left() + (area.width() * view.splits.car).clamp(420.0, (area.width() - 380.0).max(420.0));
    let gap = Rect::from_min_max(pos2(split, area.top()), pos2(split + 4.0 * UNIT, area.bottom()));
    let designed = Splits::default().car;
    splitter(ui, desk.look, gap, area, &mut view.splits.car, designed, "Width of the data sheet");
    let left = Rect::from_min_max(area.min, pos2(split, area.bottom()));
    let right = Rect::from_min_max(pos2(split + 4.0 * UNIT, area.top()), area.max);
    if let Some(bench) = desk.cx.bench {
        return bench::show(ui, view, desk, bench, left, right);
    }
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(left));
    child.shrink_clip_rect(left.expand(2.0));
    match view.sitting {
        Some(step) => sitting::show(&mut child, view, desk, step),
        None => data_sheet(&mut child, view, desk),
    }
    let height = right.height();
    let picture = Rect::from_min_max(right.min, pos2(right.right(), right.top() + height * 0.29));
    let bench = Rect::from_min_max(
        pos2(right.left(), picture.bottom() + 8.0),
        pos2(right.right(), right.top() + height * 0.66),
    );
    let figures = Rect::from_min_max(pos2(right.left(), bench.bottom() + 8.0), right.max);
    if desk.enlarged == Some(crate::chart::PlotName::Damper) {
        return dampers::show(ui, view, desk, right);
    }
    drawing::show(ui, desk, picture);
    dampers::show(ui, view, desk, bench);
    derived::show(ui, desk, figures);
}

fn data_sheet(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        ui.label(crate::theme::bold(ui, "data sheet", crate::theme::BODY + 1.0));
        if let Some(i) = toggle(ui, desk.look, "sheet", view.sheet, &SHEETS) {
            view.sheet = i;
        }
        if let Some(asked) = crate::table::links(ui, desk.look, "data sheet", || sheet::as_table(desk.session())) {
            desk.ask(asked);
        }
    });
    below::show(ui, desk);
    let proposed = desk.session().proposed.len();
    if proposed > 0 {
        ui.horizontal(|ui| {
            let text = crate::words::count(proposed, "value is still proposed", "values are still proposed");
            ui.label(crate::theme::note(desk.look, format!("◌ {text}: dotted below.")).color(desk.look.caution));
            if link(ui, desk.look, "go through them").clicked() {
                view.sitting = Some(0);
            }
        });
    }
    ui.add_space(UNIT);
    egui::ScrollArea::vertical().id_salt(("sheet", view.sheet)).auto_shrink(false).show(ui, |ui| match view.sheet {
        1 => sheet::load_cases(ui, view, desk),
        2 => sheet::dampers(ui, view, desk),
        3 => sheet::controller(ui, view, desk),
        4 => modes::show(ui, view, desk),
        _ => sheet::car(ui, view, desk),
    });
}

/// The edit that fits a damper to an axle.
fn fit(vehicle: &Vehicle, end: End, damper: String) -> Edit {
    let mut vehicle = vehicle.clone();
    match end {
        End::Front => vehicle.front.damper = damper,
        End::Rear => vehicle.rear.damper = damper,
    }
    Edit::SetVehicle(Box::new(vehicle))
}
