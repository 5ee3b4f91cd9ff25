//! A small car, a board of results made by hand, and a window to press keys in.
#![allow(dead_code)]

use egui::{Event, Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::time::Duration;
use washboard_handover::PreCheck;
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::{Complaints, Edit, HandedOver, MapName, Session, apply, parse_json};
use washboard_study::{
    Board, BoardRequest, Derived, Difference, Evaluation, FenceState, FixedDamper, Levers, ModePoint, Model, Overall,
    Response, SideBoard, Title, Trace, Visits,
};
use washboard_ui::{
    About, BenchView, ColumnKey, Command, Context, HandOverResult, HandOverView, LeverView, LogText, MeasuredView,
    Notice, OpenedSet, Question, ReadBackView, Recent, Reopened, SideView, View,
};

/// Two modes with maps of 3 x 3, two events, one fence.
pub fn session() -> Session {
    let map = |k: f64| {
        format!(
            r#"{{"rows":[20,80,160],"columns":[0,4,10],"values_n_s_per_m":[[{},{},{}],[{},{},{}],[{},{},{}]]}}"#,
            1000.0 * k,
            900.0 * k,
            700.0 * k,
            2000.0 * k,
            1800.0 * k,
            1400.0 * k,
            2400.0 * k,
            2200.0 * k,
            1600.0 * k
        )
    };
    let mode = |name: &str, k: f64| {
        format!(
            r#"{{"name":"{name}","law":"Continuous","heave":{m},"wheel":{m},"base":{m},"roll":{m},"pitch":{m},"current_min_a":0.3,"current_max_a":1.6}}"#,
            m = map(k)
        )
    };
    let axle = r#"{"track_m":1.57,"wheel_mass_kg":44,"spring_rate_n_per_m":26000,"tyre_rate_n_per_m":230000,"damper":"damper"}"#;
    let text = format!(
        r#"{{"format":1,"title":"test car","vehicle":{{"name":"car","body_mass_kg":1500,"roll_inertia_kg_m2":560,
        "pitch_inertia_kg_m2":2600,"wheelbase_m":2.78,"cg_to_front_axle_m":1.3,"cg_height_m":0.57,"front":{axle},"rear":{axle},
        "load_cases":[{{"name":"full","items":[{{"name":"load","mass_kg":300,"x_m":-0.5,"y_m":0,"z_m":0.6}}]}}]}},
        "dampers":[{{"name":"damper","velocity_m_per_s":[-1,0,1],"current_a":[0.3,1.6],"force_n":[[-500,-900],[0,0],[900,3000]]}}],
        "controller":{{"sample_rate_hz":1000}},"modes":[{},{}],"events":[
        {{"name":"rough road","speed_km_h":80,"duration_s":20,"kind":{{"RandomRoad":{{"class":"C","seed":1}}}}}},
        {{"name":"lane change","speed_km_h":80,"duration_s":6,"kind":{{"LaneChange":{{"acceleration_m_per_s2":4,"period_s":2}}}}}}],
        "fences":[{{"metric":"weighted_acceleration_m_per_s2","at_most":0.4}}]}}"#,
        mode("gentle", 0.5),
        mode("firm", 1.0)
    );
    parse_json(&text).expect("the session of the tests is valid")
}

