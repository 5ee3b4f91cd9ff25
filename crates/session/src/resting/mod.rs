//! Modes that rest on another one: they hold what is their own, and all else follows the mode they rest on.
//!
//! In memory every mode is whole, so that whatever reads modes needs to know nothing of this; [`Resting`] says which parts
//! are a mode's own. In a file only those stand.

mod follow;
mod form;
mod setting;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Fault, Mode, Session,
    document::is_default,
    fault::{quoted, with_unit},
    locked::LockedCells,
    map::{MapName, MapRef, Table},
};

pub(crate) use follow::follow;
pub(crate) use form::{Form as ModeForm, ModeInFile, forms_beside, modes_on_top, read, write};
pub use setting::Setting;

/// What a mode rests on, and which of its parts are its own whatever that mode has.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Resting {
    /// Name of the mode it rests on.
    pub on: String,
    /// Cells of its own, in maps whose axes are those of that mode.
    #[serde(skip_serializing_if = "is_default")]
    pub cells: LockedCells,
    /// Maps of its own as a whole, with axes of their own or none where that mode has one.
    #[serde(skip_serializing_if = "is_default")]
    pub maps: Vec<MapName>,
    /// Settings of its own.
    #[serde(skip_serializing_if = "is_default")]
    pub settings: Vec<Setting>,
}

/// One part of a mode that may be its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OwnPart {
    /// A cell of a map: row and column.
    Cell(MapName, usize, usize),
    /// A whole map.
    Map(MapName),
    /// A setting.
    Setting(Setting),
}

/// One part that a mode has of its own, in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Deviation {
    /// Which part.
    pub part: OwnPart,
    /// What it is, with its place.
    pub what: String,
    /// What the mode below has, with its unit.
    pub base: String,
    /// What this mode has, with its unit.
    pub own: String,
}

impl Resting {
    /// How many parts are its own.
    pub(crate) fn count(&self) -> usize {
        self.maps.len() + self.settings.len() + MapName::ALL.into_iter().map(|m| self.cells.of(m).len()).sum::<usize>()
    }

    fn has(&self, part: OwnPart) -> bool {
        match part {
            OwnPart::Cell(map, row, column) => self.cells.of(map).contains(&(row, column)),
            OwnPart::Map(map) => self.maps.contains(&map),
            OwnPart::Setting(setting) => self.settings.contains(&setting),
        }
    }

    /// Says whether a part is its own; lists stay in order.
    fn put(&mut self, part: OwnPart, is_own: bool) {
        match part {
            OwnPart::Cell(map, row, column) => self.cells.set(map, &[(row, column)], is_own),
            OwnPart::Map(map) => {
                self.maps.retain(|m| *m != map);
                if is_own {
                    self.maps.push(map);
                    self.maps.sort_unstable();
                    self.cells.of_mut(map).clear();
                }
            }
            OwnPart::Setting(setting) => {
                self.settings.retain(|s| *s != setting);
                if is_own {
                    self.settings.push(setting);
                    self.settings.sort_unstable();
                }
            }
        }
    }

    /// What is its own where a mode comes to rest on another: whatever differs.
    fn between(base: &Mode, mode: &Mode) -> Resting {
        let mut resting = Resting { on: base.name.clone(), ..Resting::default() };
        for map in MapName::ALL {
            match (base.map(map), mode.map(map)) {
                (Some(below), Some(own)) if same_axes(&below, &own) => {
                    let cells: Vec<(usize, usize)> = differing(&below, &own);
                    resting.cells.set(map, &cells, true);
                }
                (None, None) => {}
                _ => resting.put(OwnPart::Map(map), true),
            }
        }
        for setting in Setting::all().filter(|s| !s.is_same(base, mode)) {
            resting.put(OwnPart::Setting(setting), true);
        }
        resting
    }
}

/// True where two maps have the same breakpoints.
fn same_axes(one: &MapRef<'_>, other: &MapRef<'_>) -> bool {
    one.rows == other.rows && one.columns == other.columns
}

