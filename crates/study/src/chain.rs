//! What became of the wanted force at one corner at one moment, link by link, and which links limit it.

use crate::Trace;
use washboard_metrics::{Delivery, DeliveryClass};

/// Currents that part by less than this look alike on screen, A.
const ALIKE_A: f64 = 0.01;

/// What stands between the wanted force and the force given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Link {
    /// Wanted force and motion disagree in sign, so that the soft end acts.
    WrongSign,
    /// Less is wanted than the soft end gives.
    SoftEnd,
    /// More is wanted than the firm end gives.
    FirmEnd,
    /// The current is not the one that the wanted force asks for: the law switches, or end stop, floor or blending act.
    OtherRule,
    /// The current goes no faster.
    Slew,
    /// The command is under way.
    DeadTime,
    /// The valve has not come to the command yet.
    Lag,
}

/// Forces at the wheel and currents of one corner at one moment, from what was wanted to what was given.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chain {
    /// Rate of the suspension, m/s, positive in rebound.
    pub rate_m_per_s: f64,
    /// Wanted force, N, positive in rebound.
    pub wanted_n: f64,
    /// Force of the soft end at this rate, N.
    pub soft_n: f64,
    /// Force of the firm end at this rate, N.
    pub firm_n: f64,
    /// Current that gives the wanted force, within soft and firm end, A.
    pub wanted_a: f64,
    /// After law, end stop, floor and blending, A.
    pub asked_a: f64,
    /// After the slew limit, as sent, A.
    pub command_a: f64,
    /// What has arrived after the dead time, A.
    pub arrived_a: f64,
    /// What flows after the valve's lag, A.
    pub current_a: f64,
    /// Force given, N.
    pub given_n: f64,
    /// Wheel load, N.
    pub wheel_load_n: f64,
    /// The links that limit, in the order of the chain; empty where the wanted force is given.
    pub limits: Vec<Link>,
}

impl Trace {
    /// Index of the last sample up to a time; `None` before the first one and without samples.
    pub fn index_at(&self, time_s: f64) -> Option<usize> {
        // A hair of tolerance, so that the time of a sample finds this sample.
        self.time_s.partition_point(|t| *t <= time_s + 1e-9).checked_sub(1)
    }

    /// The chain of a corner (`front_left`, …) at a sample; `None` where the trace has none of it.
    pub fn chain(&self, corner: &str, index: usize) -> Option<Chain> {
        let of = |name: &str| self.value(&format!("{corner}_{name}"), index);
        let mut chain = Chain {
            rate_m_per_s: of("travel_rate_m_per_s")?,
            wanted_n: of("wanted_force_n")?,
            soft_n: of("soft_force_n")?,
            firm_n: of("firm_force_n")?,
            wanted_a: of("wanted_current_a")?,
            asked_a: of("asked_current_a")?,
            command_a: of("command_a")?,
            arrived_a: of("arrived_command_a")?,
            current_a: of("current_a")?,
            given_n: of("damper_force_n")?,
            wheel_load_n: of("wheel_load_n")?,
            limits: Vec::new(),
        };
        // The law went by the rate it estimates, where it estimates one.
        let sensed = of("estimated_travel_rate_m_per_s").unwrap_or(chain.rate_m_per_s);
        chain.limits = limits(&chain, sensed);
        Some(chain)
    }
}

fn limits(chain: &Chain, rate_m_per_s: f64) -> Vec<Link> {
    let class = Delivery::classify(chain.wanted_n, rate_m_per_s, chain.soft_n, chain.firm_n).class(0);
    let parts = |a: f64, b: f64| (a - b).abs() > ALIKE_A;
    let links = [
        (class == DeliveryClass::WrongSign, Link::WrongSign),
        (class == DeliveryClass::BelowSoft, Link::SoftEnd),
        (class == DeliveryClass::AboveFirm, Link::FirmEnd),
        (parts(chain.asked_a, chain.wanted_a), Link::OtherRule),
        (parts(chain.command_a, chain.asked_a), Link::Slew),
        (parts(chain.arrived_a, chain.command_a), Link::DeadTime),
        (parts(chain.current_a, chain.arrived_a), Link::Lag),
    ];
    links.into_iter().filter(|(acts, _)| *acts).map(|(_, link)| link).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Forces between 100 and 900 N at 0.2 m/s, every current alike.
    fn chain(wanted_n: f64) -> Chain {
        Chain { rate_m_per_s: 0.2, wanted_n, soft_n: 100.0, firm_n: 900.0, ..Chain::default() }
    }

    #[test]
    fn the_damper_gives_only_what_opposes_between_its_ends() {
        let of = |wanted_n: f64| limits(&chain(wanted_n), 0.2);
        assert_eq!(of(500.0), []);
        assert_eq!(of(-500.0), [Link::WrongSign]);
        assert_eq!(of(50.0), [Link::SoftEnd]);
        assert_eq!(of(1200.0), [Link::FirmEnd]);
    }

    #[test]
    fn every_link_after_the_table_is_told_by_the_currents_around_it() {
        let mut c = chain(500.0);
        (c.wanted_a, c.asked_a, c.command_a, c.arrived_a, c.current_a) = (0.5, 0.7, 0.6, 0.4, 0.3);
        assert_eq!(limits(&c, 0.2), [Link::OtherRule, Link::Slew, Link::DeadTime, Link::Lag]);
        // What looks alike on screen limits nothing.
        (c.wanted_a, c.asked_a, c.command_a, c.arrived_a, c.current_a) = (0.5, 0.505, 0.5, 0.505, 0.5);
        assert_eq!(limits(&c, 0.2), []);
    }

    #[test]
    fn a_time_finds_its_sample() {
        let trace = Trace::of_channels(vec![0.0, 0.001, 0.002], Vec::new());
        assert_eq!(trace.index_at(-0.1), None);
        assert_eq!(trace.index_at(0.001), Some(1));
        assert_eq!(trace.index_at(0.0015), Some(1));
        assert_eq!(trace.index_at(9.0), Some(2));
        assert_eq!(Trace::default().index_at(0.0), None);
    }
}
