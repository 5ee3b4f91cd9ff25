//! Handing a set over to the car: what would go out with its checks, what was computed for them, and the writing itself,
//! all on threads of their own.

use super::computed::Computed;
use super::errand::{Errand, Step};
use super::proposing::Proposing;
use crate::in_the_car::{Beside, beside};
use crate::{evidence, profiles, set_info, sink};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use washboard_handover::{
    CNumbers, CarSet, Evidence, ExportOptions, Layout, Origin, PreCheck, Proposal, Wish, export_with, gate, identity,
    quantise, verify,
};
use washboard_metrics::MetricId;
use washboard_session::{Format, HandedOver, Session};
use washboard_study::{Model, Progress};
use washboard_ui::{HandOverResult, HandOverView, Held, HeldFigure, LayoutView};

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
    /// C files, where they are wanted.
    pub c: Option<CNumbers>,
    /// Status, who answers for it, waivers.
    pub wish: Wish,
}

/// What is looked at before: the session, its place, the modes and what they are meant to be.
#[derive(Clone)]
pub struct Ground {
    /// The session as it is.
    pub session: Arc<Session>,
    /// Its revision.
    pub revision: u64,
    /// Folder of its file, where its profiles lie.
    pub folder: Option<PathBuf>,
    /// Indices of the modes that go out.
    pub modes: Vec<usize>,
    /// What the set is meant to be.
    pub wish: Wish,
    /// What a layout shall be proposed after.
    pub proposal: Option<Proposal>,
    /// True while somebody looks: then what takes longer is computed too.
    pub is_shown: bool,
}

/// What computed figures depend on: titles, runs, sets and names of people are no part of it.
#[derive(Clone, PartialEq)]
struct Basis {
    session: Arc<Session>,
    folder: Option<PathBuf>,
    modes: Vec<usize>,
}

/// What the checks depend on.
#[derive(Clone, PartialEq)]
struct Look {
    revision: u64,
    modes: Vec<usize>,
    wish: Wish,
    layout: u64,
    evidence: u64,
}

struct Preview {
    identity: String,
    checks: Vec<PreCheck>,
    obstacles: Vec<String>,
    held: Option<Result<Held, String>>,
    /// With what was computed of the modes.
    is_complete: bool,
}

/// A layout document that was chosen.
#[derive(Clone)]
struct Chosen {
    file: String,
    layout: Arc<Layout>,
}

/// The hand-over as the window shows it.
#[derive(Default)]
pub struct HandingOver {
    view: HandOverView,
    folder: Option<PathBuf>,
    basis: Option<(u64, Basis)>,
    evidence: Computed<Basis, Arc<Evidence>>,
    /// Counts the results of `evidence`.
    evidence_count: u64,
    figures: Computed<(u64, Basis), Vec<HeldFigure>>,
    looking: Computed<Look, Preview>,
    chosen: Option<Chosen>,
    /// Counts the layouts chosen.
    layout_count: u64,
    choosing: Option<Errand<Result<Chosen, String>>>,
    proposing: Proposing,
    sending: Option<Errand<Result<HandedOver, String>>>,
    news: Vec<String>,
}

impl Chosen {
    fn read(path: &Path) -> Result<Chosen, String> {
        let file = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        match Layout::load(path) {
            Ok(layout) => Ok(Chosen { file, layout: Arc::new(layout) }),
            Err(fault) => Err(fault.to_string()),
        }
    }
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

    /// The layout chosen.
    pub fn layout(&self) -> Option<&Layout> {
        self.chosen.as_ref().map(|chosen| &*chosen.layout)
    }

    /// How the last hand-over went is no longer what matters.
    pub fn forget_result(&mut self) {
        self.view.last_result = None;
    }

    /// Forgets what was found out of a session that is no longer shown; folder and layout stay.
    pub fn look_again(&mut self) {
        self.looking.forget();
        self.evidence.forget();
        self.figures.forget();
        self.proposing.forget();
        self.basis = None;
        self.view.last_result = None;
    }

