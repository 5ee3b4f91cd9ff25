//! Typed edits: everything the window changes in a session, each with a name for the undo menu.

use serde::{Deserialize, Serialize};

use crate::{
    AxleScales, Below, Conditions, Controller, CurrentMap, Damper, Event, Fault, Fence, HandedOver, InCar, Law,
    LoadCase, Mode, Release, Run, Session, Vehicle,
    axle_load::set_axle_load,
    check::{check, check_history_part, check_working_part, free_name},
    fault::{counted, quoted, with_unit},
    locked::{self, broken},
    map::{MapName, MapRef, Table},
    numbers::{number, set_number},
    proposal,
    resting::{self, OwnPart},
    shape::MapAxis,
};

/// Which end of the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum End {
    /// The front axle.
    Front,
    /// The rear axle.
    Rear,
}

impl End {
    /// Both ends.
    pub const ALL: [End; 2] = [End::Front, End::Rear];

    /// Name of the field in the document.
    pub const fn field(self) -> &'static str {
        match self {
            End::Front => "front",
            End::Rear => "rear",
        }
    }
}

/// Which scale of an axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Scale {
    /// On the heave map.
    Heave,
    /// On the wheel map.
    Wheel,
    /// On the base map.
    Base,
    /// On the roll map.
    Roll,
    /// On the pitch map.
    Pitch,
    /// On heave, wheel and base while the damper extends.
    Rebound,
    /// On heave, wheel and base while the damper shortens.
    Compression,
}

impl Scale {
    /// All scales in the order of the document.
    pub const ALL: [Scale; 7] =
        [Scale::Heave, Scale::Wheel, Scale::Base, Scale::Roll, Scale::Pitch, Scale::Rebound, Scale::Compression];

    /// Name of the field in the document.
    pub const fn field(self) -> &'static str {
        match self {
            Scale::Heave => "heave",
            Scale::Wheel => "wheel",
            Scale::Base => "base",
            Scale::Roll => "roll",
            Scale::Pitch => "pitch",
            Scale::Rebound => "rebound",
            Scale::Compression => "compression",
        }
    }

    /// The value of this scale.
    pub fn of(self, scales: &AxleScales) -> f64 {
        match self {
            Scale::Heave => scales.heave,
            Scale::Wheel => scales.wheel,
            Scale::Base => scales.base,
            Scale::Roll => scales.roll,
            Scale::Pitch => scales.pitch,
            Scale::Rebound => scales.rebound,
            Scale::Compression => scales.compression,
        }
    }
}

/// One cell with its new value: row, column, value.
pub type Cell = (usize, usize, f64);

