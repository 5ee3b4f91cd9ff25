//! Plain remarks where a number of the car lies outside what is usual.
//!
//! The ranges are those of passenger cars: common practice, no source. They forbid nothing.

use crate::words;
use washboard_session::Number;
use washboard_study::Derived;

/// What is usual, and what to say below and above it.
struct Usual {
    owner: &'static str,
    field: &'static str,
    from: f64,
    to: f64,
    below: &'static str,
    above: &'static str,
}

const fn usual(
    owner: &'static str,
    field: &'static str,
    (from, to): (f64, f64),
    below: &'static str,
    above: &'static str,
) -> Usual {
    Usual { owner, field, from, to, below, above }
}

const NUMBERS: [Usual; 29] = [
    usual("Vehicle", "body_mass_kg", (700.0, 2800.0), "light for a car", "heavy for a car"),
    usual("Vehicle", "wheelbase_m", (2.2, 3.3), "short for a car", "long for a car"),
    usual("Vehicle", "cg_height_m", (0.4, 0.8), "low for a road car", "high for a car"),
    usual("Axle", "track_m", (1.3, 1.8), "narrow for a car", "wide for a car"),
    usual("Axle", "wheel_mass_kg", (20.0, 75.0), "light for a wheel with its hub", "heavy for a wheel with its hub"),
    usual("Axle", "spring_rate_n_per_m", (12e3, 80e3), "soft at the wheel", "stiff at the wheel"),
    usual("Axle", "anti_roll_rate_n_m_per_rad", (0.0, 60e3), "", "stiff for a bar"),
    usual("Axle", "tyre_rate_n_per_m", (140e3, 400e3), "soft for a tyre at its pressure", "stiff for a tyre"),
    usual("Axle", "tyre_damping_n_s_per_m", (0.0, 500.0), "", "much for a rolling tyre"),
    usual("Axle", "motion_ratio", (0.45, 1.15), "the damper sits far inboard", "the damper moves more than the wheel"),
    usual("Axle", "roll_centre_height_m", (-0.05, 0.3), "low for a roll centre", "high for a roll centre"),
    usual("Axle", "wheel_centre_height_m", (0.25, 0.42), "small for a wheel of a car", "large for a wheel of a car"),
    usual("Axle", "anti_pitch_braking_share", (0.0, 0.7), "", "much of the pitch moment bypasses the springs"),
    usual("Axle", "anti_pitch_driving_share", (0.0, 0.7), "", "much of the pitch moment bypasses the springs"),
    usual("Stop", "gap_m", (0.02, 0.15), "little free travel", "much free travel"),
    usual("Stop", "rate_n_per_m", (5e3, 300e3), "soft for a stop", "hard for a first contact"),
    usual("LoadItem", "mass_kg", (1.0, 400.0), "nearly nothing", "heavy for one item"),
    usual("LoadItem", "y_m", (-1.0, 1.0), "outside the body", "outside the body"),
    usual("LoadItem", "z_m", (0.2, 1.8), "below the floor", "above the roof"),
    usual("Damper", "dead_time_s", (0.0, 0.01), "", "slow for a valve"),
    usual("Damper", "rise_s", (0.001, 0.03), "faster than valves are", "slow for a valve"),
    usual("Damper", "fall_s", (0.001, 0.03), "faster than valves are", "slow for a valve"),
    usual(
        "Controller",
        "sample_rate_hz",
        (500.0, 2000.0),
        "slow for a damper controller",
        "fast for a damper controller",
    ),
    usual("Controller", "blend_velocity_m_per_s", (0.0, 0.1), "", "the dampers stay soft over much of their work"),
    usual("Roughness", "low_hz", (5.0, 12.0), "below wheel hop", "above wheel hop"),
    usual("Roughness", "high_hz", (12.0, 25.0), "below wheel hop", "above wheel hop"),
    usual("Demand", "rise_s", (0.0, 0.1), "", "late for a demand"),
    usual("Demand", "fall_s", (0.0, 3.0), "", "holds long after the bend"),
    usual("InverseTable", "velocities", (9.0, 65.0), "coarse for a control unit", "large for a control unit"),
];

/// The sentence about a number of the session that lies outside what is usual.
pub(crate) fn of_number(number: &Number, place: &str) -> Option<String> {
    let value = number.value?;
    let usual = NUMBERS.iter().find(|it| it.owner == number.limit.owner && it.field == number.limit.field)?;
    let word = outside(value, usual.from, usual.to, usual.below, usual.above)?;
    let unit = words::unit(number.limit.unit);
    let lead = if place.is_empty() { String::new() } else { format!("{place}: ") };
    Some(sentence(&format!("{lead}{}", number.limit.label), value, &unit, word, (usual.from, usual.to)))
}

fn outside<'w>(value: f64, from: f64, to: f64, below: &'w str, above: &'w str) -> Option<&'w str> {
    let word = if value < from {
        below
    } else if value > to {
        above
    } else {
        return None;
    };
    (!word.is_empty()).then_some(word)
}

fn sentence(what: &str, value: f64, unit: &str, word: &str, (from, to): (f64, f64)) -> String {
    let gap = if unit.is_empty() || unit == "°" { "" } else { " " };
    let (value, from, to) = (words::breakpoint(value), words::breakpoint(from), words::breakpoint(to));
    format!("{what} {value}{gap}{unit}: {word}; usual {from} to {to}{gap}{unit} (common practice, no source).")
}

/// A figure of the car and what is usual of it.
struct Figure {
    what: &'static str,
    unit: &'static str,
    value: fn(&Derived) -> f64,
    usual: (f64, f64),
    below: &'static str,
    above: &'static str,
}

