//! A job as it stands: its steps folded.

use catalogue::{Grade, Money, Quantity, UnitKey};
use chrono::{DateTime, Utc};
use resolver::answer::CautionNote;
use resolver::job_state::{JobState, JobStep};
use serde::{Deserialize, Serialize};
use store::JobStepRow;
use utoipa::ToSchema;

use super::error::JobError;
use super::step::{Detail, InspectedValue, JobFinding, JobInside, JobVariant, PartLine, ShimsChosen};
use super::surplus::ShelvedSurplus;
use crate::asked::Asked;
use crate::shop::Shop;
use crate::unit_cautions::unit_cautions;

/// A job as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JobSheet {
    /// Its running number.
    #[schema(example = "J-000001")]
    pub number: String,
    /// How far it is.
    pub state: JobState,
    /// The steps that can be taken next.
    pub allowed: Vec<JobStep>,
    /// What the counter noted.
    pub note: String,
    /// What is asked for, with what the bench has found since.
    pub request: Asked,
    /// The quote of the estimate.
    #[schema(example = "Q-000001")]
    pub estimate: Option<String>,
    /// The quote of the decision; it falls away when the unit is stripped again.
    pub decision: Option<String>,
    /// What the customer agreed to; it falls away when the unit is stripped again.
    pub approval: Option<Approval>,
    /// What inspection found, the latest of each kind at each position counting.
    pub findings: Vec<FindingSheet>,
    /// What is in the job of what was issued: what came back is taken off.
    pub issued: Vec<PartLine>,
    /// Shims that were chosen, the latest at each place.
    pub shims: Vec<ShimsChosen>,
    /// The final inspection, the latest one.
    pub inspection: Vec<InspectedValue>,
    /// What was bought for it and not used, put on the shelf when it was closed.
    pub surplus: Vec<ShelvedSurplus>,
    /// Every step with who and when.
    pub steps: Vec<StepSheet>,
    /// What can hurt someone at the bench.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
    /// How many steps it has gone through.
    #[serde(skip)]
    pub(crate) revision: i64,
    /// The units of the job.
    #[serde(skip)]
    pub(crate) units: Vec<UnitKey>,
    /// The latest question that was asked as a whole.
    #[serde(skip)]
    pub(crate) asked: Option<Asked>,
    /// What the bench saw inside.
    #[serde(skip)]
    pub(crate) seen_inside: Vec<JobInside>,
    /// The variants that the bench saw to hold.
    #[serde(skip)]
    pub(crate) seen_variants: Vec<JobVariant>,
}

/// What the customer agreed to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Approval {
    /// The price.
    pub price: Money,
    /// Its currency.
    pub currency: String,
    /// Who agreed for the customer.
    pub approved_by: String,
    /// The quote that was agreed to.
    pub quote: String,
    /// When.
    pub at: DateTime<Utc>,
}

/// A finding with who and when.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FindingSheet {
    /// The unit.
    pub unit: Option<String>,
    /// The position.
    pub position: String,
    /// The grade.
    pub grade: Option<Grade>,
    /// The bench value that was measured.
    pub bench_value: Option<String>,
    /// What was measured, in the bench value's unit.
    pub measured: Option<f64>,
    /// A note of the bench.
    pub note: String,
    /// Where a photo lies.
    pub photo: String,
    /// Who found it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
}

impl FindingSheet {
    /// A finding with who and when.
    pub(crate) fn of(finding: JobFinding, by: &str, at: DateTime<Utc>) -> Self {
        Self {
            unit: finding.unit,
            position: finding.position,
            grade: finding.grade,
            bench_value: finding.bench_value,
            measured: finding.measured,
            note: finding.note,
            photo: finding.photo,
            by: by.to_owned(),
            at,
        }
    }
}

/// A step with who and when.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StepSheet {
    /// What was done.
    pub step: JobStep,
    /// The state after it.
    pub state: JobState,
    /// Who did it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// What was noted.
    pub note: String,
}

/// The job of a number; case and blanks at the ends do not matter.
pub async fn show_job(shop: &Shop, number: &str) -> Result<JobSheet, JobError> {
    let number = number.trim().to_uppercase();
    let Some(row) = shop.store().job(&number).await? else { return Err(JobError::NotFound(number)) };
    // A step that is added while this is read is left out: the job is shown at one revision.
    let mut steps = shop.store().job_steps(&number).await?;
    steps.retain(|step| step.step <= row.revision);
    let mut sheet = fold(&number, &steps)?;
    sheet.units = sheet.units_of_request();
    let structure = shop.store().revisions().await?.structure;
    let snapshot = shop.snapshots().get(shop.store(), &sheet.units, structure).await;
    // A unit may have left the catalogue since; the job is still shown.
    if let Ok(snapshot) = snapshot {
        let notes = sheet.units.iter().flat_map(|unit| unit_cautions(&snapshot, unit));
        for note in notes {
            if !sheet.cautions.contains(&note) {
                sheet.cautions.push(note);
            }
        }
    }
    Ok(sheet)
}

