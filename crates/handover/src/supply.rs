//! The car without supply: every damper gives what it gives with no current, whatever the controller asks for.

use washboard_session::{Damper, ForceCurve, Session};

/// The session with its supply lost: each damper follows its own curve for that, or, where none was measured, the forces
/// at the current nearest to none that its bench data hold.
pub fn without_supply(session: &Session) -> Session {
    let mut lost = session.clone();
    lost.conditions.supply_lost = true;
    for damper in &mut lost.dampers {
        if damper.supply_lost.is_none() {
            let column = nearest_to_none(damper);
            let force_n = damper.force_n.iter().filter_map(|row| row.get(column).copied()).collect();
            damper.supply_lost = Some(ForceCurve { velocity_m_per_s: damper.velocity_m_per_s.clone(), force_n });
        }
    }
    lost
}

/// Column of the bench data whose current is nearest to none.
fn nearest_to_none(damper: &Damper) -> usize {
    let sizes = damper.current_a.iter().map(|current| current.abs());
    sizes.enumerate().min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(column, _)| column)
}

/// What stands for each damper's lost supply, in words.
pub fn stand_ins(session: &Session) -> Vec<String> {
    let of = |damper: &Damper| match &damper.supply_lost {
        Some(_) => format!("{} as measured", damper.name),
        None => {
            let current = damper.current_a.get(nearest_to_none(damper)).copied().unwrap_or(0.0);
            format!("{} as at {current} A", damper.name)
        }
    };
    session.dampers.iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

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
