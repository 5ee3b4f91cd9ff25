//! The chosen event over time: body, one corner's wheel load and current, all modes overlaid.

use super::curves::drawn_at_strength;
use super::{nothing_yet, under_heading};
use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, PlotName, Reading};
use crate::command::RequestChange;
use crate::curve::Curve;
use crate::desk::Desk;
use crate::table::Table;
use crate::theme::SMALL;
use crate::view::View;
use crate::widgets::choice;
use crate::words;
use egui::{Align2, FontFamily, FontId, Rect, Ui, pos2, vec2};
use washboard_session::Session;
use washboard_study::{Board, Channel, Trace};

/// Seconds shown of a long run.
const PART_S: f64 = 5.0;

/// One of the stacked plots.
struct Lane {
    id: &'static str,
    title: String,
    scale: f64,
    unit: &'static str,
    decimals: usize,
    channel: Option<String>,
}

fn first_of(trace: &Trace, wanted: &[&str], fits: impl Fn(&str) -> bool) -> Option<String> {
    let by_name = wanted.iter().find(|n| trace.channel(n).is_some()).map(|n| (*n).to_owned());
    by_name.or_else(|| trace.channels.iter().find(|c| fits(&c.name)).map(|c| c.name.clone()))
}

fn lanes(trace: &Trace, corner: &str) -> Vec<Lane> {
    let body = first_of(trace, &["body_heave_m", "body_displacement_m", "heave_m", "body_m"], |n| {
        (n.contains("body") || n.contains("heave")) && n.ends_with("_m")
    });
    let load =
        first_of(trace, &[&format!("{corner}_wheel_load_n")], |n| n.starts_with(corner) && n.ends_with("load_n"));
    let current =
        first_of(trace, &[&format!("{corner}_current_a")], |n| n.starts_with(corner) && n.ends_with("current_a"));
    let short = words::corner_short(corner);
    vec![
        Lane { id: "event body", title: "body, mm".into(), scale: 1e3, unit: "mm", decimals: 1, channel: body },
        Lane {
            id: "event load",
            title: format!("{short} load, kN"),
            scale: 1e-3,
            unit: "kN",
            decimals: 2,
            channel: load,
        },
        Lane {
            id: "event current",
            title: format!("{short} current, A"),
            scale: 1.0,
            unit: "A",
            decimals: 2,
            channel: current,
        },
    ]
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let (head, body) = under_heading(rect);
    let driven = desk.board().and_then(|b| desk.session().events.get(b.request.event)).map_or("", |e| e.name.as_str());
    let note = if desk.is_picture { driven } else { "" };
    chart::heading(ui, desk, head, PlotName::Event, "event over time", note);
    if !desk.is_picture {
        selectors(ui, view, desk, head);
    }
    let Some(board) = desk.board().filter(|b| b.traces.iter().any(|t| !t.time_s.is_empty())) else {
        return nothing_yet(ui, desk, body);
    };
    let corners = board.request.model.corner_names();
    let corner = corners.get(view.corner).or(corners.first()).copied().unwrap_or("");
    let Some(trace) = board.traces.iter().find(|t| !t.time_s.is_empty()) else {
        return;
    };
    let lanes = lanes(trace, corner);
    let last = lanes.len() - 1;
    let axis = 27.0;
    let height = (body.height() - axis) / lanes.len() as f32;
    let end = trace.time_s.last().copied().unwrap_or(1.0);
    let begin = trace.time_s.first().copied().unwrap_or(0.0);
    // A small plot of a long run shows some seconds out of its middle; large, it shows all.
    let is_part = desk.enlarged.is_none() && end - begin > PART_S * 1.5;
    let time = if is_part { ((begin + end - PART_S) / 2.0, (begin + end + PART_S) / 2.0) } else { (begin, end) };
    let x_title =
        if is_part { format!("time, s (of {} s; drag to move)", words::breakpoint(end)) } else { "time, s".to_owned() };
    let mut top = body.top();
    let mut drawn = Vec::new();
    for (i, lane) in lanes.iter().enumerate() {
        let height = if i == last { height + axis } else { height };
        let part = Rect::from_min_size(pos2(body.left(), top), vec2(body.width(), height - 2.0));
        top += height;
        drawn.extend(plot(ui, view, desk, board, lane, part, time, i == last, &x_title));
    }
    let session = desk.session();
    chart::offer(ui, desk, head, PlotName::Event, &drawn, || table(session, board, &lanes));
}

