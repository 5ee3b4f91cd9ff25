//! The window's program: shows the views, applies their commands, and sends work to the background.

mod bench;
mod commands;
mod everyday;
mod files;
mod measured;
mod questions;
mod reopening;
mod reporting;
mod resting;

use super::about::about;
use super::dialogs::{self, Dialogs};
use super::dropped::Dropped;
use super::errand::Errand;
use super::ground::Ground;
use super::handing_over::{self, HandingOver};
use super::journal::Journal;
use super::keeper::Keeper;
use super::levering::Levering;
use super::look;
use super::measuring::Measuring;
use super::pace::Stopwatch;
use super::reading::ReadingBack;
use super::recent::RecentFiles;
use super::results::{Asked, Results};
use super::saying::Saying;
use super::siding::Siding;
use super::work::Work;
use super::worker::{Answer as BoardAnswer, Job, Worker};
use bench::Bench;
use files::{Purpose, Saving};
use measured::Adopting;
use questions::{Next, Pending};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use washboard_metrics::MetricId;
use washboard_session::HandedOver;
use washboard_study::{Board, BoardRequest, Model, Overall};
use washboard_ui::{About, Context, LogText, Notice, Pace, Place, Severity, View};

/// Most notices kept on screen; older ones are in the log.
const MOST_NOTICES: usize = 5;

/// The whole state of the running window.
pub struct App {
    work: Work,
    view: View,
    request: BoardRequest,
    worker: Worker,
    results: Results<Board>,
    stopwatch: Stopwatch,
    frames: u64,
    ghost: Option<Arc<Board>>,
    notices: Vec<Notice>,
    pending: Option<Pending>,
    /// The session that waits while a copy of an earlier state is shown.
    waiting: Option<reopening::Waiting>,
    dialogs: Dialogs<Purpose>,
    saving: Option<Saving>,
    /// What is saved once that has been: another wish came meanwhile.
    save_next: Option<(PathBuf, Option<Next>)>,
    /// A file being read, and the revision on screen when that began.
    opening: Option<(u64, Errand<Result<Work, String>>)>,
    /// A session being read for this one to rest on.
    resting: Option<resting::Reading>,
    writing: Option<Errand<Result<String, String>>>,
    reporting: Option<reporting::Reporting>,
    adopting: Option<Adopting>,
    handing_over: HandingOver,
    reading_back: ReadingBack,
    measuring: Measuring,
    siding: Siding,
    levering: Levering,
    saying: Saying,
    bench: Bench,
    keeper: Keeper,
    journal: Journal,
    recent: RecentFiles,
    about: About,
    log: Option<LogText>,
    /// The end of the log on its way.
    reading_log: Option<Errand<LogText>>,
    /// A set's folder being read.
    taking_in: Option<Errand<Result<HandedOver, String>>>,
    /// Things let go over the window being told apart.
    telling_apart: Option<Errand<Vec<Dropped>>>,
    is_leaving: bool,
    shown_title: String,
    wake: egui::Context,
}

impl App {
    /// Sets the window up around a session.
    pub fn new(cc: &eframe::CreationContext<'_>, work: Work) -> Result<Self, std::io::Error> {
        let ctx = &cc.egui_ctx;
        let mut view = View::default();
        if let Some(storage) = cc.storage {
            look::recall(&mut view, storage);
        }
        washboard_ui::install_fonts(ctx);
        dialogs::add_signs(ctx);
        washboard_ui::apply_theme(ctx, view.theme);
        ctx.set_zoom_factor(view.text_scale);
        // The views have the keys for it, and the text scale is remembered.
        ctx.options_mut(|options| options.zoom_with_keyboard = false);
        let wake = ctx.clone();
        let mut app = App {
            request: first_request(),
            worker: Worker::start(move || wake.request_repaint())?,
            results: Results::default(),
            stopwatch: Stopwatch::default(),
            frames: 0,
            ghost: None,
            notices: Vec::new(),
            pending: None,
            waiting: None,
            dialogs: Dialogs::new(),
            saving: None,
            save_next: None,
            opening: None,
            resting: None,
            writing: None,
            reporting: None,
            adopting: None,
            handing_over: HandingOver::default(),
            reading_back: ReadingBack::default(),
            measuring: Measuring::default(),
            siding: Siding::default(),
            levering: Levering::default(),
            saying: Saying::built_in(),
            bench: Bench::default(),
            keeper: Keeper::start()?,
            journal: Journal::from_environment(),
            recent: RecentFiles::open(),
            about: about(),
            log: None,
            reading_log: None,
            taking_in: None,
            telling_apart: None,
            is_leaving: false,
            shown_title: String::new(),
            wake: ctx.clone(),
            view,
            work,
        };
        app.journal.watch_controls(ctx);
        app.journal.note(&format!("opened {:?}", app.work.session().title));
        if let Some(path) = app.work.path() {
            app.recent.add(path);
        }
        app.say_who_holds_it();
        app.say_what_follows();
        app.keeper.begin_from(&app.work.snapshot());
        app.offer_recovery();
        // Whoever drives the window by a journal knows it.
        if !app.journal.is_kept() {
            app.view.welcome();
        }
        app.look_for_complaints();
        Ok(app)
    }

