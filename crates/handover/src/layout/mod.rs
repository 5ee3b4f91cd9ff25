//! The layout document: where each number of a set lies in a control unit's memory, and how it is written there.
//!
//! A raw value stands for `factor * raw + offset` in the unit of the set's own file (km/h, m/s^2, N s/m, A, N, m/s). A
//! negative factor is a control unit that counts the other way round. The document is RON or JSON; an example lies in
//! `assets/layouts`.

mod check;
mod number;
mod propose;

use std::path::Path;

use serde::{Deserialize, Serialize};
use washboard_session::{Format, document_text, load_document, parse_document};

use crate::fault::HandoverFault;

pub(crate) use number::Encoding;
pub use number::NumberType;
pub use propose::{Proposal, Width, finest_factor};

/// The newest format of a layout document.
pub const LAYOUT_FORMAT: u32 = 1;

/// Where everything lies in the memory of one control unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Layout {
    /// Version of this structure.
    pub format: u32,
    /// Name of the control unit or of its software.
    pub name: String,
    /// Version of the memory's arrangement, which the control unit's software expects.
    pub version: u32,
    /// Order of the bytes of one number.
    pub byte_order: ByteOrder,
    /// The stretch of memory.
    pub memory: Memory,
    /// Where `version` is written; absent: nowhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub version_at: Option<VersionAt>,
    /// Address of the 32 bytes of the set's identity; absent: nowhere, then the car cannot tell which set it has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub identity_at: Option<u32>,
    /// Check bytes over every other byte of the memory; absent: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub check: Option<CheckBytes>,
    /// Tables with their axes.
    pub tables: Vec<TableAt>,
    /// Single numbers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub settings: Vec<SettingAt>,
}

/// Order of the bytes of one number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum ByteOrder {
    /// Least significant byte first.
    Little,
    /// Most significant byte first.
    Big,
}

/// A stretch of memory.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Memory {
    /// Address of the first byte.
    pub address: u32,
    /// Length.
    pub bytes: u32,
    /// What stands where nothing is written. Default 255.
    #[serde(default = "erased")]
    pub fill: u8,
}

/// Where the layout's version is written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VersionAt {
    /// Address.
    pub address: u32,
    /// A whole-number type.
    #[serde(rename = "type")]
    pub number: NumberType,
}

/// Check bytes: over every byte of the memory but these, from the lowest address up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckBytes {
    /// How they are computed.
    pub kind: CheckKind,
    /// Address of the first.
    pub address: u32,
}

/// How check bytes are computed; names and parameters as in the catalogue of the crate `crc`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CheckKind {
    /// CRC-32/ISO-HDLC: polynomial 04C11DB7, reflected, of `123456789` CBF43926.
    Crc32,
    /// CRC-16/IBM-3740: polynomial 1021, begins with FFFF, of `123456789` 29B1.
    Crc16,
}

/// The tables of a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum TableName {
    /// Bench data of the front damper: force over velocity and current; belongs to no mode.
    FrontDamper,
    /// Bench data of the rear damper.
    RearDamper,
    /// Gain map over vehicle speed and roughness level.
    Heave,
    /// Likewise.
    Wheel,
    /// Likewise.
    Base,
    /// Gain map over vehicle speed and lateral demand.
    Roll,
    /// Gain map over vehicle speed and longitudinal demand.
    Pitch,
    /// Least current over vehicle speed and lateral demand.
    Floor,
    /// Current over damper velocity and wanted damper force, front axle.
    InverseFront,
    /// The same, rear axle.
    InverseRear,
}

/// Where a table lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableAt {
    /// Place of the mode in the order of the set, from 1; absent for damper tables.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mode: Option<u32>,
    /// Which table.
    pub table: TableName,
    /// Row axis.
    pub rows: AxisAt,
    /// Column axis.
    pub columns: AxisAt,
    /// The cells.
    pub values: ValuesAt,
}

/// Where an axis lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AxisAt {
    /// Address of the first breakpoint.
    pub address: u32,
    /// Number of breakpoints: the control unit's, which the set's table must have.
    pub count: u32,
    /// Type of one number.
    #[serde(rename = "type")]
    pub number: NumberType,
    /// Value of one raw step. Default 1.
    #[serde(default = "one")]
    pub factor: f64,
    /// Value of raw zero. Default 0.
    #[serde(default)]
    pub offset: f64,
}

/// Where the cells of a table lie.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ValuesAt {
    /// Address of the first cell.
    pub address: u32,
    /// Type of one number.
    #[serde(rename = "type")]
    pub number: NumberType,
    /// Value of one raw step. Default 1.
    #[serde(default = "one")]
    pub factor: f64,
    /// Value of raw zero. Default 0.
    #[serde(default)]
    pub offset: f64,
    /// Which cells are neighbours in memory. Default row by row.
    #[serde(default)]
    pub order: CellOrder,
}

/// Which cells are neighbours in memory.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum CellOrder {
    /// All columns of the first row, then of the second.
    #[default]
    RowByRow,
    /// All rows of the first column, then of the second.
    ColumnByColumn,
}

/// Where a single number lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettingAt {
    /// Place of the mode in the order of the set, from 1; absent for what all modes share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mode: Option<u32>,
    /// Path as in `set.json` from the mode or from the top: `current_max_a`, `front.heave`, `controller.sample_rate_hz`.
    /// `law` is a number: 0 continuous, 1 on/off, 2 acceleration-driven, 3 mixed.
    pub setting: String,
    /// Address.
    pub address: u32,
    /// Type of the number.
    #[serde(rename = "type")]
    pub number: NumberType,
    /// Value of one raw step. Default 1.
    #[serde(default = "one")]
    pub factor: f64,
    /// Value of raw zero. Default 0.
    #[serde(default)]
    pub offset: f64,
    /// Raw value that says there is none, such as no slew limit. Absent: the setting must be there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub none: Option<f64>,
}

fn one() -> f64 {
    1.0
}

fn erased() -> u8 {
    255
}

impl Layout {
    /// Reads and checks a layout document.
    pub fn load(path: &Path) -> Result<Layout, HandoverFault> {
        let layout: Layout =
            load_document(path).map_err(|fault| HandoverFault::Layout(vec![sentence(&fault.to_string())]))?;
        layout.check().map_err(|faults| {
            let (count, first) = (faults.len(), faults.into_iter().next().unwrap_or_default());
            let more = if count > 1 { format!(" ({} more)", count - 1) } else { String::new() };
            HandoverFault::Layout(vec![format!("{}: {first}{more}", path.display())])
        })?;
        Ok(layout)
    }

    /// Reads and checks a layout from RON.
    pub fn from_ron(text: &str) -> Result<Layout, HandoverFault> {
        let layout: Layout = parse_document(text, Format::Ron)
            .map_err(|refusal| HandoverFault::Layout(vec![sentence(&refusal.to_string())]))?;
        layout.check().map_err(HandoverFault::Layout)?;
        Ok(layout)
    }

    /// The document as text.
    pub fn text(&self, format: Format) -> Result<String, HandoverFault> {
        document_text(self, format).map_err(|fault| HandoverFault::Layout(vec![fault.to_string()]))
    }
}

/// The words of a session's reader speak of sessions.
fn sentence(words: &str) -> String {
    words.replace("a session file's name", "a layout's file name").replace("a session", "a layout")
}
