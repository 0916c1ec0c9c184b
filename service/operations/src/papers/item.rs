//! From an item of a paper to a part, and back.

use catalogue::{Part, PartKey, Quantity, UnitOfMeasure};
use exchange::papers::{Item, Measure, Party, Unit};

use super::error::{PaperError, PaperFault};
use crate::identify_part::identify_part;
use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// The part that an item names. The shop's own number says it first, then the maker's with its maker, then the GTIN, then
/// the maker's number alone, then the seller's. `Ok(Err(fault))` where none of them is known.
pub(super) async fn part_of(
    shop: &Shop,
    item: &Item,
    place: &str,
) -> Result<Result<Part, PaperFault>, PaperError> {
    let maker = item.manufacturer.as_ref().and_then(|maker| maker.code.as_deref());
    let of_maker = match (maker, &item.manufacturers_number) {
        (Some(maker), Some(number)) => Some(format!("{maker}/{number}")),
        _ => None,
    };
    let mut fault = None;
    for written in [item.buyers_number.clone(), of_maker].into_iter().flatten() {
        match looked_up(shop, &written, place).await? {
            Ok(part) => return Ok(Ok(part)),
            Err(found) => fault = fault.or(Some(found)),
        }
    }
    if let Some(gtin) = &item.gtin
        && let [part] = shop.store().parts_by_gtin(gtin).await?.as_slice()
    {
        return Ok(Ok(part.clone()));
    }
    for written in [item.manufacturers_number.clone(), item.sellers_number.clone()].into_iter().flatten() {
        match looked_up(shop, &written, place).await? {
            Ok(part) => return Ok(Ok(part)),
            Err(found) => fault = fault.or(Some(found)),
        }
    }
    let unnamed = || {
        PaperFault::new(
            place,
            "the item has no number that the catalogue knows; give the shop's number MAKER/NUMBER as the buyer's, or the \
             maker's number with the code of the maker",
        )
    };
    Ok(Err(fault.unwrap_or_else(unnamed)))
}

async fn looked_up(shop: &Shop, written: &str, place: &str) -> Result<Result<Part, PaperFault>, PaperError> {
    match identify_part(shop, written).await {
        Ok(part) => Ok(Ok(part)),
        Err(LookupError::Store(error)) => Err(error.into()),
        Err(LookupError::Part { written, closest }) => Ok(Err(PaperFault {
            place: place.to_owned(),
            detail: format!("there is no part `{written}`"),
            suggestions: closest,
        })),
        Err(error) => Ok(Err(PaperFault::new(place, error.to_string()))),
    }
}

/// A quantity of a part, if it is counted in the part's unit.
pub(super) fn quantity_of(measure: &Measure, part: &Part, place: &str) -> Result<Quantity, PaperFault> {
    if measure.unit.measure() == Some(part.measure) {
        return Ok(measure.quantity);
    }
    let detail = format!(
        "`{}` is not the unit of {}; it is counted in `{}`",
        measure.unit,
        part.part,
        part.measure.word()
    );
    Err(PaperFault::new(place, detail))
}

/// How many of something counted in a unit.
pub(super) fn measure(quantity: Quantity, unit: UnitOfMeasure) -> Measure {
    Measure { quantity, unit: Unit::from(unit) }
}

/// A part as an item.
pub(super) fn item_of(part: &Part) -> Item {
    Item {
        name: Some(part.name.clone()),
        buyers_number: Some(written(part)),
        manufacturers_number: Some(part.number.clone()),
        gtin: part.gtin.clone(),
        manufacturer: Some(Party { code: Some(part.maker.as_str().to_owned()), name: None }),
        ..Item::default()
    }
}

/// A number of which the catalogue knows no more.
pub(super) fn item_of_key(part: &PartKey) -> Item {
    Item {
        name: Some(part.as_str().to_owned()),
        buyers_number: Some(part.as_str().to_owned()),
        ..Item::default()
    }
}

/// A part as a person writes it in full.
pub(super) fn written(part: &Part) -> String {
    format!("{}/{}", part.maker, part.number)
}
