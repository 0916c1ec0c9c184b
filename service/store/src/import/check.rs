//! Which questions are asked of a bundle, and when.
//!
//! A key, a unique index or a reference of the database refuses a row as surely as a question does, and far sooner where
//! there is nothing to refuse; but it names one row alone, and not in the words of the file. So the questions that it can
//! answer are asked once it has refused. `store`'s test of the schema holds that every reference of a sheet is one of its
//! table too.

use sea_orm::sqlx::error::ErrorKind;
use sea_orm::{DbErr, RuntimeErr};

use super::connection::Connection;
use super::faults::Faults;
use super::merge_plan::Plan;
use super::staging::Staged;
use super::{count, duplicates, references, removal};
use crate::error::StoreError;

/// How much is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Asked {
    /// What the database would let pass.
    Beforehand,
    /// Everything.
    Everything,
}

/// Looks for what keeps the bundle from being stored, sheet by sheet, until there are enough faults.
pub(super) async fn find_faults(
    connection: &mut Connection,
    plan: &Plan,
    sheets: &[Staged],
    asked: Asked,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    for staged in sheets {
        if faults.room() == 0 {
            return Ok(());
        }
        // A row that changes one of the table does so twice without a word, and takes the GTIN of another one.
        if asked == Asked::Everything || plan.has_double_keys(staged.spec) {
            duplicates::find_double_keys(connection, staged, faults).await?;
        }
        if asked == Asked::Everything || !plan.was_empty(staged.spec) {
            duplicates::find_double_gtins(connection, plan, staged, faults).await?;
        }
        if asked == Asked::Everything {
            references::find_unknown_references(connection, plan, staged, faults).await?;
        }
        removal::find_rows_still_needed(connection, plan, staged.spec, faults).await?;
        if staged.spec.name == count::STOCK && faults.room() > 0 {
            count::find_counts_below_reserved(connection, plan, staged.spec, faults).await?;
        }
    }
    Ok(())
}

/// Whether a rule of the database refused a row.
pub(super) fn is_refusal(error: &StoreError) -> bool {
    match error {
        StoreError::Sqlite(error) => {
            error.sqlite_error_code() == Some(rusqlite::ErrorCode::ConstraintViolation)
        }
        StoreError::Database(DbErr::Query(RuntimeErr::SqlxError(error))) => {
            error.as_database_error().is_some_and(|error| error.kind() != ErrorKind::Other)
        }
        _ => false,
    }
}
