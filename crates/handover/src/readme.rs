//! The words that go with a set: units, axes, signs, and `README.txt`.

use crate::c_source::{HEADER_FILE, SOURCE_FILE};
use crate::cautions::CAUTIONS;
use crate::checks::PreCheck;
use crate::export::{BIN_FILE, ExportInfo, ExportOptions, HEX_FILE, LAYOUT_FILE, Origin};
use crate::parts::tables;
use crate::set::{CarSet, SetStates};
use washboard_session::{Law, SetStatus};

/// Units in words.
pub(crate) const UNITS: [&str; 8] = [
    "gains: N s/m at the wheel",
    "speed: km/h",
    "roughness level, lateral demand, longitudinal demand: m/s^2",
    "damper velocity and corner rate: m/s at the damper and at the wheel",
    "damper force: N at the damper; force at the damper = force at the wheel / motion ratio",
    "current: A; slew: A/s",
    "times: s; frequencies: Hz; lever arms: m",
    "scales, motion ratios: plain numbers; damper travel = motion ratio * wheel travel",
];

/// Axes in words.
pub(crate) const AXES: [&str; 6] = [
    "heave, wheel and base maps: rows vehicle speed, columns road roughness level of the axle",
    "roll and floor maps: rows vehicle speed, columns lateral demand",
    "pitch map: rows vehicle speed, columns longitudinal demand",
    "damper tables: rows damper velocity, columns current; values force",
    "inverse damper tables: rows damper velocity, columns wanted damper force; values current",
    "every table: first row column breakpoints, first column row breakpoints, both rising; bilinear between breakpoints, \
     held at the edges",
];

/// State estimation in words; the equations of the session's documentation.
const ESTIMATION: [&str; 9] = [
    "States of the law, estimated at each sample dt from the sensors (a body accelerometers, h ride heights scaled to wheel",
    "  travel, b wheel accelerometers where fitted), all filters at rest at the start:",
    "  [z\", phi\", theta\"] = A^-1 a, row k of A: 1, y_k, -x_k of body_sensors (counted from the body's centre of gravity)",
    "  l[n] = h[n] + (l[n-1] - h[n])*exp(-2 pi f_h dt), v_i[n] = (l[n] - l[n-1])/dt, f_h = height_low_pass_hz",
    "  u = least squares of v_i = z' + y_i phi' - x_i theta'",
    "  q'[n] = d q'[n-1] + (1 - d)/w*(p[n] + p[n-1])/2 with p = q\" + w s u, w = 2 pi body_leak_hz, d = exp(-w dt), s =",
    "  height_share; where w is 0: d = 1, and dt in place of (1 - d)/w",
    "  wheel rate where a wheel accelerometer is fitted: the same integral of b with wheel_leak_hz and s = 0; its acceleration b",
    "  elsewhere: zw' = z' + y_i phi' - x_i theta' - v_i, its acceleration the difference of zw' over dt",
];

/// Signs in words.
pub(crate) const SIGNS: [&str; 5] = [
    "x forward, y left, z up; roll positive with the left side up, pitch positive nose down (ISO 8855)",
    "damper velocity, corner rate and damper force: positive in rebound (damper extending), negative in compression",
    "lateral demand and longitudinal demand are magnitudes, never negative",
    "forward_m: the axle's lever arm from the body's centre of gravity, forward positive; left_m: the left corner's, the \
     right corner has its negative",
    "a damper only resists: where wanted force and velocity disagree in sign the current is the soft end",
];

/// What the words say besides the set itself.
pub(crate) struct Papers<'a> {
    /// Status, who answers for it, layout.
    pub options: &'a ExportOptions,
    /// Where the set comes from.
    pub origin: &'a Origin,
    /// Files of C and memory image.
    pub outputs: &'a [&'a str],
}

