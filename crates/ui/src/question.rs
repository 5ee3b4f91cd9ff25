//! Sentences that must be read: notices, faults, and the one question that stops everything else.

use crate::command::{Answer, Command};
use crate::context::{Question, Severity};
use crate::desk::Desk;
use crate::theme;
use crate::words;
use egui::{Margin, RichText, Ui};

/// Notices and the fault of the session, each a line below the strip.
pub(crate) fn notices(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let mut lines: Vec<(Option<usize>, Severity, String)> = Vec::new();
    if let Some(fault) = &desk.cx.fault {
        lines.push((None, Severity::Fault, format!("Cannot be computed. {fault}")));
    }
    for (i, notice) in desk.cx.notices.iter().enumerate() {
        lines.push((Some(i), notice.severity, notice.text.clone()));
    }
    copy(ui, desk);
    under_way(ui, desk);
    for (row, (index, severity, text)) in lines.into_iter().take(4).enumerate() {
        let (fill, color, sign) = match severity {
            Severity::Information => (look.card, look.text, "ⓘ"),
            Severity::Caution => (look.caution_fill, look.caution, "⚠"),
            Severity::Fault => (look.crossed_fill, look.crossed, "✕"),
        };
        egui::Panel::top(egui::Id::unique(("notice", row)))
            .resizable(false)
            .show_separator_line(false)
            .frame(egui::Frame::NONE.fill(fill).inner_margin(Margin::symmetric(10, 4)))
            .show(ui, |ui| {
                ui.horizontal(|ui| {
                    ui.label(RichText::new(sign).color(color));
                    let room = ui.available_width() - 70.0;
                    ui.allocate_ui(egui::vec2(room, 16.0), |ui| {
                        ui.add(egui::Label::new(RichText::new(text).color(color)).wrap())
                    });
                    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                        if let Some(index) = index
                            && ui.button("Close").clicked()
                        {
                            desk.ask(Command::DismissNotice(index));
                        }
                    });
                });
            });
    }
}

/// Long work in the background, how far it is, and how to stop it.
fn under_way(ui: &mut Ui, desk: &mut Desk<'_>) {
    let Some(work) = &desk.cx.under_way else { return };
    let look = desk.look;
    let far = match work.progress {
        (_, 0) => " …".to_owned(),
        (done, all) => format!(" … {done}/{all}"),
    };
    egui::Panel::top(egui::Id::unique("work under way"))
        .resizable(false)
        .show_separator_line(false)
        .frame(egui::Frame::NONE.fill(look.card).inner_margin(Margin::symmetric(10, 4)))
        .show(ui, |ui| {
            ui.horizontal(|ui| {
                ui.add(egui::Spinner::new().size(11.0).color(look.weak)).accessible_name("under way");
                if ui.button("Stop").accessible_name("Stop writing the report").clicked() {
                    desk.ask(Command::StopReport);
                }
                ui.add(egui::Label::new(RichText::new(format!("{}{far}", work.what)).color(look.text)).truncate());
            });
        });
}

/// Says that what is on screen is a copy of an earlier state, and leads back.
fn copy(ui: &mut Ui, desk: &mut Desk<'_>) {
    let Some(reopened) = desk.cx.reopened else { return };
    let look = desk.look;
    let (set, when) = (words::identity(&reopened.identity), desk.when(&reopened.time));
    let mut text = format!(
        "A copy: the session as it was at set {set}, handed over {when}. “{}” waits unchanged behind it.",
        reopened.behind
    );
    if !reopened.is_whole {
        text.push_str(" Car, dampers and events are those of today: an older program noted only the modes.");
    }
    egui::Panel::top(egui::Id::unique("copy of an earlier state"))
        .resizable(false)
        .show_separator_line(false)
        .frame(egui::Frame::NONE.fill(look.caution_fill).inner_margin(Margin::symmetric(10, 4)))
        .show(ui, |ui| {
            ui.horizontal(|ui| {
                let back = ui.button("← Back").on_hover_text("Alt+Left");
                if back.accessible_name("Back to the session that waits").clicked() {
                    desk.ask(Command::GoBack);
                }
                ui.add(egui::Label::new(RichText::new(text).color(look.caution)).truncate());
            });
        });
}

/// The question that must be answered first.
pub(crate) fn modal(ctx: &egui::Context, desk: &mut Desk<'_>) {
    let Some(question) = desk.cx.question else {
        return;
    };
    let (title, text, answers): (&str, String, &[(&str, Answer)]) = match question {
        Question::UnsavedChanges { next } => (
            "The session has changes that are not saved",
            format!("What shall happen to them before you {next}?"),
            &[("Save", Answer::Save), ("Let them go", Answer::Discard), ("Go back", Answer::GoBack)],
        ),
        Question::RecoveryFound { title, time } => (
            "Work from an earlier run was found",
            format!("“{title}”, kept at {time}, was never saved."),
            &[("Restore it", Answer::Restore), ("Let it go", Answer::Discard)],
        ),
    };
    let shown = egui::Modal::new(egui::Id::unique("question")).frame(theme::dialog_frame(desk.look)).show(ctx, |ui| {
        ui.set_width(420.0);
        ui.label(theme::bold(ui, title, theme::TITLE));
        ui.add_space(6.0);
        ui.label(text);
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            for (i, (label, answer)) in answers.iter().enumerate() {
                let clicked = if i == 0 {
                    crate::widgets::forward(ui, desk.look, label, true, egui::vec2(90.0, 26.0)).clicked()
                } else {
                    ui.add(egui::Button::new(*label).min_size(egui::vec2(90.0, 26.0))).clicked()
                };
                if clicked {
                    desk.out.push(Command::Answer(*answer));
                }
            }
        });
    });
    // Esc goes back where that is an answer; a recovered session must be decided on.
    if shown.should_close() && matches!(question, Question::UnsavedChanges { .. }) {
        desk.out.push(Command::Answer(Answer::GoBack));
    }
}

/// While a file is held over the window: what can be let go here.
pub(crate) fn dropping(ctx: &egui::Context, look: &theme::Look) {
    if ctx.input(|i| i.raw.hovered_files.is_empty()) {
        return;
    }
    let screen = ctx.content_rect();
    let painter = ctx.layer_painter(egui::LayerId::new(egui::Order::Foreground, egui::Id::unique("dropping")));
    painter.rect_filled(screen, 0.0, look.page.gamma_multiply(0.85));
    painter.rect_stroke(screen.shrink(8.0), 6.0, egui::Stroke::new(3.0, look.step_link()), egui::StrokeKind::Inside);
    let text = "Let go: a session, a set handed over, a road profile, damper bench data or a log";
    let font = egui::FontId::new(theme::TITLE, egui::FontFamily::Proportional);
    painter.text(screen.center(), egui::Align2::CENTER_CENTER, text, font, look.text);
}
