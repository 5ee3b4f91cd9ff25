//! `washboard analyse`: r.m.s., weighted r.m.s., dose, bands and transfer functions of the channels of a measured record.

use super::Outcome;
use crate::bar::{with_bar, with_bytes};
use crate::table::{Table, number};
use crate::{cli, records, sink};
use anyhow::{Context, Result};
use serde_json::{Map, Value, json};
use washboard_study::{ChannelFigures, LogFigures, LogTransfers, log_figures, log_transfers};

/// Analyses one record.
pub fn run(args: &cli::Analyse) -> Result<Outcome> {
    let name = args.log.display().to_string();
    // A channel that transfer functions start from is read whatever else is asked for.
    let mut channels = args.channels.clone();
    if let Some(from) = args.from.as_ref().filter(|from| !channels.is_empty() && !channels.contains(from)) {
        channels.push(from.clone());
    }
    let log = with_bytes(|watch| records::read(&args.log, &channels, watch))?;
    let weighting = args.weighting.map(cli::WeightingName::name);
    let figures = with_bar(|progress| log_figures(&log, weighting, progress))?;
    let transfers =
        args.from.as_ref().map(|from| log_transfers(&log, from)).transpose().with_context(|| name.clone())?;
    let transfers = transfers.as_ref();
    let text = if args.json { json_text(&name, &figures, transfers) } else { plain_text(&name, &figures, transfers) };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

fn json_text(name: &str, figures: &LogFigures, transfers: Option<&LogTransfers>) -> String {
    let channels: Map<String, Value> = figures.channels.iter().map(|c| (c.name.clone(), channel(c))).collect();
    let mut object = Map::new();
    object.insert("log".into(), json!(name));
    object.insert("sample_rate_hz".into(), json!(figures.sample_rate_hz));
    object.insert("samples".into(), json!(figures.samples));
    object.insert("channels".into(), Value::Object(channels));
    if !figures.totals.is_empty() {
        let total = |t: &washboard_study::AxisTotal| {
            (t.place.clone(), json!({ "total_m_per_s2": t.total_m_per_s2, "comfort": t.reactions }))
        };
        object.insert("totals".into(), Value::Object(figures.totals.iter().map(total).collect()));
    }
    if let Some(transfers) = transfers {
        object.insert("transfer_functions".into(), transfer_json(transfers));
    }
    object.insert("remarks".into(), json!(figures.remarks));
    format!("{:#}\n", Value::Object(object))
}

/// What there is of a channel; what does not apply is absent.
fn channel(c: &ChannelFigures) -> Value {
    let ending = if c.unit.is_empty() { String::new() } else { format!("_{}", c.unit) };
    // A dose is an acceleration times a root of time: m/s^2 becomes m/s^1.75.
    let dose = |power: &str| format!("_{}{power}", c.unit.strip_suffix('2').unwrap_or(c.unit));
    let mut object = Map::new();
    let mut put = |key: String, value: Value| drop(object.insert(key, value));
    put(format!("rms{ending}"), json!(c.rms));
    put(format!("mean{ending}"), json!(c.mean));
    put(format!("peak{ending}"), json!(c.peak));
    put(format!("peak_to_peak{ending}"), json!(c.peak_to_peak));
    if let Some(w) = &c.weighted {
        put("weighting".into(), json!(w.weighting));
        put(format!("weighted_rms{ending}"), json!(w.rms));
        put(format!("vibration_dose{}", dose("1_75")), json!(w.vibration_dose));
        put(format!("mtvv{ending}"), json!(w.mtvv));
        if let Some(mtvv) = w.mtvv_linear {
            put(format!("mtvv_linear{ending}"), json!(mtvv));
        }
        if let Some(crest) = w.crest_factor {
            put("crest_factor".into(), json!(crest));
        }
        if let Some(sickness) = w.motion_sickness_dose {
            put(format!("motion_sickness_dose{}", dose("1_5")), json!(sickness));
        }
        if !w.reactions.is_empty() {
            put("comfort".into(), json!(w.reactions));
        }
    }
    let band = |b: &washboard_study::ChannelBand| {
        let mut object = Map::new();
        object.insert("name".into(), json!(b.name));
        object.insert("from_hz".into(), json!(b.from_hz));
        object.insert("to_hz".into(), json!(b.to_hz));
        object.insert(format!("rms{ending}"), json!(b.rms));
        Value::Object(object)
    };
    if !c.bands.is_empty() {
        put("bands".into(), Value::Array(c.bands.iter().map(band).collect()));
    }
    Value::Object(object)
}

/// Gains in SI units.
fn transfer_json(t: &LogTransfers) -> Value {
    let to: Map<String, Value> =
        t.to.iter()
            .map(|c| (c.name.clone(), json!({ "gain": c.gain, "phase_rad": c.phase_rad, "coherence": c.coherence })))
            .collect();
    json!({ "from": t.from, "segments": t.segments, "segment_s": t.segment_s, "frequencies_hz": t.frequencies_hz, "to": to })
}

/// At third octaves; the JSON has every frequency.
fn transfer_text(t: &LogTransfers) -> String {
    let text = format!(
        "\nTransfer functions from {}, {} segments of {} s (gain in SI units; phase positive where the channel comes earlier; \
         channels that have nothing to do with each other show a coherence of about {}):\n\n",
        t.from,
        t.segments,
        number(t.segment_s),
        number(1.0 / t.segments as f64)
    );
    let mut table = Table::new(2, ["channel", "gain in", "frequency_hz", "gain", "phase_deg", "coherence"]);
    let highest = t.frequencies_hz.last().copied().unwrap_or(0.0);
    let third = |k: i32| 10f64.powf(f64::from(k) / 10.0);
    let mut rows: Vec<usize> = (-10..=23)
        .map(third)
        .filter(|f| *f >= 2.0 / t.segment_s && *f <= 0.8 * highest)
        .map(|f| t.frequencies_hz.partition_point(|x| *x < f))
        .collect();
    rows.dedup();
    for c in &t.to {
        let unit = if c.unit_label.is_empty() { "1" } else { &c.unit_label };
        for &i in &rows {
            table.row([
                c.name.clone(),
                unit.to_owned(),
                number(t.frequencies_hz[i]),
                number(c.gain[i]),
                number(c.phase_rad[i].to_degrees()),
                number(c.coherence[i]),
            ]);
        }
    }
    text + &table.render()
}

fn plain_text(name: &str, figures: &LogFigures, transfers: Option<&LogTransfers>) -> String {
    let rate = figures.sample_rate_hz;
    let mut text = format!(
        "{name}: {} samples at {} Hz, {} s\n\n",
        figures.samples,
        number(rate),
        number(figures.samples as f64 / rate)
    );
    let shown = |value: Option<f64>| value.map_or("-".to_owned(), number);
    let mut table = Table::new(
        3,
        ["channel", "unit", "weighting", "rms", "weighted_rms", "dose (unit s^1/4)", "mtvv", "crest_factor"],
    );
    for c in &figures.channels {
        let w = c.weighted.as_ref();
        table.row([
            c.name.clone(),
            if c.unit.is_empty() { "1".to_owned() } else { c.unit_label.to_owned() },
            w.map_or("-".to_owned(), |w| w.weighting.to_owned()),
            number(c.rms),
            shown(w.map(|w| w.rms)),
            shown(w.map(|w| w.vibration_dose)),
            shown(w.map(|w| w.mtvv)),
            shown(w.and_then(|w| w.crest_factor)),
        ]);
    }
    text += &table.render();
    // All channels carry the same bands: they share the sample rate.
    let bands = figures.channels.first().map_or(&[][..], |c| &c.bands);
    if !bands.is_empty() {
        text += "\nr.m.s. in bands, in the channel's unit (Butterworth band-pass of order 2):\n\n";
        let head = bands.iter().map(|b| format!("{} to {} Hz", b.from_hz, b.to_hz));
        let mut table = Table::new(2, ["channel".to_owned(), "unit".to_owned()].into_iter().chain(head));
        for c in &figures.channels {
            let unit = if c.unit.is_empty() { "1".to_owned() } else { c.unit_label.to_owned() };
            table.row([c.name.clone(), unit].into_iter().chain(c.bands.iter().map(|b| number(b.rms))));
        }
        text += &table.render();
    }
    if let Some(transfers) = transfers {
        text += &transfer_text(transfers);
    }
    let comfort = figures.channels.iter().filter_map(|c| Some((c.name.clone(), &c.weighted.as_ref()?.reactions)));
    let totals = figures
        .totals
        .iter()
        .map(|t| (format!("{} over all axes, {} m/s²", t.place, number(t.total_m_per_s2)), &t.reactions));
    let said: Vec<_> = comfort.chain(totals).filter(|(_, words)| !words.is_empty()).collect();
    if !said.is_empty() {
        text += "\nLikely reactions in public transport (ISO 2631-1, C.2.3):\n";
        said.iter().for_each(|(what, words)| text += &format!("{what}: {}\n", words.join(" to ")));
    }
    if !figures.remarks.is_empty() {
        text.push('\n');
        figures.remarks.iter().for_each(|remark| text += &format!("{remark}\n"));
    }
    text
}
