//! What a set says of its making: time, program, purpose.

use washboard_handover::ExportInfo;

/// Of a set made now.
pub fn now(note: &str) -> ExportInfo {
    ExportInfo {
        created: jiff::Timestamp::now().to_string(),
        program: concat!("washboard ", env!("CARGO_PKG_VERSION")).to_owned(),
        note: note.to_owned(),
    }
}
