//! What the check finds, as data.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::circle_fact::CircleFact;
use super::joint_fact::JointFact;
use super::money_fact::MoneyFact;
use super::notice_fact::NoticeFact;
use super::unit_fact::UnitFact;

choice! {
    /// How much a finding matters.
    pub enum Severity {
        /// An answer that meets it is refused or wrong.
        Error = "error",
        /// An answer that meets it lacks something.
        Warning = "warning",
        /// Worth knowing.
        Note = "note",
    }
}

/// The row that a finding speaks of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct Subject {
    /// The sheet.
    pub sheet: String,
    /// The values of the sheet's key columns; fewer where the finding speaks of several rows.
    pub key: Vec<String>,
}

impl Subject {
    /// The row of a sheet with a key.
    pub fn new(sheet: &str, key: &[&str]) -> Self {
        Self { sheet: sheet.to_owned(), key: key.iter().map(|value| (*value).to_owned()).collect() }
    }
}

/// One finding.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// What was found.
    pub fact: Fact,
    /// The row it speaks of.
    pub subject: Subject,
}

/// What was found, with its facts. The codes are stable, the sentences may be reworded.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(untagged)]
pub enum Fact {
    /// A circle.
    Circle(CircleFact),
    /// Something about notices and statements.
    Notice(NoticeFact),
    /// Something about units and kits.
    Unit(UnitFact),
    /// Something about joints and features.
    Joint(JointFact),
    /// Something about money.
    Money(MoneyFact),
}

impl Fact {
    /// The stable word of the fact.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Circle(fact) => fact.code(),
            Self::Notice(fact) => fact.code(),
            Self::Unit(fact) => fact.code(),
            Self::Joint(fact) => fact.code(),
            Self::Money(fact) => fact.code(),
        }
    }

    fn severity(&self) -> Severity {
        match self {
            Self::Circle(fact) => fact.severity(),
            Self::Notice(fact) => fact.severity(),
            Self::Unit(fact) => fact.severity(),
            Self::Joint(fact) => fact.severity(),
            Self::Money(fact) => fact.severity(),
        }
    }
}

impl Finding {
    /// A finding as severe as its fact is.
    pub(super) fn new(sheet: &str, key: &[&str], fact: impl Into<Fact>) -> Self {
        let fact = fact.into();
        Self { severity: fact.severity(), fact, subject: Subject::new(sheet, key) }
    }
}

impl From<CircleFact> for Fact {
    fn from(fact: CircleFact) -> Self {
        Self::Circle(fact)
    }
}

impl From<NoticeFact> for Fact {
    fn from(fact: NoticeFact) -> Self {
        Self::Notice(fact)
    }
}

impl From<UnitFact> for Fact {
    fn from(fact: UnitFact) -> Self {
        Self::Unit(fact)
    }
}

impl From<JointFact> for Fact {
    fn from(fact: JointFact) -> Self {
        Self::Joint(fact)
    }
}

impl From<MoneyFact> for Fact {
    fn from(fact: MoneyFact) -> Self {
        Self::Money(fact)
    }
}
