//! A paper described as data: its CSV records and columns with their UBL elements.

use super::mapping::{FieldSpec, Input, ReadValue};
use super::paper::{Paper, PaperKind};
use super::value::Shape;
use super::{Catalogue, DespatchAdvice, Order, OrderResponse, ReceiptAdvice};

/// A CSV column of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnDescription {
    /// Its name.
    pub name: String,
    /// The UBL element or attribute, seen from the root of the document.
    pub path: String,
    /// Whether each such record must have a value in it.
    pub required: bool,
    /// What a person should write.
    pub wanted: &'static str,
    /// What it means.
    pub doc: &'static str,
}

/// A kind of CSV record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordDescription {
    /// Its name, which stands in the column `record`.
    pub name: &'static str,
    /// What one is.
    pub doc: &'static str,
    /// Its columns, in the order of the file.
    pub columns: Vec<ColumnDescription>,
    /// The records that may stand below one.
    pub below: Vec<RecordDescription>,
}

impl RecordDescription {
    /// All columns of the file in their order: of this record and of those below it, each name once.
    pub fn all_columns(&self) -> Vec<&ColumnDescription> {
        let mut columns: Vec<&ColumnDescription> = Vec::new();
        self.collect_columns(&mut columns);
        columns
    }

    fn collect_columns<'d>(&'d self, into: &mut Vec<&'d ColumnDescription>) {
        for column in &self.columns {
            if !into.iter().any(|known| known.name == column.name) {
                into.push(column);
            }
        }
        for record in &self.below {
            record.collect_columns(into);
        }
    }
}

/// The column of a record that is one text.
pub(crate) const TEXT_COLUMN: &str = "text";

/// An input that gives nothing and notes what it was asked for.
struct Notes {
    record: RecordDescription,
    prefix: String,
    path: String,
    required: bool,
}

impl Notes {
    fn new(name: &'static str, doc: &'static str, path: String) -> Self {
        let record = RecordDescription { name, doc: doc.trim(), columns: Vec::new(), below: Vec::new() };
        Self { record, prefix: String::new(), path, required: true }
    }

    fn column(
        &mut self,
        name: String,
        path: String,
        required: bool,
        wanted: &'static str,
        doc: &'static str,
    ) {
        self.record.columns.push(ColumnDescription { name, path, required, wanted, doc: doc.trim() });
    }

    fn columns_of(&mut self, name: &str, path: &str, shape: &Shape, required: bool, doc: &'static str) {
        let mark = match shape.beside {
            Some(beside) if !beside.only.is_empty() => format!("[@{}='{}']", beside.attribute, beside.only),
            _ => String::new(),
        };
        self.column(name.to_owned(), format!("{path}{mark}"), required, shape.wanted, doc);
        if let Some(beside) = shape.beside.filter(|beside| !beside.column.is_empty()) {
            let (wanted, doc) = match beside.column {
                "currency" => ("an ISO 4217 code, such as EUR", "The currency of it."),
                "unit" => ("a code of UN/ECE Recommendation 20, such as H87 for pieces", "The unit of it."),
                _ => ("text of at most 2000 characters", "Whose number it is; empty: the sender's own."),
            };
            let required = required && beside.column != "scheme";
            let path = format!("{path}/@{}", beside.attribute);
            self.column(format!("{name}_{}", beside.column), path, required, wanted, doc);
        }
    }
}

impl Input for Notes {
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, required: bool, _: ReadValue<'_>) {
        let (name, path) = (format!("{}{}", self.prefix, spec.name), format!("{}/{}", self.path, spec.path));
        self.columns_of(&name, &path, shape, required && self.required, spec.doc);
    }

    fn values(&mut self, spec: &FieldSpec, shape: &Shape, _: ReadValue<'_>) {
        let path = format!("{}/{}", self.path, spec.path);
        let mut below = Self::new(spec.record, spec.doc, path.clone());
        below.columns_of(TEXT_COLUMN, &path, shape, true, spec.doc);
        self.record.below.push(below.record);
    }

    fn part(&mut self, spec: &FieldSpec, always: bool, fill: &mut dyn FnMut(&mut dyn Input)) {
        let outer = (self.prefix.clone(), self.path.clone(), self.required);
        self.prefix = format!("{}{}_", self.prefix, spec.name);
        self.path = format!("{}/{}", self.path, spec.path);
        self.required &= always;
        fill(self);
        (self.prefix, self.path, self.required) = outer;
    }

    fn each(&mut self, spec: &FieldSpec, fill: &mut dyn FnMut(&mut dyn Input)) {
        let mut below = Self::new(spec.record, spec.doc, format!("{}/{}", self.path, spec.path));
        fill(&mut below);
        self.record.below.push(below.record);
    }
}

/// Describes a paper.
pub fn describe<P: Paper>() -> RecordDescription {
    let mut notes = Notes::new(P::KIND.record, P::DOC, format!("/{}", P::KIND.document));
    P::default().fill(&mut notes);
    notes.record
}

