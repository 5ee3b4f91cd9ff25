//! Cuts through the open map with handles that can be pulled.

use super::bend::{behind, pulled};
use super::lever;
use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, Drawn, PlotName, Reading};
use crate::command::Command;
use crate::curve::{Band, Curve, Dash};
use crate::desk::Desk;
use crate::theme::{self, BODY};
use crate::view::{Along, Pull, View};
use crate::words;
use egui::{FontId, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use washboard_session::{Edit, MapName, MapRef, Mode};

const GRIP: f32 = 16.0;

/// The values of a cut through a map at the chosen row or column.
fn values(map: MapRef<'_>, along: Along, at: (usize, usize)) -> Vec<f64> {
    match along {
        Along::Rows => map.values.iter().map(|row| row.get(at.1).copied().unwrap_or(f64::NAN)).collect(),
        Along::Columns => map.values.get(at.0).cloned().unwrap_or_default(),
    }
}

fn breakpoints<'a>(map: MapRef<'a>, along: Along) -> &'a [f64] {
    match along {
        Along::Rows => map.rows,
        Along::Columns => map.columns,
    }
}

/// One cut on screen: its direction, what values are shown times, the range of the axis, and the map it goes through.
struct Cut<'m> {
    along: Along,
    factor: f64,
    range: (f64, f64),
    map: MapRef<'m>,
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect, along: Along) {
    let (Some(mode), look) = (desk.mode(view.mode), desk.look) else {
        return;
    };
    let Some(map) = mode.map(view.map) else {
        return;
    };
    let (row, column) = view.cells.cursor;
    let what = if view.map == MapName::Floor { "least current" } else { "gain" };
    let second = words::second_axis(view.map);
    let second_unit = words::unit(view.map.column_unit());
    let (name, title, note, fixed_at) = match along {
        Along::Rows => {
            let at = map.columns[column];
            (
                PlotName::CutSpeed,
                format!("{what} over speed"),
                format!("at {second} {} {second_unit}", words::breakpoint(at)),
                at,
            )
        }
        Along::Columns => {
            let at = map.rows[row];
            (PlotName::CutSecond, format!("{what} over {second}"), format!("at {} km/h", words::breakpoint(at)), at)
        }
    };
    let (head, body) = super::under_heading(rect);
    // In a narrow place the toggles stand where the note would be.
    let note = if along == Along::Rows && head.width() < 430.0 { "" } else { note.as_str() };
    chart::heading(ui, desk, head, name, &title, note);
    let scale = super::ratio_per_gain(desk).filter(|_| view.map != MapName::Floor);
    let as_ratio = view.as_ratio && scale.is_some();
    if along == Along::Rows && !desk.is_picture {
        controls(ui, view, desk, head, scale.is_some());
    }
    let factor = if as_ratio { scale.unwrap_or(1.0) } else { 1.0 };
    let unit = if as_ratio { String::new() } else { words::unit(view.map.value_unit()) };

    let pull = view.pull.clone().filter(|p| p.along == along);
    let shown = match &pull {
        Some(p) => pulled(p, view.falloff, view.map.value_limit(), step(ui, view.map)),
        None => values(map, along, view.cells.cursor),
    };
    let range = pull.as_ref().map_or_else(|| value_range(desk, view.map), |p| p.range);
    let x_points = breakpoints(map, along);
    let (x_title, x_unit) = match along {
        Along::Rows => ("speed, km/h".to_owned(), "km/h"),
        Along::Columns => (format!("{second}, {second_unit}"), "m/s²"),
    };
    let x_range = (x_points.first().copied().unwrap_or(0.0), x_points.last().copied().unwrap_or(1.0));
    let y_title = if as_ratio { "damping ratio".to_owned() } else { format!("{what}, {unit}") };
    // Large gains are numbered in thousands, which leaves room for the title.
    let y = Axis::linear(y_title, (range.0 * factor, range.1 * factor)).spaced(26.0);
    let mut chart =
        Chart::new(if along == Along::Rows { "cut rows" } else { "cut columns" }, Axis::linear(x_title, x_range), y);
    chart.can_zoom = false;
    let decimals = if as_ratio || view.map == MapName::Floor { 2 } else { 0 };
    chart.reads =
        Reading { x_decimals: 1, x_unit, y_decimals: decimals, y_unit: if as_ratio { "" } else { unit_of(view.map) } };
    chart.readout = pull.is_none();

    selection_band(&mut chart, view, x_points, along, (range.0 * factor, range.1 * factor), desk);
    let most = visit_bars(&mut chart, view, desk, x_points, along, (range.0 * factor, range.1 * factor));
    for (i, other) in desk.session().modes.iter().enumerate().filter(|(i, _)| *i != view.mode) {
        if let Some(other_map) = other.map(view.map) {
            let points = behind(other_map, along, fixed_at).into_iter().map(|[x, y]| [x, y * factor]);
            chart.curves.push(Curve::new(other.name.clone(), points).of_mode(look, i, false));
        }
    }
    if let Some(before) = car_values(desk, mode, view, map, along) {
        let points = x_points.iter().zip(&before).map(|(x, y)| [*x, y * factor]);
        chart.curves.push(Curve::new("in the car", points).stroke(look.neutral, 1.0, Dash::SOLID));
    }
    if let Some(p) = &pull {
        let points = x_points.iter().zip(&p.start).map(|(x, y)| [*x, y * factor]);
        chart.curves.push(Curve::new("before", points).stroke(look.neutral, 1.0, Dash::SOLID));
    }
    let points: Vec<[f64; 2]> = x_points.iter().zip(&shown).map(|(x, y)| [*x, y * factor]).collect();
    chart.curves.push(Curve::new(mode.name.clone(), points.clone()).of_mode(look, view.mode, true));
    let table = chart.table();
    let drawn = chart.show(ui, look, body);
    if let Some(most) = most {
        let text = format!("bars: visit share, most {} %", words::fixed(most * 100.0, 0));
        let font = FontId::new(theme::SMALL - 1.0, egui::FontFamily::Proportional);
        drawn.painter.text(drawn.frame().left_top() + vec2(6.0, 4.0), egui::Align2::LEFT_TOP, text, font, look.weak);
    }
    marks(view, desk, &drawn, along, x_points);
    wheel(ui, view, &drawn);
    let cut = Cut { along, factor, range, map };
    handles(ui, view, desk, &drawn, &cut, &points);
    chart::offer(ui, desk, head, name, &[drawn.response], || table.clone());
}

