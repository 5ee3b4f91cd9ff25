//! Figures of the car that need no run.
