//! What the window remembers between starts besides its size: look, text scale, place and the sizes of its parts.

use eframe::Storage;
use std::ops::RangeInclusive;
use washboard_ui::{Place, Theme, View};

const THEME: &str = "theme";
const TEXT_SCALE: &str = "text_scale";
const PLACE: &str = "place";
const TOUR_SEEN: &str = "tour_seen";
/// Smallest and largest text scale that the window can still be used at.
pub const TEXT_SCALES: RangeInclusive<f32> = 0.8..=2.0;
/// Smallest and largest share of a part of a place.
const SHARES: RangeInclusive<f32> = 0.15..=0.8;

/// Takes over what was remembered; anything unreadable stays as designed.
pub fn recall(view: &mut View, storage: &dyn Storage) {
    let number = |key: &str, bounds: RangeInclusive<f32>| {
        storage.get_string(key).and_then(|text| text.parse::<f32>().ok()).filter(|v| bounds.contains(v))
    };
    let theme = storage.get_string(THEME).and_then(|name| Theme::ALL.into_iter().find(|t| t.label() == name));
    let place = storage.get_string(PLACE).and_then(|name| Place::ALL.into_iter().find(|p| p.label() == name));
    view.tour_seen = storage.get_string(TOUR_SEEN).is_some_and(|seen| seen == "true");
    view.theme = theme.unwrap_or(view.theme);
    view.place = place.unwrap_or(view.place);
    view.text_scale = number(TEXT_SCALE, TEXT_SCALES).unwrap_or(view.text_scale);
    for (key, share) in splits(view) {
        *share = number(key, SHARES).unwrap_or(*share);
    }
}

/// Remembers.
pub fn remember(view: &mut View, storage: &mut dyn Storage) {
    storage.set_string(THEME, view.theme.label().to_owned());
    storage.set_string(TEXT_SCALE, view.text_scale.to_string());
    storage.set_string(PLACE, view.place.label().to_owned());
    storage.set_string(TOUR_SEEN, view.tour_seen.to_string());
    for (key, share) in splits(view) {
        storage.set_string(key, share.to_string());
    }
}

fn splits(view: &mut View) -> [(&'static str, &mut f32); 3] {
    let parts = &mut view.splits;
    [("split_tune", &mut parts.tune), ("split_scorecard", &mut parts.scorecard), ("split_car", &mut parts.car)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashMap;

    #[derive(Default)]
    struct Store(HashMap<String, String>);

    impl Storage for Store {
        fn get_string(&self, key: &str) -> Option<String> {
            self.0.get(key).cloned()
        }
        fn set_string(&mut self, key: &str, value: String) {
            self.0.insert(key.to_owned(), value);
        }
        fn remove_string(&mut self, key: &str) {
            self.0.remove(key);
        }
        fn flush(&mut self) {}
    }

    #[test]
    fn the_window_comes_back_as_it_was_left() {
        let mut store = Store::default();
        let mut view = View::default();
        (view.theme, view.text_scale, view.place) = (Theme::HighContrast, 1.4, Place::Logbook);
        view.splits.tune = 0.55;
        view.tour_seen = true;
        remember(&mut view, &mut store);
        let mut next = View::default();
        recall(&mut next, &store);
        assert_eq!((next.theme, next.text_scale, next.place), (view.theme, view.text_scale, view.place));
        assert_eq!(next.splits, view.splits);
        assert!(next.tour_seen, "the tour does not begin again by itself");
    }

    #[test]
    fn a_broken_store_leaves_the_window_as_designed() {
        let mut store = Store::default();
        for key in [THEME, TEXT_SCALE, PLACE, "split_tune", "split_scorecard", "split_car"] {
            for nonsense in ["", "NaN", "-3", "1e30", "🜨", "inf"] {
                store.set_string(key, nonsense.to_owned());
                let (mut view, designed) = (View::default(), View::default());
                recall(&mut view, &store);
                assert_eq!(
                    (view.theme, view.text_scale, view.place),
                    (designed.theme, designed.text_scale, designed.place)
                );
                assert_eq!(view.splits, designed.splits, "{key} {nonsense}");
            }
        }
    }
}