fn unit_of(map: MapName) -> &'static str {
    if map == MapName::Floor { "A" } else { "N·s/m" }
}

/// Round steps of a pulled value.
fn step(ui: &Ui, map: MapName) -> f64 {
    let fine = ui.input(|i| i.modifiers.shift);
    match (map, fine) {
        (MapName::Floor, false) => 0.02,
        (MapName::Floor, true) => 0.005,
        (_, false) => 10.0,
        (_, true) => 1.0,
    }
}

/// From zero to a little above the largest value of this map in any mode, so that cuts can be compared by eye.
fn value_range(desk: &Desk<'_>, map: MapName) -> (f64, f64) {
    let (low, high) = desk
        .session()
        .modes
        .iter()
        .filter_map(|m| m.map(map))
        .flat_map(|m| m.values.iter().flatten())
        .fold((0.0_f64, 0.0_f64), |(low, high), v| (low.min(*v), high.max(*v)));
    outward(low, if high > low { low + (high - low) * 1.08 } else { low + 1.0 })
}

fn controls(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, head: Rect, has_ratio: bool) {
    let rect =
        Rect::from_min_max(pos2(head.right() - 256.0, head.top()), pos2(head.right() - chart::BUTTONS, head.bottom()));
    let mut child =
        ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(egui::Layout::right_to_left(egui::Align::Center)));
    let look = desk.look;
    if has_ratio && view.map != MapName::Floor {
        let options = ["damping ratio", "N·s/m"];
        let chosen = usize::from(!view.as_ratio);
        if let Some(i) = crate::widgets::toggle(&mut child, look, "show as", chosen, &options) {
            view.as_ratio = i == 0;
        }
        child.add_space(6.0);
    }
    let text = if view.falloff <= 0.0 { "bends alone".to_owned() } else { format!("bends ±{:.1}", view.falloff) };
    child.label(theme::note(look, text)).on_hover_text(
        "How far neighbours follow a pulled handle, in breakpoints.\nTurn the wheel over the plot to change it.\nThe damping ratio is that of a front corner.",
    );
}

