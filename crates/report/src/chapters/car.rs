//! The car: its data sheet, what is aboard in the load cases, and the figures that follow without a run.

use super::{heading, note};
use crate::material::Material;
use crate::paper::{Block, Kind, Table};
use washboard_session::{Axle, Damper, LoadCase, Stop};
use washboard_study::Derived;
use washboard_words as words;

pub(super) fn blocks(material: &Material) -> Vec<Block> {
    let mut blocks = vec![heading("The car"), Block::Table(body(material)), Block::Table(axles(material))];
    if !material.session.vehicle.load_cases.is_empty() {
        blocks.push(Block::Table(load_cases(&material.session.vehicle.load_cases)));
    }
    blocks.push(Block::Table(derived(material)));
    blocks.push(note(
        "Ride frequency: spring and tyre in series under the axle's share of the body. Damping ratios: at the soft and the \
         firm end of the current limits, chord over ± 0.1 m/s at the wheel.",
    ));
    blocks
}

fn words_and_numbers(first: &str, numbers: &[&str]) -> Vec<(String, Kind)> {
    let numbers = numbers.iter().map(|n| ((*n).to_owned(), Kind::Number));
    std::iter::once((first.to_owned(), Kind::Words)).chain(numbers).collect()
}

fn body(material: &Material) -> Table {
    let v = &material.session.vehicle;
    let mut table = Table::new("Body, without wheels", words_and_numbers("", &["value", "unit"]));
    table.columns[2].kind = Kind::Words;
    let mut row = |name: &str, value: String, unit: &str| {
        table.rows.push(vec![name.into(), value.into(), unit.into()]);
    };
    row("Mass", words::fixed(v.body_mass_kg, 0), "kg");
    row("Roll inertia", words::fixed(v.roll_inertia_kg_m2, 0), "kg·m²");
    row("Pitch inertia", words::fixed(v.pitch_inertia_kg_m2, 0), "kg·m²");
    row("Wheelbase", words::fixed(v.wheelbase_m, 3), "m");
    row("Centre of gravity behind the front axle", words::fixed(v.cg_to_front_axle_m, 3), "m");
    row("Centre of gravity above ground", words::fixed(v.cg_height_m, 3), "m");
    let seat = v.seat_m.map(|s| [s.x, s.y, s.z].map(|m| words::fixed(m, 2)).join(" · "));
    match seat {
        Some(seat) => row("Seat: forward · left of the centre of gravity, above ground", seat, "m"),
        None => row("Seat", "at the centre of gravity".to_owned(), ""),
    }
    table
}

fn axles(material: &Material) -> Table {
    let v = &material.session.vehicle;
    let mut table = Table::new("Axles, rates at the wheel", words_and_numbers("", &["front", "rear", "unit"]));
    table.columns[3].kind = Kind::Words;
    let mut row = |name: &str, unit: &str, of: &dyn Fn(&Axle) -> String| {
        table.rows.push(vec![name.into(), of(&v.front).into(), of(&v.rear).into(), unit.into()]);
    };
    row("Track", "m", &|a| words::fixed(a.track_m, 3));
    row("Mass of one wheel", "kg", &|a| words::fixed(a.wheel_mass_kg, 1));
    row("Spring", "N/mm", &|a| words::fixed(a.spring_rate_n_per_m * 1e-3, 1));
    row("Anti-roll bar", "N·m/°", &|a| words::fixed(a.anti_roll_rate_n_m_per_rad.to_radians(), 0));
    row("Tyre", "N/mm", &|a| words::fixed(a.tyre_rate_n_per_m * 1e-3, 0));
    row("Motion ratio, damper over wheel", "", &|a| words::fixed(a.motion_ratio, 3));
    row("Roll centre above ground", "mm", &|a| words::fixed(a.roll_centre_height_m * 1e3, 0));
    let gap = |stop: &Option<Stop>| stop.as_ref().map_or("none".to_owned(), |s| words::fixed(s.gap_m * 1e3, 0));
    row("Travel to the bump stop", "mm", &|a| gap(&a.bump_stop));
    row("Travel to the rebound stop", "mm", &|a| gap(&a.rebound_stop));
    row("Damper", "", &|a| a.damper.clone());
    let damper = |a: &Axle| material.session.dampers.iter().find(|d| d.name == a.damper);
    let of = |a: &Axle, say: &dyn Fn(&Damper) -> String| damper(a).map_or(String::new(), say);
    row("Currents of its bench data", "A", &|a| of(a, &|d| range(&d.current_a, 2)));
    row("Velocities of its bench data", "m/s", &|a| of(a, &|d| range(&d.velocity_m_per_s, 2)));
    row("Valve: dead time · rise · fall", "ms", &|a| {
        of(a, &|d| [d.dead_time_s, d.rise_s, d.fall_s].map(|s| words::fixed(s * 1e3, 1)).join(" · "))
    });
    table
}

