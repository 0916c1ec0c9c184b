//! Drafts orders: from the shortages of a stored quote, or for parts that are named; one order a supplier.

use std::collections::BTreeMap;

use catalogue::{Code, Money, PartKey, Quantity, Snapshot};
use chrono::{DateTime, Days, NaiveDate, Utc};
use resolver::answer::{KitPurchase, LoosePurchase};
use resolver::receipt::{FrozenContent, contents_of, cost_shares};
use resolver::{Answer, best_offer};
use serde::{Deserialize, Serialize};
use store::{NewOrder, NewOrderLine, NewReceivedPaper, OrderContent};
use utoipa::ToSchema;

use crate::identify_part::identify_part;
use crate::jobs::error::JobError;
use crate::jobs::sheet::{JobSheet, show_job};
use crate::order_error::{OrderError, named, noted};
use crate::quote_error::QuoteError;
use crate::shop::Shop;
use crate::show_order::{OrderSheet, show_order};
use crate::show_quote::stored;

/// Most lines that are named in one request.
const LINES_MAX: usize = 500;
/// Most pieces of one line.
const QUANTITY_MAX: Quantity = Quantity::whole(1_000_000);

/// What is to be ordered: the shortages of a quote or of a job, or parts by name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedOrders {
    /// The stored quote whose kits and loose parts are to be bought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "Q-000001")]
    pub quote: Option<String>,
    /// The job that all of it is for. Without a quote and lines: what the job's decision, or else its estimate, buys.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "J-000001")]
    pub job: Option<String>,
    /// Order for the quote although orders for it exist already.
    #[serde(default)]
    pub again: bool,
    /// Parts by name, instead of a quote.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<AskedOrderLine>,
    /// Buy named parts from this supplier only; left out: from whoever is cheapest for each.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supplier: Option<String>,
    /// A note to the supplier.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Who drafts them.
    #[schema(example = "M. Brandl")]
    pub by: String,
}

/// A part that is to be ordered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedOrderLine {
    /// The number, alone or as MAKER/NUMBER.
    pub part: String,
    /// At least how many.
    #[schema(value_type = String, example = "2")]
    pub quantity: Quantity,
    /// The job that it is for; left out: the job of the whole, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
}

/// The orders that were drafted, by supplier.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DraftedOrders {
    /// The orders.
    pub items: Vec<OrderSheet>,
}

/// Drafts the orders, all of them or none.
pub async fn draft_orders(shop: &Shop, asked: &AskedOrders) -> Result<DraftedOrders, OrderError> {
    draft_of_paper(shop, asked, None).await
}

/// Drafts the orders; the paper of which they are made is kept with them.
pub(crate) async fn draft_of_paper(
    shop: &Shop,
    asked: &AskedOrders,
    paper: Option<NewReceivedPaper>,
) -> Result<DraftedOrders, OrderError> {
    let by = named(&asked.by)?;
    let note = noted(asked.note.as_ref())?;
    let now = Utc::now();
    let job = match &asked.job {
        Some(written) => Some(job_sheet(shop, written, "/job").await?),
        None => None,
    };
    let of_job = job.as_ref().and_then(|job| job.decision.as_ref().or(job.estimate.as_ref()));
    let quote = asked.quote.as_ref().or(of_job.filter(|_| asked.lines.is_empty()));
    let (mut lines, quote) = match (quote, asked.lines.as_slice()) {
        (Some(_), [_, ..]) => {
            return Err(OrderError::bad("/lines", "both a quote and lines are given; give one of the two"));
        }
        (None, []) => {
            let detail = match &job {
                Some(job) => format!(
                    "the job `{}` has no estimate or decision yet that says what to buy; name lines",
                    job.number
                ),
                None => "nothing is named to order; name a quote, a job or lines".to_owned(),
            };
            return Err(OrderError::bad("/quote", detail));
        }
        (Some(quote), []) => {
            if asked.supplier.is_some() {
                let detail = "a quote's plan names the suppliers; leave `supplier` out";
                return Err(OrderError::bad("/supplier", detail));
            }
            let (lines, number) = lines_of_quote(shop, quote).await?;
            held_by_job(job.as_ref(), &number)?;
            (lines, Some(number))
        }
        (None, lines) => (named_lines(shop, asked.supplier.as_deref(), lines, now).await?, None),
    };
    if let Some(job) = &job {
        for line in lines.values_mut().flatten() {
            line.job.get_or_insert_with(|| job.number.clone());
        }
    }
    let orders = with_contents(shop, lines, now, &by, &note).await?;
    let once_for = quote.as_deref().filter(|_| !asked.again);
    let numbers = shop.store().insert_orders(&orders, once_for, paper.as_ref()).await?;
    drafted(shop, &numbers).await
}

