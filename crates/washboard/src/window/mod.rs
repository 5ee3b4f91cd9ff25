//! The window: opens it, or says in one sentence why there is none.

mod about;
mod app;
mod computed;
mod dialogs;
mod dropped;
mod errand;
mod ground;
mod handing_over;
mod journal;
mod keeper;
mod levering;
mod look;
mod measuring;
mod pace;
mod pictures;
mod proposing;
mod reading;
mod recent;
mod results;
mod saying;
mod siding;
pub(crate) mod work;
mod worker;

use crate::verbs::Outcome;
use crate::{logfile, place};
use anyhow::{Context, Result, bail};
use app::App;
use std::path::Path;
use work::Work;

/// Opens the window on a session file, or on the demo.
pub fn open(path: Option<&Path>) -> Result<Outcome> {
    let work = match path {
        Some(path) => Work::from_file(path).with_context(|| hint(path))?,
        None => Work::demo()?,
    };
    logfile::start();
    let viewport = egui::ViewportBuilder::default()
        .with_app_id(place::APP_ID)
        .with_inner_size([1600.0, 1000.0])
        .with_min_inner_size([960.0, 600.0]);
    let options = eframe::NativeOptions { viewport, renderer: eframe::Renderer::Glow, ..Default::default() };
    let result = eframe::run_native("Washboard", options, Box::new(|cc| Ok(Box::new(App::new(cc, work)?))));
    match result {
        Ok(()) => Ok(Outcome::Done),
        Err(fault) => bail!("{}", without_window(&fault)),
    }
}

/// Why there is no window, and what works without one.
fn without_window(fault: &eframe::Error) -> String {
    const INSTEAD: &str =
        "without a display use a verb such as `washboard evaluate SESSION` (washboard --help shows every verb)";
    tracing::error!("no window: {fault}");
    match fault {
        eframe::Error::WinitEventLoop(_) | eframe::Error::Winit(_) => {
            format!("there is no display to open a window on; {INSTEAD}")
        }
        eframe::Error::Glutin(_) | eframe::Error::NoGlutinConfigs(..) | eframe::Error::OpenGL(_) => {
            format!("this display offers no OpenGL to draw a window with ({fault}); {INSTEAD}")
        }
        eframe::Error::AppCreation(reason) => format!("the window could not be set up: {reason}"),
    }
}

/// A word that is no file may be meant as a verb.
fn hint(path: &Path) -> String {
    if path.extension().is_none() && !path.exists() {
        format!("{path:?} is neither a session file nor a verb (washboard --help shows every verb)")
    } else {
        "the session cannot be opened".to_owned()
    }
}
