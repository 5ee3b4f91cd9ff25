//! What drivers say, as a table: where it is felt, which metric tells it, which maps are looked at.
//!
//! The table that comes with the program is `assets/complaints.ron`; a copy of the engineer's own takes its place.

use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::{
    Event, EventKind, RoadClass,
    map::MapName,
    read::{Format, load_document, parse_document},
};

/// The table that comes with the program.
const BUILT_IN: &str = include_str!("../../../assets/complaints.ron");
/// Name of a copy that takes its place.
pub const FILE_NAME: &str = "complaints.ron";
/// Most rows; more would be a slip.
const MOST_ROWS: usize = 200;

/// The whole table.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Complaints {
    /// Its rows.
    pub complaints: Vec<Complaint>,
}

/// One thing that drivers say.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Complaint {
    /// As the driver says it.
    pub said: String,
    /// Beginnings of words, or phrases, that mean it in a remark.
    #[serde(default)]
    pub words: Vec<String>,
    /// Where it is felt: an event that fits any of these.
    pub events: Vec<EventPick>,
    /// The band that the metric reads, Hz; for people, the metric has filters of its own.
    #[serde(default)]
    pub band_hz: Option<Span>,
    /// Name of the metric as in `evaluate --json`.
    pub metric: String,
    /// Which way it has to go.
    pub wanted: Wanted,
    /// Maps that are looked at, the likeliest first.
    pub maps: Vec<MapPick>,
    /// Where the row comes from.
    pub source: String,
}

/// From one number to another, both included.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Span {
    /// The least.
    pub from: f64,
    /// The most.
    pub to: f64,
}

/// Which way a metric has to go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Wanted {
    /// Down.
    Less,
    /// Up.
    More,
}

/// Events of some kinds, perhaps only some of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventPick {
    /// Kinds, as in the session's events.
    pub kinds: Vec<Kind>,
    /// Speed over the length of an obstacle, Hz; events without a length do not fit then.
    #[serde(default)]
    pub passing_hz: Option<Span>,
    /// Classes of random roads; empty: all. Events without a class do not fit where there are some.
    #[serde(default)]
    pub classes: Vec<RoadClass>,
    /// Speed at the start, km/h.
    #[serde(default)]
    pub speed_km_h: Option<Span>,
}

/// A map that is looked at.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MapPick {
    /// Its field name in a mode.
    #[serde(with = "map_field")]
    pub map: MapName,
    /// Axes along which a step is narrowed to where it acts; along others it goes all the way.
    pub along: Vec<MapAxis>,
}

/// An axis of a map.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum MapAxis {
    /// Rows: vehicle speed.
    Speed,
    /// Columns: roughness level or demand.
    Second,
}

mod map_field {
    use super::MapName;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub fn serialize<S: Serializer>(map: &MapName, out: S) -> Result<S::Ok, S::Error> {
        out.serialize_str(map.field())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(reader: D) -> Result<MapName, D::Error> {
        let field = String::deserialize(reader)?;
        MapName::from_field(&field).filter(|map| *map != MapName::Floor).ok_or_else(|| {
            D::Error::custom(format!("unknown map {field:?}, known are heave, wheel, base, roll and pitch"))
        })
    }
}

/// Kinds of events by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs)] // each is the kind of the same name
pub enum Kind {
    RandomRoad,
    CosineBump,
    Pothole,
    CircularHump,
    Undulation,
    RailwayCrossing,
    ExpansionJoints,
    PatchedRoad,
    Sweep,
    Harmonic,
    Profile,
    LateralStep,
    LaneChange,
    StepSteer,
    SineSteer,
    ConeLaneChange,
    Slalom,
    BrakeInBend,
    Braking,
    Drive,
}

impl Kind {
    /// The kind of an event.
    pub fn of(kind: &EventKind) -> Kind {
        use EventKind as K;
        match kind {
            K::RandomRoad { .. } => Kind::RandomRoad,
            K::CosineBump { .. } => Kind::CosineBump,
            K::Pothole { .. } => Kind::Pothole,
            K::CircularHump { .. } => Kind::CircularHump,
            K::Undulation { .. } => Kind::Undulation,
            K::RailwayCrossing { .. } => Kind::RailwayCrossing,
            K::ExpansionJoints { .. } => Kind::ExpansionJoints,
            K::PatchedRoad { .. } => Kind::PatchedRoad,
            K::Sweep { .. } => Kind::Sweep,
            K::Harmonic { .. } => Kind::Harmonic,
            K::Profile { .. } => Kind::Profile,
            K::LateralStep { .. } => Kind::LateralStep,
            K::LaneChange { .. } => Kind::LaneChange,
            K::StepSteer { .. } => Kind::StepSteer,
            K::SineSteer { .. } => Kind::SineSteer,
            K::ConeLaneChange { .. } => Kind::ConeLaneChange,
            K::Slalom { .. } => Kind::Slalom,
            K::BrakeInBend { .. } => Kind::BrakeInBend,
            K::Braking { .. } => Kind::Braking,
            K::Drive { .. } => Kind::Drive,
        }
    }
}

impl Span {
    /// True inside and at the ends.
    pub fn holds(&self, value: f64) -> bool {
        (self.from..=self.to).contains(&value)
    }
}

/// Speed over the length of a single obstacle or wave, Hz; `None` where the event has none.
pub fn passing_hz(event: &Event) -> Option<f64> {
    use EventKind as K;
    let length_m = match event.kind {
        K::CosineBump { length_m, .. }
        | K::Pothole { length_m, .. }
        | K::CircularHump { length_m, .. }
        | K::Undulation { length_m, .. } => length_m,
        _ => return None,
    };
    Some(event.speed_km_h / 3.6 / length_m)
}

impl EventPick {
    /// True where an event is one of these.
    pub fn fits(&self, event: &Event) -> bool {
        let class = match event.kind {
            EventKind::RandomRoad { class, .. } => Some(class),
            _ => None,
        };
        self.kinds.contains(&Kind::of(&event.kind))
            && self.passing_hz.is_none_or(|span| passing_hz(event).is_some_and(|hz| span.holds(hz)))
            && (self.classes.is_empty() || class.is_some_and(|class| self.classes.contains(&class)))
            && self.speed_km_h.is_none_or(|span| span.holds(event.speed_km_h))
    }
}

impl Complaint {
    /// Indices of the events where it is felt; an event of weight zero counts as none.
    pub fn events(&self, events: &[Event]) -> Vec<usize> {
        let fits = |event: &Event| event.weight > 0.0 && self.events.iter().any(|pick| pick.fits(event));
        (0..events.len()).filter(|&index| fits(&events[index])).collect()
    }