fn fold(number: &str, steps: &[JobStepRow]) -> Result<JobSheet, JobError> {
    let mut sheet = JobSheet {
        number: number.to_owned(),
        state: JobState::Enquiry,
        allowed: Vec::new(),
        note: String::new(),
        request: Asked { units: Vec::new(), ..Asked::overhaul("") },
        estimate: None,
        decision: None,
        approval: None,
        findings: Vec::new(),
        issued: Vec::new(),
        shims: Vec::new(),
        inspection: Vec::new(),
        surplus: Vec::new(),
        steps: Vec::new(),
        cautions: Vec::new(),
        deferral: resolver::DEFERRAL.to_owned(),
        revision: 0,
        units: Vec::new(),
        asked: None,
        seen_inside: Vec::new(),
        seen_variants: Vec::new(),
    };
    for row in steps {
        let unreadable = |source| JobError::Unreadable { number: number.to_owned(), source };
        let detail: Detail = serde_json::from_str(&row.detail).map_err(unreadable)?;
        let word = |text: &str| serde_json::Value::String(text.to_owned());
        let step: JobStep = serde_json::from_value(word(&row.kind)).map_err(unreadable)?;
        sheet.state = serde_json::from_value(word(&row.state)).map_err(unreadable)?;
        sheet.revision = row.step;
        let (by, at) = (row.by.clone(), row.at);
        let note = sheet.take(detail, &by, at);
        sheet.steps.push(StepSheet { step, state: sheet.state, by, at, note });
    }
    sheet.allowed = sheet.state.allowed();
    sheet.request = super::question::with_findings(&sheet, &sheet.seen_inside, &sheet.seen_variants);
    Ok(sheet)
}

impl JobSheet {
    /// Takes a step in; what was noted with it.
    fn take(&mut self, detail: Detail, by: &str, at: DateTime<Utc>) -> String {
        match detail {
            Detail::Open { request, note } => {
                self.asked = Some(request);
                self.note.clone_from(&note);
                note
            }
            Detail::Estimate { quote } => {
                self.estimate = Some(quote.clone());
                quote
            }
            Detail::Strip { note } => {
                (self.decision, self.approval) = (None, None);
                self.inspection.clear();
                note
            }
            Detail::Find { findings, inside: seen, variants: held } => {
                for finding in findings {
                    let found = FindingSheet::of(finding, by, at);
                    let same = |other: &FindingSheet| {
                        (&other.unit, &other.position, &other.bench_value)
                            == (&found.unit, &found.position, &found.bench_value)
                    };
                    self.findings.retain(|other| !same(other));
                    self.findings.push(found);
                }
                for one in seen {
                    let same =
                        |other: &JobInside| (&other.unit, &other.position) == (&one.unit, &one.position);
                    self.seen_inside.retain(|other| !same(other));
                    self.seen_inside.push(one);
                }
                self.seen_variants.extend(held);
                String::new()
            }
            Detail::Decide { request, quote, note } => {
                self.asked = request.or(self.asked.take());
                self.decision = Some(quote);
                note
            }
            Detail::Approve { price, currency, approved_by, quote } => {
                let note = format!("{price} {currency} agreed by {approved_by}");
                self.approval = Some(Approval { price, currency, approved_by, quote, at });
                note
            }
            Detail::Issue { lines } => {
                self.issued.extend(lines);
                String::new()
            }
            Detail::Return { lines } => {
                lines.iter().for_each(|line| self.take_back(line));
                String::new()
            }
            Detail::Shim { choice } => {
                let place = |shims: &ShimsChosen| (shims.unit.clone(), shims.position.clone());
                self.shims.retain(|other| place(other) != place(&choice));
                self.shims.push(choice);
                String::new()
            }
            Detail::Inspect { values, .. } => {
                self.inspection = values;
                String::new()
            }
            Detail::Close { note, surplus } => {
                self.surplus = surplus;
                note
            }
            Detail::Build { note } | Detail::Cancel { reason: note } => note,
        }
    }

    /// Takes what came back off what was issued of the same place and lot, the latest first.
    fn take_back(&mut self, back: &PartLine) {
        let mut left = back.quantity;
        let same = |line: &PartLine| {
            (&line.unit, &line.position, &line.part, &line.mark, &line.batch)
                == (&back.unit, &back.position, &back.part, &back.mark, &back.batch)
        };
        for line in self.issued.iter_mut().rev().filter(|line| same(line)) {
            let taken = left.min(line.quantity);
            line.quantity = line.quantity - taken;
            left = left - taken;
        }
        self.issued.retain(|line| line.quantity > Quantity::ZERO);
    }
}
