//! The controller: filters that fit its sample rate, and body accelerometers that can tell heave, roll and pitch apart.

use super::Checker;
use crate::{
    States,
    fault::{counted, with_unit},
    place::Place,
};

/// Least area of the triangle that the body accelerometers span, m^2.
const LEAST_AREA_M2: f64 = 0.01;

impl Checker<'_> {
    pub(super) fn controller(&mut self) {
        let top = Place::Top;
        let controller = &self.session.controller;
        let (low, high) = (controller.roughness.low_hz, controller.roughness.high_hz);
        let place = top.field("controller");
        let band = place.field("roughness");
        if low >= high {
            let bound = format!("it must be below high_hz ({})", with_unit(high, "Hz"));
            self.fault(&band, "low_hz", with_unit(low, "Hz"), bound);
        }
        let half = controller.sample_rate_hz / 2.0;
        if high >= half {
            let bound = format!("it must be below half of sample_rate_hz ({})", with_unit(half, "Hz"));
            self.fault(&band, "high_hz", with_unit(high, "Hz"), bound);
        }
        let States::Estimated(estimated) = &controller.states else { return };
        let place = place.field("states");
        if estimated.height_low_pass_hz >= half {
            let bound = format!("it must be below half of sample_rate_hz ({})", with_unit(half, "Hz"));
            self.fault(&place, "height_low_pass_hz", with_unit(estimated.height_low_pass_hz, "Hz"), bound);
        }
        let &[a, b, c] = estimated.body_sensors.as_slice() else {
            let value = format!("a list of {}", counted(estimated.body_sensors.len(), "place"));
            self.fault(&place, "body_sensors", value, "there must be three, for heave, roll and pitch");
            return;
        };
        let area = 0.5 * ((b.x_m - a.x_m) * (c.y_m - a.y_m) - (c.x_m - a.x_m) * (b.y_m - a.y_m)).abs();
        // Not `area < LEAST`: an area that is not a number is refused too, where its numbers have been named already.
        if area.is_finite() && area < LEAST_AREA_M2 {
            let bound =
                format!("they must span at least {LEAST_AREA_M2} m^2, so that heave, roll and pitch can be told apart");
            self.fault(&place, "body_sensors", format!("a triangle of {area:.4} m^2"), bound);
        }
    }
}
