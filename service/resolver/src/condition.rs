//! Conditions on serial number and build date, and the points at which they may turn out differently.

use std::collections::BTreeSet;

use catalogue::Supersession;
use chrono::NaiveDate;

use crate::identify::KnownUnit;

/// A range of serial numbers and build dates, ends included; an open end says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Condition {
    /// Serial numbers.
    pub(crate) serial: (Option<i64>, Option<i64>),
    /// Build dates.
    pub(crate) built: (Option<NaiveDate>, Option<NaiveDate>),
}

/// A serial number and a build date.
pub(crate) type Point = (i64, NaiveDate);

impl Condition {
    /// The condition of a row of a notice.
    pub(crate) fn of(row: &Supersession) -> Self {
        Self { serial: (row.serial_from, row.serial_to), built: (row.built_from, row.built_to) }
    }

    /// Whether it holds for a serial number and date.
    pub(crate) fn holds_at(&self, (serial, built): Point) -> bool {
        let within = |(from, to): (Option<i64>, Option<i64>)| {
            from.is_none_or(|from| from <= serial) && to.is_none_or(|to| serial <= to)
        };
        within(self.serial)
            && self.built.0.is_none_or(|from| from <= built)
            && self.built.1.is_none_or(|to| built <= to)
    }

    /// What a person calls it.
    pub(crate) fn name(&self) -> String {
        let serial = match self.serial {
            (Some(from), Some(to)) => Some(format!("SERIAL-{from}-TO-{to}")),
            (Some(from), None) => Some(format!("SERIAL-FROM-{from}")),
            (None, Some(to)) => Some(format!("SERIAL-TO-{to}")),
            (None, None) => None,
        };
        let built = match self.built {
            (Some(from), Some(to)) => Some(format!("BUILT-{from}-TO-{to}")),
            (Some(from), None) => Some(format!("BUILT-FROM-{from}")),
            (None, Some(to)) => Some(format!("BUILT-TO-{to}")),
            (None, None) => None,
        };
        match (serial, built) {
            (Some(serial), Some(built)) => format!("{serial}-{built}"),
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => "ALWAYS".to_owned(),
        }
    }
}

/// One serial number and one build date for each way in which some conditions may turn out together.
#[derive(Debug)]
pub(crate) struct Points {
    serials: Vec<i64>,
    dates: Vec<NaiveDate>,
}

impl Points {
    /// The points that tell conditions apart: the ends of the ranges and their neighbours outside; only what is known of the
    /// unit, where it is known.
    pub(crate) fn of<'c>(unit: &KnownUnit<'_>, conditions: impl Iterator<Item = &'c Condition>) -> Self {
        let mut serials = BTreeSet::from([0]);
        let mut dates = BTreeSet::from([NaiveDate::MIN]);
        for condition in conditions {
            serials.extend(condition.serial.0);
            serials.extend(condition.serial.1.map(|to| to.saturating_add(1)));
            dates.extend(condition.built.0);
            dates.extend(condition.built.1.and_then(|to| to.succ_opt()));
        }
        Self {
            serials: unit.serial.map_or_else(|| serials.into_iter().collect(), |known| vec![known]),
            dates: unit.request.built.map_or_else(|| dates.into_iter().collect(), |known| vec![known]),
        }
    }

    /// All of them.
    pub(crate) fn all(&self) -> impl Iterator<Item = Point> {
        self.serials.iter().flat_map(|serial| self.dates.iter().map(move |date| (*serial, *date)))
    }
}
