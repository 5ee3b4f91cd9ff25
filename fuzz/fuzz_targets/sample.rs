//! The small set of the samples, the layout that images and C files among them were written after, and one of many number
//! types: read once, not for every input.
#![allow(dead_code)]
use std::sync::LazyLock;
use washboard_handover::{CarSet, Layout};

static SET: LazyLock<CarSet> = LazyLock::new(|| read(include_str!("../corpus/set/two_modes.json")));
static LAYOUT: LazyLock<Layout> =
    LazyLock::new(|| Layout::from_ron(include_str!("../corpus/layout/proposed.ron")).expect("a sample"));
static MANY_TYPES: LazyLock<Layout> = LazyLock::new(|| read(include_str!("../../tests/layouts/layout.json")));

fn read<T: serde::de::DeserializeOwned>(text: &str) -> T {
    serde_json::from_str(text).expect("a sample")
}

/// A set of two modes.
pub fn set() -> &'static CarSet {
    &SET
}

/// A layout for it.
pub fn layout() -> &'static Layout {
    &LAYOUT
}

/// Another one, with numbers of every type.
pub fn many_types() -> &'static Layout {
    &MANY_TYPES
}
