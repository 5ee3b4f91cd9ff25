use super::*;
use crate::fault::HandoverFault;
use crate::fixture;
use crate::layout::{ByteOrder, CellOrder, Layout, NumberType, Proposal, TableName, Width};
use crate::quantise::{compare_within_half_a_step, quantise};
use proptest::prelude::*;

fn layout(width: Width, byte_order: ByteOrder) -> Layout {
    // Across a page of 64 KiB, which Intel HEX must step over.
    let proposal = Proposal {
        name: "unit".into(),
        version: 7,
        address: 0x0803_ff00,
        byte_order,
        width,
        share_axes: false,
        ..Proposal::default()
    };
    Layout::propose(&fixture::set(), &proposal).unwrap()
}

fn sentences(result: Result<Image, HandoverFault>) -> String {
    result.unwrap_err().to_string()
}

#[test]
fn every_number_comes_back_within_half_a_step() {
    for width in [Width::Float, Width::Bits16, Width::Bits32] {
        for order in [ByteOrder::Little, ByteOrder::Big] {
            let layout = layout(width, order);
            let image = encode(&fixture::set(), &layout).unwrap();
            let decoded = decode(&image.bytes, &layout, &fixture::set()).unwrap();
            assert_eq!(decoded.faults, [] as [&str; 0]);
            assert_eq!(decoded.identity.unwrap(), crate::identity(&fixture::set()));
            let differences = compare_within_half_a_step(&fixture::set(), &decoded.set, &layout);
            assert_eq!(differences, [] as [&str; 0]);
            assert_eq!(quantise(&fixture::set(), &layout).unwrap().left_out, [] as [&str; 0]);
            // And once more without any loss.
            assert_eq!(quantise(&decoded.set, &layout).unwrap().set, decoded.set);
        }
    }
}

/// A table of the fixture's layout, by mode and name.
fn at(layout: &mut Layout, mode: u32, table: TableName) -> &mut crate::layout::TableAt {
    layout.tables.iter_mut().find(|at| (at.mode, at.table) == (Some(mode), table)).unwrap()
}

#[test]
fn tables_share_an_axis_only_while_it_is_the_same() {
    let propose =
        |share_axes| Layout::propose(&fixture::set(), &Proposal { share_axes, ..Proposal::default() }).unwrap();
    let (apart, mut layout) = (propose(false), propose(true));
    assert!(layout.memory.bytes < apart.memory.bytes, "{} and {} bytes", layout.memory.bytes, apart.memory.bytes);
    // Of one quantity only: lateral and longitudinal demand are not one axis, whatever their numbers.
    let (heave, wheel) = (at(&mut layout, 1, TableName::Heave).clone(), at(&mut layout, 1, TableName::Wheel).clone());
    assert_eq!((&heave.rows, &heave.columns), (&wheel.rows, &wheel.columns));
    let image = encode(&fixture::set(), &layout).unwrap();
    let decoded = decode(&image.bytes, &layout, &fixture::set()).unwrap();
    assert_eq!((decoded.faults, compare_within_half_a_step(&fixture::set(), &decoded.set, &layout)), (vec![], vec![]));
    // An axis that is not the same any more cannot stand in one place.
    let mut set = fixture::set();
    set.modes[0].wheel.rows[1] += 1.0;
    let words = sentences(encode(&set, &layout));
    assert!(
        words.contains("wheel map") && words.contains("heave map") && words.contains("an axis of its own"),
        "{words}"
    );
    // Nor one that is written in another way there.
    at(&mut layout, 1, TableName::Wheel).rows.factor *= 2.0;
    let faults = layout.check().unwrap_err().join(" ");
    assert!(faults.contains("share the byte"), "{faults}");
}

