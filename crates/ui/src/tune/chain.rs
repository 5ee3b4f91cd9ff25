//! What became of the wanted force at every corner at the moment looked at: a row a link, and which link limits.

use crate::desk::Desk;
use crate::theme::{self, SMALL};
use crate::view::View;
use crate::widgets::put_text;
use crate::words;
use egui::{Align2, FontFamily, Rect, Stroke, Ui, pos2, vec2};
use washboard_study::{Board, Chain, Link, Trace};

const LINE: f32 = 14.5;
/// Width of the names of the rows.
const NAMES: f32 = 132.0;

/// One row of numbers: what it is, its unit, what it means, and its text.
type Row = (&'static str, &'static str, fn(&Chain) -> String);

const ROWS: [Row; 8] = [
    ("wanted force, N", "What the law asks of the damper, at the wheel, positive in rebound.", |c| force(c.wanted_n)),
    ("can give, N", "Forces of soft and firm end at the rate of this moment.", |c| {
        format!("{} … {}", force(c.soft_n), force(c.firm_n))
    }),
    ("current for it, A", "The current that gives the wanted force, within soft and firm end.", |c| amps(c.wanted_a)),
    ("after limits, A", "After the law's own rule, end stop, floor and blending near standstill.", |c| amps(c.asked_a)),
    ("after slew, A", "As sent: it goes no faster than the mode's slew limit.", |c| amps(c.command_a)),
    ("after dead time, A", "The command that has arrived at the valve.", |c| amps(c.arrived_a)),
    ("in the valve, A", "After the valve's lag.", |c| amps(c.current_a)),
    ("given force, N", "What the damper gives at the wheel, positive in rebound.", |c| force(c.given_n)),
];

/// Height of the table: head, rows, forces as bars, two lines of words.
pub(super) fn height() -> f32 {
    LINE * (ROWS.len() as f32 + 3.0) + 16.0 + 8.0
}

fn force(n: f64) -> String {
    words::fixed(n, 0)
}

fn amps(a: f64) -> String {
    words::fixed(a, 2)
}

/// What a link does, in words.
fn in_words(link: Link) -> &'static str {
    match link {
        Link::WrongSign => "wrong sign: soft end",
        Link::SoftEnd => "soft end gives more",
        Link::FirmEnd => "at its current limit",
        Link::OtherRule => "law, floor or stop decides",
        Link::Slew => "waits for the slew limit",
        Link::DeadTime => "under way: dead time",
        Link::Lag => "waits for the lag",
    }
}

/// The limits of a corner in two lines: the first, and what comes on top.
fn limits(chain: &Chain) -> (String, String) {
    let mut links = chain.limits.iter().map(|l| in_words(*l));
    match links.next() {
        None => ("as wanted".to_owned(), String::new()),
        Some(first) => (first.to_owned(), links.map(|l| format!("+ {l}")).collect::<Vec<_>>().join(" ")),
    }
}

