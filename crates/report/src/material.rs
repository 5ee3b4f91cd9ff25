//! What a report is made of: everything computed for the modes and load cases chosen, and where it comes from.

use std::collections::HashSet;
use washboard_handover::{CarSet, identity};
use washboard_session::{EventKind, Session};
use washboard_study::{
    Board, BoardRequest, Cancelled, Comparison, Difference, Evaluation, Model, Progress, ResponseRequest, Selection,
    Study, VELOCITY_AMPLITUDE_M_PER_S, default_frequencies,
};

/// Draws of the random roads behind the intervals, as on the window's board.
const DRAWS: usize = 4;

/// Why there is no report.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum ReportFault {
    #[error("the report cannot be made of no mode: the session has none")]
    NoMode,
    #[error("the report cannot be made of no load case")]
    NoLoadCase,
    #[error("the pages could not be written: {0}")]
    Pages(String),
}

/// What the report is to show.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// The model.
    pub model: Model,
    /// Indices of modes in the session; the reference mode joins them.
    pub modes: Vec<usize>,
    /// Indices of load cases, 0 being the car as described; curves are those of the first.
    pub load_cases: Vec<usize>,
    /// The mode that the others are compared with.
    pub reference: usize,
    /// The event whose time histories are shown; absent: one that fits.
    pub event: Option<usize>,
    /// Operating point of the response curves: speed.
    pub speed_km_h: f64,
    /// Operating point of the response curves: road roughness level.
    pub roughness_m_per_s2: f64,
}

impl Wish {
    /// Operating point of the response curves.
    pub fn operating_point(&self) -> ResponseRequest {
        ResponseRequest {
            speed_km_h: self.speed_km_h,
            roughness_m_per_s2: self.roughness_m_per_s2,
            velocity_amplitude_m_per_s: VELOCITY_AMPLITUDE_M_PER_S,
            frequencies_hz: default_frequencies(),
        }
    }
}

/// Where a report comes from; all of it stands in it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Imprint {
    /// Session file; empty while it has none.
    pub session_file: String,
    /// The command that makes the same report.
    pub command: String,
    /// When, RFC 3339.
    pub time: String,
    /// The program with its version.
    pub program: String,
}

/// Everything a report shows.
#[derive(Clone, Debug)]
pub struct Material {
    /// The session as it was.
    pub(crate) session: Session,
    /// What was wished for, completed.
    pub(crate) wish: Wish,
    /// All curves and the scorecards of the first load case; of every mode of the session.
    pub(crate) board: Board,
    /// The other load cases.
    pub(crate) others: Vec<Comparison>,
    /// Names of load cases; the first is the car as described.
    pub(crate) load_cases: Vec<String>,
    /// Identity of the modes shown, or why they make no set.
    pub(crate) identity: Result<String, String>,
    /// Where the law's states come from, and the conditions assumed.
    pub(crate) states: Vec<String>,
    /// Where the report comes from.
    pub(crate) imprint: Imprint,
}

/// The scorecards of one load case.
#[derive(Clone, Copy)]
pub(crate) struct OfLoadCase<'a> {
    pub load_case: usize,
    pub evaluation: &'a Evaluation,
    pub differences: &'a [Difference],
}

impl Material {
    /// Computes everything.
    ///
    /// # Errors
    /// If it was stopped on the way; or a sentence where there is nothing to report on.
    pub fn gather(
        study: &Study,
        wish: &Wish,
        imprint: Imprint,
        progress: &Progress,
    ) -> Result<Result<Material, ReportFault>, Cancelled> {
        // What is written down has all its digits.
        let study = &study.clone().in_double_precision();
        let session = study.session();
        if session.modes.is_empty() {
            return Ok(Err(ReportFault::NoMode));
        }
        let Some((&first, rest)) = wish.load_cases.split_first() else { return Ok(Err(ReportFault::NoLoadCase)) };
        let mut wish = wish.clone();
        if !wish.modes.contains(&wish.reference) {
            wish.modes.push(wish.reference);
        }
        wish.modes.sort_unstable();
        wish.modes.dedup();
        let event = wish.event.unwrap_or_else(|| telling_event(session));
        wish.event = Some(event);
        let request = BoardRequest {
            model: wish.model,
            load_case: first,
            event,
            speed_km_h: wish.speed_km_h,
            roughness_m_per_s2: wish.roughness_m_per_s2,
            reference: wish.reference,
        };
        let board = study.board(&request, None, progress)?;
        let mut others = Vec::new();
        for &load_case in rest {
            let selection = Selection {
                model: wish.model,
                modes: wish.modes.clone(),
                events: (0..session.events.len()).collect(),
                load_cases: vec![load_case],
            };
            others.push(study.compare(&selection, wish.reference, DRAWS, progress)?);
        }
        let identity = CarSet::from_session(session, &wish.modes).map(|set| identity(&set));
        let mut states = vec![study.states_in_words().to_owned()];
        states.extend(study.conditions_in_words());
        Ok(Ok(Material {
            session: session.clone(),
            board,
            others,
            load_cases: study.load_case_names().into_iter().map(str::to_owned).collect(),
            identity: identity.map_err(|fault| fault.to_string()),
            states,
            imprint,
            wish,
        }))
    }

    /// True where every fence that applies to a mode shown is kept in every load case shown.
    pub fn all_kept(&self) -> bool {
        self.of_load_cases().all(|of| of.evaluation.fences.iter().all(|f| f.kept || !self.wish.modes.contains(&f.mode)))
    }

    /// The load cases shown, in their order.
    pub(crate) fn of_load_cases(&self) -> impl Iterator<Item = OfLoadCase<'_>> {
        let first = OfLoadCase {
            load_case: self.board.request.load_case,
            evaluation: &self.board.evaluation,
            differences: &self.board.differences,
        };
        let others = self.others.iter().zip(self.wish.load_cases.iter().skip(1)).map(|(c, &load_case)| OfLoadCase {
            load_case,
            evaluation: &c.evaluation,
            differences: &c.differences,
        });
        std::iter::once(first).chain(others)
    }

    /// Name of a mode.
    pub(crate) fn mode(&self, index: usize) -> &str {
        self.session.modes.get(index).map_or("", |m| &m.name)
    }

    /// The modes shown, the reference first and marked as such.
    pub(crate) fn in_columns(&self) -> Vec<usize> {
        let others = self.wish.modes.iter().copied().filter(|m| *m != self.wish.reference);
        std::iter::once(self.wish.reference).chain(others).collect()
    }

    /// Identities of all sets that were handed over.
    pub(crate) fn known_sets(&self) -> HashSet<&str> {
        self.session.handed_over.iter().map(|s| s.identity.as_str()).collect()
    }
}

/// The event that tells most over time: the first single obstacle or manoeuvre, else the first of all.
fn telling_event(session: &Session) -> usize {
    let is_telling = |kind: &EventKind| {
        !matches!(
            kind,
            EventKind::RandomRoad { .. }
                | EventKind::PatchedRoad { .. }
                | EventKind::Profile { .. }
                | EventKind::Sweep { .. }
                | EventKind::Harmonic { .. }
        )
    };
    session.events.iter().position(|e| is_telling(&e.kind)).unwrap_or(0)
}
