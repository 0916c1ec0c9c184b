//! Handing the pieces of the files to the store.

use exchange::{Batch, Fault, Faults, Row};
use store::{Import, ImportFault, StagedRow};

use super::bundle_source::BundleFile;
use super::fault_translation::for_store;
use super::file_stream::{Piece, stream_files};
use super::outcome::ImportError;
use super::run_import::ImportProgress;
use crate::check_catalogue::RowsBySheet;

/// An import whose files are being read.
pub(super) struct Staging {
    pub(super) import: Import,
    /// Faults of the files, as far as they are kept.
    pub(super) faults: Vec<Fault>,
    /// The same as the store noted them.
    pub(super) told: Vec<ImportFault>,
    /// Faults of the files, kept or not.
    pub(super) total: u64,
    /// The rows read, where they are to be checked before they are stored.
    pub(super) kept: Option<RowsBySheet>,
}

impl Staging {
    /// Stages all files; `faults` are those found so far.
    pub(super) async fn take_files(
        &mut self,
        files: Vec<BundleFile>,
        faults: Faults,
        progress: &mut (dyn FnMut(ImportProgress) + Send),
    ) -> Result<(), ImportError> {
        let bytes_total = files.iter().map(|file| file.bytes).sum();
        let mut sheets_left = files.len();
        self.total = faults.total();
        self.tell(faults.kept());
        let (mut before, mut now) = (ImportProgress { bytes_total, ..ImportProgress::default() }, None);
        let mut pieces = stream_files(files, faults);
        while let Some(piece) = pieces.recv().await {
            let piece = piece?;
            if let Some((spec, at)) = now
                && spec != piece.spec.name
            {
                before = at;
            }
            let at = ImportProgress {
                rows: before.rows + piece.rows,
                bytes: before.bytes + piece.bytes,
                ..before
            };
            now = Some((piece.spec.name, at));
            sheets_left -= usize::from(piece.is_last);
            self.take(piece).await?;
            progress(at);
        }
        if sheets_left == 0 { Ok(()) } else { Err(ImportError::BrokenOff) }
    }

    async fn take(&mut self, piece: Piece) -> Result<(), ImportError> {
        self.total = piece.faults_total;
        self.tell(&piece.faults);
        let Batch { rows, faulty_rows } = piece.batch;
        if let Some(kept) = &mut self.kept {
            let sheet = kept.entry(piece.spec.name).or_default();
            sheet.extend(rows.iter().map(|row| row.cells.clone()));
        }
        let staged = rows.into_iter().chain(faulty_rows).map(|Row { row, cells }| StagedRow { row, cells });
        self.import.stage(piece.spec, staged.collect()).await?;
        Ok(())
    }

    /// Notes faults with the store before their rows are staged.
    fn tell(&mut self, faults: &[Fault]) {
        for fault in faults {
            let noted = for_store(fault);
            self.import.reject(noted.clone());
            self.told.push(noted);
            self.faults.push(fault.clone());
        }
    }
}
