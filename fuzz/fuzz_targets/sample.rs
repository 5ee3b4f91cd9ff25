//! The small set and the layout that the samples of images and C files were written with: made once, not for every input.
#![allow(dead_code)]
use std::sync::LazyLock;
use washboard_handover::{CarSet, Layout};

static SET: LazyLock<CarSet> = LazyLock::new(|| read(include_str!("../../tests/layouts/set.json")));
static LAYOUT: LazyLock<Layout> = LazyLock::new(|| read(include_str!("../../tests/layouts/layout.json")));

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
