//! C files and memory image of a folder, read back into modes and held against the set beside them.

use washboard_session::{Format, parse_document};

use crate::c_source::{self, HEADER_FILE, SOURCE_FILE};
use crate::export::{BIN_FILE, C_LAYOUT_FILE, HEX_FILE, LAYOUT_FILE};
use crate::folder::Folder;
use crate::image::{decode, encode, read_hex};
use crate::layout::Layout;
use crate::manifest::Manifest;
use crate::quantise::compare_within_half_a_step;
use crate::set::CarSet;

/// Files that a folder may hold besides the set itself.
pub(super) const OUTPUTS: [&str; 6] = [HEADER_FILE, SOURCE_FILE, C_LAYOUT_FILE, HEX_FILE, BIN_FILE, LAYOUT_FILE];

/// Judges every output there is.
pub(super) fn judge_outputs(folder: &Folder, set: &CarSet, manifest: &Manifest, differences: &mut Vec<String>) {
    for (layout_file, outputs) in [(LAYOUT_FILE, [HEX_FILE, BIN_FILE]), (C_LAYOUT_FILE, [HEADER_FILE, SOURCE_FILE])] {
        let any = outputs.iter().chain([&layout_file]).any(|file| folder.files.contains_key(*file));
        if !any {
            continue;
        }
        let mut missing = false;
        for file in outputs.iter().chain([&layout_file]) {
            if !folder.files.contains_key(*file) {
                differences.push(format!("{file}: missing, though what belongs to it is there."));
                missing = true;
            }
        }
        if missing {
            continue;
        }
        let layout = match text(folder, layout_file).and_then(|text| layout_of(&text)) {
            Ok(layout) => layout,
            Err(why) => {
                differences.push(format!("{layout_file}: {why}"));
                continue;
            }
        };
        let found = if layout_file == LAYOUT_FILE {
            images(folder, set, &layout)
        } else {
            c_files(folder, set, &layout, &manifest.identity)
        };
        differences.extend(found.unwrap_or_else(|why| vec![why]));
    }
}

fn layout_of(text: &str) -> Result<Layout, String> {
    let layout: Layout = parse_document(text, Format::Ron).map_err(|refusal| refusal.to_string())?;
    layout.check().map_err(|faults| faults.join(" "))?;
    Ok(layout)
}

fn text(folder: &Folder, file: &str) -> Result<String, String> {
    let bytes = folder.files.get(file).map_or(&[][..], Vec::as_slice);
    String::from_utf8(bytes.to_vec()).map_err(|_| "it is no plain text.".to_owned())
}

fn images(folder: &Folder, set: &CarSet, layout: &Layout) -> Result<Vec<String>, String> {
    let mut found = Vec::new();
    let plain = folder.files.get(BIN_FILE).map_or(&[][..], Vec::as_slice);
    let hex = text(folder, HEX_FILE).and_then(|text| read_hex(&text, layout).map_err(|fault| fault.to_string()));
    match &hex {
        Ok(bytes) if bytes != plain => found.push(format!("{HEX_FILE}: it holds other bytes than {BIN_FILE}.")),
        Ok(_) => {}
        Err(why) => found.push(format!("{HEX_FILE}: {why}")),
    }
    for (file, bytes) in [(BIN_FILE, Some(plain)), (HEX_FILE, hex.as_deref().ok().filter(|bytes| *bytes != plain))] {
        let Some(bytes) = bytes else { continue };
        let decoded = decode(bytes, layout, set).map_err(|fault| format!("{file}: {fault}"))?;
        found.extend(decoded.faults.iter().map(|fault| format!("{file}: {fault}")));
        let cells = compare_within_half_a_step(set, &decoded.set, layout);
        found.extend(cells.into_iter().map(|sentence| format!("{file}: {sentence}")));
        if encode(set, layout).is_ok_and(|image| image.bytes != bytes) {
            found.push(format!("{file}: its bytes are not those that the set makes."));
        }
    }
    Ok(found)
}

fn c_files(folder: &Folder, set: &CarSet, layout: &Layout, identity: &str) -> Result<Vec<String>, String> {
    let files = [HEADER_FILE, SOURCE_FILE].map(|file| text(folder, file).map_err(|why| format!("{file}: {why}")));
    let [header, source] = files;
    let (header, source) = (header?, source?);
    let read = c_source::read(&header, &source, layout).map_err(|fault| format!("{HEADER_FILE}: {fault}"))?;
    let mut found = read.faults.clone();
    if read.identity.as_deref() != Some(identity) {
        found.push(format!(
            "{HEADER_FILE}: it is of the set {}, the manifest says {identity}.",
            read.identity.as_deref().unwrap_or("without identity")
        ));
    }
    if let Some(bytes) = &read.bytes {
        let decoded = decode(bytes, layout, set).map_err(|fault| format!("{SOURCE_FILE}: {fault}"))?;
        found.extend(decoded.faults.iter().map(|fault| format!("{SOURCE_FILE}: {fault}")));
        let cells = compare_within_half_a_step(set, &decoded.set, layout);
        found.extend(cells.into_iter().map(|sentence| format!("{SOURCE_FILE}: {sentence}")));
    }
    Ok(found)
}
