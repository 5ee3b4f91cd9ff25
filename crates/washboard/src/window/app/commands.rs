//! What the views ask for, done one by one.

use super::App;
use super::files::Purpose;
use super::questions::Next;
use crate::window::dialogs::Kind;
use crate::window::handing_over::Order;
use crate::window::look;
use crate::window::measuring::path_of;
use crate::window::reading::Reading;
use crate::window::work::Work;
use std::path::{Path, PathBuf};
use washboard_ui::{Command, RequestChange, Severity};

/// What a set is written in.
const SET_FILES: &[&str] = &["hex", "bin", "c", "h", "ron", "json"];
/// What loggers write.
const LOG_FILES: &[&str] = &["csv", "mf4", "mdf", "dat", "txt"];

impl App {
    /// Does what a view asks for.
    pub(super) fn apply(&mut self, command: Command, ctx: &egui::Context) {
        match command {
            Command::New => self.guard(Next::New),
            Command::Open => self.guard(Next::ChooseFile),
            Command::OpenPath(path) => self.guard(Next::Open(PathBuf::from(path))),
            Command::Save => self.save(None),
            Command::SaveAs => self.ask_where_to_save(None),
            Command::ChooseBelow => self.ask_what_to_rest_on(),
            Command::FollowBelow => self.follow_below(),
            Command::Quit => self.guard(Next::Quit),
            Command::Undo => self.step(Work::undo, "undo"),
            Command::Redo => self.step(Work::redo, "redo"),
            Command::BeginGesture(name) => {
                self.keep_ghost();
                self.journal.note(&format!("gesture {name}"));
                self.work.begin_gesture(name);
            }
            Command::Edit(edit) => self.edit(edit),
            Command::EndGesture => {
                self.work.end_gesture();
                self.journal.note(&format!("gesture over revision {}", self.work.revision()));
            }
            Command::Request(change) => self.change_request(change),
            Command::ChooseFolder => {
                let folder = self.handing_over.folder().map(Path::to_owned).or_else(|| self.work.folder());
                self.ask_file(Purpose::HandOverFolder, "Folder for the set", Kind::Folder, folder);
            }
            Command::ReopenRun(run) => self.reopen_run(run),
            Command::ReopenSet(set) => self.reopen_set(set),
            Command::GoBack => self.guard(Next::Back),
            Command::AttachLog(run) => {
                let purpose = Purpose::AttachLog { run, revision: self.work.revision() };
                let kind = Kind::Open { extensions: LOG_FILES };
                self.ask_file(purpose, "Log file of the run", kind, self.work.folder());
            }
            Command::ReadSet => {
                let folder = self.handing_over.folder().map(Path::to_owned).or_else(|| self.work.folder());
                self.ask_file(Purpose::ReadSet, "Folder of a set handed over", Kind::Folder, folder);
            }
            Command::ChooseProfile { event } => self.ask_for_profile(event),
            Command::HandOver { modes, note, c, wish } => {
                let order = Order { session: self.work.snapshot(), modes, note, c, wish };
                let waker = self.waker();
                self.handing_over.send(order, waker);
            }
            Command::ChooseLayout => {
                let kind = Kind::Open { extensions: &["ron", "json"] };
                self.ask_file(Purpose::Layout, "Layout of the control unit", kind, self.work.folder());
            }
            Command::SaveLayout => {
                let kind = Kind::Save { name: "layout.ron".to_owned(), extensions: &["ron", "json"] };
                self.ask_file(Purpose::SaveLayout, "The proposed layout as a file", kind, self.work.folder());
            }
            Command::LeaveLayout => self.handing_over.leave_layout(),
            Command::ReadBack { folder, against } => self.ask_what_to_read(folder, against),
            Command::LeaveReadBack => self.reading_back.leave(),
            Command::ReadLogOfRun(run) => {
                if let Some(run) = self.work.session().logbook.get(run) {
                    let path = path_of(&run.log_file, self.work.folder().as_deref());
                    self.measuring.allow(&path);
                }
            }
            Command::Answer(answer) => self.answer(answer),
            Command::DismissNotice(index) => {
                if index < self.notices.len() {
                    self.notices.remove(index);
                }
            }
            Command::SetTheme(theme) => {
                self.view.theme = theme;
                washboard_ui::apply_theme(ctx, theme);
            }
            Command::SetTextScale(scale) => {
                self.view.text_scale = scale.clamp(*look::TEXT_SCALES.start(), *look::TEXT_SCALES.end());
                ctx.set_zoom_factor(self.view.text_scale);
            }
            Command::CopyText(text) => {
                self.journal.note(&format!("copied {} lines", text.lines().count()));
                ctx.copy_text(text);
            }
            Command::TakeInSet => {
                let folder = self.handing_over.folder().map(Path::to_owned).or_else(|| self.work.folder());
                self.ask_file(Purpose::TakeInSet, "Folder of a set handed over", Kind::Folder, folder);
            }
            Command::SetInCar(index) => self.set_in_car(index),
            Command::LookAtRecent => self.recent.look(),
            Command::ForgetMissing => self.recent.forget_missing(),
            Command::ReadLog => self.read_log(),
            Command::WriteReport => self.ask_where_to_report(),
            Command::StopReport => self.stop_report(),
            Command::ShowFolder(path) => self.show_folder(Path::new(&path), ctx),
            Command::ChooseBench => self.choose_bench(),
            Command::SetBenchDirection(direction) => self.bench.turn(direction),
            Command::LeaveBench => self.bench.leave(),
            Command::SaveText { name, text } => {
                let kind = Kind::Save { name, extensions: &["csv", "txt", "svg"] };
                self.ask_file(Purpose::SaveText { text }, "Save to a file", kind, self.work.folder());
            }
            Command::SavePicture(plot) => {
                let svg = self.with_context(None, |view, context| washboard_ui::picture(view, context, plot));
                let name = format!("{}.png", plot.label().replace(' ', "-"));
                let kind = Kind::Save { name, extensions: &["png", "svg"] };
                self.ask_file(Purpose::SavePicture { svg }, "Save picture (.png or .svg)", kind, self.work.folder());
            }
        }
    }

