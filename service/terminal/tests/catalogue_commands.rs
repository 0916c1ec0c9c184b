//! What `import`, `export` and `check` print.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::Path;

use chrono::NaiveDate;
use clap::Parser;
use operations::shop::Shop;
use terminal::Ended;
use terminal::check::{CheckArgs, check};
use terminal::export::{ExportArgs, export};
use terminal::import::{ImportArgs, ImportFailed, import};

#[derive(Debug, Parser)]
struct ImportLine {
    #[command(flatten)]
    args: ImportArgs,
}

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()
}

fn write(folder: &Path, file: &str, text: &str) {
    fs::write(folder.join(file), text).unwrap();
}

const PARTS: &str = "maker,number,name,kind,class,price_group,measure,retired\n\
    VESSICK,VK 1,Seal,consumable,seal,SOFT,H87,no\n\
    VESSICK,VK 2,Seal,consumable,seal,SOFT,H87,no\n";
const NOTICES: &str = "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone\n\
    N-1,VESSICK/VK1,VESSICK/VK2,1,one_to_one,two_way,2026-01-01,no\n";

/// A folder with a small bundle.
fn bundle() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "makers.csv", "maker,name\nVESSICK,Vessick\n");
    write(folder.path(), "parts.csv", PARTS);
    write(folder.path(), "supersessions.csv", NOTICES);
    write(folder.path(), "notes.txt", "not looked at");
    folder
}

async fn run_import(shop: &Shop, folder: &Path, options: &[&str]) -> (Ended, String) {
    let folder = folder.to_str().unwrap();
    let line = ImportLine::try_parse_from(["import", folder].iter().chain(options)).unwrap();
    let mut out = Vec::new();
    let ended = import(shop, &line.args, today(), &mut out).await.unwrap();
    (ended, String::from_utf8(out).unwrap())
}

