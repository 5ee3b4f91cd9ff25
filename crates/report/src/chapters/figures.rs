//! The scorecards: in a sentence, over all events with differences and intervals, event by event, and the fences.

use super::{heading, note, part, text};
use crate::material::{Material, OfLoadCase};
use crate::paper::{Block, Cell, Kind, Mark, Table};
use washboard_metrics::{MetricId, Scorecard, Value};
use washboard_study::{Difference, FenceState, metrics_read};
use washboard_words::{self as words, event, figures, sentence};

/// Most modes beside the reference in one table, with and without a column of differences.
const MOST_WITH_DIFFERENCES: usize = 3;
const MOST_BESIDE: usize = 6;

/// One sentence a mode, and whether fences are crossed.
pub(super) fn in_short(material: &Material) -> Vec<Block> {
    let mut blocks = vec![heading("In short")];
    let reference = material.mode(material.wish.reference);
    let mut items = Vec::new();
    for of in material.of_load_cases() {
        let case = if material.wish.load_cases.len() > 1 {
            format!(" ({})", material.load_cases[of.load_case])
        } else {
            String::new()
        };
        for &mode in material.wish.modes.iter().filter(|m| **m != material.wish.reference) {
            let sentence = sentence::of(of.differences, &of.evaluation.fences, mode, reference);
            items.push(format!("{}{case}: {sentence}", material.mode(mode)));
        }
    }
    if items.is_empty() {
        blocks.push(text(format!("Only {reference} is shown: there is nothing to compare it with.")));
    } else {
        blocks.push(Block::Items(items));
    }
    let states: Vec<&FenceState> = held(material).map(|(_, f)| f).collect();
    let crossed = states.iter().filter(|f| !f.kept).count();
    blocks.push(text(match (states.len(), crossed) {
        (0, _) => "The session has no fence for these modes.".to_owned(),
        (n, 0) => format!("All fences are kept: {} held.", words::count(n, "figure", "figures")),
        (n, c) => {
            format!("{c} of {} held against fences cross them; see Fences.", words::count(n, "figure", "figures"))
        }
    }));
    blocks
}

/// Fences held against the modes shown, with the load case.
fn held(material: &Material) -> impl Iterator<Item = (usize, &FenceState)> {
    let modes = &material.wish.modes;
    material
        .of_load_cases()
        .flat_map(move |of| of.evaluation.fences.iter().map(move |f| (of.load_case, f)))
        .filter(move |(_, f)| modes.contains(&f.mode))
}

/// Over all events: a table a load case.
pub(super) fn scorecards(material: &Material) -> Vec<Block> {
    let mut blocks = vec![heading("Scorecards over all events")];
    if material.session.events.is_empty() {
        blocks.push(text("The session has no events: there is nothing to score."));
        return blocks;
    }
    blocks.push(text(format!(
        "Weighted means over the events, on the roads of the session itself. Differences are to {}, from means over several \
         draws of each random road, the same draws for all modes; ± is the half width of their 95 % interval. A difference \
         smaller than its interval is not told apart from none.",
        material.mode(material.wish.reference)
    )));
    for of in material.of_load_cases() {
        let case = &material.load_cases[of.load_case];
        let mut tables = Vec::new();
        let mains = figures::MAIN.into_iter().filter(|id| has(material, of, *id)).collect::<Vec<_>>();
        let rest: Vec<MetricId> = MetricId::all().filter(|id| !mains.contains(id) && has(material, of, *id)).collect();
        for (ids, name) in [(&mains, "Main figures"), (&rest, "All other figures")] {
            for modes in columns(material, MOST_WITH_DIFFERENCES) {
                tables.push(Block::Table(with_differences(material, of, ids, &modes, format!("{name}, {case}"))));
            }
        }
        blocks.extend(tables);
    }
    blocks.push(note(
        "Figures of the four corners stand as their mean here, and corner by corner under Event by event. What each figure \
         means is said at the end.",
    ));
    blocks
}

fn overall<'a>(of: OfLoadCase<'a>, mode: usize) -> Option<&'a Scorecard> {
    of.evaluation.overall.iter().find(|o| o.mode == mode && o.load_case == of.load_case).map(|o| &o.card)
}

fn has(material: &Material, of: OfLoadCase<'_>, id: MetricId) -> bool {
    material.wish.modes.iter().any(|m| overall(of, *m).and_then(|card| figures::value(card, id)).is_some())
}

/// The modes in tables of at most so many beside the reference, which stands first in each.
fn columns(material: &Material, most: usize) -> Vec<Vec<usize>> {
    let all = material.in_columns();
    let Some((reference, others)) = all.split_first() else { return Vec::new() };
    if others.is_empty() {
        return vec![vec![*reference]];
    }
    others.chunks(most).map(|some| std::iter::once(*reference).chain(some.iter().copied()).collect()).collect()
}

fn with_differences(
    material: &Material,
    of: OfLoadCase<'_>,
    ids: &[MetricId],
    modes: &[usize],
    caption: String,
) -> Table {
    let mut columns = vec![("figure, unit".to_owned(), Kind::Words)];
    for &mode in modes {
        columns.push((material.mode(mode).to_owned(), Kind::Number));
        if mode != material.wish.reference {
            columns.push(("difference".to_owned(), Kind::Number));
        }
    }
    let mut table = Table::new(caption, columns);
    for &id in ids {
        let mut row: Vec<Cell> = vec![figures::title(id).into()];
        for &mode in modes {
            let value = overall(of, mode).and_then(|card| figures::value(card, id));
            row.push(value.map_or(String::new(), |v| figures::figure(id, v)).into());
            if mode != material.wish.reference {
                row.push(difference(of.differences.iter().find(|d| d.mode == mode && d.metric == id)));
            }
        }
        table.rows.push(row);
    }
    table
}

