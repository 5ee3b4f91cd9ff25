//! Handing a set over to the car: what would go out, and the writing itself, both on threads of their own.

use super::errand::{Errand, Step};
use crate::set_info;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use washboard_handover::{CarSet, Origin, export, identity, pre_checks, verify};
use washboard_session::{HandedOver, Session};
use washboard_ui::{Check, HandOverResult, HandOverView};

/// Number of digits of the identity in a folder's name: enough that two sets never meet by chance.
const DIGITS: usize = 12;

/// What shall go out.
pub struct Order {
    /// The session as it is.
    pub session: Arc<Session>,
    /// Indices of the modes.
    pub modes: Vec<usize>,
    /// What the set is for.
    pub note: String,
}

struct Preview {
    identity: String,
    checks: Vec<Check>,
}

/// The hand-over as the window shows it.
#[derive(Default)]
pub struct HandingOver {
    view: HandOverView,
    folder: Option<PathBuf>,
    seen: Option<(u64, Vec<usize>)>,
    looking: Option<Errand<Preview>>,
    sending: Option<Errand<Result<HandedOver, String>>>,
}

impl HandingOver {
    /// What the window shows of it.
    pub fn view(&self) -> &HandOverView {
        &self.view
    }

    /// The folder that sets are written into, each in a folder of its own.
    pub fn set_folder(&mut self, folder: PathBuf) {
        self.view.folder = folder.display().to_string();
        self.folder = Some(folder);
    }

    /// The same as a path.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// How the last hand-over went is no longer what matters.
    pub fn forget_result(&mut self) {
        self.view.last_result = None;
    }

    /// Forgets what was found out of a session that is no longer shown; the folder stays.
    pub fn look_again(&mut self) {
        self.seen = None;
        self.view.last_result = None;
    }

    /// Answers a wish that is not granted.
    pub fn refuse(&mut self, sentence: &str) {
        self.view.last_result = Some(HandOverResult::Failed(sentence.to_owned()));
    }

    /// Finds out identity and checks of what would go out, when that has changed.
    pub fn look_at(
        &mut self,
        revision: u64,
        session: &Arc<Session>,
        modes: Vec<usize>,
        wake_window: impl FnOnce() + Send + 'static,
    ) {
        let key = (revision, modes);
        if self.looking.is_some() || self.seen.as_ref() == Some(&key) {
            return;
        }
        let (session, modes) = (Arc::clone(session), key.1.clone());
        self.seen = Some(key);
        self.looking = Errand::send("hand-over checks", wake_window, move || look(&session, &modes)).ok();
    }

    /// Begins to write a set.
    pub fn send(&mut self, order: Order, wake_window: impl FnOnce() + Send + 'static) {
        if self.sending.is_some() {
            return self.refuse("A set is being written; wait for it.");
        }
        let Some(folder) = self.folder.clone() else {
            return self.refuse("Choose a folder first.");
        };
        match Errand::send("hand-over", wake_window, move || write(&order, &folder)) {
            Ok(errand) => self.sending = Some(errand),
            Err(fault) => self.refuse(&format!("No set was written: {fault}.")),
        }
    }

    /// True while a set is being written.
    pub fn is_sending(&self) -> bool {
        self.sending.is_some()
    }

    /// Takes in what is ready; a set that was written, or why not, comes back once.
    pub fn collect(&mut self) -> Option<Result<HandedOver, String>> {
        match self.looking.take().map(Errand::step) {
            Some(Step::Out(errand)) => self.looking = Some(errand),
            Some(Step::Back(preview)) => {
                self.view.identity = preview.identity;
                self.view.checks = preview.checks;
            }
            Some(Step::Lost) | None => {}
        }
        let result = match self.sending.take()?.step() {
            Step::Out(errand) => {
                self.sending = Some(errand);
                return None;
            }
            Step::Back(result) => result,
            Step::Lost => Err("No set was handed over: a fault inside the program.".to_owned()),
        };
        self.view.last_result = Some(match &result {
            Ok(record) => HandOverResult::Done { identity: record.identity.clone(), folder: record.folder.clone() },
            Err(sentence) => HandOverResult::Failed(sentence.clone()),
        });
        Some(result)
    }
}

