//! What a control unit holds of modes, beside the modes themselves: one study with both, for every figure of both.

use anyhow::Result;
use washboard_handover::{InverseDamper, Quantised};
use washboard_session::Session;
use washboard_study::{HeldInverse, Profiles, Study};

/// Modes with what a control unit holds of them.
pub struct Beside {
    /// The session with one more mode for each that was quantised.
    pub session: Session,
    /// Its study; those modes command through their finite inverse damper tables.
    pub study: Study,
    /// Names of the exact mode and of the one in the car.
    pub pairs: Vec<(String, String)>,
}

/// Puts the quantised modes beside those of the session.
pub fn beside(session: &Session, profiles: &Profiles, quantised: &Quantised) -> Result<Beside> {
    let (both, pairs) = quantised.beside(session);
    let mut study = Study::new(&both, profiles)?;
    let table = |held: &InverseDamper| HeldInverse {
        velocity_m_per_s: held.velocity_m_per_s.clone(),
        force_n: held.force_n.clone(),
        current_a: held.current_a.clone(),
    };
    for (mode, (_, name)) in quantised.set.modes.iter().zip(&pairs) {
        let index = study.mode(name)?;
        study = study.with_inverse(index, [table(&mode.inverse_front), table(&mode.inverse_rear)])?;
    }
    Ok(Beside { session: both, study, pairs })
}
