//! One plot as it looks everywhere: title at the plot, axis titles, cursor with the value of every curve, enlarging.

use crate::axis::Axis;
use crate::command::Command;
use crate::cursor::{self, Manners};
use crate::curve::{Band, Curve};
use crate::desk::Desk;
use crate::table::Table;
use crate::theme::{self, Look, SMALL};
use crate::view::Place;
use egui::{Align2, Color32, FontFamily, FontId, Pos2, Rect, RichText, Ui, pos2, vec2};
use egui_plot::{AxisHints, Plot, PlotTransform};

const GAP: f32 = 4.0;

/// Which plot: its identity on screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlotName {
    /// Gain over speed.
    CutSpeed,
    /// Gain over the second axis.
    CutSecond,
    /// Body transmissibility.
    Transmissibility,
    /// Wheel-load variation over frequency.
    WheelLoad,
    /// Comfort against wheel load.
    Comfort,
    /// The chosen event over time.
    Event,
    /// Damper force over velocity.
    Damper,
    /// Body transmissibility of the columns of Side by side.
    SideTransmissibility,
    /// Wheel-load variation of the columns of Side by side.
    SideWheelLoad,
    /// Comfort against wheel load of the columns of Side by side.
    SideComfort,
    /// Height of an event's road.
    RoadHeight,
    /// Displacement density of an event's road.
    RoadDensity,
    /// What an event asks of the car over time.
    Demands,
    /// The way between cones.
    Cones,
}

impl PlotName {
    /// All plots.
    pub const ALL: [PlotName; 14] = [
        PlotName::CutSpeed,
        PlotName::CutSecond,
        PlotName::Transmissibility,
        PlotName::WheelLoad,
        PlotName::Comfort,
        PlotName::Event,
        PlotName::Damper,
        PlotName::SideTransmissibility,
        PlotName::SideWheelLoad,
        PlotName::SideComfort,
        PlotName::RoadHeight,
        PlotName::RoadDensity,
        PlotName::Demands,
        PlotName::Cones,
    ];

    /// Where it is shown.
    pub fn place(self) -> Place {
        match self {
            PlotName::CutSpeed
            | PlotName::CutSecond
            | PlotName::Transmissibility
            | PlotName::WheelLoad
            | PlotName::Comfort
            | PlotName::Event => Place::Tune,
            PlotName::Damper => Place::Car,
            PlotName::SideTransmissibility | PlotName::SideWheelLoad | PlotName::SideComfort => Place::SideBySide,
            PlotName::RoadHeight | PlotName::RoadDensity | PlotName::Demands | PlotName::Cones => Place::Roads,
        }
    }

    /// What it is called on screen.
    pub fn label(self) -> &'static str {
        match self {
            PlotName::CutSpeed => "gain over speed",
            PlotName::CutSecond => "gain over the second axis",
            PlotName::Transmissibility => "body transmissibility",
            PlotName::WheelLoad => "wheel-load variation",
            PlotName::Comfort => "comfort against wheel load",
            PlotName::Event => "event over time",
            PlotName::Damper => "damper force over velocity",
            PlotName::SideTransmissibility => "body transmissibility side by side",
            PlotName::SideWheelLoad => "wheel-load variation side by side",
            PlotName::SideComfort => "comfort against wheel load side by side",
            PlotName::RoadHeight => "height of the road",
            PlotName::RoadDensity => "displacement density",
            PlotName::Demands => "manoeuvre over time",
            PlotName::Cones => "way between the cones",
        }
    }
}

/// Smallest size of an axis title, over the one it is designed for.
const LEAST_TITLE: f32 = 0.78;

impl Chart {
    /// The curves as they are seen, over the points of the first one: for plots whose curves share their x.
    pub fn table(&self) -> Table {
        let named = || self.curves.iter().filter(|c| !c.label().is_empty());
        let x: Vec<f64> = named().next().map_or(Vec::new(), |c| c.points().map(|p| p[0]).collect());
        let columns: Vec<(String, Vec<f64>)> = named()
            .map(|c| {
                let y = x.iter().map(|x| c.at(*x).map_or(f64::NAN, |y| self.y.quantity(y))).collect();
                (format!("{}: {}", c.label(), self.y.title), y)
            })
            .collect();
        let x: Vec<f64> = x.into_iter().map(|x| self.x.quantity(x)).collect();
        Table::of_curves(&self.x.title, &x, columns.iter().map(|(n, y)| (n.clone(), y.as_slice())))
    }
}

