//! Axes of plots: range, ticks at round numbers, linear or logarithmic, and how a value on them reads.

use egui_plot::{GridInput, GridMark};

/// One axis. On a logarithmic axis, values inside the plot are log10 of the quantity.
#[derive(Clone, Debug)]
pub(crate) struct Axis {
    /// Quantity and unit, as in "frequency, Hz".
    pub title: String,
    /// Lowest and highest value, in the quantity itself.
    pub range: (f64, f64),
    /// True for a logarithmic axis.
    pub logarithmic: bool,
    /// Wanted distance of ticks, points.
    pub spacing: f64,
}

impl Axis {
    /// A linear axis.
    pub fn linear(title: impl Into<String>, range: (f64, f64)) -> Self {
        Axis { title: title.into(), range, logarithmic: false, spacing: 50.0 }
    }

    /// A logarithmic axis; `range` is above zero.
    pub fn logarithmic(title: impl Into<String>, range: (f64, f64)) -> Self {
        Axis { title: title.into(), range, logarithmic: true, spacing: 34.0 }
    }

    /// Another wanted distance of ticks, points.
    pub fn spaced(mut self, points: f64) -> Self {
        self.spacing = points;
        self
    }

    /// Where a quantity lies in the plot.
    pub fn place(&self, quantity: f64) -> f64 {
        if self.logarithmic { quantity.max(1e-12).log10() } else { quantity }
    }

    /// The quantity at a place in the plot.
    pub fn quantity(&self, place: f64) -> f64 {
        if self.logarithmic { 10f64.powf(place) } else { place }
    }

    /// Range in plot values; never empty.
    pub fn bounds(&self) -> (f64, f64) {
        let (low, high) = (self.place(self.range.0), self.place(self.range.1));
        if low.is_finite() && high.is_finite() && high > low {
            (low, high)
        } else if low.is_finite() {
            (low - 0.5, low + 0.5)
        } else {
            (0.0, 1.0)
        }
    }

    /// Tick marks for what is visible; `smallest_gap` is the grid spacing that egui_plot multiplies its step with.
    pub fn marks(&self, input: &GridInput, smallest_gap: f64) -> Vec<GridMark> {
        let (low, high) = input.bounds;
        let per_point = input.base_step_size / smallest_gap;
        if !(low.is_finite() && high.is_finite() && per_point > 0.0) || high <= low {
            return Vec::new();
        }
        if self.logarithmic {
            decades(low, high, 1.0 / per_point, self.spacing)
        } else {
            let step = round_step(per_point * self.spacing);
            let first = (low / step).ceil() as i64;
            let last = (high / step).floor() as i64;
            // Zoomed far in, the first and last index part by little; a runaway is an axis without marks.
            if last - first > 400 {
                return Vec::new();
            }
            (first..=last).map(|i| GridMark { value: i as f64 * step, step_size: step }).collect()
        }
    }

    /// How a tick reads.
    pub fn tick(&self, mark: GridMark) -> String {
        if self.logarithmic {
            let is_far = !(1e-3..1e5).contains(&self.quantity(mark.value));
            let power = mark.value.round();
            match (is_far, (mark.value - power).abs() < 1e-9) {
                (true, true) => power_of_ten(power as i64),
                (true, false) => String::new(),
                (false, _) => short(self.quantity(mark.value)),
            }
        } else {
            let decimals = (-mark.step_size.log10().floor()).clamp(0.0, 6.0) as usize;
            let value = if mark.value.abs() < mark.step_size * 1e-6 { 0.0 } else { mark.value };
            format!("{value:.decimals$}").replace('-', "−")
        }
    }
}

/// `10⁻⁶`.
fn power_of_ten(power: i64) -> String {
    let digits = power.to_string();
    let raised = digits.chars().map(|c| match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        c => c.to_digit(10).and_then(|d| char::from_u32(0x2070 + d)).unwrap_or(c),
    });
    format!("10{}", raised.collect::<String>())
}

fn decades(low: f64, high: f64, points_per_decade: f64, spacing: f64) -> Vec<GridMark> {
    let parts: &[f64] = if points_per_decade > spacing * 3.2 {
        &[1.0, 2.0, 5.0]
    } else if points_per_decade > spacing * 1.2 {
        &[1.0, 3.0]
    } else {
        &[1.0]
    };
    let mut marks = Vec::new();
    for decade in (low.floor() as i64)..=(high.ceil() as i64) {
        for part in parts {
            let value = decade as f64 + part.log10();
            if value >= low - 1e-9 && value <= high + 1e-9 {
                marks.push(GridMark { value, step_size: 1.0 });
            }
        }
    }
    marks
}

/// The next of 1, 2, 5 times a power of ten.
pub(crate) fn round_step(at_least: f64) -> f64 {
    let power = 10f64.powf(at_least.log10().floor());
    let part = at_least / power;
    power
        * if part <= 1.0 {
            1.0
        } else if part <= 2.0 {
            2.0
        } else if part <= 5.0 {
            5.0
        } else {
            10.0
        }
}

/// Rounds a range outwards to round numbers, with zero kept where it is an end.
pub(crate) fn outward(low: f64, high: f64) -> (f64, f64) {
    if !(low.is_finite() && high.is_finite()) {
        return (0.0, 1.0);
    }
    let (low, high) = if high > low { (low, high) } else { (low - 0.5, high + 0.5) };
    let step = round_step((high - low) / 12.0);
    ((low / step).floor() * step, (high / step).ceil() * step)
}

/// A number with as many digits as it needs, at most three.
pub(crate) fn short(value: f64) -> String {
    let size = value.abs();
    let text = if value == 0.0 {
        "0".to_owned()
    } else if size >= 100.0 {
        format!("{value:.0}")
    } else {
        let decimals = (2.0 - size.log10().floor()).clamp(0.0, 6.0) as usize;
        let text = format!("{value:.decimals$}");
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    };
    text.replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn logarithmic_ticks_are_one_two_five_a_decade() {
        let axis = Axis::logarithmic("frequency, Hz", (0.3, 30.0));
        let (low, high) = axis.bounds();
        let per_point = (high - low) / 300.0;
        let marks = axis.marks(&GridInput { bounds: (low, high), base_step_size: per_point * 4.0 }, 4.0);
        let texts: Vec<String> = marks.into_iter().map(|m| axis.tick(m)).collect();
        assert_eq!(texts, ["0.5", "1", "2", "5", "10", "20"]);
        assert_eq!(axis.tick(GridMark { value: -6.0, step_size: 1.0 }), "10⁻⁶");
    }

    #[test]
    fn linear_ticks_are_round_and_have_the_decimals_of_their_step() {
        let axis = Axis::linear("x", (0.0, 1.0)).spaced(50.0);
        let marks = axis.marks(&GridInput { bounds: (-0.1, 1.0), base_step_size: 1.1 / 260.0 * 4.0 }, 4.0);
        let texts: Vec<String> = marks.into_iter().map(|m| axis.tick(m)).collect();
        assert_eq!(texts, ["0.0", "0.5", "1.0"]);
        assert_eq!(round_step(0.3), 0.5);
        assert_eq!(round_step(7.0), 10.0);
    }

    #[test]
    fn short_numbers_keep_three_digits() {
        assert_eq!(short(0.0301), "0.0301");
        assert_eq!(short(2.0), "2");
        assert_eq!(short(1234.6), "1235");
        assert_eq!(short(-7.25), "−7.25");
    }
}
