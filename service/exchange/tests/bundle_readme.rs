//! The documentation of the bundle is current.

use std::path::PathBuf;

#[test]
fn the_page_beside_the_seed_data_is_what_the_sheets_say() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../seed-data/README.md");
    let right = exchange::bundle_readme();
    if std::env::var_os("UPDATE_BUNDLE_README").is_some() {
        std::fs::write(&path, &right).unwrap();
    }
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        found == right,
        "seed-data/README.md is old: run `UPDATE_BUNDLE_README=1 cargo test -p exchange --test bundle_readme`"
    );
}
