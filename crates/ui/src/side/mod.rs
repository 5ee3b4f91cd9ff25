//! Side by side: any modes and handed-over sets in columns, compared with one of them in figures, curves, maps and steps.

mod card;
mod columns;
mod curves;
mod fences;
mod maps;
mod steps;

pub use columns::{ColumnKey, SideForm, side_columns, side_wish};

use crate::chart::PlotName;
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::toggle;
use egui::{Rect, RichText, Ui, pos2, vec2};
use washboard_study::SideBoard;
use washboard_words::sentence;

/// Width from which curves stand beside the figures.
const WIDE: f32 = 1250.0;

/// Least height that steps below a table are worth.
const LEAST_STEPS: f32 = 240.0;
/// Least height that curves below a table are worth.
const LEAST_CURVES: f32 = 170.0;

/// What is shown of the columns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Sheet {
    /// Figures with differences.
    #[default]
    Scorecard,
    /// Curves over each other.
    Curves,
    /// The difference of two maps.
    Maps,
    /// Steps from one column to the next.
    Steps,
    /// Bounds on metrics.
    Fences,
}

const SHEETS: [(Sheet, &str); 5] = [
    (Sheet::Scorecard, "scorecard"),
    (Sheet::Curves, "curves"),
    (Sheet::Maps, "map difference"),
    (Sheet::Steps, "steps between columns"),
    (Sheet::Fences, "fences"),
];

/// Goes to the list of fences.
pub(crate) fn show_fences(view: &mut View) {
    view.place = crate::view::Place::SideBySide;
    view.side.sheet = Sheet::Fences;
}

/// What is computed, with the columns it was computed for.
#[derive(Clone, Copy)]
pub(crate) struct Shown<'a> {
    pub board: &'a SideBoard,
    pub keys: &'a [ColumnKey],
    /// Greyed while older than what is asked for.
    pub strength: f32,
}

impl Shown<'_> {
    /// Name of a column.
    pub fn name(&self, column: usize) -> String {
        self.keys.get(column).map_or(String::new(), ColumnKey::name)
    }

    /// Index of the column that the others are compared with.
    pub fn reference(&self) -> usize {
        self.board.request.reference
    }
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    let look = desk.look;
    let list = Rect::from_min_max(area.min, pos2(area.left() + 208.0, area.bottom()));
    let main = Rect::from_min_max(pos2(list.right() + 12.0, area.top()), area.max);
    ui.painter().rect(list, 3.0, look.card, look.line(), egui::StrokeKind::Inside);
    let mut child = part(ui, list.shrink2(vec2(8.0, 6.0)), "columns");
    egui::ScrollArea::vertical()
        .id_salt("columns")
        .auto_shrink(false)
        .show(&mut child, |ui| columns::list(ui, view, desk));

    let mut child = part(ui, main, "side");
    child.horizontal(|ui| {
        let now = SHEETS.iter().position(|(sheet, _)| *sheet == view.side.sheet).unwrap_or(0);
        if let Some(i) = toggle(ui, look, "Side by side", now, &SHEETS.map(|(_, name)| name)) {
            view.side.sheet = SHEETS[i].0;
        }
        ui.add_space(10.0);
        state(ui, desk);
    });
    child.add_space(4.0);
    let (side, shown) = (desk.cx.side, shown(desk));
    if view.side.sheet == Sheet::Fences {
        return fences::show(&mut child, view, desk);
    }
    let Some(shown) = shown else {
        let text = match (side.fault, side_columns(&view.side, desk.session(), desk.cx.opened_sets).0.is_empty()) {
            (Some(_), _) => "Nothing to show until that is mended.",
            (None, true) => "Choose a mode in the list on the left: a tick gives it a column.",
            (None, false) => "Computing the columns …",
        };
        child.label(text);
        return;
    };
    sentences(&mut child, desk, shown);
    child.add_space(4.0);
    let rest = Rect::from_min_max(pos2(main.left(), child.cursor().top()), main.max);
    let is_large =
        matches!(desk.enlarged, Some(PlotName::SideTransmissibility | PlotName::SideWheelLoad | PlotName::SideComfort));
    if is_large || view.side.sheet == Sheet::Curves {
        return curves::show(ui, view, desk, shown, rest);
    }
    let is_wide = rest.width() > WIDE;
    let table = card::height(view, shown);
    let left = if is_wide {
        let right = Rect::from_min_max(pos2(rest.left() + rest.width() * 0.62 + 12.0, rest.top()), rest.max);
        curves::show(ui, view, desk, shown, right);
        Rect::from_min_max(rest.min, pos2(right.left() - 12.0, rest.bottom()))
    } else if view.side.sheet == Sheet::Scorecard {
        // What the table leaves free shows the curves.
        if rest.height() - table > LEAST_CURVES {
            let below = Rect::from_min_max(pos2(rest.left(), rest.top() + table + 8.0), rest.max);
            curves::show(ui, view, desk, shown, below);
            Rect::from_min_max(rest.min, pos2(rest.right(), below.top() - 8.0))
        } else {
            rest
        }
    } else {
        rest
    };
    let left = if is_wide && view.side.sheet == Sheet::Scorecard && left.height() - table > LEAST_STEPS {
        // Room for the steps as well.
        let below = Rect::from_min_max(pos2(left.left(), left.top() + table + 16.0), left.max);
        steps::show(&mut part(ui, below, "steps below"), desk, shown);
        left.with_max_y(below.top() - 16.0)
    } else {
        left
    };
    let mut child = part(ui, left, "sheet");
    match view.side.sheet {
        Sheet::Scorecard => card::show(&mut child, view, desk, shown),
        Sheet::Maps => maps::show(&mut child, view, desk),
        Sheet::Steps => steps::show(&mut child, desk, shown),
        Sheet::Curves | Sheet::Fences => {}
    }
}

