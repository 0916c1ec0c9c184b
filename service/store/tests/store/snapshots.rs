//! What is read for an answer.

use catalogue::{Code, PartKey, Snapshot, UnitKey};
use store::StoreError;

use crate::databases::{Database, postgres, sqlite};
use crate::sheets::{SHOP, put};

on_both_databases!(
    a_unit_reaches_what_its_answer_is_made_from,
    two_units_bring_their_joints,
    an_unknown_unit_is_named,
    cycles_end,
    prices_are_those_of_the_parts_and_the_customer,
    stock_is_what_lies_there,
    many_parts_are_one_list,
);

fn unit(key: &str) -> UnitKey {
    UnitKey::from_stored(key)
}

fn part(key: &str) -> PartKey {
    PartKey::from_stored(key)
}

fn parts_of(snapshot: &Snapshot) -> Vec<&str> {
    snapshot.parts.iter().map(|part| part.part.as_str()).collect()
}

async fn a_unit_reaches_what_its_answer_is_made_from(database: Database) {
    put(&database.store, SHOP).await;
    let snapshot = database.store.load_snapshot(&[unit("BN640")]).await.unwrap();
    assert_eq!(snapshot.structure_revision, 1);
    // The seal's successors, the kits that hold one of them, the companion of the nut, the oil, and what lies in the kits;
    // not what belongs to the other box alone.
    assert_eq!(
        parts_of(&snapshot),
        [
            "VESSICK/KIT1",
            "VESSICK/KIT2",
            "VESSICK/OIL80",
            "VESSICK/VK101",
            "VESSICK/VK102",
            "VESSICK/VK103",
            "VESSICK/VK20",
            "VESSICK/VK21",
            "VESSICK/VK30",
            "VESSICK/VK91",
        ]
    );
    assert_eq!(
        snapshot.positions.iter().map(|row| row.position.as_str()).collect::<Vec<_>>(),
        ["BRG-A", "NUT", "SEAL"]
    );
    assert_eq!(snapshot.kit_lines.len(), 3);
    assert_eq!(snapshot.supersessions.len(), 2);
    // A need without its notice says nothing.
    assert_eq!(snapshot.supersession_needs.iter().map(|row| row.notice.as_str()).collect::<Vec<_>>(), ["N2"]);
    assert_eq!(snapshot.companions.len(), 1);
    // The joint into the other box, and the statement on a part that is not reached, are left out.
    assert_eq!(snapshot.joints.iter().map(|row| row.joint.as_str()).collect::<Vec<_>>(), ["J1"]);
    assert_eq!(snapshot.fit_statements.len(), 1);
    assert_eq!(snapshot.features.len(), 1);
    assert_eq!(snapshot.cautions.iter().map(|row| row.caution.as_str()).collect::<Vec<_>>(), ["LIFT"]);
    assert_eq!(
        snapshot.makers.iter().map(|row| row.maker.as_str()).collect::<Vec<_>>(),
        ["BRANNOCH", "VESSICK"]
    );
    assert_eq!(
        (snapshot.vehicles.len(), snapshot.vehicle_units.len(), snapshot.engine_points.len()),
        (1, 2, 2)
    );
    assert_eq!((snapshot.operations.len(), snapshot.fluids.len(), snapshot.weak_points.len()), (1, 1, 2));
    // Both databases give the same, byte for byte.
    let other = match database.store.kind() {
        store::DatabaseKind::Sqlite => postgres().await,
        store::DatabaseKind::Postgres => sqlite().await,
    };
    put(&other.store, SHOP).await;
    let same = other.store.load_snapshot(&[unit("BN640")]).await.unwrap();
    assert_eq!(serde_json::to_string(&same).unwrap(), serde_json::to_string(&snapshot).unwrap());
}

async fn two_units_bring_their_joints(database: Database) {
    put(&database.store, SHOP).await;
    let asked = [unit("BN640"), unit("BN143"), unit("BN640")];
    let snapshot = database.store.load_snapshot(&asked).await.unwrap();
    let units: Vec<&str> = snapshot.units.iter().map(|unit| unit.unit.as_str()).collect();
    assert_eq!(units, ["BN640", "BN143"]);
    assert_eq!(snapshot.joints.len(), 2);
    assert_eq!(snapshot.fit_statements.len(), 2);
    assert_eq!(snapshot.cautions.len(), 2);
    assert!(parts_of(&snapshot).contains(&"VESSICK/KIT3"));
}

