//! The session that this one rests on: choosing it, following it, and keeping the way to it when the file moves.

use super::App;
use super::files::{Purpose, plain_path, way_to};
use crate::window::dialogs::Kind;
use crate::window::errand::{Errand, Step};
use std::path::{Component, Path};
use washboard_session::{Below, Edit};
use washboard_ui::Severity;

/// A session being read for this one to rest on.
pub(super) struct Reading {
    errand: Errand<Result<Below, String>>,
    /// Which of the sessions opened asked for it.
    opening: u64,
    /// True where what it rests on already is read anew.
    follows: bool,
}

impl App {
    pub(super) fn ask_what_to_rest_on(&mut self) {
        if self.work.path().is_none() {
            let text = "What a session rests on is named from its own file: save the session first.";
            return self.tell(Severity::Caution, text.to_owned());
        }
        let kind = Kind::Open { extensions: &["ron", "json"] };
        self.ask_file(Purpose::Below, "Session to rest on", kind, self.work.folder());
    }

    pub(super) fn rest_on(&mut self, chosen: &Path) {
        let Some(folder) = self.work.folder() else { return };
        // What leads out of the folder is refused on reading, with its reason.
        let file = way_to(chosen, Some(&folder));
        self.read_below(file, false);
    }

    pub(super) fn follow_below(&mut self) {
        match self.work.session().rests_on().map(|below| below.file.clone()) {
            Some(file) => self.read_below(file, true),
            None => {
                self.tell(Severity::Information, "This session stands alone: there is nothing to follow.".to_owned())
            }
        }
    }

    fn read_below(&mut self, file: String, follows: bool) {
        let Some(path) = self.work.path().map(Path::to_owned) else {
            let text = "What a session rests on is looked for beside its file: save the session first.";
            return self.tell(Severity::Caution, text.to_owned());
        };
        let read = move || washboard_session::load_below(&path, &file).map_err(|fault| fault.to_string());
        match Errand::send("below", self.waker(), read) {
            Ok(errand) => self.resting = Some(Reading { errand, opening: self.work.opening(), follows }),
            Err(fault) => self.tell(Severity::Fault, format!("The session below was not read: {fault}.")),
        }
    }

    pub(super) fn collect_below(&mut self) {
        let Some(Reading { errand, opening, follows }) = self.resting.take() else { return };
        match errand.step() {
            Step::Out(errand) => self.resting = Some(Reading { errand, opening, follows }),
            Step::Back(_) if self.work.opening() != opening => {}
            Step::Back(Ok(below)) if follows => {
                if self.work.session().rests_on().is_some_and(|known| below.gives_what(known)) {
                    let text = format!("{} is as it was when this session was opened.", below.file);
                    return self.tell(Severity::Information, text);
                }
                self.edit(Edit::FollowSession(Box::new(below)));
            }
            Step::Back(Ok(below)) => {
                self.edit(Edit::RestOnSession(Some(Box::new(below))));
                if let Some(below) = self.work.session().rests_on() {
                    let own = match self.work.session().own_parts().len() {
                        1 => "1 part".to_owned(),
                        count => format!("{count} parts"),
                    };
                    let text = format!(
                        "This session rests on {} with {own} of its own; all else follows it once saved. Car lists them.",
                        below.file
                    );
                    self.tell(Severity::Information, text);
                }
            }
            Step::Back(Err(sentence)) => self.tell(Severity::Fault, sentence),
            Step::Lost => {
                self.tell(Severity::Fault, "The session below was not read: a fault inside the program.".to_owned());
            }
        }
    }

    /// A session opened says so where what it rests on is another than when it was saved.
    pub(super) fn say_what_follows(&mut self) {
        if let Some(below) = self.work.session().rests_on().filter(|below| below.has_changed) {
            let text = format!(
                "{}, which this session rests on, has changed since this one was saved: what is not its own follows it.",
                below.file
            );
            self.tell(Severity::Caution, text);
        }
    }

    /// Saved into another folder the session still knows what it rests on where that lies inside the folder; else it
    /// stands alone from then on.
    pub(super) fn keep_way_below(&mut self, path: &Path) {
        let (from, Some(to)) = (self.work.folder(), path.parent()) else { return };
        let snapshot = self.work.snapshot();
        let Some(below) = snapshot.rests_on().filter(|_| from.as_deref() != Some(to)) else { return };
        let whole = from.map(|from| plain_path(&from.join(&below.file)));
        let way = whole.filter(|it| it.is_file()).map(|it| way_to(&it, Some(to)));
        let stays_inside = |way: &String| Path::new(way).components().all(|part| matches!(part, Component::Normal(_)));
        if let Some(way) = way.filter(stays_inside) {
            self.edit(Edit::RestOnSession(Some(Box::new(below.renamed(way)))));
        } else {
            let text = format!(
                "{} is not in that folder: the session holds everything itself there and stands alone.",
                below.file
            );
            self.edit(Edit::RestOnSession(None));
            self.tell(Severity::Caution, text);
        }
    }
}
