//! A road to look at: height over distance, displacement density against the classes of ISO 8608, roughness index.

use crate::{Cancelled, Progress, Study};
use washboard_road::density::{Density, DensityFit, HIGHEST_CYCLES_PER_M, LOWEST_CYCLES_PER_M, density};
use washboard_road::roughness::{START_M, roughness_index_m_per_km};
use washboard_road::{CLASS_LETTERS, Elevation, Event, Profile, Surface, class_of, heights, psd_bounds};
use washboard_signal::resample::{median_step, unevenness};

/// Most points of a height curve; longer ones keep the highest and lowest of every stretch.
pub const MOST_HEIGHTS: usize = 4000;
/// Spacing at which the road of an event is sampled, m.
const SPACING_M: f64 = 0.05;
/// Spacing at which obstacles are sampled, m: rails, joints and patches have edges of a centimetre.
const FINE_SPACING_M: f64 = 0.0025;
/// A place whose height lies closer than this to the line between its neighbours says nothing, m.
const STRAIGHT_M: f64 = 1e-9;
/// Bands that scatter by more than this factor about the line are said to be no road of one class.
const SCATTERED_FACTOR: f64 = 3.0;
/// Steps that differ by more than this share from their median are said to be uneven.
const UNEVEN_SHARE: f64 = 0.01;

/// A road, track by track.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoadPicture {
    /// One track named `elevation`, or `left` and `right`.
    pub tracks: Vec<TrackPicture>,
    /// The classes of ISO 8608, smoothest first, to be drawn behind the densities.
    pub classes: Vec<ClassBounds>,
    /// How far an event drives on it, m from distance 0; absent for a profile by itself.
    pub driven_m: Option<f64>,
    /// What was left out or done to the samples, one sentence each.
    pub remarks: Vec<String>,
}

/// One track.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrackPicture {
    /// `elevation`, `left` or `right`.
    pub name: &'static str,
    /// Distance, m; at most [`MOST_HEIGHTS`] points.
    pub distance_m: Vec<f64>,
    /// Height there, m.
    pub height_m: Vec<f64>,
    /// Samples behind the figures.
    pub samples: usize,
    /// Length behind the figures, m.
    pub length_m: f64,
    /// Median spacing of the samples, m.
    pub spacing_m: f64,
    /// Roughness index after Sayers and ASTM E1926, m/km; absent below 11 m, and where the road is no profile but a single
    /// obstacle or a sine of time.
    pub roughness_index_m_per_km: Option<f64>,
    /// Displacement density; absent where the roughness index is, and for a flat road.
    pub density: Option<TrackDensity>,
}

/// Displacement density of a track.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrackDensity {
    /// Wavenumber of each bin, cycles/m.
    pub wavenumber_cycles_per_m: Vec<f64>,
    /// One-sided displacement density of each bin, m³.
    pub density_m3: Vec<f64>,
    /// Centre of each band of ISO 8608, cycles/m.
    pub band_cycles_per_m: Vec<f64>,
    /// Mean density in each band, m³.
    pub band_density_m3: Vec<f64>,
    /// The straight line through the bands; absent where there are too few of them.
    pub fit: Option<TrackFit>,
}

/// The straight line in double logarithm, and the class it gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackFit {
    /// Density of the line at 0.1 cycles/m, m³.
    pub psd_at_n0_m3: f64,
    /// Fall of the line.
    pub waviness: f64,
    /// Class by the density of the line at 0.1 cycles/m, A to H.
    pub class: char,
    /// Where the line was fitted from, cycles/m.
    pub from_cycles_per_m: f64,
    /// Where the line was fitted to, cycles/m.
    pub to_cycles_per_m: f64,
    /// Factor by which the density at 0.1 cycles/m may be off either way, 95 %.
    pub uncertainty_factor: f64,
    /// Factor by which the bands lie off the line, r.m.s.
    pub scatter_factor: f64,
}

