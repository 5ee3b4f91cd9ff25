//! What background work starts from: a state of the session with its folder, and what is kept from one state to the next.

use crate::profiles;
use std::path::PathBuf;
use std::sync::Arc;
use washboard_session::Session;
use washboard_study::{Memory, Profiles, Study};

/// A state of the session.
#[derive(Clone)]
pub struct Ground {
    /// The session as it is.
    pub session: Arc<Session>,
    /// Its revision.
    pub revision: u64,
    /// Folder of its file, where its profiles lie.
    pub folder: Option<PathBuf>,
}

/// Results and profiles that outlive a state of the session.
#[derive(Default)]
pub struct Bedrock {
    memory: Memory,
    profiles: Option<(Option<PathBuf>, Vec<String>, Profiles)>,
}

impl Bedrock {
    /// Compiles the session; its profiles are read where they are not known.
    pub fn study(&mut self, ground: &Ground) -> anyhow::Result<Study> {
        let named = profiles::named(&ground.session);
        let is_known = self.profiles.as_ref().is_some_and(|(at, files, _)| *at == ground.folder && *files == named);
        if !is_known {
            let read = profiles::read_all(&ground.session, ground.folder.as_deref())?;
            self.profiles = Some((ground.folder.clone(), named, read));
        }
        let none = Profiles::default();
        let profiles = self.profiles.as_ref().map_or(&none, |(.., profiles)| profiles);
        // The history is not needed, and checking it takes time.
        let session = ground.session.without_history();
        Ok(Study::new(&session, profiles)?.sharing(&self.memory))
    }
}
