//! What an import refuses, and how it says so.

use catalogue::{Cell, bundle};
use store::{AuditFilter, ImportFailure, ImportFault, StagedRow, StoreError};

use crate::databases::Database;
use crate::sheets::{SHOP, everything, import, options, put, refused, replacing, spec, staged, told};

on_both_databases!(
    a_key_stands_once_in_a_file,
    an_unknown_reference_is_told_with_the_closest,
    a_reference_into_the_same_bundle_is_known,
    a_reference_to_what_is_removed_is_unknown,
    a_gtin_stands_once_in_a_file,
    cells_that_cannot_be_stored_are_told,
    faults_stop_at_their_limit,
    a_refused_bundle_leaves_everything,
    faults_found_while_reading_are_told_once,
    a_large_first_import_names_its_faults,
    every_reference_of_every_sheet_is_checked,
);

async fn a_key_stands_once_in_a_file(database: Database) {
    let faults = refused(
        import(
            &database.store,
            options(),
            &[
                ("makers", "maker\n VESSICK\n NORRWALD\n VESSICK\n VESSICK"),
                ("parts", "maker | number\n VESSICK | VK-1\n VESSICK | vk 1\n NORRWALD | VK-1"),
                ("units", "code | maker\n BN-640 | VESSICK\n bn640 | VESSICK"),
            ],
        )
        .await,
    );
    assert_eq!(
        told(&faults),
        [
            "makers:4 maker `VESSICK` stands in row 2 already",
            "makers:5 maker `VESSICK` stands in row 2 already",
            "parts:3 maker+number `VESSICK vk 1` stands in row 2 already",
            "units:3 code `bn640` stands in row 2 already",
        ]
    );
    assert_eq!(faults[0].right, "each key once in a file");
}

async fn an_unknown_reference_is_told_with_the_closest(database: Database) {
    put(&database.store, SHOP).await;
    let faults = refused(
        import(
            &database.store,
            options(),
            &[
                ("makers", "maker\n TARNHOLT"),
                ("parts", "maker | number\n VESICK | 1\n TARNHOLD | 2\n WHOLLYUNKNOWN | 3"),
                (
                    "candidates",
                    "unit | position | part | variant
                     BN640 | SAEL | VESSICK/VK101 |
                     BN460 | SEAL | VESSICK/VK1O1 | EARLY
                     BN640 | SEAL | VESSICK/VK20 | LATE",
                ),
            ],
        )
        .await,
    );
    assert_eq!(
        told(&faults),
        [
            "parts:2 maker `VESICK` is not in makers (VESSICK?)",
            "parts:3 maker `TARNHOLD` is not in makers (TARNHOLT?)",
            "parts:4 maker `WHOLLYUNKNOWN` is not in makers",
            "candidates:2 unit+position `BN640 SAEL` is not in positions (BN640 SEAL?)",
            "candidates:3 unit+position `BN460 SEAL` is not in positions (BN640 SEAL?)",
            "candidates:3 part `VESSICK/VK1O1` is not in parts (VESSICK/VK101?)",
            "candidates:3 unit+variant `BN460 EARLY` is not in variants (BN640 EARLY?)",
            "candidates:4 unit+variant `BN640 LATE` is not in variants",
        ]
    );
    assert_eq!(faults[3].right, "the unit and position of a row of positions");
}

async fn a_reference_into_the_same_bundle_is_known(database: Database) {
    put(&database.store, SHOP).await;
    // A row may refer to one that stands below it in its own file, and to a file that comes later.
    put(
        &database.store,
        &[
            (
                "weak_points",
                "unit | weak_point | position | given\n BN640 | A | SEAL | B\n BN640 | B | SEAL |",
            ),
            ("candidates", "unit | position | part\n BN640 | SEAL | TARNHOLT/7"),
            ("parts", "maker | number\n TARNHOLT | 7"),
            ("makers", "maker\n TARNHOLT"),
        ],
    )
    .await;
    let found = database.store.find_part(&catalogue::PartKey::from_stored("TARNHOLT/7")).await.unwrap();
    assert!(found.is_some());
}

async fn a_reference_to_what_is_removed_is_unknown(database: Database) {
    put(&database.store, SHOP).await;
    let sheets = [
        ("variants", "unit | variant\n BN640 | LATE"),
        ("candidates", "unit | position | part | variant\n BN640 | SEAL | VESSICK/VK101 | EARLY"),
    ];
    put(&database.store, &[sheets[1]]).await;
    let faults = refused(import(&database.store, replacing(&["variants"]), &sheets).await);
    assert_eq!(told(&faults), ["candidates:2 unit+variant `BN640 EARLY` is not in variants"]);
}

