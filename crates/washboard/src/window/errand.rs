//! A small piece of work on a thread of its own, asked after once a frame.

use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// Work that was sent off; its result can be taken once.
pub struct Errand<T> {
    result: Receiver<T>,
}

/// How far an errand is.
pub enum Step<T> {
    /// Still out.
    Out(Errand<T>),
    /// Back with a result.
    Back(T),
    /// It ended in a fault inside the program.
    Lost,
}

impl<T: Send + 'static> Errand<T> {
    /// Sends `work` off; `wake_window` is called when it is back.
    pub fn send(
        name: &str,
        wake_window: impl FnOnce() + Send + 'static,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> std::io::Result<Self> {
        let (sender, result) = channel();
        std::thread::Builder::new().name(name.to_owned()).spawn(move || {
            // Dropping the sender without a word, as a panic does, counts as lost.
            if sender.send(work()).is_ok() {
                wake_window();
            }
        })?;
        Ok(Errand { result })
    }

    /// Asks whether it is back.
    pub fn step(self) -> Step<T> {
        match self.result.try_recv() {
            Ok(result) => Step::Back(result),
            Err(TryRecvError::Empty) => Step::Out(self),
            Err(TryRecvError::Disconnected) => Step::Lost,
        }
    }
}
