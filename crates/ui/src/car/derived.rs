//! Figures of the car that need no run, a column a load case.

use super::remarks;
use crate::desk::Desk;
use crate::table::{self, Table};
use crate::theme::{self, BODY, SMALL};
use crate::words;
use egui::{Rect, RichText, Ui, vec2};
use washboard_study::Derived;

type Row = (&'static str, &'static str, fn(&Derived) -> String, &'static str);

fn pair(values: [f64; 2], decimals: usize) -> String {
    format!("{} / {}", words::fixed(values[0], decimals), words::fixed(values[1], decimals))
}

const ROWS: [Row; 14] = [
    ("body mass", "kg", |d| words::fixed(d.body_mass_kg, 0), "Body with what is aboard, without wheels."),
    (
        "centre of gravity behind front axle",
        "m",
        |d| words::fixed(d.cg_to_front_axle_m, 3),
        "Of the body with what is aboard.",
    ),
    ("centre of gravity above ground", "m", |d| words::fixed(d.cg_height_m, 3), "Of the body with what is aboard."),
    (
        "wheel loads, front left / right",
        "kN",
        |d| pair([d.wheel_load_n[0] / 1e3, d.wheel_load_n[1] / 1e3], 2),
        "Static, with the wheels' own weight.",
    ),
    (
        "wheel loads, rear left / right",
        "kN",
        |d| pair([d.wheel_load_n[2] / 1e3, d.wheel_load_n[3] / 1e3], 2),
        "Static, with the wheels' own weight.",
    ),
    (
        "ride frequency, front / rear",
        "Hz",
        |d| pair(d.ride_frequency_hz, 2),
        "Spring and tyre in series under the axle's share of the body: sqrt(k/m) / 2π.",
    ),
    (
        "rear over front ride frequency",
        "",
        |d| words::fixed(d.ride_frequency_ratio, 3),
        "Usually a little above one, so that pitch dies out over a bump.",
    ),
    (
        "damping ratio soft, front / rear",
        "",
        |d| pair(d.damping_ratio_soft, 2),
        "Chord of the force over ±0.1 m/s at the wheel, at the soft end: c / (2 sqrt(k m)).",
    ),
    ("damping ratio firm, front / rear", "", |d| pair(d.damping_ratio_firm, 2), "The same at the firm end."),
    ("wheel hop, front / rear", "Hz", |d| pair(d.wheel_hop_hz, 1), "Undamped wheel on its tyre and spring."),
    ("heave and pitch", "Hz", |d| pair(d.heave_pitch_hz, 2), "Natural frequencies of the half car, low to high."),
    ("roll", "Hz", |d| words::fixed(d.roll_hz, 2), "Natural frequency about the roll axis."),
    (
        "roll gradient",
        "° per m/s²",
        |d| words::fixed(d.roll_gradient_rad_per_m_per_s2.to_degrees(), 3),
        "Static roll angle a unit of lateral acceleration.",
    ),
    (
        "front share of roll stiffness",
        "%",
        |d| words::fixed(d.front_roll_stiffness_share * 100.0, 1),
        "Springs and bars of the front axle over all.",
    ),
];

/// The figures as a table, one column a load case.
fn as_table(all: &[Derived]) -> Table {
    let name = |d: &Derived| if d.load_case.is_empty() { "as described".to_owned() } else { d.load_case.clone() };
    let head = ["figure".to_owned(), "unit".to_owned()];
    let mut table = Table::new(head.into_iter().chain(all.iter().map(name)));
    for (label, unit, figure, _) in ROWS {
        // Plain signs, as spreadsheets read them.
        let cells = all.iter().map(|d| figure(d).replace('−', "-"));
        table.row([label.to_owned(), unit.to_owned()].into_iter().chain(cells));
    }
    table
}

/// A remark on a figure.
pub(super) fn remark(ui: &mut Ui, desk: &Desk<'_>, sentence: &str) {
    let text = RichText::new(format!("⚠ {sentence}")).size(SMALL).color(desk.look.caution);
    ui.add(egui::Label::new(text).wrap());
}

pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    ui.painter().rect(rect, 3.0, look.card, look.line(), egui::StrokeKind::Inside);
    let inner = rect.shrink2(vec2(10.0, 6.0));
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(inner));
    child.shrink_clip_rect(inner);
    let ui = &mut child;
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, "derived figures", BODY));
        if let Some(board) = desk.board().filter(|b| !b.derived.is_empty())
            && let Some(asked) = table::links(ui, look, "derived figures", || as_table(&board.derived))
        {
            desk.ask(asked);
        }
    });
    let Some(board) = desk.board().filter(|b| !b.derived.is_empty()) else {
        ui.label(theme::note(look, "They appear with the first results."));
        return;
    };
    ui.multiply_opacity(desk.strength());
    egui::ScrollArea::both().id_salt("derived").auto_shrink(false).show(ui, |ui| {
        for derived in &board.derived {
            for sentence in remarks::of_derived(derived) {
                let name = if derived.load_case.is_empty() { "as described" } else { &derived.load_case };
                remark(ui, desk, &format!("{name}: {sentence}"));
            }
        }
        egui::Grid::new("derived figures").num_columns(2 + board.derived.len()).spacing([14.0, 1.0]).show(ui, |ui| {
            ui.label("");
            ui.label("");
            for (i, derived) in board.derived.iter().enumerate() {
                let name = if derived.load_case.is_empty() { "as described" } else { &derived.load_case };
                let text = if i == desk.cx.request.load_case {
                    theme::bold(ui, name, SMALL + 0.5)
                } else {
                    RichText::new(name).size(SMALL + 0.5)
                };
                ui.label(text);
            }
            ui.end_row();
            for (label, unit, figure, meaning) in ROWS {
                ui.label(RichText::new(label).size(BODY - 0.5)).on_hover_text(meaning);
                ui.label(theme::note(look, unit));
                for derived in &board.derived {
                    ui.label(theme::number(figure(derived), BODY - 1.0)).on_hover_text(meaning);
                }
                ui.end_row();
            }
        });
    });
}