    /// Answers a wish that is not granted.
    pub fn refuse(&mut self, sentence: &str) {
        self.view.last_result = Some(HandOverResult::Failed(sentence.to_owned()));
    }

    /// What scripts that drive the window want to know, since the last call.
    pub fn take_news(&mut self) -> Vec<String> {
        std::mem::take(&mut self.news)
    }

    /// Reads a layout document away from the window.
    pub fn choose_layout(&mut self, path: PathBuf, wake_window: impl FnOnce() + Send + 'static) {
        self.begin_choosing(wake_window, move || Chosen::read(&path));
    }

    /// Writes the layout proposed to a file and takes it from there.
    pub fn save_proposed(&mut self, path: PathBuf, wake_window: impl FnOnce() + Send + 'static) {
        let Some(layout) = self.proposing.layout() else {
            return self.refuse("The layout was not saved: it is still being worked out; try again.");
        };
        self.begin_choosing(wake_window, move || {
            let text = layout.text(Format::of(&path).unwrap_or(Format::Ron)).map_err(|fault| fault.to_string())?;
            sink::write_file(&path, text.as_bytes()).map_err(|fault| format!("{fault:#}."))?;
            Chosen::read(&path)
        });
    }

    fn begin_choosing(
        &mut self,
        wake_window: impl FnOnce() + Send + 'static,
        choose: impl FnOnce() -> Result<Chosen, String> + Send + 'static,
    ) {
        match Errand::send("layout", wake_window, choose) {
            Ok(errand) => self.choosing = Some(errand),
            Err(fault) => self.refuse(&format!("The layout was not read: {fault}.")),
        }
    }

    /// No layout any more: no image goes out.
    pub fn leave_layout(&mut self) {
        self.chosen = None;
        self.layout_count += 1;
        self.figures.forget();
        self.view.layout = None;
    }

    /// Finds out identity and checks of what would go out, when that has changed, and while somebody looks also what takes
    /// computation.
    pub fn look_at(&mut self, ground: &Ground, waker: impl Fn() + Send + Clone + 'static) {
        if ground.is_shown {
            self.compute(ground, &waker);
        }
        // What was found for another state is not looked at.
        let evidence = self.evidence.fresh().filter(|_| ground.is_shown).and_then(|found| found.as_ref().ok()).cloned();
        let key = Look {
            revision: ground.revision,
            modes: ground.modes.clone(),
            wish: ground.wish.clone(),
            layout: self.layout_count,
            evidence: if evidence.is_some() { self.evidence_count } else { 0 },
        };
        let (session, modes, wish) = (Arc::clone(&ground.session), ground.modes.clone(), ground.wish.clone());
        let layout = self.chosen.as_ref().map(|chosen| Arc::clone(&chosen.layout));
        self.proposing.ask(ground, waker.clone());
        self.looking.ask(&key, "hand-over checks", waker, move |_| {
            Ok(look(&session, &modes, layout.as_deref(), evidence.as_deref(), &wish))
        });
        self.show();
    }

