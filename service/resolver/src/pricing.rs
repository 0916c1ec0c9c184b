//! What the customer pays: another figure than what the shop pays.
//!
//! Price rules put a percentage on the cost of each line; tax is taken once on the sum of the net lines and rounded once.

use std::collections::BTreeMap;

use catalogue::{Code, Currency, Money, PartKey, Percent, PriceBook, PriceRule, Quantity};

use crate::answer::{CustomerPrice, KitContent, KitPurchase, PriceLine, PriceLineKind, Sourcing, TaxLine};
use crate::context::Context;
use crate::offers::{optional_setting, setting};
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::sourcing::day_after;

/// Days a price holds where the shop does not say.
const VALID_DAYS: i64 = 30;

/// How kits stand on the customer's price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum KitDisplay {
    OneLine,
    Spread,
}

struct Pricing<'c, 'a> {
    context: &'c Context<'a>,
    places: u32,
    lines: Vec<PriceLine>,
}

/// The customer's price of a sourcing.
pub(crate) fn customer_price(
    context: &Context<'_>,
    sourcing: &Sourcing,
) -> Result<CustomerPrice, RequestFault> {
    let book = &context.input.prices;
    let currency = context.rates.base.clone();
    let surplus_charged = optional_setting(book, "SURPLUS") == Some("charged");
    let display = match optional_setting(book, "KIT-DISPLAY") {
        Some("spread") => KitDisplay::Spread,
        _ => KitDisplay::OneLine,
    };
    let mut pricing = Pricing { context, places: currency.places(), lines: Vec::new() };
    for kit in &sourcing.kits {
        match display {
            KitDisplay::OneLine => pricing.kit(kit)?,
            KitDisplay::Spread => pricing.spread(kit)?,
        }
        if surplus_charged {
            pricing.boxes_left(kit)?;
        }
    }
    pricing.loose(sourcing, surplus_charged)?;
    pricing.stock(sourcing);
    pricing.work_and_freight(sourcing);
    pricing.labour()?;
    let net: Money = pricing.lines.iter().map(|line| line.net).sum();
    let taxes = taxes(context, net, &currency)?;
    let deposits = match surplus_charged {
        true => sourcing.deposits,
        false => deposits_of_used(context, sourcing)?,
    };
    let deposits = deposits.rounded(currency.places());
    let total = net + taxes.iter().map(|tax| tax.amount).sum() + deposits;
    let days =
        optional_setting(book, "QUOTE-VALID-DAYS").and_then(|text| text.parse().ok()).unwrap_or(VALID_DAYS);
    let valid_until = day_after(context.input.request.as_of, days);
    Ok(CustomerPrice { currency, lines: pricing.lines, net, taxes, deposits, total, valid_until })
}

/// Boxes that something is taken out of.
fn boxes_used(kit: &KitPurchase) -> Quantity {
    let boxes = kit.quantity.raw() / Quantity::SCALE;
    let of_content = |content: &KitContent| {
        let each = (content.quantity.raw() / boxes.max(1)).max(1);
        (content.used.raw() + each - 1) / each
    };
    let used = kit.contents.iter().map(of_content).max().unwrap_or(0);
    Quantity::whole(used.min(boxes))
}

/// Deposits on what the job uses.
fn deposits_of_used(context: &Context<'_>, sourcing: &Sourcing) -> Result<Money, RequestFault> {
    let kits = sourcing.kits.iter().map(|kit| (kit.deposit, &kit.currency, boxes_used(kit)));
    let loose = sourcing.loose.iter().map(|loose| (loose.deposit, &loose.currency, loose.used));
    let mut sum = Money::ZERO;
    for (deposit, currency, quantity) in kits.chain(loose) {
        let each = context.rates.to_base(deposit, currency)?;
        sum += each.times(quantity.raw(), Quantity::SCALE).unwrap_or_default();
    }
    Ok(sum)
}

