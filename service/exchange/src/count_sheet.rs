//! The count of a box as CSV: a row for each number that was counted.

use catalogue::Quantity;

/// Columns of a count; a count sheet has more, which are not read.
const COLUMNS: [&str; 3] = ["part", "quantity", "damaged"];
/// Columns that a printed count sheet has beside them.
const BESIDE: [&str; 3] = ["expected", "name", "bin"];
/// Most rows of a count.
const ROWS_MAX: usize = 2_000;

/// A number that was counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountRow {
    /// The row as a spreadsheet counts it: the header is row 1.
    pub row: u64,
    /// The number as it was scanned or written.
    pub part: String,
    /// How many, damaged ones among them.
    pub quantity: Quantity,
    /// How many of them are damaged.
    pub damaged: Quantity,
}

/// One place of a count that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountFault {
    /// The row as a spreadsheet counts it.
    pub row: u64,
    /// The column; empty: the whole row.
    pub column: String,
    /// What is wrong, and what would be right.
    pub detail: String,
}

/// A line of a count sheet that is to be printed and filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountSheetRow {
    /// The number to count under.
    pub part: String,
    /// How many should be there.
    pub expected: Quantity,
    /// What it is called.
    pub name: String,
    /// The bin into which it goes.
    pub bin: String,
}

/// Reads a count with the columns `part`, `quantity` and `damaged` in any order; `damaged` may be left out, and a row
/// whose quantity is empty was not counted.
///
/// # Errors
/// Every fault with its place.
pub fn read_count(text: &str) -> Result<Vec<CountRow>, Vec<CountFault>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let mut faults = Vec::new();
    let mut places: Option<[Option<usize>; 3]> = None;
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    let mut row = 0;
    loop {
        row += 1;
        match reader.read_record(&mut record) {
            Ok(false) => break,
            Ok(true) => {}
            Err(error) => {
                faults.push(fault(row, "", format!("the row cannot be read: {error}")));
                break;
            }
        }
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
        faults.push(fault(
            1,
            "",
            format!("there is no header; write {} in the first row", COLUMNS.join(",")),
        ));
    }
    if faults.is_empty() { Ok(rows) } else { Err(faults) }
}

fn fault(row: u64, column: &str, detail: impl Into<String>) -> CountFault {
    CountFault { row, column: column.to_owned(), detail: detail.into() }
}

fn header(record: &csv::StringRecord, faults: &mut Vec<CountFault>) -> [Option<usize>; 3] {
    let mut places = [None; 3];
    for (at, name) in record.iter().enumerate() {
        match COLUMNS.iter().position(|known| known.eq_ignore_ascii_case(name)) {
            Some(column) if places[column].is_some() => {
                faults.push(fault(1, name, format!("the column `{name}` is there twice")));
            }
            Some(column) => places[column] = Some(at),
            None if BESIDE.iter().any(|known| known.eq_ignore_ascii_case(name)) => {}
            None => faults.push(fault(
                1,
                name,
                format!("there is no column `{name}`; a count has {}", COLUMNS.join(", ")),
            )),
        }
    }
    for (column, name) in COLUMNS.iter().enumerate().take(2) {
        if places[column].is_none() {
            faults.push(fault(1, name, format!("the column `{name}` lacks")));
        }
    }
    places
}

fn counted(
    row: u64,
    record: &csv::StringRecord,
    places: &[Option<usize>; 3],
    faults: &mut Vec<CountFault>,
) -> Option<CountRow> {
    let cell = |column: usize| places[column].and_then(|at| record.get(at)).unwrap_or("");
    let (part, quantity, damaged) = (cell(0), cell(1), cell(2));
    if quantity.is_empty() && damaged.is_empty() {
        return None;
    }
    if part.is_empty() {
        faults.push(fault(row, COLUMNS[0], "the number lacks"));
        return None;
    }
    let mut read = |column: usize, text: &str| {
        let read = Quantity::parse(text).filter(|quantity| *quantity >= Quantity::ZERO);
        if read.is_none() {
            let detail = format!("`{text}` is no quantity; write a decimal such as 2, not below 0");
            faults.push(fault(row, COLUMNS[column], detail));
        }
        read
    };
    let quantity = read(1, quantity)?;
    let damaged = if damaged.is_empty() { Quantity::ZERO } else { read(2, damaged)? };
    Some(CountRow { row, part: part.to_owned(), quantity, damaged })
}

/// Writes a count sheet: what should be there, with empty columns for what is.
pub fn write_count_sheet(rows: &[CountSheetRow]) -> std::io::Result<String> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(COLUMNS.iter().chain(&BESIDE))?;
    for row in rows {
        let expected = row.expected.to_string();
        writer.write_record([&row.part, "", "", &expected, &row.name, &row.bin])?;
    }
    let bytes = writer.into_inner().map_err(|error| std::io::Error::other(error.to_string()))?;
    String::from_utf8(bytes).map_err(std::io::Error::other)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_that_was_filled_in_is_read_again() {
        let sheet = CountSheetRow {
            part: "VESSICK/S1".to_owned(),
            expected: Quantity::whole(2),
            name: "Seal, \"long\"".to_owned(),
            bin: "A-1".to_owned(),
        };
        let text =
            write_count_sheet(&[sheet.clone(), CountSheetRow { part: "VESSICK/B1".to_owned(), ..sheet }])
                .unwrap();
        assert_eq!(read_count(&text), Ok(vec![]), "nothing is counted yet");
        let filled = text.replace("VESSICK/S1,,", "VESSICK/S1,2,1");
        let row = CountRow {
            row: 2,
            part: "VESSICK/S1".into(),
            quantity: Quantity::whole(2),
            damaged: Quantity::ONE,
        };
        assert_eq!(read_count(&filled), Ok(vec![row]));
    }

    #[test]
    fn every_fault_is_told_with_its_place() {
        let told = |text: &str| -> Vec<(u64, String)> {
            let faults = read_count(text).unwrap_err();
            faults.into_iter().map(|fault| (fault.row, fault.column)).collect()
        };
        assert_eq!(told(""), [(1, String::new())]);
        assert_eq!(told("part,colour\nA,1"), [(1, "colour".to_owned()), (1, "quantity".to_owned())]);
        let rows = "part,quantity,damaged\nA,two,\n,1,\nB,1,-1\nC,3,1\n";
        assert_eq!(
            told(rows),
            [(2, "quantity".to_owned()), (3, "part".to_owned()), (4, "damaged".to_owned())]
        );
        assert_eq!(
            read_count("\u{feff}QUANTITY,Part\r\n1.5,A\r\n").unwrap()[0].quantity,
            Quantity::parse("1.5").unwrap()
        );
    }
}
