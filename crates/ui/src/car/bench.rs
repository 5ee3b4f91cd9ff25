//! Bench data before they are taken: what was read and done, the points and the curves made of them.

use super::dampers::{self, Curves};
use crate::command::Command;
use crate::context::BenchView;
use crate::desk::Desk;
use crate::field;
use crate::theme::{self, BODY, SMALL, TITLE};
use crate::view::View;
use crate::widgets::{choice, forward, section, toggle};
use egui::{Key, Rect, RichText, Ui, vec2};
use washboard_session::bench::{Direction, Reduced, taking};
use washboard_session::proposal;

/// Most points drawn; more only fill the same pixels.
const MOST_POINTS: usize = 6000;
const DIRECTIONS: [(Direction, &str); 3] =
    [(Direction::FromData, "as told"), (Direction::Rebound, "rebound"), (Direction::Compression, "compression")];

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, bench: &BenchView, left: Rect, right: Rect) {
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(left));
    child.shrink_clip_rect(left.expand(2.0));
    egui::ScrollArea::vertical().id_salt("bench story").auto_shrink(false).show(&mut child, |ui| {
        ui.set_width(ui.available_width() - 8.0);
        ui.label(theme::bold(ui, format!("bench data: {}", bench.file), TITLE));
        ui.label(theme::note(desk.look, "Nothing is taken before you say so."));
        ui.add_space(6.0);
        story(ui, desk, bench);
        direction(ui, desk, bench);
        match &bench.outcome {
            Ok(reduced) => take(ui, view, desk, bench, reduced),
            Err(_) => leave(ui, desk),
        }
    });
    if let Ok(reduced) = &bench.outcome {
        let plot = right.with_max_y(right.top() + right.height() * 0.6);
        let table = right.with_min_y(plot.bottom() + 8.0);
        curves(ui, desk, bench, reduced, plot);
        numbers(ui, desk, reduced, table);
    }
    if ui.input(|i| i.key_pressed(Key::Escape)) {
        desk.ask(Command::LeaveBench);
    }
}

/// What was read, done and seen, a sentence a line.
fn story(ui: &mut Ui, desk: &Desk<'_>, bench: &BenchView) {
    let look = desk.look;
    let line = |ui: &mut Ui, sign: &str, color: egui::Color32, text: &str| {
        ui.horizontal_top(|ui| {
            ui.label(RichText::new(sign).color(color));
            ui.add(egui::Label::new(RichText::new(text).color(color)).wrap());
        });
    };
    section(ui, look, "what was done", "");
    for sentence in &bench.read {
        line(ui, "·", look.text, sentence);
    }
    match &bench.outcome {
        Ok(reduced) => {
            for sentence in &reduced.done {
                line(ui, "·", look.text, sentence);
            }
            for sentence in &reduced.cautions {
                line(ui, "⚠", look.caution, sentence);
            }
        }
        Err(sentence) => line(ui, "✕", look.crossed, sentence),
    }
    ui.add_space(8.0);
}

fn direction(ui: &mut Ui, desk: &mut Desk<'_>, bench: &BenchView) {
    ui.horizontal(|ui| {
        ui.label("a positive velocity in the file is");
        let now = DIRECTIONS.iter().position(|(d, _)| *d == bench.direction).unwrap_or(0);
        if let Some(i) = toggle(ui, desk.look, "direction", now, &DIRECTIONS.map(|(_, word)| word)) {
            desk.ask(Command::SetBenchDirection(DIRECTIONS[i].0));
        }
    });
    ui.add_space(8.0);
}

