//! Choosing the file of a measured profile: read and checked away from the window, put beside the session where it is not.

use super::App;
use super::files::Purpose;
use crate::profiles;
use crate::window::dialogs::Kind;
use crate::window::errand::{Errand, Step};
use std::path::PathBuf;
use washboard_session::{Edit, Event, EventKind};
use washboard_ui::Severity;

/// Speed of a new event over a measured profile, km/h.
const SPEED_KM_H: f64 = 80.0;
/// Longest run over a profile that is proposed, s.
const LONGEST_S: f64 = 60.0;

/// A profile being looked at: for which event, of which of the sessions opened.
pub(super) struct Adopting {
    event: Option<usize>,
    opening: u64,
    errand: Errand<Result<profiles::Adopted, String>>,
}

impl App {
    pub(super) fn ask_for_profile(&mut self, event: Option<usize>) {
        let Some(folder) = self.work.folder() else {
            let text = "A measured profile is named relative to the session's file: save the session first.";
            return self.tell(Severity::Caution, text.to_owned());
        };
        let kind = Kind::Open { extensions: &["csv"] };
        self.ask_file(Purpose::Profile { event }, "Measured profile", kind, Some(folder));
    }

    pub(super) fn adopt_profile(&mut self, event: Option<usize>, path: PathBuf) {
        let Some(folder) = self.work.folder() else { return };
        let adopt = move || profiles::adopt(&folder, &path).map_err(|fault| format!("{fault:#}."));
        match Errand::send("profile", self.waker(), adopt) {
            Ok(errand) => self.adopting = Some(Adopting { event, opening: self.work.opening(), errand }),
            Err(fault) => self.tell(Severity::Fault, format!("The profile is not taken: {fault}.")),
        }
    }

    pub(super) fn collect_profile(&mut self) {
        let Some(Adopting { event, opening, errand }) = self.adopting.take() else { return };
        match errand.step() {
            Step::Out(errand) => self.adopting = Some(Adopting { event, opening, errand }),
            Step::Back(Ok(adopted)) if self.work.opening() == opening => self.drive_over(event, adopted),
            Step::Back(Ok(_)) => {}
            Step::Back(Err(sentence)) => self.tell(Severity::Fault, format!("The profile is not taken: {sentence}")),
            Step::Lost => {
                self.tell(Severity::Fault, "The profile is not taken: a fault inside the program.".to_owned());
            }
        }
    }

    fn drive_over(&mut self, event: Option<usize>, adopted: profiles::Adopted) {
        let kind = EventKind::Profile { file: adopted.file.clone() };
        let events = &self.work.session().events;
        let edit = match event.and_then(|at| Some((at, events.get(at)?.clone()))) {
            Some((at, before)) => Edit::ReplaceEvent { event: at, with: Box::new(Event { kind, ..before }) },
            None => {
                let duration_s = (adopted.length_m / (SPEED_KM_H / 3.6)).clamp(1.0, LONGEST_S);
                let name = free(events, adopted.file.trim_end_matches(".csv"));
                let at = events.len();
                self.view.event = at;
                let event = Event::new(name, SPEED_KM_H, (duration_s * 10.0).round() / 10.0, kind);
                Edit::AddEvent { at, event: Box::new(event) }
            }
        };
        self.edit(edit);
        if let Some(sentence) = adopted.copied {
            self.tell(Severity::Information, sentence);
        }
    }
}

/// A name that no event has yet.
fn free(events: &[Event], wanted: &str) -> String {
    let is_taken = |name: &str| events.iter().any(|e| e.name == name);
    let numbered = (2..).map(|n| format!("{wanted} {n}"));
    std::iter::once(wanted.to_owned()).chain(numbered).find(|name| !is_taken(name)).unwrap_or_default()
}
