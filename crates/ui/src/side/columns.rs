//! Which modes stand side by side: those of the session and of sets handed over, chosen in a list, one the reference.

use crate::command::Command;
use crate::context::OpenedSet;
use crate::curve::Dash;
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::link;
use crate::words;
use egui::{Key, Rect, RichText, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use std::collections::BTreeSet;
use washboard_session::{Mode, Session};
use washboard_study::SideColumn;

/// Most columns that can still be read beside each other.
const MOST: usize = 8;

/// What a column shows.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum ColumnKey {
    /// A mode of the session, by name.
    Own(String),
    /// A mode of a set that was handed over.
    OfSet {
        /// Identity of the set, hexadecimal.
        identity: String,
        /// Name of the mode.
        mode: String,
    },
}

impl ColumnKey {
    /// What the column is called: a set's modes carry the beginning of its identity.
    pub fn name(&self) -> String {
        match self {
            ColumnKey::Own(name) => name.clone(),
            ColumnKey::OfSet { identity, mode } => {
                format!("{mode} · {}", identity.chars().take(4).flat_map(char::to_uppercase).collect::<String>())
            }
        }
    }
}

/// What is chosen in Side by side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SideForm {
    /// Modes of the session that have no column.
    pub(crate) hidden: BTreeSet<String>,
    /// Modes of sets that have one, in the order in which they were chosen.
    pub(crate) of_sets: Vec<ColumnKey>,
    /// The column that the others are compared with; absent: the reference mode of the session.
    pub(crate) reference: Option<ColumnKey>,
    /// What is shown of the columns.
    pub(crate) sheet: super::Sheet,
    /// Show every metric there is.
    pub(crate) all_metrics: bool,
    /// The two columns whose maps are compared.
    pub(crate) maps: (Option<ColumnKey>, Option<ColumnKey>),
}

/// The columns in their order, each with its mode, and the index of the reference among them.
pub fn side_columns<'a>(
    form: &SideForm,
    session: &'a Session,
    opened: &'a [OpenedSet],
) -> (Vec<(ColumnKey, &'a Mode)>, usize) {
    let own = session
        .modes
        .iter()
        .filter(|mode| !form.hidden.contains(&mode.name))
        .map(|mode| (ColumnKey::Own(mode.name.clone()), mode));
    let of_sets = form.of_sets.iter().filter_map(|key| Some((key.clone(), find(key, session, opened)?)));
    let columns: Vec<(ColumnKey, &Mode)> = own.chain(of_sets).take(MOST).collect();
    let place = |wanted: &ColumnKey| columns.iter().position(|(key, _)| key == wanted);
    let of_session = session.reference_mode.as_ref().map(|name| ColumnKey::Own(name.clone()));
    let reference = form.reference.as_ref().and_then(place).or_else(|| of_session.as_ref().and_then(place));
    (columns, reference.unwrap_or(0))
}

/// The same as the study takes them.
pub fn side_wish(columns: &[(ColumnKey, &Mode)]) -> Vec<SideColumn> {
    let column = |(key, mode): &(ColumnKey, &Mode)| SideColumn {
        mode: (*mode).clone(),
        is_own: matches!(key, ColumnKey::Own(_)),
    };
    columns.iter().map(column).collect()
}

/// The mode that a key stands for.
fn find<'a>(key: &ColumnKey, session: &'a Session, opened: &'a [OpenedSet]) -> Option<&'a Mode> {
    match key {
        ColumnKey::Own(name) => session.modes.iter().find(|m| m.name == *name),
        ColumnKey::OfSet { identity, mode } => {
            let noted = session.set_of(identity).map(|set| &*session.handed_over[set].modes);
            let read = || opened.iter().find(|set| set.identity == *identity).map(|set| set.modes.as_slice());
            noted.or_else(read)?.iter().find(|m| m.name == *mode)
        }
    }
}

/// Colour and dash of each column: a mode of the session has its own, modes of sets take those that are left.
pub(crate) fn looks(session: &Session, keys: &[ColumnKey]) -> Vec<usize> {
    let mut next = session.modes.len();
    let mut look = |key: &ColumnKey| match key {
        ColumnKey::Own(name) => session.modes.iter().position(|m| m.name == *name).unwrap_or(0),
        ColumnKey::OfSet { .. } => {
            next += 1;
            next - 1
        }
    };
    keys.iter().map(&mut look).collect()
}

/// One line of the list.
struct Line<'l> {
    key: ColumnKey,
    name: &'l str,
    is_on: bool,
    is_reference: bool,
    look: Option<usize>,
}