impl<'a> Pricing<'_, 'a> {
    /// The rule with the most conditions that match, of those the first by code.
    fn rule(&self, part: Option<&PartKey>, supplier: Option<&Code>) -> Option<&'a PriceRule> {
        let group = part
            .and_then(|key| self.context.graph.find(key))
            .map(|p| &self.context.graph.part(p).price_group);
        let customer = self.context.input.request.customer.as_ref();
        let matches =
            |wanted: &Option<Code>, is: Option<&Code>| wanted.as_ref().is_none_or(|w| Some(w) == is);
        let conditions = |rule: &PriceRule| {
            usize::from(rule.customer.is_some())
                + usize::from(rule.price_group.is_some())
                + usize::from(rule.supplier.is_some())
        };
        let rules = self.context.input.prices.price_rules.iter().filter(|rule| {
            matches(&rule.customer, customer)
                && matches(&rule.price_group, group)
                && matches(&rule.supplier, supplier)
        });
        rules.min_by_key(|rule| (std::cmp::Reverse(conditions(rule)), &rule.rule))
    }

    fn line(
        &mut self,
        (kind, text): (PriceLineKind, String),
        part: Option<&PartKey>,
        supplier: Option<&Code>,
        quantity: Quantity,
        cost: Money,
    ) {
        let rule = self.rule(part, supplier);
        let markup = rule.map_or(Percent::ZERO, |rule| rule.markup);
        let hundred = 100 * Percent::SCALE;
        let net = cost.times(hundred + markup.raw(), hundred).unwrap_or(cost).rounded(self.places);
        self.lines.push(PriceLine {
            kind,
            text,
            part: part.cloned(),
            quantity,
            cost,
            markup,
            rule: rule.map(|rule| rule.rule.clone()),
            net,
        });
    }

    /// What boxes of a kit cost without their deposit, which is charged apart.
    fn kit_cost(&self, kit: &KitPurchase, boxes: Quantity) -> Result<Money, RequestFault> {
        let each = self.context.rates.to_base(kit.price, &kit.currency)?;
        Ok(each.times(boxes.raw(), Quantity::SCALE).unwrap_or(kit.cost))
    }

    /// Boxes that nothing is taken out of, bought for a pack or a least quantity.
    fn boxes_left(&mut self, kit: &KitPurchase) -> Result<(), RequestFault> {
        let rest = kit.quantity - boxes_used(kit);
        if rest > Quantity::ZERO {
            let cost = self.kit_cost(kit, rest)?;
            let text = format!("{} {} {}", kit.kit.maker, kit.kit.number, kit.kit.name);
            let kind = (PriceLineKind::Surplus, text);
            self.line(kind, Some(&kit.kit.part), Some(&kit.supplier), rest, cost);
        }
        Ok(())
    }

    fn kit(&mut self, kit: &KitPurchase) -> Result<(), RequestFault> {
        let boxes = boxes_used(kit);
        let cost = self.kit_cost(kit, boxes)?;
        let text = format!("{} {} {}", kit.kit.maker, kit.kit.number, kit.kit.name);
        self.line((PriceLineKind::Kit, text), Some(&kit.kit.part), Some(&kit.supplier), boxes, cost);
        Ok(())
    }

    /// A kit's cost over the lines the job uses of it, by pieces; what rounding leaves goes to the last.
    fn spread(&mut self, kit: &KitPurchase) -> Result<(), RequestFault> {
        let used: Vec<_> = kit.contents.iter().filter(|content| content.used > Quantity::ZERO).collect();
        let pieces: i64 = used.iter().map(|content| content.used.raw()).sum();
        let cost = self.kit_cost(kit, boxes_used(kit))?;
        let mut left = cost;
        for (at, content) in used.iter().enumerate() {
            let last = at + 1 == used.len();
            let share = if last { left } else { cost.times(content.used.raw(), pieces).unwrap_or_default() };
            left = left - share;
            let text = format!("{} {} {}", content.part.maker, content.part.number, content.part.name);
            let part = Some(&content.part.part);
            self.line((PriceLineKind::Kit, text), part, Some(&kit.supplier), content.used, share);
        }
        Ok(())
    }

    /// Loose parts at what the used pieces cost; the rest of a pack is charged only where the shop does so.
    fn loose(&mut self, sourcing: &Sourcing, surplus_charged: bool) -> Result<(), RequestFault> {
        for loose in &sourcing.loose {
            let each = self.context.rates.to_base(loose.price, &loose.currency)?;
            let cost = |quantity: Quantity| each.times(quantity.raw(), Quantity::SCALE).unwrap_or_default();
            let text = format!("{} {} {}", loose.part.maker, loose.part.number, loose.part.name);
            let part = Some(&loose.part.part);
            if loose.used > Quantity::ZERO {
                let kind = (PriceLineKind::Part, text.clone());
                self.line(kind, part, Some(&loose.supplier), loose.used, cost(loose.used));
            }
            let rest = loose.quantity - loose.used;
            if surplus_charged && rest > Quantity::ZERO {
                self.line((PriceLineKind::Surplus, text), part, Some(&loose.supplier), rest, cost(rest));
            }
        }
        Ok(())
    }

    fn stock(&mut self, sourcing: &Sourcing) {
        for pick in &sourcing.from_stock {
            let cost = pick.carrying_value.times(pick.quantity.raw(), Quantity::SCALE).unwrap_or_default();
            let text = format!("{} {} {}", pick.part.maker, pick.part.number, pick.part.name);
            self.line((PriceLineKind::Stock, text), Some(&pick.part.part), None, pick.quantity, cost);
        }
    }

    fn work_and_freight(&mut self, sourcing: &Sourcing) {
        for work in &sourcing.outside_work {
            let kind = (PriceLineKind::OutsideWork, work.name.clone());
            self.line(kind, None, Some(&work.supplier), Quantity::ONE, work.cost);
        }
        for order in sourcing.orders.iter().filter(|order| order.order_cost > Money::ZERO) {
            let kind = (PriceLineKind::Freight, format!("Freight and handling, {}", order.name));
            self.line(kind, None, Some(&order.supplier), Quantity::ONE, order.order_cost);
        }
    }

    /// Labour at the shop's rate; no percentage is put on it.
    fn labour(&mut self) -> Result<(), RequestFault> {
        let rate = labour_rate(&self.context.input.prices)?;
        for unit in &self.context.units {
            let hours = unit.operation.hours;
            let cost = rate.times(hours.raw(), Quantity::SCALE).unwrap_or_default();
            self.lines.push(PriceLine {
                kind: PriceLineKind::Labour,
                text: format!("{}, {}", unit.operation.name, unit.unit.code),
                part: None,
                quantity: hours,
                cost,
                markup: Percent::ZERO,
                rule: None,
                net: cost.rounded(self.places),
            });
        }
        Ok(())
    }
}

