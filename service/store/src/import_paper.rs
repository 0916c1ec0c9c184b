//! The paper of an import that runs on its own, for whoever wants to know how far it is.

use catalogue::event::{Happened, ImportEvent};
use chrono::{DateTime, Utc};
use sea_orm::sea_query::Expr;
use sea_orm::{
    ActiveEnum, ActiveModelTrait, ActiveValue::Set, ColumnTrait, Condition, DatabaseTransaction,
    DeriveActiveEnum, EntityTrait, EnumIter, QueryFilter, QueryOrder, UpdateMany,
};
use uuid::Uuid;

use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::kept;
use crate::outbox::Outbox;
use crate::store::Store;

/// How far an import is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumIter, DeriveActiveEnum)]
#[sea_orm(rs_type = "String", db_type = "Text")]
pub enum ImportState {
    /// It has not begun.
    #[sea_orm(string_value = "waiting")]
    Waiting,
    /// It is under way.
    #[sea_orm(string_value = "running")]
    Running,
    /// It went in.
    #[sea_orm(string_value = "done")]
    Done,
    /// Rows could not be stored; the report says which. The catalogue is as it was.
    #[sea_orm(string_value = "refused")]
    Refused,
    /// Something broke. The catalogue is as it was.
    #[sea_orm(string_value = "failed")]
    Failed,
}

/// The paper of an import.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportPaper {
    /// Its id, which rises with time.
    pub id: Uuid,
    /// How far it is.
    pub state: ImportState,
    /// Rows read so far.
    pub progress: u64,
    /// What came of it, as JSON; `None` until it has ended.
    pub report: Option<String>,
    /// When it was asked for.
    pub created_at: DateTime<Utc>,
    /// When it ended.
    pub finished_at: Option<DateTime<Utc>>,
}

/// An import whose paper has no end although nobody runs it any longer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftImport {
    /// Its id.
    pub id: Uuid,
    /// The audit's particulars of it, as JSON, where its rows had gone in; `None`: the catalogue is as it was.
    pub went_in: Option<String>,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "imports")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) id: String,
        pub(super) state: super::ImportState,
        pub(super) progress: i64,
        pub(super) report: Option<String>,
        pub(super) created_at: DateTimeUtc,
        pub(super) finished_at: Option<DateTimeUtc>,
        pub(super) seen_at: Option<DateTimeUtc>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

use table::Column;

impl Store {
    /// Opens the paper of an import that waits to begin.
    pub async fn create_import(&self) -> Result<ImportPaper, StoreError> {
        let (id, now) = (Uuid::now_v7(), kept(Utc::now()));
        let row = table::ActiveModel {
            id: Set(id.to_string()),
            state: Set(ImportState::Waiting),
            progress: Set(0),
            report: Set(None),
            created_at: Set(now),
            finished_at: Set(None),
            seen_at: Set(Some(now)),
        };
        let transaction = self.begin_writing().await?;
        let paper = paper_of(row.insert(&transaction).await?)?;
        self.finish(transaction, event_of(id, None, ImportState::Waiting, now)).await?;
        Ok(paper)
    }

    /// Notes that an import runs and how many rows it has read.
    ///
    /// # Errors
    /// [`StoreError::ImportNotFound`] where there is none, or it has ended.
    pub async fn note_import_progress(&self, id: Uuid, rows: u64) -> Result<(), StoreError> {
        let update = table::Entity::update_many()
            .col_expr(Column::State, Expr::value(ImportState::Running))
            .col_expr(Column::Progress, Expr::value(i64::try_from(rows).unwrap_or(i64::MAX)))
            .col_expr(Column::SeenAt, Expr::value(kept(Utc::now())));
        let transaction = self.begin_writing().await?;
        update_open(&transaction, update, id).await?;
        Ok(transaction.commit().await?)
    }

    /// The papers of imports that have not ended and at which nobody was seen since an instant: whoever ran them is gone.
    pub async fn list_left_imports(&self, seen_before: DateTime<Utc>) -> Result<Vec<LeftImport>, StoreError> {
        let rows = table::Entity::find()
            .filter(Column::FinishedAt.is_null())
            .filter(left(seen_before))
            .order_by_asc(Column::Id)
            .all(&self.db)
            .await?;
        let mut imports = Vec::new();
        for row in rows {
            let paper = paper_of(row)?;
            let went_in = self.audit_of_import(paper.id).await?;
            imports.push(LeftImport { id: paper.id, went_in });
        }
        Ok(imports)
    }

