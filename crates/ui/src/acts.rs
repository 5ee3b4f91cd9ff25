//! Everything the program can be told to do: its words, its keys and what it does. The menu, the key list and the list of
//! commands all take it from here.

use crate::chart::PlotName;
use crate::command::Command;
use crate::desk::Desk;
use crate::hand_over::HandOverSheet;
use crate::theme::Theme;
use crate::tune::{self, lever, typing};
use crate::view::{Aside, Place, Splits, View};
use egui::os::OperatingSystem;
use egui::{Key, KeyboardShortcut, ModifierNames, Modifiers};
use washboard_session::shape::MapAxis;

const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);
const ALT: Modifiers = Modifiers::ALT;
const NONE: Modifiers = Modifiers::NONE;

/// Largest and smallest text, and the step between.
pub(crate) const TEXT_SCALES: std::ops::RangeInclusive<f32> = 0.8..=2.0;
const TEXT_STEP: f32 = 0.1;

/// Under which heading an act stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Group {
    Session,
    Places,
    Tune,
    Window,
}

impl Group {
    pub const ALL: [Group; 4] = [Group::Session, Group::Places, Group::Tune, Group::Window];

    pub fn label(self) -> &'static str {
        match self {
            Group::Session => "session",
            Group::Places => "places",
            Group::Tune => "tune",
            Group::Window => "window",
        }
    }
}

