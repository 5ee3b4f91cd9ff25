//! How alike two parallel tracks of one road are, wavenumber by wavenumber.

use std::f64::consts::TAU;

/// Magnitude of the cross-spectrum of two tracks `track_m` apart over their direct spectrum, at `cycles_per_m`.
///
/// The road is an isotropic surface of waviness 2: X K1(X) with X = 2 pi n b and K1 the modified Bessel function of the
/// second kind (Kamash and Robson 1978; formula from memory, checked by integrating the isotropic two-dimensional
/// spectrum). Not squared: the coherence function of signal analysis is the square of this. K1 is correctly rounded.
pub fn track_coherence(cycles_per_m: f64, track_m: f64) -> f64 {
    let x = TAU * cycles_per_m.abs() * track_m.abs();
    // X K1(X) tends to 1 as X tends to 0, where K1 itself grows without bound.
    if x < 1e-12 { 1.0 } else { (x * pxfm::f_k1(x)).clamp(0.0, 1.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// checks.json 02_tracks_wheelbase, b = 1.5 m (Kamash and Robson 1978; verified there by numerical integration).
    #[test]
    fn coherence_is_that_of_an_isotropic_surface() {
        for (cycles_per_m, gamma) in [
            (0.01, 0.9867564207620041),
            (0.05, 0.8414695658827397),
            (0.1, 0.6264186016060478),
            (0.2, 0.3070570693777836),
            (0.5, 0.02627556295547465),
            (1.0, 0.00032248164012539725),
        ] {
            let what = format!("coherence of an isotropic surface at {cycles_per_m} cycles/m");
            let source = "checks 02: X K1(X) (Kamash and Robson 1978)";
            washboard_checks::relative(what, source, track_coherence(cycles_per_m, 1.5), gamma, 1e-12);
        }
    }

    #[test]
    fn one_and_the_same_track_is_fully_coherent() {
        assert_eq!(track_coherence(1.0, 0.0), 1.0);
        assert_eq!(track_coherence(0.0, 1.5), 1.0);
        assert_eq!(track_coherence(1e4, 1.5), 0.0);
    }
}
