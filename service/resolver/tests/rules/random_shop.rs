//! Sourcing against exhaustive search on small random shops, kit explosion against matrix arithmetic, and the same bytes
//! whatever the order.

use std::fmt::Write;

use catalogue::{Money, Quantity};
use proptest::prelude::*;
use resolver::Answer;
use resolver::request::StockUse;

use crate::small_world::{overhaul, shop};
use crate::world::World;

/// What one supplier sells.
#[derive(Debug, Clone)]
struct Offer {
    supplier: usize,
    /// Pieces of each part in one unit.
    contents: [i64; 3],
    price: i64,
    pack: i64,
    minimum: i64,
    /// From how many on which price holds.
    tier: Option<(i64, i64)>,
}

#[derive(Debug, Clone)]
struct Shop {
    needs: [i64; 3],
    stock: [i64; 3],
    order_cost: [i64; 2],
    offers: Vec<Offer>,
    /// How many of the offers are loose parts; kits follow.
    loose: usize,
    use_stock: bool,
}

fn loose(part: usize) -> impl Strategy<Value = Option<Offer>> {
    let tier = prop::option::of((2_i64..5, 1_i64..20));
    prop::option::weighted(0.85, (0_usize..2, 1_i64..20, 1_i64..3, 1_i64..4, tier)).prop_map(move |offer| {
        offer.map(|(supplier, price, pack, minimum, tier)| {
            let mut contents = [0; 3];
            contents[part] = 1;
            Offer { supplier, contents, price, pack, minimum, tier }
        })
    })
}

fn kit() -> impl Strategy<Value = Option<Offer>> {
    let contents = [0_i64..3, 0..3, 0..3];
    prop::option::of((0_usize..2, contents, 5_i64..45)).prop_map(|kit| {
        kit.filter(|(_, contents, _)| contents.iter().sum::<i64>() > 0).map(|(supplier, contents, price)| {
            Offer { supplier, contents, price, pack: 1, minimum: 1, tier: None }
        })
    })
}

fn random_shop() -> impl Strategy<Value = Shop> {
    let offers = (loose(0), loose(1), loose(2), kit(), kit());
    ([1_i64..4, 1..4, 0..4], [0_i64..3, 0..3, 0..3], [0_i64..15, 0..15], offers, any::<bool>()).prop_map(
        |(needs, stock, order_cost, (a, b, c, k, l), use_stock)| Shop {
            needs,
            stock,
            order_cost,
            loose: [&a, &b, &c].into_iter().flatten().count(),
            offers: [a, b, c, k, l].into_iter().flatten().collect(),
            use_stock,
        },
    )
}

impl Shop {
    fn world(&self) -> World {
        let mut text = String::new();
        for part in 0..3 {
            writeln!(text, "part P{part} wear bearing").unwrap();
            if self.stock[part] > 0 {
                writeln!(text, "stock P{part} {} 3", self.stock[part]).unwrap();
            }
            if self.needs[part] > 0 {
                writeln!(text, "at POS{part} P{part} qty={} renewal=always_at_overhaul", self.needs[part])
                    .unwrap();
            }
        }
        for (at, cost) in self.order_cost.iter().enumerate() {
            writeln!(text, "supplier S{at} {cost}").unwrap();
        }
        for (at, offer) in self.offers.iter().enumerate() {
            let Offer { supplier, contents, price, pack, minimum, tier } = offer;
            if at < self.loose {
                let part = contents.iter().position(|pieces| *pieces == 1).unwrap();
                writeln!(text, "price P{part} {price} by=S{supplier} pack={pack} min={minimum}").unwrap();
                if let Some((from, price)) = tier {
                    writeln!(
                        text,
                        "price P{part} {price} by=S{supplier} pack={pack} min={minimum} from={from}"
                    )
                    .unwrap();
                }
            } else {
                let lines: Vec<String> = (0..3)
                    .filter(|part| contents[*part] > 0)
                    .map(|part| format!("P{part}*{}", contents[part]))
                    .collect();
                writeln!(text, "kit K{at} {price} {} by=S{supplier}", lines.join(" ")).unwrap();
            }
        }
        shop(&text)
    }

