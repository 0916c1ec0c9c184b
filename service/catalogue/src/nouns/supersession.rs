//! Supersession.

use chrono::NaiveDate;

use crate::key::{Code, PartKey, UnitKey};
use crate::quantity::Quantity;

choice! {
    /// How old and new numbers of a notice relate.
    pub enum SupersessionShape {
        /// One old number gives way to one new number.
        OneToOne = "one_to_one",
        /// All new numbers of the notice together replace the old one.
        AllOf = "all_of",
        /// One of the new numbers replaces the old one, by condition.
        OneOf = "one_of",
        /// Several old numbers together give way to one new number.
        Merge = "merge",
    }
}

choice! {
    /// In which direction old and new may serve for each other.
    pub enum Interchange {
        /// Either serves for the other.
        TwoWay = "two_way",
        /// The new fits where the old was, not the other way.
        NewForOld = "new_for_old",
        /// Neither serves for the other, unless what the notice needs changes too.
        None = "none",
    }
}

sheet! {
    /// A notice that an old number gives way to a new one. A split or merge is several rows of one notice.
    pub struct Supersession in "supersessions", Structure, key(notice, old, new) {
        /// Code of the notice.
        notice: Code,
        /// The old number.
        old: PartKey,
        /// The new number.
        new: PartKey,
        /// How many new pieces stand for one old piece (of a merge: for one old set).
        quantity: Quantity [positive],
        /// How old and new numbers of the notice relate.
        shape: SupersessionShape,
        /// In which direction they may serve for each other.
        interchange: Interchange,
        /// From which day the notice holds, held against the day of asking.
        effective_from: NaiveDate,
        /// Whether old stock is used up first.
        use_old_until_gone: bool,
        /// The unit to which the condition of this row speaks; empty: any.
        unit: Option<UnitKey>,
        /// The variant of the unit in which this row holds; empty: all.
        variant: Option<Code>,
        /// First serial number for which this row holds; empty: open.
        serial_from: Option<i64> [not_negative],
        /// Last serial number for which this row holds; empty: open.
        serial_to: Option<i64> [not_negative],
        /// First build day for which this row holds; empty: open.
        built_from: Option<NaiveDate>,
        /// Last build day for which this row holds; empty: open.
        built_to: Option<NaiveDate>,
    }
    references {
        (old) => parts(part),
        (new) => parts(part),
        (unit) => units(unit),
        (unit, variant) => variants(unit, variant)
    }
}

sheet! {
    /// What else a notice asks for: a part that must change too (interchange none), or a position that a merge drags in.
    pub struct SupersessionNeed in "supersession_needs", Structure, key(notice, line) {
        /// Code of the notice.
        notice: Code,
        /// Number of the line.
        line: i64 [positive],
        /// The unit.
        unit: UnitKey,
        /// The position that is renewed too.
        position: Code,
        /// The part that must be fitted there; empty: any that the position takes.
        part: Option<PartKey>,
    }
    references { (unit, position) => positions(unit, position), (part) => parts(part) }
}
