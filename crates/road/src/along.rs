//! An event's road over distance, as the front wheels meet it: for pictures, spectra and the roughness index.

use crate::laid::Laid;
use crate::way::Way;
use crate::{Event, Geometry, Surface, Tracks};

/// Most places a road is sampled at; longer ones are sampled more coarsely.
const MOST_PLACES: usize = 1 << 20;

/// Heights of both tracks over distance, one entry a place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heights {
    /// Distance driven since t = 0, m, evenly spaced from 0.
    pub distance_m: Vec<f64>,
    /// Left track, m.
    pub left_m: Vec<f64>,
    /// Right track, m.
    pub right_m: Vec<f64>,
}

/// Samples the road of an event under the front wheels, every `spacing_m` along the way the event drives.
///
/// Sines of time are laid out at the event's first speed. A flat road gives zeros.
pub fn heights(event: &Event, geometry: &Geometry, spacing_m: f64) -> Heights {
    let covered_m = Way::distance_covered_m(event);
    let count = ((covered_m / spacing_m.max(1e-3)) as usize).clamp(1, MOST_PLACES - 1);
    // The last place is the end of the way: a random road depends on how far it is driven.
    let step_m = covered_m / count as f64;
    let flat = matches!(event.surface, Surface::Flat);
    // The road itself, not what a tyre feels of it.
    let point = Geometry { contact_length_m: [0.0; 2], ..*geometry };
    let way = Way::evenly(event.speed_m_per_s, &point, step_m, count);
    let [front, _] = way.wheels(&Laid::new(event, &point, Tracks::Two, count as f64 * step_m));
    let [left_m, right_m] =
        front.map(|wheel| if flat || wheel.is_flat() { vec![0.0; count + 1] } else { wheel.height_m.to_vec() });
    Heights { distance_m: (0..=count).map(|i| i as f64 * step_m).collect(), left_m, right_m }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Manoeuvre, RandomRoad, Side, class_psd_at_n0_m3, sample};

    const GEOMETRY: Geometry = Geometry { wheelbase_m: 2.7, track_m: 1.5, contact_length_m: [0.0; 2] };

    fn over(surface: Surface, manoeuvre: Manoeuvre) -> Event {
        Event { speed_m_per_s: 20.0, duration_s: 10.0, surface, manoeuvre }
    }

    #[test]
    fn a_random_road_is_the_one_that_is_driven() {
        let road = RandomRoad {
            psd_at_n0_m3: class_psd_at_n0_m3(2),
            seed: 7,
            from_cycles_per_m: 0.011,
            to_cycles_per_m: 2.83,
            ramp_m: 10.0,
        };
        let event = over(Surface::Random(road), Manoeuvre::None);
        let heights = heights(&event, &GEOMETRY, 0.05);
        let driven = sample(&event, &GEOMETRY, Tracks::Two, 0.0025, 4000);
        let broad = Geometry { contact_length_m: [0.2; 2], ..GEOMETRY };
        assert_eq!(heights, super::heights(&event, &broad, 0.05), "a tyre changes nothing of the road");
        assert_eq!(heights.distance_m.len(), 4001);
        for i in 0..=4000 {
            assert!((heights.distance_m[i] - 0.05 * i as f64).abs() < 1e-9);
            assert!((heights.left_m[i] - driven.wheels[0][0].height_m[i]).abs() < 1e-9);
            assert!((heights.right_m[i] - driven.wheels[0][1].height_m[i]).abs() < 1e-9);
        }
    }

    #[test]
    fn a_one_sided_bump_lies_in_its_track_and_braking_ends_the_way() {
        let bump = Surface::CosineBump { height_m: 0.05, length_m: 1.0, lead_m: 10.0, side: Side::Left };
        let one = heights(&over(bump.clone(), Manoeuvre::None), &GEOMETRY, 0.05);
        let top = one.left_m.iter().fold(0.0, |a: f64, b| a.max(*b));
        assert!((top - 0.05).abs() < 1e-9 && one.right_m.iter().all(|z| *z == 0.0));
        // 20 m/s at 8 m/s^2: 25 m to standstill, plus half the rise.
        let stop = Manoeuvre::Longitudinal { acceleration_m_per_s2: -8.0, rise_s: 0.0, start_s: 0.0, hold_s: None };
        let short = heights(&over(bump, stop), &GEOMETRY, 0.05);
        assert!((short.distance_m.last().unwrap() - 25.0).abs() < 0.05, "{:?}", short.distance_m.last());
    }

    #[test]
    fn a_sine_of_time_has_its_wavelength_at_the_first_speed() {
        let event = over(Surface::Harmonic { frequency_hz: 2.0, amplitude_m: 0.01 }, Manoeuvre::None);
        let wave = heights(&event, &GEOMETRY, 0.05);
        let at = |x: f64| wave.left_m[(x / 0.05).round() as usize];
        assert!((at(2.5) - 0.01).abs() < 1e-9 && (at(7.5) + 0.01).abs() < 1e-9);
    }
}
