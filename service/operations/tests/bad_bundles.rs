//! Each kind of damage to a small bundle is refused with its place and its cause, and leaves the database as it was.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[macro_use]
mod bundle_databases;
mod small_bundle;

use bundle_databases::contents;
use chrono::NaiveDate;
use operations::import_catalogue::{ImportError, ImportRefused, ImportRequest, import_catalogue};
use operations::shop::Shop;
use small_bundle::{Bundle, add, edit, small_bundle, source};

fn request() -> ImportRequest {
    ImportRequest { who: "test".into(), ..ImportRequest::on(NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()) }
}

async fn refused(shop: &Shop, bundle: &Bundle, request: &ImportRequest) -> ImportRefused {
    match import_catalogue(shop, source(bundle), request, &mut |_| {}).await {
        Err(ImportError::Refused(refused)) => *refused,
        other => panic!("not refused: {other:?}"),
    }
}

fn told(refused: &ImportRefused) -> String {
    let faults = refused.faults.iter().map(|fault| format!("[{}] {fault}\n", fault.code.word()));
    let findings = refused
        .findings
        .iter()
        .map(|finding| format!("[{} {}] {}\n", finding.severity, finding.fact.code(), finding.sentence));
    faults.chain(findings).collect()
}

/// What is told of each damage. The sound bundle is stored before, so that there is something to spoil; it is sound, or
/// the first import would fail. Each damaged bundle also adds a maker that must not be there afterwards.
async fn refusals(shop: &Shop, damages: &[&dyn Fn(&mut Bundle)]) -> String {
    import_catalogue(shop, source(&small_bundle()), &request(), &mut |_| {}).await.unwrap();
    let before = contents(shop).await;
    let mut all = String::new();
    for damage in damages {
        let mut bundle = small_bundle();
        add(&mut bundle, "makers", "TARNHOLT,Tarnholt");
        damage(&mut bundle);
        let refused = refused(shop, &bundle, &request()).await;
        assert_eq!(refused.total, refused.faults.len() as u64);
        all.push_str(&told(&refused));
        assert_eq!(contents(shop).await, before);
    }
    all
}

fn set(bundle: &mut Bundle, file: &str, text: impl Into<Vec<u8>>) {
    bundle.insert(format!("{file}.csv"), text.into());
}

on_both_databases!(files_and_headers, text, values, rows, references, keys, replaced, meaning, limits);