#[test]
fn each_table_may_have_a_type_of_its_own() {
    let by_table = vec![(TableName::Heave, Width::Bits8), (TableName::InverseFront, Width::Float)];
    let mut layout = Layout::propose(&fixture::set(), &Proposal { by_table, ..Proposal::default() }).unwrap();
    for mode in [1, 2] {
        assert_eq!(at(&mut layout, mode, TableName::Heave).values.number, NumberType::U8);
        assert_eq!(at(&mut layout, mode, TableName::InverseFront).values.number, NumberType::F32);
        assert_eq!(at(&mut layout, mode, TableName::Wheel).values.number, NumberType::U16);
    }
    assert!(quantise(&fixture::set(), &layout).is_ok());
}

#[test]
fn the_largest_error_of_each_table_is_named_with_its_cell() {
    let layout = layout(Width::Bits16, ByteOrder::Little);
    let quantised = quantise(&fixture::set(), &layout).unwrap();
    assert_eq!(quantised.errors.len(), layout.tables.len());
    for error in &quantised.errors {
        assert!(error.error().abs() <= error.half_step, "{error:?}");
        let sentence = error.sentence();
        assert!(sentence.contains(&error.place) && sentence.contains(&error.at), "{sentence}");
    }
    let maps = quantised.set.modes();
    assert_eq!(maps.len(), 2);
    assert_ne!(maps[0].heave, fixture::set().modes()[0].heave, "rounding changes something");
}

#[test]
fn no_flipped_bit_of_an_image_goes_unseen() {
    let layout = layout(Width::Bits16, ByteOrder::Little);
    let image = encode(&fixture::set(), &layout).unwrap();
    for at in 0..image.bytes.len() {
        for bit in 0..8 {
            let mut bytes = image.bytes.clone();
            bytes[at] ^= 1 << bit;
            let check = layout.check.as_ref().unwrap();
            let stands = u32::from_le_bytes(bytes[bytes.len() - 4..].try_into().unwrap());
            assert_ne!(check_value(&layout, check, &bytes), stands, "byte {at}, bit {bit}");
        }
        if at.is_multiple_of(61) {
            let mut bytes = image.bytes.clone();
            bytes[at] ^= 1;
            let decoded = decode(&bytes, &layout, &fixture::set()).unwrap();
            assert!(decoded.faults.iter().any(|fault| fault.contains("changed")), "byte {at}: {:?}", decoded.faults);
        }
    }
}

#[test]
fn no_flipped_bit_of_an_intel_hex_text_goes_unseen() {
    let layout = layout(Width::Bits16, ByteOrder::Big);
    let image = encode(&fixture::set(), &layout).unwrap();
    let text = image.to_hex().unwrap();
    assert_eq!(read_hex(&text, &layout).unwrap(), image.bytes);
    assert_eq!(
        read_hex(&text.to_ascii_lowercase().replace('\n', "\r\n"), &layout).unwrap(),
        image.bytes,
        "others write so"
    );
    for at in 0..text.len() {
        for bit in 0..8 {
            let mut bytes = text.as_bytes().to_vec();
            bytes[at] ^= 1 << bit;
            let Ok(other) = String::from_utf8(bytes) else { continue };
            if let Ok(read) = read_hex(&other, &layout) {
                panic!("byte {at}, bit {bit} unseen: {}", read == image.bytes);
            }
        }
    }
    // A record is lost whole, twice there, or the end is missing.
    let lines: Vec<&str> = text.lines().collect();
    let without = |index: usize| [&lines[..index], &lines[index + 1..]].concat().join("\n");
    assert!(read_hex(&without(5), &layout).unwrap_err().to_string().contains("missing"));
    assert!(read_hex(&without(lines.len() - 1), &layout).unwrap_err().to_string().contains("end record"));
    let twice = [&lines[..5], &[lines[4]], &lines[5..]].concat().join("\n");
    assert!(read_hex(&twice, &layout).unwrap_err().to_string().contains("twice"));
}

