//! Values between samples: a smooth curve through samples at rising, not necessarily even places, and even samples of it.
//!
//! Between two samples lies the cubic with the samples' values and slopes, the slope at a sample being that of the parabola
//! through it and its neighbours. It goes through every sample, is exact for parabolas and damps what the samples carry
//! much less than straight lines between them do.

/// Reads a curve through samples along places that never turn back, so that each costs a step or two and no search.
#[derive(Clone, Debug)]
pub struct Curve<'a> {
    x: &'a [f64],
    y: &'a [f64],
    segment: usize,
}

impl<'a> Curve<'a> {
    /// `x` strictly rising; as many `y`. Fewer than two samples, or unequal lengths, are cut to what pairs up.
    pub fn new(x: &'a [f64], y: &'a [f64]) -> Self {
        let n = x.len().min(y.len());
        Curve { x: &x[..n], y: &y[..n], segment: 0 }
    }

    /// The value at a place not before the last one asked for; held before the first and after the last sample.
    pub fn at(&mut self, place: f64) -> f64 {
        let (Some(&first), Some(&last)) = (self.x.first(), self.x.last()) else { return 0.0 };
        if place <= first {
            return self.y[0];
        }
        if place >= last {
            return self.y[self.y.len() - 1];
        }
        while place >= self.x[self.segment + 1] {
            self.segment += 1;
        }
        let i = self.segment;
        let width = self.x[i + 1] - self.x[i];
        let t = (place - self.x[i]) / width;
        let (rise, near, far) = (self.y[i + 1] - self.y[i], width * self.slope(i), width * self.slope(i + 1));
        // Cubic of Hermite in the form that is exact at t = 0.
        self.y[i] + t * (near + t * (3.0 * rise - 2.0 * near - far + t * (near + far - 2.0 * rise)))
    }

    /// Slope at a sample: of the parabola through it and both neighbours, at the ends of the parabola there.
    fn slope(&self, i: usize) -> f64 {
        let last = self.x.len() - 1;
        let chord = |k: usize| (self.y[k + 1] - self.y[k]) / (self.x[k + 1] - self.x[k]);
        if last == 1 {
            return chord(0);
        }
        let centre = i.clamp(1, last - 1);
        let (before, after) = (chord(centre - 1), chord(centre));
        let (wide_before, wide_after) = (self.x[centre] - self.x[centre - 1], self.x[centre + 1] - self.x[centre]);
        let bend = (after - before) / (wide_before + wide_after);
        before + bend * (2.0 * self.x[i] - self.x[centre] - self.x[centre - 1])
    }
}

/// Even samples of the curve through `(x, y)`: at the first place and every `step` from there, not beyond the last.
pub fn evenly(x: &[f64], y: &[f64], step: f64) -> Vec<f64> {
    let (Some(&first), Some(&last)) = (x.first(), x.last()) else { return Vec::new() };
    if step.is_nan() || step <= 0.0 {
        return Vec::new();
    }
    let mut curve = Curve::new(x, y);
    // A hair of tolerance, so that the last sample of an even record is not lost to rounding.
    let count = ((last - first) / step + 1e-6).floor() as usize;
    (0..=count).map(|i| curve.at(first + i as f64 * step)).collect()
}

/// Median distance between neighbours; `None` for fewer than two.
pub fn median_step(x: &[f64]) -> Option<f64> {
    let mut steps: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
    let middle = steps.len().checked_sub(1)? / 2;
    let (_, median, _) = steps.select_nth_unstable_by(middle, f64::total_cmp);
    Some(*median)
}

/// Largest departure of a step from another one, as a share of it.
pub fn unevenness(x: &[f64], step: f64) -> f64 {
    x.windows(2).map(|w| ((w[1] - w[0]) / step - 1.0).abs()).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Places that wander about an even row.
    fn places(count: usize) -> Vec<f64> {
        (0..count).map(|i| 0.1 * i as f64 + 0.03 * (i as f64 * 1.7).sin()).collect()
    }

    #[test]
    fn parabolas_are_exact_at_any_spacing() {
        let x = places(50);
        let parabola = |x: f64| 3.0 - 2.0 * x + 0.7 * x * x;
        let y: Vec<f64> = x.iter().map(|&x| parabola(x)).collect();
        let mut curve = Curve::new(&x, &y);
        for i in 0..480 {
            let place = (0.01 * f64::from(i)).clamp(x[0], x[49]);
            assert!((curve.at(place) - parabola(place)).abs() < 1e-12, "{place}");
        }
    }

    #[test]
    fn every_sample_lies_on_the_curve_and_the_ends_are_held() {
        let x = places(20);
        let y: Vec<f64> = x.iter().map(|x| (9.0 * x).sin()).collect();
        let mut curve = Curve::new(&x, &y);
        assert_eq!(curve.at(-5.0), y[0]);
        for (x, y) in x.iter().zip(&y) {
            assert!((curve.at(*x) - y).abs() < 1e-15);
        }
        assert_eq!(curve.at(100.0), y[19]);
        assert_eq!(Curve::new(&[0.0, 2.0], &[1.0, 5.0]).at(0.5), 2.0);
        assert_eq!(Curve::new(&[], &[]).at(0.5), 0.0);
    }

    #[test]
    fn a_sine_of_eight_samples_a_wave_keeps_its_power() {
        let x: Vec<f64> = (0..4001).map(|i| 0.1 * f64::from(i)).collect();
        let y: Vec<f64> = x.iter().map(|x| (TAU * 1.25 * x).sin()).collect();
        let fine = evenly(&x, &y, 0.037);
        let square = fine.iter().map(|y| y * y).sum::<f64>() / fine.len() as f64;
        assert!((square / 0.5 - 1.0).abs() < 0.01, "{square}");
    }

    #[test]
    fn even_samples_of_an_even_record_are_the_record() {
        let x: Vec<f64> = (0..101).map(|i| f64::from(i) * 0.1).collect();
        let y: Vec<f64> = x.iter().map(|x| x.cos()).collect();
        let again = evenly(&x, &y, 0.1);
        assert_eq!(again.len(), 101);
        assert!(again.iter().zip(&y).all(|(a, b)| (a - b).abs() < 1e-12));
        assert_eq!(median_step(&[0.0, 1.0, 1.5, 4.0]), Some(1.0));
        assert_eq!(median_step(&[1.0]), None);
        assert!((unevenness(&[0.0, 1.0, 2.2], 1.0) - 0.2).abs() < 1e-12);
        assert!(evenly(&x, &y, 0.0).is_empty());
    }
}
