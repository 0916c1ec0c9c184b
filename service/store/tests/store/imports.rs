//! What an import does to the tables.

use store::{AuditFilter, Change, ImportReport, NewQuote, SheetChange};

use crate::databases::Database;
use crate::sheets::{SHOP, everything, import, options, put, refused, replacing, staged, told};

on_both_databases!(
    a_bundle_goes_in_and_then_changes_nothing,
    a_merge_counts_what_it_changes,
    revisions_move_with_what_they_count,
    a_dry_run_reports_and_leaves_everything,
    a_replaced_file_takes_away_what_it_does_not_name,
    parts_and_children_can_go_together,
    a_part_that_papers_use_is_retired,
    an_empty_file_counts_as_present,
    a_gtin_passes_from_one_part_to_another,
    an_import_that_is_dropped_leaves_nothing,
    batches_of_one_sheet_may_come_in_turns,
    imports_at_the_same_time_take_turns,
    the_audit_has_one_entry_with_the_hash_of_the_difference,
);

fn of<'a>(report: &'a ImportReport, sheet: &str) -> &'a SheetChange {
    report.sheets.iter().find(|change| change.sheet == sheet).unwrap()
}

fn counts(change: &SheetChange) -> [u64; 5] {
    [change.added, change.changed, change.removed, change.unchanged, change.retired]
}

async fn a_bundle_goes_in_and_then_changes_nothing(database: Database) {
    let store = &database.store;
    let report = put(store, SHOP).await;
    for (name, text) in SHOP {
        let rows = text.lines().filter(|line| !line.trim().is_empty()).count() as u64 - 1;
        assert_eq!(counts(of(&report, name)), [rows, 0, 0, 0, 0], "{name}");
    }
    assert_eq!((report.structure_revision, report.price_revision, report.ledger_sequence), (1, 1, 2));
    let before = everything(store).await;
    let again = put(store, SHOP).await;
    assert!(
        again.sheets.iter().all(|change| change.added + change.changed + change.removed == 0),
        "{again:?}"
    );
    assert_eq!((again.structure_revision, again.price_revision, again.ledger_sequence), (1, 1, 2));
    assert_eq!(everything(store).await, before);
}

async fn a_merge_counts_what_it_changes(database: Database) {
    put(&database.store, SHOP).await;
    let report = put(
        &database.store,
        &[("makers", "maker | name\n VESSICK | Vessick\n NORRWALD | Norrwald & Sons\n TARNHOLT | Tarnholt")],
    )
    .await;
    let change = of(&report, "makers");
    assert_eq!(counts(change), [1, 1, 0, 1, 0]);
    let samples = [("NORRWALD".to_owned(), Change::Changed), ("TARNHOLT".to_owned(), Change::Added)];
    assert_eq!(change.samples, samples);
    let makers: Vec<catalogue::Maker> = database.store.all_rows().await.unwrap();
    let names: Vec<&str> = makers.iter().map(|maker| maker.name.as_str()).collect();
    assert_eq!(names, ["Brannoch", "Norrwald & Sons", "Tarnholt", "Vessick"]);
}

async fn revisions_move_with_what_they_count(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let numbers =
        |report: ImportReport| (report.structure_revision, report.price_revision, report.ledger_sequence);
    assert_eq!(numbers(put(store, &[("settings", "setting | value\n TAX | VAT")]).await), (1, 2, 2));
    assert_eq!(numbers(put(store, &[("makers", "maker | name\n OTHER | Other")]).await), (2, 2, 2));
    assert_eq!(numbers(put(store, &[("bins", "bin | name\n A9 | Attic")]).await), (2, 2, 2));
    let count = ("stock", "bin | part | quantity | carrying_value\n A9 | VESSICK/VK20 | 5 | 1");
    assert_eq!(numbers(put(store, &[count]).await), (2, 2, 3));
    let now = store.revisions().await.unwrap();
    assert_eq!((now.structure, now.price, now.ledger), (2, 2, 3));
}

