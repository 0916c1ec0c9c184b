//! A catalogue for a test: the demo's files, or a few sheets written in the test, as the resolver's input.

#![allow(dead_code, reason = "each test binary uses its own part of the world")]
#![expect(clippy::unwrap_used, reason = "a test may end where its world is wrong")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use catalogue::bundle::SHEETS;
use catalogue::{
    Cell, Code, Part, PartKey, PriceBook, Quantity, Sheet, Snapshot, Stock, StockLot, StockView, UnitKey,
};
use exchange::Faults;
use resolver::request::{Chosen, Finding, Inside, UnitRequest};
use resolver::{Answer, Input, Request, RequestFault};

/// Rows of all sheets by name.
#[derive(Debug, Clone, Default)]
pub(crate) struct World {
    rows: BTreeMap<&'static str, Vec<Vec<Cell>>>,
}

impl World {
    /// Reads the files of a directory.
    pub(crate) fn from_dir(dir: &Path) -> Self {
        let mut world = Self::default();
        for spec in SHEETS {
            if let Ok(text) = std::fs::read_to_string(dir.join(format!("{}.csv", spec.name))) {
                world.read(spec.name, &text);
            }
        }
        world
    }

    /// The demo.
    pub(crate) fn demo() -> Self {
        Self::from_dir(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../seed-data"))
    }

    /// Reads sheets written one after the other, each under a line `[name]`.
    pub(crate) fn from_text(text: &str) -> Self {
        let mut world = Self::default();
        let mut at: Option<(&str, String)> = None;
        for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
            if let Some(name) = line.strip_prefix('[').and_then(|line| line.strip_suffix(']')) {
                if let Some((name, sheet)) = at.replace((name, String::new())) {
                    world.read(name, &sheet);
                }
            } else if let Some((_, sheet)) = &mut at {
                sheet.push_str(line);
                sheet.push('\n');
            }
        }
        if let Some((name, sheet)) = at {
            world.read(name, &sheet);
        }
        world
    }

    fn read(&mut self, name: &str, text: &str) {
        let spec = catalogue::bundle::sheet(name).unwrap_or_else(|| panic!("no sheet {name}"));
        let mut faults = Faults::with_limit(20);
        let rows = self.rows.entry(spec.name).or_default();
        exchange::read_sheet::<_, std::io::Error>(spec, text.as_bytes(), &mut faults, |batch| {
            rows.extend(batch.rows.into_iter().map(|row| row.cells));
            Ok(())
        })
        .unwrap();
        assert!(faults.is_empty(), "{name}: {faults:#?}");
        let key: Vec<usize> = spec.key.iter().map(|key| spec.column_index(key).unwrap()).collect();
        rows.sort_by_key(|row| key.iter().map(|at| sortable(&row[*at])).collect::<Vec<_>>());
    }

    /// All rows of a noun.
    pub(crate) fn all<T: Sheet>(&self) -> Vec<T> {
        let rows = self.rows.get(T::SPEC.name).map_or(&[][..], Vec::as_slice);
        rows.iter().map(|row| T::from_cells(row).unwrap()).collect()
    }

    /// Keeps only the rows of a noun for which `keep` holds.
    pub(crate) fn retain<T: Sheet>(&mut self, keep: impl Fn(&T) -> bool) {
        let kept: Vec<Vec<Cell>> =
            self.all::<T>().iter().filter(|row| keep(row)).map(Sheet::to_cells).collect();
        self.rows.insert(T::SPEC.name, kept);
    }

    /// Changes each row of a noun.
    pub(crate) fn change<T: Sheet>(&mut self, mut change: impl FnMut(&mut T)) {
        let mut rows = self.all::<T>();
        rows.iter_mut().for_each(&mut change);
        self.rows.insert(T::SPEC.name, rows.iter().map(Sheet::to_cells).collect());
    }

    /// The input of a request.
    pub(crate) fn input(&self, request: Request) -> Input {
        let units: BTreeSet<UnitKey> = request.units.iter().map(|unit| unit.unit.clone()).collect();
        let of = |unit: &UnitKey| units.contains(unit);
        macro_rules! of_units {
            ($type:ty, $field:ident) => {
                self.all::<$type>().into_iter().filter(|row| of(&row.$field)).collect()
            };
        }
        let known: Vec<catalogue::Unit> = self.all();
        let snapshot = Snapshot {
            structure_revision: 1,
            units: units
                .iter()
                .filter_map(|key| known.iter().find(|unit| unit.unit == *key).cloned())
                .collect(),
            vehicles: self.all(),
            engine_points: self.all(),
            vehicle_units: self.all(),
            makers: self.all(),
            parts: self.all(),
            features: self.all(),
            variants: of_units!(catalogue::Variant, unit),
            positions: of_units!(catalogue::Position, unit),
            bench_values: of_units!(catalogue::BenchValue, unit),
            bench_renewals: of_units!(catalogue::BenchRenewal, unit),
            candidates: of_units!(catalogue::Candidate, unit),
            set_positions: of_units!(catalogue::SetPosition, unit),
            joints: self
                .all::<catalogue::Joint>()
                .into_iter()
                .filter(|joint| of(&joint.unit_a) && of(&joint.unit_b))
                .collect(),
            fit_statements: self.all(),
            companions: self.all(),
            kit_lines: self.all(),
            supersessions: self.all(),
            supersession_needs: of_units!(catalogue::SupersessionNeed, unit),
            operations: of_units!(catalogue::Operation, unit),
            operation_scope: of_units!(catalogue::OperationScope, unit),
            fluids: of_units!(catalogue::Fluid, unit),
            outside_work: of_units!(catalogue::OutsideWork, unit),
            weak_points: of_units!(catalogue::WeakPoint, unit),
            cautions: self
                .all::<catalogue::Caution>()
                .into_iter()
                .filter(|caution| caution.unit.as_ref().is_none_or(of))
                .collect(),
        };
        Input { request, snapshot, prices: self.prices(), stock: self.stock() }
    }

