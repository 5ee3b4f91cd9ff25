//! Asking for a file or folder without ever blocking the window: the desktop's own dialog on a thread, or one drawn
//! inside the window where the desktop offers none.

use egui::epaint::text::{FontInsert, FontPriority, InsertFontFamily};
use egui_file::{FileDialog as InsideDialog, State};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// An answer faster than a hand can give means that the desktop has no dialog to show.
const FASTER_THAN_A_HAND: Duration = Duration::from_millis(300);

/// Adds the signs for files and folders that the inside dialog draws, behind all other fonts.
pub fn add_signs(ctx: &egui::Context) {
    let mut fonts = egui::FontDefinitions::default();
    for name in ["NotoEmoji-Regular", "emoji-icon-font"] {
        let Some(data) = fonts.font_data.remove(name) else { continue };
        let last = InsertFontFamily { family: egui::FontFamily::Proportional, priority: FontPriority::Lowest };
        ctx.add_font(FontInsert::new(name, (*data).clone(), vec![last]));
    }
}

/// Which kind of place is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An existing file with one of these extensions.
    Open {
        /// Extensions without the dot.
        extensions: &'static [&'static str],
    },
    /// A file to write.
    Save {
        /// Name proposed.
        name: String,
        /// Extensions without the dot.
        extensions: &'static [&'static str],
    },
    /// A folder.
    Folder,
}

/// A question: what for, of which kind, beginning where.
#[derive(Clone, Debug)]
pub struct Question<P> {
    /// What the answer is for; handed back with it.
    pub purpose: P,
    /// Title of the dialog.
    pub title: String,
    /// What is asked for.
    pub kind: Kind,
    /// Folder to begin in.
    pub folder: Option<PathBuf>,
}

enum Open<P> {
    Desktop {
        question: Question<P>,
        since: Instant,
        answer: Receiver<Option<PathBuf>>,
    },
    Inside {
        question: Question<P>,
        dialog: Box<InsideDialog>,
    },
    /// The place chosen is in use: shall it be replaced?
    Replace {
        question: Question<P>,
        place: PathBuf,
    },
}

/// The one dialog that may be open.
pub struct Dialogs<P> {
    open: Option<Open<P>>,
    always_inside: bool,
}

impl<P: Clone> Dialogs<P> {
    /// No dialog open. `WASHBOARD_DIALOGS=inside` and a desktop without a message bus mean dialogs inside the window.
    pub fn new() -> Self {
        let is_wished = std::env::var_os("WASHBOARD_DIALOGS").is_some_and(|v| v == "inside");
        let has_no_bus = cfg!(target_os = "linux") && std::env::var_os("DBUS_SESSION_BUS_ADDRESS").is_none();
        Dialogs { open: None, always_inside: is_wished || has_no_bus }
    }

    /// True while a dialog waits for an answer.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Opens a dialog in place of any other; `wake_window` is called when the desktop has answered.
    pub fn ask(&mut self, question: Question<P>, wake_window: impl FnOnce() + Send + 'static) {
        if self.always_inside {
            self.open = Some(inside(question));
            return;
        }
        let (sender, answer) = channel();
        let asked = question.clone_without_purpose();
        let spawned = std::thread::Builder::new().name("dialog".to_owned()).spawn(move || {
            // The window may have gone meanwhile; then nobody wants the answer.
            let _ = sender.send(desktop(&asked));
            wake_window();
        });
        self.open = Some(match spawned {
            Ok(_) => Open::Desktop { question, since: Instant::now(), answer },
            Err(_) => inside(question),
        });
    }

    /// Draws the inside dialog and hands over an answer once: the purpose and the place, absent when cancelled.
    pub fn poll(&mut self, ctx: &egui::Context) -> Option<(P, Option<PathBuf>)> {
        match self.open.take()? {
            Open::Desktop { question, since, answer } => match answer.try_recv() {
                Ok(None) if since.elapsed() < FASTER_THAN_A_HAND => {
                    tracing::info!("the desktop shows no file dialog; using the one inside the window");
                    self.always_inside = true;
                    self.open = Some(inside(question));
                    ctx.request_repaint();
                    None
                }
                Ok(None) => Some((question.purpose, None)),
                Ok(Some(place)) => {
                    // The desktop's dialog has asked about replacing the very name that was chosen.
                    let whole = question.kind.completed(place.clone());
                    if whole == place { Some((question.purpose, Some(whole))) } else { self.settle(question, whole) }
                }
                Err(TryRecvError::Empty) => {
                    self.open = Some(Open::Desktop { question, since, answer });
                    None
                }
                Err(TryRecvError::Disconnected) => Some((question.purpose, None)),
            },
            Open::Inside { question, mut dialog } => match dialog.show(ctx).state() {
                State::Open => {
                    self.open = Some(Open::Inside { question, dialog });
                    None
                }
                State::Selected => match dialog.path().map(Path::to_owned) {
                    Some(place) => {
                        let place = question.kind.completed(place);
                        self.settle(question, place)
                    }
                    None => Some((question.purpose, None)),
                },
                State::Closed | State::Cancelled => Some((question.purpose, None)),
            },
            Open::Replace { question, place } => match ask_to_replace(ctx, &place) {
                None => {
                    self.open = Some(Open::Replace { question, place });
                    None
                }
                Some(true) => Some((question.purpose, Some(place))),
                Some(false) => {
                    self.open = Some(inside(question));
                    None
                }
            },
        }
    }

