//! What happens in the window, one plain line each, for scripts that drive it: `WASHBOARD_JOURNAL=<file>`.
//!
//! Beside the events it tells where on the screen every named control lies, taken from the accessibility tree, so that
//! a script finds a button by its name instead of by a pixel somebody measured.

use egui::accesskit::{Node, NodeId, Role};
use std::collections::HashMap;
use std::fs::File;
use std::io::Write;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

/// The file that lines go to; without one every call does nothing. A clone writes to the same file.
#[derive(Clone)]
pub struct Journal {
    file: Option<Arc<Mutex<File>>>,
    since: Instant,
}

impl Journal {
    /// Opens the file that the environment names.
    pub fn from_environment() -> Self {
        let file = std::env::var_os("WASHBOARD_JOURNAL").and_then(|path| {
            File::create(&path).map_err(|e| tracing::warn!("the journal {path:?} cannot be written: {e}")).ok()
        });
        Journal { file: file.map(|f| Arc::new(Mutex::new(f))), since: Instant::now() }
    }

    /// True where somebody reads along.
    pub fn is_kept(&self) -> bool {
        self.file.is_some()
    }

    /// Has the places of controls noted from now on, where somebody reads along.
    pub fn watch_controls(&self, ctx: &egui::Context) {
        if self.file.is_some() {
            ctx.enable_accesskit();
            ctx.add_plugin(Controls { journal: self.clone(), known: HashMap::new() });
        }
    }

    /// Writes one line with the time since the start in ms before it.
    pub fn note(&self, line: &str) {
        let Some(file) = &self.file else { return };
        let line = format!("{} {}\n", self.since.elapsed().as_millis(), crate::sink::one_line(line));
        let mut file = file.lock().unwrap_or_else(PoisonError::into_inner);
        // A journal that cannot be written is missed by its reader, not by the engineer.
        let _ = file.write_all(line.as_bytes());
    }
}

/// Notes the place of a control whenever it is new or has moved: `control <id> <left> <top> <right> <bottom> <name>` in
/// pixels of the window, and `gone <id>`.
struct Controls {
    journal: Journal,
    known: HashMap<NodeId, (String, [i64; 4])>,
}

impl egui::Plugin for Controls {
    fn debug_name(&self) -> &'static str {
        "journal of controls"
    }

    fn output_hook(&mut self, ctx: &egui::Context, output: &mut egui::FullOutput) {
        let Some(tree) = &output.platform_output.accesskit_update else { return };
        let scale = f64::from(ctx.pixels_per_point());
        let mut now = HashMap::new();
        for (id, node) in &tree.nodes {
            let (Some(name), Some(at)) = (name_of(node), node.bounds()) else { continue };
            let place = [at.x0, at.y0, at.x1, at.y1].map(|v| (v * scale).round() as i64);
            let control = (name, place);
            if self.known.get(id) != Some(&control) {
                let (name, [x0, y0, x1, y1]) = &control;
                self.journal.note(&format!("control {} {x0} {y0} {x1} {y1} {name}", id.0));
            }
            now.insert(*id, control);
        }
        for id in self.known.keys().filter(|id| !now.contains_key(*id)) {
            self.journal.note(&format!("gone {}", id.0));
        }
        self.known = now;
    }
}

/// Name of a control that can be acted on; plain text has none here.
fn name_of(node: &Node) -> Option<String> {
    let is_control = !matches!(node.role(), Role::Label | Role::Window | Role::GenericContainer | Role::Unknown);
    node.label().filter(|name| is_control && !name.is_empty()).map(str::to_owned)
}
