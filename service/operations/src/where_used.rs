//! Where a number is used.

use catalogue::{CandidateRole, Code, Part, PartKey, Quantity, UnitKey};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::identify_part::identify_part;
use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// What a number found on the way is to the number asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Relation {
    /// It is that number.
    Same,
    /// It gives way to that number, over any number of notices.
    Old,
    /// That number gives way to it, over any number of notices.
    New,
    /// It is a kit that holds one of these.
    Kit,
}

/// Where a number is used: by itself, by those it replaced, by those that replace it, and in kits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PartUses {
    /// The part.
    pub part: Part,
    /// Positions, by unit, position and part.
    pub positions: Vec<PositionUse>,
    /// Kit lines, by kit and line.
    pub kits: Vec<KitUse>,
}

/// A position for which a number is a candidate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PositionUse {
    /// The unit.
    pub unit: UnitKey,
    /// The position.
    pub position: Code,
    /// The candidate as the catalogue names it.
    pub part: PartKey,
    /// What it is to the unit.
    pub role: CandidateRole,
    /// What it is to the number asked about.
    pub relation: Relation,
}

/// A line of a kit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitUse {
    /// The kit.
    pub kit: PartKey,
    /// Number of the line.
    pub line: i64,
    /// The part or kit on the line.
    pub part: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// What it is to the number asked about.
    pub relation: Relation,
}

/// Where the part of a number as written is used.
pub async fn where_used(shop: &Shop, written: &str) -> Result<PartUses, LookupError> {
    let part = identify_part(shop, written).await?;
    let used = shop.store().where_used(&part.part).await?;
    let positions = used.positions.into_iter().map(|found| PositionUse {
        unit: found.unit,
        position: found.position,
        part: found.part,
        role: found.role,
        relation: relation(found.relation),
    });
    let kits = used.kits.into_iter().map(|found| KitUse {
        kit: found.kit,
        line: found.line,
        part: found.part,
        quantity: found.quantity,
        relation: relation(found.relation),
    });
    Ok(PartUses { part, positions: positions.collect(), kits: kits.collect() })
}

fn relation(found: Option<store::Relation>) -> Relation {
    match found {
        Some(store::Relation::Same) => Relation::Same,
        Some(store::Relation::Old) => Relation::Old,
        Some(store::Relation::New) => Relation::New,
        None => Relation::Kit,
    }
}
