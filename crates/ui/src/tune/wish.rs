//! What Tune wants to know about cells: the influence on a metric, and steps for what the driver said.

use crate::figures::MAIN;
use crate::view::{Place, View};
use washboard_metrics::{Better, MetricId};
use washboard_session::complaints::{Complaint, Complaints, Wanted};
use washboard_session::{Run, Session};
use washboard_study::{BoardRequest, InfluenceRequest, LeverRequest, Trial, trial_step_n_s_per_m};

/// What is followed in Tune.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LeverForm {
    /// What the driver said, a row of the table by its words; absent: nothing is followed.
    pub said: Option<String>,
    /// The event he said it of, by name, where the row counts it.
    pub event: Option<String>,
    /// Size of the suggested steps, an index of `STEP_SHARES`.
    pub size: usize,
    /// The suggestion chosen.
    pub chosen: usize,
    /// Metric whose influence is shown while nothing is followed, by name.
    pub dots: Option<String>,
}

impl LeverForm {
    /// Follows a row of the table, perhaps on one event only.
    pub(crate) fn follow(&mut self, row: &Complaint, event: Option<&str>) {
        self.said = Some(row.said.clone());
        self.event = event.map(str::to_owned);
        self.chosen = 0;
        self.size = 1;
    }

    /// Follows nothing any more.
    pub(crate) fn leave(&mut self) {
        (self.said, self.event) = (None, None);
    }

    /// The row followed.
    pub(crate) fn row<'c>(&self, table: &'c Complaints) -> Option<&'c Complaint> {
        let said = self.said.as_ref()?;
        table.complaints.iter().find(|row| row.said == *said)
    }

    /// The events a row is read on, and whether they are those it is meant for: where the session has none of them, all
    /// events stand in.
    pub(crate) fn events(&self, row: &Complaint, session: &Session) -> (Vec<usize>, bool) {
        let meant = row.events(&session.events);
        let named = meant.iter().copied().find(|&e| Some(&session.events[e].name) == self.event.as_ref());
        match named {
            Some(event) => (vec![event], true),
            None if meant.is_empty() => {
                ((0..session.events.len()).filter(|&e| session.events[e].weight > 0.0).collect(), false)
            }
            None => (meant, true),
        }
    }

    /// The metric whose influence is shown now.
    pub(crate) fn metric(&self, table: &Complaints) -> Option<MetricId> {
        let by_row = self.row(table).map(|row| row.metric.as_str());
        MetricId::by_name(by_row.or(self.dots.as_deref())?)
    }
}

/// Rows that the remark of a run speaks of.
pub(crate) fn of_run<'c>(table: &'c Complaints, run: &Run) -> Vec<&'c Complaint> {
    table.in_remark(&run.remark).into_iter().map(|index| &table.complaints[index]).collect()
}

/// The way a metric gets better.
pub(crate) fn good_way(metric: MetricId) -> Wanted {
    if metric.metric().better == Better::Higher { Wanted::More } else { Wanted::Less }
}

/// What has to be computed for what Tune shows; `None` where nothing is asked.
pub fn lever_wish(view: &View, session: &Session, table: &Complaints, board: &BoardRequest) -> Option<LeverRequest> {
    let (form, mode) = (&view.lever, session.modes.get(view.mode)?);
    if view.place != Place::Tune {
        return None;
    }
    let metric = form.metric(table)?;
    let (events, wanted, maps) = match form.row(table) {
        Some(row) => (form.events(row, session).0, row.wanted, row.maps.clone()),
        None => ((0..session.events.len()).collect(), good_way(metric), Vec::new()),
    };
    let events: Vec<(usize, f64)> = events.into_iter().map(|e| (e, session.events[e].weight)).collect();
    if events.is_empty() {
        return None;
    }
    Some(LeverRequest {
        influence: InfluenceRequest {
            trial: Trial { model: board.model, load_case: board.load_case, events },
            mode: view.mode,
            metric,
            beside: MAIN.into_iter().filter(|id| *id != metric).collect(),
            step_n_s_per_m: trial_step_n_s_per_m(mode),
        },
        wanted,
        maps,
    })
}