/// The list of all modes that can have a column.
pub(super) fn list(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let session = desk.session();
    let opened = desk.cx.opened_sets;
    let (columns, reference) = side_columns(&view.side, session, opened);
    let keys: Vec<ColumnKey> = columns.iter().map(|(key, _)| key.clone()).collect();
    let looks = looks(session, &keys);
    let line = |key: ColumnKey, name| {
        let at = keys.iter().position(|k| *k == key);
        Line { name, is_on: at.is_some(), is_reference: at == Some(reference), look: at.map(|i| looks[i]), key }
    };
    ui.spacing_mut().item_spacing.y = 2.0;
    ui.label(theme::bold(ui, "modes of the session", BODY).color(look.text));
    for mode in &session.modes {
        row(ui, view, desk, line(ColumnKey::Own(mode.name.clone()), &mode.name));
    }
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, "sets handed over", BODY).color(look.text));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let add = link(ui, look, "read one …").accessible_name("Read a set from its folder …");
            if add.on_hover_text("Read a set back from the folder it was written to").clicked() {
                desk.ask(Command::ReadSet);
            }
        });
    });
    // A set that went out more than once is one set.
    let noted: Vec<_> = session
        .handed_over
        .iter()
        .enumerate()
        .rev()
        .filter(|(i, set)| session.set_of(&set.identity) == Some(*i))
        .map(|(_, set)| (set.identity.as_str(), desk.when(&set.time), set.note.as_str(), &*set.modes))
        .collect();
    let others = opened.iter().filter(|set| session.set_of(&set.identity).is_none());
    let read = others.map(|s| (s.identity.as_str(), "from its folder".to_owned(), s.note.as_str(), s.modes.as_slice()));
    let all: Vec<_> = noted.into_iter().chain(read).collect();
    if all.is_empty() {
        let text = "None yet: hand one over, or read one from its folder.";
        ui.add(egui::Label::new(theme::note(look, text)).wrap());
    }
    for (identity, when, note, modes) in all {
        let is_of_folder = session.set_of(identity).is_none();
        ui.add_space(3.0);
        ui.horizontal(|ui| {
            ui.label(theme::number(words::identity(identity), SMALL + 0.5));
            ui.add(egui::Label::new(theme::note(look, when)).truncate());
        })
        .response
        .on_hover_text(if note.is_empty() {
            format!("Identity {identity}")
        } else {
            format!("{note}\n{identity}")
        });
        if is_of_folder {
            // Its folder holds modes and dampers, not the car around them.
            let text = "driven by this car, with the dampers, filters and estimator of the session";
            ui.add(egui::Label::new(theme::note(look, text)).wrap());
        }
        for mode in modes {
            let key = ColumnKey::OfSet { identity: identity.to_owned(), mode: mode.name.clone() };
            row(ui, view, desk, line(key, &mode.name));
        }
    }
    ui.add_space(6.0);
    let hint = "Space shows or hides · R compares the others with it";
    ui.add(egui::Label::new(theme::note(look, hint)).wrap());
}

impl SideForm {
    /// Gives a mode of a set a column.
    pub(crate) fn add(&mut self, key: ColumnKey) {
        show_column(self, &key, true);
    }
}

/// A mode in the list: box, sample of its line, name, flag.
fn row(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, line: Line<'_>) {
    let look = desk.look;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 21.0), Sense::click());
    let flag = if line.is_reference { ", reference" } else { "" };
    let label = format!("column {}{flag}", line.key.name());
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, line.is_on, &label));
    let painter = ui.painter_at(rect);
    if response.has_focus() {
        painter.rect(rect, 3.0, look.hover, Stroke::new(1.5, look.chosen), egui::StrokeKind::Inside);
    } else if response.hovered() {
        painter.rect_filled(rect, 3.0, look.hover);
    }
    let tick = Rect::from_center_size(pos2(rect.left() + 11.0, rect.center().y), vec2(12.0, 12.0));
    painter.rect(tick, 2.0, look.card, Stroke::new(1.0, look.border), egui::StrokeKind::Inside);
    if line.is_on {
        let points = [vec2(-3.5, 0.0), vec2(-1.0, 3.0), vec2(3.5, -3.0)].map(|d| tick.center() + d);
        painter.line_segment([points[0], points[1]], Stroke::new(1.8, look.text));
        painter.line_segment([points[1], points[2]], Stroke::new(1.8, look.text));
    }
    if let Some(index) = line.look {
        Dash::of_mode(index).sample(
            &painter,
            pos2(tick.right() + 6.0, rect.center().y),
            22.0,
            Stroke::new(2.0, look.mode(index)),
        );
    }
    let family = if line.is_on { theme::semibold(ui.ctx()) } else { egui::FontFamily::Proportional };
    let room = Rect::from_min_max(pos2(tick.right() + 34.0, rect.top()), pos2(rect.right() - 26.0, rect.bottom()));
    crate::widgets::put_text(ui, room, egui::Align2::LEFT_CENTER, line.name, BODY, family, look.text);
    let at = Rect::from_center_size(pos2(rect.right() - 12.0, rect.center().y), vec2(22.0, 19.0));
    let color = if line.is_reference { look.text } else { look.weak.gamma_multiply(0.5) };
    let button = egui::Button::new(RichText::new("⚑").size(BODY).color(color)).frame_when_inactive(false);
    let flag = ui
        .put(at, button)
        .on_hover_text("Compare the other columns with this one (R)")
        .accessible_name(format!("compare with {}", line.key.name()));
    let wants_reference =
        flag.clicked() || (response.has_focus() && ui.input(|i| i.modifiers.is_none() && i.key_pressed(Key::R)));
    if wants_reference {
        show_column(&mut view.side, &line.key, true);
        view.side.reference = Some(line.key);
    } else if response.clicked() {
        show_column(&mut view.side, &line.key, !line.is_on);
    }
}

/// Gives a mode a column, or takes it away.
fn show_column(form: &mut SideForm, key: &ColumnKey, is_on: bool) {
    match key {
        ColumnKey::Own(name) if is_on => drop(form.hidden.remove(name)),
        ColumnKey::Own(name) => drop(form.hidden.insert(name.clone())),
        ColumnKey::OfSet { .. } => {
            form.of_sets.retain(|k| k != key);
            if is_on {
                form.of_sets.push(key.clone());
            }
        }
    }
}
