//! Columns that stand in no file because they follow from others of their row.

use catalogue::{Cell, Code, Derivation, PartKey, SheetSpec, UnitKey};

use crate::fault::{Fault, FaultCode, Faults};
use crate::header::file_name;

/// Fills the derived columns of a row; false where a fault was found.
pub(crate) fn derive(spec: &SheetSpec, row: u64, cells: &mut [Cell], faults: &mut Faults) -> bool {
    let mut sound = true;
    for (index, column) in spec.columns.iter().enumerate() {
        let Some(derivation) = column.derived else { continue };
        let text = |name: &str| {
            spec.column_index(name).and_then(|at| match &cells[at] {
                Cell::Text(text) => Some(text.clone()),
                Cell::Null | Cell::Integer(_) | Cell::Real(_) | Cell::Flag(_) | Cell::Date(_) => None,
            })
        };
        let (from, written, key) = match derivation {
            Derivation::PartOfNumber => {
                let (Some(maker), Some(number)) = (text("maker"), text("number")) else { continue };
                let key = PartKey::new(&Code::from_stored(maker), &number);
                ("number", number, key.map(|key| key.as_str().to_owned()))
            }
            Derivation::UnitOfCode => {
                let Some(code) = text("code") else { continue };
                let key = UnitKey::parse(&code);
                ("code", code, key.map(|key| key.as_str().to_owned()))
            }
        };
        match key {
            Ok(key) => cells[index] = Cell::Text(key),
            Err(wrong) => {
                sound = false;
                faults.add(|| {
                    Fault::new(
                        FaultCode::BadValue,
                        file_name(spec),
                        wrong.to_string(),
                        "write it as it stands on the part or plate",
                    )
                    .in_row(row)
                    .in_column(from)
                    .with_value(&written)
                });
            }
        }
    }
    sound
}