/// One change. Members of lists are named by their index at the moment of the change.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Edit {
    /// Title of the session.
    SetTitle(String),
    /// Notes of the session.
    SetNotes(String),
    /// One number by its path, see [`crate::numbers()`].
    SetNumber {
        /// Path such as `vehicle.front.spring_rate_n_per_m` or `events[2].weight`.
        path: String,
        /// In the document's unit.
        value: f64,
    },
    /// Cells of a map.
    SetCells {
        /// Index of the mode.
        mode: usize,
        /// Which map.
        map: MapName,
        /// Cells with new values; each index must be inside the map.
        cells: Vec<Cell>,
    },
    /// A whole map with new axes; for the floor also where there was none.
    SetMap {
        /// Index of the mode.
        mode: usize,
        /// Which map.
        map: MapName,
        /// Axes and cells.
        table: Table,
    },
    /// Locks cells of a map against every edit, or unlocks them.
    SetLocked {
        /// Index of the mode.
        mode: usize,
        /// Which map.
        map: MapName,
        /// Row and column of each.
        cells: Vec<(usize, usize)>,
        /// True to lock.
        locked: bool,
    },
    /// A new breakpoint whose cells lie on the surface as it is; locks move with their cells.
    InsertBreakpoint {
        /// Index of the mode.
        mode: usize,
        /// Which map.
        map: MapName,
        /// Which axis.
        axis: MapAxis,
        /// Where on it, in its unit.
        at: f64,
    },
    /// Takes a breakpoint out; refused while a cell on it is locked, or where it is the last one.
    RemoveBreakpoint {
        /// Index of the mode.
        mode: usize,
        /// Which map.
        map: MapName,
        /// Which axis.
        axis: MapAxis,
        /// Index on the axis.
        index: usize,
    },
    /// The floor map of a mode, or none.
    SetFloor {
        /// Index of the mode.
        mode: usize,
        /// The map.
        floor: Option<CurrentMap>,
    },
    /// One scale of an axle in a mode.
    SetScale {
        /// Index of the mode.
        mode: usize,
        /// Which axle.
        end: End,
        /// Which scale.
        scale: Scale,
        /// New value.
        value: f64,
    },
    /// Current limits of a mode, A.
    SetCurrentLimits {
        /// Index of the mode.
        mode: usize,
        /// Least current.
        least_a: f64,
        /// Most current.
        most_a: f64,
    },
    /// Fastest change of the current, A/s; `None`: unlimited.
    SetSlew {
        /// Index of the mode.
        mode: usize,
        /// New value.
        slew_a_per_s: Option<f64>,
    },
    /// The control law of a mode.
    SetLaw {
        /// Index of the mode.
        mode: usize,
        /// New law.
        law: Law,
    },
    /// What a mode is for.
    SetPurpose {
        /// Index of the mode.
        mode: usize,
        /// In the engineer's words.
        purpose: String,
    },
    /// A new name for a mode; fences and the reference follow, runs and sets handed over keep the name they had.
    RenameMode {
        /// Index of the mode.
        mode: usize,
        /// New name.
        name: String,
    },
    /// A copy of a mode behind it; a name that is taken gets a number.
    DuplicateMode {
        /// Index of the mode.
        mode: usize,
        /// Wanted name of the copy.
        name: String,
    },
    /// Takes a mode out; refused while a fence names it. A reference mode that goes leaves the first mode as reference.
    DeleteMode {
        /// Index of the mode.
        mode: usize,
    },
    /// A new mode at an index, up to the number of modes.
    AddMode {
        /// Index it gets.
        at: usize,
        /// The mode.
        mode: Box<Mode>,
    },
    /// A whole mode in the place of another.
    ReplaceMode {
        /// Index of the mode.
        mode: usize,
        /// What takes its place.
        with: Box<Mode>,
    },
    /// Another place in the order of modes.
    MoveMode {
        /// Index of the mode.
        from: usize,
        /// Index it gets.
        to: usize,
    },
    /// Lets a mode rest on another one and follow it in all that does not differ, or stand alone; it holds what it held.
    RestOn {
        /// Index of the mode.
        mode: usize,
        /// Name of the other; `None`: it stands alone.
        on: Option<String>,
    },
    /// Takes parts that are a mode's own back to what the mode it rests on has.
    ToBase {
        /// Index of the mode.
        mode: usize,
        /// Which parts.
        parts: Vec<OwnPart>,
    },
    /// Lets the session rest on another one, or stand alone; it holds what it held.
    RestOnSession(Option<Box<Below>>),
    /// The session below is another now: what is not this session's own follows it.
    FollowSession(Box<Below>),
    /// The mode others are compared with; `None`: the first.
    SetReferenceMode(Option<String>),
    /// The mass that stands on one axle with its wheels, kg; the other axle keeps its own. Body mass and centre of gravity
    /// follow.
    SetAxleLoad {
        /// Which axle.
        end: End,
        /// As scales show it.
        load_kg: f64,
    },
    /// Takes proposed values as they are; see [`crate::proposal`].
    AcceptProposed(Vec<String>),
    /// Several edits that hold together though not one by one.
    Several {
        /// What they do, as in [`Edit::label`].
        label: String,
        /// In their order.
        edits: Vec<Edit>,
    },
    /// The whole car.
    SetVehicle(Box<Vehicle>),
    /// All load cases.
    SetLoadCases(Vec<LoadCase>),
    /// What all modes share.
    SetController(Box<Controller>),
    /// State of the dampers that is assumed.
    SetConditions(Conditions),
    /// Forces of a damper's bench data, N.
    SetDamperCells {
        /// Index of the damper.
        damper: usize,
        /// Row (velocity), column (current) and force.
        cells: Vec<Cell>,
    },
    /// A whole damper in the place of another; axles follow a new name.
    ReplaceDamper {
        /// Index of the damper.
        damper: usize,
        /// What takes its place.
        with: Box<Damper>,
    },
    /// A new damper at the end of the list.
    AddDamper(Box<Damper>),
    /// Takes a damper out; refused while an axle has it.
    DeleteDamper {
        /// Index of the damper.
        damper: usize,
    },
    /// A new event at an index, up to the number of events.
    AddEvent {
        /// Index it gets.
        at: usize,
        /// The event.
        event: Box<Event>,
    },
    /// A whole event in the place of another; fences follow a new name.
    ReplaceEvent {
        /// Index of the event.
        event: usize,
        /// What takes its place.
        with: Box<Event>,
    },
    /// Takes an event out; refused while a fence names it.
    DeleteEvent {
        /// Index of the event.
        event: usize,
    },
    /// Another place in the order of events.
    MoveEvent {
        /// Index of the event.
        from: usize,
        /// Index it gets.
        to: usize,
    },
    /// All fences.
    SetFences(Vec<Fence>),
    /// Notes that a set left for the car; the work goes on from it.
    AddHandedOver(Box<HandedOver>),
    /// Says which of the sets handed over is in the car now; absent: the last one.
    SetInCar(Option<InCar>),
    /// The modes of a set handed over take the place of those of the same names, others stay; the work goes on from it.
    StartFromSet {
        /// Index of the set.
        set: usize,
    },
    /// Who answers for sets beyond a draft.
    SetRelease(Box<Release>),
    /// A new run at the end of the logbook.
    AddRun(Box<Run>),
    /// A whole run in the place of another.
    ReplaceRun {
        /// Index of the run.
        run: usize,
        /// What takes its place.
        with: Box<Run>,
    },
    /// Takes a run out.
    DeleteRun {
        /// Index of the run.
        run: usize,
    },
    /// All attributes that a driver judges; verdicts given before keep theirs.
    SetVerdictAttributes(Vec<String>),
    /// Another word for an attribute; verdicts given before follow.
    RenameVerdictAttribute {
        /// Index of the attribute.
        attribute: usize,
        /// The new word.
        name: String,
    },
}

