//! The curves: responses over frequency, comfort against wheel load, and one event over time.

use super::{heading, note, text};
use crate::material::Material;
use crate::paper::{Block, Figure};
use crate::picture::axis::Axis;
use crate::picture::chart::{Chart, Curve, Spot};
use crate::picture::{DASHES, MODES, Picture, WEAK};
use washboard_study::{Response, Trace};
use washboard_words as words;

const WIDTH: f32 = 505.0;
const NAMES: f32 = 92.0;
/// Most seconds of an event that are shown.
const PART_S: f64 = 6.0;

pub(super) fn blocks(material: &Material) -> Vec<Block> {
    let request = &material.board.request;
    let case = &material.load_cases[request.load_case];
    let mut blocks = vec![
        heading("Curves"),
        text(format!(
            "{}, {case}. Responses on sines of 0.1 m/s road velocity with the maps held at {} km/h and a roughness level of \
             {} m/s²; grey: between every damper held soft and held firm.",
            super::upper(material.wish.model.label()),
            words::breakpoint(request.speed_km_h),
            words::breakpoint(request.roughness_m_per_s2)
        )),
    ];
    blocks.push(Block::Figures(vec![transmissibility(material)]));
    blocks.extend(wheel_loads(material).into_iter().map(|f| Block::Figures(vec![f])));
    blocks.extend(comfort(material).map(|f| Block::Figures(vec![f])));
    blocks.extend(event(material).map(|f| Block::Figures(vec![f])));
    if let Some(points) = words::unsettled(&material.board.responses) {
        blocks.push(note(format!(
            "{points}: there a mode keeps the body's own motion going beside the sine, or had not settled within the time \
             allowed. The mean fundamental stands there.",
        )));
    }
    blocks
}

fn modes(material: &Material) -> Vec<usize> {
    // The reference lies in front.
    material.in_columns().into_iter().rev().collect()
}

fn curve(material: &Material, mode: usize, points: Vec<[f64; 2]>) -> Curve {
    let is_reference = mode == material.wish.reference;
    let name = if is_reference { format!("{} (ref.)", material.mode(mode)) } else { material.mode(mode).to_owned() };
    Curve {
        name: short(&name),
        color: MODES[mode % MODES.len()],
        width: if is_reference { 1.8 } else { 1.3 },
        dash: DASHES[mode % DASHES.len()],
        points,
    }
}

/// A name that fits beside a curve.
fn short(name: &str) -> String {
    if name.chars().count() <= 18 { name.to_owned() } else { name.chars().take(17).chain(['…']).collect() }
}

fn points(x: &[f64], y: &[f64], scale: f64) -> Vec<[f64; 2]> {
    x.iter().zip(y).filter(|(_, y)| y.is_finite()).map(|(x, y)| [*x, y * scale]).collect()
}

/// A chart of one channel of the responses, over frequency.
fn over_frequency(
    material: &Material,
    title: &str,
    logarithmic: bool,
    scale: f64,
    of: &dyn Fn(&Response) -> Option<Vec<f64>>,
) -> Option<Picture> {
    let board = &material.board;
    let line = |r: &Response| of(r).map(|y| points(&r.frequencies_hz, &y, scale));
    let curves: Vec<Curve> = modes(material)
        .into_iter()
        .filter_map(|m| Some(curve(material, m, line(board.responses.get(m)?)?)))
        .filter(|c| !c.points.is_empty())
        .collect();
    if curves.is_empty() {
        return None;
    }
    let band = line(&board.soft).zip(line(&board.firm)).filter(|(a, b)| a.len() == b.len() && !a.is_empty());
    let in_band = band.iter().flat_map(|(a, b)| a.iter().chain(b)).map(|p| p[1]).collect::<Vec<_>>();
    let values = || curves.iter().flat_map(|c| &c.points).map(|p| p[1]).chain(in_band.iter().copied());
    let y = if logarithmic { Axis::logarithmic(title, values()) } else { Axis::linear(title, values(), true) };
    let frequencies =
        || board.soft.frequencies_hz.iter().copied().chain(curves.iter().flat_map(|c| &c.points).map(|p| p[0]));
    let x = Axis::logarithmic("frequency, Hz", frequencies());
    Some(Chart { width: WIDTH, height: 205.0, names: NAMES, x, y, band, curves, spots: Vec::new() }.draw())
}