/// A plot about to be drawn.
pub(crate) struct Chart {
    pub id: &'static str,
    pub x: Axis,
    pub y: Axis,
    pub bands: Vec<Band>,
    pub curves: Vec<Curve>,
    /// Draw the title of the x axis (not for stacked plots that share one).
    pub show_x_title: bool,
    /// Draw the numbers along the x axis.
    pub show_x_ticks: bool,
    /// One of several plots stacked without gaps: no tick stands at its upper or lower edge.
    pub is_lane: bool,
    /// Let the engineer look closer.
    pub can_zoom: bool,
    /// Dragging moves the cursor, which is kept outside: `cursor`.
    pub scrubs: bool,
    /// Where the cursor stands, in plot values, for plots that scrub.
    pub cursor: Option<f64>,
    /// What is seen goes on with the cursor.
    pub follows: bool,
    /// Plots of the same group share their x axis and cursor.
    pub link: Option<&'static str>,
    /// Show the readout of all curves at the pointer.
    pub readout: bool,
    /// Decimals and unit of the readout.
    pub reads: Reading,
}

/// How values under the cursor are written.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reading {
    pub x_decimals: usize,
    pub x_unit: &'static str,
    pub y_decimals: usize,
    pub y_unit: &'static str,
}

/// A plot that was drawn.
pub(crate) struct Drawn {
    pub response: egui::Response,
    pub transform: PlotTransform,
    pub painter: egui::Painter,
    /// A readout stands in the plot: names at the curves would be in its way.
    pub reads: bool,
    /// Where the engineer has put the cursor, in plot values.
    pub moved_to: Option<f64>,
}

impl Drawn {
    /// Where a point of the plot lies on screen.
    pub fn at(&self, x: f64, y: f64) -> Pos2 {
        pos2(self.transform.position_from_point_x(x), self.transform.position_from_point_y(y))
    }

    /// The inner rectangle.
    pub fn frame(&self) -> Rect {
        *self.transform.frame()
    }
}

impl Chart {
    /// A plot with axes and nothing in it yet.
    pub fn new(id: &'static str, x: Axis, y: Axis) -> Self {
        Chart {
            id,
            x,
            y,
            bands: Vec::new(),
            curves: Vec::new(),
            show_x_title: true,
            show_x_ticks: true,
            is_lane: false,
            can_zoom: true,
            scrubs: false,
            cursor: None,
            follows: false,
            link: None,
            readout: true,
            reads: Reading { x_decimals: 2, x_unit: "", y_decimals: 2, y_unit: "" },
        }
    }

