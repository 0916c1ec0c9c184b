//! What a round says: for whom what is bought, from whom, for how much, and what is left over or not to be had.

use catalogue::{Code, Currency, Money, PartKey, Quantity, UnitKey};
use chrono::NaiveDate;
use resolver::answer::PartName;
use resolver::order_round::{MetPieces, RoundPlan};
use resolver::request::Aim;
use serde::{Deserialize, Serialize};
use store::{NewOrder, NewOrderLine};
use utoipa::ToSchema;

use super::drafts::Drafts;
use super::needs::JobLine;
use super::shelf::ShelfNeed;
use super::{AskedOrderRound, Gathered};
use crate::show_order::{LineShare, shares};

/// An order round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OrderRound {
    /// Whether it was only asked for: nothing is stored.
    pub dry_run: bool,
    /// The day: prices, rates and stock are those of it.
    pub as_of: NaiveDate,
    /// What the purchase is best at.
    pub aim: Aim,
    /// Whether it is proven to be best in its first aim (of least money: least cash out), with what is free on the shelf
    /// used first.
    pub proven: bool,
    /// Whether it is proven in the later aims too, which settle ties.
    pub ties_proven: bool,
    /// If it is not: what no purchase can go below, in the first aim's unit.
    pub bound: Option<String>,
    /// Cash out in the base currency, what the orders cost and deposits included.
    #[schema(value_type = String)]
    pub cash: Money,
    /// Deposits in the cash, given back for the old parts.
    #[schema(value_type = String)]
    pub deposits: Money,
    /// The base currency.
    pub currency: Currency,
    /// Days until everything is here.
    pub days: i64,
    /// The day everything is here.
    pub complete_on: NaiveDate,
    /// The orders, one a supplier, drafted or as they would be; empty: nothing is to be bought.
    pub orders: Vec<RoundOrder>,
    /// The approved jobs that lack something, by their numbers.
    pub jobs: Vec<RoundJob>,
    /// What lacks on the shelf.
    pub shelf: Vec<ShelfLine>,
    /// What nobody sells and the shelf has not enough of.
    pub not_to_be_had: Vec<NotToBeHad>,
    /// Approved jobs that have to be left out.
    pub left_out: Vec<LeftOutJob>,
    /// Suppliers that are not bought from because a job's request rules them out.
    pub without_suppliers: Vec<Code>,
    /// Kits that are not bought because a job's request rules them out.
    pub without_kits: Vec<PartKey>,
}

/// An approved job that lacks something.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoundJob {
    /// The job.
    #[schema(example = "J-000001")]
    pub job: String,
    /// The quote that decided what it needs.
    #[schema(example = "Q-000001")]
    pub quote: String,
    /// Its lines that lack something: of those that are in the job, reserved or on their way already nothing is said.
    pub lines: Vec<RoundJobLine>,
}

/// One line of what a job needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoundJobLine {
    /// The unit.
    pub unit: UnitKey,
    /// The position; empty for fluids and companions without one.
    pub position: Option<Code>,
    /// The part that was decided on.
    pub part: PartKey,
    /// How many are needed in all.
    #[schema(value_type = String)]
    pub needed: Quantity,
    /// How many are in the job.
    #[schema(value_type = String)]
    pub issued: Quantity,
    /// How many are reserved for it.
    #[schema(value_type = String)]
    pub reserved: Quantity,
    /// How many are on their way for it.
    #[schema(value_type = String)]
    pub on_order: Quantity,
    /// How many are free on the shelf and left for it; they are not reserved by the round.
    #[schema(value_type = String)]
    pub from_stock: Quantity,
    /// How many are bought.
    #[schema(value_type = String)]
    pub bought: Quantity,
    /// How many are not to be had.
    #[schema(value_type = String)]
    pub missing: Quantity,
}

/// What lacks on the shelf of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfLine {
    /// The part.
    pub part: PartKey,
    /// The bin that is counted; empty: all bins together.
    pub bin: Option<Code>,
    /// The least that should be there.
    #[schema(value_type = String)]
    pub minimum: Quantity,
    /// How many should be there after the round.
    #[schema(value_type = String)]
    pub order_up_to: Quantity,
    /// How many lie free there.
    #[schema(value_type = String)]
    pub available: Quantity,
    /// How many of them the jobs of the round will take.
    #[schema(value_type = String)]
    pub for_jobs: Quantity,
    /// How many are on order for the shelf.
    #[schema(value_type = String)]
    pub on_order: Quantity,
    /// How many are bought.
    #[schema(value_type = String)]
    pub bought: Quantity,
    /// How many are not to be had.
    #[schema(value_type = String)]
    pub missing: Quantity,
}

/// What is not to be had.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NotToBeHad {
    /// The job; empty: the shelf.
    pub job: Option<String>,
    /// The part.
    pub part: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
}

/// An approved job that has to be left out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LeftOutJob {
    /// The job.
    pub job: String,
    /// Why, and what would let it in.
    pub why: String,
}

/// An order of a round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoundOrder {
    /// Its running number; empty: it was only asked for.
    #[schema(example = "PO-000001")]
    pub number: Option<String>,
    /// To whom.
    pub supplier: Code,
    /// The supplier's name.
    pub name: String,
    /// What an order costs, in the base currency.
    #[schema(value_type = String)]
    pub order_cost: Money,
    /// Cost of the goods in the base currency, deposits included.
    #[schema(value_type = String)]
    pub goods: Money,
    /// When the last of it is here.
    pub here_on: NaiveDate,
    /// Its lines.
    pub lines: Vec<RoundLine>,
}