#[test]
fn values_beyond_a_type_are_refused_with_their_cell_and_never_wrapped() {
    let mut layout = layout(Width::Bits16, ByteOrder::Little);
    let heave = layout.tables.iter_mut().find(|at| at.table == TableName::Heave).unwrap();
    heave.values.factor /= 2.0;
    let words = sentences(encode(&fixture::set(), &layout));
    assert!(words.contains("heave map at 137 km/h") || words.contains("heave map at 130 km/h, 9 m/s^2"), "{words}");
    assert!(words.contains("u16 holds 0 to 65535"), "{words}");
    let heave = layout.tables.iter_mut().find(|at| at.table == TableName::Heave).unwrap();
    heave.values.factor *= 2.0;
    heave.rows.factor = 100.0;
    let words = sentences(encode(&fixture::set(), &layout));
    assert!(words.contains("fall on the same raw value"), "{words}");
    let heave = layout.tables.iter_mut().find(|at| at.table == TableName::Heave).unwrap();
    heave.rows.count = 4;
    assert!(layout.check().is_err(), "the rows would lie upon the columns");
    let heave = layout.tables.iter_mut().find(|at| at.table == TableName::Heave).unwrap();
    heave.rows.count = 3;
    layout.tables.retain(|at| at.mode != Some(2));
    layout.settings.retain(|at| at.mode != Some(2));
    assert!(sentences(encode(&fixture::set(), &layout)).contains("places for 1 modes, but the set has 2"));
}

/// Signs, axis order and units: a set in which every number is another one, through a memory that turns everything
/// round: columns first, a sign reversed, km/h in tenths with an offset. Bytes after the definition of a layout.
#[test]
fn signs_axis_order_and_units_hold_in_every_corner() {
    let set = fixture::set();
    let mut layout = layout(Width::Bits16, ByteOrder::Big);
    let roll = layout.tables.iter_mut().find(|at| (at.mode, at.table) == (Some(2), TableName::Roll)).unwrap();
    roll.values.order = CellOrder::ColumnByColumn;
    (roll.values.number, roll.values.factor, roll.values.offset) = (NumberType::I16, -0.5, 100.0);
    (roll.rows.factor, roll.rows.offset) = (0.1, -40.0);
    let (rows_at, values_at) = (roll.rows.address, roll.values.address);
    let image = encode(&set, &layout).unwrap();
    let word = |address: u32, index: usize| {
        let at = (address - image.address) as usize + 2 * index;
        u16::from_be_bytes(image.bytes[at..at + 2].try_into().unwrap())
    };
    // Rows 0, 60 and 130 km/h: (value + 40) / 0.1.
    assert_eq!([word(rows_at, 0), word(rows_at, 1), word(rows_at, 2)], [400, 1000, 1700]);
    // Roll of the second mode ("soft/1") is 2040 + 100 row + column, 3 x 3; raw = (value - 100) / -0.5.
    for row in 0..3_usize {
        for column in 0..3_usize {
            let raw = -((2040 + 100 * row + column) as i32 - 100) * 2;
            assert_eq!(word(values_at, column * 3 + row) as i16, raw as i16, "row {row}, column {column}");
        }
    }
    let decoded = decode(&image.bytes, &layout, &set).unwrap();
    assert_eq!(compare_within_half_a_step(&set, &decoded.set, &layout), [] as [&str; 0]);
    // Every table and number of the probe tells itself apart: what is swapped anywhere is seen.
    let mut swapped = layout.clone();
    let [a, b] = [TableName::Roll, TableName::Pitch]
        .map(|name| swapped.tables.iter().position(|at| (at.mode, at.table) == (Some(1), name)).unwrap());
    let (first, second) = (swapped.tables[a].values.address, swapped.tables[b].values.address);
    (swapped.tables[a].values.address, swapped.tables[b].values.address) = (second, first);
    let read = decode(&image.bytes, &swapped, &set).unwrap().set;
    assert!(compare_within_half_a_step(&set, &read, &swapped).len() >= 18);
}

/// The same bytes as a program that shares nothing with this one makes of the same set and layout (tests/layouts/pack.py).
#[test]
fn an_independent_program_packs_the_same_bytes() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/layouts");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let set = crate::forms::from_json(text("set.json").as_bytes()).unwrap();
    let layout: Layout =
        washboard_session::parse_document(&text("layout.json"), washboard_session::Format::Json).unwrap();
    let image = encode(&set, &layout).unwrap();
    assert_eq!(image.bytes, std::fs::read(folder.join("image.bin")).unwrap());
    let numbers: std::collections::HashSet<NumberType> = layout.tables.iter().map(|at| at.values.number).collect();
    assert!(numbers.len() >= 4 && layout.byte_order == ByteOrder::Big, "the sample should try many types");
    assert!(layout.tables.iter().any(|at| at.values.order == CellOrder::ColumnByColumn && at.values.factor < 0.0));
}

