//! The views: they read documents and results, and emit commands; they compute nothing and know no file.
//!
//! [`show`] draws the whole window for one frame from a [`Context`] and the engineer's [`View`], and returns what the
//! engineer asked for as [`Command`]s. The program owns session, worker, dialogs and clock.

mod acts;
mod aside;
mod axis;
mod car;
mod chart;
mod command;
mod context;
mod cursor;
mod curve;
mod desk;
mod differs;
mod field;
mod figures;
mod hand_over;
mod keys;
mod logbook;
mod plots;
mod question;
mod rail;
mod roads;
mod side;
mod strip;
mod svg;
mod table;
mod theme;
mod tour;
mod tune;
mod view;
mod widgets;

pub use chart::PlotName;
pub use command::{Answer, Command, RequestChange};
pub use context::{
    About, BenchView, Context, HandOverResult, HandOverView, Held, HeldFigure, LayoutView, LeverView, LogText,
    MeasuredFigure, MeasuredView, Notice, OpenedSet, Pace, Part, ProposedLayout, Question, ReadBackView, Recent,
    Reopened, Severity, SideView, Spell, UnderWay,
};
pub use hand_over::HandOverSheet;
pub use logbook::{LogbookForm, RunForm};
pub use plots::picture;
pub use side::{ColumnKey, SideForm, side_columns, side_wish};
pub use theme::{Theme, apply_theme, font_files, install_fonts};
pub use tune::{LeverForm, lever_wish};
pub use view::{Along, Aside, Cell, Cells, HandOverForm, Moment, Place, ProposalForm, Splits, View};

use desk::Desk;
use theme::Look;
/// How numbers and names read, under its short name for all views.
use washboard_words as words;

/// Draws the window for one frame; returns what the engineer asked for, in order.
pub fn show(ui: &mut egui::Ui, view: &mut View, context: &Context<'_>) -> Vec<Command> {
    follow_theme(ui.ctx(), view.theme);
    view.mode = view.mode.min(context.session.modes.len().saturating_sub(1));
    let look = Look::of(view.theme);
    let mut desk = Desk { cx: context, look, out: Vec::new(), enlarged: view.enlarged, is_picture: false };
    keys::act(ui.ctx(), view, &mut desk);
    view.go_on.begin_frame(ui.ctx());

    let place = egui::Frame::NONE.fill(look.page).inner_margin(egui::Margin::same(8));
    egui::Panel::left("rail")
        .exact_size(74.0)
        .resizable(false)
        .show_separator_line(false)
        .frame(egui::Frame::NONE.fill(look.rail))
        .show(ui, |ui| rail::show(ui, view, &desk));
    egui::Panel::top("strip")
        .exact_size(strip::height(ui.available_width()))
        .resizable(false)
        .show_separator_line(false)
        .frame(egui::Frame::NONE.fill(look.card))
        .show(ui, |ui| strip::show(ui, view, &mut desk));
    question::notices(ui, &mut desk);
    egui::CentralPanel::default_margins().frame(place).show(ui, |ui| {
        let least = least_room(view.place);
        in_reach(ui, least, |ui| match view.place {
            Place::Car => car::show(ui, view, &mut desk),
            Place::Roads => roads::show(ui, view, &mut desk),
            Place::Tune => tune::show(ui, view, &mut desk),
            Place::SideBySide => side::show(ui, view, &mut desk),
            Place::Logbook => logbook::show(ui, view, &mut desk),
            Place::HandOver => hand_over::show(ui, view, &mut desk),
        })
    });
    aside::show(ui.ctx(), view, &mut desk);
    if desk.cx.question.is_none() {
        tour::show(ui.ctx(), view, &mut desk);
    }
    question::modal(ui.ctx(), &mut desk);
    question::dropping(ui.ctx(), look);
    view.enlarged = desk.enlarged;
    desk.out
}

/// Smallest room that a place can be laid out in, points: a small window or large text shows a part of it to scroll in.
fn least_room(place: Place) -> egui::Vec2 {
    // A form wraps, plots and tables beside each other do not.
    let width = if place == Place::Logbook { 680.0 } else { 860.0 };
    egui::vec2(width, 560.0)
}

/// Draws a place in the room there is, or scrolled where that is too small.
fn in_reach(ui: &mut egui::Ui, least: egui::Vec2, place: impl FnOnce(&mut egui::Ui)) {
    let room = ui.available_size();
    if room.x >= least.x && room.y >= least.y {
        return place(ui);
    }
    egui::ScrollArea::both().id_salt("place").auto_shrink(false).show(ui, |ui| {
        let (rect, _) = ui.allocate_exact_size(room.max(least), egui::Sense::hover());
        place(&mut ui.new_child(egui::UiBuilder::new().max_rect(rect)));
    });
}

/// Applies the theme of the view where it is not the one applied last.
fn follow_theme(ctx: &egui::Context, theme: Theme) {
    let id = egui::Id::unique("applied theme");
    if ctx.data(|d| d.get_temp::<Theme>(id)) != Some(theme) {
        apply_theme(ctx, theme);
        // Text size is a setting of the program; its keys are in `keys`.
        ctx.options_mut(|o| o.zoom_with_keyboard = false);
        ctx.data_mut(|d| d.insert_temp(id, theme));
        ctx.request_repaint();
    }
}