/// Drafts orders for named parts that were worked out from what is on order, if no order was drafted since the one of
/// this running number.
pub(crate) async fn draft_for_shelf(
    shop: &Shop,
    asked: &AskedOrders,
    last: i64,
) -> Result<DraftedOrders, OrderError> {
    let (by, note, now) = (named(&asked.by)?, noted(asked.note.as_ref())?, Utc::now());
    let mut lines = Lines::new();
    for some in asked.lines.chunks(LINES_MAX) {
        for (supplier, found) in named_lines(shop, None, some, now).await? {
            lines.entry(supplier).or_default().extend(found);
        }
    }
    let orders = with_contents(shop, lines, now, &by, &note).await?;
    let numbers = shop.store().insert_orders_after(last, &orders).await?;
    drafted(shop, &numbers).await
}

async fn drafted(shop: &Shop, numbers: &[String]) -> Result<DraftedOrders, OrderError> {
    let mut items = Vec::with_capacity(numbers.len());
    for number in numbers {
        items.push(show_order(shop, number).await?);
    }
    Ok(DraftedOrders { items })
}

/// A job that something is ordered for: it is there, and it is not over.
async fn job_sheet(shop: &Shop, written: &str, pointer: &str) -> Result<JobSheet, OrderError> {
    let job = show_job(shop, written).await.map_err(|error| match error {
        JobError::NotFound(number) => OrderError::bad(pointer, format!("there is no job `{number}`")),
        JobError::Store(error) => OrderError::Store(error),
        error => OrderError::bad(pointer, format!("the job cannot be read: {error}")),
    })?;
    if job.state.is_over() {
        let detail = format!("the job `{}` is {}: nothing more is ordered for it", job.number, job.state);
        return Err(OrderError::bad(pointer, detail));
    }
    Ok(job)
}

/// A quote that is ordered for a job must be one of that job.
fn held_by_job(job: Option<&JobSheet>, quote: &str) -> Result<(), OrderError> {
    let Some(job) = job else { return Ok(()) };
    let own = [&job.decision, &job.estimate];
    if own.into_iter().flatten().any(|number| number == quote) {
        return Ok(());
    }
    let detail =
        format!("quote `{quote}` is neither the decision nor the estimate of the job `{}`", job.number);
    Err(OrderError::bad("/quote", detail))
}

/// Lines to order, by supplier; their contents are not read yet.
pub(crate) type Lines = BTreeMap<Code, Vec<NewOrderLine>>;

