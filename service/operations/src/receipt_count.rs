//! From what was scanned or written to counted parts.

use catalogue::key::normalised;
use catalogue::{Code, Gtin, Mark, Part, PartKey, Quantity, Snapshot};
use resolver::receipt::CountedLine;

use crate::receipt_error::{CountPlace, ReceiptError};
use crate::receipt_expected::Against;
use crate::receive_box::{AskedCount, AskedReceipt};
use crate::shop::Shop;

/// Most lines of one count.
const LINES_MAX: usize = 2_000;
/// Most pieces of one line.
const QUANTITY_MAX: Quantity = Quantity::whole(1_000_000);

/// A count with its parts known.
pub(crate) struct Count {
    /// What was counted.
    pub(crate) lines: Vec<CountedLine>,
    /// Where each goes.
    pub(crate) targets: Vec<Target>,
    /// The parts that were expected and counted, with their notices and kit lists of today.
    pub(crate) snapshot: Snapshot,
}

/// Where counted pieces go.
pub(crate) struct Target {
    /// JSON pointer to the line.
    pub(crate) pointer: String,
    /// The bin that was named.
    pub(crate) bin: Option<Code>,
    /// The mark of a matched set.
    pub(crate) mark: Mark,
    /// The maker's batch.
    pub(crate) batch: String,
}