impl Edit {
    /// One cell of a map.
    pub fn cell(mode: usize, map: MapName, row: usize, column: usize, value: f64) -> Edit {
        Edit::SetCells { mode, map, cells: vec![(row, column, value)] }
    }

    /// Weight of an event in the overall figures.
    pub fn event_weight(event: usize, weight: f64) -> Edit {
        Edit::SetNumber { path: format!("events[{event}].weight"), value: weight }
    }

    /// Speed of an event, km/h.
    pub fn event_speed(event: usize, speed_km_h: f64) -> Edit {
        Edit::SetNumber { path: format!("events[{event}].speed_km_h"), value: speed_km_h }
    }

    /// Length of an event, s.
    pub fn event_duration(event: usize, duration_s: f64) -> Edit {
        Edit::SetNumber { path: format!("events[{event}].duration_s"), value: duration_s }
    }

    /// What the edit does, for the undo menu: begins in lower case, as in "Undo: …".
    pub fn label(&self, session: &Session) -> String {
        let mode_name = |index: &usize| session.modes.get(*index).map_or("mode", |mode| &mode.name).to_owned();
        let event_name = |index: &usize| session.events.get(*index).map_or("event", |event| &event.name).to_owned();
        match self {
            Edit::SetTitle(_) => "change the title".into(),
            Edit::SetNotes(_) => "change the notes".into(),
            Edit::SetNumber { path, .. } => match number(session, path) {
                Some(number) => format!("change {}", number.limit.label),
                None => format!("change {path}"),
            },
            Edit::SetCells { mode, map, cells } if cells.len() == 1 => {
                format!("change a cell of {} in {}", map.label(), mode_name(mode))
            }
            Edit::SetCells { mode, map, cells } => {
                format!("change {} cells of {} in {}", cells.len(), map.label(), mode_name(mode))
            }
            Edit::SetMap { mode, map, .. } => format!("change the table of {} in {}", map.label(), mode_name(mode)),
            Edit::SetLocked { mode, map, cells, locked } => format!(
                "{} {} of {} in {}",
                if *locked { "lock" } else { "unlock" },
                counted(cells.len(), "cell"),
                map.label(),
                mode_name(mode)
            ),
            Edit::InsertBreakpoint { mode, map, axis, at } => {
                format!("insert {} into {} in {}", with_unit(*at, axis_unit(*map, *axis)), map.label(), mode_name(mode))
            }
            Edit::RemoveBreakpoint { mode, map, .. } => {
                format!("take a breakpoint out of {} in {}", map.label(), mode_name(mode))
            }
            Edit::SetFloor { mode, floor: Some(_) } => format!("set the floor map of {}", mode_name(mode)),
            Edit::SetFloor { mode, floor: None } => format!("take out the floor map of {}", mode_name(mode)),
            Edit::SetScale { mode, end, scale, .. } => {
                format!("change the {} scale at the {} axle of {}", scale.field(), end.field(), mode_name(mode))
            }
            Edit::SetCurrentLimits { mode, .. } => format!("change the current limits of {}", mode_name(mode)),
            Edit::SetSlew { mode, .. } => format!("change the fastest current change of {}", mode_name(mode)),
            Edit::SetLaw { mode, .. } => format!("change the law of {}", mode_name(mode)),
            Edit::SetPurpose { mode, .. } => format!("change the purpose of {}", mode_name(mode)),
            Edit::RenameMode { mode, name } => format!("rename {} to {name}", mode_name(mode)),
            Edit::DuplicateMode { mode, .. } => format!("duplicate {}", mode_name(mode)),
            Edit::DeleteMode { mode } => format!("delete {}", mode_name(mode)),
            Edit::AddMode { mode, .. } => format!("add {}", mode.name),
            Edit::ReplaceMode { mode, .. } => format!("replace {}", mode_name(mode)),
            Edit::MoveMode { from, .. } => format!("move {}", mode_name(from)),
            Edit::RestOn { mode, on: Some(on) } => format!("let {} rest on {on}", mode_name(mode)),
            Edit::RestOn { mode, on: None } => format!("let {} stand alone", mode_name(mode)),
            Edit::ToBase { mode, parts } => {
                format!("take {} of {} back to its base", counted(parts.len(), "part"), mode_name(mode))
            }
            Edit::RestOnSession(Some(below)) => format!("let the session rest on {}", below.file),
            Edit::RestOnSession(None) => "let the session stand alone".into(),
            Edit::FollowSession(below) => format!("follow {}", below.file),
            Edit::SetReferenceMode(_) => "change the reference mode".into(),
            Edit::SetAxleLoad { end, .. } => format!("change the load on the {} axle", end.field()),
            Edit::AcceptProposed(marks) if marks.len() == 1 => "take a proposed value".into(),
            Edit::AcceptProposed(_) => "take the proposed values".into(),
            Edit::Several { label, .. } => label.clone(),
            Edit::SetVehicle(_) => "change the car".into(),
            Edit::SetLoadCases(_) => "change the load cases".into(),
            Edit::SetController(_) => "change the controller".into(),
            Edit::SetConditions(_) => "change the conditions of the dampers".into(),
            Edit::SetDamperCells { .. } | Edit::ReplaceDamper { .. } => "change the damper data".into(),
            Edit::AddDamper(_) => "add a damper".into(),
            Edit::DeleteDamper { .. } => "delete a damper".into(),
            Edit::AddEvent { event, .. } => format!("add {}", event.name),
            Edit::ReplaceEvent { event, .. } => format!("change {}", event_name(event)),
            Edit::DeleteEvent { event } => format!("delete {}", event_name(event)),
            Edit::MoveEvent { from, .. } => format!("move {}", event_name(from)),
            Edit::SetFences(_) => "change the fences".into(),
            Edit::AddHandedOver(_) => "note a set handed over".into(),
            Edit::SetInCar(_) => "say which set is in the car".into(),
            Edit::StartFromSet { set } => match session.handed_over.get(*set) {
                Some(set) => format!("go on from set {}", crate::sets::short(&set.identity)),
                None => "go on from a set".into(),
            },
            Edit::SetRelease(_) => "change who answers for sets".into(),
            Edit::AddRun(_) => "add a run".into(),
            Edit::ReplaceRun { .. } => "change a run".into(),
            Edit::DeleteRun { .. } => "delete a run".into(),
            Edit::SetVerdictAttributes(_) => "change the attributes judged".into(),
            Edit::RenameVerdictAttribute { name, .. } => format!("rename an attribute to {name}"),
        }
    }
}

