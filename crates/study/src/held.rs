//! What a control unit really holds: a finite inverse damper table in the place of the exact inversion.

use crate::{Study, StudyFault};
use washboard_signal::table::Table;

/// A finite inverse damper table: which current a control unit commands.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldInverse {
    /// Row breakpoints: damper velocity, m/s, rebound positive.
    pub velocity_m_per_s: Vec<f64>,
    /// Column breakpoints: wanted force at the damper, N, rebound positive.
    pub force_n: Vec<f64>,
    /// Currents, A: one row a velocity.
    pub current_a: Vec<Vec<f64>>,
}

impl HeldInverse {
    fn check(&self) -> Result<(), StudyFault> {
        let rises = |axis: &[f64]| !axis.is_empty() && axis.windows(2).all(|pair| pair[0] < pair[1]);
        let numbers = self.velocity_m_per_s.iter().chain(&self.force_n).chain(self.current_a.iter().flatten());
        let is_full = self.current_a.len() == self.velocity_m_per_s.len()
            && self.current_a.iter().all(|row| row.len() == self.force_n.len());
        if rises(&self.velocity_m_per_s) && rises(&self.force_n) && is_full && numbers.copied().all(f64::is_finite) {
            Ok(())
        } else {
            let words = "The inverse damper table of a control unit must be full, of finite numbers over rising axes.";
            Err(StudyFault::Document(words.to_owned()))
        }
    }
}

impl Study {
    /// Gives a mode (index) the finite inverse damper tables of front and rear axle that a control unit holds, bilinear and
    /// held at the edges; without them the damper tables are inverted exactly.
    ///
    /// # Errors
    /// A sentence where a table is not rectangular over rising axes of finite numbers.
    pub fn with_inverse(mut self, mode: usize, held: [HeldInverse; 2]) -> Result<Self, StudyFault> {
        for table in &held {
            table.check()?;
        }
        if let Some(calibration) = self.calibrations.get_mut(mode) {
            let table = |held: HeldInverse| Table::new(held.velocity_m_per_s, held.force_n, &held.current_a);
            calibration.inverse = Some(held.map(table));
        }
        Ok(self)
    }
}
