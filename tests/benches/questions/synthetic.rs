//! A synthetic catalogue of a size, always the same: kits with nested kits, units in families that share parts, chains of
//! notices with splits, merges and a few circles, stock for two parts of five.
//!
//! Units take parts of plain chains: what a merge drags in is a rule of the trade that no query asks for, and the answers
//! are to be compared.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::chance::Chance;

/// Parts in the pool of a family of units.
const POOL: usize = 120;
/// Units of a family.
const FAMILY: usize = 12;

/// The catalogue, and what is asked about it.
pub(crate) struct Synthetic {
    /// CSV texts by file name.
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    /// Numbers that something replaced, and as many that nothing did.
    pub(crate) numbers: Vec<String>,
    /// Numbers that stand in units.
    pub(crate) used: Vec<String>,
    /// Units.
    pub(crate) units: Vec<String>,
}

struct Writer {
    parts: usize,
    chance: Chance,
    files: BTreeMap<&'static str, String>,
    /// Sum of the popularity up to each part that may stand in units.
    popularity: Vec<(f64, usize)>,
    replaced: Vec<bool>,
}

/// The key of a part.
fn key(part: usize) -> String {
    format!("M{}/P{part:07}", part % 7)
}

fn is_kit(part: usize) -> bool {
    part.is_multiple_of(33)
}

/// Makes the catalogue.
pub(crate) fn synthetic(parts: usize) -> Synthetic {
    let mut writer = Writer {
        parts,
        chance: Chance::new(1),
        files: BTreeMap::new(),
        popularity: Vec::new(),
        replaced: vec![false; parts],
    };
    writer.shop();
    let in_units = writer.notices();
    writer.weigh(in_units);
    writer.parts_prices_and_stock();
    let (units, used) = writer.units_and_kits();
    let replaced = (0..parts).filter(|part| writer.replaced[*part]).step_by(parts / 2_000 + 1).map(key);
    let others = (0..parts).filter(|part| !writer.replaced[*part]).step_by(parts / 500 + 1).map(key);
    let numbers = replaced.chain(others).collect();
    let bytes = |(name, text): (&str, String)| (format!("{name}.csv"), text.into_bytes());
    Synthetic { files: writer.files.into_iter().map(bytes).collect(), numbers, used, units }
}

impl Writer {
    fn line(&mut self, file: &'static str, line: std::fmt::Arguments<'_>) {
        let text = self.files.entry(file).or_insert_with(|| format!("{}\n", head(file)));
        let _ = writeln!(text, "{line}");
    }

    fn shop(&mut self) {
        for maker in 0..7 {
            self.line("makers", format_args!("M{maker},Maker {maker}"));
        }
        self.line("suppliers", format_args!("S1,First supplier,EUR,9.50"));
        self.line("suppliers", format_args!("S2,Second supplier,EUR,14.00"));
        self.line("tax_rates", format_args!("VAT,2020-01-01,20,Value added tax"));
        self.line("bins", format_args!("A,Rack A"));
        self.line("price_rules", format_args!("ALL,,,,25"));
        for setting in [
            "BASE-CURRENCY,EUR",
            "KIT-DISPLAY,one_line",
            "LABOUR-RATE,68.00",
            "QUOTE-VALID-DAYS,30",
            "SURPLUS,shelved",
            "TAX,VAT",
        ] {
            self.line("settings", format_args!("{setting}"));
        }
    }

    fn notice(&mut self, number: usize, old: usize, new: usize, shape: &str) {
        let (from, to) = (key(old), key(new));
        self.replaced[old] = true;
        self.line(
            "supersessions",
            format_args!("N{number},{from},{to},1,{shape},new_for_old,2020-01-01,no,,,,,,"),
        );
    }

    /// Notices for three parts of ten, in chains of one to twelve; 8 % split at the end, 10 % merge. Gives the parts that
    /// may stand in units: those of no chain, and those of plain ones.
    fn notices(&mut self) -> Vec<usize> {
        let mut loose: Vec<usize> = (0..self.parts).filter(|part| !is_kit(*part)).collect();
        for at in (1..loose.len()).rev() {
            let other = self.chance.below(at + 1);
            loose.swap(at, other);
        }
        let mut rest = loose.split_off(loose.len() * 3 / 10);
        let (mut at, mut number) = (0, 0);
        while at + 20 < loose.len() {
            let links = self.chance.within(1, 12);
            let chain = &loose[at..=at + links].to_vec();
            for pair in chain.windows(2).take(links - 1) {
                self.notice(number, pair[0], pair[1], "one_to_one");
                number += 1;
            }
            at += links + 1;
            let (before, end) = (chain[links - 1], chain[links]);
            let kind = self.chance.share();
            let several = &loose[at..at + self.chance.within(1, 3)].to_vec();
            if kind < 0.08 {
                self.notice(number, before, end, "all_of");
                several.iter().for_each(|part| self.notice(number, before, *part, "all_of"));
                at += several.len();
            } else if kind < 0.18 {
                self.notice(number, before, end, "merge");
                several.iter().for_each(|part| self.notice(number, *part, end, "merge"));
                at += several.len();
            } else {
                self.notice(number, before, end, "one_to_one");
                rest.extend(chain);
            }
            number += 1;
        }
        for circle in loose[at..at + 6].to_vec().chunks(2) {
            self.notice(number, circle[0], circle[1], "one_to_one");
            self.notice(number + 1, circle[1], circle[0], "one_to_one");
            number += 2;
        }
        rest.sort_unstable();
        rest
    }