    fn waker(&self) -> impl Fn() + Clone + Send + 'static + use<> {
        let ctx = self.wake.clone();
        move || ctx.request_repaint()
    }

    // What the background brought back.

    fn collect(&mut self) {
        while let Some(answer) = self.worker.poll() {
            if self.work.opening() == answer.job.opening {
                self.take_board(answer);
            }
        }
        self.collect_saving();
        self.collect_opening();
        self.collect_below();
        self.collect_writing();
        self.collect_report();
        self.collect_everyday();
        self.collect_bench();
        self.collect_profile();
        if let Some(result) = self.handing_over.collect() {
            self.take_hand_over(result);
        }
        for news in
            self.handing_over.take_news().into_iter().chain(self.reading_back.collect()).chain(self.measuring.collect())
        {
            self.journal.note(&news);
        }
        if self.levering.collect() {
            self.journal.note(&format!("levers revision {}", self.work.revision()));
        }
        for sentence in self.saying.collect() {
            self.tell(Severity::Caution, sentence);
        }
        let said = self.siding.collect();
        if let Some(columns) = self.siding.news() {
            self.journal.note(&format!("columns {}", columns.join(" ")));
        }
        match said {
            Some(Ok(sentence)) => self.tell(Severity::Information, sentence),
            Some(Err(sentence)) => self.tell(Severity::Fault, sentence),
            None => {}
        }
        for sentence in self.keeper.faults() {
            self.tell(Severity::Fault, sentence);
        }
    }

    fn take_board(&mut self, answer: BoardAnswer) {
        let (revision, ticket) = (answer.job.revision, answer.job.ticket);
        match answer.outcome {
            Ok(board) => {
                let is_shown = self.results.take(answer.job, &board, !board.more_follows);
                if is_shown {
                    self.stopwatch.answered(ticket);
                }
                let state = match (self.results.are_fresh() && is_shown, board.more_follows) {
                    (true, true) => "first",
                    (true, false) => "fresh",
                    (false, _) => "stale",
                };
                let took = board.took.as_secs_f64() * 1e3;
                self.journal
                    .note(&format!("board revision {revision} {state} {took:.1} ms comfort {}", comfort(&board)));
            }
            Err(sentence) => {
                self.journal.note(&format!("board revision {revision} fault {sentence}"));
                tracing::warn!("no results for revision {revision}: {sentence}");
                self.results.take_fault(ticket, sentence);
            }
        }
    }

    fn take_hand_over(&mut self, result: Result<HandedOver, String>) {
        match result {
            Ok(record) => {
                self.journal.note(&format!("handed over {} {}", record.identity, record.folder));
                tracing::info!("handed over {} to {}", record.identity, record.folder);
                self.note_in_waiting(&record);
                if let Err(sentence) = self.work.record_hand_over(record) {
                    self.tell(Severity::Fault, format!("The set is written, but not noted in the session: {sentence}"));
                }
            }
            Err(sentence) => {
                self.journal.note(&format!("not handed over {sentence}"));
                tracing::warn!("not handed over: {sentence}");
            }
        }
    }

    fn tell(&mut self, severity: Severity, text: String) {
        self.journal.note(&format!("notice {text}"));
        match severity {
            Severity::Fault => tracing::error!("{text}"),
            Severity::Caution => tracing::warn!("{text}"),
            Severity::Information => tracing::info!("{text}"),
        }
        self.notices.push(Notice { severity, text });
        let surplus = self.notices.len().saturating_sub(MOST_NOTICES);
        self.notices.drain(..surplus);
    }

    // What the session needs computed.

    fn ask_for_board(&mut self) {
        let wish = Job {
            ticket: 0,
            revision: self.work.revision(),
            session: self.work.snapshot(),
            folder: self.work.folder(),
            opening: self.work.opening(),
            request: self.fitting_request(),
        };
        match self.results.ask(wish) {
            // An edit of words has no results to wait for.
            Asked::Nothing => self.stopwatch.known(),
            Asked::Known(board) => {
                let revision = self.work.revision();
                self.stopwatch.known();
                self.journal.note(&format!("board revision {revision} fresh 0.0 ms comfort {}", comfort(&board)));
            }
            Asked::Work(job) => {
                self.stopwatch.asked(job.ticket);
                self.worker.submit(job);
            }
        }
    }

    /// Columns of Side by side are computed while they are looked at.
    fn ask_for_columns(&mut self) {
        if self.view.place != Place::SideBySide || self.work.is_in_gesture() {
            return;
        }
        let ground =
            Ground { session: self.work.snapshot(), revision: self.work.revision(), folder: self.work.folder() };
        let (request, waker) = (self.fitting_request(), self.waker());
        self.siding.ask(&ground, &self.view.side, &request, waker);
    }

    /// What cells do is computed while it is looked at, once the results on screen are there.
    fn ask_for_levers(&mut self) {
        let request = self.fitting_request();
        let wish = washboard_ui::lever_wish(&self.view, self.work.session(), self.saying.table(), &request);
        let is_busy = self.work.is_in_gesture() || !self.results.are_fresh();
        let ground =
            Ground { session: self.work.snapshot(), revision: self.work.revision(), folder: self.work.folder() };
        let waker = self.waker();
        self.levering.ask(&ground, wish, is_busy, waker);
    }

    /// An engineer may keep a table of complaints of his own.
    fn look_for_complaints(&mut self) {
        let (folder, waker) = (self.work.folder(), self.waker());
        self.saying.look(folder, waker);
    }

    /// The request, with indices that the session still has.
    fn fitting_request(&mut self) -> BoardRequest {
        let session = self.work.session();
        let last = |count: usize| count.saturating_sub(1);
        let by_name = session.reference_mode.as_ref().and_then(|n| session.modes.iter().position(|m| m.name == *n));
        self.request.load_case = self.request.load_case.min(session.vehicle.load_cases.len());
        self.request.event = self.request.event.min(last(session.events.len()));
        self.request.reference = by_name.unwrap_or(0);
        self.request.clone()
    }

    fn keep_ghost(&mut self) {
        if let Some(board) = self.results.board() {
            self.ghost = Some(Arc::clone(board));
        }
    }

    fn show_work(&mut self, work: Work) {
        let _before = self.exchange(work);
        self.handing_over = HandingOver::default();
        self.keeper.forget();
        self.keeper.begin_from(&self.work.snapshot());
    }

    /// Shows another session and hands back the one before with all that was chosen on screen.
    fn exchange(&mut self, mut work: Work) -> (Work, View) {
        work.follows(&self.work);
        let work = std::mem::replace(&mut self.work, work);
        self.results = Results::default();
        self.ghost = None;
        self.request = first_request();
        let before = std::mem::take(&mut self.view);
        self.view.theme = before.theme;
        self.view.text_scale = before.text_scale;
        self.view.place = before.place;
        self.view.splits = before.splits;
        self.view.tour_seen = before.tour_seen;
        if let Some(path) = self.work.path() {
            self.recent.add(path);
        }
        self.handing_over.look_again();
        self.reading_back.leave();
        self.measuring = Measuring::default();
        self.siding.for_another_session();
        self.levering.for_another_session();
        self.look_for_complaints();
        self.bench = Bench::default();
        self.journal.note(&format!("opened {:?}", self.work.session().title));
        self.say_who_holds_it();
        self.say_what_follows();
        (work, before)
    }

    /// A file that is open elsewhere is only read.
    fn say_who_holds_it(&mut self) {
        if let (Some(holder), Some(path)) = (self.work.held_by(), self.work.path()) {
            let text = format!(
                "{} is open elsewhere ({holder}): here it is read-only, changes go to another name.",
                path.display()
            );
            self.tell(Severity::Caution, text);
        }
    }

    // One frame.

    fn show_title(&mut self, ctx: &egui::Context) {
        let state = match (self.work.is_saved(), self.work.file_name()) {
            (true, Some(file)) => file,
            (true, None) => "no file yet".to_owned(),
            (false, Some(file)) => format!("{file}, not saved"),
            (false, None) => "not saved".to_owned(),
        };
        let mark = if self.work.is_saved() { "" } else { "• " };
        let held = if self.work.held_by().is_some() { ", read-only" } else { "" };
        let title = format!("{mark}{} ({state}{held}) – Washboard", self.work.session().title);
        if title != self.shown_title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.shown_title = title;
        }
    }

    /// Hands what the views show, and what is chosen on screen, to `use_it`.
    fn with_context<R>(&mut self, frame_ms: Option<f32>, use_it: impl FnOnce(&mut View, &Context<'_>) -> R) -> R {
        let session = self.work.snapshot();
        let question = self.pending.as_ref().map(|p| match p {
            Pending::Unsaved { question, .. } | Pending::Recovery { question, .. } => question,
        });
        let context = Context {
            session: &session,
            file_name: self.work.file_name(),
            is_saved: self.work.is_saved(),
            revision: self.work.revision(),
            request: self.request.clone(),
            board: self.results.board().map(|board| &**board),
            board_is_fresh: self.results.are_fresh(),
            progress: self.worker.progress(),
            fault: self.results.fault().map(str::to_owned),
            undo_label: self.work.undo_label(),
            redo_label: self.work.redo_label(),
            under_way: self.reporting.as_ref().map(reporting::Reporting::under_way),
            notices: &self.notices,
            in_car: session.set_in_car().map(|(set, _)| set),
            in_car_since: session.set_in_car().map_or("", |(_, since)| since),
            recent: self.recent.shown(),
            about: &self.about,
            log: self.log.as_ref(),
            now: jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M").to_string(),
            local_time: &local_time,
            hand_over: self.handing_over.view(),
            read_back: self.reading_back.view(),
            measured: self.measuring.view(),
            reading_log: self.measuring.reading(),
            question,
            ghost: self.ghost.as_deref(),
            bench: self.bench.view(),
            frame_ms,
            pace: self.stopwatch.pace(),
            side: self.siding.view(),
            reopened: self.waiting.as_ref().map(reopening::Waiting::shown),
            opened_sets: self.siding.opened(),
            complaints: self.saying.table(),
            complaints_from: self.saying.from(),
            lever: self.levering.view(),
        };
        use_it(&mut self.view, &context)
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        self.collect();
        if ctx.input(|i| i.viewport().close_requested()) && !self.is_leaving {
            if self.work.is_saved() && self.waiting.is_none() {
                self.keeper.forget();
            } else {
                ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
                self.guard(Next::Quit);
            }
        }
        if !self.work.is_in_gesture() {
            let session = self.work.snapshot();
            let ground = handing_over::Ground {
                revision: self.work.revision(),
                folder: self.work.folder(),
                modes: self.view.hand_over.modes(&session),
                wish: self.view.hand_over.wish(&session),
                proposal: self.view.hand_over.proposal.as_ref().map(|form| form.wish.clone()),
                is_shown: self.view.place == Place::HandOver,
                session,
            };
            let ctx = self.wake.clone();
            self.handing_over.look_at(&ground, move || ctx.request_repaint());
        }
        self.show_title(ctx);
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        self.take_dropped(&ctx);
        let frame_ms = frame.info().cpu_usage.map(|seconds| seconds * 1e3);
        self.frames += 1;
        self.journal.note(&format!("frame {}", self.frames));
        let commands = self.with_context(frame_ms, |view, context| washboard_ui::show(ui, view, context));
        if self.stopwatch.drawn()
            && let Some(pace) = self.stopwatch.pace()
        {
            let Pace { edit, compute, draw, whole, .. } = pace;
            let ms = [edit, compute, draw, whole].map(|spell| format!("{:.1}", spell.last_ms)).join(" ");
            self.journal.note(&format!("pace ms {ms}"));
        }
        for command in commands {
            self.apply(command, &ctx);
        }
        self.poll_dialogs(&ctx);
        self.ask_for_board();
        self.ask_for_columns();
        if self.view.place == Place::Logbook {
            let (session, folder, waker) = (self.work.snapshot(), self.work.folder(), self.waker());
            self.measuring.ask(&session, folder.as_deref(), waker);
        }
        self.ask_for_levers();
        let steps = self.work.take_steps();
        // A step back to what is saved belongs to the journal too: the next ones go on from there.
        if !self.work.is_saved() || (!steps.is_empty() && self.keeper.has_kept()) {
            self.keeper.keep(self.work.revision(), steps, &self.work.snapshot(), self.work.path());
        }
        if self.worker.progress().is_some()
            || self.siding.is_running()
            || self.measuring.is_running()
            || self.levering.is_running()
            || self.dialogs.is_open()
            || self.handing_over.is_busy()
        {
            ctx.request_repaint_after(Duration::from_millis(100));
        }
    }

    fn persist_egui_memory(&self) -> bool {
        false
    }

    fn save(&mut self, storage: &mut dyn eframe::Storage) {
        look::remember(&mut self.view, storage);
    }
}

/// An RFC 3339 time by the clock of this place, for people; documents keep what was written. Other text stays.
fn local_time(time: &str) -> String {
    match time.parse::<jiff::Timestamp>() {
        Ok(at) => at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%Y-%m-%dT%H:%M:%S").to_string(),
        Err(_) => time.to_owned(),
    }
}

/// Weighted acceleration of each mode over all events, m/s^2, separated by blanks.
fn comfort(board: &Board) -> String {
    let of = |mean: &Overall| mean.card.mean(MetricId::WEIGHTED_ACCELERATION).map_or("-".to_owned(), |v| v.to_string());
    board.evaluation.overall.iter().map(of).collect::<Vec<_>>().join(" ")
}

/// What is shown of a session before anything was chosen.
fn first_request() -> BoardRequest {
    BoardRequest { model: Model::Full, load_case: 0, event: 0, speed_km_h: 80.0, roughness_m_per_s2: 2.0, reference: 0 }
}