async fn an_unknown_unit_is_named(database: Database) {
    put(&database.store, SHOP).await;
    let error = database.store.load_snapshot(&[unit("BN640"), unit("BN999")]).await.unwrap_err();
    assert!(matches!(&error, StoreError::UnitNotFound(key) if key.as_str() == "BN999"), "{error}");
    assert_eq!(error.to_string(), "there is no unit `BN999`");
}

async fn cycles_end(database: Database) {
    put(&database.store, SHOP).await;
    put(
        &database.store,
        &[
            (
                "supersessions",
                "notice | old | new\n N3 | VESSICK/VK103 | VESSICK/VK101\n N4 | VESSICK/VK20 | VESSICK/VK20",
            ),
            (
                "kit_lines",
                "kit | line | part\n VESSICK/KIT1 | 2 | VESSICK/KIT2\n VESSICK/KIT1 | 3 | VESSICK/KIT1",
            ),
            ("companions", "part | companion\n VESSICK/VK21 | VESSICK/VK20"),
        ],
    )
    .await;
    let snapshot = database.store.load_snapshot(&[unit("BN640")]).await.unwrap();
    assert_eq!((snapshot.parts.len(), snapshot.kit_lines.len(), snapshot.supersessions.len()), (10, 5, 4));
    let rows = database.store.part_supersessions(&part("VESSICK/VK102")).await.unwrap();
    assert_eq!(rows.len(), 3);
    let used = database.store.where_used(&part("VESSICK/VK103")).await.unwrap();
    assert_eq!((used.positions.len(), used.kits.len()), (1, 4));
}

async fn prices_are_those_of_the_parts_and_the_customer(database: Database) {
    put(&database.store, SHOP).await;
    let parts = [part("VESSICK/VK101"), part("VESSICK/VK101"), part("VESSICK/VK20")];
    let rail = Code::parse("RAIL").unwrap();
    let book = database.store.load_prices(&parts, Some(&rail)).await.unwrap();
    assert_eq!(book.price_revision, 1);
    let prices: Vec<String> =
        book.prices.iter().map(|row| format!("{} {}", row.quantity_from, row.price)).collect();
    assert_eq!(prices, ["1 12.50", "10 11.00"]);
    let rules: Vec<&str> = book.price_rules.iter().map(|row| row.rule.as_str()).collect();
    assert_eq!((rules, book.customers.len()), (vec!["R1", "R2"], 1));
    assert_eq!(
        (book.suppliers.len(), book.exchange_rates.len(), book.tax_rates.len(), book.settings.len()),
        (2, 1, 1, 1)
    );
    let nobody = database.store.load_prices(&[], None).await.unwrap();
    assert_eq!((nobody.prices.len(), nobody.price_rules.len(), nobody.customers.len()), (0, 1, 0));
}

async fn stock_is_what_lies_there(database: Database) {
    put(&database.store, SHOP).await;
    let view = database.store.load_stock(&[part("VESSICK/VK30"), part("VESSICK/VK101")]).await.unwrap();
    let lots: Vec<String> = view
        .lots
        .iter()
        .map(|lot| format!("{} {} {} {}", lot.part, lot.bin, lot.mark.0, lot.quantity))
        .collect();
    assert_eq!(lots, ["VESSICK/VK101 A1  3", "VESSICK/VK30 A1 M7 1"]);
    assert_eq!(view.ledger_sequence, 2);
}

/// More than either database takes as single values.
async fn many_parts_are_one_list(database: Database) {
    put(&database.store, SHOP).await;
    let mut parts: Vec<PartKey> = (0..70_000).map(|number| part(&format!("VESSICK/X{number}"))).collect();
    parts.push(part("VESSICK/VK101"));
    assert_eq!(database.store.load_prices(&parts, None).await.unwrap().prices.len(), 2);
    assert_eq!(database.store.load_stock(&parts).await.unwrap().lots.len(), 1);
}
