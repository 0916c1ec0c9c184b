//! What approved jobs still need to be bought for: what was decided on, less what is in the job, what is reserved for it
//! and what is on its way.

use std::collections::BTreeMap;

use catalogue::{Code, PartKey, PartKind, Quantity, UnitKey};
use resolver::job_state::JobState;
use resolver::order_round::{DecidedNeed, RoundNeed, decided_needs};
use resolver::request::StockUse;
use resolver::{Answer, Input};

use super::on_its_way::{Coming, on_its_way};
use super::told::LeftOutJob;
use crate::jobs::error::JobError;
use crate::jobs::parts_of_job::reserved;
use crate::jobs::sheet::{JobSheet, show_job};
use crate::jobs::step::PartLine;
use crate::order_error::OrderError;
use crate::quote_error::QuoteError;
use crate::recompute_quote::frozen;
use crate::shop::Shop;
use crate::show_quote::stored;

/// The states in which a job is approved and not yet built.
const APPROVED: [JobState; 2] = [JobState::Approved, JobState::Building];
/// How many jobs are listed at once.
const JOBS_AT_ONCE: u64 = 500;

/// What a job still needs.
pub(super) struct JobNeeds {
    /// The job.
    pub(super) number: String,
    /// How many steps it has gone through.
    pub(super) revision: i64,
    /// The quote that decided what it needs.
    pub(super) quote: String,
    /// Its lines that lack something.
    pub(super) lines: Vec<JobLine>,
    /// Suppliers that its request rules out.
    pub(super) without_suppliers: Vec<Code>,
    /// Kits that it rules out.
    pub(super) without_kits: Vec<PartKey>,
}

/// One line of what a job needs, with what there is of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct JobLine {
    /// What was decided on.
    pub(super) decided: DecidedNeed,
    /// How many are in the job.
    pub(super) issued: Quantity,
    /// How many are reserved for it.
    pub(super) reserved: Quantity,
    /// How many are on their way for it.
    pub(super) on_order: Quantity,
    /// What is left to be met.
    pub(super) need: RoundNeed,
}

/// What all approved jobs still need, by their numbers; and those that have to be left out, each with why.
pub(super) async fn jobs_needs(shop: &Shop) -> Result<(Vec<JobNeeds>, Vec<LeftOutJob>), OrderError> {
    let mut numbers = Vec::new();
    for state in APPROVED {
        let mut after: Option<String> = None;
        loop {
            let rows = shop.store().list_jobs(Some(state.word()), after.as_deref(), JOBS_AT_ONCE).await?;
            let Some(last) = rows.last() else { break };
            after = Some(last.number.clone());
            numbers.extend(rows.into_iter().map(|row| row.number));
        }
    }
    numbers.sort();
    numbers.dedup();
    let (mut needs, mut left_out) = (Vec::new(), Vec::new());
    for number in numbers {
        let job = show_job(shop, &number).await.map_err(below)?;
        if !APPROVED.contains(&job.state) {
            continue;
        }
        match job_needs(shop, &job).await? {
            Ok(job) if job.lines.is_empty() => {}
            Ok(job) => needs.push(job),
            Err(why) => left_out.push(LeftOutJob { job: number, why }),
        }
    }
    Ok((needs, left_out))
}

/// What a job still needs, or why that cannot be said.
async fn job_needs(shop: &Shop, job: &JobSheet) -> Result<Result<JobNeeds, String>, OrderError> {
    let Some(quote) = &job.decision else { return Ok(Err("nothing is decided for it".to_owned())) };
    let quote = stored(shop, quote).await?;
    let input: Input = frozen(&quote)?;
    let unreadable = |source| QuoteError::Unreadable { number: quote.number.clone(), source };
    let answer: Answer = serde_json::from_str(&quote.answer).map_err(unreadable)?;
    let open: Vec<&str> =
        answer.sourcing.outcomes.iter().flat_map(|outcome| &outcome.variants).map(Code::as_str).collect();
    if !open.is_empty() {
        return Ok(Err(format!(
            "its decision `{}` leaves open what is to be bought; settle {} and decide again",
            quote.number,
            open.join(", ")
        )));
    }
    if input.request.stock == StockUse::None {
        return Ok(Err(format!(
            "its decision `{}` leaves the shelf alone, which a round uses first; draft the orders of that quote",
            quote.number
        )));
    }
    let mut decided = decided_needs(&input, &answer);
    accept_what_came(shop, job, &mut decided).await?;
    let mut reserved_parts: BTreeMap<PartKey, Quantity> = BTreeMap::new();
    for one in reserved(shop, &job.number).await.map_err(below)? {
        *reserved_parts.entry(one.lot.part).or_default() += one.open;
    }
    let quotes: Vec<String> = [job.estimate.clone(), job.decision.clone()].into_iter().flatten().collect();
    let coming = on_its_way(shop, &job.number, &quotes).await?;
    let mut lines = open_lines(decided, &job.issued, reserved_parts, coming);
    lines.retain(|line| line.need.quantity > Quantity::ZERO);
    let kinds: BTreeMap<&PartKey, PartKind> =
        input.snapshot.parts.iter().map(|part| (&part.part, part.kind)).collect();
    let is_kit = |part: &&PartKey| kinds.get(part) == Some(&PartKind::Kit);
    Ok(Ok(JobNeeds {
        number: job.number.clone(),
        revision: job.revision,
        quote: quote.number.clone(),
        lines,
        without_suppliers: input.request.without_suppliers.clone(),
        without_kits: input.request.without_parts.iter().filter(is_kit).cloned().collect(),
    }))
}

