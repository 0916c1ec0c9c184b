//! Random catalogues in which every reference holds.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Bound, Cell, Column, ColumnKind, Derivation, Gtin, Reference, SheetSpec, bundle};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

/// Rows of a sheet at most.
const ROWS_MAX: usize = 7;

type Rows = BTreeMap<&'static str, Vec<Vec<Cell>>>;

/// A catalogue with some rows in most sheets.
pub(crate) fn any_catalogue(runner: &mut TestRunner) -> Vec<(&'static str, Vec<Vec<Cell>>)> {
    let mut made = Rows::new();
    for spec in bundle::SHEETS {
        made.insert(spec.name, Vec::new());
        let mut taken = BTreeSet::new();
        for _ in 0..draw(runner, 2..=ROWS_MAX) {
            let Some(row) = any_row(runner, spec, &made) else { continue };
            let key: Vec<&Cell> =
                spec.key.iter().map(|name| &row[spec.column_index(name).unwrap()]).collect();
            let gtin =
                spec.columns.iter().position(|column| column.kind == ColumnKind::Gtin).map(|at| &row[at]);
            let free = gtin.is_none_or(|gtin| *gtin == Cell::Null || taken.insert(format!("gtin {gtin:?}")));
            if free && taken.insert(format!("{key:?}")) {
                made.get_mut(spec.name).unwrap().push(row);
            }
        }
    }
    bundle::SHEETS.iter().map(|spec| (spec.name, made.remove(spec.name).unwrap())).collect()
}

fn draw<S: Strategy>(runner: &mut TestRunner, strategy: S) -> S::Value {
    strategy.new_tree(runner).unwrap().current()
}

/// A row whose references point at rows made before; `None` where one that is needed finds nothing.
fn any_row(runner: &mut TestRunner, spec: &'static SheetSpec, made: &Rows) -> Option<Vec<Cell>> {
    let mut set: BTreeMap<&str, Cell> = BTreeMap::new();
    let mut references: Vec<&Reference> = spec.references.iter().collect();
    references.sort_by_key(|reference| std::cmp::Reverse(reference.columns.len()));
    // What must be there is settled first, so that what may be there follows it.
    references.sort_by_key(|reference| reference.columns.iter().any(|name| !column(spec, name).required));
    for reference in references {
        point_at_something(runner, spec, reference, made, &mut set)?;
    }
    let cells = spec.columns.iter().map(|column| match set.get(column.name) {
        Some(cell) => cell.clone(),
        None if column.derived.is_some() => Cell::Null,
        None => any_cell(runner, column),
    });
    let mut cells: Vec<Cell> = cells.collect();
    for (at, column) in spec.columns.iter().enumerate() {
        if let Some(derivation) = column.derived {
            cells[at] = derived(spec, derivation, &cells)?;
        }
    }
    Some(cells)
}

