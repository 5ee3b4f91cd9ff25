//! A scorecard: what a run scored, metric by metric. What does not apply is absent.

use crate::registry::{Better, MetricId};

/// Most corners a card has.
pub const CORNERS: usize = 4;

/// The figure of a metric, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// One number for the car.
    One(f64),
    /// One number a corner, in the order of [`Scorecard::corners`]; a corner it does not apply to has `None`.
    PerCorner([Option<f64>; CORNERS]),
}

impl Value {
    /// The numbers that are there.
    pub fn numbers(&self) -> impl Iterator<Item = f64> + '_ {
        let (one, corners) = match self {
            Value::One(x) => (Some(*x), [None; CORNERS]),
            Value::PerCorner(corners) => (None, *corners),
        };
        one.into_iter().chain(corners.into_iter().flatten())
    }

    /// Mean over the corners.
    pub fn mean(&self) -> f64 {
        let (sum, count) = self.numbers().fold((0.0, 0.0), |(sum, count), x| (sum + x, count + 1.0));
        sum / count
    }

    /// The corner worst in the sense of the metric; the largest where neither direction is better.
    pub fn worst(&self, better: Better) -> f64 {
        match better {
            Better::Higher => self.numbers().fold(f64::INFINITY, f64::min),
            Better::Lower | Better::Neither => self.numbers().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// Applies a function of two numbers corner by corner; `None` if one is per corner and the other is not.
    fn zip(&self, other: &Value, f: impl Fn(f64, f64) -> f64) -> Option<Value> {
        match (self, other) {
            (Value::One(a), Value::One(b)) => Some(Value::One(f(*a, *b))),
            (Value::PerCorner(a), Value::PerCorner(b)) => {
                Some(Value::PerCorner(std::array::from_fn(|i| a[i].zip(b[i]).map(|(a, b)| f(a, b)))))
            }
            _ => None,
        }
    }
}

/// What one run scored.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scorecard {
    corners: Vec<&'static str>,
    /// In the order of the registry: a card is read far more often than anything is set on it.
    values: Vec<(MetricId, Value)>,
}

impl Scorecard {
    /// An empty card for a model with these corners (`front_left`, … or `front`, `left`, …), at most four.
    pub fn new(corners: &[&'static str]) -> Self {
        Scorecard { corners: corners.iter().copied().take(CORNERS).collect(), values: Vec::new() }
    }

    /// Names of the corners, in the order of the per-corner values.
    pub fn corners(&self) -> &[&'static str] {
        &self.corners
    }

    /// Sets a metric.
    pub fn set(&mut self, id: MetricId, value: Value) {
        match self.place(id) {
            Ok(at) => self.values[at].1 = value,
            Err(at) => self.values.insert(at, (id, value)),
        }
    }

    /// Sets a metric that is one number.
    pub fn set_one(&mut self, id: MetricId, value: f64) {
        self.set(id, Value::One(value));
    }

    /// Sets a metric that is one number, if it applies.
    pub fn set_some(&mut self, id: MetricId, value: Option<f64>) {
        if let Some(value) = value {
            self.set_one(id, value);
        }
    }

    /// Sets a metric per corner, if it applies to any.
    pub fn set_corners(&mut self, id: MetricId, value: impl Fn(usize) -> Option<f64>) {
        let count = self.corners.len();
        let values = std::array::from_fn(|i| if i < count { value(i) } else { None });
        if values.iter().any(Option::is_some) {
            self.set(id, Value::PerCorner(values));
        }
    }

    /// Takes a metric off the card.
    pub fn remove(&mut self, id: MetricId) {
        if let Ok(at) = self.place(id) {
            self.values.remove(at);
        }
    }

    /// The figure of a metric.
    pub fn get(&self, id: MetricId) -> Option<Value> {
        self.place(id).ok().map(|at| self.values[at].1)
    }

    /// Where a metric stands, or belongs.
    fn place(&self, id: MetricId) -> Result<usize, usize> {
        self.values.binary_search_by_key(&id, |entry| entry.0)
    }

    /// The figure of a metric at a named corner, or the one number of one that has no corners.
    pub fn at(&self, id: MetricId, corner: &str) -> Option<f64> {
        match self.get(id)? {
            Value::One(value) => Some(value),
            Value::PerCorner(values) => self.corners.iter().position(|name| *name == corner).and_then(|i| values[i]),
        }
    }

    /// The worst corner of a metric, or its one number.
    pub fn worst(&self, id: MetricId) -> Option<f64> {
        self.get(id).map(|value| value.worst(id.metric().better))
    }

    /// The mean over the corners of a metric, or its one number.
    pub fn mean(&self, id: MetricId) -> Option<f64> {
        self.get(id).map(|value| value.mean())
    }

    /// What is on the card, in the order of the registry.
    pub fn iter(&self) -> impl Iterator<Item = (MetricId, Value)> + '_ {
        self.values.iter().copied()
    }

    /// True if nothing is on the card.
    pub fn is_empty(&self) -> bool {
        self.values.is_empty()
    }

    /// True if every number is finite; a run that diverged has others.
    pub fn is_finite(&self) -> bool {
        self.values.iter().all(|(_, value)| value.numbers().all(f64::is_finite))
    }