/// Cells whose values are not the same bits.
fn differing(one: &MapRef<'_>, other: &MapRef<'_>) -> Vec<(usize, usize)> {
    let cells = (0..one.rows.len()).flat_map(|r| (0..one.columns.len()).map(move |c| (r, c)));
    cells.filter(|(r, c)| one.cell(*r, *c).map(f64::to_bits) != other.cell(*r, *c).map(f64::to_bits)).collect()
}

/// Puts a map of one mode into another, or takes it out where there is none.
fn copy_map(from: &Mode, to: &mut Mode, map: MapName) {
    match from.map(map).map(|m| m.to_table()) {
        Some(table) => to.put_map(map, table),
        None if map == MapName::Floor => to.floor = None,
        None => {}
    }
}

impl Mode {
    /// Name of the mode it rests on; absent: it stands alone.
    pub fn base_name(&self) -> Option<&str> {
        self.rests_on.as_ref().map(|resting| resting.on.as_str())
    }

    /// True where a cell is this mode's own and does not follow the mode it rests on.
    pub fn is_own_cell(&self, map: MapName, row: usize, column: usize) -> bool {
        self.rests_on.as_ref().is_some_and(|it| it.has(OwnPart::Map(map)) || it.has(OwnPart::Cell(map, row, column)))
    }

    /// The same mode standing alone.
    #[must_use]
    pub fn standing_alone(mut self) -> Mode {
        self.rests_on = None;
        self
    }
}

impl Session {
    /// The mode that a mode rests on; `None` where it stands alone, or its base is not there.
    pub fn base_of(&self, mode: usize) -> Option<&Mode> {
        let name = self.modes.get(mode)?.base_name()?;
        self.modes.iter().find(|m| m.name == name)
    }

    /// What a mode has of its own beside the mode it rests on, in the order of the document.
    pub fn deviations(&self, mode: usize) -> Vec<Deviation> {
        let (Some(base), Some(mode)) = (self.base_of(mode), self.modes.get(mode)) else { return Vec::new() };
        let Some(resting) = &mode.rests_on else { return Vec::new() };
        let mut found = Vec::new();
        for map in MapName::ALL {
            if resting.maps.contains(&map) {
                let size = |m: Option<MapRef<'_>>| {
                    m.map_or("none".to_owned(), |m| format!("{} × {} cells", m.rows.len(), m.columns.len()))
                };
                let (below, own) = (size(base.map(map)), size(mode.map(map)));
                found.push(Deviation {
                    part: OwnPart::Map(map),
                    what: format!("the whole map of {}", map.label()),
                    base: below,
                    own,
                });
                continue;
            }
            for &(row, column) in resting.cells.of(map) {
                let of = |m: &Mode| m.map(map).and_then(|m| m.cell(row, column));
                let Some(shown) = mode.map(map) else { continue };
                let at =
                    |axis: &[f64], index: usize, unit| axis.get(index).map_or(String::new(), |v| with_unit(*v, unit));
                let say = |value: Option<f64>| value.map_or("no cell".to_owned(), |v| with_unit(v, map.value_unit()));
                found.push(Deviation {
                    part: OwnPart::Cell(map, row, column),
                    what: format!(
                        "{} at {}, {}",
                        map.label(),
                        at(shown.rows, row, map.row_unit()),
                        at(shown.columns, column, map.column_unit())
                    ),
                    base: say(of(base)),
                    own: say(of(mode)),
                });
            }
        }
        for &setting in &resting.settings {
            let (what, base, own) = (setting.label(), setting.in_words(base), setting.in_words(mode));
            found.push(Deviation { part: OwnPart::Setting(setting), what, base, own });
        }
        found
    }
}

/// Says anew of every resting mode what is its own: whatever differs.
pub(crate) fn own_anew(session: &mut Session) {
    for index in 0..session.modes.len() {
        let Some(base) = session.base_of(index) else { continue };
        session.modes[index].rests_on = Some(Box::new(Resting::between(base, &session.modes[index])));
    }
}