/// All lanes of all modes over time, in the units of the screen.
fn table(session: &Session, board: &Board, lanes: &[Lane]) -> Table {
    let time = board.traces.iter().map(|t| t.time_s.as_slice()).max_by_key(|t| t.len()).unwrap_or_default();
    let mut columns: Vec<(String, Vec<f64>)> = Vec::new();
    for lane in lanes {
        for (trace, mode) in board.traces.iter().zip(&session.modes) {
            let channel = lane.channel.as_ref().and_then(|name| trace.channel(name));
            columns.extend(channel.map(|c| {
                (format!("{}: {}", mode.name, lane.title), c.values.iter().map(|v| v * lane.scale).collect())
            }));
        }
    }
    Table::of_curves("time, s", time, columns.iter().map(|(n, y)| (n.clone(), y.as_slice())))
}

fn selectors(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, head: Rect) {
    let corners = desk.cx.request.model.corner_names();
    let names: Vec<String> = corners.iter().map(|c| words::corner_short(c).to_owned()).collect();
    let events: Vec<String> = desk.session().events.iter().map(|e| e.name.clone()).collect();
    let room =
        Rect::from_min_max(pos2(head.left() + 106.0, head.top()), pos2(head.right() - chart::BUTTONS, head.bottom()));
    let mut child =
        ui.new_child(egui::UiBuilder::new().max_rect(room).layout(egui::Layout::right_to_left(egui::Align::Center)));
    let ui = &mut child;
    ui.spacing_mut().interact_size.y = 18.0;
    ui.spacing_mut().button_padding.y = 0.0;
    if names.len() > 1
        && let Some(i) = choice(ui, "Corner", 34.0, view.corner, &names)
    {
        view.corner = i;
    }
    let width = (ui.available_width() - 16.0).clamp(60.0, 180.0);
    if events.is_empty() {
        ui.label(crate::theme::note(desk.look, "no events yet: add one in Roads"));
    } else if let Some(i) = choice(ui, "Event", width, desk.cx.request.event, &events) {
        desk.request(RequestChange::SetEvent(i));
    }
}

fn plot(
    ui: &mut Ui,
    view: &View,
    desk: &mut Desk<'_>,
    board: &Board,
    lane: &Lane,
    rect: Rect,
    time: (f64, f64),
    is_last: bool,
    x_title: &str,
) -> Option<egui::Response> {
    let look = desk.look;
    let font = FontId::new(SMALL, FontFamily::Proportional);
    let Some(name) = &lane.channel else {
        ui.painter().rect(rect, 1.0, look.plot, look.line(), egui::StrokeKind::Inside);
        let text = format!("{}: not in this model", lane.title);
        ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, font, look.weak);
        return None;
    };
    let channel = |t: &'_ Trace| -> Option<Channel> { t.channel(name).cloned() };
    let of_modes: Vec<(usize, &Trace, Channel)> =
        board.traces.iter().enumerate().filter_map(|(i, t)| Some((i, &**t, channel(t)?))).collect();
    let (low, high) = of_modes
        .iter()
        .flat_map(|(_, _, c)| &c.values)
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v * lane.scale), h.max(v * lane.scale)));
    let (low, high) = if high - low < 1e-9 { (low - 0.5, high + 0.5) } else { (low, high) };
    let y = Axis::linear("", outward(low, high)).spaced(18.0);
    let mut chart = Chart::new(lane.id, Axis::linear(x_title, time).spaced(50.0), y);
    chart.show_x_title = is_last;
    chart.show_x_ticks = is_last;
    chart.is_lane = true;
    chart.link = Some(if desk.enlarged.is_some() { "event over time, large" } else { "event over time" });
    chart.reads = Reading { x_decimals: 3, x_unit: "s", y_decimals: lane.decimals, y_unit: lane.unit };
    let names = &desk.session().modes;
    let order = of_modes.iter().filter(|m| m.0 != view.mode).chain(of_modes.iter().filter(|m| m.0 == view.mode));
    for (i, trace, channel) in order {
        let Some(mode) = names.get(*i) else { continue };
        let points = trace.time_s.iter().zip(&channel.values).map(|(t, v)| [*t, v * lane.scale]);
        let width = if *i == view.mode { look.front - 0.9 } else { look.behind - 0.5 };
        let curve = Curve::new(mode.name.clone(), points);
        chart.curves.push(curve.stroke(look.mode(*i), width, crate::curve::Dash::of_mode(*i)));
    }
    let drawn = drawn_at_strength(ui, desk, chart, rect);
    let at = drawn.frame().left_top() + vec2(5.0, 3.0);
    let galley = ui.painter().layout_no_wrap(lane.title.clone(), font, look.weak);
    drawn.painter.rect_filled(Rect::from_min_size(at, galley.size()).expand(1.0), 2.0, look.plot.gamma_multiply(0.8));
    drawn.painter.galley(at, galley, look.weak);
    Some(drawn.response)
}
