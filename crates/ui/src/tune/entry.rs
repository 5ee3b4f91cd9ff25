//! What is typed into cells: `2400`, `+5%`, `*1.1`, `+50`, `=base`; a sign alone is a step of 5 %, twice two of them.

/// What a typed text asks for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Entry {
    /// This value.
    Set(f64),
    /// So much more.
    Add(f64),
    /// So many times as much.
    Times(f64),
    /// The value of another mode; empty or "base": the reference mode.
    Copy(String),
}

/// What a step changes, as a share.
pub(super) const STEP_SHARE: f64 = 0.05;
/// Most signs in a row that are read as steps.
const MOST_STEPS: usize = 20;

/// Reads a typed text; the fault is a sentence.
pub(crate) fn parse(text: &str) -> Result<Entry, String> {
    let text = text.trim().replace(',', ".").replace('−', "-").replace('×', "*");
    if let Some(name) = text.strip_prefix('=') {
        let name = name.trim();
        if let Some(value) = number(name) {
            return Ok(Entry::Set(value));
        }
        return Ok(Entry::Copy(name.to_owned()));
    }
    let sentence = || format!("Cannot read “{text}”: type 2400, +5%, -5%, *1.1, +50 or =base.");
    for (sign, share) in [('+', STEP_SHARE), ('-', -STEP_SHARE)] {
        let steps = text.chars().count();
        if (1..=MOST_STEPS).contains(&steps) && text.chars().all(|c| c == sign) {
            return Ok(Entry::Times((1.0 + share).powi(steps as i32)));
        }
    }
    if let Some(factor) = text.strip_prefix('*') {
        return number(factor).map(Entry::Times).ok_or_else(sentence);
    }
    if let Some(divisor) = text.strip_prefix('/') {
        return match number(divisor) {
            Some(d) if d != 0.0 => Ok(Entry::Times(1.0 / d)),
            _ => Err(sentence()),
        };
    }
    let is_relative = text.starts_with('+') || text.starts_with('-');
    if let Some(percent) = text.strip_suffix('%') {
        return match (is_relative, number(percent)) {
            (true, Some(p)) => Ok(Entry::Times(1.0 + p / 100.0)),
            (false, Some(_)) => Err(format!("“{text}” needs a sign: +{text} or -{text}.")),
            _ => Err(sentence()),
        };
    }
    match number(&text) {
        Some(value) if is_relative => Ok(Entry::Add(value)),
        Some(value) => Ok(Entry::Set(value)),
        None => Err(sentence()),
    }
}

fn number(text: &str) -> Option<f64> {
    text.trim().trim_start_matches('+').parse::<f64>().ok().filter(|v| v.is_finite())
}

impl Entry {
    /// What was typed in the numbers of the screen, in those of the map.
    pub fn unscaled(&self, scale: f64) -> Entry {
        match self {
            // A whole gain: nobody types a damping ratio to more digits than that.
            Entry::Set(value) if scale != 1.0 => Entry::Set((value / scale).round()),
            Entry::Add(value) if scale != 1.0 => Entry::Add((value / scale).round()),
            same => same.clone(),
        }
    }

    /// The new value of a cell; `None` where it needs the other mode's value and there is none.
    pub fn apply(&self, now: f64, other: Option<f64>) -> Option<f64> {
        Some(match self {
            Entry::Set(value) => *value,
            Entry::Add(value) => tidy(now + value),
            Entry::Times(factor) => tidy(now * factor),
            Entry::Copy(_) => return other,
        })
    }
}

/// Drops digits that only arithmetic made: a gain in thousands keeps one decimal, a current three.
pub(super) fn tidy(value: f64) -> f64 {
    let step = if value.abs() >= 20.0 { 10.0 } else { 1000.0 };
    (value * step).round() / step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_of_the_key_list_is_read() {
        assert_eq!(parse("2400"), Ok(Entry::Set(2400.0)));
        assert_eq!(parse("0,5"), Ok(Entry::Set(0.5)));
        assert_eq!(parse("+5%"), Ok(Entry::Times(1.05)));
        assert_eq!((parse("+"), parse("−")), (Ok(Entry::Times(1.05)), Ok(Entry::Times(0.95))));
        assert_eq!(parse("--"), Ok(Entry::Times(0.95 * 0.95)));
        assert_eq!(parse("-5%"), Ok(Entry::Times(0.95)));
        assert_eq!(parse("*1.1"), Ok(Entry::Times(1.1)));
        assert_eq!(parse("/2"), Ok(Entry::Times(0.5)));
        assert_eq!(parse("+50"), Ok(Entry::Add(50.0)));
        assert_eq!(parse("-50"), Ok(Entry::Add(-50.0)));
        assert_eq!(parse("=base"), Ok(Entry::Copy("base".to_owned())));
        assert_eq!(parse("=-300"), Ok(Entry::Set(-300.0)));
        assert_eq!(Entry::Times(1.05).apply(2000.0, None), Some(2100.0));
        assert_eq!(Entry::Copy(String::new()).apply(1.0, None), None);
        assert_eq!(Entry::Set(0.5).unscaled(0.0001), Entry::Set(5000.0));
        assert_eq!(Entry::Times(1.1).unscaled(0.0001), Entry::Times(1.1));
    }

    #[test]
    fn slips_are_named() {
        for slip in ["", "24x0", "5%", "*", "/0", "inf", "NaN", "+-", "+%"] {
            assert!(parse(slip).is_err(), "{slip:?} was taken");
        }
    }
}
