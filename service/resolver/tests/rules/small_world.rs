//! Small worlds in few words.
//!
//! ```text
//! part A hard gear 10          a part M/A of kind and class, sold by S at 10 EUR; further words: renewal=, pack=, min=,
//!                              lead=, deposit=, by= (supplier), cur=
//! at PINION A B:alternative    a position with its candidates, the first original; `C:upgrade`; `A@V1`: in a variant;
//!                              further words: qty=, renewal=, sub=, variant=, only=
//! kit K 50 A*2 B:SIZES         a kit sold by S, its lines with quantities and option groups
//! stock A 2 4                  two pieces at a carrying value of 4
//! notice N A>B two_way         a notice of 2020-01-01; further words: shape=, x= (factor), from=, use_old, unit, variant=,
//!                              serial=1-99, built=2001-01-01..2002-01-01
//! thread J A-POS B-POS         a joint of nut and bolt between positions (features T), judged by `bolt A 30x1.5`, `nut B 30x1.5`
//! job POS:renews POS           what the partial operation JOB does
//! ```
//!
//! The unit is U, its operations are OVERHAUL and JOB. Lines under `[sheet]` are taken as they are.

use std::collections::BTreeMap;
use std::fmt::Write;

use catalogue::Code;
use resolver::{Answer, Request};

use crate::world::{World, ask};

/// A column of a row, where it is not the usual.
type Extra<'w> = BTreeMap<&'w str, &'w str>;

struct Sheets {
    by_name: BTreeMap<&'static str, (&'static str, String)>,
    rows: i64,
}

impl Sheets {
    fn row(&mut self, name: &'static str, header: &'static str, row: &str) {
        let (_, text) = self.by_name.entry(name).or_insert((header, String::new()));
        writeln!(text, "{row}").unwrap();
    }
}

fn split<'w>(words: &[&'w str]) -> (Vec<&'w str>, Extra<'w>) {
    let (extra, plain): (Vec<&str>, Vec<&str>) = words.iter().partition(|word| word.contains('='));
    (plain, extra.iter().filter_map(|word| word.split_once('=')).collect())
}

fn part(sheets: &mut Sheets, words: &[&str]) {
    let (plain, extra) = split(words);
    let is = |key: &str, usual: &'static str| extra.get(key).copied().unwrap_or(usual).to_owned();
    let [name, kind, class] = plain[..3] else { panic!("{words:?}") };
    sheets.row(
        "parts",
        "maker,number,name,kind,class,price_group,measure,renewal,surplus_credit,retired",
        &format!(
            "M,{name},{name},{kind},{class},{},{},{},{},no",
            is("group", "G"),
            is("measure", "H87"),
            is("renewal", ""),
            is("credit", "")
        ),
    );
    if let Some(amount) = plain.get(3) {
        price(sheets, &[&[name, amount], &words[4..]].concat());
    }
}

fn price(sheets: &mut Sheets, words: &[&str]) {
    let (plain, extra) = split(words);
    let is = |key: &str, usual: &'static str| extra.get(key).copied().unwrap_or(usual).to_owned();
    let [name, amount] = plain[..2] else { panic!("{words:?}") };
    sheets.row(
        "prices",
        "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit",
        &format!(
            "{},M/{name},{},{},{},{},{amount},{},{},{},{}",
            is("by", "S"),
            is("from", "1"),
            is("valid", "2020-01-01"),
            is("until", ""),
            is("cur", "EUR"),
            is("pack", "1"),
            is("min", "1"),
            is("lead", "2"),
            is("deposit", "")
        ),
    );
}

fn position(sheets: &mut Sheets, words: &[&str]) {
    let (plain, extra) = split(words);
    let is = |key: &str, usual: &'static str| extra.get(key).copied().unwrap_or(usual).to_owned();
    let (position, candidates) = (plain[0], &plain[1..]);
    sheets.rows += 10;
    let only = extra.get("only").map_or(String::new(), |part| format!("M/{part}"));
    sheets.row(
        "positions",
        "unit,position,name,subassembly,assembly_order,quantity,renewal,variant,only_with",
        &format!(
            "U,{position},{position},{},{},{},{},{},{only}",
            is("sub", "MAIN"),
            sheets.rows,
            is("qty", "1"),
            is("renewal", ""),
            is("variant", "")
        ),
    );
    for candidate in candidates {
        let (candidate, role) = candidate.split_once(':').unwrap_or((candidate, "original"));
        let (part, variant) = candidate.split_once('@').unwrap_or((candidate, ""));
        sheets.row(
            "candidates",
            "unit,position,part,role,variant",
            &format!("U,{position},M/{part},{role},{variant}"),
        );
    }
}