impl TrackFit {
    fn new(fit: DensityFit) -> Self {
        TrackFit {
            psd_at_n0_m3: fit.psd_at_n0_m3,
            waviness: fit.waviness,
            class: CLASS_LETTERS[class_of(fit.psd_at_n0_m3)],
            from_cycles_per_m: fit.from_cycles_per_m,
            to_cycles_per_m: fit.to_cycles_per_m,
            uncertainty_factor: fit.uncertainty_factor,
            scatter_factor: fit.scatter_factor,
        }
    }

    /// Density of the line at a wavenumber, m³.
    pub fn at(&self, wavenumber_cycles_per_m: f64) -> f64 {
        self.psd_at_n0_m3 * (wavenumber_cycles_per_m / washboard_road::REFERENCE_CYCLES_PER_M).powf(-self.waviness)
    }
}

/// Displacement density of a class at 0.1 cycles/m; it falls with the square of the wavenumber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassBounds {
    /// A to H.
    pub class: char,
    /// Lower bound, m³; class A has none.
    pub lower_m3: Option<f64>,
    /// Geometric mean, m³.
    pub mean_m3: f64,
    /// Upper bound, m³; class H has none.
    pub upper_m3: Option<f64>,
}

impl ClassBounds {
    /// A density at 0.1 cycles/m carried to another wavenumber with waviness 2, m³.
    pub fn carried(density_at_n0_m3: f64, wavenumber_cycles_per_m: f64) -> f64 {
        density_at_n0_m3 * (wavenumber_cycles_per_m / washboard_road::REFERENCE_CYCLES_PER_M).powi(-2)
    }
}

/// The classes of ISO 8608, smoothest first.
pub fn class_bounds() -> Vec<ClassBounds> {
    let of = |(index, class): (usize, char)| {
        let bounds = psd_bounds(index);
        ClassBounds {
            class,
            lower_m3: (bounds.lower_m3 > 0.0).then_some(bounds.lower_m3),
            mean_m3: bounds.mean_m3,
            upper_m3: bounds.upper_m3.is_finite().then_some(bounds.upper_m3),
        }
    };
    CLASS_LETTERS.into_iter().enumerate().map(of).collect()
}

impl Study {
    /// The road of an event: of a measured profile all of it, else what lies on the way the event drives.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn road_picture(&self, event: usize, progress: &Progress) -> Result<RoadPicture, Cancelled> {
        road_picture_of_event(&self.courses[event].event, self.geometry(), progress)
    }
}

/// The road of a measured profile.
///
/// # Errors
/// If it was stopped on the way.
pub fn road_picture_of_profile(profile: &Profile, progress: &Progress) -> Result<RoadPicture, Cancelled> {
    let x = profile.distance_m();
    match profile.elevation_m() {
        Elevation::One(one) => picture(x, &[("elevation", one)], Some(0.0), progress),
        Elevation::Two(left, right) => picture(x, &[("left", left), ("right", right)], Some(0.0), progress),
    }
}

pub(crate) fn road_picture_of_event(
    event: &Event,
    geometry: washboard_road::Geometry,
    progress: &Progress,
) -> Result<RoadPicture, Cancelled> {
    progress.check()?;
    let spacing_m = match &event.surface {
        Surface::Flat | Surface::Random(_) | Surface::Profile(_) => SPACING_M,
        Surface::Sweep { .. } | Surface::Harmonic { .. } => SPACING_M,
        _ => FINE_SPACING_M,
    };
    let drawn = heights(event, &geometry, spacing_m);
    let driven_m = drawn.distance_m.last().copied();
    let mut picture = if let Surface::Profile(profile) = &event.surface {
        road_picture_of_profile(profile, progress)?
    } else {
        // A random road grows to its full height first; the figures are those of what follows.
        let figures_from_m = match &event.surface {
            Surface::Random(road) => Some(road.ramp_m),
            _ => None,
        };
        let tracks = [("left", &drawn.left_m), ("right", &drawn.right_m)];
        picture(&drawn.distance_m, &tracks, figures_from_m, progress)?
    };
    picture.driven_m = driven_m;
    Ok(picture)
}

