//! Progress of a verb on standard error, drawn only where a person can see it.

use crate::records::Watch;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use washboard_study::Progress;

/// Runs `work` with something to tell how many bytes were read of how many, showing a bar meanwhile where standard error
/// is a terminal.
pub fn with_bytes<T>(work: impl FnOnce(&mut Watch<'_>) -> T) -> T {
    let bar = ProgressBar::with_draw_target(Some(0), ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {bytes}/{total_bytes}  {elapsed}") {
        bar.set_style(style);
    }
    let result = work(&mut |done, all| {
        bar.set_length(all);
        bar.set_position(done);
        Ok(())
    });
    bar.finish_and_clear();
    result
}

/// Runs `work` with a progress to report to, showing a bar meanwhile where standard error is a terminal.
pub fn with_bar<T>(work: impl FnOnce(&Progress) -> T) -> T {
    let progress = Arc::new(Progress::new());
    let target = ProgressDrawTarget::stderr();
    if target.is_hidden() {
        return work(&progress);
    }
    let bar = ProgressBar::with_draw_target(Some(0), target);
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos}/{len} runs  {elapsed}") {
        bar.set_style(style);
    }
    let over = Arc::new(AtomicBool::new(false));
    let watcher = {
        let (bar, progress, over) = (bar.clone(), Arc::clone(&progress), Arc::clone(&over));
        std::thread::spawn(move || {
            while !over.load(Ordering::Relaxed) {
                let (done, total) = progress.state();
                bar.set_length(total as u64);
                bar.set_position(done as u64);
                std::thread::park_timeout(Duration::from_millis(60));
            }
        })
    };
    let result = work(&progress);
    over.store(true, Ordering::Relaxed);
    watcher.thread().unpark();
    // The watcher only draws; if it failed there is nothing to save.
    let _ = watcher.join();
    bar.finish_and_clear();
    result
}