#[test]
fn another_layouts_image_is_unknown() {
    let own = layout(Width::Bits16, ByteOrder::Little);
    let mut newer = own.clone();
    newer.version = 8;
    let image = encode(&fixture::set(), &newer).unwrap();
    let decoded = decode(&image.bytes, &own, &fixture::set()).unwrap();
    assert!(decoded.faults.iter().any(|fault| fault.contains("unknown image")), "{:?}", decoded.faults);
    let short = decode(&image.bytes[1..], &own, &fixture::set()).unwrap_err().to_string();
    assert!(short.contains("bytes"), "{short}");
}

#[test]
fn check_values_are_those_of_the_catalogue() {
    // Both from the CRC catalogue (reveng.sourceforge.io): check value over "123456789".
    assert_eq!(CheckKind::Crc32.over(&[b"1234", b"56789"]), 0xcbf4_3926);
    assert_eq!(CheckKind::Crc16.over(&[b"123456789"]), 0x29b1);
}

proptest! {
    #[test]
    fn any_gains_come_back_within_half_a_step_or_are_refused(
        gains in proptest::collection::vec(-1e5_f64..1e5, 12),
        factor in prop_oneof![-2.0_f64..-0.1, 0.01_f64..5.0],
        offset in -1000.0_f64..1000.0,
        number in prop_oneof![Just(NumberType::I16), Just(NumberType::U16), Just(NumberType::I32), Just(NumberType::F32)],
    ) {
        let mut set = fixture::set();
        for (row, cells) in gains.chunks(4).enumerate() {
            set.modes[0].heave.values_n_s_per_m[row].copy_from_slice(cells);
        }
        let (name, byte_order, width) = ("unit".to_owned(), ByteOrder::Big, Width::Bits32);
        let mut layout = Layout::propose(&set, &Proposal { name, version: 1, address: 0, byte_order, width, ..Proposal::default() }).unwrap();
        let heave = layout.tables.iter_mut().find(|at| at.table == TableName::Heave).unwrap();
        (heave.values.number, heave.values.factor, heave.values.offset) = (number, factor, offset);
        let (least, most) = number.range();
        let fits = gains.iter().all(|gain| {
            let raw = (gain - offset) / factor;
            raw > least - 0.49 && raw < most + 0.49
        });
        let overflows = gains.iter().any(|gain| {
            let raw = (gain - offset) / factor;
            raw < least - 0.51 || raw > most + 0.51
        });
        match encode(&set, &layout) {
            Ok(image) => {
                prop_assert!(!overflows);
                let decoded = decode(&image.bytes, &layout, &set).unwrap();
                prop_assert_eq!(decoded.faults, Vec::<String>::new());
                prop_assert_eq!(compare_within_half_a_step(&set, &decoded.set, &layout), Vec::<String>::new());
            }
            Err(fault) => prop_assert!(!fits, "{}", fault),
        }
    }

    #[test]
    fn any_memory_decodes_without_a_panic(bytes in proptest::collection::vec(any::<u8>(), 2000..2001)) {
        let mut layout = layout(Width::Bits16, ByteOrder::Little);
        let length = layout.memory.bytes as usize;
        let mut bytes = bytes;
        bytes.resize(length, 0x5a);
        let _ = decode(&bytes, &layout, &fixture::set());
        layout.memory.bytes -= 1;
        prop_assert!(decode(&bytes, &layout, &fixture::set()).is_err());
    }

    #[test]
    fn any_text_reads_as_hex_without_a_panic(text in ":?[0-9A-F:\n]{0,80}") {
        let _ = read_hex(&text, &layout(Width::Bits16, ByteOrder::Little));
    }
}
