//! What is inside a serial number: written when a job is closed, and read when the unit comes back.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Mark, PartKey, Quantity, UnitKey};
use chrono::{DateTime, NaiveDate, Utc};
use resolver::answer::{Action, RequirementLine, UnitRequirement};
use resolver::as_built::Recorded;
use resolver::request::UnitRequest;
use resolver::serial_number;
use serde::{Deserialize, Serialize};
use store::{AsBuiltRow, AsBuiltSource, StoreError};
use utoipa::ToSchema;

use super::change::decided_answer;
use super::error::JobError;
use super::sheet::JobSheet;
use super::step::{PartLine, ShimsChosen};
use crate::shop::Shop;

/// How a part came to stand at its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RecordSource {
    /// The job fitted it.
    Fitted,
    /// It went back in.
    Kept,
    /// Nothing stands there any more.
    Gone,
}

/// What a job wrote of a position.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RecordLine {
    /// The position.
    pub position: Code,
    /// The part: its maker and number; empty: nothing stands there any more.
    pub part: Option<PartKey>,
    /// The maker's batch; empty: not known.
    pub batch: String,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many.
    pub quantity: Quantity,
    /// How it came to stand there.
    pub source: RecordSource,
    /// What the bench noted, such as the shims chosen.
    pub note: String,
    /// The job.
    #[schema(example = "J-000001")]
    pub job: String,
    /// When the job was closed.
    pub at: DateTime<Utc>,
}

/// What is inside a serial number, and how it came to that.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SerialSheet {
    /// The unit.
    pub unit: UnitKey,
    /// Its serial number.
    pub serial: i64,
    /// The day for which `inside` holds.
    pub as_of: NaiveDate,
    /// What stands at each position that a job wrote of.
    pub inside: Vec<RecordLine>,
    /// All that jobs wrote up to that day, the earliest first.
    pub history: Vec<RecordLine>,
    /// With an earlier day to compare with: what was different then.
    pub changes: Vec<RecordChange>,
}

/// What changed at a position between two days.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RecordChange {
    /// The position.
    pub position: Code,
    /// What stood there on the earlier day.
    pub before: Vec<RecordLine>,
    /// What stands there on the later one.
    pub after: Vec<RecordLine>,
}

/// A serial number that a batch went into.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BatchUse {
    /// The unit.
    pub unit: UnitKey,
    /// Its serial number.
    pub serial: i64,
    /// What was fitted.
    #[serde(flatten)]
    pub line: RecordLine,
    /// Whether it is still inside, as far as the shop knows.
    pub still_inside: bool,
}

fn line_of(row: AsBuiltRow) -> RecordLine {
    RecordLine {
        position: row.position,
        part: row.part,
        batch: row.batch,
        mark: row.mark,
        quantity: row.quantity,
        source: match row.source {
            AsBuiltSource::Fitted => RecordSource::Fitted,
            AsBuiltSource::Kept => RecordSource::Kept,
            AsBuiltSource::Gone => RecordSource::Gone,
        },
        note: row.note,
        job: row.job,
        at: row.at,
    }
}

/// Of rows in their order the ones that hold: at each position those of the last job that wrote of it.
fn holding(rows: &[RecordLine]) -> BTreeMap<Code, Vec<RecordLine>> {
    let mut held: BTreeMap<Code, Vec<RecordLine>> = BTreeMap::new();
    for row in rows {
        let at = held.entry(row.position.clone()).or_default();
        at.retain(|other| other.job == row.job);
        at.push(row.clone());
    }
    held
}

/// What the record of a unit's serial number says, for a request.
pub(crate) async fn recorded(shop: &Shop, unit: &UnitRequest) -> Result<Vec<Recorded>, StoreError> {
    let Some(serial) = unit.serial.as_deref().and_then(serial_number) else { return Ok(Vec::new()) };
    let rows = shop.store().as_built(&unit.unit, serial).await?;
    let rows: Vec<RecordLine> = rows.into_iter().map(line_of).collect();
    let first = |(position, lines): (Code, Vec<RecordLine>)| {
        let line = lines.into_iter().next()?;
        Some(Recorded { position, part: line.part, mark: line.mark, job: line.job })
    };
    Ok(holding(&rows).into_iter().filter_map(first).collect())
}