    /// The least cash of any purchase that meets the needs, counting as few missing pieces as can be; the pieces missing.
    fn least(&self) -> (i64, i64) {
        let net: Vec<i64> = (0..3)
            .map(|part| (self.needs[part] - if self.use_stock { self.stock[part] } else { 0 }).max(0))
            .collect();
        let sold = |part: usize| self.offers.iter().any(|offer| offer.contents[part] > 0);
        let missing: i64 = (0..3).filter(|part| !sold(*part)).map(|part| net[part]).sum();
        let wanted: Vec<i64> = (0..3).map(|part| if sold(part) { net[part] } else { 0 }).collect();
        let mut best = i64::MAX;
        self.search(0, &wanted, 0, [false; 2], &mut best);
        (best, missing)
    }

    fn search(&self, at: usize, open: &[i64], cash: i64, used: [bool; 2], best: &mut i64) {
        let Some(offer) = self.offers.get(at) else {
            if open.iter().all(|pieces| *pieces <= 0) {
                let fixed: i64 = (0..2).filter(|s| used[*s]).map(|s| self.order_cost[s]).sum();
                *best = (*best).min(cash + fixed);
            }
            return;
        };
        for units in 0..=6 {
            if units % offer.pack != 0 || (units > 0 && units < offer.minimum) {
                continue;
            }
            let each = offer.tier.filter(|(from, _)| units >= *from).map_or(offer.price, |(_, price)| price);
            let open: Vec<i64> =
                open.iter().zip(offer.contents).map(|(open, each)| open - units * each).collect();
            let mut used = used;
            used[offer.supplier] |= units > 0;
            self.search(at + 1, &open, cash + units * each, used, best);
        }
    }
}

fn whole(quantity: Quantity) -> i64 {
    quantity.raw() / Quantity::SCALE
}

/// Each line of coverage: needed = stock + kits + bought + missing; and the sums agree with what is picked and bought.
fn adds_up(answer: &Answer) -> Result<(), TestCaseError> {
    for line in &answer.sourcing.coverage {
        let missing: Quantity = answer
            .sourcing
            .not_to_be_had
            .iter()
            .filter(|missing| missing.position == line.position && missing.part == line.part)
            .map(|missing| missing.quantity)
            .sum();
        prop_assert_eq!(line.needed, line.from_stock + line.from_kits + line.bought + missing);
    }
    let used_of_kits: Quantity =
        answer.sourcing.kits.iter().flat_map(|kit| &kit.contents).map(|content| content.used).sum();
    prop_assert_eq!(used_of_kits, answer.sourcing.coverage.iter().map(|line| line.from_kits).sum());
    let used_loose: Quantity = answer.sourcing.loose.iter().map(|loose| loose.used).sum();
    prop_assert_eq!(used_loose, answer.sourcing.coverage.iter().map(|line| line.bought).sum());
    let picked: Quantity = answer.sourcing.from_stock.iter().map(|pick| pick.quantity).sum();
    prop_assert_eq!(picked, answer.sourcing.coverage.iter().map(|line| line.from_stock).sum());
    let brought: Quantity = answer
        .sourcing
        .kits
        .iter()
        .flat_map(|kit| &kit.contents)
        .map(|content| content.quantity)
        .chain(answer.sourcing.loose.iter().map(|loose| loose.quantity))
        .sum();
    let surplus: Quantity = answer.sourcing.surplus.iter().map(|line| line.quantity).sum();
    prop_assert_eq!(brought, used_of_kits + used_loose + surplus);
    let orders: Money = answer.sourcing.orders.iter().map(|order| order.goods + order.order_cost).sum();
    prop_assert_eq!(answer.sourcing.cash, orders);
    let carried: Money = answer
        .sourcing
        .from_stock
        .iter()
        .map(|pick| pick.carrying_value.times(pick.quantity.raw(), Quantity::SCALE).unwrap())
        .sum();
    prop_assert_eq!(answer.sourcing.job_cost, orders + carried);
    Ok(())
}

