//! The difference of the maps of any two modes, cell by cell: signed numbers, shading, the largest one named.

use super::{ColumnKey, columns, side_columns};
use crate::desk::Desk;
use crate::table::{self, Table};
use crate::theme::{self, BODY, Look, SMALL};
use crate::view::View;
use crate::widgets::{choice, put_text};
use crate::words;
use egui::{Align2, Color32, FontFamily, Rect, RichText, Sense, StrokeKind, Ui, vec2};
use washboard_session::{MapName, setting_differences};
use washboard_study::MapDifference;

const CELL: egui::Vec2 = vec2(74.0, 34.0);
const HEAD: f32 = 96.0;

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let (all, reference) = side_columns(&view.side, desk.session(), desk.cx.opened_sets);
    let keys: Vec<ColumnKey> = all.iter().map(|(key, _)| key.clone()).collect();
    if keys.len() < 2 {
        ui.label("Tick a second mode or a set handed over in the list: the maps of two columns are compared.");
        return;
    }
    let place = |wanted: &Option<ColumnKey>| wanted.as_ref().and_then(|w| keys.iter().position(|k| k == w));
    let from = place(&view.side.maps.0).unwrap_or(reference);
    let to = place(&view.side.maps.1).unwrap_or_else(|| (0..keys.len()).find(|i| *i != from).unwrap_or(0));
    let names: Vec<String> = keys.iter().map(ColumnKey::name).collect();
    let difference = MapDifference::between(all[from].1, all[to].1, view.map);
    ui.horizontal(|ui| {
        ui.label("from");
        if let Some(i) = choice(ui, "Maps compared from", 150.0, from, &names) {
            view.side.maps = (Some(keys[i].clone()), Some(keys[to].clone()));
        }
        ui.label("to");
        if let Some(i) = choice(ui, "Maps compared to", 150.0, to, &names) {
            view.side.maps = (Some(keys[from].clone()), Some(keys[i].clone()));
        }
        let maps: Vec<String> = MapName::ALL
            .iter()
            .map(|map| {
                let count = MapDifference::between(all[from].1, all[to].1, *map).map_or(0, |d| d.count());
                let differ = if count == 0 { "same".to_owned() } else { words::count(count, "differs", "differ") };
                format!("{} ({differ})", map.field())
            })
            .collect();
        let now = MapName::ALL.iter().position(|m| *m == view.map).unwrap_or(0);
        if let Some(i) = choice(ui, "Map compared", 150.0, now, &maps) {
            view.map = MapName::ALL[i];
        }
        if let Some(d) = &difference {
            let asked = table::links(ui, look, "map difference", || as_table(d, view.map, &names[from], &names[to]));
            desk.out.extend(asked);
        }
    });
    let map = view.map;
    ui.add_space(4.0);
    match &difference {
        None => {
            let has = |i: usize| all[i].1.map(map).is_some();
            let text = match (has(from), has(to)) {
                (true, false) => format!("{} has no {} map.", names[to], map.field()),
                (false, true) => format!("{} has no {} map.", names[from], map.field()),
                (false, false) => format!("Neither has a {} map.", map.field()),
                (true, true) => "One of the two maps is no table: mend it in Tune first.".to_owned(),
            };
            ui.label(text);
        }
        Some(d) => {
            ui.label(RichText::new(largest(d, map, &names[from], &names[to])).size(BODY));
            if !d.same_axes {
                let text =
                    "The axes differ: both maps are read at the breakpoints of both, as the controller reads them.";
                ui.label(RichText::new(text).size(SMALL + 0.5).color(look.caution));
            }
            ui.add_space(4.0);
            egui::ScrollArea::both().id_salt("map difference").auto_shrink(true).show(ui, |ui| cells(ui, look, d, map));
        }
    }
    let settings = setting_differences(all[from].1, all[to].1);
    ui.add_space(8.0);
    if settings.is_empty() {
        ui.label(theme::note(look, "Law, scales, current limits and slew are the same."));
    } else {
        ui.label(theme::bold(ui, "settings that differ", BODY).color(look.text));
        for s in &settings {
            let text = format!("{}: {} → {}", s.what, words::minus(s.before.clone()), words::minus(s.after.clone()));
            ui.label(RichText::new(text).size(BODY - 0.5));
        }
    }
    let looks = columns::looks(desk.session(), &keys);
    ui.horizontal(|ui| {
        ui.label(theme::note(look, "below each difference:"));
        ui.label(RichText::new(&names[from]).size(SMALL).color(look.mode(looks[from])));
        ui.label(theme::note(look, "→"));
        ui.label(RichText::new(&names[to]).size(SMALL).color(look.mode(looks[to])));
    });
}

