//! What each wheel meets over time: roads by class, obstacles, sines, measured profiles, and manoeuvres.
//!
//! An [`Event`] names a surface and a manoeuvre; [`sample`] turns it into an [`Input`]: road height and its rate under
//! each wheel, vehicle speed and accelerations, at every plant step; a [`Stream`] gives the same samples piece by piece.
//! The same event, geometry and step give the same
//! bytes on every call and for any number of threads.
//!
//! The car is a [`Geometry`] here and no more: masses, springs and control live elsewhere.

mod along;
mod class;
mod coherence;
mod cone_track;
pub mod density;
mod event;
mod excerpt;
mod input;
mod laid;
mod line;
mod manoeuvre;
mod obstacle;
mod patches;
mod pieces;
mod profile;
mod random;
pub mod roughness;
mod sine;
mod single_track;
mod stream;
mod way;

pub use along::{Heights, heights};
pub use class::{CLASS_LETTERS, CLASSES, PsdBounds, class_of, class_psd_at_n0_m3, psd_bounds};
pub use coherence::track_coherence;
pub use cone_track::{CLEARANCE_M, ConeLine, ConeTrack, Cones, Lane};
pub use event::{Event, Geometry, Side, Spacing, Surface, Tracks};
pub use input::{Input, Outline, WheelInput, sample};
pub use manoeuvre::{Manoeuvre, Steering};
pub use patches::PatchedRoad;
pub use pieces::{ExpansionJoints, RAIL_HEAD_M, RAILWAY_GAUGE_M, RailwayCrossing};
pub use profile::{Elevation, Profile, ProfileError};
pub use random::RandomRoad;
pub use single_track::SingleTrack;
pub use stream::Stream;

/// Reference wavenumber of ISO 8608, cycles/m.
pub const REFERENCE_CYCLES_PER_M: f64 = 0.1;
