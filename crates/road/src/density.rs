//! Displacement density of a profile over wavenumber, smoothed in bands and fitted by a straight line, after ISO 8608.
//!
//! **Density.** Welch's method: even samples at the profile's own spacing (its median where it is not even), straight
//! line through first trend taken off, Hann windows of 400 m or the whole record where that is shorter, half overlapping.
//! The two lowest bins hold what is left of trend and window and are left out.
//!
//! **Smoothing.** Mean density over octaves up to a centre of 1/32 cycles/m, third octaves up to 1/4, twelfth octaves above
//! (ISO 8608, from memory); bins that an edge cuts count by the part inside.
//!
//! **Fit.** Least squares of the logarithm of density over that of wavenumber, one point a band, all bands that lie
//! between 0.011 and 2.83 cycles/m and below four fifths of half the sample rate: density (n/n0)^-waviness with
//! n0 = 0.1 cycles/m.

use crate::REFERENCE_CYCLES_PER_M;
use washboard_signal::resample::{evenly, median_step};
use washboard_signal::spectrum::{SpectrumError, Welch};

/// Lowest wavenumber of the fit, cycles/m.
pub const LOWEST_CYCLES_PER_M: f64 = 0.011;
/// Highest wavenumber of the fit, cycles/m.
pub const HIGHEST_CYCLES_PER_M: f64 = 2.83;
/// Length of a window, m.
const WINDOW_M: f64 = 400.0;
/// Share of half the sample rate up to which a band is trusted: above, waves shorter than two samples fold in.
const TRUSTED_SHARE: f64 = 0.8;
/// Highest wavenumber that the bin by bin density is given for, cycles/m.
const SHOWN_TO_CYCLES_PER_M: f64 = 10.0;
/// Fewest bands that a line is fitted through.
const FEWEST_BANDS: usize = 6;
/// Most even samples for every sample of an uneven profile.
const MOST_RESAMPLED: f64 = 4.0;

/// Displacement density of one track.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Density {
    /// Wavenumber of each bin, cycles/m.
    pub wavenumber_cycles_per_m: Vec<f64>,
    /// One-sided displacement density of each bin, m^3.
    pub density_m3: Vec<f64>,
    /// Smoothed, one entry a band.
    pub bands: Vec<DensityBand>,
    /// The straight line; `None` where fewer than six bands can be fitted or the road is flat.
    pub fit: Option<DensityFit>,
}

/// Mean density in a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DensityBand {
    /// Centre, cycles/m.
    pub centre_cycles_per_m: f64,
    /// Lower edge, cycles/m.
    pub lower_cycles_per_m: f64,
    /// Upper edge, cycles/m.
    pub upper_cycles_per_m: f64,
    /// Mean one-sided displacement density, m^3.
    pub density_m3: f64,
}

/// The straight line in double logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DensityFit {
    /// Density of the line at 0.1 cycles/m, m^3.
    pub psd_at_n0_m3: f64,
    /// Fall of the line: 2 means a hundredth of the density at ten times the wavenumber.
    pub waviness: f64,
    /// Lower edge of the lowest band fitted, cycles/m.
    pub from_cycles_per_m: f64,
    /// Upper edge of the highest band fitted, cycles/m.
    pub to_cycles_per_m: f64,
    /// Factor by which the density of the line at 0.1 cycles/m may be off either way, 95 %: the bands scatter about the
    /// line as if each were drawn by itself.
    pub uncertainty_factor: f64,
    /// Factor by which the bands lie off the line, r.m.s. of the logarithm.
    pub scatter_factor: f64,
}

impl DensityFit {
    /// Density of the line, m^3.
    pub fn at(&self, wavenumber_cycles_per_m: f64) -> f64 {
        self.psd_at_n0_m3 * (wavenumber_cycles_per_m / REFERENCE_CYCLES_PER_M).powf(-self.waviness)
    }
}

/// Density of a track of a profile. Distances strictly rising and as many elevations, in m, all finite.
///
/// # Errors
/// If there are fewer than four samples.
pub fn density(distance_m: &[f64], elevation_m: &[f64]) -> Result<Density, SpectrumError> {
    let count = distance_m.len().min(elevation_m.len());
    let short = Err(SpectrumError::TooShort { samples: count, segment: 4 });
    let Some(median_m) = median_step(distance_m) else { return short };
    let length_m = distance_m[count - 1] - distance_m[0];
    let spacing_m = median_m.max(length_m / (MOST_RESAMPLED * count as f64));
    let mut even = evenly(distance_m, elevation_m, spacing_m);
    if even.len() < 4 {
        return short;
    }
    take_trend_off(&mut even);
    let segment = even.len().min((WINDOW_M / spacing_m).round().max(4.0) as usize);
    let mut plan = Welch::new(segment, 1.0 / spacing_m)?;
    let density = plan.psd(&even)?;
    let all = plan.frequencies_hz();
    let bins = Bins { step: all[1], density: &density };
    let bands = bands()
        .filter(|b| b.lower >= 2.0 * bins.step && b.upper <= TRUSTED_SHARE * 0.5 / spacing_m)
        .map(|b| DensityBand {
            centre_cycles_per_m: b.centre,
            lower_cycles_per_m: b.lower,
            upper_cycles_per_m: b.upper,
            density_m3: bins.mean(b.lower, b.upper),
        })
        .collect::<Vec<_>>();
    let fit = fit(&bands);
    let shown = all.iter().zip(&density).skip(2).take_while(|(n, _)| **n <= SHOWN_TO_CYCLES_PER_M);
    let (wavenumber_cycles_per_m, density_m3) = shown.unzip();
    Ok(Density { wavenumber_cycles_per_m, density_m3, bands, fit })
}

