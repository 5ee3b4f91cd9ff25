//! A layout proposed for the set on screen: what it is proposed after, where everything would lie, how finely each table
//! would be held, and the step to a file.

use super::control_unit::{short, table_name};
use crate::command::Command;
use crate::context::ProposedLayout;
use crate::desk::Desk;
use crate::theme::{self, SMALL};
use crate::view::{ProposalForm, View};
use crate::widgets::{choice, link, section};
use crate::words;
use egui::{RichText, Ui};
use washboard_handover::layout::{ByteOrder, TableAt, TableName};
use washboard_handover::{TableError, Width};

const WIDTHS: [(&str, Width); 4] = [
    ("8 bits", Width::Bits8),
    ("16 bits", Width::Bits16),
    ("32 bits", Width::Bits32),
    ("floating point", Width::Float),
];
const ORDERS: [(&str, ByteOrder); 2] =
    [("least significant first", ByteOrder::Little), ("most significant first", ByteOrder::Big)];

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let Some(mut form) = view.hand_over.proposal.take() else { return };
    ui.add_space(6.0);
    let mut leaves = false;
    ui.horizontal(|ui| {
        section(
            ui,
            look,
            "proposed layout",
            "packed, each table with the finest step that holds it; nothing is saved yet",
        );
        leaves = link(ui, look, "leave it").accessible_name("leave the proposed layout").clicked();
    });
    asked(ui, desk, &mut form);
    let it = desk.cx.hand_over;
    let mut saves = false;
    match &it.proposed {
        None => drop(ui.label(theme::note(look, "Being worked out …"))),
        Some(Err(sentence)) => {
            ui.add(egui::Label::new(RichText::new(format!("✕ {sentence}")).color(look.crossed)).wrap());
        }
        Some(Ok(proposed)) => {
            ui.label(in_words(proposed));
            ui.add_space(4.0);
            let button = egui::Button::new("Save it as a file…");
            let is_meant = it.proposed_is_fresh && address(&form.address).is_some();
            saves = ui.add_enabled(is_meant, button).clicked();
            ui.add_space(4.0);
            tables(ui, desk, &mut form, proposed);
        }
    }
    if saves {
        desk.ask(Command::SaveLayout);
    }
    view.hand_over.proposal = (!leaves).then_some(form);
}

/// What the proposal is made after.
fn asked(ui: &mut Ui, desk: &Desk<'_>, form: &mut ProposalForm) {
    let look = desk.look;
    let wish = &mut form.wish;
    egui::Grid::new("proposed after").num_columns(4).spacing([10.0, 4.0]).show(ui, |ui| {
        ui.label(RichText::new("Control unit").size(SMALL + 0.5));
        ui.add(egui::TextEdit::singleline(&mut wish.name).desired_width(150.0).hint_text("its name"))
            .accessible_name("Name of the control unit");
        ui.label(RichText::new("First address").size(SMALL + 0.5));
        let edit = egui::TextEdit::singleline(&mut form.address).desired_width(150.0).hint_text("such as 0x80040000");
        ui.add(edit).accessible_name("First address of the layout");
        ui.end_row();
        ui.label(RichText::new("Numbers").size(SMALL + 0.5));
        let chosen = WIDTHS.iter().position(|(_, width)| *width == wish.width).unwrap_or(0);
        if let Some(i) = choice(ui, "Numbers of the layout", 150.0, chosen, &WIDTHS.map(|(name, _)| name.to_owned())) {
            wish.width = WIDTHS[i].1;
        }
        ui.label(RichText::new("Bytes").size(SMALL + 0.5));
        let chosen = ORDERS.iter().position(|(_, order)| *order == wish.byte_order).unwrap_or(0);
        if let Some(i) = choice(ui, "Order of bytes", 150.0, chosen, &ORDERS.map(|(name, _)| name.to_owned())) {
            wish.byte_order = ORDERS[i].1;
        }
        ui.end_row();
    });
    ui.checkbox(&mut wish.share_axes, "Equal axes stand in memory once").on_hover_text(
        "Tables whose breakpoints are the same share them. Where one of these axes is edited later, this layout cannot hold \
         the set any more, and says so.",
    );
    match address(&form.address) {
        Some(address) => wish.address = address,
        None => {
            let text = format!(
                "The first address is {:?}, but it must be a whole number of 32 bits, decimal or hexadecimal with 0x.",
                form.address.trim()
            );
            ui.add(egui::Label::new(RichText::new(text).color(look.crossed)).wrap());
        }
    }
}