/// Applies an edit. Where it cannot be applied, or the session would get a fault that it had not before, the session stays
/// as it is and the fault comes back.
pub fn apply(session: &mut Session, edit: &Edit) -> Result<(), Fault> {
    *session = applied(session, edit)?;
    Ok(())
}

/// The session as it is with the edit, or the fault that speaks against it.
pub(crate) fn applied(session: &Session, edit: &Edit) -> Result<Session, Fault> {
    let mut changed = session.clone();
    put(&mut changed, edit)?;
    if !edit.sets_modes_as_they_stand() {
        resting::follow(session, &mut changed);
    }
    if !session.proposed.is_empty() {
        proposal::touch(session, &mut changed, edit);
        // What is still only proposed follows, unless the session would get a fault from it that it has not by itself.
        let mut followed = changed.clone();
        proposal::follow(&mut followed);
        if speaks_against(session, &followed, edit).is_none() {
            return Ok(followed);
        }
    }
    match speaks_against(session, &changed, edit) {
        Some(fault) => Err(fault),
        None => Ok(changed),
    }
}

/// One part of the check.
type Check = fn(&Session) -> Result<(), Vec<Fault>>;

/// The first fault that an edit would bring. Work that was opened with faults can still be mended step by step.
fn speaks_against(session: &Session, changed: &Session, edit: &Edit) -> Option<Fault> {
    let parts: &[Check] = match (edit, edit.touches_history()) {
        (Edit::Several { .. }, true) => &[check_working_part, check_history_part],
        (_, true) => &[check_history_part],
        (_, false) => &[check_working_part],
    };
    if let Some(fault) = broken(session, changed) {
        return Some(fault);
    }
    let faults: Vec<Fault> = parts.iter().filter_map(|check| check(changed).err()).flatten().collect();
    if faults.is_empty() {
        return None;
    }
    let before = check(session).err().unwrap_or_default();
    faults.into_iter().find(|fault| !before.contains(fault))
}

