//! Whether a problem can be read at all, and whether its sums fit.

use super::{Choice, Invalid, Need, Offer, Problem, Table};

/// The most pieces that needs may ask for in sum.
const QUANTITY_LIMIT: i64 = 1_000_000;
/// What sums of money must stay below: a quarter of the range of an `i64`.
const MONEY_LIMIT: i64 = 1 << 61;

/// Says what is wrong with the problem, if anything.
pub(super) fn check(problem: &Problem) -> Result<(), Invalid> {
    for (at, part) in problem.parts.iter().enumerate() {
        let place = || format!("part {at}");
        at_least(place, "free stock", part.free_stock, 0)?;
        at_least(place, "carrying value", part.carrying_value, 0)?;
        at_least(place, "credit", part.credit, 0)?;
    }
    for (at, supplier) in problem.suppliers.iter().enumerate() {
        at_least(|| format!("supplier {at}"), "fixed cost", supplier.fixed_cost, 0)?;
    }
    for (at, offer) in problem.offers.iter().enumerate() {
        check_offer(problem, at, offer)?;
    }
    if problem.branches.is_empty() {
        return Err(Invalid::Empty { place: "the problem".into(), what: "the list of branches" });
    }
    for (at, branch) in problem.branches.iter().enumerate() {
        for (index, need) in branch.needs.iter().enumerate() {
            check_need(problem, need, || format!("branch {at}, need {index}"))?;
        }
        for (index, choice) in branch.choices.iter().enumerate() {
            check_choice(problem, choice, at, index)?;
        }
        for (index, table) in branch.tables.iter().enumerate() {
            check_table(&branch.choices, table, at, index)?;
        }
    }
    check_sums(problem)
}

fn check_offer(problem: &Problem, at: usize, offer: &Offer) -> Result<(), Invalid> {
    let place = || format!("offer {at}");
    index_of(place, "supplier", offer.supplier, problem.suppliers.len())?;
    at_least(place, "pack", offer.pack, 1)?;
    at_least(place, "minimum", offer.minimum, 0)?;
    if let Some(available) = offer.available {
        at_least(place, "available", available, 0)?;
    }
    if offer.contents.is_empty() {
        return Err(Invalid::Empty { place: place(), what: "contents" });
    }
    for &(part, pieces) in &offer.contents {
        index_of(place, "part", part, problem.parts.len())?;
        at_least(place, "pieces of a part", pieces, 1)?;
        if pieces > QUANTITY_LIMIT {
            return Err(Invalid::TooLarge {
                what: "the pieces of a part in an offer",
                limit: QUANTITY_LIMIT,
            });
        }
    }
    if offer.pack > QUANTITY_LIMIT || offer.minimum > QUANTITY_LIMIT {
        return Err(Invalid::TooLarge { what: "pack or minimum of an offer", limit: QUANTITY_LIMIT });
    }
    if offer.tiers.is_empty() {
        return Err(Invalid::Empty { place: place(), what: "tiers" });
    }
    for tier in &offer.tiers {
        at_least(place, "the start of a tier", tier.from, 0)?;
        at_least(place, "price", tier.price, 0)?;
    }
    let rising = offer.tiers.windows(2).all(|pair| pair[0].from < pair[1].from);
    if !rising || offer.tiers[0].from > offer.minimum.max(1) {
        return Err(Invalid::Tiers { place: place() });
    }
    Ok(())
}

fn check_need(problem: &Problem, need: &Need, place: impl Fn() -> String) -> Result<(), Invalid> {
    at_least(&place, "quantity", need.quantity, 0)?;
    for &part in &need.accepts {
        index_of(&place, "part", part, problem.parts.len())?;
    }
    Ok(())
}

