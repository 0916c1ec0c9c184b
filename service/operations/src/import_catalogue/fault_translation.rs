//! Faults of the files and faults of the store, told in one way.

use catalogue::bundle;
use exchange::{Fault, FaultCode};
use store::ImportFault;

use super::outcome::ImportRefused;

/// A fault of a file as the store notes it, so that it does not find it again.
pub(super) fn for_store(fault: &Fault) -> ImportFault {
    let spec = fault.file.strip_suffix(".csv").and_then(bundle::sheet);
    let column = spec.and_then(|spec| {
        spec.columns.iter().map(|column| column.name).find(|name| Some(*name) == fault.column.as_deref())
    });
    ImportFault {
        sheet: spec.map_or("", |spec| spec.name),
        row: fault.row.unwrap_or(0),
        columns: column.into_iter().collect(),
        value: fault.value.clone().unwrap_or_default(),
        wrong: fault.wrong.clone(),
        right: fault.right.clone(),
        suggestion: fault.suggestion.clone(),
    }
}

/// A fault that the store found.
fn from_store(fault: ImportFault) -> Fault {
    // The store tells faults in words; what sort they are shows in how the words begin. Of a GTIN that
    // could be read only a second one is a fault.
    let code = if fault.row == 0 {
        FaultCode::StillUsed
    } else if fault.wrong.starts_with("is not in ") {
        FaultCode::UnknownReference
    } else if fault.wrong.starts_with("stands in row ") || fault.columns == ["gtin"] {
        FaultCode::DuplicateRow
    } else {
        FaultCode::BadValue
    };
    Fault {
        code,
        file: format!("{}.csv", fault.sheet),
        row: (fault.row > 0).then_some(fault.row),
        column: (!fault.columns.is_empty()).then(|| fault.columns.join(", ")),
        value: (!fault.value.is_empty()).then_some(fault.value),
        wrong: fault.wrong,
        right: format!("write {}", fault.right),
        suggestion: fault.suggestion,
    }
}

/// The refusal for faults of the files and those that the store found; `told` are the former as the store noted them.
pub(super) fn refusal(
    mut from_files: Vec<Fault>,
    found: Vec<ImportFault>,
    told: &[ImportFault],
    total_in_files: u64,
    limit: usize,
) -> ImportRefused {
    let ended_early = found.len() >= limit.max(1);
    let new: Vec<Fault> = found.into_iter().filter(|fault| !told.contains(fault)).map(from_store).collect();
    let total = total_in_files + new.len() as u64;
    from_files.extend(new);
    from_files.sort_by_key(|fault| {
        let place = bundle::SHEETS.iter().position(|spec| fault.file.strip_suffix(".csv") == Some(spec.name));
        (place, fault.row)
    });
    ImportRefused { faults: from_files, total, ended_early, findings: Vec::new() }
}
