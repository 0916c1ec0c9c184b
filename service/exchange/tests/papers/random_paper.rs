//! Any paper, filled at random: an input that invents what it is asked for.

use exchange::papers::Paper;
use exchange::papers::mapping::{FieldSpec, Input, ReadValue};
use exchange::papers::value::Shape;

/// Texts with what markup, CSV and scripts make of characters.
const TEXTS: &[&str] = &[
    "x",
    "Input seal, 58x80x10",
    "a < b & c > d \"e\" 'f'",
    "]]> <![CDATA[ &amp; &#10;",
    "two\nlines\n\nand a blank",
    "tab\there",
    "Größe 東 ünï 🛠",
    "=1+1",
    "\u{feff}mark",
    "; , \"\" ,",
    "-",
    "0",
    "line",
    "record",
];

const UNITS: &[&str] = &["H87", "C62", "EA", "SET", "KT", "LTR", "DAY", "XBX"];
const CURRENCIES: &[&str] = &["EUR", "CHF", "JPY", "BHD"];
const GTINS: &[&str] = &["06291041500213", "00000000000000"];

/// Fills papers from a row of choices; behind its end everything is the first choice, and optional things are absent.
pub(crate) struct Choices {
    choices: std::vec::IntoIter<u16>,
    needed: bool,
}

impl Choices {
    fn next(&mut self, below: usize) -> usize {
        usize::from(self.choices.next().unwrap_or(0)) % below
    }

    fn offer(&mut self, shape: &Shape, read: ReadValue<'_>) {
        let number = self.next(usize::from(u16::MAX));
        let pick = |list: &'static [&'static str]| list[number % list.len()].to_owned();
        let wanted = shape.wanted;
        let text = if wanted.starts_with("a day") {
            format!("20{:02}-{:02}-{:02}", number % 100, number % 12 + 1, number % 28 + 1)
        } else if wanted.starts_with("a number") {
            format!("{}.{:03}", number % 40, number % 1000)
        } else if wanted.starts_with("an amount") {
            format!("{}{}.{:04}", if number % 7 == 6 { "-" } else { "" }, number % 5000, number % 10_000)
        } else if wanted.contains("GTIN") {
            pick(GTINS)
        } else if wanted.contains("4217") {
            pick(CURRENCIES)
        } else if wanted.contains("Recommendation 20") {
            pick(UNITS)
        } else if wanted.contains("`true`") {
            number.is_multiple_of(2).to_string()
        } else if wanted.contains("AP accepted") {
            pick(&["AB", "AP", "CA", "RE", "XX"])
        } else if wanted.contains("5 accepted") {
            pick(&["1", "3", "5", "7", "42", "99"])
        } else if wanted.contains("Update") {
            pick(&["Add", "Update", "Delete", "Perhaps"])
        } else {
            pick(TEXTS)
        };
        let beside = match shape.beside.map(|beside| beside.column) {
            Some("currency") => Some(CURRENCIES[self.next(CURRENCIES.len())]),
            Some("unit") => Some(UNITS[self.next(UNITS.len())]),
            Some("scheme") => [None, Some("VESSICK"), Some("GTIN")][self.next(3)],
            _ => None,
        };
        read(&text, beside).unwrap_or_else(|bad| panic!("`{text}` was invented for {shape:?}: {bad:?}"));
        self.needed = false;
    }
}

impl Input for Choices {
    fn value(&mut self, _: &FieldSpec, shape: &Shape, required: bool, read: ReadValue<'_>) {
        if required || self.needed || self.next(2) == 1 {
            self.offer(shape, read);
        }
    }

    fn values(&mut self, _: &FieldSpec, shape: &Shape, read: ReadValue<'_>) {
        for _ in 0..self.next(3) {
            self.offer(shape, read);
        }
    }

    fn part(&mut self, _: &FieldSpec, always: bool, fill: &mut dyn FnMut(&mut dyn Input)) {
        if always {
            fill(self);
        } else if self.next(2) == 1 {
            // A struct that is there has something in it.
            let outer = std::mem::replace(&mut self.needed, true);
            fill(self);
            self.needed = outer;
        }
    }

    fn each(&mut self, _: &FieldSpec, fill: &mut dyn FnMut(&mut dyn Input)) {
        let count = self.next(4);
        let outer = std::mem::replace(&mut self.needed, false);
        for _ in 0..count {
            fill(self);
        }
        self.needed = outer;
    }
}

/// A paper made of choices. UBL wants a line in all but an order response, so one there always is.
pub(crate) fn paper<P: Paper>(choices: Vec<u16>) -> P {
    let mut paper = P::default();
    paper.fill(&mut Choices { choices: choices.clone().into_iter(), needed: false });
    if paper.line_count() == 0 {
        let mut again = Choices { choices: choices.into_iter(), needed: false };
        paper = P::default();
        paper.fill(&mut OneLine(&mut again));
    }
    paper
}

/// Choices that make one line of each list inside the paper itself.
struct OneLine<'c>(&'c mut Choices);

impl Input for OneLine<'_> {
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, required: bool, read: ReadValue<'_>) {
        self.0.value(spec, shape, required, read);
    }

    fn values(&mut self, spec: &FieldSpec, shape: &Shape, read: ReadValue<'_>) {
        self.0.values(spec, shape, read);
    }

    fn part(&mut self, spec: &FieldSpec, always: bool, fill: &mut dyn FnMut(&mut dyn Input)) {
        self.0.part(spec, always, fill);
    }

    fn each(&mut self, _: &FieldSpec, fill: &mut dyn FnMut(&mut dyn Input)) {
        fill(self.0);
    }
}

/// Many choices from a number, the same for the same number.
pub(crate) fn choices_of(seed: u64) -> Vec<u16> {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    let mut next = || {
        // The step of a linear congruential generator (D. Knuth, MMIX).
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as u16
    };
    (0..600).map(|_| next()).collect()
}