fn column(spec: &'static SheetSpec, name: &str) -> &'static Column {
    &spec.columns[spec.column_index(name).unwrap()]
}

fn point_at_something(
    runner: &mut TestRunner,
    spec: &'static SheetSpec,
    reference: &Reference,
    made: &Rows,
    set: &mut BTreeMap<&'static str, Cell>,
) -> Option<()> {
    let target = bundle::SHEETS.iter().find(|other| other.name == reference.sheet).unwrap();
    let value = |row: &[Cell], name: &str| row[target.column_index(name).unwrap()].clone();
    let agreeing: Vec<&Vec<Cell>> = made[target.name]
        .iter()
        .filter(|row| {
            let mut pairs = reference.columns.iter().zip(reference.target);
            pairs.all(|(from, to)| set.get(*from).is_none_or(|cell| *cell == value(row, to)))
        })
        .collect();
    let optional =
        reference.columns.iter().find(|name| !column(spec, name).required && !set.contains_key(*name));
    if let Some(optional) = optional
        && (agreeing.is_empty() || draw(runner, 0..3) == 0)
    {
        set.insert(optional, Cell::Null);
        return Some(());
    }
    if reference.columns.iter().any(|name| set.get(name) == Some(&Cell::Null)) {
        return Some(());
    }
    if agreeing.is_empty() {
        return None;
    }
    let row = agreeing[draw(runner, 0..agreeing.len())];
    for (from, to) in reference.columns.iter().zip(reference.target) {
        set.insert(from, value(row, to));
    }
    Some(())
}

fn derived(spec: &SheetSpec, derivation: Derivation, cells: &[Cell]) -> Option<Cell> {
    let text = |name: &str| match &cells[spec.column_index(name)?] {
        Cell::Text(text) => Some(text.clone()),
        _ => None,
    };
    let key = match derivation {
        Derivation::PartOfNumber => {
            let maker = catalogue::Code::from_stored(text("maker")?);
            catalogue::PartKey::new(&maker, &text("number")?).ok()?.as_str().to_owned()
        }
        Derivation::UnitOfCode => catalogue::UnitKey::parse(&text("code")?).ok()?.as_str().to_owned(),
    };
    Some(Cell::Text(key))
}

fn any_cell(runner: &mut TestRunner, column: &Column) -> Cell {
    if !column.required && column.kind != ColumnKind::Mark && draw(runner, 0..3) == 0 {
        return Cell::Null;
    }
    let text = |runner: &mut TestRunner, pattern: &str| {
        Cell::Text(draw(runner, proptest::string::string_regex(pattern).unwrap()))
    };
    match column.kind {
        // Whatever a format may stumble over: tabs, quotes, backslashes, what looks like nothing, letters of two bytes
        // and of four.
        ColumnKind::Text if column.name == "number" || column.name == "code" => {
            text(runner, "[A-Za-z0-9 .]{1,6}[A-Z0-9]")
        }
        ColumnKind::Text => text(runner, r#"([a-zA-Z,;'"|\\$%{}\t\nßÅ⚙🔧]|\\N|NULL){1,12}"#),
        ColumnKind::Mark => text(runner, r"(|[A-Z0-9\\]{1,4})"),
        ColumnKind::Code | ColumnKind::Unit | ColumnKind::Part => text(runner, "[A-Z_][A-Z0-9_.-]{0,3}"),
        ColumnKind::Integer
        | ColumnKind::Money
        | ColumnKind::Quantity
        | ColumnKind::Percent
        | ColumnKind::Rate => Cell::Integer(match column.bound {
            Bound::Any => draw(runner, -1_000_000_000_000_000_i64..1_000_000_000_000_000),
            Bound::NotNegative => draw(runner, 0_i64..1_000_000_000_000_000),
            Bound::Positive => draw(runner, 1_i64..1_000_000_000_000_000),
            Bound::Share => draw(runner, 0_i64..=1),
        }),
        ColumnKind::Real => Cell::Real(match column.bound {
            Bound::Any => draw(runner, -1e9..1e9),
            Bound::NotNegative => draw(runner, 0.0..1e9),
            Bound::Positive => draw(runner, 1e-9..1e9),
            Bound::Share => draw(runner, 0.0..=1.0),
        }),
        ColumnKind::Flag => Cell::Flag(draw(runner, any::<bool>())),
        ColumnKind::Date => {
            let (first, last) = (catalogue_day(1, 1, 1), catalogue_day(9999, 12, 31));
            let days = draw(runner, 0..=(last - first).num_days());
            Cell::Date(first + chrono::TimeDelta::days(days))
        }
        ColumnKind::Currency => text(runner, "[A-Z]{3}"),
        ColumnKind::Gtin => any_gtin(runner),
        ColumnKind::Choice(words) => Cell::Text(words[draw(runner, 0..words.len())].to_owned()),
    }
}

fn catalogue_day(year: i32, month: u32, day: u32) -> chrono::NaiveDate {
    chrono::NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

fn any_gtin(runner: &mut TestRunner) -> Cell {
    let start = draw(runner, 1_000_000_u32..9_999_999);
    let gtin = (0..10).find_map(|check| Gtin::parse(&format!("{start}{check}")).ok()).unwrap();
    Cell::Text(gtin.as_str().to_owned())
}
