//! Everything that can be done, done through the accessibility tree, each in two of the six places: nothing of it panics,
//! and all of it either asks something of the program or changes what is shown.

mod common;

use common::{Desk, press};
use egui::accesskit::{NodeId, Role};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use std::collections::HashSet;

/// What can be seen to do nothing, with the reason.
const QUIET: &[&str] = &[
    // It is the list itself.
    "What can be done",
    // Nothing was reopened.
    "Back from a reopened copy",
    // They are so already.
    "Text as designed",
    "Sizes of the parts as designed",
    // Its first mode is the chosen one.
    "Choose mode gentle",
    // No complaint is followed: there is no step to take or to choose, and the smallest size holds.
    "Take the suggested step",
    "Next suggested step",
    "Suggested step before",
    "Smaller suggested steps",
    "Back to the scorecard",
];

/// Buttons on the screen: their names by their numbers in the tree.
fn buttons(harness: &Harness<'_, Desk>) -> Vec<(NodeId, String)> {
    let nodes = harness.get_all_by_role(Role::Button);
    nodes.map(|n| (n.accesskit_node().locate().0, n.accesskit_node().label().unwrap_or_default())).collect()
}

#[test]
fn all_that_can_be_done_is_done() {
    let mut places = HashSet::new();
    for (turn, place) in [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6].into_iter().enumerate() {
        let mut harness = Desk::new().open_sized(1280.0, 800.0);
        press(&mut harness, Modifiers::ALT, place);
        let there = harness.state().view.clone();
        places.insert(there.place);
        let before: HashSet<NodeId> = buttons(&harness).into_iter().map(|(id, _)| id).collect();
        press(&mut harness, Modifiers::COMMAND, Key::K);
        harness.step();
        let all: Vec<String> =
            buttons(&harness).into_iter().filter(|(id, _)| !before.contains(id)).map(|(_, name)| name).collect();
        assert!(all.len() > 40, "{:?}: {all:?}", there.place);
        press(&mut harness, Modifiers::NONE, Key::Escape);
        for (i, name) in all.iter().enumerate().filter(|(i, _)| i % 3 == turn % 3) {
            harness.state_mut().view = there.clone();
            harness.state_mut().commands.clear();
            press(&mut harness, Modifiers::COMMAND, Key::K);
            for _ in 0..i {
                harness.key_press(Key::ArrowDown);
            }
            press(&mut harness, Modifiers::NONE, Key::Enter);
            let state = harness.state();
            let has_moved = format!("{:?}", state.view) != format!("{there:?}");
            let is_quiet = QUIET.iter().any(|q| name.starts_with(q)) || name.starts_with("Go to");
            assert!(has_moved || !state.commands.is_empty() || is_quiet, "{:?}: {name} does nothing", there.place);
            press(&mut harness, Modifiers::NONE, Key::Escape);
        }
    }
    assert_eq!(places.len(), 6);
}
