//! Writes one sheet as CSV.

use std::io::{self, Write};

use catalogue::{Cell, SheetSpec};

/// Writes the rows of a sheet under its header, with the line ends of RFC 4180.
pub struct SheetWriter<W: Write> {
    spec: &'static SheetSpec,
    csv: csv::Writer<W>,
}

impl<W: Write> SheetWriter<W> {
    /// Writes the header.
    ///
    /// # Errors
    ///
    /// The output cannot be written.
    pub fn new(spec: &'static SheetSpec, output: W) -> io::Result<Self> {
        let mut csv = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .has_headers(false)
            .from_writer(output);
        csv.write_record(spec.file_columns().map(|column| column.name))?;
        Ok(Self { spec, csv })
    }

    /// Writes a row given as cells in the order of the sheet's columns, derived ones among them.
    ///
    /// # Errors
    ///
    /// The output cannot be written.
    pub fn write_row(&mut self, cells: &[Cell]) -> io::Result<()> {
        for (column, cell) in self.spec.columns.iter().zip(cells) {
            if column.derived.is_none() {
                self.csv.write_field(column.kind.write(cell))?;
            }
        }
        self.csv.write_record(None::<&[u8]>)?;
        Ok(())
    }

    /// Flushes, and gives the output back.
    ///
    /// # Errors
    ///
    /// The output cannot be written.
    pub fn finish(self) -> io::Result<W> {
        self.csv.into_inner().map_err(|error| io::Error::new(error.error().kind(), error.to_string()))
    }
}

/// Writes a whole sheet.
///
/// # Errors
///
/// The output cannot be written.
pub fn write_sheet<'a, W: Write>(
    spec: &'static SheetSpec,
    output: W,
    rows: impl IntoIterator<Item = &'a [Cell]>,
) -> io::Result<W> {
    let mut writer = SheetWriter::new(spec, output)?;
    for row in rows {
        writer.write_row(row)?;
    }
    writer.finish()
}
