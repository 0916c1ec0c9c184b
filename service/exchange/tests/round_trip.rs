//! What is written is read back; whatever is read never panics; memory does not grow with the rows.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::io::{self, Read};

use catalogue::bundle::SHEETS;
use catalogue::{Bound, Cell, Column, ColumnKind, SheetSpec};
use chrono::NaiveDate;
use exchange::{BATCH_ROWS, Faults, read_sheet, write_sheet};
use proptest::prelude::*;

fn texts() -> impl Strategy<Value = String> {
    // Commas, quotes, line breaks and letters of several scripts; what reading trims is trimmed here too.
    "[a-zÄß東0-9,;\"'\n |\\-=]{0,40}".prop_map(|text| format!("x{}", text.trim_end()))
}

fn cell_of(column: &Column) -> BoxedStrategy<Cell> {
    let from = match column.bound {
        Bound::Any => -1_000_000_i64,
        Bound::NotNegative => 0,
        Bound::Positive => 1,
        Bound::Share => 0,
    };
    let whole = (from..i64::from(i32::MAX)).prop_map(Cell::Integer);
    let value = match column.kind {
        // Keys are made of these.
        ColumnKind::Text if matches!(column.name, "number" | "code") => {
            "[A-Za-z0-9]{1,6}[ .A-Za-z0-9/-]{0,10}[A-Z0-9]".prop_map(Cell::Text).boxed()
        }
        ColumnKind::Text | ColumnKind::Mark => texts().prop_map(Cell::Text).boxed(),
        ColumnKind::Code => "[A-Z0-9_.-]{1,12}".prop_map(Cell::Text).boxed(),
        ColumnKind::Part => "[A-Z0-9_]{1,6}/[A-Z0-9/\"]{1,12}".prop_map(Cell::Text).boxed(),
        ColumnKind::Unit => "[A-Z0-9]{1,8}".prop_map(Cell::Text).boxed(),
        ColumnKind::Integer
        | ColumnKind::Money
        | ColumnKind::Quantity
        | ColumnKind::Percent
        | ColumnKind::Rate => whole.boxed(),
        ColumnKind::Real => {
            let (low, high) = match column.bound {
                Bound::Any => (-1e9, 1e9),
                Bound::NotNegative => (0.0, 1e9),
                Bound::Positive => (f64::MIN_POSITIVE, 1e9),
                Bound::Share => (0.0, 1.0),
            };
            (low..high).prop_map(Cell::Real).boxed()
        }
        ColumnKind::Flag => any::<bool>().prop_map(Cell::Flag).boxed(),
        ColumnKind::Date => (0..40_000_u64)
            .prop_map(|days| {
                Cell::Date(NaiveDate::from_ymd_opt(1960, 1, 1).unwrap() + chrono::Days::new(days))
            })
            .boxed(),
        ColumnKind::Currency => "[A-Z]{3}".prop_map(Cell::Text).boxed(),
        ColumnKind::Gtin => Just(Cell::Text("06291041500213".into())).boxed(),
        ColumnKind::Choice(words) => {
            proptest::sample::select(words).prop_map(|word| Cell::Text(word.into())).boxed()
        }
    };
    let missing = column.kind.read("").unwrap();
    if column.required { value } else { prop_oneof![value, Just(missing)].boxed() }
}

/// Rows of a sheet that keep the rules of one row, with the derived columns as reading makes them.
fn rows_of(spec: &'static SheetSpec) -> impl Strategy<Value = Vec<Vec<Cell>>> {
    let row: Vec<BoxedStrategy<Cell>> = spec.columns.iter().map(cell_of).collect();
    proptest::collection::vec(row, 0..12).prop_map(move |mut rows| {
        for row in &mut rows {
            order_ranges(spec, row);
            for (at, column) in spec.columns.iter().enumerate() {
                if column.derived.is_some() {
                    row[at] = Cell::Null;
                }
            }
        }
        rows
    })
}

