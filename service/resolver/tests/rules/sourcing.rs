//! How a need is met and what it costs: shelf, kits, loose parts, suppliers, unknowns, the customer's price.

use catalogue::{Money, PartKey, Price, Setting};
use resolver::answer::PriceLineKind;
use resolver::request::{Aim, StockUse, Unknowns};
use resolver::{Answer, Request};

use crate::small_world::{code, left_over, overhaul, shop, takes};
use crate::world::World;

fn money(text: &str) -> Money {
    Money::parse(text).unwrap()
}

fn cash(text: &str) -> String {
    shop(text).resolve(overhaul()).sourcing.cash.to_string()
}

/// Takes and cash of a world's overhaul.
fn plan(text: &str) -> (Vec<String>, String) {
    let answer = shop(text).resolve(overhaul());
    (takes(&answer), answer.sourcing.cash.to_string())
}

#[test]
fn stock_is_used_before_a_piece_is_bought_even_where_a_kit_brings_it_anyway() {
    let text = "part A consumable seal 4
         part B wear bearing 30
         kit K 31 A B
         at SEAL A
         at BEARING B renewal=always_at_overhaul
         stock A 1 3";
    let answer = shop(text).resolve(overhaul());
    // With the shelf's seal the bearing alone is cheaper.
    assert_eq!(takes(&answer), ["stock A 1", "buy B 1 from S"]);
    let answer = shop(&text.replace("K 31", "K 29")).resolve(overhaul());
    assert_eq!(takes(&answer), ["stock A 1", "kit K 1"]);
    assert_eq!(left_over(&answer), ["A 1 of K"]);
    assert_eq!(answer.sourcing.job_cost, money("32"));
}

#[test]
fn at_its_carrying_value_dear_stock_stays_on_the_shelf() {
    let world = shop("part A consumable seal 4\nat SEAL A\nstock A 1 5");
    let with = |stock: StockUse| takes(&world.resolve(Request { stock, ..overhaul() }));
    assert_eq!(with(StockUse::First), ["stock A 1"]);
    assert_eq!(with(StockUse::Value), ["buy A 1 from S"]);
    assert_eq!(with(StockUse::None), ["buy A 1 from S"]);
}

#[test]
fn cheap_stock_is_taken_at_its_carrying_value() {
    let world = shop("part A consumable seal 4\nat SEAL A\nstock A 1 3");
    assert_eq!(takes(&world.resolve(Request { stock: StockUse::Value, ..overhaul() })), ["stock A 1"]);
}

#[test]
fn reserved_stock_is_not_used() {
    let world = shop("part A consumable seal 4\nat SEAL A qty=2\nstock A 3 1");
    let mut input = world.input(overhaul());
    input.stock.lots[0].reserved = catalogue::Quantity::whole(2);
    let answer = resolver::resolve(&input).unwrap();
    assert_eq!(takes(&answer), ["stock A 1", "buy A 1 from S"]);
}

#[test]
fn job_cost_carries_the_lots_that_are_picked() {
    let answer =
        shop("part A consumable seal 4\nat SEAL A\nstock A 1 2 A-BIN\nstock A 1 8 B-BIN").resolve(overhaul());
    assert_eq!(answer.sourcing.from_stock[0].bin.as_str(), "A-BIN");
    assert_eq!((answer.sourcing.cash, answer.sourcing.job_cost), (Money::ZERO, money("2")));
}

#[test]
fn packs_and_minimum_orders_are_counted_in_pieces_and_the_rest_is_surplus() {
    let text = "part A hard bolt 1.50 pack=5\nat BOLT A qty=7 renewal=single_use";
    assert_eq!(plan(text), (vec!["buy A 10 from S".into()], "15.00".into()));
    let text = "part A hard bolt 1.50 min=8\nat BOLT A qty=7 renewal=single_use";
    let answer = shop(text).resolve(overhaul());
    assert_eq!((takes(&answer), left_over(&answer)), (vec!["buy A 8 from S".into()], vec!["A 1".into()]));
}

#[test]
fn a_quantity_break_prices_all_pieces_and_may_be_worth_a_piece_too_many() {
    let text = "part A hard bolt 3\nprice A 2 from=10\nat BOLT A qty=7 renewal=single_use";
    let answer = shop(text).resolve(overhaul());
    assert_eq!((takes(&answer), answer.sourcing.cash), (vec!["buy A 10 from S".into()], money("20")));
    assert_eq!(answer.sourcing.loose[0].price, money("2"));
    assert_eq!(cash(&text.replace("qty=7", "qty=6")), "18.00");
}

