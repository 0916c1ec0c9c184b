//! What is still to come of an order, or lies in a kit's box.

use std::collections::BTreeMap;

use catalogue::{Code, Money, PartKey, PartKind, Quantity};
use chrono::Utc;
use resolver::best_offer;
use resolver::receipt::{ExpectedLine, FrozenBox, FrozenContent, Share, contents_of, cost_shares};
use store::Order;

use crate::draft_orders::shares;
use crate::identify_part::identify_part;
use crate::order_error::OrderError;
use crate::receipt_error::ReceiptError;
use crate::receive_box::AskedReceipt;
use crate::shop::Shop;
use crate::show_order::{OrderState, frozen_contents, state_of, stored_order};

/// What a box is counted against.
pub(crate) struct Against {
    /// The order.
    pub(crate) order: Option<Order>,
    /// The kit, without an order.
    pub(crate) kit: Option<PartKey>,
    /// Who sent it.
    pub(crate) supplier: Option<Code>,
    /// What is still to come.
    pub(crate) expected: Vec<ExpectedLine>,
    /// The kits among it.
    pub(crate) boxes: Vec<FrozenBox>,
    /// What one piece of each line and content is worth in the base currency.
    pub(crate) values: BTreeMap<(i64, i64), Money>,
    /// What has come so far, by line and content.
    pub(crate) received: BTreeMap<(i64, i64), Quantity>,
}

/// How many of an order line are to come: as many as the supplier acknowledged, or else as were ordered.
fn promised(line: &store::OrderLine) -> Quantity {
    line.acknowledged_quantity.unwrap_or(line.quantity)
}

/// What a box is counted against, as it is asked.
pub(crate) async fn against(shop: &Shop, asked: &AskedReceipt) -> Result<Against, ReceiptError> {
    match (&asked.order, &asked.kit) {
        (Some(_), Some(_)) => {
            Err(OrderError::bad("/kit", "both an order and a kit are named; name one of the two").into())
        }
        (None, None) => {
            Err(OrderError::bad("/order", "name the order or the kit that the box is counted against").into())
        }
        (Some(order), None) => {
            for (field, given) in [("supplier", asked.supplier.is_some()), ("boxes", asked.boxes.is_some())] {
                if given {
                    let detail = format!("the order says it; leave `{field}` out");
                    return Err(OrderError::bad(format!("/{field}"), detail).into());
                }
            }
            against_order(shop, order, &asked.lines).await
        }
        (None, Some(kit)) => against_kit(shop, asked, kit).await,
    }
}

/// What is still to come of an order.
pub(crate) async fn against_order(
    shop: &Shop,
    written: &str,
    lines: &[i64],
) -> Result<Against, ReceiptError> {
    let order = stored_order(shop, written).await.map_err(|error| match error {
        OrderError::NotFound(number) => OrderError::bad("/order", format!("there is no order `{number}`")),
        error => error,
    })?;
    let possible =
        [OrderState::Placed, OrderState::Acknowledged, OrderState::PartReceived, OrderState::Received];
    let state = state_of(&order.state)?;
    if !possible.contains(&state) {
        return Err(ReceiptError::Order(OrderError::WrongState {
            number: order.number,
            state: state.to_string(),
            step: "receive".to_owned(),
            possible: possible.iter().map(OrderState::to_string).collect(),
        }));
    }
    for (at, line) in lines.iter().enumerate() {
        if !order.lines.iter().any(|known| known.line == *line) {
            let detail = format!("order `{}` has no line {line}", order.number);
            return Err(OrderError::bad(format!("/lines/{at}"), detail).into());
        }
    }
    let received = shop.store().received_of_order(&order.number).await?;
    let mut found = Against {
        kit: None,
        supplier: Some(order.supplier.clone()),
        expected: Vec::new(),
        boxes: Vec::new(),
        values: BTreeMap::new(),
        received,
        order: None,
    };
    for line in order.lines.iter().filter(|line| lines.is_empty() || lines.contains(&line.line)) {
        let contents = frozen_contents(&line.contents);
        let frozen: Option<Vec<Money>> = line.contents.iter().map(|content| content.unit_value).collect();
        let alike: Vec<Share> = contents.iter().map(|content| (content.quantity, None)).collect();
        let shares = frozen.unwrap_or_else(|| cost_shares(line.unit_value, &alike));
        found.put((line.line, &line.part, promised(line)), contents, &shares)?;
    }
    found.order = Some(order);
    Ok(found)
}

