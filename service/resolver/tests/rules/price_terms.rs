//! Prices of one supplier whose currency, pack or least quantity changes with the quantity.

use catalogue::Money;
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
