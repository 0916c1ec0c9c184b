//! The bundle: all sheets in an order in which each refers only to those before it (or to itself).

use crate::nouns::*;
use crate::sheet::{Sheet, SheetSpec};

/// All sheets, in the order in which they can be stored.
pub const SHEETS: &[SheetSpec] = &[
    Maker::SPEC,
    Supplier::SPEC,
    Vehicle::SPEC,
    EnginePoint::SPEC,
    Part::SPEC,
    Feature::SPEC,
    Unit::SPEC,
    VehicleUnit::SPEC,
    Variant::SPEC,
    Position::SPEC,
    BenchValue::SPEC,
    BenchRenewal::SPEC,
    Candidate::SPEC,
    SetPosition::SPEC,
    Joint::SPEC,
    FitStatement::SPEC,
    Companion::SPEC,
    KitLine::SPEC,
    Supersession::SPEC,
    SupersessionNeed::SPEC,
    Operation::SPEC,
    OperationScope::SPEC,
    Fluid::SPEC,
    OutsideWork::SPEC,
    WeakPoint::SPEC,
    Caution::SPEC,
    Price::SPEC,
    ExchangeRate::SPEC,
    TaxRate::SPEC,
    Customer::SPEC,
    PriceRule::SPEC,
    Setting::SPEC,
    Bin::SPEC,
    Minimum::SPEC,
    Stock::SPEC,
];

/// The sheet of a name.
pub fn sheet(name: &str) -> Option<&'static SheetSpec> {
    SHEETS.iter().find(|spec| spec.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reference_points_at_the_key_of_a_sheet_before_it_or_at_its_own() {
        for (at, spec) in SHEETS.iter().enumerate() {
            for reference in spec.references {
                let (found, target) = SHEETS
                    .iter()
                    .enumerate()
                    .find(|(_, other)| other.name == reference.sheet)
                    .unwrap_or_else(|| panic!("{} refers to unknown {}", spec.name, reference.sheet));
                assert!(found <= at, "{} refers to {} that comes later", spec.name, target.name);
                assert_eq!(reference.target, target.key, "{} -> {}", spec.name, target.name);
                for (from, to) in reference.columns.iter().zip(reference.target) {
                    let from = &spec.columns[spec.column_index(from).unwrap()];
                    let to = &target.columns[target.column_index(to).unwrap()];
                    assert_eq!(
                        from.kind, to.kind,
                        "{}.{} -> {}.{}",
                        spec.name, from.name, target.name, to.name
                    );
                }
            }
        }
    }

    #[test]
    fn every_key_is_made_of_required_columns() {
        for spec in SHEETS {
            for key in spec.key {
                let column = &spec.columns[spec.column_index(key).unwrap()];
                assert!(column.required || column.kind == crate::ColumnKind::Mark, "{}.{key}", spec.name);
            }
        }
    }

    #[test]
    fn a_row_goes_to_cells_and_back() {
        let row = Maker { maker: crate::Code::parse("VESSICK").unwrap(), name: "Vessick".into() };
        assert_eq!(Maker::from_cells(&row.to_cells()), Ok(row));
        assert_eq!(Maker::from_cells(&[crate::Cell::Null, crate::Cell::Null]), Err(0));
    }
}