#[test]
fn the_fixed_cost_of_an_order_falls_once_per_supplier() {
    let text = "supplier S 10
         supplier T 4
         part A consumable seal 5
         part B consumable gasket 5
         price A 3 by=T
         price B 8 by=T
         at SEAL A
         at GASKET B";
    // All from T: 4 + 3 + 8. Both from S: 10 + 5 + 5; shared: 14 + 3 + 5.
    assert_eq!(plan(text), (vec!["buy A 1 from T".into(), "buy B 1 from T".into()], "15.00".into()));
    let answer = shop(&text.replace("S 10", "S 1")).resolve(overhaul());
    assert_eq!(answer.sourcing.cash, money("11"));
    assert_eq!(answer.sourcing.orders.len(), 1);
}

#[test]
fn offers_in_another_currency_are_compared_at_the_days_rate() {
    let text = "supplier T 20 SEK
         part A consumable seal 5
         price A 40 by=T cur=SEK
         at SEAL A
         [exchange_rates]
         currency,valid_from,rate,source
         SEK,2026-01-01,0.09,Invented
         SEK,2026-11-25,0.07,Invented";
    assert_eq!(plan(text), (vec!["buy A 1 from S".into()], "5.00".into()));
    let answer = shop(text).resolve(Request { as_of: "2026-11-25".parse().unwrap(), ..overhaul() });
    assert_eq!((takes(&answer), answer.sourcing.cash), (vec!["buy A 1 from T".into()], money("4.2")));
    assert_eq!((answer.sourcing.loose[0].price, answer.sourcing.loose[0].cost), (money("40"), money("2.8")));
}

#[test]
fn a_currency_without_a_rate_is_a_fault() {
    let text = "part A consumable seal 5 cur=SEK\nat SEAL A";
    let fault = shop(text).try_resolve(overhaul()).unwrap_err();
    assert_eq!(fault.detail, "there is no exchange rate from SEK to EUR on the day asked for");
}

#[test]
fn deposits_are_in_the_cash_and_the_customer_pays_them_apart_and_untaxed() {
    let text = "part A hard gear 100 deposit=30
         at GEAR A renewal=always_at_overhaul
         [price_rules]
         rule,markup
         ALL,20
         [tax_rates]
         tax,valid_from,rate,name
         VAT,2020-01-01,10,Tax
         [settings]
         setting,value
         BASE-CURRENCY,EUR
         LABOUR-RATE,60
         TAX,VAT";
    let answer = shop(text).resolve(overhaul());
    assert_eq!((answer.sourcing.cash, answer.sourcing.deposits), (money("130"), money("30")));
    let price = &answer.price;
    assert_eq!((price.net, price.taxes[0].amount, price.deposits), (money("120"), money("12"), money("30")));
    assert_eq!(price.total, money("162"));
}

#[test]
fn the_deposit_of_a_kit_is_not_charged_twice() {
    let text = "part A hard gear
         kit K 100 A deposit=30
         at GEAR A renewal=always_at_overhaul";
    let answer = shop(text).resolve(overhaul());
    assert_eq!((answer.sourcing.cash, answer.sourcing.kits[0].deposit), (money("130"), money("30")));
    assert_eq!((answer.price.net, answer.price.total), (money("100"), money("130")));
}

#[test]
fn a_kit_is_bought_when_and_only_when_it_is_cheaper_than_its_parts() {
    let text = "part A consumable seal 4
         part B wear bearing 30
         kit K 35 A B
         at SEAL A
         at BEARING B renewal=always_at_overhaul";
    assert_eq!(plan(text).0, ["buy A 1 from S", "buy B 1 from S"]);
    assert_eq!(plan(&text.replace("K 35", "K 33.99")).0, ["kit K 1"]);
}

