//! "What else must change?": whether a part or set fits what is inside a unit, and if not, the smallest sets of further
//! changes that make it fit, each with its price and the joints that force it.
//!
//! Nothing is left out by the order of aims: all sets of fewest further changes stand there up to a limit, the next ones
//! after them, and those that leave the fewest joints unverified beside those. What the operation renews anyway is
//! neither a change nor part of the price.

mod answer;
mod case;
mod conflict_facts;
mod joint_figures;
mod larger_operation;
mod priced;
mod side_by_side;
mod ways;

use std::collections::BTreeSet;

use catalogue::{Code, PartKey, UnitKey};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub use answer::{
    AlongLine, CheckedAlternative, CheckedUnit, FitCase, FitCheck, FitVerdict, FitWay, FurtherChange,
    SideBySideRow, WayCost,
};
pub use conflict_facts::{ConflictFact, GroupFact};
pub use joint_figures::{
    Compared, FailedTest, FigureValue, JointFigures, JointOutcome, MissingFigure, StatedFit, VerdictSource,
};
pub use larger_operation::{FluidMore, LargerOperation};

use crate::cautions::{DEFERRAL, cautions_of_work};
use crate::context::Context;
use crate::graph::Graph;
use crate::input::Input;
use crate::request::{Chosen, Request};
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::requirement::part_name;
use crate::resolve::identified;

/// Most alternatives of one check.
const ALTERNATIVES_MAX: usize = 16;
/// Most ways that are told of one alternative.
const WAYS_MAX: usize = 32;

/// Which alternatives to check against the units of an input.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FitCheckRequest {
    /// The alternatives, side by side, at least one.
    pub alternatives: Vec<FitAlternative>,
    /// At least so many ways are told of each alternative, if there are so many; at most 32.
    #[serde(default = "five")]
    pub ways: usize,
}

fn five() -> usize {
    5
}

/// One alternative: parts or sets that are to be fitted together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FitAlternative {
    /// The parts, sets or kits, at least one.
    pub parts: Vec<WantedPart>,
}

/// A part, set or kit that someone wants to fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WantedPart {
    /// The part.
    pub part: PartKey,
    /// The position, where it could stand at several.
    #[serde(default)]
    pub position: Option<Code>,
    /// The unit of the request it is for, counted from nought.
    #[serde(default)]
    pub unit: usize,
}

/// Checks what someone wants to fit against what is inside. What the units hold and which operation is planned stands in
/// the input's request; what its units already ask for is fitted in every alternative.
///
/// # Errors
///
/// A fault of the request: something it names is not known, or the alternatives are none or too many.
pub fn fit_check(input: &Input, check: &FitCheckRequest) -> Result<FitCheck, RequestFault> {
    fit_check_until(input, check, &|| false)
}