/// Results made by hand: shapes and counts are right, numbers are invented.
pub fn board(session: &Session) -> Board {
    let corners = Model::Full.corner_names();
    let frequencies_hz: Vec<f64> = (0..40).map(|i| 0.3 * 100f64.powf(f64::from(i) / 39.0)).collect();
    let response = |k: f64| Response {
        body_transmissibility: frequencies_hz.iter().map(|f| k / (0.2 + (f - 1.2).abs())).collect(),
        wheel_load_per_road_velocity_n_s_per_m: corners
            .iter()
            .map(|c| (*c, frequencies_hz.iter().map(|f| 1000.0 * k * f).collect()))
            .collect(),
        known_to_share: vec![0.0; frequencies_hz.len()],
        settled: vec![true; frequencies_hz.len()],
        frequencies_hz: frequencies_hz.clone(),
        ..Response::default()
    };
    let card = |k: f64| {
        let mut card = Scorecard::new(corners);
        card.set_one(MetricId::WEIGHTED_ACCELERATION, 0.35 * k);
        card.set_one(MetricId::BODY_MOTION_RMS, 0.008 / k);
        card.set_one(MetricId::ROLL_RATE_PEAK, 0.2);
        card.set_corners(MetricId::DYNAMIC_LOAD_COEFFICIENT, |c| Some(0.1 + 0.01 * c as f64));
        card
    };
    let time_s: Vec<f64> = (0..4000).map(|i| f64::from(i) * 0.005).collect();
    let wave =
        |a: f64, hz: f64| time_s.iter().map(|t| a * (t * hz * std::f64::consts::TAU).sin()).collect::<Vec<f64>>();
    let channel = |name: String, values: Vec<f64>| (Title { label: name.clone(), name, unit: "" }, values);
    let trace = || {
        let channels = std::iter::once(channel("body_heave_m".into(), wave(0.01, 1.2)))
            .chain(corners.iter().map(|c| channel(format!("{c}_wheel_load_n"), wave(4000.0, 3.0))))
            .chain(corners.iter().map(|c| channel(format!("{c}_current_a"), wave(1.0, 9.0))))
            .collect();
        Trace::of_channels(time_s.clone(), channels)
    };
    let modes = session.modes.len();
    let factor = |m: usize| 1.0 + 0.2 * m as f64;
    let shares = |mode: usize| Visits {
        maps: MapName::ALL
            .into_iter()
            .filter_map(|name| {
                let map = session.modes[mode].map(name)?;
                let share = 1.0 / (map.rows.len() * map.columns.len()) as f64;
                Some((name, vec![vec![share; map.columns.len()]; map.rows.len()]))
            })
            .collect(),
    };
    Board {
        more_follows: false,
        request: request(),
        evaluation: Evaluation {
            model: Model::Full,
            runs: Vec::new(),
            overall: (0..modes).map(|mode| Overall { mode, load_case: 0, card: card(factor(mode)) }).collect(),
            fences: (0..modes)
                .map(|mode| FenceState {
                    fence: 0,
                    mode,
                    event: None,
                    load_case: 0,
                    metric: MetricId::WEIGHTED_ACCELERATION,
                    value: 0.35 * factor(mode),
                    bound: 0.4,
                    is_upper: true,
                    kept: 0.35 * factor(mode) <= 0.4,
                })
                .collect(),
        },
        differences: vec![Difference {
            mode: 1,
            metric: MetricId::WEIGHTED_ACCELERATION,
            value: 0.42,
            reference: 0.35,
            share: 0.2,
            half_width: Some(0.01),
        }],
        responses: (0..modes).map(|m| response(factor(m))).collect(),
        soft: response(0.8),
        firm: response(2.0),
        fixed_dampers: (0..6)
            .map(|i| FixedDamper {
                firmness_share: f64::from(i) / 5.0,
                weighted_acceleration_m_per_s2: 0.3 + 0.05 * f64::from(i),
                dynamic_load_coefficient: 0.16 - 0.01 * f64::from(i),
            })
            .collect(),
        mode_points: (0..modes)
            .map(|mode| ModePoint {
                mode,
                weighted_acceleration_m_per_s2: 0.35 * factor(mode),
                dynamic_load_coefficient: 0.12,
            })
            .collect(),
        traces: (0..modes).map(|_| std::sync::Arc::new(trace())).collect(),
        visits: (0..modes).map(shares).collect(),
        events: session.events.iter().map(|_| Default::default()).collect(),
        derived: vec![
            Derived {
                wheel_load_n: [4200.0; 4],
                damping_ratio_per_n_s_per_m: [1.0 / 6000.0; 2],
                ..Derived::default()
            };
            2
        ],
        took: Duration::from_millis(5),
        plant_step_s: 0.001,
        remarks: vec!["The controller knows the true states.".into()],
    }
}

fn request() -> BoardRequest {
    BoardRequest { model: Model::Full, load_case: 0, event: 0, speed_km_h: 80.0, roughness_m_per_s2: 4.0, reference: 0 }
}

/// The program around the views, as far as the tests need it.
pub struct Desk {
    pub session: Session,
    pub board: Option<Board>,
    pub view: View,
    pub hand_over: HandOverView,
    pub read_back: Option<ReadBackView>,
    pub measured: Vec<Option<Result<MeasuredView, String>>>,
    pub in_car: Option<HandedOver>,
    pub question: Option<Question>,
    pub notices: Vec<Notice>,
    pub under_way: Option<washboard_ui::UnderWay>,
    pub fault: Option<String>,
    pub recent: Vec<Recent>,
    pub about: About,
    pub log: Option<LogText>,
    /// Columns of Side by side with what was computed of them.
    pub side: Option<(SideBoard, Vec<ColumnKey>)>,
    pub opened_sets: Vec<OpenedSet>,
    pub reopened: Option<Reopened>,
    pub bench: Option<BenchView>,
    pub complaints: Complaints,
    pub levers: Option<Levers>,
    /// Every command so far.
    pub commands: Vec<Command>,
    history: Vec<Session>,
    fonts: bool,
}

impl Desk {
    /// A desk with results.
    pub fn new() -> Desk {
        let session = session();
        let check = check("numbers", "Numbers and axes", true, "All finite.");
        Desk {
            board: Some(board(&session)),
            history: Vec::new(),
            session,
            view: View::default(),
            hand_over: HandOverView {
                checks: vec![check],
                is_fresh: true,
                folder: "/sets".into(),
                identity: "7f3ac2d1".repeat(8),
                ..HandOverView::default()
            },
            read_back: None,
            measured: Vec::new(),
            in_car: None,
            question: None,
            notices: Vec::new(),
            under_way: None,
            fault: None,
            recent: Vec::new(),
            about: About::default(),
            log: None,
            side: None,
            opened_sets: Vec::new(),
            reopened: None,
            bench: None,
            complaints: Complaints::built_in(),
            levers: None,
            commands: Vec::new(),
            fonts: false,
        }
    }