fn range(values: &[f64], decimals: usize) -> String {
    match (values.first(), values.last()) {
        (Some(a), Some(b)) => format!("{} to {}", words::fixed(*a, decimals), words::fixed(*b, decimals)),
        _ => String::new(),
    }
}

fn load_cases(cases: &[LoadCase]) -> Table {
    let mut table = Table::new(
        "Load cases beyond the car as described",
        [
            ("load case".to_owned(), Kind::Words),
            ("mass aboard, kg".to_owned(), Kind::Number),
            ("aboard".to_owned(), Kind::Words),
        ],
    );
    for case in cases {
        let mass: f64 = case.items.iter().map(|i| i.mass_kg).sum();
        let mut aboard: Vec<String> = case
            .items
            .iter()
            .map(|i| format!("{} {} kg", i.name, words::breakpoint(i.mass_kg)).trim().to_owned())
            .collect();
        if case.levelled {
            aboard.push("levelled".to_owned());
        }
        table.rows.push(vec![case.name.clone().into(), words::fixed(mass, 0).into(), aboard.join(", ").into()]);
    }
    table
}

fn derived(material: &Material) -> Table {
    let shown: Vec<&Derived> = material.wish.load_cases.iter().filter_map(|i| material.board.derived.get(*i)).collect();
    let names: Vec<&str> = shown.iter().map(|d| d.load_case.as_str()).chain(["unit"]).collect();
    let mut table = Table::new("What follows from the data, by load case", words_and_numbers("", &names));
    if let Some(unit) = table.columns.last_mut() {
        unit.kind = Kind::Words;
    }
    let mut row = |name: &str, unit: &str, of: &dyn Fn(&Derived) -> String| {
        let cells = std::iter::once(name.to_owned()).chain(shown.iter().map(|d| of(d))).chain([unit.to_owned()]);
        table.rows.push(cells.map(Into::into).collect());
    };
    let pair = |values: [f64; 2], decimals: usize| values.map(|v| words::fixed(v, decimals)).join(" · ");
    row("Body mass with load", "kg", &|d| words::fixed(d.body_mass_kg, 0));
    row("Wheel loads front left · right", "N", &|d| pair([d.wheel_load_n[0], d.wheel_load_n[1]], 0));
    row("Wheel loads rear left · right", "N", &|d| pair([d.wheel_load_n[2], d.wheel_load_n[3]], 0));
    row("Ride frequency front · rear", "Hz", &|d| pair(d.ride_frequency_hz, 2));
    row("Rear over front ride frequency", "", &|d| words::fixed(d.ride_frequency_ratio, 3));
    row("Wheel hop front · rear", "Hz", &|d| pair(d.wheel_hop_hz, 1));
    row("Heave and pitch modes of the body", "Hz", &|d| pair(d.heave_pitch_hz, 2));
    row("Roll mode of the body", "Hz", &|d| words::fixed(d.roll_hz, 2));
    row("Damping ratio soft, front · rear", "", &|d| pair(d.damping_ratio_soft, 2));
    row("Damping ratio firm, front · rear", "", &|d| pair(d.damping_ratio_firm, 2));
    row("Roll gradient", "°/(m/s²)", &|d| words::fixed(d.roll_gradient_rad_per_m_per_s2.to_degrees(), 3));
    row("Front share of the roll stiffness", "%", &|d| words::fixed(d.front_roll_stiffness_share * 100.0, 1));
    table
}
