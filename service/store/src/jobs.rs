//! Jobs: the steps that each has gone through.

use catalogue::event::{Happened, JobEvent};
use chrono::{DateTime, Utc};
use sea_orm::sea_query::Expr;
use sea_orm::{
    ActiveModelTrait, ActiveValue::Set, ColumnTrait, DatabaseTransaction, EntityTrait, QueryFilter,
    QueryOrder, QuerySelect,
};

use crate::as_built::{AsBuiltRow, insert_as_built};
use crate::audit::Changed;
use crate::error::StoreError;
use crate::ledger::book::book;
use crate::ledger::{Booking, Movement};
use crate::numbers::{kept, take_number};
use crate::outbox::Outbox;
use crate::store::Store;

/// A step that is to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewJobStep {
    /// What was done.
    pub kind: String,
    /// The state that the job is in after it.
    pub state: String,
    /// Who did it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Its particulars, as JSON.
    pub detail: String,
}

/// What goes into the database together with a step, or not at all.
#[derive(Debug, Clone, Default)]
pub struct JobEffects {
    /// Pieces that move for the job.
    pub booking: Option<Booking>,
    /// What is inside its units from now on.
    pub as_built: Vec<AsBuiltRow>,
}

/// A step that was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobStepRow {
    /// Its place in the job, from 1.
    pub step: i64,
    /// What was done.
    pub kind: String,
    /// The state that the job was in after it.
    pub state: String,
    /// Who did it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Its particulars, as JSON.
    pub detail: String,
}

/// A job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobRow {
    /// Its number, such as `J-000001`.
    pub number: String,
    /// The state it is in.
    pub state: String,
    /// How many steps it has gone through.
    pub revision: i64,
    /// When it was opened.
    pub opened_at: DateTime<Utc>,
    /// When its last step was.
    pub changed_at: DateTime<Utc>,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "jobs")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) number: String,
        pub(super) running: i64,
        pub(super) state: String,
        pub(super) revision: i64,
        pub(super) opened_at: DateTimeUtc,
        pub(super) changed_at: DateTimeUtc,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

mod step_table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "job_steps")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) job: String,
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) step: i64,
        pub(super) kind: String,
        pub(super) state: String,
        pub(super) who: String,
        pub(super) at: DateTimeUtc,
        pub(super) detail: String,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

use table::Column;

impl Store {
    /// Opens a job with its first step and gives it its number. Numbers run without gaps or doubles.
    pub async fn insert_job(&self, first: NewJobStep) -> Result<String, StoreError> {
        let transaction = self.begin_writing().await?;
        let running = take_number(&transaction, "job").await?;
        let number = format!("J-{running:06}");
        let row = table::ActiveModel {
            number: Set(number.clone()),
            running: Set(running),
            state: Set(first.state.clone()),
            revision: Set(1),
            opened_at: Set(kept(first.at)),
            changed_at: Set(kept(first.at)),
        };
        row.insert(&transaction).await?;
        let mut outbox = Outbox::default();
        let changes = vec![Changed::made("state", &first.state)];
        outbox.record(first.at, Happened::JobOpened(event_of(&number, 1, &first)), changes);
        insert_step(&transaction, &number, 1, first).await?;
        self.finish(transaction, outbox).await?;
        Ok(number)
    }

    /// Adds a step to a job that is still at the revision it was decided on, with all that belongs to it.
    ///
    /// # Errors
    /// [`StoreError::JobChanged`] where the job has gone on meanwhile, and what booking refuses.
    pub async fn add_job_step(
        &self,
        number: &str,
        revision: i64,
        step: NewJobStep,
        effects: JobEffects,
    ) -> Result<Vec<Movement>, StoreError> {
        if let Some(booking) = &effects.booking {
            self.release_expired(booking.at).await?;
        }
        let transaction = self.begin_writing().await?;
        // The revision is held against below: at one revision there is one state.
        let before =
            table::Entity::find_by_id(number.to_owned()).one(&transaction).await?.map(|row| row.state);
        let moved_on = table::Entity::update_many()
            .col_expr(Column::State, Expr::value(step.state.as_str()))
            .col_expr(Column::Revision, Expr::value(revision + 1))
            .col_expr(Column::ChangedAt, Expr::value(kept(step.at)))
            .filter(Column::Number.eq(number))
            .filter(Column::Revision.eq(revision))
            .exec(&transaction)
            .await?;
        if moved_on.rows_affected == 0 {
            return Err(StoreError::JobChanged(number.to_owned()));
        }
        let mut outbox = Outbox::default();
        let changes = vec![
            Changed::new("state", before, Some(&step.state)),
            Changed::new("revision", Some(revision), Some(revision + 1)),
        ];
        outbox.record(step.at, Happened::JobChanged(event_of(number, revision + 1, &step)), changes);
        insert_step(&transaction, number, revision + 1, step).await?;
        let movements = match &effects.booking {
            Some(booking) => book(&transaction, booking, &mut outbox).await?,
            None => Vec::new(),
        };
        insert_as_built(&transaction, &effects.as_built).await?;
        self.finish(transaction, outbox).await?;
        Ok(movements)
    }

    /// The job of a number.
    pub async fn job(&self, number: &str) -> Result<Option<JobRow>, StoreError> {
        let row = table::Entity::find_by_id(number.to_owned()).one(&self.db).await?;
        Ok(row.map(job_of))
    }

    /// The steps of a job, the first one first.
    pub async fn job_steps(&self, number: &str) -> Result<Vec<JobStepRow>, StoreError> {
        let query = step_table::Entity::find()
            .filter(step_table::Column::Job.eq(number))
            .order_by_asc(step_table::Column::Step);
        let step = |row: step_table::Model| JobStepRow {
            step: row.step,
            kind: row.kind,
            state: row.state,
            by: row.who,
            at: row.at,
            detail: row.detail,
        };
        Ok(query.all(&self.db).await?.into_iter().map(step).collect())
    }

    /// The jobs behind a number, the oldest first, at most so many; only those in a state, if one is named. Behind a number
    /// that there is none of comes nothing.
    pub async fn list_jobs(
        &self,
        state: Option<&str>,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<JobRow>, StoreError> {
        let mut query = table::Entity::find().order_by_asc(Column::Running).limit(limit);
        if let Some(state) = state {
            query = query.filter(Column::State.eq(state));
        }
        if let Some(after) = after {
            let Some(last) = table::Entity::find_by_id(after.to_owned()).one(&self.db).await? else {
                return Ok(Vec::new());
            };
            query = query.filter(Column::Running.gt(last.running));
        }
        Ok(query.all(&self.db).await?.into_iter().map(job_of).collect())
    }
}

async fn insert_step(
    transaction: &DatabaseTransaction,
    job: &str,
    place: i64,
    step: NewJobStep,
) -> Result<(), StoreError> {
    let row = step_table::ActiveModel {
        job: Set(job.to_owned()),
        step: Set(place),
        kind: Set(step.kind),
        state: Set(step.state),
        who: Set(step.by),
        at: Set(kept(step.at)),
        detail: Set(step.detail),
    };
    row.insert(transaction).await?;
    Ok(())
}

fn event_of(job: &str, revision: i64, step: &NewJobStep) -> JobEvent {
    JobEvent {
        job: job.to_owned(),
        step: step.kind.clone(),
        state: step.state.clone(),
        revision,
        by: step.by.clone(),
    }
}

fn job_of(row: table::Model) -> JobRow {
    JobRow {
        number: row.number,
        state: row.state,
        revision: row.revision,
        opened_at: row.opened_at,
        changed_at: row.changed_at,
    }
}
