//! The count sheet of the shelf as CSV: a row for each lot, with an empty column for what is counted.

use catalogue::Quantity;

use crate::count_sheet::CountFault;

/// Columns that are read back.
const COLUMNS: [&str; 4] = ["bin", "part", "mark", "counted"];
/// Columns that a printed sheet has beside them.
const BESIDE: [&str; 3] = ["booked", "measure", "name"];
/// Most rows of a count of the shelf.
const ROWS_MAX: usize = 100_000;

/// A lot on a printed sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfSheetRow {
    /// The bin.
    pub bin: String,
    /// The part.
    pub part: String,
    /// The mark etched on a matched set; empty: none.
    pub mark: String,
    /// How many should lie there.
    pub booked: Quantity,
    /// Unit of the quantity.
    pub measure: String,
    /// What it is called.
    pub name: String,
}

/// A lot that was counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfCountRow {
    /// The row as a spreadsheet counts it: the header is row 1.
    pub row: u64,
    /// The bin.
    pub bin: String,
    /// The part.
    pub part: String,
    /// The mark; empty: none.
    pub mark: String,
    /// How many lie there.
    pub counted: Quantity,
}

/// Writes a sheet to be printed and filled in.
pub fn write_shelf_sheet(rows: &[ShelfSheetRow]) -> std::io::Result<String> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(COLUMNS.iter().chain(&BESIDE))?;
    for row in rows {
        let booked = row.booked.to_string();
        writer.write_record([&row.bin, &row.part, &row.mark, "", &booked, &row.measure, &row.name])?;
    }
    let bytes = writer.into_inner().map_err(|error| std::io::Error::other(error.to_string()))?;
    String::from_utf8(bytes).map_err(std::io::Error::other)
}

/// Reads a sheet that was filled in: columns in any order, `mark` may be left out, and a row whose `counted` is empty was
/// not counted.
///
/// # Errors
/// Every fault with its place.
pub fn read_shelf_count(text: &str) -> Result<Vec<ShelfCountRow>, Vec<CountFault>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let (mut faults, mut rows, mut places) = (Vec::new(), Vec::new(), None);
    for (row, record) in (1..).zip(reader.records()) {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                faults.push(fault(row, "", format!("the row cannot be read: {error}")));
                break;
            }
        };
        match &places {
            None => places = Some(header(&record, &mut faults)),
            Some(places) => rows.extend(counted(row, &record, places, &mut faults)),
        }
        if rows.len() > ROWS_MAX {
            faults.push(fault(row, "", format!("a count has at most {ROWS_MAX} rows")));
            break;
        }
    }
    if places.is_none() {
        let detail = format!("there is no header; write {} in the first row", COLUMNS.join(","));
        faults.push(fault(1, "", detail));
    }
    if faults.is_empty() { Ok(rows) } else { Err(faults) }
}

fn fault(row: u64, column: &str, detail: impl Into<String>) -> CountFault {
    CountFault { row, column: column.to_owned(), detail: detail.into() }
}

fn header(record: &csv::StringRecord, faults: &mut Vec<CountFault>) -> [Option<usize>; 4] {
    let mut places = [None; 4];
    for (at, name) in record.iter().enumerate() {
        match COLUMNS.iter().position(|known| known.eq_ignore_ascii_case(name)) {
            Some(column) if places[column].is_some() => {
                faults.push(fault(1, name, format!("the column `{name}` is there twice")));
            }
            Some(column) => places[column] = Some(at),
            None if BESIDE.iter().any(|known| known.eq_ignore_ascii_case(name)) => {}
            None => {
                let detail = format!("there is no column `{name}`; a count has {}", COLUMNS.join(", "));
                faults.push(fault(1, name, detail));
            }
        }
    }
    for (place, name) in places.iter().zip(COLUMNS) {
        if place.is_none() && name != "mark" {
            faults.push(fault(1, name, format!("the column `{name}` lacks")));
        }
    }
    places
}

fn counted(
    row: u64,
    record: &csv::StringRecord,
    places: &[Option<usize>; 4],
    faults: &mut Vec<CountFault>,
) -> Option<ShelfCountRow> {
    let cell = |column: usize| places[column].and_then(|at| record.get(at)).unwrap_or("").to_owned();
    let (bin, part, mark, written) = (cell(0), cell(1), cell(2), cell(3));
    if written.is_empty() {
        return None;
    }
    for (column, text) in [("bin", &bin), ("part", &part)] {
        if text.is_empty() {
            faults.push(fault(row, column, format!("the {column} lacks")));
            return None;
        }
    }
    let Some(counted) = Quantity::parse(&written).filter(|quantity| *quantity >= Quantity::ZERO) else {
        let detail = format!("`{written}` is no quantity; write a decimal such as 2, not below 0");
        faults.push(fault(row, "counted", detail));
        return None;
    };
    Some(ShelfCountRow { row, bin, part, mark, counted })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_that_was_filled_in_is_read_again() {
        let row = |part: &str| ShelfSheetRow {
            bin: "A-1".to_owned(),
            part: part.to_owned(),
            mark: "7-114".to_owned(),
            booked: Quantity::whole(3),
            measure: "H87".to_owned(),
            name: "Seal, \"long\"".to_owned(),
        };
        let text = write_shelf_sheet(&[row("VESSICK/S1"), row("VESSICK/S2")]).unwrap();
        assert_eq!(read_shelf_count(&text), Ok(vec![]), "nothing is counted yet");
        let filled = text.replace("VESSICK/S2,7-114,,", "VESSICK/S2,7-114,2.5,");
        let counted = ShelfCountRow {
            row: 3,
            bin: "A-1".to_owned(),
            part: "VESSICK/S2".to_owned(),
            mark: "7-114".to_owned(),
            counted: Quantity::parse("2.5").unwrap(),
        };
        assert_eq!(read_shelf_count(&filled), Ok(vec![counted]));
    }

    #[test]
    fn every_fault_is_told_with_its_place() {
        let told = |text: &str| -> Vec<(u64, String)> {
            let faults = read_shelf_count(text).unwrap_err();
            faults.into_iter().map(|fault| (fault.row, fault.column)).collect()
        };
        assert_eq!(told(""), [(1, String::new())]);
        let header = [(1, "colour"), (1, "bin"), (1, "counted")].map(|(row, name)| (row, name.to_owned()));
        assert_eq!(told("part,colour\nA,1"), header);
        let rows = "bin,part,counted\nA,B,two\n,B,1\nA,,1\nA,B,-1\nA,B,\n";
        assert_eq!(
            told(rows),
            [(2, "counted"), (3, "bin"), (4, "part"), (5, "counted")]
                .map(|(row, name)| (row, name.to_owned()))
        );
        assert_eq!(read_shelf_count("\u{feff}COUNTED,Part,bin\r\n0,P,A\r\n").unwrap()[0].mark, "");
    }
}
