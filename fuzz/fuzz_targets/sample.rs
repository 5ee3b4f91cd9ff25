//! A small set and a layout for it.
#![allow(dead_code)]
use washboard_handover::layout::ByteOrder;
use washboard_handover::{CarSet, Layout, Proposal, Width};

/// The set of the small old session.
pub fn set() -> CarSet {
    let session = washboard_session::parse_ron(include_str!("../../tests/old-sessions/format-1-small.ron"));
    CarSet::from_session(&session.expect("a sample"), &[0]).expect("a sample")
}

/// A layout for it.
pub fn layout() -> Layout {
    let (name, byte_order, width) = ("unit".to_owned(), ByteOrder::Little, Width::Bits16);
    Layout::propose(&set(), &Proposal { name, version: 1, address: 0, byte_order, width }).expect("a sample")
}