fn address(text: &str) -> Option<u32> {
    let text = text.trim();
    match text.strip_prefix("0x").or(text.strip_prefix("0X")) {
        Some(digits) => u32::from_str_radix(digits, 16).ok(),
        None => text.parse().ok(),
    }
}

/// Size and place in a sentence.
fn in_words(proposed: &ProposedLayout) -> RichText {
    let layout = &proposed.layout;
    let memory = &layout.memory;
    let last = memory.address.wrapping_add(memory.bytes).wrapping_sub(1);
    let at = |address: Option<u32>| address.map_or("nowhere".to_owned(), |address| format!("at {address:#x}"));
    RichText::new(format!(
        "{} bytes, {:#x} to {last:#x}: {} and {}; identity {}, check bytes {}.",
        memory.bytes,
        memory.address,
        words::count(layout.tables.len(), "table", "tables"),
        words::count(layout.settings.len(), "number", "numbers"),
        at(layout.identity_at),
        at(layout.check.as_ref().map(|check| check.address)),
    ))
    .size(SMALL + 0.5)
}

/// A row a table: where its cells lie, in what, how fine a step is, and its largest error. The first of a kind has the
/// choice of its type.
fn tables(ui: &mut Ui, desk: &Desk<'_>, form: &mut ProposalForm, proposed: &ProposedLayout) {
    let look = desk.look;
    let mut seen: Vec<TableName> = Vec::new();
    egui::Grid::new("proposed tables").num_columns(5).spacing([12.0, 2.0]).striped(true).show(ui, |ui| {
        for title in ["table", "cells at", "numbers", "one step", "largest error"] {
            ui.label(theme::note(look, title));
        }
        ui.end_row();
        for (at, error) in proposed.layout.tables.iter().zip(&proposed.held.errors) {
            let unit = words::unit(error.unit);
            table_name(ui, &error.place).on_hover_text(axes(at, error));
            ui.label(theme::number(format!("{:#x}", at.values.address), SMALL)).on_hover_text(axes(at, error));
            if seen.contains(&at.table) {
                ui.label(theme::note(look, at.values.number.name())).on_hover_text("as in the mode above");
            } else {
                seen.push(at.table);
                kind(ui, form, at);
            }
            let step = match at.values.number.is_whole() {
                true => format!("{} {unit}", short(at.values.factor)),
                false => "24 bits of the value".to_owned(),
            };
            ui.label(theme::number(step, SMALL));
            ui.label(theme::number(format!("{} {unit}", short(error.error())), SMALL)).on_hover_text(format!(
                "{} {unit} instead of {} at {}",
                short(error.quantised),
                short(error.exact),
                error.at.replace("m/s^2", "m/s²")
            ));
            ui.end_row();
        }
    });
}

/// The choice of a type for all tables of a kind.
fn kind(ui: &mut Ui, form: &mut ProposalForm, at: &TableAt) {
    let wish = &mut form.wish;
    let now = wish.width_of(at.table);
    let chosen = WIDTHS.iter().position(|(_, width)| *width == now).unwrap_or(0);
    let name = format!("Numbers of {}", at.table.name().replace('_', " "));
    if let Some(i) = choice(ui, &name, 110.0, chosen, &WIDTHS.map(|(name, _)| name.to_owned())) {
        wish.by_table.retain(|(table, _)| *table != at.table);
        if WIDTHS[i].1 != wish.width {
            wish.by_table.push((at.table, WIDTHS[i].1));
        }
    }
}

/// Where the axes of a table lie.
fn axes(at: &TableAt, error: &TableError) -> String {
    let axis = |axis: &washboard_handover::layout::AxisAt| {
        format!("{} at {:#x}, {}, factor {}", axis.count, axis.address, axis.number.name(), short(axis.factor))
    };
    format!("{}\nrows: {}\ncolumns: {}", error.place, axis(&at.rows), axis(&at.columns))
}