fn look(session: &Session, modes: &[usize]) -> Preview {
    let checks = pre_checks(session, modes);
    Preview {
        identity: CarSet::from_session(session, modes).map(|set| identity(&set)).unwrap_or_default(),
        checks: checks
            .into_iter()
            .map(|c| Check { name: c.name, passed: c.passed, forbids: c.forbids, reason: c.reason })
            .collect(),
    }
}

/// Writes the set into a new folder below `parent`, reads it back, and makes the record for the session.
fn write(order: &Order, parent: &Path) -> Result<HandedOver, String> {
    if parent.join("manifest.json").exists() {
        return Err(format!("{} is itself a set that was handed over: choose the folder above it.", parent.display()));
    }
    let set = CarSet::from_session(&order.session, &order.modes).map_err(|fault| fault.to_string())?;
    let folder = parent.join(format!("set-{}", &identity(&set)[..DIGITS]));
    let origin = Origin::of(&order.session, &order.modes);
    let info = set_info::now(&order.note);
    let time = info.created.clone();
    let written = export(&order.session, &order.modes, &folder, &info).map_err(|fault| fault.to_string())?;
    let verdict = verify(&folder, Some(&order.session)).map_err(|fault| fault.to_string())?;
    if !verdict.equal {
        return Err(format!("{} does not read back as written: do not use it.", folder.display()));
    }
    let place = folder.display().to_string();
    let note = order.session.note_of_set(written.identity, time, order.note.clone(), place, &order.modes);
    Ok(HandedOver { parent: origin.parent, difference: origin.difference, ..note })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;
    use std::time::{Duration, Instant};

    fn order(note: &str) -> Order {
        Order { session: Work::demo().unwrap().snapshot(), modes: vec![0], note: note.to_owned() }
    }

    fn wait(it: &mut HandingOver) -> Result<HandedOver, String> {
        let until = Instant::now() + Duration::from_secs(60);
        loop {
            assert!(Instant::now() < until, "no answer");
            if let Some(result) = it.collect() {
                return result;
            }
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    #[test]
    fn each_set_gets_a_folder_of_its_own_and_is_never_overwritten() {
        let dir = tempfile::tempdir().unwrap();
        let mut it = HandingOver::default();
        it.set_folder(dir.path().to_owned());
        it.send(order("first try"), || {});
        let record = wait(&mut it).unwrap();
        assert_eq!((record.modes.len(), record.note.as_str()), (1, "first try"));
        let folder = PathBuf::from(&record.folder);
        assert!(folder.starts_with(dir.path()) && verify(&folder, None).unwrap().equal);
        assert!(
            matches!(&it.view().last_result, Some(HandOverResult::Done { identity, .. }) if *identity == record.identity)
        );
        // The same calibration has the same folder, which is in use.
        it.send(order("again"), || {});
        assert!(wait(&mut it).unwrap_err().contains("not empty"));
        assert!(verify(&folder, None).unwrap().equal, "the first set was touched");
        // And a set's own folder is no place for another.
        it.set_folder(folder.clone());
        it.send(order("inside"), || {});
        assert!(wait(&mut it).unwrap_err().contains("folder above"));
        assert!(verify(&folder, None).unwrap().equal, "the first set was touched");
    }

    #[test]
    fn without_a_folder_or_modes_nothing_is_written() {
        let mut it = HandingOver::default();
        it.send(order(""), || {});
        assert!(matches!(&it.view().last_result, Some(HandOverResult::Failed(why)) if why.contains("folder")));
        let dir = tempfile::tempdir().unwrap();
        it.set_folder(dir.path().to_owned());
        it.send(Order { modes: vec![], ..order("") }, || {});
        assert!(wait(&mut it).is_err());
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 0);
    }

    #[test]
    fn what_would_go_out_is_known_before() {
        let session = Work::demo().unwrap().snapshot();
        let mut it = HandingOver::default();
        it.look_at(1, &session, vec![0], || {});
        let until = Instant::now() + Duration::from_secs(60);
        while it.view().identity.is_empty() {
            assert!(Instant::now() < until, "no identity");
            it.collect();
        }
        assert_eq!(it.view().identity, identity(&CarSet::from_session(&session, &[0]).unwrap()));
        assert!(!it.view().checks.is_empty());
    }
}
