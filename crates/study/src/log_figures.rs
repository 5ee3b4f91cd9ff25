//! Figures of a measured record, channel by channel: the same weighting, dose and bands as those of a run.

use crate::{Cancelled, Progress};
use washboard_log::{Channel, Kind, Log};
use washboard_metrics::BandSettings;
use washboard_metrics::series::{STANDARD_TO_HZ, Series, motion_sickness_dose, reactions, total};
use washboard_signal::filter::Weighting;

/// Figures of a record.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LogFigures {
    /// Samples a second, Hz.
    pub sample_rate_hz: f64,
    /// Samples of each channel.
    pub samples: usize,
    /// One entry a channel.
    pub channels: Vec<ChannelFigures>,
    /// Total values of places with all three axes, each weighted as the standard asks for its axis.
    pub totals: Vec<AxisTotal>,
    /// What was done and what was left out, one sentence each.
    pub remarks: Vec<String>,
}

/// Figures of one channel, SI.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChannelFigures {
    /// Name as in the file.
    pub name: String,
    /// SI unit as it ends the names of figures; empty for a share or a ratio.
    pub unit: &'static str,
    /// SI unit on screens.
    pub unit_label: &'static str,
    /// r.m.s. value about zero.
    pub rms: f64,
    /// Mean.
    pub mean: f64,
    /// Largest magnitude.
    pub peak: f64,
    /// Largest minus least value.
    pub peak_to_peak: f64,
    /// Figures after the weighting; absent where the channel is no acceleration or the sample rate too low.
    pub weighted: Option<WeightedChannel>,
    /// r.m.s. values in the bands that the sample rate carries.
    pub bands: Vec<ChannelBand>,
}

/// Figures after a weighting, in the channel's unit.
#[derive(Clone, Debug, PartialEq)]
pub struct WeightedChannel {
    /// `Wk` and so on.
    pub weighting: &'static str,
    /// r.m.s. value.
    pub rms: f64,
    /// Vibration dose, in the unit times s^0.25.
    pub vibration_dose: f64,
    /// Largest running r.m.s. value, exponential window of 1 s.
    pub mtvv: f64,
    /// Largest r.m.s. value of any second; absent below 1 s of record.
    pub mtvv_linear: Option<f64>,
    /// Peak over r.m.s. value; absent for zeros.
    pub crest_factor: Option<f64>,
    /// Motion sickness dose, in the unit times s^0.5; Wf only.
    pub motion_sickness_dose: Option<f64>,
    /// Likely reactions in public transport; vertical and horizontal weightings of an acceleration only.
    pub reactions: Vec<&'static str>,
}

/// r.m.s. value in a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChannelBand {
    /// Name of the band.
    pub name: &'static str,
    /// Lower edge, Hz.
    pub from_hz: f64,
    /// Upper edge, Hz.
    pub to_hz: f64,
    /// r.m.s. value in the channel's unit, of its departure from the mean.
    pub rms: f64,
}

/// Total value over the axes of one place.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisTotal {
    /// Name of the place: that of its channels without axis and unit.
    pub place: String,
    /// Root of the sum of squares of the weighted r.m.s. values, factors 1 (ISO 2631-1, 6.5 and 8.2), m/s².
    pub total_m_per_s2: f64,
    /// Likely reactions in public transport.
    pub reactions: Vec<&'static str>,
}

/// The axis that a channel's name ends in.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Axis {
    X,
    Y,
    Z,
}

/// The place and the axis of a name such as `seat_z`.
fn axis(stem: &str) -> Option<(&str, Axis)> {
    let (place, last) = stem.rsplit_once('_').unwrap_or(("", stem));
    let axis = match last {
        "x" | "longitudinal" => Axis::X,
        "y" | "lateral" => Axis::Y,
        "z" | "vertical" => Axis::Z,
        _ => return None,
    };
    Some((place, axis))
}

