//! Commands on their way to the valves: each arrives its corner's dead time after its sample.
//!
//! A dead time that is no whole number of plant steps arrives within a step; the lag before and after it is exact, so that
//! results do not depend on how the step divides it.

use crate::clock::Clock;
use washboard_car::Damper;
use washboard_signal::{Lane, for_each};

/// The commands under way, and those in force.
#[derive(Clone, Debug)]
pub(crate) struct Delay<L, const C: usize> {
    /// What is left of the dead time beyond whole plant steps, as a share of a step, 0 to below 1.
    rest: [f64; C],
    /// Some command arrives within a step.
    any_within: bool,
    /// All corners have the same dead time.
    alike: bool,
    substeps: usize,
    /// Commands sent, the oldest overwritten first.
    ring: Vec<[L; C]>,
    /// Where the next one goes.
    sent: usize,
    /// Plant step of each corner's next arrival, and where that command lies.
    next_step: [usize; C],
    next_slot: [usize; C],
    at_end: [L; C],
    at_end_before: [L; C],
}

impl<L: Lane, const C: usize> Delay<L, C> {
    /// Nothing sent yet: every command is its soft end.
    pub fn new(dampers: &[&Damper; C], clock: &Clock, soft_a: [L; C]) -> Self {
        let steps = dampers.map(|d| d.dead_time_s / clock.step_s);
        // A hair of tolerance, so that 2 ms and two steps of 1 ms agree in spite of rounding.
        let whole_steps = steps.map(|s| (s + 1e-6).floor() as usize);
        let rest = std::array::from_fn(|c| {
            let rest = steps[c] - whole_steps[c] as f64;
            if rest < 1e-6 { 0.0 } else { rest }
        });
        let longest = whole_steps.iter().copied().max().unwrap_or(0) + 1;
        Delay {
            any_within: rest.iter().any(|&rest| rest > 0.0),
            alike: whole_steps.iter().all(|&steps| steps == whole_steps[0]),
            rest,
            substeps: clock.substeps,
            ring: vec![soft_a; longest / clock.substeps + 2],
            sent: 0,
            next_step: whole_steps,
            next_slot: [0; C],
            at_end: soft_a,
            at_end_before: soft_a,
        }
    }

    /// Share of a step by which a corner's commands arrive within it.
    pub fn rest(&self, c: usize) -> f64 {
        self.rest[c]
    }

    /// Takes the commands of the next sample.
    #[inline(always)]
    pub fn send(&mut self, command: [L; C]) {
        self.ring[self.sent] = command;
        self.sent = self.after(self.sent);
    }

    /// Goes on to a plant step; steps follow one another from 0 on.
    #[inline(always)]
    pub fn go_on(&mut self, step: usize) {
        if self.any_within {
            self.at_end_before = self.at_end;
        }
        if self.alike {
            if step == self.next_step[0] {
                self.at_end = self.ring[self.next_slot[0]];
                self.next_step[0] += self.substeps;
                self.next_slot[0] = self.after(self.next_slot[0]);
            }
            return;
        }
        for_each!(c in C => if step == self.next_step[c] {
            self.at_end[c] = self.ring[self.next_slot[c]][c];
            self.next_step[c] += self.substeps;
            self.next_slot[c] = self.after(self.next_slot[c]);
        });
    }

    #[inline(always)]
    fn after(&self, slot: usize) -> usize {
        if slot + 1 == self.ring.len() { 0 } else { slot + 1 }
    }

    /// The command in force at the start of the step.
    #[inline(always)]
    pub fn at_start(&self, c: usize) -> L {
        if self.any_within && self.rest[c] > 0.0 { self.at_end_before[c] } else { self.at_end[c] }
    }

    /// The command in force at the end of the step.
    #[inline(always)]
    pub fn at_end(&self, c: usize) -> L {
        self.at_end[c]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_car::DamperTable;

    #[test]
    fn commands_arrive_after_their_dead_time() {
        let table = DamperTable::new(vec![-1.0, 1.0], vec![0.0, 1.0], &[vec![-1.0, -2.0], vec![1.0, 2.0]]);
        for (dead_time_s, substeps) in [(0.0, 1), (0.002, 1), (0.0025, 1), (0.0025, 3), (0.05, 2), (0.0004, 4)] {
            let damper = Damper { table: table.clone(), in_car: table.clone(), dead_time_s, rise_s: 0.0, fall_s: 0.0 };
            let clock = Clock::with_substeps(1000.0, substeps);
            let mut delay = Delay::<f64, 1>::new(&[&damper], &clock, [-1.0]);
            for step in 0..400 {
                if step % substeps == 0 {
                    delay.send([(step / substeps) as f64]);
                }
                delay.go_on(step);
                // The newest sample whose dead time is over at the start (just after it begins) and end of the step.
                let newest = |t_s: f64| ((t_s - dead_time_s) * 1000.0 + 1e-6).floor().max(-1.0);
                let start_s = step as f64 * clock.step_s;
                assert_eq!(delay.at_start(0), newest(start_s), "{dead_time_s} s, step {step} of {substeps}");
                assert_eq!(delay.at_end(0), newest(start_s + 0.999 * clock.step_s), "{dead_time_s} s, step {step}");
            }
        }
    }
}