/// `README.txt`.
pub(crate) fn readme(
    set: &CarSet,
    identity: &str,
    info: &ExportInfo,
    checks: &[PreCheck],
    papers: &Papers<'_>,
) -> String {
    let mut text = String::new();
    let mut line = |words: &str| {
        text.push_str(words);
        text.push('\n');
    };
    line("PARAMETER SET FOR THE CAR'S DAMPER CONTROLLER");
    line("");
    line(&format!("Identity   {identity}"));
    line(&format!("Written    {}", info.created));
    line(&format!("Program    {}", info.program));
    let status = papers.options.wish.status;
    line(&format!("Status     {}", status.words().to_uppercase()));
    let release = &papers.options.wish.release;
    line(if release.caution_acknowledged {
        "           the cautions below were read and acknowledged"
    } else {
        "           NOBODY HAS ACKNOWLEDGED THE CAUTIONS BELOW: read them before this reaches a car"
    });
    if status == SetStatus::WiderUse {
        line(&format!("           {} answers for it: {}", release.name, release.purpose));
    }
    line(&format!("Purpose    {}", if info.note.trim().is_empty() { "(none given)" } else { info.note.trim() }));
    if let Some(parent) = &papers.origin.parent {
        line(&format!("Goes on from set {parent}"));
        papers.origin.difference.iter().for_each(|change| line(&format!("- {change}")));
    }
    line("");
    line("Cautions");
    for caution in CAUTIONS {
        line(&format!("- {caution}"));
    }
    line("");
    line("Modes");
    for mode in &set.modes {
        let purpose = if mode.purpose.is_empty() { String::new() } else { format!(": {}", mode.purpose) };
        let slew = mode.slew_a_per_s.map_or("unlimited".to_owned(), |slew| format!("{slew} A/s"));
        line(&format!("- {}{purpose}", mode.name));
        let law = match &mode.law {
            Law::Continuous => "wanted force from the maps, through the inverse damper table".to_owned(),
            Law::OnOff => "firm end where wanted force and corner rate agree in sign, else soft end".to_owned(),
            Law::AccelerationDriven => {
                "firm end where the body's acceleration at the corner and the corner rate v_i agree in sign, else soft end".to_owned()
            }
            Law::Mixed(mixed) => format!(
                "with w the body's vertical rate at the corner: where (dw/dt)^2 <= (2 pi f)^2 * w^2, f = {} Hz, firm end where \
                 wanted force and corner rate v_i agree in sign; else firm end where dw/dt and v_i agree in sign; soft end \
                 where not",
                mixed.crossover_hz
            ),
        };
        line(&format!("  law: {law}"));
        line(&format!("  current {} to {} A, slew {slew}", mode.current_min_a, mode.current_max_a));
        for (axle, s) in [("front", &mode.front), ("rear", &mode.rear)] {
            line(&format!(
                "  scales on the maps, {axle} axle: heave {}, wheel {}, base {}, roll {}, pitch {}; on heave, wheel and \
                 base also rebound {}, compression {}",
                s.heave, s.wheel, s.base, s.roll, s.pitch, s.rebound, s.compression
            ));
        }
    }
    line("");
    line("Wanted force at corner i, at the wheel, positive in rebound");
    line("  F = g_heave*zdot + g_roll*(y_i*phidot) + g_pitch*(-x_i*thetadot) - g_wheel*zdot_wheel,i + g_base*v_i");
    line("  each gain = its map * the axle's scale (* rebound or compression scale for heave, wheel, base)");
    line(
        "  wanted damper force = F / motion ratio at damper velocity motion ratio * v_i; the inverse damper table of the",
    );
    line("  mode and axle gives the current, within the mode's limits and never below its floor map; then slew.");
    line("  Below blend_velocity_m_per_s of corner rate the current blends to its floor (0: no blending).");
    line(
        "  Roughness level, one per axle: each wheel's vertical acceleration through a second-order Butterworth band-pass,",
    );
    line(
        "  rectified, averaged over the axle's wheels, smoothed with its own rise and fall times. Demands: magnitude of",
    );
    line(
        "  the acceleration, smoothed with its own rise and fall times; with lead_s the larger of the one measured and the one",
    );
    line("  that steering, or brake and drive pedal, tell that far ahead.");
    if set.modes.iter().any(|m| m.end_stop.is_some()) {
        line(
            "End stop: while a corner moves towards a stop the current goes at least the share (1 - left/zone_m)*|v_i|/",
        );
        line(
            "  rate_m_per_s, both factors held between 0 and 1, of the way from soft to firm end; left: travel to first contact.",
        );
    }
    match &set.controller.states {
        SetStates::Ideal => line(
            "The set was computed with the true states of the car (ideal): it holds no constants of an estimator, and \
             what a real controller estimates will differ.",
        ),
        SetStates::Estimated(_) => ESTIMATION.iter().for_each(|words| line(words)),
    }
    for (title, lines) in [("Units", &UNITS[..]), ("Axes", &AXES[..]), ("Signs", &SIGNS[..])] {
        line("");
        line(title);
        for words in lines {
            line(&format!("- {words}"));
        }
    }
    line("");
    line("Files");
    line("- manifest.json: identity, and every other file with its SHA-256; sealed");
    line("- set.ron, set.json: the whole set, twice the same; settings.csv: every number that is not in a table");
    for table in tables(set) {
        line(&format!("- {}: {}", table.file, table.place));
    }
    for file in papers.outputs {
        let words = match *file {
            HEX_FILE => "the control unit's memory, Intel HEX",
            BIN_FILE => "the same, plain bytes",
            LAYOUT_FILE => "where each number of it lies: address, type, factor, offset",
            HEADER_FILE => "C declarations with factors, axis order, units and signs",
            SOURCE_FILE => "C tables",
            _ => "types and factors of the C tables; its addresses mean nothing to C",
        };
        line(&format!("- {file}: {words}"));
    }
    line("");
    line("Checks before the hand-over");
    for check in checks {
        let waiver = check.waiver.as_ref().map_or(String::new(), |why| format!(" Waived: {why}"));
        let outcome = if check.outcome() == "look at this" { "LOOK AT THIS" } else { check.outcome() };
        line(&format!("- {}: {outcome}. {}{waiver}", check.name, check.reason));
    }
    line("");
    line("What the identity covers");
    line(
        "Modes with maps, scales, limits, slew and law; damper tables and inverse damper tables; filter and estimator",
    );
    line(
        "constants; lever arms and motion ratios. Not: title, time, notes, what a mode is for, damper names. It is the",
    );
    line("SHA-256 of the line 'washboard set identity 1', a line feed, and set.json without white space, without the");
    line("fields 'purpose' of the modes and 'damper' of the axles, the fields of every object sorted by name, every");
    line("number written with a decimal point or exponent replaced by x and the 16 hexadecimal digits of its IEEE 754");
    line("double, most significant first.");
    text
}