fn wheel(ui: &Ui, view: &mut View, drawn: &Drawn) {
    let is_over = drawn.response.contains_pointer() || view.pull.is_some();
    let turned = ui.input(|i| {
        i.events
            .iter()
            .filter_map(|e| if let egui::Event::MouseWheel { delta, .. } = e { Some(delta.y) } else { None })
            .sum::<f32>()
    });
    if is_over && turned != 0.0 {
        view.falloff = (view.falloff + 0.5 * turned.signum()).clamp(0.0, 5.0);
    }
}

fn selection_band(chart: &mut Chart, view: &View, x: &[f64], along: Along, range: (f64, f64), desk: &Desk<'_>) {
    let pick = |cell: (usize, usize)| if along == Along::Rows { cell.0 } else { cell.1 };
    let (from, to) = (pick(view.cells.anchor), pick(view.cells.cursor));
    let (from, to) = (from.min(to), from.max(to));
    if from == to || to >= x.len() {
        return;
    }
    let color = desk.look.shade.gamma_multiply(0.18);
    chart.bands.push(Band::new("", &[x[from], x[to]], &[range.0, range.0], &[range.1, range.1], color));
}

/// Bars of the visit share, each around its breakpoint, as high as its share of the largest.
fn visit_bars(
    chart: &mut Chart,
    view: &View,
    desk: &Desk<'_>,
    x: &[f64],
    along: Along,
    range: (f64, f64),
) -> Option<f64> {
    let shares = desk.board().and_then(|b| b.visits.get(view.mode)).and_then(|v| v.of(view.map))?;
    let sums: Vec<f64> = (0..x.len())
        .map(|i| match along {
            Along::Rows => shares.get(i).map_or(0.0, |row| row.iter().sum()),
            Along::Columns => shares.iter().filter_map(|row| row.get(i)).sum(),
        })
        .collect();
    let most = sums.iter().copied().fold(0.0, f64::max);
    if most <= 0.0 {
        return None;
    }
    let span = x.last().copied().unwrap_or(1.0) - x.first().copied().unwrap_or(0.0);
    let widest = span * 0.05;
    for (i, sum) in sums.iter().enumerate() {
        let half = [i.checked_sub(1).map(|j| x[i] - x[j]), x.get(i + 1).map(|n| n - x[i])]
            .into_iter()
            .flatten()
            .fold(widest / 0.35, f64::min)
            * 0.35;
        let top = range.0 + (range.1 - range.0) * 0.30 * sum / most;
        let color = desk.look.bar.gamma_multiply(desk.strength());
        chart.bands.push(Band::new("", &[x[i] - half, x[i] + half], &[range.0, range.0], &[top, top], color));
    }
    Some(most)
}

/// The influence of the cells along the cut, at the foot of the plot.
fn marks(view: &View, desk: &Desk<'_>, drawn: &Drawn, along: Along, x: &[f64]) {
    let (row, column) = view.cells.cursor;
    for (i, x) in x.iter().enumerate() {
        let (r, c) = if along == Along::Rows { (i, column) } else { (row, i) };
        if let Some(pull) = lever::pull_of(desk, view, view.map, r, c) {
            let at = pos2(drawn.at(*x, 0.0).x, drawn.frame().bottom() - 8.0);
            lever::mark(&drawn.painter, desk.look, at, pull);
        }
    }
}

/// The same cut of the set in the car, where its axes are the same.
fn car_values(desk: &Desk<'_>, mode: &Mode, view: &View, map: MapRef<'_>, along: Along) -> Option<Vec<f64>> {
    let set = desk.cx.in_car?;
    let before = set.modes.iter().find(|m| m.name == mode.name)?.map(view.map)?;
    if before.rows != map.rows || before.columns != map.columns {
        return None;
    }
    let before = values(before, along, view.cells.cursor);
    (before != values(map, along, view.cells.cursor)).then_some(before)
}

