//! Claims on suppliers for what was wrong with a box, and what each supplier was short of over time.

use catalogue::event::{ClaimEvent, Happened};
use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::{DateTime, NaiveDate, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction, QueryResult, Value};

use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::{kept, take_number};
use crate::outbox::Outbox;
use crate::select::statement;
use crate::store::Store;

/// A claim that is to be opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewClaim {
    /// On whom.
    pub supplier: Code,
    /// The currency of its amounts.
    pub currency: Currency,
    /// Its lines.
    pub lines: Vec<ClaimLine>,
}

/// A line of a claim.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClaimLine {
    /// What is wrong: `short`, `damaged`, `wrong`, `over`.
    pub kind: String,
    /// The part; `None`: the catalogue does not know the number.
    pub part: Option<PartKey>,
    /// The number as it was counted or ordered.
    pub written: String,
    /// The order line and its content; `None`: none.
    pub place: Option<(i64, i64)>,
    /// How many.
    pub quantity: Quantity,
    /// What one is worth.
    pub unit_value: Money,
    /// What is claimed.
    pub amount: Money,
    /// Why, in words.
    pub reason: String,
}

/// What was done with a claim.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClaimStep {
    /// What was done.
    pub what: String,
    /// The state after it.
    pub state: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Who did it.
    pub by: String,
    /// Its particulars.
    pub detail: String,
}

/// A claim.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SupplierClaim {
    /// What is in a list, too.
    pub entry: ClaimEntry,
    /// Its lines.
    pub lines: Vec<ClaimLine>,
    /// What was done with it, the first step first.
    pub steps: Vec<ClaimStep>,
}

/// A claim in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClaimEntry {
    /// Its number, such as `CL-000001`.
    pub number: String,
    /// Counts its changes.
    pub version: i64,
    /// On whom.
    pub supplier: Code,
    /// The receipt that opened it.
    pub receipt: String,
    /// The order.
    pub order: Option<String>,
    /// Its state.
    pub state: String,
    /// The currency of its amounts.
    pub currency: Currency,
    /// When it was opened.
    pub created_at: DateTime<Utc>,
    /// Who opened it.
    pub created_by: String,
    /// What is claimed in all.
    pub amount: Money,
}

/// Which claims are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ClaimFilter {
    /// On this supplier.
    pub supplier: Option<Code>,
    /// In this state.
    pub state: Option<String>,
    /// For this order.
    pub order: Option<String>,
}

/// What a supplier was short of, of one part in one month.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SupplierFault {
    /// First day of the month.
    pub month: NaiveDate,
    /// What was wrong.
    pub kind: String,
    /// The part; `None`: an unknown number.
    pub part: Option<PartKey>,
    /// How many.
    pub quantity: Quantity,
    /// What was claimed.
    pub amount: Money,
    /// On how many claims.
    pub claims: i64,
}

const ENTRY: &str = "c.number, c.version, c.supplier, c.receipt, c.order_number, c.state, c.currency, c.created_at, \
     c.created_by, (SELECT CAST(COALESCE(SUM(l.amount), 0) AS bigint) FROM claim_lines l WHERE l.claim = c.number)";

impl Store {
    /// The claim of a number.
    pub async fn claim_of(&self, number: &str) -> Result<Option<SupplierClaim>, StoreError> {
        let transaction = self.begin_reading().await?;
        let sql = format!("SELECT {ENTRY} FROM claims c WHERE c.number = $1");
        let of_number = || vec![Value::from(number)];
        let Some(row) = transaction.query_one_raw(statement(&transaction, sql, of_number())).await? else {
            return Ok(None);
        };
        let entry = entry_of(&row)?;
        let sql = "SELECT kind, part, written, order_line, content, quantity, unit_value, amount, reason \
                   FROM claim_lines WHERE claim = $1 ORDER BY line";
        let rows = transaction.query_all_raw(statement(&transaction, sql.to_owned(), of_number())).await?;
        let lines = rows.iter().map(line_of).collect::<Result<_, _>>()?;
        let sql = "SELECT what, state, at, who, detail FROM claim_steps WHERE claim = $1 ORDER BY step";
        let rows = transaction.query_all_raw(statement(&transaction, sql.to_owned(), of_number())).await?;
        let steps = rows.iter().map(step_of).collect::<Result<_, _>>()?;
        transaction.commit().await?;
        Ok(Some(SupplierClaim { entry, lines, steps }))
    }