/// The weighting of a channel where none is asked for: Wd for horizontal axes, We for rotations, else Wk.
fn usual(channel: &Channel) -> Weighting {
    match (channel.unit.kind, axis(channel.stem())) {
        (Kind::AngularAcceleration, _) => Weighting::We,
        (_, Some((_, Axis::X | Axis::Y))) => Weighting::Wd,
        _ => Weighting::Wk,
    }
}

/// Figures of every channel of a record. `weighting`: `Wk`, `Wd`, `Wc`, `We`, `Wf`, `Wb` for all accelerations; `None` or an
/// unknown one takes the usual one of each channel's axis.
///
/// # Errors
/// If it was stopped on the way.
pub fn log_figures(log: &Log, weighting: Option<&str>, progress: &Progress) -> Result<LogFigures, Cancelled> {
    progress.expect(log.channels.len());
    let asked = weighting.and_then(Weighting::by_name);
    let rate = log.sample_rate_hz;
    let mut figures = LogFigures {
        sample_rate_hz: rate,
        samples: log.samples(),
        remarks: log.remarks.clone(),
        ..LogFigures::default()
    };
    let mut remarks: Vec<String> = Vec::new();
    for channel in &log.channels {
        progress.check()?;
        if let Some(series) = Series::new(&channel.values, rate) {
            let found = channel_figures(channel, &series, asked.unwrap_or_else(|| usual(channel)), &mut remarks);
            figures.channels.push(found);
        }
        progress.finish_one();
    }
    if figures.channels.iter().any(|c| c.weighted.is_some()) && rate < 2.5 * STANDARD_TO_HZ {
        remarks.push(format!(
            "At {rate:.4} samples a second weighted figures know nothing above {:.4} Hz; the standard's weightings reach to {STANDARD_TO_HZ} Hz.",
            0.5 * rate
        ));
    }
    if asked.is_none() {
        figures.totals = totals(log, &figures.channels);
    }
    remarks.into_iter().for_each(|r| {
        if !figures.remarks.contains(&r) {
            figures.remarks.push(r)
        }
    });
    Ok(figures)
}

fn channel_figures(
    channel: &Channel,
    series: &Series<'_>,
    weighting: Weighting,
    remarks: &mut Vec<String>,
) -> ChannelFigures {
    let plain = series.figures();
    let duration_s = channel.values.len() as f64 / series.sample_rate_hz();
    let weighted = match channel.unit.kind {
        Kind::Other => None,
        kind => match series.weighted_figures(weighting) {
            Ok(found) => Some(WeightedChannel {
                weighting: weighting.name(),
                rms: found.rms,
                vibration_dose: found.vibration_dose,
                mtvv: found.mtvv,
                mtvv_linear: found.mtvv_linear,
                crest_factor: found.crest_factor,
                motion_sickness_dose: (weighting == Weighting::Wf).then(|| motion_sickness_dose(found.rms, duration_s)),
                reactions: match (kind, weighting) {
                    (Kind::Acceleration, Weighting::Wk | Weighting::Wd) => reactions(found.rms).collect(),
                    _ => Vec::new(),
                },
            }),
            Err(fault) => {
                remarks.push(format!("No weighted figures of {}: {fault}.", channel.name));
                None
            }
        },
    };
    if weighted.is_some() && plain.mean.abs() > 0.1 * plain.deviation {
        remarks.push(format!("Weighting and bands see {} without its mean.", channel.name));
    }
    let edges = BandSettings::default();
    let bands = [
        ("body motion", edges.body_motion_hz),
        ("primary ride", edges.primary_hz),
        ("choppiness", edges.choppy_hz),
        ("secondary ride", edges.secondary_hz),
        ("wheel hop", edges.wheel_hop_hz),
    ];
    let bands = bands.into_iter().filter_map(|(name, (from_hz, to_hz))| match series.band_rms((from_hz, to_hz)) {
        Ok(rms) => Some(ChannelBand { name, from_hz, to_hz, rms }),
        Err(fault) => {
            remarks.push(format!("No band from {from_hz} to {to_hz} Hz: {fault}."));
            None
        }
    });
    ChannelFigures {
        name: channel.name.clone(),
        unit: channel.unit.si,
        unit_label: channel.unit.label,
        rms: plain.rms,
        mean: plain.mean,
        peak: plain.peak,
        peak_to_peak: plain.peak_to_peak,
        bands: bands.collect(),
        weighted,
    }
}