async fn a_gtin_stands_once_in_a_file(database: Database) {
    let parts = (
        "parts",
        "maker | number | gtin\n VESSICK | 1 | 40170725\n VESSICK | 2 | 40170725\n VESSICK | 3 |\n VESSICK | 4 |",
    );
    let faults = refused(import(&database.store, options(), &[("makers", "maker\n VESSICK"), parts]).await);
    assert_eq!(told(&faults), ["parts:3 gtin `00000040170725` stands in row 2 already"]);
    assert_eq!(faults[0].right, "a GTIN that no other part has");
}

async fn cells_that_cannot_be_stored_are_told(database: Database) {
    let mut import = database.store.begin_import(options()).await.unwrap();
    let (makers, rows) = staged(("makers", "maker\n VESSICK"));
    import.stage(makers, rows).await.unwrap();
    let (parts, mut rows) = staged((
        "parts",
        "maker|number\n VESSICK|1\n VESSICK|2\n VESSICK|3\n VESSICK|4\n VESSICK|5\n VESSICK|6",
    ));
    let at = |name: &str| parts.column_index(name).unwrap();
    rows[0].cells[at("mass_kg")] = Cell::Real(-1.0);
    rows[1].cells[at("mass_kg")] = Cell::Real(f64::NAN);
    rows[2].cells[at("name")] = Cell::Text("a\0b".into());
    rows[3].cells[at("kind")] = Cell::Text("sprocket".into());
    rows[4].cells[at("class")] = Cell::Null;
    rows[5].cells[at("retired")] = Cell::Integer(1);
    import.stage(parts, rows).await.unwrap();
    let (tax, mut rows) = staged(("tax_rates", "tax\n VAT"));
    rows[0].cells[tax.column_index("valid_from").unwrap()] =
        Cell::Date(chrono::NaiveDate::from_ymd_opt(12_026, 1, 1).unwrap());
    import.stage(tax, rows).await.unwrap();
    let (stock, mut rows) = staged(("stock", "bin | part\n A1 | VESSICK/1"));
    rows[0].cells[stock.column_index("mark").unwrap()] = Cell::Text("M".repeat(200));
    import.stage(stock, rows).await.unwrap();
    let (bins, rows) = staged(("bins", "bin\n A1"));
    import.stage(bins, rows).await.unwrap();
    let faults = refused(import.finish().await);
    let mark = "M".repeat(200);
    assert_eq!(
        told(&faults),
        [
            "parts:2 mass_kg `-1` is not above zero",
            "parts:3 mass_kg `NaN` is no number",
            "parts:4 name `a\0b` holds a character that cannot be stored",
            "parts:5 kind `sprocket` is not known here",
            "parts:6 class `` is missing",
            "parts:7 retired `1` is of another kind",
            "tax_rates:2 valid_from `+12026-01-01` is not of our time",
            &format!("stock:2 mark `{mark}` is too long for a key"),
        ]
    );
    let mut narrow = database.store.begin_import(options()).await.unwrap();
    let row = StagedRow { row: 2, cells: vec![Cell::Null] };
    let error = narrow.stage(spec("makers"), vec![row]).await.unwrap_err();
    assert!(matches!(error, StoreError::WrongWidth { sheet: "makers", cells: 1, columns: 2 }), "{error}");
}

async fn faults_stop_at_their_limit(database: Database) {
    let rows: String = (0..40).map(|at| format!("\n UNKNOWN | {at}")).collect();
    let mut few = options();
    few.fault_limit = 7;
    let parts = format!("maker | number{rows}");
    let faults =
        refused(import(&database.store, few, &[("parts", &parts), ("units", "code|maker\n X|Y")]).await);
    assert_eq!(faults.len(), 7);
    assert_eq!(faults[6].row, 8);
}