async fn a_dry_run_reports_and_leaves_everything(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let before = everything(store).await;
    let sheets = [
        (
            "makers",
            "maker | name\n VESSICK | New name\n NEW | New\n NORRWALD | Norrwald\n BRANNOCH | Brannoch",
        ),
        ("kit_lines", "kit | line | part | quantity\n VESSICK/KIT1 | 1 | VESSICK/VK102 | 2"),
        ("stock", "bin | part | quantity | carrying_value\n A1 | VESSICK/VK101 | 7 | 9.75"),
    ];
    let mut dry = replacing(&["kit_lines"]);
    dry.dry_run = true;
    let told = import(store, dry, &sheets).await.unwrap();
    assert_eq!(everything(store).await, before);
    assert_eq!(store.list_audit(&AuditFilter::default(), 0, 10).await.unwrap().len(), 1);
    assert_eq!(store.revisions().await.unwrap().structure, 1);
    let done = import(store, replacing(&["kit_lines"]), &sheets).await.unwrap();
    assert_eq!(told, done);
    assert_eq!(counts(of(&done, "kit_lines")), [0, 0, 3, 1, 0]);
}

async fn a_replaced_file_takes_away_what_it_does_not_name(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let sheets = [("kit_lines", "kit | line | part | quantity\n VESSICK/KIT1 | 1 | VESSICK/VK102 | 3")];
    let merged = import(store, options(), &sheets).await.unwrap();
    assert_eq!(counts(of(&merged, "kit_lines")), [0, 1, 0, 0, 0]);
    let replaced = import(store, replacing(&["kit_lines"]), &sheets).await.unwrap();
    let change = of(&replaced, "kit_lines");
    assert_eq!(counts(change), [0, 0, 3, 1, 0]);
    assert_eq!(change.samples[0], ("VESSICK/KIT2 1".to_owned(), Change::Removed));
    assert_eq!(store.all_rows::<catalogue::KitLine>().await.unwrap().len(), 1);
}

async fn parts_and_children_can_go_together(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let units = ("units", "code | maker | name | kind\n BN-640 | BRANNOCH | Gearbox | gearbox");
    let faults = refused(import(store, replacing(&["units"]), &[units]).await);
    assert_eq!(
        told(&faults),
        [
            "units:0 unit `BN143` is not in the file, but vehicle_units `RT4 BN143 drop_box` still refers to it",
            "units:0 unit `BN143` is not in the file, but positions `BN143 BRG` still refers to it",
            "units:0 unit `BN143` is not in the file, but cautions `HEAT` still refers to it",
        ]
    );
    let rest = [
        units,
        ("vehicle_units", "vehicle | unit | role\n RT4 | BN640 | gearbox"),
        (
            "positions",
            "unit | position | assembly_order | quantity\n BN640 | SEAL | 1 | 1\n BN640 | NUT | 2 | 1\n BN640 | BRG-A | 3 | 2",
        ),
        ("candidates", "unit | position | part | role\n BN640 | SEAL | VESSICK/VK101 | original"),
        (
            "joints",
            "joint | kind | unit_a | position_a | unit_b | position_b\n J1 | thread | BN640 | NUT | BN640 | BRG-A",
        ),
        // This row gives up the unit instead of going.
        ("cautions", "caution | hazard | unit\n LIFT | lifting |\n HEAT | heat |"),
    ];
    let replace = ["units", "vehicle_units", "positions", "candidates", "joints"];
    let report = import(store, replacing(&replace), &rest).await.unwrap();
    let removed: Vec<u64> = report.sheets.iter().map(|change| change.removed).collect();
    assert_eq!(removed, [1, 1, 1, 3, 1, 0]);
    assert_eq!(store.list_units(None, 10).await.unwrap().len(), 1);
}

