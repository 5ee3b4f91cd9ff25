//! The settings of a mode beside its maps, each under one name: compared, copied, said in words.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

use crate::{
    Mode,
    difference::{end_stop_in_words, law_in_words, slew_in_words},
    edit::{End, Scale},
    fault::{plain, with_unit},
};

/// One setting beside the maps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Setting {
    /// The control law.
    Law,
    /// Extra firm demand near the stops.
    EndStop,
    /// Least current.
    CurrentMin,
    /// Most current.
    CurrentMax,
    /// Fastest change of the current.
    Slew,
    /// A scale of an axle.
    Scale(End, Scale),
}

impl Setting {
    /// All of them, in the order of the document.
    pub fn all() -> impl Iterator<Item = Setting> {
        let scales = End::ALL.into_iter().flat_map(|end| Scale::ALL.into_iter().map(move |s| Setting::Scale(end, s)));
        [Setting::Law, Setting::EndStop, Setting::CurrentMin, Setting::CurrentMax, Setting::Slew]
            .into_iter()
            .chain(scales)
    }

    /// Path within a mode of the document.
    pub fn path(self) -> String {
        match self {
            Setting::Law => "law".to_owned(),
            Setting::EndStop => "end_stop".to_owned(),
            Setting::CurrentMin => "current_min_a".to_owned(),
            Setting::CurrentMax => "current_max_a".to_owned(),
            Setting::Slew => "slew_a_per_s".to_owned(),
            Setting::Scale(end, scale) => format!("{}.{}", end.field(), scale.field()),
        }
    }

    /// What it is, in words.
    pub fn label(self) -> String {
        match self {
            Setting::Law => "law".to_owned(),
            Setting::EndStop => "firm up near the stops".to_owned(),
            Setting::CurrentMin => "least current".to_owned(),
            Setting::CurrentMax => "most current".to_owned(),
            Setting::Slew => "fastest change of current".to_owned(),
            Setting::Scale(end, scale) => format!("{} scale at the {} axle", scale.field(), end.field()),
        }
    }

    /// What a mode has, with its unit.
    pub fn in_words(self, mode: &Mode) -> String {
        match self {
            Setting::Law => law_in_words(&mode.law),
            Setting::EndStop => end_stop_in_words(mode),
            Setting::CurrentMin => with_unit(mode.current_min_a, "A"),
            Setting::CurrentMax => with_unit(mode.current_max_a, "A"),
            Setting::Slew => slew_in_words(mode),
            Setting::Scale(end, scale) => plain(scale.of(scales(mode, end))),
        }
    }

    /// True where two modes have the same.
    pub fn is_same(self, one: &Mode, other: &Mode) -> bool {
        let bits = |a: f64, b: f64| a.to_bits() == b.to_bits();
        match self {
            Setting::Law => one.law == other.law,
            Setting::EndStop => one.end_stop == other.end_stop,
            Setting::CurrentMin => bits(one.current_min_a, other.current_min_a),
            Setting::CurrentMax => bits(one.current_max_a, other.current_max_a),
            Setting::Slew => one.slew_a_per_s.map(f64::to_bits) == other.slew_a_per_s.map(f64::to_bits),
            Setting::Scale(end, scale) => bits(scale.of(scales(one, end)), scale.of(scales(other, end))),
        }
    }

    /// Puts what one mode has into another.
    pub(crate) fn copy(self, from: &Mode, to: &mut Mode) {
        match self {
            Setting::Law => to.law.clone_from(&from.law),
            Setting::EndStop => to.end_stop = from.end_stop,
            Setting::CurrentMin => to.current_min_a = from.current_min_a,
            Setting::CurrentMax => to.current_max_a = from.current_max_a,
            Setting::Slew => to.slew_a_per_s = from.slew_a_per_s,
            Setting::Scale(end, scale) => {
                let value = scale.of(scales(from, end));
                let scales = match end {
                    End::Front => &mut to.front,
                    End::Rear => &mut to.rear,
                };
                *match scale {
                    Scale::Heave => &mut scales.heave,
                    Scale::Wheel => &mut scales.wheel,
                    Scale::Base => &mut scales.base,
                    Scale::Roll => &mut scales.roll,
                    Scale::Pitch => &mut scales.pitch,
                    Scale::Rebound => &mut scales.rebound,
                    Scale::Compression => &mut scales.compression,
                } = value;
            }
        }
    }
}

fn scales(mode: &Mode, end: End) -> &crate::AxleScales {
    match end {
        End::Front => &mode.front,
        End::Rear => &mode.rear,
    }
}

impl fmt::Display for Setting {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.path())
    }
}

impl Serialize for Setting {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.serialize_str(&self.path())
    }
}

impl<'de> Deserialize<'de> for Setting {
    fn deserialize<D: Deserializer<'de>>(reader: D) -> Result<Setting, D::Error> {
        let path = String::deserialize(reader)?;
        let known = || Setting::all().map(|s| format!("`{s}`")).collect::<Vec<_>>().join(", ");
        Setting::all()
            .find(|s| s.path() == path)
            .ok_or_else(|| D::Error::custom(format!("unknown setting {path:?}, known are {}", known())))
    }
}

impl JsonSchema for Setting {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Setting".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let names: Vec<String> = Setting::all().map(Setting::path).collect();
        schemars::json_schema!({ "description": "One setting of a mode by its path.", "type": "string", "enum": names })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_setting_goes_through_a_document_by_its_path() {
        for setting in Setting::all() {
            let text = serde_json::to_string(&setting).unwrap();
            assert_eq!(serde_json::from_str::<Setting>(&text).unwrap(), setting);
        }
        let refused = serde_json::from_str::<Setting>("\"middle.heave\"").unwrap_err().to_string();
        assert!(refused.contains("middle.heave") && refused.contains("`front.heave`"));
        assert_eq!(Setting::all().count(), 5 + 14);
    }
}
