//! Whether a damper could deliver the wanted force: wrong sign, below soft, deliverable, above firm.

use washboard_signal::Lane;

/// Where a wanted force lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeliveryClass {
    /// The wanted force does not oppose the motion (or there is no motion to oppose): the soft end acts.
    WrongSign,
    /// Less force is wanted than the soft end gives.
    BelowSoft,
    /// Between the two ends.
    Deliverable,
    /// More force is wanted than the firm end gives.
    AboveFirm,
}

/// Where the wanted force lies, one class a lane: a number, so that a sample of it takes little room and that its sum tells
/// how often each class came up. Every class but the first counts in digits of its own.
#[derive(Clone, Copy, Debug, Default)]
pub struct Delivery<L>(L);

/// What a digit holds: three of them fill the 51 bits that a sum of whole numbers has at least.
const DIGIT: f64 = 131_072.0;
const WRONG_SIGN: f64 = 0.0;
const BELOW_SOFT: f64 = 1.0;
const DELIVERABLE: f64 = DIGIT;
const ABOVE_FIRM: f64 = DIGIT * DIGIT;

/// How often each class came up.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct DeliveryCount<L> {
    /// Where samples are added.
    pub(crate) sum: DeliverySum<L>,
    /// Samples in the sum.
    added: usize,
    /// Below soft, deliverable, above firm, without what is in the sum.
    counts: [L; 3],
}

/// Sum of classes.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct DeliverySum<L>(L);

impl<L: Lane> DeliverySum<L> {
    /// Takes one sample.
    #[inline(always)]
    pub(crate) fn add(&mut self, delivery: Delivery<L>) {
        self.0 += delivery.0;
    }
}

impl<L: Lane> DeliveryCount<L> {
    /// The sum, with room for so many samples, far fewer than a digit holds.
    #[inline(always)]
    pub(crate) fn ready_for(&mut self, samples: usize) -> DeliverySum<L> {
        self.added += samples;
        if self.added >= DIGIT as usize {
            self.carry();
            self.added = samples;
        }
        self.sum
    }

    #[inline(never)]
    fn carry(&mut self) {
        let counted: [L; 3] = std::array::from_fn(|class| self.sum.0.map(|sum| digit(sum, class)));
        for class in 0..3 {
            self.counts[class] += counted[class];
        }
        self.sum = DeliverySum::default();
    }

    /// How often below soft, deliverable, above firm in a lane.
    pub(crate) fn totals(&self, lane: usize) -> [f64; 3] {
        std::array::from_fn(|class| self.counts[class].get(lane) + digit(self.sum.0.get(lane), class))
    }
}

fn digit(sum: f64, class: usize) -> f64 {
    (sum / DIGIT.powi(class as i32)).floor() % DIGIT
}

impl<L: Lane> Delivery<L> {
    /// Classifies a wanted force at a damper rate, between the forces of soft and firm end at that rate; all four with the
    /// same sign convention (positive in rebound) and at the same place (wheel or damper).
    ///
    /// The wrong sign is a wanted force other than zero whose product with the rate is not positive, so it includes rest,
    /// where no force can be had and the soft end acts. No force wanted is below soft while the soft end gives one, and
    /// deliverable at rest, where there is none. The ends themselves are deliverable.
    #[inline(always)]
    pub fn classify(wanted_n: L, rate_m_per_s: L, soft_n: L, firm_n: L) -> Self {
        let zero = L::zero();
        let magnitude = wanted_n.abs();
        let mut class = L::select(magnitude.gt(firm_n.abs()), L::splat(ABOVE_FIRM), L::splat(DELIVERABLE));
        class = L::select(soft_n.abs().gt(magnitude), L::splat(BELOW_SOFT), class);
        let is_wrong = L::and(magnitude.gt(zero), zero.ge(wanted_n * rate_m_per_s));
        Delivery(L::select(is_wrong, L::splat(WRONG_SIGN), class))
    }

    /// The class of a lane.
    pub fn class(self, lane: usize) -> DeliveryClass {
        match self.0.get(lane) {
            WRONG_SIGN => DeliveryClass::WrongSign,
            BELOW_SOFT => DeliveryClass::BelowSoft,
            DELIVERABLE => DeliveryClass::Deliverable,
            _ => DeliveryClass::AboveFirm,
        }
    }

    /// Classes of several runs side by side.
    #[cfg(test)]
    pub(crate) fn side_by_side(of_lane: impl Fn(usize) -> Delivery<f64>) -> Self {
        Delivery(L::from_fn(|lane| of_lane(lane).0))
    }
}

#[cfg(test)]
mod tests {
    use super::DeliveryClass::*;
    use super::*;
    use washboard_signal::Lanes;

    #[test]
    fn each_case_has_exactly_one_class() {
        // Wanted, rate, soft, firm; the class that the definition gives.
        for (wanted, rate, soft, firm, class) in [
            (500.0, 0.2, 100.0, 900.0, Deliverable),
            (-500.0, -0.2, -100.0, -900.0, Deliverable),
            (500.0, -0.2, -100.0, -900.0, WrongSign),
            (-500.0, 0.2, 100.0, 900.0, WrongSign),
            (50.0, 0.2, 100.0, 900.0, BelowSoft),
            (0.0, 0.2, 100.0, 900.0, BelowSoft),
            (1000.0, 0.2, 100.0, 900.0, AboveFirm),
            (100.0, 0.2, 100.0, 900.0, Deliverable),
            (900.0, 0.2, 100.0, 900.0, Deliverable),
            (500.0, 0.0, 0.0, 0.0, WrongSign),
            (0.0, 0.0, 0.0, 0.0, Deliverable),
            (300.0, 0.2, 300.0, 300.0, Deliverable),
        ] {
            let d = Delivery::classify(wanted, rate, soft, firm);
            assert_eq!(d.class(0), class, "{wanted} N at {rate} m/s between {soft} and {firm} N");
        }
    }

    #[test]
    fn lanes_are_classified_apart() {
        let d = Delivery::classify(
            Lanes([500.0, -500.0, 50.0, 2000.0]),
            Lanes([0.2; 4]),
            Lanes([100.0; 4]),
            Lanes([900.0; 4]),
        );
        assert_eq!([0, 1, 2, 3].map(|lane| d.class(lane)), [Deliverable, WrongSign, BelowSoft, AboveFirm]);
    }

    #[test]
    fn classes_are_counted_over_more_samples_than_a_digit_holds() {
        let mut count = DeliveryCount::<Lanes<4>>::default();
        let first = Delivery(Lanes([ABOVE_FIRM, WRONG_SIGN, BELOW_SOFT, DELIVERABLE]));
        let second = Delivery(Lanes([ABOVE_FIRM, DELIVERABLE, ABOVE_FIRM, WRONG_SIGN]));
        for _ in 0..200_000 {
            let mut sum = count.ready_for(3);
            [first, second, second].into_iter().for_each(|delivery| sum.add(delivery));
            count.sum = sum;
        }
        let want = [[0.0, 0.0, 6e5], [0.0, 4e5, 0.0], [2e5, 0.0, 4e5], [0.0, 2e5, 0.0]];
        assert_eq!([0, 1, 2, 3].map(|lane| count.totals(lane)), want);
    }
}
