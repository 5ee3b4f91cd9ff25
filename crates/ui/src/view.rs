//! What the engineer has chosen on screen: places, selections, half-typed texts. It is not part of the session.

use crate::chart::PlotName;
use crate::hand_over::HandOverSheet;
use crate::logbook::{LogbookForm, RunForm};
use crate::side::SideForm;
use crate::theme::Theme;
use crate::tune::LeverForm;
use std::collections::{BTreeMap, BTreeSet};
use washboard_handover::{CNumbers, Proposal, Waiver, Wish};
use washboard_session::{MapName, Session, SetStatus};

/// The places of the window, in the order of the week.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Place {
    /// Data sheet, drawing, dampers.
    Car,
    /// Events.
    Roads,
    /// Maps and what they do.
    #[default]
    Tune,
    /// Modes in columns.
    SideBySide,
    /// Runs and sets.
    Logbook,
    /// What goes to the car.
    HandOver,
}

impl Place {
    /// All places.
    pub const ALL: [Place; 6] =
        [Place::Car, Place::Roads, Place::Tune, Place::SideBySide, Place::Logbook, Place::HandOver];

    /// Name on screen.
    pub fn label(self) -> &'static str {
        match self {
            Place::Car => "Car",
            Place::Roads => "Roads",
            Place::Tune => "Tune",
            Place::SideBySide => "Side by side",
            Place::Logbook => "Logbook",
            Place::HandOver => "Hand over",
        }
    }
}

/// What can be looked at aside from the places, in front of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Aside {
    /// The list of all keys.
    Keys,
    /// The list of everything that can be done, to search in.
    Finder,
    /// The program, its version, and the licences of its parts.
    About,
    /// The log file, for a bug report.
    Log,
    /// What the driver said, to pick from.
    Complaints,
    /// Breakpoints of the open map.
    Breakpoints,
    /// Scales of the mode at the axles.
    Scales,
}

/// Sizes of the parts of places, as shares of what they divide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Splits {
    /// Width of the maps in Tune.
    pub tune: f32,
    /// Height of the scorecard in Tune.
    pub scorecard: f32,
    /// Width of the data sheet in Car.
    pub car: f32,
}

impl Default for Splits {
    fn default() -> Self {
        Splits { tune: 0.42, scorecard: 0.31, car: 0.46 }
    }
}

/// Search among everything that can be done.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Finder {
    pub text: String,
    pub chosen: usize,
}

/// A cell of a map: row and column.
pub type Cell = (usize, usize);

/// Choice and typing in the map as numbers.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cells {
    /// Where the range began.
    pub anchor: Cell,
    /// Where the cursor is; the range is the rectangle between both.
    pub cursor: Cell,
    /// What is being typed.
    pub typed: Option<String>,
    /// Why the last typing was not taken.
    pub message: Option<String>,
    /// The cell that wants the keyboard next.
    pub(crate) wants_focus: bool,
}

/// What is typed for new breakpoints, speed and second axis, and why the last one was not taken.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct BreakpointForm {
    pub typed: [String; 2],
    pub message: Option<String>,
}

/// Which of the two axes a cut runs along.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Along {
    /// Over speed: one value a row.
    Rows,
    /// Over roughness or demand: one value a column.
    Columns,
}

/// A handle being pulled.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pull {
    pub along: Along,
    pub index: usize,
    /// Values of the cut when the pull began.
    pub start: Vec<f64>,
    /// How far it is pulled, in the map's unit.
    pub by: f64,
    /// The value at which the pointer took hold.
    pub grip: f64,
    /// Range of the axis when the pull began; it must not run away under the pointer.
    pub range: (f64, f64),
}

/// Where the keyboard goes after Enter in a field: to the field drawn next.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) enum GoOn {
    /// Nowhere.
    #[default]
    Stay,
    /// To the next field that is drawn, this frame or (counting up) the next one.
    Wanted(u8),
    /// To this one.
    To(egui::Id),
}

