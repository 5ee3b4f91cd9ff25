//! Side by side in the background: columns computed on a thread of their own while that place is shown, and sets read
//! back from their folders.

use super::errand::{Errand, Step};
use super::ground::{Bedrock, Ground};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use washboard_handover::{read_manifest, read_set};
use washboard_study::{BoardRequest, Cancelled, Progress, SideBoard, SideCache, SideRequest};
use washboard_ui::{ColumnKey, OpenedSet, SideForm, SideView, side_columns, side_wish};

/// What was asked for.
#[derive(Clone, PartialEq)]
struct Wish {
    revision: u64,
    folder: Option<PathBuf>,
    keys: Vec<ColumnKey>,
    request: SideRequest,
}

/// A wish being computed.
struct Running {
    wish: Wish,
    progress: Arc<Progress>,
    errand: Errand<Result<Result<SideBoard, String>, Cancelled>>,
}

/// What is kept between computations.
#[derive(Default)]
struct Kept {
    cache: SideCache,
    bedrock: Bedrock,
}

/// The columns, and the sets that were read.
#[derive(Default)]
pub struct Siding {
    kept: Arc<Mutex<Kept>>,
    running: Option<Running>,
    shown: Option<(Wish, SideBoard)>,
    fault: Option<(Wish, String)>,
    asked: Option<Wish>,
    /// Columns that came since somebody asked.
    news: Option<Vec<String>>,
    opened: Vec<OpenedSet>,
    reading: Option<Errand<Result<OpenedSet, String>>>,
}

impl Siding {
    /// What the window shows of the columns.
    pub fn view(&self) -> SideView<'_> {
        let is_asked = |wish: &Wish| self.asked.as_ref() == Some(wish);
        let fault = self.fault.as_ref().filter(|(wish, _)| is_asked(wish)).map(|(_, sentence)| sentence.as_str());
        SideView {
            board: self.shown.as_ref().map(|(_, board)| board),
            keys: self.shown.as_ref().map_or(&[], |(wish, _)| &wish.keys),
            is_fresh: fault.is_none() && self.shown.as_ref().is_some_and(|(wish, _)| is_asked(wish)),
            progress: self.running.as_ref().map(|r| r.progress.state()),
            fault,
        }
    }

    /// Sets read back from folders.
    pub fn opened(&self) -> &[OpenedSet] {
        &self.opened
    }

    /// Names of the columns that were computed since the last call.
    pub fn news(&mut self) -> Option<Vec<String>> {
        self.news.take()
    }

    /// True while columns are computed.
    pub fn is_running(&self) -> bool {
        self.running.is_some()
    }

    /// Sees to it that the columns chosen are computed; the newest wish wins.
    pub fn ask(
        &mut self,
        ground: &Ground,
        form: &SideForm,
        of_board: &BoardRequest,
        wake_window: impl Fn() + Send + 'static,
    ) {
        let (columns, reference) = side_columns(form, &ground.session, &self.opened);
        let BoardRequest { model, load_case, speed_km_h, roughness_m_per_s2, .. } = *of_board;
        let wish = Wish {
            revision: ground.revision,
            folder: ground.folder.clone(),
            keys: columns.iter().map(|(key, _)| key.clone()).collect(),
            request: SideRequest { model, load_case, speed_km_h, roughness_m_per_s2, reference },
        };
        self.asked = Some(wish.clone());
        if let Some(running) = &self.running {
            if running.wish != wish {
                running.progress.cancel();
            }
            return;
        }
        let is_known = |known: Option<&Wish>| known == Some(&wish);
        let has_fault = is_known(self.fault.as_ref().map(|(wish, _)| wish));
        if columns.is_empty() {
            self.shown = None;
        }
        if columns.is_empty() || has_fault || is_known(self.shown.as_ref().map(|(wish, _)| wish)) {
            return;
        }
        let progress = Arc::new(Progress::giving_way());
        let work = {
            let (kept, ground, columns) = (Arc::clone(&self.kept), ground.clone(), side_wish(&columns));
            let (request, progress) = (wish.request.clone(), Arc::clone(&progress));
            move || {
                // Half-done work leaves nothing half-done in it.
                let mut kept = kept.lock().unwrap_or_else(PoisonError::into_inner);
                let study = match kept.bedrock.study(&ground) {
                    Ok(study) => study,
                    Err(fault) => return Ok(Err(format!("{fault:#}"))),
                };
                let board = study.side_by_side(&columns, &request, &mut kept.cache, &progress)?;
                Ok(board.map_err(|fault| fault.to_string()))
            }
        };
        if let Ok(errand) = Errand::send("side by side", wake_window, work) {
            self.running = Some(Running { wish, progress, errand });
        }
    }

    /// Takes in what is ready; a sentence where columns or a set could not be had.
    pub fn collect(&mut self) -> Option<Result<String, String>> {
        if let Some(Running { wish, progress, errand }) = self.running.take() {
            match errand.step() {
                Step::Out(errand) => self.running = Some(Running { wish, progress, errand }),
                Step::Back(Ok(Ok(board))) => {
                    self.fault = None;
                    self.news = Some(wish.keys.iter().map(|key| format!("{:?}", key.name())).collect());
                    self.shown = Some((wish, board));
                }
                Step::Back(Ok(Err(sentence))) => self.fault = Some((wish, sentence)),
                Step::Back(Err(Cancelled)) => {}
                Step::Lost => self.fault = Some((wish, "a fault inside the computation.".to_owned())),
            }
        }
        match self.reading.take()?.step() {
            Step::Out(errand) => {
                self.reading = Some(errand);
                None
            }
            Step::Back(Ok(set)) => {
                let said = format!(
                    "Set {} is read and proven; its modes are in the list.",
                    set.identity.chars().take(8).collect::<String>()
                );
                self.opened.retain(|known| known.identity != set.identity);
                self.opened.insert(0, set);
                Some(Ok(said))
            }
            Step::Back(Err(sentence)) => Some(Err(sentence)),
            Step::Lost => Some(Err("The set was not read: a fault inside the program.".to_owned())),
        }
    }

    /// Begins to read a set back from its folder.
    pub fn read(&mut self, folder: PathBuf, wake_window: impl FnOnce() + Send + 'static) -> std::io::Result<()> {
        self.reading = Some(Errand::send("read a set", wake_window, move || read(&folder))?);
        Ok(())
    }

    /// Keeps what was read when another session is shown, and nothing that was computed of the one before.
    pub fn for_another_session(&mut self) {
        if let Some(running) = &self.running {
            running.progress.cancel();
        }
        *self = Siding { opened: std::mem::take(&mut self.opened), reading: self.reading.take(), ..Siding::default() };
    }
}

