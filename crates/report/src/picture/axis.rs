//! The axis of a chart: its range, where a value lies, and the round values that are written beside it.

use washboard_words as words;

/// One axis.
#[derive(Clone, Debug)]
pub(crate) struct Axis {
    /// Title with unit.
    pub title: String,
    pub logarithmic: bool,
    pub low: f64,
    pub high: f64,
}

impl Axis {
    /// An axis that holds all values, with a little room; `with_zero` where zero belongs to the picture.
    pub fn linear(title: &str, values: impl Iterator<Item = f64>, with_zero: bool) -> Axis {
        let (mut low, mut high) = range(values);
        if with_zero {
            low = low.min(0.0);
            high = high.max(0.0);
        }
        if high - low < 1e-12 * high.abs().max(1e-6) {
            let room = if high == 0.0 { 1.0 } else { 0.05 * high.abs() };
            (low, high) = (low - room, high + room);
        }
        let room = 0.05 * (high - low);
        let low = if with_zero && low == 0.0 { 0.0 } else { low - room };
        let high = if with_zero && high == 0.0 { 0.0 } else { high + room };
        Axis { title: title.to_owned(), logarithmic: false, low, high }
    }

    /// A logarithmic axis that holds all positive values.
    pub fn logarithmic(title: &str, values: impl Iterator<Item = f64>) -> Axis {
        let (low, high) = range(values.filter(|v| *v > 0.0));
        let (low, high) = if low > 0.0 && high > low { (low, high) } else { (0.1, 10.0) };
        Axis { title: title.to_owned(), logarithmic: true, low, high }
    }

    /// The same axis from here to there.
    pub fn within(mut self, low: f64, high: f64) -> Axis {
        (self.low, self.high) = (low, high);
        self
    }

    /// Where a value lies between the ends, 0 to 1; held at the ends.
    pub fn place(&self, value: f64) -> f64 {
        let place = if self.logarithmic {
            (value.max(1e-300) / self.low).ln() / (self.high / self.low).ln()
        } else {
            (value - self.low) / (self.high - self.low)
        };
        if place.is_finite() { place.clamp(0.0, 1.0) } else { 0.0 }
    }

    /// Round values within the axis with what is written beside them, about `most` of them.
    pub fn ticks(&self, most: usize) -> Vec<(f64, String)> {
        if self.logarithmic { self.decades() } else { self.steps(most) }
    }

    fn steps(&self, most: usize) -> Vec<(f64, String)> {
        let raw = (self.high - self.low) / most.max(1) as f64;
        let power = 10f64.powf(raw.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|s| s * power).find(|s| *s >= raw).unwrap_or(10.0 * power);
        let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
        let first = (self.low / step - 1e-9).ceil() as i64;
        let last = (self.high / step + 1e-9).floor() as i64;
        (first..=last.min(first + 60)).map(|i| i as f64 * step).map(|v| (v, words::fixed(v, decimals))).collect()
    }

    fn decades(&self) -> Vec<(f64, String)> {
        let (from, to) = (self.low.log10().floor() as i32, self.high.log10().ceil() as i32);
        let many = to - from > 3;
        let steps: &[f64] = if many { &[1.0] } else { &[1.0, 2.0, 5.0] };
        let all = (from..=to).flat_map(|d| steps.iter().map(move |s| s * 10f64.powi(d)));
        let inside = all.filter(|v| *v >= self.low * 0.999 && *v <= self.high * 1.001);
        inside.map(|v| (v, words::breakpoint(v))).collect()
    }
}

fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let finite = values.filter(|v| v.is_finite());
    let (low, high) = finite.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
    if low > high { (0.0, 1.0) } else { (low, high) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_within() {
        let axis = Axis::linear("load, kN", [3.2, 5.9].into_iter(), false);
        let ticks = axis.ticks(6);
        assert!(ticks.iter().all(|(v, _)| *v >= axis.low - 1e-9 && *v <= axis.high + 1e-9));
        assert_eq!(
            ticks.iter().map(|(_, t)| t.as_str()).collect::<Vec<_>>(),
            ["3.5", "4.0", "4.5", "5.0", "5.5", "6.0"]
        );
        let axis = Axis::logarithmic("frequency, Hz", [0.3, 30.0].into_iter());
        let texts: Vec<String> = axis.ticks(9).into_iter().map(|(_, t)| t).collect();
        assert_eq!(texts, ["0.5", "1", "2", "5", "10", "20"]);
        assert!((axis.place(3.0) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn one_value_alone_and_none_at_all_still_make_an_axis() {
        for axis in [
            Axis::linear("", [2.0, 2.0].into_iter(), false),
            Axis::linear("", std::iter::empty(), true),
            Axis::linear("", [0.0].into_iter(), true),
            Axis::linear("", [f64::NAN].into_iter(), false),
            Axis::logarithmic("", [-1.0, 0.0].into_iter()),
        ] {
            assert!(axis.high > axis.low, "{axis:?}");
            assert!(axis.place(2.0).is_finite() && !axis.ticks(5).is_empty());
        }
    }
}
