//! Finding units.

use catalogue::{Unit, UnitKey};
use sea_orm::{ConnectionTrait, Value};

use crate::closest::Closest;
use crate::error::StoreError;
use crate::select::{key_list, keys_in, rows, rows_as_they_come, statement};
use crate::store::Store;

impl Store {
    /// The unit of a key.
    pub async fn find_unit(&self, key: &UnitKey) -> Result<Option<Unit>, StoreError> {
        Ok(rows(&self.db, "WHERE t.unit = $1", vec![key.as_str().into()]).await?.pop())
    }

    /// The units whose keys are closest to one that is perhaps mistyped, the closest first, at most so many.
    pub async fn closest_units(&self, key: &UnitKey, count: usize) -> Result<Vec<Unit>, StoreError> {
        let mut closest = Closest::new(key.as_str(), count);
        let found =
            self.db.query_all_raw(statement(&self.db, "SELECT unit FROM units".into(), vec![])).await?;
        for row in found {
            closest.look_at(&row.try_get_by_index::<String>(0)?);
        }
        let keys = closest.into_keys();
        let list = key_list(keys.iter().map(String::as_str));
        let rest = format!("WHERE t.unit IN {}", keys_in(self.kind(), "$1"));
        let mut units: Vec<Unit> = rows(&self.db, &rest, vec![list]).await?;
        units.sort_by_key(|unit| keys.iter().position(|key| key == unit.unit.as_str()));
        Ok(units)
    }

    /// The units after a key, in the order of their keys, at most so many.
    pub async fn list_units(&self, after: Option<&UnitKey>, limit: u64) -> Result<Vec<Unit>, StoreError> {
        self.list("unit", after.map(UnitKey::as_str), limit).await
    }

    /// The rows after a key of one column of text.
    pub(crate) async fn list<T: catalogue::Sheet>(
        &self,
        column: &str,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<T>, StoreError> {
        // No key is empty, so all come after the empty text.
        let values: Vec<Value> =
            vec![after.unwrap_or("").into(), i64::try_from(limit).unwrap_or(i64::MAX).into()];
        let rest = format!("WHERE t.\"{column}\" > $1 ORDER BY t.\"{column}\" LIMIT $2");
        rows_as_they_come(&self.db, &rest, values).await
    }
}