    /// Sees to it that what takes computation is there, or on its way.
    fn compute(&mut self, ground: &Ground, waker: &(impl Fn() + Send + Clone + 'static)) {
        let is_known = |(revision, basis): &(u64, Basis)| {
            *revision == ground.revision && basis.modes == ground.modes && basis.folder == ground.folder
        };
        if !self.basis.as_ref().is_some_and(is_known) {
            self.basis = Some((ground.revision, Basis::of(ground)));
        }
        let Some((_, basis)) = &self.basis else { return };
        let (session, folder, modes) = (Arc::clone(&ground.session), ground.folder.clone(), ground.modes.clone());
        self.evidence.ask(basis, "hand-over evidence", waker.clone(), move |progress| {
            let profiles = profiles::read_all(&session, folder.as_deref())?;
            evidence::gather(&session, &profiles, &modes, progress).map(Arc::new)
        });
        let Some(chosen) = &self.chosen else { return };
        let layout = Arc::clone(&chosen.layout);
        let (session, folder, modes) = (Arc::clone(&ground.session), ground.folder.clone(), ground.modes.clone());
        let key = (self.layout_count, basis.clone());
        self.figures.ask(&key, "figures in the car", waker.clone(), move |progress| {
            held_figures(&session, folder.as_deref(), &modes, &layout, progress)
        });
    }

    /// Puts into the view what is known now.
    fn show(&mut self) {
        let fault = self.evidence.fresh().and_then(|found| found.as_ref().err().cloned());
        self.view.computing = if fault.is_some() || self.evidence.is_fresh() { None } else { self.evidence.progress() };
        self.view.fault = fault;
        self.view.is_fresh = self.looking.is_fresh();
        (self.view.proposed, self.view.proposed_is_fresh) = self.proposing.view();
        let Some(chosen) = &self.chosen else { return };
        let held = match self.looking.newest() {
            Some(Ok(preview)) => preview.held.clone(),
            _ => None,
        };
        self.view.layout = Some(LayoutView {
            file: chosen.file.clone(),
            name: chosen.layout.name.clone(),
            held,
            figures: self.figures.newest().cloned(),
            figures_are_fresh: self.figures.is_fresh(),
        });
    }

    /// Begins to write a set.
    pub fn send(&mut self, order: Order, wake_window: impl FnOnce() + Send + 'static) {
        if self.sending.is_some() {
            return self.refuse("A set is being written; wait for it.");
        }
        let Some(folder) = self.folder.clone() else {
            return self.refuse("Choose a folder first.");
        };
        let evidence = match self.evidence.fresh() {
            Some(Ok(evidence)) => Evidence::clone(evidence),
            _ => Evidence::default(),
        };
        let layout = self.layout().cloned();
        let options = ExportOptions { layout, c: order.c, wish: order.wish.clone(), evidence };
        match Errand::send("hand-over", wake_window, move || write(&order, &options, &folder)) {
            Ok(errand) => self.sending = Some(errand),
            Err(fault) => self.refuse(&format!("No set was written: {fault}.")),
        }
    }

    /// True while a set is being written, or what its checks need is computed.
    pub fn is_busy(&self) -> bool {
        self.sending.is_some() || self.evidence.progress().is_some() || self.figures.progress().is_some()
    }

    /// Takes in what is ready; a set that was written, or why not, comes back once.
    pub fn collect(&mut self) -> Option<Result<HandedOver, String>> {
        if self.evidence.collect() {
            self.evidence_count += 1;
        }
        if self.proposing.collect() {
            self.news.push("layout proposed".to_owned());
        }
        if self.figures.collect() {
            self.news.push("figures in the car".to_owned());
        }
        if self.looking.collect()
            && let Some(Ok(preview)) = self.looking.newest()
        {
            self.view.identity.clone_from(&preview.identity);
            self.view.checks.clone_from(&preview.checks);
            self.view.obstacles.clone_from(&preview.obstacles);
            let open = preview.checks.iter().filter(|check| !check.is_settled()).count();
            let state = if preview.is_complete { "complete" } else { "without computation" };
            self.news.push(format!("checks {state}, {open} open, {} in the way", preview.obstacles.len()));
        }
        match self.choosing.take().map(Errand::step) {
            Some(Step::Out(errand)) => self.choosing = Some(errand),
            Some(Step::Back(Ok(chosen))) => {
                self.news.push(format!("layout {}", chosen.layout.name));
                self.chosen = Some(chosen);
                self.layout_count += 1;
                self.figures.forget();
            }
            Some(Step::Back(Err(sentence))) => self.refuse(&format!("The layout was not taken: {sentence}")),
            Some(Step::Lost) => self.refuse("The layout was not taken: a fault inside the program."),
            None => {}
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
            Ok(record) => HandOverResult::Done {
                identity: record.identity.clone(),
                folder: record.folder.clone(),
                status: record.status,
            },
            Err(sentence) => HandOverResult::Failed(sentence.clone()),
        });
        Some(result)
    }
}

