//! A small sound catalogue, written as the data keeper writes it, and ways to spoil it.

use catalogue::Sheet;
use chrono::NaiveDate;
use exchange::{Faults, read_sheet};

use super::{CatalogueRows, Finding, check};

/// The rows of a sheet from its file.
pub(super) fn rows<T: Sheet>(csv: &str) -> Vec<T> {
    let spec = catalogue::bundle::sheet(T::SPEC.name).expect("the sheet is in the bundle");
    let mut faults = Faults::with_limit(10);
    let mut found = Vec::new();
    read_sheet::<_, std::io::Error>(spec, csv.as_bytes(), &mut faults, |batch| {
        found.extend(batch.rows);
        Ok(())
    })
    .expect("memory can be read");
    assert!(faults.is_empty(), "{:?}", faults.kept());
    found.iter().map(|row| T::from_cells(&row.cells).expect("the cells are those of the sheet")).collect()
}

/// The day of all checks here.
pub(super) fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 1).expect("the day exists")
}

/// One axle with a shaft and a seal on it, a kit for the seal, and prices for all.
pub(super) fn sound() -> CatalogueRows {
    CatalogueRows {
        parts: rows(
            "maker,number,name,kind,class,price_group,measure,retired\n\
             VESSICK,SHAFT-1,Shaft,hard,shaft,HARD,H87,no\n\
             VESSICK,SEAL-1,Seal,consumable,seal,SOFT,H87,no\n\
             NORRWALD,SEAL-2,Seal,consumable,seal,SOFT,H87,no\n\
             NORRWALD,KIT-1,Seal kit,kit,other,KITS,KT,no\n",
        ),
        features: rows(
            "part,feature,kind,basis\n\
             VESSICK/SHAFT1,SEAT,seal_seat,stated\n\
             VESSICK/SEAL1,LIP,seal,stated\n\
             NORRWALD/SEAL2,LIP,seal,stated\n",
        ),
        units: rows("code,maker,name,kind\nBN-228,BRANNOCH,Axle,axle\n"),
        positions: rows(
            "unit,position,name,subassembly,assembly_order,quantity\n\
             BN228,SHAFT,Shaft,A,1,1\n\
             BN228,SEAL,Seal,A,2,1\n",
        ),
        candidates: rows(
            "unit,position,part,role\n\
             BN228,SHAFT,VESSICK/SHAFT1,original\n\
             BN228,SEAL,VESSICK/SEAL1,original\n\
             BN228,SEAL,NORRWALD/SEAL2,alternative\n",
        ),
        joints: rows(
            "joint,kind,unit_a,position_a,feature_a,unit_b,position_b,feature_b\n\
             J1,seal,BN228,SEAL,LIP,BN228,SHAFT,SEAT\n",
        ),
        kit_lines: rows("kit,line,part,quantity\nNORRWALD/KIT1,1,NORRWALD/SEAL2,1\n"),
        suppliers: rows("supplier,name,currency,order_cost\nOSTREL,Ostrel,EUR,10\n"),
        prices: rows(
            "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days\n\
             OSTREL,VESSICK/SHAFT1,1,2026-01-01,,EUR,100,1,1,3\n\
             OSTREL,VESSICK/SEAL1,1,2026-01-01,,EUR,5,1,1,3\n\
             OSTREL,NORRWALD/SEAL2,1,2026-01-01,,NOK,50,1,1,3\n\
             OSTREL,NORRWALD/KIT1,1,2026-01-01,2026-12-31,EUR,6,1,1,3\n",
        ),
        exchange_rates: rows("currency,valid_from,rate,source\nNOK,2026-01-01,0.085,Bank list\n"),
        settings: rows("setting,value\nBASE-CURRENCY,EUR\nTAX,STANDARD\n"),
        tax_rates: rows("tax,valid_from,rate,name\nSTANDARD,2020-01-01,20,Standard\n"),
        ..CatalogueRows::default()
    }
}

/// What is found after the sound catalogue was spoiled, one line a finding.
pub(super) fn found(spoil: impl FnOnce(&mut CatalogueRows)) -> String {
    let mut catalogue = sound();
    spoil(&mut catalogue);
    let findings = check(&catalogue, today());
    findings.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn line(finding: &Finding) -> String {
    let subject = format!("{} {}", finding.subject.sheet, finding.subject.key.join(" "));
    format!("{} {} [{subject}] {}", finding.severity, finding.fact.code(), finding.sentence())
}
