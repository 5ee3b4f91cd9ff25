//! The runs as a table: filtered, sorted by any column, one chosen; and the same as text.

use super::Part;
use crate::desk::Desk;
use crate::table::{self, Table};
use crate::theme::{self, SMALL};
use crate::tune::rating;
use crate::view::View;
use crate::widgets::put_text;
use crate::words;
use egui::{Align2, FontFamily, FontId, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use std::cmp::Ordering;
use washboard_session::{Run, Session};

const LINE: f32 = 23.0;
/// Height of the titles, which may take two lines.
const HEAD: f32 = 32.0;

/// What is chosen in the logbook.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LogbookForm {
    /// Identity of the set that all others are compared with in the list of sets; absent: each with the one it went on
    /// from.
    pub(crate) compared_with: Option<String>,
    pub(crate) part: Part,
    /// Words that a run must hold to be shown.
    pub(crate) filter: String,
    /// Column that the runs are sorted by, and whether upwards; absent: newest first.
    pub(crate) sort: Option<(Column, bool)>,
    /// Index of the run that is shown whole.
    pub(crate) chosen: Option<usize>,
}

/// A column of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Column {
    Time,
    Set,
    Mode,
    Event,
    LoadCase,
    Pressures,
    Temperatures,
    Attribute(String),
    Remark,
    Log,
}

impl Column {
    fn title(&self) -> String {
        match self {
            Column::Time => "time".into(),
            Column::Set => "set".into(),
            Column::Mode => "mode".into(),
            Column::Event => "event".into(),
            Column::LoadCase => "load case".into(),
            Column::Pressures => "tyres, bar".into(),
            Column::Temperatures => "air / track / damper, °C".into(),
            Column::Attribute(name) => name.clone(),
            Column::Remark => "the driver's words".into(),
            Column::Log => "log".into(),
        }
    }

    fn width(&self) -> f32 {
        match self {
            Column::Time => 100.0,
            Column::Set => 84.0,
            Column::Mode => 76.0,
            Column::Event => 104.0,
            Column::LoadCase => 78.0,
            Column::Pressures => 116.0,
            Column::Temperatures => 132.0,
            Column::Attribute(_) => 62.0,
            Column::Remark => 170.0,
            Column::Log => 58.0,
        }
    }

    /// What stands in the cell.
    pub(super) fn text(&self, run: &Run, when: &dyn Fn(&str) -> String) -> String {
        match self {
            Column::Time => when(&run.time),
            Column::Set => words::identity(&run.set_identity),
            Column::Mode => run.mode.clone(),
            Column::Event => run.event.clone(),
            Column::LoadCase => run.load_case.clone(),
            Column::Pressures => numbers(&pressures(run), 2, " "),
            Column::Temperatures => numbers(&temperatures(run), 0, " / "),
            Column::Attribute(name) => verdict(run, name).map_or(String::new(), rating),
            Column::Remark => run.remark.clone(),
            Column::Log => if run.log_file.is_empty() { "" } else { "✓" }.into(),
        }
    }

    fn compare(&self, a: &Run, b: &Run) -> Ordering {
        let by = |of: &dyn Fn(&Run) -> Option<f64>| of(a).partial_cmp(&of(b)).unwrap_or(Ordering::Equal);
        match self {
            Column::Pressures => by(&|run| run.tyre_pressures_bar.front_left),
            Column::Temperatures => by(&|run| run.air_temperature_c.or(run.track_temperature_c)),
            Column::Attribute(name) => by(&|run| verdict(run, name)),
            Column::Time => a.time.cmp(&b.time),
            Column::Set => a.set_identity.cmp(&b.set_identity),
            Column::Log => a.log_file.cmp(&b.log_file),
            _ => {
                let text = |run| self.text(run, &str::to_owned).to_lowercase();
                text(a).cmp(&text(b))
            }
        }
    }
}

/// Four pressures in the order front left, front right, rear left, rear right.
pub(super) fn pressures(run: &Run) -> [Option<f64>; 4] {
    let of = &run.tyre_pressures_bar;
    [of.front_left, of.front_right, of.rear_left, of.rear_right]
}

/// Air, track, damper.
pub(super) fn temperatures(run: &Run) -> [Option<f64>; 3] {
    [run.air_temperature_c, run.track_temperature_c, run.damper_temperature_c]
}