/// Takes off the straight line of least squares.
fn take_trend_off(values: &mut [f64]) {
    let n = values.len() as f64;
    let middle = 0.5 * (n - 1.0);
    let mean = values.iter().sum::<f64>() / n;
    let (mut cross, mut square) = (0.0, 0.0);
    for (i, value) in values.iter().enumerate() {
        let x = i as f64 - middle;
        cross += x * value;
        square += x * x;
    }
    let slope = if square > 0.0 { cross / square } else { 0.0 };
    for (i, value) in values.iter_mut().enumerate() {
        *value -= mean + slope * (i as f64 - middle);
    }
}

/// Edges and centre of a band.
struct Edges {
    lower: f64,
    centre: f64,
    upper: f64,
}

/// The bands of ISO 8608: octaves, third octaves, twelfth octaves around whole fractions of powers of two.
fn bands() -> impl Iterator<Item = Edges> {
    let row = |share: f64, from: i32, to: i32| {
        (from..=to).map(move |k| {
            let at = |shift: f64| ((f64::from(k) + shift) / share).exp2();
            Edges { lower: at(-0.5), centre: at(0.0), upper: at(0.5) }
        })
    };
    row(1.0, -12, -5).chain(row(3.0, -13, -6)).chain(row(12.0, -22, 40))
}

/// A density by bins, each as wide as the distance between two.
struct Bins<'a> {
    step: f64,
    density: &'a [f64],
}

impl Bins<'_> {
    /// Mean over a band; bins that an edge cuts count by the part inside.
    fn mean(&self, lower: f64, upper: f64) -> f64 {
        let (from, to) = (lower / self.step, upper / self.step);
        let (first, last) = ((from + 0.5).floor() as usize, (to + 0.5).floor() as usize);
        let (mut sum, mut width) = (0.0, 0.0);
        for k in first..=last.min(self.density.len() - 1) {
            let part = (to.min(k as f64 + 0.5) - from.max(k as f64 - 0.5)).max(0.0);
            sum += part * self.density[k];
            width += part;
        }
        if width > 0.0 { sum / width } else { 0.0 }
    }
}

