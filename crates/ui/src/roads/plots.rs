//! The chosen event large: height over distance or time, density against the classes of ISO 8608, demands, cones.

use crate::axis::{Axis, outward};
use crate::chart::{self, Chart, PlotName, Reading};
use crate::curve::{Band, Curve, Dash};
use crate::desk::Desk;
use crate::table::{Table, number};
use crate::theme::{Look, SMALL};
use crate::tune::{nothing_yet, under_heading};
use crate::view::View;
use crate::widgets::toggle;
use crate::words;
use egui::{Align2, Color32, FontFamily, FontId, Rect, Stroke, Ui, pos2, vec2};
use washboard_study::{ClassBounds, EventView, TrackPicture};

const LEFT: Dash = Dash::SOLID;

/// The chosen event as the results have it.
pub(super) fn chosen<'a>(view: &View, desk: &Desk<'a>) -> Option<&'a EventView> {
    of_event(desk, view.event)
}

/// One event as the results have it; nothing while they are of another list of events.
pub(super) fn of_event<'a>(desk: &Desk<'a>, event: usize) -> Option<&'a EventView> {
    let board = desk.board().filter(|b| b.events.len() == desk.session().events.len())?;
    board.events.get(event).map(|v| &**v)
}

/// Colour and dash of a track: the right one is another line, not only another colour.
fn pen(look: &Look, track: usize) -> (Color32, Dash) {
    if track == 0 { (look.text, LEFT) } else { (look.step_link(), Dash::of_mode(1)) }
}

/// Name of a track on screen; one track alone has none.
fn track_name(track: &TrackPicture, count: usize) -> &'static str {
    if count < 2 || track.name == "elevation" { "height" } else { track.name }
}

/// Tracks that differ; two alike are drawn as one.
fn tracks(found: &EventView) -> Vec<&TrackPicture> {
    match found.road.tracks.as_slice() {
        [left, right] if left.height_m == right.height_m => vec![left],
        all => all.iter().collect(),
    }
}

/// Names of two tracks at the right end of the heading, each in its own line.
fn legend(ui: &Ui, look: &Look, rect: Rect, names: &[&str]) {
    let mut right = rect.right() - 40.0;
    for (i, name) in names.iter().enumerate().rev() {
        let (color, dash) = pen(look, i);
        let font = FontId::new(SMALL, FontFamily::Proportional);
        let text = ui.painter().text(pos2(right, rect.center().y), Align2::RIGHT_CENTER, name, font, look.text);
        dash.sample(ui.painter(), pos2(text.left() - 26.0, rect.center().y), 22.0, Stroke::new(1.8, color));
        right = text.left() - 36.0;
    }
}

/// Height of the road, over distance or over time.
pub(crate) fn height(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let (head, body) = under_heading(rect);
    chart::heading(ui, desk, head, PlotName::RoadHeight, "height of the road", "");
    let at = Rect::from_min_max(pos2(head.left() + 116.0, head.top()), pos2(head.left() + 300.0, head.bottom()));
    if !desk.is_picture {
        let mut child =
            ui.new_child(egui::UiBuilder::new().max_rect(at).layout(egui::Layout::left_to_right(egui::Align::Center)));
        let now = usize::from(view.road_over_time);
        if let Some(i) = toggle(&mut child, look, "road", now, &["over distance", "over time"]) {
            view.road_over_time = i == 1;
        }
    }
    let Some(found) = chosen(view, desk).filter(|f| !f.road.tracks.is_empty()) else {
        return nothing_yet(ui, desk, body);
    };
    let tracks = tracks(found);
    // Beside the choice of the axis where there is room, else inside the plot.
    let names = if tracks.len() > 1 { &["left", "right"][..] } else { &[] };
    let has_room = head.width() >= 440.0;
    if has_room {
        legend(ui, look, head, names);
    }
    let over_time = view.road_over_time;
    let x_of = |i: usize| if over_time { &found.road_time_s[i] } else { &tracks[i].distance_m };
    let points = |i: usize| x_of(i).iter().zip(&tracks[i].height_m).map(|(x, z)| [*x, z * 1e3]);
    let all = || (0..tracks.len()).flat_map(points);
    let driven = found.demands.distance_m.last().copied().unwrap_or(0.0);
    let (low, high) = all().fold((0.0, 0.0), |(l, h), p| (f64::min(l, p[1]), f64::max(h, p[1])));
    let room = (high - low).max(1e-3) * 0.08;
    let ends = all().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[0]), h.max(p[0])));
    let time_of = |x: f64| {
        let next = found.demands.distance_m.partition_point(|d| *d < x);
        found.demands.time_s.get(next).or(found.demands.time_s.last()).copied().unwrap_or(0.0)
    };
    let (from, to) = match found.focus_m {
        Some((from, to)) if over_time => (time_of(from), time_of(to)),
        Some(focus) => focus,
        None => ends,
    };
    let title = if over_time { "time at the front axle, s" } else { "distance, m" };
    let y = Axis::linear("height, mm", outward(low - room, high + room)).spaced(26.0);
    let mut chart = Chart::new("road height", Axis::linear(title, (from, to.min(ends.1).max(from + 1e-3))), y);
    let unit = if over_time { "s" } else { "m" };
    chart.reads = Reading { x_decimals: 2, x_unit: unit, y_decimals: 1, y_unit: "mm" };
    for (i, track) in tracks.iter().enumerate() {
        let (color, dash) = pen(look, i);
        let name = track_name(track, tracks.len());
        chart.curves.push(Curve::new(name, points(i)).stroke(color, 1.6, dash));
    }
    let table = chart.table();
    let drawn = chart.show(ui, look, body);
    if !has_room {
        let top = drawn.frame();
        legend(ui, look, Rect::from_min_size(top.min, vec2(top.width() + 36.0, 20.0)), names);
    }
    if !over_time && driven > 0.0 && driven < ends.1 - 0.5 {
        // A measured profile may go on further than the run does.
        let x = drawn.at(driven, 0.0).x;
        let frame = drawn.frame();
        drawn.painter.vline(x, frame.y_range(), Stroke::new(1.0, look.caution));
        let font = FontId::new(SMALL, FontFamily::Proportional);
        let text = format!("the run ends at {driven:.0} m");
        drawn.painter.text(pos2(x - 4.0, frame.top() + 4.0), Align2::RIGHT_TOP, text, font, look.caution);
    }
    chart::offer(ui, desk, head, PlotName::RoadHeight, &[drawn.response], move || table.clone());
}

