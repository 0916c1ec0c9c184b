//! The catalogue check: faults of meaning that can be stored and that a data keeper should know of.
//!
//! A row that cannot be stored is refused by an import. What can be stored and is still wrong, or likely to be, is found
//! here: numbers that give way to each other in a circle, positions that nothing can fill, prices that ran out. The check
//! reads plain rows and a day; it follows no circle and holds no more than a few references a row.

mod availability;
mod circle_fact;
mod circles;
mod cycle;
mod effectivity;
mod finding;
mod joint_fact;
mod joint_features;
mod joint_verdicts;
mod kit_cover;
mod lookup;
mod money_fact;
mod notice_fact;
mod notices;
mod price_state;
mod rows;
mod sentence;
mod soft_references;
mod statements;
mod superseded_use;
mod unit_fact;

#[cfg(test)]
mod small_catalogue;
#[cfg(test)]
mod tests;

pub use circle_fact::CircleFact;
pub use finding::{Fact, Finding, Severity, Subject};
pub use joint_fact::JointFact;
pub use money_fact::MoneyFact;
pub use notice_fact::NoticeFact;
pub use rows::CatalogueRows;
pub use unit_fact::UnitFact;

use chrono::NaiveDate;

use lookup::Lookup;

/// Looks at all rows as of a day. The findings are sorted, the most severe first; the same rows give the same findings.
pub fn check(rows: &CatalogueRows, as_of: NaiveDate) -> Vec<Finding> {
    let lookup = Lookup::new(rows, as_of);
    let available = availability::available(&lookup);
    let mut findings = Vec::new();
    circles::check(rows, &mut findings);
    notices::check(rows, &mut findings);
    statements::check(rows, &mut findings);
    effectivity::check(rows, &mut findings);
    superseded_use::check(&lookup, &mut findings);
    availability::check(&lookup, &available, &mut findings);
    kit_cover::check(&lookup, &mut findings);
    price_state::check(&lookup, &available, &mut findings);
    joint_features::check(&lookup, &mut findings);
    joint_verdicts::check(&lookup, &mut findings);
    soft_references::check(&lookup, &mut findings);
    findings.sort();
    findings.dedup();
    findings
}
