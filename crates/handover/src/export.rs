//! Writes a set into a folder that is complete and proven, or absent.
//!
//! Everything is written into a folder beside the target, brought to the disk, read back, verified against the session,
//! and only then renamed to the target's name.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

use washboard_session::{Format, Release, Session};

use crate::c_source::{HEADER_FILE, SOURCE_FILE};
use crate::cautions::CAUTIONS;
use crate::checks::PreCheck;
use crate::fault::HandoverFault;
use crate::forms::{to_json, to_ron};
use crate::gate::{Evidence, Wish, gate, parent};
use crate::identity::identity;
use crate::image::encode;
use crate::layout::{Layout, Proposal, Width};
use crate::manifest::{FileEntry, MANIFEST_FILE, MANIFEST_FORMAT, Manifest};
use crate::parts::{settings, tables};
use crate::readme::{AXES, Papers, SIGNS, UNITS, readme};
use crate::set::CarSet;
use crate::table_file::{write_settings, write_table};
use crate::verify::{read_set, verify};

/// The set as RON.
pub(crate) const RON_FILE: &str = "set.ron";
/// The set as JSON.
pub(crate) const JSON_FILE: &str = "set.json";
/// Everything that is not in a table.
pub(crate) const SETTINGS_FILE: &str = "settings.csv";
/// The words.
pub(crate) const README_FILE: &str = "README.txt";

/// What the caller knows about a hand-over; none of it is part of the identity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExportInfo {
    /// When, RFC 3339; the caller has the clock.
    pub created: String,
    /// Name and version of the program.
    pub program: String,
    /// What the set is for.
    pub note: String,
}

/// A set that was written and proven.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exported {
    /// Identity, 64 hexadecimal digits.
    pub identity: String,
    /// Paths of the files in the folder, the manifest first.
    pub files: Vec<String>,
}

/// The set as the control unit's memory, Intel HEX.
pub(crate) const HEX_FILE: &str = "image.hex";
/// The same, plain bytes.
pub(crate) const BIN_FILE: &str = "image.bin";
/// The layout that the image was written after.
pub(crate) const LAYOUT_FILE: &str = "layout.ron";
/// Types and factors of the C files; its addresses mean nothing to C.
pub(crate) const C_LAYOUT_FILE: &str = "c/layout.ron";

/// What goes out besides RON, JSON and CSV.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ExportOptions {
    /// Where each number lies in the control unit: adds the memory image.
    pub layout: Option<Layout>,
    /// C header and source with numbers of this width; with a layout and no width of its own, in the layout's types.
    pub c: Option<CNumbers>,
    /// Status, who answers for it, waivers.
    pub wish: Wish,
    /// What was computed of the modes.
    pub evidence: Evidence,
}

/// What C files are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CNumbers {
    /// The types, factors and offsets of the layout.
    AsLayout,
    /// Types of a width, each table with the finest factor that holds its range.
    Proposed(Width),
}

/// Hands the chosen modes (indices into the session) over into a folder that does not exist yet or is empty.
pub fn export(session: &Session, modes: &[usize], dir: &Path, info: &ExportInfo) -> Result<Exported, HandoverFault> {
    export_with(session, modes, dir, info, &ExportOptions::default())
}

/// The same with C files and memory image where the options ask for them.
pub fn export_with(
    session: &Session,
    modes: &[usize],
    dir: &Path,
    info: &ExportInfo,
    options: &ExportOptions,
) -> Result<Exported, HandoverFault> {
    let set = CarSet::from_session(session, modes)?;
    let gate = gate(session, modes, options.layout.as_ref(), &options.evidence, &options.wish);
    if !gate.is_open() {
        return Err(HandoverFault::Gate { status: gate.status.words(), reasons: gate.obstacles });
    }
    let origin = Origin::of(session, modes);
    let (parent, name) = target(dir)?;
    let files = files(&set, info, &gate.checks, &origin, options)?;

    fs::create_dir_all(&parent).map_err(|error| HandoverFault::io("create", &parent, error))?;
    let draft = Draft::create(&parent, &name)?;
    draft.write(&files)?;
    prove(&draft.path, session, &set)?;
    draft.become_target(dir, &parent)?;
    Ok(Exported {
        identity: identity(&set),
        files: [MANIFEST_FILE.to_owned()]
            .into_iter()
            .chain(files.into_keys().filter(|path| path != MANIFEST_FILE))
            .collect(),
    })
}