async fn a_refused_bundle_leaves_everything(database: Database) {
    put(&database.store, SHOP).await;
    let before = everything(&database.store).await;
    let mut sheets =
        vec![("makers", "maker | name\n VESSICK | Renamed"), ("parts", "maker|number\n NOBODY|1")];
    sheets.push(("stock", "bin | part | quantity | carrying_value\n A1 | VESSICK/VK101 | 99 | 1"));
    assert_eq!(refused(import(&database.store, options(), &sheets).await).len(), 1);
    assert_eq!(everything(&database.store).await, before);
    assert_eq!(database.store.list_movements(0, 10).await.unwrap().len(), 2);
    assert_eq!(database.store.list_audit(&AuditFilter::default(), 0, 10).await.unwrap().len(), 1);
    let failure = import(&database.store, options(), &sheets).await.unwrap_err();
    assert_eq!(failure.to_string(), "1 rows cannot be stored");
    assert!(matches!(failure, ImportFailure::Refused(_)));
}

async fn faults_found_while_reading_are_told_once(database: Database) {
    let mut import = database.store.begin_import(options()).await.unwrap();
    let (makers, mut rows) = staged(("makers", "maker\n VESSICK\n NORRWALD"));
    import.reject(ImportFault {
        sheet: "makers",
        row: 3,
        columns: vec!["name"],
        value: "\u{7}".into(),
        wrong: "holds a control character".into(),
        right: "text".into(),
        suggestion: None,
    });
    assert!(!import.has_enough_faults());
    rows[1].cells[1] = Cell::Null;
    import.stage(makers, rows).await.unwrap();
    // The faulty row is staged all the same, so that its parts have a maker.
    let (parts, rows) = staged(("parts", "maker|number\n NORRWALD|1"));
    import.stage(parts, rows).await.unwrap();
    let faults = refused(import.finish().await);
    assert_eq!(told(&faults), ["makers:3 name `\u{7}` holds a control character"]);
}

async fn a_large_first_import_names_its_faults(database: Database) {
    let rows: String = (0..10_000).map(|number| format!("\n VESSICK | {number} |")).collect();
    let makers = ("makers", "maker\n VESSICK");
    for (last, fault) in [
        ("VESSICK | 17 |", "parts:10002 maker+number `VESSICK 17` stands in row 19 already"),
        ("VESSIK | 1 |", "parts:10002 maker `VESSIK` is not in makers (VESSICK?)"),
        (
            "VESSICK | X | 40170725\n VESSICK | Y | 40170725",
            "parts:10003 gtin `00000040170725` stands in row 10002 already",
        ),
    ] {
        let parts = format!("maker | number | gtin{rows}\n {last}");
        let faults = refused(import(&database.store, options(), &[makers, ("parts", &parts)]).await);
        assert_eq!(told(&faults), [fault]);
        assert!(database.store.all_rows::<catalogue::Maker>().await.unwrap().is_empty());
    }
    let parts = format!("maker | number | gtin{rows}");
    put(&database.store, &[makers, ("parts", &parts)]).await;
}

async fn every_reference_of_every_sheet_is_checked(database: Database) {
    for spec in bundle::SHEETS {
        let header: Vec<&str> = spec.file_columns().map(|column| column.name).collect();
        let row: Vec<String> = spec
            .file_columns()
            .map(|column| match column.kind {
                catalogue::ColumnKind::Part => "NOBODY/1".to_owned(),
                catalogue::ColumnKind::Code | catalogue::ColumnKind::Unit => "NOTHERE".to_owned(),
                catalogue::ColumnKind::Choice(words) => words[0].to_owned(),
                catalogue::ColumnKind::Date => "2026-01-01".to_owned(),
                catalogue::ColumnKind::Currency => "EUR".to_owned(),
                catalogue::ColumnKind::Flag => "no".to_owned(),
                catalogue::ColumnKind::Gtin => "40170725".to_owned(),
                _ => "1".to_owned(),
            })
            .collect();
        let text = format!("{}\n{}", header.join("|"), row.join("|"));
        let result = import(&database.store, options(), &[(spec.name, &text)]).await;
        // A row that refers to its own key, as a weak point given itself, is known.
        let unknown: Vec<Vec<&str>> = spec
            .references
            .iter()
            .filter(|reference| reference.sheet != spec.name)
            .map(|reference| reference.columns.to_vec())
            .collect();
        if unknown.is_empty() {
            assert!(result.is_ok(), "{}: {result:?}", spec.name);
            // Taken away again: the next sheets are to find nothing.
            let header = header.join("|");
            import(&database.store, replacing(&[spec.name]), &[(spec.name, &header)]).await.unwrap();
        } else {
            let columns: Vec<Vec<&str>> = refused(result).into_iter().map(|fault| fault.columns).collect();
            assert_eq!(columns, unknown, "{}", spec.name);
        }
    }
}
