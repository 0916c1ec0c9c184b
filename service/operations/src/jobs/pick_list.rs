//! What a job needs from the shelf, in order of assembly: by unit and sub-assembly, with the bins it lies in.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Mark, PartKey, Quantity, StockLot, UnitKey, UnitOfMeasure};
use resolver::answer::{Action, CautionNote, PartName, RequirementLine};
use serde::{Deserialize, Serialize};
use store::Reservation;
use utoipa::ToSchema;

use super::change::decided_answer;
use super::error::JobError;
use super::parts_of_job::reserved;
use super::sheet::{JobSheet, show_job};
use crate::shop::Shop;

/// What a job needs, in order of assembly.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PickList {
    /// The job.
    #[schema(example = "J-000001")]
    pub number: String,
    /// The quote of the decision.
    #[schema(example = "Q-000002")]
    pub decision: String,
    /// Sub-assemblies, in order of assembly.
    pub groups: Vec<PickGroup>,
    /// What can hurt someone at the bench.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// One sub-assembly.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PickGroup {
    /// The unit.
    pub unit: UnitKey,
    /// The sub-assembly; empty: what has no position.
    pub subassembly: Option<Code>,
    /// The lines, in order of assembly.
    pub lines: Vec<PickLine>,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PickLine {
    /// The position; empty for fluids and companions without one.
    pub position: Option<Code>,
    /// What the position is called.
    pub name: String,
    /// The part.
    pub part: PartName,
    /// The variants in which the line holds; empty: in all that are possible.
    pub variants: Vec<Code>,
    /// How many are needed.
    pub needed: Quantity,
    /// How many are in the job, a number that came instead of it among them.
    pub issued: Quantity,
    /// How many are still to be issued.
    pub open: Quantity,
    /// Unit of the quantities.
    pub measure: UnitOfMeasure,
    /// Where they lie.
    pub bins: Vec<PickBin>,
}

/// Pieces that the job can take from a bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PickBin {
    /// The number that lies there where it is another one: it came for the job and was accepted instead.
    pub instead: Option<PartKey>,
    /// The bin.
    pub bin: Code,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many are reserved for the job.
    pub reserved: Quantity,
    /// How many are free for anybody.
    pub free: Quantity,
}

/// The pick list of a decided job.
pub async fn pick_list(shop: &Shop, number: &str) -> Result<PickList, JobError> {
    let job = show_job(shop, number).await?;
    let (decision, answer) = decided_answer(shop, &job).await?;
    let lines = || {
        answer.units.iter().flat_map(|unit| {
            let needed = unit.lines.iter().filter(|line| line.action != Action::Keep);
            needed.map(move |line| (&unit.unit, line))
        })
    };
    let mut came: BTreeMap<PartKey, BTreeSet<PartKey>> = BTreeMap::new();
    for piece in shop.store().pieces_for_job(&job.number).await? {
        if let Some(ordered) = piece.stands_for.filter(|ordered| *ordered != piece.lot.part) {
            came.entry(ordered).or_default().insert(piece.lot.part);
        }
    }
    let mut parts: BTreeSet<PartKey> = lines().map(|(_, line)| line.part.part.clone()).collect();
    parts.extend(came.values().flatten().cloned());
    let parts: Vec<PartKey> = parts.into_iter().collect();
    let stock = shop.store().load_stock(&parts).await?.lots;
    let own = reserved(shop, &job.number).await?;
    let mut groups: Vec<PickGroup> = Vec::new();
    for (unit, line) in lines() {
        let instead = came.get(&line.part.part).cloned().unwrap_or_default();
        let picked = pick_line(&job, (unit, line), &instead, &stock, &own);
        match groups.last_mut() {
            Some(group) if group.unit == *unit && group.subassembly == line.subassembly => {
                group.lines.push(picked);
            }
            _ => groups.push(PickGroup {
                unit: unit.clone(),
                subassembly: line.subassembly.clone(),
                lines: vec![picked],
            }),
        }
    }
    Ok(PickList {
        number: job.number,
        decision,
        groups,
        cautions: answer.cautions,
        deferral: answer.deferral,
    })
}

fn pick_line(
    job: &JobSheet,
    (unit, line): (&UnitKey, &RequirementLine),
    instead: &BTreeSet<PartKey>,
    stock: &[StockLot],
    own: &[Reservation],
) -> PickLine {
    let part = &line.part.part;
    let issued: Quantity = job
        .issued
        .iter()
        .filter(|one| one.unit.as_ref() == Some(unit) && one.position == line.position)
        .filter(|one| one.part == *part || instead.contains(&one.part))
        .map(|one| one.quantity)
        .sum();
    let suits = |lot: &&StockLot| lot.part == *part || instead.contains(&lot.part);
    let bins = stock.iter().filter(suits).map(|lot| {
        let of_lot = own
            .iter()
            .filter(|one| (&one.lot.part, &one.lot.bin, &one.lot.mark) == (&lot.part, &lot.bin, &lot.mark));
        PickBin {
            instead: Some(lot.part.clone()).filter(|lies| lies != part),
            bin: lot.bin.clone(),
            mark: lot.mark.clone(),
            reserved: of_lot.map(|one| one.open).sum(),
            free: lot.quantity - lot.reserved,
        }
    });
    PickLine {
        position: line.position.clone(),
        name: line.name.clone(),
        part: line.part.clone(),
        variants: line.variants.clone(),
        needed: line.quantity,
        issued,
        open: (line.quantity - issued).max(Quantity::ZERO),
        measure: line.measure,
        bins: bins.collect(),
    }
}