/// What is inside a serial number on a day (today, if none is named), and what was different on an earlier one.
pub async fn show_serial(
    shop: &Shop,
    unit: &str,
    serial: &str,
    as_of: Option<NaiveDate>,
    since: Option<NaiveDate>,
) -> Result<SerialSheet, JobError> {
    let unit = crate::identify_unit::identify_unit(shop, unit).await;
    let unit =
        unit.map_err(|error| JobError::Rebuild(crate::rebuild_error::RebuildError::at("/unit", error)))?;
    let Some(serial) = serial_number(serial) else {
        return Err(JobError::bad(
            "/serial",
            format!("`{serial}` does not end in the digits of a serial number"),
        ));
    };
    let rows = shop.store().as_built(&unit.unit, serial).await?;
    let mut history: Vec<RecordLine> = rows.into_iter().map(line_of).collect();
    let as_of = as_of.unwrap_or_else(|| Utc::now().date_naive());
    history.retain(|line| line.at.date_naive() <= as_of);
    let now = holding(&history);
    let mut changes = Vec::new();
    if let Some(since) = since {
        let earlier: Vec<RecordLine> =
            history.iter().filter(|line| line.at.date_naive() <= since).cloned().collect();
        let then = holding(&earlier);
        for position in then.keys().chain(now.keys()).collect::<BTreeSet<_>>() {
            let (before, after) = (then.get(position), now.get(position));
            if before != after {
                changes.push(RecordChange {
                    position: position.clone(),
                    before: before.cloned().unwrap_or_default(),
                    after: after.cloned().unwrap_or_default(),
                });
            }
        }
    }
    let inside = now.into_values().flatten().filter(|line| line.part.is_some()).collect();
    Ok(SerialSheet { unit: unit.unit, serial, as_of, inside, history, changes })
}

/// The serial numbers that a batch went into, the earliest first.
pub async fn where_batch_went(shop: &Shop, batch: &str) -> Result<Vec<BatchUse>, JobError> {
    let mut uses = Vec::new();
    for row in shop.store().where_fitted(batch.trim()).await? {
        let all = shop.store().as_built(&row.unit, row.serial).await?;
        let all: Vec<RecordLine> = all.into_iter().map(line_of).collect();
        let (unit, serial, line) = (row.unit.clone(), row.serial, line_of(row));
        // A later job that kept the part wrote it again with its batch.
        let still_inside = holding(&all).get(&line.position).is_some_and(|held| {
            held.iter().any(|other| (&other.part, &other.batch) == (&line.part, &line.batch))
        });
        uses.push(BatchUse { unit, serial, line, still_inside });
    }
    Ok(uses)
}

/// The rows that closing a job writes: at each position what was issued for it, or what was kept there.
pub(crate) async fn rows_at_close(shop: &Shop, job: &JobSheet) -> Result<Vec<AsBuiltRow>, JobError> {
    let (_, answer) = decided_answer(shop, job).await?;
    let structure = shop.store().revisions().await?.structure;
    let snapshot = shop.snapshots().get(shop.store(), &job.units, structure).await;
    let snapshot = snapshot.map_err(crate::rebuild_error::RebuildError::from)?;
    let (mut rows, mut lacking) = (Vec::new(), Vec::new());
    for unit in &answer.units {
        let asked = job.request.units.iter().find(|asked| asked.unit.as_deref() == Some(unit.unit.as_str()));
        let serial = asked.and_then(|asked| asked.serial.as_deref()).and_then(serial_number);
        let before = match serial {
            Some(serial) => shop.store().as_built(&unit.unit, serial).await?,
            None => Vec::new(),
        };
        let before = holding(&before.into_iter().map(line_of).collect::<Vec<_>>());
        let together = |part: &PartKey, at: &Code| {
            snapshot
                .set_positions
                .iter()
                .any(|set| set.unit == unit.unit && set.part == *part && set.position == *at)
        };
        let mut record = Record { job, unit, before, lines: Vec::new(), lacking: Vec::new() };
        record.write(&together);
        lacking.append(&mut record.lacking);
        let Some(serial) = serial else { continue };
        for (line, written) in (1..).zip(record.lines) {
            rows.push(AsBuiltRow {
                unit: unit.unit.clone(),
                serial,
                job: job.number.clone(),
                line,
                position: written.position,
                part: written.part,
                batch: written.batch,
                mark: written.mark,
                quantity: written.quantity,
                source: written.source,
                note: written.note,
                at: Utc::now(),
            });
        }
    }
    if lacking.is_empty() {
        return Ok(rows);
    }
    Err(JobError::NotReady(format!("not issued yet, so not inside: {}", lacking.join("; "))))
}

/// What is written of a position.
struct Written {
    position: Code,
    part: Option<PartKey>,
    batch: String,
    mark: Mark,
    quantity: Quantity,
    source: AsBuiltSource,
    note: String,
}

/// The record of one unit in the making.
struct Record<'a> {
    job: &'a JobSheet,
    unit: &'a UnitRequirement,
    before: BTreeMap<Code, Vec<RecordLine>>,
    lines: Vec<Written>,
    lacking: Vec<String>,
}

