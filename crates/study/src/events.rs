//! Events from the session's words to roads and manoeuvres, and which metrics the trade reads from each.

use crate::convert::KM_H;
use crate::{Profiles, StudyFault};
use washboard_road as road;
use washboard_session as doc;

fn side(s: doc::Side) -> road::Side {
    match s {
        doc::Side::Both => road::Side::Both,
        doc::Side::Left => road::Side::Left,
        doc::Side::Right => road::Side::Right,
    }
}

/// The car as steered manoeuvres see it: as described, without a load case; wheels count to the mass.
pub fn single_track(v: &doc::Vehicle) -> road::SingleTrack {
    let (to_front_m, to_rear_m) = (v.cg_to_front_axle_m, v.wheelbase_m - v.cg_to_front_axle_m);
    let mass_kg = v.body_mass_kg + 2.0 * (v.front.wheel_mass_kg + v.rear.wheel_mass_kg);
    let h = &v.handling;
    road::SingleTrack {
        to_front_m,
        to_rear_m,
        compliance_rad_per_g: [h.front_cornering_compliance_deg_per_g, h.rear_cornering_compliance_deg_per_g]
            .map(f64::to_radians),
        yaw_radius_squared_m2: h.yaw_inertia_kg_m2.map_or(to_front_m * to_rear_m, |inertia| inertia / mass_kg),
    }
}

/// A change of speed: what is not rise and fall is driven at full acceleration, and so is half of both.
fn speed_change(e: &doc::Event) -> road::Manoeuvre {
    e.speed_change.as_ref().map_or(road::Manoeuvre::None, |change| road::Manoeuvre::Longitudinal {
        acceleration_m_per_s2: (change.to_km_h - e.speed_km_h) / KM_H / (change.over_s - change.rise_s),
        rise_s: change.rise_s,
        start_s: change.start_s,
        hold_s: Some(change.over_s - 2.0 * change.rise_s),
    })
}