/// The line through the bands within the fit's range.
fn fit(bands: &[DensityBand]) -> Option<DensityFit> {
    // Edges are powers of two and lie within half a per cent of the range's ends.
    let inside: Vec<&DensityBand> = bands
        .iter()
        .filter(|b| b.lower_cycles_per_m >= 0.995 * LOWEST_CYCLES_PER_M)
        .filter(|b| b.upper_cycles_per_m <= 1.005 * HIGHEST_CYCLES_PER_M)
        .collect();
    if inside.len() < FEWEST_BANDS || inside.iter().any(|b| b.density_m3 <= 0.0) {
        return None;
    }
    let count = inside.len() as f64;
    let points =
        || inside.iter().map(|b| ((b.centre_cycles_per_m / REFERENCE_CYCLES_PER_M).log10(), b.density_m3.log10()));
    let (sx, sy) = points().fold((0.0, 0.0), |(sx, sy), (x, y)| (sx + x, sy + y));
    let (mx, my) = (sx / count, sy / count);
    let (xx, xy) = points().fold((0.0, 0.0), |(xx, xy), (x, y)| (xx + (x - mx) * (x - mx), xy + (x - mx) * (y - my)));
    let slope = xy / xx;
    let off = points().map(|(x, y)| (y - my - slope * (x - mx)).powi(2)).sum::<f64>();
    // Standard error of the line at n0, where the abscissa is zero; 2 is Student's 95 % for the usual 50 bands.
    let error = 2.0 * (off / (count - 2.0) * (1.0 / count + mx * mx / xx)).sqrt();
    Some(DensityFit {
        uncertainty_factor: 10f64.powf(error),
        scatter_factor: 10f64.powf((off / count).sqrt()),
        psd_at_n0_m3: 10f64.powf(my - slope * mx),
        waviness: -slope,
        from_cycles_per_m: inside.first().map_or(0.0, |b| b.lower_cycles_per_m),
        to_cycles_per_m: inside.last().map_or(0.0, |b| b.upper_cycles_per_m),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Event, Geometry, Manoeuvre, RandomRoad, Surface, class_of, class_psd_at_n0_m3, heights};

    fn road(class: usize, seed: u64, length_m: f64) -> (Vec<f64>, Vec<f64>) {
        let road = RandomRoad {
            psd_at_n0_m3: class_psd_at_n0_m3(class),
            seed,
            from_cycles_per_m: 0.001,
            to_cycles_per_m: 6.0,
            ramp_m: 0.0,
        };
        let event = Event {
            speed_m_per_s: 20.0,
            duration_s: length_m / 20.0,
            surface: Surface::Random(road),
            manoeuvre: Manoeuvre::None,
        };
        let drawn = heights(&event, &Geometry { wheelbase_m: 2.7, track_m: 1.5, contact_length_m: [0.0; 2] }, 0.05);
        (drawn.distance_m, drawn.left_m)
    }

    #[test]
    fn a_road_of_a_class_comes_back_with_its_density_and_waviness() {
        // The road is drawn as a sum of sinusoids of exactly the class's density, waviness 2.
        for class in 0..8 {
            let (x, z) = road(class, 11 + class as u64, 2000.0);
            let found = density(&x, &z).unwrap().fit.unwrap();
            let want = class_psd_at_n0_m3(class);
            assert!((found.psd_at_n0_m3 / want - 1.0).abs() < 0.1, "{} against {want}", found.psd_at_n0_m3);
            let off = (found.psd_at_n0_m3 / want).max(want / found.psd_at_n0_m3);
            assert!(off < found.uncertainty_factor && found.uncertainty_factor < 1.2, "{}", found.uncertainty_factor);
            assert!((found.waviness - 2.0).abs() < 0.05, "{}", found.waviness);
            assert_eq!(class_of(found.psd_at_n0_m3), class);
            assert!(found.from_cycles_per_m < 0.0115 && found.to_cycles_per_m > 2.7);
        }
    }

    #[test]
    fn the_line_is_exact_for_a_line() {
        let line = DensityFit {
            psd_at_n0_m3: 3e-5,
            waviness: 2.4,
            from_cycles_per_m: 0.0,
            to_cycles_per_m: 0.0,
            uncertainty_factor: 1.0,
            scatter_factor: 1.0,
        };
        let bands: Vec<DensityBand> = bands()
            .map(|b| DensityBand {
                centre_cycles_per_m: b.centre,
                lower_cycles_per_m: b.lower,
                upper_cycles_per_m: b.upper,
                density_m3: line.at(b.centre),
            })
            .collect();
        let found = fit(&bands).unwrap();
        assert!((found.psd_at_n0_m3 / 3e-5 - 1.0).abs() < 1e-12 && (found.waviness - 2.4).abs() < 1e-12);
        assert!((found.uncertainty_factor - 1.0).abs() < 1e-6 && (found.scatter_factor - 1.0).abs() < 1e-6);
        assert_eq!(fit(&bands[..4]), None);
    }

    #[test]
    fn bands_follow_each_other_and_a_cut_bin_counts_in_part() {
        // ISO 8608 (from memory): octaves end where third octaves begin; 0.25 is the last third octave.
        let all: Vec<Edges> = bands().collect();
        assert!((all[7].centre - 0.03125).abs() < 1e-12 && (all[7].upper - all[8].lower).abs() < 1e-12);
        assert!((all[15].centre - 0.25).abs() < 1e-12);
        assert!((all[16].centre - 0.2806).abs() < 1e-4);
        let bins = Bins { step: 1.0, density: &[9.0, 1.0, 2.0, 4.0, 8.0] };
        assert!((bins.mean(1.0, 3.0) - (0.5 + 2.0 + 2.0) / 2.0).abs() < 1e-12);
    }

    #[test]
    fn hills_and_level_do_not_show_and_a_flat_road_has_no_class() {
        let (x, z) = road(2, 3, 1000.0);
        let tilted: Vec<f64> = x.iter().zip(&z).map(|(x, z)| 120.0 + 0.04 * x + z).collect();
        let (plain, moved) = (density(&x, &z).unwrap(), density(&x, &tilted).unwrap());
        let (a, b) = (plain.fit.unwrap(), moved.fit.unwrap());
        assert!((a.psd_at_n0_m3 / b.psd_at_n0_m3 - 1.0).abs() < 1e-6 && (a.waviness - b.waviness).abs() < 1e-6);
        assert_eq!(density(&x, &vec![0.0; x.len()]).unwrap().fit, None);
        assert!(density(&x[..2], &z[..2]).is_err());
    }
}