/// A number that came for the job and was accepted in place of another one serves where that one does.
async fn accept_what_came(
    shop: &Shop,
    job: &JobSheet,
    decided: &mut [DecidedNeed],
) -> Result<(), OrderError> {
    for piece in shop.store().pieces_for_job(&job.number).await? {
        let Some(ordered) = piece.stands_for else { continue };
        for need in decided.iter_mut().filter(|need| need.accepts.contains(&ordered)) {
            if !need.accepts.contains(&piece.lot.part) {
                need.accepts.push(piece.lot.part.clone());
            }
        }
    }
    Ok(())
}

/// Takes off what is in the job, what is reserved and what is to come, each piece once.
fn open_lines(
    decided: Vec<DecidedNeed>,
    issued: &[PartLine],
    mut reserved: BTreeMap<PartKey, Quantity>,
    mut coming: Vec<Coming>,
) -> Vec<JobLine> {
    let mut in_job: Vec<PartLine> = issued.to_vec();
    let mut lines: Vec<JobLine> = decided
        .into_iter()
        .map(|decided| JobLine {
            need: RoundNeed { quantity: decided.quantity, accepts: decided.accepts.clone() },
            decided,
            issued: Quantity::ZERO,
            reserved: Quantity::ZERO,
            on_order: Quantity::ZERO,
        })
        .collect();
    // What was issued for the very place comes first; then what went in elsewhere in the unit.
    for same_place in [true, false] {
        for line in &mut lines {
            let of_unit = |unit: &UnitKey| *unit == line.decided.unit;
            for one in &mut in_job {
                let here = one.unit.as_ref().is_none_or(of_unit)
                    && (!same_place || one.position == line.decided.position);
                if here && line.need.accepts.contains(&one.part) {
                    line.issued += take(&mut line.need.quantity, &mut one.quantity);
                }
            }
        }
    }
    for line in &mut lines {
        for part in &line.need.accepts {
            if let Some(there) = reserved.get_mut(part) {
                line.reserved += take(&mut line.need.quantity, there);
            }
        }
    }
    for line in &mut lines {
        for one in &mut coming {
            if one.names.iter().any(|name| line.need.accepts.contains(name)) {
                line.on_order += take(&mut line.need.quantity, &mut one.quantity);
            }
        }
    }
    lines
}

/// Takes from what is there as much as is wanted.
fn take(wanted: &mut Quantity, there: &mut Quantity) -> Quantity {
    let taken = (*wanted).min(*there);
    *wanted = *wanted - taken;
    *there = *there - taken;
    taken
}

fn below(error: JobError) -> OrderError {
    match error {
        JobError::Store(error) => OrderError::Store(error),
        JobError::Quote(error) => OrderError::Quote(error),
        JobError::Unreadable { number, source } => {
            OrderError::Quote(QuoteError::Unreadable { number, source })
        }
        error => OrderError::bad("", error.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use catalogue::Mark;

    use super::*;

    fn key(part: &str) -> PartKey {
        PartKey::from_stored(part)
    }

    fn decided(position: &str, accepts: &[&str], quantity: i64) -> DecidedNeed {
        DecidedNeed {
            unit: UnitKey::from_stored("T100"),
            position: Some(Code::from_stored(position)),
            part: key(accepts[0]),
            quantity: Quantity::whole(quantity),
            accepts: accepts.iter().map(|part| key(part)).collect(),
        }
    }

    fn issued(position: &str, part: &str, quantity: i64) -> PartLine {
        PartLine {
            unit: Some(UnitKey::from_stored("T100")),
            position: Some(Code::from_stored(position)),
            part: key(part),
            bin: Code::from_stored("A-1"),
            mark: Mark::default(),
            quantity: Quantity::whole(quantity),
            batch: String::new(),
        }
    }

    fn told(lines: &[JobLine]) -> Vec<String> {
        let whole = |quantity: Quantity| quantity.to_string();
        let line = |line: &JobLine| {
            let (issued, reserved, on_order) =
                (whole(line.issued), whole(line.reserved), whole(line.on_order));
            format!("{issued} in, {reserved} reserved, {on_order} coming, {} open", whole(line.need.quantity))
        };
        lines.iter().map(line).collect()
    }

    #[test]
    fn each_piece_counts_once_and_at_its_own_place_first() {
        let lines = open_lines(
            vec![
                decided("FRONT", &["V/B1"], 2),
                decided("REAR", &["V/B1"], 2),
                decided("SEAL", &["V/S1", "V/S2"], 3),
            ],
            &[issued("REAR", "V/B1", 2), issued("COVER", "V/B1", 1)],
            BTreeMap::from([(key("V/S2"), Quantity::whole(1)), (key("V/B1"), Quantity::whole(5))]),
            vec![
                Coming { names: vec![key("V/S1"), key("V/S9")], quantity: Quantity::whole(1) },
                Coming { names: vec![key("V/X")], quantity: Quantity::whole(9) },
            ],
        );
        assert_eq!(
            told(&lines),
            [
                "1 in, 1 reserved, 0 coming, 0 open",
                "2 in, 0 reserved, 0 coming, 0 open",
                "0 in, 1 reserved, 1 coming, 1 open"
            ]
        );
    }
}