    fn weigh(&mut self, in_units: Vec<usize>) {
        let mut sum = 0.0;
        for part in in_units {
            sum += self.chance.log_normal(1.0, 2.0);
            self.popularity.push((sum, part));
        }
    }

    fn popular(&mut self) -> usize {
        let sum = self.popularity.last().map_or(0.0, |(sum, _)| *sum) * self.chance.share();
        let at = self.popularity.partition_point(|(up_to, _)| *up_to < sum);
        self.popularity[at.min(self.popularity.len() - 1)].1
    }

    fn parts_prices_and_stock(&mut self) {
        for part in 0..self.parts {
            let (kind, class) = if is_kit(part) { ("kit", "other") } else { ("wear", "bearing") };
            let (maker, named) = (part % 7, key(part));
            self.line("parts", format_args!("M{maker},P{part:07},Part {part},{kind},{class},G,H87,,,,,no"));
            if !self.replaced[part] {
                let supplier = 1 + self.chance.below(2);
                let cents = if is_kit(part) { 4_000 } else { 100 } + self.chance.below(8_000);
                let price = format!("{}.{:02}", cents / 100, cents % 100);
                self.line("prices", format_args!("S{supplier},{named},1,2026-01-01,,EUR,{price},1,1,5,0"));
            }
            if !is_kit(part) && self.chance.share() < 0.4 {
                let quantity = self.chance.within(1, 9);
                self.line("stock", format_args!("A,{named},,{quantity},4.20"));
            }
        }
    }

    /// Units in families that share a pool of parts, and the kits of each family.
    fn units_and_kits(&mut self) -> (Vec<String>, Vec<String>) {
        let (mut units, mut used) = (Vec::new(), Vec::new());
        let mut kits: Vec<usize> = (0..self.parts).filter(|part| is_kit(*part)).rev().collect();
        let families = (self.parts / 100 / FAMILY).max(1);
        let kits_each = kits.len() / families;
        for family in 0..families {
            let pool: Vec<usize> = (0..POOL).map(|_| self.popular()).collect();
            for number in 0..FAMILY {
                let unit = format!("U{:06}", family * FAMILY + number);
                used.extend(self.unit(&unit, &pool));
                units.push(unit);
            }
            let mine = kits.split_off(kits.len() - kits_each);
            self.kits(&mine, &pool);
        }
        (units, used)
    }

    fn unit(&mut self, unit: &str, pool: &[usize]) -> Vec<String> {
        self.line("units", format_args!("{unit},M0,Unit {unit},gearbox,"));
        self.line("operations", format_args!("{unit},OVERHAUL,Overhaul,yes,10"));
        let mut used = Vec::new();
        for position in 0..self.chance.count(70.0, 0.5, 20, 300) {
            let from_pool = self.chance.share() < 0.6;
            let part = if from_pool { pool[self.chance.below(pool.len())] } else { self.popular() };
            let (named, order, quantity) = (key(part), position + 1, self.chance.within(1, 4));
            self.line(
                "positions",
                format_args!("{unit},P{position:03},Position,CASE,{order},{quantity},always_at_overhaul,,"),
            );
            self.line("candidates", format_args!("{unit},P{position:03},{named},original,,"));
            if position == 0 {
                used.push(named);
            }
        }
        used
    }

    /// Most kits hold parts alone; one of ten holds kits too, and a few hold such ones.
    fn kits(&mut self, kits: &[usize], pool: &[usize]) {
        let plain = kits.len() * 87 / 100;
        let nested = kits.len() * 97 / 100;
        for (at, kit) in kits.iter().enumerate() {
            let inner = if at < plain {
                0..0
            } else if at < nested {
                0..plain
            } else {
                plain..nested
            };
            let mut held: Vec<usize> = Vec::new();
            if !inner.is_empty() {
                let count = self.chance.within(1, 3);
                held.extend((0..count).map(|_| kits[inner.start + self.chance.below(inner.len())]));
            }
            let count = self.chance.count(14.0, 0.6, 5, 60);
            held.extend((0..count).map(|_| pool[self.chance.below(pool.len())]));
            let kit = key(*kit);
            for (line, part) in held.into_iter().enumerate() {
                let (line, part, quantity) = (line + 1, key(part), self.chance.within(1, 2));
                self.line("kit_lines", format_args!("{kit},{line},{part},{quantity},"));
            }
        }
    }
}

fn head(file: &str) -> &'static str {
    match file {
        "makers" => "maker,name",
        "suppliers" => "supplier,name,currency,order_cost",
        "tax_rates" => "tax,valid_from,rate,name",
        "bins" => "bin,name",
        "price_rules" => "rule,customer,price_group,supplier,markup",
        "settings" => "setting,value",
        "supersessions" => {
            "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone,unit,variant,serial_from,\
             serial_to,built_from,built_to"
        }
        "parts" => {
            "maker,number,name,kind,class,price_group,measure,renewal,gtin,mass_kg,surplus_credit,retired"
        }
        "prices" => {
            "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit"
        }
        "stock" => "bin,part,mark,quantity,carrying_value",
        "units" => "code,maker,name,kind,mass_kg",
        "operations" => "unit,operation,name,overhaul,hours",
        "positions" => "unit,position,name,subassembly,assembly_order,quantity,renewal,variant,only_with",
        "candidates" => "unit,position,part,role,quantity,variant",
        "kit_lines" => "kit,line,part,quantity,option_group",
        other => panic!("no file `{other}` is written"),
    }
}
