//! A job as a person reads it.

use std::fmt::Write;

use operations::jobs::as_built::{BatchUse, RecordLine, RecordSource, SerialSheet};
use operations::jobs::compare::JobComparison;
use operations::jobs::papers::JobPapers;
use operations::jobs::pick_list::{PickLine, PickList};
use operations::jobs::sheet::JobSheet;

use crate::print_cautions::cautions_text;
use crate::wrapped_table::WrappedTable;

/// What is not there.
fn dash(text: Option<String>) -> String {
    text.filter(|text| !text.is_empty()).unwrap_or_else(|| "-".to_owned())
}

/// How far a job is, and what can be done next.
pub(crate) fn job_text(job: &JobSheet, width: usize) -> String {
    let units = job.request.units.iter().map(|unit| {
        let serial = unit.serial.as_ref().map_or(String::new(), |serial| format!(" serial {serial}"));
        format!("{}{serial}", unit.unit.as_deref().unwrap_or_default())
    });
    let units: Vec<String> = units.collect();
    let mut text = format!("JOB {}  {}; {}\n", job.number, job.state, units.join(", "));
    if !job.note.is_empty() {
        let _ = writeln!(text, "{}", job.note);
    }
    let quotes = [("estimate", &job.estimate), ("decision", &job.decision)];
    for (what, quote) in quotes {
        if let Some(quote) = quote {
            let _ = writeln!(text, "  {what} {quote}");
        }
    }
    if let Some(approval) = &job.approval {
        let (price, currency, by) = (approval.price, &approval.currency, &approval.approved_by);
        let _ = writeln!(text, "  approved at {price} {currency} by {by}");
    }
    findings_and_parts(&mut text, job, width);
    let mut steps = WrappedTable::new(&["when", "what", "by", "note"]);
    for step in &job.steps {
        steps.row([
            step.at.format("%Y-%m-%d %H:%M").to_string(),
            step.step.word().replace('_', " "),
            step.by.clone(),
            step.note.clone(),
        ]);
    }
    let _ = write!(text, "\n{}", steps.text(width));
    if job.allowed.is_empty() {
        text.push_str("Nothing more is done with it.\n");
    } else {
        let next: Vec<String> = job.allowed.iter().map(|step| step.word().replace('_', " ")).collect();
        let _ = writeln!(text, "Next: {}.", next.join(", "));
    }
    cautions_text(&mut text, &job.cautions, &job.deferral, width);
    text
}

fn findings_and_parts(text: &mut String, job: &JobSheet, width: usize) {
    let mut findings = WrappedTable::new(&["found at", "what", "by", "note", "photo"]);
    for finding in &job.findings {
        let what = match (&finding.bench_value, finding.measured, finding.grade) {
            (Some(value), Some(measured), _) => format!("{value} {measured}"),
            (_, _, Some(grade)) => grade.word().replace('_', " "),
            _ => "-".to_owned(),
        };
        findings.row([
            finding.position.clone(),
            what,
            finding.by.clone(),
            finding.note.clone(),
            finding.photo.clone(),
        ]);
    }
    let mut issued = WrappedTable::new(&["in the job at", ">qty", "part", "bin", "batch"]);
    for line in &job.issued {
        issued.row([
            dash(line.position.as_ref().map(ToString::to_string)),
            line.quantity.to_string(),
            line.part.to_string(),
            line.bin.to_string(),
            dash(Some(line.batch.clone())),
        ]);
    }
    let mut measured = WrappedTable::new(&["measured at", "value", ">figure", ">least", ">most", "verdict"]);
    let limit = |limit: Option<f64>| limit.map_or_else(|| "-".to_owned(), |limit| limit.to_string());
    for value in &job.inspection {
        measured.row([
            value.position.to_string(),
            value.bench_value.to_string(),
            value.measured.to_string(),
            limit(value.minimum),
            limit(value.maximum),
            if value.good { "good" } else { "outside its limits" }.to_owned(),
        ]);
    }
    let mut surplus = WrappedTable::new(&["surplus", ">qty", "bin", ">each", ">all"]);
    for line in &job.surplus {
        surplus.row([
            line.part.to_string(),
            line.quantity.to_string(),
            line.bin.to_string(),
            line.unit_value.to_string(),
            line.amount.to_string(),
        ]);
    }
    for table in [findings, issued, measured, surplus] {
        if !table.is_empty() {
            let _ = write!(text, "\n{}", table.text(width));
        }
    }
    for shims in &job.shims {
        let pieces: Vec<String> = shims.pieces_mm.iter().map(|piece| format!("{piece:.3}")).collect();
        let _ = writeln!(
            text,
            "  shims at {}: {} mm, together {:.3} mm for {:.3} mm wanted",
            shims.position,
            pieces.join(" + "),
            shims.total_mm,
            shims.wanted_mm,
        );
    }
}