async fn against_kit(shop: &Shop, asked: &AskedReceipt, written: &str) -> Result<Against, ReceiptError> {
    if !asked.lines.is_empty() {
        return Err(OrderError::bad("/lines", "a kit has no order lines; leave `lines` out").into());
    }
    let boxes = asked.boxes.unwrap_or(Quantity::ONE);
    if boxes <= Quantity::ZERO || boxes > Quantity::whole(10_000) || boxes.raw() % Quantity::SCALE != 0 {
        return Err(OrderError::bad("/boxes", "`boxes` is a whole number from 1 to 10000").into());
    }
    let part = identify_part(shop, written).await;
    let part = part.map_err(|error| OrderError::Lookup { pointer: "/kit".to_owned(), error })?;
    if part.kind != PartKind::Kit {
        return Err(
            OrderError::bad("/kit", format!("{} is no kit; count it against an order", part.part)).into()
        );
    }
    let book = shop.store().load_prices(std::slice::from_ref(&part.part), None).await?;
    let supplier = match &asked.supplier {
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
    let today = Utc::now().date_naive();
    let offer = best_offer(&book, &part.part, boxes, supplier.as_ref(), today).map_err(OrderError::from)?;
    let value = offer.map_or(Money::ZERO, |offer| offer.unit_value);
    let snapshot = shop.store().load_part_families(std::slice::from_ref(&part.part)).await?;
    let contents = contents_of(&snapshot, &part.part).map_err(OrderError::from)?;
    let mut found = Against {
        order: None,
        kit: Some(part.part.clone()),
        supplier,
        expected: Vec::new(),
        boxes: Vec::new(),
        values: BTreeMap::new(),
        received: BTreeMap::new(),
    };
    let shares = shares(shop, &contents, value, today).await?;
    found.put((0, &part.part, boxes), contents, &shares)?;
    Ok(found)
}

impl Against {
    /// Puts what a line should bring, less what has come; `shares` are what one piece of each content is worth.
    fn put(
        &mut self,
        (line, part, pieces): (i64, &PartKey, Quantity),
        contents: Vec<FrozenContent>,
        shares: &[Money],
    ) -> Result<(), ReceiptError> {
        let is_kit = contents.iter().any(|content| content.part != *part);
        for (content, share) in contents.iter().zip(shares) {
            let place = (line, content.content);
            let all = content.quantity.times(pieces).ok_or_else(|| {
                OrderError::bad("/order", format!("the quantities of line {line} are too large"))
            })?;
            let come = self.received.get(&place).copied().unwrap_or_default();
            self.expected.push(ExpectedLine {
                order_line: line,
                content: content.content,
                part: content.part.clone(),
                quantity: (all - come).max(Quantity::ZERO),
                kit: is_kit.then(|| part.clone()),
                option_group: content.option_group.clone(),
            });
            self.values.insert(place, *share);
        }
        if is_kit {
            self.boxes.push(FrozenBox { kit: part.clone(), contents });
        }
        Ok(())
    }

    /// The state of the order when some more of it has come, or less.
    pub(crate) fn state_after(&self, come: &BTreeMap<(i64, i64), Quantity>) -> Option<OrderState> {
        let order = self.order.as_ref()?;
        let (mut all, mut any) = (true, false);
        for line in &order.lines {
            for content in &line.contents {
                let place = (line.line, content.content);
                let has = self.received.get(&place).copied().unwrap_or_default()
                    + come.get(&place).copied().unwrap_or_default();
                let wanted = content.quantity.times(promised(line)).unwrap_or_default();
                all &= has >= wanted;
                any |= has > Quantity::ZERO;
            }
        }
        let acknowledged = order.steps.iter().any(|step| step.what == "acknowledge");
        Some(match (all, any) {
            (true, true) => OrderState::Received,
            (_, true) => OrderState::PartReceived,
            (_, false) if acknowledged => OrderState::Acknowledged,
            (_, false) => OrderState::Placed,
        })
    }
}
