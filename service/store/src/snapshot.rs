//! Reading everything that units can reach, in a fixed number of queries.

use std::collections::BTreeSet;

use catalogue::*;
use sea_orm::{ConnectionTrait, DatabaseTransaction, Value};

use crate::error::StoreError;
use crate::reach::{TO_ANCESTOR, TO_COMPANION, TO_CONTENTS, TO_KIT, TO_SUCCESSOR, closure};
use crate::revisions::read_revisions;
use crate::select::{key_list, keys_in, rows, statement};
use crate::store::{DatabaseKind, Store};

impl Store {
    /// All that units can reach, at one moment; see [`Snapshot`]. The number of queries does not depend on the size of
    /// the units. A unit that is asked for twice is taken once.
    ///
    /// # Errors
    /// [`StoreError::UnitNotFound`] for the first unit that there is none of.
    pub async fn load_snapshot(&self, units: &[UnitKey]) -> Result<Snapshot, StoreError> {
        let transaction = self.begin_reading().await?;
        let reader = Reader {
            db: &transaction,
            kind: self.kind(),
            units: key_list(units.iter().map(UnitKey::as_str)),
        };
        let mut snapshot = Snapshot {
            structure_revision: read_revisions(&transaction).await?.structure,
            units: reader.units_as_asked(units).await?,
            ..Snapshot::default()
        };
        reader.read_units(&mut snapshot).await?;
        reader.read_vehicles(&mut snapshot).await?;
        reader.read_parts(&mut snapshot).await?;
        reader.read_makers(&mut snapshot).await?;
        transaction.commit().await?;
        Ok(snapshot)
    }
}

/// One reading of the units asked for.
struct Reader<'a> {
    db: &'a DatabaseTransaction,
    kind: DatabaseKind,
    units: Value,
}

