//! Whether a damper could deliver the wanted force: wrong sign, below soft, deliverable, above firm.

use washboard_signal::Lane;

/// Where the wanted force lies, as four flags of which exactly one is 1 in each lane and the others 0.
#[derive(Clone, Copy, Debug, Default)]
pub struct Delivery<L> {
    /// The wanted force does not oppose the motion (or there is no motion to oppose): the soft end acts.
    pub wrong_sign: L,
    /// Less force is wanted than the soft end gives.
    pub below_soft: L,
    /// Between the two ends.
    pub deliverable: L,
    /// More force is wanted than the firm end gives.
    pub above_firm: L,
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
        let (one, zero) = (L::splat(1.0), L::zero());
        let magnitude = wanted_n.abs();
        let opposes = L::select((wanted_n * rate_m_per_s).gt(zero), one, zero);
        let wrong_sign = L::select(magnitude.gt(zero), one - opposes, zero);
        let right = one - wrong_sign;
        let below_soft = L::select(soft_n.abs().gt(magnitude), right, zero);
        let above_firm = L::select(magnitude.gt(firm_n.abs()), right - below_soft, zero);
        Delivery { wrong_sign, below_soft, deliverable: right - below_soft - above_firm, above_firm }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_signal::Lanes;

    #[test]
    fn each_case_has_exactly_one_class() {
        // Wanted, rate, soft, firm; the class that the definition gives.
        for (wanted, rate, soft, firm, class) in [
            (500.0, 0.2, 100.0, 900.0, 2),
            (-500.0, -0.2, -100.0, -900.0, 2),
            (500.0, -0.2, -100.0, -900.0, 0),
            (-500.0, 0.2, 100.0, 900.0, 0),
            (50.0, 0.2, 100.0, 900.0, 1),
            (0.0, 0.2, 100.0, 900.0, 1),
            (1000.0, 0.2, 100.0, 900.0, 3),
            (100.0, 0.2, 100.0, 900.0, 2),
            (900.0, 0.2, 100.0, 900.0, 2),
            (500.0, 0.0, 0.0, 0.0, 0),
            (0.0, 0.0, 0.0, 0.0, 2),
            (300.0, 0.2, 300.0, 300.0, 2),
        ] {
            let d = Delivery::classify(wanted, rate, soft, firm);
            let flags = [d.wrong_sign, d.below_soft, d.deliverable, d.above_firm];
            let expected: [f64; 4] = std::array::from_fn(|i| if i == class { 1.0 } else { 0.0 });
            assert_eq!(flags, expected, "{wanted} N at {rate} m/s between {soft} and {firm} N");
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
        assert_eq!(d.deliverable.0, [1.0, 0.0, 0.0, 0.0]);
        assert_eq!(d.wrong_sign.0, [0.0, 1.0, 0.0, 0.0]);
        assert_eq!(d.below_soft.0, [0.0, 0.0, 1.0, 0.0]);
        assert_eq!(d.above_firm.0, [0.0, 0.0, 0.0, 1.0]);
    }
}
