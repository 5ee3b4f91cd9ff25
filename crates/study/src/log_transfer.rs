//! Transfer functions of a measured record: from one channel to each other one, with their coherence.

use washboard_log::Log;
use washboard_signal::spectrum::{SpectrumError, Welch};

/// Longest segment, s: frequencies an eighth of a hertz apart.
const LONGEST_SEGMENT_S: f64 = 8.0;
/// Segments a record is divided into at least; they overlap by half.
const LEAST_PARTS: usize = 8;

/// Transfer functions from one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct LogTransfers {
    /// Name of the channel they start from.
    pub from: String,
    /// Frequency of each value, Hz; without zero.
    pub frequencies_hz: Vec<f64>,
    /// Segments behind each value. Channels that have nothing to do with each other show a coherence of about one over it.
    pub segments: usize,
    /// Length of a segment, s.
    pub segment_s: f64,
    /// One entry for every other channel.
    pub to: Vec<ChannelTransfer>,
}

/// The transfer function to one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelTransfer {
    /// Name as in the file.
    pub name: String,
    /// Unit of the gain on screens: this channel's SI unit over that of the channel it starts from; empty for a ratio.
    pub unit_label: String,
    /// Magnitude, in SI units.
    pub gain: Vec<f64>,
    /// Angle, rad, positive where this channel comes earlier.
    pub phase_rad: Vec<f64>,
    /// Share of this channel's power that follows linearly from the first one, 0 to 1.
    pub coherence: Vec<f64>,
}

/// Why there are none.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LogTransferFault {
    /// The record has no such channel.
    #[error("there is no channel named {name}; the record has {known}")]
    NoChannel {
        /// What was asked for.
        name: String,
        /// What there is.
        known: String,
    },
    /// There is no other channel.
    #[error("{0} is the only channel: a transfer function needs a second one")]
    Alone(String),
    /// The record is too short or its rate unusable.
    #[error("no transfer functions: {0}")]
    Spectrum(#[from] SpectrumError),
}

/// Transfer functions from a channel to every other one, by Welch's method with a Hann window: segments of an eighth of the
/// record, at most 8 s, that overlap by half; cross density over the density of the channel they start from (so that noise in
/// the others does not bias the gain).
///
/// # Errors
/// If there is no such channel, no other one, or too few samples.
pub fn log_transfers(log: &Log, from: &str) -> Result<LogTransfers, LogTransferFault> {
    let Some(first) = log.channels.iter().find(|c| c.name == from) else {
        let known: Vec<&str> = log.channels.iter().map(|c| c.name.as_str()).collect();
        return Err(LogTransferFault::NoChannel { name: from.to_owned(), known: known.join(", ") });
    };
    if log.channels.len() < 2 {
        return Err(LogTransferFault::Alone(from.to_owned()));
    }
    let longest = (LONGEST_SEGMENT_S * log.sample_rate_hz).round() as usize;
    let mut welch = Welch::new((log.samples() / LEAST_PARTS).min(longest), log.sample_rate_hz)?;
    let mut found = LogTransfers {
        from: from.to_owned(),
        // Segments have lost their mean: zero frequency says nothing.
        frequencies_hz: welch.frequencies_hz().split_off(1),
        segments: 0,
        segment_s: welch.segment() as f64 / log.sample_rate_hz,
        to: Vec::new(),
    };
    for channel in log.channels.iter().filter(|c| c.name != from) {
        let transfer = welch.transfer(&first.values, &channel.values)?;
        found.segments = transfer.segments;
        let unit_label = match (channel.unit.label, first.unit.label) {
            (one, other) if one == other => String::new(),
            (one, "") => one.to_owned(),
            ("", other) => format!("1/({other})"),
            (one, other) => format!("({one})/({other})"),
        };
        found.to.push(ChannelTransfer {
            name: channel.name.clone(),
            unit_label,
            gain: transfer.gain[1..].iter().map(|g| g.norm()).collect(),
            phase_rad: transfer.gain[1..].iter().map(|g| g.arg()).collect(),
            coherence: transfer.coherence[1..].to_vec(),
        });
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Noise of -1 to 1 (Numerical Recipes' 64-bit generator).
    fn noise(seed: u64) -> impl Iterator<Item = f64> {
        let mut state = seed;
        std::iter::repeat_with(move || {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (state >> 11) as f64 / (1u64 << 52) as f64 - 1.0
        })
    }

    fn record() -> Log {
        // The second channel is twice the first one 5 ms ago, with noise of half its power; the third has nothing to do with them.
        let x: Vec<f64> = noise(1).take(40_010).collect();
        let (mut n, mut other) = (noise(2), noise(3));
        let mut text = "time_s,road_mm,body_mm,wind_m_per_s2\n".to_owned();
        for i in 10..x.len() {
            let y = 2.0 * x[i - 1] + 2.0 * 0.5f64.sqrt() * n.next().unwrap();
            text += &format!("{:.3},{:.6},{y:.6},{:.6}\n", (i - 10) as f64 / 200.0, x[i], other.next().unwrap());
        }
        washboard_log::read_csv(text.as_bytes(), &[]).unwrap()
    }

    #[test]
    fn gain_delay_and_coherence_are_the_closed_forms() {
        let found = log_transfers(&record(), "road_mm").unwrap();
        assert_eq!((found.segment_s, found.segments, found.to.len()), (8.0, 49, 2));
        let (body, wind) = (&found.to[0], &found.to[1]);
        assert_eq!((body.unit_label.as_str(), wind.unit_label.as_str()), ("", "(m/s²)/(m)"));
        let mean = |list: &[f64]| list.iter().sum::<f64>() / list.len() as f64;
        let source = "closed form: delay of white noise in white noise";
        // 800 values of 49 segments: scatter of the mean below 0.3 %.
        washboard_checks::relative("gain of a transfer function of a record", source, mean(&body.gain), 2.0, 0.01);
        let coherence = mean(&body.coherence);
        washboard_checks::absolute("coherence with noise of half the power", source, coherence, 1.0 / 1.5, 0.01);
        let late: Vec<f64> = body.phase_rad[..300]
            .iter()
            .zip(&found.frequencies_hz)
            .map(|(p, f)| -p / (std::f64::consts::TAU * f))
            .collect();
        washboard_checks::absolute("delay of a transfer function, s", source, mean(&late[100..]), 0.005, 2e-4);
        // Unrelated channels show one over the number of segments, a little more for those that overlap.
        assert!(mean(&wind.coherence) < 2.0 / 49.0, "{}", mean(&wind.coherence));
    }

    #[test]
    fn what_cannot_be_is_said() {
        let log = record();
        let fault = log_transfers(&log, "seat_mm").unwrap_err().to_string();
        assert!(fault.contains("seat_mm") && fault.contains("road_mm, body_mm, wind_m_per_s2"), "{fault}");
        let alone = Log { channels: log.channels[..1].to_vec(), ..log.clone() };
        assert_eq!(log_transfers(&alone, "road_mm"), Err(LogTransferFault::Alone("road_mm".into())));
        let short =
            |c: &washboard_log::Channel| washboard_log::Channel { values: c.values[..20].to_vec(), ..c.clone() };
        let short = Log { channels: log.channels.iter().map(short).collect(), ..log };
        assert!(matches!(log_transfers(&short, "road_mm"), Err(LogTransferFault::Spectrum(_))));
    }
}
