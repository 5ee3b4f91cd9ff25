//! Damper bench data: a file chosen, read on a thread of its own, reduced, and kept until it is taken or left.

use super::App;
use super::files::Purpose;
use crate::bench_file::{self, BenchFile};
use crate::window::dialogs::Kind;
use crate::window::errand::{Errand, Step};
use std::path::PathBuf;
use washboard_session::bench::{Direction, Reduced, Sample, reduce};
use washboard_ui::{BenchView, Severity};

/// A file read, with what it gives.
type Read = Result<(BenchFile, Result<Reduced, String>), String>;

/// Bench data on screen, and a file on its way there.
#[derive(Default)]
pub(super) struct Bench {
    coming: Option<(String, Errand<Read>)>,
    samples: Vec<Sample>,
    view: Option<BenchView>,
}

impl Bench {
    /// What is on screen.
    pub fn view(&self) -> Option<&BenchView> {
        self.view.as_ref()
    }

    /// Reads the same rows with another meaning of a positive velocity.
    pub fn turn(&mut self, direction: Direction) {
        if let Some(view) = &mut self.view {
            view.direction = direction;
            view.outcome = reduce(&self.samples, direction).map_err(|fault| fault.to_string());
        }
    }

    /// Puts the data away.
    pub fn leave(&mut self) {
        *self = Bench::default();
    }
}

impl App {
    pub(super) fn choose_bench(&mut self) {
        let kind = Kind::Open { extensions: &["csv", "txt", "tsv"] };
        self.ask_file(Purpose::Bench, "Damper bench data", kind, self.work.folder());
    }

    pub(super) fn read_bench(&mut self, path: PathBuf) {
        let file = path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
        let read = move || {
            let file = bench_file::read(&path).map_err(|fault| format!("{fault:#}."))?;
            let reduced = reduce(&file.samples, Direction::FromData).map_err(|fault| fault.to_string());
            Ok((file, reduced))
        };
        match Errand::send("bench", self.waker(), read) {
            Ok(errand) => self.bench.coming = Some((file, errand)),
            Err(fault) => self.tell(Severity::Fault, format!("Not read: {fault}.")),
        }
    }

    pub(super) fn collect_bench(&mut self) {
        let Some((file, errand)) = self.bench.coming.take() else { return };
        match errand.step() {
            Step::Out(errand) => self.bench.coming = Some((file, errand)),
            Step::Back(Ok((BenchFile { samples, read }, outcome))) => {
                let verdict =
                    outcome.as_ref().map_or_else(Clone::clone, |r| format!("{} velocities", r.velocity_m_per_s.len()));
                self.journal.note(&format!("bench {file} {} rows, {verdict}", samples.len()));
                self.bench.samples = samples;
                self.bench.view = Some(BenchView { file, read, direction: Direction::FromData, outcome });
            }
            Step::Back(Err(sentence)) => self.tell(Severity::Fault, format!("Not read: {sentence}")),
            Step::Lost => self.tell(Severity::Fault, "Not read: a fault inside the program.".to_owned()),
        }
    }
}
