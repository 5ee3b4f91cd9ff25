//! How a mode stands in a file: whole, or with what it rests on and only what is its own.

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error, ser::SerializeSeq};

use super::{OwnPart, Resting, Setting};
use crate::{
    AxleScales, CurrentMap, EndStop, GainMap, Law, Mode,
    document::is_default,
    edit::{End, Scale},
    locked::LockedCells,
    map::MapName,
};

/// A mode in a file, for the schema.
#[allow(clippy::large_enum_variant, reason = "one at a time while a file is read or written, never kept")]
#[derive(JsonSchema)]
#[schemars(untagged)]
#[allow(dead_code)] // only its schema is used
pub(crate) enum ModeInFile {
    /// A mode that stands alone.
    Whole(Box<Mode>),
    /// A mode that rests on another one and holds only what is its own.
    Resting(Form),
}

/// Every field a mode can have in a file; those absent are the base's where it rests on one.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename = "Mode")]
#[schemars(rename = "RestingMode")]
pub(crate) struct Form {
    /// Name on screen and in results.
    name: String,
    /// Name of the mode it rests on.
    #[serde(default, skip_serializing_if = "is_default")]
    rests_on: Option<String>,
    /// What it is for, in the engineer's words.
    #[serde(default, skip_serializing_if = "is_default")]
    purpose: String,
    /// The control law, where it is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    law: Option<Law>,
    /// A whole heave map of its own.
    #[serde(default, skip_serializing_if = "is_default")]
    heave: Option<GainMap>,
    /// A whole wheel map of its own.
    #[serde(default, skip_serializing_if = "is_default")]
    wheel: Option<GainMap>,
    /// A whole base map of its own.
    #[serde(default, skip_serializing_if = "is_default")]
    base: Option<GainMap>,
    /// A whole roll map of its own.
    #[serde(default, skip_serializing_if = "is_default")]
    roll: Option<GainMap>,
    /// A whole pitch map of its own.
    #[serde(default, skip_serializing_if = "is_default")]
    pitch: Option<GainMap>,
    /// A whole least-current map of its own.
    #[serde(default, skip_serializing_if = "is_default")]
    floor: Option<CurrentMap>,
    /// Cells of its own in maps that have the breakpoints of the mode below.
    #[serde(default, skip_serializing_if = "is_default")]
    cells: Vec<OwnCell>,
    /// What the mode below has and this one has not: `floor`, `end_stop`, `slew_a_per_s`; beside a session below also
    /// `purpose` and `locked`.
    #[serde(default, skip_serializing_if = "is_default")]
    without: Vec<Without>,
    /// Extra firm demand near the ends of travel, where it is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    end_stop: Option<EndStop>,
    /// Scales of its own at the front axle.
    #[serde(default, skip_serializing_if = "is_default")]
    front: OwnScales,
    /// Scales of its own at the rear axle.
    #[serde(default, skip_serializing_if = "is_default")]
    rear: OwnScales,
    /// Least current, A, where it is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    current_min_a: Option<f64>,
    /// Most current, A, where it is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    current_max_a: Option<f64>,
    /// Fastest change of the commanded current, A/s, where it is its own.
    #[serde(default, skip_serializing_if = "is_default")]
    slew_a_per_s: Option<f64>,
    /// Cells that no edit may change. Default: none.
    #[serde(default, skip_serializing_if = "is_default")]
    locked: LockedCells,
}

/// One cell of a mode's own, named by its breakpoints.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct OwnCell {
    /// Which map.
    map: MapName,
    /// Row breakpoint: vehicle speed, km/h.
    speed_km_h: f64,
    /// Column breakpoint: road roughness level or demand, m/s^2.
    column_m_per_s2: f64,
    /// The cell in the unit of its map: N s/m, for the floor A.
    value: f64,
}

/// What a mode can do without though the one below has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
enum Without {
    Floor,
    EndStop,
    SlewAPerS,
    /// Only in a session that rests on another one, whose mode of this name has a purpose.
    Purpose,
    /// Likewise locked cells.
    Locked,
}