fn kit(sheets: &mut Sheets, words: &[&str]) {
    let (plain, extra) = split(words);
    let [name, amount] = plain[..2] else { panic!("{words:?}") };
    let sold: Vec<String> = extra.iter().map(|(key, value)| format!("{key}={value}")).collect();
    let mut of_part = vec![name, "kit", "other"];
    if amount != "-" {
        of_part.push(amount);
    }
    of_part.extend(sold.iter().map(String::as_str));
    part(sheets, &of_part);
    for (at, line) in plain[2..].iter().enumerate() {
        let (line, group) = line.split_once(':').unwrap_or((line, ""));
        let (part, quantity) = line.split_once('*').unwrap_or((line, "1"));
        let row = format!("M/{name},{},M/{part},{quantity},{group}", at + 1);
        sheets.row("kit_lines", "kit,line,part,quantity,option_group", &row);
    }
}

fn notice(sheets: &mut Sheets, words: &[&str]) {
    let (plain, extra) = split(words);
    let [code, pair, interchange] = plain[..3] else { panic!("{words:?}") };
    let (old, new) = pair.split_once('>').unwrap();
    let is = |key: &str, usual: &'static str| extra.get(key).copied().unwrap_or(usual).to_owned();
    let range = |key: &str, cut: &str| {
        let (from, to) = extra.get(key).and_then(|range| range.split_once(cut)).unwrap_or(("", ""));
        format!("{from},{to}")
    };
    let flag = |word: &str| plain[3..].contains(&word);
    let yes = if flag("use_old") { "yes" } else { "no" };
    let unit = if flag("unit") || extra.contains_key("variant") { "U" } else { "" };
    sheets.row(
        "supersessions",
        "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone,unit,variant,serial_from,serial_to,\
         built_from,built_to",
        &format!(
            "{code},M/{old},M/{new},{},{},{interchange},{},{yes},{unit},{},{},{}",
            is("x", "1"),
            is("shape", "one_to_one"),
            is("from", "2020-01-01"),
            is("variant", ""),
            range("serial", "-"),
            range("built", "..")
        ),
    );
}

fn line(sheets: &mut Sheets, line: &str) {
    let words: Vec<&str> = line.split_whitespace().collect();
    match (words[0], &words[1..]) {
        ("part", words) => part(sheets, words),
        ("price", words) => price(sheets, words),
        ("at", words) => position(sheets, words),
        ("kit", words) => kit(sheets, words),
        ("notice", words) => notice(sheets, words),
        ("needs", [notice, line, position, part @ ..]) => {
            let part = part.first().map_or(String::new(), |part| format!("M/{part}"));
            let row = format!("{notice},{line},U,{position},{part}");
            sheets.row("supersession_needs", "notice,line,unit,position,part", &row);
        }
        ("stock", [part, quantity, value @ ..]) => {
            let (value, bin) = (value.first().unwrap_or(&"1"), value.get(1).unwrap_or(&"BIN"));
            let row = format!("{bin},M/{part},,{quantity},{value}");
            sheets.row("stock", "bin,part,mark,quantity,carrying_value", &row);
        }
        ("thread", [joint, a, b]) => {
            let row = format!("{joint},thread,U,{a},T,U,{b},T");
            let header = "joint,kind,unit_a,position_a,feature_a,unit_b,position_b,feature_b";
            sheets.row("joints", header, &row);
        }
        (side @ ("bolt" | "nut"), [part, size]) => {
            let kind = if side == "bolt" { "thread_outside" } else { "thread_inside" };
            let row = format!("M/{part},T,{kind},M{size},stated");
            sheets.row("features", "part,feature,kind,designation,basis", &row);
        }
        ("set", [part, positions @ ..]) => {
            for position in positions {
                sheets.row("set_positions", "unit,part,position", &format!("U,M/{part},{position}"));
            }
        }
        ("brings", [part, companion, quantity @ ..]) => {
            let row = format!("M/{part},M/{companion},{}", quantity.first().unwrap_or(&"1"));
            sheets.row("companions", "part,companion,quantity", &row);
        }
        ("says", [a, b, verdict]) => {
            let row = format!("M,M/{a},M/{b},{verdict},Sheet,2020-01-01");
            sheets.row("fit_statements", "maker,part_a,part_b,verdict,document,stated_on", &row);
        }
        ("job", positions) => {
            for position in positions {
                let (position, effect) = position.split_once(':').unwrap_or((position, "disturbs"));
                sheets.row(
                    "operation_scope",
                    "unit,operation,position,effect",
                    &format!("U,JOB,{position},{effect}"),
                );
            }
        }
        ("supplier", [name, cost, currency @ ..]) => {
            let row = format!("{name},{name},{},{cost}", currency.first().unwrap_or(&"EUR"));
            sheets.row("suppliers", "supplier,name,currency,order_cost", &row);
        }
        (other, words) => panic!("{other} {words:?}"),
    }
}