/// Curves and, of what comes `figures_from_m` after the first sample, figures.
fn picture(
    distance_m: &[f64],
    tracks: &[(&'static str, &Vec<f64>)],
    figures_from_m: Option<f64>,
    progress: &Progress,
) -> Result<RoadPicture, Cancelled> {
    progress.expect(tracks.len());
    let begin = figures_from_m.map(|from| distance_m.partition_point(|x| *x < distance_m[0] + from));
    let mut picture = RoadPicture { classes: class_bounds(), ..RoadPicture::default() };
    for (name, height_m) in tracks {
        progress.check()?;
        let (distance, height) = thinned(distance_m, height_m);
        let mut track = TrackPicture { name, distance_m: distance, height_m: height, ..TrackPicture::default() };
        let (x, z) = match begin {
            Some(begin) if begin < distance_m.len() => (&distance_m[begin..], &height_m[begin..]),
            _ => (distance_m, &height_m[..]),
        };
        track.samples = x.len();
        track.length_m = x[x.len() - 1] - x[0];
        let median_m = median_step(x).unwrap_or(0.0);
        let is_even = unevenness(x, median_m) <= UNEVEN_SHARE;
        track.spacing_m = if is_even { track.length_m / (x.len() - 1).max(1) as f64 } else { median_m };
        if begin.is_some() {
            track.roughness_index_m_per_km = roughness_index_m_per_km(x, z);
            progress.check()?;
            let is_flat = z.iter().all(|value| *value == z[0]);
            track.density = if is_flat { None } else { density(x, z).ok().map(carry) };
            let about = remarks(x, &track, is_flat);
            about.into_iter().for_each(|r| {
                if !picture.remarks.contains(&r) {
                    picture.remarks.push(r)
                }
            });
        }
        picture.tracks.push(track);
        progress.finish_one();
    }
    Ok(picture)
}

fn carry(found: Density) -> TrackDensity {
    TrackDensity {
        wavenumber_cycles_per_m: found.wavenumber_cycles_per_m,
        density_m3: found.density_m3,
        band_cycles_per_m: found.bands.iter().map(|b| b.centre_cycles_per_m).collect(),
        band_density_m3: found.bands.iter().map(|b| b.density_m3).collect(),
        fit: found.fit.map(TrackFit::new),
    }
}

/// What the reader should know of the figures of a track.
fn remarks(x: &[f64], track: &TrackPicture, is_flat: bool) -> Vec<String> {
    let mut said = Vec::new();
    let (length, spacing) = (track.length_m, track.spacing_m);
    let uneven = unevenness(x, spacing);
    if uneven > UNEVEN_SHARE {
        said.push(format!(
            "Spacing is not even (up to {:.0} % off its median of {spacing:.3} m): the density is that of even samples in between.",
            100.0 * uneven
        ));
    }
    if track.roughness_index_m_per_km.is_none() {
        said.push(format!("No roughness index: it needs {START_M:.0} m of profile, this one has {length:.1} m."));
    } else if spacing > 0.3003 {
        said.push(format!("Spacing is {spacing:.3} m: the roughness index wants 0.3 m or less and comes out too low."));
    }
    let name = track.name;
    match track.density.as_ref().map(|d| d.fit) {
        Some(Some(fit)) => {
            if fit.scatter_factor > SCATTERED_FACTOR {
                said.push(format!(
                    "The bands of {name} lie a factor of {:.1} off the line: this is no road of one class.",
                    fit.scatter_factor
                ));
            }
            if fit.from_cycles_per_m > 1.01 * LOWEST_CYCLES_PER_M {
                said.push(format!(
                    "Bands from {LOWEST_CYCLES_PER_M} to {:.3} cycles/m are left out of the line: {length:.0} m are too short for them.",
                    fit.from_cycles_per_m
                ));
            }
            if fit.to_cycles_per_m < 0.95 * HIGHEST_CYCLES_PER_M {
                said.push(format!(
                    "Bands from {:.2} to {HIGHEST_CYCLES_PER_M} cycles/m are left out of the line: a spacing of {spacing:.3} m is too wide for them.",
                    fit.to_cycles_per_m
                ));
            }
        }
        Some(None) => {
            said.push(format!("No line and no class of {name}: {length:.0} m at {spacing:.3} m give too few bands."));
        }
        None if is_flat => said.push(format!("No density and no class of {name}: the track is flat.")),
        None => said.push(format!("No density and no class of {name}: there are too few samples.")),
    }
    said
}

/// At most [`MOST_HEIGHTS`] points: without those on a straight line, of every stretch the lowest and the highest, in
/// their order.
fn thinned(x: &[f64], z: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let bends = |i: usize| {
        let Some(before) = i.checked_sub(1).filter(|_| i + 1 < x.len()) else { return true };
        let share = (x[i] - x[before]) / (x[i + 1] - x[before]);
        (z[i] - z[before] - share * (z[i + 1] - z[before])).abs() > STRAIGHT_M
    };
    let (x, z): (Vec<f64>, Vec<f64>) = (0..x.len()).filter(|&i| bends(i)).map(|i| (x[i], z[i])).unzip();
    if x.len() <= MOST_HEIGHTS {
        return (x, z);
    }
    let stretch = x.len().div_ceil(MOST_HEIGHTS / 2);
    let mut kept = Vec::with_capacity(MOST_HEIGHTS);
    for begin in (0..x.len()).step_by(stretch) {
        let places = begin..(begin + stretch).min(x.len());
        let lowest = places.clone().min_by(|a, b| z[*a].total_cmp(&z[*b])).unwrap_or(begin);
        let highest = places.max_by(|a, b| z[*a].total_cmp(&z[*b])).unwrap_or(begin);
        kept.push(lowest.min(highest));
        if lowest != highest {
            kept.push(lowest.max(highest));
        }
    }
    kept.iter().map(|&i| (x[i], z[i])).unzip()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_curves_keep_their_peaks() {
        let x: Vec<f64> = (0..100_000).map(|i| 0.01 * f64::from(i)).collect();
        let mut z = vec![0.0; x.len()];
        (z[33_333], z[77_777]) = (0.5, -0.4);
        let (tx, tz) = thinned(&x, &z);
        assert!(tx.len() <= MOST_HEIGHTS && tx.windows(2).all(|w| w[0] < w[1]));
        assert!(tz.contains(&0.5) && tz.contains(&-0.4));
    }

    #[test]
    fn a_profile_says_what_it_lacks() {
        let x: Vec<f64> = (0..200).map(|i| 0.3 * f64::from(i)).collect();
        let z: Vec<f64> = x.iter().map(|x| 0.002 * (3.0 * x).sin() + 0.001 * (11.0 * x).cos()).collect();
        let profile = Profile::new(x, Elevation::Two(z, vec![0.0; 200])).unwrap();
        let found = road_picture_of_profile(&profile, &Progress::new()).unwrap();
        assert_eq!(found.tracks.iter().map(|t| t.name).collect::<Vec<_>>(), ["left", "right"]);
        assert!(found.tracks[0].density.as_ref().is_some_and(|d| d.fit.is_some()));
        assert!(found.tracks[1].density.is_none() && found.tracks[1].roughness_index_m_per_km == Some(0.0));
        for part in ["too short", "too wide", "right: the track is flat"] {
            assert!(found.remarks.iter().any(|r| r.contains(part)), "{part}: {:?}", found.remarks);
        }
        assert_eq!(found.classes[2].class, 'C');
        assert_eq!((found.classes[0].lower_m3, found.classes[7].upper_m3), (None, None));
    }
}
