//! For whom the pieces of an order line are, where a line serves several.

use std::collections::BTreeMap;

use catalogue::{PartKey, Quantity};
use sea_orm::{ConnectionTrait, DatabaseTransaction};

use super::OrderContent;
use crate::error::StoreError;
use crate::select::statement;

/// Pieces of an order line that are for somebody.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderShare {
    /// The content of the line of which they are.
    pub content: i64,
    /// The part that was needed; a substitute that was taken since may stand in its place.
    pub part: PartKey,
    /// The job; `None`: the shelf.
    pub job: Option<String>,
    /// The quote that decided what the job needs.
    pub quote: Option<String>,
    /// How many of all pieces of the content.
    pub quantity: Quantity,
}

/// Deals pieces of a content out to those they are for, the first share first; the shelf comes last. One figure for each
/// share, nought for those of other contents.
pub fn dealt(shares: &[OrderShare], content: i64, pieces: Quantity) -> Vec<Quantity> {
    let mut left = pieces.max(Quantity::ZERO);
    let mut dealt = vec![Quantity::ZERO; shares.len()];
    for of_shelf in [false, true] {
        for (share, given) in shares.iter().zip(&mut dealt) {
            if share.content == content && share.job.is_none() == of_shelf {
                *given = share.quantity.min(left);
                left = left - *given;
            }
        }
    }
    dealt
}

/// What each share gets of the pieces of a content that come behind so many up to so many.
pub fn dealt_between(
    shares: &[OrderShare],
    content: i64,
    from: Quantity,
    to: Quantity,
) -> impl Iterator<Item = (&OrderShare, Quantity)> {
    let (before, after) = (dealt(shares, content, from), dealt(shares, content, to));
    shares.iter().zip(after.into_iter().zip(before)).map(|(share, (after, before))| (share, after - before))
}

/// Writes down for whom the pieces of a line are.
pub(super) async fn insert_shares(
    transaction: &DatabaseTransaction,
    number: &str,
    line: i64,
    shares: &[OrderShare],
) -> Result<(), StoreError> {
    let sql = "INSERT INTO order_shares (number, line, share, content, part, job, quote, quantity) \
               VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
    for (at, share) in (1_i64..).zip(shares) {
        let values = vec![
            number.into(),
            line.into(),
            at.into(),
            share.content.into(),
            share.part.as_str().into(),
            share.job.clone().into(),
            share.quote.clone().into(),
            share.quantity.raw().into(),
        ];
        transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    }
    Ok(())
}

/// The shares of an order by line.
pub(super) async fn shares_of(
    db: &impl ConnectionTrait,
    number: &str,
) -> Result<BTreeMap<i64, Vec<OrderShare>>, StoreError> {
    let sql = "SELECT line, content, part, job, quote, quantity FROM order_shares \
               WHERE number = $1 ORDER BY line, share";
    let rows = db.query_all_raw(statement(db, sql.to_owned(), vec![number.into()])).await?;
    let mut shares: BTreeMap<i64, Vec<OrderShare>> = BTreeMap::new();
    for row in rows {
        shares.entry(row.try_get_by_index(0)?).or_default().push(OrderShare {
            content: row.try_get_by_index(1)?,
            part: PartKey::from_stored(row.try_get_by_index::<String>(2)?),
            job: row.try_get_by_index(3)?,
            quote: row.try_get_by_index(4)?,
            quantity: Quantity::from_raw(row.try_get_by_index(5)?),
        });
    }
    Ok(shares)
}

/// What the lines of an order were for before substitutes were taken, by line, the first first.
pub(super) async fn replaced_of(
    db: &impl ConnectionTrait,
    number: &str,
) -> Result<BTreeMap<i64, Vec<PartKey>>, StoreError> {
    let sql = "SELECT line, part FROM order_replaced_parts WHERE number = $1 ORDER BY line, place";
    let rows = db.query_all_raw(statement(db, sql.to_owned(), vec![number.into()])).await?;
    let mut replaced: BTreeMap<i64, Vec<PartKey>> = BTreeMap::new();
    for row in rows {
        let part = PartKey::from_stored(row.try_get_by_index::<String>(1)?);
        replaced.entry(row.try_get_by_index(0)?).or_default().push(part);
    }
    Ok(replaced)
}

/// Keeps what a line is for now, before a substitute takes its place.
pub(super) async fn keep_replaced(
    transaction: &DatabaseTransaction,
    number: &str,
    line: i64,
) -> Result<(), StoreError> {
    let sql = "INSERT INTO order_replaced_parts (number, line, place, part) \
               SELECT l.number, l.line, 1 + (SELECT COUNT(*) FROM order_replaced_parts r \
               WHERE r.number = l.number AND r.line = l.line), l.part \
               FROM order_lines l WHERE l.number = $1 AND l.line = $2";
    let values = vec![number.into(), line.into()];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    Ok(())
}

/// Lets the shares of a line speak of its new contents: of the one that brings the same part, or else of the first.
pub(super) async fn move_shares(
    transaction: &DatabaseTransaction,
    number: &str,
    line: i64,
    contents: &[OrderContent],
) -> Result<(), StoreError> {
    let shares = shares_of(transaction, number).await?.remove(&line).unwrap_or_default();
    let sql = "UPDATE order_shares SET content = $4 WHERE number = $1 AND line = $2 AND share = $3";
    for (at, share) in (1_i64..).zip(shares) {
        let same = contents.iter().find(|content| content.part == share.part);
        let content = same.or(contents.first()).map_or(1, |content| content.content);
        let values = vec![number.into(), line.into(), at.into(), content.into()];
        transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn jobs_get_their_pieces_before_the_shelf_and_each_no_more_than_its_share() {
        let share = |content: i64, job: Option<&str>, quantity: i64| OrderShare {
            content,
            part: PartKey::from_stored("V/S1"),
            job: job.map(str::to_owned),
            quote: None,
            quantity: Quantity::whole(quantity),
        };
        let shares = [
            share(1, None, 2),
            share(1, Some("J-000001"), 3),
            share(2, Some("J-000001"), 1),
            share(1, Some("J-000002"), 4),
        ];
        let told = |content, pieces| -> Vec<i64> {
            let dealt = dealt(&shares, content, Quantity::whole(pieces));
            dealt.iter().map(|quantity| quantity.raw() / Quantity::SCALE).collect()
        };
        assert_eq!(told(1, 10), [2, 3, 0, 4]);
        assert_eq!(told(1, 8), [1, 3, 0, 4]);
        assert_eq!(told(1, 5), [0, 3, 0, 2]);
        assert_eq!(told(2, 5), [0, 0, 1, 0]);
        assert_eq!(told(1, -1), [0, 0, 0, 0]);
    }
}