fn order_ranges(spec: &SheetSpec, row: &mut [Cell]) {
    // Columns of which one limits the other are left empty where that is allowed, and so are those that need another.
    for name in [
        "serial_to",
        "built_to",
        "valid_to",
        "maximum",
        "order_up_to",
        "backlash_max_mm",
        "outside_diameter_mm",
        "carrying_teeth",
    ] {
        if let Some(at) = spec.column_index(name) {
            row[at] = Cell::Null;
        }
    }
    for (sheet, column) in [
        ("supersessions", "variant"),
        ("cautions", "operation"),
        ("cautions", "position"),
        ("weak_points", "likelihood_otherwise"),
        ("outside_work", "finding"),
    ] {
        if spec.name == sheet {
            row[spec.column_index(column).unwrap()] = Cell::Null;
        }
    }
}

fn read_all(spec: &'static SheetSpec, bytes: &[u8]) -> (Vec<Vec<Cell>>, Faults) {
    let mut faults = Faults::with_limit(5);
    let mut rows = Vec::new();
    read_sheet::<_, io::Error>(spec, bytes, &mut faults, |batch| {
        rows.extend(batch.rows.into_iter().map(|row| row.cells));
        Ok(())
    })
    .unwrap();
    (rows, faults)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_is_read_back(
        (spec, rows) in proptest::sample::select(SHEETS)
            .prop_flat_map(|spec| {
                let spec = catalogue::bundle::sheet(spec.name).unwrap();
                (Just(spec), rows_of(spec))
            })
    ) {
        let bytes = write_sheet(spec, Vec::new(), rows.iter().map(Vec::as_slice)).unwrap();
        let (mut read, faults) = read_all(spec, &bytes);
        prop_assert!(faults.is_empty(), "{:?}", faults.kept());
        for row in &mut read {
            for (at, column) in spec.columns.iter().enumerate() {
                if column.derived.is_some() {
                    prop_assert!(row[at] != Cell::Null);
                    row[at] = Cell::Null;
                }
            }
        }
        prop_assert_eq!(&read, &rows);
        let again = write_sheet(spec, Vec::new(), read.iter().map(Vec::as_slice)).unwrap();
        prop_assert_eq!(again, bytes);
    }

    #[test]
    fn arbitrary_bytes_are_told_about_and_never_panic(
        at in 0..SHEETS.len(),
        bytes in proptest::collection::vec(any::<u8>(), 0..400),
    ) {
        let spec = catalogue::bundle::sheet(SHEETS[at].name).unwrap();
        let (rows, faults) = read_all(spec, &bytes);
        prop_assert!(rows.is_empty());
        prop_assert!(!faults.is_empty());
    }

    #[test]
    fn nearly_csv_never_panics(
        at in 0..SHEETS.len(),
        rows in proptest::collection::vec("[a-zA-Z0-9/\",.\r\n\u{0}\u{feff}-]{0,60}", 0..12),
    ) {
        let spec = catalogue::bundle::sheet(SHEETS[at].name).unwrap();
        let mut bytes = write_sheet(spec, Vec::new(), []).unwrap();
        bytes.extend(rows.join("\r\n").into_bytes());
        let (read, faults) = read_all(spec, &bytes);
        for row in &read {
            prop_assert_eq!(row.len(), spec.columns.len());
        }
        prop_assert!(faults.kept().iter().all(|fault| fault.row.is_none_or(|row| row > 1)));
    }
}

/// A text that is made while it is read.
struct Endless {
    rows_left: u64,
    pending: Vec<u8>,
}

impl Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.pending.is_empty() {
            if self.rows_left == 0 {
                return Ok(0);
            }
            self.rows_left -= 1;
            self.pending = format!("M{},\"a name, with \"\"quotes\"\"\"\r\n", self.rows_left).into_bytes();
        }
        let count = buffer.len().min(self.pending.len());
        buffer[..count].copy_from_slice(&self.pending[..count]);
        self.pending.drain(..count);
        Ok(count)
    }
}

#[test]
fn a_batch_is_all_that_is_held_of_a_long_file() {
    let rows = 300_000;
    let input = Endless { rows_left: rows, pending: b"maker,name\r\n".to_vec() };
    let mut faults = Faults::with_limit(5);
    let mut largest = 0;
    let summary = read_sheet::<_, io::Error>(
        catalogue::bundle::sheet("makers").unwrap(),
        input,
        &mut faults,
        |batch| {
            largest = largest.max(batch.rows.len());
            Ok(())
        },
    )
    .unwrap();
    assert_eq!((summary.rows, largest), (rows, BATCH_ROWS));
    assert!(faults.is_empty());
}
