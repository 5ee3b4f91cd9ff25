//! Folders and files of hand-overs, or dumps of a car's memory, read back and held against what was meant, away from the
//! window.

use super::errand::{Errand, Step};
use crate::reading_back::{Meant, noted, of_a_file};
use anyhow::Result;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use washboard_handover::{Layout, Verdict, verify, verify_against_set};
use washboard_session::Session;
use washboard_session::sets::short;
use washboard_ui::ReadBackView;

/// What is read, and what it is held against.
pub struct Reading {
    /// A folder, or a file.
    pub place: PathBuf,
    /// The session on screen.
    pub session: Arc<Session>,
    /// Index of a set that the session has noted; absent: the modes on screen.
    pub set: Option<usize>,
    /// Layout of an image where none lies beside it.
    pub layout: Option<Layout>,
}

/// What was read last.
#[derive(Default)]
pub struct ReadingBack {
    view: Option<ReadBackView>,
    out: Option<Errand<ReadBackView>>,
}

impl ReadingBack {
    /// What the window shows of it.
    pub fn view(&self) -> Option<&ReadBackView> {
        self.view.as_ref()
    }

    /// Nothing is shown any more.
    pub fn leave(&mut self) {
        self.view = None;
    }

    /// Begins to read.
    pub fn begin(&mut self, reading: Reading, wake_window: impl FnOnce() + Send + 'static) -> std::io::Result<()> {
        self.out = Some(Errand::send("read back", wake_window, move || reading.read())?);
        Ok(())
    }

    /// Takes in what is ready; one line for the journal.
    pub fn collect(&mut self) -> Option<String> {
        match self.out.take()?.step() {
            Step::Out(errand) => {
                self.out = Some(errand);
                None
            }
            Step::Back(view) => {
                let said = match &view.outcome {
                    Ok(verdict) if verdict.equal => "equal".to_owned(),
                    Ok(verdict) => format!("differs {}", verdict.differences.len()),
                    Err(sentence) => format!("unreadable {sentence}"),
                };
                self.view = Some(view);
                Some(format!("read back {said}"))
            }
            Step::Lost => Some("read back: a fault inside the program".to_owned()),
        }
    }
}

impl Reading {
    fn read(self) -> ReadBackView {
        let against = match self.set.and_then(|set| self.session.handed_over.get(set)) {
            Some(set) => format!("set {}", short(&set.identity)),
            None => "the modes on screen".to_owned(),
        };
        let place = self.place.display().to_string();
        ReadBackView { place, against, outcome: self.verdict().map_err(|fault| format!("{fault:#}")) }
    }

    fn verdict(&self) -> Result<Verdict> {
        let set = self.set.map(|set| noted(&self.session, set)).transpose()?;
        if self.place.is_dir() {
            return Ok(match set {
                Some(set) => verify_against_set(&self.place, &set)?,
                None => verify(&self.place, Some(&self.session))?,
            });
        }
        let meant = match set {
            Some(set) => Meant::Set(Box::new(set)),
            None => Meant::Session(&self.session, &[]),
        };
        // A layout that lies beside the file belongs to it more than one that was chosen for the next set.
        let chosen = if has_layout(&self.place) { None } else { self.layout.clone() };
        of_a_file(&self.place, chosen, meant).map(|(verdict, _)| verdict)
    }
}

fn has_layout(file: &Path) -> bool {
    let folders = file.parent().into_iter().flat_map(|folder| [Some(folder), folder.parent()]).flatten();
    folders.into_iter().any(|folder| folder.join("layout.ron").is_file())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;
    use washboard_handover::layout::ByteOrder;
    use washboard_handover::{CarSet, ExportInfo, ExportOptions, Proposal, Width, export_with};
    use washboard_session::{Edit, HandedOver};

    fn read(session: &Arc<Session>, place: &Path, set: Option<usize>, layout: Option<Layout>) -> ReadBackView {
        Reading { place: place.to_owned(), session: Arc::clone(session), set, layout }.read()
    }

    #[test]
    fn a_dump_differs_from_what_is_on_screen_cell_by_cell_and_equals_the_set_it_was_made_of() {
        let dir = tempfile::tempdir().unwrap();
        let mut work = Work::demo().unwrap();
        let before = work.snapshot();
        let set = CarSet::from_session(&before, &[0]).unwrap();
        let (name, byte_order, width) = ("unit".to_owned(), ByteOrder::Big, Width::Bits16);
        let layout =
            Layout::propose(&set, &Proposal { name, version: 1, address: 0, byte_order, width, ..Proposal::default() })
                .unwrap();
        let info = ExportInfo { created: "t".into(), program: "p".into(), note: String::new() };
        let options = ExportOptions { layout: Some(layout.clone()), ..Default::default() };
        let folder = dir.path().join("set");
        let written = export_with(&before, &[0], &folder, &info, &options).unwrap();
        let note: HandedOver = before.note_of_set(written.identity, "t".into(), String::new(), String::new(), &[0]);
        work.record_hand_over(note).unwrap();
        let was = work.session().modes[0].heave.values_n_s_per_m[1][1];
        work.edit(&Edit::cell(0, washboard_session::MapName::Heave, 1, 1, was + 40.0)).unwrap();
        let now = work.snapshot();
        let dump = dir.path().join("dump.bin");
        std::fs::copy(folder.join("image.bin"), &dump).unwrap();
        for place in [&folder, &folder.join("image.hex"), &folder.join("set.json"), &dump] {
            let view = read(&now, place, None, Some(layout.clone()));
            let verdict = view.outcome.unwrap_or_else(|fault| panic!("{}: {fault}", place.display()));
            let all = verdict.differences.join("\n");
            assert!(!verdict.equal && all.contains("heave map") && all.contains(&was.to_string()), "{all}");
            let view = read(&now, place, Some(0), Some(layout.clone()));
            assert!(view.outcome.unwrap().equal, "{}", place.display());
            assert!(view.against.starts_with("set "));
        }
        let without = read(&now, &dump, Some(0), None).outcome.unwrap_err();
        assert!(without.contains("layout"), "{without}");
        // A set of which only the modes are known cannot be held against an image.
        let mut bare = (*now).clone();
        bare.handed_over[0].surroundings = None;
        bare.dampers[0].force_n[0][0] *= 1.01;
        let fault = read(&Arc::new(bare), &dump, Some(0), Some(layout)).outcome.unwrap_err();
        assert!(fault.contains("only the modes are noted"), "{fault}");
    }
}
