//! What a supersession or a bad batch that is entered today would touch: units, kits, open quotes, stock, and what
//! is inside serial numbers.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{
    Code, Interchange, Mark, PartKey, Quantity, Snapshot, StockLot, Supersession, SupersessionShape, UnitKey,
};
use chrono::{DateTime, NaiveDate, Utc};
use resolver::answer::CautionNote;
use resolver::{Event, NoticeEffects, notice_effects};
use serde::{Deserialize, Serialize};
use store::AsBuiltRow;
use utoipa::ToSchema;

use crate::identify_part::identify_part;
use crate::lookup_error::LookupError;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::translate_request::{code, part};

/// What would be entered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "event", rename_all = "snake_case", deny_unknown_fields)]
pub enum AskedEvent {
    /// A notice that an old number gives way to a new one.
    Notice {
        /// The old number: MAKER/NUMBER, or the number alone.
        old: String,
        /// The new number; MAKER/NUMBER where the catalogue does not hold it yet.
        new: String,
        /// Code of the notice, where it is in the catalogue already.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        notice: Option<String>,
        /// In which direction they may serve for each other; left out: new for old.
        #[serde(default = "new_for_old")]
        #[schema(default = "new_for_old")]
        interchange: Interchange,
        /// How old and new numbers relate; left out: one to one.
        #[serde(default = "one_to_one")]
        #[schema(default = "one_to_one")]
        shape: SupersessionShape,
    },
    /// A part, or a batch of it, is bad.
    BadPart {
        /// The part: MAKER/NUMBER, or the number alone.
        part: String,
        /// The mark of the batch; left out: whatever is marked.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        mark: Option<String>,
    },
}

fn new_for_old() -> Interchange {
    Interchange::NewForOld
}

fn one_to_one() -> SupersessionShape {
    SupersessionShape::OneToOne
}

/// What it touches, and by which path.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NoticeSheet {
    /// The day for which quotes are called open.
    pub as_of: NaiveDate,
    /// Whether the catalogue holds every number that was named.
    pub all_known: bool,
    /// The units touched.
    pub units: Vec<UnitKey>,
    /// What is touched in the catalogue.
    #[serde(flatten)]
    pub effects: NoticeEffects,
    /// The stored quotes that hold on the day and speak of a touched number, the oldest first.
    pub open_quotes: Vec<TouchedQuote>,
    /// What lies on the shelf of the touched numbers, by part and bin.
    pub stock: Vec<TouchedLot>,
    /// The serial numbers inside which the shop's records hold a touched number, by unit, serial number and position.
    pub records: Vec<TouchedRecord>,
    /// What can hurt someone who works on the units.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// A stored quote that is touched.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TouchedQuote {
    /// Its number.
    pub number: String,
    /// Last day on which it holds.
    pub valid_until: NaiveDate,
    /// The touched numbers that it speaks of.
    pub parts: Vec<PartOnTheWay>,
}

/// A number with the way that leads from it to the event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PartOnTheWay {
    /// The number.
    pub part: PartKey,
    /// The way in one sentence.
    pub sentence: String,
}

/// Pieces on the shelf that are touched.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TouchedLot {
    /// The number.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// The mark; empty: none.
    #[schema(value_type = String)]
    pub mark: Mark,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// How many of them are reserved.
    #[schema(value_type = String)]
    pub reserved: Quantity,
    /// The way from the number to the event in one sentence.
    pub sentence: String,
}

/// A touched number inside a serial number, as the last job on it wrote.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TouchedRecord {
    /// The unit.
    pub unit: UnitKey,
    /// Its serial number.
    pub serial: i64,
    /// The position.
    pub position: Code,
    /// The number that stands there.
    pub part: PartKey,
    /// The maker's batch; empty: not known.
    pub batch: String,
    /// The mark etched on a matched set; empty: none.
    #[schema(value_type = String)]
    pub mark: Mark,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Whether it surely is of what was named; no, where a batch was named and the record does not say which it is of.
    pub certain: bool,
    /// The job that wrote it.
    #[schema(example = "J-000001")]
    pub job: String,
    /// When that job was closed.
    pub at: DateTime<Utc>,
    /// The way from the number to the event in one sentence.
    pub sentence: String,
}