/// One event of a car; `Err` where a measured profile has not been read.
pub fn event(e: &doc::Event, vehicle: &doc::Vehicle, profiles: &Profiles) -> Result<road::Event, StudyFault> {
    use doc::EventKind as K;
    use road::{Manoeuvre as M, Steering, Surface as S};
    let steered = |steering| (S::Flat, M::Steered { steering, car: single_track(vehicle) });
    let (surface, manoeuvre) = match &e.kind {
        K::RandomRoad { class, seed, from_cycles_per_m, to_cycles_per_m, ramp_m } => (
            S::Random(road::RandomRoad {
                psd_at_n0_m3: road::class_psd_at_n0_m3(*class as usize),
                seed: *seed,
                from_cycles_per_m: *from_cycles_per_m,
                to_cycles_per_m: *to_cycles_per_m,
                ramp_m: *ramp_m,
            }),
            speed_change(e),
        ),
        K::CosineBump { height_m, length_m, lead_m, side: s } => (
            S::CosineBump { height_m: *height_m, length_m: *length_m, lead_m: *lead_m, side: side(*s) },
            speed_change(e),
        ),
        K::CircularHump { height_m, length_m, lead_m, side: s } => (
            S::CircularHump { height_m: *height_m, length_m: *length_m, lead_m: *lead_m, side: side(*s) },
            speed_change(e),
        ),
        K::Undulation { height_m, length_m, waves, right_lag_share, lead_m } => (
            S::Undulation {
                height_m: *height_m,
                length_m: *length_m,
                waves: *waves,
                right_lag_share: *right_lag_share,
                lead_m: *lead_m,
            },
            speed_change(e),
        ),
        K::RailwayCrossing {
            tracks,
            track_spacing_m,
            rail_height_m,
            groove_width_m,
            groove_depth_m,
            edge_m,
            lead_m,
        } => (
            S::RailwayCrossing(road::RailwayCrossing {
                tracks: *tracks,
                track_spacing_m: *track_spacing_m,
                rail_height_m: *rail_height_m,
                groove_width_m: *groove_width_m,
                groove_depth_m: *groove_depth_m,
                edge_m: *edge_m,
                lead_m: *lead_m,
            }),
            speed_change(e),
        ),
        K::ExpansionJoints { spacing_m, joints, gap_m, depth_m, fault_m, edge_m, lead_m, side: s } => (
            S::ExpansionJoints {
                joints: road::ExpansionJoints {
                    spacing_m: *spacing_m,
                    joints: *joints,
                    gap_m: *gap_m,
                    depth_m: *depth_m,
                    fault_m: *fault_m,
                    edge_m: *edge_m,
                    lead_m: *lead_m,
                },
                side: side(*s),
            },
            speed_change(e),
        ),
        K::PatchedRoad { seed, height_m, length_m, clear_m, edge_m, lead_m } => (
            S::Patched(road::PatchedRoad {
                seed: *seed,
                height_m: *height_m,
                length_m: *length_m,
                clear_m: *clear_m,
                edge_m: *edge_m,
                lead_m: *lead_m,
            }),
            speed_change(e),
        ),
        K::Pothole { depth_m, length_m, edge_m, lead_m, side: s } => (
            S::Pothole { depth_m: *depth_m, length_m: *length_m, edge_m: *edge_m, lead_m: *lead_m, side: side(*s) },
            speed_change(e),
        ),
        K::Sweep { from_hz, to_hz, velocity_amplitude_m_per_s, spacing } => (
            S::Sweep {
                from_hz: *from_hz,
                to_hz: *to_hz,
                velocity_amplitude_m_per_s: *velocity_amplitude_m_per_s,
                spacing: match spacing {
                    doc::Spacing::Logarithmic => road::Spacing::Logarithmic,
                    doc::Spacing::Linear => road::Spacing::Linear,
                },
            },
            M::None,
        ),
        K::Harmonic { frequency_hz, amplitude_m } => {
            (S::Harmonic { frequency_hz: *frequency_hz, amplitude_m: *amplitude_m }, M::None)
        }
        K::Profile { file } => {
            let found = profiles
                .get(file)
                .ok_or_else(|| StudyFault::NoProfile { event: e.name.clone(), file: file.clone() })?;
            (S::Profile(found.clone()), speed_change(e))
        }
        K::LateralStep { acceleration_m_per_s2, rise_s, start_s } => (
            S::Flat,
            M::LateralStep { acceleration_m_per_s2: *acceleration_m_per_s2, rise_s: *rise_s, start_s: *start_s },
        ),
        K::LaneChange { acceleration_m_per_s2, period_s, start_s } => (
            S::Flat,
            M::LaneChange { acceleration_m_per_s2: *acceleration_m_per_s2, period_s: *period_s, start_s: *start_s },
        ),
        K::StepSteer { acceleration_m_per_s2, rise_s, start_s } => steered(Steering::Step {
            acceleration_m_per_s2: *acceleration_m_per_s2,
            rise_s: *rise_s,
            start_s: *start_s,
        }),
        K::SineSteer { acceleration_m_per_s2, frequency_hz, periods, start_s } => steered(Steering::Sine {
            acceleration_m_per_s2: *acceleration_m_per_s2,
            frequency_hz: *frequency_hz,
            periods: *periods,
            start_s: *start_s,
        }),
        K::ConeLaneChange { course, vehicle_width_m, lead_m } => steered(Steering::Cones(road::ConeTrack {
            cones: match course {
                doc::ConeCourse::DoubleLaneChange => road::Cones::DoubleLaneChange,
                doc::ConeCourse::ObstacleAvoidance => road::Cones::ObstacleAvoidance,
            },
            vehicle_width_m: *vehicle_width_m,
            lead_m: *lead_m,
        })),
        K::Slalom { spacing_m, cones, vehicle_width_m, lead_m } => steered(Steering::Cones(road::ConeTrack {
            cones: road::Cones::Slalom { spacing_m: *spacing_m, count: *cones },
            vehicle_width_m: *vehicle_width_m,
            lead_m: *lead_m,
        })),
        K::BrakeInBend { lateral_m_per_s2, entry_s, start_s, deceleration_m_per_s2, rise_s, brake_s } => (
            S::Flat,
            M::BrakingInBend {
                lateral_m_per_s2: *lateral_m_per_s2,
                entry_s: *entry_s,
                start_s: *start_s,
                deceleration_m_per_s2: *deceleration_m_per_s2,
                rise_s: *rise_s,
                brake_s: *brake_s,
            },
        ),
        K::Braking { deceleration_m_per_s2, rise_s, start_s, hold_s } => (
            S::Flat,
            M::Longitudinal {
                acceleration_m_per_s2: -*deceleration_m_per_s2,
                rise_s: *rise_s,
                start_s: *start_s,
                hold_s: *hold_s,
            },
        ),
        K::Drive { acceleration_m_per_s2, rise_s, start_s, hold_s } => (
            S::Flat,
            M::Longitudinal {
                acceleration_m_per_s2: *acceleration_m_per_s2,
                rise_s: *rise_s,
                start_s: *start_s,
                hold_s: *hold_s,
            },
        ),
    };
    Ok(road::Event { speed_m_per_s: e.speed_km_h / KM_H, duration_s: e.duration_s, surface, manoeuvre })
}