/// Scales of an axle that are given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
struct OwnScales {
    /// On the heave map.
    #[serde(skip_serializing_if = "is_default")]
    heave: Option<f64>,
    /// On the wheel map.
    #[serde(skip_serializing_if = "is_default")]
    wheel: Option<f64>,
    /// On the base map.
    #[serde(skip_serializing_if = "is_default")]
    base: Option<f64>,
    /// On the roll map.
    #[serde(skip_serializing_if = "is_default")]
    roll: Option<f64>,
    /// On the pitch map.
    #[serde(skip_serializing_if = "is_default")]
    pitch: Option<f64>,
    /// On heave, wheel and base while the damper extends.
    #[serde(skip_serializing_if = "is_default")]
    rebound: Option<f64>,
    /// On heave, wheel and base while the damper shortens.
    #[serde(skip_serializing_if = "is_default")]
    compression: Option<f64>,
}

impl OwnScales {
    fn of(&mut self, scale: Scale) -> &mut Option<f64> {
        match scale {
            Scale::Heave => &mut self.heave,
            Scale::Wheel => &mut self.wheel,
            Scale::Base => &mut self.base,
            Scale::Roll => &mut self.roll,
            Scale::Pitch => &mut self.pitch,
            Scale::Rebound => &mut self.rebound,
            Scale::Compression => &mut self.compression,
        }
    }

    /// The scales with those that are given.
    fn over(self, below: AxleScales) -> AxleScales {
        AxleScales {
            heave: self.heave.unwrap_or(below.heave),
            wheel: self.wheel.unwrap_or(below.wheel),
            base: self.base.unwrap_or(below.base),
            roll: self.roll.unwrap_or(below.roll),
            pitch: self.pitch.unwrap_or(below.pitch),
            rebound: self.rebound.unwrap_or(below.rebound),
            compression: self.compression.unwrap_or(below.compression),
        }
    }
}

/// A mode that was read: whole by itself, or waiting for the one it rests on.
#[derive(Deserialize)]
#[serde(try_from = "Form")]
enum Read {
    Whole(Box<Mode>),
    Resting(Box<Form>),
}

impl TryFrom<Form> for Read {
    type Error = String;

    fn try_from(form: Form) -> Result<Read, String> {
        if form.rests_on.is_some() {
            return Ok(Read::Resting(Box::new(form)));
        }
        let only = [("cells", form.cells.is_empty()), ("without", form.without.is_empty())];
        if let Some((field, _)) = only.iter().find(|(_, is_empty)| !is_empty) {
            return Err(format!("field `{field}` belongs to a mode that rests on another; this one has no `rests_on`"));
        }
        form.whole().map(|mode| Read::Whole(Box::new(mode)))
    }
}

impl Form {
    /// The mode where every part is given; else a sentence with the first that is not.
    fn whole(self) -> Result<Mode, String> {
        fn given<T>(field: &str, value: Option<T>) -> Result<T, String> {
            value.ok_or_else(|| format!("field `{field}` is missing in `Mode`"))
        }
        Ok(Mode {
            heave: given("heave", self.heave)?,
            wheel: given("wheel", self.wheel)?,
            base: given("base", self.base)?,
            roll: given("roll", self.roll)?,
            pitch: given("pitch", self.pitch)?,
            current_min_a: given("current_min_a", self.current_min_a)?,
            current_max_a: given("current_max_a", self.current_max_a)?,
            name: self.name,
            rests_on: None,
            purpose: self.purpose,
            law: self.law.unwrap_or_default(),
            floor: self.floor,
            end_stop: self.end_stop,
            front: self.front.over(AxleScales::default()),
            rear: self.rear.over(AxleScales::default()),
            slew_a_per_s: self.slew_a_per_s,
            locked: self.locked,
        })
    }

