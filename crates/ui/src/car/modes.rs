//! The modes as a list: names, purpose, law, current limits, axle scales.

use crate::command::Command;
use crate::desk::Desk;
use crate::field;
use crate::theme;
use crate::view::View;
use crate::widgets::{choice, link};
use egui::Ui;
use washboard_session::{Edit, Law, Mixed};

const LAWS: [&str; 4] = ["continuous", "on and off", "acceleration-driven", "mixed"];

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let reference = desk.reference();
    let count = desk.session().modes.len();
    for (i, mode) in desk.session().modes.iter().enumerate() {
        ui.add_space(6.0);
        ui.horizontal(|ui| {
            ui.label(theme::bold(ui, format!("{}", i + 1), theme::BODY).color(look.mode(i)));
            field::text(
                ui,
                desk,
                &format!("mode {i}"),
                &format!("Name of mode {}", i + 1),
                &mode.name,
                110.0,
                |name| Edit::RenameMode { mode: i, name },
            );
            let law = match mode.law {
                Law::Continuous => 0,
                Law::OnOff => 1,
                Law::AccelerationDriven => 2,
                Law::Mixed(_) => 3,
            };
            let laws = LAWS.map(str::to_owned);
            if let Some(l) = choice(ui, &format!("Law of {}", mode.name), 120.0, law, &laws) {
                let law =
                    [Law::Continuous, Law::OnOff, Law::AccelerationDriven, Law::Mixed(Mixed { crossover_hz: 1.9 })];
                desk.ask(Command::Edit(Edit::SetLaw { mode: i, law: law[l].clone() }));
            }
            if i == reference {
                ui.label("⚑ reference");
            } else if link(ui, look, "make it the reference").clicked() {
                desk.ask(Command::Edit(Edit::SetReferenceMode(Some(mode.name.clone()))));
            }
        });
        ui.horizontal(|ui| {
            let name = format!("Purpose of {}", mode.name);
            field::text(ui, desk, &format!("purpose {i}"), &name, &mode.purpose, 230.0, |purpose| Edit::SetPurpose {
                mode: i,
                purpose,
            });
            if link(ui, look, "duplicate").accessible_name(format!("duplicate {}", mode.name)).clicked() {
                desk.ask(Command::Edit(Edit::DuplicateMode { mode: i, name: mode.name.clone() }));
            }
            if count > 1 && link(ui, look, "delete").accessible_name(format!("delete {}", mode.name)).clicked() {
                desk.ask(Command::Edit(Edit::DeleteMode { mode: i }));
            }
            if i > 0 && link(ui, look, "↑").accessible_name(format!("move {} up", mode.name)).clicked() {
                desk.ask(Command::Edit(Edit::MoveMode { from: i, to: i - 1 }));
            }
            if mode.floor.is_some() && link(ui, look, "take the floor map out").clicked() {
                desk.ask(Command::Edit(Edit::SetFloor { mode: i, floor: None }));
            }
        });
        super::resting::show(ui, desk, i);
        super::sheet::of_mode(ui, view, desk, i, &mode.name);
        ui.separator();
    }
}