/// Reads a count; every fault is told with its place.
pub(crate) async fn read_counted(
    shop: &Shop,
    asked: &AskedReceipt,
    against: &Against,
) -> Result<Count, ReceiptError> {
    let given = given(asked)?;
    let expected: Vec<PartKey> = against
        .expected
        .iter()
        .map(|line| line.part.clone())
        .chain(against.boxes.iter().map(|frozen| frozen.kit.clone()))
        .collect();
    let families = shop.store().load_part_families(&expected).await?;
    let (mut lines, mut targets, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    let whole = asked.bin.as_deref().map(|bin| bin_code(bin, "/bin", &mut faults));
    for (pointer, line) in given {
        let damaged = line.damaged.unwrap_or(Quantity::ZERO);
        if line.quantity < Quantity::ZERO || line.quantity > QUANTITY_MAX {
            let detail = format!("the quantity must be from 0 to {QUANTITY_MAX}");
            faults.push(place(format!("{pointer}/quantity"), detail));
        } else if damaged < Quantity::ZERO || damaged > line.quantity {
            let detail =
                format!("{damaged} damaged of {} counted: damaged ones are among the counted", line.quantity);
            faults.push(place(format!("{pointer}/damaged"), detail));
        }
        let bin = match &line.bin {
            Some(bin) => bin_code(bin, &format!("{pointer}/bin"), &mut faults),
            None => whole.clone().flatten(),
        };
        match identify(shop, &line.part, &families).await? {
            Ok(part) => lines.push(CountedLine {
                written: line.part.trim().to_owned(),
                part,
                quantity: line.quantity,
                damaged,
            }),
            Err((detail, suggestions)) => {
                faults.push(CountPlace { pointer: format!("{pointer}/part"), detail, suggestions });
            }
        }
        targets.push(Target {
            pointer,
            bin,
            mark: Mark(line.mark.clone().unwrap_or_default().trim().to_owned()),
            batch: line.batch.clone().unwrap_or_default().trim().to_owned(),
        });
    }
    faults.extend(unknown_bins(shop, &targets).await?);
    if !faults.is_empty() {
        return Err(ReceiptError::Count(faults));
    }
    let counted = lines.iter().filter_map(|line| line.part.clone());
    let all: Vec<PartKey> = expected.into_iter().chain(counted).collect();
    let snapshot = shop.store().load_part_families(&all).await?;
    Ok(Count { lines, targets, snapshot })
}

fn place(pointer: impl Into<String>, detail: impl Into<String>) -> CountPlace {
    CountPlace { pointer: pointer.into(), detail: detail.into(), suggestions: Vec::new() }
}

/// The counted lines, from the list or from CSV, each with its place.
fn given(asked: &AskedReceipt) -> Result<Vec<(String, AskedCount)>, ReceiptError> {
    let one = |pointer: &str, detail: &str| ReceiptError::Count(vec![place(pointer, detail)]);
    let lines: Vec<(String, AskedCount)> = match (&asked.csv, asked.counted.as_slice()) {
        (Some(_), [_, ..]) => {
            return Err(one("/csv", "the count is given as a list and as CSV; give one of the two"));
        }
        (Some(text), []) => {
            let rows = exchange::read_count(text).map_err(|faults| {
                let told = faults.into_iter().map(|fault| {
                    let column = if fault.column.is_empty() {
                        String::new()
                    } else {
                        format!(", column {}", fault.column)
                    };
                    place("/csv", format!("row {}{column}: {}", fault.row, fault.detail))
                });
                ReceiptError::Count(told.collect())
            })?;
            let lines = rows.into_iter().map(|row| AskedCount {
                part: row.part,
                quantity: row.quantity,
                damaged: Some(row.damaged),
                bin: None,
                mark: None,
                batch: None,
            });
            lines.map(|line| ("/csv".to_owned(), line)).collect()
        }
        (None, counted) => {
            let places = (0..counted.len()).map(|at| format!("/counted/{at}"));
            places.zip(counted.iter().cloned()).collect()
        }
    };
    match lines.len() {
        0 => {
            Err(one("/counted", "nothing is counted; an empty box is counted by a line with the quantity 0"))
        }
        more if more > LINES_MAX => {
            Err(one("/counted", "more than 2000 lines are counted; send several receipts"))
        }
        _ => Ok(lines),
    }
}

fn bin_code(written: &str, pointer: &str, faults: &mut Vec<CountPlace>) -> Option<Code> {
    match Code::parse(written) {
        Ok(code) => Some(code),
        Err(fault) => {
            faults.push(place(pointer, format!("`{written}` is no bin: it {fault}")));
            None
        }
    }
}

async fn unknown_bins(shop: &Shop, targets: &[Target]) -> Result<Vec<CountPlace>, ReceiptError> {
    let named: Vec<Code> = targets.iter().filter_map(|target| target.bin.clone()).collect();
    let known = shop.store().known_bins(&named).await?;
    let unknown = targets.iter().filter_map(|target| {
        let bin = target.bin.as_ref().filter(|bin| !known.contains(bin))?;
        Some(place(format!("{}/bin", target.pointer), format!("there is no bin `{bin}`")))
    });
    Ok(unknown.collect())
}

/// A part, or none where the catalogue does not know the number; or what is wrong with the number, and what was meant.
type Identified = Result<Option<PartKey>, (String, Vec<String>)>;

/// The part of a number that was scanned or written. Of several makers' parts the one that the box should hold, or that is
/// tied to it, is meant.
async fn identify(shop: &Shop, written: &str, families: &Snapshot) -> Result<Identified, ReceiptError> {
    let number = normalised(written);
    if number.is_empty() {
        return Ok(Err(("the number is empty; scan or write it".to_owned(), Vec::new())));
    }
    if let Ok(key) = PartKey::parse(written)
        && let Some(part) = shop.store().find_part(&key).await?
    {
        return Ok(Ok(Some(part.part)));
    }
    let parts = shop.store().parts_by_number(&number).await?;
    if !parts.is_empty() {
        return Ok(one_of(written, parts, families));
    }
    let looks_scanned =
        matches!(number.len(), 8 | 12 | 13 | 14) && number.bytes().all(|byte| byte.is_ascii_digit());
    if !looks_scanned {
        return Ok(Ok(None));
    }
    match Gtin::parse(&number) {
        Ok(gtin) => {
            let parts = shop.store().parts_by_gtin(&gtin).await?;
            Ok(if parts.is_empty() { Ok(None) } else { one_of(written, parts, families) })
        }
        Err(fault) => Ok(Err((format!("`{written}` {fault}; scan it again"), Vec::new()))),
    }
}

fn one_of(written: &str, mut parts: Vec<Part>, families: &Snapshot) -> Identified {
    let all: Vec<String> = parts.iter().map(|part| part.part.to_string()).collect();
    if parts.len() > 1 {
        parts.retain(|part| families.parts.iter().any(|known| known.part == part.part));
    }
    match parts.as_slice() {
        [part] => Ok(Some(part.part.clone())),
        _ => {
            Err((format!("several makers use the number `{written}`: write one of {}", all.join(", ")), all))
        }
    }
}
