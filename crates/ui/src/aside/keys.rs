//! The list of all keys, made of the acts and of what the places have of their own.

use crate::acts::{ACTS, Group, key_text};
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use egui::Ui;

/// Keys that belong to one part of the window.
const OF_PARTS: [(&str, &[(&str, &str)]); 7] = [
    ("modes", &[("1 … 9", "choose a mode"), ("Ctrl+1 … Ctrl+9", "the same while typing in cells"), ("?", "this list")]),
    (
        "map as numbers",
        &[
            ("arrows", "move; with Shift: select a range"),
            ("Ctrl+A", "select the whole map"),
            ("digits", "typing replaces: 2400"),
            ("+5%  -5%  *1.1  /2", "change every chosen cell by its own value; +50 and -50 add and take away"),
            ("=base, =name", "copy from the reference mode, or from the mode of that name"),
            ("=car, =7F3A", "copy from the set in the car, or from the set whose identity begins so"),
            ("Ctrl+C, Ctrl+V", "cells to and from a spreadsheet, as a block from the upper left on"),
            ("+  -", "with Enter: step by 5 %; ++ two steps"),
            (">  <", "step by 5 % at once"),
            ("Enter", "apply to the whole range, as leaving the cell does"),
            ("Delete", "set to zero"),
            ("Esc", "drop the typing; again: leave the cells"),
            ("Tab", "next cell"),
        ],
    ),
    (
        "handles in the cuts",
        &[
            ("drag", "pull the value; neighbours bend with it"),
            ("wheel over the plot", "how far neighbours bend with it"),
            ("Shift while dragging", "fine"),
            ("up, down on a handle", "step by 1 % of the axis"),
        ],
    ),
    (
        "side by side",
        &[
            ("Tab, arrows", "walk through the list of modes and sets"),
            ("Space", "give the mode a column, or take it away"),
            ("R", "compare the other columns with it"),
        ],
    ),
    (
        "logbook",
        &[
            ("N", "write a run down; Enter goes on, Ctrl+Enter adds at once, Esc puts it aside"),
            ("up, down", "choose a run; in a rating: a half more, a half less"),
            ("Enter, Delete", "change the run, delete it"),
            ("O, L", "reopen the session as it was at its set; attach a log file"),
            ("F", "filter"),
        ],
    ),
    (
        "plots",
        &[
            ("drag", "look into a box; in the event: move the moment"),
            ("wheel", "closer, further; with Shift: only along"),
            ("right drag", "move what is seen"),
            ("double click, Home", "all of it again"),
            ("click, left and right", "cursor with the value of every curve; with Shift: in tenths"),
            ("up, down, + and -", "closer, further around the cursor"),
            ("right click", "copy, CSV, picture"),
            ("Enter, Esc", "enlarge, small again"),
        ],
    ),
    (
        "event over time",
        &[("Space", "play, stop"), ("S", "at true speed or a fifth of it"), (",  .", "back and on by 10 ms")],
    ),
];

/// Draws it; true when it is to be closed.
pub(super) fn show(ui: &mut Ui, desk: &Desk<'_>, height: f32) -> bool {
    let closes = super::title(ui, "Keys");
    egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height).show(ui, |ui| {
        ui.columns(2, |columns| {
            for group in Group::ALL {
                let rows = ACTS.iter().filter(|a| a.group == group && !a.keys.is_empty()).map(|a| {
                    let keys: Vec<String> = a.keys.iter().map(key_text).collect();
                    (keys.join(", "), a.text)
                });
                part(&mut columns[0], desk, group.label(), rows);
            }
            for (i, (title, keys)) in OF_PARTS.iter().enumerate() {
                let rows = keys.iter().map(|(keys, text)| ((*keys).to_owned(), *text));
                part(&mut columns[usize::from(i > 0)], desk, title, rows);
            }
        });
    });
    closes
}

fn part<'t>(ui: &mut Ui, desk: &Desk<'_>, title: &str, rows: impl Iterator<Item = (String, &'t str)>) {
    ui.add_space(6.0);
    ui.label(theme::bold(ui, title, BODY));
    egui::Grid::new(title).num_columns(2).spacing([12.0, 2.0]).show(ui, |ui| {
        for (keys, text) in rows {
            ui.label(theme::number(keys, SMALL));
            ui.add(egui::Label::new(theme::note(desk.look, text).color(desk.look.text)).wrap());
            ui.end_row();
        }
    });
}
