//! The header of a file: which cell of a row is which column.

use std::collections::BTreeSet;

use catalogue::SheetSpec;

use crate::did_you_mean::closest;
use crate::fault::{Fault, FaultCode, Faults};

/// Where the columns of a sheet stand in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Header {
    /// For each column of the sheet its place in the file; `None` where it is absent or derived.
    pub(crate) places: Vec<Option<usize>>,
    /// How many cells a row has.
    pub(crate) width: usize,
}

/// The name of a sheet's file.
pub(crate) fn file_name(spec: &SheetSpec) -> String {
    format!("{}.csv", spec.name)
}

fn spoken(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '-'], "_")
}

/// Reads the names of a header; `None` where rows cannot be read under it.
pub(crate) fn read_header(
    spec: &SheetSpec,
    row: u64,
    names: &[String],
    faults: &mut Faults,
) -> Option<Header> {
    let fault =
        |code, wrong: String, right: String| Fault::new(code, file_name(spec), wrong, right).in_row(row);
    if let Some(separator) = other_separator(spec, names) {
        faults.add(|| {
            let name = if separator == '\t' { "tabs".to_owned() } else { format!("`{separator}`") };
            fault(
                FaultCode::MissingColumn,
                format!("has its cells separated by {name}"),
                "separate them by commas (RFC 4180)".into(),
            )
        });
        return None;
    }
    let mut places: Vec<Option<usize>> = vec![None; spec.columns.len()];
    let mut readable = true;
    let mut unknown: Vec<(usize, &str)> = Vec::new();
    for (place, name) in names.iter().enumerate() {
        let name = name.trim();
        match spec.column_index(name).filter(|index| spec.columns[*index].derived.is_none()) {
            Some(index) if places[index].is_some() => {
                readable = false;
                faults.add(|| {
                    fault(
                        FaultCode::DuplicateColumn,
                        "is named twice in the header".into(),
                        "keep one of the two".into(),
                    )
                    .in_column(name)
                });
            }
            Some(index) => places[index] = Some(place),
            None => unknown.push((place, name)),
        }
    }
    let absent: Vec<&str> = spec
        .file_columns()
        .filter(|column| spec.column_index(column.name).is_some_and(|index| places[index].is_none()))
        .map(|column| column.name)
        .collect();
    let mut mistyped = BTreeSet::new();
    for (place, name) in unknown {
        let meant = closest(&spoken(name), absent.iter().copied());
        mistyped.extend(meant);
        faults.add(|| unknown_column(spec, row, place, name, meant));
    }
    for column in spec.file_columns().filter(|column| column.required && absent.contains(&column.name)) {
        readable = false;
        if !mistyped.contains(column.name) {
            faults.add(|| {
                fault(
                    FaultCode::MissingColumn,
                    "is missing from the header".into(),
                    format!("add the column, it holds {}", column.kind.wanted()),
                )
                .in_column(column.name)
            });
        }
    }
    readable.then_some(Header { places, width: names.len() })
}

fn unknown_column(spec: &SheetSpec, row: u64, place: usize, name: &str, meant: Option<&str>) -> Fault {
    let names: Vec<&str> = spec.file_columns().map(|column| column.name).collect();
    let right = format!("the columns are {}", names.join(", "));
    let (wrong, name) = if name.is_empty() {
        ("has no name".to_owned(), format!("{}", place + 1))
    } else {
        ("is no column of this sheet".to_owned(), name.to_owned())
    };
    Fault::new(FaultCode::UnknownColumn, file_name(spec), wrong, right)
        .in_row(row)
        .in_column(&name)
        .suggesting(meant.map(str::to_owned))
}

/// The separator of a header that a spreadsheet wrote with another one than the comma.
fn other_separator(spec: &SheetSpec, names: &[String]) -> Option<char> {
    let [only] = names else { return None };
    [';', '\t', '|'].into_iter().find(|separator| {
        only.split(*separator).filter(|name| spec.column_index(name.trim()).is_some()).count() > 1
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Part, Sheet};

    fn read(names: &[&str]) -> (Option<Header>, Vec<String>) {
        let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        let mut faults = Faults::with_limit(10);
        let header = read_header(&Part::SPEC, 1, &names, &mut faults);
        (header, faults.kept().iter().map(ToString::to_string).collect())
    }

    const REQUIRED: [&str; 8] =
        ["retired", "measure", "price_group", "class", "kind", "name", "number", "maker"];

    #[test]
    fn columns_stand_in_any_order_and_optional_ones_may_be_absent() {
        let (header, faults) = read(&REQUIRED);
        assert!(faults.is_empty(), "{faults:?}");
        let places = header.unwrap().places;
        assert_eq!(places[Part::SPEC.column_index("maker").unwrap()], Some(7));
        assert_eq!(places[Part::SPEC.column_index("gtin").unwrap()], None);
    }

    #[test]
    fn a_mistyped_required_column_is_one_fault() {
        let mut names = REQUIRED;
        names[1] = "Mesure";
        let (header, faults) = read(&names);
        assert_eq!((header, faults.len()), (None, 1));
        assert!(faults[0].ends_with("; did you mean `measure`?"), "{faults:?}");
    }

    #[test]
    fn a_derived_column_is_not_written_by_hand() {
        let mut names = REQUIRED.to_vec();
        names.push("part");
        let (header, faults) = read(&names);
        assert!(header.is_some());
        assert!(
            faults[0].starts_with("parts.csv row 1, column part: is no column of this sheet"),
            "{faults:?}"
        );
    }
}
