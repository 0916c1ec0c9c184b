//! Where a number is used.

use std::collections::BTreeMap;

use catalogue::{CandidateRole, Code, PartKey, Quantity, UnitKey};
use sea_orm::{ConnectionTrait, DatabaseTransaction, Value};

use crate::error::StoreError;
use crate::reach::{TO_ANCESTOR, TO_KIT, TO_SUCCESSOR, closure, looked_up};
use crate::select::{key_list, keys_in, statement};
use crate::store::{DatabaseKind, Store};

/// What a number found on the way is to the number asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Relation {
    /// It is that number.
    Same,
    /// It gives way to that number, over any number of notices.
    Old,
    /// That number gives way to it, over any number of notices.
    New,
}

/// A position for which a number, or a kit that holds it, is a candidate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PositionUse {
    /// The unit.
    pub unit: UnitKey,
    /// The position.
    pub position: Code,
    /// The candidate as the catalogue names it.
    pub part: PartKey,
    /// What it is to the unit.
    pub role: CandidateRole,
    /// What it is to the number asked about; `None` where it is a kit that holds it.
    pub relation: Option<Relation>,
}

/// A line of a kit with a number, or with a kit that holds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitUse {
    /// The kit.
    pub kit: PartKey,
    /// Number of the line.
    pub line: i64,
    /// The part or kit on the line.
    pub part: PartKey,
    /// How many.
    pub quantity: Quantity,
    /// What it is to the number asked about; `None` where it is a kit that holds it.
    pub relation: Option<Relation>,
}

/// Where a number is used.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WhereUsed {
    /// Positions, by unit, position and part.
    pub positions: Vec<PositionUse>,
    /// Kit lines, by kit and line.
    pub kits: Vec<KitUse>,
}

impl Store {
    /// Every position and kit that a number reaches: by itself, by the numbers it replaced, by those that replace it,
    /// and by the kits that hold any of these, nested ones among them.
    pub async fn where_used(&self, part: &PartKey) -> Result<WhereUsed, StoreError> {
        let transaction = self.begin_reading().await?;
        let search = Search { db: &transaction, kind: self.kind() };
        let numbers = search.numbers(part).await?;
        let keys = key_list(numbers.keys().map(String::as_str));
        let used = WhereUsed {
            positions: search.positions(&keys, &numbers).await?,
            kits: search.kits(&keys, &numbers).await?,
        };
        transaction.commit().await?;
        Ok(used)
    }
}

struct Search<'a> {
    db: &'a DatabaseTransaction,
    kind: DatabaseKind,
}

impl Search<'_> {
    /// The number itself, those it replaced and those that replace it.
    async fn numbers(&self, part: &PartKey) -> Result<BTreeMap<String, Relation>, StoreError> {
        let asked = "SELECT CAST($1 AS text) AS part";
        let sql = format!(
            "WITH RECURSIVE {}, {} SELECT part, 0 FROM olds UNION ALL SELECT part, 1 FROM news",
            closure(self.kind, "olds", asked, &[TO_ANCESTOR]),
            closure(self.kind, "news", asked, &[TO_SUCCESSOR]),
        );
        let values = vec![part.as_str().into()];
        let mut numbers = BTreeMap::new();
        for row in self.db.query_all_raw(statement(self.db, sql, values)).await? {
            let is_new = row.try_get_by_index::<i32>(1)? == 1;
            // Inside a cycle a number is both; that it was replaced comes first.
            numbers.entry(row.try_get_by_index::<String>(0)?).or_insert(if is_new {
                Relation::New
            } else {
                Relation::Old
            });
        }
        numbers.insert(part.as_str().to_owned(), Relation::Same);
        Ok(numbers)
    }

    /// `WITH` the numbers and the kits that hold them as `holding`.
    fn holding(&self) -> String {
        let numbers = format!("SELECT n.\"key\" AS part FROM {} n", keys_in(self.kind, "$1"));
        format!("WITH RECURSIVE {}", closure(self.kind, "holding", &numbers, &[TO_KIT]))
    }

    async fn positions(
        &self,
        keys: &Value,
        numbers: &BTreeMap<String, Relation>,
    ) -> Result<Vec<PositionUse>, StoreError> {
        let sql = format!(
            "{} SELECT t.unit, t.position, t.part, t.role FROM {}",
            self.holding(),
            looked_up(self.kind, "holding", "candidates", "part")
        );
        let mut uses = Vec::new();
        for row in self.db.query_all_raw(statement(self.db, sql, vec![keys.clone()])).await? {
            let part: String = row.try_get_by_index(2)?;
            let role: String = row.try_get_by_index(3)?;
            uses.push(PositionUse {
                unit: UnitKey::from_stored(row.try_get_by_index::<String>(0)?),
                position: Code::from_stored(row.try_get_by_index::<String>(1)?),
                relation: numbers.get(&part).copied(),
                part: PartKey::from_stored(part),
                role: CandidateRole::from_word(&role)
                    .ok_or(StoreError::BadRow { table: "candidates", column: "role".to_owned() })?,
            });
        }
        uses.sort_by(|one, other| {
            (&one.unit, &one.position, &one.part).cmp(&(&other.unit, &other.position, &other.part))
        });
        Ok(uses)
    }

    async fn kits(
        &self,
        keys: &Value,
        numbers: &BTreeMap<String, Relation>,
    ) -> Result<Vec<KitUse>, StoreError> {
        let sql = format!(
            "{} SELECT t.kit, t.line, t.part, t.quantity FROM {}",
            self.holding(),
            looked_up(self.kind, "holding", "kit_lines", "part")
        );
        let mut uses = Vec::new();
        for row in self.db.query_all_raw(statement(self.db, sql, vec![keys.clone()])).await? {
            let part: String = row.try_get_by_index(2)?;
            uses.push(KitUse {
                kit: PartKey::from_stored(row.try_get_by_index::<String>(0)?),
                line: row.try_get_by_index(1)?,
                relation: numbers.get(&part).copied(),
                part: PartKey::from_stored(part),
                quantity: Quantity::from_raw(row.try_get_by_index(3)?),
            });
        }
        uses.sort_by(|one, other| (&one.kit, one.line).cmp(&(&other.kit, other.line)));
        Ok(uses)
    }
}