async fn files_and_headers(shop: &Shop) {
    let told = refusals(
        shop,
        &[
            &|b| _ = b.insert("part.csv".into(), b"maker\n".to_vec()),
            &|b| set(b, "bins", ""),
            &|b| set(b, "bins", "\r\n\r\n"),
            &|b| edit(b, "bins", "bin,name", "bin,nmae"),
            &|b| edit(b, "kit_lines", "option_group", "option_goup"),
            &|b| edit(b, "bins", "bin,name", "bin"),
            &|b| edit(b, "bins", "bin,name", "bin,bin"),
            &|b| edit(b, "bins", "bin,name", "bin;name"),
            &|b| edit(b, "makers", "maker,name", "maker,name,"),
        ],
    )
    .await;
    insta::allow_duplicates! { insta::assert_snapshot!(told, @"
    [unknown_file] part.csv: is no file of the catalogue; the files are makers, suppliers, vehicles, engine_points, parts, features, units, vehicle_units, variants, positions, bench_values, bench_renewals, candidates, set_positions, joints, fit_statements, companions, kit_lines, supersessions, supersession_needs, operations, operation_scope, fluids, outside_work, weak_points, cautions, prices, exchange_rates, tax_rates, customers, price_rules, settings, bins, minimums, stock, each with .csv behind; did you mean `parts.csv`?
    [no_header] bins.csv: has no header; write the names of its columns in the first row: bin, name
    [no_header] bins.csv: has no header; write the names of its columns in the first row: bin, name
    [unknown_column] bins.csv row 1, column nmae: is no column of this sheet; the columns are bin, name; did you mean `name`?
    [unknown_column] kit_lines.csv row 1, column option_goup: is no column of this sheet; the columns are kit, line, part, quantity, option_group; did you mean `option_group`?
    [missing_column] bins.csv row 1, column name: is missing from the header; add the column, it holds text of at most 2000 characters
    [duplicate_column] bins.csv row 1, column bin: is named twice in the header; keep one of the two
    [missing_column] bins.csv row 1, column name: is missing from the header; add the column, it holds text of at most 2000 characters
    [missing_column] bins.csv row 1: has its cells separated by `;`; separate them by commas (RFC 4180)
    [unknown_column] makers.csv row 1, column 3: has no name; the columns are maker, name
    [ragged_row] makers.csv row 2: has 2 cells where the header has 3 cells; write a comma for each empty cell too
    [ragged_row] makers.csv row 3: has 2 cells where the header has 3 cells; write a comma for each empty cell too
    [ragged_row] makers.csv row 4: has 2 cells where the header has 3 cells; write a comma for each empty cell too
    [ragged_row] makers.csv row 5: has 2 cells where the header has 3 cells; write a comma for each empty cell too
    ") }
}

async fn text(shop: &Shop) {
    let told = refusals(
        shop,
        &[
            &|b| add(b, "makers", "X"),
            &|b| add(b, "makers", "X,x,x"),
            &|b| add(b, "makers", "X,\"x"),
            &|b| add(b, "makers", "X,\"x\" x"),
            &|b| add(b, "makers", "X,x\"x"),
            &|b| set(b, "makers", *b"maker,name\nX,\xe9\n"),
            &|b| set(b, "makers", *b"\xff\xfem\0"),
            &|b| add(b, "makers", "X,x\0x"),
            &|b| add(b, "makers", &format!("X,{}", "x".repeat(3_000))),
        ],
    )
    .await;
    insta::allow_duplicates! { insta::assert_snapshot!(told, @r#"
    [ragged_row] makers.csv row 6: has 1 cell where the header has 2 cells; write a comma for each empty cell too
    [ragged_row] makers.csv row 6: has 3 cells where the header has 2 cells; put cells that hold a comma in quotes, and drop what is too much
    [unclosed_quote] makers.csv row 6: opens a quote that is never closed; nothing from here on was read; close the quote
    [misplaced_quote] makers.csv row 6: has text behind a closing quote, or lacks one; nothing from here on was read; put the whole cell in quotes and double each quote inside it
    [misplaced_quote] makers.csv row 6: has a quote inside a cell that is not in quotes; put the whole cell in quotes and double each quote inside it
    [not_utf8] makers.csv row 2, column name: `�` is not UTF-8 text; save the file as CSV in UTF-8
    [not_utf8] makers.csv: is UTF-16 text; save the file as CSV in UTF-8
    [bad_value] makers.csv row 6, column name: `x\0x` holds a control character; write text of at most 2000 characters
    [bad_value] makers.csv row 6, column name: `xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…` is too long; write text of at most 2000 characters
    "#) }
}

async fn values(shop: &Shop) {
    let told = refusals(
        shop,
        &[
            &|b| edit(b, "makers", "VESSICK,", "VESSICK!,"),
            &|b| edit(b, "parts", "VESSICK,VK 1,", "VESSICK,-.,"),
            &|b| edit(b, "kit_lines", "NORRWALD/NK40", "NK40"),
            &|b| edit(b, "units", "BN-143", "(BN-143)"),
            &|b| edit(b, "parts", "OIL,LTR", "OIL,Litre"),
            &|b| edit(b, "parts", "KITS,KT,no", "KITS,KT,N"),
            &|b| edit(b, "parts", "6291041500213", "6291041500214"),
            &|b| edit(b, "parts", "4.2", "4,2"),
            &|b| edit(b, "parts", "4.2", "\"4,2\""),
            &|b| edit(b, "parts", "4.2", "1e12"),
            &|b| edit(b, "prices", "48.50", "48.50001"),
            &|b| edit(b, "prices", "NOK,", "Nok,"),
            &|b| edit(b, "prices", "2027-12-31", "31.12.2027"),
            &|b| edit(b, "fluids", "2.25", "two"),
            &|b| edit(b, "kit_lines", "NK900,1,", "NK900,1.5,"),
            &|b| edit(b, "exchange_rates", "0.08512345", "0.085123456"),
            &|b| edit(b, "settings", "TAX,STANDARD", "SURPLUS,keep"),
            &|b| edit(b, "makers", "Brannoch\r\n", "\r\n"),
            &|b| edit(b, "companions", "22840,1", "22840,0"),
            &|b| edit(b, "stock", ",3,2.75", ",-3,2.75"),
            &|b| edit(b, "weak_points", "0.9", "1.9"),
        ],
    )
    .await;
    insta::allow_duplicates! { insta::assert_snapshot!(told, @"
    [bad_value] makers.csv row 3, column maker: `VESSICK!` holds `!`; write a code of letters, digits, `-`, `_` and `.`
    [bad_value] parts.csv row 6, column number: `-.` is empty; write it as it stands on the part or plate
    [bad_value] kit_lines.csv row 2, column part: `NK40` has no `/` between the maker's code and the part number; write a part as MAKER/NUMBER
    [bad_value] units.csv row 3, column code: `(BN-143)` holds `(`; write it as it stands on the part or plate
    [bad_value] parts.csv row 6, column measure: `Litre` is not known here; write one of H87, SET, KT, PR, LTR, MLT, KGM, GRM, MTR, MMT, NU, DD, CEL; did you mean `LTR`?
    [bad_value] parts.csv row 5, column retired: `N` cannot be read; write `yes` or `no`; did you mean `no`?
    [bad_value] parts.csv row 2, column gtin: `6291041500214` ends in check digit 4, the other digits ask for 3; write 8, 12, 13 or 14 digits with a right check digit
    [ragged_row] parts.csv row 2: has 13 cells where the header has 12 cells; put cells that hold a comma in quotes, and drop what is too much
    [bad_value] parts.csv row 2, column mass_kg: `4,2` cannot be read; write a number with a decimal point, such as 12.5; did you mean `4.2`?
    [bad_value] parts.csv row 2, column mass_kg: `1e12` is not of a size that a driveline has; write a number with a decimal point, such as 12.5
    [bad_value] prices.csv row 3, column price: `48.50001` cannot be read; write an amount with up to four places, such as 12.50
    [bad_value] prices.csv row 3, column currency: `Nok` cannot be read; write an ISO 4217 code of three capitals, such as EUR; did you mean `NOK`?
    [bad_value] prices.csv row 3, column valid_to: `31.12.2027` is no day; write a day as YYYY-MM-DD; did you mean `2027-12-31`?
    [bad_value] fluids.csv row 2, column quantity: `two` cannot be read; write a quantity with up to three places, such as 2 or 0.5
    [bad_value] kit_lines.csv row 2, column line: `1.5` cannot be read; write a whole number
    [bad_value] exchange_rates.csv row 2, column rate: `0.085123456` cannot be read; write a rate with up to eight places, such as 0.93
    [bad_value] settings.csv row 4, column value: `keep` is not known here; write one of charged, shelved
    [missing_value] makers.csv row 2, column name: is empty; write text of at most 2000 characters
    [out_of_bounds] companions.csv row 2, column quantity: `0` is not above zero; write more than zero
    [out_of_bounds] stock.csv row 2, column quantity: `-3` is below zero; write zero or more
    [out_of_bounds] weak_points.csv row 3, column likelihood: `1.9` is not from 0 to 1; write a share from 0 to 1, such as 0.25
    ") }
}

async fn rows(shop: &Shop) {
    let told = refusals(
        shop,
        &[
            &|b| edit(b, "supersessions", "100,200", "200,100"),
            &|b| edit(b, "vehicles", "2012-12-31", "2000-12-31"),
            &|b| edit(b, "bench_values", "1.2,1.8", "1.8,1.2"),
            &|b| edit(b, "joints", "PINION,SEAT,,,", "PINION,SEAT,,0.2,0.1"),
            &|b| edit(b, "features", "50,72,,,,\r\nNORRWALD", "80,72,,,,\r\nNORRWALD"),
            &|b| edit(b, "supersessions", "BN-228,EARLY", ",EARLY"),
            &|b| edit(b, "outside_work", ",,PINION,worn", ",,,worn"),
        ],
    )
    .await;
    insta::allow_duplicates! { insta::assert_snapshot!(told, @"
    [contradiction] supersessions.csv row 2, column serial_to: `100` is below serial_from `200`; write serial_from not above serial_to
    [contradiction] vehicles.csv row 2, column built_to: `2000-12-31` is below built_from `2001-05-01`; write built_from not above built_to
    [contradiction] bench_values.csv row 2, column maximum: `1.2` is below minimum `1.8`; write minimum not above maximum
    [contradiction] joints.csv row 2, column backlash_max_mm: `0.1` is below backlash_min_mm `0.2`; write backlash_min_mm not above backlash_max_mm
    [contradiction] features.csv row 3, column outside_diameter_mm: `72` is below inside_diameter_mm `80`; write inside_diameter_mm not above outside_diameter_mm
    [contradiction] supersessions.csv row 2, column variant: `EARLY` stands without its unit; fill unit, or leave both empty
    [contradiction] outside_work.csv row 2, column finding: `worn` stands without its position; fill position, or leave both empty
    ") }
}

async fn references(shop: &Shop) {
    let told = refusals(
        shop,
        &[
            &|b| edit(b, "kit_lines", "NORRWALD/NK40", "NORRWALD/NK4O"),
            &|b| edit(b, "vehicles", "R11,BRANNOCH", "R11,BRANOCH"),
            &|b| edit(b, "candidates", "BN-228,PINION", "BN-228,PINOIN"),
            &|b| edit(b, "candidates", "NK40,original,1,LATE", "NK40,original,1,LATTE"),
            &|b| edit(b, "vehicle_units", "BN-143", "BN-134"),
            &|b| edit(b, "weak_points", "0.9,TRACK", "0.9,TRUCK"),
            &|b| edit(b, "bench_renewals", "WEAR,SEAL", "WEAR,SEALS"),
            &|b| edit(b, "stock", "A-03-2,NORRWALD", "A-03-3,NORRWALD"),
            &|b| edit(b, "set_positions", "VK1435,OUTPUT", "VK1435,INPUT"),
            &|b| edit(b, "parts", "VESSICK,VK 1,", "VESICK,VK 1,"),
        ],
    )
    .await;
    insta::allow_duplicates! { insta::assert_snapshot!(told, @"
    [unknown_reference] kit_lines.csv row 2, column part: `NORRWALD/NK4O` is not in parts; write the part of a row of parts; did you mean `NORRWALD/NK40`?
    [unknown_reference] vehicles.csv row 2, column maker: `BRANOCH` is not in makers; write the maker of a row of makers; did you mean `BRANNOCH`?
    [unknown_reference] candidates.csv row 2, column unit, position: `BN228 PINOIN` is not in positions; write the unit and position of a row of positions; did you mean `BN228 PINION`?
    [unknown_reference] candidates.csv row 4, column unit, variant: `BN228 LATTE` is not in variants; write the unit and variant of a row of variants; did you mean `BN228 LATE`?
    [unknown_reference] vehicle_units.csv row 3, column unit: `BN134` is not in units; write the unit of a row of units; did you mean `BN143`?
    [unknown_reference] weak_points.csv row 3, column unit, given: `BN228 TRUCK` is not in weak_points; write the unit and weak_point of a row of weak_points; did you mean `BN228 TRACK`?
    [unknown_reference] bench_renewals.csv row 2, column unit, renews: `BN228 SEALS` is not in positions; write the unit and position of a row of positions; did you mean `BN228 SEAL`?
    [unknown_reference] stock.csv row 2, column bin: `A-03-3` is not in bins; write the bin of a row of bins; did you mean `A-03-2`?
    [unknown_reference] set_positions.csv row 2, column unit, position, part: `BN143 INPUT VESSICK/VK1435` is not in candidates; write the unit and position and part of a row of candidates
    [unknown_reference] parts.csv row 6, column maker: `VESICK` is not in makers; write the maker of a row of makers; did you mean `VESSICK`?
    ") }
}

async fn keys(shop: &Shop) {
    let told = refusals(
        shop,
        &[
            &|b| add(b, "makers", "vessick,Vessick again"),
            &|b| add(b, "parts", "VESSICK,VK228.10,Pinion,hard,gear,HARD,H87,no,,,,"),
            &|b| add(b, "units", "bn 228,BRANNOCH,Again,axle,"),
            &|b| add(b, "parts", "VESSICK,VK 2,Other,hard,gear,HARD,H87,no,06291041500213,,,"),
        ],
    )
    .await;
    insta::allow_duplicates! { insta::assert_snapshot!(told, @"
    [duplicate_row] makers.csv row 6, column maker: `VESSICK` stands in row 3 already; write each key once in a file
    [duplicate_row] parts.csv row 8, column maker, number: `VESSICK VK228.10` stands in row 2 already; write each key once in a file
    [duplicate_row] units.csv row 4, column code: `bn 228` stands in row 2 already; write each key once in a file
    [duplicate_row] parts.csv row 8, column gtin: `06291041500213` stands in row 2 already; write a GTIN that no other part has
    ") }
}

async fn replaced(shop: &Shop) {
    import_catalogue(shop, source(&small_bundle()), &request(), &mut |_| {}).await.unwrap();
    let before = contents(shop).await;
    let mut all = String::new();
    let replacing = |name: &str| ImportRequest { replace: [name.to_owned()].into(), ..request() };
    let bundle = Bundle::from([("makers.csv".to_owned(), b"maker,name\nBRANNOCH,Brannoch\n".to_vec())]);
    all.push_str(&told(&refused(shop, &bundle, &replacing("makers")).await));
    all.push_str(&told(&refused(shop, &bundle, &replacing("bins.csv")).await));
    all.push_str(&told(&refused(shop, &bundle, &replacing("maker")).await));
    assert_eq!(contents(shop).await, before);
    insta::allow_duplicates! { insta::assert_snapshot!(all, @"
    [still_used] makers.csv column maker: `NORRWALD` is not in the file, but parts `NORRWALD/NK40` still refers to it; write a file that still has the row, or nothing that needs it
    [still_used] makers.csv column maker: `NORRWALD` is not in the file, but parts `NORRWALD/NK900` still refers to it; write a file that still has the row, or nothing that needs it
    [still_used] makers.csv column maker: `VESSICK` is not in the file, but parts `VESSICK/VK1` still refers to it; write a file that still has the row, or nothing that needs it
    [still_used] makers.csv column maker: `VESSICK` is not in the file, but parts `VESSICK/VK1435` still refers to it; write a file that still has the row, or nothing that needs it
    [still_used] makers.csv column maker: `VESSICK` is not in the file, but parts `VESSICK/VK22810` still refers to it; write a file that still has the row, or nothing that needs it
    [still_used] makers.csv column maker: `VESSICK` is not in the file, but parts `VESSICK/VK22840` still refers to it; write a file that still has the row, or nothing that needs it
    [still_used] makers.csv column maker: `NORRWALD` is not in the file, but fit_statements `NORRWALD NORRWALD/NK40 VESSICK/VK22810` still refers to it; write a file that still has the row, or nothing that needs it
    [still_used] bins.csv: `bins` is to be replaced, but the bundle has no such file; write the name of a sheet that the bundle holds
    [unknown_file] maker: is no file of the catalogue; the files are makers, suppliers, vehicles, engine_points, parts, features, units, vehicle_units, variants, positions, bench_values, bench_renewals, candidates, set_positions, joints, fit_statements, companions, kit_lines, supersessions, supersession_needs, operations, operation_scope, fluids, outside_work, weak_points, cautions, prices, exchange_rates, tax_rates, customers, price_rules, settings, bins, minimums, stock, each with .csv behind; did you mean `makers.csv`?
    ") }
}

async fn meaning(shop: &Shop) {
    let strict = ImportRequest { strict: true, ..request() };
    import_catalogue(shop, source(&small_bundle()), &strict, &mut |_| {}).await.unwrap();
    let before = contents(shop).await;
    let mut all = String::new();
    let damages: &[&dyn Fn(&mut Bundle)] = &[
        &|b| {
            add(
                b,
                "supersessions",
                "V-8,NORRWALD/NK40,VESSICK/VK22840,1,one_to_one,two_way,2030-01-01,no,,,,,,",
            )
        },
        &|b| add(b, "kit_lines", "NORRWALD/NK900,2,NORRWALD/NK900,1,"),
        &|b| edit(b, "variants", "5000", "6000"),
        // A fault of meaning and one of reference are told together.
        &|b| {
            edit(b, "prices", "2026-01-01,,EUR,150", "2026-07-01,,EUR,150");
            edit(b, "prices", "2026-01-01,,EUR,320", "2026-01-01,2026-05-31,EUR,320");
            add(b, "kit_lines", "NORRWALD/NK900,2,NORRWALD/NK41,1,");
        },
    ];
    for damage in damages {
        let mut bundle = small_bundle();
        damage(&mut bundle);
        all.push_str(&told(&refused(shop, &bundle, &strict).await));
        assert_eq!(contents(shop).await, before);
    }
    insta::allow_duplicates! { insta::assert_snapshot!(all, @"
    [error supersession_cycle] numbers give way to each other in a circle: NORRWALD/NK40 → VESSICK/VK22840 → NORRWALD/NK40 (by notices V-8, V-7)
    [error kit_holds_itself] kit NORRWALD/NK900 names itself on line 2
    [warning serial_gap] no variant of option group CASE of unit BN228 holds for serial numbers 5000 to 5999
    [unknown_reference] kit_lines.csv row 3, column part: `NORRWALD/NK41` is not in parts; write the part of a row of parts; did you mean `NORRWALD/NK40`?
    [warning position_without_supply] for position PINION of unit BN228 neither VESSICK/VK22810 nor a successor has a price, a piece on the shelf or a kit that brings it
    [warning price_expired] VESSICK/VK22810 is needed, and its last price ran out on 2026-05-31
    ") }
}

async fn limits(shop: &Shop) {
    let mut bundle = small_bundle();
    for row in 0..3_000 {
        add(&mut bundle, "bins", &format!("B{row},"));
        add(&mut bundle, "kit_lines", &format!("NORRWALD/NK900,{},NORRWALD/NONE{row},1,", row + 10));
    }
    let few = ImportRequest { fault_limit: 2, ..request() };
    let early = refused(shop, &bundle, &few).await;
    assert_eq!((early.faults.len(), early.total, early.ended_early), (2, 3_000, true));
    insta::allow_duplicates! { insta::assert_snapshot!(told(&early), @"
    [missing_value] bins.csv row 3, column name: is empty; write text of at most 2000 characters
    [missing_value] bins.csv row 4, column name: is empty; write text of at most 2000 characters
    ") }
    let many = ImportRequest { fault_limit: 10_000, ..request() };
    let complete = refused(shop, &bundle, &many).await;
    assert_eq!((complete.faults.len(), complete.total, complete.ended_early), (6_000, 6_000, false));
}

/// What refers to a row that cannot be read is not blamed for it, as long as the row's key can be read.
mod blame {
    use super::*;

    on_both_databases!(a_faulty_row_is_the_only_fault);

    async fn a_faulty_row_is_the_only_fault(shop: &Shop) {
        let mut bundle = small_bundle();
        edit(&mut bundle, "parts", "gear,HARD,H87", "gear,HARD,PCE");
        let told = told(&refused(shop, &bundle, &request()).await);
        insta::allow_duplicates! { insta::assert_snapshot!(told, @"[bad_value] parts.csv row 2, column measure: `PCE` is not known here; write one of H87, SET, KT, PR, LTR, MLT, KGM, GRM, MTR, MMT, NU, DD, CEL; did you mean `H87`?") }
    }
}
