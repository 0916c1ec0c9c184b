//! Sheets written as small tables of text.

use std::collections::BTreeSet;

use catalogue::{Cell, Code, ColumnKind, Derivation, PartKey, SheetSpec, UnitKey, bundle};
use store::{ImportFailure, ImportFault, ImportOptions, ImportReport, StagedRow, Store};

/// A sheet of a bundle: its name, and rows below a header, cells set apart by `|`. Columns that are not named get
/// nothing, or where something is required, a plain value.
pub(crate) type Sheet<'a> = (&'a str, &'a str);

/// The sheet of a name.
pub(crate) fn spec(name: &str) -> &'static SheetSpec {
    bundle::SHEETS.iter().find(|spec| spec.name == name).unwrap_or_else(|| panic!("no sheet {name}"))
}

/// Reads the rows of a sheet. The header is line 1.
pub(crate) fn staged((name, text): Sheet<'_>) -> (&'static SheetSpec, Vec<StagedRow>) {
    let spec = spec(name);
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let header: Vec<&str> = lines.next().map_or(vec![], |line| line.split('|').map(str::trim).collect());
    for column in &header {
        assert!(spec.column_index(column).is_some(), "{name} has no column {column}");
    }
    let rows = lines.enumerate().map(|(at, line)| {
        let texts: Vec<&str> = line.split('|').collect();
        assert_eq!(texts.len(), header.len(), "{name}: {line}");
        let given = |column: &str| header.iter().position(|name| *name == column).map(|at| texts[at].trim());
        StagedRow { row: at as u64 + 2, cells: cells(spec, given) }
    });
    (spec, rows.collect())
}

fn cells<'a>(spec: &SheetSpec, given: impl Fn(&str) -> Option<&'a str>) -> Vec<Cell> {
    spec.columns
        .iter()
        .map(|column| match column.derived {
            Some(Derivation::PartOfNumber) => {
                let maker = Code::parse(given("maker").unwrap()).unwrap();
                Cell::Text(PartKey::new(&maker, given("number").unwrap()).unwrap().as_str().to_owned())
            }
            Some(Derivation::UnitOfCode) => {
                Cell::Text(UnitKey::parse(given("code").unwrap()).unwrap().as_str().to_owned())
            }
            None => match given(column.name) {
                Some(text) => column.kind.read(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}")),
                None if column.required || column.kind == ColumnKind::Mark => plain(column.kind),
                None => Cell::Null,
            },
        })
        .collect()
}

fn plain(kind: ColumnKind) -> Cell {
    let text = match kind {
        ColumnKind::Text => "plain",
        ColumnKind::Mark => "",
        ColumnKind::Code => "PLAIN",
        ColumnKind::Part => "VESSICK/1",
        ColumnKind::Unit => "BN1",
        ColumnKind::Integer | ColumnKind::Quantity | ColumnKind::Rate => "1",
        ColumnKind::Real => "0.5",
        ColumnKind::Money | ColumnKind::Percent => "0",
        ColumnKind::Flag => "no",
        ColumnKind::Date => "2026-01-01",
        ColumnKind::Currency => "EUR",
        ColumnKind::Gtin => "40170725",
        ColumnKind::Choice(words) => words[0],
    };
    kind.read(text).unwrap()
}

/// Options of a plain import.
pub(crate) fn options() -> ImportOptions {
    ImportOptions {
        replace: BTreeSet::new(),
        dry_run: false,
        fault_limit: 50,
        at_price_revision: None,
        at_structure_revision: None,
        who: "keeper".into(),
        note: String::new(),
        paper: None,
    }
}

/// Options under which the named sheets are replaced.
pub(crate) fn replacing(sheets: &[&str]) -> ImportOptions {
    ImportOptions { replace: sheets.iter().map(|name| (*name).to_owned()).collect(), ..options() }
}

