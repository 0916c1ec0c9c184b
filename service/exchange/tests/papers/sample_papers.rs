//! One paper of each kind, with everything in it: a kit and a bearing are ordered, answered, sent, received and offered.

use catalogue::{Currency, Gtin, Money, Quantity};
use chrono::NaiveDate;
use exchange::papers::{
    Amount, Catalogue, CatalogueAction, CatalogueLine, CataloguePrice, DespatchAdvice, DespatchLine,
    DespatchLineReference, DocumentReference, Item, ItemNumber, ItemProperty, LineAnswer, Measure, Order,
    OrderAnswer, OrderLine, OrderLineReference, OrderReference, OrderResponse, OrderResponseLine, Party,
    Period, Price, PromisedDelivery, ReceiptAdvice, ReceiptLine, RelatedItem, Shipment, Substitute, Unit,
};

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn some(text: &str) -> Option<String> {
    Some(text.to_owned())
}

fn pieces(count: i64) -> Measure {
    Measure { quantity: Quantity::whole(count), unit: Unit::parse("H87").unwrap() }
}

fn days(count: i64) -> Option<Measure> {
    Some(Measure { quantity: Quantity::whole(count), unit: Unit::parse("DAY").unwrap() })
}

fn euros(text: &str) -> Amount {
    Amount { money: Money::parse(text).unwrap(), currency: Currency::parse("EUR").unwrap() }
}

fn price(text: &str) -> Option<Price> {
    Some(Price { amount: euros(text), per: Some(pieces(1)), valid: None })
}

fn workshop() -> Party {
    Party { code: some("WORKSHOP"), name: some("Mountain railway district, workshop") }
}

fn ostrel() -> Party {
    Party { code: some("OSTREL"), name: some("Ostrel") }
}

fn kit() -> Item {
    Item {
        name: some("Rebuild kit, six-speed box"),
        buyers_number: some("VESSICK/K640"),
        sellers_number: some("O-4410"),
        manufacturers_number: some("K 640"),
        gtin: Some(Gtin::parse("6291041500213").unwrap()),
        manufacturer: Some(Party { code: some("VESSICK"), name: None }),
        ..Item::default()
    }
}

fn bearing() -> Item {
    Item {
        descriptions: vec!["Ball bearing 40x90x23, brass cage".into()],
        name: some("Input shaft bearing"),
        buyers_number: some("NORRWALD/6308"),
        manufacturers_number: some("6308"),
        manufacturer: Some(Party { code: some("NORRWALD"), name: some("Norrwald") }),
        ..Item::default()
    }
}

fn until(text: &str) -> Option<Period> {
    Some(Period { from: None, to: Some(day(text)) })
}

fn line_of_order(line: &str) -> OrderLineReference {
    OrderLineReference { line: line.into(), order: some("PO-000017") }
}

pub(crate) fn order() -> Order {
    let job = || vec![DocumentReference { number: "J-000204".into(), kind: some("job") }];
    let kits = OrderLine {
        number: "1".into(),
        quantity: pieces(1),
        line_total: Some(euros("149.90")),
        partial_delivery: Some(false),
        price: price("149.90"),
        item: kit(),
        documents: job(),
        ..OrderLine::default()
    };
    let bearings = OrderLine {
        number: "2".into(),
        notes: vec!["C3 clearance, please".into()],
        quantity: pieces(2),
        line_total: Some(euros("49")),
        partial_delivery: Some(true),
        back_order: Some(true),
        requested: until("2026-12-08"),
        price: price("24.5"),
        item: bearing(),
        documents: job(),
    };
    Order {
        number: "PO-000017".into(),
        uuid: some("7c1d0a52-3a54-4a0c-9a0e-2f6d5e0b7a11"),
        issued: day("2026-11-24"),
        notes: vec!["Truck 7 is off the road: <urgent> & please by rail".into()],
        currency: Currency::parse("EUR"),
        reference: some("BN-640 rebuild"),
        buyer: workshop(),
        seller: ostrel(),
        requested: until("2026-12-01"),
        total: Some(euros("198.90")),
        lines: vec![kits, bearings],
    }
}

pub(crate) fn order_response() -> OrderResponse {
    let later = Item {
        name: some("Input shaft bearing, steel cage"),
        sellers_number: some("O-7702"),
        ..Item::default()
    };
    let changed = OrderResponseLine {
        number: "2".into(),
        notes: vec!["One lies here, one comes from the maker".into()],
        answer: Some(LineAnswer::Changed),
        quantity: Some(pieces(2)),
        back_ordered: Some(pieces(1)),
        promised: vec![
            PromisedDelivery { quantity: Some(pieces(1)), from: None, to: Some(day("2026-11-27")) },
            PromisedDelivery {
                quantity: Some(pieces(1)),
                from: Some(day("2026-12-14")),
                to: Some(day("2026-12-18")),
            },
        ],
        price: price("25"),
        item: bearing(),
        offered: vec![Substitute {
            number: "2a".into(),
            quantity: Some(pieces(1)),
            promised: vec![PromisedDelivery { to: Some(day("2026-11-27")), ..PromisedDelivery::default() }],
            price: price("22.30"),
            item: later.clone(),
            ..Substitute::default()
        }],
        substituted: Vec::new(),
        order_line: Some(line_of_order("2")),
    };
    let rejected = OrderResponseLine {
        number: "1".into(),
        notes: vec!["No longer made".into()],
        answer: Some(LineAnswer::Rejected),
        item: kit(),
        substituted: vec![Substitute { number: "1a".into(), item: later, ..Substitute::default() }],
        order_line: Some(line_of_order("1")),
        ..OrderResponseLine::default()
    };
    OrderResponse {
        number: "OR-551".into(),
        sales_order: some("SO-9001"),
        issued: day("2026-11-24"),
        answer: Some(OrderAnswer::AcceptedWithChanges),
        order: "PO-000017".into(),
        seller: ostrel(),
        buyer: workshop(),
        promised: until("2026-12-18"),
        total: Some(euros("50")),
        lines: vec![rejected, changed],
        ..OrderResponse::default()
    }
}