fn transmissibility(material: &Material) -> Figure {
    let of = |r: &Response| Some(r.body_transmissibility.clone());
    Figure {
        caption: "Body transmissibility: heave of the body at its centre of gravity over road height.".to_owned(),
        described: format!("Body transmissibility over frequency of {}.", names(material)),
        picture: over_frequency(material, "body over road", true, 1.0, &of).unwrap_or_default(),
    }
}

fn names(material: &Material) -> String {
    material.in_columns().into_iter().map(|m| material.mode(m)).collect::<Vec<_>>().join(", ")
}

/// One picture an axle: of a car with two sides its left wheel.
fn wheel_loads(material: &Material) -> Vec<Figure> {
    let corners = material.wish.model.corner_names();
    let shown: Vec<&str> = if corners.len() == 4 { vec![corners[0], corners[2]] } else { corners.to_vec() };
    let figure = |corner: &str| {
        let of = |r: &Response| {
            r.wheel_load_per_road_velocity_n_s_per_m.iter().find(|(name, _)| *name == corner).map(|(_, y)| y.clone())
        };
        let name = words::corner(corner);
        Some(Figure {
            caption: format!("Wheel-load variation, {name}: wheel load over the road's vertical velocity."),
            described: format!("Wheel load over road velocity, {name}, over frequency, of {}.", names(material)),
            picture: over_frequency(
                material,
                &format!("{name} wheel load over road velocity, kN·s/m"),
                false,
                1e-3,
                &of,
            )?,
        })
    };
    shown.into_iter().filter_map(figure).collect()
}

fn comfort(material: &Material) -> Option<Figure> {
    let board = &material.board;
    let fixed: Vec<[f64; 2]> = board
        .fixed_dampers
        .iter()
        .map(|d| [d.dynamic_load_coefficient * 100.0, d.weighted_acceleration_m_per_s2])
        .collect();
    let spots: Vec<Spot> = modes(material)
        .into_iter()
        .filter_map(|mode| board.mode_points.iter().find(|p| p.mode == mode))
        .enumerate()
        .map(|(i, p)| Spot {
            name: short(material.mode(p.mode)),
            color: MODES[p.mode % MODES.len()],
            at: [p.dynamic_load_coefficient * 100.0, p.weighted_acceleration_m_per_s2],
            below: i % 2 == 1,
        })
        .collect();
    if spots.is_empty() {
        return None;
    }
    let ends: Vec<Spot> = [(fixed.first(), "held soft"), (fixed.last(), "held firm")]
        .into_iter()
        .filter_map(|(at, name)| Some(Spot { name: name.to_owned(), color: WEAK, at: *at?, below: false }))
        .collect();
    let all: Vec<[f64; 2]> = fixed.iter().copied().chain(spots.iter().map(|s| s.at)).collect();
    let x = Axis::linear("dynamic wheel load, % of static", all.iter().map(|p| p[0]), false);
    let y = Axis::linear("weighted acceleration at the seat, m/s²", all.iter().map(|p| p[1]), false);
    let curve = Curve { name: String::new(), color: WEAK, width: 1.2, dash: &[], points: fixed };
    let spots = ends.into_iter().chain(spots).collect();
    Some(Figure {
        caption:
            "Comfort against wheel load on the random roads: towards the lower left both are better. The line is every \
                  damper held at one current, from soft to firm."
                .to_owned(),
        described: format!(
            "Weighted acceleration over dynamic wheel load of {} and of all fixed dampers.",
            names(material)
        ),
        picture: Chart { width: WIDTH, height: 230.0, names: 60.0, x, y, band: None, curves: vec![curve], spots }
            .draw(),
    })
}