/// Totals of the places whose three axes are all there.
fn totals(log: &Log, figures: &[ChannelFigures]) -> Vec<AxisTotal> {
    let mut places: Vec<(&str, [Option<f64>; 3])> = Vec::new();
    for (channel, found) in log.channels.iter().zip(figures) {
        let (Kind::Acceleration, Some((place, axis))) = (channel.unit.kind, axis(channel.stem())) else { continue };
        let index = places.iter().position(|(p, _)| *p == place).unwrap_or_else(|| {
            places.push((place, [None; 3]));
            places.len() - 1
        });
        places[index].1[axis as usize] = found.weighted.as_ref().map(|w| w.rms);
    }
    let of = |(place, axes): (&str, [Option<f64>; 3])| {
        let [Some(x), Some(y), Some(z)] = axes else { return None };
        let total_m_per_s2 = total(&[(1.0, x), (1.0, y), (1.0, z)]);
        Some(AxisTotal { place: place.to_owned(), total_m_per_s2, reactions: reactions(total_m_per_s2).collect() })
    };
    places.into_iter().filter_map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(text: &str) -> Log {
        washboard_log::read_csv(text.as_bytes(), &[]).unwrap()
    }

    /// Eight hertz for ten seconds at 200 samples a second.
    fn waves() -> String {
        let row = |i: u32| {
            let t = f64::from(i) / 200.0;
            let a = (std::f64::consts::TAU * 8.0 * t).sin();
            format!("{t:.4},{:.6},{:.6},{:.6},{:.6}\n", 0.5 * a, 0.3 * a, 0.8 * a + 9.81, 10.0 * a)
        };
        let header = "time_s,seat_x_m_per_s2,seat_y_m_per_s2,seat_z_m_per_s2,travel_mm\n";
        header.to_owned() + &(0..2000).map(row).collect::<String>()
    }

    #[test]
    fn axes_get_their_weighting_and_a_total() {
        let figures = log_figures(&log(&waves()), None, &Progress::new()).unwrap();
        let weighted: Vec<_> = figures.channels.iter().map(|c| c.weighted.as_ref().map(|w| w.weighting)).collect();
        assert_eq!(weighted, [Some("Wd"), Some("Wd"), Some("Wk"), None]);
        // checks.json case 03: Wd at 8 Hz 0.25313, Wk 1.03637; ISO 2631-1, 6.5.
        let half = 0.5f64;
        let want =
            (half * ((0.25313f64 * 0.5).powi(2) + (0.25313f64 * 0.3).powi(2) + (1.03637f64 * 0.8).powi(2))).sqrt();
        assert_eq!(figures.totals.len(), 1);
        assert!((figures.totals[0].total_m_per_s2 / want - 1.0).abs() < 0.01, "{:?} against {want}", figures.totals);
        assert_eq!(figures.totals[0].place, "seat");
        assert_eq!(figures.channels[3].unit, "m");
        assert!((figures.channels[3].rms - 0.01 / 2f64.sqrt()).abs() < 1e-5);
        assert!(
            figures.remarks.iter().any(|r| r.contains("seat_z_m_per_s2 without its mean")),
            "{:?}",
            figures.remarks
        );
    }

    #[test]
    fn a_weighting_asked_for_holds_for_every_acceleration() {
        let figures = log_figures(&log(&waves()), Some("Wf"), &Progress::new()).unwrap();
        for channel in &figures.channels[..3] {
            let weighted = channel.weighted.as_ref().unwrap();
            assert_eq!(weighted.weighting, "Wf");
            let dose = weighted.motion_sickness_dose.unwrap();
            assert!((dose / (weighted.rms * 10f64.sqrt()) - 1.0).abs() < 1e-12, "ISO 2631-1, D.1.1");
        }
        assert!(figures.totals.is_empty());
    }
}
