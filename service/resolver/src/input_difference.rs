//! What differs between the inputs of two answers.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Cell, Code, Money, PartKey, Price, Quantity, Sheet, StockView, Supersession, UnitKey};
use chrono::NaiveDate;

use crate::compare::Cause;
use crate::input::Input;

/// A difference with what it speaks of.
pub(crate) struct Difference {
    /// The difference.
    pub(crate) cause: Cause,
    parts: BTreeSet<PartKey>,
    place: Option<(UnitKey, Option<Code>)>,
}

impl Difference {
    /// Whether the difference speaks of any of the parts, or of the place.
    pub(crate) fn speaks_of(
        &self,
        parts: &BTreeSet<&PartKey>,
        unit: Option<&UnitKey>,
        position: Option<&Code>,
    ) -> bool {
        let at_place = self.place.as_ref().is_some_and(|(of, at)| {
            Some(of) == unit && (at.is_none() || at.as_ref() == position) && position.is_some()
        });
        at_place || self.parts.iter().any(|part| parts.contains(part))
    }

    /// Whether it is a rule, rate, tax or setting of the shop.
    pub(crate) fn is_rule(&self) -> bool {
        matches!(self.cause, Cause::Rule { .. })
    }
}

/// All differences between two inputs.
pub(crate) fn differences(then: &Input, now: &Input) -> Vec<Difference> {
    let mut found = Vec::new();
    notices(then, now, &mut found);
    prices(then, now, &mut found);
    movements(&then.stock, &now.stock, &mut found);
    catalogue_rows(then, now, &mut found);
    rules(then, now, &mut found);
    findings(then, now, &mut found);
    found
}

/// What the bench says of each position, in words that can be compared.
fn said(input: &Input) -> BTreeMap<(UnitKey, Code), Vec<String>> {
    let mut said: BTreeMap<(UnitKey, Code), Vec<String>> = BTreeMap::new();
    for unit in &input.request.units {
        let mut add = |position: &Code, words: String| {
            said.entry((unit.unit.clone(), position.clone())).or_default().push(words);
        };
        for finding in &unit.findings {
            match (&finding.grade, &finding.bench_value, finding.measured) {
                (Some(grade), _, _) => add(&finding.position, grade.to_string()),
                (None, Some(value), Some(measured)) => add(&finding.position, format!("{value} {measured}")),
                _ => {}
            }
        }
        for inside in &unit.inside {
            add(&inside.position, format!("{} is inside", inside.part));
        }
    }
    said
}

/// Findings that came or changed. A bench value speaks of the positions that it renews, too.
fn findings(then: &Input, now: &Input, found: &mut Vec<Difference>) {
    let (before, after) = (said(then), said(now));
    for place in before.keys().chain(after.keys()).collect::<BTreeSet<_>>() {
        let (was, is) = (before.get(place), after.get(place));
        if was == is {
            continue;
        }
        let (unit, position) = place;
        let words = |said: Option<&Vec<String>>| said.map_or(String::new(), |words| words.join("; "));
        let rows = now.snapshot.bench_renewals.iter();
        let renewed =
            rows.filter(|row| row.unit == *unit && row.position == *position).map(|row| &row.renews);
        for at in std::iter::once(position).chain(renewed).collect::<BTreeSet<_>>() {
            found.push(Difference {
                cause: Cause::Finding {
                    unit: unit.clone(),
                    position: position.clone(),
                    before: words(was),
                    after: words(is),
                },
                parts: BTreeSet::new(),
                place: Some((unit.clone(), Some(at.clone()))),
            });
        }
    }
}

/// Notices that hold in one of the inputs only, or differ.
fn notices(then: &Input, now: &Input, found: &mut Vec<Difference>) {
    let holding = |input: &Input| -> BTreeMap<(Code, PartKey, PartKey), Supersession> {
        input
            .snapshot
            .supersessions
            .iter()
            .filter(|row| row.effective_from <= input.request.as_of)
            .map(|row| ((row.notice.clone(), row.old.clone(), row.new.clone()), row.clone()))
            .collect()
    };
    let (before, after) = (holding(then), holding(now));
    for key in before.keys().chain(after.keys()).collect::<BTreeSet<_>>() {
        let (was, is) = (before.get(key), after.get(key));
        let Some(row) = is.or(was).filter(|_| was != is) else { continue };
        found.push(Difference {
            cause: Cause::Notice {
                notice: row.notice.clone(),
                old: row.old.clone(),
                new: row.new.clone(),
                effective_from: row.effective_from,
            },
            parts: BTreeSet::from([row.old.clone(), row.new.clone()]),
            place: None,
        });
    }
}

/// The price rows that hold on the input's day, by supplier and part.
fn holding_prices(input: &Input) -> BTreeMap<(Code, PartKey), Vec<Price>> {
    let day: NaiveDate = input.request.as_of;
    let mut prices: BTreeMap<(Code, PartKey), Vec<Price>> = BTreeMap::new();
    for row in &input.prices.prices {
        if row.valid_from <= day && row.valid_to.is_none_or(|to| day <= to) {
            prices.entry((row.supplier.clone(), row.part.clone())).or_default().push(row.clone());
        }
    }
    prices
}