/// Body, one wheel's load and one current over time, above each other.
fn event(material: &Material) -> Option<Figure> {
    let index = material.wish.event?;
    let event = material.session.events.get(index)?;
    let traces: Vec<(usize, &Trace)> =
        modes(material).into_iter().filter_map(|m| Some((m, &**material.board.traces.get(m)?))).collect();
    let corner = material.wish.model.corner_names().first()?;
    let name = words::corner(corner);
    let first = traces.iter().map(|(_, t)| *t).find(|t| !t.time_s.is_empty())?;
    let channels = [
        (
            first_of(first, &["body_heave_m", "body_displacement_m", "heave_m", "body_m"], "body", "_m"),
            "body, mm".to_owned(),
            1e3,
        ),
        (
            first_of(first, &[&format!("{corner}_wheel_load_n")], corner, "load_n"),
            format!("{name} wheel load, kN"),
            1e-3,
        ),
        (first_of(first, &[&format!("{corner}_current_a")], corner, "current_a"), format!("{name} current, A"), 1.0),
    ];
    let (begin, end) = (*first.time_s.first()?, *first.time_s.last()?);
    let focus = material.board.events.get(index).and_then(|e| focus(e));
    let (from, to) = match focus {
        _ if end - begin <= PART_S => (begin, end),
        Some(at) => {
            let from = (at - 1.0).clamp(begin, end - PART_S);
            (from, from + PART_S)
        }
        None => ((begin + end - PART_S) / 2.0, (begin + end + PART_S) / 2.0),
    };
    let height = 118.0;
    let lanes: Vec<Chart> = channels
        .into_iter()
        .filter_map(|(channel, title, scale)| {
            let channel = channel?;
            let curves: Vec<Curve> = traces
                .iter()
                .filter_map(|(mode, trace)| {
                    let y = trace.channel(&channel)?;
                    let all = points(&trace.time_s, y.values, scale);
                    Some(curve(material, *mode, all.into_iter().filter(|p| p[0] >= from && p[0] <= to).collect()))
                })
                .collect();
            let y = Axis::linear(&title, curves.iter().flat_map(|c| &c.points).map(|p| p[1]), false);
            let x = Axis::linear("time, s", std::iter::empty(), false).within(from, to);
            Some(Chart { width: WIDTH, height, names: NAMES, x, y, band: None, curves, spots: Vec::new() })
        })
        .collect();
    if lanes.is_empty() {
        return None;
    }
    let mut picture = Picture::new(WIDTH, height * lanes.len() as f32);
    for (i, lane) in lanes.iter().enumerate() {
        lane.draw_into(&mut picture, height * i as f32);
    }
    let shown = if end - begin > PART_S {
        format!(", {} to {} s of {} s", words::fixed(from, 1), words::fixed(to, 1), words::fixed(end, 1))
    } else {
        String::new()
    };
    Some(Figure {
        caption: format!("{} over time at {} km/h{shown}.", event.name, words::breakpoint(event.speed_km_h)),
        described: format!("Body, wheel load and current over time on {}, of {}.", event.name, names(material)),
        picture,
    })
}

fn first_of(trace: &Trace, wanted: &[&str], with: &str, end: &str) -> Option<String> {
    let by_name = wanted.iter().find(|n| trace.has(n)).map(|n| (*n).to_owned());
    by_name.or_else(|| {
        let mut names = trace.titles().iter().map(|title| &title.name);
        names.find(|name| name.starts_with(with) && name.ends_with(end)).cloned()
    })
}

/// When the front axle comes to where something lies on the road, s.
fn focus(event: &washboard_study::EventView) -> Option<f64> {
    let (from, _) = event.focus_m?;
    let demands = &event.demands;
    demands.distance_m.iter().zip(&demands.time_s).find(|(x, _)| **x >= from).map(|(_, t)| *t)
}