#[test]
fn kits_in_kits_count_through_with_their_quantities() {
    let text = "part A consumable seal 4
         part B wear bearing 30
         kit INNER 20 A*2 B
         kit OUTER 50 INNER*2 A
         at SEAL A qty=5
         at BEARING B qty=2 renewal=always_at_overhaul";
    let answer = shop(&text.replace("INNER 20", "INNER 60")).resolve(overhaul());
    assert_eq!(takes(&answer), ["kit OUTER 1"]);
    let contents = &answer.sourcing.kits[0].contents;
    let told: Vec<String> =
        contents.iter().map(|c| format!("{} {} {}", c.part.number, c.quantity, c.through.len())).collect();
    assert_eq!(told, ["A 5 1", "B 2 1"]);
    // Two inner kits and a seal come to 44.
    assert_eq!(plan(text), (vec!["kit INNER 2".into(), "buy A 1 from S".into()], "44.00".into()));
}

#[test]
fn a_kit_that_lies_in_itself_is_a_fault_that_names_the_way() {
    let text = "part A consumable seal
         kit K 5 A L
         kit L 5 K
         at SEAL A";
    let fault = shop(text).try_resolve(overhaul()).unwrap_err();
    assert_eq!(fault.detail, "a kit lies in itself: M/K → M/L → M/K; correct it in kit_lines.csv");
}

#[test]
fn kits_that_hold_the_same_kits_many_times_over_are_opened_once_each() {
    let mut text = String::from("part A consumable seal\nat SEAL A\n");
    for at in 0..40 {
        let price = if at == 0 { "5" } else { "-" };
        let next = if at == 39 { "A".to_owned() } else { format!("K{} K{}", at + 1, at + 1) };
        text.push_str(&format!("kit K{at} {price} {next}\n"));
    }
    // Half a billion pieces are more than a plan counts, and are refused at once.
    let fault = shop(&text).try_resolve(overhaul()).unwrap_err();
    assert_eq!(fault.kind, resolver::RequestFaultKind::CatalogueFault);
    assert!(fault.detail.contains("too large"), "{}", fault.detail);
}

#[test]
fn least_days_takes_the_nearest_and_fewest_suppliers_the_one_who_has_all() {
    let text = "supplier T 0
         supplier R 0
         part A consumable seal 5 lead=9
         part B consumable gasket 5 lead=9
         price A 20 by=T lead=1
         price B 6 by=R lead=2
         at SEAL A
         at GASKET B";
    let with = |aim: Aim| {
        let answer = shop(text).resolve(Request { aim, ..overhaul() });
        (takes(&answer), answer.sourcing.days)
    };
    assert_eq!(with(Aim::LeastMoney), (vec!["buy A 1 from S".into(), "buy B 1 from S".into()], 9));
    assert_eq!(with(Aim::LeastDays), (vec!["buy A 1 from T".into(), "buy B 1 from R".into()], 2));
    let cheaper_apart = text.replace("price B 6", "price B 2");
    let answer = shop(&cheaper_apart).resolve(Request { aim: Aim::FewestSuppliers, ..overhaul() });
    assert_eq!(takes(&answer), ["buy A 1 from S", "buy B 1 from S"]);
    let answer = shop(&cheaper_apart).resolve(overhaul());
    assert_eq!(takes(&answer), ["buy A 1 from S", "buy B 1 from R"]);
    assert_eq!(answer.sourcing.complete_on.to_string(), "2026-12-03");
}

#[test]
fn what_nobody_sells_is_told_and_never_preferred_to_what_takes_days() {
    let text = "part A consumable seal
         part B consumable seal 5 lead=9
         part C consumable gasket
         at SEAL A
         at GASKET C
         notice N1 A>B two_way";
    for aim in [Aim::LeastMoney, Aim::LeastDays, Aim::FewestSuppliers] {
        let answer = shop(text).resolve(Request { aim, ..overhaul() });
        assert_eq!(takes(&answer), ["buy B 1 from S", "missing C 1"]);
        assert_eq!((answer.sourcing.cash, answer.sourcing.days), (money("5"), 9));
    }
    let reversed = text.replace("A>B", "B>A");
    let answer = shop(&reversed).resolve(Request { aim: Aim::LeastDays, ..overhaul() });
    assert_eq!(takes(&answer), ["buy B 1 from S", "missing C 1"]);
}

#[test]
fn what_is_partly_on_the_shelf_is_missing_in_part() {
    let (told, cash) = plan("part A consumable seal\nat SEAL A qty=3\nstock A 1");
    assert_eq!((told, cash), (vec!["stock A 1".into(), "missing A 2".into()], "0.00".into()));
}

