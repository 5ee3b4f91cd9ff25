//! After an edit: what was changed in a resting mode becomes its own, what was changed below it follows.

use super::{OwnPart, Resting, Setting, copy_map, differing, reshaped, same_axes};
use crate::{
    Mode, Session, locked,
    map::{MapName, MapRef},
};

/// Brings every resting mode of `after` up to date; `before` is the session as it was before the edit.
pub(crate) fn follow(before: &Session, after: &mut Session) {
    if after.modes.iter().all(|m| m.rests_on.is_none()) {
        return;
    }
    for index in bases_first(after) {
        let (Some(base), Some(mode)) = (after.base_of(index).cloned(), after.modes.get(index)) else { continue };
        let (Some(was), Some(resting)) = (known(before, after, &mode.name), mode.rests_on.clone()) else { continue };
        // One that has just come to rest there has said what is its own.
        let same_base = was.rests_on.as_ref().is_some_and(|it| known_name(before, after, &it.on) == Some(&resting.on));
        let Some(below) = known(before, after, &base.name).filter(|_| same_base) else { continue };
        let (was, below) = (was.clone(), below.clone());
        let Some(mode) = after.modes.get_mut(index) else { continue };
        let mut it = Step { was: &was, below: &below, base: &base, mode: &mut *mode, resting: *resting };
        for map in MapName::ALL {
            it.map(map);
        }
        for setting in Setting::all() {
            it.setting(setting);
        }
        let resting = it.resting;
        mode.rests_on = Some(Box::new(resting));
    }
}

/// Indices of resting modes, each after the one it rests on; those in a circle are left out.
fn bases_first(session: &Session) -> Vec<usize> {
    let sound: Vec<usize> = (0..session.modes.len())
        .filter(|i| session.modes[*i].rests_on.is_some() && super::fault_of(session, *i).is_none())
        .collect();
    let depth = |index: usize| {
        let mut depth = 0;
        let mut name = session.modes[index].base_name();
        while let Some(base) = name.and_then(|n| session.modes.iter().find(|m| m.name == n)) {
            depth += 1;
            name = base.base_name();
        }
        depth
    };
    let mut ordered = sound;
    ordered.sort_by_key(|i| depth(*i));
    ordered
}

/// The mode as it was before the edit: of the same name, or renamed at the same place.
fn known<'s>(before: &'s Session, after: &Session, name: &str) -> Option<&'s Mode> {
    if let Some(mode) = before.modes.iter().find(|m| m.name == name) {
        return Some(mode);
    }
    let place = after.modes.iter().position(|m| m.name == name)?;
    before.modes.get(place).filter(|_| before.modes.len() == after.modes.len())
}

/// The name that a mode has after the edit.
fn known_name<'s>(before: &Session, after: &'s Session, name: &str) -> Option<&'s String> {
    if let Some(mode) = after.modes.iter().find(|m| m.name == name) {
        return Some(&mode.name);
    }
    let place = before.modes.iter().position(|m| m.name == name)?;
    after.modes.get(place).filter(|_| before.modes.len() == after.modes.len()).map(|m| &m.name)
}

fn is_whole(map: &MapRef<'_>) -> bool {
    map.values.len() == map.rows.len() && map.values.iter().all(|row| row.len() == map.columns.len())
}

/// One resting mode and what is around it.
struct Step<'a> {
    /// The mode before the edit.
    was: &'a Mode,
    /// The mode it rests on, before the edit and after it.
    below: &'a Mode,
    base: &'a Mode,
    mode: &'a mut Mode,
    resting: Resting,
}