/// The kits and loose parts that a quote's plan buys.
async fn lines_of_quote(shop: &Shop, written: &str) -> Result<(Lines, String), OrderError> {
    let at_quote = |error| match error {
        QuoteError::NotFound(number) => OrderError::bad("/quote", format!("there is no quote `{number}`")),
        error => OrderError::Quote(error),
    };
    let quote = stored(shop, written).await.map_err(at_quote)?;
    let number = quote.number;
    let unreadable = |source| QuoteError::Unreadable { number: number.clone(), source };
    let answer: Answer = serde_json::from_str(&quote.answer).map_err(unreadable)?;
    let sourcing = &answer.sourcing;
    if !sourcing.outcomes.is_empty() {
        let variants: Vec<&str> =
            sourcing.outcomes.iter().flat_map(|outcome| &outcome.variants).map(Code::as_str).collect();
        let detail = format!(
            "quote `{number}` leaves open what is to be bought; settle {} and quote again, or quote with `cover_all`",
            variants.join(", ")
        );
        return Err(OrderError::bad("/quote", detail));
    }
    let mut lines = Lines::new();
    for kit in &sourcing.kits {
        lines.entry(kit.supplier.clone()).or_default().push(kit_line(kit, Some(&number)));
    }
    for loose in &sourcing.loose {
        lines.entry(loose.supplier.clone()).or_default().push(loose_line(loose, Some(&number)));
    }
    if lines.is_empty() {
        return Err(OrderError::bad(
            "/quote",
            format!("quote `{number}` buys nothing: all of it is on the shelf"),
        ));
    }
    Ok((lines, number))
}

/// A line that buys a kit of a plan; its contents are not read yet.
pub(crate) fn kit_line(kit: &KitPurchase, quote: Option<&str>) -> NewOrderLine {
    NewOrderLine {
        part: kit.kit.part.clone(),
        quantity: kit.quantity,
        currency: kit.currency.clone(),
        price: kit.price,
        deposit: kit.deposit,
        unit_value: without_deposit((kit.cost, kit.quantity), (kit.price, kit.deposit)),
        expected_on: Some(kit.here_on),
        quote: quote.map(str::to_owned),
        job: None,
        contents: Vec::new(),
        shares: Vec::new(),
    }
}

/// A line that buys a loose part of a plan.
pub(crate) fn loose_line(loose: &LoosePurchase, quote: Option<&str>) -> NewOrderLine {
    NewOrderLine {
        part: loose.part.part.clone(),
        quantity: loose.quantity,
        currency: loose.currency.clone(),
        price: loose.price,
        deposit: loose.deposit,
        unit_value: without_deposit((loose.cost, loose.quantity), (loose.price, loose.deposit)),
        expected_on: Some(loose.here_on),
        quote: quote.map(str::to_owned),
        job: None,
        contents: Vec::new(),
        shares: Vec::new(),
    }
}

/// What one piece costs in the base currency, from the cost of all with their deposits.
fn without_deposit(
    (cost, quantity): (catalogue::Money, Quantity),
    (price, deposit): (catalogue::Money, catalogue::Money),
) -> catalogue::Money {
    let each = cost.times(Quantity::SCALE, quantity.raw()).unwrap_or_default();
    let both = price + deposit;
    if both.raw() == 0 { each } else { each.times(price.raw(), both.raw()).unwrap_or_default() }
}

/// Parts by name, each from the supplier that asks least.
async fn named_lines(
    shop: &Shop,
    supplier: Option<&str>,
    asked: &[AskedOrderLine],
    now: DateTime<Utc>,
) -> Result<Lines, OrderError> {
    if asked.len() > LINES_MAX {
        return Err(OrderError::bad("/lines", format!("more than {LINES_MAX} lines are named")));
    }
    let mut parts = Vec::with_capacity(asked.len());
    for (at, line) in asked.iter().enumerate() {
        if line.quantity <= Quantity::ZERO || line.quantity > QUANTITY_MAX {
            let pointer = format!("/lines/{at}/quantity");
            return Err(OrderError::bad(
                pointer,
                format!("the quantity must be above 0 and at most {QUANTITY_MAX}"),
            ));
        }
        let part = identify_part(shop, &line.part).await;
        let pointer = format!("/lines/{at}/part");
        parts.push(part.map_err(|error| OrderError::Lookup { pointer, error })?.part);
    }
    let book = shop.store().load_prices(&parts, None).await?;
    let from = match supplier {
        None => None,
        Some(written) => {
            let known = |code: &Code| book.suppliers.iter().any(|row| row.supplier == *code);
            let code = Code::parse(written).ok().filter(known);
            Some(code.ok_or_else(|| OrderError::Bad {
                pointer: "/supplier".to_owned(),
                detail: format!("there is no supplier `{written}`"),
                suggestions: book.suppliers.iter().map(|row| row.supplier.to_string()).collect(),
            })?)
        }
    };
    let today = now.date_naive();
    let mut lines = Lines::new();
    let mut jobs: BTreeMap<&str, String> = BTreeMap::new();
    for (at, (line, part)) in asked.iter().zip(parts).enumerate() {
        if let Some(written) = line.job.as_deref()
            && !jobs.contains_key(written)
        {
            let job = job_sheet(shop, written, &format!("/lines/{at}/job")).await?;
            jobs.insert(written, job.number);
        }
        let Some(offer) = best_offer(&book, &part, line.quantity, from.as_ref(), today)? else {
            let by = from.as_ref().map_or("nobody sells".to_owned(), |code| format!("{code} does not sell"));
            return Err(OrderError::bad(format!("/lines/{at}/part"), format!("{by} {part} on {today}")));
        };
        lines.entry(offer.supplier).or_default().push(NewOrderLine {
            part,
            quantity: offer.quantity,
            currency: offer.currency,
            price: offer.price,
            deposit: offer.deposit,
            unit_value: offer.unit_value,
            expected_on: days_later(today, offer.lead_days),
            quote: None,
            job: line.job.as_deref().and_then(|written| jobs.get(written).cloned()),
            contents: Vec::new(),
            shares: Vec::new(),
        });
    }
    Ok(lines)
}

