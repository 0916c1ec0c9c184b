//! Writing the catalogue as a bundle that imports to the same catalogue.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use catalogue::{SheetSpec, bundle};
use exchange::SheetWriter;
use serde::{Deserialize, Serialize};
use store::{Export, StoreError};
use utoipa::ToSchema;

use crate::shop::Shop;

/// How many rows a file got.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ExportedSheet {
    /// The sheet.
    pub sheet: String,
    /// Its rows.
    pub rows: u64,
}

/// Why the catalogue was not written.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A file or folder cannot be written.
    #[error("{} cannot be written: {source}", path.display())]
    File {
        /// The file or folder.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The output does not take what is written.
    #[error("the output failed: {0}")]
    Output(#[from] io::Error),
}

/// Writes one file a sheet into a folder, which is made where it is absent, all as they are at one moment and in the
/// order of their keys. Files of the same names are replaced once all are written; others are left alone.
pub async fn export_catalogue(
    shop: &Shop,
    folder: &Path,
    mut progress: impl FnMut(&ExportedSheet),
) -> Result<Vec<ExportedSheet>, ExportError> {
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |source| ExportError::File { path, source }
    };
    fs::create_dir_all(folder).map_err(failed(folder))?;
    let export = shop.store().begin_export().await?;
    let mut written = Vec::new();
    let mut sheets = Vec::new();
    for spec in bundle::SHEETS {
        let path = folder.join(format!("{}.csv", spec.name));
        let draft = folder.join(format!("{}.csv.new", spec.name));
        let file = File::create(&draft).map_err(failed(&draft))?;
        let (rows, file) =
            write_rows(&export, spec, BufWriter::new(file)).await.map_err(|error| match error {
                ExportError::Output(source) => ExportError::File { path: draft.clone(), source },
                error @ (ExportError::Store(_) | ExportError::File { .. }) => error,
            })?;
        file.into_inner().map_err(|error| failed(&draft)(error.into_error()))?;
        written.push((draft, path));
        let sheet = ExportedSheet { sheet: spec.name.to_owned(), rows };
        progress(&sheet);
        sheets.push(sheet);
    }
    for (draft, path) in written {
        fs::rename(&draft, &path).map_err(failed(&path))?;
    }
    Ok(sheets)
}

/// Writes one sheet as CSV; gives the number of its rows and the output back.
pub async fn export_sheet<W: Write + Send>(
    shop: &Shop,
    spec: &'static SheetSpec,
    output: W,
) -> Result<(u64, W), ExportError> {
    write_rows(&shop.store().begin_export().await?, spec, output).await
}

async fn write_rows<W: Write + Send>(
    export: &Export,
    spec: &'static SheetSpec,
    output: W,
) -> Result<(u64, W), ExportError> {
    let mut writer = SheetWriter::new(spec, output)?;
    let mut rows = 0;
    export
        .sheet::<ExportError>(spec, &mut |cells| {
            rows += 1;
            Ok(writer.write_row(&cells)?)
        })
        .await?;
    Ok((rows, writer.finish()?))
}
