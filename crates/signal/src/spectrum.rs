//! Power and cross spectra.
