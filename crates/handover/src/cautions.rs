//! The cautions that go with every set.

/// What whoever puts a set into a car has to know; shown at every hand-over, in `README.txt` and in the manifest.
pub const CAUTIONS: [&str; 5] = [
    "A set handed to a car changes how that car behaves.",
    "Prototype calibrations are for trained drivers on closed courses under the site's rules; start at low speed, with a \
     way back to the last known good set.",
    "Check the fail-safe behaviour (supply lost, sensor lost) before driving.",
    "Simulation does not replace measurement.",
    "Release for public roads follows local law, type approval and the maker's own functional-safety process, signed by \
     those licensed to do so.",
];
