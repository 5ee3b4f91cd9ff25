//! What the window remembers between starts besides its size: theme and text scale.

use eframe::Storage;
use washboard_ui::{Theme, View};

const THEME: &str = "theme";
const TEXT_SCALE: &str = "text_scale";
/// Smallest and largest text scale that the window can still be used at.
pub const TEXT_SCALES: std::ops::RangeInclusive<f32> = 0.6..=2.5;

/// Takes over what was remembered; anything unreadable stays as designed.
pub fn recall(view: &mut View, storage: &dyn Storage) {
    let theme = storage.get_string(THEME).and_then(|name| Theme::ALL.into_iter().find(|t| t.label() == name));
    let scale = storage.get_string(TEXT_SCALE).and_then(|text| text.parse::<f32>().ok());
    view.theme = theme.unwrap_or(view.theme);
    view.text_scale = scale.filter(|s| TEXT_SCALES.contains(s)).unwrap_or(view.text_scale);
}

/// Remembers.
pub fn remember(view: &View, storage: &mut dyn Storage) {
    storage.set_string(THEME, view.theme.label().to_owned());
    storage.set_string(TEXT_SCALE, view.text_scale.to_string());
}