    fn prices(&self) -> PriceBook {
        let mut book = PriceBook {
            price_revision: 1,
            suppliers: self.all(),
            prices: self.all(),
            exchange_rates: self.all(),
            tax_rates: self.all(),
            customers: self.all(),
            price_rules: self.all(),
            settings: self.all(),
        };
        if book.settings.is_empty() {
            book.settings = [("BASE-CURRENCY", "EUR"), ("LABOUR-RATE", "60")]
                .map(|(name, value)| catalogue::Setting {
                    setting: Code::parse(name).unwrap(),
                    value: value.into(),
                })
                .into();
        }
        book
    }

    fn stock(&self) -> StockView {
        let lots = self.all::<Stock>().into_iter().map(|row| StockLot {
            part: row.part,
            bin: row.bin,
            mark: row.mark,
            quantity: row.quantity,
            reserved: Quantity::ZERO,
            carrying_value: row.carrying_value,
        });
        let mut lots: Vec<StockLot> = lots.collect();
        lots.sort_by(|a, b| (&a.part, &a.bin, &a.mark).cmp(&(&b.part, &b.bin, &b.mark)));
        StockView { ledger_sequence: 1, lots }
    }

    /// The answer to a request, or its fault.
    pub(crate) fn try_resolve(&self, request: Request) -> Result<Answer, RequestFault> {
        resolver::resolve(&self.input(request))
    }

    /// The answer to a request that has one.
    pub(crate) fn resolve(&self, request: Request) -> Answer {
        self.try_resolve(request).unwrap_or_else(|fault| panic!("{}: {fault}", fault.pointer))
    }

    /// A part by its key.
    pub(crate) fn part(&self, key: &str) -> Part {
        let key = PartKey::parse(key).unwrap();
        self.all::<Part>().into_iter().find(|part| part.part == key).unwrap()
    }
}

fn sortable(cell: &Cell) -> (i64, String) {
    match cell {
        Cell::Integer(value) => (*value, String::new()),
        Cell::Text(text) => (0, text.clone()),
        Cell::Date(day) => (0, day.to_string()),
        Cell::Null | Cell::Real(_) | Cell::Flag(_) => (0, String::new()),
    }
}

/// A request for one operation on one unit, as of the demo's day.
pub(crate) fn ask(unit: &str, operation: &str) -> Request {
    ask_all(vec![unit_request(unit, operation)])
}

/// A request for several units.
pub(crate) fn ask_all(units: Vec<UnitRequest>) -> Request {
    Request {
        units,
        as_of: "2026-11-24".parse().unwrap(),
        customer: None,
        aim: resolver::request::Aim::LeastMoney,
        stock: resolver::request::StockUse::First,
        unknowns: resolver::request::Unknowns::CoverAll,
        without_parts: Vec::new(),
        without_suppliers: Vec::new(),
        alternatives: None,
        search_steps: None,
    }
}

/// One unit of a request.
pub(crate) fn unit_request(unit: &str, operation: &str) -> UnitRequest {
    UnitRequest {
        unit: UnitKey::parse(unit).unwrap(),
        operation: Code::parse(operation).unwrap(),
        serial: None,
        built: None,
        variants: Vec::new(),
        findings: Vec::new(),
        inside: Vec::new(),
        chosen: Vec::new(),
        record_differences: Vec::new(),
    }
}

/// A graded finding.
pub(crate) fn found(position: &str, grade: catalogue::Grade) -> Finding {
    Finding {
        position: Code::parse(position).unwrap(),
        grade: Some(grade),
        bench_value: None,
        measured: None,
    }
}

/// Something known to be inside.
pub(crate) fn inside(position: &str, part: &str) -> Inside {
    Inside {
        position: Code::parse(position).unwrap(),
        part: PartKey::parse(part).unwrap(),
        mark: None,
        recorded_by: None,
    }
}

/// A wish for one part.
pub(crate) fn chosen(part: &str) -> Chosen {
    Chosen { any_of: vec![PartKey::parse(part).unwrap()], position: None }
}

/// The lines of a unit as `action position part quantity reason`, kept ones left out.
pub(crate) fn lines(answer: &Answer, unit: usize) -> Vec<String> {
    answer.units[unit]
        .lines
        .iter()
        .filter(|line| line.action != resolver::answer::Action::Keep)
        .map(|line| {
            let position = line.position.as_ref().map_or("-", Code::as_str);
            let rule =
                serde_json::to_value(&line.reasons[0].reason).unwrap()["rule"].as_str().unwrap().to_owned();
            let variants: Vec<&str> = line.variants.iter().map(Code::as_str).collect();
            let variants =
                if variants.is_empty() { String::new() } else { format!(" [{}]", variants.join(" ")) };
            format!("{} {position} {} {} {rule}{variants}", line.action, line.part.part, line.quantity)
        })
        .collect()
}