    /// Closes the paper of an import: done, refused or failed, with its report as JSON.
    ///
    /// # Errors
    /// [`StoreError::ImportNotFound`] where there is none, or it has ended.
    pub async fn finish_import(&self, id: Uuid, state: ImportState, report: &str) -> Result<(), StoreError> {
        self.close_import(id, state, report, None).await
    }

    /// The paper of an import.
    pub async fn find_import(&self, id: Uuid) -> Result<Option<ImportPaper>, StoreError> {
        table::Entity::find_by_id(id.to_string()).one(&self.db).await?.map(paper_of).transpose()
    }

    /// Notes that whoever runs an import is still there.
    ///
    /// # Errors
    /// [`StoreError::ImportNotFound`] where there is none, or it has ended.
    pub async fn see_import(&self, id: Uuid) -> Result<(), StoreError> {
        let update = table::Entity::update_many().col_expr(Column::SeenAt, Expr::value(kept(Utc::now())));
        let transaction = self.begin_writing().await?;
        update_open(&transaction, update, id).await?;
        Ok(transaction.commit().await?)
    }

    /// Closes the paper of an import that was left, unless somebody was seen at it since the instant.
    ///
    /// # Errors
    /// [`StoreError::ImportNotFound`] where there is none, it has ended, or is run after all.
    pub async fn close_left_import(
        &self,
        id: Uuid,
        seen_before: DateTime<Utc>,
        state: ImportState,
        report: &str,
    ) -> Result<(), StoreError> {
        self.close_import(id, state, report, Some(left(seen_before))).await
    }

    async fn close_import(
        &self,
        id: Uuid,
        state: ImportState,
        report: &str,
        only: Option<Condition>,
    ) -> Result<(), StoreError> {
        let now = kept(Utc::now());
        let mut update = table::Entity::update_many()
            .col_expr(Column::State, Expr::value(state))
            .col_expr(Column::Report, Expr::value(report))
            .col_expr(Column::FinishedAt, Expr::value(now));
        if let Some(only) = only {
            update = update.filter(only);
        }
        let transaction = self.begin_writing().await?;
        update_open(&transaction, update, id).await?;
        self.finish_aside(transaction, event_of(id, Some(ImportState::Running), state, now)).await
    }
}

/// Imports at which nobody was seen since an instant.
fn left(seen_before: DateTime<Utc>) -> Condition {
    Condition::any().add(Column::SeenAt.is_null()).add(Column::SeenAt.lt(kept(seen_before)))
}

async fn update_open(
    transaction: &DatabaseTransaction,
    update: UpdateMany<table::Entity>,
    id: Uuid,
) -> Result<(), StoreError> {
    let update = update.filter(Column::Id.eq(id.to_string())).filter(Column::FinishedAt.is_null());
    if update.exec(transaction).await?.rows_affected == 0 {
        return Err(StoreError::ImportNotFound(id));
    }
    Ok(())
}

fn event_of(id: Uuid, before: Option<ImportState>, state: ImportState, at: DateTime<Utc>) -> Outbox {
    let changes = vec![Changed::new("state", before.map(|state| state.to_value()), Some(state.to_value()))];
    let data = ImportEvent { import: id.to_string(), state: state.to_value() };
    let happened = match state {
        ImportState::Waiting | ImportState::Running => Happened::ImportOpened(data),
        ImportState::Done => Happened::ImportDone(data),
        ImportState::Refused => Happened::ImportRefused(data),
        ImportState::Failed => Happened::ImportFailed(data),
    };
    let mut outbox = Outbox::default();
    outbox.record(at, happened, changes);
    outbox
}

fn paper_of(row: table::Model) -> Result<ImportPaper, StoreError> {
    Ok(ImportPaper {
        id: Uuid::parse_str(&row.id)
            .map_err(|_| StoreError::BadRow { table: "imports", column: "id".to_owned() })?,
        state: row.state,
        progress: u64::try_from(row.progress).unwrap_or(0),
        report: row.report,
        created_at: row.created_at,
        finished_at: row.finished_at,
    })
}