/// A line of an order of a round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoundLine {
    /// Its number, from one.
    pub line: i64,
    /// The part or kit.
    pub part: PartName,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// The currency of price and deposit.
    pub currency: Currency,
    /// Price of one.
    #[schema(value_type = String)]
    pub price: Money,
    /// Deposit on one, given back for the old part.
    #[schema(value_type = String)]
    pub deposit: Money,
    /// Cost of all in the base currency, deposits included.
    #[schema(value_type = String)]
    pub cost: Money,
    /// When it is expected.
    pub expected_on: Option<NaiveDate>,
    /// For whom its pieces are.
    pub shares: Vec<LineShare>,
    /// What is left over, of kits, packs and least orders.
    pub surplus: Vec<RoundSurplus>,
}

/// Pieces that nobody needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoundSurplus {
    /// The part.
    pub part: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
}

/// Says what a round came to.
pub(super) fn told(
    asked: &AskedOrderRound,
    gathered: &Gathered,
    plan: &RoundPlan,
    drafts: Drafts,
    numbers: &[String],
) -> OrderRound {
    let sourcing = &plan.sourcing;
    let mut met = plan.met.iter();
    let jobs: Vec<RoundJob> = gathered
        .jobs
        .iter()
        .map(|job| RoundJob {
            job: job.number.clone(),
            quote: job.quote.clone(),
            lines: job.lines.iter().zip(&mut met).map(|(line, met)| job_line(line, met)).collect(),
        })
        .collect();
    let shelf: Vec<ShelfLine> =
        gathered.shelf.iter().zip(&mut met).map(|(line, met)| shelf_line(line, met)).collect();
    let of_jobs =
        jobs.iter().flat_map(|job| job.lines.iter().map(|line| (Some(&job.job), &line.part, line.missing)));
    let of_shelf = shelf.iter().map(|line| (None, &line.part, line.missing));
    let not_to_be_had = of_jobs.chain(of_shelf).filter(|(_, _, missing)| *missing > Quantity::ZERO);
    OrderRound {
        dry_run: asked.dry_run,
        as_of: gathered.today,
        aim: asked.aim,
        proven: sourcing.proven,
        ties_proven: sourcing.ties_proven,
        bound: sourcing.bound.clone(),
        cash: sourcing.cash,
        deposits: sourcing.deposits,
        currency: sourcing.currency.clone(),
        days: sourcing.days,
        complete_on: sourcing.complete_on,
        orders: orders(plan, drafts, numbers),
        not_to_be_had: not_to_be_had
            .map(|(job, part, quantity)| NotToBeHad { job: job.cloned(), part: part.clone(), quantity })
            .collect(),
        jobs,
        shelf,
        left_out: gathered.left_out.clone(),
        without_suppliers: gathered.input.without_suppliers.clone(),
        without_kits: gathered.input.without_parts.clone(),
    }
}

fn job_line(line: &JobLine, met: &[MetPieces]) -> RoundJobLine {
    RoundJobLine {
        unit: line.decided.unit.clone(),
        position: line.decided.position.clone(),
        part: line.decided.part.clone(),
        needed: line.decided.quantity,
        issued: line.issued,
        reserved: line.reserved,
        on_order: line.on_order,
        from_stock: met.iter().map(|met| met.from_stock).sum(),
        bought: met.iter().map(|met| met.bought).sum(),
        missing: met.iter().map(|met| met.missing).sum(),
    }
}

fn shelf_line(line: &ShelfNeed, met: &[MetPieces]) -> ShelfLine {
    ShelfLine {
        part: line.part.clone(),
        bin: line.bin.clone(),
        minimum: line.minimum,
        order_up_to: line.order_up_to,
        available: line.available,
        for_jobs: line.for_jobs,
        on_order: line.on_order,
        bought: met.iter().map(|met| met.bought).sum(),
        missing: met.iter().map(|met| met.missing).sum(),
    }
}

fn orders(plan: &RoundPlan, drafts: Drafts, numbers: &[String]) -> Vec<RoundOrder> {
    let heads = plan.sourcing.orders.iter();
    let told =
        drafts.orders.iter().zip(drafts.heads).enumerate().filter_map(|(at, (order, heads_of_lines))| {
            let head = heads.clone().find(|head| head.supplier == order.supplier)?;
            Some(RoundOrder {
                number: numbers.get(at).cloned(),
                supplier: head.supplier.clone(),
                name: head.name.clone(),
                order_cost: head.order_cost,
                goods: head.goods,
                here_on: head.here_on,
                lines: lines(order, heads_of_lines),
            })
        });
    told.collect()
}

fn lines(order: &NewOrder, heads: Vec<(PartName, Money)>) -> Vec<RoundLine> {
    let lines = (1_i64..).zip(&order.lines).zip(heads).map(|((number, line), (part, cost))| RoundLine {
        line: number,
        part,
        quantity: line.quantity,
        currency: line.currency.clone(),
        price: line.price,
        deposit: line.deposit,
        cost,
        expected_on: line.expected_on,
        shares: shares(&line.shares),
        surplus: surplus(line),
    });
    lines.collect()
}

fn surplus(line: &NewOrderLine) -> Vec<RoundSurplus> {
    let left = line.contents.iter().filter_map(|content| {
        let all = content.quantity.times(line.quantity).unwrap_or_default();
        let shared = line.shares.iter().filter(|share| share.content == content.content);
        let quantity = all - shared.map(|share| share.quantity).sum();
        (quantity > Quantity::ZERO).then(|| RoundSurplus { part: content.part.clone(), quantity })
    });
    left.collect()
}