fn prices(then: &Input, now: &Input, found: &mut Vec<Difference>) {
    let (before, after) = (holding_prices(then), holding_prices(now));
    for key in before.keys().chain(after.keys()).collect::<BTreeSet<_>>() {
        let (was, is) = (before.get(key), after.get(key));
        if was == is {
            continue;
        }
        let first =
            |rows: Option<&Vec<Price>>| -> Option<Money> { rows.and_then(|r| r.last()).map(|row| row.price) };
        found.push(Difference {
            cause: Cause::Price {
                supplier: key.0.clone(),
                part: key.1.clone(),
                before: first(was),
                after: first(is),
            },
            parts: BTreeSet::from([key.1.clone()]),
            place: None,
        });
    }
}

fn movements(then: &StockView, now: &StockView, found: &mut Vec<Difference>) {
    let free = |stock: &StockView| -> BTreeMap<PartKey, Quantity> {
        let mut free: BTreeMap<PartKey, Quantity> = BTreeMap::new();
        for lot in &stock.lots {
            *free.entry(lot.part.clone()).or_default() += lot.quantity - lot.reserved;
        }
        free
    };
    let (before, after) = (free(then), free(now));
    for part in before.keys().chain(after.keys()).collect::<BTreeSet<_>>() {
        let of = |free: &BTreeMap<PartKey, Quantity>| free.get(part).copied().unwrap_or_default();
        let (was, is) = (of(&before), of(&after));
        if was != is {
            found.push(Difference {
                cause: Cause::Movement {
                    part: part.clone(),
                    before: was.to_string(),
                    after: is.to_string(),
                    after_sequence: then.ledger_sequence,
                    to_sequence: now.ledger_sequence,
                },
                parts: BTreeSet::from([part.clone()]),
                place: None,
            });
        }
    }
}

/// Rows of a sheet that stand in one list only.
fn changed_rows<T: Sheet + PartialEq + Clone>(then: &[T], now: &[T]) -> Vec<T> {
    let gone = then.iter().filter(|row| !now.contains(row));
    let come = now.iter().filter(|row| !then.contains(row));
    gone.chain(come).cloned().collect()
}

/// A row as its sheet would write it.
fn written<T: Sheet>(row: &T) -> String {
    let cells = row.to_cells();
    let texts: Vec<String> = T::SPEC
        .columns
        .iter()
        .zip(&cells)
        .filter(|(_, cell)| **cell != Cell::Null)
        .map(|(column, cell)| format!("{} {}", column.name, column.kind.write(cell)))
        .collect();
    texts.join(", ")
}

/// The parts that a row names.
fn parts_of<T: Sheet>(row: &T) -> BTreeSet<PartKey> {
    let cells = row.to_cells();
    let named =
        T::SPEC.columns.iter().zip(&cells).filter(|(column, _)| column.kind == catalogue::ColumnKind::Part);
    named
        .filter_map(|(_, cell)| match cell {
            Cell::Text(key) => Some(PartKey::from_stored(key.as_str())),
            _ => None,
        })
        .collect()
}

/// The place that a row names: its unit and position, where it has them.
fn place_of<T: Sheet>(row: &T) -> Option<(UnitKey, Option<Code>)> {
    let cells = row.to_cells();
    let text = |names: &[&str]| {
        names.iter().find_map(|name| match T::SPEC.column_index(name).map(|at| &cells[at]) {
            Some(Cell::Text(text)) => Some(text.clone()),
            _ => None,
        })
    };
    let position = text(&["position", "position_a", "renews"]).map(Code::from_stored);
    text(&["unit", "unit_a"]).map(|unit| (UnitKey::from_stored(unit), position))
}

fn catalogue_rows(then: &Input, now: &Input, found: &mut Vec<Difference>) {
    macro_rules! sheets {
        ($($field:ident),+ $(,)?) => {
            $(for row in changed_rows(&then.snapshot.$field, &now.snapshot.$field) {
                found.push(Difference {
                    cause: Cause::Catalogue { sheet: stringify!($field).to_owned(), row: written(&row) },
                    parts: parts_of(&row),
                    place: place_of(&row),
                });
            })+
        };
    }
    sheets!(
        variants,
        positions,
        bench_values,
        bench_renewals,
        candidates,
        set_positions,
        joints,
        fit_statements,
        companions,
        kit_lines,
        supersession_needs,
        operations,
        operation_scope,
        fluids,
        outside_work,
        parts,
        features,
    );
}

fn rules(then: &Input, now: &Input, found: &mut Vec<Difference>) {
    macro_rules! sheets {
        ($($field:ident),+ $(,)?) => {
            $(for row in changed_rows(&then.prices.$field, &now.prices.$field) {
                found.push(Difference {
                    cause: Cause::Rule { sheet: stringify!($field).to_owned(), row: written(&row) },
                    parts: BTreeSet::new(),
                    place: None,
                });
            })+
        };
    }
    sheets!(suppliers, exchange_rates, tax_rates, customers, price_rules, settings);
}
