//! The documentation of the bundle, made from the sheets themselves.

use std::fmt::Write;

use catalogue::bundle::SHEETS;
use catalogue::{Bound, Column, ColumnKind, SheetSpec};

use crate::examples::example;
use crate::setting_rules::SETTINGS;

const OPENING: &str = "\
# The catalogue as CSV files

The catalogue of the shop is a folder of CSV files (RFC 4180: commas, cells with commas, quotes or line breaks in quotes,
quotes inside doubled), in UTF-8. The first row names the columns, in any order. This page is made from the code that
reads the files; `crownwheel import DIR` takes a folder in, `crownwheel export DIR` writes one, `crownwheel check` looks
for faults of meaning.

- **All or nothing.** Either the whole bundle is stored or nothing is. Every fault is told with its file, row, column,
  what is wrong and what would be right. `--dry-run` says what would change.
- **A file that is absent leaves its table alone.** One that is present adds the rows that are new and changes those whose
  key is there already. Rows are removed only under `--replace FILE`; a part that papers still use is then marked as
  retired instead.
- **A column that is absent is empty**, for every row of the file. Columns marked `yes` under *must* have to be there and
  to be filled.
- **Parts** are written as `MAKER/NUMBER`, **units** by the code on the plate. Both are matched without spaces, dashes,
  dots and case.
- **Numbers** have a decimal point and no thousands separator; days are `YYYY-MM-DD`; flags are `yes` or `no`; lengths are
  millimetres and angles degrees.
- **Ranges** include both ends; an empty end is open.
- Files in other folders below are not read.

A file refers only to files named before it, or to itself. **Key** columns together name a row: a second row with the
same key is a fault.
";

/// The whole page.
pub fn bundle_readme() -> String {
    let mut page = OPENING.to_owned();
    page.push_str("\n## The files\n\n| file | one row is | key |\n|---|---|---|\n");
    for spec in SHEETS {
        let key: Vec<&str> = spec.key.iter().flat_map(|name| written_key(spec, name)).copied().collect();
        // A String takes all that is written to it.
        let _ = writeln!(
            page,
            "| [{name}.csv](#{name}csv) | {} | {} |",
            one_line(spec.doc),
            key.join(", "),
            name = spec.name
        );
    }
    for spec in SHEETS {
        page.push('\n');
        page.push_str(&column_table(spec));
    }
    page
}

/// The section of one sheet: what a row is, and its columns with an example of each.
pub fn column_table(spec: &SheetSpec) -> String {
    let mut section = format!("## {}.csv\n\n{}\n\n", spec.name, one_line(spec.doc));
    section.push_str("| column | must | holds | meaning | example |\n|---|---|---|---|---|\n");
    for column in spec.file_columns() {
        // A String takes all that is written to it.
        let _ = writeln!(
            section,
            "| `{}` | {} | {} | {} | `{}` |",
            column.name,
            if column.required { "yes" } else { "" },
            holds(spec, column),
            one_line(column.doc),
            example(column)
        );
    }
    if spec.name == "settings" {
        section.push_str("\n| setting | holds |\n|---|---|\n");
        for rule in SETTINGS {
            let _ = writeln!(section, "| `{}` | {} |", rule.name, rule.kind.wanted());
        }
    }
    section
}

/// The columns of the file that make a column of the key.
fn written_key<'a>(spec: &SheetSpec, name: &'a &'static str) -> &'a [&'static str] {
    match spec.column_index(name).and_then(|at| spec.columns[at].derived) {
        Some(catalogue::Derivation::PartOfNumber) => &["maker", "number"],
        Some(catalogue::Derivation::UnitOfCode) => &["code"],
        None => std::slice::from_ref(name),
    }
}

fn holds(spec: &SheetSpec, column: &Column) -> String {
    let kind = match column.kind {
        ColumnKind::Text | ColumnKind::Mark => "text".to_owned(),
        ColumnKind::Choice(words) => {
            words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
        }
        kind => kind.wanted(),
    };
    let bound = match column.bound {
        Bound::Any => "",
        Bound::NotNegative => ", zero or more",
        Bound::Positive => ", above zero",
        Bound::Share => ", from 0 to 1",
    };
    let target = spec.references.iter().find(|reference| {
        // Of a reference by several columns the last one names the row, the others only where it stands.
        reference.columns.last() == Some(&column.name)
    });
    let target = target.map_or(String::new(), |reference| format!(", in {}.csv", reference.sheet));
    format!("{kind}{bound}{target}").replace('|', "\\|")
}

fn one_line(doc: &str) -> String {
    doc.split_whitespace().collect::<Vec<_>>().join(" ").replace('|', "\\|")
}
