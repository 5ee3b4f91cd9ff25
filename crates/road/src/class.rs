//! Road classes of ISO 8608: displacement PSD at the reference wavenumber of 0.1 cycles/m.
//!
//! Geometric means 16e-6 * 4^i m^3 for A to H (read in public material); bounds half and twice the mean (from memory);
//! class A is open below and class H above.

/// Number of classes, A to H.
pub const CLASSES: usize = 8;

/// Letters of the classes, smoothest first.
pub const CLASS_LETTERS: [char; CLASSES] = ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H'];

const MEAN_A_M3: f64 = 16e-6;

/// Displacement PSD of a class at the reference wavenumber, one-sided, m^3.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PsdBounds {
    /// Lower bound; 0 for class A, which is open below.
    pub lower_m3: f64,
    /// Geometric mean.
    pub mean_m3: f64,
    /// Upper bound; infinite for class H, which is open above.
    pub upper_m3: f64,
}

/// Geometric mean of a class's displacement PSD at the reference wavenumber, one-sided, m^3.
///
/// `class_index` is 0 for A to 7 for H; a larger one counts as H.
pub fn class_psd_at_n0_m3(class_index: usize) -> f64 {
    // Powers of four are exact, so the means are the table's values to the last bit but one.
    MEAN_A_M3 * f64::from(1_u32 << (2 * class_index.min(CLASSES - 1)))
}

/// Bounds and mean of a class, `class_index` as in [`class_psd_at_n0_m3`].
pub fn psd_bounds(class_index: usize) -> PsdBounds {
    let mean_m3 = class_psd_at_n0_m3(class_index);
    PsdBounds {
        lower_m3: if class_index == 0 { 0.0 } else { mean_m3 / 2.0 },
        mean_m3,
        upper_m3: if class_index >= CLASSES - 1 { f64::INFINITY } else { mean_m3 * 2.0 },
    }
}

/// Index of the class that a displacement PSD at the reference wavenumber (m^3, one-sided) falls into, 0 for A to 7 for
/// H; a value on a bound belongs to the rougher class.
pub fn class_of(psd_at_n0_m3: f64) -> usize {
    (0..CLASSES).find(|&index| psd_at_n0_m3 < psd_bounds(index).upper_m3).unwrap_or(CLASSES - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// checks.json 01_iso8608, `Gd_mean_A_to_H` and `Gd_lower_B_to_H` (class table of ISO 8608:2016 as read in public
    /// material, bounds from memory).
    #[test]
    fn means_and_bounds_are_those_of_the_class_table() {
        let mean = [1.6e-05, 6.4e-05, 0.000256, 0.001024, 0.004096, 0.016384, 0.065536, 0.262144];
        let lower_from_b = [3.2e-05, 0.000128, 0.000512, 0.002048, 0.008192, 0.032768, 0.131072];
        for index in 0..CLASSES {
            let what = format!("density at 0.1 cycles/m of class {}", CLASS_LETTERS[index]);
            washboard_checks::relative(what, "checks 01: ISO 8608:2016", class_psd_at_n0_m3(index), mean[index], 1e-12);
            assert_relative_eq!(psd_bounds(index).mean_m3, mean[index], max_relative = 1e-12);
        }
        for index in 1..CLASSES {
            let what = format!("lower bound of class {}", CLASS_LETTERS[index]);
            let (source, bound) = ("checks 01: class bounds, from memory", psd_bounds(index).lower_m3);
            washboard_checks::relative(what, source, bound, lower_from_b[index - 1], 1e-12);
            assert_relative_eq!(psd_bounds(index - 1).upper_m3, lower_from_b[index - 1], max_relative = 1e-12);
        }
        assert_eq!(psd_bounds(0).lower_m3, 0.0);
        assert_eq!(psd_bounds(7).upper_m3, f64::INFINITY);
    }

    #[test]
    fn a_density_finds_its_class() {
        for index in 0..CLASSES {
            let bounds = psd_bounds(index);
            assert_eq!(class_of(bounds.mean_m3), index);
            assert_eq!(class_of(bounds.lower_m3), index, "the lower bound belongs to the class");
        }
        assert_eq!(class_of(3.199e-5), 0);
        assert_eq!(class_of(3.201e-5), 1);
        assert_eq!(class_of(1.0), 7);
        assert_eq!(class_of(0.0), 0);
    }
}
