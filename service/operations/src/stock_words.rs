//! What a person writes of the shelf, read into the keys of the store.

use catalogue::{Code, Mark, PartKey};

use crate::identify_part::identify_part;
use crate::lookup_error::LookupError;
use crate::shop::Shop;
use crate::stock_error::StockError;

/// Longest text of a person: a name, a reason, a batch.
const TEXT_LENGTH_MAX: usize = 400;

/// The part of a number as written.
pub(crate) async fn part(shop: &Shop, written: &str, pointer: &str) -> Result<PartKey, StockError> {
    let part = identify_part(shop, written).await.map_err(|error| StockError::at(pointer, error))?;
    Ok(part.part)
}

/// A code as written.
pub(crate) fn code(written: &str, what: &'static str, pointer: &str) -> Result<Code, StockError> {
    Code::parse(written).map_err(|fault| {
        StockError::at(pointer, LookupError::Malformed { what, written: written.to_owned(), fault })
    })
}

/// The mark etched on a set; blanks at the ends are dropped.
pub(crate) fn mark(written: &str) -> Mark {
    Mark(written.trim().to_owned())
}

/// A text that must say something.
pub(crate) fn said(written: &str, what: &str, pointer: &str) -> Result<String, StockError> {
    let text = text(written, what, pointer)?;
    if text.is_empty() {
        return Err(StockError::bad(pointer, format!("{what} is empty; write it")));
    }
    Ok(text)
}

/// A text that may say nothing.
pub(crate) fn text(written: &str, what: &str, pointer: &str) -> Result<String, StockError> {
    let text = written.trim();
    if text.chars().count() > TEXT_LENGTH_MAX {
        let detail = format!("{what} is longer than {TEXT_LENGTH_MAX} characters");
        return Err(StockError::bad(pointer, detail));
    }
    if text.chars().any(char::is_control) {
        return Err(StockError::bad(pointer, format!("{what} holds a control character")));
    }
    Ok(text.to_owned())
}
