//! What the loggers' files of runs say beside what was predicted for them, worked out one at a time in the background.

use super::computed::Computed;
use crate::{profiles, records};
use anyhow::{Context, Result};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use washboard_metrics::MetricId;
use washboard_session::{Run, Session};
use washboard_study::{ChannelFigures, Model, Progress, Study, log_figures};
use washboard_ui::{MeasuredFigure, MeasuredView};

/// What the result of a run depends on. A file that is written anew under its name is not noticed.
#[derive(Clone, Debug, PartialEq)]
struct Key {
    folder: Option<PathBuf>,
    log_file: String,
    set: String,
    mode: String,
    event: String,
    load_case: String,
}

impl Key {
    fn of(run: &Run, folder: Option<&Path>) -> Option<Key> {
        (!run.log_file.is_empty()).then(|| Key {
            folder: folder.map(Path::to_owned),
            log_file: run.log_file.clone(),
            set: run.set_identity.clone(),
            mode: run.mode.clone(),
            event: run.event.clone(),
            load_case: run.load_case.clone(),
        })
    }
}

/// The runs' figures.
#[derive(Default)]
pub struct Measuring {
    known: Vec<(Key, Result<MeasuredView, String>)>,
    now: Computed<Key, MeasuredView>,
    shown: Vec<Option<Result<MeasuredView, String>>>,
    /// The runs that `shown` is of.
    keys: Vec<Option<Key>>,
    /// How much of the file is read, in hundredths.
    percent: Arc<AtomicU32>,
    /// Files outside the session's folder that somebody chose to have read.
    allowed: Vec<PathBuf>,
}

impl Measuring {
    /// One entry a run, in the order of the logbook; absent where nothing is known yet.
    pub fn view(&self) -> &[Option<Result<MeasuredView, String>>] {
        &self.shown
    }

    /// The run whose file is being read, and how much of it is, in hundredths.
    pub fn reading(&self) -> Option<(usize, u32)> {
        let key = self.now.running()?;
        let run = self.keys.iter().position(|one| one.as_ref() == Some(key))?;
        Some((run, self.percent.load(Ordering::Relaxed)))
    }

    /// True while a run is worked out.
    pub fn is_running(&self) -> bool {
        self.now.progress().is_some()
    }

    /// Sees to it that every run with a log file has its figures, one after the other.
    pub fn ask(&mut self, session: &Arc<Session>, folder: Option<&Path>, waker: impl FnOnce() + Send + 'static) {
        self.keys = session.logbook.iter().map(|run| Key::of(run, folder)).collect();
        self.show();
        // A run whose file or set is another one now, or that is gone, is not waited for.
        let is_wanted = |key: &Key| self.keys.iter().flatten().any(|wanted| wanted == key);
        if self.now.running().is_some_and(|key| !is_wanted(key)) {
            self.now.forget();
        }
        if self.is_running() {
            return;
        }
        let is_new = |key: &Key| self.known.iter().all(|(known, _)| known != key);
        let next = self.keys.iter().enumerate().find_map(|(run, key)| Some((run, key.clone().filter(is_new)?)));
        let Some((run, key)) = next else { return };
        let (session, folder, allowed) = (Arc::clone(session), folder.map(Path::to_owned), self.allowed.clone());
        let percent = Arc::new(AtomicU32::new(0));
        self.percent = Arc::clone(&percent);
        self.now.ask(&key, "measured beside predicted", waker, move |progress| {
            let mut watch = |done: u64, all: u64| {
                percent.store((100 * done / all.max(1)) as u32, Ordering::Relaxed);
                Ok(progress.check()?)
            };
            measured(&session, folder.as_deref(), run, &allowed, &mut watch, progress)
        });
    }

    /// A file that somebody chose may be read wherever it lies.
    pub fn allow(&mut self, path: &Path) {
        self.allowed.extend(path.canonicalize());
        // Those that could not be read are tried again.
        self.known.retain(|(_, result)| result.is_ok());
    }

    /// Takes in what is ready; one line for the journal.
    pub fn collect(&mut self) -> Option<String> {
        if !self.now.collect() {
            return None;
        }
        let (key, result) = self.now.take()?;
        let said = match &result {
            Ok(view) => format!("measured {} figures of {}", view.figures.len(), key.log_file),
            Err(sentence) => format!("measured nothing: {sentence}"),
        };
        self.known.push((key, result));
        self.show();
        Some(said)
    }

