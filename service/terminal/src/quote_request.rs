//! From the command line to what is asked.

use catalogue::key::normalised;
use catalogue::{Grade, VehicleRole};
use chrono::NaiveDate;
use operations::asked::{Asked, AskedChoice, AskedFinding, AskedInside, AskedUnit};
use operations::request::{Aim, StockUse, Unknowns};

use crate::arguments::QuoteArguments;
use crate::failure::Failure;

/// What the command line asks.
pub(crate) fn asked(arguments: &QuoteArguments) -> Result<Asked, Failure> {
    let mut units: Vec<AskedUnit> = Vec::new();
    for code in &arguments.units {
        units.push(AskedUnit { unit: Some(code.clone()), ..AskedUnit::default() });
    }
    for text in &arguments.vehicle {
        let (vehicle, role) =
            text.split_once('=').map_or((text.as_str(), None), |(code, role)| (code, Some(role)));
        let role = role
            .map(|word| word_of(word, "--vehicle", VehicleRole::from_word, VehicleRole::WORDS))
            .transpose()?;
        units.push(AskedUnit { vehicle: Some(vehicle.to_owned()), role, ..AskedUnit::default() });
    }
    for text in &arguments.operation {
        each(&mut units, text, |unit, value| {
            unit.operation = Some(value.to_owned());
            Ok(())
        })?;
    }
    for text in &arguments.serial {
        let (unit, value) = one(&mut units, text, "--serial")?;
        unit.serial = Some(value.to_owned());
    }
    for text in &arguments.built {
        let (unit, value) = one(&mut units, text, "--built")?;
        unit.built = Some(day(value, "--built")?);
    }
    for text in &arguments.variant {
        let (unit, value) = one(&mut units, text, "--variant")?;
        unit.variants.push(value.to_owned());
    }
    for text in &arguments.finding {
        let (unit, value) = one(&mut units, text, "--finding")?;
        unit.findings.push(finding(value)?);
    }
    for text in &arguments.measured {
        let (unit, value) = one(&mut units, text, "--measured")?;
        unit.findings.push(measured(value)?);
    }
    for text in &arguments.inside {
        let (unit, value) = one(&mut units, text, "--inside")?;
        unit.inside.push(inside(value)?);
    }
    for text in &arguments.choose {
        let (unit, value) = one(&mut units, text, "--choose")?;
        let any_of = value.split(',').map(|part| part.trim().to_owned()).collect();
        unit.chosen.push(AskedChoice { any_of, position: None });
    }
    Ok(Asked {
        units,
        as_of: arguments.as_of.as_deref().map(|text| day(text, "--as-of")).transpose()?,
        customer: arguments.customer.clone(),
        aim: word_of(&arguments.aim, "--aim", Aim::from_word, Aim::WORDS)?,
        stock: word_of(&arguments.stock, "--stock", StockUse::from_word, StockUse::WORDS)?,
        unknowns: word_of(&arguments.unknowns, "--unknowns", Unknowns::from_word, Unknowns::WORDS)?,
        without_parts: arguments.without_part.clone(),
        without_suppliers: arguments.without_supplier.clone(),
    })
}

/// A day of the command line.
pub(crate) fn day(text: &str, flag: &str) -> Result<NaiveDate, Failure> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d")
        .map_err(|_| Failure::command_line(format!("{flag}: `{text}` is no day; write YYYY-MM-DD")))
}

fn word_of<T>(word: &str, flag: &str, read: fn(&str) -> Option<T>, words: &[&str]) -> Result<T, Failure> {
    read(word).ok_or_else(|| {
        Failure::command_line(format!("{flag}: `{word}` is not known; write one of {}", words.join(", ")))
    })
}

/// The unit that a value names before a colon, and the rest of the value.
fn named<'v>(units: &[AskedUnit], text: &'v str) -> Option<(usize, &'v str)> {
    let (code, value) = text.split_once(':')?;
    let at = units.iter().position(|unit| {
        [&unit.unit, &unit.vehicle].into_iter().flatten().any(|known| normalised(known) == normalised(code))
    })?;
    Some((at, value))
}

fn one<'u, 'v>(
    units: &'u mut [AskedUnit],
    text: &'v str,
    flag: &str,
) -> Result<(&'u mut AskedUnit, &'v str), Failure> {
    let (at, value) = match named(units, text) {
        Some(found) => found,
        None if units.len() == 1 => (0, text),
        None => {
            return Err(Failure::command_line(format!(
                "{flag}: several units are named, so write which one is meant: UNIT:{text}"
            )));
        }
    };
    units
        .get_mut(at)
        .map(|unit| (unit, value))
        .ok_or_else(|| Failure::command_line(format!("{flag}: no unit is named")))
}

