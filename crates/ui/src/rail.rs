//! The dark rail on the left: the six places in the order of the week.

use crate::desk::Desk;
use crate::theme::{self, BODY};
use crate::tour::{self, Spot};
use crate::view::{Place, View};
use egui::{Align2, CornerRadius, FontFamily, FontId, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

const HEIGHT: f32 = 50.0;
const GAP: f32 = 12.0;

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) {
    let look = desk.look;
    let area = ui.max_rect();
    tour::mark(ui, Spot::Places, area);
    // A small window has them closer together.
    let first = if area.height() < 480.0 { 8.0 } else { 52.0 };
    let pitch = ((area.height() - first - 24.0) / Place::ALL.len() as f32).clamp(36.0, HEIGHT + GAP);
    for (i, place) in Place::ALL.into_iter().enumerate() {
        let top = area.top() + first + i as f32 * pitch;
        let rect =
            Rect::from_min_size(pos2(area.left() + 6.0, top), vec2(area.width() - 12.0, HEIGHT.min(pitch - 2.0)));
        let response = ui.interact(rect, ui.scope_id().with(place), Sense::click());
        let is_here = view.place == place;
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_here, place.label()));
        let painter = ui.painter();
        let text = if is_here { look.text } else { look.rail_text };
        if is_here {
            painter.rect_filled(rect, CornerRadius::same(3), look.page);
        } else if response.hovered() || response.has_focus() {
            painter.rect_filled(rect, CornerRadius::same(3), look.rail_text.gamma_multiply(0.15));
        }
        if response.has_focus() || (is_here && look.page == look.rail) {
            painter.rect_stroke(
                rect,
                CornerRadius::same(3),
                egui::Stroke::new(1.5, if is_here { look.chosen } else { look.rail_text }),
                egui::StrokeKind::Inside,
            );
        }
        let family = if is_here { theme::semibold(ui.ctx()) } else { FontFamily::Proportional };
        let galley = painter.layout(place.label().to_owned(), FontId::new(BODY, family), text, rect.width() - 8.0);
        let mut job = (*galley.job).clone();
        job.halign = egui::Align::Center;
        let galley = painter.layout_job(job);
        painter.galley(pos2(rect.center().x, rect.center().y - galley.size().y / 2.0), galley, text);
        let response = response.on_hover_text(format!("{} (Alt+{})", place.label(), i + 1));
        if response.clicked() {
            view.place = place;
        }
    }
    let foot = Rect::from_min_max(
        pos2(area.left() + 4.0, area.bottom() - 34.0),
        pos2(area.right() - 4.0, area.bottom() - 6.0),
    );
    if let Some(ms) = desk.cx.frame_ms {
        ui.painter().text(
            foot.center_bottom(),
            Align2::CENTER_BOTTOM,
            format!("frame {ms:.0} ms"),
            FontId::new(theme::SMALL - 1.0, FontFamily::Proportional),
            look.rail_text.gamma_multiply(0.6),
        );
    }
}
