//! Prices of one supplier whose currency, pack or least quantity changes with the quantity.

use catalogue::Money;
use resolver::answer::PriceLineKind;
use resolver::request::StockUse;
use resolver::{Answer, Request};

use crate::small_world::{overhaul, shop, takes};

fn money(text: &str) -> Money {
    Money::parse(text).unwrap()
}

fn with(stock: StockUse, text: &str) -> Answer {
    shop(text).resolve(Request { stock, ..overhaul() })
}

#[test]
fn each_price_has_its_own_currency() {
    let text = "part A hard gear 100 cur=SEK
         price A 8 from=10
         at GEAR A renewal=always_at_overhaul
         [exchange_rates]
         currency,valid_from,rate,source
         SEK,2020-01-01,0.1,Invented";
    let answer = shop(text).resolve(overhaul());
    let bought = &answer.sourcing.loose[0];
    assert_eq!((bought.price, bought.currency.as_str(), bought.cost), (money("100"), "SEK", money("10")));
    assert_eq!(answer.price.net, money("10"));
}

#[test]
fn a_break_in_packs_of_ten_leaves_single_pieces_to_be_had() {
    let text = "part A hard bolt 5
         price A 4 from=10 pack=10 min=10
         at BOLT A qty=1 renewal=single_use";
    let plan = |quantity: &str| {
        let answer = shop(&text.replace("qty=1", quantity)).resolve(overhaul());
        (takes(&answer).join(", "), answer.sourcing.cash.to_string())
    };
    assert_eq!(plan("qty=1"), ("buy A 1 from S".into(), "5.00".into()));
    assert_eq!(plan("qty=9"), ("buy A 10 from S".into(), "40.00".into()));
    // A pack of ten and two singles.
    assert_eq!(plan("qty=12"), ("buy A 2 from S, buy A 10 from S".into(), "50.00".into()));
}

#[test]
fn below_the_first_price_nothing_is_sold() {
    let text = "part A hard bolt\nprice A 3 from=10\nat BOLT A qty=1 renewal=single_use";
    let answer = shop(text).resolve(overhaul());
    assert_eq!((takes(&answer), answer.sourcing.cash), (vec!["buy A 10 from S".into()], money("30")));
}

const TWO_LOTS: &str = "part A consumable seal 4\nat SEAL A qty=2\nstock A 5 9 A-BIN\nstock A 5 1 B-BIN";

#[test]
fn of_lots_at_several_values_the_cheapest_is_used_first() {
    for stock in [StockUse::First, StockUse::Value] {
        let answer = with(stock, TWO_LOTS);
        assert_eq!(takes(&answer), ["stock A 2"], "{stock:?}");
        assert_eq!(answer.sourcing.from_stock[0].bin.as_str(), "B-BIN");
        assert_eq!((answer.sourcing.cash, answer.sourcing.job_cost), (Money::ZERO, money("2")), "{stock:?}");
    }
}

#[test]
fn at_its_value_a_dear_lot_stays_while_a_cheap_one_goes() {
    let seven = TWO_LOTS.replace("qty=2", "qty=7");
    let answer = with(StockUse::Value, &seven);
    assert_eq!(takes(&answer), ["stock A 5", "buy A 2 from S"]);
    assert_eq!((answer.sourcing.cash, answer.sourcing.job_cost), (money("8"), money("13")));
    let answer = with(StockUse::First, &seven);
    assert_eq!(
        takes(&answer),
        ["stock A 2", "stock A 5"].map(String::from).into_iter().rev().collect::<Vec<_>>()
    );
    assert_eq!((answer.sourcing.cash, answer.sourcing.job_cost), (Money::ZERO, money("23")));
}

const WITH_SURPLUS: &str = "part A consumable seal
     part B hard gear 20 min=2 deposit=7
     kit K 10 min=2 deposit=3 A
     at SEAL A
     at GEAR B renewal=always_at_overhaul
     [settings]
     setting,value
     BASE-CURRENCY,EUR
     LABOUR-RATE,10
     SURPLUS,shelved";

fn price_lines(text: &str) -> (Vec<String>, String) {
    let price = shop(text).resolve(overhaul()).price;
    let goods = price.lines.iter().filter(|line| line.kind != PriceLineKind::Labour);
    let lines = goods.map(|line| format!("{:?} {} {}", line.kind, line.quantity, line.net));
    (lines.collect(), price.deposits.to_string())
}

#[test]
fn what_is_shelved_is_not_charged_nor_its_deposit() {
    let (lines, deposits) = price_lines(WITH_SURPLUS);
    assert_eq!(
        (lines.as_slice(), deposits.as_str()),
        (&["Kit 1 10.00", "Part 1 20.00"].map(String::from)[..], "10.00")
    );
    let (lines, deposits) = price_lines(&WITH_SURPLUS.replace("shelved", "charged"));
    let all = ["Kit 1 10.00", "Surplus 1 10.00", "Part 1 20.00", "Surplus 1 20.00"].map(String::from);
    assert_eq!((lines.as_slice(), deposits.as_str()), (&all[..], "20.00"));
}

#[test]
fn an_outcome_waits_for_what_goes_out_of_the_shop() {
    let text = "part A consumable seal 5
         part B consumable seal 7
         at SEAL A@V1 B@V2
         [variants]
         unit,variant,option_group,name
         U,V1,SIDE,One
         U,V2,SIDE,Other
         [outside_work]
         unit,work,name,operation,supplier,price,currency,lead_days
         U,WASH,Washing,OVERHAUL,S,4,EUR,30";
    let answer = shop(text).resolve(overhaul());
    assert_eq!(answer.sourcing.days, 30);
    let days: Vec<i64> = answer.sourcing.outcomes.iter().map(|outcome| outcome.days).collect();
    assert_eq!(days, [30, 30]);
}