/// Where a set comes from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Origin {
    /// Identity of the set it went on from.
    pub parent: Option<String>,
    /// What differs from that set, a sentence each.
    pub difference: Vec<String>,
}

impl Origin {
    /// Most differences that are named.
    const MOST: usize = 200;

    /// Of the session's modes (indices): the set it began from, where the session still knows it.
    pub fn of(session: &Session, modes: &[usize]) -> Origin {
        match parent(session) {
            Some(before) => Origin {
                parent: Some(before.identity.clone()),
                difference: washboard_session::sets::since(session, before, modes, Self::MOST),
            },
            None => Origin { parent: session.began_from.clone(), difference: Vec::new() },
        }
    }
}

/// Every file of the folder, the manifest included.
pub(crate) fn files(
    set: &CarSet,
    info: &ExportInfo,
    checks: &[PreCheck],
    origin: &Origin,
    options: &ExportOptions,
) -> Result<BTreeMap<String, Vec<u8>>, HandoverFault> {
    let form = |error: csv::Error| HandoverFault::Form { form: "CSV", why: error.to_string() };
    let identity = identity(set);
    let mut files = BTreeMap::new();
    files.insert(RON_FILE.to_owned(), to_ron(set)?.into_bytes());
    files.insert(JSON_FILE.to_owned(), to_json(set)?.into_bytes());
    files.insert(SETTINGS_FILE.to_owned(), write_settings(&settings(set)).map_err(form)?);
    let outputs = outputs(set, options)?;
    let names: Vec<&str> = outputs.keys().map(String::as_str).collect();
    files.insert(
        README_FILE.to_owned(),
        readme(set, &identity, info, checks, &Papers { options, origin, outputs: &names }).into_bytes(),
    );
    files.extend(outputs);
    for table in tables(set) {
        files.insert(table.file.clone(), write_table(&table).map_err(form)?);
    }
    let words = |lines: &[&str]| lines.iter().map(|&line| line.to_owned()).collect::<Vec<String>>();
    let mut manifest = Manifest {
        format: MANIFEST_FORMAT,
        identity,
        modes: set.modes.iter().map(|mode| mode.name.clone()).collect(),
        created: info.created.clone(),
        program: info.program.clone(),
        note: info.note.clone(),
        status: Some(options.wish.status),
        release: Some(options.wish.release.clone()).filter(|release| *release != Release::default()),
        parent: origin.parent.clone(),
        difference: origin.difference.clone(),
        layout: options.layout.as_ref().map(|layout| layout.name.clone()),
        units: words(&UNITS),
        axes: words(&AXES),
        signs: words(&SIGNS),
        cautions: words(&CAUTIONS),
        checks: checks.to_vec(),
        files: files.iter().map(|(path, bytes)| FileEntry::new(path, bytes)).collect(),
        seal: String::new(),
    };
    let json = |error: serde_json::Error| HandoverFault::Form { form: "JSON", why: error.to_string() };
    manifest.seal = manifest.expected_seal().map_err(json)?;
    files.insert(MANIFEST_FILE.to_owned(), manifest.canonical_bytes().map_err(json)?);
    Ok(files)
}