    /// Draws it into a rectangle of the window.
    pub fn show(self, ui: &mut Ui, look: &Look, rect: Rect) -> Drawn {
        // Half a tick label stands above the plot.
        let rect = if self.is_lane { rect } else { Rect::from_min_max(pos2(rect.left(), rect.top() + 5.0), rect.max) };
        let rect = rect.with_max_x(rect.right() - 8.0);
        let font = FontId::new(SMALL - 0.5, FontFamily::Proportional);
        // A title longer than its axis would run into what stands above: smaller letters, or only the unit.
        let fitted = |axis: egui_plot::Axis, text: &str| {
            let room = if axis == egui_plot::Axis::Y {
                rect.height() - if self.show_x_title { 34.0 } else { 4.0 }
            } else {
                rect.width() - 50.0
            };
            let wanted = ui.painter().layout_no_wrap(text.to_owned(), font.clone(), look.weak).size().x;
            let fit = (room / wanted.max(1.0)).min(1.0);
            if fit >= LEAST_TITLE {
                (text.to_owned(), font.size * fit)
            } else {
                (text.rsplit(", ").next().unwrap_or_default().to_owned(), font.size)
            }
        };
        let title = |axis: egui_plot::Axis, text: &str| {
            let (text, size) = fitted(axis, text);
            RichText::new(text).font(FontId::new(size, font.family.clone())).color(look.weak)
        };
        let hints = |axis: egui_plot::Axis, of: &Axis, titled: bool| {
            let of = of.clone();
            let label = if titled { of.title.clone() } else { String::new() };
            AxisHints::new(axis)
                .label(title(axis, &label))
                .formatter(move |mark, _| of.tick(mark))
                .label_spacing(egui::Rangef::new(1.0, 2.0))
                .tick_label_color(look.weak)
                .tick_label_font(font.clone())
        };
        let (x, y) = (self.x.clone(), self.y.clone());
        let ((x_low, x_high), (y_low, y_high)) = (x.bounds(), y.bounds());
        let x_axes =
            if self.show_x_ticks { vec![hints(egui_plot::Axis::X, &x, self.show_x_title)] } else { Vec::new() };
        let mut plot = Plot::new(self.id)
            .width(rect.width())
            .height(rect.height())
            .min_size(vec2(24.0, 24.0))
            .set_margin_fraction(vec2(0.0, 0.0))
            .include_x(x_low)
            .include_x(x_high)
            .include_y(y_low)
            .include_y(y_high)
            .allow_scroll(false)
            .allow_drag(if self.is_lane { [self.can_zoom, false] } else { [self.can_zoom; 2] })
            .pan_pointer_button(egui::PointerButton::Secondary)
            .allow_zoom(if self.is_lane { [self.can_zoom, false] } else { [self.can_zoom; 2] })
            .allow_boxed_zoom(false)
            .allow_axis_zoom_drag(false)
            .show_x(false)
            .show_y(false)
            .show_crosshair(false)
            .grid_color(look.grid)
            .grid_fade(0.0)
            .grid_spacing(egui::Rangef::new(GAP, 300.0))
            .custom_x_axes(x_axes)
            .custom_y_axes(vec![hints(egui_plot::Axis::Y, &y, true).min_thickness(50.0)])
            .x_grid_spacer({
                let x = x.clone();
                move |input| x.marks(&input, f64::from(GAP))
            })
            .y_grid_spacer({
                let (y, is_lane) = (y.clone(), self.is_lane);
                move |input| {
                    let mut marks = y.marks(&input, f64::from(GAP));
                    if is_lane {
                        let edge = 6.0 * input.base_step_size / f64::from(GAP);
                        marks.retain(|m| m.value > input.bounds.0 + edge && m.value < input.bounds.1 - edge);
                    }
                    marks
                }
            });
        if let Some(group) = self.link {
            let id = egui::Id::unique(("linked plots", group));
            plot = plot.link_axis(id, [true, false]).link_cursor(id, [true, false]);
        }
        let manners = Manners {
            can_zoom: self.can_zoom,
            only_along: self.is_lane,
            scrubs: self.scrubs,
            has_cursor: self.readout || self.scrubs,
            follows: self.follows,
        };
        let Chart { id: name, bands, curves, readout, reads, scrubs, cursor, .. } = self;
        let mut child =
            ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(egui::Layout::top_down(egui::Align::Min)));
        let id = child.scope_id().with(("cursor", name));
        let kept = if scrubs { cursor } else { child.ctx().data(|d| d.get_temp::<f64>(id)) };
        let say = |curves: &[Curve], at: f64| {
            let mut rows: Vec<_> = curves
                .iter()
                .filter(|c| !c.label().is_empty())
                .filter_map(|c| Some((c.tint(), c.label().to_owned(), c.at(at)?)))
                .collect();
            // In the order in which the curves lie above each other.
            rows.sort_by(|a, b| b.2.total_cmp(&a.2));
            let text =
                |v: f64| format!("{:.*} {}", reads.y_decimals, y.quantity(v), reads.y_unit).trim_end().to_owned();
            rows.into_iter().map(|(color, name, value)| (color, name, text(value))).collect::<Vec<_>>()
        };
        let shown = plot.show(&mut child, |plot_ui| {
            let steered = cursor::steer(plot_ui, manners, kept, id);
            let seen = steered.at.filter(|_| readout && steered.is_seen);
            let seen = seen.map(|at| (at, say(&curves, at)));
            for band in bands {
                plot_ui.add(band);
            }
            for curve in curves {
                plot_ui.add(curve);
            }
            (steered, seen)
        });
        let (steered, seen) = shown.inner;
        let drawn = Drawn {
            painter: ui.painter().with_clip_rect(shown.transform.frame().intersect(ui.clip_rect())),
            response: shown.response,
            transform: shown.transform,
            reads: seen.is_some(),
            moved_to: steered.moved_to,
        };
        let frame = drawn.frame();
        if drawn.response.has_focus() {
            ui.painter().rect_stroke(frame, 0.0, egui::Stroke::new(1.5, look.chosen), egui::StrokeKind::Outside);
        }
        if let Some(drawing) = steered.drawing {
            cursor::paint_box(&drawn.painter, look, drawing);
        }
        if scrubs {
            if let Some(at) = steered.moved_to.or(cursor) {
                let x = drawn.at(at, 0.0).x;
                drawn.painter.vline(x, frame.y_range(), egui::Stroke::new(1.5, look.chosen));
            }
        } else if let Some(at) = steered.moved_to {
            child.ctx().data_mut(|d| d.insert_temp(id, at));
        }
        let mut spoken = String::new();
        if let Some((at, lines)) = seen {
            let head = format!("{:.*} {}", reads.x_decimals, x.quantity(at), reads.x_unit);
            let pointer = drawn.response.hover_pos().filter(|p| frame.contains(*p));
            let place = pointer.unwrap_or_else(|| pos2(drawn.at(at, 0.0).x, frame.top() + 40.0));
            paint_readout(ui, look, &drawn, place, head.trim_end(), &lines);
            let values: Vec<String> = lines.iter().map(|(_, name, value)| format!("{name} {value}")).collect();
            spoken = format!("{}: {}", head.trim_end(), values.join(", "));
        }
        drawn.response.widget_info(|| {
            let mut info = egui::WidgetInfo::labeled(egui::Role::GraphicsDocument, true, format!("plot {name}"));
            info.current_text_value = Some(spoken.clone());
            info
        });
        drawn
    }
}

