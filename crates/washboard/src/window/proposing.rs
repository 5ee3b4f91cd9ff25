//! A layout proposed for the set on screen: found out anew with every edit, away from the window, and kept nowhere until
//! somebody saves it.

use super::computed::Computed;
use super::handing_over::Ground;
use std::sync::Arc;
use washboard_handover::{CarSet, Layout, Proposal, quantise};
use washboard_ui::{Held, ProposedLayout};

#[derive(Clone, PartialEq)]
struct Key {
    revision: u64,
    modes: Vec<usize>,
    proposal: Proposal,
}

/// What is proposed now.
#[derive(Default)]
pub struct Proposing {
    now: Computed<Key, ProposedLayout>,
    is_asked: bool,
}

impl Proposing {
    /// Sees to it that the proposal that is asked for is there, or on its way.
    pub fn ask(&mut self, ground: &Ground, waker: impl Fn() + Send + 'static) {
        self.is_asked = ground.proposal.is_some();
        let Some(proposal) = ground.proposal.clone() else { return };
        let key = Key { revision: ground.revision, modes: ground.modes.clone(), proposal: proposal.clone() };
        let (session, modes) = (Arc::clone(&ground.session), ground.modes.clone());
        self.now.ask(&key, "layout proposed", waker, move |_| {
            let set = CarSet::from_session(&session, &modes)?;
            let layout = Layout::propose(&set, &proposal)?;
            let quantised = quantise(&set, &layout)?;
            Ok(ProposedLayout { layout, held: Held { errors: quantised.errors, left_out: quantised.left_out } })
        });
    }

    /// Takes in what is ready; true where that is what was asked for.
    pub fn collect(&mut self) -> bool {
        self.now.collect()
    }

    /// What is shown of it, and whether that belongs to what is on screen.
    pub fn view(&self) -> (Option<Result<ProposedLayout, String>>, bool) {
        (self.now.newest().filter(|_| self.is_asked).cloned(), self.now.is_fresh())
    }

    /// The layout that belongs to what is on screen.
    pub fn layout(&self) -> Option<Layout> {
        let proposed = self.now.fresh().filter(|_| self.is_asked)?.as_ref().ok()?;
        Some(proposed.layout.clone())
    }

    /// Forgets what was found out of a session that is no longer shown.
    pub fn forget(&mut self) {
        self.now.forget();
    }
}