#[test]
fn expired_prices_and_those_of_a_coming_day_do_not_hold() {
    let text = "part A consumable seal
         price A 3 until=2026-11-23
         price A 5 valid=2026-11-24 until=2026-11-24
         price A 4 valid=2026-11-25
         at SEAL A";
    for (as_of, expected) in [("2026-11-23", "3.00"), ("2026-11-24", "5.00"), ("2026-11-25", "4.00")] {
        let answer = shop(text).resolve(Request { as_of: as_of.parse().unwrap(), ..overhaul() });
        assert_eq!(answer.sourcing.cash.to_string(), expected, "{as_of}");
    }
}

#[test]
fn of_two_prices_that_hold_the_later_stands() {
    assert_eq!(cash("part A consumable seal 3\nprice A 4 valid=2024-01-01\nat SEAL A"), "4.00");
}

#[test]
fn without_a_supplier_or_a_part_the_plan_goes_round_them() {
    let text = "supplier T 0
         part A consumable seal 3
         price A 4 by=T
         kit K 1 A
         at SEAL A";
    let mut request = overhaul();
    request.without_parts = vec![PartKey::parse("M/K").unwrap()];
    assert_eq!(takes(&shop(text).resolve(request.clone())), ["buy A 1 from S"]);
    request.without_suppliers = vec![code("S")];
    assert_eq!(takes(&shop(text).resolve(request)), ["buy A 1 from T"]);
}

#[test]
fn surplus_with_a_credit_counts_for_it_but_nothing_is_bought_only_to_earn_one() {
    let text = "part A consumable seal 4
         part B wear bearing 30 credit=10
         kit K 12 A B
         at SEAL A";
    // The kit costs 12 and leaves a bearing worth 10.
    let answer = shop(text).resolve(overhaul());
    assert_eq!((takes(&answer), answer.sourcing.cash), (vec!["kit K 1".into()], money("2")));
    assert_eq!(answer.sourcing.job_cost, money("2"));
    assert_eq!(plan(&text.replace("credit=10", "credit=7")).0, ["buy A 1 from S"]);
}

/// A flange of two sizes with their seals; the second is dearer.
fn two_sizes(kit: &str) -> World {
    shop(&format!(
        "part S50 consumable seal 14
         part S55 consumable seal 16
         part B wear bearing 40
         {kit}
         at SEAL S50@F50 S55@F55
         at BEARING B renewal=always_at_overhaul
         [variants]
         unit,variant,option_group,name,how_to_tell
         U,F50,FLANGE,Flange of 50 mm,Measure 50
         U,F55,FLANGE,Flange of 55 mm,Measure 55"
    ))
}

fn outcomes(answer: &Answer) -> Vec<String> {
    let told = answer.sourcing.outcomes.iter();
    told.map(|outcome| {
        let variants: Vec<&str> = outcome.variants.iter().map(catalogue::Code::as_str).collect();
        format!("{} {}", variants.join(" "), outcome.cash)
    })
    .collect()
}

#[test]
fn covering_all_buys_for_every_outcome_and_says_what_each_alone_would_cost() {
    let answer = two_sizes("").resolve(overhaul());
    assert_eq!(takes(&answer), ["buy B 1 from S", "buy S50 1 from S", "buy S55 1 from S"]);
    assert_eq!(answer.sourcing.cash, money("70"));
    assert_eq!(outcomes(&answer), ["F50 54.00", "F55 56.00"]);
    assert_eq!(left_over(&answer), ["S50 1", "S55 1"]);
    assert_eq!(answer.units[0].unknown[0].how_to_tell, ["Measure 50", "Measure 55"]);
}

#[test]
fn measuring_first_answers_the_dearest_outcome_and_still_says_that_it_matters() {
    let request = Request { unknowns: Unknowns::MeasureFirst, ..overhaul() };
    let answer = two_sizes("").resolve(request);
    assert_eq!(takes(&answer), ["buy B 1 from S", "buy S55 1 from S"]);
    assert_eq!(outcomes(&answer), ["F50 54.00", "F55 56.00"]);
    assert!(answer.units[0].unknown[0].matters);
}

#[test]
fn a_kit_with_both_sizes_serves_what_is_not_known() {
    let answer = two_sizes("kit K 60 B S50:SEAL S55:SEAL").resolve(overhaul());
    assert_eq!(takes(&answer), ["kit K 1"]);
    assert_eq!(outcomes(&answer), ["F50 54.00", "F55 56.00"]);
}