/// Numbers beside each other with a dash for what is missing; nothing where all are.
pub(super) fn numbers(values: &[Option<f64>], decimals: usize, between: &str) -> String {
    if values.iter().all(Option::is_none) {
        return String::new();
    }
    let texts: Vec<String> = values.iter().map(|v| v.map_or("–".to_owned(), |v| words::fixed(v, decimals))).collect();
    texts.join(between)
}

fn verdict(run: &Run, attribute: &str) -> Option<f64> {
    run.verdicts.iter().find(|v| v.attribute == attribute).map(|v| v.rating)
}

fn columns(session: &Session) -> Vec<Column> {
    let attributes = session.verdict_attributes.iter().cloned().map(Column::Attribute);
    [Column::Time, Column::Set, Column::Mode, Column::Event, Column::LoadCase]
        .into_iter()
        .chain(attributes)
        .chain([Column::Remark, Column::Pressures, Column::Temperatures, Column::Log])
        .collect()
}

/// Indices of the runs that pass the filter, in the order in which they are shown.
pub(super) fn order(desk: &Desk<'_>, form: &LogbookForm) -> Vec<usize> {
    let session = desk.session();
    let wanted: Vec<String> = form.filter.split_whitespace().map(str::to_lowercase).collect();
    let passes = |run: &Run| {
        let mut text = columns(session).iter().map(|c| c.text(run, &str::to_owned)).collect::<Vec<_>>().join(" ");
        text.push_str(&format!(" {} {}", run.set_identity, run.log_file));
        let text = text.to_lowercase();
        wanted.iter().all(|word| text.contains(word.as_str()))
    };
    let mut order: Vec<usize> = (0..session.logbook.len()).rev().filter(|i| passes(&session.logbook[*i])).collect();
    if let Some((column, upwards)) = &form.sort {
        order.sort_by(|a, b| {
            let by = column.compare(&session.logbook[*a], &session.logbook[*b]);
            if *upwards { by } else { by.reverse() }
        });
    }
    order
}

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let columns = columns(desk.session());
    let order = order(desk, &view.logbook);
    let fixed: f32 = columns.iter().map(Column::width).sum();
    let spare = (ui.available_width() - fixed - 14.0).max(0.0);
    // What is left goes to the driver's words.
    let width = |c: &Column| c.width() + if *c == Column::Remark { spare } else { 0.0 };
    let whole = columns.iter().map(width).sum::<f32>();
    egui::ScrollArea::both().id_salt("runs").auto_shrink(false).show(ui, |ui| {
        let (head, _) = ui.allocate_exact_size(vec2(whole, HEAD), Sense::hover());
        let mut left = head.left() + 6.0;
        for column in &columns {
            let at = Rect::from_min_size(pos2(left, head.top()), vec2(width(column) - 8.0, HEAD));
            left += width(column);
            title(ui, view, desk, column, at);
        }
        let (body, _) = ui.allocate_exact_size(vec2(whole, LINE * order.len() as f32), Sense::hover());
        ui.painter().rect(body, 2.0, look.card, look.line(), egui::StrokeKind::Inside);
        for (i, &run) in order.iter().enumerate() {
            let row = Rect::from_min_size(pos2(body.left(), body.top() + i as f32 * LINE), vec2(whole, LINE));
            if ui.is_rect_visible(row) || view.logbook.chosen == Some(run) {
                line(ui, view, desk, &columns, &width, run, row);
            }
        }
        if order.is_empty() {
            ui.label("No run holds these words.");
        }
    });
}

/// A column's title; a click sorts by it, the next one the other way, a third as before.
fn title(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, column: &Column, at: Rect) {
    let sorted = view.logbook.sort.as_ref().filter(|(c, _)| c == column).map(|(_, upwards)| *upwards);
    let mark = match sorted {
        Some(true) => " ▲",
        Some(false) => " ▼",
        None => "",
    };
    let name = column.title();
    let response = ui.interact(at, ui.scope_id().with(("sort by", &name)), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("sort by {name}{mark}")));
    let color = if response.hovered() || response.has_focus() { desk.look.text } else { desk.look.weak };
    let family = if sorted.is_some() { theme::semibold(ui.ctx()) } else { FontFamily::Proportional };
    let galley = ui.painter().layout(format!("{name}{mark}"), FontId::new(SMALL, family), color, at.width());
    let top = at.bottom() - 3.0 - galley.size().y;
    ui.painter_at(at.expand(1.0)).galley(pos2(at.left(), top), galley, color);
    if response.on_hover_text(format!("Sort by {name}")).clicked() {
        view.logbook.sort = match sorted {
            None => Some((column.clone(), true)),
            Some(true) => Some((column.clone(), false)),
            Some(false) => None,
        };
    }
}