pub(super) fn show(ui: &mut Ui, view: &View, desk: &Desk<'_>, board: &Board, trace: &Trace, index: usize, rect: Rect) {
    let look = desk.look;
    let corners = board.request.model.corner_names();
    let chains: Vec<Option<Chain>> = corners.iter().map(|c| trace.chain(c, index)).collect();
    ui.painter().rect(rect, 3.0, look.card, look.line(), egui::StrokeKind::Inside);
    let inner = rect.shrink2(vec2(8.0, 4.0));
    let column = ((inner.width() - NAMES) / corners.len().max(1) as f32).min(190.0);
    let cell = |c: usize, top: f32, height: f32| {
        Rect::from_min_size(pos2(inner.left() + NAMES + c as f32 * column, top), vec2(column - 8.0, height))
    };
    let name = |top: f32, height: f32| Rect::from_min_size(pos2(inner.left(), top), vec2(NAMES - 6.0, height));
    let plain = FontFamily::Proportional;
    let mut top = inner.top();
    let title = name(top, LINE);
    put_text(ui, title, Align2::LEFT_CENTER, "from wanted to given", SMALL, theme::semibold(ui.ctx()), look.text);
    for (c, corner) in corners.iter().enumerate() {
        let family = if c == view.corner { theme::semibold(ui.ctx()) } else { plain.clone() };
        put_text(ui, cell(c, top, LINE), Align2::RIGHT_CENTER, words::corner(corner), SMALL, family, look.text);
    }
    top += LINE;
    if chains.iter().all(Option::is_none) {
        put_text(ui, inner, Align2::CENTER_CENTER, "The results do not tell.", SMALL, plain, look.weak);
        return;
    }
    for (i, (label, meaning, text)) in ROWS.into_iter().enumerate() {
        let row = name(top, LINE);
        ui.painter().hline(inner.x_range(), top, Stroke::new(1.0, look.grid));
        put_text(ui, row, Align2::LEFT_CENTER, label, SMALL, plain.clone(), look.weak);
        crate::widgets::explain(ui, row, ("link", i), |ui| drop(ui.label(meaning)));
        for (c, chain) in chains.iter().enumerate() {
            let Some(chain) = chain else { continue };
            let at = cell(c, top, LINE);
            put_text(ui, at, Align2::RIGHT_CENTER, text(chain), SMALL, FontFamily::Monospace, look.text);
        }
        top += LINE;
        if i == 1 {
            bars(ui, view, desk, &chains, |c| cell(c, top, 14.0), name(top, 14.0));
            top += 16.0;
        }
    }
    ui.painter().hline(inner.x_range(), top, Stroke::new(1.0, look.grid));
    put_text(ui, name(top, LINE), Align2::LEFT_CENTER, "limited by", SMALL, plain.clone(), look.weak);
    for (c, chain) in chains.iter().enumerate() {
        let Some(chain) = chain else { continue };
        let (first, more) = limits(chain);
        let color = if chain.limits.is_empty() { look.good } else { look.caution };
        let words = Rect::from_min_max(pos2(cell(c, top, LINE).left() - 4.0, top), cell(c, top, 2.0 * LINE).max);
        let upper = words.with_max_y(top + LINE);
        put_text(ui, upper, Align2::RIGHT_CENTER, &first, SMALL - 0.5, theme::semibold(ui.ctx()), color);
        put_text(ui, words.with_min_y(top + LINE), Align2::RIGHT_CENTER, &more, SMALL - 1.0, plain.clone(), look.weak);
        let id = ui.scope_id().with(("limits", c));
        let response = ui.interact(words, id, egui::Sense::hover());
        let spoken = format!("{}: {first} {more}", words::corner(corners[c]));
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, spoken.trim_end()));
        response.on_hover_ui(|ui| {
            if chain.limits.is_empty() {
                ui.label("The wanted force is given.");
            }
            for link in &chain.limits {
                ui.label(in_words(*link));
            }
        });
    }
}

/// The forces on one scale: what can be given as a band, what is wanted as a line across, what is given as a dot.
fn bars(ui: &Ui, view: &View, desk: &Desk<'_>, chains: &[Option<Chain>], cell: impl Fn(usize) -> Rect, name: Rect) {
    let look = desk.look;
    let most = chains
        .iter()
        .flatten()
        .flat_map(|c| [c.wanted_n, c.soft_n, c.firm_n, c.given_n])
        .map(f64::abs)
        .fold(100.0, f64::max);
    let text = format!("± {} N: | wanted  ● given", force(most));
    put_text(ui, name, Align2::LEFT_CENTER, text, SMALL - 1.0, FontFamily::Proportional, look.weak);
    for (c, chain) in chains.iter().enumerate() {
        let Some(chain) = chain else { continue };
        let at = cell(c);
        let x = |n: f64| at.center().x + (n / most) as f32 * at.width() / 2.0;
        let painter = ui.painter_at(at.expand(2.0));
        painter.hline(at.x_range(), at.center().y, Stroke::new(1.0, look.grid));
        painter.vline(at.center().x, at.y_range(), Stroke::new(1.0, look.border));
        let (soft, firm) = (x(chain.soft_n), x(chain.firm_n));
        let band = Rect::from_x_y_ranges(soft.min(firm)..=soft.max(firm), at.center().y - 4.0..=at.center().y + 4.0);
        painter.rect(band, 1.0, look.bar, Stroke::new(1.0, look.border), egui::StrokeKind::Inside);
        let color = look.mode(view.mode);
        painter.vline(x(chain.wanted_n), at.y_range(), Stroke::new(2.0, look.text));
        painter.circle(pos2(x(chain.given_n), at.center().y), 3.5, color, Stroke::new(1.0, look.plot));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_told_in_their_order() {
        let chain = Chain { limits: vec![Link::WrongSign, Link::Lag], ..Chain::default() };
        assert_eq!(limits(&chain), ("wrong sign: soft end".into(), "+ waits for the lag".into()));
        assert_eq!(limits(&Chain::default()), ("as wanted".into(), String::new()));
    }
}
