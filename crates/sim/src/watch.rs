//! What an onlooker of the loop is shown at every watched sample.

use crate::drive::Moment;
use washboard_car::plant::CornerForces;
use washboard_car::{Motion, Plant};
use washboard_control::{Controller, CornerCommand, Sensors};
use washboard_signal::Lane;

/// One sample of all runs of a block.
#[derive(Debug)]
pub struct Sample<'s, 'a, L: Lane, const C: usize> {
    /// Plant step, from 0.
    pub step: usize,
    /// Time, s.
    pub time_s: f64,
    /// The car.
    pub plant: &'s Plant<C, L::Number>,
    /// The controllers, with their levels.
    pub controller: &'s Controller<'a, L, C>,
    /// Road, speed and accelerations of the car.
    pub moment: &'s Moment<L, C>,
    /// Positions, m and rad.
    pub position: &'s Motion<L, C>,
    /// Rates, m/s and rad/s.
    pub rate: &'s Motion<L, C>,
    /// Accelerations, m/s^2 and rad/s^2.
    pub acceleration: &'s Motion<L, C>,
    /// Rate of the suspension at each corner, m/s, positive in rebound.
    pub corner_rate: &'s [L; C],
    /// What the law went by at the last control sample, where that is estimated from the sensors.
    pub estimated: Option<&'s Sensors<L, C>>,
    /// Damper force at the wheel, N, positive in rebound.
    pub damper_n: &'s [L; C],
    /// Forces at each corner.
    pub forces: &'s [CornerForces<L>; C],
    /// Current in each damper, A.
    pub current_a: &'s [L; C],
    /// The last command at each corner.
    pub commands: &'s [CornerCommand<L>; C],
    /// The command that has arrived at each valve after its dead time, A.
    pub arrived_a: [L; C],
}

/// An onlooker.
pub trait Watch<L: Lane, const C: usize> {
    /// Takes one sample.
    fn sample(&mut self, sample: &Sample<'_, '_, L, C>);
}
