//! From what a person writes to a part: a maker and a number, or a number alone.

use catalogue::key::{KeyFault, normalised};
use catalogue::{Part, PartKey};

use crate::identify_unit::CLOSEST;
use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// The part of a number as written, with its maker before a slash or without; spaces, dashes, dots and case do not
/// matter. A number that several makers use asks for the maker.
pub(crate) async fn identify_part(shop: &Shop, written: &str) -> Result<Part, LookupError> {
    let malformed = |fault| LookupError::Malformed { what: "part", written: written.to_owned(), fault };
    let named = match PartKey::parse(written) {
        Ok(key) => shop.store().find_part(&key).await?,
        Err(KeyFault::NoMaker) => None,
        Err(fault) => return Err(malformed(fault)),
    };
    if let Some(part) = named {
        return Ok(part);
    }
    let number = normalised(written);
    if number.is_empty() {
        return Err(malformed(KeyFault::Empty));
    }
    // A maker's number may itself hold a slash.
    let mut parts = shop.store().parts_by_number(&number).await?;
    if parts.len() > 1 {
        let makers = parts.iter().map(written_part).collect();
        return Err(LookupError::PartOfSeveral { written: written.to_owned(), makers });
    }
    match parts.pop() {
        Some(part) => Ok(part),
        None => {
            let number = written.split_once('/').map_or(number.clone(), |(_, number)| normalised(number));
            let closest = shop.store().closest_parts(&number, CLOSEST).await?;
            let closest = closest.iter().map(written_part).collect();
            Err(LookupError::Part { written: written.to_owned(), closest })
        }
    }
}

/// A part as a person writes it in full.
fn written_part(part: &Part) -> String {
    format!("{}/{}", part.maker, part.number)
}
