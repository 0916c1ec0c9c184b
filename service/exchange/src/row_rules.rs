//! Rules that need no more than one row.

use std::cmp::Ordering;

use catalogue::{Cell, SheetSpec};

use crate::did_you_mean::meant;
use crate::fault::{Fault, FaultCode, Faults};
use crate::header::file_name;
use crate::setting_rules::setting_fault;

/// Columns of which the first is never above the second, in every sheet that has both.
const ASCENDING: &[(&str, &str)] = &[
    ("serial_from", "serial_to"),
    ("built_from", "built_to"),
    ("valid_from", "valid_to"),
    ("minimum", "maximum"),
    ("minimum", "order_up_to"),
    ("backlash_min_mm", "backlash_max_mm"),
    ("inside_diameter_mm", "outside_diameter_mm"),
    ("carrying_teeth", "tooth_count"),
];

/// Columns of a sheet that mean nothing without another.
const NEEDS: &[(&str, &str, &str)] = &[
    ("supersessions", "variant", "unit"),
    ("cautions", "operation", "unit"),
    ("cautions", "position", "unit"),
    ("weak_points", "likelihood_otherwise", "given"),
    ("outside_work", "finding", "position"),
];

/// The rules of one sheet, as places of its columns.
#[derive(Debug, Clone)]
pub(crate) struct RowRules {
    ascending: Vec<(usize, usize)>,
    needs: Vec<(usize, usize)>,
    setting: Option<(usize, usize)>,
}

impl RowRules {
    pub(crate) fn of(spec: &SheetSpec) -> Self {
        let pair = |a: &str, b: &str| Some((spec.column_index(a)?, spec.column_index(b)?));
        Self {
            ascending: ASCENDING.iter().filter_map(|(low, high)| pair(low, high)).collect(),
            needs: NEEDS
                .iter()
                .filter(|(sheet, _, _)| *sheet == spec.name)
                .filter_map(|(_, column, needed)| pair(column, needed))
                .collect(),
            setting: if spec.name == "settings" { pair("setting", "value") } else { None },
        }
    }

    /// Checks a row; false where a fault was found.
    pub(crate) fn check(&self, spec: &SheetSpec, row: u64, cells: &[Cell], faults: &mut Faults) -> bool {
        let found_before = faults.total();
        let text = |at: usize| spec.columns[at].kind.write(&cells[at]);
        let fault = |at: usize, wrong: String, right: String| {
            Fault::new(FaultCode::Contradiction, file_name(spec), wrong, right)
                .in_row(row)
                .in_column(spec.columns[at].name)
                .with_value(&text(at))
        };
        for (low, high) in self.ascending.iter().copied() {
            if compare(&cells[low], &cells[high]) == Some(Ordering::Greater) {
                faults.add(|| {
                    let (low_name, high_name) = (spec.columns[low].name, spec.columns[high].name);
                    fault(
                        high,
                        format!("is below {low_name} `{}`", text(low)),
                        format!("write {low_name} not above {high_name}"),
                    )
                });
            }
        }
        for (column, needed) in self.needs.iter().copied() {
            if cells[column] != Cell::Null && cells[needed] == Cell::Null {
                faults.add(|| {
                    let needed = spec.columns[needed].name;
                    fault(
                        column,
                        format!("stands without its {needed}"),
                        format!("fill {needed}, or leave both empty"),
                    )
                });
            }
        }
        if let Some((name, value)) = self.setting
            && let (Cell::Text(name), Cell::Text(written)) = (&cells[name], &cells[value])
            && let Some((wrong, right, kind)) = setting_fault(name, written)
        {
            faults.add(|| Fault {
                code: FaultCode::BadValue,
                ..fault(value, wrong, format!("write {right}")).suggesting(meant(kind, written))
            });
        }
        faults.total() == found_before
    }
}

fn compare(low: &Cell, high: &Cell) -> Option<Ordering> {
    match (low, high) {
        (Cell::Integer(low), Cell::Integer(high)) => Some(low.cmp(high)),
        (Cell::Real(low), Cell::Real(high)) => low.partial_cmp(high),
        (Cell::Date(low), Cell::Date(high)) => Some(low.cmp(high)),
        (
            Cell::Null | Cell::Text(_) | Cell::Flag(_) | Cell::Integer(_) | Cell::Real(_) | Cell::Date(_),
            _,
        ) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::bundle::SHEETS;

    #[test]
    fn every_rule_names_columns_that_some_sheet_has() {
        for (low, high) in ASCENDING {
            assert!(
                SHEETS.iter().any(|s| s.column_index(low).is_some() && s.column_index(high).is_some()),
                "{low}"
            );
        }
        for (sheet, column, needed) in NEEDS {
            let spec = catalogue::bundle::sheet(sheet).unwrap();
            assert!(spec.column_index(column).is_some() && spec.column_index(needed).is_some(), "{sheet}");
        }
    }
}
