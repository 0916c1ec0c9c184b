//! From the command line to what is asked.

use catalogue::key::normalised;
use catalogue::{Grade, VehicleRole};
use chrono::NaiveDate;
use operations::asked::{Asked, AskedChoice, AskedFinding, AskedInside, AskedUnit};
use operations::asked_alternatives::{AskedAlternatives, AskedCondition};
use operations::asked_fit_check::{AskedFitAlternative, AskedFitCheck, AskedWantedPart};
use operations::request::{Aim, StockUse, Unknowns};

use crate::arguments::{BuyingArguments, FitArguments, QuoteArguments, RangeArguments, UnitArguments};
use crate::failure::Failure;

/// What the command line asks.
pub(crate) fn asked(arguments: &QuoteArguments) -> Result<Asked, Failure> {
    let buying = &arguments.buying;
    let alternatives = other_answers(arguments);
    // Beside alternatives, what is left out is one of them.
    let left_out = |named: &Vec<String>| if alternatives.is_some() { Vec::new() } else { named.clone() };
    Ok(Asked {
        units: asked_units(&arguments.work)?,
        as_of: as_of(buying)?,
        customer: arguments.customer.clone(),
        aim: word_of(&arguments.aim, "--aim", Aim::from_word, Aim::WORDS)?,
        stock: stock_use(buying)?,
        unknowns: word_of(&arguments.unknowns, "--unknowns", Unknowns::from_word, Unknowns::WORDS)?,
        without_parts: left_out(&buying.without_part),
        without_suppliers: left_out(&buying.without_supplier),
        alternatives,
        search_steps: arguments.buying.search_steps,
        time_budget_ms: None,
    })
}

/// The other answers that the command line asks for.
fn other_answers(arguments: &QuoteArguments) -> Option<AskedAlternatives> {
    let others = &arguments.others;
    let next = others.alternatives?;
    let part = |part: &String| AskedCondition::WithoutPart { part: part.clone() };
    let supplier = |supplier: &String| AskedCondition::WithoutSupplier { supplier: supplier.clone() };
    let only = |supplier: &String| AskedCondition::OnlySupplier { supplier: supplier.clone() };
    let kit = |kit: &String| AskedCondition::WithKit { kit: kit.clone() };
    let with = |text: &String| {
        let (unit, part) = match text.split_once(':') {
            Some((unit, part)) => (Some(unit.to_owned()), part.to_owned()),
            None => (None, text.clone()),
        };
        AskedCondition::WithPart { part, position: None, unit }
    };
    let mut conditions: Vec<AskedCondition> = arguments.buying.without_part.iter().map(part).collect();
    conditions.extend(arguments.buying.without_supplier.iter().map(supplier));
    conditions.extend(others.only_supplier.iter().map(only));
    conditions.extend(others.with_part.iter().map(with));
    conditions.extend(others.with_kit.iter().map(kit));
    conditions.extend(others.only_original.then_some(AskedCondition::OnlyOriginal));
    conditions.extend(others.no_unverified_joints.then_some(AskedCondition::NoUnverifiedJoints));
    Some(AskedAlternatives { next, conditions })
}

/// The price range that the command line asks for.
pub(crate) fn asked_range(arguments: &RangeArguments) -> Result<Asked, Failure> {
    let buying = &arguments.buying;
    Ok(Asked {
        units: asked_units(&arguments.work)?,
        as_of: as_of(buying)?,
        customer: arguments.customer.clone(),
        stock: stock_use(buying)?,
        without_parts: buying.without_part.clone(),
        without_suppliers: buying.without_supplier.clone(),
        search_steps: buying.search_steps,
        ..Asked::overhaul("")
    })
}

/// The fit check that the command line asks for.
pub(crate) fn asked_fit(arguments: &FitArguments) -> Result<AskedFitCheck, Failure> {
    let buying = &arguments.buying;
    let units = asked_units(&arguments.work)?;
    let alternatives = arguments.want.iter().map(|text| wanted(&units, text)).collect::<Result<_, _>>()?;
    Ok(AskedFitCheck {
        alternatives,
        units,
        ways: arguments.ways,
        as_of: as_of(buying)?,
        stock: stock_use(buying)?,
        without_parts: buying.without_part.clone(),
        without_suppliers: buying.without_supplier.clone(),
        search_steps: buying.search_steps,
        time_budget_ms: None,
    })
}