    /// This card minus a reference, for the metrics and corners both have.
    pub fn minus(&self, reference: &Scorecard) -> Scorecard {
        let mut card = Scorecard::new(&self.corners);
        for (id, value) in self.iter() {
            if let Some(value) = reference.get(id).and_then(|other| value.zip(&other, |a, b| a - b)) {
                card.set(id, value);
            }
        }
        card
    }

    /// Mean of cards of the same corners, each with a weight. A metric that some cards lack is the mean over those that
    /// have it; a card of weight zero does not count. Corners are those of the first card.
    pub fn weighted_mean<'a>(cards: impl IntoIterator<Item = (&'a Scorecard, f64)>) -> Scorecard {
        let mut corners = None;
        // Of each metric the weighted sum and the weights in it.
        let mut sums: Vec<Option<(Value, [f64; CORNERS])>> = vec![None; MetricId::all().len()];
        for (card, weight) in cards.into_iter().filter(|(_, weight)| *weight > 0.0) {
            corners.get_or_insert(&card.corners);
            for &(id, value) in &card.values {
                let first = match value {
                    Value::One(_) => Value::One(0.0),
                    Value::PerCorner(_) => Value::PerCorner([None; CORNERS]),
                };
                let (sum, weights) = sums[id.index()].get_or_insert((first, [0.0; CORNERS]));
                match (sum, value) {
                    (Value::One(sum), Value::One(x)) => {
                        *sum += x * weight;
                        weights[0] += weight;
                    }
                    (Value::PerCorner(sum), Value::PerCorner(xs)) => {
                        for i in 0..CORNERS {
                            if let Some(x) = xs[i] {
                                sum[i] = Some(sum[i].unwrap_or(0.0) + x * weight);
                                weights[i] += weight;
                            }
                        }
                    }
                    // A metric is either one number or per corner in all cards, by its scope.
                    _ => {}
                }
            }
        }
        let over = |(sum, weights): (Value, [f64; CORNERS])| match sum {
            Value::One(sum) => Value::One(sum / weights[0]),
            Value::PerCorner(sum) => Value::PerCorner(std::array::from_fn(|i| sum[i].map(|x| x / weights[i]))),
        };
        let values = MetricId::all().zip(sums).filter_map(|(id, sum)| Some((id, over(sum?))));
        Scorecard { values: values.collect(), corners: corners.cloned().unwrap_or_default() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(one: f64, corners: [Option<f64>; 4]) -> Scorecard {
        let mut card = Scorecard::new(&["front_left", "front_right", "rear_left", "rear_right"]);
        card.set_one(MetricId::BODY_ACCELERATION_RMS, one);
        card.set(MetricId::LEAST_WHEEL_LOAD, Value::PerCorner(corners));
        card
    }

    #[test]
    fn worst_follows_the_metric_and_mean_the_corners() {
        let card = card(1.5, [Some(1000.0), Some(400.0), None, Some(700.0)]);
        assert_eq!(card.worst(MetricId::LEAST_WHEEL_LOAD), Some(400.0), "the least of a metric where more is better");
        assert_eq!(card.mean(MetricId::LEAST_WHEEL_LOAD), Some(700.0));
        assert_eq!(card.worst(MetricId::BODY_ACCELERATION_RMS), Some(1.5));
        assert_eq!(card.at(MetricId::LEAST_WHEEL_LOAD, "front_right"), Some(400.0));
        assert_eq!(card.at(MetricId::LEAST_WHEEL_LOAD, "rear_left"), None);
        assert_eq!(card.get(MetricId::ROLL_PEAK), None);
    }

    #[test]
    fn a_weighted_mean_counts_only_the_cards_that_have_the_metric() {
        let a = card(1.0, [Some(10.0), None, None, None]);
        let mut b = card(4.0, [Some(40.0), Some(20.0), None, None]);
        b.set_one(MetricId::ROLL_PEAK, 0.05);
        let mean = Scorecard::weighted_mean([(&a, 2.0), (&b, 1.0), (&card(9e9, [None; 4]), 0.0)]);
        assert_eq!(mean.get(MetricId::BODY_ACCELERATION_RMS), Some(Value::One(2.0)));
        assert_eq!(mean.get(MetricId::ROLL_PEAK), Some(Value::One(0.05)));
        assert_eq!(mean.get(MetricId::LEAST_WHEEL_LOAD), Some(Value::PerCorner([Some(20.0), Some(20.0), None, None])));
    }

    #[test]
    fn a_difference_has_what_both_have() {
        let mut a = card(3.0, [Some(10.0), None, None, None]);
        a.set_one(MetricId::ROLL_PEAK, 0.05);
        let d = a.minus(&card(1.0, [Some(4.0), Some(20.0), None, None]));
        assert_eq!(d.get(MetricId::BODY_ACCELERATION_RMS), Some(Value::One(2.0)));
        assert_eq!(d.get(MetricId::LEAST_WHEEL_LOAD), Some(Value::PerCorner([Some(6.0), None, None, None])));
        assert_eq!(d.get(MetricId::ROLL_PEAK), None);
        assert!(d.is_finite());
    }
}