/// C files and memory image.
fn outputs(set: &CarSet, options: &ExportOptions) -> Result<BTreeMap<String, Vec<u8>>, HandoverFault> {
    let mut files = BTreeMap::new();
    let no_layout = || HandoverFault::Layout(vec!["C in the types of a layout needs a layout.".to_owned()]);
    let for_c = match (options.c, &options.layout) {
        (None, _) => None,
        (Some(CNumbers::AsLayout), Some(layout)) => Some(layout.clone()),
        (Some(CNumbers::AsLayout), None) => return Err(no_layout()),
        (Some(CNumbers::Proposed(width)), _) => {
            Some(Layout::propose(set, &Proposal { name: "proposed".to_owned(), width, ..Proposal::default() })?)
        }
    };
    if let Some(layout) = for_c {
        let c = crate::c_source::write(set, &layout, options.wish.status.words())?;
        files.insert(HEADER_FILE.to_owned(), c.header.into_bytes());
        files.insert(SOURCE_FILE.to_owned(), c.source.into_bytes());
        files.insert(C_LAYOUT_FILE.to_owned(), layout.text(Format::Ron)?.into_bytes());
    }
    if let Some(layout) = &options.layout {
        let image = encode(set, layout)?;
        files.insert(HEX_FILE.to_owned(), image.to_hex()?.into_bytes());
        files.insert(BIN_FILE.to_owned(), image.bytes);
        files.insert(LAYOUT_FILE.to_owned(), layout.text(Format::Ron)?.into_bytes());
    }
    Ok(files)
}

/// Parent and name of the target, where nothing stands in the way.
fn target(dir: &Path) -> Result<(PathBuf, String), HandoverFault> {
    let refuse = |why: &str| HandoverFault::Target { folder: dir.to_path_buf(), why: why.to_owned() };
    let name = dir.file_name().ok_or_else(|| refuse("it has no name of its own; give the name of a new folder."))?;
    let parent = match dir.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    match fs::symlink_metadata(dir) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {}
        Err(error) => return Err(HandoverFault::io("look at", dir, error)),
        Ok(data) if data.is_symlink() => return Err(refuse("it is a link; give a folder of its own.")),
        Ok(data) if !data.is_dir() => return Err(refuse("there is a file of that name.")),
        Ok(_) => {
            let mut entries = fs::read_dir(dir).map_err(|error| HandoverFault::io("list", dir, error))?;
            if entries.next().is_some() {
                return Err(refuse("it is not empty, and a set already handed over is never overwritten."));
            }
        }
    }
    Ok((parent, name.to_string_lossy().into_owned()))
}

/// Reads a written set back and demands that it is the one that was meant.
fn prove(path: &Path, session: &Session, set: &CarSet) -> Result<(), HandoverFault> {
    let verdict = verify(path, Some(session))?;
    if !verdict.equal {
        return Err(HandoverFault::ReadBack(verdict.differences));
    }
    let read = read_set(path)?;
    if &read != set || verdict.identity != identity(set) {
        return Err(HandoverFault::ReadBack(vec!["The set read back is another one.".to_owned()]));
    }
    Ok(())
}

/// A folder under construction; it vanishes unless it becomes the target.
struct Draft {
    path: PathBuf,
    finished: bool,
}

impl Draft {
    /// A new hidden folder beside the target.
    fn create(parent: &Path, name: &str) -> Result<Draft, HandoverFault> {
        let mut attempt = 0;
        loop {
            let path = parent.join(format!(".{name}.unfinished-{}-{attempt}", std::process::id()));
            match fs::create_dir(&path) {
                Ok(()) => return Ok(Draft { path, finished: false }),
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists && attempt < 1000 => attempt += 1,
                Err(error) => return Err(HandoverFault::io("create", &path, error)),
            }
        }
    }

    /// Writes all files and brings them and their folders to the disk.
    fn write(&self, files: &BTreeMap<String, Vec<u8>>) -> Result<(), HandoverFault> {
        let mut folders = BTreeSet::from([self.path.clone()]);
        for (name, bytes) in files {
            let path = self.path.join(name);
            if let Some(folder) = path.parent().filter(|folder| !folders.contains(*folder)) {
                fs::create_dir_all(folder).map_err(|error| HandoverFault::io("create", folder, error))?;
                folders.insert(folder.to_path_buf());
            }
            let write = || -> std::io::Result<()> {
                let mut file = OpenOptions::new().write(true).create_new(true).open(&path)?;
                file.write_all(bytes)?;
                file.sync_all()
            };
            write().map_err(|error| HandoverFault::io("write", &path, error))?;
        }
        for folder in folders.iter().rev() {
            sync_folder(folder)?;
        }
        Ok(())
    }