fn wanted(units: &[AskedUnit], text: &str) -> Result<AskedFitAlternative, Failure> {
    let mut parts = Vec::new();
    for piece in text.split('+') {
        let (unit, rest) = match named(units, piece) {
            Some((at, rest)) => (units.get(at).and_then(|unit| unit.unit.clone()), rest),
            None => (None, piece),
        };
        let (position, part) =
            rest.split_once('=').map_or((None, rest), |(position, part)| (Some(position.trim()), part));
        if part.trim().is_empty() {
            return Err(Failure::command_line(format!(
                "--want: `{text}` names no part; write [POSITION=]MAKER/NUMBER[+MAKER/NUMBER]"
            )));
        }
        let position = position.map(str::to_owned);
        parts.push(AskedWantedPart { part: part.trim().to_owned(), position, unit });
    }
    Ok(AskedFitAlternative { parts })
}

fn as_of(buying: &BuyingArguments) -> Result<Option<NaiveDate>, Failure> {
    buying.as_of.as_deref().map(|text| day(text, "--as-of")).transpose()
}

fn stock_use(buying: &BuyingArguments) -> Result<StockUse, Failure> {
    word_of(&buying.stock, "--stock", StockUse::from_word, StockUse::WORDS)
}

/// The units that the command line names, and what it says of them.
/// The units that the command line speaks of.
pub(crate) fn asked_units(arguments: &UnitArguments) -> Result<Vec<AskedUnit>, Failure> {
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
    Ok(units)
}

/// A day of the command line.
pub(crate) fn day(text: &str, flag: &str) -> Result<NaiveDate, Failure> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d")
        .map_err(|_| Failure::command_line(format!("{flag}: `{text}` is no day; write YYYY-MM-DD")))
}

/// The value of a word of the command line.
pub(crate) fn word_of<T>(
    word: &str,
    flag: &str,
    read: fn(&str) -> Option<T>,
    words: &[&str],
) -> Result<T, Failure> {
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

/// A grade at a position.
pub(crate) fn finding(text: &str) -> Result<AskedFinding, Failure> {
    let (position, grade) = parted(text, "--finding", "POSITION=GRADE")?;
    let grade = word_of(grade, "--finding", Grade::from_word, Grade::WORDS)?;
    Ok(AskedFinding { position: position.to_owned(), grade: Some(grade), bench_value: None, measured: None })
}

/// A figure at a position.
pub(crate) fn measured(text: &str) -> Result<AskedFinding, Failure> {
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

/// A part at a position.
pub(crate) fn inside(text: &str) -> Result<AskedInside, Failure> {
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
    fn what_is_left_out_is_an_alternative_where_these_are_asked_for() {
        let line = "BN-552 --without-supplier OSTREL";
        assert_eq!(asked_by(line).unwrap().without_suppliers, ["OSTREL"]);
        let asked = asked_by(&format!("{line} --alternatives 3 --only-original")).unwrap();
        assert!(asked.without_suppliers.is_empty());
        let without = AskedCondition::WithoutSupplier { supplier: "OSTREL".to_owned() };
        let others = AskedAlternatives { next: 3, conditions: vec![without, AskedCondition::OnlyOriginal] };
        assert_eq!(asked.alternatives, Some(others));
    }

    #[test]
    fn parts_that_go_in_together_are_one_alternative() {
        let words = ["crownwheel", "fit", "BN-552", "--want", "GEAR-3=V/1 + N/2", "--want", "N/3"];
        let Command::Fit(arguments) = Arguments::try_parse_from(words).unwrap().command else {
            panic!("a fit check");
        };
        let asked = asked_fit(&arguments).unwrap();
        let [both, one] = asked.alternatives.as_slice() else { panic!("two alternatives") };
        let parts: Vec<_> = both.parts.iter().map(|p| (p.position.as_deref(), p.part.as_str())).collect();
        assert_eq!(parts, [(Some("GEAR-3"), "V/1"), (None, "N/2")]);
        assert_eq!(one.parts[0].part, "N/3");
        let nothing = ["crownwheel", "fit", "BN-552", "--want", "GEAR-3="];
        let Command::Fit(arguments) = Arguments::try_parse_from(nothing).unwrap().command else {
            panic!("a fit check");
        };
        assert_eq!(asked_fit(&arguments).unwrap_err().cause, crate::failure::Cause::CommandLine);
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