fn line(
    ui: &mut Ui,
    view: &mut View,
    desk: &Desk<'_>,
    columns: &[Column],
    width: &dyn Fn(&Column) -> f32,
    index: usize,
    row: Rect,
) {
    let look = desk.look;
    let run = &desk.session().logbook[index];
    let is_on = view.logbook.chosen == Some(index);
    let response = ui.interact(row, ui.scope_id().with(("run", index)), Sense::click());
    let text = |column: &Column| match (column, super::run::beside_prediction(desk, index)) {
        (Column::Log, Some(share)) => share,
        (column, _) => column.text(run, &|time| desk.when(time)),
    };
    let texts: Vec<String> = columns.iter().map(text).collect();
    response.widget_info(|| {
        let filled: Vec<&str> = texts.iter().map(String::as_str).filter(|t| !t.is_empty()).collect();
        WidgetInfo::selected(Role::Row, true, is_on, format!("run {}", filled.join(", ")))
    });
    let painter = ui.painter();
    if is_on || response.hovered() || response.has_focus() {
        painter.rect_filled(row.shrink(1.0), 0.0, look.hover);
    }
    if is_on {
        let bar = Rect::from_min_size(row.min, vec2(3.0, row.height()));
        painter.rect_filled(bar, 0.0, look.chosen);
    }
    painter.hline(row.x_range(), row.bottom(), Stroke::new(1.0, look.grid));
    let mut left = row.left() + 6.0;
    for (column, text) in columns.iter().zip(&texts) {
        let at = Rect::from_min_size(pos2(left, row.top()), vec2(width(column) - 8.0, LINE));
        left += width(column);
        let is_number = matches!(
            column,
            Column::Set | Column::Pressures | Column::Temperatures | Column::Attribute(_) | Column::Time
        );
        let is_low = matches!(column, Column::Attribute(name) if verdict(run, name).is_some_and(|v| v < 5.0));
        let (family, color) = match column {
            // Below borderline: bold as well, never colour alone.
            _ if is_low => (theme::bold_numbers(ui.ctx()), look.crossed),
            Column::Mode => {
                let mode = desk.session().modes.iter().position(|m| m.name == run.mode);
                (theme::semibold(ui.ctx()), mode.map_or(look.text, |m| look.mode(m)))
            }
            _ if is_number => (FontFamily::Monospace, look.text),
            _ => (FontFamily::Proportional, look.text),
        };
        put_text(ui, at, Align2::LEFT_CENTER, text, SMALL + 0.5, family, color);
    }
    if response.clicked() {
        view.logbook.chosen = if is_on { None } else { Some(index) };
    }
}

/// The runs that are shown, in their order, every figure with all its digits.
pub(super) fn as_table(desk: &Desk<'_>, form: &LogbookForm) -> Table {
    let session = desk.session();
    let mut attributes = session.verdict_attributes.clone();
    for verdict in session.logbook.iter().flat_map(|run| &run.verdicts) {
        if !attributes.contains(&verdict.attribute) {
            attributes.push(verdict.attribute.clone());
        }
    }
    let head = ["time", "set identity", "mode", "event", "load case"];
    let tail = [
        "remark",
        "tyre pressure front left, bar",
        "tyre pressure front right, bar",
        "tyre pressure rear left, bar",
        "tyre pressure rear right, bar",
        "air temperature, °C",
        "track temperature, °C",
        "damper temperature, °C",
        "log file",
    ];
    let judged = attributes.iter().map(|a| format!("{a}, 1 to 10"));
    let titles = head.map(str::to_owned).into_iter().chain(judged).chain(tail.map(str::to_owned));
    let mut table = Table::new(titles);
    for run in order(desk, form).into_iter().map(|i| &session.logbook[i]) {
        let head = [&run.time, &run.set_identity, &run.mode, &run.event, &run.load_case].map(String::clone);
        let verdicts = attributes.iter().map(|a| table::opt(verdict(run, a)));
        let numbers = pressures(run).into_iter().chain(temperatures(run)).map(table::opt);
        let row = head.into_iter().chain(verdicts).chain([run.remark.clone()]).chain(numbers);
        table.row(row.chain([run.log_file.clone()]));
    }
    table
}