    /// Takes the target's name. An empty folder of that name gives way; any other makes the renaming fail.
    fn become_target(mut self, dir: &Path, parent: &Path) -> Result<(), HandoverFault> {
        match fs::remove_dir(dir) {
            Ok(()) => {}
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {}
            Err(error) => return Err(HandoverFault::io("replace the empty folder", dir, error)),
        }
        fs::rename(&self.path, dir).map_err(|error| HandoverFault::io("give the finished set its name", dir, error))?;
        self.finished = true;
        sync_folder(parent)
    }
}

impl Drop for Draft {
    fn drop(&mut self) {
        if !self.finished {
            // Nothing more can be done about a folder that will not go; its name says what it is.
            let _ = fs::remove_dir_all(&self.path);
        }
    }
}

/// Brings a folder's list of names to the disk, where the system has such a thing.
fn sync_folder(path: &Path) -> Result<(), HandoverFault> {
    if cfg!(unix) {
        let sync = || File::open(path)?.sync_all();
        sync().map_err(|error| HandoverFault::io("bring to the disk", path, error))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::set_checks;
    use crate::fixture;

    fn info() -> ExportInfo {
        ExportInfo { created: "2026-11-25T10:00:00Z".into(), program: "test 0".into(), note: "first drive".into() }
    }

    fn entries(path: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(path).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_set_comes_back_number_for_number_and_leaves_nothing_else() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("deep/er/set");
        let exported = export(&fixture::session(), &[1, 0], &target, &info()).unwrap();
        assert_eq!(read_set(&target).unwrap(), fixture::set());
        assert_eq!(exported.identity, identity(&fixture::set()));
        assert_eq!(entries(target.parent().unwrap()), ["set"]);
        for file in &exported.files {
            assert!(target.join(file).is_file(), "{file}");
        }
        // 3 plain files, 2 dampers, 2 modes of 6 maps and 2 inverse tables, words, manifest.
        assert_eq!(exported.files.len(), 3 + 2 + 2 * 8 + 1 + 1);
        let mut modes = fixture::session().modes;
        modes.reverse();
        assert_eq!(read_set(&target).unwrap().modes(), modes, "in the order of names");
    }

    #[test]
    fn the_same_calibration_makes_the_same_bytes() {
        let set = fixture::set();
        let checks = set_checks(&set);
        assert_eq!(
            files(&set, &info(), &checks, &Origin::default(), &ExportOptions::default()).unwrap(),
            files(&set, &info(), &checks, &Origin::default(), &ExportOptions::default()).unwrap()
        );
    }

    #[test]
    fn an_empty_folder_gives_way_and_a_full_one_a_file_or_a_link_do_not() {
        let dir = tempfile::tempdir().unwrap();
        let empty = dir.path().join("empty");
        fs::create_dir(&empty).unwrap();
        export(&fixture::session(), &[0], &empty, &info()).unwrap();

        let before = fs::read(empty.join(MANIFEST_FILE)).unwrap();
        let again = export(&fixture::session(), &[1], &empty, &info()).unwrap_err().to_string();
        assert!(again.contains("not empty"), "{again}");
        assert_eq!(fs::read(empty.join(MANIFEST_FILE)).unwrap(), before);

        let file = dir.path().join("file");
        fs::write(&file, "x").unwrap();
        assert!(export(&fixture::session(), &[0], &file, &info()).is_err());
        assert!(export(&fixture::session(), &[0], &dir.path().join(".."), &info()).is_err());
        #[cfg(unix)]
        {
            let link = dir.path().join("link");
            std::os::unix::fs::symlink(dir.path().join("nowhere"), &link).unwrap();
            assert!(export(&fixture::session(), &[0], &link, &info()).is_err());
            fs::remove_file(link).unwrap();
        }
        assert_eq!(entries(dir.path()), ["empty", "file"], "nothing unfinished stays");
    }

    #[test]
    fn a_session_that_breaks_a_rule_is_refused_and_nothing_is_written() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("set");
        let mut session = fixture::session();
        session.modes[0].heave.values_n_s_per_m[0][0] = f64::NAN;
        assert!(matches!(export(&session, &[1], &target, &info()), Err(HandoverFault::Session(_))));
        assert!(matches!(export(&fixture::session(), &[], &target, &info()), Err(HandoverFault::NoMode)));
        let missing = export(&fixture::session(), &[0, 2], &target, &info());
        assert!(matches!(missing, Err(HandoverFault::NoSuchMode { index: 2, count: 2 })));
        assert_eq!(entries(dir.path()), [] as [&str; 0]);
    }

    #[test]
    fn an_export_that_stops_halfway_leaves_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let set = fixture::set();
        let good = files(&set, &info(), &set_checks(&set), &Origin::default(), &ExportOptions::default()).unwrap();
        // A name that no file system takes stops the writing after some files.
        let mut broken = good.clone();
        broken.insert("x".repeat(5000), vec![]);
        let draft = Draft::create(dir.path(), "set").unwrap();
        assert!(draft.write(&broken).is_err());
        assert!(entries(&draft.path).len() > 3, "some files were written");
        drop(draft);
        assert_eq!(entries(dir.path()), [] as [&str; 0]);

        // What reached the disk is not what was meant.
        let mut wrong = good;
        wrong.get_mut("maps/01_firm__wet_heave.csv").unwrap()[60] ^= 1;
        let draft = Draft::create(dir.path(), "set").unwrap();
        draft.write(&wrong).unwrap();
        let fault = prove(&draft.path, &fixture::session(), &set);
        assert!(matches!(fault, Err(HandoverFault::ReadBack(_))), "{fault:?}");
        drop(draft);
        assert_eq!(entries(dir.path()), [] as [&str; 0]);
    }

    #[test]
    fn a_folder_that_fills_up_meanwhile_is_not_replaced() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("set");
        let draft = Draft::create(dir.path(), "set").unwrap();
        fs::create_dir(&target).unwrap();
        fs::write(target.join("mine"), "x").unwrap();
        assert!(draft.become_target(&target, dir.path()).is_err());
        assert_eq!(entries(dir.path()), ["set"]);
        assert_eq!(entries(&target), ["mine"]);
    }

    #[test]
    fn the_words_carry_identity_units_signs_and_every_caution() {
        let set = fixture::set();
        let (options, origin) = (ExportOptions::default(), Origin::default());
        let papers = Papers { options: &options, origin: &origin, outputs: &[] };
        let text = readme(&set, &identity(&set), &info(), &set_checks(&set), &papers);
        let read = text.as_str();
        for words in CAUTIONS.iter().chain(&UNITS).chain(&AXES).chain(&SIGNS) {
            assert!(read.contains(words), "{words}");
        }
        assert!(read.contains(&identity(&set)) && read.contains("first drive"));
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_folder_that_cannot_be_written_to_is_a_sentence() {
        let fault = export(&fixture::session(), &[0], Path::new("/proc/set"), &info()).unwrap_err().to_string();
        assert!(fault.contains("/proc"), "{fault}");
    }

    /// The limit on the size of a file that the system sets stands for a full disk: writing fails in the middle.
    #[cfg(unix)]
    #[test]
    fn a_full_disk_is_a_sentence_and_leaves_nothing_behind() {
        const FOLDER: &str = "WASHBOARD_TEST_FULL_DISK";
        if let Some(folder) = std::env::var_os(FOLDER) {
            let target = Path::new(&folder).join("set");
            let fault = export(&fixture::session(), &[0, 1], &target, &info()).unwrap_err().to_string();
            assert!(fault.contains("write"), "{fault}");
            return;
        }
        let dir = tempfile::tempdir().unwrap();
        let name = "export::tests::a_full_disk_is_a_sentence_and_leaves_nothing_behind";
        let script = format!("trap '' XFSZ; ulimit -f 1; exec \"$0\" --exact {name} --test-threads=1 >/dev/null 2>&1");
        let ran = std::process::Command::new("bash")
            .args(["-c", &script])
            .arg(std::env::current_exe().unwrap())
            .env(FOLDER, dir.path())
            .status()
            .unwrap();
        assert!(ran.success(), "the limited program did not meet the fault it should");
        assert_eq!(entries(dir.path()), [] as [&str; 0]);
    }
}