impl GoOn {
    /// The next field drawn gets the keyboard.
    pub fn want(&mut self) {
        *self = GoOn::Wanted(0);
    }
    /// True for the field drawn first after the wish.
    pub fn is_wanted(self) -> bool {
        matches!(self, GoOn::Wanted(_))
    }
    /// This field gets it, from the next frame on: in this one Enter is still down.
    pub fn goes_to(&mut self, id: egui::Id) {
        *self = GoOn::To(id);
    }
    /// Hands the keyboard over, and lets a wish go that no field has taken for a whole frame.
    pub fn begin_frame(&mut self, ctx: &egui::Context) {
        *self = match *self {
            GoOn::To(id) => {
                ctx.memory_mut(|m| m.request_focus(id));
                GoOn::Stay
            }
            GoOn::Wanted(0) => GoOn::Wanted(1),
            GoOn::Wanted(_) | GoOn::Stay => GoOn::Stay,
        };
        if *self != GoOn::Stay {
            ctx.request_repaint();
        }
    }
}

/// The form of a hand-over.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HandOverForm {
    /// Modes that stay behind, by name; all others go out.
    pub left_out: BTreeSet<String>,
    /// What the set is for.
    pub note: String,
    /// What the set may be used for; absent: the same as the set before, track only where there is none.
    pub status: Option<SetStatus>,
    /// Sentences for checks that do not pass, by the check's short name.
    pub waivers: BTreeMap<String, String>,
    /// Those of the set that left last, to be taken again.
    pub waivers_before: BTreeMap<String, String>,
    /// Name and purpose while they are being typed.
    pub responsible: Option<(String, String)>,
    /// What is shown below the modes.
    pub sheet: HandOverSheet,
    /// C files that go along.
    pub c: Option<CNumbers>,
    /// What a layout is proposed after; absent: none is being proposed.
    pub proposal: Option<ProposalForm>,
    /// Identity of the set that what is read back is held against; absent: the modes on screen.
    pub read_against: Option<String>,
    /// True while a set is being chosen that was put in the car by other means.
    pub chooses_in_car: bool,
}

/// What a layout is proposed after, while it is being typed.
#[derive(Clone, Debug, PartialEq)]
pub struct ProposalForm {
    /// What is asked for.
    pub wish: Proposal,
    /// The first address as it is typed.
    pub address: String,
}

impl Default for ProposalForm {
    fn default() -> Self {
        let wish = Proposal::default();
        ProposalForm { address: format!("{:#x}", wish.address), wish }
    }
}

impl HandOverForm {
    /// Indices of the modes that go out.
    pub fn modes(&self, session: &Session) -> Vec<usize> {
        (0..session.modes.len()).filter(|m| !self.left_out.contains(&session.modes[*m].name)).collect()
    }

    /// Sentences belong to one set: those typed are offered for the next, not taken.
    pub(crate) fn put_waivers_aside(&mut self) {
        let typed = std::mem::take(&mut self.waivers);
        self.waivers_before.extend(typed.into_iter().filter(|(_, text)| !text.trim().is_empty()));
    }

    /// What the set may be used for: as chosen, else as the set before, else for the track.
    pub fn status(&self, session: &Session) -> SetStatus {
        let before = || session.handed_over.last().map(|set| set.status);
        self.status.or_else(before).unwrap_or(SetStatus::TrackOnly)
    }

    /// What the set is meant to be: its status, who answers for it, and what is waived.
    pub fn wish(&self, session: &Session) -> Wish {
        let status = self.status(session);
        let release = session.release.clone().unwrap_or_default();
        // A draft needs no waiver; what was typed waits until the status asks for it.
        let typed = self.waivers.iter().filter(|(_, text)| status > SetStatus::Draft && !text.trim().is_empty());
        let waivers =
            typed.map(|(check, sentence)| Waiver { check: check.clone(), sentence: sentence.trim().to_owned() });
        Wish { status, release, waivers: waivers.collect() }
    }
}

/// The moment of the event that is looked at, and whether it goes on by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moment {
    /// Time within the event, s; absent: none chosen.
    pub at_s: Option<f64>,
    /// The event plays.
    pub plays: bool,
    /// It plays at a fifth of the true speed.
    pub is_slow: bool,
}