#[tokio::test(flavor = "multi_thread")]
async fn an_import_prints_what_changed() {
    let shop = Shop::open("sqlite::memory:").await.unwrap();
    let folder = bundle();
    let (ended, dry) = run_import(&shop, folder.path(), &["--dry-run"]).await;
    assert_eq!(ended, Ended::Well);
    insta::assert_snapshot!(dry, @"
    file               added  changed  removed  retired  unchanged
    makers.csv             1        0        0        0          0
    parts.csv              2        0        0        0          0
    supersessions.csv      1        0        0        0          0

    among the changes:
    makers.csv         added  VESSICK
    parts.csv          added  VESSICK/VK1
    parts.csv          added  VESSICK/VK2
    supersessions.csv  added  N-1 VESSICK/VK1 VESSICK/VK2
    a dry run: nothing was stored
    the catalogue check found nothing
    ");
    let (ended, done) = run_import(&shop, folder.path(), &["--no-check"]).await;
    assert_eq!(ended, Ended::Well);
    insta::assert_snapshot!(done, @"
    file               added  changed  removed  retired  unchanged
    makers.csv             1        0        0        0          0
    parts.csv              2        0        0        0          0
    supersessions.csv      1        0        0        0          0
    structure revision 1, price revision 0, ledger sequence 0
    ");
    write(folder.path(), "supersessions.csv", NOTICES.lines().next().unwrap());
    let (ended, replaced) = run_import(&shop, folder.path(), &["--replace", "supersessions.csv"]).await;
    assert_eq!(ended, Ended::Well);
    insta::assert_snapshot!(replaced, @"
    file               added  changed  removed  retired  unchanged
    makers.csv             0        0        0        0          1
    parts.csv              0        0        0        0          2
    supersessions.csv      0        0        1        0          0
    structure revision 2, price revision 0, ledger sequence 0
    the catalogue check found nothing
    ");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_refusal_prints_each_fault_in_its_place() {
    let shop = Shop::open("sqlite::memory:").await.unwrap();
    let folder = bundle();
    write(folder.path(), "parts.csv", &PARTS.replacen("H87", "PCE", 1));
    write(folder.path(), "supersessions.csv", &NOTICES.replace("VK2", "VK3"));
    let (ended, refused) = run_import(&shop, folder.path(), &[]).await;
    assert_eq!(ended, Ended::Badly);
    insta::assert_snapshot!(refused, @"
    parts.csv row 2, column measure:      `PCE` is not known here; write one of H87, SET, KT, PR, LTR, MLT, KGM, GRM, MTR, MMT, NU, DD, CEL; did you mean `H87`?
    supersessions.csv row 2, column new:  `VESSICK/VK3` is not in parts; write the part of a row of parts; did you mean `VESSICK/VK1`?
    the bundle is refused for 2 faults; nothing was stored
    ");
    let (_, first) = run_import(&shop, folder.path(), &["--faults", "1"]).await;
    insta::assert_snapshot!(first, @"
    parts.csv row 2, column measure:  `PCE` is not known here; write one of H87, SET, KT, PR, LTR, MLT, KGM, GRM, MTR, MMT, NU, DD, CEL; did you mean `H87`?
    there may be more; they were not looked for
    the bundle is refused for 1 fault; nothing was stored
    ");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_strict_import_refuses_a_circle_that_a_usual_one_stores() {
    let shop = Shop::open("sqlite::memory:").await.unwrap();
    let folder = bundle();
    let back = "N-2,VESSICK/VK2,VESSICK/VK1,1,one_to_one,two_way,2026-02-01,no\n";
    write(folder.path(), "supersessions.csv", &format!("{NOTICES}{back}"));
    let (ended, refused) = run_import(&shop, folder.path(), &["--strict"]).await;
    assert_eq!(ended, Ended::Badly);
    insta::assert_snapshot!(refused, @"
    faults of meaning, for which a strict import is refused:
    error  supersession_cycle  numbers give way to each other in a circle: VESSICK/VK1 → VESSICK/VK2 → VESSICK/VK1 (by notices N-1, N-2)
    1 error
    the bundle is refused for 1 finding; nothing was stored
    ");
    let (ended, _) = run_import(&shop, folder.path(), &[]).await;
    assert_eq!(ended, Ended::Well);
    let mut out = Vec::new();
    let ended = check(&shop, &CheckArgs::default(), today(), &mut out).await.unwrap();
    assert_eq!(ended, Ended::Badly);
    insta::assert_snapshot!(String::from_utf8(out).unwrap(), @"
    error  supersession_cycle  numbers give way to each other in a circle: VESSICK/VK1 → VESSICK/VK2 → VESSICK/VK1 (by notices N-1, N-2)
    1 error
    ");
    let mut out = Vec::new();
    check(&shop, &CheckArgs { json: true, ..CheckArgs::default() }, today(), &mut out).await.unwrap();
    let json: serde_json::Value = serde_json::from_slice(&out).unwrap();
    assert_eq!(json[0]["fact"]["code"], "supersession_cycle");
    assert_eq!(json[0]["fact"]["parts"], serde_json::json!(["VESSICK/VK1", "VESSICK/VK2"]));
}

#[tokio::test(flavor = "multi_thread")]
async fn an_export_says_where_it_went_and_imports_again() {
    let shop = Shop::open("sqlite::memory:").await.unwrap();
    run_import(&shop, bundle().path(), &[]).await;
    let folder = tempfile::tempdir().unwrap();
    let target = folder.path().join("out");
    let mut out = Vec::new();
    let args = ExportArgs { folder: target.clone() };
    assert_eq!(export(&shop, &args, &mut out).await.unwrap(), Ended::Well);
    let said = String::from_utf8(out).unwrap().replace(target.to_str().unwrap(), "DIR");
    insta::assert_snapshot!(said, @"4 rows in 35 files in DIR");
    let (ended, again) = run_import(&shop, &target, &[]).await;
    assert_eq!(ended, Ended::Well);
    assert!(again.contains("parts.csv"), "{again}");
    assert_eq!(again.matches("      0        0        0          2").count(), 1, "{again}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_folder_that_is_not_there_is_named() {
    let shop = Shop::open("sqlite::memory:").await.unwrap();
    let line = ImportLine::try_parse_from(["import", "/not/there"]).unwrap();
    let failed = import(&shop, &line.args, today(), &mut Vec::new()).await;
    assert!(matches!(&failed, Err(ImportFailed::Import(_))), "{failed:?}");
    assert!(failed.unwrap_err().to_string().starts_with("/not/there cannot be read"));
}

#[tokio::test(flavor = "multi_thread")]
async fn notes_are_counted_after_an_import_and_listed_by_the_check() {
    let shop = Shop::open("sqlite::memory:").await.unwrap();
    let folder = bundle();
    write(folder.path(), "parts.csv", &format!("{PARTS}VESSICK,VK 3,Kit,kit,other,KITS,KT,no\n"));
    write(folder.path(), "kit_lines.csv", "kit,line,part,quantity\nVESSICK/VK3,1,VESSICK/VK1,1\n");
    let (_, said) = run_import(&shop, folder.path(), &[]).await;
    let found = said.split_once("\n\n").unwrap().1;
    insta::assert_snapshot!(found, @"
    the catalogue check found:
    warning  price_missing  VESSICK/VK3 is needed, and nobody sells it
    1 warning
    notes that `crownwheel check` lists: 1
    ");
    let mut out = Vec::new();
    assert_eq!(check(&shop, &CheckArgs::default(), today(), &mut out).await.unwrap(), Ended::Well);
    insta::assert_snapshot!(String::from_utf8(out).unwrap(), @"
    warning  price_missing        VESSICK/VK3 is needed, and nobody sells it
    note     kit_line_superseded  line 1 of kit VESSICK/VK3 names VESSICK/VK1, which gave way to VESSICK/VK2 (by notice N-1)
    1 warning, 1 note
    ");
}