fn days_later(day: NaiveDate, days: i64) -> Option<NaiveDate> {
    day.checked_add_days(Days::new(u64::try_from(days).ok()?))
}

/// Freezes what each line brings, as the catalogue says now.
pub(crate) async fn with_contents(
    shop: &Shop,
    lines: Lines,
    now: DateTime<Utc>,
    by: &str,
    note: &str,
) -> Result<Vec<NewOrder>, OrderError> {
    let parts: Vec<PartKey> = lines.values().flatten().map(|line| line.part.clone()).collect();
    let snapshot = shop.store().load_part_families(&parts).await?;
    let mut orders = Vec::with_capacity(lines.len());
    for (supplier, mut lines) in lines {
        for line in &mut lines {
            line.contents = frozen(shop, &snapshot, (&line.part, line.unit_value), now.date_naive()).await?;
        }
        orders.push(NewOrder {
            supplier,
            structure_revision: snapshot.structure_revision,
            created_at: now,
            created_by: by.to_owned(),
            note: note.to_owned(),
            lines,
        });
    }
    Ok(orders)
}

/// What one piece of a number brings, as it is stored, each content with its share of what the piece is worth.
pub(crate) async fn frozen(
    shop: &Shop,
    snapshot: &Snapshot,
    (part, value): (&PartKey, Money),
    day: NaiveDate,
) -> Result<Vec<OrderContent>, OrderError> {
    let contents = contents_of(snapshot, part)?;
    let shares = shares(shop, &contents, value, day).await?;
    let stored = contents.into_iter().zip(shares).map(|(content, share)| OrderContent {
        content: content.content,
        part: content.part,
        quantity: content.quantity,
        option_group: content.option_group,
        through: content.through,
        unit_value: Some(share),
    });
    Ok(stored.collect())
}

/// What one piece of each content is worth: the worth of the box spread by what the contents would cost loose that day.
pub(crate) async fn shares(
    shop: &Shop,
    contents: &[FrozenContent],
    value: Money,
    day: NaiveDate,
) -> Result<Vec<Money>, OrderError> {
    if let [_] = contents {
        return Ok(cost_shares(value, &[(contents[0].quantity, None)]));
    }
    let parts: Vec<PartKey> = contents.iter().map(|content| content.part.clone()).collect();
    let book = shop.store().load_prices(&parts, None).await?;
    let mut lines = Vec::with_capacity(contents.len());
    for content in contents {
        let offer = best_offer(&book, &content.part, Quantity::ONE, None, day)?;
        lines.push((content.quantity, offer.map(|offer| offer.unit_value)));
    }
    Ok(cost_shares(value, &lines))
}