/// Micro cubic metres: densities read without powers.
const MICRO: f64 = 1e6;

/// Displacement density of the road against the classes of ISO 8608.
pub(crate) fn density(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let (head, body) = under_heading(rect);
    let found = chosen(view, desk).filter(|f| f.road.tracks.iter().any(|t| t.density.is_some()));
    // In the place itself the figures stand in full above the plots.
    let is_alone = desk.is_picture || desk.enlarged.is_some();
    let note = found.filter(|_| is_alone).map_or_else(String::new, figures);
    chart::heading(ui, desk, head, PlotName::RoadDensity, "displacement density", &note);
    let Some(found) = found else {
        return nothing_yet(ui, desk, body);
    };
    let tracks: Vec<&TrackPicture> = tracks(found).into_iter().filter(|t| t.density.is_some()).collect();
    let bands = || tracks.iter().filter_map(|t| t.density.as_ref());
    let ns = || bands().flat_map(|d| d.band_cycles_per_m.iter().copied());
    // What a road for a car is judged by; an obstacle or a fine profile may hold more.
    let (from, to) = ns().fold((0.02, 3.0), |(l, h), n| (f64::min(l, n * 0.8), f64::max(h, n * 1.2)));
    let to = to.min(5.0);
    let values = bands().flat_map(|d| d.band_density_m3.iter().copied()).filter(|v| *v > 0.0);
    let (low, high) = values.fold((f64::INFINITY, 0.0), |(l, h), v| (f64::min(l, v), f64::max(h, v)));
    // A drawn road ends at its highest wavenumber: the nothing beyond must not press all the rest together.
    let low = low.max(high * 1e-6);
    let (low, high) = if high > 0.0 { (low * 0.2 * MICRO, high * 5.0 * MICRO) } else { (1e-3, 1e3) };
    let x = Axis::logarithmic("wavenumber, cycles/m", (from, to));
    let y = Axis::logarithmic("density, 10⁻⁶ m³", (low, high)).spaced(26.0);
    let mut chart = Chart::new("road density", x, y);
    chart.reads = Reading { x_decimals: 3, x_unit: "cycles/m", y_decimals: 3, y_unit: "10⁻⁶ m³" };
    let ends = [from, to];
    let xs: Vec<f64> = ends.iter().map(|n| n.log10()).collect();
    let line =
        |level: f64| ends.iter().map(|n| (ClassBounds::carried(level, *n) * MICRO).log10()).collect::<Vec<f64>>();
    // Every other class is shaded, so that bounds show as edges.
    for (i, class) in found.road.classes.iter().enumerate() {
        let lower = class.lower_m3.unwrap_or(class.mean_m3 * 1e-6);
        let upper = class.upper_m3.unwrap_or(class.mean_m3 * 1e6);
        if i % 2 == 0 {
            chart.bands.push(Band::new("class", &xs, &line(lower), &line(upper), look.band));
        }
    }
    for (i, track) in tracks.iter().enumerate() {
        let Some(density) = &track.density else { continue };
        let (color, dash) = pen(look, i);
        let logs = |x: &[f64], y: &[f64]| -> Vec<[f64; 2]> {
            x.iter().zip(y).filter(|(_, y)| **y > 0.0).map(|(x, y)| [x.log10(), (y * MICRO).log10()]).collect()
        };
        let bins = logs(&density.wavenumber_cycles_per_m, &density.density_m3);
        chart.curves.push(Curve::new("", bins).stroke(color.gamma_multiply(0.3), 1.0, Dash::SOLID));
        let name = track_name(track, tracks.len()).replace("height", "density");
        let smooth = logs(&density.band_cycles_per_m, &density.band_density_m3);
        chart.curves.push(Curve::new(name, smooth).stroke(color, 2.0, dash));
        if let Some(fit) = density.fit {
            let of = [fit.from_cycles_per_m, fit.to_cycles_per_m].map(|n| [n.log10(), (fit.at(n) * MICRO).log10()]);
            chart.curves.push(Curve::new("line", of).stroke(color, 1.2, Dash::of_mode(2)));
        }
    }
    let mut table = Table::new(["track", "wavenumber, cycles/m", "density, m³"]);
    for track in &tracks {
        let Some(density) = &track.density else { continue };
        for (n, g) in density.band_cycles_per_m.iter().zip(&density.band_density_m3) {
            table.row([track.name.to_owned(), number(*n), number(*g)]);
        }
    }
    let drawn = chart.show(ui, look, body);
    let frame = drawn.frame();
    let font = FontId::new(SMALL, FontFamily::Proportional);
    for class in &found.road.classes {
        // Letters stand where the class crosses the right edge, or the upper edge for the roughest.
        let mean = (ClassBounds::carried(class.mean_m3, to) * MICRO).log10();
        let at = drawn.at(to.log10(), mean);
        if at.y < frame.bottom() - 8.0 && at.y > frame.top() + 8.0 {
            let place = pos2(frame.right() - 5.0, at.y);
            drawn.painter.text(place, Align2::RIGHT_CENTER, class.class, font.clone(), look.weak);
        }
    }
    chart::offer(ui, desk, head, PlotName::RoadDensity, &[drawn.response], move || table.clone());
}

