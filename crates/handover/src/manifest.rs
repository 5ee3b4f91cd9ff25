//! The manifest: what the folder holds, sealed.

use serde::{Deserialize, Serialize};

use washboard_session::{Release, SetStatus};

use crate::checks::PreCheck;
use crate::identity::sha256_hex;

/// Name of the manifest in the folder.
pub const MANIFEST_FILE: &str = "manifest.json";
/// The newest format of a manifest this program writes and reads.
pub const MANIFEST_FORMAT: u32 = 1;

/// What `manifest.json` holds.
///
/// Its canonical bytes are JSON with the fields in this order, two spaces of indentation a level, and one line feed at
/// the end. `seal` is the SHA-256 of those bytes with `seal` empty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// Version of the manifest and of the folder's layout.
    pub format: u32,
    /// Identity of the set, 64 hexadecimal digits.
    pub identity: String,
    /// Names of the modes, in the set's order.
    pub modes: Vec<String>,
    /// When it was written, RFC 3339.
    pub created: String,
    /// Which program wrote it.
    pub program: String,
    /// What it is for.
    pub note: String,
    /// What it may be used for; absent in older folders.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub status: Option<SetStatus>,
    /// Who acknowledged the cautions and answers for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub release: Option<Release>,
    /// Identity of the set it went on from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parent: Option<String>,
    /// What differs from that set, a sentence each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub difference: Vec<String>,
    /// Name of the control unit's layout, where there is an image.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layout: Option<String>,
    /// Units in words.
    pub units: Vec<String>,
    /// Axes in words.
    pub axes: Vec<String>,
    /// Signs in words.
    pub signs: Vec<String>,
    /// The cautions that go with every set.
    pub cautions: Vec<String>,
    /// The checks made before the hand-over, with their outcome.
    pub checks: Vec<PreCheck>,
    /// Every other file in the folder, in order of path.
    pub files: Vec<FileEntry>,
    /// SHA-256 of the manifest's canonical bytes with this field empty.
    pub seal: String,
}

/// One file of the folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileEntry {
    /// Path in the folder, with `/` between the parts.
    pub path: String,
    /// Length, bytes.
    pub bytes: u64,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
}

impl FileEntry {
    pub(crate) fn new(path: &str, bytes: &[u8]) -> Self {
        FileEntry { path: path.to_owned(), bytes: bytes.len() as u64, sha256: sha256_hex(bytes) }
    }
}

impl Manifest {
    /// The one form in which the manifest may stand in the folder.
    pub fn canonical_bytes(&self) -> Result<Vec<u8>, serde_json::Error> {
        let mut bytes = serde_json::to_vec_pretty(self)?;
        bytes.push(b'\n');
        Ok(bytes)
    }

    /// The seal its content asks for, whatever stands in `seal`.
    pub fn expected_seal(&self) -> Result<String, serde_json::Error> {
        let open = Manifest { seal: String::new(), ..self.clone() };
        Ok(sha256_hex(&open.canonical_bytes()?))
    }
}