    /// Hands a place over, unless something would be written over: then that is asked first.
    fn settle(&mut self, question: Question<P>, place: PathBuf) -> Option<(P, Option<PathBuf>)> {
        if matches!(question.kind, Kind::Save { .. }) && place.exists() {
            self.open = Some(Open::Replace { question, place });
            return None;
        }
        Some((question.purpose, Some(place)))
    }
}

impl Kind {
    /// The place with an extension, where one is wanted and none of those was given.
    fn completed(&self, place: PathBuf) -> PathBuf {
        let Kind::Save { extensions, .. } = self else { return place };
        let Some(first) = extensions.first() else { return place };
        if has_extension(&place, extensions) {
            return place;
        }
        let mut name = place.into_os_string();
        name.push(".");
        name.push(first);
        PathBuf::from(name)
    }
}

fn has_extension(path: &Path, extensions: &[&str]) -> bool {
    path.extension().is_some_and(|e| extensions.iter().any(|x| e.eq_ignore_ascii_case(x)))
}

/// Asks whether a file shall be replaced; absent until there is an answer.
fn ask_to_replace(ctx: &egui::Context, place: &Path) -> Option<bool> {
    let shown = egui::Modal::new(egui::Id::unique("replace")).show(ctx, |ui| {
        ui.set_width(420.0);
        ui.strong("There is a file of that name");
        ui.add_space(6.0);
        ui.label(format!("{} would be replaced.", place.display()));
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            let replaces = ui.button("Replace it").clicked();
            let goes_back = ui.button("Choose another name").clicked();
            if replaces {
                Some(true)
            } else if goes_back {
                Some(false)
            } else {
                None
            }
        })
        .inner
    });
    if shown.should_close() { Some(false) } else { shown.inner }
}

impl<P> Question<P> {
    fn clone_without_purpose(&self) -> Question<()> {
        Question { purpose: (), title: self.title.clone(), kind: self.kind.clone(), folder: self.folder.clone() }
    }
}

fn desktop(question: &Question<()>) -> Option<PathBuf> {
    let mut dialog = rfd::FileDialog::new().set_title(&question.title);
    if let Some(folder) = &question.folder {
        dialog = dialog.set_directory(folder);
    }
    match &question.kind {
        Kind::Open { extensions } => dialog.add_filter(extensions.join(", "), extensions).pick_file(),
        Kind::Save { name, extensions } => {
            dialog.add_filter(extensions.join(", "), extensions).set_file_name(name).save_file()
        }
        Kind::Folder => dialog.pick_folder(),
    }
}

fn inside<P>(question: Question<P>) -> Open<P> {
    let folder = question.folder.clone().or_else(|| std::env::current_dir().ok()).unwrap_or_else(|| PathBuf::from("."));
    let of_extension = |extensions: &'static [&'static str]| {
        Box::new(move |path: &Path| path.is_dir() || has_extension(path, extensions))
    };
    let dialog = match question.kind.clone() {
        Kind::Open { extensions } => InsideDialog::open_file().show_files_filter(of_extension(extensions)),
        Kind::Save { name, extensions } => {
            InsideDialog::save_file().default_filename(name).show_files_filter(of_extension(extensions))
        }
        Kind::Folder => InsideDialog::select_folder(),
    };
    let take = if question.kind == Kind::Folder { "Choose this folder" } else { "Open" };
    let mut dialog = Box::new(
        dialog
            .title(&question.title)
            .initial_path(folder)
            .keep_on_top(true)
            .anchor(egui::Align2::CENTER_CENTER, egui::Vec2::ZERO)
            .open_button_text(take.into())
            .new_folder_button_text("New folder".into())
            .parent_folder_button_hover_text("Folder above".into())
            .show_hidden_checkbox_text("Show hidden".into()),
    );
    dialog.open();
    Open::Inside { question, dialog }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn save(name: &str) -> Question<()> {
        let kind = Kind::Save { name: name.to_owned(), extensions: &["ron", "json"] };
        Question { purpose: (), title: "Save".to_owned(), kind, folder: None }
    }

    #[test]
    fn a_name_gets_an_extension_that_can_be_read_back() {
        let kind = save("a").kind;
        assert_eq!(kind.completed(PathBuf::from("/a/v1.2")), PathBuf::from("/a/v1.2.ron"));
        assert_eq!(kind.completed(PathBuf::from("/a/b.JSON")), PathBuf::from("/a/b.JSON"));
        assert_eq!(Kind::Folder.completed(PathBuf::from("/a/b")), PathBuf::from("/a/b"));
    }

    #[test]
    fn nothing_is_written_over_unasked() {
        let dir = tempfile::tempdir().unwrap();
        let (free, used) = (dir.path().join("free.ron"), dir.path().join("used.ron"));
        std::fs::write(&used, "").unwrap();
        let mut dialogs = Dialogs { open: None, always_inside: true };
        assert_eq!(dialogs.settle(save("a"), free.clone()), Some(((), Some(free))));
        assert_eq!(dialogs.settle(save("a"), used.clone()), None);
        assert!(matches!(&dialogs.open, Some(Open::Replace { place, .. }) if *place == used));
        // An existing file may be opened, of course.
        let open = Question { kind: Kind::Open { extensions: &["ron"] }, ..save("a") };
        assert_eq!(dialogs.settle(open, used.clone()), Some(((), Some(used))));
    }
}
