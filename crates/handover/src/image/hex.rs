//! Intel HEX: an image as text with addresses, written and read back without a gap or a byte too many.

use ihex::{Reader, Record};

use super::Image;
use crate::fault::HandoverFault;
use crate::layout::Layout;

/// Largest image file that is read, bytes.
pub const MOST_IMAGE_FILE_BYTES: u64 = 64 << 20;
/// Data bytes a record.
const RECORD: usize = 32;

impl Image {
    /// The image as Intel HEX: records of 32 bytes, capital digits, a line feed behind each.
    pub fn to_hex(&self) -> Result<String, HandoverFault> {
        let mut records = Vec::new();
        let mut upper = None;
        let mut at = 0;
        while at < self.bytes.len() {
            let address = u64::from(self.address) + at as u64;
            let page = (address >> 16) as u16;
            if upper != Some(page) {
                records.push(Record::ExtendedLinearAddress(page));
                upper = Some(page);
            }
            // A record does not cross a page of 64 KiB.
            let left_in_page = 0x1_0000 - (address as usize & 0xffff);
            let length = RECORD.min(left_in_page).min(self.bytes.len() - at);
            let value = self.bytes[at..at + length].to_vec();
            records.push(Record::Data { offset: address as u16, value });
            at += length;
        }
        records.push(Record::EndOfFile);
        let text = ihex::create_object_file_representation(&records)
            .map_err(|error| HandoverFault::Form { form: "Intel HEX", why: error.to_string() })?;
        Ok(text.trim_end().replace("\r\n", "\n") + "\n")
    }
}

/// The memory that an Intel HEX text fills, which must be the layout's whole memory.
///
/// # Errors
/// A sentence with the line: what is no record, a broken check sum, a byte outside the memory, twice or missing.
pub fn read_hex(text: &str, layout: &Layout) -> Result<Vec<u8>, HandoverFault> {
    let refuse = |why: String| HandoverFault::Layout(vec![why]);
    // One flipped bit makes a small digit of a capital one, which no check sum sees.
    if text.bytes().any(|b| b.is_ascii_lowercase()) && text.bytes().any(|b| b.is_ascii_uppercase()) {
        return Err(refuse("The Intel HEX text mixes capital and small digits: it was changed.".to_owned()));
    }
    let (first, length) = (u64::from(layout.memory.address), layout.memory.bytes as usize);
    let mut bytes: Vec<Option<u8>> = vec![None; length];
    let mut base = 0_u64;
    let mut is_over = false;
    for (index, record) in Reader::new(text).enumerate() {
        let line = index + 1;
        let record = record.map_err(|error| refuse(format!("Record {line} of the Intel HEX text: {error}.")))?;
        if is_over {
            return Err(refuse(format!("Record {line} of the Intel HEX text follows its end.")));
        }
        match record {
            Record::Data { offset, value } => {
                for (index, byte) in value.into_iter().enumerate() {
                    let address = base + u64::from(offset) + index as u64;
                    let place = address.checked_sub(first).and_then(|at| bytes.get_mut(at as usize));
                    match place {
                        Some(place) if place.is_none() => *place = Some(byte),
                        Some(_) => {
                            return Err(refuse(format!(
                                "The byte at {address:#x} stands in the Intel HEX text twice."
                            )));
                        }
                        None => {
                            return Err(refuse(format!(
                                "The byte at {address:#x} lies outside the layout's memory, {first:#x} to {:#x}.",
                                first + length as u64 - 1
                            )));
                        }
                    }
                }
            }
            Record::ExtendedLinearAddress(page) => base = u64::from(page) << 16,
            Record::ExtendedSegmentAddress(segment) => base = u64::from(segment) << 4,
            Record::EndOfFile => is_over = true,
            Record::StartLinearAddress(_) | Record::StartSegmentAddress { .. } => {}
        }
    }
    if !is_over {
        return Err(refuse("The Intel HEX text has no end record: a part is missing.".to_owned()));
    }
    let missing = bytes.iter().position(Option::is_none);
    if let Some(at) = missing {
        return Err(refuse(format!("The byte at {:#x} is missing in the Intel HEX text.", first + at as u64)));
    }
    Ok(bytes.into_iter().flatten().collect())
}