/// The largest difference in words, with where it is.
fn largest(d: &MapDifference, map: MapName, from: &str, to: &str) -> String {
    let unit = words::unit(map.value_unit());
    let Some((row, column)) = d.largest() else {
        return format!("The {} maps of {from} and {to} are the same.", map.field());
    };
    let (by, before) = (d.at(row, column), d.before[row][column]);
    let share = if before == 0.0 { String::new() } else { format!(" ({} %)", words::signed(100.0 * by / before, 0)) };
    format!(
        "Largest: {} {unit}{share} at {} km/h and {} {} of {}; {} of {} cells differ.",
        signed(map, by),
        words::breakpoint(d.rows[row]),
        words::breakpoint(d.columns[column]),
        words::unit(map.column_unit()),
        words::second_axis(map),
        d.count(),
        d.rows.len() * d.columns.len()
    )
}

fn signed(map: MapName, by: f64) -> String {
    let text = words::cell(map, by);
    if by > 0.0 { format!("+{text}") } else { text }
}

/// Shade of a difference: one colour upwards, another downwards, stronger where larger.
fn shade(look: &Look, by: f64, most: f64) -> Color32 {
    if by == 0.0 || most == 0.0 {
        return look.card;
    }
    let color = if by > 0.0 { look.mode(2) } else { look.mode(0) };
    Look::mix(look.card, color, 0.12 + 0.4 * (by.abs() / most) as f32)
}

fn cells(ui: &mut Ui, look: &Look, d: &MapDifference, map: MapName) {
    let size = vec2(HEAD + CELL.x * d.columns.len() as f32, 22.0 + CELL.y * d.rows.len() as f32);
    let (area, _) = ui.allocate_exact_size(size, Sense::hover());
    let most = d.largest().map_or(0.0, |(r, c)| d.at(r, c).abs());
    let unit = words::unit(map.value_unit());
    let plain = FontFamily::Proportional;
    for (c, column) in d.columns.iter().enumerate() {
        let at = Rect::from_min_size(area.min + vec2(HEAD + CELL.x * c as f32, 0.0), vec2(CELL.x, 22.0));
        let text = format!("{} {}", words::breakpoint(*column), words::unit(map.column_unit()));
        put_text(ui, at, Align2::CENTER_CENTER, text, SMALL, plain.clone(), look.weak);
    }
    put_text(
        ui,
        Rect::from_min_size(area.min, vec2(HEAD, 22.0)),
        Align2::LEFT_CENTER,
        words::second_axis(map),
        SMALL,
        plain.clone(),
        look.weak,
    );
    for (r, row) in d.rows.iter().enumerate() {
        let top = area.top() + 22.0 + CELL.y * r as f32;
        let head = Rect::from_min_size(egui::pos2(area.left(), top), vec2(HEAD - 8.0, CELL.y));
        let text = format!("{} km/h", words::breakpoint(*row));
        put_text(ui, head, Align2::RIGHT_CENTER, text, SMALL, plain.clone(), look.weak);
        for (c, column) in d.columns.iter().enumerate() {
            let left = area.left() + HEAD + CELL.x * c as f32;
            let at = Rect::from_min_size(egui::pos2(left, top), CELL);
            let by = d.at(r, c);
            ui.painter().rect(at, 0.0, shade(look, by, most), look.line(), StrokeKind::Inside);
            let (upper, lower) = at.split_top_bottom_at_fraction(0.55);
            let is_largest = d.largest() == Some((r, c));
            let family = if is_largest { theme::bold_numbers(ui.ctx()) } else { FontFamily::Monospace };
            put_text(ui, upper, Align2::CENTER_CENTER, signed(map, by), SMALL + 0.5, family, look.text);
            let (before, after) = (words::cell(map, d.before[r][c]), words::cell(map, d.after[r][c]));
            let small = format!("{before} → {after}");
            put_text(ui, lower, Align2::CENTER_CENTER, &small, SMALL - 1.5, FontFamily::Monospace, look.weak);
            let response = ui.interact(at, ui.scope_id().with(("map difference", r, c)), Sense::hover());
            let (speed, second) = (words::breakpoint(*row), words::breakpoint(*column));
            let name = format!("{speed} km/h, {second} {}: {small} {unit}", words::unit(map.column_unit()));
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &name));
            response.on_hover_text(format!("{name} ({})", signed(map, by)));
        }
    }
}

fn as_table(d: &MapDifference, map: MapName, from: &str, to: &str) -> Table {
    let unit = map.value_unit();
    let head = [
        format!("speed, {}", map.row_unit()),
        format!("{}, {}", words::second_axis(map), map.column_unit()),
        format!("{from}, {unit}"),
        format!("{to}, {unit}"),
        format!("difference, {unit}"),
    ];
    let mut table = Table::new(head);
    for (r, row) in d.rows.iter().enumerate() {
        for (c, column) in d.columns.iter().enumerate() {
            let numbers = [*row, *column, d.before[r][c], d.after[r][c], d.at(r, c)];
            table.row(numbers.map(table::number));
        }
    }
    table
}
