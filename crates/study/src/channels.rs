//! Time histories of one run: written sample by sample, read one channel at a time.

use std::sync::{Arc, OnceLock};
use washboard_signal::{Number, Numbers, Precision};

/// Time histories of one run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    /// Sample times, s.
    pub time_s: Vec<f64>,
    titles: Arc<[Title]>,
    /// Sample after sample the values of all channels, in the precision of the run: a run is recorded with every edit, and few
    /// of its channels are read.
    rows: Numbers,
    columns: Columns,
}

/// What a channel is called.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Title {
    /// Name with SI unit, as in the CSV header (`front_left_wheel_load_n`).
    pub name: String,
    /// Name on screen.
    pub label: String,
    /// SI unit.
    pub unit: &'static str,
}

/// One channel of a trace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Channel<'t> {
    /// What it is called.
    pub title: &'t Title,
    /// Samples, one at each of the trace's times.
    pub values: &'t [f64],
}

/// The channels that somebody has read, value after value: a plot reads the same few of them with every frame.
#[derive(Clone, Debug, Default)]
struct Columns(Vec<OnceLock<Vec<f64>>>);

impl PartialEq for Columns {
    /// They follow from the rows.
    fn eq(&self, _: &Columns) -> bool {
        true
    }
}

impl Trace {
    /// Channels of these titles, sample after sample a value of each.
    pub(crate) fn of_rows<N: Number>(titles: Arc<[Title]>, time_s: Vec<f64>, rows: Vec<N>) -> Self {
        debug_assert_eq!(rows.len(), time_s.len() * titles.len(), "a value of every channel at every time");
        Trace { time_s, rows: N::list(rows), columns: Columns(vec![OnceLock::new(); titles.len()]), titles }
    }

    /// The room of times and rows, empty: that of this trace where it is of the same precision and nobody needs it any more.
    pub(crate) fn into_room<N: Number>(self) -> (Vec<f64>, Vec<N>) {
        let (mut time_s, mut rows) = (self.time_s, N::unlist(self.rows).unwrap_or_default());
        time_s.clear();
        rows.clear();
        (time_s, rows)
    }

    /// The precision of its values.
    pub(crate) fn precision(&self) -> Precision {
        self.rows.precision()
    }

    /// Channels with a value at each of the times.
    ///
    /// # Panics
    /// If one has more or fewer values: a fault of the caller.
    pub fn of_channels(time_s: Vec<f64>, channels: Vec<(Title, Vec<f64>)>) -> Self {
        let (titles, values): (Vec<Title>, Vec<Vec<f64>>) = channels.into_iter().unzip();
        assert!(values.iter().all(|v| v.len() == time_s.len()), "a value of every channel at every time");
        let rows: Vec<f64> = (0..time_s.len()).flat_map(|index| values.iter().map(move |v| v[index])).collect();
        Trace::of_rows(titles.into(), time_s, rows)
    }

    /// What the channels are called, in the order of the rows.
    pub fn titles(&self) -> &[Title] {
        &self.titles
    }

    /// Sample after sample the values of all channels.
    pub fn rows(&self) -> impl Iterator<Item = impl Iterator<Item = f64>> {
        let width = self.titles.len();
        let samples = self.rows.len() / width.max(1);
        (0..samples).map(move |index| (index * width..(index + 1) * width).filter_map(|at| self.rows.get(at)))
    }

    /// True where there is a channel of that name.
    pub fn has(&self, name: &str) -> bool {
        self.place(name).is_some()
    }

    /// The channel of that name. Its values are put beside one another the first time it is asked for.
    pub fn channel(&self, name: &str) -> Option<Channel<'_>> {
        let place = self.place(name)?;
        let values = self.columns.0[place].get_or_init(|| self.rows.every(place, self.titles.len()));
        Some(Channel { title: &self.titles[place], values })
    }

    /// The value of a channel at a sample.
    pub fn value(&self, name: &str, index: usize) -> Option<f64> {
        let place = self.place(name)?;
        self.rows.get(index * self.titles.len() + place)
    }

    fn place(&self, name: &str) -> Option<usize> {
        self.titles.iter().position(|title| title.name == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn title(name: &str) -> Title {
        Title { name: name.to_owned(), ..Title::default() }
    }

    #[test]
    fn channels_give_back_what_was_put_in() {
        for len in [0, 1, 2, 1003] {
            let values = |k: usize| (0..len).map(|i| (1000 * k + i) as f64).collect::<Vec<f64>>();
            let names = ["a", "b", "c"];
            let columns = names.iter().enumerate().map(|(k, name)| (title(name), values(k)));
            let trace = Trace::of_channels(values(9), columns.collect());
            let untouched = trace.clone();
            assert_eq!(trace.time_s, values(9));
            assert_eq!(trace.titles().iter().map(|t| t.name.as_str()).collect::<Vec<_>>(), names);
            for (k, name) in names.into_iter().enumerate() {
                let channel = trace.channel(name).unwrap();
                assert_eq!((channel.title.name.as_str(), channel.values), (name, values(k).as_slice()));
                let each: Vec<Option<f64>> = (0..=len).map(|i| trace.value(name, i)).collect();
                assert_eq!(each, values(k).into_iter().map(Some).chain([None]).collect::<Vec<_>>());
            }
            let rows: Vec<Vec<f64>> = trace.rows().map(Iterator::collect).collect();
            assert_eq!(rows, (0..len).map(|i| (0..3).map(|k| values(k)[i]).collect()).collect::<Vec<Vec<f64>>>());
            assert!(trace.has("b") && !trace.has("d") && trace.channel("d").is_none() && trace.value("d", 0).is_none());
            assert_eq!(trace, untouched, "reading changes nothing");
        }
        assert_eq!(Trace::of_channels(vec![0.0, 1.0], Vec::new()).rows().count(), 0);
    }

    #[test]
    #[should_panic(expected = "a value of every channel at every time")]
    fn a_channel_that_is_too_short_is_refused() {
        Trace::of_channels(vec![0.0, 1.0], vec![(title("a"), vec![0.0])]);
    }
}
