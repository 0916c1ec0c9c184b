//! The particulars of the steps of a job, as they are kept.

use catalogue::{BenchKind, Code, Grade, Mark, Money, PartKey, Quantity, UnitKey, UnitOfMeasure};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::surplus::ShelvedSurplus;
use crate::asked::{Asked, AskedInside};

/// The particulars of a step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "step", rename_all = "snake_case")]
pub(crate) enum Detail {
    /// It is opened.
    Open {
        /// What is asked for; units are named by their codes.
        request: Asked,
        /// What the counter noted.
        note: String,
    },
    /// An estimate is made.
    Estimate {
        /// The stored quote.
        quote: String,
    },
    /// The unit is taken apart.
    Strip {
        /// What was noted.
        note: String,
    },
    /// Inspection finds something.
    Find {
        /// What it finds.
        findings: Vec<JobFinding>,
        /// What is seen to be inside.
        inside: Vec<JobInside>,
        /// Variants that are seen to hold.
        variants: Vec<JobVariant>,
    },
    /// What is kept, renewed and upgraded is settled.
    Decide {
        /// The question as it was decided, findings aside.
        request: Option<Asked>,
        /// The stored quote that answers it.
        quote: String,
        /// What was noted.
        note: String,
    },
    /// The customer agrees to a price.
    Approve {
        /// The price.
        price: Money,
        /// Its currency.
        currency: String,
        /// Who agreed for the customer.
        approved_by: String,
        /// The quote that was agreed to.
        quote: String,
    },
    /// The build begins.
    Build {
        /// What was noted.
        note: String,
    },
    /// Parts go into the job.
    Issue {
        /// The lines.
        lines: Vec<PartLine>,
    },
    /// Parts come back from the job.
    Return {
        /// The lines.
        lines: Vec<PartLine>,
    },
    /// Shims are chosen from measurements.
    Shim {
        /// The choice.
        choice: ShimsChosen,
    },
    /// A final inspection, passed or not.
    Inspect {
        /// What was measured.
        values: Vec<InspectedValue>,
        /// Whether all is good.
        passed: bool,
    },
    /// What is inside is written down.
    Close {
        /// What was noted.
        note: String,
        /// What was bought for it and not used.
        #[serde(default)]
        surplus: Vec<ShelvedSurplus>,
    },
    /// It comes to nothing.
    Cancel {
        /// Why.
        reason: String,
    },
}

/// What inspection says of a position, with a note and a photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct JobFinding {
    /// The unit; left out: the only one of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub unit: Option<String>,
    /// The position.
    #[schema(max_length = 80)]
    pub position: String,
    /// The grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub grade: Option<Grade>,
    /// The bench value that was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub bench_value: Option<String>,
    /// What was measured, in the bench value's unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub measured: Option<f64>,
    /// A note of the bench.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 400)]
    pub note: String,
    /// Where a photo lies: a file name or an address.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 400)]
    pub photo: String,
}

/// A part that the bench sees inside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct JobInside {
    /// The unit; left out: the only one of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub unit: Option<String>,
    /// The position.
    #[schema(max_length = 80)]
    pub position: String,
    /// The part: MAKER/NUMBER, or the number alone.
    #[schema(max_length = 160)]
    pub part: String,
    /// The mark etched on a matched set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub mark: Option<String>,
}

impl JobInside {
    /// The same as a request has it.
    pub(crate) fn asked(&self) -> AskedInside {
        AskedInside { position: self.position.clone(), part: self.part.clone(), mark: self.mark.clone() }
    }
}

/// A variant that the bench sees to hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct JobVariant {
    /// The unit; left out: the only one of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub unit: Option<String>,
    /// The variant.
    #[schema(max_length = 80)]
    pub variant: String,
}

/// Pieces that went into a job, or came back from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PartLine {
    /// The unit they are for; empty: not said.
    pub unit: Option<UnitKey>,
    /// The position they are for; empty: none, such as oil.
    pub position: Option<Code>,
    /// The part.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many.
    pub quantity: Quantity,
    /// The maker's batch; empty: not known.
    pub batch: String,
}

/// Shims that were chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShimsChosen {
    /// The unit.
    pub unit: UnitKey,
    /// Where they go.
    pub position: Code,
    /// The thickness that the measurements ask for.
    pub wanted_mm: f64,
    /// How far off it may be.
    pub tolerance_mm: f64,
    /// The pieces chosen, the thickest first.
    pub pieces_mm: Vec<f64>,
    /// Their thickness together.
    pub total_mm: f64,
    /// Total less wanted.
    pub error_mm: f64,
}

/// A value of the final inspection against its limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct InspectedValue {
    /// The unit.
    pub unit: UnitKey,
    /// The position.
    pub position: Code,
    /// The bench value.
    pub bench_value: Code,
    /// What sort of value it is.
    pub kind: BenchKind,
    /// What it is called.
    pub name: String,
    /// What was measured.
    pub measured: f64,
    /// Least value.
    pub minimum: Option<f64>,
    /// Greatest value.
    pub maximum: Option<f64>,
    /// Unit of the figures (UN/ECE Rec 20).
    pub measure: UnitOfMeasure,
    /// Whether it lies within its limits; a value on a limit does.
    pub good: bool,
}
