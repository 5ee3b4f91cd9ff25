//! Files opened and saved lately: kept in the data folder, looked after on a thread of their own.

use super::errand::{Errand, Step};
use crate::{place, sink};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use washboard_ui::Recent;

/// Most files remembered.
const MOST: usize = 12;
const FILE: &str = "recent.json";

enum Wish {
    Look,
    Add(PathBuf),
    ForgetMissing,
}

/// The list as the window shows it, and what is still to be done to it.
pub struct RecentFiles {
    folder: Option<PathBuf>,
    shown: Vec<Recent>,
    wishes: VecDeque<Wish>,
    errand: Option<Errand<Vec<Recent>>>,
}

impl RecentFiles {
    /// The list of the data folder; without one it is kept for this run of the program.
    pub fn open() -> Self {
        Self::kept_in(place::data_folder())
    }

    fn kept_in(folder: Option<PathBuf>) -> Self {
        RecentFiles { folder, shown: Vec::new(), wishes: VecDeque::from([Wish::Look]), errand: None }
    }

    /// Newest first.
    pub fn shown(&self) -> &[Recent] {
        &self.shown
    }

    /// A file was opened or saved.
    pub fn add(&mut self, path: &Path) {
        self.wishes.push_back(Wish::Add(path.to_owned()));
    }

    /// Finds out again which files are there.
    pub fn look(&mut self) {
        self.wishes.push_back(Wish::Look);
    }

    /// Takes those out that are not there.
    pub fn forget_missing(&mut self) {
        self.wishes.push_back(Wish::ForgetMissing);
    }

    /// Takes in what is ready and sends off what is to be done; true while something is out.
    pub fn work(&mut self, wake_window: impl FnOnce() + Send + 'static) -> bool {
        match self.errand.take().map(Errand::step) {
            Some(Step::Out(errand)) => self.errand = Some(errand),
            Some(Step::Back(list)) => self.shown = list,
            Some(Step::Lost) | None => {}
        }
        if self.errand.is_none()
            && let Some(wish) = self.wishes.pop_front()
        {
            let (folder, shown) = (self.folder.clone(), self.shown.clone());
            // A list that cannot be looked after is missed by nobody's work.
            self.errand =
                Errand::send("recent files", wake_window, move || done(folder.as_deref(), &shown, &wish)).ok();
        }
        self.errand.is_some()
    }
}

/// Does one wish to the file, which another window may have changed meanwhile, and returns what stands in it.
fn done(folder: Option<&Path>, shown: &[Recent], wish: &Wish) -> Vec<Recent> {
    let mut paths = match folder {
        Some(folder) => read(&folder.join(FILE)),
        None => shown.iter().map(|r| r.path.clone()).collect(),
    };
    let before = paths.clone();
    match wish {
        Wish::Look => {}
        Wish::Add(path) => {
            let path = path.display().to_string();
            paths.retain(|p| *p != path);
            paths.insert(0, path);
            paths.truncate(MOST);
        }
        Wish::ForgetMissing => paths.retain(|p| Path::new(p).is_file()),
    }
    if let Some(folder) = folder.filter(|_| paths != before) {
        let text = serde_json::to_vec_pretty(&paths).unwrap_or_default();
        let written = std::fs::create_dir_all(folder).map_err(anyhow::Error::from);
        if let Err(fault) = written.and_then(|()| sink::write_file(&folder.join(FILE), &text)) {
            tracing::warn!("the list of recent files is not kept: {fault:#}");
        }
    }
    paths.into_iter().map(seen).collect()
}

/// What the file lists; one that cannot be read lists nothing.
fn read(file: &Path) -> Vec<String> {
    let bytes = std::fs::read(file).unwrap_or_default();
    let mut paths: Vec<String> = serde_json::from_slice(&bytes).unwrap_or_default();
    paths.truncate(MOST);
    paths
}

fn seen(path: String) -> Recent {
    let as_path = Path::new(&path);
    let name = as_path.file_name().map_or(path.clone(), |n| n.to_string_lossy().into_owned());
    Recent { name, is_missing: !as_path.is_file(), path }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(list: &[Recent]) -> Vec<(&str, bool)> {
        list.iter().map(|r| (r.name.as_str(), r.is_missing)).collect()
    }

    #[test]
    fn the_newest_stands_first_once_and_a_missing_one_is_marked_and_can_be_forgotten() {
        let dir = tempfile::tempdir().unwrap();
        let (a, b) = (dir.path().join("a.ron"), dir.path().join("b.ron"));
        std::fs::write(&a, "").unwrap();
        let keep = Some(dir.path());
        done(keep, &[], &Wish::Add(a.clone()));
        done(keep, &[], &Wish::Add(b.clone()));
        let list = done(keep, &[], &Wish::Add(a));
        assert_eq!(names(&list), [("a.ron", false), ("b.ron", true)]);
        assert_eq!(names(&done(keep, &[], &Wish::ForgetMissing)), [("a.ron", false)]);
        // The next run of the program finds the same list.
        assert_eq!(names(&done(keep, &[], &Wish::Look)), [("a.ron", false)]);
    }

    #[test]
    fn a_broken_list_is_an_empty_one_and_is_made_anew() {
        let dir = tempfile::tempdir().unwrap();
        for broken in [&b"{nonsense"[..], b"[1, 2]", b"\xff\xfe", b""] {
            std::fs::write(dir.path().join(FILE), broken).unwrap();
            assert!(done(Some(dir.path()), &[], &Wish::Look).is_empty());
            assert_eq!(done(Some(dir.path()), &[], &Wish::Add(PathBuf::from("/x/a.ron"))).len(), 1);
        }
    }

    #[test]
    fn the_list_does_not_grow_without_end_and_needs_no_folder() {
        let mut list = Vec::new();
        for i in 0..30 {
            list = done(None, &list, &Wish::Add(PathBuf::from(format!("/x/{i}.ron"))));
        }
        assert_eq!((list.len(), list[0].name.as_str()), (MOST, "29.ron"));
    }
}
