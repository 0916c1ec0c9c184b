//! Books a count of the shelf: the differences to its sheet, as adjustments.
//!
//! A count is held against what the ledger held when its sheet was printed, and the difference is added to what lies
//! there now. So a movement between printing and booking stays as it was booked; which lots moved is told, since a person
//! who counted after the movement has counted it a second time.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, PartKey, Quantity};
use chrono::Utc;
use serde::{Deserialize, Serialize};
use store::{AsOf, Booking, CountBooked, Lot, LotFilter, Posting, PostingKind};
use utoipa::ToSchema;

use crate::list_movements::{MovementSheet, movement_sheet};
use crate::receipt_error::{CountPlace, ReceiptError};
use crate::shop::Shop;
use crate::stock_error::StockError;
use crate::stock_words::{code, mark, part, said, text};

/// Most lots of one count.
const LINES_MAX: usize = 20_000;

/// A count of the shelf, or of some of it: a list or CSV.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShelfCount {
    /// Who counted.
    #[schema(min_length = 1, max_length = 400, example = "Olaf")]
    pub by: String,
    /// The ledger sequence that stands on the sheet.
    pub ledger_sequence: i64,
    /// The lots that were counted; what is left out was not counted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false, max_items = 20000)]
    pub lines: Vec<CountedLot>,
    /// The same as CSV with the columns `bin,part,mark,counted`: the sheet filled in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, example = "bin,part,mark,counted\nA-BEARINGS,BRANNOCH/900-6206,,2\n")]
    pub csv: Option<String>,
}

/// A lot that was counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CountedLot {
    /// The bin.
    #[schema(max_length = 80)]
    pub bin: String,
    /// The part: MAKER/NUMBER, or the number alone.
    #[schema(max_length = 160)]
    pub part: String,
    /// The mark etched on a matched set; left out: none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 80)]
    pub mark: String,
    /// How many lie there.
    pub counted: Quantity,
}

/// What came of a count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CountResult {
    /// How many lots were counted.
    pub counted: usize,
    /// How many were as booked.
    pub right: usize,
    /// The adjustments that were booked.
    pub adjustments: Vec<MovementSheet>,
    /// Counted lots in which something moved after the sheet was printed; whoever counted after that counts them again.
    pub moved_since: Vec<MovedLot>,
}

/// A counted lot that moved after the sheet was printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MovedLot {
    /// The bin.
    pub bin: Code,
    /// The part.
    pub part: PartKey,
    /// The mark; empty: none.
    pub mark: catalogue::Mark,
}

/// Books the differences of a count: all of them or none.
pub async fn book_count(shop: &Shop, asked: &ShelfCount) -> Result<CountResult, ReceiptError> {
    let by = said(&asked.by, "who counts", "/by").map_err(of_stock)?;
    let last = shop.store().revisions().await?.ledger;
    if !(0..=last).contains(&asked.ledger_sequence) {
        let detail = format!("the ledger is at {last}; write the sequence that stands on the sheet");
        return Err(ReceiptError::Count(vec![place("/ledger_sequence", detail)]));
    }
    let counted = read(shop, given(asked)?).await?;
    let as_of = AsOf::Sequence(asked.ledger_sequence);
    let held = shop.store().past_balances(as_of, &LotFilter::default(), None, u64::from(u32::MAX)).await?;
    let held: BTreeMap<Lot, Quantity> = held.into_iter().map(|lot| (lot.lot, lot.quantity)).collect();
    let moved: BTreeSet<Lot> =
        shop.store().lots_moved_since(asked.ledger_sequence).await?.into_iter().collect();
    let difference = |(lot, (_, counted)): (&Lot, &(String, Quantity))| {
        let difference = *counted - held.get(lot).copied().unwrap_or_default();
        (difference != Quantity::ZERO).then(|| Posting {
            lot: lot.clone(),
            kind: PostingKind::Adjust { difference, value: None },
            batch: String::new(),
            reason: format!("count against the sheet at {}", asked.ledger_sequence),
        })
    };
    let postings: Vec<Posting> = counted.iter().filter_map(difference).collect();
    let right = counted.len() - postings.len();
    let adjustments = if postings.is_empty() {
        Vec::new()
    } else {
        let booking = Booking { by, at: Utc::now(), paper: None, postings };
        match shop.store().book_count(&booking, asked.ledger_sequence).await? {
            CountBooked::Booked(movements) => movements.into_iter().map(movement_sheet).collect(),
            CountBooked::AdjustedSince(lot) => {
                let pointer = counted.get(&lot).map_or("", |(pointer, _)| pointer);
                let detail = format!(
                    "{} in {} was adjusted after the sheet was printed, perhaps by this very count; print a new sheet",
                    lot.part, lot.bin
                );
                return Err(ReceiptError::Count(vec![place(pointer, detail)]));
            }
        }
    };
    let moved_since = counted.keys().filter(|lot| moved.contains(lot)).map(|lot| MovedLot {
        bin: lot.bin.clone(),
        part: lot.part.clone(),
        mark: lot.mark.clone(),
    });
    Ok(CountResult { counted: counted.len(), right, adjustments, moved_since: moved_since.collect() })
}

