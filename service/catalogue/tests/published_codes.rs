//! Codes of open standards against published values, each with its source.

use catalogue::gtin::GtinFault;
use catalogue::{Currency, Gtin, UnitOfMeasure};

/// Digits before the check digit, and the check digit: sample numbers from memory; check digit by the PyPI package
/// `python-stdnum` 2.2 and the npm package `gtin` 1.0.2.
const GTINS: [(&str, u32); 2] = [("590123412345", 7), ("9638507", 4)];

#[test]
fn gtin_check_digits_are_those_of_the_referees() {
    for (digits, check) in GTINS {
        assert!(Gtin::parse(&format!("{digits}{check}")).is_ok(), "{digits}");
        for wrong in (0..10).filter(|digit| *digit != check) {
            let fault = Gtin::parse(&format!("{digits}{wrong}")).unwrap_err();
            assert_eq!(fault, GtinFault::CheckDigit { found: wrong, right: check }, "{digits}");
        }
    }
}

#[test]
fn minor_units_are_those_of_iso_4217() {
    // ISO 4217 list as packaged: PyPI `iso4217` 1.16.20260101 and npm `@iso4217/json` 20230101.1.10 agree.
    for (code, places) in [("EUR", 2), ("JPY", 0), ("KWD", 3), ("CLF", 4)] {
        assert_eq!(Currency::parse(code).unwrap().places(), places, "{code}");
    }
}

#[test]
fn units_of_measure_are_those_of_rec_20() {
    // UN/ECE Recommendation 20, as far as parts are counted in these units here.
    let codes = [
        ("H87", "piece"),
        ("KGM", "kilogram"),
        ("MTR", "metre"),
        ("MMT", "millimetre"),
        ("LTR", "litre"),
        ("SET", "set"),
        ("PR", "pair"),
        ("KT", "kit"),
        ("NU", "newton metre"),
    ];
    for (code, name) in codes {
        let unit = UnitOfMeasure::from_word(code).unwrap();
        assert_eq!(format!("{unit:?}").to_lowercase(), name.replace(' ', ""), "{code}");
    }
}