/// The cursor line and the box with the value of every curve.
pub(crate) fn paint_readout(
    ui: &Ui,
    look: &Look,
    drawn: &Drawn,
    at: Pos2,
    head: &str,
    lines: &[(Color32, String, String)],
) {
    let frame = drawn.frame();
    drawn.painter.vline(at.x, frame.y_range(), egui::Stroke::new(1.0, look.text));
    let painter = ui.ctx().layer_painter(egui::LayerId::new(egui::Order::Foreground, egui::Id::unique("readout")));
    let font = FontId::new(SMALL, FontFamily::Monospace);
    let galleys: Vec<_> =
        std::iter::once((look.text, painter.layout_no_wrap(head.to_owned(), font.clone(), look.text)))
            .chain(lines.iter().map(|(color, name, value)| {
                (*color, painter.layout_no_wrap(format!("{name}  {value}"), font.clone(), look.text))
            }))
            .collect();
    let width = galleys.iter().map(|(_, g)| g.size().x).fold(0.0, f32::max) + 20.0;
    let height = galleys.iter().map(|(_, g)| g.size().y + 1.0).sum::<f32>() + 6.0;
    let screen = ui.ctx().content_rect();
    let left = if at.x + 10.0 + width > screen.right() { at.x - 10.0 - width } else { at.x + 10.0 };
    let top = (at.y - height - 8.0).max(frame.top() + 2.0).min(screen.bottom() - height);
    let rect = Rect::from_min_size(pos2(left, top), vec2(width, height));
    painter.rect(
        rect,
        3.0,
        look.card.gamma_multiply(0.96),
        egui::Stroke::new(1.0, look.border),
        egui::StrokeKind::Inside,
    );
    let mut y = rect.top() + 3.0;
    for (i, (color, galley)) in galleys.into_iter().enumerate() {
        let height = galley.size().y + 1.0;
        if i > 0 {
            painter.rect_filled(
                Rect::from_min_size(pos2(rect.left() + 5.0, y + height / 2.0 - 3.5), vec2(6.0, 6.0)),
                1.0,
                color,
            );
        }
        painter.galley(pos2(rect.left() + if i > 0 { 15.0 } else { 5.0 }, y), galley, look.text);
        y += height;
    }
}

/// Width of the two buttons at the end of the line above a plot.
pub(crate) const BUTTONS: f32 = 40.0;

