//! An immutable snapshot of a session, compiled once: cars in every load case, modes, events.

use crate::block::Engine;
use crate::roads::{Draft, Road};
use crate::{Cancelled, Memory, Profiles, Progress, Selection, convert, events};
use rayon::prelude::*;
use washboard_car::{Damper, LoadCase, Loaded, Model, Plant, Vehicle};
use washboard_control::{Calibration, Estimation, Law, Settings};
use washboard_metrics::MetricId;
use washboard_road::{Event, Geometry, Manoeuvre, Side, Surface, Tracks};
use washboard_session::{Fence, Session};
use washboard_signal::Instructions;
use washboard_sim::clock::{Clock, longest_step_over_edges_s, times_finer_switching};

/// Name of load case 0.
pub const AS_DESCRIBED: &str = "as described";

/// Why a session cannot be computed, or a request does not fit it. One sentence each.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[allow(missing_docs)]
pub enum StudyFault {
    #[error("{0}")]
    Document(String),
    #[error("An axle names the damper \"{name}\", but the session has no damper of that name.")]
    NoDamper { name: String },
    #[error("Event \"{event}\" needs the profile \"{file}\", which has not been read.")]
    NoProfile { event: String, file: String },
    #[error("There is no {kind} called \"{name}\"; there is {known}.")]
    Unknown { kind: &'static str, name: String, known: String },
    #[error("{field} is {value}, but must be {bound}.")]
    Number { field: &'static str, value: f64, bound: String },
    #[error("Filters do not fit the sample rate: {0}")]
    Filter(String),
    #[error("The computation was stopped.")]
    Stopped,
}

impl From<Cancelled> for StudyFault {
    fn from(_: Cancelled) -> Self {
        StudyFault::Stopped
    }
}

/// Fences name metrics, which the session alone does not know.
///
/// # Errors
/// Names the first fence whose metric there is not.
fn check_metrics(session: &Session) -> Result<(), StudyFault> {
    let is_unknown = |(_, fence): &(usize, &Fence)| MetricId::by_name(&fence.metric).is_none();
    match session.fences.iter().enumerate().find(is_unknown) {
        None => Ok(()),
        Some((index, fence)) => Err(StudyFault::Document(format!(
            "fences[{index}]: metric is {:?}, but it must be the name of a metric as evaluate --json prints it.",
            fence.metric
        ))),
    }
}

/// A push that does not last any longer: the car still swings at its end.
const LONGEST_HOLD_S: f64 = 3.0;

/// An event with what the figures need besides the road.
#[derive(Clone, Debug)]
pub(crate) struct Course {
    pub event: Event,
    pub settle_s: f64,
    pub weight: f64,
}

impl Course {
    /// True for a road that is one of many alike, drawn from a seed.
    pub(crate) fn is_drawn(&self) -> bool {
        matches!(self.event.surface, Surface::Random(_) | Surface::Patched(_))
    }

    /// True for a road that moves all that moves of a car from start to end. A sweep is the same under both sides: the
    /// little that a car rolls on it which leans ([`Study::leans`]) is lost in the heave.
    pub(crate) fn never_rests(&self, leans: bool) -> bool {
        match self.event.surface {
            Surface::Random(_) | Surface::Patched(_) => true,
            Surface::Sweep { .. } => !leans,
            _ => false,
        }
    }

    /// True for a road and a manoeuvre that move all that moves of a car, and after which it comes to rest where it began: a
    /// single obstacle, or a push that does not last.
    pub(crate) fn rests_level(&self, leans: bool) -> bool {
        let obstacle = match self.event.surface {
            Surface::Flat => None,
            Surface::CosineBump { side, .. } | Surface::CircularHump { side, .. } | Surface::Pothole { side, .. } => {
                Some(side)
            }
            _ => return false,
        };
        let (passes, rolls) = match self.event.manoeuvre {
            Manoeuvre::None => (true, false),
            Manoeuvre::LaneChange { .. } => (true, true),
            Manoeuvre::Longitudinal { hold_s, .. } => (hold_s.is_some_and(|hold_s| hold_s <= LONGEST_HOLD_S), false),
            Manoeuvre::LateralStep { .. } | Manoeuvre::Steered { .. } | Manoeuvre::BrakingInBend { .. } => {
                (false, true)
            }
        };
        passes && (rolls || !leans || obstacle.is_some_and(|side| side != Side::Both))
    }

    /// True if road or manoeuvre move anything of a model: a half car that does not roll stands still in a lane change.
    pub(crate) fn moves(&self, model: Model) -> bool {
        let rolls_or_pitches = match self.event.manoeuvre {
            Manoeuvre::None => false,
            Manoeuvre::LaneChange { .. } | Manoeuvre::LateralStep { .. } | Manoeuvre::Steered { .. } => model.rolls(),
            Manoeuvre::Longitudinal { .. } => model.pitches(),
            Manoeuvre::BrakingInBend { .. } => model.rolls() || model.pitches(),
        };
        rolls_or_pitches || !matches!(self.event.surface, Surface::Flat)
    }

    pub(crate) fn is_random(&self) -> bool {
        matches!(self.event.surface, Surface::Random(_))
    }
}

/// A compiled session. Cheap to share between threads; an edit makes a new one.
#[derive(Clone, Debug)]
pub struct Study {
    pub(crate) session: Session,
    pub(crate) vehicle: Vehicle,
    pub(crate) loaded: Vec<Loaded>,
    pub(crate) calibrations: Vec<Calibration>,
    pub(crate) courses: Vec<Course>,
    pub(crate) settings: Settings,
    pub(crate) estimation: Option<Estimation>,
    pub(crate) memory: Memory,
    pub(crate) engine: Engine,
    finer: usize,
}

impl Study {
    /// Compiles a session; measured profiles come beside it.
    ///
    /// # Errors
    /// One sentence where the session does not pass its own check, or a profile is missing.
    pub fn new(session: &Session, profiles: &Profiles) -> Result<Study, StudyFault> {
        if let Err(faults) = washboard_session::check(session) {
            let first = faults.first().map_or_else(|| "The session is not valid.".to_owned(), ToString::to_string);
            return Err(StudyFault::Document(first));
        }
        check_metrics(session)?;
        let vehicle = convert::vehicle(session)?;
        let mut loaded = vec![Loaded::new(&vehicle, &LoadCase::default())];
        loaded.extend(session.vehicle.load_cases.iter().map(|c| Loaded::new(&vehicle, &convert::load_case(c))));
        let courses = session.events.iter().map(|e| {
            Ok(Course { event: events::event(e, &session.vehicle, profiles)?, settle_s: e.settle_s, weight: e.weight })
        });
        let study = Study {
            loaded,
            calibrations: session.modes.iter().map(|m| convert::calibration(m, session)).collect(),
            courses: courses.collect::<Result<_, StudyFault>>()?,
            settings: convert::settings(&session.controller),
            estimation: convert::estimation(&session.controller.states),
            memory: Memory::default(),
            engine: Engine::default(),
            finer: 1,
            session: session.clone(),
            vehicle,
        };
        Ok(study)
    }

    /// Divides every plant step by a whole number, to show how results converge.
    #[must_use]
    pub fn with_finer_steps(mut self, times: usize) -> Self {
        self.finer = times.max(1);
        // Results with other steps are not these.
        self.memory = Memory::default();
        self
    }

    /// Computes with given instructions and at most so many runs side by side (1, 4 or 8; as many as the instructions
    /// serve), for comparisons; results do not depend on it.
    #[must_use]
    pub fn computed_with(mut self, instructions: Instructions, lanes: usize) -> Self {
        self.engine = Engine::new(instructions, lanes);
        self
    }

    /// Computes everything in double precision, also what a screen needs no more than seven digits of: for what is written down.
    #[must_use]
    pub fn in_double_precision(mut self) -> Self {
        self.engine.single_lanes = None;
        // Curves known from before may be of single precision.
        self.memory = self.memory.with_roads_only();
        self
    }

    /// Uses roads and results of earlier states of the session.
    pub fn sharing(mut self, memory: &Memory) -> Self {
        self.memory = memory.clone();
        self
    }

    /// The session it was compiled from.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Names of the modes.
    pub fn mode_names(&self) -> Vec<&str> {
        self.session.modes.iter().map(|m| m.name.as_str()).collect()
    }

    /// Names of the events.
    pub fn event_names(&self) -> Vec<&str> {
        self.session.events.iter().map(|e| e.name.as_str()).collect()
    }

    /// Names of the load cases; the first is the car as described.
    pub fn load_case_names(&self) -> Vec<&str> {
        let own = self.session.vehicle.load_cases.iter().map(|c| c.name.as_str());
        std::iter::once(AS_DESCRIBED).chain(own).collect()
    }

    /// Index of the reference mode: the one the session names, else the first.
    pub fn reference(&self) -> usize {
        let named = self.session.reference_mode.as_deref();
        named.and_then(|n| self.session.modes.iter().position(|m| m.name == n)).unwrap_or(0)
    }

    /// Resolves names; an empty list takes all.
    ///
    /// # Errors
    /// A sentence with what there is, where a name is unknown.
    pub fn selection(
        &self,
        model: Model,
        modes: &[&str],
        events: &[&str],
        load_cases: &[&str],
    ) -> Result<Selection, StudyFault> {
        Ok(Selection {
            model,
            modes: resolve("mode", modes, &self.mode_names())?,
            events: resolve("event", events, &self.event_names())?,
            load_cases: resolve("load case", load_cases, &self.load_case_names())?,
        })
    }

    /// Index of a mode by name.
    ///
    /// # Errors
    /// A sentence with the modes there are.
    pub fn mode(&self, name: &str) -> Result<usize, StudyFault> {
        Ok(resolve("mode", &[name], &self.mode_names())?[0])
    }

    /// Index of an event by name.
    ///
    /// # Errors
    /// A sentence with the events there are.
    pub fn event(&self, name: &str) -> Result<usize, StudyFault> {
        Ok(resolve("event", &[name], &self.event_names())?[0])
    }

    /// Index of a load case by name.
    ///
    /// # Errors
    /// A sentence with the load cases there are.
    pub fn load_case(&self, name: &str) -> Result<usize, StudyFault> {
        Ok(resolve("load case", &[name], &self.load_case_names())?[0])
    }

    pub(crate) fn plants<const C: usize>(&self, model: Model) -> Vec<Plant<C>> {
        self.loaded.iter().map(|l| Plant::new(&self.vehicle, l, model)).collect()
    }

    pub(crate) fn dampers<const C: usize>(&self, model: Model) -> [&Damper; C] {
        let places = model.corner_places();
        std::array::from_fn(|c| &*self.vehicle.axles[places[c].0].damper)
    }

    /// The plant step of a model. It looks at every load case, so that a result does not depend on what else is asked.
    pub(crate) fn clock<const C: usize>(&self, model: Model, plants: &[Plant<C>]) -> Clock {
        let rate_hz = self.settings.sample_rate_hz;
        let guarded = Clock::new(rate_hz, plants, &self.dampers::<C>(model));
        Clock::with_substeps(rate_hz, guarded.substeps * self.finer)
    }

    /// True for a model that rolls a little on a road that pushes it straight up, or under braking: its load lies to one side, or
    /// its controller sees what its sensors make of it. A car that is the same on both sides does not roll there at all, in
    /// whatever precision.
    pub(crate) fn leans(&self, model: Model, load_case: usize) -> bool {
        let Loaded { corner_y_m: y, wheel_load_n: load, deflection_m: e, .. } = &self.loaded[load_case];
        let is_even =
            |left: usize, right: usize| y[left] == -y[right] && load[left] == load[right] && e[left] == e[right];
        model.rolls() && (self.estimation.is_some() || !is_even(0, 1) || !is_even(2, 3))
    }

    /// How the time of a run is divided: as the model's guard says, or finer where law or road ask for it. It looks at
    /// nothing but the run, so that a result does not depend on what else is asked.
    pub(crate) fn clock_for(&self, guarded: &Clock, law: Law, event: Option<&Event>) -> Clock {
        let mut times = 1;
        if law.switches() {
            times = times.max(times_finer_switching(self.settings.sample_rate_hz));
        }
        if let Some(edge_s) = event.and_then(Event::shortest_edge_s) {
            // Comparisons with finer steps divide these too.
            let undivided = Clock { step_s: guarded.step_s * self.finer as f64, ..*guarded };
            times = times.max(undivided.times_within(longest_step_over_edges_s(edge_s)));
        }
        guarded.finer(times)
    }

    /// Where the wheels stand on the road.
    pub(crate) fn geometry(&self) -> Geometry {
        Geometry {
            wheelbase_m: self.vehicle.wheelbase_m,
            track_m: 0.5 * (self.vehicle.axles[0].track_m + self.vehicle.axles[1].track_m),
            contact_length_m: [self.session.vehicle.front.contact_length_m, self.session.vehicle.rear.contact_length_m],
        }
    }

    /// The roads of events that are driven together, each at the plant steps of a clock, drawn in parallel; long ones are
    /// sampled on the way.
    pub(crate) fn roads<'e>(
        &self,
        model: Model,
        events: impl IntoIterator<Item = (&'e Event, Clock)>,
        progress: &Progress,
    ) -> Result<Vec<Road>, Cancelled> {
        let geometry = self.geometry();
        let tracks = if model.rolls() { Tracks::Two } else { Tracks::Single };
        let draft = |(event, clock): (&Event, Clock)| {
            let (steps, step_s) = (clock.steps(event.duration_s), clock.step_s);
            Draft { event: event.clone(), geometry, tracks, step_s, steps }
        };
        let drafts: Vec<Draft> = events.into_iter().map(draft).collect();
        let is_kept = self.memory.roads.kept_of(&drafts);
        let draw = |(draft, is_kept): (Draft, bool)| {
            progress.check()?;
            Ok(self.memory.roads.get(draft, is_kept))
        };
        drafts.into_par_iter().zip(is_kept).map(draw).collect()
    }
}

fn resolve(kind: &'static str, names: &[&str], known: &[&str]) -> Result<Vec<usize>, StudyFault> {
    if names.is_empty() {
        return Ok((0..known.len()).collect());
    }
    let mut found = Vec::new();
    for name in names {
        let index = known.iter().position(|k| k == name).ok_or_else(|| StudyFault::Unknown {
            kind,
            name: (*name).to_owned(),
            known: known.iter().map(|k| format!("\"{k}\"")).collect::<Vec<_>>().join(", "),
        })?;
        if !found.contains(&index) {
            found.push(index);
        }
    }
    Ok(found)
}