/// Class, density, waviness and roughness index of the tracks, as the heading has them.
fn figures(found: &EventView) -> String {
    let tracks = tracks(found);
    let of = |track: &&TrackPicture| {
        let mut parts = Vec::new();
        if let Some(fit) = track.density.as_ref().and_then(|d| d.fit) {
            parts.push(format!(
                "class {}, {}·10⁻⁶ m³ at 0.1 cycles/m (×÷ {}), waviness {}",
                fit.class,
                crate::axis::short(fit.psd_at_n0_m3 * MICRO),
                words::fixed(fit.uncertainty_factor, 1),
                words::fixed(fit.waviness, 2)
            ));
        }
        if let Some(index) = track.roughness_index_m_per_km {
            parts.push(format!("roughness index {} m/km", words::fixed(index, 2)));
        }
        let name = if tracks.len() > 1 { format!("{}: ", track.name) } else { String::new() };
        format!("{name}{}", parts.join(", "))
    };
    tracks.iter().map(of).collect::<Vec<_>>().join("; ")
}

/// The figures of a road in full, one line a track.
pub(super) fn figure_lines(found: &EventView) -> Vec<String> {
    let text = figures(found);
    text.split("; ").filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

/// Accelerations and speed over time.
pub(crate) fn demands(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let (head, body) = under_heading(rect);
    chart::heading(ui, desk, head, PlotName::Demands, "manoeuvre over time", "");
    let Some(found) = chosen(view, desk) else {
        return nothing_yet(ui, desk, body);
    };
    let demands = &found.demands;
    let time = &demands.time_s;
    let end = time.last().copied().unwrap_or(1.0);
    let speed: Vec<f64> = demands.speed_m_per_s.iter().map(|v| v * 3.6).collect();
    let changes = !demands.longitudinal_m_per_s2.is_empty();
    let lanes: Vec<(&'static str, &'static str, &'static str, &'static str, &[f64])> = [
        ("demands lateral", "lateral, m/s²", "lateral acceleration, m/s²", "m/s²", demands.lateral_m_per_s2.as_slice()),
        (
            "demands longitudinal",
            "longit., m/s²",
            "longitudinal acceleration, m/s²",
            "m/s²",
            demands.longitudinal_m_per_s2.as_slice(),
        ),
        ("demands speed", "speed, km/h", "speed, km/h", "km/h", if changes { speed.as_slice() } else { &[] }),
    ]
    .into_iter()
    .filter(|lane| !lane.4.is_empty())
    .collect();
    if lanes.is_empty() {
        return nothing_yet(ui, desk, body);
    }
    let axis = 27.0;
    let each = (body.height() - axis) / lanes.len() as f32;
    let mut responses = Vec::new();
    for (i, (id, title, _, unit, values)) in lanes.iter().enumerate() {
        let is_last = i + 1 == lanes.len();
        let top = body.top() + i as f32 * each;
        let part = Rect::from_min_size(
            pos2(body.left(), top),
            vec2(body.width(), if is_last { each + axis } else { each - 2.0 }),
        );
        let (low, high) = values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
        let (low, high) = if *unit == "m/s²" { (low.min(0.0), high.max(0.0)) } else { (low, high) };
        let room = (high - low).max(0.1) * 0.08;
        let y = Axis::linear(*title, outward(low - room, high + room)).spaced(24.0);
        let mut chart = Chart::new(id, Axis::linear("time, s", (0.0, end)), y);
        chart.show_x_title = is_last;
        chart.show_x_ticks = is_last;
        chart.is_lane = lanes.len() > 1;
        chart.link = Some(if desk.enlarged.is_some() { "demands, large" } else { "demands" });
        chart.reads = Reading { x_decimals: 2, x_unit: "s", y_decimals: 2, y_unit: unit };
        let name = title.split(',').next().unwrap_or(title);
        let points = time.iter().zip(*values).map(|(t, v)| [*t, *v]);
        chart.curves.push(Curve::new(name, points).stroke(look.text, 1.8, Dash::SOLID));
        responses.push(chart.show(ui, look, part).response);
    }
    let columns: Vec<(String, Vec<f64>)> =
        lanes.iter().map(|(_, _, name, _, values)| ((*name).to_owned(), values.to_vec())).collect();
    let time = time.clone();
    let table = move || Table::of_curves("time, s", &time, columns.iter().map(|(n, v)| (n.clone(), v.as_slice())));
    chart::offer(ui, desk, head, PlotName::Demands, &responses, table);
}

/// The way between cones, seen from above.
pub(crate) fn cones(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let (head, body) = under_heading(rect);
    let found = chosen(view, desk).and_then(|f| f.cones.as_ref());
    let note = "line of the car's middle; grey: as wide as the car";
    chart::heading(ui, desk, head, PlotName::Cones, "way between the cones", note);
    let Some(found) = found else {
        return nothing_yet(ui, desk, body);
    };
    let half = 0.5 * found.vehicle_width_m;
    let edges = found.lanes_m.iter().flat_map(|l| [l[2], l[3]]);
    let lefts = found.left_m.iter().flat_map(|y| [y - half, y + half]);
    let (low, high) = edges.chain(lefts).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| (l.min(y), h.max(y)));
    let end = found.along_m.last().copied().unwrap_or(1.0);
    let y = Axis::linear("to the left, m", outward(low - 0.3, high + 0.3)).spaced(24.0);
    let mut chart = Chart::new("cones", Axis::linear("distance, m", (0.0, end)), y);
    chart.reads = Reading { x_decimals: 1, x_unit: "m", y_decimals: 2, y_unit: "m" };
    let side = |by: f64| found.left_m.iter().map(|y| y + by).collect::<Vec<f64>>();
    chart.bands.push(Band::new("car", &found.along_m, &side(-half), &side(half), look.band));
    let points = found.along_m.iter().zip(&found.left_m).map(|(x, y)| [*x, *y]);
    chart.curves.push(Curve::new("middle of the car", points).stroke(look.text, 1.8, Dash::SOLID));
    let table = chart.table();
    let drawn = chart.show(ui, look, body);
    let pen = Stroke::new(2.0, look.caution);
    for [from, to, right, left] in &found.lanes_m {
        for y in [right, left] {
            drawn.painter.line_segment([drawn.at(*from, *y), drawn.at(*to, *y)], pen);
            for x in [from, to] {
                drawn.painter.circle_filled(drawn.at(*x, *y), 3.0, look.caution);
            }
        }
    }
    for [x, y] in &found.cones_m {
        drawn.painter.circle_filled(drawn.at(*x, *y), 4.0, look.caution);
    }
    chart::offer(ui, desk, head, PlotName::Cones, &[drawn.response], move || table.clone());
}