/// The difference with its interval, and in words which way it goes where it goes one.
fn difference(d: Option<&Difference>) -> Cell {
    let Some((d, said)) = d.and_then(|d| Some((d, figures::difference_text(d, true)?))) else { return Cell::default() };
    let mark = match figures::is_better(d).filter(|_| figures::is_certain(d)) {
        Some(true) => Mark::Better,
        Some(false) => Mark::Worse,
        None => Mark::Weak,
    };
    let sign = match mark {
        Mark::Better => "better ",
        Mark::Worse => "worse ",
        Mark::Plain | Mark::Weak => "",
    };
    Cell::from(format!("{sign}{said}")).marked(mark)
}

/// Every fence with its figure.
pub(super) fn fences(material: &Material) -> Vec<Block> {
    let mut states: Vec<(usize, &FenceState)> = held(material).collect();
    if states.is_empty() {
        return Vec::new();
    }
    // What is crossed first; the order is otherwise that of the session.
    states.sort_by_key(|(_, f)| f.kept);
    let words_of = |title: &str| (title.to_owned(), Kind::Words);
    let numbers = |title: &str| (title.to_owned(), Kind::Number);
    let mut table = Table::new(
        "Every bound with its figure, the worst corner where there are several",
        [
            words_of("fence"),
            words_of("mode"),
            words_of("where"),
            words_of("load case"),
            numbers("figure"),
            words_of("bound"),
            words_of("state"),
        ],
    );
    for (load_case, f) in states {
        let place = f.event.and_then(|e| material.session.events.get(e)).map_or("all events", |e| &e.name);
        let bound = format!(
            "{} {}",
            if f.is_upper { "at most" } else { "at least" },
            figures::figure_with_unit(f.metric, f.bound)
        );
        let state = if f.kept { Cell::from("kept") } else { Cell::from("✕ crossed").marked(Mark::Worse) };
        table.rows.push(vec![
            f.metric.metric().label.into(),
            material.mode(f.mode).into(),
            place.into(),
            material.load_cases[load_case].clone().into(),
            figures::figure_with_unit(f.metric, f.value).into(),
            bound.into(),
            state,
        ]);
    }
    vec![heading("Fences"), Block::Table(table)]
}

/// Each event: what it is, and the figures that are read from it, corner by corner.
pub(super) fn by_event(material: &Material) -> Vec<Block> {
    let session = &material.session;
    if session.events.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![heading("Event by event")];
    blocks.push(text(
        "What the trade reads from each event, the most telling first, on the session's own roads; `evaluate` prints every \
         other figure.",
    ));
    for (index, event) in session.events.iter().enumerate() {
        blocks.push(part(event.name.clone()));
        let weight =
            if event.weight == 1.0 { String::new() } else { format!(", weight {}", words::breakpoint(event.weight)) };
        blocks.push(text(format!(
            "{}: {}; {} km/h, {} s{weight}.",
            super::upper(event::kind_name(&event.kind)),
            event::summary(&event.kind),
            words::breakpoint(event.speed_km_h),
            words::breakpoint(event.duration_s),
        )));
        let ids = metrics_read(&event.kind);
        for of in material.of_load_cases() {
            for modes in columns(material, MOST_BESIDE) {
                let table = of_event(material, of, index, ids, &modes);
                if !table.rows.is_empty() {
                    blocks.push(Block::Table(table));
                }
            }
        }
        let remarks = material.board.events.get(index).map_or(&[][..], |e| &e.remarks);
        blocks.extend(remarks.iter().map(note));
    }
    blocks
}

fn of_event(material: &Material, of: OfLoadCase<'_>, event: usize, ids: &[MetricId], modes: &[usize]) -> Table {
    let caption = material.load_cases[of.load_case].clone();
    let card = |mode: usize| {
        of.evaluation
            .runs
            .iter()
            .find(|r| r.mode == mode && r.event == event && r.load_case == of.load_case)
            .map(|r| &r.card)
    };
    let names = modes.iter().map(|m| (material.mode(*m).to_owned(), Kind::Number));
    let mut table = Table::new(caption, std::iter::once(("figure, unit".to_owned(), Kind::Words)).chain(names));
    for &id in ids {
        let mut row = |title: String, value: &dyn Fn(&Scorecard) -> Option<f64>| {
            let values: Vec<Option<f64>> =
                modes.iter().map(|m| card(*m).and_then(value).filter(|v| v.is_finite())).collect();
            if values.iter().any(Option::is_some) {
                let cells = values.into_iter().map(|v| Cell::from(v.map_or(String::new(), |v| figures::figure(id, v))));
                table.rows.push(std::iter::once(Cell::from(title)).chain(cells).collect());
            }
        };
        let corners = modes.iter().find_map(|m| card(*m)).map_or(&[][..], Scorecard::corners);
        let is_per_corner = modes.iter().any(|m| matches!(card(*m).and_then(|c| c.get(id)), Some(Value::PerCorner(_))));
        if is_per_corner && corners.len() > 1 {
            for corner in corners {
                row(format!("{}, {}", figures::title(id), words::corner(corner)), &|c| c.at(id, corner));
            }
        } else {
            row(figures::title(id), &|c| figures::value(c, id));
        }
    }
    table
}
