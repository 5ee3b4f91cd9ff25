//! Five steps through the window for whoever sees it first: each points at a part of it and says one plain sentence.

use crate::desk::Desk;
use crate::theme::{self, BODY, TITLE};
use crate::view::{Place, View};
use crate::widgets::forward;
use egui::{Area, Context, Id, Order, Pos2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

/// A part of the window that a step points at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Spot {
    Maps,
    Curves,
    Scorecard,
    InTheCar,
    Places,
}

/// Where it points, what it is, and the sentence.
const STEPS: [(Spot, &str, &str); 5] = [
    (
        Spot::Maps,
        "The map under work",
        "Pull a handle of a cut, or type into the numbers below: 2400, +5% or *1.1. Keys 1 to 9 choose the mode.",
    ),
    (
        Spot::Curves,
        "What it does",
        "Every curve follows while you pull, for all modes; the thin one is how it was before the edit.",
    ),
    (
        Spot::Scorecard,
        "Better or worse",
        "Each figure stands beside its difference to the reference mode, with how sure that is; fences are watched here.",
    ),
    (Spot::InTheCar, "The set in the car", "Its identity, and how much of what is on screen differs from it."),
    (
        Spot::Places,
        "The week from top to bottom",
        "Car, roads, tuning, comparing, logbook, hand-over. Ctrl+K finds everything that can be done, this tour too.",
    ),
];

const CARD: f32 = 330.0;
const CARD_HEIGHT: f32 = 150.0;
const APART: f32 = 12.0;

fn id_of(spot: Spot) -> Id {
    Id::unique(("tour spot", spot))
}

/// Notes where a part of the window lies in this frame.
pub(crate) fn mark(ui: &Ui, spot: Spot, rect: Rect) {
    ui.data_mut(|d| d.insert_temp(id_of(spot), rect));
}

/// Begins with the first step.
pub(crate) fn begin(view: &mut View) {
    view.tour = Some(0);
    (view.place, view.enlarged, view.aside) = (Place::Tune, None, None);
}

fn leave(view: &mut View) {
    (view.tour, view.tour_seen) = (None, true);
}

/// Shows the step that is open, if any.
pub(crate) fn show(ctx: &Context, view: &mut View, desk: &mut Desk<'_>) {
    let Some(step) = view.tour else { return };
    // Whoever goes elsewhere or opens something has left it.
    let Some((spot, title, sentence)) = STEPS.get(step) else {
        return leave(view);
    };
    if view.place != Place::Tune || view.aside.is_some() || desk.enlarged.is_some() {
        return leave(view);
    }
    let look = desk.look;
    let screen = ctx.content_rect();
    let rect = ctx.data(|d| d.get_temp::<Rect>(id_of(*spot))).unwrap_or(screen).intersect(screen);
    let painter = ctx.layer_painter(egui::LayerId::new(Order::Middle, Id::unique("tour")));
    let shade = look.rail.gamma_multiply(0.55);
    for part in around(screen, rect) {
        painter.rect_filled(part, 0.0, shade);
    }
    painter.rect_stroke(rect.expand(2.0), 4.0, Stroke::new(3.0, look.step_link()), StrokeKind::Outside);

    let id = Id::unique("tour card");
    let at = place_of_card(screen, rect);
    let modal = egui::Modal::new(id)
        .area(Area::new(id).order(Order::Foreground).fixed_pos(at).constrain_to(screen.shrink(4.0)))
        .backdrop_color(egui::Color32::TRANSPARENT)
        .frame(theme::dialog_frame(look))
        .show(ctx, |ui| {
            ui.set_width(CARD);
            ui.horizontal(|ui| {
                ui.label(theme::bold(ui, *title, TITLE));
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    ui.label(theme::note(look, format!("step {} of {}", step + 1, STEPS.len())));
                });
            });
            ui.add_space(4.0);
            ui.add(egui::Label::new(egui::RichText::new(*sentence).size(BODY + 0.5)).wrap());
            ui.add_space(10.0);
            ui.horizontal(|ui| buttons(ui, view, look, step));
        });
    if modal.should_close() {
        leave(view);
    }
}

fn buttons(ui: &mut Ui, view: &mut View, look: &theme::Look, step: usize) {
    let is_last = step + 1 == STEPS.len();
    let next = forward(ui, look, if is_last { "Begin to work" } else { "Next" }, true, vec2(110.0, 26.0));
    // Enter goes on from the first step to the last.
    if ui.memory(|m| m.focused().is_none()) {
        next.request_focus();
    }
    if next.clicked() {
        if is_last {
            leave(view);
        } else {
            view.tour = Some(step + 1);
        }
    }
    if step > 0 && ui.button("Back").clicked() {
        view.tour = Some(step - 1);
    }
    if !is_last && ui.button("Leave the tour").on_hover_text("Esc").clicked() {
        leave(view);
    }
}

/// The four parts of the screen around a rectangle.
fn around(screen: Rect, rect: Rect) -> [Rect; 4] {
    [
        screen.with_max_y(rect.top()),
        screen.with_min_y(rect.bottom()),
        Rect::from_min_max(pos2(screen.left(), rect.top()), pos2(rect.left(), rect.bottom())),
        Rect::from_min_max(pos2(rect.right(), rect.top()), pos2(screen.right(), rect.bottom())),
    ]
}

/// Beside what it points at where there is room, else below or above it.
fn place_of_card(screen: Rect, rect: Rect) -> Pos2 {
    let width = CARD + 40.0;
    let middle = rect.center().y - CARD_HEIGHT / 2.0;
    if screen.right() - rect.right() >= width + APART {
        pos2(rect.right() + APART, middle.max(screen.top() + APART))
    } else if rect.left() - screen.left() >= width + APART {
        pos2(rect.left() - APART - width, middle.max(screen.top() + APART))
    } else if screen.bottom() - rect.bottom() >= CARD_HEIGHT + APART {
        pos2(rect.center().x - width / 2.0, rect.bottom() + APART)
    } else {
        pos2(rect.center().x - width / 2.0, (rect.top() - APART - CARD_HEIGHT).max(screen.top()))
    }
}

impl View {
    /// Begins the tour where it was never seen.
    pub fn welcome(&mut self) {
        if !self.tour_seen && self.place == Place::Tune && self.aside.is_none() {
            begin(self);
        }
    }

    /// True while something lies over the places.
    pub(crate) fn is_covered(&self) -> bool {
        self.aside.is_some() || self.tour.is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_card_never_lies_over_what_it_points_at() {
        let screen = Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 800.0));
        let card = |rect: Rect| Rect::from_min_size(place_of_card(screen, rect), vec2(CARD + 40.0, CARD_HEIGHT));
        for rect in [
            Rect::from_min_max(pos2(80.0, 60.0), pos2(590.0, 700.0)),
            Rect::from_min_max(pos2(610.0, 60.0), pos2(1270.0, 480.0)),
            Rect::from_min_max(pos2(610.0, 490.0), pos2(1270.0, 720.0)),
            Rect::from_min_max(pos2(180.0, 4.0), pos2(352.0, 48.0)),
            Rect::from_min_max(pos2(0.0, 0.0), pos2(74.0, 800.0)),
        ] {
            assert!(!card(rect).intersects(rect) && screen.contains_rect(card(rect)), "{rect:?} {:?}", card(rect));
        }
    }

    #[test]
    fn five_steps_of_one_breath_each() {
        assert_eq!(STEPS.len(), 5);
        assert!(STEPS.iter().all(|(_, title, sentence)| title.len() < 32 && sentence.len() < 130));
    }
}