impl Edit {
    /// True where modes come from elsewhere as they are, and must not follow what they rest on.
    fn sets_modes_as_they_stand(&self) -> bool {
        match self {
            Edit::StartFromSet { .. } | Edit::RestOn { .. } | Edit::RestOnSession(_) | Edit::FollowSession(_) => true,
            Edit::Several { edits, .. } => edits.iter().any(Edit::sets_modes_as_they_stand),
            _ => false,
        }
    }

    fn touches_history(&self) -> bool {
        match self {
            Edit::AddHandedOver(_)
            | Edit::SetInCar(_)
            | Edit::SetRelease(_)
            | Edit::AddRun(_)
            | Edit::ReplaceRun { .. }
            | Edit::DeleteRun { .. }
            | Edit::SetVerdictAttributes(_)
            | Edit::RenameVerdictAttribute { .. } => true,
            Edit::SetNumber { path, .. } => path.starts_with("logbook"),
            Edit::Several { edits, .. } => edits.iter().any(Edit::touches_history),
            _ => false,
        }
    }
}

fn put(session: &mut Session, edit: &Edit) -> Result<(), Fault> {
    match edit {
        Edit::SetTitle(title) => session.title.clone_from(title),
        Edit::SetNotes(notes) => session.notes.clone_from(notes),
        Edit::SetNumber { path, value } => set_number(session, path, *value)?,
        Edit::SetCells { mode, map, cells } => {
            let at = *mode;
            let mode = member(&mut session.modes, "modes", at)?;
            let place = format!("modes[{at}] {:?}.{}", mode.name, map.field());
            let Some(table) = mode.map_mut(*map) else {
                return Err(Fault::new(place, "cells", "to be changed", "this mode has no such map"));
            };
            put_cells(table.values, cells, &place, map.values_field())?;
        }
        Edit::SetMap { mode, map, table } => {
            put_table(member(&mut session.modes, "modes", *mode)?, *map, table.clone());
        }
        Edit::SetLocked { mode, map, cells, locked } => {
            member(&mut session.modes, "modes", *mode)?.locked.set(*map, cells, *locked);
        }
        Edit::InsertBreakpoint { mode: at_mode, map, axis, at } => {
            let mode = member(&mut session.modes, "modes", *at_mode)?;
            let table = whole_table(mode, *at_mode, *map)?;
            let Some(table) = table.with_breakpoint(*axis, *at) else {
                let place = format!("modes[{at_mode}] {:?}.{}", mode.name, map.field());
                let value = with_unit(*at, axis_unit(*map, *axis));
                return Err(Fault::new(place, "a new breakpoint", value, "the axis has it already"));
            };
            put_table(mode, *map, table);
        }
        Edit::RemoveBreakpoint { mode: at_mode, map, axis, index } => {
            let mode = member(&mut session.modes, "modes", *at_mode)?;
            let table = whole_table(mode, *at_mode, *map)?;
            let Some((table, _)) = table.without_breakpoint(*axis, *index) else {
                let place = format!("modes[{at_mode}] {:?}.{}", mode.name, map.field());
                let bound = "an axis keeps one breakpoint at least, and has none beyond its last";
                return Err(Fault::new(place, format!("breakpoint {index}"), "to be taken out", bound));
            };
            put_table(mode, *map, table);
        }
        Edit::SetFloor { mode, floor } => {
            let mode = member(&mut session.modes, "modes", *mode)?;
            match floor {
                None => {
                    mode.floor = None;
                    mode.locked.floor.clear();
                }
                Some(CurrentMap { rows, columns, values_a }) => {
                    let (rows, columns, values) = (rows.clone(), columns.clone(), values_a.clone());
                    put_table(mode, MapName::Floor, Table { rows, columns, values });
                }
            }
        }
        Edit::SetScale { mode, end, scale, value } => {
            let path = format!("modes[{mode}].{}.{}", end.field(), scale.field());
            set_number(session, &path, *value)?;
        }
        Edit::SetCurrentLimits { mode, least_a, most_a } => {
            let mode = member(&mut session.modes, "modes", *mode)?;
            (mode.current_min_a, mode.current_max_a) = (*least_a, *most_a);
        }
        Edit::SetSlew { mode, slew_a_per_s } => {
            member(&mut session.modes, "modes", *mode)?.slew_a_per_s = *slew_a_per_s;
        }
        Edit::SetLaw { mode, law } => member(&mut session.modes, "modes", *mode)?.law.clone_from(law),
        Edit::SetPurpose { mode, purpose } => {
            member(&mut session.modes, "modes", *mode)?.purpose.clone_from(purpose);
        }
        Edit::RenameMode { mode, name } => rename_mode(session, *mode, name)?,
        Edit::DuplicateMode { mode, name } => {
            let mut copy = member(&mut session.modes, "modes", *mode)?.clone();
            copy.name = free_name(name, session.modes.iter().map(|mode| mode.name.as_str()));
            session.modes.insert(mode + 1, copy);
        }
        Edit::DeleteMode { mode } => {
            let gone = remove(&mut session.modes, "modes", *mode)?;
            if session.reference_mode.as_ref() == Some(&gone.name) {
                session.reference_mode = None;
            }
            resting::without(session, &gone);
        }
        Edit::AddMode { at, mode } => insert(&mut session.modes, "modes", *at, mode)?,
        Edit::ReplaceMode { mode, with } => {
            rename_mode(session, *mode, &with.name)?;
            member(&mut session.modes, "modes", *mode)?.clone_from(with);
        }
        Edit::MoveMode { from, to } => {
            member(&mut session.modes, "modes", *to)?;
            let mode = remove(&mut session.modes, "modes", *from)?;
            session.modes.insert(*to, mode);
        }
        Edit::RestOn { mode, on } => resting::rest_on(session, *mode, on.as_deref())?,
        Edit::ToBase { mode, parts } => resting::to_base(session, *mode, parts)?,
        Edit::RestOnSession(below) => {
            if let Some(below) = below
                && crate::below::Form::of(session, below).is_none()
            {
                return Err(Fault::new("", "rests_on", quoted(&below.file), crate::below::NOT_TOLD_APART));
            }
            session.below.clone_from(below);
        }
        Edit::FollowSession(below) => *session = session.followed((**below).clone())?,
        Edit::SetReferenceMode(name) => session.reference_mode.clone_from(name),
        Edit::SetAxleLoad { end, load_kg } => set_axle_load(&mut session.vehicle, *end, *load_kg)?,
        Edit::AcceptProposed(marks) => session.proposed.retain(|mark| !marks.contains(mark)),
        Edit::Several { edits, .. } => {
            for edit in edits {
                put(session, edit)?;
            }
        }
        Edit::SetVehicle(vehicle) => session.vehicle.clone_from(vehicle),
        Edit::SetLoadCases(cases) => session.vehicle.load_cases.clone_from(cases),
        Edit::SetController(controller) => session.controller.clone_from(controller),
        Edit::SetConditions(conditions) => session.conditions.clone_from(conditions),
        Edit::SetDamperCells { damper, cells } => {
            let at = *damper;
            let damper = member(&mut session.dampers, "dampers", at)?;
            let place = format!("dampers[{at}] {:?}", damper.name);
            put_cells(&mut damper.force_n, cells, &place, "force_n")?;
        }
        Edit::ReplaceDamper { damper, with } => {
            let place = member(&mut session.dampers, "dampers", *damper)?;
            let before = std::mem::replace(place, (**with).clone()).name;
            for axle in [&mut session.vehicle.front, &mut session.vehicle.rear] {
                if axle.damper == before {
                    axle.damper.clone_from(&with.name);
                }
            }
        }
        Edit::AddDamper(damper) => session.dampers.push((**damper).clone()),
        Edit::DeleteDamper { damper } => {
            remove(&mut session.dampers, "dampers", *damper)?;
        }
        Edit::AddEvent { at, event } => insert(&mut session.events, "events", *at, event)?,
        Edit::ReplaceEvent { event, with } => {
            let place = member(&mut session.events, "events", *event)?;
            let before = std::mem::replace(place, (**with).clone()).name;
            for fence in &mut session.fences {
                if fence.event.as_ref() == Some(&before) {
                    fence.event = Some(with.name.clone());
                }
            }
        }
        Edit::DeleteEvent { event } => {
            remove(&mut session.events, "events", *event)?;
        }
        Edit::MoveEvent { from, to } => {
            member(&mut session.events, "events", *to)?;
            let event = remove(&mut session.events, "events", *from)?;
            session.events.insert(*to, event);
        }
        Edit::SetFences(fences) => session.fences.clone_from(fences),
        Edit::AddHandedOver(set) => {
            session.handed_over.push((**set).clone());
            session.began_from = Some(set.identity.clone());
            // What is handed over is in the car from then on.
            session.in_car = None;
        }
        Edit::SetInCar(in_car) => session.in_car.clone_from(in_car),
        Edit::StartFromSet { set } => crate::sets::start_from(session, *set)?,
        Edit::SetRelease(release) => session.release = Some((**release).clone()),
        Edit::AddRun(run) => session.logbook.push((**run).clone()),
        Edit::ReplaceRun { run, with } => member(&mut session.logbook, "logbook", *run)?.clone_from(with),
        Edit::DeleteRun { run } => {
            remove(&mut session.logbook, "logbook", *run)?;
        }
        Edit::SetVerdictAttributes(attributes) => session.verdict_attributes.clone_from(attributes),
        Edit::RenameVerdictAttribute { attribute, name } => {
            let place = member(&mut session.verdict_attributes, "verdict_attributes", *attribute)?;
            let before = std::mem::replace(place, name.clone());
            let verdicts = session.logbook.iter_mut().flat_map(|run| &mut run.verdicts);
            verdicts.filter(|it| it.attribute == before).for_each(|it| it.attribute.clone_from(name));
        }
    }
    Ok(())
}

