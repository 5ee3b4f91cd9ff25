//! Measured files: channels with their units, even in time.
//!
//! [`read_csv`] takes the text of a file (this crate opens none) and gives a [`Log`], whose channels are in SI and sampled
//! evenly, with a sentence about everything that was done to them on the way.

mod csv_file;
mod fault;
mod short_lines;
mod timing;
mod unit;

pub use csv_file::read_csv;
pub use fault::LogFault;
pub use short_lines::{LONGEST_LINE, ShortLines};
pub use timing::{EVEN_SHARE, GAP_STEPS};
pub use unit::{Kind, Unit};

/// A measured record.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// Samples a second, Hz.
    pub sample_rate_hz: f64,
    /// Time of the first sample, s.
    pub start_s: f64,
    /// The channels, all of one length.
    pub channels: Vec<Channel>,
    /// What was done to times and units, one sentence each.
    pub remarks: Vec<String>,
}

impl Log {
    /// Samples of each channel.
    pub fn samples(&self) -> usize {
        self.channels.first().map_or(0, |c| c.values.len())
    }
}

/// One channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Name as in the file, its unit included.
    pub name: String,
    /// What the values are in.
    pub unit: Unit,
    /// Even samples in the SI unit.
    pub values: Vec<f64>,
}

impl Channel {
    /// Name without the unit.
    pub fn stem(&self) -> &str {
        &self.name[..self.name.len() - self.unit.written.len() - 1]
    }
}
