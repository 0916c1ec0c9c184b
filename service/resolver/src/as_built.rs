//! A unit that was here before starts from its record: what a job wrote of it stands for what is inside.
//!
//! What the bench says is inside goes before the record, and the difference is shown. What the record names and the catalogue
//! does not know any more is left to the catalogue's own list.

use catalogue::{Code, Mark, PartKey, Snapshot};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::request::{Inside, UnitRequest};

/// What a record says of a position.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Recorded {
    /// The position.
    pub position: Code,
    /// The part; empty: nothing stands there any more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub part: Option<PartKey>,
    /// The mark etched on a matched set; empty: none.
    #[schema(value_type = String)]
    pub mark: Mark,
    /// The job that wrote it.
    pub job: String,
}

/// Where the bench found something else than the record says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RecordDifference {
    /// The position.
    pub position: Code,
    /// The part that the record names.
    pub recorded: PartKey,
    /// The mark that it names; empty: none.
    #[schema(value_type = String)]
    pub recorded_mark: Mark,
    /// The job that wrote it.
    pub job: String,
    /// The part that is inside instead, as the bench says.
    pub inside: PartKey,
}

/// Lays a record under what the bench says is inside of a unit. What an earlier record laid there is taken away first, so
/// that a request can be asked again.
pub fn start_from_record(unit: &mut UnitRequest, record: &[Recorded], snapshot: &Snapshot) {
    unit.inside.retain(|inside| inside.recorded_by.is_none());
    unit.record_differences.clear();
    let told = unit.inside.clone();
    let known_position =
        |at: &Code| snapshot.positions.iter().any(|row| row.unit == unit.unit && row.position == *at);
    let known_part = |part: &PartKey| snapshot.parts.iter().any(|row| row.part == *part);
    let fills = |part: &PartKey, at: &Code| {
        snapshot
            .set_positions
            .iter()
            .any(|row| row.unit == unit.unit && row.part == *part && row.position == *at)
    };
    for recorded in record {
        let Some(part) = &recorded.part else { continue };
        // A set that the bench names at one of its positions stands at all of them.
        let says = told.iter().find(|inside| inside.position == recorded.position).or_else(|| {
            told.iter().find(|inside| {
                fills(&inside.part, &inside.position) && fills(&inside.part, &recorded.position)
            })
        });
        match says {
            Some(says) => {
                let mark = says.mark.clone().unwrap_or_default();
                if says.part != *part || (says.mark.is_some() && mark != recorded.mark) {
                    unit.record_differences.push(RecordDifference {
                        position: recorded.position.clone(),
                        recorded: part.clone(),
                        recorded_mark: recorded.mark.clone(),
                        job: recorded.job.clone(),
                        inside: says.part.clone(),
                    });
                }
            }
            None if known_position(&recorded.position) && known_part(part) => unit.inside.push(Inside {
                position: recorded.position.clone(),
                part: part.clone(),
                mark: (!recorded.mark.0.is_empty()).then(|| recorded.mark.clone()),
                recorded_by: Some(recorded.job.clone()),
            }),
            None => {}
        }
    }
}
