//! Units of a few positions whose joints are threads, so that a test can judge them by itself: a nut fits a shaft of the
//! same designation, does not fit another, and is unverified where one of the two has none.

use std::fmt::Write;

use crate::world::World;

/// A part that may stand at a position.
#[derive(Debug, Clone)]
pub(crate) struct Candidate {
    /// Its number; the maker is M.
    pub(crate) number: String,
    /// `original` or `alternative`.
    pub(crate) role: &'static str,
}

/// A position.
#[derive(Debug, Clone)]
pub(crate) struct Position {
    /// Whether every overhaul renews it.
    pub(crate) renewed: bool,
    /// Its candidates; the first is the original one.
    pub(crate) candidates: Vec<Candidate>,
}

/// A small world.
#[derive(Debug, Clone, Default)]
pub(crate) struct SmallWorld {
    /// The positions P0, P1 and so on.
    pub(crate) positions: Vec<Position>,
    /// The thread of each number at each joint; no thread: no figure.
    pub(crate) threads: Vec<(String, usize, Option<u32>)>,
    /// Joints between two positions.
    pub(crate) joints: Vec<(usize, usize)>,
    /// Suppliers with what an order costs.
    pub(crate) suppliers: Vec<i64>,
    /// Prices by supplier and number; kits are K0, K1 and so on.
    pub(crate) prices: Vec<(usize, String, i64)>,
    /// What lies in each kit.
    pub(crate) kits: Vec<Vec<(String, i64)>>,
    /// Free stock with its carrying value.
    pub(crate) stock: Vec<(String, i64, i64)>,
    /// Further sheets.
    pub(crate) extra: String,
}

impl SmallWorld {
    /// The world's sheets.
    pub(crate) fn build(&self) -> World {
        World::from_text(&self.text())
    }

    fn numbers(&self) -> Vec<String> {
        let mut numbers: Vec<String> =
            self.positions.iter().flat_map(|p| &p.candidates).map(|c| c.number.clone()).collect();
        numbers.sort();
        numbers.dedup();
        numbers
    }

    fn text(&self) -> String {
        let mut text =
            String::from("[makers]\nmaker,name\nM,Maker\n[suppliers]\nsupplier,name,currency,order_cost\n");
        for (at, cost) in self.suppliers.iter().enumerate() {
            let _ = writeln!(text, "S{at},Supplier {at},EUR,{cost}");
        }
        text.push_str("[parts]\nmaker,number,name,kind,class,price_group,measure,renewal,gtin,mass_kg,surplus_credit,retired\n");
        for number in self.numbers() {
            let _ = writeln!(text, "M,{number},Part {number},hard,other,HARD,H87,,,,,no");
        }
        for kit in 0..self.kits.len() {
            let _ = writeln!(text, "M,K{kit},Kit {kit},kit,other,KIT,KT,,,,,no");
        }
        text.push_str("[features]\npart,feature,kind,designation,diameter_mm,pitch_mm,hand,basis\n");
        for (number, joint, thread) in &self.threads {
            let kind = if self.is_nut(number, *joint) { "thread_inside" } else { "thread_outside" };
            match thread {
                Some(pitch) => {
                    let _ = writeln!(text, "M/{number},J{joint},{kind},M20x{pitch},20,{pitch},right,stated");
                }
                None => {
                    let _ = writeln!(text, "M/{number},J{joint},{kind},,,,right,stated");
                }
            }
        }
        text.push_str("[units]\ncode,maker,name,kind,mass_kg\nU-1,M,Unit,gearbox,\n[positions]\nunit,position,name,subassembly,assembly_order,quantity,renewal,variant,only_with\n");
        for (at, position) in self.positions.iter().enumerate() {
            let rule = if position.renewed { "always_at_overhaul" } else { "on_condition" };
            let _ = writeln!(text, "U-1,P{at},Position {at},ALL,{},1,{rule},,", at + 1);
        }
        text.push_str("[candidates]\nunit,position,part,role,quantity,variant\n");
        for (at, position) in self.positions.iter().enumerate() {
            for candidate in &position.candidates {
                let _ = writeln!(text, "U-1,P{at},M/{},{},,", candidate.number, candidate.role);
            }
        }
        text.push_str("[joints]\njoint,kind,unit_a,position_a,feature_a,unit_b,position_b,feature_b,centre_distance_mm,backlash_min_mm,backlash_max_mm\n");
        for (at, (a, b)) in self.joints.iter().enumerate() {
            let _ = writeln!(text, "J{at},thread,U-1,P{a},J{at},U-1,P{b},J{at},,,");
        }
        text.push_str("[operations]\nunit,operation,name,overhaul,hours\nU-1,OVERHAUL,Overhaul,yes,1\n[kit_lines]\nkit,line,part,quantity,option_group\n");
        for (kit, lines) in self.kits.iter().enumerate() {
            for (line, (number, quantity)) in lines.iter().enumerate() {
                let _ = writeln!(text, "M/K{kit},{},M/{number},{quantity},", line + 1);
            }
        }
        text.push_str("[prices]\nsupplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit\n");
        for (supplier, number, price) in &self.prices {
            let _ = writeln!(text, "S{supplier},M/{number},1,2026-01-01,,EUR,{price},1,1,3,");
        }
        text.push_str("[stock]\nbin,part,mark,quantity,carrying_value\n");
        for (number, quantity, value) in &self.stock {
            let _ = writeln!(text, "A,M/{number},,{quantity},{value}");
        }
        text.push_str(&self.extra);
        text
    }

    /// Whether a number stands at the second position of a joint.
    fn is_nut(&self, number: &str, joint: usize) -> bool {
        let position = &self.positions[self.joints[joint].1];
        position.candidates.iter().any(|candidate| candidate.number == number)
    }
}
