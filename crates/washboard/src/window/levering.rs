//! What cells of a map do, in the background: the newest wish wins, and what is known is shown as it grows.

use super::errand::{Errand, Step};
use super::ground::{Bedrock, Ground};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use washboard_study::{Cancelled, LeverRequest, Levers, Progress};
use washboard_ui::LeverView;

/// What was asked for.
#[derive(Clone, PartialEq)]
struct Wish {
    revision: u64,
    folder: Option<PathBuf>,
    request: LeverRequest,
}

/// A wish being computed.
struct Running {
    wish: Wish,
    progress: Arc<Progress>,
    /// What is known of it and not yet shown.
    grown: Arc<Mutex<Option<Levers>>>,
    errand: Errand<Result<Result<Levers, String>, Cancelled>>,
}

/// The levers of the cells.
#[derive(Default)]
pub struct Levering {
    bedrock: Arc<Mutex<Bedrock>>,
    running: Option<Running>,
    shown: Option<(Wish, Levers)>,
    fault: Option<(Wish, String)>,
    asked: Option<Wish>,
}

impl Levering {
    /// What the window shows of them.
    pub fn view(&self) -> LeverView<'_> {
        let Some(asked) = &self.asked else { return LeverView::default() };
        let fault = self.fault.as_ref().filter(|(wish, _)| wish == asked).map(|(_, sentence)| sentence.as_str());
        // What another metric or mode said means nothing here; what an earlier state said is shown as older.
        let is_alike = |wish: &Wish| {
            let (a, b) = (&wish.request.influence, &asked.request.influence);
            (a.metric, a.mode) == (b.metric, b.mode)
        };
        let shown = self.shown.as_ref().filter(|(wish, _)| is_alike(wish));
        LeverView {
            levers: shown.map(|(_, levers)| levers),
            is_fresh: fault.is_none() && shown.is_some_and(|(wish, levers)| wish == asked && levers.is_whole),
            fault,
        }
    }

    /// True while something is computed.
    pub fn is_running(&self) -> bool {
        self.running.is_some()
    }

    /// Sees to it that a wish is computed, or nothing where there is none. While the results on screen are being made
    /// (`is_busy`) nothing is begun, so that they never wait for this.
    pub fn ask(
        &mut self,
        ground: &Ground,
        request: Option<LeverRequest>,
        is_busy: bool,
        wake_window: impl Fn() + Clone + Send + 'static,
    ) {
        let wish = request.map(|request| Wish { revision: ground.revision, folder: ground.folder.clone(), request });
        self.asked.clone_from(&wish);
        if let Some(running) = &self.running {
            if Some(&running.wish) != wish.as_ref() {
                running.progress.cancel();
            }
            return;
        }
        let Some(wish) = wish else {
            self.shown = None;
            return;
        };
        let is_done = self.shown.as_ref().is_some_and(|(known, levers)| *known == wish && levers.is_whole)
            || self.fault.as_ref().is_some_and(|(known, _)| *known == wish);
        if is_done || is_busy {
            return;
        }
        let (progress, grown) = (Arc::new(Progress::giving_way()), Arc::new(Mutex::new(None)));
        let work = {
            let (bedrock, ground, request) = (Arc::clone(&self.bedrock), ground.clone(), wish.request.clone());
            let (progress, grown, wake) = (Arc::clone(&progress), Arc::clone(&grown), wake_window.clone());
            move || {
                // Half-done work leaves nothing half-done in it.
                let study = match bedrock.lock().unwrap_or_else(PoisonError::into_inner).study(&ground) {
                    Ok(study) => study,
                    Err(fault) => return Ok(Err(format!("{fault:#}"))),
                };
                let show = |levers: &Levers| {
                    *grown.lock().unwrap_or_else(PoisonError::into_inner) = Some(levers.clone());
                    wake();
                };
                Ok(Ok(study.levers(&request, &progress, show)?))
            }
        };
        if let Ok(errand) = Errand::send("levers", wake_window, work) {
            self.running = Some(Running { wish, progress, grown, errand });
        }
    }

    /// Takes in what is there; true where a search has come to its end.
    pub fn collect(&mut self) -> bool {
        let Some(Running { wish, progress, grown, errand }) = self.running.take() else { return false };
        if let Some(levers) = grown.lock().unwrap_or_else(PoisonError::into_inner).take()
            && !progress.is_cancelled()
        {
            self.shown = Some((wish.clone(), levers));
        }
        match errand.step() {
            Step::Out(errand) => {
                self.running = Some(Running { wish, progress, grown, errand });
                return false;
            }
            Step::Back(Ok(Ok(levers))) => {
                self.fault = None;
                self.shown = Some((wish, levers));
            }
            Step::Back(Ok(Err(sentence))) => self.fault = Some((wish, sentence)),
            Step::Back(Err(Cancelled)) => return false,
            Step::Lost => self.fault = Some((wish, "a fault inside the computation.".to_owned())),
        }
        true
    }

    /// Nothing of one session is shown of another.
    pub fn for_another_session(&mut self) {
        if let Some(running) = &self.running {
            running.progress.cancel();
        }
        *self = Levering::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;
    use std::time::{Duration, Instant};
    use washboard_session::{Complaints, Edit};
    use washboard_study::{BoardRequest, Model};
    use washboard_ui::{LeverForm, View, lever_wish};

    fn ground(work: &Work) -> Ground {
        Ground { session: work.snapshot(), revision: work.revision(), folder: None }
    }

    /// The crest alone, on the front quarter of the demo car.
    fn work() -> Work {
        let mut work = Work::demo().unwrap();
        work.edit(&Edit::SetFences(vec![])).unwrap();
        while let Some(other) = work.session().events.iter().position(|e| e.name != "crest") {
            work.edit(&Edit::DeleteEvent { event: other }).unwrap();
        }
        work
    }

    fn wish(work: &Work, said: Option<&str>) -> Option<LeverRequest> {
        let model = Model::QuarterFront;
        let board =
            BoardRequest { model, load_case: 0, event: 0, speed_km_h: 80.0, roughness_m_per_s2: 2.0, reference: 0 };
        let lever = LeverForm { said: said.map(str::to_owned), ..LeverForm::default() };
        let mut view = View::default();
        view.lever = lever;
        lever_wish(&view, work.session(), &Complaints::built_in(), &board)
    }

    /// Asks until it is fresh or there is a fault; counts how often more was shown.
    fn settle(levering: &mut Levering, work: &Work, request: Option<LeverRequest>) -> Vec<usize> {
        let until = Instant::now() + Duration::from_secs(120);
        let mut known = Vec::new();
        loop {
            assert!(Instant::now() < until, "no answer");
            levering.collect();
            levering.ask(&ground(work), request.clone(), false, || {});
            known.extend(levering.view().levers.map(|levers| levers.influence.known));
            known.dedup();
            if levering.view().is_fresh || levering.view().fault.is_some() {
                return known;
            }
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    #[test]
    fn levers_follow_the_session_and_go_with_the_wish() {
        let (mut work, mut levering) = (work(), Levering::default());
        let request = wish(&work, Some("Floats over the crest"));
        assert!(request.is_some() && wish(&work, None).is_none());
        // Nothing is begun while the board is being made.
        levering.ask(&ground(&work), request.clone(), true, || {});
        assert!(!levering.is_running() && levering.view().levers.is_none());
        settle(&mut levering, &work, request.clone());
        let best = levering.view().levers.unwrap().steps[0].clone();
        assert!(best.effect.after < best.effect.before);

        work.edit(&Edit::SetCells { mode: 0, map: best.map, cells: best.cells }).unwrap();
        levering.ask(&ground(&work), request.clone(), true, || {});
        assert!(levering.view().levers.is_some() && !levering.view().is_fresh, "the older one is greyed");
        settle(&mut levering, &work, request);
        let now = levering.view().levers.unwrap().influence.value.unwrap();
        assert!((now - best.effect.after).abs() < 1e-12, "the step did what it was said to do");

        levering.ask(&ground(&work), None, false, || {});
        assert!(levering.view().levers.is_none());
    }

    #[test]
    fn a_session_that_cannot_be_computed_says_why() {
        let mut session = (*work().snapshot()).clone();
        session.vehicle.wheelbase_m = -1.0;
        let work = Work::recovered(session, None);
        let mut levering = Levering::default();
        let request = wish(&work, Some("Floats over the crest"));
        settle(&mut levering, &work, request);
        assert!(levering.view().fault.is_some_and(|sentence| sentence.contains("wheelbase_m")));
    }
}
