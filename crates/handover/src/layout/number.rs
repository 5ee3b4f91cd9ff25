//! One number in a control unit's memory: type, factor and offset, refused where it does not fit.

use serde::{Deserialize, Serialize};

use super::ByteOrder;

/// Data type of one number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum NumberType {
    /// 8 bits, without sign.
    U8,
    /// 8 bits, two's complement.
    I8,
    /// 16 bits, without sign.
    U16,
    /// 16 bits, two's complement.
    I16,
    /// 32 bits, without sign.
    U32,
    /// 32 bits, two's complement.
    I32,
    /// IEEE 754 single.
    F32,
}

impl NumberType {
    /// Length in bytes.
    pub fn bytes(self) -> usize {
        match self {
            NumberType::U8 | NumberType::I8 => 1,
            NumberType::U16 | NumberType::I16 => 2,
            NumberType::U32 | NumberType::I32 | NumberType::F32 => 4,
        }
    }

    /// True for a whole-number type.
    pub fn is_whole(self) -> bool {
        self != NumberType::F32
    }

    /// Least and greatest raw value.
    pub fn range(self) -> (f64, f64) {
        match self {
            NumberType::U8 => (0.0, f64::from(u8::MAX)),
            NumberType::I8 => (f64::from(i8::MIN), f64::from(i8::MAX)),
            NumberType::U16 => (0.0, f64::from(u16::MAX)),
            NumberType::I16 => (f64::from(i16::MIN), f64::from(i16::MAX)),
            NumberType::U32 => (0.0, f64::from(u32::MAX)),
            NumberType::I32 => (f64::from(i32::MIN), f64::from(i32::MAX)),
            NumberType::F32 => (f64::from(f32::MIN), f64::from(f32::MAX)),
        }
    }

    /// As it stands in a layout document.
    pub fn name(self) -> &'static str {
        match self {
            NumberType::U8 => "u8",
            NumberType::I8 => "i8",
            NumberType::U16 => "u16",
            NumberType::I16 => "i16",
            NumberType::U32 => "u32",
            NumberType::I32 => "i32",
            NumberType::F32 => "f32",
        }
    }

    /// As C calls it with `stdint.h`.
    pub fn c_name(self) -> &'static str {
        match self {
            NumberType::U8 => "uint8_t",
            NumberType::I8 => "int8_t",
            NumberType::U16 => "uint16_t",
            NumberType::I16 => "int16_t",
            NumberType::U32 => "uint32_t",
            NumberType::I32 => "int32_t",
            NumberType::F32 => "float",
        }
    }

    /// The bytes of a raw value that was made by [`Encoding::raw`].
    pub(crate) fn write(self, raw: f64, order: ByteOrder, out: &mut [u8]) {
        // Within the range every cast is exact.
        let whole = raw as i64;
        let little = match self {
            NumberType::F32 => (raw as f32).to_le_bytes(),
            _ => (whole as u32).to_le_bytes(),
        };
        let length = self.bytes();
        out[..length].copy_from_slice(&little[..length]);
        if order == ByteOrder::Big {
            out[..length].reverse();
        }
    }

    /// The raw value of bytes.
    pub(crate) fn read(self, bytes: &[u8], order: ByteOrder) -> f64 {
        let length = self.bytes();
        let mut little = [0; 4];
        little[..length].copy_from_slice(&bytes[..length]);
        if order == ByteOrder::Big {
            little[..length].reverse();
        }
        let whole = u32::from_le_bytes(little);
        match self {
            NumberType::U8 | NumberType::U16 | NumberType::U32 => f64::from(whole),
            NumberType::I8 => f64::from(whole as u8 as i8),
            NumberType::I16 => f64::from(whole as u16 as i16),
            NumberType::I32 => f64::from(whole as i32),
            NumberType::F32 => f64::from(f32::from_le_bytes(little)),
        }
    }
}

/// How a number is written: value = factor * raw + offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Encoding {
    pub number: NumberType,
    pub factor: f64,
    pub offset: f64,
}