fn check_choice(problem: &Problem, choice: &Choice, branch: usize, index: usize) -> Result<(), Invalid> {
    if choice.values.is_empty() {
        let place = format!("branch {branch}, choice {index}");
        return Err(Invalid::Empty { place, what: "the list of values" });
    }
    for (value, held) in choice.values.iter().enumerate() {
        at_least(|| format!("branch {branch}, choice {index}, value {value}"), "cash", held.cash, 0)?;
        for (at, need) in held.needs.iter().enumerate() {
            check_need(problem, need, || {
                format!("branch {branch}, choice {index}, value {value}, need {at}")
            })?;
        }
    }
    Ok(())
}

fn check_table(choices: &[Choice], table: &Table, branch: usize, index: usize) -> Result<(), Invalid> {
    let place = || format!("branch {branch}, table {index}");
    for (at, &choice) in table.scope.iter().enumerate() {
        index_of(place, "choice", choice, choices.len())?;
        if table.scope[..at].contains(&choice) {
            return Err(Invalid::Twice { place: place(), what: "choice", index: choice });
        }
    }
    for tuple in &table.tuples {
        if tuple.len() != table.scope.len() {
            let (found, expected) = (tuple.len(), table.scope.len());
            return Err(Invalid::Combination { place: place(), found, expected });
        }
        for (&choice, &value) in table.scope.iter().zip(tuple) {
            index_of(place, "value", value, choices[choice].values.len())?;
        }
    }
    Ok(())
}

/// Bounds every sum the search can form, in wide arithmetic.
fn check_sums(problem: &Problem) -> Result<(), Invalid> {
    let mut pieces: i128 = 0;
    let mut money: i128 = 0;
    for branch in &problem.branches {
        pieces += branch.needs.iter().map(|need| i128::from(need.quantity)).sum::<i128>();
        for value in branch.choices.iter().flat_map(|choice| &choice.values) {
            pieces += value.needs.iter().map(|need| i128::from(need.quantity)).sum::<i128>();
            money += i128::from(value.cash);
        }
    }
    if pieces > i128::from(QUANTITY_LIMIT) {
        return Err(Invalid::TooLarge { what: "the quantity needed", limit: QUANTITY_LIMIT });
    }
    let mut brought: i128 = 0;
    for offer in &problem.offers {
        let last_tier = offer.tiers.last().map_or(0, |tier| tier.from);
        let asked = pieces.max(i128::from(offer.minimum)).max(i128::from(last_tier)) + i128::from(offer.pack);
        let units = offer.available.map_or(asked, |available| asked.min(i128::from(available)));
        let dearest = offer.tiers.iter().map(|tier| tier.price).max().unwrap_or(0);
        money = money.saturating_add(units * i128::from(dearest));
        for &(part, count) in &offer.contents {
            let credit = i128::from(problem.parts[part].credit);
            brought = brought.saturating_add(units * i128::from(count));
            money = money.saturating_add((units * i128::from(count)).saturating_mul(credit));
        }
    }
    for part in &problem.parts {
        let used = i128::from(part.carrying_value) * pieces.min(i128::from(part.free_stock));
        money = money.saturating_add(used);
    }
    let fixed: i128 = problem.suppliers.iter().map(|supplier| i128::from(supplier.fixed_cost)).sum();
    money = money.saturating_add(fixed);
    if money > i128::from(MONEY_LIMIT) {
        return Err(Invalid::TooLarge { what: "the money at stake", limit: MONEY_LIMIT });
    }
    if brought > i128::from(MONEY_LIMIT) {
        return Err(Invalid::TooLarge { what: "the quantity offered", limit: MONEY_LIMIT });
    }
    Ok(())
}

fn at_least(place: impl Fn() -> String, what: &'static str, value: i64, least: i64) -> Result<(), Invalid> {
    if value < least {
        return Err(Invalid::TooSmall { place: place(), what, value, least });
    }
    Ok(())
}

fn index_of(
    place: impl Fn() -> String,
    what: &'static str,
    index: usize,
    count: usize,
) -> Result<(), Invalid> {
    if index >= count {
        return Err(Invalid::NoSuch { place: place(), what, index, count });
    }
    Ok(())
}
