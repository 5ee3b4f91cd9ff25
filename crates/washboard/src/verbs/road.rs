//! `washboard road`: roughness index, displacement density and class of a measured profile.

use super::Outcome;
use crate::bar::with_bar;
use crate::table::{Table, number};
use crate::{cli, profiles, sink};
use anyhow::{Result, ensure};
use serde_json::{Map, Value, json};
use washboard_study::{RoadPicture, TrackPicture, road_picture_of_profile};

/// Shortest profile that anything can be said of, m.
const SHORTEST_M: f64 = 11.0;

/// Analyses one profile.
pub fn run(args: &cli::Road) -> Result<Outcome> {
    let name = args.profile.display().to_string();
    let profile = profiles::read(&args.profile)?;
    let x = profile.distance_m();
    let length_m = x[x.len() - 1] - x[0];
    ensure!(
        length_m >= SHORTEST_M,
        "{name}: distance_m covers {length_m:.3} m, but a profile must cover at least {SHORTEST_M} m"
    );
    let picture = with_bar(|progress| road_picture_of_profile(&profile, progress))?;
    let text = if args.json { json_text(&name, &picture) } else { plain_text(&name, &picture) };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

fn json_text(name: &str, picture: &RoadPicture) -> String {
    let tracks: Map<String, Value> = picture.tracks.iter().map(|t| (t.name.to_owned(), track(t))).collect();
    let object = json!({ "profile": name, "tracks": tracks, "remarks": picture.remarks });
    format!("{object:#}\n")
}

/// What there is of a track; what does not apply is absent.
fn track(t: &TrackPicture) -> Value {
    let mut object = Map::new();
    let mut put = |key: &str, value: Value| drop(object.insert(key.to_owned(), value));
    if let Some(index) = t.roughness_index_m_per_km {
        put("roughness_index_m_per_km", json!(index));
    }
    if let Some(fit) = t.density.as_ref().and_then(|d| d.fit) {
        put("psd_at_n0_m3", json!(fit.psd_at_n0_m3));
        let off = fit.uncertainty_factor;
        put("psd_at_n0_interval_m3", json!([fit.psd_at_n0_m3 / off, fit.psd_at_n0_m3 * off]));
        put("waviness", json!(fit.waviness));
        put("class", json!(fit.class.to_string()));
        put("fit_from_cycles_per_m", json!(fit.from_cycles_per_m));
        put("fit_to_cycles_per_m", json!(fit.to_cycles_per_m));
    }
    put("length_m", json!(t.length_m));
    put("spacing_m", json!(t.spacing_m));
    put("samples", json!(t.samples));
    if let Some(d) = &t.density {
        put("band_centres_cycles_per_m", json!(d.band_cycles_per_m));
        put("band_psd_m3", json!(d.band_density_m3));
        put("wavenumbers_cycles_per_m", json!(d.wavenumber_cycles_per_m));
        put("psd_m3", json!(d.density_m3));
    }
    Value::Object(object)
}

fn plain_text(name: &str, picture: &RoadPicture) -> String {
    let mut text = String::new();
    if let Some(t) = picture.tracks.first() {
        text += &format!("{name}: {:.1} m, {} samples every {:.3} m\n\n", t.length_m, t.samples, t.spacing_m);
    }
    let figures = ["track", "roughness_index_m_per_km", "psd_at_n0_m3", "from_m3", "to_m3", "waviness", "class"];
    let mut table = Table::new(1, figures);
    for t in &picture.tracks {
        let fit = t.density.as_ref().and_then(|d| d.fit);
        let density = |value: Option<f64>| value.map_or("-".to_owned(), |v| format!("{v:.3e}"));
        let shown = |value: Option<f64>| value.map_or("-".to_owned(), number);
        table.row([
            t.name.to_owned(),
            shown(t.roughness_index_m_per_km),
            density(fit.map(|f| f.psd_at_n0_m3)),
            density(fit.map(|f| f.psd_at_n0_m3 / f.uncertainty_factor)),
            density(fit.map(|f| f.psd_at_n0_m3 * f.uncertainty_factor)),
            shown(fit.map(|f| f.waviness)),
            fit.map_or("-".to_owned(), |f| f.class.to_string()),
        ]);
    }
    text += &table.render();
    text += "\nClass after ISO 8608 by the density of a straight line at 0.1 cycles/m, with its 95 % interval from ... to.\n";
    if let Some(bands) = bands(picture) {
        text += "\nDisplacement density in the bands of ISO 8608, one-sided:\n\n";
        text += &bands.render();
    }
    if !picture.remarks.is_empty() {
        text.push('\n');
        picture.remarks.iter().for_each(|remark| text += &format!("{remark}\n"));
    }
    text
}

/// The smoothed densities side by side; all tracks have the same bands.
fn bands(picture: &RoadPicture) -> Option<Table> {
    let found: Vec<_> = picture.tracks.iter().filter_map(|t| Some((t.name, t.density.as_ref()?))).collect();
    let (_, first) = found.first()?;
    let headers =
        std::iter::once("centre_cycles_per_m".to_owned()).chain(found.iter().map(|(n, _)| format!("{n}_psd_m3")));
    let mut table = Table::new(0, headers);
    for (index, centre) in first.band_cycles_per_m.iter().enumerate() {
        let densities =
            found.iter().map(|(_, d)| d.band_density_m3.get(index).map_or("-".to_owned(), |v| format!("{v:.3e}")));
        table.row(std::iter::once(number(*centre)).chain(densities));
    }
    Some(table)
}
