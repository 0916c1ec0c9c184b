//! Finding parts.

use std::collections::BTreeMap;

use catalogue::{Code, Companion, Feature, Part, PartKey, Supersession};
use futures::TryStreamExt;
use sea_orm::{ConnectionTrait, StreamTrait, Value};

use crate::closest::Closest;
use crate::error::StoreError;
use crate::reach::supersession_family;
use crate::select::{key_list, keys_in, rows, statement};
use crate::store::Store;

impl Store {
    /// The part of a key.
    pub async fn find_part(&self, key: &PartKey) -> Result<Option<Part>, StoreError> {
        Ok(rows(&self.db, "WHERE t.part = $1", vec![key.as_str().into()]).await?.pop())
    }

    /// The faces of a part, by name.
    pub async fn features_of_part(&self, key: &PartKey) -> Result<Vec<Feature>, StoreError> {
        let mut features: Vec<Feature> =
            rows(&self.db, "WHERE t.part = $1", vec![key.as_str().into()]).await?;
        features.sort_by(|a, b| a.feature.cmp(&b.feature));
        Ok(features)
    }

    /// The parts of all makers that have a number, which is given normalised.
    pub async fn parts_by_number(&self, number: &str) -> Result<Vec<Part>, StoreError> {
        // A part's key is its maker and its number, so each maker's part is looked up by the key itself.
        rows(
            &self.db,
            "WHERE t.part IN (SELECT m.maker || '/' || CAST($1 AS text) FROM makers m)",
            vec![number.into()],
        )
        .await
    }

    /// The parts whose normalised numbers are closest to one that is perhaps mistyped, the closest first, at most so many.
    pub async fn closest_parts(&self, number: &str, count: usize) -> Result<Vec<Part>, StoreError> {
        let mut closest = Closest::new(number, count);
        let (shortest, longest) = closest.lengths();
        let bounds: Vec<Value> =
            [shortest, longest].map(|length| Value::from(i64::try_from(length).unwrap_or(i64::MAX))).to_vec();
        let sql = "SELECT DISTINCT substr(part, length(maker) + 2) AS number FROM parts \
                   WHERE length(part) - length(maker) - 1 BETWEEN $1 AND $2";
        {
            let mut found = self.db.stream_raw(statement(&self.db, sql.into(), bounds)).await?;
            while let Some(row) = found.try_next().await? {
                closest.look_at(&row.try_get_by_index::<String>(0)?);
            }
        }
        let numbers = closest.into_keys();
        let rest = format!(
            "WHERE t.part IN (SELECT m.maker || '/' || n.\"key\" FROM makers m CROSS JOIN {} n)",
            keys_in(self.kind(), "$1")
        );
        let list = key_list(numbers.iter().map(String::as_str));
        let mut parts: Vec<Part> = rows(&self.db, &rest, vec![list]).await?;
        parts.sort_by_key(|part| numbers.iter().position(|number| number == part.part.number()));
        parts.truncate(count);
        Ok(parts)
    }

    /// The parts after a key, in the order of their keys, at most so many.
    pub async fn list_parts(&self, after: Option<&PartKey>, limit: u64) -> Result<Vec<Part>, StoreError> {
        self.list("part", after.map(PartKey::as_str), limit).await
    }

    /// The notices that lead to a part or on from it, over any number of steps, with all rows of splits and merges on
    /// the way.
    pub async fn part_supersessions(&self, key: &PartKey) -> Result<Vec<Supersession>, StoreError> {
        let family = supersession_family(self.kind(), "SELECT CAST($1 AS text) AS part");
        let transaction = self.begin_reading().await?;
        let found =
            transaction.query_all_raw(statement(&transaction, family, vec![key.as_str().into()])).await?;
        let numbers: Vec<String> =
            found.iter().map(|row| row.try_get_by_index(0)).collect::<Result<_, _>>()?;
        // Asked with the list in hand: in one statement PostgreSQL expects thousands of numbers and reads the whole table.
        let rest = format!("JOIN {} k ON t.old = k.\"key\"", keys_in(self.kind(), "$1"));
        let notices = rows(&transaction, &rest, vec![key_list(numbers.iter().map(String::as_str))]).await?;
        transaction.commit().await?;
        Ok(notices)
    }

    /// The parts behind a key for which a supplier has prices, in the order of their keys, at most so many.
    pub async fn parts_of_supplier(
        &self,
        supplier: &Code,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<PartKey>, StoreError> {
        let sql = format!(
            "SELECT DISTINCT part FROM prices WHERE supplier = $1 AND part > $2 ORDER BY part LIMIT {limit}"
        );
        // No key is empty, so every key lies behind the empty text.
        let values = vec![supplier.as_str().into(), after.unwrap_or("").into()];
        let found = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        let keys = found.iter().map(|row| row.try_get_by_index::<String>(0).map(PartKey::from_stored));
        Ok(keys.collect::<Result<_, _>>()?)
    }

    /// What must come along with parts.
    pub async fn companions_of(&self, keys: &[PartKey]) -> Result<Vec<Companion>, StoreError> {
        let rest = format!("JOIN {} k ON t.part = k.\"key\"", keys_in(self.kind(), "$1"));
        rows(&self.db, &rest, vec![key_list(keys.iter().map(PartKey::as_str))]).await
    }

    /// What parts are called, those of them that are in the catalogue.
    pub async fn names_of_parts(
        &self,
        keys: impl IntoIterator<Item = &PartKey>,
    ) -> Result<BTreeMap<PartKey, String>, StoreError> {
        let rest = format!("JOIN {} k ON t.part = k.\"key\"", keys_in(self.kind(), "$1"));
        let parts: Vec<Part> =
            rows(&self.db, &rest, vec![key_list(keys.into_iter().map(PartKey::as_str))]).await?;
        Ok(parts.into_iter().map(|part| (part.part, part.name)).collect())
    }
}
