//! Which paper a file is, before it is read as that.

use super::reader::RECORD_COLUMN;

/// What the column `record` says in the first row below the header that says something; empty where there is none.
pub fn record_of(text: &str) -> String {
    let mut csv = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut rows = csv.records().map_while(Result::ok);
    let header = rows.next().unwrap_or_default();
    let bare = |name: &str| name.trim_start_matches('\u{feff}').trim() == RECORD_COLUMN;
    let Some(column) = header.iter().position(bare) else { return String::new() };
    let mut said = rows.map(|row| row.get(column).unwrap_or("").trim().to_owned());
    said.find(|word| !word.is_empty()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::record_of;

    #[test]
    fn the_first_row_says_which_paper_it_is() {
        assert_eq!(record_of("number,record\r\n,\r\nOR-1,order_response\r\n"), "order_response");
        assert_eq!(record_of("\u{feff}record,number\norder,1\n"), "order");
        assert_eq!(record_of("number\n1\n"), "");
        assert_eq!(record_of(""), "");
    }
}
