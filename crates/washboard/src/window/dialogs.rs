//! Asking for a file or folder without ever blocking the window: the desktop's own dialog on a thread, or one drawn
//! inside the window where the desktop offers none.

use egui_file::{FileDialog as InsideDialog, State};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// An answer faster than a hand can give means that the desktop has no dialog to show.
const FASTER_THAN_A_HAND: Duration = Duration::from_millis(300);

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
    Desktop { question: Question<P>, since: Instant, answer: Receiver<Option<PathBuf>> },
    Inside { purpose: P, dialog: Box<InsideDialog> },
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
                Ok(place) => Some((question.purpose, place)),
                Err(TryRecvError::Empty) => {
                    self.open = Some(Open::Desktop { question, since, answer });
                    None
                }
                Err(TryRecvError::Disconnected) => Some((question.purpose, None)),
            },
            Open::Inside { purpose, mut dialog } => match dialog.show(ctx).state() {
                State::Open => {
                    self.open = Some(Open::Inside { purpose, dialog });
                    None
                }
                State::Selected => {
                    let place = dialog.path().map(Path::to_owned);
                    Some((purpose, place))
                }
                State::Closed | State::Cancelled => Some((purpose, None)),
            },
        }
    }
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
    let folder = question.folder.or_else(|| std::env::current_dir().ok()).unwrap_or_else(|| PathBuf::from("."));
    let of_extension = |extensions: &'static [&'static str]| {
        Box::new(move |path: &Path| {
            path.is_dir() || path.extension().is_some_and(|e| extensions.iter().any(|x| e.eq_ignore_ascii_case(x)))
        })
    };
    let dialog = match question.kind {
        Kind::Open { extensions } => InsideDialog::open_file().show_files_filter(of_extension(extensions)),
        Kind::Save { name, extensions } => {
            InsideDialog::save_file().default_filename(name).show_files_filter(of_extension(extensions))
        }
        Kind::Folder => InsideDialog::select_folder(),
    };
    let mut dialog = Box::new(dialog.title(&question.title).initial_path(folder).keep_on_top(true));
    dialog.open();
    Open::Inside { purpose: question.purpose, dialog }
}
