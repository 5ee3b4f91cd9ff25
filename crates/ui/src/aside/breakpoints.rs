//! Breakpoints of the open map: put in without changing the surface, taken out with what that changes.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::link;
use crate::words;
use egui::{Key, RichText, Ui};
use washboard_session::shape::MapAxis;
use washboard_session::{Edit, MapName, Table, apply};

/// Draws them; true when they are to be closed.
pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, height: f32) -> bool {
    let Some((mode, map)) = desk.mode(view.mode).and_then(|mode| Some((mode, mode.map(view.map)?))) else {
        return true;
    };
    let close = super::title(ui, &format!("Breakpoints of {} in {}", view.map.field(), mode.name));
    ui.label(theme::note(
        desk.look,
        "A new one takes its cells from the surface, which stays as it is. Beyond its ends the surface is held.",
    ));
    ui.add_space(6.0);
    let table = map.to_table();
    ui.columns(2, |columns| {
        for (ui, axis) in columns.iter_mut().zip([MapAxis::Speed, MapAxis::Second]) {
            one_axis(ui, view, desk, &table, axis, height);
        }
    });
    if let Some(sentence) = &view.breakpoints.message {
        ui.label(RichText::new(format!("✕ {sentence}")).size(SMALL).color(desk.look.crossed));
    }
    close
}

/// Name and unit of an axis.
fn of_axis(map: MapName, axis: MapAxis) -> (&'static str, String) {
    match axis {
        MapAxis::Speed => ("speed", words::unit(map.row_unit())),
        MapAxis::Second => (words::second_axis(map), words::unit(map.column_unit())),
    }
}

fn one_axis(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, table: &Table, axis: MapAxis, height: f32) {
    let look = desk.look;
    let (name, unit) = of_axis(view.map, axis);
    let points = if axis == MapAxis::Speed { &table.rows } else { &table.columns };
    ui.label(theme::bold(ui, format!("{name}, {unit}"), BODY));
    egui::ScrollArea::vertical().id_salt(("points", axis)).max_height(height).auto_shrink([false, true]).show(
        ui,
        |ui| {
            for (index, point) in points.iter().enumerate() {
                ui.horizontal(|ui| {
                    ui.spacing_mut().item_spacing.x = 10.0;
                    let text = theme::number(words::breakpoint(*point), BODY);
                    ui.add_sized([52.0, 18.0], egui::Label::new(text));
                    let Some((_, change)) = table.without_breakpoint(axis, index) else { return };
                    let what = format!("take out {name} {} {unit}", words::breakpoint(*point));
                    if link(ui, look, "take out").accessible_name(&what).clicked() {
                        send(view, desk, Edit::RemoveBreakpoint { mode: view.mode, map: view.map, axis, index });
                    }
                    let said = if change == 0.0 {
                        "the surface stays".to_owned()
                    } else {
                        format!("moves up to {} {}", moved(view.map, change), words::unit(view.map.value_unit()))
                    };
                    ui.label(theme::note(look, said));
                });
            }
        },
    );
    ui.horizontal(|ui| {
        let which = usize::from(axis == MapAxis::Second);
        let text = &mut view.breakpoints.typed[which];
        let field = ui.add_sized([70.0, 20.0], egui::TextEdit::singleline(text).hint_text(unit.clone()));
        let field = field.accessible_name(format!("New breakpoint, {name}, {unit}"));
        let entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        let button = ui.button("Insert").accessible_name(format!("Insert a breakpoint, {name}"));
        if entered || button.clicked() {
            match view.breakpoints.typed[which].trim().replace(',', ".").parse::<f64>() {
                Ok(at) => {
                    if send(view, desk, Edit::InsertBreakpoint { mode: view.mode, map: view.map, axis, at }) {
                        view.breakpoints.typed[which].clear();
                    }
                }
                Err(_) => {
                    let text = &view.breakpoints.typed[which];
                    view.breakpoints.message =
                        Some(format!("“{text}” is not a number: type where on the axis, in {unit}."));
                }
            }
        }
    });
}

fn moved(map: MapName, change: f64) -> String {
    words::signed(change, if map == MapName::Floor { 2 } else { 0 })
}

/// Sends an edit that the session takes; else says why not.
fn send(view: &mut View, desk: &mut Desk<'_>, edit: Edit) -> bool {
    match apply(&mut desk.session().clone(), &edit) {
        Ok(()) => {
            view.breakpoints.message = None;
            desk.ask(Command::Edit(edit));
            true
        }
        Err(fault) => {
            view.breakpoints.message = Some(fault.to_string());
            false
        }
    }
}