/// What a job needs from the shelf, in order of assembly.
pub(crate) fn pick_list_text(list: &PickList, width: usize) -> String {
    let mut text = format!("PICK LIST {}  as decided in {}\n", list.number, list.decision);
    for group in &list.groups {
        let subassembly = group.subassembly.as_ref().map_or("without a position", |code| code.as_str());
        let _ = writeln!(text, "\n{} {subassembly}", group.unit);
        let mut table = WrappedTable::new(&[">open", "of", "part", "position", "bins"]);
        for line in &group.lines {
            table.row([
                line.open.to_string(),
                line.needed.to_string(),
                format!("{} {}", line.part.part, line.part.name),
                dash(line.position.as_ref().map(ToString::to_string)),
                bins(line),
            ]);
        }
        text.push_str(&table.text(width));
    }
    cautions_text(&mut text, &list.cautions, &list.deferral, width);
    text
}

fn bins(line: &PickLine) -> String {
    let bins = line.bins.iter().map(|bin| {
        let mut words = format!("{}: {} reserved, {} free", bin.bin, bin.reserved, bin.free);
        if !bin.mark.0.is_empty() {
            let _ = write!(words, ", mark {}", bin.mark.0);
        }
        if let Some(other) = &bin.instead {
            let _ = write!(words, ", {other} instead");
        }
        words
    });
    let bins: Vec<String> = bins.collect();
    if bins.is_empty() { "none on the shelf".to_owned() } else { bins.join("; ") }
}

/// What changed since the estimate, and why.
pub(crate) fn comparison_text(compared: &JobComparison, width: usize) -> String {
    let mut text = format!("JOB {}  against its estimate {}\n", compared.number, compared.estimate);
    let mut table = WrappedTable::new(&["what", "then", "now", "because"]);
    for change in &compared.comparison.changes {
        let causes: Vec<String> = change.causes.iter().map(crate::compare::cause).collect();
        table.row([
            dash(change.position.as_ref().map(ToString::to_string)),
            dash(change.before.clone()),
            dash(change.after.clone()),
            causes.join("; "),
        ]);
    }
    if table.is_empty() {
        text.push_str("Nothing has changed.\n");
    } else {
        text.push_str(&table.text(width));
    }
    cautions_text(&mut text, &compared.cautions, &compared.deferral, width);
    text
}

