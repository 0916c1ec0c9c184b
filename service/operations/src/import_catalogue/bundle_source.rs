//! Where the files of a bundle come from.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{Cursor, Read};
use std::path::{Path, PathBuf};

use catalogue::{SheetSpec, bundle};
use exchange::{Fault, FaultCode, Faults, closest};

use super::outcome::ImportError;

/// A bundle: files named after their sheets, with `.csv` behind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BundleSource {
    /// The files of a folder; folders in it are not looked into.
    Folder(PathBuf),
    /// Texts by file name.
    Texts(BTreeMap<String, Vec<u8>>),
}

/// One file of a bundle that is a sheet.
#[derive(Debug)]
pub(super) struct BundleFile {
    pub(super) spec: &'static SheetSpec,
    pub(super) bytes: u64,
    place: Place,
}

#[derive(Debug)]
enum Place {
    Path(PathBuf),
    Text(Vec<u8>),
}

impl BundleFile {
    /// Opens the file.
    pub(super) fn open(self) -> Result<Box<dyn Read + Send>, ImportError> {
        match self.place {
            Place::Text(text) => Ok(Box::new(Cursor::new(text))),
            Place::Path(path) => match File::open(&path) {
                Ok(file) => Ok(Box::new(file)),
                Err(source) => Err(ImportError::File { path, source }),
            },
        }
    }
}

impl BundleSource {
    /// The files in the order in which they can be stored; a CSV file that is no sheet is a fault.
    pub(super) fn files(self, faults: &mut Faults) -> Result<Vec<BundleFile>, ImportError> {
        let named = match self {
            Self::Folder(folder) => files_of(&folder)?,
            Self::Texts(texts) => {
                texts.into_iter().map(|(name, text)| (name, text.len() as u64, Place::Text(text))).collect()
            }
        };
        let mut files = Vec::new();
        for (name, bytes, place) in named {
            match name.strip_suffix(".csv").and_then(bundle::sheet) {
                Some(spec) => files.push(BundleFile { spec, bytes, place }),
                None => faults.add(|| unknown_file(&name)),
            }
        }
        if files.is_empty() && faults.is_empty() {
            return Err(ImportError::NoFiles);
        }
        files.sort_by_key(|file| bundle::SHEETS.iter().position(|spec| spec.name == file.spec.name));
        Ok(files)
    }
}

fn files_of(folder: &Path) -> Result<Vec<(String, u64, Place)>, ImportError> {
    let failed = |source| ImportError::File { path: folder.to_owned(), source };
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let Some(name) = path.file_name().map(|name| name.to_string_lossy().into_owned()) else { continue };
        let is_csv = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
        let metadata =
            fs::metadata(&path).map_err(|source| ImportError::File { path: path.clone(), source })?;
        if is_csv && metadata.is_file() {
            files.push((name, metadata.len(), Place::Path(path)));
        }
    }
    files.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(files)
}

/// The fault of a name that is no file of the bundle.
pub(super) fn unknown_file(name: &str) -> Fault {
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_lowercase().replace([' ', '-'], "_");
    let meant = closest(&stem, bundle::SHEETS.iter().map(|spec| spec.name));
    let names: Vec<&str> = bundle::SHEETS.iter().map(|spec| spec.name).collect();
    Fault::new(
        FaultCode::UnknownFile,
        name,
        "is no file of the catalogue",
        format!("the files are {}, each with .csv behind", names.join(", ")),
    )
    .suggesting(meant.map(|name| format!("{name}.csv")))
}