    /// The longest of its words that stands in a remark; `None` where none does.
    fn found_in(&self, remark: &str) -> Option<usize> {
        let remark = remark.to_lowercase();
        let begins = |phrase: &str| {
            let phrase = phrase.to_lowercase();
            let at_word = |at: usize| !remark[..at].chars().next_back().is_some_and(char::is_alphanumeric);
            !phrase.is_empty() && remark.match_indices(&phrase).any(|(at, _)| at_word(at))
        };
        self.words.iter().filter(|phrase| begins(phrase)).map(|phrase| phrase.chars().count()).max()
    }
}

impl Complaints {
    /// The table that comes with the program.
    pub fn built_in() -> Complaints {
        Complaints::parse(BUILT_IN).expect("the table of the program is held valid by a test")
    }

    /// Reads and checks a table in RON; the fault is a sentence.
    pub fn parse(text: &str) -> Result<Complaints, String> {
        let table: Complaints = parse_document(text, Format::Ron).map_err(|refusal| refusal.to_string())?;
        table.check()?;
        Ok(table)
    }

    /// Reads and checks the table of a file; the fault is a sentence with the file's name.
    pub fn load(path: &Path) -> Result<Complaints, String> {
        let table: Complaints = load_document(path).map_err(|fault| fault.to_string())?;
        table.check().map_err(|sentence| format!("{}: {sentence}", path.display()))?;
        Ok(table)
    }

    fn check(&self) -> Result<(), String> {
        let count = self.complaints.len();
        if count == 0 || count > MOST_ROWS {
            return Err(format!("complaints: the table has {count} rows, but it must have 1 to {MOST_ROWS}."));
        }
        for (index, row) in self.complaints.iter().enumerate() {
            row.check().map_err(|(field, what)| format!("complaints[{index}] {:?}: {field} {what}.", row.said))?;
            if let Some(first) = self.complaints[..index].iter().position(|other| other.said == row.said) {
                return Err(format!("complaints[{index}]: said is {:?}, but row {first} says that already.", row.said));
            }
        }
        Ok(())
    }

    /// Rows that a remark speaks of, the one with the longest words first.
    pub fn in_remark(&self, remark: &str) -> Vec<usize> {
        let mut found: Vec<(usize, usize)> = self
            .complaints
            .iter()
            .enumerate()
            .filter_map(|(index, row)| Some((row.found_in(remark)?, index)))
            .collect();
        found.sort_by_key(|&(length, index)| (std::cmp::Reverse(length), index));
        found.into_iter().map(|(_, index)| index).collect()
    }
}

impl Complaint {
    /// The first field that does not hold, and why.
    fn check(&self) -> Result<(), (&'static str, String)> {
        let rises = |field, span: Option<Span>| match span {
            Some(Span { from, to }) if !(from.is_finite() && to.is_finite() && 0.0 <= from && from < to) => {
                Err((field, format!("goes from {from} to {to}, but it must rise from zero or more")))
            }
            _ => Ok(()),
        };
        let filled =
            |field, is_empty: bool| if is_empty { Err((field, "must not be empty".to_owned())) } else { Ok(()) };
        filled("said", self.said.trim().is_empty())?;
        filled("words", self.words.iter().any(|word| word.trim().is_empty()))?;
        filled("events", self.events.is_empty())?;
        filled("metric", self.metric.is_empty())?;
        filled("maps", self.maps.is_empty())?;
        filled("source", self.source.trim().is_empty())?;
        rises("band_hz", self.band_hz)?;
        for pick in &self.events {
            filled("kinds", pick.kinds.is_empty())?;
            rises("passing_hz", pick.passing_hz)?;
            rises("speed_km_h", pick.speed_km_h)?;
        }
        for pick in &self.maps {
            filled("along", pick.along.is_empty())?;
        }
        Ok(())
    }
}
