//! Reads any single output of a hand-over, or a dump of the memory image, back into modes.

use std::path::Path;

use crate::c_source;
use crate::fault::HandoverFault;
use crate::folder::read_file;
use crate::forms::{from_json, from_ron};
use crate::identity::identity;
use crate::image::{MOST_IMAGE_FILE_BYTES, decode, encode, read_hex};
use crate::layout::Layout;
use crate::quantise::compare_within_half_a_step;
use crate::set::CarSet;
use crate::verify::Verdict;

/// What a single file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadBack {
    /// What it was taken for, in words.
    pub kind: &'static str,
    /// The identity it states, or has as a whole set.
    pub identity: Option<String>,
    /// The set as it stands in the file. From an image or C files only what the layout holds, over the set given.
    pub set: Option<CarSet>,
    /// The memory, where it is one.
    pub bytes: Option<Vec<u8>>,
    /// What is wrong with the file itself.
    pub faults: Vec<String>,
}

/// Reads `set.ron`, `set.json`, a C header or source (the other one beside it), Intel HEX or a plain binary image.
///
/// An image or C files need their layout, and a set over which they are read: it gives names and what the layout leaves
/// out. A file that begins with a colon and is text is taken for Intel HEX, any other for plain bytes.
pub fn read_back(path: &Path, layout: Option<&Layout>, base: Option<&CarSet>) -> Result<ReadBack, HandoverFault> {
    let unreadable = |why: &str| HandoverFault::Unreadable { folder: path.to_path_buf(), why: why.to_owned() };
    let end = path.extension().map(|end| end.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    let bytes = read_file(path, MOST_IMAGE_FILE_BYTES)?;
    if end == "ron" || end == "json" {
        let read = if end == "ron" { from_ron(&bytes) } else { from_json(&bytes) };
        let set = read.map_err(|why| unreadable(&format!("{why}.")))?;
        let faults = set.faults();
        if !faults.is_empty() {
            return Err(unreadable(&format!("{}.", faults.join("; "))));
        }
        let identity = Some(identity(&set));
        return Ok(ReadBack { kind: "a set", identity, set: Some(set), bytes: None, faults: Vec::new() });
    }
    let layout = layout.ok_or_else(|| unreadable("an image or C files are read after a layout; name one."))?;
    let base = base.ok_or_else(|| unreadable("an image or C files are read beside a set; name it or its session."))?;
    let (kind, mut faults, bytes, mut identity) = if end == "c" || end == "h" {
        let text = |end: &str| {
            let bytes = read_file(&path.with_extension(end), MOST_IMAGE_FILE_BYTES)?;
            String::from_utf8(bytes).map_err(|_| unreadable("it is no plain text."))
        };
        let read = c_source::read(&text("h")?, &text("c")?, layout)?;
        ("C files", read.faults, read.bytes, read.identity)
    } else if bytes.first() == Some(&b':') && bytes.is_ascii() {
        let text = String::from_utf8(bytes).map_err(|_| unreadable("it is no plain text."))?;
        ("an Intel HEX image", Vec::new(), Some(read_hex(&text, layout)?), None)
    } else {
        ("a plain image", Vec::new(), Some(bytes), None)
    };
    let mut set = None;
    if let Some(bytes) = &bytes {
        let decoded = decode(bytes, layout, base)?;
        faults.extend(decoded.faults);
        identity = identity.or(decoded.identity);
        set = Some(decoded.set);
    }
    Ok(ReadBack { kind, identity, set, bytes, faults })
}

/// Says whether a file holds the set that was meant: cell by cell within half a raw step, identity, and every byte.
pub fn verify_output(path: &Path, layout: Option<&Layout>, meant: &CarSet) -> Result<Verdict, HandoverFault> {
    let read = read_back(path, layout, Some(meant))?;
    let own = identity(meant);
    let mut differences = read.faults.clone();
    if let Some(stated) = read.identity.as_ref().filter(|stated| **stated != own) {
        differences.push(format!("It is of the set {stated}, meant is {own}."));
    }
    match (&read.set, layout, &read.bytes) {
        (Some(set), Some(layout), Some(bytes)) => {
            let cells = compare_within_half_a_step(meant, set, layout);
            let is_same = cells.is_empty() && differences.is_empty();
            differences.extend(cells);
            if is_same && encode(meant, layout)?.bytes != *bytes {
                differences.push(
                    "Its bytes are not those that the set makes, though every number is within half a step.".to_owned(),
                );
            }
        }
        (Some(set), _, _) => {
            differences.extend(crate::difference(meant, set).sentences("in the set meant", "in the file"));
        }
        (None, _, _) => {}
    }
    Ok(Verdict { equal: differences.is_empty(), identity: read.identity.unwrap_or(own), differences })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::{CNumbers, ExportInfo, ExportOptions, export_with};
    use crate::fixture;
    use crate::layout::{ByteOrder, Proposal, Width};

    #[test]
    fn every_output_reads_back_and_a_change_is_named_by_its_cell() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("set");
        let set = fixture::set();
        let (name, byte_order, width) = ("unit".to_owned(), ByteOrder::Big, Width::Bits16);
        let layout = Layout::propose(
            &set,
            &Proposal { name, version: 3, address: 0x100, byte_order, width, ..Proposal::default() },
        )
        .unwrap();
        let options = ExportOptions { layout: Some(layout.clone()), c: Some(CNumbers::AsLayout), ..Default::default() };
        let info = ExportInfo { created: "t".into(), program: "p".into(), note: String::new() };
        export_with(&fixture::session(), &[0, 1], &target, &info, &options).unwrap();
        let outputs = ["set.ron", "set.json", "c/washboard_set.c", "c/washboard_set.h", "image.hex", "image.bin"];
        for file in outputs {
            let verdict = verify_output(&target.join(file), Some(&layout), &set).unwrap();
            assert_eq!(verdict.differences, [] as [&str; 0], "{file}");
            assert_eq!(verdict.identity, identity(&set), "{file}");
        }
        let mut session = fixture::session();
        session.modes[1].roll.values_n_s_per_m[2][0] += 1.0;
        let other = CarSet::from_session(&session, &[0, 1]).unwrap();
        for file in outputs {
            let verdict = verify_output(&target.join(file), Some(&layout), &other).unwrap();
            let all = verdict.differences.join("\n");
            assert!(all.contains("roll map at 130 km/h, 0 m/s^2: 2248 N s/m") && all.contains("2247"), "{file}: {all}");
            assert!(!all.contains("heave"), "{file}: {all}");
        }
        let without = verify_output(&target.join("image.bin"), None, &set).unwrap_err().to_string();
        assert!(without.contains("layout"), "{without}");
    }

    #[test]
    fn a_file_of_a_gigabyte_is_refused_before_it_is_read() {
        let dir = tempfile::tempdir().unwrap();
        let set = fixture::set();
        for name in ["dump.bin", "dump.hex", "set.json", "x.c"] {
            let path = dir.path().join(name);
            std::fs::File::create(&path).unwrap().set_len(1 << 30).unwrap();
            let words = verify_output(&path, None, &set).unwrap_err().to_string();
            assert!(words.contains("1073741824 bytes"), "{words}");
        }
    }
}
