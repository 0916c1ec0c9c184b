//! Each kind of damage to a file is told with its place, its cause and what would be right.

use catalogue::{Cell, Part, Sheet, bundle};
use exchange::{Batch, Faults, SheetReader};

fn read(sheet: &str, bytes: &[u8]) -> (Batch, String) {
    let spec = bundle::sheet(sheet).expect("the test names a sheet");
    let mut faults = Faults::with_limit(20);
    let mut all = Batch::default();
    if let Some(mut reader) = SheetReader::open(spec, bytes, &mut faults).expect("memory can be read") {
        while let Some(batch) = reader.next_batch(&mut faults).expect("memory can be read") {
            all.rows.extend(batch.rows);
            all.faulty_rows.extend(batch.faulty_rows);
        }
    }
    let told: Vec<String> = faults.kept().iter().map(ToString::to_string).collect();
    assert_eq!(faults.total(), told.len() as u64);
    (all, told.join("\n"))
}

const HEADER: &str =
    "maker,number,name,kind,class,price_group,measure,retired,gtin,mass_kg,surplus_credit,renewal";
const SOUND: &str = "VESSICK,VK 640-118,Input seal,consumable,seal,SEALS,H87,no,,0.05,1.50,";

fn parts(row: &str) -> String {
    read("parts", format!("{HEADER}\r\n{SOUND}\r\n{row}\r\n").as_bytes()).1
}

#[test]
fn a_sound_file_has_no_faults() {
    let text = format!("\u{feff}{HEADER}\r\n\r\n{SOUND}\r\n,,,,,,,,,,,\r\n");
    let (batch, told) = read("parts", text.as_bytes());
    assert_eq!(told, "");
    assert_eq!(batch.rows.len(), 1);
    assert_eq!(batch.rows[0].row, 3);
    let part = Part::from_cells(&batch.rows[0].cells).expect("the cells are those of a part");
    assert_eq!(part.part.as_str(), "VESSICK/VK640118");
    assert_eq!(part.number, "VK 640-118");
}

#[test]
fn faults_of_the_header() {
    insta::assert_snapshot!(read("makers", b"").1, @"makers.csv: has no header; write the names of its columns in the first row: maker, name");
    insta::assert_snapshot!(read("makers", b"\r\n\r\n").1, @"makers.csv: has no header; write the names of its columns in the first row: maker, name");
    insta::assert_snapshot!(read("makers", b"maker,nmae\nA,B\n").1, @"makers.csv row 1, column nmae: is no column of this sheet; the columns are maker, name; did you mean `name`?");
    insta::assert_snapshot!(read("makers", b"maker\nA\n").1, @"makers.csv row 1, column name: is missing from the header; add the column, it holds text of at most 2000 characters");
    insta::assert_snapshot!(read("makers", b"maker,name,maker\nA,B,A\n").1, @"makers.csv row 1, column maker: is named twice in the header; keep one of the two");
    insta::assert_snapshot!(read("makers", b"maker,name,\nA,B,C\n").1, @"makers.csv row 1, column 3: has no name; the columns are maker, name");
    insta::assert_snapshot!(read("makers", b"maker;name\nA;B\n").1, @"makers.csv row 1: has its cells separated by `;`; separate them by commas (RFC 4180)");
    insta::assert_snapshot!(read("makers", b"maker,n\xe4me\nA,B\n").1, @"makers.csv row 1: `n�me` is not UTF-8 text; save the file as CSV in UTF-8");
    insta::assert_snapshot!(read("makers", &[0xff, 0xfe, b'm', 0]).1, @"makers.csv: is UTF-16 text; save the file as CSV in UTF-8");
}