/// The orders, receipts and reservations of a job.
pub(crate) fn papers_text(papers: &JobPapers, width: usize) -> String {
    let mut text = format!("PAPERS of {}\n", papers.number);
    let quotes = [("estimate", &papers.estimate), ("decision", &papers.decision)];
    for (what, quote) in quotes {
        if let Some(quote) = quote {
            let _ = writeln!(text, "  {what} {quote}");
        }
    }
    let mut orders = WrappedTable::new(&["order", "supplier", "state", "expected"]);
    for order in &papers.orders {
        orders.row([
            order.number.clone(),
            order.supplier.to_string(),
            order.state.word().replace('_', " "),
            dash(order.expected_on.map(|day| day.to_string())),
        ]);
    }
    let mut receipts = WrappedTable::new(&["receipt", "order", "counted", "by", "claim", "taken back by"]);
    for receipt in &papers.receipts {
        receipts.row([
            receipt.number.clone(),
            dash(receipt.order.clone()),
            receipt.counted_at.format("%Y-%m-%d").to_string(),
            receipt.counted_by.clone(),
            dash(receipt.claim.clone()),
            dash(receipt.reversed_by.clone()),
        ]);
    }
    let mut empty = true;
    for table in [orders, receipts] {
        if !table.is_empty() {
            let _ = write!(text, "\n{}", table.text(width));
            empty = false;
        }
    }
    let reserved = crate::shelf::reservations_table(&papers.reservations);
    if !reserved.is_empty() {
        let _ = write!(text, "\n{}", reserved.text(width));
        empty = false;
    }
    if empty {
        text.push_str("Nothing is ordered, received or reserved for it yet.\n");
    }
    text
}

/// What is inside a serial number, and what changed.
pub(crate) fn serial_text(sheet: &SerialSheet, with_changes: bool, width: usize) -> String {
    let mut text = format!("{} serial {}  as of {}\n", sheet.unit, sheet.serial, sheet.as_of);
    if sheet.history.is_empty() {
        text.push_str("No job of this shop has written anything of it.\n");
        return text;
    }
    text.push_str("\nINSIDE\n");
    text.push_str(&record_table(&sheet.inside).text(width));
    if with_changes {
        text.push_str("\nCHANGES\n");
        let mut table = WrappedTable::new(&["position", "then", "now"]);
        let words = |lines: &[RecordLine]| {
            let words = lines.iter().map(|line| match &line.part {
                Some(part) => format!("{} × {part}", line.quantity),
                None => "nothing".to_owned(),
            });
            dash(Some(words.collect::<Vec<_>>().join(", ")))
        };
        for change in &sheet.changes {
            table.row([change.position.to_string(), words(&change.before), words(&change.after)]);
        }
        text.push_str(if table.is_empty() { "none\n" } else { "" });
        text.push_str(&table.text(width));
    } else {
        text.push_str("\nHISTORY\n");
        text.push_str(&record_table(&sheet.history).text(width));
    }
    text
}

fn record_table(lines: &[RecordLine]) -> WrappedTable {
    let mut table = WrappedTable::new(&["position", ">qty", "part", "batch", "how", "job", "on", "note"]);
    for line in lines {
        let how = match line.source {
            RecordSource::Fitted => "fitted",
            RecordSource::Kept => "kept",
            RecordSource::Gone => "gone",
        };
        table.row([
            line.position.to_string(),
            line.quantity.to_string(),
            dash(line.part.as_ref().map(ToString::to_string)),
            dash(Some(line.batch.clone())),
            how.to_owned(),
            line.job.clone(),
            line.at.format("%Y-%m-%d").to_string(),
            line.note.clone(),
        ]);
    }
    table
}

/// The serial numbers that a batch went into.
pub(crate) fn batch_text(batch: &str, uses: &[BatchUse], width: usize) -> String {
    let mut table = WrappedTable::new(&["unit", "serial", "position", "part", "job", "on", "still inside"]);
    for one in uses {
        table.row([
            one.unit.to_string(),
            one.serial.to_string(),
            one.line.position.to_string(),
            dash(one.line.part.as_ref().map(ToString::to_string)),
            one.line.job.clone(),
            one.line.at.format("%Y-%m-%d").to_string(),
            if one.still_inside { "yes" } else { "no" }.to_owned(),
        ]);
    }
    if table.is_empty() {
        return format!("Batch {batch} went into no serial number that this shop has closed a job for.\n");
    }
    format!("BATCH {batch}\n{}", table.text(width))
}
