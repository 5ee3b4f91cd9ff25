//! The chosen event over time: body, one corner's wheel load and current, all modes overlaid, with the time cursor.

use super::curves::drawn_at_strength;
use super::{moment, nothing_yet, under_heading};
use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, Drawn, PlotName, Reading};
use crate::command::RequestChange;
use crate::curve::{Curve, Dash};
use crate::desk::Desk;
use crate::table::Table;
use crate::theme::SMALL;
use crate::view::View;
use crate::widgets::choice;
use crate::words;
use egui::{Align2, FontFamily, FontId, Rect, Ui, pos2, vec2};
use washboard_metrics::MetricId;
use washboard_session::Session;
use washboard_study::{Board, Channel, FenceState, Trace};

/// Seconds shown of a long run.
const PART_S: f64 = 5.0;
/// Least height of one of more than three lanes, points.
const LANE: f32 = 44.0;
/// An event that makes larger angles has a lane for them, rad: 0.1 degrees.
const LEAST_ANGLE_RAD: f64 = 0.00175;

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
    let by_name = wanted.iter().find(|n| trace.has(n)).map(|n| (*n).to_owned());
    by_name.or_else(|| trace.titles().iter().find(|title| fits(&title.name)).map(|title| title.name.clone()))
}

/// Body, load and current, and between them as many more lanes as there is `room` for.
fn lanes(board: &Board, trace: &Trace, corner: &str, room: usize) -> Vec<Lane> {
    let body = first_of(trace, &["body_heave_m", "body_displacement_m", "heave_m", "body_m"], |n| {
        (n.contains("body") || n.contains("heave")) && n.ends_with("_m")
    });
    let load =
        first_of(trace, &[&format!("{corner}_wheel_load_n")], |n| n.starts_with(corner) && n.ends_with("load_n"));
    let current =
        first_of(trace, &[&format!("{corner}_current_a")], |n| n.starts_with(corner) && n.ends_with("current_a"));
    let short = words::corner_short(corner);
    let mut lanes =
        vec![Lane { id: "event body", title: "body, mm".into(), scale: 1e3, unit: "mm", decimals: 1, channel: body }];
    // Where there is room, the angles that the event makes have lanes of their own, the larger one first, then travel.
    let mut angles: Vec<_> = [("event roll", "roll, °", "roll_rad"), ("event pitch", "pitch, °", "pitch_rad")]
        .into_iter()
        .filter(|_| room > 0)
        .map(|of| (peak(board, of.2), of))
        .filter(|(peak, _)| *peak > LEAST_ANGLE_RAD)
        .collect();
    angles.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (_, (id, title, name)) in angles.into_iter().take(room) {
        let channel = Some(name.to_owned());
        let (title, scale) = (title.to_owned(), 180.0 / std::f64::consts::PI);
        lanes.push(Lane { id, title, scale, unit: "°", decimals: 2, channel });
    }
    let travel = Some(format!("{corner}_travel_m")).filter(|name| lanes.len() <= room && trace.has(name));
    if travel.is_some() {
        let title = format!("{short} travel, mm");
        lanes.push(Lane { id: "event travel", title, scale: 1e3, unit: "mm", decimals: 1, channel: travel });
    }
    let title = format!("{short} load, kN");
    lanes.push(Lane { id: "event load", title, scale: 1e-3, unit: "kN", decimals: 2, channel: load });
    let title = format!("{short} current, A");
    lanes.push(Lane { id: "event current", title, scale: 1.0, unit: "A", decimals: 2, channel: current });
    lanes
}

/// Largest magnitude of a channel over all modes; zero where no mode has it.
fn peak(board: &Board, channel: &str) -> f64 {
    let values = board.traces.iter().filter_map(|t| t.channel(channel)).flat_map(|c| c.values);
    values.fold(0.0, |most, v| v.abs().max(most))
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
    let is_large = desk.enlarged == Some(PlotName::Event) && !desk.is_picture;
    if is_large {
        let curves = moment::show(ui, view, desk, board, body);
        return plots(ui, view, desk, board, head, curves, true);
    }
    moment::go_on(ui, view, board);
    plots(ui, view, desk, board, head, body, false);
}

/// First and last time of the traces, s.
pub(super) fn ends(board: &Board) -> Option<(f64, f64)> {
    let trace = board.traces.iter().find(|t| !t.time_s.is_empty())?;
    Some((trace.time_s.first().copied()?, trace.time_s.last().copied()?))
}