#[test]
fn faults_of_the_text() {
    insta::assert_snapshot!(read("makers", b"maker,name\nA\nB,b\nC,c,d\n").1, @"
    makers.csv row 2: has 1 cell where the header has 2 cells; write a comma for each empty cell too
    makers.csv row 4: has 3 cells where the header has 2 cells; put cells that hold a comma in quotes, and drop what is too much
    ");
    insta::assert_snapshot!(read("makers", b"maker,name\nA,\"a\nB,b\n").1, @"makers.csv row 2: opens a quote that is never closed; nothing from here on was read; close the quote");
    insta::assert_snapshot!(read("makers", b"maker,name\nA,\"a\"b\nB,b\n").1, @"makers.csv row 2: has text behind a closing quote, or lacks one; nothing from here on was read; put the whole cell in quotes and double each quote inside it");
    insta::assert_snapshot!(read("makers", b"maker,name\nA,1\"2\nB,b\n").1, @"makers.csv row 2: has a quote inside a cell that is not in quotes; put the whole cell in quotes and double each quote inside it");
    insta::assert_snapshot!(read("makers", b"maker,name\nA,\xff\n").1, @"makers.csv row 2, column name: `�` is not UTF-8 text; save the file as CSV in UTF-8");
    insta::assert_snapshot!(read("makers", b"maker,name\nA,a\0b\n").1, @r"makers.csv row 2, column name: `a\0b` holds a control character; write text of at most 2000 characters");
    let long = format!("maker,name\nA,{}\n", "x".repeat(2_001));
    insta::assert_snapshot!(read("makers", long.as_bytes()).1, @"makers.csv row 2, column name: `xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…` is too long; write text of at most 2000 characters");
}

#[test]
fn faults_of_the_values() {
    insta::assert_snapshot!(parts("VES SICK,1,n,hard,gear,G,H87,no,,,,"), @"parts.csv row 3, column maker: `VES SICK` holds ` `; write a code of letters, digits, `-`, `_` and `.`; did you mean `VES-SICK`?");
    insta::assert_snapshot!(parts("VESSICK,---,n,hard,gear,G,H87,no,,,,"), @"parts.csv row 3, column number: `---` is empty; write it as it stands on the part or plate");
    insta::assert_snapshot!(parts("VESSICK,,n,hard,gear,G,H87,no,,,,"), @"parts.csv row 3, column number: is empty; write text of at most 2000 characters");
    insta::assert_snapshot!(parts("VESSICK,2,n,haard,gear,G,H87,no,,,,"), @"parts.csv row 3, column kind: `haard` is not known here; write one of hard, wear, consumable, set, kit; did you mean `hard`?");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,PCE,no,,,,"), @"parts.csv row 3, column measure: `PCE` is not known here; write one of H87, SET, KT, PR, LTR, MLT, KGM, GRM, MTR, MMT, NU, DD, CEL; did you mean `H87`?");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,H87,TRUE,,,,"), @"parts.csv row 3, column retired: `TRUE` cannot be read; write `yes` or `no`; did you mean `yes`?");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,H87,no,6291041500214,,,"), @"parts.csv row 3, column gtin: `6291041500214` ends in check digit 4, the other digits ask for 3; write 8, 12, 13 or 14 digits with a right check digit");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,H87,no,,\"1,5\",,"), @"parts.csv row 3, column mass_kg: `1,5` cannot be read; write a number with a decimal point, such as 12.5; did you mean `1.5`?");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,H87,no,,-1,,"), @"parts.csv row 3, column mass_kg: `-1` is not above zero; write more than zero");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,H87,no,,inf,,"), @"parts.csv row 3, column mass_kg: `inf` is not of a size that a driveline has; write a number with a decimal point, such as 12.5");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,H87,no,,,1.23456,"), @"parts.csv row 3, column surplus_credit: `1.23456` cannot be read; write an amount with up to four places, such as 12.50");
    insta::assert_snapshot!(parts("VESSICK,2,n,hard,gear,G,H87,no,,,-0.01,"), @"parts.csv row 3, column surplus_credit: `-0.01` is below zero; write zero or more");
    insta::assert_snapshot!(read("weak_points", b"unit,weak_point,position,finding,likelihood,symptom,vehicle_check\nBN640,W,P,worn,1.2,s,c\n").1, @"weak_points.csv row 2, column likelihood: `1.2` is not from 0 to 1; write a share from 0 to 1, such as 0.25");
    insta::assert_snapshot!(read("units", b"code,maker,name,kind\n?!,BRANNOCH,Box,gearbox\n").1, @"units.csv row 2, column code: `?!` holds `?`; write it as it stands on the part or plate");
    insta::assert_snapshot!(read("companions", b"part,companion,quantity\nVK1,A/1,0\n").1, @"
    companions.csv row 2, column part: `VK1` has no `/` between the maker's code and the part number; write a part as MAKER/NUMBER
    companions.csv row 2, column quantity: `0` is not above zero; write more than zero
    ");
    insta::assert_snapshot!(read("exchange_rates", b"currency,valid_from,rate,source\neuro,28.2.2026,0,x\n").1, @"
    exchange_rates.csv row 2, column currency: `euro` cannot be read; write an ISO 4217 code of three capitals, such as EUR
    exchange_rates.csv row 2, column valid_from: `28.2.2026` is no day; write a day as YYYY-MM-DD; did you mean `2026-02-28`?
    exchange_rates.csv row 2, column rate: `0` is not above zero; write more than zero
    ");
}

#[test]
fn faults_inside_a_row() {
    insta::assert_snapshot!(read("variants", b"unit,variant,option_group,name,serial_from,serial_to,built_from,built_to\nBN640,A,G,n,10,9,2020-01-02,2020-01-01\nBN640,B,G,n,9,9,2020-01-01,2020-01-01\n").1, @"
    variants.csv row 2, column serial_to: `9` is below serial_from `10`; write serial_from not above serial_to
    variants.csv row 2, column built_to: `2020-01-01` is below built_from `2020-01-02`; write built_from not above built_to
    ");
    insta::assert_snapshot!(read("joints", b"joint,kind,unit_a,position_a,feature_a,unit_b,position_b,feature_b,backlash_min_mm,backlash_max_mm\nJ,mesh,BN640,A,T,BN640,B,T,0.2,0.1\n").1, @"joints.csv row 2, column backlash_max_mm: `0.1` is below backlash_min_mm `0.2`; write backlash_min_mm not above backlash_max_mm");
    insta::assert_snapshot!(read("cautions", b"caution,hazard,text,operation\nC,heat,t,OVERHAUL\n").1, @"cautions.csv row 2, column operation: `OVERHAUL` stands without its unit; fill unit, or leave both empty");
    insta::assert_snapshot!(read("settings", b"setting,value\nKIT-DISPLAY,spred\nBASE-CURRENCY,eur\nOTHER,x\n").1, @"
    settings.csv row 2, column value: `spred` is not known here; write one of one_line, spread; did you mean `spread`?
    settings.csv row 3, column value: `eur` cannot be read; write an ISO 4217 code of three capitals, such as EUR; did you mean `EUR`?
    ");
}

#[test]
fn a_faulty_row_is_given_with_nothing_in_the_cells_that_cannot_be_read() {
    let text =
        format!("{HEADER}\nVESSICK,VK-1,n,hard,gear,G,PCE,no,,,,\nVESSICK,-,n,hard,gear,G,H87,no,,,,\n");
    let (batch, _) = read("parts", text.as_bytes());
    let at = |name| Part::SPEC.column_index(name).expect("parts have the column");
    let cells: Vec<_> =
        batch.faulty_rows.iter().map(|row| [&row.cells[at("part")], &row.cells[at("measure")]]).collect();
    let text = |text: &str| Cell::Text(text.to_owned());
    assert_eq!(cells, [[&text("VESSICK/VK1"), &Cell::Null], [&Cell::Null, &text("H87")]]);
    assert!(batch.rows.is_empty());
}

#[test]
fn rows_below_a_quoted_line_break_are_counted_as_the_spreadsheet_shows_them() {
    let (batch, told) = read("makers", b"maker,name\nA,\"two\r\nlines\"\n\nB,\n");
    assert_eq!(batch.rows[0].cells[1], Cell::Text("two\nlines".into()));
    insta::assert_snapshot!(told, @"makers.csv row 4, column name: is empty; write text of at most 2000 characters");
}
