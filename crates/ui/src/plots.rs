//! Every plot by its name: drawn alone, as its picture needs it.

use crate::chart::PlotName;
use crate::context::Context;
use crate::desk::Desk;
use crate::theme::{self, Look, SMALL, Theme};
use crate::tune::{comfort, curves, cuts, event};
use crate::view::{Along, View};
use crate::{car, roads, svg, words};
use egui::{Align2, FontFamily, FontId, Rect, Ui, Vec2, pos2, vec2};

/// Size of a picture, points.
const SIZE: Vec2 = vec2(960.0, 600.0);
/// Passes until a plot that has never been drawn stands still.
const PASSES: usize = 3;

/// Draws one plot into a rectangle.
fn draw(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, plot: PlotName, rect: Rect) {
    match plot {
        PlotName::CutSpeed => cuts::show(ui, view, desk, rect, Along::Rows),
        PlotName::CutSecond => cuts::show(ui, view, desk, rect, Along::Columns),
        PlotName::Transmissibility => curves::transmissibility(ui, view, desk, rect),
        PlotName::WheelLoad => curves::wheel_load(ui, view, desk, rect),
        PlotName::Comfort => comfort::show(ui, view, desk, rect),
        PlotName::Event => event::show(ui, view, desk, rect),
        PlotName::SideTransmissibility | PlotName::SideWheelLoad | PlotName::SideComfort => {
            crate::side::plot(ui, view, desk, plot, rect);
        }
        PlotName::Damper => car::dampers::show(ui, view, desk, rect),
        PlotName::RoadHeight => roads::plots::height(ui, view, desk, rect),
        PlotName::RoadDensity => roads::plots::density(ui, view, desk, rect),
        PlotName::Demands => roads::plots::demands(ui, view, desk, rect),
        PlotName::Cones => roads::plots::cones(ui, view, desk, rect),
    }
}

/// The picture of one plot alone, as SVG in the light theme whatever the theme on screen: title, axes with units, names
/// at the curves, and below it what it shows: session, model, load case, identity of the set on screen, time.
pub fn picture(view: &View, context: &Context<'_>, plot: PlotName) -> String {
    let mut view = View { theme: Theme::Sunlight, enlarged: Some(plot), aside: None, ..view.clone() };
    let look = Look::of(Theme::Sunlight);
    let ctx = egui::Context::default();
    theme::install_fonts(&ctx);
    theme::apply_theme(&ctx, Theme::Sunlight);
    let screen = Rect::from_min_size(pos2(0.0, 0.0), SIZE);
    let mut shapes = Vec::new();
    for _ in 0..PASSES {
        let mut input = egui::RawInput { screen_rect: Some(screen), ..Default::default() };
        // Text is laid out to the pixel: four of them a point leave no uneven gaps between letters.
        input.viewports.entry(egui::ViewportId::ROOT).or_default().native_pixels_per_point = Some(4.0);
        let mut output = ctx.run_ui(input, |ui| {
            let mut desk = Desk { cx: context, look, out: Vec::new(), enlarged: Some(plot), is_picture: true };
            let rect = screen.shrink(16.0);
            let foot = rect.with_min_y(rect.bottom() - 16.0);
            draw(ui, &mut view, &mut desk, plot, rect.with_max_y(foot.top() - 4.0));
            let font = FontId::new(SMALL, FontFamily::Proportional);
            ui.painter().text(foot.left_center(), Align2::LEFT_CENTER, identity_line(&desk), font, look.weak);
        });
        // Letters are written as text: their textures are not needed.
        output.textures_delta.clear();
        shapes = std::mem::take(&mut output.shapes);
    }
    svg::picture(plot.label(), SIZE, look.card, &shapes)
}

/// What a picture shows, so that it can still be told apart when it hangs on a wall.
fn identity_line(desk: &Desk<'_>) -> String {
    let request = &desk.cx.request;
    let case = desk.session().vehicle.load_cases.get(request.load_case.wrapping_sub(1));
    let case = case.map_or("as described", |c| c.name.as_str());
    let mut text = format!("{} · {}, {case}", desk.session().title, request.model.label());
    if !desk.cx.hand_over.identity.is_empty() {
        text.push_str(&format!(" · set {}", words::identity(&desk.cx.hand_over.identity)));
    }
    let version = env!("CARGO_PKG_VERSION");
    format!("{text} · {} · Washboard {version}", desk.cx.now)
}