    fn show(&mut self) {
        let of = |key: &Option<Key>| {
            let key = key.as_ref()?;
            self.known.iter().find(|(known, _)| known == key).map(|(_, result)| result.clone())
        };
        self.shown = self.keys.iter().map(of).collect();
    }
}

/// A metric with the channel that measures it.
struct Place {
    metric: MetricId,
    stem: &'static str,
    measures: fn(&ChannelFigures) -> Option<f64>,
}

impl Place {
    /// True for a channel of this name: the stem and a unit.
    fn is_measured_by(&self, name: &str) -> bool {
        name.strip_prefix(self.stem).is_some_and(|rest| rest.starts_with('_'))
    }
}

/// Accelerations are what every logger has; the first that is there counts.
const PLACES: [Place; 2] = [
    Place {
        metric: MetricId::WEIGHTED_ACCELERATION,
        stem: "seat_z",
        measures: |channel| channel.weighted.as_ref().map(|weighted| weighted.rms),
    },
    Place { metric: MetricId::BODY_ACCELERATION_RMS, stem: "body_z", measures: |channel| Some(channel.rms) },
];

/// The figures of a run's log, with those predicted for its set, mode, event and load case.
fn measured(
    session: &Session,
    folder: Option<&Path>,
    run: usize,
    allowed: &[PathBuf],
    watch: &mut records::Watch<'_>,
    progress: &Progress,
) -> Result<MeasuredView> {
    let run = session.logbook.get(run).context("the run is gone")?;
    let path = place_of(&run.log_file, folder, allowed)?;
    // Only what is shown is kept: a logger may write a hundred channels more.
    let wanted: Vec<String> = records::columns(&path)?
        .into_iter()
        .filter(|name| PLACES.iter().any(|place| place.is_measured_by(name)))
        .collect();
    if wanted.is_empty() {
        return Ok(MeasuredView::default());
    }
    let log = records::read(&path, &wanted, watch)?;
    let record = log_figures(&log, None, progress)?;
    let (predicted, note) = match predicted(session, folder, run, progress) {
        Ok(card) => (Some(card), String::new()),
        Err(fault) => (None, format!("no prediction: {fault:#}")),
    };
    progress.check()?;
    let mut figures = Vec::new();
    for place in PLACES {
        let is_it = |channel: &&ChannelFigures| channel.unit == "m_per_s2" && place.is_measured_by(&channel.name);
        let Some(channel) = record.channels.iter().find(is_it) else { continue };
        let Some(measured) = (place.measures)(channel) else { continue };
        let predicted = predicted.as_ref().and_then(|card| card.mean(place.metric));
        figures.push(MeasuredFigure { metric: place.metric, channel: channel.name.clone(), measured, predicted });
    }
    Ok(MeasuredView { figures, note })
}

/// Where the log file of a run lies, whole.
pub fn path_of(log_file: &str, folder: Option<&Path>) -> PathBuf {
    let file = Path::new(log_file);
    if file.is_absolute() { file.to_owned() } else { folder.unwrap_or(Path::new(".")).join(file) }
}

/// The same of a file that may be read unasked: a session from elsewhere must not have any file of this machine read.
fn place_of(log_file: &str, folder: Option<&Path>, allowed: &[PathBuf]) -> Result<PathBuf> {
    let path = path_of(log_file, folder);
    let real = path.canonicalize().with_context(|| format!("{} cannot be read", path.display()))?;
    let is_inside = folder.and_then(|folder| folder.canonicalize().ok()).is_some_and(|folder| real.starts_with(folder));
    anyhow::ensure!(
        is_inside || allowed.contains(&real),
        "{} lies outside the session's folder and is read when you say so",
        path.display()
    );
    Ok(real)
}

