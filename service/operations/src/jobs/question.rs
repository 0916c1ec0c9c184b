//! The question that a job asks: what was asked for, with what the bench has found since.

use catalogue::UnitKey;

use super::error::JobError;
use super::sheet::JobSheet;
use super::step::{JobInside, JobVariant};
use crate::asked::{Asked, AskedFinding, AskedUnit};

/// The latest question with the findings, what is seen inside, and the variants seen, in their units.
pub(crate) fn with_findings(sheet: &JobSheet, inside: &[JobInside], variants: &[JobVariant]) -> Asked {
    let mut asked = sheet.asked.clone().unwrap_or_else(|| sheet.request.clone());
    for found in &sheet.findings {
        let Some(unit) = unit_mut(&mut asked, found.unit.as_deref()) else { continue };
        let finding = found;
        unit.findings
            .retain(|other| other.position != finding.position || other.bench_value != finding.bench_value);
        unit.findings.push(AskedFinding {
            position: finding.position.clone(),
            grade: finding.grade,
            bench_value: finding.bench_value.clone(),
            measured: finding.measured,
        });
    }
    for seen in inside {
        let Some(unit) = unit_mut(&mut asked, seen.unit.as_deref()) else { continue };
        unit.inside.retain(|other| other.position != seen.position);
        unit.inside.push(seen.asked());
    }
    for held in variants {
        let Some(unit) = unit_mut(&mut asked, held.unit.as_deref()) else { continue };
        if !unit.variants.contains(&held.variant) {
            unit.variants.push(held.variant.clone());
        }
    }
    asked
}

fn unit_mut<'a>(asked: &'a mut Asked, unit: Option<&str>) -> Option<&'a mut AskedUnit> {
    match unit {
        Some(unit) => asked.units.iter_mut().find(|other| other.unit.as_deref() == Some(unit)),
        None => asked.units.first_mut(),
    }
}

impl JobSheet {
    /// The units of the job's question, by the keys under which it was opened.
    pub(crate) fn units_of_request(&self) -> Vec<UnitKey> {
        let codes = self.request.units.iter().filter_map(|unit| unit.unit.as_deref());
        codes.filter_map(|code| UnitKey::parse(code).ok()).collect()
    }

    /// The unit that something names, or the only one.
    pub(crate) fn unit_named(&self, written: Option<&str>, pointer: &str) -> Result<UnitKey, JobError> {
        let names = || self.units.iter().map(UnitKey::as_str).collect::<Vec<_>>().join(", ");
        match (written, self.units.as_slice()) {
            (None, [only]) => Ok(only.clone()),
            (None, _) => {
                Err(JobError::bad(pointer, format!("the job has several units; name one of {}", names())))
            }
            (Some(written), units) => {
                let key = UnitKey::parse(written).ok();
                units.iter().find(|unit| Some(*unit) == key.as_ref()).cloned().ok_or_else(|| {
                    JobError::bad(pointer, format!("`{written}` is no unit of the job; it has {}", names()))
                })
            }
        }
    }
}

impl JobSheet {
    /// The job as it would be with another question: the bench's findings stay where their units do.
    pub(crate) fn asking(&self, request: &Asked) -> Result<JobSheet, JobError> {
        let mut other = JobSheet { asked: Some(request.clone()), ..self.clone() };
        let kept = |asked: &Asked| asked.units.iter().map(|unit| unit.unit.clone()).collect::<Vec<_>>();
        if kept(request) != kept(&self.request) {
            return Err(JobError::bad(
                "/request/units",
                "a decision is about the units of the job, in their order",
            ));
        }
        let (inside, variants) = (self.seen_inside.clone(), self.seen_variants.clone());
        other.request = with_findings(&other, &inside, &variants);
        Ok(other)
    }
}
