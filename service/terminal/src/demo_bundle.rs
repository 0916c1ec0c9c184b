//! The demo catalogue, inside the binary.

use std::collections::BTreeMap;

use catalogue::bundle;

macro_rules! sheets {
    ($($name:literal),+ $(,)?) => {
        &[$(($name, include_bytes!(concat!("../../../seed-data/", $name, ".csv")))),+]
    };
}

/// The files by the names of their sheets.
const FILES: &[(&str, &[u8])] = sheets![
    "makers",
    "suppliers",
    "vehicles",
    "engine_points",
    "parts",
    "features",
    "units",
    "vehicle_units",
    "variants",
    "positions",
    "bench_values",
    "bench_renewals",
    "candidates",
    "set_positions",
    "joints",
    "fit_statements",
    "companions",
    "kit_lines",
    "supersessions",
    "supersession_needs",
    "operations",
    "operation_scope",
    "fluids",
    "outside_work",
    "weak_points",
    "cautions",
    "prices",
    "exchange_rates",
    "tax_rates",
    "customers",
    "price_rules",
    "settings",
    "bins",
    "minimums",
    "stock",
];

/// The files of the demo by file name.
pub fn demo_bundle() -> BTreeMap<String, Vec<u8>> {
    FILES
        .iter()
        .filter(|(name, _)| bundle::sheet(name).is_some())
        .map(|(name, text)| (format!("{name}.csv"), text.to_vec()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_is_inside() {
        let names: Vec<&str> = FILES.iter().map(|(name, _)| *name).collect();
        let sheets: Vec<&str> = bundle::SHEETS.iter().map(|spec| spec.name).collect();
        assert_eq!(names, sheets);
        assert_eq!(demo_bundle().len(), sheets.len());
    }
}
