//! The car without supply: every damper gives what it gives with no current, whatever the controller asks for.

use washboard_session::{Damper, Session};

/// The session with dampers that do not answer the current any more: at every current the forces of the one nearest to
/// none that the bench data hold.
pub fn without_supply(session: &Session) -> Session {
    let mut lost = session.clone();
    for damper in &mut lost.dampers {
        let column = nearest_to_none(damper);
        for row in &mut damper.force_n {
            if let Some(force) = row.get(column).copied() {
                row.fill(force);
            }
        }
    }
    lost
}

/// Column of the bench data whose current is nearest to none.
fn nearest_to_none(damper: &Damper) -> usize {
    let sizes = damper.current_a.iter().map(|current| current.abs());
    sizes.enumerate().min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(column, _)| column)
}

/// The current whose forces stand for a lost supply, A, one a damper with its name.
pub fn currents_without_supply(session: &Session) -> Vec<(String, f64)> {
    let of = |damper: &Damper| damper.current_a.get(nearest_to_none(damper)).copied().unwrap_or(0.0);
    session.dampers.iter().map(|damper| (damper.name.clone(), of(damper))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn without_supply_the_current_changes_nothing_and_the_session_still_holds() {
        let session = fixture::session();
        let lost = without_supply(&session);
        assert_eq!(washboard_session::check(&lost), Ok(()));
        for (before, after) in session.dampers.iter().zip(&lost.dampers) {
            for (was, is) in before.force_n.iter().zip(&after.force_n) {
                // The fixture was measured from 0.3 A on.
                assert!(is.iter().all(|force| *force == was[0]));
            }
        }
        assert_eq!(currents_without_supply(&session)[0].1, 0.3);
        assert_eq!(lost.modes, session.modes);
    }
}
