//! Work that goes out of the shop.

use catalogue::OutsideWork;

use crate::answer::WorkOrder;
use crate::context::Context;
use crate::identify::KnownUnit;
use crate::reason::Reason;
use crate::request_fault::RequestFault;
use crate::requirement::because;
use crate::sourcing::day_after;

/// The outside work that the operations and findings of a request call for.
pub(crate) fn outside_work(context: &Context<'_>) -> Result<Vec<WorkOrder>, RequestFault> {
    let mut orders = Vec::new();
    for unit in &context.units {
        for work in context.graph.snapshot.outside_work.iter().filter(|work| work.unit == unit.unit.unit) {
            let Some(reasons) = called_for(unit, work) else { continue };
            orders.push(WorkOrder {
                unit: work.unit.clone(),
                work: work.work.clone(),
                name: work.name.clone(),
                supplier: work.supplier.clone(),
                cost: context.rates.to_base(work.price, &work.currency)?,
                here_on: day_after(context.input.request.as_of, work.lead_days),
                reasons: because(&reasons),
            });
        }
    }
    Ok(orders)
}

/// Why a unit's operation or findings call for a work; `None` if they do not.
fn called_for(unit: &KnownUnit<'_>, work: &OutsideWork) -> Option<Vec<Reason>> {
    let operation = &unit.operation.operation;
    if work.operation.as_ref().is_some_and(|wanted| wanted != operation) {
        return None;
    }
    let Some(position) = &work.position else {
        let purpose = work.name.clone();
        let reason = Reason::OperationCallsForWork { operation: operation.clone(), purpose };
        return Some(vec![reason]);
    };
    let found = unit.request.findings.iter().find(|finding| {
        finding.position == *position
            && finding.grade.is_some()
            && (work.finding.is_none() || finding.grade == work.finding)
    });
    found.and_then(|finding| finding.grade).map(|grade| vec![Reason::Finding { grade }])
}
