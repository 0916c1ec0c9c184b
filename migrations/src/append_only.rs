//! Triggers that keep a table from losing or changing rows.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_orm::DbBackend;

/// Makes a table one that is only added to.
pub(crate) async fn only_add_to(manager: &SchemaManager<'_>, table: &str) -> Result<(), DbErr> {
    let statements = if manager.get_database_backend() == DbBackend::Postgres {
        vec![
            format!(
                "CREATE FUNCTION {table}_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$ \
                 BEGIN RAISE EXCEPTION '{table} is only added to'; END $$"
            ),
            format!(
                "CREATE TRIGGER {table}_only_added_to BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} \
                 FOR EACH STATEMENT EXECUTE FUNCTION {table}_refuse_change()"
            ),
        ]
    } else {
        ["UPDATE", "DELETE"]
            .map(|event| {
                format!(
                    "CREATE TRIGGER {table}_refuse_{event} BEFORE {event} ON {table} \
                     BEGIN SELECT RAISE(ABORT, '{table} is only added to'); END"
                )
            })
            .to_vec()
    };
    for statement in statements {
        manager.get_connection().execute_unprepared(&statement).await?;
    }
    Ok(())
}

/// Drops such a table with what guards it.
pub(crate) async fn drop_table(manager: &SchemaManager<'_>, table: &str) -> Result<(), DbErr> {
    let connection = manager.get_connection();
    connection.execute_unprepared(&format!("DROP TABLE {table}")).await?;
    if manager.get_database_backend() == DbBackend::Postgres {
        connection.execute_unprepared(&format!("DROP FUNCTION {table}_refuse_change()")).await?;
    }
    Ok(())
}