/// What lies in kit 0 through all kits below it, by the sum of the powers of the quantity matrix.
fn through_powers(lines: &[Vec<i64>]) -> Vec<i64> {
    let size = lines.len();
    let mut power: Vec<i64> = lines[0].clone();
    let mut sum = power.clone();
    for _ in 0..size {
        power = (0..size).map(|to| (0..size).map(|by| power[by] * lines[by][to]).sum()).collect();
        sum = sum.iter().zip(&power).map(|(a, b)| a + b).collect();
    }
    sum
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_cash_is_that_of_exhaustive_search_and_every_need_is_met_exactly(shop in random_shop()) {
        let mut request = overhaul();
        request.stock = if shop.use_stock { StockUse::First } else { StockUse::None };
        let answer = shop.world().resolve(request);
        let (cash, missing) = shop.least();
        prop_assert!(answer.sourcing.proven);
        prop_assert_eq!(answer.sourcing.cash, Money::from_raw(cash * 10_000));
        prop_assert_eq!(answer.sourcing.not_to_be_had.iter().map(|m| whole(m.quantity)).sum::<i64>(), missing);
        adds_up(&answer)?;
    }

    #[test]
    fn a_kit_explodes_as_the_powers_of_its_quantity_matrix_add_up(
        cells in prop::collection::vec(0_i64..4, 28),
    ) {
        // Four kits, then four parts; a kit holds only what comes after it, so that none holds itself.
        let mut lines = vec![vec![0; 8]; 8];
        let mut cells = cells.into_iter();
        for (kit, line) in lines.iter_mut().enumerate().take(4) {
            line.iter_mut().skip(kit + 1).for_each(|cell| *cell = cells.next().unwrap_or(0));
        }
        let expected = through_powers(&lines);
        let name = |at: usize| if at < 4 { format!("K{at}") } else { format!("P{at}") };
        let mut text = String::new();
        for (part, pieces) in expected.iter().enumerate().skip(4) {
            writeln!(text, "part {} wear bearing", name(part)).unwrap();
            if *pieces > 0 {
                writeln!(text, "at {0} {0} renewal=always_at_overhaul", name(part)).unwrap();
            }
        }
        for (kit, line) in lines.iter().enumerate().take(4) {
            let held: Vec<String> = (0..8)
                .filter(|at| line[*at] > 0)
                .map(|at| format!("{}*{}", name(at), line[at]))
                .collect();
            writeln!(text, "kit {} {} {}", name(kit), if kit == 0 { "9" } else { "-" }, held.join(" ")).unwrap();
        }
        let answer = shop(&text).resolve(overhaul());
        let told: Vec<(String, i64)> = answer
            .sourcing
            .kits
            .iter()
            .flat_map(|kit| &kit.contents)
            .map(|content| (content.part.number.clone(), whole(content.quantity)))
            .collect();
        let wanted: Vec<(String, i64)> =
            (4..8).filter(|at| expected[*at] > 0).map(|at| (name(at), expected[at])).collect();
        prop_assert_eq!(told, wanted);
    }
}

#[test]
fn the_order_of_rows_does_not_matter() {
    let positions = "at SEAL A qty=2
at RING B
at BOLT C qty=4 renewal=single_use
";
    let rows = "part A consumable seal 4 pack=2
        part B consumable snap_ring 3
        part C hard bolt 1
        part A2 consumable seal 5
        part B2 consumable snap_ring 2 by=T
        notice N1 A>A2 two_way
        notice N2 B>B2 new_for_old use_old
        kit K 9 A*2 B2 C*4
        kit L 7 A2 C*4 by=T
        stock A2 1 2
        stock B 2 1
        supplier T 3";
    let turned: Vec<&str> = rows.lines().rev().collect();
    let bytes =
        |rows: &str| serde_json::to_vec(&shop(&format!("{positions}{rows}")).resolve(overhaul())).unwrap();
    assert_eq!(bytes(rows), bytes(&turned.join("\n")));
}

#[test]
fn the_order_of_the_requests_lists_does_not_matter_and_ten_runs_give_the_same_bytes() {
    use crate::world::{ask_all, chosen, found, inside, unit_request};
    let demo = World::demo();
    let request = |turned: bool| {
        let mut unit = unit_request("BN-228", "OVERHAUL");
        unit.variants = vec![crate::small_world::code("FLANGE-55")];
        unit.findings = vec![
            found("PINION-FLANGE", catalogue::Grade::Worn),
            found("CROWN-WHEEL", catalogue::Grade::Damaged),
        ];
        unit.inside =
            vec![inside("PINION-SPACER", "VESSICK/VK 228-62"), inside("PINION-SHIMS", "VESSICK/VK 228-63")];
        unit.chosen = vec![chosen("VESSICK/VK 228-39.33")];
        if turned {
            unit.findings.reverse();
            unit.inside.reverse();
        }
        let mut request = ask_all(vec![unit]);
        request.without_suppliers =
            vec![crate::small_world::code("SKARNE"), crate::small_world::code("OSTREL")];
        if turned {
            request.without_suppliers.reverse();
        }
        request
    };
    let bytes = |turned: bool| serde_json::to_vec(&demo.resolve(request(turned))).unwrap();
    let first = bytes(false);
    for run in 0..10 {
        assert_eq!(bytes(run % 2 == 1), first);
    }
}
