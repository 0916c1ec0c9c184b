//! What the needs leave of days and suppliers, taken one by one: known before any search, and a bound where its budget ends.

use super::classes::{Demands, Owner};
use super::{Aim, Problem, StockPolicy};

/// The least value of an aim that is made less step by step: of the days what the slowest need takes at its quickest offer, of
/// the suppliers one where anything has to be bought.
pub(super) fn least(problem: &Problem, demands: &Demands, aim: Aim) -> i64 {
    let days = least_days(problem, demands);
    match aim {
        Aim::Days => days.map_or(0, i64::from),
        Aim::Suppliers => i64::from(days.is_some()),
        _ => i64::MIN,
    }
}

/// The days that no plan can do without; `None` if the shelf may serve all that is needed in any case.
fn least_days(problem: &Problem, demands: &Demands) -> Option<u32> {
    let quickest = quickest(problem, demands);
    let days = |demand: &super::classes::Demand| {
        let free = demand
            .classes
            .iter()
            .fold(0, |sum: i64, &class| sum.saturating_add(demands.classes[class].free()));
        if problem.policy != StockPolicy::None && free >= demand.quantity {
            return None;
        }
        demand.classes.iter().filter_map(|&class| quickest[class]).min()
    };
    let mut always = None;
    // For each branch and choice the days of each value.
    let mut values: Vec<Vec<Vec<Option<u32>>>> = problem
        .branches
        .iter()
        .map(|branch| branch.choices.iter().map(|choice| vec![None; choice.values.len()]).collect())
        .collect();
    for demand in &demands.demands {
        let slot = match demand.owner {
            Owner::Always(_) => &mut always,
            Owner::If { choice, value, .. } => &mut values[demand.branch][choice][value],
        };
        *slot = days(demand).max(*slot);
    }
    let chosen = values.iter().flatten().filter_map(|of_choice| of_choice.iter().min().copied().flatten());
    chosen.max().max(always)
}

/// The shortest lead time of what brings each class.
fn quickest(problem: &Problem, demands: &Demands) -> Vec<Option<u32>> {
    let mut quickest: Vec<Option<u32>> = vec![None; demands.classes.len()];
    for offer in &problem.offers {
        for class in offer.contents.iter().filter_map(|&(part, _)| demands.class_of[part]) {
            let known = quickest[class].unwrap_or(u32::MAX);
            quickest[class] = Some(known.min(offer.lead_days));
        }
    }
    quickest
}

#[cfg(test)]
mod tests {
    use super::super::{Branch, Choice, ChoiceValue, Need, Offer, Part, Supplier, Tier};
    use super::*;

    fn offer(part: usize, lead_days: u32) -> Offer {
        let tiers = vec![Tier { from: 0, price: 1 }];
        Offer { contents: vec![(part, 1)], pack: 1, tiers, lead_days, ..Offer::default() }
    }

    fn need(part: usize) -> Need {
        Need { quantity: 1, accepts: vec![part] }
    }

    #[test]
    fn the_slowest_need_at_its_quickest_and_a_choice_at_its_best() {
        let value = |part| ChoiceValue { needs: vec![need(part)], cash: 0 };
        let mut problem = Problem {
            parts: vec![Part::default(); 4],
            suppliers: vec![Supplier::default()],
            offers: vec![offer(0, 3), offer(0, 2), offer(1, 9), offer(2, 5), offer(3, 7)],
            branches: vec![Branch {
                needs: vec![need(0)],
                choices: vec![Choice { values: vec![value(1), value(2)] }],
                tables: Vec::new(),
            }],
            policy: StockPolicy::First,
            aims: Vec::new(),
        };
        let days = |problem: &Problem| least_days(problem, &Demands::of(problem));
        assert_eq!(days(&problem), Some(5));
        problem.parts[2].free_stock = 1;
        assert_eq!(days(&problem), Some(2));
        problem.parts[0].free_stock = 1;
        assert_eq!(days(&problem), None);
        assert_eq!(least(&problem, &Demands::of(&problem), Aim::Suppliers), 0);
    }
}
