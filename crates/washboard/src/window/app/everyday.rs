//! Everyday things: files let go over the window, recent files, the log, sets put in the car by other means.

use super::App;
use super::questions::Next;
use crate::logfile;
use crate::window::dropped::{Dropped, told_apart};
use crate::window::errand::{Errand, Step};
use std::path::{Path, PathBuf};
use washboard_handover::{identity, read_manifest, read_set};
use washboard_session::{Edit, HandedOver, InCar};
use washboard_ui::{Place, Severity};

impl App {
    /// Takes in what errands of this module have brought.
    pub(super) fn collect_everyday(&mut self) {
        let waker = self.waker();
        self.recent.work(waker);
        match self.reading_log.take().map(Errand::step) {
            Some(Step::Out(errand)) => self.reading_log = Some(errand),
            Some(Step::Back(log)) => self.log = Some(log),
            Some(Step::Lost) | None => {}
        }
        match self.telling_apart.take().map(Errand::step) {
            Some(Step::Out(errand)) => self.telling_apart = Some(errand),
            Some(Step::Back(things)) => things.into_iter().for_each(|thing| self.put_where_it_belongs(thing)),
            Some(Step::Lost) | None => {}
        }
        match self.taking_in.take().map(Errand::step) {
            Some(Step::Out(errand)) => self.taking_in = Some(errand),
            Some(Step::Back(Ok(set))) => self.know_set(set),
            Some(Step::Back(Err(sentence))) => self.tell(Severity::Fault, format!("Not taken in: {sentence}")),
            Some(Step::Lost) => self.tell(Severity::Fault, "Not taken in: a fault inside the program.".to_owned()),
            None => {}
        }
    }

    /// Files and folders that were let go over the window are told apart away from it.
    pub(super) fn take_dropped(&mut self, ctx: &egui::Context) {
        let paths: Vec<PathBuf> = ctx.input(|i| i.raw.dropped_files.iter().map(|f| f.path().to_owned()).collect());
        if paths.is_empty() {
            return;
        }
        self.journal.note(&format!("dropped {}", paths.len()));
        let work = move || paths.iter().map(|p| told_apart(p)).collect();
        match Errand::send("dropped files", self.waker(), work) {
            Ok(errand) => self.telling_apart = Some(errand),
            Err(fault) => self.tell(Severity::Fault, format!("Not looked at: {fault}.")),
        }
    }

    fn put_where_it_belongs(&mut self, thing: Dropped) {
        match thing {
            Dropped::Session(path) => self.guard(Next::Open(path)),
            Dropped::Set(folder) => self.take_in_set(folder),
            Dropped::Profile(path) => {
                self.view.place = Place::Roads;
                if self.work.folder().is_some() {
                    self.adopt_profile(None, path);
                } else {
                    let text = "A measured profile is named relative to the session's file: save the session first.";
                    self.tell(Severity::Caution, text.to_owned());
                }
            }
            Dropped::Bench(path) => {
                self.view.place = Place::Car;
                self.read_bench(path);
            }
            Dropped::Log(path) => self.log_of_last_run(&path),
            Dropped::Unknown(sentence) => self.tell(Severity::Caution, sentence),
        }
    }

    /// A log that was let go belongs to the run written down last.
    fn log_of_last_run(&mut self, path: &Path) {
        self.view.place = Place::Logbook;
        match self.work.session().logbook.len().checked_sub(1) {
            Some(run) => {
                let mode = self.work.session().logbook[run].mode.clone();
                self.attach_log(run, self.work.revision(), path);
                let text = format!("{} is attached to the last run, in {mode}; undo takes it off.", path.display());
                self.tell(Severity::Information, text);
            }
            None => {
                let text = format!("{} is a log: write down its run first, then let it go again.", path.display());
                self.tell(Severity::Information, text);
            }
        }
    }

    /// Reads a set's folder away from the window; it is known from then on.
    pub(super) fn take_in_set(&mut self, folder: PathBuf) {
        let read = move || set_in(&folder).map_err(|fault| fault.to_string());
        match Errand::send("set", self.waker(), read) {
            Ok(errand) => self.taking_in = Some(errand),
            Err(fault) => self.tell(Severity::Fault, format!("Not taken in: {fault}.")),
        }
    }

    fn know_set(&mut self, set: HandedOver) {
        self.view.place = Place::HandOver;
        self.view.hand_over.chooses_in_car = true;
        let name: String = set.identity.chars().take(8).collect();
        if self.work.session().handed_over.iter().any(|known| known.identity == set.identity) {
            self.tell(Severity::Information, format!("Set {name} is known already: say below if it is in the car."));
            return;
        }
        // To know a set does not put it in the car.
        let session = self.work.session();
        let in_car =
            session.set_in_car().map(|(s, since)| InCar { identity: s.identity.clone(), since: since.to_owned() });
        self.work.begin_gesture(format!("take in set {name}"));
        self.edit(Edit::AddHandedOver(Box::new(set)));
        if in_car.is_some() {
            self.edit(Edit::SetInCar(in_car));
        }
        self.work.end_gesture();
        self.tell(Severity::Information, format!("Set {name} is known now: say below if it is in the car."));
    }

    /// Notes that one of the known sets was put in the car by other means.
    pub(super) fn set_in_car(&mut self, index: usize) {
        let Some(set) = self.work.session().handed_over.get(index) else { return };
        let since = jiff::Timestamp::now().to_string();
        let in_car = InCar { identity: set.identity.clone(), since };
        self.journal.note(&format!("in the car {}", in_car.identity));
        tracing::info!("set {} is said to be in the car", in_car.identity);
        self.edit(Edit::SetInCar(Some(in_car)));
        self.handing_over.forget_result();
    }

    /// Reads the end of the log away from the window.
    pub(super) fn read_log(&mut self) {
        self.log = None;
        self.reading_log = Errand::send("log", self.waker(), logfile::last_lines).ok();
    }

    /// Has the desktop show a folder, or the folder of a file.
    pub(super) fn show_folder(&mut self, path: &Path, ctx: &egui::Context) {
        let folder = if path.is_dir() { path } else { path.parent().unwrap_or(path) };
        ctx.open_url(egui::OpenUrl::new_tab(format!("file://{}", folder.display())));
    }
}

/// A set that was handed over from somewhere, as a session knows it.
fn set_in(folder: &Path) -> Result<HandedOver, washboard_handover::HandoverFault> {
    let set = read_set(folder)?;
    let manifest = read_manifest(folder)?;
    Ok(HandedOver {
        identity: identity(&set),
        time: manifest.created,
        note: manifest.note,
        folder: folder.display().to_string(),
        status: manifest.status.unwrap_or_default(),
        parent: manifest.parent,
        difference: manifest.difference,
        modes: set.modes().into(),
        ..HandedOver::default()
    })
}