#[test]
fn what_does_not_change_the_answer_is_not_told_as_an_outcome() {
    let mut world = two_sizes("");
    world.change::<catalogue::Position>(|position| {
        if position.position == code("SEAL") {
            position.renewal = Some(catalogue::Renewal::OnCondition);
        }
    });
    let answer = world.resolve(overhaul());
    assert!(answer.sourcing.outcomes.is_empty());
    assert!(!answer.units[0].unknown[0].matters);
}

/// Net of each line of the customer's price.
fn nets(answer: &Answer) -> Vec<String> {
    answer
        .price
        .lines
        .iter()
        .filter(|line| line.kind != PriceLineKind::Labour)
        .map(|line| {
            let part = line.part.as_ref().map_or("-", PartKey::number);
            format!("{} {part} {} {}", line.kind, line.quantity, line.net)
        })
        .collect()
}

const RULES: &str = "
[customers]
customer,name
BEST,Best customer
[price_rules]
rule,customer,price_group,supplier,markup
ALL,,,,30
GEARS,,GEARS,,20
BEST,BEST,,,10
BEST-GEARS,BEST,GEARS,,5
FROM-T,,,T,50";

#[test]
fn the_price_rule_with_the_most_conditions_holds_and_of_those_the_first_by_code() {
    let text = format!(
        "supplier T 0
         part A consumable seal 10
         part G hard gear 100 group=GEARS
         part X consumable gasket 10 by=T
         at SEAL A
         at GEAR G renewal=always_at_overhaul
         at GASKET X{RULES}"
    );
    let answer = shop(&text).resolve(overhaul());
    assert_eq!(nets(&answer), ["part A 1 13.00", "part G 1 120.00", "part X 1 15.00"]);
    let answer = shop(&text).resolve(Request { customer: Some(code("BEST")), ..overhaul() });
    // For the gasket one condition matches in two rules: BEST comes before FROM-T.
    assert_eq!(nets(&answer), ["part A 1 11.00", "part G 1 105.00", "part X 1 11.00"]);
    let fault = shop(&text).try_resolve(Request { customer: Some(code("BSET")), ..overhaul() }).unwrap_err();
    assert_eq!((fault.pointer.as_str(), fault.suggestions), ("/customer", vec!["BEST".to_owned()]));
}

fn with_setting(text: &str, name: &str, value: &str) -> World {
    shop(&format!(
        "{text}
         [settings]
         setting,value
         BASE-CURRENCY,EUR
         LABOUR-RATE,60
         {name},{value}"
    ))
}

#[test]
fn a_kit_stands_as_one_line_or_is_spread_over_what_is_used_of_it() {
    let text = "part A consumable seal
         part B wear bearing
         part C wear bearing
         kit K 10 A B*2 C
         at SEAL A
         at BEARING B qty=2 renewal=always_at_overhaul";
    assert_eq!(nets(&shop(text).resolve(overhaul())), ["kit K 1 10.00"]);
    let spread = with_setting(text, "KIT-DISPLAY", "spread").resolve(overhaul());
    assert_eq!(nets(&spread), ["kit A 1 3.33", "kit B 2 6.67"]);
}

#[test]
fn surplus_of_a_pack_is_charged_or_shelved_as_the_shop_says() {
    let text = "part A hard bolt 1.50 pack=5\nat BOLT A qty=7 renewal=single_use";
    assert_eq!(nets(&shop(text).resolve(overhaul())), ["part A 7 10.50"]);
    let charged = with_setting(text, "SURPLUS", "charged").resolve(overhaul());
    assert_eq!(nets(&charged), ["part A 7 10.50", "surplus A 3 4.50"]);
}

#[test]
fn tax_is_taken_on_the_sum_of_the_lines_and_rounded_once() {
    let text = "part A consumable seal 0.03
         part B consumable gasket 0.03
         at SEAL A
         at GASKET B
         [tax_rates]
         tax,valid_from,rate,name
         VAT,2020-01-01,20,Tax
         VAT,2026-11-25,50,Tax
         [settings]
         setting,value
         BASE-CURRENCY,EUR
         LABOUR-RATE,60
         TAX,VAT";
    let answer = shop(text).resolve(overhaul());
    // Line by line 0.006 would be a cent each; on the sum 0.012 is one.
    assert_eq!((answer.price.net, answer.price.taxes[0].amount), (money("0.06"), money("0.01")));
    let later = shop(text).resolve(Request { as_of: "2026-11-25".parse().unwrap(), ..overhaul() });
    assert_eq!(later.price.taxes[0].amount, money("0.03"));
}

