//! Whether a damper could deliver the wanted force: wrong sign, below soft, deliverable, above firm.

use washboard_signal::{Lane, Work};

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

/// What a digit holds: three of them fill the bits that a whole number has in a lane.
const fn digit_of<L: Lane>() -> f64 {
    (1u64 << (L::WHOLE_BITS / 3)) as f64
}

/// Number of a class: the digits of their counts, the first class counting in none.
const fn number_of<L: Lane>(class: DeliveryClass) -> f64 {
    match class {
        DeliveryClass::WrongSign => 0.0,
        DeliveryClass::BelowSoft => 1.0,
        DeliveryClass::Deliverable => digit_of::<L>(),
        DeliveryClass::AboveFirm => digit_of::<L>() * digit_of::<L>(),
    }
}

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
        if self.added >= digit_of::<L>() as usize {
            L::enter(Carry(self));
            self.added = samples;
        }
        self.sum
    }

    /// How often below soft, deliverable, above firm in a lane.
    pub(crate) fn totals(&self, lane: usize) -> [f64; 3] {
        let digits = digits(self.sum.0);
        std::array::from_fn(|class| self.counts[class].get(lane) + digits[class].get(lane))
    }
}

/// Moves what is in the sum to the counts, apart from the loop over samples.
struct Carry<'c, L>(&'c mut DeliveryCount<L>);

impl<L: Lane> Work for Carry<'_, L> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let DeliveryCount { sum, counts, .. } = self.0;
        let digits = digits(sum.0);
        for class in 0..3 {
            counts[class] += digits[class];
        }
        *sum = DeliverySum::default();
    }
}

/// The digits of a sum, the lowest first.
#[inline(always)]
fn digits<L: Lane>(sum: L) -> [L; 3] {
    let unit = digit_of::<L>();
    // How many units a whole number holds. It lies half of 1/unit away from what would be rounded to its neighbours.
    let whole = |x: L, unit: f64| (x * L::splat(1.0 / unit) + L::splat(0.5 + 0.5 / unit)).rounded() - L::splat(1.0);
    let high = whole(sum, unit * unit);
    let rest = sum - high * L::splat(unit * unit);
    let middle = whole(rest, unit);
    [rest - middle * L::splat(unit), middle, high]
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
        let magnitude = wanted_n.abs();
        let number = |class| L::splat(number_of::<L>(class));
        let mut class =
            L::select(magnitude.gt(firm_n.abs()), number(DeliveryClass::AboveFirm), number(DeliveryClass::Deliverable));
        class = L::select(soft_n.abs().gt(magnitude), number(DeliveryClass::BelowSoft), class);
        let if_not = L::select(magnitude.gt(L::zero()), number(DeliveryClass::WrongSign), class);
        Delivery(L::select(wanted_n.agrees(rate_m_per_s), class, if_not))
    }

    /// The class of a lane.
    pub fn class(self, lane: usize) -> DeliveryClass {
        let is = |class: &DeliveryClass| self.0.get(lane) == number_of::<L>(*class);
        let low = [DeliveryClass::WrongSign, DeliveryClass::BelowSoft, DeliveryClass::Deliverable];
        low.into_iter().find(is).unwrap_or(DeliveryClass::AboveFirm)
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
        let of = |classes: [DeliveryClass; 4]| Delivery(Lanes(classes.map(number_of::<f64>)));
        let first = of([AboveFirm, WrongSign, BelowSoft, Deliverable]);
        let second = of([AboveFirm, Deliverable, AboveFirm, WrongSign]);
        for _ in 0..200_000 {
            let mut sum = count.ready_for(3);
            [first, second, second].into_iter().for_each(|delivery| sum.add(delivery));
            count.sum = sum;
        }
        let want = [[0.0, 0.0, 6e5], [0.0, 4e5, 0.0], [2e5, 0.0, 4e5], [0.0, 2e5, 0.0]];
        assert_eq!([0, 1, 2, 3].map(|lane| count.totals(lane)), want);
    }
}