fn handles(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, drawn: &Drawn, cut: &Cut<'_>, points: &[[f64; 2]]) {
    let Cut { along, factor, map, .. } = *cut;
    let look = desk.look;
    let chosen = if along == Along::Rows { view.cells.cursor.0 } else { view.cells.cursor.1 };
    let unit = words::unit(view.map.value_unit());
    let color = look.mode(view.mode);
    let painter = ui.painter().clone();
    for (i, [x, y]) in points.iter().enumerate() {
        let at = drawn.at(*x, *y);
        if !drawn.frame().expand(2.0).contains(at) {
            continue;
        }
        let id = ui.scope_id().with(("handle", along, i));
        let response = ui.interact(Rect::from_center_size(at, vec2(GRIP, GRIP)), id, Sense::click_and_drag());
        let value = y / factor;
        let (speed, second) = match along {
            Along::Rows => (*x, map.columns[view.cells.cursor.1]),
            Along::Columns => (map.rows[view.cells.cursor.0], *x),
        };
        response.widget_info(|| {
            let over = if along == Along::Rows { "speed" } else { words::second_axis(view.map) };
            let text = format!("handle over {over}: {}", cell_name(view.map, speed, second, value));
            WidgetInfo::labeled(Role::Slider, true, text)
        });
        let is_pulled = view.pull.as_ref().is_some_and(|p| p.along == along && p.index == i);
        let response = response.on_hover_and_drag_cursor(egui::CursorIcon::ResizeVertical);
        let is_big = is_pulled || response.hovered() || response.has_focus() || i == chosen;
        let radius = if is_big { 5.5 } else { 4.0 };
        let fill = if is_pulled || i == chosen { color } else { look.plot };
        let stroke =
            Stroke::new(if is_big { 1.8 } else { 1.5 }, if is_pulled || i == chosen { look.text } else { color });
        let (r, c) = if along == Along::Rows { (i, view.cells.cursor.1) } else { (view.cells.cursor.0, i) };
        if desk.mode(view.mode).is_some_and(|mode| mode.is_locked(view.map, r, c)) {
            // A locked handle is square and does not follow.
            let square = Rect::from_center_size(at, vec2(2.0, 2.0) * (radius - 0.5));
            painter.rect(square, 0.0, fill, stroke, egui::StrokeKind::Middle);
        } else {
            painter.circle(at, radius, fill, stroke);
        }
        if is_pulled || response.hovered() || i == chosen {
            let text = words::cell(view.map, value);
            let text = if factor == 1.0 { text } else { format!("{text} {unit} · {y:.2}") };
            tag(ui, desk, drawn, at, &text);
        }
        act(ui, view, desk, drawn, cut, i, &response);
    }
}

fn tag(ui: &Ui, desk: &Desk<'_>, drawn: &Drawn, at: egui::Pos2, text: &str) {
    let font = FontId::new(BODY, theme::semibold(ui.ctx()));
    let galley = ui.painter().layout_no_wrap(text.to_owned(), font, desk.look.text);
    let frame = drawn.frame();
    let x = (at.x - galley.size().x / 2.0)
        .clamp(frame.left() + 2.0, (frame.right() - galley.size().x - 2.0).max(frame.left()));
    let y = if at.y - galley.size().y - 8.0 > frame.top() { at.y - galley.size().y - 7.0 } else { at.y + 8.0 };
    let rect = Rect::from_min_size(pos2(x, y), galley.size()).expand2(vec2(3.0, 0.0));
    ui.painter().rect_filled(rect, 2.0, desk.look.plot.gamma_multiply(0.85));
    ui.painter().galley(pos2(x, y), galley, desk.look.text);
}

/// Name of a cell for reading aloud and for checks of the window.
pub(crate) fn cell_name(map: MapName, speed: f64, second: f64, value: f64) -> String {
    format!(
        "{}, {} km/h, {} {} {}, {} {}",
        map.field(),
        words::breakpoint(speed),
        words::second_axis(map),
        words::breakpoint(second),
        words::unit(map.column_unit()),
        words::cell(map, value),
        words::unit(map.value_unit())
    )
}