    /// The mode that it is on top of the one below.
    fn over(mut self, below: &Mode) -> Result<Mode, String> {
        let mut own = Resting { on: below.name.clone(), ..Resting::default() };
        let mut mode = below.clone();
        mode.name = self.name;
        mode.purpose = self.purpose;
        mode.locked = self.locked;
        for (map, given) in [
            (MapName::Heave, self.heave),
            (MapName::Wheel, self.wheel),
            (MapName::Base, self.base),
            (MapName::Roll, self.roll),
            (MapName::Pitch, self.pitch),
        ] {
            if let Some(table) = given {
                mode.put_map(map, table.as_map().to_table());
                own.put(OwnPart::Map(map), true);
            }
        }
        if let Some(floor) = self.floor {
            mode.floor = Some(floor);
            own.put(OwnPart::Map(MapName::Floor), true);
        }
        for (index, cell) in self.cells.iter().enumerate() {
            let field = cell.map.field();
            let place = mode.map(cell.map).and_then(|m| {
                let row = m.rows.iter().position(|x| *x == cell.speed_km_h)?;
                Some((row, m.columns.iter().position(|x| *x == cell.column_m_per_s2)?))
            });
            let value = place
                .and_then(|(r, c)| mode.map_mut(cell.map).and_then(|m| Some((r, c, m.values.get_mut(r)?.get_mut(c)?))));
            let Some((row, column, value)) = value else {
                return Err(format!(
                    "cells[{index}] names {field} at {} km/h and {} m/s^2, but {:?} below it has no such cell",
                    cell.speed_km_h, cell.column_m_per_s2, below.name
                ));
            };
            // NaN stays what it is: the check will name it.
            *value = cell.value;
            own.put(OwnPart::Cell(cell.map, row, column), true);
        }
        let mut take = |setting: Setting| own.put(OwnPart::Setting(setting), true);
        if let Some(law) = self.law {
            mode.law = law;
            take(Setting::Law);
        }
        if let Some(current) = self.current_min_a {
            mode.current_min_a = current;
            take(Setting::CurrentMin);
        }
        if let Some(current) = self.current_max_a {
            mode.current_max_a = current;
            take(Setting::CurrentMax);
        }
        if self.slew_a_per_s.is_some() {
            mode.slew_a_per_s = self.slew_a_per_s;
            take(Setting::Slew);
        }
        if self.end_stop.is_some() {
            mode.end_stop = self.end_stop;
            take(Setting::EndStop);
        }
        for scale in Scale::ALL {
            for (end, given) in [(End::Front, self.front.of(scale)), (End::Rear, self.rear.of(scale))] {
                if given.is_some() {
                    take(Setting::Scale(end, scale));
                }
            }
        }
        (mode.front, mode.rear) = (self.front.over(mode.front), self.rear.over(mode.rear));
        for without in self.without {
            match without {
                Without::Floor => {
                    mode.floor = None;
                    own.put(OwnPart::Map(MapName::Floor), true);
                }
                Without::EndStop => {
                    mode.end_stop = None;
                    own.put(OwnPart::Setting(Setting::EndStop), true);
                }
                Without::SlewAPerS => {
                    mode.slew_a_per_s = None;
                    own.put(OwnPart::Setting(Setting::Slew), true);
                }
                // Always a mode's own.
                Without::Purpose | Without::Locked => {}
            }
        }
        mode.rests_on = Some(Box::new(own));
        Ok(mode)
    }

    /// What stands in a file of a mode on top of the one below.
    fn of(mode: &Mode, resting: &Resting) -> Form {
        let is_own = |map: MapName| resting.maps.contains(&map);
        let whole = |map: MapName, table: &GainMap| is_own(map).then(|| table.clone());
        let mut form = Form {
            name: mode.name.clone(),
            rests_on: Some(resting.on.clone()),
            purpose: mode.purpose.clone(),
            heave: whole(MapName::Heave, &mode.heave),
            wheel: whole(MapName::Wheel, &mode.wheel),
            base: whole(MapName::Base, &mode.base),
            roll: whole(MapName::Roll, &mode.roll),
            pitch: whole(MapName::Pitch, &mode.pitch),
            floor: mode.floor.clone().filter(|_| is_own(MapName::Floor)),
            locked: mode.locked.clone(),
            ..Form::default()
        };
        if is_own(MapName::Floor) && mode.floor.is_none() {
            form.without.push(Without::Floor);
        }
        for map in MapName::ALL {
            let Some(table) = mode.map(map).filter(|_| !is_own(map)) else { continue };
            for &(row, column) in resting.cells.of(map) {
                let breakpoints = table.rows.get(row).zip(table.columns.get(column));
                if let (Some((speed, second)), Some(value)) = (breakpoints, table.cell(row, column)) {
                    form.cells.push(OwnCell { map, speed_km_h: *speed, column_m_per_s2: *second, value });
                }
            }
        }
        for &setting in &resting.settings {
            match setting {
                Setting::Law => form.law = Some(mode.law.clone()),
                Setting::CurrentMin => form.current_min_a = Some(mode.current_min_a),
                Setting::CurrentMax => form.current_max_a = Some(mode.current_max_a),
                Setting::Slew if mode.slew_a_per_s.is_none() => form.without.push(Without::SlewAPerS),
                Setting::Slew => form.slew_a_per_s = mode.slew_a_per_s,
                Setting::EndStop if mode.end_stop.is_none() => form.without.push(Without::EndStop),
                Setting::EndStop => form.end_stop = mode.end_stop,
                Setting::Scale(End::Front, scale) => *form.front.of(scale) = Some(scale.of(&mode.front)),
                Setting::Scale(End::Rear, scale) => *form.rear.of(scale) = Some(scale.of(&mode.rear)),
            }
        }
        form
    }
}

