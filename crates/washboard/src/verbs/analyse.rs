//! `washboard analyse`: r.m.s., weighted r.m.s., dose and bands of the channels of a measured record.

use super::Outcome;
use crate::bar::with_bar;
use crate::table::{Table, number};
use crate::{cli, records, sink};
use anyhow::Result;
use serde_json::{Map, Value, json};
use washboard_study::{ChannelFigures, LogFigures, log_figures};

/// Analyses one record.
pub fn run(args: &cli::Analyse) -> Result<Outcome> {
    let name = args.log.display().to_string();
    let log = records::read(&args.log, &args.channels)?;
    let weighting = args.weighting.map(cli::WeightingName::name);
    let figures = with_bar(|progress| log_figures(&log, weighting, progress))?;
    let text = if args.json { json_text(&name, &figures) } else { plain_text(&name, &figures) };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

fn json_text(name: &str, figures: &LogFigures) -> String {
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

fn plain_text(name: &str, figures: &LogFigures) -> String {
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