/// Lets a mode rest on another, or stand alone; nothing it holds changes by that.
pub(crate) fn rest_on(session: &mut Session, mode: usize, on: Option<&str>) -> Result<(), Fault> {
    let place = || session.modes.get(mode).map_or(String::new(), |m| format!("modes[{mode}] {:?}", m.name));
    let resting = match on {
        None => None,
        Some(name) => {
            let Some(base) = session.modes.iter().find(|m| m.name == name) else {
                return Err(Fault::new(place(), "rests_on", quoted(name), "it must be another mode of this session"));
            };
            session.modes.get(mode).map(|own| Box::new(Resting::between(base, own)))
        }
    };
    let count = session.modes.len();
    let own = session.modes.get_mut(mode).ok_or_else(|| crate::edit::missing("modes", mode, count))?;
    own.rests_on = resting;
    Ok(())
}

/// Takes parts of a mode back to what the mode it rests on has.
pub(crate) fn to_base(session: &mut Session, mode: usize, parts: &[OwnPart]) -> Result<(), Fault> {
    let place = session.modes.get(mode).map_or(String::new(), |m| format!("modes[{mode}] {:?}", m.name));
    let Some(base) = session.base_of(mode).cloned() else {
        return Err(Fault::new(place, "rests_on", "absent", "only a mode that rests on another can go back to it"));
    };
    let Some(own) = session.modes.get_mut(mode) else { return Ok(()) };
    for &part in parts {
        match part {
            OwnPart::Cell(map, row, column) => {
                let value = base.map(map).and_then(|m| m.cell(row, column));
                let cell = own.map_mut(map).and_then(|m| m.values.get_mut(row)?.get_mut(column));
                let (Some(value), Some(cell)) = (value, cell) else {
                    let what = format!("row {row}, column {column}");
                    return Err(Fault::new(place, map.field(), what, "both modes must have this cell"));
                };
                *cell = value;
            }
            OwnPart::Map(map) => copy_map(&base, own, map),
            OwnPart::Setting(setting) => setting.copy(&base, own),
        }
        if let Some(resting) = &mut own.rests_on {
            resting.put(part, false);
        }
    }
    Ok(())
}

/// A mode is gone: what rested on it rests on what it rested on, or stands alone.
pub(crate) fn without(session: &mut Session, gone: &Mode) {
    let next = gone.base_name().and_then(|name| session.modes.iter().find(|m| m.name == name).cloned());
    for mode in session.modes.iter_mut().filter(|m| m.base_name() == Some(&gone.name)) {
        mode.rests_on =
            next.as_ref().filter(|n| n.name != mode.name).map(|base| Box::new(Resting::between(base, mode)));
    }
}

/// A name has changed.
pub(crate) fn renamed(session: &mut Session, before: &str, now: &str) {
    for resting in session.modes.iter_mut().filter_map(|m| m.rests_on.as_mut()).filter(|it| it.on == before) {
        now.clone_into(&mut resting.on);
    }
}

/// What speaks against what a mode rests on, as value and bound; the names must be those of other modes, without a circle.
pub(crate) fn fault_of(session: &Session, mode: usize) -> Option<(String, String)> {
    let first = session.modes.get(mode)?;
    let mut name = first.base_name()?;
    let told = quoted(name);
    for _ in 0..=session.modes.len() {
        if name == first.name {
            return Some((told, "it must not rest on itself, be it by way of others".to_owned()));
        }
        let Some(base) = session.modes.iter().find(|m| m.name == name) else {
            return Some((told, format!("the session must have the mode {}", quoted(name))));
        };
        let next = base.base_name()?;
        name = next;
    }
    Some((told, "the modes below it rest on each other in a circle".to_owned()))
}

/// A table brought to other axes, its surface as it was where it can be; `None` where it is no table.
fn reshaped(table: &Table, rows: &[f64], columns: &[f64]) -> Option<Table> {
    use crate::shape::MapAxis;
    let mut table = table.clone();
    for (axis, wanted) in [(MapAxis::Speed, rows), (MapAxis::Second, columns)] {
        for at in wanted {
            // Where it is there already, nothing has to be put in.
            table = table.with_breakpoint(axis, *at).unwrap_or(table);
        }
        let points = |t: &Table| if axis == MapAxis::Speed { t.rows.clone() } else { t.columns.clone() };
        while let Some(index) = points(&table).iter().position(|p| !wanted.contains(p)) {
            table = table.without_breakpoint(axis, index)?.0;
        }
    }
    (table.rows == rows && table.columns == columns).then_some(table)
}