fn each(
    units: &mut [AskedUnit],
    text: &str,
    set: impl Fn(&mut AskedUnit, &str) -> Result<(), Failure>,
) -> Result<(), Failure> {
    match named(units, text) {
        Some((at, value)) => units.get_mut(at).map_or(Ok(()), |unit| set(unit, value)),
        None => units.iter_mut().try_for_each(|unit| set(unit, text)),
    }
}

fn parted<'v>(text: &'v str, flag: &str, form: &str) -> Result<(&'v str, &'v str), Failure> {
    let parted = text.split_once('=').map(|(left, right)| (left.trim(), right.trim()));
    parted
        .filter(|(left, right)| !left.is_empty() && !right.is_empty())
        .ok_or_else(|| Failure::command_line(format!("{flag}: `{text}` has no `=`; write {form}")))
}

fn finding(text: &str) -> Result<AskedFinding, Failure> {
    let (position, grade) = parted(text, "--finding", "POSITION=GRADE")?;
    let grade = word_of(grade, "--finding", Grade::from_word, Grade::WORDS)?;
    Ok(AskedFinding { position: position.to_owned(), grade: Some(grade), bench_value: None, measured: None })
}

fn measured(text: &str) -> Result<AskedFinding, Failure> {
    const FORM: &str = "POSITION/BENCH-VALUE=FIGURE";
    let (place, figure) = parted(text, "--measured", FORM)?;
    let (position, bench_value) = place
        .split_once('/')
        .ok_or_else(|| Failure::command_line(format!("--measured: `{place}` has no `/`; write {FORM}")))?;
    let figure: f64 =
        figure.parse().ok().filter(|figure: &f64| figure.is_finite()).ok_or_else(|| {
            Failure::command_line(format!("--measured: `{figure}` is no figure; write {FORM}"))
        })?;
    Ok(AskedFinding {
        position: position.to_owned(),
        grade: None,
        bench_value: Some(bench_value.to_owned()),
        measured: Some(figure),
    })
}

fn inside(text: &str) -> Result<AskedInside, Failure> {
    let (position, part) = parted(text, "--inside", "POSITION=MAKER/NUMBER[@MARK]")?;
    let (part, mark) =
        part.split_once('@').map_or((part, None), |(part, mark)| (part, Some(mark.to_owned())));
    Ok(AskedInside { position: position.to_owned(), part: part.to_owned(), mark })
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;
    use crate::arguments::{Arguments, Command};

    fn asked_by(line: &str) -> Result<Asked, Failure> {
        let words = ["crownwheel", "quote"].into_iter().chain(line.split(' '));
        match Arguments::try_parse_from(words).unwrap().command {
            Command::Quote(arguments) => asked(&arguments),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn what_speaks_of_one_unit_goes_to_it() {
        let asked = asked_by(
            "BN-640 BN-143 --operation OVERHAUL --operation bn143:SEALS --finding BN-143:SEAL=worn \
             --inside BN-640:SPACER=TARNHOLT/T-1@7 --choose bn640:VESSICK/1,2 --measured BN-640:HUB/PLAY=0.25",
        )
        .unwrap();
        let [first, second] = asked.units.as_slice() else { panic!("two units") };
        assert_eq!(
            (first.operation.as_deref(), second.operation.as_deref()),
            (Some("OVERHAUL"), Some("SEALS"))
        );
        assert_eq!(second.findings[0].grade, Some(Grade::Worn));
        assert_eq!(first.findings[0].measured, Some(0.25));
        assert_eq!(
            (first.inside[0].part.as_str(), first.inside[0].mark.as_deref()),
            ("TARNHOLT/T-1", Some("7"))
        );
        assert_eq!(first.chosen[0].any_of, ["VESSICK/1", "2"]);
    }

    #[test]
    fn what_could_speak_of_several_units_is_refused() {
        let refused = asked_by("BN-640 BN-143 --finding SEAL=worn").unwrap_err();
        assert_eq!(refused.cause, crate::failure::Cause::CommandLine);
        assert!(refused.message.contains("UNIT:SEAL=worn"), "{}", refused.message);
    }

    #[test]
    fn a_wrong_word_is_told_the_right_ones() {
        let refused = asked_by("BN-640 --finding SEAL=rotten").unwrap_err();
        assert!(
            refused.message.contains("good, worn, damaged, repaired_before, missing"),
            "{}",
            refused.message
        );
        assert!(asked_by("BN-640 --built 2026-02-30").is_err());
        assert!(asked_by("BN-640 --measured HUB=1").is_err());
    }
}