impl Basis {
    fn of(ground: &Ground) -> Basis {
        let mut session = ground.session.without_history();
        session.title.clear();
        session.notes.clear();
        session.proposed.clear();
        session.release = None;
        Basis { session: Arc::new(session), folder: ground.folder.clone(), modes: ground.modes.clone() }
    }
}

fn look(
    session: &Session,
    modes: &[usize],
    layout: Option<&Layout>,
    evidence: Option<&Evidence>,
    wish: &Wish,
) -> Preview {
    let none = Evidence::default();
    let gate = gate(session, modes, layout, evidence.unwrap_or(&none), wish);
    let set = CarSet::from_session(session, modes).ok();
    let held = layout.zip(set.as_ref()).map(|(layout, set)| match quantise(set, layout) {
        Ok(quantised) => Ok(Held { errors: quantised.errors, left_out: quantised.left_out }),
        Err(fault) => Err(fault.to_string()),
    });
    let identity = set.as_ref().map(identity).unwrap_or_default();
    Preview { identity, checks: gate.checks, obstacles: gate.obstacles, held, is_complete: evidence.is_some() }
}

/// Figures of each mode and of what the control unit holds of it: weighted means over all events, the car as described.
fn held_figures(
    session: &Session,
    folder: Option<&Path>,
    modes: &[usize],
    layout: &Layout,
    progress: &Progress,
) -> anyhow::Result<Vec<HeldFigure>> {
    let profiles = profiles::read_all(session, folder)?;
    let quantised = quantise(&CarSet::from_session(session, modes)?, layout)?;
    let Beside { study, pairs, .. } = beside(session, &profiles, &quantised)?;
    let names: Vec<&str> = pairs.iter().flat_map(|(exact, held)| [exact.as_str(), held.as_str()]).collect();
    let selection = study.selection(Model::Full, &names, &[], &["as described"])?;
    let evaluation = study.evaluate(&selection, progress)?;
    let card = |name: &str| {
        let mode = study.mode(name).ok()?;
        evaluation.overall.iter().find(|overall| overall.mode == mode).map(|overall| &overall.card)
    };
    let mut figures = Vec::new();
    for (exact, held) in &pairs {
        let (Some(a), Some(b)) = (card(exact), card(held)) else { continue };
        for metric in MetricId::all() {
            if let (Some(exact_value), Some(held_value)) = (a.mean(metric), b.mean(metric)) {
                figures.push(HeldFigure { mode: exact.clone(), metric, exact: exact_value, held: held_value });
            }
        }
    }
    Ok(figures)
}

/// Writes the set into a new folder below `parent`, reads it back, and makes the record for the session.
fn write(order: &Order, options: &ExportOptions, parent: &Path) -> Result<HandedOver, String> {
    if parent.join("manifest.json").exists() {
        return Err(format!("{} is itself a set that was handed over: choose the folder above it.", parent.display()));
    }
    // From here a set counts as in the car: what may hurt somebody there is read first, for a draft too.
    if !order.wish.release.caution_acknowledged {
        return Err("The cautions must be read and acknowledged before a set leaves for a car.".to_owned());
    }
    let set = CarSet::from_session(&order.session, &order.modes).map_err(|fault| fault.to_string())?;
    let folder = parent.join(format!("set-{}", &identity(&set)[..DIGITS]));
    let origin = Origin::of(&order.session, &order.modes);
    let info = set_info::now(&order.note);
    let time = info.created.clone();
    let written =
        export_with(&order.session, &order.modes, &folder, &info, options).map_err(|fault| fault.to_string())?;
    let verdict = verify(&folder, Some(&order.session)).map_err(|fault| fault.to_string())?;
    if !verdict.equal {
        return Err(format!("{} does not read back as written: do not use it.", folder.display()));
    }
    let place = folder.display().to_string();
    let note = order.session.note_of_set(written.identity, time, order.note.clone(), place, &order.modes);
    Ok(HandedOver { parent: origin.parent, difference: origin.difference, status: options.wish.status, ..note })
}

#[cfg(test)]
mod tests;
