//! `crownwheel range`: what a rebuild may cost, before the unit is taken apart.

use std::fmt::Write;

use catalogue::Currency;
use operations::{Bounds, PriceRange, RangeFigures};

use crate::arguments::RangeArguments;
use crate::cost_text::cost;
use crate::failure::Failure;
use crate::output::say;
use crate::print_answer::section;
use crate::print_cautions::cautions_text;
use crate::quote::read;
use crate::quote_request::asked_range;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width, wrapped};

/// Prints what a rebuild may cost.
pub(crate) async fn range(arguments: &RangeArguments) -> Result<(), Failure> {
    let asked = asked_range(arguments)?;
    let source = Source::open(&arguments.place).await?;
    let text = source.price_range(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&range_text(&read(&text)?, terminal_width()))
}

fn range_text(range: &PriceRange, width: usize) -> String {
    let mut text = format!("WHAT IT MAY COST BEFORE STRIP-DOWN, in {}\n", range.currency);
    let mut table = WrappedTable::new(&[
        "",
        ">for certain",
        ">expected",
        ">half stay within",
        ">nine of ten within",
        ">at worst",
        "",
    ]);
    table.row(figures("the shop's cash", &range.cash, &range.currency));
    table.row(figures("the customer pays, before tax", &range.net, &range.currency));
    text.push_str(&table.text(width));
    for line in wrapped(&format!("{}.", capital(&range.note)), width) {
        let _ = writeln!(text, "{line}");
    }
    let mut table = WrappedTable::new(&[
        "unit",
        "position",
        "found",
        ">likely",
        ">cash if so",
        ">cash if not",
        ">moves the price by",
        "weak point",
    ]);
    for finding in &range.findings {
        let amount = |bounds: &Option<Bounds>| {
            bounds.as_ref().map_or("-".to_owned(), |bounds| between(bounds, &range.currency))
        };
        table.row([
            finding.unit.to_string(),
            finding.position.to_string(),
            finding.finding.to_string(),
            share(finding.likelihood),
            amount(&finding.cash_with),
            amount(&finding.cash_without),
            amount(&finding.net_difference),
            finding.weak_point.to_string(),
        ]);
    }
    section(&mut text, "THE FINDINGS THAT MOVE IT MOST", &table, width);
    cautions_text(&mut text, &range.cautions, &range.deferral, width);
    let _ = writeln!(text, "\nAs of {}, made by {}.", range.as_of, range.engine);
    text
}

fn figures(name: &str, figures: &RangeFigures, currency: &Currency) -> [String; 7] {
    [
        name.to_owned(),
        cost(figures.certain, currency),
        between(&figures.expected, currency),
        between(&figures.median, currency),
        between(&figures.ninetieth, currency),
        between(&figures.worst, currency),
        String::new(),
    ]
}

fn between(bounds: &Bounds, currency: &Currency) -> String {
    if bounds.lower == bounds.upper {
        cost(bounds.lower, currency)
    } else {
        format!("{} to {}", cost(bounds.lower, currency), cost(bounds.upper, currency))
    }
}

/// A likelihood in hundredths.
pub(crate) fn share(likelihood: f64) -> String {
    format!("{:.0} %", 100.0 * likelihood)
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