fn take(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, bench: &BenchView, reduced: &Reduced) {
    let look = desk.look;
    section(ui, look, "where it goes", "");
    let mut names: Vec<String> = desk.session().dampers.iter().map(|d| format!("in the place of {}", d.name)).collect();
    let new_name = bench.file.rsplit_once('.').map_or(bench.file.as_str(), |(stem, _)| stem);
    names.push("a new damper".to_owned());
    let now = view.bench_into.filter(|i| *i + 1 < names.len()).unwrap_or(names.len() - 1);
    if let Some(i) = choice(ui, "Where the bench data go", 260.0, now, &names) {
        view.bench_into = (i + 1 < names.len()).then_some(i);
    }
    let at = (now + 1 < names.len()).then_some(now);
    let friction_n = (reduced.friction_n * 10.0).round() / 10.0;
    if friction_n > 0.0 {
        let now = at.and_then(|i| desk.session().dampers.get(i)).map_or(0.0, |damper| damper.friction_n);
        let text = format!("also take {} N as its friction (now {} N)", field::plain(friction_n), field::plain(now));
        ui.checkbox(&mut view.bench_friction, text)
            .on_hover_text("The friction found was taken out of the table: the car has it only where the damper does.");
    }
    let takes_friction = view.bench_friction && friction_n > 0.0;
    let (edit, sentences) = taking(desk.session(), reduced, at, new_name, takes_friction);
    if let Some(damper) = at.and_then(|i| desk.session().dampers.get(i)) {
        let keeps = if proposal::is_proposed(desk.session(), &proposal::mark("dampers", &damper.name)) {
            "It keeps its name; its valve times stay the proposed ones: set them below the table."
        } else {
            "It keeps its name and its valve times."
        };
        ui.label(theme::note(look, keeps));
    }
    for sentence in sentences {
        ui.add(egui::Label::new(RichText::new(format!("⚠ {sentence}")).size(SMALL).color(look.caution)).wrap());
    }
    let refused = washboard_session::apply(&mut desk.session().clone(), &edit).err();
    if let Some(fault) = &refused {
        ui.add(egui::Label::new(RichText::new(format!("✕ {fault}")).size(SMALL).color(look.crossed)).wrap());
    }
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        if forward(ui, look, "Take it", refused.is_none(), vec2(120.0, 28.0)).clicked() {
            let count = desk.session().dampers.len();
            view.damper = at.unwrap_or(count);
            desk.ask(Command::Edit(edit));
            desk.ask(Command::LeaveBench);
        }
        if ui.add(egui::Button::new("Leave it").min_size(vec2(90.0, 28.0))).clicked() {
            desk.ask(Command::LeaveBench);
        }
    });
}

fn leave(ui: &mut Ui, desk: &mut Desk<'_>) {
    if ui.add(egui::Button::new("Leave it").min_size(vec2(90.0, 28.0))).clicked() {
        desk.ask(Command::LeaveBench);
    }
}

/// The rows of the file as dots, the curves of the table through them.
fn curves(ui: &mut Ui, desk: &Desk<'_>, bench: &BenchView, reduced: &Reduced, rect: Rect) {
    let look = desk.look;
    let head = rect.with_max_y(rect.top() + 20.0);
    let title = "rows of the file (dots) and curves of the table";
    crate::widgets::put_text(ui, head, egui::Align2::LEFT_CENTER, title, BODY, theme::semibold(ui.ctx()), look.text);
    let curves = Curves {
        velocity_m_per_s: &reduced.velocity_m_per_s,
        current_a: &reduced.current_a,
        force_n: &reduced.force_n,
    };
    let drawn = dampers::plot(ui, look, rect.with_min_y(head.bottom()), "bench plot", &curves, &reduced.points);
    let all: usize = reduced.points.iter().map(Vec::len).sum();
    let step = all.div_ceil(MOST_POINTS).max(1);
    for (column, points) in reduced.points.iter().enumerate() {
        let color = dampers::tint(look, reduced.current_a.len(), column);
        for [velocity, force] in points.iter().step_by(step) {
            drawn.painter.circle_filled(drawn.at(*velocity, force * 1e-3), 1.6, color);
        }
    }
    let name = format!("Plot of {}: {all} rows, {} currents", bench.file, reduced.current_a.len());
    drawn.response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, &name));
}

/// The table that would be taken.
fn numbers(ui: &mut Ui, desk: &mut Desk<'_>, reduced: &Reduced, rect: Rect) {
    let look = desk.look;
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect));
    child.shrink_clip_rect(rect);
    section(&mut child, look, "the table", "force, N; rows damper velocity, m/s; columns current, A");
    let all = Curves {
        velocity_m_per_s: &reduced.velocity_m_per_s,
        current_a: &reduced.current_a,
        force_n: &reduced.force_n,
    };
    child.horizontal(|ui| {
        if let Some(asked) = crate::table::links(ui, look, "table of the bench data", || dampers::bench_table(&all)) {
            desk.ask(asked);
        }
    });
    egui::ScrollArea::both().id_salt("bench table").auto_shrink(false).show(&mut child, |ui| {
        egui::Grid::new("bench numbers").spacing([12.0, 1.0]).striped(true).show(ui, |ui| {
            ui.label(theme::note(look, "m/s"));
            for current in &reduced.current_a {
                ui.label(theme::note(look, format!("{} A", field::plain(*current))));
            }
            ui.end_row();
            for (velocity, row) in reduced.velocity_m_per_s.iter().zip(&reduced.force_n) {
                ui.label(theme::number(crate::words::breakpoint(*velocity), SMALL));
                for force in row {
                    ui.label(theme::number(crate::words::fixed(*force, 1), SMALL));
                }
                ui.end_row();
            }
        });
    });
}