/// The columns that there are results of.
fn shown<'a>(desk: &Desk<'a>) -> Option<Shown<'a>> {
    let side = desk.cx.side;
    let strength = if side.is_fresh { 1.0 } else { 0.55 };
    side.board.map(|board| Shown { board, keys: side.keys, strength })
}

/// One plot of the columns alone, for its picture.
pub(crate) fn plot(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, plot: PlotName, rect: Rect) {
    let Some(shown) = shown(desk) else { return };
    match plot {
        PlotName::SideWheelLoad => curves::wheel_load(ui, view, desk, shown, rect),
        PlotName::SideComfort => curves::comfort_plot(ui, desk, shown, rect),
        _ => curves::transmissibility(ui, desk, shown, rect),
    }
}

fn part(ui: &mut Ui, rect: Rect, salt: &str) -> Ui {
    let mut child = ui.new_child(
        egui::UiBuilder::new().max_rect(rect).id_salt(salt).layout(egui::Layout::top_down(egui::Align::Min)),
    );
    child.shrink_clip_rect(rect);
    child
}

/// How fresh the columns are, or why there are none.
fn state(ui: &mut Ui, desk: &Desk<'_>) {
    let (look, side) = (desk.look, desk.cx.side);
    if let Some(fault) = side.fault {
        let text = RichText::new(format!("✕ {fault}")).size(BODY - 0.5).color(look.crossed);
        ui.add(egui::Label::new(text).truncate()).on_hover_text(fault);
    } else if let Some((done, all)) = side.progress {
        ui.add(egui::Spinner::new().size(11.0).color(look.weak)).accessible_name("computing");
        ui.label(theme::note(look, format!("computing {done}/{all}")));
    } else if let Some(board) = side.board {
        let text = match board.draws {
            1 => "no random road among the events: no intervals".to_owned(),
            n => format!("means over {n} draws of the random roads · ± 95 %"),
        };
        ui.label(theme::note(look, text));
    }
}

/// A sentence a column.
fn sentences(ui: &mut Ui, desk: &Desk<'_>, shown: Shown<'_>) {
    let look = desk.look;
    let looks = columns::looks(desk.session(), shown.keys);
    let reference = shown.name(shown.reference());
    ui.scope(|ui| {
        ui.multiply_opacity(shown.strength);
        ui.spacing_mut().item_spacing.y = 1.0;
        for (column, index) in looks.iter().enumerate().filter(|(c, _)| *c != shown.reference()) {
            let sentence = sentence::of(&shown.board.differences, &shown.board.fences, column, &reference);
            ui.horizontal(|ui| {
                ui.label(theme::bold(ui, shown.name(column), BODY).color(look.mode(*index)));
                let text = RichText::new(&sentence).size(BODY - 0.5);
                ui.add(egui::Label::new(text).truncate()).on_hover_text(&sentence);
            });
        }
        if looks.len() < 2 {
            let text = "Tick a second mode or a set handed over to compare.";
            ui.label(RichText::new(text).size(SMALL + 0.5).color(look.weak));
        }
    });
}