fn rename_mode(session: &mut Session, index: usize, name: &str) -> Result<(), Fault> {
    let mode = member(&mut session.modes, "modes", index)?;
    let before = std::mem::replace(&mut mode.name, name.to_owned());
    let follow = |reference: &mut String| {
        if *reference == before {
            name.clone_into(reference);
        }
    };
    session.reference_mode.iter_mut().for_each(follow);
    resting::renamed(session, &before, name);
    for fence in &mut session.fences {
        fence.relative_to.iter_mut().chain(&mut fence.modes).for_each(follow);
    }
    Ok(())
}

/// A map of a mode as a table of its own.
fn whole_table(mode: &Mode, index: usize, map: MapName) -> Result<Table, Fault> {
    let place = || format!("modes[{index}] {:?}.{}", mode.name, map.field());
    let table =
        mode.map(map).ok_or_else(|| Fault::new(place(), "axes", "to be changed", "this mode has no such map"))?;
    // Work that was opened with faults may hold a map that is no table.
    let is_whole = !table.columns.is_empty()
        && table.values.len() == table.rows.len()
        && table.values.iter().all(|row| row.len() == table.columns.len());
    if is_whole {
        Ok(table.to_table())
    } else {
        Err(Fault::new(place(), "axes", "to be changed", "its rows are not whole"))
    }
}

