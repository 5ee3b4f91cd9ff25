//! The table of what drivers say: the program's own, or a copy that the engineer keeps beside the session or among the
//! program's files.

use super::errand::{Errand, Step};
use crate::place;
use std::path::{Path, PathBuf};
use washboard_session::complaints::{Complaints, FILE_NAME};
use washboard_study::check_complaints;

/// A table, where it comes from, and what was wrong with copies that were passed over.
struct Found {
    table: Complaints,
    from: String,
    faults: Vec<String>,
}

/// The table that holds for the session on screen.
pub struct Saying {
    table: Complaints,
    from: String,
    looking: Option<Errand<Found>>,
}

impl Saying {
    /// The program's own, until something else was found.
    pub fn built_in() -> Self {
        let Found { table, from, .. } = own();
        Saying { table, from, looking: None }
    }

    /// The table.
    pub fn table(&self) -> &Complaints {
        &self.table
    }

    /// Where it comes from.
    pub fn from(&self) -> &str {
        &self.from
    }

    /// Looks for copies, first in the folder of the session, then among the program's files.
    pub fn look(&mut self, folder: Option<PathBuf>, wake_window: impl FnOnce() + Send + 'static) {
        let folders: Vec<PathBuf> = folder.into_iter().chain(place::data_folder()).collect();
        self.looking = Errand::send("complaints", wake_window, move || find(&folders)).ok();
    }

    /// Takes in what was found; sentences about copies that could not be used.
    pub fn collect(&mut self) -> Vec<String> {
        match self.looking.take().map(Errand::step) {
            Some(Step::Out(errand)) => self.looking = Some(errand),
            Some(Step::Back(Found { table, from, faults })) => {
                (self.table, self.from) = (table, from);
                return faults;
            }
            Some(Step::Lost) | None => {}
        }
        Vec::new()
    }
}

fn own() -> Found {
    Found { table: Complaints::built_in(), from: "the program's own".to_owned(), faults: Vec::new() }
}

/// The first copy that holds, else the program's own.
fn find(folders: &[PathBuf]) -> Found {
    let mut faults = Vec::new();
    for path in folders.iter().map(|folder| folder.join(FILE_NAME)).filter(|path| path.exists()) {
        match read(&path) {
            Ok(table) => return Found { table, from: path.display().to_string(), faults },
            Err(sentence) => faults.push(format!("{sentence} This table of complaints is passed over.")),
        }
    }
    Found { faults, ..own() }
}

fn read(path: &Path) -> Result<Complaints, String> {
    let table = Complaints::load(path)?;
    check_complaints(&table).map_err(|fault| format!("{}: {fault}", path.display()))?;
    Ok(table)
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROW: &str = r#"(complaints: [(said: "Nods", events: [(kinds: [Braking])], metric: "pitch_peak_rad", wanted: Less,
        maps: [(map: "pitch", along: [Speed])], source: "Common practice, no source.")])"#;

    #[test]
    fn a_copy_beside_the_session_wins_and_one_with_a_slip_is_passed_over_with_a_sentence() {
        let dir = tempfile::tempdir().unwrap();
        let (beside, data) = (dir.path().join("session"), dir.path().join("data"));
        let folders = [beside.clone(), data.clone()];
        for folder in &folders {
            std::fs::create_dir(folder).unwrap();
        }
        let found = find(&folders);
        assert_eq!((found.table, found.from.as_str()), (Complaints::built_in(), "the program's own"));
        std::fs::write(data.join(FILE_NAME), ROW).unwrap();
        assert_eq!(find(&folders).table.complaints[0].said, "Nods");
        std::fs::write(beside.join(FILE_NAME), ROW.replace("Nods", "Bows")).unwrap();
        let found = find(&folders);
        assert_eq!(found.table.complaints[0].said, "Bows");
        assert!(found.from.contains("session") && found.faults.is_empty());
        std::fs::write(beside.join(FILE_NAME), ROW.replace("pitch_peak_rad", "pitch_peak")).unwrap();
        std::fs::write(data.join(FILE_NAME), ROW.replace("wanted", "way")).unwrap();
        let found = find(&folders);
        assert_eq!(found.from, "the program's own");
        assert!(found.faults[0].contains("\"pitch_peak\""), "{:?}", found.faults);
        assert!(found.faults[1].contains("unknown field `way`"), "{:?}", found.faults);
    }
}