impl Step<'_> {
    fn setting(&mut self, setting: Setting) {
        let part = OwnPart::Setting(setting);
        if !setting.is_same(self.was, self.mode) {
            self.resting.put(part, !setting.is_same(self.base, self.mode));
        }
        if !self.resting.has(part) {
            setting.copy(self.base, self.mode);
        }
    }

    fn map(&mut self, map: MapName) {
        // Work that was opened with faults may hold a map that is no table.
        let all = [self.base.map(map), self.mode.map(map), self.was.map(map), self.below.map(map)];
        if all.into_iter().flatten().any(|m| !is_whole(&m)) {
            return;
        }
        self.note_edits(map);
        if self.resting.has(OwnPart::Map(map)) {
            return;
        }
        match (self.base.map(map), self.mode.map(map)) {
            (Some(base), Some(own)) if same_axes(&base, &own) => self.follow_cells(map),
            (Some(_), Some(_)) => self.follow_axes(map),
            // A map that came or went below.
            _ => {
                copy_map(self.base, self.mode, map);
                self.mode.locked.of_mut(map).clear();
                self.resting.cells.of_mut(map).clear();
            }
        }
    }

    /// What was changed in the mode itself is its own from now on, unless it is what the base has.
    fn note_edits(&mut self, map: MapName) {
        let (was, now, base) = (self.was.map(map), self.mode.map(map), self.base.map(map));
        match (was, now) {
            (Some(was), Some(now)) if same_axes(&was, &now) => {
                let differs = differing(&was, &now);
                let with_base = base.filter(|b| same_axes(b, &now));
                for (row, column) in differs {
                    let value = now.cell(row, column).map(f64::to_bits);
                    let is_base = with_base.is_some_and(|b| b.cell(row, column).map(f64::to_bits) == value);
                    if !self.resting.has(OwnPart::Map(map)) {
                        self.resting.put(OwnPart::Cell(map, row, column), !is_base);
                    }
                }
            }
            (None, None) => {}
            // Axes of its own, or a map that came or went; the base may have had the same done to it.
            (_, now) => {
                let equal = match (now, base) {
                    (Some(now), Some(base)) => same_axes(&now, &base),
                    (now, base) => now.is_none() && base.is_none(),
                };
                if equal && !self.resting.has(OwnPart::Map(map)) {
                    let cells = now.zip(base).map_or(Vec::new(), |(now, base)| differing(&base, &now));
                    self.resting.cells.of_mut(map).clear();
                    self.resting.cells.set(map, &cells, true);
                } else {
                    self.resting.put(OwnPart::Map(map), true);
                }
            }
        }
    }

    /// Cells that are not its own take what the base has; a locked one stays and is its own by that.
    fn follow_cells(&mut self, map: MapName) {
        let (Some(base), Some(own)) = (self.base.map(map), self.mode.map(map)) else { return };
        let mut table = own.to_table();
        for (row, column) in differing(&base, &own) {
            let part = OwnPart::Cell(map, row, column);
            if self.resting.has(part) {
                continue;
            }
            if self.mode.is_locked(map, row, column) {
                self.resting.put(part, true);
            } else if let Some(value) = base.cell(row, column) {
                table.values[row][column] = value;
            }
        }
        self.mode.put_map(map, table);
    }

    /// The base has other axes: the mode takes them too, and keeps the surface where it is its own.
    fn follow_axes(&mut self, map: MapName) {
        let (Some(base), Some(own), Some(below)) = (self.base.map(map), self.mode.map(map), self.below.map(map)) else {
            return;
        };
        let shapes = reshaped(&own.to_table(), base.rows, base.columns).zip(reshaped(
            &below.to_table(),
            base.rows,
            base.columns,
        ));
        let Some((own_then, below_then)) = shapes.filter(|_| same_axes(&own, &below)) else {
            return self.resting.put(OwnPart::Map(map), true);
        };
        let kept = locked::moved(self.resting.cells.of(map), own, base);
        let still_locked = locked::moved(self.mode.locked.of(map), own, base);
        let mut table = base.to_table();
        let mut cells = Vec::new();
        for row in 0..table.rows.len() {
            for column in 0..table.columns.len() {
                let is_new = !own.rows.contains(&table.rows[row]) || !own.columns.contains(&table.columns[column]);
                let parts_there = own_then.values[row][column].to_bits() != below_then.values[row][column].to_bits();
                let cell = (row, column);
                if kept.contains(&cell) || still_locked.contains(&cell) || (is_new && parts_there) {
                    table.values[row][column] = own_then.values[row][column];
                    cells.push(cell);
                }
            }
        }
        self.resting.cells.of_mut(map).clear();
        self.resting.cells.set(map, &cells, true);
        *self.mode.locked.of_mut(map) = still_locked;
        self.mode.put_map(map, table);
    }
}
