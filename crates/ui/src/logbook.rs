//! x
use crate::{desk::Desk, view::View};
use egui::Ui;
pub(crate) fn show(_ui: &mut Ui, _view: &mut View, _desk: &mut Desk<'_>) {}
pub(crate) fn open_form(_view: &mut View, _desk: &Desk<'_>) {}