/// The scorecard that the set of a run was to have in its event.
fn predicted(
    session: &Session,
    folder: Option<&Path>,
    run: &Run,
    progress: &Progress,
) -> Result<washboard_metrics::Scorecard> {
    let set = session.set_of(&run.set_identity).context("the run names no set handed over from this session")?;
    let mut past = session.as_it_was(set).context("the set is gone")?.session.without_history();
    // Only what was driven: a profile that is not there must not stand in the way of another event.
    past.events.retain(|event| event.name == run.event);
    past.modes.retain(|mode| mode.name == run.mode);
    past.fences.clear();
    past.reference_mode = None;
    anyhow::ensure!(!past.events.is_empty(), "the event {:?} was not in the session then", run.event);
    anyhow::ensure!(!past.modes.is_empty(), "the mode {:?} was not in the set", run.mode);
    let profiles = profiles::read_all(&past, folder)?;
    let study = Study::new(&past, &profiles)?;
    let load_case = if run.load_case.is_empty() { "as described" } else { run.load_case.as_str() };
    let selection = study.selection(Model::Full, &[], &[], &[load_case])?;
    let evaluation = study.evaluate(&selection, progress)?;
    let only = evaluation.runs.into_iter().next().context("nothing was computed")?;
    Ok(only.card)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;
    use std::time::{Duration, Instant};
    use washboard_session::Edit;

    /// A row of samples of one sine at 8 Hz, where the weighting Wk is near one.
    fn log(channel: &str, amplitude: f64) -> String {
        let row = |i: u32| {
            let t = f64::from(i) * 0.002;
            format!("{t:.3},{:.6}\n", amplitude * (std::f64::consts::TAU * 8.0 * t).sin())
        };
        format!("time_s,{channel}\n{}", (0..5000).map(row).collect::<String>())
    }

    #[test]
    fn a_file_outside_the_sessions_folder_is_read_only_when_it_was_chosen() {
        let dir = tempfile::tempdir().unwrap();
        let home = dir.path().join("sessions");
        std::fs::create_dir(&home).unwrap();
        let (inside, outside) = (home.join("run.csv"), dir.path().join("away.csv"));
        for file in [&inside, &outside] {
            std::fs::write(file, log("body_z_m_per_s2", 1.0)).unwrap();
        }
        let place = |file: &str, allowed: &[PathBuf]| place_of(file, Some(&home), allowed);
        assert!(place("run.csv", &[]).is_ok() && place(inside.to_str().unwrap(), &[]).is_ok());
        let ways = ["../away.csv", outside.to_str().unwrap(), "../sessions/../away.csv"];
        for way in ways {
            let sentence = place(way, &[]).unwrap_err().to_string();
            assert!(sentence.contains("outside"), "{way}: {sentence}");
            assert!(place(way, &[outside.canonicalize().unwrap()]).is_ok(), "{way}");
        }
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(&outside, home.join("link.csv")).unwrap();
            assert!(place("link.csv", &[]).is_err());
        }
    }

    #[test]
    fn a_run_with_a_log_stands_beside_what_was_predicted_for_its_set() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("run.csv"), log("body_z_m_per_s2", 2.0)).unwrap();
        let mut work = Work::demo().unwrap();
        let session = work.snapshot();
        let note = session.note_of_set("ab".repeat(32), "t".into(), String::new(), String::new(), &[1]);
        work.record_hand_over(note).unwrap();
        let run = |log_file: &str, set_identity: String| Run {
            time: "2026-11-25 10:00".into(),
            set_identity,
            mode: session.modes[1].name.clone(),
            event: session.events[0].name.clone(),
            log_file: log_file.into(),
            ..Run::default()
        };
        for run in [run("run.csv", "ab".repeat(32)), run("run.csv", String::new()), run("none.csv", String::new())] {
            work.edit(&Edit::AddRun(Box::new(run))).unwrap();
        }
        let mut measuring = Measuring::default();
        let until = Instant::now() + Duration::from_secs(240);
        loop {
            assert!(Instant::now() < until, "no figures");
            measuring.ask(&work.snapshot(), Some(dir.path()), || {});
            measuring.collect();
            if measuring.view().iter().all(Option::is_some) && !measuring.is_running() {
                break;
            }
            std::thread::sleep(Duration::from_millis(3));
        }
        let [Some(Ok(known)), Some(Ok(without)), Some(Err(missing))] = measuring.view() else {
            panic!("{:?}", measuring.view())
        };
        let figure = &known.figures[0];
        assert_eq!((figure.metric, figure.channel.as_str()), (MetricId::BODY_ACCELERATION_RMS, "body_z_m_per_s2"));
        // A sine's r.m.s. value is its amplitude over the root of two.
        assert!((figure.measured - 2.0 / 2f64.sqrt()).abs() < 1e-3, "{figure:?}");
        // The prediction is the study's own for that mode and event.
        let study = Study::new(&session, &profiles::read_all(&session, None).unwrap()).unwrap();
        let (mode, event) = (session.modes[1].name.as_str(), session.events[0].name.as_str());
        let selection = study.selection(Model::Full, &[mode], &[event], &["as described"]).unwrap();
        let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
        assert_eq!(figure.predicted, evaluation.runs[0].card.mean(MetricId::BODY_ACCELERATION_RMS));
        assert!(without.figures[0].predicted.is_none() && without.note.contains("names no set"), "{without:?}");
        assert!(missing.contains("none.csv"), "{missing}");
    }
}