async fn a_part_that_papers_use_is_retired(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let quote = NewQuote {
        created_at: chrono::Utc::now(),
        valid_until: chrono::NaiveDate::from_ymd_opt(2026, 12, 31).unwrap(),
        revisions: store.revisions().await.unwrap(),
        engine: "1".into(),
        request: "{}".into(),
        frozen: "{}".into(),
        answer: "{}".into(),
        parts: [catalogue::PartKey::from_stored("VESSICK/VK91")].into(),
    };
    store.insert_quote(quote).await.unwrap();
    let mut sheets = SHOP.to_vec();
    let parts = SHOP.iter().find(|(name, _)| *name == "parts").unwrap().1;
    let fewer: Vec<&str> =
        parts.lines().filter(|line| !line.contains("VK-91") && !line.contains("VK 10.1")).collect();
    let fewer = fewer.join("\n");
    sheets.retain(|(name, _)| *name == "makers");
    sheets.push(("parts", &fewer));
    let report = import(store, replacing(&["parts"]), &sheets).await.unwrap();
    let change = of(&report, "parts");
    assert_eq!(counts(change), [0, 0, 1, 11, 1]);
    let samples =
        [("VESSICK/VK91".to_owned(), Change::Retired), ("NORRWALD/VK101".to_owned(), Change::Removed)];
    assert_eq!(change.samples, samples);
    let parts = store.all_rows::<catalogue::Part>().await.unwrap();
    let retired: Vec<&str> =
        parts.iter().filter(|part| part.retired).map(|part| part.part.as_str()).collect();
    assert_eq!(retired, ["VESSICK/VK91"]);
    // Once more: it is retired already, and that is no change.
    let again = import(store, replacing(&["parts"]), &sheets).await.unwrap();
    assert_eq!(counts(of(&again, "parts")), [0, 0, 0, 11, 0]);
    assert_eq!(again.structure_revision, report.structure_revision);
    // A file that names it again brings it back.
    let back = put(store, SHOP).await;
    assert_eq!(counts(of(&back, "parts")), [1, 1, 0, 11, 0]);
}

async fn an_empty_file_counts_as_present(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let report = import(store, replacing(&["features"]), &[("features", "part | feature")]).await.unwrap();
    assert_eq!(counts(of(&report, "features")), [0, 0, 2, 0, 0]);
    let faults = refused(import(store, replacing(&["fluids"]), &[("features", "part | feature")]).await);
    assert_eq!(told(&faults), ["fluids:0  `fluids` is to be replaced, but the bundle has no such file"]);
}

async fn a_gtin_passes_from_one_part_to_another(database: Database) {
    let store = &database.store;
    let parts = |one: &str, other: &str| {
        format!("maker | number | gtin\n VESSICK | 1 | {one}\n VESSICK | 2 | {other}")
    };
    let makers = ("makers", "maker\n VESSICK");
    put(store, &[makers, ("parts", &parts("40170725", "4006381333931"))]).await;
    let report = put(store, &[("parts", &parts("4006381333931", "40170725"))]).await;
    assert_eq!(counts(of(&report, "parts")), [0, 2, 0, 0, 0]);
    let now = store.all_rows::<catalogue::Part>().await.unwrap();
    let gtins: Vec<&str> = now.iter().map(|part| part.gtin.as_ref().unwrap().as_str()).collect();
    assert_eq!(gtins, ["04006381333931", "00000040170725"]);
    let faults =
        refused(import(store, options(), &[("parts", "maker|number|gtin\n VESSICK|3|40170725")]).await);
    assert_eq!(told(&faults), ["parts:2 gtin `00000040170725` belongs to VESSICK/2"]);
    // The part that had it goes with the same import.
    let report = import(store, replacing(&["parts"]), &[("parts", "maker|number|gtin\n VESSICK|3|40170725")])
        .await
        .unwrap();
    assert_eq!(counts(of(&report, "parts")), [1, 0, 2, 0, 0]);
}

async fn an_import_that_is_dropped_leaves_nothing(database: Database) {
    let store = &database.store;
    for _ in 0..12 {
        let mut import = store.begin_import(options()).await.unwrap();
        let (spec, rows) = staged(("makers", "maker\n VESSICK"));
        import.stage(spec, rows).await.unwrap();
    }
    assert!(store.all_rows::<catalogue::Maker>().await.unwrap().is_empty());
    put(store, SHOP).await;
}

