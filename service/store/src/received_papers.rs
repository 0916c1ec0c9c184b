//! Papers that suppliers and the ordering system sent, kept as they came.
//!
//! A sender's number of a kind of paper is taken once, in the same transaction as what the paper does: a paper that comes
//! again, at another instance too, finds the first.

use catalogue::Code;
use catalogue::event::{Happened, ReceivedPaperEvent};
use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction, QueryResult, Value};

use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::{kept, take_number};
use crate::outbox::Outbox;
use crate::select::statement;
use crate::store::Store;

/// A paper that is taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewReceivedPaper {
    /// Its kind: `order`, `order_response`, `despatch_advice`, `receipt_advice` or `catalogue`.
    pub kind: String,
    /// The supplier that sent it; empty: the shop's own ordering system.
    pub sender: String,
    /// The sender's number.
    pub sent_number: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub digest: String,
    /// Its media type.
    pub media_type: String,
    /// Its text as it was sent.
    pub body: String,
    /// What was not understood, as JSON.
    pub not_understood: String,
    /// What came of it, as JSON.
    pub outcome: String,
    /// The order that it speaks of.
    pub order: Option<String>,
    /// When it came.
    pub received_at: DateTime<Utc>,
    /// Who sent it in.
    pub who: String,
}

/// A paper that was taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReceivedPaper {
    /// Its running number here, such as `IN-000001`.
    pub number: String,
    /// What was stored of it.
    pub paper: NewReceivedPaper,
    /// The numbers of the shop's papers that were made of it.
    pub made: Vec<String>,
}

/// Which papers are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ReceivedPaperFilter {
    /// Of this kind.
    pub kind: Option<String>,
    /// That speak of this order.
    pub order: Option<String>,
    /// From this supplier.
    pub sender: Option<String>,
}

const COLUMNS: &str = "number, kind, sender, sent_number, digest, media_type, body, not_understood, outcome, made, \
     order_number, received_at, who";

impl Store {
    /// The paper that a sender's number of a kind stands for.
    pub async fn received_paper_of(
        &self,
        kind: &str,
        sender: &str,
        sent_number: &str,
    ) -> Result<Option<ReceivedPaper>, StoreError> {
        let sql = format!(
            "SELECT {COLUMNS} FROM received_papers WHERE kind = $1 AND sender = $2 AND sent_number = $3"
        );
        let values = vec![kind.into(), sender.into(), sent_number.into()];
        let row = self.db.query_one_raw(statement(&self.db, sql, values)).await?;
        row.as_ref().map(paper_of).transpose()
    }

    /// The paper of a running number.
    pub async fn received_paper(&self, number: &str) -> Result<Option<ReceivedPaper>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM received_papers WHERE number = $1");
        let row = self.db.query_one_raw(statement(&self.db, sql, vec![number.into()])).await?;
        row.as_ref().map(paper_of).transpose()
    }

    /// The papers behind a running number, the oldest first, at most so many.
    pub async fn list_received_papers(
        &self,
        filter: &ReceivedPaperFilter,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<ReceivedPaper>, StoreError> {
        let mut sql = format!("SELECT {COLUMNS} FROM received_papers WHERE TRUE");
        let mut values: Vec<Value> = Vec::new();
        let wanted = [
            ("kind = ?", filter.kind.as_deref()),
            ("order_number = ?", filter.order.as_deref()),
            ("sender = ?", filter.sender.as_deref()),
            ("running > (SELECT a.running FROM received_papers a WHERE a.number = ?)", after),
        ];
        for (condition, value) in wanted {
            if let Some(value) = value {
                values.push(value.into());
                sql.push_str(&format!(" AND {}", condition.replace('?', &format!("${}", values.len()))));
            }
        }
        sql.push_str(&format!(" ORDER BY running LIMIT {limit}"));
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(paper_of).collect()
    }

    /// Keeps a paper that changes nothing of the shop's papers by itself; returns its running number.
    ///
    /// # Errors
    /// [`StoreError::PaperReceived`] where that number of the sender was taken in already.
    pub async fn keep_received_paper(&self, paper: &NewReceivedPaper) -> Result<String, StoreError> {
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        let number = insert_received(&transaction, &mut outbox, paper, &[]).await?;
        self.finish(transaction, outbox).await?;
        Ok(number)
    }
}

/// Takes a paper in, inside the transaction that does what it says.
pub(crate) async fn insert_received(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    paper: &NewReceivedPaper,
    made: &[String],
) -> Result<String, StoreError> {
    let running = take_number(transaction, "received_paper").await?;
    let number = format!("IN-{running:06}");
    let sql = format!(
        "INSERT INTO received_papers ({COLUMNS}, running) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) \
         ON CONFLICT (kind, sender, sent_number) DO NOTHING"
    );
    let values = vec![
        number.as_str().into(),
        paper.kind.as_str().into(),
        paper.sender.as_str().into(),
        paper.sent_number.as_str().into(),
        paper.digest.as_str().into(),
        paper.media_type.as_str().into(),
        paper.body.as_str().into(),
        paper.not_understood.as_str().into(),
        paper.outcome.as_str().into(),
        made.join(" ").into(),
        paper.order.clone().into(),
        kept(paper.received_at).into(),
        paper.who.as_str().into(),
        running.into(),
    ];
    let done = transaction.execute_raw(statement(transaction, sql, values)).await?;
    if done.rows_affected() == 0 {
        return Err(StoreError::PaperReceived(paper.sent_number.clone()));
    }
    let event = ReceivedPaperEvent {
        received_paper: number.clone(),
        sort: paper.kind.clone(),
        supplier: Some(&paper.sender).filter(|sender| !sender.is_empty()).map(Code::from_stored),
        sent_number: paper.sent_number.clone(),
        order: paper.order.clone(),
        by: paper.who.clone(),
    };
    let changes = vec![Changed::made("digest", &paper.digest), Changed::made("outcome", &paper.outcome)];
    outbox.record(paper.received_at, Happened::ReceivedPaperTaken(event), changes);
    Ok(number)
}

fn paper_of(row: &QueryResult) -> Result<ReceivedPaper, StoreError> {
    let made: String = row.try_get_by_index(9)?;
    Ok(ReceivedPaper {
        number: row.try_get_by_index(0)?,
        paper: NewReceivedPaper {
            kind: row.try_get_by_index(1)?,
            sender: row.try_get_by_index(2)?,
            sent_number: row.try_get_by_index(3)?,
            digest: row.try_get_by_index(4)?,
            media_type: row.try_get_by_index(5)?,
            body: row.try_get_by_index(6)?,
            not_understood: row.try_get_by_index(7)?,
            outcome: row.try_get_by_index(8)?,
            order: row.try_get_by_index(10)?,
            received_at: row.try_get_by_index(11)?,
            who: row.try_get_by_index(12)?,
        },
        made: made.split(' ').filter(|number| !number.is_empty()).map(str::to_owned).collect(),
    })
}
