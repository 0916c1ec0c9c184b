//! Reading the files on a thread of their own, so that the database does not wait for the text nor the text for it.

use catalogue::SheetSpec;
use exchange::{Batch, Fault, Faults, SheetReader};
use tokio::sync::mpsc::{Receiver, Sender, channel};

use super::bundle_source::BundleFile;
use super::outcome::ImportError;

/// Batches that wait to be staged, at most: memory does not grow with the files.
const BATCHES_WAITING: usize = 4;

/// A piece of a file.
#[derive(Debug)]
pub(super) struct Piece {
    pub(super) spec: &'static SheetSpec,
    /// The rows; the last piece of a file has none.
    pub(super) batch: Batch,
    /// Faults found in these rows, as far as they are kept.
    pub(super) faults: Vec<Fault>,
    /// Whether the file ends here.
    pub(super) is_last: bool,
    /// Rows and bytes of this file that were read before and with this piece.
    pub(super) rows: u64,
    pub(super) bytes: u64,
    /// Faults of all files so far, kept or not.
    pub(super) faults_total: u64,
}

/// Reads the files one after the other and gives them piece by piece.
pub(super) fn stream_files(files: Vec<BundleFile>, faults: Faults) -> Receiver<Result<Piece, ImportError>> {
    let (sender, receiver) = channel(BATCHES_WAITING);
    let span = tracing::Span::current();
    tokio::task::spawn_blocking(move || {
        let _inside = span.enter();
        if let Err(error) = read_files(files, faults, &sender) {
            // Nobody waits for the error where the import was given up.
            let _ = sender.blocking_send(Err(error));
        }
    });
    receiver
}

fn read_files(
    files: Vec<BundleFile>,
    mut faults: Faults,
    sender: &Sender<Result<Piece, ImportError>>,
) -> Result<(), ImportError> {
    let mut sent = faults.kept().len();
    for file in files {
        let spec = file.spec;
        let mut reader = SheetReader::open(spec, file.open()?, &mut faults).map_err(reading(spec))?;
        let mut is_last = false;
        while !is_last {
            let next = match &mut reader {
                Some(reader) => reader.next_batch(&mut faults).map_err(reading(spec))?,
                None => None,
            };
            is_last = next.is_none();
            let summary = reader.as_ref().map(SheetReader::summary).unwrap_or_default();
            let piece = Piece {
                spec,
                // The last piece has no rows: it says that the file is there even where it had none.
                batch: next.unwrap_or_default(),
                faults: faults.kept()[sent..].to_vec(),
                is_last,
                rows: summary.rows,
                bytes: summary.bytes,
                faults_total: faults.total(),
            };
            sent = faults.kept().len();
            if sender.blocking_send(Ok(piece)).is_err() {
                return Ok(());
            }
        }
    }
    Ok(())
}

fn reading(spec: &'static SheetSpec) -> impl Fn(std::io::Error) -> ImportError {
    move |source| ImportError::File { path: format!("{}.csv", spec.name).into(), source }
}
