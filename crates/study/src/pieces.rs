//! The roads of a block that are sampled while they are driven, a few seconds at a time.

use crate::block::Task;
use crate::roads::Road;
use washboard_road::{Input, Stream};

/// Plant steps of a piece at most: longer ones save little and take more memory.
const PIECE_STEPS: usize = 8192;

/// The roads of some tasks, each once.
pub(crate) struct Pieces {
    streams: Vec<Stream>,
    /// Which one each task drives.
    of_task: Vec<usize>,
    /// How far the loop looks beyond a piece, steps.
    ahead: usize,
    from: usize,
}

impl Pieces {
    /// Of tasks of one length; none where their roads are kept.
    pub fn new(tasks: &[&Task<'_>], ahead: usize) -> Option<Self> {
        let mut known: Vec<*const ()> = Vec::new();
        let (mut streams, mut of_task) = (Vec::new(), Vec::new());
        for task in tasks {
            let Road::Streamed(streamed) = &task.road else { return None };
            let place = task.road.place();
            let number = known.iter().position(|k| *k == place).unwrap_or(known.len());
            if number == known.len() {
                known.push(place);
                streams.push(streamed.0.stream());
            }
            of_task.push(number);
        }
        Some(Pieces { streams, of_task, ahead, from: 0 })
    }

    /// Which of a piece's inputs a task drives.
    pub fn input_of(&self, task: usize) -> usize {
        self.of_task[task]
    }

    /// The next piece, of at most so many steps: how many it has, and the samples of each road, with those beyond that the loop
    /// looks at.
    pub fn next(&mut self, most: usize) -> (usize, Vec<Input>) {
        let steps = most.min(PIECE_STEPS);
        let inputs = self.streams.iter_mut().map(|s| s.piece(self.from, steps + self.ahead)).collect();
        self.from += steps;
        (steps, inputs)
    }
}
