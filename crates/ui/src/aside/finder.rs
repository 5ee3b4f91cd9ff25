//! Everything that can be done, to be found by its words: acts, modes, events, and what plots offer.

use crate::acts::{ACTS, Act};
use crate::chart::PlotName;
use crate::command::{Command, RequestChange};
use crate::desk::Desk;
use crate::view::{Place, View};
use egui::Ui;

/// One line of the list.
#[derive(Clone, Copy)]
enum Entry {
    Act(&'static Act),
    Mode(usize),
    Event(usize),
    Enlarge(PlotName),
    Picture(PlotName),
}

impl Entry {
    fn text(self, desk: &Desk<'_>) -> String {
        let mode = |m: usize| desk.mode(m).map_or(String::new(), |m| m.name.clone());
        let event = |e: usize| desk.session().events.get(e).map_or(String::new(), |e| e.name.clone());
        match self {
            Entry::Act(act) => match act.detail(desk) {
                Some(detail) => format!("{}: {detail}", act.text),
                None => act.text.to_owned(),
            },
            Entry::Mode(m) => format!("Choose mode {}", mode(m)),
            Entry::Event(e) => format!("Show event {} over time", event(e)),
            Entry::Enlarge(plot) => format!("Enlarge {}", plot.label()),
            Entry::Picture(plot) => format!("Save picture of {}…", plot.label()),
        }
    }

    fn keys(self) -> String {
        match self {
            Entry::Act(act) => act.key_text(),
            Entry::Mode(m) if m < 9 => (m + 1).to_string(),
            _ => String::new(),
        }
    }

    fn run(self, view: &mut View, desk: &mut Desk<'_>) {
        match self {
            Entry::Act(act) => act.run(view, desk),
            Entry::Mode(m) => view.mode = m,
            Entry::Event(e) => {
                view.place = Place::Tune;
                desk.request(RequestChange::SetEvent(e));
            }
            Entry::Enlarge(plot) => {
                view.place = plot.place();
                desk.enlarged = Some(plot);
            }
            Entry::Picture(plot) => desk.ask(Command::SavePicture(plot)),
        }
    }
}

/// Everything whose words hold all that was typed: what begins with it first, else in the order of the list.
fn found(desk: &Desk<'_>, typed: &str) -> Vec<Entry> {
    let typed = typed.to_lowercase();
    let plots = PlotName::ALL.into_iter();
    let all = ACTS
        .iter()
        .map(Entry::Act)
        .chain((0..desk.session().modes.len()).map(Entry::Mode))
        .chain((0..desk.session().events.len()).map(Entry::Event))
        .chain(plots.clone().map(Entry::Enlarge))
        .chain(plots.map(Entry::Picture));
    let fits = |entry: &Entry| {
        let text = entry.text(desk).to_lowercase();
        typed.split_whitespace().all(|word| text.contains(word))
    };
    let mut found: Vec<Entry> = all.filter(fits).collect();
    // What begins with the words is meant rather than what names them: "fences" is no step back over a fence.
    found.sort_by_key(|entry| !entry.text(desk).to_lowercase().starts_with(typed.trim()));
    found
}

/// Draws it; true when it is to be closed.
pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, height: f32) -> bool {
    let lines = |typed: &str| found(desk, typed).into_iter().map(|entry| (entry.text(desk), entry.keys())).collect();
    let picked = super::search::show(ui, desk.look, &mut view.finder, "What can be done", lines, height);
    let Some(entry) = picked.and_then(|i| found(desk, &view.finder.text).get(i).copied()) else { return false };
    // Closed first: what is done may open something else.
    view.aside = None;
    entry.run(view, desk);
    true
}