pub(crate) fn despatch_advice() -> DespatchAdvice {
    DespatchAdvice {
        number: "DN-3301".into(),
        issued: day("2026-11-26"),
        orders: vec![OrderReference { number: "PO-000017".into(), sales_order: some("SO-9001") }],
        supplier: ostrel(),
        customer: workshop(),
        shipment: Some(Shipment {
            number: "1".into(),
            tracking: some("RR 1188 2203"),
            expected_to: Some(day("2026-11-27")),
            carrier: Some(Party { name: some("Valley rail freight"), ..Party::default() }),
            despatched: Some(day("2026-11-26")),
            ..Shipment::default()
        }),
        lines: vec![DespatchLine {
            number: "1".into(),
            delivered: Some(pieces(1)),
            back_ordered: Some(pieces(1)),
            back_order_reasons: vec!["On order with the maker".into()],
            outstanding: Some(pieces(1)),
            outstanding_reasons: vec!["Follows by 18 December".into()],
            order_line: line_of_order("2"),
            item: bearing(),
            ..DespatchLine::default()
        }],
        ..DespatchAdvice::default()
    }
}

pub(crate) fn receipt_advice() -> ReceiptAdvice {
    ReceiptAdvice {
        number: "RA-000088".into(),
        issued: day("2026-11-27"),
        orders: vec![OrderReference { number: "PO-000017".into(), sales_order: None }],
        despatches: vec![DocumentReference { number: "DN-3301".into(), kind: None }],
        customer: workshop(),
        supplier: ostrel(),
        lines: vec![ReceiptLine {
            number: "1".into(),
            received: Some(pieces(1)),
            short: Some(pieces(1)),
            shortage_action: some("SEND"),
            rejected: Some(pieces(1)),
            reject_code: some("DAMAGED"),
            reject_reasons: vec!["Outer race pitted".into(), "Box wet".into()],
            reject_action: some("REPLACE"),
            received_on: Some(day("2026-11-27")),
            order_line: Some(line_of_order("2")),
            despatch_line: Some(DespatchLineReference { line: "1".into(), despatch: some("DN-3301") }),
            item: bearing(),
            ..ReceiptLine::default()
        }],
        ..ReceiptAdvice::default()
    }
}

fn related(scheme: Option<&str>, number: &str, count: i64) -> RelatedItem {
    let number = ItemNumber { number: number.into(), scheme: scheme.map(ToOwned::to_owned) };
    RelatedItem { number, quantity: Some(pieces(count)), descriptions: Vec::new() }
}

pub(crate) fn catalogue_of_supplier() -> Catalogue {
    let from = |count: i64, text: &str| CataloguePrice {
        lead_time: days(4),
        minimum: Some(pieces(count)),
        price: price(text),
        ..CataloguePrice::default()
    };
    let kit = CatalogueLine {
        number: "1".into(),
        action: Some(CatalogueAction::Update),
        orderable: Some(true),
        orderable_unit: Unit::parse("KT"),
        minimum: Some(pieces(1)),
        valid: Some(Period { from: Some(day("2027-01-01")), to: Some(day("2027-12-31")) }),
        components: vec![related(Some("NORRWALD"), "6308", 2), related(Some("VESSICK"), "VK 640-118", 1)],
        companions: vec![related(None, "O-4411", 1)],
        prices: vec![from(1, "149.90"), from(5, "139")],
        item: kit(),
        ..CatalogueLine::default()
    };
    let old = CatalogueLine {
        number: "2".into(),
        action: Some(CatalogueAction::Update),
        notes: vec!["The brass cage gives way to the steel cage".into()],
        orderable: Some(false),
        increment: Some(Quantity::whole(2)),
        replaced_by: vec![related(Some("NORRWALD"), "6308A", 1)],
        replaces: vec![related(Some("NORRWALD"), "6308-OLD", 1)],
        item: Item {
            pack_size: Some(Quantity::whole(2)),
            properties: vec![ItemProperty { property: "interchange".into(), value: some("two_way") }],
            ..bearing()
        },
        ..CatalogueLine::default()
    };
    Catalogue {
        number: "CAT-12".into(),
        name: some("Driveline parts"),
        issued: day("2026-11-01"),
        version: some("12"),
        valid: until("2027-12-31"),
        provider: ostrel(),
        receiver: workshop(),
        lines: vec![kit, old],
        ..Catalogue::default()
    }
}
