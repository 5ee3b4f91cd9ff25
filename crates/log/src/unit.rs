//! Units as headers carry them (`seat_z_m_per_s2`), and the SI units they become.

/// What a channel measures, as far as its figures depend on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Acceleration along a line.
    Acceleration,
    /// Acceleration about an axis.
    AngularAcceleration,
    /// Anything else.
    Other,
}

/// The unit of a channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// As the header ends, without the underscore before it.
    pub written: &'static str,
    /// SI unit as it ends the names of figures; empty for a share or a ratio.
    pub si: &'static str,
    /// SI unit on screens.
    pub label: &'static str,
    /// SI number over number in the file.
    pub factor: f64,
    /// What it measures.
    pub kind: Kind,
}

const DEGREE: f64 = std::f64::consts::PI / 180.0;
/// Standard gravity, m/s^2 (ISO 80000-3).
const STANDARD_GRAVITY: f64 = 9.80665;

macro_rules! units {
    ($($written:literal => $si:literal, $label:literal, $factor:expr, $kind:ident;)*) => {
        const UNITS: &[Unit] = &[$(Unit {
            written: $written, si: $si, label: $label, factor: $factor, kind: Kind::$kind,
        }),*];
    };
}

units! {
    "m_per_s2" => "m_per_s2", "m/s²", 1.0, Acceleration;
    "mm_per_s2" => "m_per_s2", "m/s²", 1e-3, Acceleration;
    "g" => "m_per_s2", "m/s²", STANDARD_GRAVITY, Acceleration;
    "rad_per_s2" => "rad_per_s2", "rad/s²", 1.0, AngularAcceleration;
    "deg_per_s2" => "rad_per_s2", "rad/s²", DEGREE, AngularAcceleration;
    "m_per_s" => "m_per_s", "m/s", 1.0, Other;
    "mm_per_s" => "m_per_s", "m/s", 1e-3, Other;
    "km_per_h" => "m_per_s", "m/s", 1.0 / 3.6, Other;
    "km_h" => "m_per_s", "m/s", 1.0 / 3.6, Other;
    "rad_per_s" => "rad_per_s", "rad/s", 1.0, Other;
    "deg_per_s" => "rad_per_s", "rad/s", DEGREE, Other;
    "m" => "m", "m", 1.0, Other;
    "cm" => "m", "m", 1e-2, Other;
    "mm" => "m", "m", 1e-3, Other;
    "rad" => "rad", "rad", 1.0, Other;
    "deg" => "rad", "rad", DEGREE, Other;
    "n" => "n", "N", 1.0, Other;
    "kn" => "n", "N", 1e3, Other;
    "n_m" => "n_m", "N m", 1.0, Other;
    "n_per_m" => "n_per_m", "N/m", 1.0, Other;
    "n_s_per_m" => "n_s_per_m", "N s/m", 1.0, Other;
    "a" => "a", "A", 1.0, Other;
    "ma" => "a", "A", 1e-3, Other;
    "v" => "v", "V", 1.0, Other;
    "w" => "w", "W", 1.0, Other;
    "j" => "j", "J", 1.0, Other;
    "pa" => "pa", "Pa", 1.0, Other;
    "kpa" => "pa", "Pa", 1e3, Other;
    "bar" => "pa", "Pa", 1e5, Other;
    "hz" => "hz", "Hz", 1.0, Other;
    "s" => "s", "s", 1.0, Other;
    "ms" => "s", "s", 1e-3, Other;
    "kg" => "kg", "kg", 1.0, Other;
    "k" => "k", "K", 1.0, Other;
    "deg_c" => "deg_c", "°C", 1.0, Other;
    "percent" => "", "", 1e-2, Other;
    "share" => "", "", 1.0, Other;
    "ratio" => "", "", 1.0, Other;
}

impl Unit {
    /// The unit that a header ends in: the longest that fits, with a name before it.
    pub fn of_header(header: &str) -> Option<Unit> {
        let fits = |unit: &&Unit| {
            header
                .strip_suffix(unit.written)
                .and_then(|rest| rest.strip_suffix('_'))
                .is_some_and(|name| !name.is_empty())
        };
        UNITS.iter().filter(fits).max_by_key(|unit| unit.written.len()).copied()
    }

    /// The end of a figure's name: an underscore and the unit, nothing for a share or a ratio.
    pub fn ending(&self) -> String {
        if self.si.is_empty() { String::new() } else { format!("_{}", self.si) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_unit_that_fits_counts() {
        for (header, si, factor) in [
            ("seat_z_m_per_s2", "m_per_s2", 1.0),
            ("front_left_travel_mm", "m", 1e-3),
            ("speed_km_per_h", "m_per_s", 1.0 / 3.6),
            ("steering_deg", "rad", DEGREE),
            ("hub_z_g", "m_per_s2", STANDARD_GRAVITY),
            ("bar_moment_n_m", "n_m", 1.0),
            ("gauge_m", "m", 1.0),
            ("travel_used_percent", "", 1e-2),
        ] {
            let unit = Unit::of_header(header).unwrap();
            assert_eq!((unit.si, unit.factor), (si, factor), "{header}");
        }
        for header in ["", "speed", "m_per_s2", "_m", "gear", "km_h"] {
            let found = Unit::of_header(header).map(|u| u.written);
            // "km_h" by itself ends in no unit that leaves a name; "m_per_s2" is "m per s2", no name and no known ending.
            assert_eq!(found, None, "{header}");
        }
    }
}