/// Follows an event through catalogue, quotes, stock and records. Nothing is stored.
pub async fn follow_notice(shop: &Shop, asked: &AskedEvent) -> Result<NoticeSheet, RebuildError> {
    let as_of = Utc::now().date_naive();
    let (event, all_known) = event(shop, asked, as_of).await?;
    let (touched, notice) = match &event {
        Event::Notice { row } => (vec![row.old.clone(), row.new.clone()], Some(row.notice.clone())),
        Event::BadPart { part } => (vec![part.clone()], None),
    };
    let rows = shop.store().load_notice_rows(&touched, notice.as_ref()).await?;
    let (effects, cautions) = shop
        .work(move || {
            let effects = notice_effects(&rows, &event);
            let cautions = cautions(&rows, &effects);
            (effects, cautions)
        })
        .await?;
    let ways: BTreeMap<&PartKey, &str> =
        effects.numbers.iter().map(|number| (&number.part, number.sentence.as_str())).collect();
    let way = |part: &PartKey| ways.get(part).map_or_else(String::new, |sentence| (*sentence).to_owned());
    let parts: Vec<PartKey> = effects.parts.iter().cloned().collect();
    let quotes = shop.store().quotes_of_parts(&parts, as_of).await?;
    let open_quotes = quotes.into_iter().map(|quote| TouchedQuote {
        number: quote.number,
        valid_until: quote.valid_until,
        parts: quote.parts.into_iter().map(|part| PartOnTheWay { sentence: way(&part), part }).collect(),
    });
    let lots = shop.store().load_stock(&parts).await?.lots;
    let stock = lots.into_iter().filter(|lot| is_of_batch(asked, &touched, lot)).map(|lot| TouchedLot {
        sentence: way(&lot.part),
        part: lot.part,
        bin: lot.bin,
        mark: lot.mark,
        quantity: lot.quantity,
        reserved: lot.reserved,
    });
    let rows = shop.store().records_of_parts(&parts).await?;
    let records = rows.into_iter().filter_map(|row| record(asked, &touched, row, &way));
    let (open_quotes, stock, records) = (open_quotes.collect(), stock.collect(), records.collect());
    let units: BTreeSet<UnitKey> = effects.positions.iter().map(|place| place.unit.clone()).collect();
    Ok(NoticeSheet {
        as_of,
        all_known,
        units: units.into_iter().collect(),
        open_quotes,
        stock,
        records,
        cautions,
        deferral: resolver::DEFERRAL.to_owned(),
        effects,
    })
}

/// Pieces of the bad part itself are of the batch only with its mark; what holds or replaces it may be.
fn is_of_batch(asked: &AskedEvent, touched: &[PartKey], lot: &StockLot) -> bool {
    match asked {
        AskedEvent::BadPart { mark: Some(mark), .. } => !touched.contains(&lot.part) || lot.mark.0 == *mark,
        AskedEvent::BadPart { mark: None, .. } | AskedEvent::Notice { .. } => true,
    }
}

/// What a record says of a touched number; `None` where it says that the part is of another batch.
fn record(
    asked: &AskedEvent,
    touched: &[PartKey],
    row: AsBuiltRow,
    way: &impl Fn(&PartKey) -> String,
) -> Option<TouchedRecord> {
    let part = row.part?;
    let certain = match asked {
        AskedEvent::BadPart { mark: Some(mark), .. } if touched.contains(&part) => {
            let told = [row.batch.as_str(), row.mark.0.as_str()];
            let known = told.iter().any(|told| !told.is_empty());
            if known && !told.contains(&mark.as_str()) {
                return None;
            }
            known
        }
        AskedEvent::BadPart { mark: Some(_), .. } => false,
        AskedEvent::BadPart { mark: None, .. } | AskedEvent::Notice { .. } => true,
    };
    Some(TouchedRecord {
        sentence: way(&part),
        unit: row.unit,
        serial: row.serial,
        position: row.position,
        part,
        batch: row.batch,
        mark: row.mark,
        quantity: row.quantity,
        certain,
        job: row.job,
        at: row.at,
    })
}

/// The event in keys, and whether the catalogue holds all its numbers.
async fn event(shop: &Shop, asked: &AskedEvent, as_of: NaiveDate) -> Result<(Event, bool), RebuildError> {
    match asked {
        AskedEvent::BadPart { part: written, .. } => {
            Ok((Event::BadPart { part: part(shop, written, "/part").await? }, true))
        }
        AskedEvent::Notice { old, new, notice, interchange, shape } => {
            let old = part(shop, old, "/old").await?;
            let (new, all_known) = new_number(shop, new).await?;
            if old == new {
                return Err(RebuildError::bad("/new", "a number cannot give way to itself"));
            }
            let notice = notice.as_deref().map(|text| code(text, "notice", "/notice")).transpose()?;
            let row = Supersession {
                notice: notice.unwrap_or_else(|| Code::from_stored("TODAY")),
                old,
                new,
                quantity: Quantity::ONE,
                shape: *shape,
                interchange: *interchange,
                effective_from: as_of,
                use_old_until_gone: false,
                unit: None,
                variant: None,
                serial_from: None,
                serial_to: None,
                built_from: None,
                built_to: None,
            };
            Ok((Event::Notice { row: Box::new(row) }, all_known))
        }
    }
}

/// A new number may be one that the catalogue does not hold yet, if it names its maker.
async fn new_number(shop: &Shop, written: &str) -> Result<(PartKey, bool), RebuildError> {
    match identify_part(shop, written).await {
        Ok(part) => Ok((part.part, true)),
        Err(error @ LookupError::Part { .. }) => match PartKey::parse(written) {
            Ok(key) => Ok((key, false)),
            Err(_) => Err(RebuildError::at("/new", error)),
        },
        Err(error) => Err(RebuildError::at("/new", error)),
    }
}

/// The cautions of the units and positions touched, whatever the operation.
fn cautions(rows: &Snapshot, effects: &NoticeEffects) -> Vec<CautionNote> {
    let touches = |caution: &&catalogue::Caution| {
        effects.positions.iter().any(|place| {
            caution.unit.as_ref().is_none_or(|unit| *unit == place.unit)
                && caution.position.as_ref().is_none_or(|position| *position == place.position)
        })
    };
    let note = |caution: &catalogue::Caution| CautionNote {
        hazard: caution.hazard,
        text: caution.text.clone(),
        unit: caution.unit.clone(),
        position: caution.position.clone(),
    };
    rows.cautions.iter().filter(touches).map(note).collect()
}
