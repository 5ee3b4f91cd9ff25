//! What the trade reads from the chosen event, with the figures of every mode.

use crate::desk::Desk;
use crate::figures;
use crate::theme::{self, SMALL};
use crate::view::View;
use crate::widgets::{put_text, section};
use egui::{Align2, FontFamily, FontId, Rect, Ui, pos2, vec2};
use washboard_study::metrics_read;

const LINE: f32 = 19.0;

pub(super) fn show(ui: &mut Ui, view: &View, desk: &Desk<'_>, rect: Rect) {
    let look = desk.look;
    let Some(event) = desk.session().events.get(view.event) else { return };
    section(ui, look, "read from it", "most telling first");
    let modes = &desk.session().modes;
    let label = (rect.width() * 0.42).clamp(130.0, 260.0);
    let column = ((rect.width() - label) / modes.len().max(1) as f32).min(110.0);
    let (head, _) = ui.allocate_exact_size(vec2(rect.width(), 18.0), egui::Sense::hover());
    for (m, mode) in modes.iter().enumerate() {
        let at =
            Rect::from_min_size(pos2(head.left() + label + m as f32 * column, head.top()), vec2(column - 4.0, 18.0));
        put_text(ui, at, Align2::LEFT_CENTER, &mode.name, SMALL, theme::semibold(ui.ctx()), look.mode(m));
    }
    let board = desk.board();
    ui.scope(|ui| {
        ui.multiply_opacity(desk.strength());
        for id in metrics_read(&event.kind) {
            let (row, _) = ui.allocate_exact_size(vec2(rect.width(), LINE), egui::Sense::hover());
            ui.painter().hline(row.x_range(), row.top(), egui::Stroke::new(1.0, look.grid));
            let title = Rect::from_min_size(row.min, vec2(label - 6.0, LINE));
            let family = FontFamily::Proportional;
            put_text(ui, title, Align2::LEFT_CENTER, figures::title(*id), SMALL, family, look.text);
            crate::widgets::explain(ui, title, ("read", *id), |ui| figures::explain(ui, look, *id));
            for m in 0..modes.len() {
                let left = row.left() + label + m as f32 * column;
                let cell = Rect::from_min_size(pos2(left, row.top()), vec2(column - 4.0, LINE));
                let card = board.and_then(|b| figures::of_event(b, m, view.event));
                let value = card.and_then(|c| figures::value(c, *id));
                let text = value.map_or_else(|| "–".to_owned(), |v| figures::figure(*id, v));
                let font = FontId::new(SMALL, FontFamily::Monospace);
                let color = if value.is_some() { look.text } else { look.weak };
                ui.painter_at(cell).text(cell.left_center(), Align2::LEFT_CENTER, text, font, color);
            }
        }
    });
    let case = desk.cx.request.load_case;
    let case = desk.session().vehicle.load_cases.get(case.wrapping_sub(1)).map_or("as described", |c| c.name.as_str());
    let text = format!("{} · load case {case} · corners: mean", desk.cx.request.model.label());
    ui.label(theme::note(look, text));
    ui.label(theme::note(look, "– does not apply in this model").size(SMALL));
}