/// The stacked plots.
fn plots(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, board: &Board, head: Rect, body: Rect, is_large: bool) {
    let corners = board.request.model.corner_names();
    let corner = corners.get(view.corner).or(corners.first()).copied().unwrap_or("");
    let Some(trace) = board.traces.iter().find(|t| !t.time_s.is_empty()) else {
        return;
    };
    let axis = 27.0;
    let most = ((body.height() - axis) / LANE) as usize;
    let lanes = lanes(board, trace, corner, if is_large { most.saturating_sub(3) } else { 0 });
    let last = lanes.len() - 1;
    let height = (body.height() - axis) / lanes.len() as f32;
    let (begin, end) = ends(board).unwrap_or((0.0, 1.0));
    // A small plot of a long run shows some seconds of it, with the moment looked at; large, it shows all.
    let is_part = desk.enlarged.is_none() && end - begin > PART_S * 1.5;
    let middle = (begin + end) / 2.0;
    let middle = match view.moment.at_s.filter(|t| (t - middle).abs() > PART_S / 2.0) {
        Some(at) => at.clamp(begin + PART_S / 2.0, (end - PART_S / 2.0).max(begin + PART_S / 2.0)),
        None => middle,
    };
    let time = if is_part { (middle - PART_S / 2.0, middle + PART_S / 2.0) } else { (begin, end) };
    let x_title = if is_part { format!("time, s (of {} s)", words::breakpoint(end)) } else { "time, s".to_owned() };
    let mut top = body.top();
    let mut drawn = Vec::new();
    let mut moved = None;
    for (i, lane) in lanes.iter().enumerate() {
        let height = if i == last { height + axis } else { height };
        let part = Rect::from_min_size(pos2(body.left(), top), vec2(body.width(), height - 2.0));
        top += height;
        if let Some(plot) = plot(ui, view, desk, board, lane, part, time, i == last, &x_title) {
            moved = moved.or(plot.moved_to);
            drawn.push(plot.response);
        }
    }
    if let Some(at) = moved {
        view.moment.at_s = Some(at.clamp(begin, end));
        view.moment.plays = false;
    }
    if drawn.iter().any(egui::Response::has_focus) {
        moment::keys(ui, view, board);
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
) -> Option<Drawn> {
    let look = desk.look;
    let font = FontId::new(SMALL, FontFamily::Proportional);
    let Some(name) = &lane.channel else {
        ui.painter().rect(rect, 1.0, look.plot, look.line(), egui::StrokeKind::Inside);
        let text = format!("{}: not in this model", lane.title);
        ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, font, look.weak);
        return None;
    };
    let of_modes: Vec<(usize, &Trace, Channel<'_>)> =
        board.traces.iter().enumerate().filter_map(|(i, t)| Some((i, &**t, t.channel(name)?))).collect();
    let (low, high) = of_modes
        .iter()
        .flat_map(|(_, _, c)| c.values)
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
    (chart.scrubs, chart.cursor, chart.follows) = (true, view.moment.at_s, view.moment.plays);
    let names = &desk.session().modes;
    if let Some((trace, channel)) = before(view, desk, board).and_then(|t| Some((t, t.channel(name)?))) {
        let points = trace.time_s.iter().zip(channel.values).map(|(t, v)| [*t, v * lane.scale]);
        chart.curves.push(Curve::new("before the edit", points).stroke(look.neutral, 0.9, Dash::SOLID));
    }
    let order = of_modes.iter().filter(|m| m.0 != view.mode).chain(of_modes.iter().filter(|m| m.0 == view.mode));
    for (i, trace, channel) in order {
        let Some(mode) = names.get(*i) else { continue };
        let points = trace.time_s.iter().zip(channel.values).map(|(t, v)| [*t, v * lane.scale]);
        let width = if *i == view.mode { look.front - 0.9 } else { look.behind - 0.5 };
        let curve = Curve::new(mode.name.clone(), points);
        chart.curves.push(curve.stroke(look.mode(*i), width, Dash::of_mode(*i)));
    }
    let drawn = drawn_at_strength(ui, desk, chart, rect);
    fences(view, desk, board, lane, &drawn);
    let at = drawn.frame().left_top() + vec2(5.0, 3.0);
    let galley = ui.painter().layout_no_wrap(lane.title.clone(), font, look.weak);
    drawn.painter.rect_filled(Rect::from_min_size(at, galley.size()).expand(1.0), 2.0, look.plot.gamma_multiply(0.8));
    drawn.painter.galley(at, galley, look.weak);
    Some(drawn)
}

/// The bounds of fences on this event that are bounds of a curve, for the mode under work: crossed ones stand out.
fn fences(view: &View, desk: &Desk<'_>, board: &Board, lane: &Lane, drawn: &Drawn) {
    let look = desk.look;
    let bounds: &[(MetricId, f64)] = match lane.id {
        "event load" => &[(MetricId::LEAST_WHEEL_LOAD, 1.0)],
        "event travel" => &[(MetricId::SUSPENSION_TRAVEL_PEAK, 1.0), (MetricId::SUSPENSION_TRAVEL_PEAK, -1.0)],
        "event roll" => &[(MetricId::ROLL_PEAK, 1.0), (MetricId::ROLL_PEAK, -1.0)],
        "event pitch" => &[(MetricId::PITCH_PEAK, 1.0), (MetricId::PITCH_PEAK, -1.0)],
        _ => return,
    };
    let of_event = |f: &&FenceState| f.mode == view.mode && f.event == Some(board.request.event);
    for fence in board.evaluation.fences.iter().filter(of_event) {
        for (_, sign) in bounds.iter().filter(|(id, _)| *id == fence.metric) {
            let (color, width) = if fence.kept { (look.weak, 1.0) } else { (look.crossed, 1.8) };
            let frame = drawn.frame();
            let y = drawn.at(0.0, sign * fence.bound * lane.scale).y;
            if !frame.y_range().contains(y) {
                continue;
            }
            let line = [pos2(frame.left(), y), pos2(frame.right(), y)];
            drawn.painter.extend(egui::Shape::dashed_line(&line, egui::Stroke::new(width, color), 6.0, 4.0));
            let text = if fence.kept { "fence" } else { "✕ fence" };
            let font = FontId::new(SMALL - 1.0, FontFamily::Proportional);
            drawn.painter.text(pos2(frame.right() - 4.0, y - 1.0), Align2::RIGHT_BOTTOM, text, font, color);
        }
    }
}

/// The chosen mode's run before the edit, where it differs from the one shown.
fn before<'a>(view: &View, desk: &Desk<'a>, board: &Board) -> Option<&'a Trace> {
    let ghost = desk.ghost().filter(|g| g.request == board.request)?;
    let (before, now) = (ghost.traces.get(view.mode)?, board.traces.get(view.mode)?);
    // What an edit has not changed is the same run, not one like it.
    (!std::sync::Arc::ptr_eq(before, now)).then_some(&**before)
}
