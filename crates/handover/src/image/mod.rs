//! The memory image of a set: the bytes a layout asks for, and back.

mod decode;
mod encode;
mod hex;

pub use decode::{Decoded, decode};
pub use encode::{Image, encode};
pub(crate) use encode::{
    axis_encoding, check_type, check_value, identity_bytes, names_of, setting_encoding, setting_place, table_place,
    table_place_of, values_encoding,
};
pub use hex::{MOST_IMAGE_FILE_BYTES, read_hex};

use crate::layout::CheckKind;

impl CheckKind {
    /// Number of check bytes.
    pub fn bytes(self) -> usize {
        match self {
            CheckKind::Crc32 => 4,
            CheckKind::Crc16 => 2,
        }
    }

    /// Check value over pieces, as a number.
    pub(crate) fn over(self, pieces: &[&[u8]]) -> u32 {
        const CRC32: crc::Crc<u32> = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);
        const CRC16: crc::Crc<u16> = crc::Crc::<u16>::new(&crc::CRC_16_IBM_3740);
        match self {
            CheckKind::Crc32 => {
                let mut digest = CRC32.digest();
                pieces.iter().for_each(|piece| digest.update(piece));
                digest.finalize()
            }
            CheckKind::Crc16 => {
                let mut digest = CRC16.digest();
                pieces.iter().for_each(|piece| digest.update(piece));
                u32::from(digest.finalize())
            }
        }
    }
}

#[cfg(test)]
mod tests;