/// Reads a set and proves it.
fn read(folder: &Path) -> Result<OpenedSet, String> {
    let manifest = read_manifest(folder).map_err(|fault| fault.to_string())?;
    let set = read_set(folder).map_err(|fault| fault.to_string())?;
    Ok(OpenedSet { identity: manifest.identity, note: manifest.note, modes: set.modes() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;
    use std::time::{Duration, Instant};
    use washboard_session::{Edit, InCar, MapName};
    use washboard_study::Model;

    fn request() -> BoardRequest {
        BoardRequest {
            model: Model::QuarterFront,
            load_case: 0,
            event: 0,
            speed_km_h: 80.0,
            roughness_m_per_s2: 2.0,
            reference: 0,
        }
    }

    fn ground(work: &Work) -> Ground {
        Ground { session: work.snapshot(), revision: work.revision(), folder: None }
    }

    /// Asks until the columns are fresh or there is a fault.
    fn settle(siding: &mut Siding, work: &Work, form: &SideForm) {
        let until = Instant::now() + Duration::from_secs(120);
        loop {
            assert!(Instant::now() < until, "no answer");
            siding.collect();
            siding.ask(&ground(work), form, &request(), || {});
            if siding.view().is_fresh || siding.view().fault.is_some() {
                return;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// A short session: the demo with two events.
    fn work() -> Work {
        let mut work = Work::demo().unwrap();
        while work.session().events.len() > 2 {
            work.edit(&Edit::SetFences(vec![])).unwrap();
            work.edit(&Edit::DeleteEvent { event: 2 }).unwrap();
        }
        work
    }

    #[test]
    fn columns_follow_the_session_and_a_set_read_from_its_folder_stands_beside_it() {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path().join("set");
        let mut work = work();
        let info = crate::set_info::now("for the test");
        let written = washboard_handover::export(work.session(), &[0, 1], &folder, &info).unwrap();
        // A set told to be in the car must not stand in the way.
        let noted = work.session().note_of_set(written.identity.clone(), info.created, "".into(), "".into(), &[0]);
        work.record_hand_over(noted).unwrap();
        let mut session = (*work.snapshot()).clone();
        session.in_car = Some(InCar { identity: written.identity.clone(), since: "2026-11-25T14:05:00Z".into() });
        session.began_from = Some(written.identity.clone());
        work = Work::recovered(session, None);
        let (mut siding, form) = (Siding::default(), SideForm::default());
        settle(&mut siding, &work, &form);
        assert_eq!(siding.view().keys.len(), work.session().modes.len());

        siding.read(folder.clone(), || {}).unwrap();
        let until = Instant::now() + Duration::from_secs(60);
        let said = loop {
            assert!(Instant::now() < until);
            if let Some(said) = siding.collect() {
                break said;
            }
        };
        assert!(said.is_ok_and(|s| s.contains(&written.identity[..8])));
        assert_eq!((siding.opened().len(), siding.opened()[0].note.as_str()), (1, "for the test"));
        // The set keeps what it has while the session goes on.
        let before = siding.opened()[0].modes[0].clone();
        work.edit(&Edit::cell(0, MapName::Heave, 0, 0, 1234.0)).unwrap();
        assert_eq!(siding.opened()[0].modes[0], before);
        settle(&mut siding, &work, &form);
        assert!(siding.view().is_fresh);

        std::fs::write(folder.join("settings.csv"), "changed").unwrap();
        siding.read(folder, || {}).unwrap();
        let refused = loop {
            assert!(Instant::now() < until);
            if let Some(said) = siding.collect() {
                break said;
            }
        };
        assert!(refused.is_err_and(|s| s.contains("settings.csv")), "an altered set is not shown");
    }

    #[test]
    fn a_session_that_cannot_be_computed_says_why() {
        let mut work = work();
        let mut session = (*work.snapshot()).clone();
        session.vehicle.wheelbase_m = -1.0;
        work = Work::recovered(session, None);
        let mut siding = Siding::default();
        settle(&mut siding, &work, &SideForm::default());
        assert!(siding.view().fault.is_some_and(|sentence| sentence.contains("wheelbase_m")));
    }
}