impl Record<'_> {
    fn write(&mut self, together: &impl Fn(&PartKey, &Code) -> bool) {
        let mut by_position: BTreeMap<&Code, Vec<&RequirementLine>> = BTreeMap::new();
        for line in &self.unit.lines {
            if let Some(position) = &line.position {
                by_position.entry(position).or_default().push(line);
            }
        }
        for (position, lines) in &by_position {
            let note = self.note(position);
            let issued = self.issued(position, lines, together);
            if issued.is_empty() {
                self.write_kept(position, lines, note);
            } else {
                self.write_fitted(position, lines, issued, note);
            }
        }
        let gone: Vec<Code> = self
            .before
            .iter()
            .filter(|(at, held)| !by_position.contains_key(at) && held.iter().any(|line| line.part.is_some()))
            .map(|(at, _)| at.clone())
            .collect();
        for position in gone {
            self.lines.push(Written {
                position,
                part: None,
                batch: String::new(),
                mark: Mark::default(),
                quantity: Quantity::ZERO,
                source: AsBuiltSource::Gone,
                note: String::new(),
            });
        }
    }

    /// What was issued for a position; a set that was issued for one of its positions stands at all of them.
    fn issued(
        &self,
        position: &Code,
        lines: &[&RequirementLine],
        together: &impl Fn(&PartKey, &Code) -> bool,
    ) -> Vec<PartLine> {
        let of_unit = || self.job.issued.iter().filter(|one| one.unit.as_ref() == Some(&self.unit.unit));
        let here: Vec<PartLine> =
            of_unit().filter(|one| one.position.as_ref() == Some(position)).cloned().collect();
        if !here.is_empty() {
            return here;
        }
        let in_set = |one: &&PartLine| {
            lines.iter().any(|line| line.part.part == one.part)
                && together(&one.part, position)
                && one.position.as_ref().is_some_and(|at| together(&one.part, at))
        };
        of_unit().filter(in_set).cloned().collect()
    }

    fn write_fitted(
        &mut self,
        position: &Code,
        lines: &[&RequirementLine],
        issued: Vec<PartLine>,
        note: String,
    ) {
        let of_part = |part: &PartKey| lines.iter().find(|line| line.part.part == *part);
        let total: Quantity = issued.iter().map(|one| one.quantity).sum();
        let needed = issued.first().and_then(|one| of_part(&one.part)).map_or(total, |line| line.quantity);
        let in_set = issued.first().is_some_and(|one| one.position.as_ref() != Some(position));
        if total < needed && !in_set {
            let part = &issued[0].part;
            self.lacking.push(format!("{} × {part} at {position}, {total} are", needed));
        }
        let mut lots: BTreeMap<(PartKey, String, Mark), Quantity> = BTreeMap::new();
        for one in issued {
            *lots.entry((one.part, one.batch, one.mark)).or_default() += one.quantity;
        }
        for ((part, batch, mark), quantity) in lots {
            let quantity =
                if in_set { of_part(&part).map_or(quantity, |line| line.quantity) } else { quantity };
            self.lines.push(Written {
                position: position.clone(),
                part: Some(part),
                batch,
                mark,
                quantity,
                source: AsBuiltSource::Fitted,
                note: note.clone(),
            });
        }
    }

    /// Where nothing was issued, the part must have been kept; where that is one of several, nothing is written.
    fn write_kept(&mut self, position: &Code, lines: &[&RequirementLine], note: String) {
        let renewed: Vec<&&RequirementLine> =
            lines.iter().filter(|line| line.action != Action::Keep && line.variants.is_empty()).collect();
        for line in &renewed {
            self.lacking.push(format!("{} × {} at {position}", line.quantity, line.part.part));
        }
        let [kept] = lines else { return };
        if kept.action != Action::Keep {
            return;
        }
        let same =
            |held: &Vec<RecordLine>| held.iter().all(|line| line.part.as_ref() == Some(&kept.part.part));
        let held = self.before.get(position).filter(|held| same(held)).cloned();
        // What stands in the record already needs no second row, but for a new note.
        if let Some(held) = held {
            if note.is_empty() {
                return;
            }
            for line in held {
                self.lines.push(Written {
                    position: position.clone(),
                    part: line.part,
                    batch: line.batch,
                    mark: line.mark,
                    quantity: line.quantity,
                    source: AsBuiltSource::Kept,
                    note: note.clone(),
                });
            }
            return;
        }
        let seen = self.job.seen_inside.iter().find(|seen| {
            seen.position == position.as_str() && seen.unit.as_deref() == Some(self.unit.unit.as_str())
        });
        self.lines.push(Written {
            position: position.clone(),
            part: Some(kept.part.part.clone()),
            batch: String::new(),
            mark: Mark(seen.and_then(|seen| seen.mark.clone()).unwrap_or_default()),
            quantity: kept.quantity,
            source: AsBuiltSource::Kept,
            note,
        });
    }

    /// The shims chosen for a position, in words.
    fn note(&self, position: &Code) -> String {
        let here = |shims: &&ShimsChosen| shims.unit == self.unit.unit && shims.position == *position;
        let Some(shims) = self.job.shims.iter().find(here) else { return String::new() };
        let pieces: Vec<String> = shims.pieces_mm.iter().map(|piece| format!("{piece:.3}")).collect();
        format!("shims {} mm, together {:.3} mm", pieces.join(" + "), shims.total_mm)
    }
}