impl Reader<'_> {
    /// The rows of a sheet whose column names a unit asked for.
    async fn of_units<T: Sheet>(&self, column: &str) -> Result<Vec<T>, StoreError> {
        let rest = format!("WHERE t.{column} IN {}", keys_in(self.kind, "$1"));
        rows(self.db, &rest, vec![self.units.clone()]).await
    }

    /// The rows of a sheet whose column holds one of some keys.
    async fn of_keys<T: Sheet>(&self, column: &str, keys: &Value) -> Result<Vec<T>, StoreError> {
        let rest = format!("JOIN {} k ON t.{column} = k.\"key\"", keys_in(self.kind, "$1"));
        rows(self.db, &rest, vec![keys.clone()]).await
    }

    async fn units_as_asked(&self, asked: &[UnitKey]) -> Result<Vec<Unit>, StoreError> {
        let mut found: Vec<Unit> = self.of_units("unit").await?;
        if let Some(missing) = asked.iter().find(|key| !found.iter().any(|unit| unit.unit == **key)) {
            return Err(StoreError::UnitNotFound(missing.clone()));
        }
        found.sort_by_key(|unit| asked.iter().position(|key| *key == unit.unit));
        Ok(found)
    }

    /// The units' own rows.
    async fn read_units(&self, snapshot: &mut Snapshot) -> Result<(), StoreError> {
        snapshot.variants = self.of_units("unit").await?;
        snapshot.positions = self.of_units("unit").await?;
        snapshot.bench_values = self.of_units("unit").await?;
        snapshot.bench_renewals = self.of_units("unit").await?;
        snapshot.candidates = self.of_units("unit").await?;
        snapshot.set_positions = self.of_units("unit").await?;
        snapshot.joints = self.of_units("unit_a").await?;
        let asked: BTreeSet<&UnitKey> = snapshot.units.iter().map(|unit| &unit.unit).collect();
        snapshot.joints.retain(|joint| asked.contains(&joint.unit_b));
        snapshot.operations = self.of_units("unit").await?;
        snapshot.operation_scope = self.of_units("unit").await?;
        snapshot.fluids = self.of_units("unit").await?;
        snapshot.outside_work = self.of_units("unit").await?;
        snapshot.weak_points = self.of_units("unit").await?;
        let of_all_or_asked = format!("WHERE t.unit IS NULL OR t.unit IN {}", keys_in(self.kind, "$1"));
        snapshot.cautions = rows(self.db, &of_all_or_asked, vec![self.units.clone()]).await?;
        Ok(())
    }

    /// The vehicles that carry the units, with all that they carry.
    async fn read_vehicles(&self, snapshot: &mut Snapshot) -> Result<(), StoreError> {
        let rest = format!(
            "WHERE t.vehicle IN (SELECT c.vehicle FROM vehicle_units c WHERE c.unit IN {})",
            keys_in(self.kind, "$1")
        );
        snapshot.vehicles = rows(self.db, &rest, vec![self.units.clone()]).await?;
        snapshot.vehicle_units = rows(self.db, &rest, vec![self.units.clone()]).await?;
        snapshot.engine_points = rows(self.db, &rest, vec![self.units.clone()]).await?;
        Ok(())
    }

    /// The parts reached, and what is known of them. Rows that name a second part are taken where both are reached:
    /// a part that only lies in a kit has notices and statements of its own that lead elsewhere.
    async fn read_parts(&self, snapshot: &mut Snapshot) -> Result<(), StoreError> {
        let reached = self.reached().await?;
        let keys = key_list(reached.iter().map(String::as_str));
        let is_reached = |part: &PartKey| reached.contains(part.as_str());
        snapshot.parts = self.of_keys("part", &keys).await?;
        snapshot.features = self.of_keys("part", &keys).await?;
        snapshot.kit_lines = self.of_keys("kit", &keys).await?;
        snapshot.fit_statements = self.of_keys("part_a", &keys).await?;
        snapshot.fit_statements.retain(|row: &FitStatement| is_reached(&row.part_b));
        snapshot.companions = self.of_keys("part", &keys).await?;
        snapshot.companions.retain(|row: &Companion| is_reached(&row.companion));
        snapshot.supersessions = self.of_keys("old", &keys).await?;
        snapshot.supersessions.retain(|row: &Supersession| is_reached(&row.new));
        snapshot.supersession_needs = self.of_units("unit").await?;
        let notices: BTreeSet<&Code> = snapshot.supersessions.iter().map(|row| &row.notice).collect();
        snapshot.supersession_needs.retain(|row| notices.contains(&row.notice));
        Ok(())
    }

    /// The keys of the parts reached. What may stand in the units leads on through supersession and companions; what
    /// that gives, to the kits that hold it and to their ancestors and successors; and those, to all that lies in them.
    async fn reached(&self) -> Result<BTreeSet<String>, StoreError> {
        let asked = keys_in(self.kind, "$1");
        let standing = format!(
            "SELECT c.part AS part FROM candidates c WHERE c.unit IN {asked} \
             UNION SELECT p.only_with FROM positions p WHERE p.only_with IS NOT NULL AND p.unit IN {asked} \
             UNION SELECT f.part FROM fluids f WHERE f.unit IN {asked} \
             UNION SELECT n.part FROM supersession_needs n WHERE n.part IS NOT NULL AND n.unit IN {asked}"
        );
        let sql = format!(
            "WITH RECURSIVE {}, {}, {} SELECT part FROM reached",
            closure(self.kind, "fitted", &standing, &[TO_SUCCESSOR, TO_ANCESTOR, TO_COMPANION]),
            closure(self.kind, "holding", "SELECT part FROM fitted", &[TO_KIT, TO_SUCCESSOR, TO_ANCESTOR]),
            closure(self.kind, "reached", "SELECT part FROM holding", &[TO_CONTENTS]),
        );
        let found = self.db.query_all_raw(statement(self.db, sql, vec![self.units.clone()])).await?;
        Ok(found.iter().map(|row| row.try_get_by_index::<String>(0)).collect::<Result<_, _>>()?)
    }

    /// The makers that any row names.
    async fn read_makers(&self, snapshot: &mut Snapshot) -> Result<(), StoreError> {
        let named = (snapshot.parts.iter().map(|row| &row.maker))
            .chain(snapshot.units.iter().map(|row| &row.maker))
            .chain(snapshot.vehicles.iter().map(|row| &row.maker))
            .chain(snapshot.fit_statements.iter().map(|row| &row.maker));
        let keys = key_list(named.map(Code::as_str));
        snapshot.makers = self.of_keys("maker", &keys).await?;
        Ok(())
    }
}