/// Puts a table in the place of a map; locks move with their cells.
fn put_table(mode: &mut Mode, map: MapName, table: Table) {
    let kept = mode.map(map).map(|before| {
        let after = MapRef { rows: &table.rows, columns: &table.columns, values: &table.values };
        locked::moved(mode.locked.of(map), before, after)
    });
    *mode.locked.of_mut(map) = kept.unwrap_or_default();
    mode.put_map(map, table);
}

fn axis_unit(map: MapName, axis: MapAxis) -> &'static str {
    match axis {
        MapAxis::Speed => map.row_unit(),
        MapAxis::Second => map.column_unit(),
    }
}

fn put_cells(values: &mut [Vec<f64>], cells: &[Cell], place: &str, field: &str) -> Result<(), Fault> {
    for &(row, column, value) in cells {
        let (rows, columns) = (values.len(), values.first().map_or(0, Vec::len));
        let Some(cell) = values.get_mut(row).and_then(|line| line.get_mut(column)) else {
            let bound = format!("the table has {rows} rows and {columns} columns");
            return Err(Fault::new(place, field, format!("to be changed at row {row}, column {column}"), bound));
        };
        *cell = value;
    }
    Ok(())
}

pub(crate) fn missing(list: &str, index: usize, count: usize) -> Fault {
    Fault::new("", list, format!("asked for entry {index}"), format!("it has {count}, counted from 0"))
}

fn member<'l, T>(list: &'l mut [T], name: &str, index: usize) -> Result<&'l mut T, Fault> {
    let count = list.len();
    list.get_mut(index).ok_or_else(|| missing(name, index, count))
}

fn remove<T>(list: &mut Vec<T>, name: &str, index: usize) -> Result<T, Fault> {
    if index < list.len() { Ok(list.remove(index)) } else { Err(missing(name, index, list.len())) }
}

fn insert<T: Clone>(list: &mut Vec<T>, name: &str, index: usize, member: &T) -> Result<(), Fault> {
    if index <= list.len() {
        list.insert(index, member.clone());
        Ok(())
    } else {
        Err(missing(name, index, list.len()))
    }
}
