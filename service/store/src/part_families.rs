//! Parts with all that notices and kit lists lead to.

use catalogue::{PartKey, Snapshot};
use sea_orm::ConnectionTrait;

use crate::error::StoreError;
use crate::reach::{Step, TO_ANCESTOR, TO_CONTENTS, TO_KIT, TO_SUCCESSOR, closure};
use crate::revisions::read_revisions;
use crate::select::{key_list, keys_in, rows, statement};
use crate::store::Store;

impl Store {
    /// Parts with what lies in them, their ancestors and their successors, over any number of steps, at one moment: their
    /// rows, kit lines and notices, in a snapshot whose other lists are empty. The number of queries does not depend on the
    /// number of parts.
    pub async fn load_part_families(&self, parts: &[PartKey]) -> Result<Snapshot, StoreError> {
        self.parts_reached(parts, &[], &[TO_CONTENTS, TO_SUCCESSOR, TO_ANCESTOR]).await
    }

    /// Parts with the kits that hold them, over any number of steps, and all that lies in those, at one moment: their rows,
    /// kit lines and notices, in a snapshot whose other lists are empty. The number of queries does not depend on the number
    /// of parts.
    pub async fn load_part_sources(&self, parts: &[PartKey]) -> Result<Snapshot, StoreError> {
        self.parts_reached(parts, &[TO_KIT], &[TO_CONTENTS]).await
    }

    /// What parts reach by some steps, and that by others.
    async fn parts_reached(
        &self,
        parts: &[PartKey],
        first: &[Step],
        then: &[Step],
    ) -> Result<Snapshot, StoreError> {
        let transaction = self.begin_reading().await?;
        let keys = key_list(parts.iter().map(PartKey::as_str));
        let base = format!("SELECT k.\"key\" AS part FROM {} k", keys_in(self.kind(), "$1"));
        let sql = match first {
            [] => format!(
                "WITH RECURSIVE {} SELECT part FROM reached",
                closure(self.kind(), "reached", &base, then)
            ),
            steps => format!(
                "WITH RECURSIVE {}, {} SELECT part FROM reached",
                closure(self.kind(), "holding", &base, steps),
                closure(self.kind(), "reached", "SELECT part FROM holding", then),
            ),
        };
        let found = transaction.query_all_raw(statement(&transaction, sql, vec![keys])).await?;
        let reached: Vec<String> =
            found.iter().map(|row| row.try_get_by_index(0)).collect::<Result<_, _>>()?;
        let reached = key_list(reached.iter().map(String::as_str));
        let of = |column: &str| format!("JOIN {} k ON t.{column} = k.\"key\"", keys_in(self.kind(), "$1"));
        let snapshot = Snapshot {
            structure_revision: read_revisions(&transaction).await?.structure,
            parts: rows(&transaction, &of("part"), vec![reached.clone()]).await?,
            kit_lines: rows(&transaction, &of("kit"), vec![reached.clone()]).await?,
            supersessions: rows(&transaction, &of("old"), vec![reached]).await?,
            ..Snapshot::default()
        };
        transaction.commit().await?;
        Ok(snapshot)
    }
}