/// A world of one unit U.
pub(crate) fn shop(text: &str) -> World {
    let mut sheets = Sheets { by_name: BTreeMap::new(), rows: 0 };
    let (words, raw) = text.find("\n[").or(text.find("[")).map_or((text, ""), |at| text.split_at(at));
    let lines: Vec<&str> = words.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    for words in &lines {
        line(&mut sheets, words);
    }
    if !lines.iter().any(|line| line.starts_with("supplier S ")) {
        line(&mut sheets, "supplier S 0");
    }
    let mut whole = "[makers]\nmaker,name\nM,Maker\n[units]\ncode,maker,name,kind\nU,M,Unit,axle\n\
                     [operations]\nunit,operation,name,overhaul,hours\nU,OVERHAUL,Overhaul,yes,0\nU,JOB,Job,no,0\n"
        .to_owned();
    for (name, (header, rows)) in &sheets.by_name {
        writeln!(whole, "[{name}]\n{header}\n{rows}").unwrap();
    }
    whole.push_str(raw);
    World::from_text(&whole)
}

/// The overhaul of U.
pub(crate) fn overhaul() -> Request {
    ask("U", "OVERHAUL")
}

/// The partial operation on U.
pub(crate) fn job() -> Request {
    ask("U", "JOB")
}

/// What a plan takes, in words: `stock A 1`, `kit K 1`, `buy B 2 from S`, `missing C 1`.
pub(crate) fn takes(answer: &Answer) -> Vec<String> {
    let sourcing = &answer.sourcing;
    let number = |part: &resolver::answer::PartName| part.number.clone();
    let mut told: Vec<String> = Vec::new();
    told.extend(sourcing.from_stock.iter().map(|p| format!("stock {} {}", number(&p.part), p.quantity)));
    told.extend(sourcing.kits.iter().map(|k| format!("kit {} {}", number(&k.kit), k.quantity)));
    let bought = |l: &resolver::answer::LoosePurchase| {
        format!("buy {} {} from {}", number(&l.part), l.quantity, l.supplier)
    };
    told.extend(sourcing.loose.iter().map(bought));
    told.extend(sourcing.not_to_be_had.iter().map(|m| format!("missing {} {}", number(&m.part), m.quantity)));
    told
}

/// Surplus, in words: `A 1 of K`, `B 2`.
pub(crate) fn left_over(answer: &Answer) -> Vec<String> {
    let of = |kit: &Option<catalogue::PartKey>| {
        kit.as_ref().map_or(String::new(), |kit| format!(" of {}", kit.number()))
    };
    answer
        .sourcing
        .surplus
        .iter()
        .map(|line| format!("{} {}{}", line.part.number, line.quantity, of(&line.kit)))
        .collect()
}

/// A code.
pub(crate) fn code(text: &str) -> Code {
    Code::parse(text).unwrap()
}