/// The counted lots with their places, from the list or from CSV.
fn given(asked: &ShelfCount) -> Result<Vec<(String, CountedLot)>, ReceiptError> {
    let refuse = |pointer: &str, detail: &str| ReceiptError::Count(vec![place(pointer, detail)]);
    let lines: Vec<(String, CountedLot)> = match (&asked.csv, asked.lines.as_slice()) {
        (Some(_), [_, ..]) => {
            return Err(refuse("/csv", "the count is given as a list and as CSV; give one of the two"));
        }
        (Some(text), []) => {
            let rows = exchange::read_shelf_count(text).map_err(|faults| {
                let told = faults.into_iter().map(|fault| {
                    let column = Some(fault.column).filter(|column| !column.is_empty());
                    let column = column.map_or(String::new(), |column| format!(", column {column}"));
                    place("/csv", format!("row {}{column}: {}", fault.row, fault.detail))
                });
                ReceiptError::Count(told.collect())
            })?;
            let line = |row: exchange::ShelfCountRow| CountedLot {
                bin: row.bin,
                part: row.part,
                mark: row.mark,
                counted: row.counted,
            };
            rows.into_iter().map(|row| ("/csv".to_owned(), line(row))).collect()
        }
        (None, lines) => {
            lines.iter().enumerate().map(|(at, line)| (format!("/lines/{at}"), line.clone())).collect()
        }
    };
    match lines.len() {
        0 => {
            Err(refuse("/lines", "nothing is counted; an empty bin is counted by a line with the quantity 0"))
        }
        more if more > LINES_MAX => {
            Err(refuse("/lines", "more than 20000 lots are counted; send several counts"))
        }
        _ => Ok(lines),
    }
}

/// Reads what a person wrote; every fault is told.
async fn read(
    shop: &Shop,
    lines: Vec<(String, CountedLot)>,
) -> Result<BTreeMap<Lot, (String, Quantity)>, ReceiptError> {
    let (mut counted, mut faults) = (BTreeMap::new(), Vec::new());
    for (pointer, line) in lines {
        match lot(shop, &line, &pointer).await {
            Ok(lot) if line.counted < Quantity::ZERO => {
                faults.push(place(
                    format!("{pointer}/counted"),
                    format!("{} of {} is below zero", line.counted, lot.part),
                ));
            }
            Ok(lot) => {
                let words = format!("{} in {} is counted twice", lot.part, lot.bin);
                if counted.insert(lot, (pointer.clone(), line.counted)).is_some() {
                    faults.push(place(pointer, words));
                }
            }
            Err(StockError::Store(error)) => return Err(error.into()),
            Err(StockError::Lookup { pointer, error }) => {
                faults.push(place(pointer, error.to_string()));
            }
            Err(StockError::Bad { pointer, detail }) => faults.push(place(pointer, detail)),
        }
    }
    if faults.is_empty() { Ok(counted) } else { Err(ReceiptError::Count(faults)) }
}

async fn lot(shop: &Shop, line: &CountedLot, pointer: &str) -> Result<Lot, StockError> {
    // A sheet's row is told by its words; the columns of CSV have no pointer of their own.
    let at = |field: &str| if pointer == "/csv" { pointer.to_owned() } else { format!("{pointer}/{field}") };
    Ok(Lot {
        part: part(shop, &line.part, &at("part")).await?,
        bin: code(&line.bin, "bin", &at("bin"))?,
        mark: mark(&text(&line.mark, "the mark", &at("mark"))?),
    })
}

fn place(pointer: impl Into<String>, detail: impl Into<String>) -> CountPlace {
    CountPlace { pointer: pointer.into(), detail: detail.into(), suggestions: Vec::new() }
}

fn of_stock(error: StockError) -> ReceiptError {
    match error {
        StockError::Store(error) => error.into(),
        StockError::Bad { pointer, detail } => ReceiptError::Count(vec![place(pointer, detail)]),
        StockError::Lookup { pointer, error } => ReceiptError::Count(vec![place(pointer, error.to_string())]),
    }
}
