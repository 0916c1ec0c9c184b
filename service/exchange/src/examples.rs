//! Example values for the documentation of the bundle, in the words of the demo.

use catalogue::{Column, ColumnKind};

/// Examples by column name, where the kind alone would give a poor one.
const BY_NAME: &[(&str, &str)] = &[
    ("assembly_order", "120"),
    ("backlash_max_mm", "0.18"),
    ("backlash_min_mm", "0.08"),
    ("bench_value", "END-FLOAT"),
    ("bin", "A-03-2"),
    ("built_from", "2009-03-01"),
    ("built_to", "2014-10-31"),
    ("carrying_teeth", "18"),
    ("caution", "HOT-BEARING"),
    ("centre_distance_mm", "98"),
    ("code", "BN-640"),
    ("companion", "VESSICK/VK 228-442"),
    ("cone_angle_deg", "13"),
    ("customer", "DISTRICT-NORTH"),
    ("designation", "6308-2RS"),
    ("document", "Fitting sheet 14"),
    ("drag_area_m2", "4.1"),
    ("feature", "INPUT-SPLINE"),
    ("feature_a", "TEETH"),
    ("feature_b", "TEETH"),
    ("given", "HUB-1-2"),
    ("grade", "75W-90"),
    ("gtin", "6291041500213"),
    ("helix_angle_deg", "24.5"),
    ("hours", "16.5"),
    ("how_to_tell", "Measure the flange: 100 mm or 120 mm across"),
    ("joint", "BN640-MESH-3"),
    ("kit", "NORRWALD/NK 640-900"),
    ("laden_mass_kg", "11500"),
    ("lead_days", "5"),
    ("length_mm", "23"),
    ("likelihood", "0.35"),
    ("likelihood_otherwise", "0.05"),
    ("line", "10"),
    ("maker", "VESSICK"),
    ("mark", "7-114"),
    ("markup", "35"),
    ("mass_kg", "1.85"),
    ("maximum", "0.12"),
    ("measured_by", "M. Orlan"),
    ("minimum", "0.05"),
    ("module_mm", "3.25"),
    ("name", "Input shaft seal"),
    ("new", "VESSICK/VK 640-118A"),
    ("notice", "V-2025-031"),
    ("number", "VK 640-118"),
    ("old", "VESSICK/VK 640-118"),
    ("only_with", "VESSICK/VK 228-441"),
    ("operation", "OVERHAUL"),
    ("option_group", "FLANGE"),
    ("outside_diameter_mm", "72"),
    ("part", "VESSICK/VK 640-118"),
    ("part_a", "VESSICK/VK 552-310"),
    ("part_b", "TARNHOLT/TH 552-77"),
    ("pitch_mm", "1.5"),
    ("position", "INPUT-SEAL"),
    ("position_a", "LAYSHAFT"),
    ("position_b", "THIRD-GEAR"),
    ("pressure_angle_deg", "20"),
    ("price", "48.50"),
    ("price_group", "SEALS"),
    ("profile_shift", "-0.12"),
    ("purpose", "Fill after overhaul"),
    ("quantity", "2"),
    ("renews", "PINION"),
    ("rolling_resistance", "0.012"),
    ("rule", "SEALS-DISTRICT"),
    ("serial_from", "12000"),
    ("serial_to", "18499"),
    ("setting", "BASE-CURRENCY"),
    ("source", "Bank list of the month"),
    ("speed_rpm", "1400"),
    ("step", "0.05"),
    ("subassembly", "INPUT-SHAFT"),
    ("supplier", "OSTREL"),
    ("symptom", "Oil at the bell housing"),
    ("tax", "STANDARD"),
    ("text", "Lift with the two eyes only; the unit weighs 210 kg."),
    ("tolerance", "k6"),
    ("tooth_count", "24"),
    ("torque_nm", "560"),
    ("tyre", "265/70R16"),
    ("uncertainty_mm", "0.005"),
    ("unit", "BN-640"),
    ("unit_a", "BN-640"),
    ("unit_b", "BN-143"),
    ("value", "EUR"),
    ("variant", "FLANGE-120"),
    ("vehicle", "BRANNOCH-R11"),
    ("vehicle_check", "Wipe dry, drive ten minutes, look again"),
    ("weak_point", "HUB-1-2"),
    ("wear_limit", "0.25"),
    ("work", "GRIND-CASE"),
];

/// A value that a column may hold.
pub fn example(column: &Column) -> &'static str {
    if let ColumnKind::Choice(words) = column.kind {
        return words.first().copied().unwrap_or_default();
    }
    let by_name = BY_NAME.iter().find(|(name, _)| *name == column.name).map(|(_, example)| *example);
    match (by_name, column.kind) {
        (Some(example), kind) if kind.read(example).is_ok() => example,
        (_, ColumnKind::Text | ColumnKind::Mark) => "text",
        (_, ColumnKind::Code) => "CODE",
        (_, ColumnKind::Part) => "VESSICK/VK 640-118",
        (_, ColumnKind::Unit) => "BN-640",
        (_, ColumnKind::Integer) => "3",
        (_, ColumnKind::Real) => "12.5",
        (_, ColumnKind::Money) => "12.50",
        (_, ColumnKind::Quantity) => "1",
        (_, ColumnKind::Percent) => "20",
        (_, ColumnKind::Rate) => "0.93",
        (_, ColumnKind::Flag) => "no",
        (_, ColumnKind::Date) => "2026-02-28",
        (_, ColumnKind::Currency) => "EUR",
        (_, ColumnKind::Gtin) => "6291041500213",
        (_, ColumnKind::Choice(_)) => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::bundle::SHEETS;

    #[test]
    fn every_example_is_a_value_of_its_column() {
        for (spec, column) in SHEETS.iter().flat_map(|s| s.file_columns().map(move |c| (s, c))) {
            let cell = column.kind.read(example(column)).unwrap();
            assert_ne!(cell, catalogue::Cell::Null, "{}.{}", spec.name, column.name);
            assert_eq!(column.bound.broken_by(&cell), None, "{}.{}", spec.name, column.name);
        }
    }

    #[test]
    fn text_columns_and_codes_have_an_example_of_their_own() {
        for (spec, column) in SHEETS.iter().flat_map(|s| s.file_columns().map(move |c| (s, c))) {
            assert!(!matches!(example(column), "text" | "CODE"), "{}.{}", spec.name, column.name);
        }
    }
}