    /// Hands what the views are shown to `use_it`.
    pub fn with_context<R>(&self, use_it: impl FnOnce(&Context<'_>) -> R) -> R {
        use_it(&Context {
            session: &self.session,
            reading_log: None,
            file_name: Some("test.ron".into()),
            is_saved: true,
            revision: 1 + self.commands.len() as u64,
            request: request(),
            board: self.board.as_ref(),
            board_is_fresh: true,
            progress: None,
            fault: self.fault.clone(),
            undo_label: Some("change a cell".into()),
            redo_label: None,
            under_way: self.under_way.clone(),
            notices: &self.notices,
            in_car: self.in_car.as_ref(),
            in_car_since: self.in_car.as_ref().map_or("", |s| s.time.as_str()),
            recent: &self.recent,
            about: &self.about,
            log: self.log.as_ref(),
            now: "2026-11-25 15:00".into(),
            local_time: &str::to_owned,
            hand_over: &self.hand_over,
            read_back: self.read_back.as_ref(),
            measured: &self.measured,
            question: self.question.as_ref(),
            ghost: None,
            bench: self.bench.as_ref(),
            frame_ms: Some(12.0),
            pace: None,
            side: SideView {
                board: self.side.as_ref().map(|(board, _)| board),
                keys: self.side.as_ref().map_or(&[], |(_, keys)| keys),
                is_fresh: true,
                ..SideView::default()
            },
            reopened: self.reopened.as_ref(),
            opened_sets: &self.opened_sets,
            complaints: &self.complaints,
            complaints_from: "the program's own",
            lever: LeverView { levers: self.levers.as_ref(), is_fresh: true, fault: None },
        })
    }

    fn ui(&mut self, ui: &mut egui::Ui) {
        if !self.fonts {
            washboard_ui::install_fonts(ui.ctx());
            self.fonts = true;
            return;
        }
        let mut view = self.view.clone();
        let commands = self.with_context(|context| washboard_ui::show(ui, &mut view, context));
        self.view = view;
        for command in commands {
            match &command {
                Command::BeginGesture(_) => self.history.push(self.session.clone()),
                Command::Edit(edit) => apply(&mut self.session, edit).expect("the views send edits that hold"),
                Command::Undo => self.session = self.history.pop().unwrap_or_else(|| self.session.clone()),
                _ => {}
            }
            self.commands.push(command);
        }
    }

    /// A window of 1280 x 800 on this desk, with the first frames drawn.
    pub fn open(self) -> Harness<'static, Desk> {
        self.open_sized(1280.0, 800.0)
    }

    /// A window of another size.
    pub fn open_sized(self, width: f32, height: f32) -> Harness<'static, Desk> {
        self.open_at(width, height, 0.25)
    }

    /// The same with the time from frame to frame, s: a double click needs several within 0.3 s.
    pub fn open_at(self, width: f32, height: f32, frame_s: f32) -> Harness<'static, Desk> {
        let mut harness = Harness::builder()
            .with_step_dt(frame_s)
            .with_size(egui::vec2(width, height))
            .with_max_steps(8)
            .build_ui_state(|ui, desk: &mut Desk| desk.ui(ui), self);
        for _ in 0..4 {
            harness.step();
        }
        harness
    }
}

/// A set handed over with one cell that has changed since.
pub fn older_set(session: &Session) -> HandedOver {
    let mut modes = session.modes.clone();
    modes[0].heave.values_n_s_per_m[1][1] += 100.0;
    HandedOver {
        identity: "7f3ac2d1".repeat(8),
        time: "2026-11-25T14:05:00+01:00".into(),
        note: "a note".into(),
        folder: "/sets/one".into(),
        modes: modes.into(),
        ..Default::default()
    }
}

/// A hand-over that worked.
pub fn done() -> HandOverResult {
    HandOverResult::Done { identity: "7f3ac2d1".repeat(8), folder: "/sets/one".into(), status: Default::default() }
}

/// A check; one that does not pass forbids where its name says so.
pub fn check(id: &str, name: &str, passed: bool, reason: &str) -> PreCheck {
    let forbids = ["numbers", "caution", "responsible", "layout"].contains(&id);
    PreCheck { id: id.into(), name: name.into(), passed, forbids, reason: reason.into(), waiver: None }
}

/// The edits sent so far.
pub fn edits(harness: &Harness<'_, Desk>) -> Vec<Edit> {
    harness
        .state()
        .commands
        .iter()
        .filter_map(|c| if let Command::Edit(e) = c { Some(e.clone()) } else { None })
        .collect()
}

/// Clicks on the control of a name.
pub fn click(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_by_label(name).click();
    harness.step();
    harness.step();
}

/// Types as a keyboard does: one text event a character.
pub fn type_text(harness: &mut Harness<'_, Desk>, text: &str) {
    for c in text.chars() {
        harness.event(Event::Text(c.to_string()));
        harness.step();
    }
}

/// Presses a key.
pub fn press(harness: &mut Harness<'_, Desk>, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    harness.step();
    harness.step();
}
