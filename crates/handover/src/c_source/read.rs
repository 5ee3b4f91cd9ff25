//! Reads the C files of a set back into the memory they were written from.

use std::collections::BTreeMap;

use super::items;
use super::write::SEAL;
use crate::fault::HandoverFault;
use crate::identity::sha256_hex;
use crate::image::{check_type, check_value, identity_bytes};
use crate::layout::{Encoding, Layout};

/// What the C files hold.
#[derive(Clone, Debug, PartialEq)]
pub struct CRead {
    /// The memory a layout would fill with it; absent where numbers are missing.
    pub bytes: Option<Vec<u8>>,
    /// The identity the header states.
    pub identity: Option<String>,
    /// What is wrong with the files themselves.
    pub faults: Vec<String>,
}

/// Reads header and source after a layout.
pub fn read(header: &str, source: &str, layout: &Layout) -> Result<CRead, HandoverFault> {
    layout.check().map_err(HandoverFault::Layout)?;
    let mut faults = Vec::new();
    for (text, which) in [(header, "The C header"), (source, "The C source")] {
        if !is_sealed(text) {
            faults.push(format!("{which}: its last line is not the SHA-256 of what is before it; it was changed."));
        }
    }
    let defines = defines(header);
    let defined = |name: &str| defines.get(name).map(|value| (*value).to_owned());
    let identity = defined("SET_IDENTITY").map(|value| value.trim_matches('"').to_owned());
    let version = defined("SET_LAYOUT_VERSION").map(|value| value.trim_end_matches('u').to_owned());
    if version.as_deref() != Some(layout.version.to_string().as_str()) {
        faults.push(format!(
            "The C header: its layout version is {}, but the layout \"{}\" is version {}.",
            version.as_deref().unwrap_or("missing"),
            layout.name,
            layout.version
        ));
    }
    let arrays = arrays(source);
    let memory = &layout.memory;
    let mut bytes = vec![memory.fill; memory.bytes as usize];
    let mut is_whole = true;
    let mut factors = layout.tables.iter().flat_map(|at| {
        [(at.rows.factor, at.rows.offset), (at.columns.factor, at.columns.offset), (at.values.factor, at.values.offset)]
    });
    let mut of_settings = layout.settings.iter().map(|at| (at.factor, at.offset));
    for item in items(layout) {
        let upper = item.name.to_ascii_uppercase();
        let (factor, offset) = factors.next().or_else(|| of_settings.next()).unwrap_or((1.0, 0.0));
        for (word, wanted) in [("FACTOR", factor), ("OFFSET", offset)] {
            let stands = defined(&format!("{upper}_{word}")).and_then(|value| value.parse::<f64>().ok());
            if stands != Some(wanted) {
                let stands = stands.map_or("missing".to_owned(), |value| value.to_string());
                faults.push(format!("The C header: {upper}_{word} is {stands}, but the layout has {wanted}."));
            }
        }
        let Some((kind, numbers)) = arrays.get(item.name.as_str()) else {
            faults.push(format!("The C source: {} is missing.", item.name));
            is_whole = false;
            continue;
        };
        if *kind != item.number.c_name() || numbers.len() != item.count() {
            faults.push(format!(
                "The C source: {} holds {} numbers of type {kind}, but the layout {} of type {}.",
                item.name,
                numbers.len(),
                item.count(),
                item.number.c_name()
            ));
            is_whole = false;
            continue;
        }
        let start = (item.address - memory.address) as usize;
        let plain = Encoding { number: item.number, factor: 1.0, offset: 0.0 };
        for (index, &number) in numbers.iter().enumerate() {
            match plain.raw(number) {
                Ok(raw) if raw == number || !item.number.is_whole() => {
                    let at = start + index * item.number.bytes();
                    item.number.write(raw, layout.byte_order, &mut bytes[at..]);
                }
                _ => {
                    faults.push(format!("The C source: {} holds {number}, which {kind} cannot.", item.name));
                    is_whole = false;
                }
            }
        }
    }
    if let Some(at) = &layout.version_at {
        let start = (at.address - memory.address) as usize;
        at.number.write(f64::from(layout.version), layout.byte_order, &mut bytes[start..]);
    }
    if let (Some(address), Some(identity)) = (layout.identity_at, &identity) {
        let start = (address - memory.address) as usize;
        bytes[start..start + 32].copy_from_slice(&identity_bytes(identity));
    }
    if let Some(check) = &layout.check {
        let value = check_value(layout, check, &bytes);
        let start = (check.address - memory.address) as usize;
        check_type(check).write(f64::from(value), layout.byte_order, &mut bytes[start..]);
    }
    Ok(CRead { bytes: is_whole.then_some(bytes), identity, faults })
}

/// Every `#define NAME VALUE` of the header by its name; of one that stands there twice the first. Looked up, not searched
/// for: header and layout may both be long.
fn defines(header: &str) -> BTreeMap<&str, &str> {
    let mut found = BTreeMap::new();
    for (name, value) in header.lines().filter_map(|line| line.strip_prefix("#define ")?.split_once(' ')) {
        found.entry(name).or_insert(value.trim());
    }
    found
}

/// True where the last line is the check sum of all before it.
pub(super) fn is_sealed(text: &str) -> bool {
    text.rfind(SEAL).is_some_and(|at| text[at..] == format!("{SEAL}{} */\n", sha256_hex(&text.as_bytes()[..at])))
}

/// Every `const TYPE NAME[…] = {…};` of the source: type and numbers by name.
fn arrays(source: &str) -> BTreeMap<&str, (&str, Vec<f64>)> {
    let mut found = BTreeMap::new();
    let mut rest = source;
    while let Some(at) = rest.find("\nconst ") {
        rest = &rest[at + "\nconst ".len()..];
        let Some(end) = rest.find(';') else { break };
        let Some((left, right)) = rest[..end].split_once(" = ") else { continue };
        let Some((kind, name)) = left.split_once(' ') else { continue };
        let name = name.split('[').next().unwrap_or(name);
        let numbers: Option<Vec<f64>> = right
            .split([',', '{', '}', ' ', '\n'])
            .filter(|word| !word.is_empty())
            .map(|word| word.trim_end_matches(['u', 'f']).parse().ok())
            .collect();
        if let Some(numbers) = numbers {
            found.insert(name, (kind, numbers));
        }
    }
    found
}