const FIGURES: [Figure; 14] = [
    Figure {
        what: "ride frequency, front",
        unit: "Hz",
        value: |d| d.ride_frequency_hz[0],
        usual: (1.0, 1.6),
        below: "soft for a road car",
        above: "firm for a road car",
    },
    Figure {
        what: "ride frequency, rear",
        unit: "Hz",
        value: |d| d.ride_frequency_hz[1],
        usual: (1.0, 1.7),
        below: "soft for a road car",
        above: "firm for a road car",
    },
    Figure {
        what: "rear over front ride frequency",
        unit: "",
        value: |d| d.ride_frequency_ratio,
        usual: (1.0, 1.3),
        below: "the rear follows slower than the front, so that bumps leave pitch behind",
        above: "the rear is much firmer than the front",
    },
    Figure {
        what: "damping ratio soft, front",
        unit: "",
        value: |d| d.damping_ratio_soft[0],
        usual: (0.08, 0.3),
        below: "nearly undamped at the soft end",
        above: "the soft end is not soft: little room for the controller",
    },
    Figure {
        what: "damping ratio soft, rear",
        unit: "",
        value: |d| d.damping_ratio_soft[1],
        usual: (0.08, 0.3),
        below: "nearly undamped at the soft end",
        above: "the soft end is not soft: little room for the controller",
    },
    Figure {
        what: "damping ratio firm, front",
        unit: "",
        value: |d| d.damping_ratio_firm[0],
        usual: (0.45, 1.2),
        below: "the firm end is not firm: little room for the controller",
        above: "more than critical at the firm end",
    },
    Figure {
        what: "damping ratio firm, rear",
        unit: "",
        value: |d| d.damping_ratio_firm[1],
        usual: (0.45, 1.2),
        below: "the firm end is not firm: little room for the controller",
        above: "more than critical at the firm end",
    },
    Figure {
        what: "wheel hop, front",
        unit: "Hz",
        value: |d| d.wheel_hop_hz[0],
        usual: (9.0, 15.0),
        below: "slow for a wheel: heavy wheel or soft tyre",
        above: "fast for a wheel: light wheel or stiff tyre",
    },
    Figure {
        what: "wheel hop, rear",
        unit: "Hz",
        value: |d| d.wheel_hop_hz[1],
        usual: (9.0, 15.0),
        below: "slow for a wheel: heavy wheel or soft tyre",
        above: "fast for a wheel: light wheel or stiff tyre",
    },
    Figure {
        what: "roll frequency",
        unit: "Hz",
        value: |d| d.roll_hz,
        usual: (1.3, 3.0),
        below: "slow in roll",
        above: "quick in roll",
    },
    Figure {
        what: "roll gradient in ° per m/s²",
        unit: "",
        value: |d| d.roll_gradient_rad_per_m_per_s2.to_degrees(),
        usual: (0.15, 0.75),
        below: "hardly rolls for a road car",
        above: "rolls much for a road car",
    },
    Figure {
        what: "front share of roll stiffness",
        unit: "%",
        value: |d| 100.0 * d.front_roll_stiffness_share,
        usual: (48.0, 68.0),
        below: "the rear carries most of the load transfer, which tends to oversteer",
        above: "the front carries nearly all load transfer",
    },
    Figure {
        what: "share of load on the front axle",
        unit: "%",
        value: |d| {
            let all: f64 = d.wheel_load_n.iter().sum();
            100.0 * (d.wheel_load_n[0] + d.wheel_load_n[1]) / all
        },
        usual: (40.0, 64.0),
        below: "heavy at the rear",
        above: "heavy at the front",
    },
    Figure {
        what: "left share of load",
        unit: "%",
        value: |d| {
            let all: f64 = d.wheel_load_n.iter().sum();
            100.0 * (d.wheel_load_n[0] + d.wheel_load_n[2]) / all
        },
        usual: (47.0, 53.5),
        below: "heavy on the right",
        above: "heavy on the left",
    },
];

/// Remarks on the figures of one load case.
pub(crate) fn of_derived(derived: &Derived) -> Vec<String> {
    let remark = |figure: &Figure| {
        let value = (figure.value)(derived);
        if !value.is_finite() {
            return None;
        }
        let word = outside(value, figure.usual.0, figure.usual.1, figure.below, figure.above)?;
        // As many digits as the table beside it shows.
        let shown = (value * 100.0).round() / 100.0;
        Some(sentence(figure.what, shown, figure.unit, word, figure.usual))
    };
    FIGURES.iter().filter_map(remark).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_session::{limits, proposal};

    #[test]
    fn every_range_lies_inside_the_limit_of_its_number() {
        for it in &NUMBERS {
            let limit = limits::find(it.owner, it.field).expect("a number of the document");
            assert!(limit.allows(it.from) && limit.allows(it.to) && it.from < it.to, "{} {}", it.owner, it.field);
        }
    }

    #[test]
    fn a_remark_says_value_word_range_and_where_it_comes_from() {
        let mut derived = Derived { ride_frequency_hz: [2.1, 1.3], ..Derived::default() };
        derived.wheel_load_n = [4000.0; 4];
        let remarks = of_derived(&derived);
        assert_eq!(
            remarks[0],
            "ride frequency, front 2.1 Hz: firm for a road car; usual 1 to 1.6 Hz (common practice, no source)."
        );
    }

    #[test]
    fn a_proposed_car_needs_no_remark() {
        let session = proposal::new_session();
        for number in washboard_session::numbers(&session).iter().filter(|n| !n.path.starts_with("modes")) {
            assert_eq!(of_number(number, ""), None, "{}", number.path);
        }
        let study = washboard_study::Study::new(&session, &washboard_study::Profiles::default()).expect("valid");
        assert_eq!(of_derived(&study.derived()[0]), Vec::<String>::new());
    }
}
