//! The referee: `xmllint` with the official schemas.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The folder with the official schemas.
pub(crate) fn schemas() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/ubl_schemas")
}

fn xmllint(arguments: &[&str], documents: &[PathBuf]) -> Result<(), String> {
    let output =
        Command::new("xmllint").args(["--nonet", "--noout"]).args(arguments).args(documents).output();
    let output = output.unwrap_or_else(|error| {
        panic!("xmllint cannot be run ({error}); install it, on Debian: apt-get install libxml2-utils")
    });
    if output.status.success() { Ok(()) } else { Err(String::from_utf8_lossy(&output.stderr).into_owned()) }
}

/// Writes documents to files of a folder.
fn files(folder: &Path, documents: &[impl AsRef<[u8]>]) -> Vec<PathBuf> {
    let write = |(index, document): (usize, &_)| {
        let path = folder.join(format!("{index}.xml"));
        std::fs::write(&path, AsRef::<[u8]>::as_ref(document)).unwrap();
        path
    };
    documents.iter().enumerate().map(write).collect()
}

/// Holds documents of one type against its schema; the error is what the validator says.
pub(crate) fn validate(document_type: &str, documents: &[impl AsRef<[u8]>]) -> Result<(), String> {
    let folder = tempfile::tempdir().unwrap();
    let schema = schemas().join(format!("maindoc/UBL-{document_type}-2.1.xsd"));
    assert!(schema.is_file(), "{} is missing", schema.display());
    xmllint(&["--schema", schema.to_str().unwrap()], &files(folder.path(), documents))
}

/// Asks whether each document is well-formed XML with namespaces.
pub(crate) fn well_formed(documents: &[impl AsRef<[u8]>]) -> Result<(), String> {
    let folder = tempfile::tempdir().unwrap();
    xmllint(&[], &files(folder.path(), documents))
}

#[test]
fn the_referee_refuses_what_is_wrong() {
    let order = std::fs::read(crate::other_writers::folder().join("minimal/order.xml")).unwrap();
    assert_eq!(validate("Order", &[&order]), Ok(()));
    let text = String::from_utf8(order).unwrap();
    let without_date = text.replace("<cbc:IssueDate>2026-11-24</cbc:IssueDate>", "");
    assert!(validate("Order", &[without_date]).unwrap_err().contains("IssueDate"));
    assert!(well_formed(&["<a><b></a>"]).is_err());
}