async fn batches_of_one_sheet_may_come_in_turns(database: Database) {
    let mut import = database.store.begin_import(options()).await.unwrap();
    let (parts, part_rows) = staged(("parts", "maker | number\n VESSICK | 1\n VESSICK | 2"));
    let (makers, maker_rows) = staged(("makers", "maker\n VESSICK"));
    for row in part_rows {
        import.stage(parts, vec![row]).await.unwrap();
        import.stage(makers, vec![]).await.unwrap();
    }
    import.stage(makers, maker_rows).await.unwrap();
    let report = import.finish().await.unwrap();
    let order: Vec<(&str, u64)> = report.sheets.iter().map(|change| (change.sheet, change.added)).collect();
    assert_eq!(order, [("makers", 1), ("parts", 2)]);
}

async fn imports_at_the_same_time_take_turns(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let tasks = (0..6_i64).map(|number| {
        let store = store.clone();
        tokio::spawn(async move {
            let makers = format!("maker | name\n VESSICK | Name {number}\n M{number} | New");
            let count = format!(
                "bin | part | quantity | carrying_value\n A1 | VESSICK/VK101 | {} | 9.75",
                number + 10
            );
            put(&store, &[("makers", &makers), ("stock", &count)]).await
        })
    });
    let mut numbers = Vec::new();
    for task in tasks.collect::<Vec<_>>() {
        let report = task.await.unwrap();
        numbers.push((report.structure_revision, report.ledger_sequence));
    }
    numbers.sort_unstable();
    assert_eq!(numbers, [(2, 3), (3, 4), (4, 5), (5, 6), (6, 7), (7, 8)]);
    let booked: i64 = store
        .list_movements(0, 100)
        .await
        .unwrap()
        .iter()
        .filter(|movement| movement.part.as_str() == "VESSICK/VK101")
        .map(|movement| movement.quantity.raw())
        .sum();
    let lots = store.load_stock(&[catalogue::PartKey::from_stored("VESSICK/VK101")]).await.unwrap().lots;
    assert_eq!(lots[0].quantity.raw(), booked);
}

async fn the_audit_has_one_entry_with_the_hash_of_the_difference(database: Database) {
    let store = &database.store;
    let makers = ("makers", "maker | name\n VESSICK | Vessick\n NORRWALD | Norrwald");
    put(store, &[makers]).await;
    put(store, &[makers]).await;
    put(store, &[("makers", "maker | name\n VESSICK | Vessick\n TARNHOLT | Tarnholt")]).await;
    let audit = store.list_audit(&AuditFilter::default(), 0, 10).await.unwrap();
    let hashes: Vec<&str> = audit.iter().map(|entry| entry.hash.as_str()).collect();
    // SHA-256 of "makers\n" and the SHA-256 of the changed rows' lines (own calculation, the same on both databases).
    assert_eq!(
        hashes,
        [
            "cd254d272adfda5a12d579700fc053d8a93a18f0d18db027b85529790158c46b",
            "0cc39cde4d6bfb7ce5e44b4896c4bddfac8b8e92a057fe37cfb96ee16b2d6d66",
            "e8317e230c690f3de4f598d7d03ae2e6be4911fa76aeb891e793bd3707fd234e"
        ]
    );
    let entry = &audit[2];
    assert_eq!((entry.sequence, entry.who.as_str(), entry.what.as_str()), (3, "terminal", "import"));
    assert_eq!(entry.subject, "catalogue");
    let detail: serde_json::Value = serde_json::from_str(&entry.detail).unwrap();
    let added = serde_json::json!({ "field": "name of TARNHOLT in makers", "from": null, "to": "Tarnholt" });
    assert_eq!(detail["changes"], serde_json::json!([added]));
    let detail = &detail["data"];
    assert_eq!(detail["by"], "keeper");
    assert_eq!(detail["sheets"][0]["added"], 1);
    assert_eq!(detail["structure_revision"], 2);
}

#[tokio::test]
async fn a_database_in_memory_takes_a_bundle() {
    let store = store::Store::open("sqlite::memory:").await.unwrap();
    put(&store, SHOP).await;
    let snapshot = store.load_snapshot(&[catalogue::UnitKey::from_stored("BN640")]).await.unwrap();
    assert_eq!(snapshot.positions.len(), 3);
    let again = put(&store, SHOP).await;
    assert_eq!(again.structure_revision, 1);
}