/// Imports sheets.
pub(crate) async fn import(
    store: &Store,
    options: ImportOptions,
    sheets: &[Sheet<'_>],
) -> Result<ImportReport, ImportFailure> {
    let mut import = store.begin_import(options).await?;
    for sheet in sheets {
        let (spec, rows) = staged(*sheet);
        import.stage(spec, rows).await?;
    }
    import.finish().await
}

/// Imports sheets that must go in.
pub(crate) async fn put(store: &Store, sheets: &[Sheet<'_>]) -> ImportReport {
    import(store, options(), sheets).await.unwrap_or_else(|failure| panic!("{failure:?}"))
}

/// The faults of an import that must be refused.
pub(crate) fn refused(result: Result<ImportReport, ImportFailure>) -> Vec<ImportFault> {
    match result {
        Err(ImportFailure::Refused(faults)) => faults,
        other => panic!("not refused: {other:?}"),
    }
}

/// Faults as lines to compare.
pub(crate) fn told(faults: &[ImportFault]) -> Vec<String> {
    faults
        .iter()
        .map(|fault| {
            let suggestion = fault.suggestion.as_ref().map_or(String::new(), |text| format!(" ({text}?)"));
            let columns = fault.columns.join("+");
            format!("{}:{} {columns} `{}` {}{suggestion}", fault.sheet, fault.row, fault.value, fault.wrong)
        })
        .collect()
}

/// All rows of all sheets, as text.
pub(crate) async fn everything(store: &Store) -> Vec<(&'static str, Vec<Vec<Cell>>)> {
    let mut sheets = Vec::new();
    for spec in bundle::SHEETS {
        let mut rows = Vec::new();
        let mut receive = |row: Vec<Cell>| -> Result<(), store::StoreError> {
            rows.push(row);
            Ok(())
        };
        store.export(spec, &mut receive).await.unwrap();
        sheets.push((spec.name, rows));
    }
    sheets
}

/// A small catalogue: one box with kits, notices and prices.
pub(crate) const SHOP: &[Sheet<'_>] = &[
    ("makers", "maker | name\n VESSICK | Vessick\n NORRWALD | Norrwald\n BRANNOCH | Brannoch"),
    ("suppliers", "supplier | name\n OSTREL | Ostrel\n SKARNE | Skarne"),
    ("vehicles", "vehicle | maker | name\n RT4 | BRANNOCH | Road-rail truck"),
    ("engine_points", "vehicle | speed_rpm | torque_nm\n RT4 | 1000 | 400.5\n RT4 | 2000 | 380"),
    (
        "parts",
        "maker | number | name | kind | class | gtin
         VESSICK | VK-10.1 | Seal | consumable | seal | 40170725
         VESSICK | VK-10.2 | Seal | consumable | seal |
         VESSICK | VK-10.3 | Seal | consumable | seal |
         NORRWALD | VK 10.1 | Washer | wear | thrust_washer |
         VESSICK | VK-20 | Nut | consumable | nut |
         VESSICK | VK-21 | Lock plate | consumable | lock_plate |
         VESSICK | VK-30 | Bearing | wear | bearing |
         VESSICK | KIT-1 | Seal kit | kit | other |
         VESSICK | KIT-2 | Full kit | kit | other |
         VESSICK | KIT-3 | Kit for another box | kit | other |
         VESSICK | VK-90 | Bearing of another box | wear | bearing |
         VESSICK | VK-91 | Stranger | wear | bearing |
         VESSICK | OIL-80 | Oil | consumable | fluid |",
    ),
    (
        "features",
        "part | feature | kind | diameter_mm\n VESSICK/VK30 | BORE | bearing_bore | 40\n VESSICK/VK90 | BORE | bearing_bore | 50",
    ),
    (
        "units",
        "code | maker | name | kind\n BN-640 | BRANNOCH | Gearbox | gearbox\n BN-143 | BRANNOCH | Drop box | drop_box",
    ),
    ("vehicle_units", "vehicle | unit | role\n RT4 | BN640 | gearbox\n RT4 | BN143 | drop_box"),
    ("variants", "unit | variant | option_group\n BN640 | EARLY | BUILD"),
    (
        "positions",
        "unit | position | assembly_order | quantity
         BN640 | SEAL | 1 | 1
         BN640 | NUT | 2 | 1
         BN640 | BRG-A | 3 | 2
         BN143 | BRG | 1 | 1",
    ),
    (
        "candidates",
        "unit | position | part | role
         BN640 | SEAL | VESSICK/VK101 | original
         BN640 | NUT | VESSICK/VK20 | original
         BN640 | BRG-A | VESSICK/VK30 | original
         BN143 | BRG | VESSICK/VK90 | original",
    ),
    (
        "joints",
        "joint | kind | unit_a | position_a | unit_b | position_b
         J1 | thread | BN640 | NUT | BN640 | BRG-A
         J2 | spline | BN640 | BRG-A | BN143 | BRG",
    ),
    (
        "fit_statements",
        "maker | part_a | part_b | verdict
         VESSICK | VESSICK/VK20 | VESSICK/VK30 | fits
         NORRWALD | VESSICK/VK20 | VESSICK/VK90 | does_not_fit",
    ),
    ("companions", "part | companion | quantity\n VESSICK/VK20 | VESSICK/VK21 | 1"),
    (
        "kit_lines",
        "kit | line | part | quantity
         VESSICK/KIT1 | 1 | VESSICK/VK102 | 2
         VESSICK/KIT2 | 1 | VESSICK/KIT1 | 1
         VESSICK/KIT2 | 2 | VESSICK/VK91 | 4
         VESSICK/KIT3 | 1 | VESSICK/VK90 | 1",
    ),
    (
        "supersessions",
        "notice | old | new | shape | interchange
         N1 | VESSICK/VK101 | VESSICK/VK102 | one_to_one | two_way
         N2 | VESSICK/VK102 | VESSICK/VK103 | one_to_one | new_for_old",
    ),
    ("supersession_needs", "notice | line | unit | position\n N2 | 1 | BN640 | NUT\n N9 | 1 | BN640 | SEAL"),
    ("operations", "unit | operation | name | overhaul | hours\n BN640 | OVERHAUL | Overhaul | yes | 12.5"),
    ("fluids", "unit | operation | part | quantity\n BN640 | OVERHAUL | VESSICK/OIL80 | 2.5"),
    ("weak_points", "unit | weak_point | position | given\n BN640 | W1 | SEAL | \n BN640 | W2 | NUT | W1"),
    ("cautions", "caution | hazard | unit\n LIFT | lifting | \n HEAT | heat | BN143"),
    (
        "prices",
        "supplier | part | quantity_from | price | currency
         OSTREL | VESSICK/VK101 | 1 | 12.50 | EUR
         OSTREL | VESSICK/VK101 | 10 | 11 | EUR
         SKARNE | VESSICK/VK90 | 1 | 80.1234 | CHF",
    ),
    ("exchange_rates", "currency | rate\n CHF | 1.05"),
    ("tax_rates", "tax | rate\n VAT | 19"),
    ("customers", "customer | name\n RAIL | Mountain railway\n ROAD | Road office"),
    ("price_rules", "rule | customer | markup\n R1 | | 30\n R2 | RAIL | 10\n R3 | ROAD | 20"),
    ("settings", "setting | value\n BASE-CURRENCY | EUR"),
    ("bins", "bin | name\n A1 | Shelf A\n A2 | Shelf B"),
    (
        "stock",
        "bin | part | mark | quantity | carrying_value
         A1 | VESSICK/VK101 | | 3 | 9.75
         A1 | VESSICK/VK30 | M7 | 1 | 50
         A2 | VESSICK/VK30 | | 0 | 50",
    ),
];
