//! `washboard response`: transmissibility and wheel-load response over frequency.

use super::{Outcome, compile, load_case_or_described};
use crate::bar::with_bar;
use crate::table::{Table, number};
use crate::{cli, sink};
use anyhow::{Result, ensure};
use serde_json::{Map, Value, json};
use washboard_study::{Model, Response, ResponseRequest, default_frequencies};

/// Most frequencies in one response.
const MOST_FREQUENCIES: usize = 10_000;

/// Computes the response of one mode.
pub fn run(args: &cli::Response) -> Result<Outcome> {
    let compiled = compile(&args.session, &args.assumed)?;
    let (session, study) = (&compiled.session, &compiled.study);
    let request = request(args);
    request.check(session.controller.sample_rate_hz)?;
    let count = request.frequencies_hz.len();
    ensure!(
        count <= MOST_FREQUENCIES,
        "--frequencies-hz names {count} frequencies, but at most {MOST_FREQUENCIES} fit"
    );
    let model = Model::from(args.model);
    let mode = study.mode(&args.mode)?;
    let load_case = load_case_or_described(study, args.load_case.as_deref())?;
    let response = with_bar(|progress| study.response(model, mode, load_case, &request, progress))?;
    let text = if args.json {
        let mut object = Map::new();
        object.insert("session".into(), json!(session.title));
        object.insert("model".into(), json!(model.name()));
        object.insert("mode".into(), json!(args.mode));
        object.insert("load_case".into(), json!(study.load_case_names()[load_case]));
        object.insert("speed_km_h".into(), json!(request.speed_km_h));
        object.insert("roughness_m_per_s2".into(), json!(request.roughness_m_per_s2));
        object.insert("velocity_amplitude_m_per_s".into(), json!(request.velocity_amplitude_m_per_s));
        put_curves(&mut object, &response);
        format!("{:#}\n", Value::Object(object))
    } else {
        table(&response)
    };
    sink::deliver(&text, args.output.out.as_deref())?;
    Ok(Outcome::Done)
}

fn request(args: &cli::Response) -> ResponseRequest {
    ResponseRequest {
        speed_km_h: args.speed_km_h,
        roughness_m_per_s2: args.roughness_m_per_s2,
        velocity_amplitude_m_per_s: args.velocity_amplitude_m_per_s,
        frequencies_hz: if args.frequencies_hz.is_empty() {
            default_frequencies()
        } else {
            args.frequencies_hz.clone()
        },
    }
}

fn put_curves(object: &mut Map<String, Value>, response: &Response) {
    let per_corner = |curves: &[(&'static str, Vec<f64>)]| {
        Value::Object(curves.iter().map(|(corner, values)| ((*corner).to_owned(), json!(values))).collect())
    };
    object.insert("frequencies_hz".into(), json!(response.frequencies_hz));
    object.insert("body_transmissibility".into(), json!(response.body_transmissibility));
    object.insert(
        "body_acceleration_per_road_velocity_per_s".into(),
        json!(response.body_acceleration_per_road_velocity_per_s),
    );
    if !response.pitch_per_road_height_rad_per_m.is_empty() {
        object.insert("pitch_per_road_height_rad_per_m".into(), json!(response.pitch_per_road_height_rad_per_m));
    }
    for (name, curves) in [
        ("corner_transmissibility", &response.corner_transmissibility),
        ("wheel_load_per_road_velocity_n_s_per_m", &response.wheel_load_per_road_velocity_n_s_per_m),
        ("travel_per_road_height", &response.travel_per_road_height),
    ] {
        object.insert(name.into(), per_corner(curves));
    }
    object.insert("known_to_share".into(), json!(response.known_to_share));
    object.insert("settled".into(), json!(response.settled));
}

fn table(response: &Response) -> String {
    let mut headers = vec![
        "frequency_hz".to_owned(),
        "body_transmissibility".to_owned(),
        "body_acceleration_per_road_velocity_per_s".to_owned(),
    ];
    let mut columns = vec![
        &response.frequencies_hz,
        &response.body_transmissibility,
        &response.body_acceleration_per_road_velocity_per_s,
    ];
    if !response.pitch_per_road_height_rad_per_m.is_empty() {
        headers.push("pitch_per_road_height_rad_per_m".to_owned());
        columns.push(&response.pitch_per_road_height_rad_per_m);
    }
    for (corner, curve) in &response.wheel_load_per_road_velocity_n_s_per_m {
        headers.push(format!("{corner}_wheel_load_per_road_velocity_n_s_per_m"));
        columns.push(curve);
    }
    let all_settled = response.settled.iter().all(|&s| s);
    if !all_settled {
        headers.extend(["settled".to_owned(), "known_to_share".to_owned()]);
    }
    let mut table = Table::new(0, headers);
    for index in 0..response.frequencies_hz.len() {
        let mut row: Vec<String> = columns.iter().map(|c| c.get(index).map_or(String::new(), |&v| number(v))).collect();
        if !all_settled {
            row.push(if response.settled.get(index) == Some(&true) { "yes" } else { "no" }.to_owned());
            row.push(response.known_to_share.get(index).map_or(String::new(), |&v| number(v)));
        }
        table.row(row);
    }
    table.render()
}
