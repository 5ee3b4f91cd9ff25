//! Measured road profiles, read by whoever may touch files and passed beside the session.

use std::collections::BTreeMap;
use std::sync::Arc;
use washboard_road::Profile;

/// Profiles by the file name that the session gives.
#[derive(Clone, Debug, Default)]
pub struct Profiles(BTreeMap<String, Arc<Profile>>);

impl Profiles {
    /// Adds one.
    pub fn insert(&mut self, file: impl Into<String>, profile: Profile) {
        self.0.insert(file.into(), Arc::new(profile));
    }

    /// The profile of that file name.
    pub fn get(&self, file: &str) -> Option<&Arc<Profile>> {
        self.0.get(file)
    }
}
