//! The final inspection: measured values against the unit's limits.
//!
//! Must be measured: end float, preload and backlash, where the unit has limits for them, at every position of an overhaul
//! and at the renewed positions of a smaller operation. Where a position has several values of one kind (preload with new
//! and with run-in bearings), one of them is enough. A value on its limit is still good.

use std::collections::BTreeSet;

use catalogue::{BenchKind, BenchValue, Code, UnitKey};
use resolver::answer::{Action, Answer};
use resolver::job_state::JobStep;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::change::{Planned, decided_answer};
use super::error::JobError;
use super::sheet::JobSheet;
use super::step::{Detail, InspectedValue};
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::stock_words::code;

/// What the final inspection measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FinalInspection {
    /// Who measured.
    #[schema(min_length = 1, max_length = 400, example = "Olaf")]
    pub by: String,
    /// The values.
    #[schema(max_items = 1000)]
    pub values: Vec<ValueMeasured>,
}

/// One value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ValueMeasured {
    /// The unit; left out: the only one of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub unit: Option<String>,
    /// The position.
    #[schema(max_length = 80)]
    pub position: String,
    /// The bench value.
    #[schema(max_length = 80)]
    pub bench_value: String,
    /// What was measured, in the bench value's unit.
    pub measured: f64,
}

/// Holds what was measured against the limits.
pub(crate) async fn inspect(
    shop: &Shop,
    job: &JobSheet,
    asked: &FinalInspection,
) -> Result<Planned, JobError> {
    let (_, answer) = decided_answer(shop, job).await?;
    let structure = shop.store().revisions().await?.structure;
    let snapshot = shop.snapshots().get(shop.store(), &job.units, structure).await;
    let snapshot = snapshot.map_err(RebuildError::from)?;
    let mut values: Vec<InspectedValue> = Vec::new();
    for (at, one) in asked.values.iter().enumerate() {
        let pointer = |field: &str| format!("/values/{at}/{field}");
        let unit = job.unit_named(one.unit.as_deref(), &pointer("unit"))?;
        let position = code(&one.position, "position", &pointer("position"))?;
        let name = code(&one.bench_value, "bench value", &pointer("bench_value"))?;
        let of_position = |row: &&BenchValue| row.unit == unit && row.position == position && has_limits(row);
        let Some(row) = snapshot.bench_values.iter().filter(of_position).find(|row| row.bench_value == name)
        else {
            let known: Vec<&str> = snapshot
                .bench_values
                .iter()
                .filter(of_position)
                .map(|row| row.bench_value.as_str())
                .collect();
            let detail = format!(
                "{unit} has no limits for `{name}` at `{position}`; it has some for {}",
                if known.is_empty() { "none there".to_owned() } else { known.join(", ") }
            );
            return Err(JobError::bad(pointer("bench_value"), detail));
        };
        if !one.measured.is_finite() {
            return Err(JobError::bad(pointer("measured"), "the value is no number"));
        }
        let value = inspected(row, one.measured);
        let place = |v: &InspectedValue| (v.unit.clone(), v.position.clone(), v.bench_value.clone());
        if values.iter().any(|other| place(other) == place(&value)) {
            return Err(JobError::bad(format!("/values/{at}"), "the value stands there twice"));
        }
        values.push(value);
    }
    let measured: BTreeSet<(&UnitKey, &Code, BenchKind)> =
        values.iter().map(|value| (&value.unit, &value.position, value.kind)).collect();
    let missing: Vec<String> = snapshot
        .bench_values
        .iter()
        .filter(|row| is_due(row, &answer, &snapshot))
        .filter(|row| !measured.contains(&(&row.unit, &row.position, row.kind)))
        .map(|row| format!("{} at {} of {}", row.bench_value, row.position, row.unit))
        .collect();
    if !missing.is_empty() {
        return Err(JobError::bad("/values", format!("not measured yet: {}", missing.join("; "))));
    }
    let passed = values.iter().all(|value| value.good);
    let step = if passed { JobStep::Inspect } else { JobStep::FailInspection };
    Ok(Planned::plain(step, Detail::Inspect { values, passed }))
}

fn has_limits(row: &BenchValue) -> bool {
    row.kind != BenchKind::ShimSeries && (row.minimum.is_some() || row.maximum.is_some())
}

fn is_due(row: &BenchValue, answer: &Answer, snapshot: &catalogue::Snapshot) -> bool {
    let set_up = matches!(row.kind, BenchKind::EndFloat | BenchKind::Preload | BenchKind::Backlash);
    let Some(unit) = answer.units.iter().find(|unit| unit.unit == row.unit) else { return false };
    let overhaul = snapshot.operations.iter().any(|operation| {
        operation.unit == unit.unit && operation.operation == unit.operation && operation.overhaul
    });
    let touched = unit.lines.iter().any(|line| {
        line.position.as_ref() == Some(&row.position) && (overhaul || line.action != Action::Keep)
    });
    set_up && has_limits(row) && touched
}

fn inspected(row: &BenchValue, measured: f64) -> InspectedValue {
    let good =
        row.minimum.is_none_or(|least| least <= measured) && row.maximum.is_none_or(|most| measured <= most);
    InspectedValue {
        unit: row.unit.clone(),
        position: row.position.clone(),
        bench_value: row.bench_value.clone(),
        kind: row.kind,
        name: row.name.clone(),
        measured,
        minimum: row.minimum,
        maximum: row.maximum,
        measure: row.measure,
        good,
    }
}
