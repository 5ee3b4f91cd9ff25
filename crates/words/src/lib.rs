//! How numbers, units, names and times read, on screens and in reports.

pub mod event;
pub mod figures;
pub mod sentence;

use washboard_session::{Limit, MapName};

/// A unit with its signs set: `m/s^2` as m/s², `N s/m` as N·s/m.
pub fn unit(plain: &str) -> String {
    let mut text = plain.replace("^2", "²").replace("^3", "³").replace("^1.75", "¹·⁷⁵").replace("^1.5", "¹·⁵");
    let parts: Vec<&str> = text.split(' ').collect();
    if parts.len() > 1 && parts.iter().all(|p| p.len() <= 7 && !p.is_empty()) {
        text = parts.join("·");
    }
    text
}

/// Minus as a minus sign.
pub fn minus(text: String) -> String {
    text.replace('-', "−")
}

/// A number with that many decimals.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    // A rounded zero has no sign.
    if text.starts_with('-') && text[1..].chars().all(|c| c == '0' || c == '.') {
        text[1..].to_owned()
    } else {
        minus(text)
    }
}

/// A signed number: `+1.2` or `−1.2`.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.starts_with('−') || text.chars().all(|c| c == '0' || c == '.') { text } else { format!("+{text}") }
}

/// A value of a map as it stands in a cell.
pub fn cell(map: MapName, value: f64) -> String {
    if map == MapName::Floor {
        fixed(value, 2)
    } else if value.fract().abs() > 0.049 && value.abs() < 1000.0 {
        fixed(value, 1)
    } else {
        fixed(value, 0)
    }
}

/// A breakpoint without needless digits.
pub fn breakpoint(value: f64) -> String {
    minus(format!("{}", (value * 1000.0).round() / 1000.0))
}

/// What a number may be, in words: `1 to 100 million N/m`, `more than 0 and at most 20 000 kg`.
pub fn range(limit: &Limit) -> String {
    let unit = unit(limit.unit);
    let unit = if unit.is_empty() { unit } else { format!(" {unit}") };
    let whole = if limit.whole { "a whole number, " } else { "" };
    let (lower, upper) = (large(limit.lower), large(limit.upper));
    match (limit.lower_exclusive, limit.upper_exclusive) {
        (false, false) if limit.upper >= ANYTHING => format!("{whole}any number{unit}"),
        (false, false) => format!("{whole}{lower} to {upper}{unit}"),
        (true, false) => format!("{whole}more than {lower} and at most {upper}{unit}"),
        (false, true) => format!("{whole}at least {lower} and less than {upper}{unit}"),
        (true, true) => format!("{whole}more than {lower} and less than {upper}{unit}"),
    }
}

/// The same beside a field that shows the unit already, short: an upper end that is far away is left out, `above 0`.
pub fn range_beside(limit: &Limit) -> String {
    let is_far = limit.upper >= 1e6 && limit.upper >= 1e5 * limit.lower.abs();
    let (lower, upper) = (large(limit.lower), large(limit.upper));
    let whole = if limit.whole { "whole, " } else { "" };
    match (limit.lower_exclusive, is_far && limit.lower >= 0.0) {
        (true, true) => format!("{whole}above {lower}"),
        (false, true) => format!("{whole}from {lower}"),
        (true, false) => format!("{whole}above {lower}, to {upper}"),
        (false, false) => format!("{whole}{lower} to {upper}"),
    }
}

/// A bound beyond which no figure of the trade lies.
const ANYTHING: f64 = 1e14;

/// A number that may be large: millions by their name, thousands set apart by a narrow space.
pub fn large(value: f64) -> String {
    let size = value.abs();
    for (of, name) in [(1e9, "billion"), (1e6, "million")] {
        let times = size / of;
        if (1.0..1000.0).contains(&times) && (times * 10.0).fract() == 0.0 {
            return minus(format!("{} {name}", value / of));
        }
    }
    let text = washboard_session::fault::plain(value);
    let digits = text.trim_start_matches('-');
    if size < 1e4 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return minus(text);
    }
    let mut grouped = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            grouped.push('\u{202f}');
        }
        grouped.push(digit);
    }
    if value < 0.0 { format!("−{grouped}") } else { grouped }
}

/// A sentence of the program with its units as they are read: `m/s^2` becomes `m/s²`.
pub fn signs(sentence: &str) -> String {
    sentence.replace("m/s^2", "m/s²").replace("N s/m", "N·s/m").replace("kg m^2", "kg·m²")
}

/// Short word for the second axis of a map.
pub fn second_axis(map: MapName) -> &'static str {
    match map {
        MapName::Heave | MapName::Wheel | MapName::Base => "roughness",
        MapName::Roll | MapName::Floor => "lateral demand",
        MapName::Pitch => "longitudinal demand",
    }
}

/// A set's identity, grouped for reading aloud: `7F3A-C2D1`.
pub fn identity(hex: &str) -> String {
    let short: Vec<char> = hex.chars().take(8).flat_map(char::to_uppercase).collect();
    if short.len() < 8 {
        return short.into_iter().collect();
    }
    format!("{}-{}", short[..4].iter().collect::<String>(), short[4..].iter().collect::<String>())
}

/// An RFC 3339 time as people say it: only the clock where the date is today's.
pub fn when(time: &str, now: &str) -> String {
    match (time.get(..10), time.get(11..16)) {
        (Some(date), Some(clock)) if now.contains(date) => clock.to_owned(),
        (Some(date), Some(clock)) => format!("{date} {clock}"),
        _ => time.to_owned(),
    }
}

/// Name of a corner on screen, from its name in results.
pub fn corner(name: &str) -> String {
    name.replace('_', " ")
}

/// Two letters for a corner of the full car, the name for others.
pub fn corner_short(name: &str) -> &str {
    match name {
        "front_left" => "FL",
        "front_right" => "FR",
        "rear_left" => "RL",
        "rear_right" => "RR",
        other => other,
    }
}

/// `1 cell`, `2 cells`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// How many points of responses are known to some percent only, and to how many at worst; `None` where all are settled.
pub fn unsettled<'a>(responses: impl IntoIterator<Item = &'a washboard_study::Response>) -> Option<String> {
    let shares: Vec<f64> = responses.into_iter().flat_map(washboard_study::Response::unsettled).collect();
    let most = shares.iter().copied().reduce(f64::max)?;
    Some(format!("{} known to {} % at worst", count(shares.len(), "point", "points"), fixed((100.0 * most).ceil(), 0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_carry_their_signs() {
        assert_eq!(unit("N s/m"), "N·s/m");
        assert_eq!(unit("m/s^2"), "m/s²");
        assert_eq!(unit("kg m^2"), "kg·m²");
        assert_eq!((unit("m/s^1.5"), unit("m/s^1.75")), ("m/s¹·⁵".to_owned(), "m/s¹·⁷⁵".to_owned()));
        assert_eq!(unit("km/h"), "km/h");
        assert_eq!(unit(""), "");
    }

    #[test]
    fn times_of_today_show_the_clock_only() {
        assert_eq!(when("2026-11-25T14:05:09+01:00", "2026-11-25 15:00"), "14:05");
        assert_eq!(when("2026-11-24T14:05:09+01:00", "2026-11-25 15:00"), "2026-11-24 14:05");
    }

    #[test]
    fn numbers_have_a_real_minus_and_no_signed_zero() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(signed(-7.24, 1), "−7.2");
        assert_eq!(signed(7.24, 1), "+7.2");
        assert_eq!(identity("7f3ac2d19900"), "7F3A-C2D1");
    }
}