/// Reads the modes of a session, each resting one on top of the one below it.
pub(crate) fn read<'de, D: Deserializer<'de>>(reader: D) -> Result<Vec<Mode>, D::Error> {
    resolved(Vec::<Read>::deserialize(reader)?).map_err(D::Error::custom)
}

fn resolved(read: Vec<Read>) -> Result<Vec<Mode>, String> {
    let names: Vec<String> = read
        .iter()
        .map(|it| match it {
            Read::Whole(mode) => mode.name.clone(),
            Read::Resting(form) => form.name.clone(),
        })
        .collect();
    let mut done: Vec<Option<Mode>> = Vec::new();
    let mut waiting: Vec<Option<Form>> = Vec::new();
    for it in read {
        match it {
            Read::Whole(mode) => {
                done.push(Some(*mode));
                waiting.push(None);
            }
            Read::Resting(form) => {
                done.push(None);
                waiting.push(Some(*form));
            }
        }
    }
    // Each round takes those whose base is there; a circle is left over.
    loop {
        let mut has_moved = false;
        for index in 0..waiting.len() {
            let Some(form) = &waiting[index] else { continue };
            let on = form.rests_on.clone().unwrap_or_default();
            let Some(base) = names.iter().position(|name| *name == on) else {
                // Half-finished work may name a mode that is gone, and then has every part itself.
                let said = format!("mode {:?} rests on {on:?}, but the session has no mode of that name", names[index]);
                let mut mode = waiting[index].take().unwrap_or_default().whole().map_err(|_| said)?;
                mode.rests_on = Some(Box::new(Resting { on, ..Resting::default() }));
                done[index] = Some(mode);
                has_moved = true;
                continue;
            };
            if let Some(below) = &done[base] {
                let form = waiting[index].take().unwrap_or_default();
                done[index] = Some(form.over(below).map_err(|said| format!("mode {:?}: {said}", names[index]))?);
                has_moved = true;
            }
        }
        if !has_moved {
            break;
        }
    }
    let left: Vec<String> =
        (0..names.len()).filter(|i| done[*i].is_none()).map(|i| format!("{:?}", names[i])).collect();
    if left.is_empty() {
        Ok(done.into_iter().flatten().collect())
    } else {
        Err(format!("modes rest on each other in a circle: {}; one of them must stand alone", left.join(", ")))
    }
}

/// Writes the modes of a session, each resting one with only what is its own.
pub(crate) fn write<S: Serializer>(modes: &[Mode], out: S) -> Result<S::Ok, S::Error> {
    let mut list = out.serialize_seq(Some(modes.len()))?;
    for mode in modes {
        match mode.rests_on.as_deref().filter(|_| is_sound(modes, mode)) {
            Some(resting) => list.serialize_element(&Form::of(mode, resting))?,
            // Whole, so that nothing is lost where what it rests on is gone.
            None if mode.rests_on.is_some() => list.serialize_element(&in_full(mode))?,
            None => list.serialize_element(mode)?,
        }
    }
    list.end()
}

/// Every part of a mode whose base is not there.
fn in_full(mode: &Mode) -> Form {
    let all = Resting {
        on: mode.base_name().unwrap_or_default().to_owned(),
        maps: MapName::ALL.into_iter().filter(|m| mode.map(*m).is_some()).collect(),
        settings: Setting::all()
            .filter(|s| {
                !matches!((s, mode.slew_a_per_s, mode.end_stop), (Setting::Slew, None, _) | (Setting::EndStop, _, None))
            })
            .collect(),
        ..Resting::default()
    };
    Form::of(mode, &all)
}

/// True where the modes below are all there and none of them twice.
fn is_sound(modes: &[Mode], mode: &Mode) -> bool {
    let mut seen = vec![mode.name.as_str()];
    let mut next = mode.base_name();
    while let Some(name) = next {
        let Some(base) = modes.iter().find(|m| m.name == name) else { return false };
        if seen.contains(&name) {
            return false;
        }
        seen.push(name);
        next = base.base_name();
    }
    true
}

