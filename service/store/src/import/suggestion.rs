//! What a mistyped reference was perhaps meant to be.

use catalogue::Reference;

use super::connection::{Bound, Connection};
use super::merge_plan::{Plan, target_of};
use super::tables::{stage, table};
use crate::closest::Closest;
use crate::error::StoreError;
use crate::select::quoted;

/// The closest key of the sheet that a reference points to, in the table or in the bundle.
///
/// A key of several columns is gone through from the left: what exists is taken as meant, and in the first column where
/// nothing does, the closest value is looked for among those that go with the columns before it.
pub(super) async fn suggest(
    connection: &mut Connection,
    plan: &Plan,
    reference: &Reference,
    values: &[String],
) -> Result<Option<String>, StoreError> {
    let mut meant: Vec<String> = Vec::new();
    for (at, value) in values.iter().enumerate() {
        let closest = closest_value(connection, plan, reference, at, &meant, value).await?;
        match closest {
            Some(closest) => meant.push(closest),
            None => return Ok(None),
        }
    }
    Ok(Some(meant.join(" ")))
}

/// The value itself where it exists, or the one that is closest to it.
async fn closest_value(
    connection: &mut Connection,
    plan: &Plan,
    reference: &Reference,
    at: usize,
    meant: &[String],
    value: &str,
) -> Result<Option<String>, StoreError> {
    let target = target_of(reference.sheet);
    let column = quoted(reference.target[at]);
    let before: Vec<String> = reference.target[..at]
        .iter()
        .enumerate()
        .map(|(place, name)| format!("{} = ${} AND ", quoted(name), place + 1))
        .collect();
    let mut closest = Closest::new(value, 1);
    let (shortest, longest) = closest.lengths();
    // Of a table that is replaced, what the file does not name will be gone.
    let mut sources = if plan.replaces(target) { vec![] } else { vec![table(target)] };
    if plan.holds(target.name) {
        sources.push(stage(target));
    }
    let binds: Vec<Bound> = meant.iter().cloned().map(Bound::Text).collect();
    for source in sources {
        let sql = format!(
            "SELECT DISTINCT {column} FROM {source} WHERE {} length({column}) BETWEEN {shortest} AND {longest}",
            before.concat()
        );
        connection
            .for_each(&sql, &binds, |row| {
                closest.look_at(&row.text(0)?);
                Ok(())
            })
            .await?;
    }
    Ok(closest.into_keys().pop())
}
