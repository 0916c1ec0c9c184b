//! Counts of small boxes, and matchings against trying everything.

mod boxes;
mod exhaustive;

use catalogue::{
    Code, Interchange, KitLine, Part, PartClass, PartKey, PartKind, Quantity, Snapshot, Supersession,
    SupersessionShape, UnitOfMeasure,
};
use chrono::NaiveDate;

use super::{CountedLine, ExpectedLine, FrozenBox, ReceiptInput, contents_of};

/// The day of counting.
pub(super) fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()
}

/// A part's key from its number.
pub(super) fn key(number: &str) -> PartKey {
    PartKey::parse(&format!("VESSICK/{number}")).unwrap()
}

/// A catalogue with these parts; those that begin with K are kits.
pub(super) fn catalogue_of(numbers: &[&str]) -> Snapshot {
    let mut parts: Vec<Part> = numbers.iter().map(|number| part(number)).collect();
    parts.sort_by(|a, b| a.part.cmp(&b.part));
    Snapshot { parts, ..Snapshot::default() }
}

fn part(number: &str) -> Part {
    let is_kit = number.starts_with('K');
    Part {
        part: key(number),
        maker: Code::from_stored("VESSICK"),
        number: number.to_owned(),
        name: format!("Part {number}"),
        kind: if is_kit { PartKind::Kit } else { PartKind::Wear },
        class: PartClass::Other,
        price_group: Code::from_stored("WEAR"),
        measure: if is_kit { UnitOfMeasure::Kit } else { UnitOfMeasure::Piece },
        renewal: None,
        gtin: None,
        mass_kg: None,
        surplus_credit: None,
        retired: false,
    }
}

/// Puts lines on the list of a kit.
pub(super) fn with_lines(mut snapshot: Snapshot, kit: &str, lines: &[(&str, i64, &str)]) -> Snapshot {
    snapshot.kit_lines.retain(|line| line.kit != key(kit));
    for (at, (part, quantity, group)) in lines.iter().enumerate() {
        snapshot.kit_lines.push(KitLine {
            kit: key(kit),
            line: 10 * (i64::try_from(at).unwrap() + 1),
            part: key(part),
            quantity: Quantity::whole(*quantity),
            option_group: (!group.is_empty()).then(|| Code::from_stored(*group)),
        });
    }
    snapshot.kit_lines.sort_by(|a, b| (&a.kit, a.line).cmp(&(&b.kit, b.line)));
    snapshot
}

/// Adds a row of a notice.
pub(super) fn with_notice(
    mut snapshot: Snapshot,
    (notice, shape): (&str, SupersessionShape),
    (old, new, pieces): (&str, &str, i64),
    interchange: Interchange,
) -> Snapshot {
    snapshot.supersessions.push(Supersession {
        notice: Code::from_stored(notice),
        old: key(old),
        new: key(new),
        quantity: Quantity::whole(pieces),
        shape,
        interchange,
        effective_from: NaiveDate::from_ymd_opt(2020, 1, 1).unwrap(),
        use_old_until_gone: false,
        unit: None,
        variant: None,
        serial_from: None,
        serial_to: None,
        built_from: None,
        built_to: None,
    });
    snapshot.supersessions.sort_by(|a, b| (&a.notice, &a.old, &a.new).cmp(&(&b.notice, &b.old, &b.new)));
    snapshot
}

/// The count of what these order lines bring: a number with its quantity each; counted are a number, pieces, damaged ones.
pub(super) fn input(
    snapshot: &Snapshot,
    ordered: &[(&str, i64)],
    counted: &[(&str, i64, i64)],
) -> ReceiptInput {
    let mut expected = Vec::new();
    let mut boxes = Vec::new();
    for (at, (number, quantity)) in ordered.iter().enumerate() {
        let contents = contents_of(snapshot, &key(number)).unwrap();
        let is_kit = contents.iter().any(|content| content.part != key(number));
        for content in &contents {
            expected.push(ExpectedLine {
                order_line: i64::try_from(at).unwrap() + 1,
                content: content.content,
                part: content.part.clone(),
                quantity: content.quantity.times(Quantity::whole(*quantity)).unwrap(),
                kit: is_kit.then(|| key(number)),
                option_group: content.option_group.clone(),
            });
        }
        if is_kit {
            boxes.push(FrozenBox { kit: key(number), contents });
        }
    }
    let counted = counted.iter().map(|(number, quantity, damaged)| CountedLine {
        written: (*number).to_owned(),
        part: snapshot.parts.iter().any(|part| part.part == key(number)).then(|| key(number)),
        quantity: Quantity::whole(*quantity),
        damaged: Quantity::whole(*damaged),
    });
    ReceiptInput { as_of: day(), expected, counted: counted.collect(), boxes, snapshot: snapshot.clone() }
}