#[test]
fn a_currency_without_a_minor_unit_has_whole_amounts() {
    let text = "supplier S 0 JPY
         part A consumable seal 333.5 cur=JPY
         at SEAL A
         [price_rules]
         rule,markup
         ALL,10
         [tax_rates]
         tax,valid_from,rate,name
         VAT,2020-01-01,10,Tax
         [settings]
         setting,value
         BASE-CURRENCY,JPY
         LABOUR-RATE,6000
         TAX,VAT";
    let price = shop(text).resolve(overhaul()).price;
    assert_eq!((price.net, price.taxes[0].amount, price.total), (money("367"), money("37"), money("404")));
}

#[test]
fn a_missing_setting_is_a_fault_that_says_which() {
    let mut world = with_setting("part A consumable seal 4\nat SEAL A", "TAX", "VAT");
    let fault = world.try_resolve(overhaul()).unwrap_err();
    assert!(fault.detail.starts_with("there is no rate of the tax VAT"), "{}", fault.detail);
    world.retain::<Setting>(|setting| {
        setting.setting != code("LABOUR-RATE") && setting.setting != code("TAX")
    });
    let fault = world.try_resolve(overhaul()).unwrap_err();
    assert_eq!(fault.detail, "the shop's setting LABOUR-RATE is missing; import it with settings.csv");
}

#[test]
fn one_number_may_come_from_several_suppliers() {
    // Neither minimum fits the whole need well.
    let text = "supplier T 0
         part A hard bolt 1 pack=4
         price A 1 by=T pack=3
         at BOLT A qty=7 renewal=single_use";
    let answer = shop(text).resolve(overhaul());
    assert_eq!(takes(&answer), ["buy A 4 from S", "buy A 3 from T"]);
    let used: Vec<String> = answer.sourcing.loose.iter().map(|loose| loose.used.to_string()).collect();
    assert_eq!(used, ["4", "3"]);
}

#[test]
fn a_cheaper_alternative_for_a_part_that_is_renewed_anyway_wins_on_money() {
    // The kit with the harder spacer costs less than spacer and seal apart: no further change is counted.
    let world = shop(
        "part CRUSH hard spacer 20
         part SOLID hard spacer 45
         part A consumable seal 10
         kit K 28 SOLID A
         at SPACER CRUSH SOLID:alternative renewal=always_at_overhaul
         at SEAL A",
    );
    let answer = world.resolve(overhaul());
    assert_eq!((takes(&answer), answer.sourcing.cash), (vec!["kit K 1".into()], money("28")));
    let sentences: Vec<&str> =
        answer.units[0].lines[0].reasons.iter().map(|reason| reason.sentence.as_str()).collect();
    assert_eq!(sentences, ["always renewed at an overhaul", "an accepted alternative to M/CRUSH"]);
}

#[test]
fn fluids_are_sold_by_pack_and_used_by_measure() {
    let world = shop(
        "part OIL consumable fluid 6.40 measure=LTR pack=0.5 min=0.5
         part A consumable seal 4
         at SEAL A
         [fluids]
         unit,operation,part,quantity,grade,purpose
         U,OVERHAUL,M/OIL,4.2,API GL-5,Oil fill",
    );
    let answer = world.resolve(overhaul());
    assert_eq!(takes(&answer), ["buy A 1 from S", "buy OIL 4.5 from S"]);
    assert_eq!(answer.sourcing.cash, money("32.8"));
    assert_eq!(left_over(&answer), ["OIL 0.3"]);
}

#[test]
fn a_price_of_a_supplier_that_changes_moves_only_its_own_lines() {
    let text = "supplier T 0
         part A consumable seal 5
         part B consumable gasket 5 by=T
         at SEAL A
         at GASKET B";
    let (mut world, before) = (shop(text), shop(text).resolve(overhaul()));
    world.change::<Price>(|price| {
        if price.supplier == code("T") {
            price.price = money("6");
        }
    });
    let after = world.resolve(overhaul());
    assert_eq!(before.units, after.units);
    assert_eq!(before.sourcing.loose[0], after.sourcing.loose[0]);
    assert_eq!(after.sourcing.loose[1].cost, money("6"));
}
