//! The hash of a difference.

use sha2::{Digest, Sha256};

use super::report::Change;

/// SHA-256 over the changed rows of a sheet: for each its change and its cells as a line.
#[derive(Debug, Clone, Default)]
pub(super) struct RowDigest(Sha256);

impl RowDigest {
    /// Adds a changed row.
    pub(super) fn add(&mut self, change: Change, line: &str) {
        self.0.update(change.word());
        self.0.update("\t");
        self.0.update(line);
        self.0.update("\n");
    }

    fn finish(self) -> [u8; 32] {
        self.0.finalize().into()
    }
}

/// SHA-256 over the sheets of a bundle: for each its name and the digest of its rows.
#[derive(Debug, Default)]
pub(super) struct BundleDigest(Sha256);

impl BundleDigest {
    /// Adds a sheet.
    pub(super) fn add(&mut self, sheet: &str, rows: RowDigest) {
        self.0.update(sheet);
        self.0.update("\n");
        self.0.update(rows.finish());
    }

    /// The hash in hexadecimal.
    pub(super) fn finish(self) -> String {
        self.0.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
    }
}
