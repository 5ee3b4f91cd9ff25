//! A report of what is on screen, computed and written in the background; it can be stopped.

use super::App;
use super::files::{Purpose, file_stem};
use crate::cli::Assumed;
use crate::report_file::{Form, bytes, command};
use crate::window::dialogs::Kind;
use crate::window::errand::{Errand, Step};
use crate::{profiles, set_info, sink};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use washboard_report::{Imprint, Material, Wish};
use washboard_session::Session;
use washboard_study::{BoardRequest, Progress, Study};
use washboard_ui::{Severity, UnderWay};

/// Forms of a report, the one proposed first.
const REPORT_FILES: &[&str] = &["pdf", "html"];

/// How a report ended.
enum Outcome {
    /// Written; with fences crossed or not.
    Written {
        all_kept: bool,
    },
    Stopped,
}

/// A report on its way.
pub(super) struct Reporting {
    progress: Arc<Progress>,
    path: PathBuf,
    errand: Errand<Result<Outcome, String>>,
}

impl Reporting {
    /// What the window says of it.
    pub fn under_way(&self) -> UnderWay {
        UnderWay { what: format!("Writing the report {}", self.path.display()), progress: self.progress.state() }
    }
}

impl App {
    pub(super) fn ask_where_to_report(&mut self) {
        if self.reporting.is_some() {
            return self
                .tell(Severity::Caution, "A report is being written: stop it first, or wait for it.".to_owned());
        }
        let name = format!("{}-report.pdf", file_stem(&self.work.session().title));
        let kind = Kind::Save { name, extensions: REPORT_FILES };
        self.ask_file(Purpose::Report, "Write a report: PDF or HTML", kind, self.work.folder());
    }

    pub(super) fn report_to(&mut self, path: PathBuf) {
        let request = self.fitting_request();
        let session = self.work.snapshot();
        let (file, folder) = (self.work.path().map(Path::to_owned), self.work.folder());
        let progress = Arc::new(Progress::new());
        let work = {
            let (progress, path) = (Arc::clone(&progress), path.clone());
            move || write(&session, file.as_deref(), folder.as_deref(), &request, &path, &progress)
        };
        match Errand::send("report", self.waker(), work) {
            Ok(errand) => self.reporting = Some(Reporting { progress, path, errand }),
            Err(fault) => self.tell(Severity::Fault, format!("No report was written: {fault}.")),
        }
    }

    pub(super) fn stop_report(&mut self) {
        if let Some(reporting) = &self.reporting {
            reporting.progress.cancel();
        }
    }

    pub(super) fn collect_report(&mut self) {
        let Some(Reporting { progress, path, errand }) = self.reporting.take() else { return };
        match errand.step() {
            Step::Out(errand) => self.reporting = Some(Reporting { progress, path, errand }),
            Step::Back(Ok(Outcome::Written { all_kept })) => {
                self.journal.note(&format!("report {}", path.display()));
                let fences = if all_kept { "" } else { " Fences are crossed; it says which." };
                self.tell(Severity::Information, format!("The report is written to {}.{fences}", path.display()));
            }
            Step::Back(Ok(Outcome::Stopped)) => {
                self.tell(Severity::Information, "The report was stopped: nothing was written.".to_owned());
            }
            Step::Back(Err(sentence)) => self.tell(Severity::Fault, format!("No report was written: {sentence}")),
            Step::Lost => self.tell(Severity::Fault, "No report was written: a fault inside the program.".to_owned()),
        }
    }
}

fn write(
    session: &Session,
    file: Option<&Path>,
    folder: Option<&Path>,
    request: &BoardRequest,
    path: &Path,
    progress: &Progress,
) -> Result<Outcome, String> {
    let sentence = |fault: anyhow::Error| format!("{fault:#}.");
    let form = Form::of(path).map_err(sentence)?;
    let profiles = profiles::read_all(session, folder).map_err(sentence)?;
    let study = Study::new(session, &profiles).map_err(|fault| fault.to_string())?;
    let wish = Wish {
        model: request.model,
        modes: (0..session.modes.len()).collect(),
        load_cases: vec![request.load_case],
        reference: request.reference,
        event: (!session.events.is_empty()).then_some(request.event),
        speed_km_h: request.speed_km_h,
        roughness_m_per_s2: request.roughness_m_per_s2,
    };
    let info = set_info::now("");
    let imprint = Imprint {
        session_file: file.map_or(String::new(), |f| f.display().to_string()),
        command: file.map_or(String::new(), |f| command(f, path, &study, &wish, &Assumed::default())),
        time: info.created,
        program: info.program,
    };
    let Ok(material) = Material::gather(&study, &wish, imprint, progress) else { return Ok(Outcome::Stopped) };
    let material = material.map_err(|fault| fault.to_string())?;
    let bytes = bytes(&material, form).map_err(sentence)?;
    if progress.is_cancelled() {
        return Ok(Outcome::Stopped);
    }
    sink::write_file(path, &bytes).map_err(sentence)?;
    Ok(Outcome::Written { all_kept: material.all_kept() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;
    use washboard_study::Model;

    fn of_demo(path: &Path, progress: &Progress) -> Result<Outcome, String> {
        let request = BoardRequest { model: Model::QuarterFront, ..super::super::first_request() };
        let mut session = (*Work::demo().unwrap().snapshot()).clone();
        (session.fences, session.events) = (vec![], session.events.split_off(12));
        write(&session, None, None, &request, path, progress)
    }

    #[test]
    fn a_report_is_written_whole_or_not_at_all() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.html");
        let stopped = Progress::new();
        stopped.cancel();
        assert!(matches!(of_demo(&path, &stopped), Ok(Outcome::Stopped)));
        assert!(!path.exists());
        assert!(matches!(of_demo(&path, &Progress::new()), Ok(Outcome::Written { all_kept: true })));
        assert!(std::fs::read_to_string(&path).unwrap().contains("had no file yet"));
        assert!(of_demo(&dir.path().join("a.txt"), &Progress::new()).is_err_and(|s| s.contains(".pdf")));
        let nowhere = dir.path().join("not there").join("a.html");
        assert!(of_demo(&nowhere, &Progress::new()).is_err_and(|s| s.contains("could not be written")));
    }
}