/// Everything chosen on screen.
#[derive(Clone, Debug)]
pub struct View {
    /// The place shown.
    pub place: Place,
    /// Index of the mode under work.
    pub mode: usize,
    /// The map that is open.
    pub map: MapName,
    /// Cells chosen in it; the cursor's column and row are the two cuts.
    pub cells: Cells,
    /// How far a pulled handle bends its neighbours, in breakpoints; 0: not at all.
    pub falloff: f32,
    /// The look.
    pub theme: Theme,
    /// Size of everything; 1 is as designed.
    pub text_scale: f32,
    /// The plot that is shown large.
    pub enlarged: Option<PlotName>,
    /// What is looked at aside from the places, in front of them.
    pub aside: Option<Aside>,
    /// Step of the tour through the window that is shown.
    pub tour: Option<usize>,
    /// The tour was seen, so that it does not begin by itself again.
    pub tour_seen: bool,
    /// Sizes of the parts of places.
    pub splits: Splits,
    /// The corner whose wheel load and current are shown.
    pub corner: usize,
    /// The moment of the event that is looked at.
    pub moment: Moment,
    /// Let the operating point of the response follow the chosen cell.
    pub follow_cell: bool,
    /// Show gains as damping ratio.
    pub as_ratio: bool,
    /// Texts of numbers that the session would not take, by path, with the reason.
    pub refused: BTreeMap<String, (String, String)>,
    /// Name of the damper whose curves are shown.
    pub damper: usize,
    /// Part of the data sheet that is open.
    pub sheet: usize,
    /// Step of the first sitting with a new car; absent: the data sheet.
    pub sitting: Option<usize>,
    /// Mass of a new car is known from the loads on its axles; else from body mass and centre of gravity.
    pub by_loads: bool,
    /// Damper whose place bench data take; absent: a new one.
    pub bench_into: Option<usize>,
    /// Friction found in bench data becomes the damper's own.
    pub bench_friction: bool,
    /// Event shown large in Roads.
    pub event: usize,
    /// Event shown in Side by side; absent: the weighted mean over all.
    pub side_event: Option<usize>,
    /// What is chosen in Side by side.
    pub side: SideForm,
    /// What is chosen in the logbook.
    pub logbook: LogbookForm,
    /// The run being written down.
    pub run: RunForm,
    /// The hand-over.
    pub hand_over: HandOverForm,
    /// What is followed in Tune, and the influence shown.
    pub lever: LeverForm,
    pub(crate) breakpoints: BreakpointForm,
    pub(crate) finder: Finder,
    pub(crate) go_on: GoOn,
    /// Heights of a road over time, not over distance.
    pub road_over_time: bool,
    pub(crate) event_row: Option<egui::Id>,
    pub(crate) event_row_wants_focus: bool,
    pub(crate) cells_have_focus: bool,
    pub(crate) pull: Option<Pull>,
    pub(crate) seen_mode: Option<(usize, MapName)>,
    pub(crate) asked_point: Option<(f64, f64)>,
}

impl View {
    /// Opens the first sitting with a new car, ready to type.
    pub fn begin_sitting(&mut self) {
        (self.place, self.sitting) = (Place::Car, Some(0));
        self.go_on.want();
    }
}

impl Default for View {
    fn default() -> Self {
        View {
            place: Place::Tune,
            mode: 0,
            map: MapName::Heave,
            cells: Cells::default(),
            falloff: 1.0,
            theme: Theme::Sunlight,
            text_scale: 1.0,
            enlarged: None,
            aside: None,
            tour: None,
            tour_seen: false,
            splits: Splits::default(),
            finder: Finder::default(),
            corner: 0,
            moment: Moment::default(),
            follow_cell: true,
            as_ratio: false,
            refused: BTreeMap::new(),
            damper: 0,
            sheet: 0,
            sitting: None,
            by_loads: true,
            bench_into: None,
            bench_friction: false,
            event: 0,
            side_event: None,
            side: SideForm::default(),
            logbook: LogbookForm::default(),
            run: RunForm::default(),
            hand_over: HandOverForm::default(),
            lever: LeverForm::default(),
            breakpoints: BreakpointForm::default(),
            go_on: GoOn::Stay,
            road_over_time: false,
            event_row: None,
            event_row_wants_focus: false,
            cells_have_focus: false,
            pull: None,
            seen_mode: None,
            asked_point: None,
        }
    }
}

impl View {
    /// Opens what is looked at aside, or closes it where it is open.
    pub(crate) fn toggle(&mut self, aside: Aside) {
        self.aside = if self.aside == Some(aside) { None } else { Some(aside) };
        self.finder = Finder::default();
        self.breakpoints = BreakpointForm::default();
    }
}
