//! How long the live computation takes on this machine: medians of repeated runs.

use crate::block::Engine;
use crate::{BoardRequest, Cancelled, Memory, Profiles, Progress, ResponseRequest, Selection, Study, StudyFault};
use crate::{VELOCITY_AMPLITUDE_M_PER_S, default_frequencies};
use std::time::Instant;

/// Repetitions behind a median, and the time after which fewer will do, s.
const REPETITIONS: usize = 15;
const ENOUGH_S: f64 = 3.0;

/// Medians, roads already drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Timing {
    /// Threads that compute.
    pub threads: usize,
    /// Runs side by side in one thread.
    pub lanes: usize,
    /// The same in single precision; 0 where these instructions have none.
    pub single_lanes: usize,
    /// Vector instructions, by name.
    pub instructions: &'static str,
    /// Runs of an evaluation: modes times events times load cases.
    pub runs: usize,
    /// Plant steps of all of them.
    pub run_steps: usize,
    /// Evaluation of all runs, ms.
    pub evaluate_ms: f64,
    /// The same as an answer at once has it, in single precision where that is enough, ms.
    pub evaluate_at_once_ms: f64,
    /// Responses of all modes, ms.
    pub response_ms: f64,
    /// Everything on screen anew after an edit of one mode but for intervals, ms.
    pub refresh_at_once_ms: f64,
    /// Everything on screen anew after an edit of one mode, ms.
    pub refresh_one_mode_ms: f64,
    /// Evaluation on one thread over the run-steps, ns.
    pub ns_per_run_step_one_thread: f64,
    /// The same as an answer at once has it, ns.
    pub ns_per_run_step_one_thread_at_once: f64,
}

impl Study {
    /// Measures an evaluation of the selection, the responses of its modes in its first load case, and a board after an edit
    /// of one mode.
    ///
    /// # Errors
    /// If threads cannot be started.
    pub fn timing(&self, selection: &Selection, profiles: &Profiles) -> Result<Timing, StudyFault> {
        let progress = Progress::new();
        let evaluate = || self.evaluate(selection, &progress).map(|_| ());
        let at_once = || self.evaluate_at_once(selection, &progress).map(|_| ());
        evaluate()?;
        let alone = rayon::ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .map_err(|e| StudyFault::Document(format!("No thread can be started: {e}")))?;
        let run_steps = self.run_steps(selection);
        let one_thread_ms = median_ms(|| alone.install(evaluate))?;
        let one_thread_at_once_ms = median_ms(|| alone.install(at_once))?;
        let Engine { instructions, lanes, single_lanes } = self.engine;
        let [refresh_at_once_ms, refresh_one_mode_ms] = self.time_refresh(selection, profiles, &progress)?;
        Ok(Timing {
            threads: rayon::current_num_threads(),
            lanes,
            single_lanes: single_lanes.unwrap_or(0),
            instructions: instructions.name(),
            runs: selection.modes.len() * selection.events.len() * selection.load_cases.len(),
            run_steps,
            evaluate_ms: median_ms(evaluate)?,
            evaluate_at_once_ms: median_ms(at_once)?,
            response_ms: median_ms(|| self.time_responses(selection, &progress))?,
            refresh_at_once_ms,
            refresh_one_mode_ms,
            ns_per_run_step_one_thread: one_thread_ms * 1e6 / run_steps.max(1) as f64,
            ns_per_run_step_one_thread_at_once: one_thread_at_once_ms * 1e6 / run_steps.max(1) as f64,
        })
    }

    /// Plant steps of all runs of a selection.
    pub fn run_steps(&self, selection: &Selection) -> usize {
        let guarded = self.guarded_clock(selection.model);
        let of_run = |mode: usize, event: usize| {
            let event = &self.courses[event].event;
            self.clock_for(&guarded, self.calibrations[mode].law, Some(event)).steps(event.duration_s) + 1
        };
        let a_load_case: usize = selection
            .modes
            .iter()
            .flat_map(|&mode| selection.events.iter().map(move |&event| of_run(mode, event)))
            .sum();
        a_load_case * selection.load_cases.len()
    }

    fn time_responses(&self, selection: &Selection, progress: &Progress) -> Result<(), Cancelled> {
        let modes: Vec<_> = selection.modes.iter().map(|&m| &self.calibrations[m]).collect();
        let load_case = selection.load_cases.first().copied().unwrap_or(0);
        self.responses_of(selection.model, &modes, load_case, &operating_point(), progress).map(|_| ())
    }

    /// Compiles the edited session and computes its board, as the window does: until the first answer, and until the last.
    fn time_refresh(
        &self,
        selection: &Selection,
        profiles: &Profiles,
        progress: &Progress,
    ) -> Result<[f64; 2], StudyFault> {
        let memory = Memory::default();
        let point = operating_point();
        let request = BoardRequest {
            model: selection.model,
            load_case: selection.load_cases.first().copied().unwrap_or(0),
            event: 0,
            speed_km_h: point.speed_km_h,
            roughness_m_per_s2: point.roughness_m_per_s2,
            reference: self.reference(),
        };
        let mut session = self.session().clone();
        // Not the first mode where there are others: its limits are those of the held dampers too.
        let edited = session.modes.len().saturating_sub(1);
        let (mut first_times, mut times) = (Vec::new(), Vec::new());
        let mut previous = None;
        let begun = Instant::now();
        while times.len() <= REPETITIONS && (times.len() < 4 || begun.elapsed().as_secs_f64() < ENOUGH_S) {
            // A different number each time, so that nothing is known of it.
            let mode = session.modes.get_mut(edited);
            if let Some(value) = mode.and_then(|m| m.heave.values_n_s_per_m.first_mut()?.first_mut()) {
                *value += if *value < 1000.0 { 1.0 } else { -1.0 };
            }
            let start = Instant::now();
            let study = Study::new(&session, profiles)?.sharing(&memory);
            let first = study.board_at_once(&request, previous.as_ref(), progress)?;
            first_times.push(start.elapsed().as_secs_f64() * 1e3);
            previous = Some(if first.more_follows { study.board(&request, Some(&first), progress)? } else { first });
            times.push(start.elapsed().as_secs_f64() * 1e3);
        }
        // The first one drew the roads and ran the other modes.
        first_times.remove(0);
        times.remove(0);
        Ok([median(first_times), median(times)])
    }
}

/// The operating point that responses are timed at.
fn operating_point() -> ResponseRequest {
    ResponseRequest {
        speed_km_h: 80.0,
        roughness_m_per_s2: 1.0,
        velocity_amplitude_m_per_s: VELOCITY_AMPLITUDE_M_PER_S,
        frequencies_hz: default_frequencies(),
    }
}

/// Median time of a piece of work, ms.
fn median_ms(mut work: impl FnMut() -> Result<(), Cancelled>) -> Result<f64, Cancelled> {
    let begun = Instant::now();
    let mut times = Vec::new();
    while times.len() < REPETITIONS && (times.len() < 3 || begun.elapsed().as_secs_f64() < ENOUGH_S) {
        let start = Instant::now();
        work()?;
        times.push(start.elapsed().as_secs_f64() * 1e3);
    }
    Ok(median(times))
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    match values.len() {
        0 => 0.0,
        n if n % 2 == 1 => values[middle],
        _ => 0.5 * (values[middle - 1] + values[middle]),
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_median_is_the_middle_one() {
        assert_eq!(super::median(vec![9.0, 1.0, 2.0]), 2.0);
        assert_eq!(super::median(vec![9.0, 1.0, 2.0, 4.0]), 3.0);
        assert_eq!(super::median(Vec::new()), 0.0);
    }
}