/// Modes that are not what a session below has under their names, each with only what is its own.
pub(crate) fn forms_beside(base: &[Mode], own: &[Mode]) -> Vec<Form> {
    own.iter().filter_map(|mode| form_beside(base, own, mode)).collect()
}

fn form_beside(base: &[Mode], own: &[Mode], mode: &Mode) -> Option<Form> {
    let below = base.iter().find(|m| m.name == mode.name);
    if mode.rests_on.is_some() {
        // It rests on another mode of its own session, whatever that is; only its own parts are compared.
        let form_of = |modes: &[Mode], mode: &Mode| match mode.rests_on.as_deref() {
            Some(resting) if is_sound(modes, mode) => Some(Form::of(mode, resting)),
            Some(_) => Some(in_full(mode)),
            None => None,
        };
        let form = form_of(own, mode);
        let as_below = below.and_then(|below| form_of(base, below));
        return form.filter(|form| as_below.as_ref().is_none_or(|below| !is_same_text(form, below)));
    }
    let Some(below) = below else {
        return Some(Form { rests_on: None, ..in_full(mode) });
    };
    let resting = Resting::between(below, mode);
    let mut form = Form { rests_on: None, ..Form::of(mode, &resting) };
    if mode.purpose == below.purpose {
        form.purpose.clear();
    } else if mode.purpose.is_empty() {
        form.without.push(Without::Purpose);
    }
    if mode.locked == below.locked {
        form.locked = LockedCells::default();
    } else if mode.locked == LockedCells::default() {
        form.without.push(Without::Locked);
    }
    let nothing = Form { name: mode.name.clone(), ..Form::default() };
    (below.rests_on.is_some() || !is_same_text(&form, &nothing)).then_some(form)
}

/// The modes of a session on top of those of the session below: of its own where it has a form of that name, as below
/// where it has none. A mode that rests on another follows that one in its own session.
pub(crate) fn modes_on_top(base: &[Mode], forms: Vec<Form>, without: &[String]) -> Result<Vec<Mode>, String> {
    let mut read = Vec::new();
    let is_new = |form: &&Form| base.iter().all(|m| m.name != form.name);
    for mode in base.iter().filter(|m| !without.contains(&m.name)) {
        let form = forms.iter().find(|form| form.name == mode.name).cloned();
        read.push(match (form, mode.rests_on.as_deref()) {
            (Some(form), _) if form.rests_on.is_some() => Read::Resting(Box::new(form)),
            (Some(form), _) => Read::Whole(Box::new(form.beside(mode)?)),
            (None, Some(resting)) if is_sound(base, mode) => Read::Resting(Box::new(Form::of(mode, resting))),
            (None, Some(_)) => Read::Resting(Box::new(in_full(mode))),
            (None, None) => Read::Whole(Box::new(mode.clone())),
        });
    }
    for form in forms.iter().filter(is_new) {
        read.push(if form.rests_on.is_some() {
            Read::Resting(Box::new(form.clone()))
        } else {
            let name = form.name.clone();
            let whole = form.clone().whole().map_err(|_| {
                format!(
                    "mode {name:?} holds only what is its own, but the session below has no mode of that name to rest on"
                )
            })?;
            Read::Whole(Box::new(whole))
        });
    }
    resolved(read)
}

impl Form {
    /// The mode that it is beside the mode of the same name in the session below; it stands alone in its own session.
    fn beside(self, below: &Mode) -> Result<Mode, String> {
        let keeps_purpose = self.purpose.is_empty() && !self.without.contains(&Without::Purpose);
        let keeps_locked = self.locked == LockedCells::default() && !self.without.contains(&Without::Locked);
        let name = self.name.clone();
        let mut mode = self.over(below).map_err(|said| format!("mode {name:?}: {said}"))?.standing_alone();
        if keeps_purpose {
            mode.purpose.clone_from(&below.purpose);
        }
        if keeps_locked {
            mode.locked = below.locked.clone();
        }
        Ok(mode)
    }
}

/// True where two forms are written alike, to the last bit.
fn is_same_text(one: &Form, other: &Form) -> bool {
    matches!((crate::write::ron_text(one), crate::write::ron_text(other)), (Ok(one), Ok(other)) if one == other)
}
