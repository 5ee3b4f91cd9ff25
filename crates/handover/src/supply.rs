//! The car without supply: every damper gives what it gives with no current, whatever the controller asks for.

use washboard_session::{Damper, Session};

/// The session with its supply lost: each damper follows its own curve for that, or, where none was measured, the forces
/// at the current nearest to none that its bench data hold.
pub fn without_supply(session: &Session) -> Session {
    let mut lost = session.clone();
    lost.conditions.supply_lost = true;
    for damper in &mut lost.dampers {
        if damper.supply_lost.is_none() {
            damper.supply_lost = Some(damper.curve_nearest_to_none());
        }
    }
    lost
}

/// What stands for each damper's lost supply, in words.
pub fn stand_ins(session: &Session) -> Vec<String> {
    let of = |damper: &Damper| match &damper.supply_lost {
        Some(_) => format!("{} as measured", damper.name),
        None => {
            let nearest = damper.current_a.iter().copied().min_by(|a, b| a.abs().total_cmp(&b.abs()));
            let current = nearest.unwrap_or(0.0);
            format!("{} as at {current} A", damper.name)
        }
    };
    session.dampers.iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use washboard_session::ForceCurve;

    #[test]
    fn a_lost_supply_follows_its_own_curve_or_the_least_current() {
        let mut session = fixture::session();
        let own = ForceCurve { velocity_m_per_s: vec![-1.0, 0.0, 1.0], force_n: vec![-500.0, 0.0, 900.0] };
        session.dampers[1].supply_lost = Some(own.clone());
        let lost = without_supply(&session);
        assert_eq!(washboard_session::check(&lost), Ok(()));
        assert!(lost.conditions.supply_lost && !session.conditions.supply_lost);
        // The fixture was measured from 0.3 A on.
        let least: Vec<f64> = session.dampers[0].force_n.iter().map(|row| row[0]).collect();
        assert_eq!(lost.dampers[0].supply_lost.as_ref().map(|curve| curve.force_n.clone()), Some(least));
        assert_eq!(lost.dampers[1].supply_lost, Some(own));
        assert_eq!(stand_ins(&session), ["front damper as at 0.3 A", "rear damper as measured"]);
        assert_eq!(lost.modes, session.modes);
    }
}