    /// Applies an edit to the session, or says why not.
    pub(super) fn edit(&mut self, edit: washboard_session::Edit) {
        if !self.work.is_in_gesture() {
            self.keep_ghost();
        }
        self.stopwatch.edit();
        match self.work.edit(&edit) {
            Ok(label) => self.journal.note(&format!("edit {label} revision {}", self.work.revision())),
            Err(sentence) => self.tell(Severity::Caution, sentence),
        }
    }

    fn step(&mut self, step: fn(&mut Work) -> Option<String>, word: &str) {
        self.keep_ghost();
        if let Some(label) = step(&mut self.work) {
            self.journal.note(&format!("{word} {label} revision {}", self.work.revision()));
        }
    }

    fn change_request(&mut self, change: RequestChange) {
        match change {
            RequestChange::SetModel(model) => self.request.model = model,
            RequestChange::SetLoadCase(load_case) => self.request.load_case = load_case,
            RequestChange::SetEvent(event) => self.request.event = event,
            RequestChange::SetOperatingPoint { speed_km_h, roughness_m_per_s2 } => {
                self.request.speed_km_h = speed_km_h;
                self.request.roughness_m_per_s2 = roughness_m_per_s2;
            }
        }
    }

    /// What is read back, and against which of the sets noted.
    fn ask_what_to_read(&mut self, folder: bool, against: Option<usize>) {
        let kind = if folder { Kind::Folder } else { Kind::Open { extensions: SET_FILES } };
        let title = if folder { "Folder of a set, to read back" } else { "File of a set, or dump of the memory" };
        let identity = against.and_then(|set| self.work.session().handed_over.get(set)).map(|set| set.identity.clone());
        let at = self.handing_over.folder().map(Path::to_owned).or_else(|| self.work.folder());
        self.ask_file(Purpose::ReadBack { against: identity }, title, kind, at);
    }

    /// Begins to read back what was chosen.
    pub(super) fn read_back(&mut self, place: PathBuf, against: Option<String>) {
        let session = self.work.snapshot();
        let set = against.and_then(|identity| session.set_of(&identity));
        let layout = self.handing_over.layout().cloned();
        let waker = self.waker();
        if let Err(fault) = self.reading_back.begin(Reading { place, session, set, layout }, waker) {
            self.tell(Severity::Fault, format!("Nothing was read back: {fault}."));
        }
    }
}