/// As [`fit_check`], as far as it comes until `stop`, which is asked now and then, says so: a price that is not proven by then
/// says so with its bound.
///
/// # Errors
///
/// As for [`fit_check`]; or the time ended before it was clear what goes together.
pub fn fit_check_until(
    input: &Input,
    check: &FitCheckRequest,
    stop: &dyn Fn() -> bool,
) -> Result<FitCheck, RequestFault> {
    if check.alternatives.is_empty() || check.alternatives.len() > ALTERNATIVES_MAX {
        return Err(RequestFault::new(
            RequestFaultKind::BadValue,
            "/alternatives",
            format!("name 1 to {ALTERNATIVES_MAX} alternatives, not {}", check.alternatives.len()),
        ));
    }
    if check.ways == 0 || check.ways > WAYS_MAX {
        return Err(RequestFault::new(
            RequestFaultKind::BadValue,
            "/ways",
            format!("ask for 1 to {WAYS_MAX} ways, not {}", check.ways),
        ));
    }
    let graph = Graph::new(&input.snapshot);
    let mut alternatives = Vec::new();
    let mut worked_on: BTreeSet<(UnitKey, Code)> = BTreeSet::new();
    let mut scratch = Input { snapshot: catalogue::Snapshot::default(), ..input.clone() };
    for (at, alternative) in check.alternatives.iter().enumerate() {
        scratch.request = with_wanted(&input.request, alternative, at)?;
        let shown = Shown { graph: &graph, input: &scratch, stop, at };
        alternatives.push(shown.check(check.ways, &mut worked_on)?);
    }
    let units: Vec<CheckedUnit> = input
        .request
        .units
        .iter()
        .filter_map(|asked| input.snapshot.units.iter().find(|unit| unit.unit == asked.unit))
        .map(|unit| CheckedUnit { unit: unit.unit.clone(), code: unit.code.clone(), name: unit.name.clone() })
        .collect();
    Ok(FitCheck {
        as_of: input.request.as_of,
        engine: crate::ENGINE.to_owned(),
        units,
        side_by_side: side_by_side::rows(&alternatives),
        cautions: cautions_of_work(&input.snapshot, &input.request.units, &worked_on, true),
        deferral: DEFERRAL.to_owned(),
        alternatives,
    })
}

/// The request with one alternative asked for.
fn with_wanted(request: &Request, alternative: &FitAlternative, at: usize) -> Result<Request, RequestFault> {
    let mut request = request.clone();
    if alternative.parts.is_empty() {
        return Err(RequestFault::new(
            RequestFaultKind::BadValue,
            format!("/alternatives/{at}/parts"),
            "name at least one part, set or kit",
        ));
    }
    for (index, wanted) in alternative.parts.iter().enumerate() {
        let units = request.units.len();
        let unit = request.units.get_mut(wanted.unit).ok_or_else(|| {
            RequestFault::new(
                RequestFaultKind::BadValue,
                format!("/alternatives/{at}/parts/{index}/unit"),
                format!("the request has {units} units, counted from nought, so there is no {}", wanted.unit),
            )
        })?;
        unit.chosen.push(Chosen { any_of: vec![wanted.part.clone()], position: wanted.position.clone() });
    }
    Ok(request)
}

/// One alternative while it is checked.
struct Shown<'s> {
    graph: &'s Graph<'s>,
    input: &'s Input,
    stop: &'s dyn Fn() -> bool,
    at: usize,
}

impl<'s> Shown<'s> {
    fn check(
        &self,
        ways: usize,
        worked_on: &mut BTreeSet<(UnitKey, Code)>,
    ) -> Result<CheckedAlternative, RequestFault> {
        let (mut context, branches) =
            identified(self.input, self.graph).map_err(|fault| self.placed(fault))?;
        context.budget.stop = Some(self.stop);
        let mut found = Vec::new();
        for branch in &branches {
            let case = case::case(&context, branch, ways).map_err(|fault| self.placed(fault))?;
            found.push((branch.open.clone(), case));
        }
        let cases = case::merged(found);
        for change in cases.iter().flat_map(|case| &case.ways).flat_map(|way| &way.changes) {
            worked_on.insert((change.unit.clone(), change.position.clone()));
        }
        Ok(CheckedAlternative { wanted: self.wanted(&context), cases })
    }

    /// What the alternative adds to the request stands behind what the units asked for already.
    fn wanted(&self, context: &Context<'_>) -> Vec<crate::answer::PartName> {
        let chosen = self.input.request.units.iter().flat_map(|unit| &unit.chosen);
        let keys = chosen.flat_map(|chosen| &chosen.any_of);
        keys.filter_map(|key| self.graph.find(key)).map(|part| part_name(context, part)).collect()
    }

    /// A fault of what was wanted points into the check.
    fn placed(&self, mut fault: RequestFault) -> RequestFault {
        if fault.pointer.contains("/chosen/") {
            fault.pointer = format!("/alternatives/{}/parts", self.at);
        }
        fault
    }
}
