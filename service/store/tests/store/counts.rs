//! A stock file is a count: it books differences and never rewrites the ledger.

use sea_orm::{ConnectionTrait, Database as Connect};
use store::MovementKind;

use crate::databases::Database;
use crate::sheets::{SHOP, import, options, put, refused, replacing, told};

on_both_databases!(
    each_difference_is_one_adjustment,
    a_replaced_count_empties_what_it_does_not_name,
    a_count_does_not_go_below_what_is_reserved,
    the_ledger_and_the_audit_are_only_added_to,
    the_database_refuses_a_balance_below_its_reservations,
);

fn count(rows: &str) -> (&'static str, String) {
    ("stock", format!("bin | part | mark | quantity | carrying_value\n{rows}"))
}

async fn booked(database: &Database, after: i64) -> Vec<(i64, String, i64, i64)> {
    let movements = database.store.list_movements(after, 100).await.unwrap();
    movements
        .into_iter()
        .map(|movement| {
            assert_eq!(movement.kind, MovementKind::Adjust);
            let lot = format!("{} {} {}", movement.bin, movement.part, movement.mark.0);
            (movement.sequence, lot.trim().to_owned(), movement.quantity.raw(), movement.carrying_value.raw())
        })
        .collect()
}

async fn each_difference_is_one_adjustment(database: Database) {
    put(&database.store, SHOP).await;
    assert_eq!(
        booked(&database, 0).await,
        [(1, "A1 VESSICK/VK101".into(), 3_000, 97_500), (2, "A1 VESSICK/VK30 M7".into(), 1_000, 500_000)]
    );
    let (name, text) = count(
        "A1 | VESSICK/VK101 | | 1.5 | 9.75
         A1 | VESSICK/VK30 | M7 | 1 | 45
         A2 | VESSICK/VK30 | | 0 | 50
         A2 | VESSICK/VK20 | | 4 | 1",
    );
    let mut counting = options();
    counting.note = "year end".into();
    let report = import(&database.store, counting, &[(name, &text)]).await.unwrap();
    assert_eq!((report.sheets[0].added, report.sheets[0].changed, report.sheets[0].unchanged), (1, 2, 1));
    assert_eq!(
        booked(&database, 2).await,
        [
            (3, "A1 VESSICK/VK101".into(), -1_500, 97_500),
            (4, "A1 VESSICK/VK30 M7".into(), 0, 450_000),
            (5, "A2 VESSICK/VK20".into(), 4_000, 10_000),
        ]
    );
    assert_eq!(database.store.list_movements(4, 1).await.unwrap()[0].reason, "year end");
    assert_eq!(report.ledger_sequence, 5);
}

async fn a_replaced_count_empties_what_it_does_not_name(database: Database) {
    put(&database.store, SHOP).await;
    let (name, text) = count("A1 | VESSICK/VK101 | | 3 | 9.75");
    let report = import(&database.store, replacing(&["stock"]), &[(name, &text)]).await.unwrap();
    assert_eq!((report.sheets[0].removed, report.sheets[0].unchanged), (2, 1));
    assert_eq!(booked(&database, 2).await, [(3, "A1 VESSICK/VK30 M7".into(), -1_000, 500_000)]);
    assert_eq!(database.store.all_rows::<catalogue::Stock>().await.unwrap().len(), 1);
    // What the ledger names cannot go, even where nothing lies there any more.
    let bins = ("bins", "bin\n A2");
    let faults = refused(import(&database.store, replacing(&["bins"]), &[bins]).await);
    assert_eq!(
        told(&faults),
        [
            "bins:0 bin `A1` is not in the file, but stock `A1 VESSICK/VK101 ` still refers to it",
            "bins:0 bin `A1` is not in the file, but the stock ledger names it",
        ]
    );
}

async fn a_count_does_not_go_below_what_is_reserved(database: Database) {
    put(&database.store, SHOP).await;
    let db = Connect::connect(&database.url).await.unwrap();
    db.execute_unprepared("UPDATE stock SET reserved = 1000 WHERE quantity > 0").await.unwrap();
    let (name, text) = count("A1 | VESSICK/VK101 | | 0.5 | 9.75");
    let faults = refused(import(&database.store, replacing(&["stock"]), &[(name, &text)]).await);
    assert_eq!(
        told(&faults),
        [
            "stock:0 bin+part+mark `A1 VESSICK/VK30 M7` is not in the file, but 1 are reserved for jobs",
            "stock:2 quantity `0.5` is below the 1 that are reserved for jobs",
        ]
    );
    let (name, text) = count("A1 | VESSICK/VK101 | | 1 | 9.75\n A1 | VESSICK/VK30 | M7 | 2 | 50");
    import(&database.store, replacing(&["stock"]), &[(name, &text)]).await.unwrap();
    let lots = database.store.load_stock(&[catalogue::PartKey::from_stored("VESSICK/VK30")]).await.unwrap();
    assert_eq!((lots.lots[0].reserved.raw(), lots.lots[0].quantity.raw()), (1_000, 2_000));
    assert_eq!(lots.ledger_sequence, 4);
}

async fn the_ledger_and_the_audit_are_only_added_to(database: Database) {
    put(&database.store, SHOP).await;
    let db = Connect::connect(&database.url).await.unwrap();
    for table in ["movements", "audit"] {
        for statement in [format!("UPDATE {table} SET seq = 99"), format!("DELETE FROM {table}")] {
            let refused = db.execute_unprepared(&statement).await.unwrap_err().to_string();
            assert!(refused.contains("is only added to"), "{statement}: {refused}");
        }
    }
    assert_eq!(database.store.list_movements(0, 10).await.unwrap().len(), 2);
}

async fn the_database_refuses_a_balance_below_its_reservations(database: Database) {
    put(&database.store, SHOP).await;
    let db = Connect::connect(&database.url).await.unwrap();
    for set in ["reserved = 99000", "reserved = -1", "quantity = -1"] {
        let sql = format!("UPDATE stock SET {set} WHERE mark = 'M7'");
        assert!(db.execute_unprepared(&sql).await.is_err(), "{set}");
    }
}