/// The line above a plot: title, note, and the button that makes the plot large or small again.
pub(crate) fn heading(ui: &mut Ui, desk: &mut Desk<'_>, rect: Rect, name: PlotName, title: &str, note: &str) {
    let look = desk.look;
    let painter = ui.painter_at(rect);
    let font = FontId::new(theme::BODY, theme::semibold(ui.ctx()));
    let drawn = painter.text(rect.left_center(), Align2::LEFT_CENTER, title, font, look.text);
    let buttons = if desk.is_picture { 0.0 } else { BUTTONS };
    let room = Rect::from_min_max(pos2(drawn.right() + 8.0, rect.top()), pos2(rect.right() - buttons, rect.bottom()));
    crate::widgets::put_text(ui, room, Align2::LEFT_CENTER, note, SMALL, FontFamily::Proportional, look.weak);
    if desk.is_picture {
        return;
    }
    let is_large = desk.enlarged == Some(name);
    let button = button_at(rect, 0);
    let response = ui
        .put(button, egui::Button::new("").frame_when_inactive(false).min_size(vec2(16.0, 16.0)))
        .on_hover_text(if is_large { "Small again (Esc)" } else { "Enlarge" })
        .accessible_name(format!("{} {}", if is_large { "Shrink" } else { "Enlarge" }, name.label()));
    paint_arrows(ui.painter(), button.center(), is_large, egui::Stroke::new(1.2, look.weak));
    if response.clicked() {
        desk.enlarged = if is_large { None } else { Some(name) };
    }
}

/// Place of a button in the line above a plot, counted from its end.
fn button_at(head: Rect, index: u8) -> Rect {
    Rect::from_center_size(pos2(head.right() - 8.0 - 19.0 * f32::from(index), head.center().y), vec2(16.0, 16.0))
}

/// What can be taken from a plot, behind a button in the line above it (`head`) and behind a right click on it: its
/// curves as a table for the clipboard or a file, and its picture.
pub(crate) fn offer(
    ui: &mut Ui,
    desk: &mut Desk<'_>,
    head: Rect,
    name: PlotName,
    responses: &[egui::Response],
    table: impl Fn() -> Table,
) {
    if desk.is_picture {
        return;
    }
    enlarge_by_key(ui, desk, name, responses);
    let button = button_at(head, 1);
    let opener = ui
        .put(button, egui::Button::new("").frame_when_inactive(false).min_size(vec2(16.0, 16.0)))
        .on_hover_text("Copy, CSV, picture")
        .accessible_name(format!("Take along {}", name.label()));
    for i in [-1.0, 0.0, 1.0] {
        ui.painter().circle_filled(button.center() + vec2(4.0 * i, 0.0), 1.2, desk.look.weak);
    }
    let mut asked = Vec::new();
    let mut entries = |ui: &mut Ui| {
        crate::table::entries(ui, &mut asked, name.label(), &table);
        if ui.button("Save picture…").clicked() {
            asked.push(Command::SavePicture(name));
            ui.close();
        }
    };
    egui::Popup::menu(&opener).show(&mut entries);
    for response in responses {
        response.context_menu(&mut entries);
    }
    desk.out.extend(asked);
}

/// Enter in a plot makes it large or small again; the keyboard stays in it.
fn enlarge_by_key(ui: &Ui, desk: &mut Desk<'_>, name: PlotName, responses: &[egui::Response]) {
    let wish = egui::Id::unique("plot that wants the keyboard");
    let Some(first) = responses.first() else { return };
    if ui.data(|d| d.get_temp::<Option<PlotName>>(wish)) == Some(Some(name)) {
        first.request_focus();
        ui.data_mut(|d| d.insert_temp(wish, None::<PlotName>));
    }
    let is_here = responses.iter().any(egui::Response::has_focus);
    if is_here && ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, egui::Key::Enter)) {
        desk.enlarged = if desk.enlarged == Some(name) { None } else { Some(name) };
        ui.data_mut(|d| d.insert_temp(wish, Some(name)));
        ui.ctx().request_repaint();
    }
}

/// Two arrows along the diagonal: outwards to enlarge, inwards to shrink.
fn paint_arrows(painter: &egui::Painter, centre: Pos2, inwards: bool, stroke: egui::Stroke) {
    for sign in [1.0, -1.0] {
        let (inner, outer) = (centre + vec2(1.2, -1.2) * sign, centre + vec2(5.0, -5.0) * sign);
        painter.line_segment([inner, outer], stroke);
        let (tip, back) = if inwards { (inner, 3.0) } else { (outer, -3.0) };
        painter.line_segment([tip, tip + vec2(back * sign, 0.0)], stroke);
        painter.line_segment([tip, tip - vec2(0.0, back * sign)], stroke);
    }
}