const README_HEAD: &str = "# Papers in UBL and in CSV

Made by `papers_readme` from the papers themselves (`service/exchange/src/papers`); a test says how to renew it.

**UBL.** OASIS Universal Business Language 2.1 (OASIS Standard, 4 November 2013), UTF-8. `cac:`, `cbc:` and `ext:` stand for
the namespaces of its common aggregate, basic and extension components. Where an element may be repeated and one field
speaks of it, the first is read. `cbc:UBLVersionID` is written as `2.1`; `cbc:LineCountNumeric` is written, and must agree
where it is read. What is sent but stands in no table below is reported with its path, never dropped silently.

**CSV.** RFC 4180, UTF-8, one paper a file. The first row names the columns, in any order; columns that are not needed may be
left out. Column `record` says what a row is. The first row below the header is the paper; each other row belongs to the
nearest row above it that may have one of its kind. Texts may span lines inside quotes.

**Units** are codes of UN/ECE Recommendation 20 (`C62`, `EA` and `NAR` count pieces as `H87` does), **currencies** codes of ISO 4217.
Days are `YYYY-MM-DD`; a time zone behind a day is not used.

**Supersession.** A line's successors are its replacement related items, each with how many of it stand for one; its
predecessors are its replaced related items. UBL has no element for the direction of interchange or the day from which a
notice holds: item properties named `interchange` (`two_way`, `new_for_old`, `none`) and the validity of the line carry them.
Kit contents are component related items; the properties `kind` and `class` may carry what sort of part an item is.
";

fn rows(record: &RecordDescription, out: &mut String) {
    out.push_str(&format!("\n### `{}`\n\n{}\n", record.name, record.doc));
    out.push_str("\n| column | UBL element | needed | meaning | write |\n|---|---|---|---|---|\n");
    for column in &record.columns {
        let needed = if column.required { "yes" } else { "" };
        let (name, path) = (&column.name, &column.path);
        out.push_str(&format!("| `{name}` | `{path}` | {needed} | {} | {} |\n", column.doc, column.wanted));
    }
    if !record.below.is_empty() {
        let names: Vec<String> = record.below.iter().map(|below| format!("`{}`", below.name)).collect();
        out.push_str(&format!("\nBelow one may stand: {}.\n", names.join(", ")));
    }
    for below in &record.below {
        rows(below, out);
    }
}

fn section<P: Paper>(out: &mut String) {
    let PaperKind { document, customization, profile, .. } = P::KIND;
    out.push_str(&format!(
        "\n## {document}\n\n`cbc:CustomizationID` is written as `{customization}`, `cbc:ProfileID` as `{profile}`.\n"
    ));
    rows(&describe::<P>(), out);
}

/// The documentation of all papers, as kept in `service/exchange/PAPERS.md`.
pub fn papers_readme() -> String {
    let mut out = README_HEAD.to_owned();
    section::<Order>(&mut out);
    section::<OrderResponse>(&mut out);
    section::<DespatchAdvice>(&mut out);
    section::<ReceiptAdvice>(&mut out);
    section::<Catalogue>(&mut out);
    out
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn check(record: &RecordDescription) {
        let names: BTreeSet<&str> = record.columns.iter().map(|column| column.name.as_str()).collect();
        assert_eq!(names.len(), record.columns.len(), "columns of {}", record.name);
        let below: BTreeSet<&str> = record.below.iter().map(|below| below.name).collect();
        assert_eq!(below.len(), record.below.len(), "records below {}", record.name);
        // A row belongs to the nearest row that may have it: nothing later in the list may be taken by one before.
        for (index, first) in record.below.iter().enumerate() {
            for later in &record.below[index + 1..] {
                assert!(
                    !first.below.iter().any(|inner| inner.name == later.name),
                    "{} below {} would go to {}",
                    later.name,
                    record.name,
                    first.name
                );
            }
        }
        for below in &record.below {
            assert!(!below.name.is_empty());
            check(below);
        }
    }

    #[test]
    fn every_row_has_one_place() {
        check(&describe::<Order>());
        check(&describe::<OrderResponse>());
        check(&describe::<DespatchAdvice>());
        check(&describe::<ReceiptAdvice>());
        check(&describe::<Catalogue>());
    }

    #[test]
    fn a_column_knows_its_element_and_whether_it_is_needed() {
        let order = describe::<Order>();
        let line = &order.below.iter().find(|record| record.name == "line").unwrap().columns;
        let column = |name: &str| line.iter().find(|column| column.name == name).unwrap();
        assert_eq!(column("quantity_unit").path, "/Order/cac:OrderLine/cac:LineItem/cbc:Quantity/@unitCode");
        assert!(column("quantity_unit").required && !column("price_amount").required);
        assert!(column("item_gtin").path.ends_with("cbc:ID[@schemeID='GTIN']"));
    }
}
