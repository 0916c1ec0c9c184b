//! Reading what a notice or a bad part may touch, in a fixed number of queries.

use std::collections::BTreeSet;

use catalogue::*;
use sea_orm::{ConnectionTrait, DatabaseTransaction, Value};

use crate::error::StoreError;
use crate::reach::{TO_ANCESTOR, TO_KIT, TO_SUCCESSOR, closure};
use crate::revisions::read_revisions;
use crate::select::{key_list, keys_in, rows, statement};
use crate::store::{DatabaseKind, Store};

impl Store {
    /// The rows by which an event at some numbers is followed: the notices and candidates of all numbers that these give
    /// way to or that give way to these, the kits that hold any of them, their companions, what the notice of this code
    /// asks for besides, and the cautions of the units it reaches. All else of the snapshot is empty.
    pub async fn load_notice_rows(
        &self,
        touched: &[PartKey],
        notice: Option<&Code>,
    ) -> Result<Snapshot, StoreError> {
        let transaction = self.begin_reading().await?;
        let reader = Reader { db: &transaction, kind: self.kind() };
        let asked = key_list(touched.iter().map(PartKey::as_str));
        let (numbers, holding) = reader.reached(&asked).await?;
        let mut snapshot = Snapshot {
            structure_revision: read_revisions(&transaction).await?.structure,
            candidates: reader.of_keys("part", &numbers).await?,
            kit_lines: reader.of_keys("part", &holding).await?,
            supersessions: reader.of_keys("old", &numbers).await?,
            companions: reader.of_keys("part", &asked).await?,
            ..Snapshot::default()
        };
        let others: Vec<Companion> = reader.of_keys("companion", &asked).await?;
        snapshot.companions.extend(others.into_iter().filter(|row| !touched.contains(&row.part)));
        if let Some(notice) = notice {
            let values = vec![notice.as_str().into()];
            snapshot.supersession_needs = rows(&transaction, "WHERE t.notice = $1", values).await?;
        }
        let units: BTreeSet<&str> = snapshot.candidates.iter().map(|row| row.unit.as_str()).collect();
        let units = key_list(units);
        snapshot.units = reader.of_keys("unit", &units).await?;
        let of_all_or_these = format!("WHERE t.unit IS NULL OR t.unit IN {}", keys_in(self.kind(), "$1"));
        snapshot.cautions = rows(&transaction, &of_all_or_these, vec![units]).await?;
        transaction.commit().await?;
        Ok(snapshot)
    }
}

struct Reader<'a> {
    db: &'a DatabaseTransaction,
    kind: DatabaseKind,
}

impl Reader<'_> {
    /// The rows of a sheet whose column holds one of some keys.
    async fn of_keys<T: Sheet>(&self, column: &str, keys: &Value) -> Result<Vec<T>, StoreError> {
        let rest = format!("JOIN {} k ON t.{column} = k.\"key\"", keys_in(self.kind, "$1"));
        rows(self.db, &rest, vec![keys.clone()]).await
    }

    /// The numbers tied to some by notices, and these with the kits that hold them.
    async fn reached(&self, asked: &Value) -> Result<(Value, Value), StoreError> {
        let base = format!("SELECT n.\"key\" AS part FROM {} n", keys_in(self.kind, "$1"));
        let sql = format!(
            "WITH RECURSIVE {}, {} SELECT part, 0 FROM numbers UNION ALL SELECT part, 1 FROM holding",
            closure(self.kind, "numbers", &base, &[TO_SUCCESSOR, TO_ANCESTOR]),
            closure(self.kind, "holding", "SELECT part FROM numbers", &[TO_KIT]),
        );
        let mut numbers = BTreeSet::new();
        let mut holding = BTreeSet::new();
        for row in self.db.query_all_raw(statement(self.db, sql, vec![asked.clone()])).await? {
            let list = if row.try_get_by_index::<i32>(1)? == 0 { &mut numbers } else { &mut holding };
            list.insert(row.try_get_by_index::<String>(0)?);
        }
        let keys = |list: &BTreeSet<String>| key_list(list.iter().map(String::as_str));
        Ok((keys(&numbers), keys(&holding)))
    }
}