/// One thing that can be done.
pub(crate) struct Act {
    pub group: Group,
    /// What it does, in sentence case; `…` where more input follows.
    pub text: &'static str,
    /// Its keys, the first one shown in menus.
    pub keys: &'static [KeyboardShortcut],
    /// The keys belong to a text field while somebody types there.
    yields_to_typing: bool,
    /// It belongs to Tune: its keys count there, and asked for elsewhere it goes there first.
    is_of_tune: bool,
    run: fn(&mut View, &mut Desk<'_>),
}

const fn key(modifiers: Modifiers, key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(modifiers, key)
}

const fn act(
    group: Group,
    text: &'static str,
    keys: &'static [KeyboardShortcut],
    run: fn(&mut View, &mut Desk<'_>),
) -> Act {
    Act { group, text, keys, yields_to_typing: false, is_of_tune: false, run }
}

/// Something that is done in Tune, from wherever it is asked for; its keys belong to a text field while somebody types.
const fn in_tune(text: &'static str, keys: &'static [KeyboardShortcut], run: fn(&mut View, &mut Desk<'_>)) -> Act {
    Act { yields_to_typing: true, is_of_tune: true, ..act(Group::Tune, text, keys, run) }
}

/// All of them, longer combinations of keys before those they contain.
pub(crate) static ACTS: &[Act] = &[
    act(Group::Session, "New session", &[key(CTRL, Key::N)], |_, desk| desk.ask(Command::New)),
    act(Group::Session, "Open…", &[key(CTRL, Key::O)], |_, desk| desk.ask(Command::Open)),
    act(Group::Session, "Save as…", &[key(CTRL_SHIFT, Key::S)], |_, desk| desk.ask(Command::SaveAs)),
    act(Group::Session, "Save", &[key(CTRL, Key::S)], |_, desk| desk.ask(Command::Save)),
    Act {
        yields_to_typing: true,
        ..act(Group::Session, "Redo", &[key(CTRL_SHIFT, Key::Z), key(CTRL, Key::Y)], |_, desk| desk.ask(Command::Redo))
    },
    Act {
        yields_to_typing: true,
        ..act(Group::Session, "Undo", &[key(CTRL, Key::Z)], |_, desk| desk.ask(Command::Undo))
    },
    act(Group::Session, "Write a report…", &[key(CTRL, Key::P)], |_, desk| desk.ask(Command::WriteReport)),
    act(Group::Session, "Let the session rest on another…", &[], |_, desk| desk.ask(Command::ChooseBelow)),
    act(Group::Session, "Follow the session below", &[], |_, desk| desk.ask(Command::FollowBelow)),
    act(Group::Session, "Let the session rest on nothing", &[], crate::car::below::stand_alone),
    act(Group::Session, "Leave the program", &[key(CTRL, Key::Q)], |_, desk| desk.ask(Command::Quit)),
    act(Group::Places, "Go to Car", &[key(ALT, Key::Num1)], |view, _| view.place = Place::Car),
    act(Group::Places, "Go to Roads", &[key(ALT, Key::Num2)], |view, _| view.place = Place::Roads),
    act(Group::Places, "Go to Tune", &[key(ALT, Key::Num3)], |view, _| view.place = Place::Tune),
    act(Group::Places, "Go to Side by side", &[key(ALT, Key::Num4)], |view, _| view.place = Place::SideBySide),
    act(Group::Places, "Go to Logbook", &[key(ALT, Key::Num5)], |view, _| view.place = Place::Logbook),
    act(Group::Places, "Go to Hand over", &[key(ALT, Key::Num6)], |view, _| view.place = Place::HandOver),
    act(Group::Places, "Write a run down…", &[], |view, desk| {
        view.place = Place::Logbook;
        crate::logbook::open_form(view, desk);
    }),
    act(Group::Places, "Read a set from its folder…", &[], |view, desk| {
        view.place = Place::SideBySide;
        desk.ask(Command::ReadSet);
    }),
    act(Group::Places, "Read back a file or a dump of the memory…", &[], |view, desk| {
        (view.place, view.hand_over.sheet) = (Place::HandOver, HandOverSheet::ReadBack);
        desk.ask(Command::ReadBack { folder: false, against: None });
    }),
    act(Group::Places, "Layout of the control unit…", &[], |view, desk| {
        (view.place, view.hand_over.sheet) = (Place::HandOver, HandOverSheet::ControlUnit);
        desk.ask(Command::ChooseLayout);
    }),
    act(Group::Places, "Back from a reopened copy", &[key(ALT, Key::ArrowLeft)], |_, desk| {
        if desk.cx.reopened.is_some() {
            desk.ask(Command::GoBack);
        }
    }),
    act(Group::Places, "Play the event, or stop it", &[], |view, desk| {
        (view.place, desk.enlarged) = (Place::Tune, Some(PlotName::Event));
        if let Some(board) = desk.board() {
            tune::play_or_stop(view, board);
        }
    }),
    act(Group::Places, "Fences…", &[], |view, _| crate::side::show_fences(view)),
    act(Group::Tune, "What did the driver say…", &[key(CTRL, Key::J)], |view, _| view.toggle(Aside::Complaints)),
    in_tune("Take the suggested step", &[key(CTRL, Key::Enter)], |view, desk| {
        lever::take(view, desk, view.lever.chosen);
    }),
    in_tune("Next suggested step", &[key(CTRL, Key::ArrowDown)], |view, desk| lever::choose(view, desk, 1)),
    in_tune("Suggested step before", &[key(CTRL, Key::ArrowUp)], |view, desk| lever::choose(view, desk, -1)),
    in_tune("Larger suggested steps", &[key(CTRL, Key::ArrowRight)], |view, _| lever::resize(view, 1)),
    in_tune("Smaller suggested steps", &[key(CTRL, Key::ArrowLeft)], |view, _| lever::resize(view, -1)),
    in_tune("Back to the scorecard", &[], |view, _| view.lever.leave()),
    in_tune("Influence on the next metric", &[key(ALT, Key::I)], |view, _| tune::next_dots(view)),
    in_tune("Smooth the cells along speed", &[key(ALT, Key::V)], |view, desk| {
        typing::operate(view, desk, typing::Operation::Smooth(MapAxis::Speed));
    }),
    in_tune("Smooth the cells along the second axis", &[key(ALT, Key::H)], |view, desk| {
        typing::operate(view, desk, typing::Operation::Smooth(MapAxis::Second));
    }),
    in_tune("Ramp between the ends of the cells", &[key(ALT, Key::R)], |view, desk| {
        typing::operate(view, desk, typing::Operation::Ramp);
    }),
    in_tune("Lock or unlock the cells", &[key(CTRL, Key::L)], typing::lock),
    in_tune("Cells back to what the mode rests on", &[], crate::car::resting::cells_back),
    in_tune("Let the mode rest on the reference mode", &[], crate::car::resting::rest_on_reference),
    in_tune("Let the mode stand alone", &[], crate::car::resting::stand_alone),
    in_tune("Breakpoints of the map…", &[key(ALT, Key::B)], |view, _| view.toggle(Aside::Breakpoints)),
    in_tune("Scales of the axles…", &[key(ALT, Key::A)], |view, _| view.toggle(Aside::Scales)),
    in_tune("Gain as damping ratio or in N·s/m", &[key(ALT, Key::D)], |view, _| view.as_ratio = !view.as_ratio),
    act(Group::Window, "What can be done…", &[key(CTRL, Key::K)], |view, _| view.toggle(Aside::Finder)),
    act(Group::Window, "Keys", &[key(NONE, Key::F1)], |view, _| view.toggle(Aside::Keys)),
    act(Group::Window, "Tour through the window", &[], |view, _| crate::tour::begin(view)),
    act(Group::Window, "Text larger", &[key(CTRL, Key::Plus), key(CTRL, Key::Equals)], |view, desk| {
        scale(view, desk, view.text_scale + TEXT_STEP);
    }),
    act(Group::Window, "Text smaller", &[key(CTRL, Key::Minus)], |view, desk| {
        scale(view, desk, view.text_scale - TEXT_STEP);
    }),
    act(Group::Window, "Text as designed", &[key(CTRL, Key::Num0)], |view, desk| scale(view, desk, 1.0)),
    act(Group::Window, "Light theme", &[], |view, desk| theme(view, desk, Theme::Sunlight)),
    act(Group::Window, "Dark theme", &[], |view, desk| theme(view, desk, Theme::Dark)),
    act(Group::Window, "High-contrast theme", &[], |view, desk| theme(view, desk, Theme::HighContrast)),
    act(Group::Window, "Sizes of the parts as designed", &[], |view, _| view.splits = Splits::default()),
    act(Group::Window, "Put another set in the car…", &[], |view, _| {
        view.place = Place::HandOver;
        view.hand_over.chooses_in_car = true;
    }),
    act(Group::Window, "Forget recent files that are not there", &[], |_, desk| desk.ask(Command::ForgetMissing)),
    act(Group::Window, "Show log file…", &[], |view, desk| {
        view.aside = Some(Aside::Log);
        desk.ask(Command::ReadLog);
    }),
    act(Group::Window, "About Washboard…", &[], |view, _| view.aside = Some(Aside::About)),
];

impl Act {
    /// Does it.
    pub fn run(&self, view: &mut View, desk: &mut Desk<'_>) {
        if self.is_of_tune {
            view.place = Place::Tune;
        }
        (self.run)(view, desk);
    }

    /// Its first keys as text; empty where it has none.
    pub fn key_text(&self) -> String {
        self.keys.first().map_or(String::new(), key_text)
    }

    /// What it would do now, where that differs from time to time.
    pub fn detail(&self, desk: &Desk<'_>) -> Option<String> {
        match self.text {
            "Undo" => Some(desk.cx.undo_label.clone().unwrap_or_else(|| "nothing to undo".to_owned())),
            "Redo" => Some(desk.cx.redo_label.clone().unwrap_or_else(|| "nothing to redo".to_owned())),
            _ => None,
        }
    }
}

/// The act of that text.
pub(crate) fn by_text(text: &str) -> Option<&'static Act> {
    ACTS.iter().find(|a| a.text == text)
}

/// Keys as they are written on the keyboard: `Ctrl+Shift+S`.
pub(crate) fn key_text(shortcut: &KeyboardShortcut) -> String {
    let is_mac = matches!(OperatingSystem::from_target_os(), OperatingSystem::Mac | OperatingSystem::IOS);
    shortcut.format(&ModifierNames::NAMES, is_mac)
}

/// Acts on every key that was pressed.
pub(crate) fn on_keys(ctx: &egui::Context, view: &mut View, desk: &mut Desk<'_>) {
    let is_typing = ctx.text_edit_focused();
    for act in ACTS {
        let is_elsewhere = act.is_of_tune && (view.place != Place::Tune || view.aside.is_some());
        if is_elsewhere || (is_typing && act.yields_to_typing) {
            continue;
        }
        let is_pressed = act.keys.iter().any(|k| ctx.input_mut(|i| i.consume_shortcut(k)));
        if is_pressed {
            act.run(view, desk);
        }
    }
}

/// Another size of text, kept within what the window can be used at.
pub(crate) fn scale(view: &mut View, desk: &mut Desk<'_>, wanted: f32) {
    view.text_scale = ((wanted * 20.0).round() / 20.0).clamp(*TEXT_SCALES.start(), *TEXT_SCALES.end());
    desk.ask(Command::SetTextScale(view.text_scale));
}

/// Another look.
pub(crate) fn theme(view: &mut View, desk: &mut Desk<'_>, theme: Theme) {
    view.theme = theme;
    desk.ask(Command::SetTheme(theme));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_acts_share_their_words_or_keys() {
        for (i, one) in ACTS.iter().enumerate() {
            for other in &ACTS[..i] {
                assert_ne!(one.text, other.text);
                for key in one.keys {
                    assert!(!other.keys.contains(key), "{} and {} share {}", one.text, other.text, key_text(key));
                }
            }
        }
    }

    #[test]
    fn a_combination_stands_before_those_it_contains() {
        // Shift is ignored where it is not asked for: Ctrl+Shift+S must be tried before Ctrl+S.
        for (i, one) in ACTS.iter().enumerate() {
            for later in &ACTS[i + 1..] {
                for (a, b) in one.keys.iter().flat_map(|a| later.keys.iter().map(move |b| (a, b))) {
                    let swallows = a.logical_key == b.logical_key && b.modifiers.shift && !a.modifiers.shift;
                    assert!(!swallows, "{} hides {}", one.text, later.text);
                }
            }
        }
    }

    #[test]
    fn what_is_looked_up_by_its_text_is_there() {
        for text in [
            "New session",
            "Open…",
            "Save",
            "Save as…",
            "Undo",
            "Redo",
            "Keys",
            "Leave the program",
            "About Washboard…",
            "Show log file…",
        ] {
            assert!(by_text(text).is_some(), "{text}");
        }
    }
}