impl Encoding {
    /// The nearest raw value; where the type cannot hold it, what it would be and what the type holds, as a clause.
    pub fn raw(&self, value: f64) -> Result<f64, String> {
        let exact = (value - self.offset) / self.factor;
        let raw = if self.number.is_whole() { exact.round() } else { f64::from(exact as f32) };
        let (least, most) = self.number.range();
        if raw >= least && raw <= most {
            // One zero only.
            Ok(raw + 0.0)
        } else {
            let name = self.number.name();
            Err(format!(
                "needs the raw value {raw} at factor {} and offset {}, but {name} holds {least} to {most}",
                self.factor, self.offset
            ))
        }
    }

    /// The value of a raw value.
    pub fn value(&self, raw: f64) -> f64 {
        let value = self.factor * raw + self.offset;
        if value == 0.0 { 0.0 } else { value }
    }

    /// Half a raw step at a value: the most by which a faithful copy may differ.
    pub fn half_step(&self, value: f64) -> f64 {
        // A hair more for the rounding of the arithmetic itself.
        const HAIR: f64 = 1.0 + 1e-9;
        let arithmetic = (value.abs() + self.offset.abs()) * 4.0 * f64::EPSILON;
        let step = if self.number.is_whole() {
            1.0
        } else {
            let raw = ((value - self.offset) / self.factor).abs().max(f64::from(f32::MIN_POSITIVE));
            2f64.powi(raw.log2().floor() as i32 - 23)
        };
        self.factor.abs() * step / 2.0 * HAIR + arithmetic
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_those_of_the_languages_own_numbers() {
        // Against the standard library's own conversions, both orders.
        for raw in [-32768.0, -1234.0, -1.0, 0.0, 1.0, 32767.0] {
            let mut out = [0; 4];
            NumberType::I16.write(raw, ByteOrder::Little, &mut out);
            assert_eq!(out[..2], (raw as i16).to_le_bytes());
            NumberType::I16.write(raw, ByteOrder::Big, &mut out);
            assert_eq!(out[..2], (raw as i16).to_be_bytes());
            assert_eq!(NumberType::I16.read(&out, ByteOrder::Big), raw);
        }
        let mut out = [0; 4];
        NumberType::U32.write(4_294_967_295.0, ByteOrder::Big, &mut out);
        assert_eq!(out, [255; 4]);
        NumberType::F32.write(-0.15625, ByteOrder::Big, &mut out);
        assert_eq!(out, [0xbe, 0x20, 0, 0]);
        NumberType::I8.write(-2.0, ByteOrder::Little, &mut out);
        assert_eq!(out[0], 0xfe);
        assert_eq!(NumberType::I8.read(&out, ByteOrder::Little), -2.0);
    }

    #[test]
    fn what_does_not_fit_is_refused_and_never_wrapped() {
        let encoding = Encoding { number: NumberType::U8, factor: 0.5, offset: -10.0 };
        assert_eq!(encoding.raw(117.5), Ok(255.0));
        assert_eq!(encoding.raw(-10.0), Ok(0.0));
        // Up to half a step beyond rounds to the last value, as any other value rounds to its nearest.
        assert_eq!(encoding.raw(117.74), Ok(255.0));
        assert!(encoding.raw(118.0).unwrap_err().contains("u8 holds 0 to 255"));
        assert!(encoding.raw(-10.3).is_err() && encoding.raw(f64::NAN).is_err() && encoding.raw(1e300).is_err());
        let single = Encoding { number: NumberType::F32, factor: 1.0, offset: 0.0 };
        assert!(single.raw(1e39).is_err() && single.raw(f64::NAN).is_err());
        assert_eq!(single.raw(0.1), Ok(f64::from(0.1_f32)));
    }

    #[test]
    fn a_copy_differs_by_at_most_half_a_step() {
        for (number, factor, offset) in [
            (NumberType::I16, 0.3, 0.0),
            (NumberType::U16, -0.01, 655.0),
            (NumberType::I32, 1e-5, 3.0),
            (NumberType::F32, 1.0, 0.0),
            (NumberType::F32, 3.6, 1.0),
        ] {
            let encoding = Encoding { number, factor, offset };
            for value in [0.0, 0.1, 1.0 / 3.0, 2.5, 99.99, 512.0, 654.321] {
                let copy = encoding.value(encoding.raw(value).unwrap());
                assert!((copy - value).abs() <= encoding.half_step(value), "{encoding:?} {value} {copy}");
                assert_eq!(encoding.raw(copy), encoding.raw(value), "a copy of the copy is the same");
            }
        }
    }
}