    /// The claims behind a number, the oldest first, at most so many. Behind a number that there is none of comes nothing.
    pub async fn list_claims(
        &self,
        filter: &ClaimFilter,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<ClaimEntry>, StoreError> {
        let mut sql = format!("SELECT {ENTRY} FROM claims c WHERE TRUE");
        let mut values: Vec<Value> = Vec::new();
        let mut narrow = |condition: &str, value: &str| {
            values.push(value.into());
            sql.push_str(&format!(" AND {}", condition.replace('?', &format!("${}", values.len()))));
        };
        if let Some(supplier) = &filter.supplier {
            narrow("c.supplier = ?", supplier.as_str());
        }
        if let Some(state) = &filter.state {
            narrow("c.state = ?", state);
        }
        if let Some(order) = &filter.order {
            narrow("c.order_number = ?", order);
        }
        if let Some(after) = after {
            narrow("c.running > (SELECT a.running FROM claims a WHERE a.number = ?)", after);
        }
        sql.push_str(&format!(" ORDER BY c.running LIMIT {limit}"));
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(entry_of).collect()
    }

    /// Takes a step of a claim, if it is still at the version on which that was decided.
    ///
    /// # Errors
    /// [`StoreError::ClaimChanged`] where it is not.
    pub async fn change_claim(&self, number: &str, version: i64, step: &ClaimStep) -> Result<(), StoreError> {
        let transaction = self.begin_writing().await?;
        let before = state_of(&transaction, number).await?;
        let sql = "UPDATE claims SET version = version + 1, state = $3 WHERE number = $1 AND version = $2";
        let values = vec![number.into(), version.into(), step.state.as_str().into()];
        let done = transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        if done.rows_affected() == 0 {
            return Err(StoreError::ClaimChanged(number.to_owned()));
        }
        let mut outbox = Outbox::default();
        add_step(&transaction, number, step).await?;
        let changes = vec![Changed::new("state", before, Some(&step.state))];
        outbox.record(step.at, Happened::ClaimChanged(event_of(number, step)), changes);
        self.finish(transaction, outbox).await?;
        Ok(())
    }

    /// What of an order is claimed as short or damaged by claims that are not withdrawn or refused, by line and content.
    pub async fn claimed_of_order(&self, order: &str) -> Result<Vec<((i64, i64), Quantity)>, StoreError> {
        let sql = "SELECT l.order_line, l.content, CAST(SUM(l.quantity) AS bigint) FROM claim_lines l \
                   JOIN claims c ON c.number = l.claim WHERE c.order_number = $1 AND l.kind IN ('short', 'damaged') \
                   AND l.order_line IS NOT NULL AND c.state NOT IN ('withdrawn', 'refused') \
                   GROUP BY l.order_line, l.content ORDER BY l.order_line, l.content";
        let rows = self.db.query_all_raw(statement(&self.db, sql.to_owned(), vec![order.into()])).await?;
        let mut claimed = Vec::with_capacity(rows.len());
        for row in rows {
            let place = (row.try_get_by_index(0)?, row.try_get_by_index(1)?);
            claimed.push((place, Quantity::from_raw(row.try_get_by_index(2)?)));
        }
        Ok(claimed)
    }

    /// What was wrong with a supplier's boxes, month by month, withdrawn claims apart: by month, kind and part.
    pub async fn supplier_faults(&self, supplier: &Code) -> Result<Vec<SupplierFault>, StoreError> {
        let sql = "SELECT c.created_at, l.kind, l.part, l.quantity, l.amount, c.number FROM claims c \
                   JOIN claim_lines l ON l.claim = c.number \
                   WHERE c.supplier = $1 AND c.state <> 'withdrawn' ORDER BY c.running, l.line";
        let rows = self
            .db
            .query_all_raw(statement(&self.db, sql.to_owned(), vec![supplier.as_str().into()]))
            .await?;
        summed(&rows)
    }
}

fn summed(rows: &[QueryResult]) -> Result<Vec<SupplierFault>, StoreError> {
    use chrono::Datelike;
    type Sum = (Quantity, Money, std::collections::BTreeSet<String>);
    let mut sums: std::collections::BTreeMap<(NaiveDate, String, Option<PartKey>), Sum> = Default::default();
    for row in rows {
        let at: DateTime<Utc> = row.try_get_by_index(0)?;
        let month = at.date_naive().with_day(1).unwrap_or_else(|| at.date_naive());
        let part = row.try_get_by_index::<Option<String>>(2)?.map(PartKey::from_stored);
        let sum = sums.entry((month, row.try_get_by_index(1)?, part)).or_default();
        sum.0 += Quantity::from_raw(row.try_get_by_index(3)?);
        sum.1 += Money::from_raw(row.try_get_by_index(4)?);
        sum.2.insert(row.try_get_by_index(5)?);
    }
    let faults = sums.into_iter().map(|((month, kind, part), (quantity, amount, claims))| SupplierFault {
        month,
        kind,
        part,
        quantity,
        amount,
        claims: i64::try_from(claims.len()).unwrap_or(i64::MAX),
    });
    Ok(faults.collect())
}

/// Opens a claim for a receipt that is being stored.
pub(crate) async fn insert_claim(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    claim: &NewClaim,
    receipt: &str,
    order: Option<&str>,
    (at, by): (DateTime<Utc>, &str),
) -> Result<(), StoreError> {
    let running = take_number(transaction, "claim").await?;
    let number = format!("CL-{running:06}");
    let sql = "INSERT INTO claims (number, running, version, supplier, receipt, order_number, state, currency, \
               created_at, created_by) VALUES ($1, $2, 1, $3, $4, $5, 'open', $6, $7, $8)";
    let values = vec![
        number.as_str().into(),
        running.into(),
        claim.supplier.as_str().into(),
        receipt.into(),
        order.map(str::to_owned).into(),
        claim.currency.as_str().into(),
        kept(at).into(),
        by.into(),
    ];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    let sql = "INSERT INTO claim_lines (claim, line, kind, part, written, order_line, content, quantity, unit_value, \
               amount, reason) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
    for (at, line) in (1_i64..).zip(&claim.lines) {
        let values = vec![
            number.as_str().into(),
            at.into(),
            line.kind.as_str().into(),
            line.part.as_ref().map(|part| part.as_str().to_owned()).into(),
            line.written.as_str().into(),
            line.place.map(|(line, _)| line).into(),
            line.place.map(|(_, content)| content).into(),
            line.quantity.raw().into(),
            line.unit_value.raw().into(),
            line.amount.raw().into(),
            line.reason.as_str().into(),
        ];
        transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    }
    let step = ClaimStep {
        what: "open".to_owned(),
        state: "open".to_owned(),
        at,
        by: by.to_owned(),
        detail: receipt.to_owned(),
    };
    add_step(transaction, &number, &step).await?;
    let changes = vec![Changed::made("state", &step.state), Changed::made("receipt", receipt)];
    outbox.record(at, Happened::ClaimOpened(event_of(&number, &step)), changes);
    Ok(())
}

/// Withdraws the claim of a receipt that is taken back.
pub(crate) async fn withdraw_claim(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    number: &str,
    (at, by): (DateTime<Utc>, &str),
    reversal: &str,
) -> Result<(), StoreError> {
    let before = state_of(transaction, number).await?;
    let sql = "UPDATE claims SET version = version + 1, state = 'withdrawn' \
               WHERE number = $1 AND state IN ('open', 'sent')";
    let done = transaction.execute_raw(statement(transaction, sql.to_owned(), vec![number.into()])).await?;
    if done.rows_affected() == 0 {
        return Err(StoreError::ClaimDecided(number.to_owned()));
    }
    let step = ClaimStep {
        what: "withdraw".to_owned(),
        state: "withdrawn".to_owned(),
        at,
        by: by.to_owned(),
        detail: reversal.to_owned(),
    };
    add_step(transaction, number, &step).await?;
    let changes = vec![Changed::new("state", before, Some(&step.state))];
    outbox.record(at, Happened::ClaimChanged(event_of(number, &step)), changes);
    Ok(())
}

/// The state of a claim, as the transaction sees it before it changes it.
async fn state_of(transaction: &DatabaseTransaction, number: &str) -> Result<Option<String>, StoreError> {
    let sql = "SELECT state FROM claims WHERE number = $1";
    let row = transaction.query_one_raw(statement(transaction, sql.to_owned(), vec![number.into()])).await?;
    Ok(row.map(|row| row.try_get_by_index(0)).transpose()?)
}

fn event_of(claim: &str, step: &ClaimStep) -> ClaimEvent {
    ClaimEvent {
        claim: claim.to_owned(),
        step: step.what.clone(),
        state: step.state.clone(),
        by: step.by.clone(),
        detail: step.detail.clone(),
    }
}

/// Writes a step down. The claim itself must be held by the transaction.
async fn add_step(
    transaction: &DatabaseTransaction,
    number: &str,
    step: &ClaimStep,
) -> Result<(), StoreError> {
    let sql = "INSERT INTO claim_steps (claim, step, what, state, at, who, detail) \
               SELECT $1, COALESCE(MAX(step), 0) + 1, CAST($2 AS text), CAST($3 AS text), $4, CAST($5 AS text), \
               CAST($6 AS text) FROM claim_steps WHERE claim = $1";
    let values = vec![
        number.into(),
        step.what.as_str().into(),
        step.state.as_str().into(),
        kept(step.at).into(),
        step.by.as_str().into(),
        step.detail.as_str().into(),
    ];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    Ok(())
}

fn entry_of(row: &QueryResult) -> Result<ClaimEntry, StoreError> {
    let currency: String = row.try_get_by_index(6)?;
    Ok(ClaimEntry {
        number: row.try_get_by_index(0)?,
        version: row.try_get_by_index(1)?,
        supplier: Code::from_stored(row.try_get_by_index::<String>(2)?),
        receipt: row.try_get_by_index(3)?,
        order: row.try_get_by_index(4)?,
        state: row.try_get_by_index(5)?,
        currency: Currency::parse(&currency)
            .ok_or(StoreError::BadRow { table: "claims", column: "currency".to_owned() })?,
        created_at: row.try_get_by_index(7)?,
        created_by: row.try_get_by_index(8)?,
        amount: Money::from_raw(row.try_get_by_index(9)?),
    })
}

fn line_of(row: &QueryResult) -> Result<ClaimLine, StoreError> {
    let (line, content): (Option<i64>, Option<i64>) = (row.try_get_by_index(3)?, row.try_get_by_index(4)?);
    Ok(ClaimLine {
        kind: row.try_get_by_index(0)?,
        part: row.try_get_by_index::<Option<String>>(1)?.map(PartKey::from_stored),
        written: row.try_get_by_index(2)?,
        place: line.zip(content),
        quantity: Quantity::from_raw(row.try_get_by_index(5)?),
        unit_value: Money::from_raw(row.try_get_by_index(6)?),
        amount: Money::from_raw(row.try_get_by_index(7)?),
        reason: row.try_get_by_index(8)?,
    })
}

fn step_of(row: &QueryResult) -> Result<ClaimStep, StoreError> {
    Ok(ClaimStep {
        what: row.try_get_by_index(0)?,
        state: row.try_get_by_index(1)?,
        at: row.try_get_by_index(2)?,
        by: row.try_get_by_index(3)?,
        detail: row.try_get_by_index(4)?,
    })
}