/// What the shop takes for an hour.
pub(crate) fn labour_rate(book: &PriceBook) -> Result<Money, RequestFault> {
    let text = setting(book, "LABOUR-RATE")?;
    Money::parse(text).ok_or_else(|| {
        RequestFault::new(
            RequestFaultKind::MissingSetting,
            "",
            format!("the setting LABOUR-RATE is `{text}`, it should be an amount an hour such as 68.00"),
        )
    })
}

/// The customer's tax, or the shop's usual one, on the sum of the net lines.
fn taxes(context: &Context<'_>, net: Money, currency: &Currency) -> Result<Vec<TaxLine>, RequestFault> {
    let book = &context.input.prices;
    let request = &context.input.request;
    let customer = request.customer.as_ref().map(|code| {
        book.customers.iter().find(|row| row.customer == *code).ok_or_else(|| {
            RequestFault::unknown(
                "/customer",
                "customer",
                code.as_str(),
                book.customers.iter().map(|c| &c.customer),
            )
        })
    });
    let own = customer.transpose()?.and_then(|customer| customer.tax.clone());
    let Some(tax) = own.or_else(|| optional_setting(book, "TAX").map(Code::from_stored)) else {
        return Ok(Vec::new());
    };
    let mut by_day: BTreeMap<chrono::NaiveDate, Percent> = BTreeMap::new();
    for row in book.tax_rates.iter().filter(|row| row.tax == tax && row.valid_from <= request.as_of) {
        by_day.insert(row.valid_from, row.rate);
    }
    let rate = by_day.into_values().next_back().ok_or_else(|| {
        RequestFault::new(
            RequestFaultKind::MissingSetting,
            "",
            format!("there is no rate of the tax {tax} on the day asked for; import it with tax_rates.csv"),
        )
    })?;
    let amount = net.times(rate.raw(), 100 * Percent::SCALE).unwrap_or_default().rounded(currency.places());
    Ok(vec![TaxLine { tax, rate, net, amount }])
}
