//! A result that is computed in the background for the newest wish; an older computation is stopped.

use super::errand::{Errand, Step};
use std::sync::Arc;
use washboard_study::Progress;

struct Running<K, T> {
    key: K,
    progress: Arc<Progress>,
    errand: Errand<Result<T, String>>,
}

/// One result, told by the key that it was computed for.
pub struct Computed<K, T> {
    asked: Option<K>,
    running: Option<Running<K, T>>,
    done: Option<(K, Result<T, String>)>,
}

impl<K, T> Default for Computed<K, T> {
    fn default() -> Self {
        Computed { asked: None, running: None, done: None }
    }
}

impl<K: PartialEq + Clone, T: Send + 'static> Computed<K, T> {
    /// Sees to it that the result of this key is there, or on its way.
    pub fn ask(
        &mut self,
        key: &K,
        name: &str,
        wake_window: impl FnOnce() + Send + 'static,
        work: impl FnOnce(&Progress) -> anyhow::Result<T> + Send + 'static,
    ) {
        self.asked = Some(key.clone());
        if let Some(running) = &self.running {
            if running.key != *key {
                running.progress.cancel();
            }
            return;
        }
        if self.is_fresh() {
            return;
        }
        let progress = Arc::new(Progress::new());
        let mine = Arc::clone(&progress);
        let errand = Errand::send(name, wake_window, move || work(&mine).map_err(|fault| format!("{fault:#}")));
        match errand {
            Ok(errand) => self.running = Some(Running { key: key.clone(), progress, errand }),
            Err(fault) => self.done = Some((key.clone(), Err(fault.to_string()))),
        }
    }

    /// Takes in what is ready; true where that is the result asked for.
    pub fn collect(&mut self) -> bool {
        let Some(Running { key, progress, errand }) = self.running.take() else { return false };
        match errand.step() {
            Step::Out(errand) => {
                self.running = Some(Running { key, progress, errand });
                return false;
            }
            // What was stopped says nothing.
            Step::Back(_) if progress.is_cancelled() => return false,
            Step::Back(result) => self.done = Some((key, result)),
            Step::Lost => self.done = Some((key, Err("a fault inside the computation.".to_owned()))),
        }
        self.is_fresh()
    }

    /// True where the newest result is the one asked for.
    pub fn is_fresh(&self) -> bool {
        self.done.as_ref().is_some_and(|(key, _)| self.asked.as_ref() == Some(key))
    }

    /// The result asked for, once it is there.
    pub fn fresh(&self) -> Option<&Result<T, String>> {
        self.done.as_ref().filter(|_| self.is_fresh()).map(|(_, result)| result)
    }

    /// The newest result, whatever it was asked for.
    pub fn newest(&self) -> Option<&Result<T, String>> {
        self.done.as_ref().map(|(_, result)| result)
    }

    /// The newest result with its key, taken out.
    pub fn take(&mut self) -> Option<(K, Result<T, String>)> {
        self.done.take()
    }

    /// What is being computed.
    pub fn running(&self) -> Option<&K> {
        self.running.as_ref().map(|running| &running.key)
    }

    /// Pieces finished and in all, while something is computed.
    pub fn progress(&self) -> Option<(usize, usize)> {
        self.running.as_ref().map(|running| running.progress.state())
    }

    /// Stops and forgets.
    pub fn forget(&mut self) {
        if let Some(running) = &self.running {
            running.progress.cancel();
        }
        (self.asked, self.done) = (None, None);
    }
}

impl<K, T> Drop for Computed<K, T> {
    fn drop(&mut self) {
        if let Some(running) = &self.running {
            running.progress.cancel();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};

    fn wait(it: &mut Computed<u32, u32>) {
        let until = Instant::now() + Duration::from_secs(20);
        while it.running.is_some() {
            assert!(Instant::now() < until, "no answer");
            it.collect();
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    #[test]
    fn the_newest_wish_wins_and_what_was_stopped_says_nothing() {
        let mut it = Computed::default();
        // Goes on until it is stopped.
        let endless = |progress: &Progress| {
            while !progress.is_cancelled() {
                std::thread::sleep(Duration::from_millis(1));
            }
            Ok(1)
        };
        it.ask(&1, "test", || {}, endless);
        assert!(!it.is_fresh() && it.progress().is_some());
        it.ask(&2, "test", || {}, |_| Ok(2));
        wait(&mut it);
        assert_eq!(it.newest(), None);
        it.ask(&2, "test", || {}, |_| Ok(2));
        wait(&mut it);
        assert_eq!(it.fresh(), Some(&Ok(2)));
        it.ask(&3, "test", || {}, |_| anyhow::bail!("no"));
        assert_eq!((it.fresh(), it.newest()), (None, Some(&Ok(2))));
        wait(&mut it);
        assert_eq!(it.fresh(), Some(&Err("no".to_owned())));
    }
}
