//! The numbers that lanes are made of, and lists of them in the precision they were computed in.

use crate::Precision;
use std::fmt::Debug;

/// A number of double or single precision.
pub trait Number: Copy + Default + PartialEq + Into<f64> + Send + Sync + Debug + 'static {
    /// Its precision.
    const PRECISION: Precision;
    /// A list of such numbers.
    fn list(values: Vec<Self>) -> Numbers;
    /// What is on a list of such numbers; nothing where the list is of others.
    fn unlist(numbers: Numbers) -> Option<Vec<Self>>;
}

impl Number for f64 {
    const PRECISION: Precision = Precision::Double;
    fn list(values: Vec<f64>) -> Numbers {
        Numbers::Double(values)
    }
    fn unlist(numbers: Numbers) -> Option<Vec<f64>> {
        match numbers {
            Numbers::Double(values) => Some(values),
            Numbers::Single(_) => None,
        }
    }
}

impl Number for f32 {
    const PRECISION: Precision = Precision::Single;
    fn list(values: Vec<f32>) -> Numbers {
        Numbers::Single(values)
    }
    fn unlist(numbers: Numbers) -> Option<Vec<f32>> {
        match numbers {
            Numbers::Single(values) => Some(values),
            Numbers::Double(_) => None,
        }
    }
}

/// A list of numbers in the precision they were computed in: those of single precision take half the room.
#[derive(Clone, Debug, PartialEq)]
pub enum Numbers {
    /// Of double precision.
    Double(Vec<f64>),
    /// Of single precision.
    Single(Vec<f32>),
}

impl Default for Numbers {
    /// None at all.
    fn default() -> Self {
        Numbers::Double(Vec::new())
    }
}

impl Numbers {
    /// The precision of all of them.
    pub fn precision(&self) -> Precision {
        match self {
            Numbers::Double(_) => Precision::Double,
            Numbers::Single(_) => Precision::Single,
        }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        match self {
            Numbers::Double(values) => values.len(),
            Numbers::Single(values) => values.len(),
        }
    }

    /// True where there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The number at a place, absent beyond the last.
    pub fn get(&self, place: usize) -> Option<f64> {
        match self {
            Numbers::Double(values) => values.get(place).copied(),
            Numbers::Single(values) => values.get(place).copied().map(f64::from),
        }
    }

    /// One number of every `step`, beginning with the one at `first`.
    ///
    /// # Panics
    /// If `step` is zero: a fault of the caller.
    pub fn every(&self, first: usize, step: usize) -> Vec<f64> {
        match self {
            Numbers::Double(values) => values.iter().skip(first).step_by(step).copied().collect(),
            Numbers::Single(values) => values.iter().skip(first).step_by(step).copied().map(f64::from).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_give_back_their_numbers_in_their_precision() {
        let (double, single) = (f64::list(vec![0.1, 0.2, 0.3, 0.4, 0.5]), f32::list(vec![0.1, 0.2, 0.3, 0.4, 0.5]));
        assert_eq!((double.len(), single.len(), double.is_empty()), (5, 5, false));
        assert_eq!((double.get(1), double.get(5)), (Some(0.2), None));
        assert_eq!(single.get(1), Some(f64::from(0.2f32)));
        assert_ne!(single.get(1), double.get(1));
        assert_eq!(double.every(1, 2), vec![0.2, 0.4]);
        assert_eq!(single.every(0, 3), vec![f64::from(0.1f32), f64::from(0.4f32)]);
        assert_eq!(f32::unlist(single.clone()), Some(vec![0.1, 0.2, 0.3, 0.4, 0.5]));
        assert_eq!((f64::unlist(single), f32::unlist(double)), (None, None));
        assert!(Numbers::default().is_empty() && Numbers::default().every(0, 1).is_empty());
    }
}