fn act(
    ui: &Ui,
    view: &mut View,
    desk: &mut Desk<'_>,
    drawn: &Drawn,
    cut: &Cut<'_>,
    index: usize,
    response: &egui::Response,
) {
    let Cut { along, factor, range, map } = *cut;
    let choose = |view: &mut View| {
        let (row, column) = view.cells.cursor;
        view.cells.cursor = if along == Along::Rows { (index, column) } else { (row, index) };
        view.cells.anchor = view.cells.cursor;
    };
    if response.clicked() {
        choose(view);
        response.request_focus();
    }
    if response.has_focus() {
        nudge(ui, view, desk, cut, index, response);
    }
    if response.drag_started()
        && let Some(origin) = ui.input(|i| i.pointer.press_origin())
    {
        choose(view);
        let grip = drawn.transform.value_from_position(origin).y / factor;
        let start = values(map, along, view.cells.cursor);
        view.pull = Some(Pull { along, index, start, by: 0.0, grip, range });
        desk.ask(Command::BeginGesture(gesture_name(desk, view)));
    }
    let Some(mut pull) = view.pull.clone().filter(|p| p.along == along && p.index == index) else {
        return;
    };
    if response.dragged()
        && let Some(pointer) = response.interact_pointer_pos()
    {
        pull.by = drawn.transform.value_from_position(pointer).y / factor - pull.grip;
        let wanted = pulled(&pull, view.falloff, view.map.value_limit(), step(ui, view.map));
        send(view, desk, along, map, &wanted);
        view.pull = Some(pull);
    }
    if response.drag_stopped() {
        view.pull = None;
        desk.ask(Command::EndGesture);
    }
}

fn gesture_name(desk: &Desk<'_>, view: &View) -> String {
    let mode = desk.mode(view.mode).map_or("", |m| m.name.as_str());
    format!("pull {} in {mode}", view.map.label())
}

/// Sends the cells of the cut that are not what they shall be.
fn send(view: &View, desk: &mut Desk<'_>, along: Along, map: MapRef<'_>, wanted: &[f64]) {
    let now = values(map, along, view.cells.cursor);
    let (row, column) = view.cells.cursor;
    let is_free =
        |&(r, c, _): &(usize, usize, f64)| desk.mode(view.mode).is_some_and(|mode| !mode.is_locked(view.map, r, c));
    let cells: Vec<(usize, usize, f64)> = wanted
        .iter()
        .enumerate()
        .filter(|(i, w)| now.get(*i).is_some_and(|n| n != *w))
        .map(|(i, w)| if along == Along::Rows { (i, column, *w) } else { (row, i, *w) })
        .filter(is_free)
        .collect();
    if !cells.is_empty() {
        desk.ask(Command::Edit(Edit::SetCells { mode: view.mode, map: view.map, cells }));
    }
}

/// Steps a handle that has the keyboard by one per cent of the axis.
fn nudge(ui: &Ui, view: &View, desk: &mut Desk<'_>, cut: &Cut<'_>, index: usize, response: &egui::Response) {
    let Cut { along, range, map, .. } = *cut;
    let filter = egui::EventFilter { vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let up = ui.input_mut(|i| i.count_and_consume_key(egui::Modifiers::NONE, egui::Key::ArrowUp)) as f64;
    let down = ui.input_mut(|i| i.count_and_consume_key(egui::Modifiers::NONE, egui::Key::ArrowDown)) as f64;
    if up == down {
        return;
    }
    let start = values(map, along, view.cells.cursor);
    let by = (up - down) * (range.1 - range.0) * 0.01;
    let pull = Pull { along, index, start, by, grip: 0.0, range };
    let wanted = pulled(&pull, view.falloff, view.map.value_limit(), step(ui, view.map));
    desk.ask(Command::BeginGesture(gesture_name(desk, view)));
    send(view, desk, along, map, &wanted);
    desk.ask(Command::EndGesture);
}
