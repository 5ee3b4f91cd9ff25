//! What a driver judges: the list of attributes, to change, order, add to and shorten.

use crate::command::Command;
use crate::desk::Desk;
use crate::field;
use crate::theme::{self, BODY};
use crate::widgets::link;
use egui::{RichText, Ui};
use washboard_session::Edit;

pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let all = desk.session().verdict_attributes.clone();
    ui.label(
        RichText::new("Every run can be rated in these, 1 to 10 with halves, 5 being borderline (SAE J1441).")
            .size(BODY),
    );
    ui.label(theme::note(look, "Another word changes the verdicts given before with it; taking one out leaves them."));
    ui.add_space(6.0);
    let mut changed: Option<Vec<String>> = None;
    for (i, attribute) in all.iter().enumerate() {
        ui.horizontal(|ui| {
            let (key, name) = (format!("attribute {i} {attribute}"), format!("Attribute {}", i + 1));
            let rename = |name: String| Edit::RenameVerdictAttribute { attribute: i, name: name.trim().to_owned() };
            field::text(ui, desk, &key, &name, attribute, 220.0, rename);
            let judged = desk.session().logbook.iter().flat_map(|r| &r.verdicts);
            let count = judged.filter(|v| v.attribute == *attribute).count();
            for (sign, word, to) in [("▲", "up", i.wrapping_sub(1)), ("▼", "down", i + 1)] {
                let response = ui
                    .add_enabled(to < all.len(), egui::Button::new(sign).frame(false))
                    .on_hover_text(format!("Move {word}"))
                    .accessible_name(format!("move {attribute} {word}"));
                if response.clicked() {
                    let mut list = all.clone();
                    list.swap(i, to);
                    changed = Some(list);
                }
            }
            if link(ui, look, "✕").accessible_name(format!("take out {attribute}")).clicked() {
                let mut list = all.clone();
                list.remove(i);
                changed = Some(list);
            }
            ui.label(theme::note(look, crate::words::count(count, "verdict", "verdicts")));
        });
    }
    if all.is_empty() {
        ui.label("Nothing is rated: a run holds the driver's words only.");
    }
    ui.add_space(4.0);
    if ui.button("Add an attribute").clicked() {
        let mut list = all.clone();
        let free = (1..).map(|n| if n == 1 { "new attribute".to_owned() } else { format!("new attribute {n}") });
        list.extend(free.into_iter().find(|name| !all.contains(name)));
        changed = Some(list);
    }
    if let Some(list) = changed {
        desk.ask(Command::Edit(Edit::SetVerdictAttributes(list)));
    }
}
