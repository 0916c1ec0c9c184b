//! Sources: a kit, or all loose offers of a class taken together, with what each brings.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::classes::Demands;
use super::dear_kits::DearKits;
use super::staircase::{Dominance, Staircase};
use super::{Invalid, Problem};

/// The most steps two staircases may be joined from; beyond it the offers stay sources of their own.
const JOIN_LIMIT: i64 = 4_000_000;
/// Suppliers whose use matters, one bit each.
pub(super) type Mask = u128;

/// Something that can be bought in steps.
#[derive(Debug)]
pub(super) struct Source {
    /// Offers pooled here.
    pub(super) offers: Vec<usize>,
    /// Class and pieces a unit brings to it, rising by class.
    pub(super) brings: Vec<(usize, i64)>,
    /// Pieces a unit brings, needed or not.
    pub(super) pieces: i64,
    /// Credit a unit earns if none of it is fitted.
    pub(super) credit: i64,
    /// Whether a kit stands behind it, so that its number tells alternatives apart.
    pub(super) is_kit: bool,
    /// The suppliers that sell it, of those whose use matters.
    pub(super) mask: Mask,
    /// Units that are always enough.
    pub(super) enough: i64,
    stairs: RefCell<BTreeMap<Mask, Rc<Staircase>>>,
}

/// What can be bought under a limit of lead time.
#[derive(Debug)]
pub(super) struct Sources {
    /// The sources: first those that pool loose offers, one at most for each class, then the others by offer.
    pub(super) list: Vec<Source>,
    /// The pooled source of each class.
    pub(super) pool_of: Vec<Option<usize>>,
    /// Which steps are left out.
    pub(super) rule: Dominance,
    /// The bit of each supplier whose use matters.
    pub(super) bit_of: Vec<Option<u32>>,
    /// The fixed cost behind each bit.
    pub(super) fixed_of: Vec<i64>,
}

/// How the purchases are narrowed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Narrowed {
    /// Only what is here within so many days is bought.
    pub(super) lead_limit: u32,
    /// Which steps are left out; with it kits that no best plan buys.
    pub(super) rule: Dominance,
    /// Whether the number of suppliers is compared.
    pub(super) count_suppliers: bool,
    /// Whether nothing is compared before money.
    pub(super) first_is_money: bool,
}

/// Class and pieces that a unit of an offer brings.
fn brings(problem: &Problem, demands: &Demands, offer: usize) -> BTreeMap<usize, i64> {
    let mut brings: BTreeMap<usize, i64> = BTreeMap::new();
    for &(part, pieces) in &problem.offers[offer].contents {
        if let Some(class) = demands.class_of[part] {
            *brings.entry(class).or_default() += pieces;
        }
    }
    brings
}

impl Sources {
    /// Gathers what can be bought within a limit of lead time. `most` holds for each class the pieces that are enough.
    pub(super) fn gather(
        problem: &Problem,
        demands: &Demands,
        most: &[i64],
        narrowed: Narrowed,
    ) -> Result<Self, Invalid> {
        let Narrowed { lead_limit, rule, count_suppliers, first_is_money } = narrowed;
        let mut found = Self {
            list: Vec::new(),
            pool_of: vec![None; demands.classes.len()],
            rule,
            bit_of: vec![None; problem.suppliers.len()],
            fixed_of: Vec::new(),
        };
        let mut loose: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let mut alone: Vec<usize> = Vec::new();
        for (at, offer) in problem.offers.iter().enumerate() {
            let part = offer.contents[0].0;
            let one_part = offer.contents.iter().all(|&(other, _)| other == part);
            let useful =
                offer.contents.iter().any(|&(part, _)| demands.class_of[part].is_some_and(|c| most[c] > 0));
            if offer.lead_days > lead_limit || !useful {
                continue;
            }
            match demands.class_of[part] {
                Some(class) if one_part && !offer.is_kit && problem.parts[part].credit == 0 => {
                    loose.entry(class).or_default().push(at);
                }
                _ => alone.push(at),
            }
        }
        if rule != Dominance::BeyondNeed {
            let needed_of = |at: usize| {
                let mut brings = brings(problem, demands, at);
                brings.iter_mut().for_each(|(class, pieces)| *pieces = most[*class].min(*pieces));
                brings.retain(|_, pieces| *pieces > 0);
                brings
            };
            let dear = DearKits::new(problem, &loose, first_is_money).among(&alone, needed_of);
            alone.retain(|at| !dear.contains(at));
        }
        for (class, offers) in loose {
            let steps = most[class].saturating_mul(most[class]).saturating_mul(offers.len() as i64 - 1);
            if steps > JOIN_LIMIT {
                alone.extend(offers);
                continue;
            }
            found.pool_of[class] = Some(found.list.len());
            let source = Source {
                brings: vec![(class, 1)],
                pieces: 1,
                credit: 0,
                is_kit: false,
                mask: 0,
                enough: most[class],
                offers,
                stairs: RefCell::default(),
            };
            found.list.push(source);
        }
        alone.sort_unstable();
        for at in alone {
            found.list.push(Self::single(problem, demands, most, at));
        }
        found.mark_suppliers(problem, count_suppliers)?;
        Ok(found)
    }

    fn single(problem: &Problem, demands: &Demands, most: &[i64], at: usize) -> Source {
        let offer = &problem.offers[at];
        let brings = brings(problem, demands, at);
        let enough =
            brings.iter().map(|(&class, &pieces)| (most[class] + pieces - 1) / pieces).max().unwrap_or(0);
        Source {
            offers: vec![at],
            brings: brings.into_iter().collect(),
            pieces: offer.contents.iter().map(|&(_, pieces)| pieces).sum(),
            credit: offer.contents.iter().map(|&(part, pieces)| problem.parts[part].credit * pieces).sum(),
            is_kit: offer.is_kit,
            mask: 0,
            enough,
            stairs: RefCell::default(),
        }
    }

    /// Gives a bit to each supplier that matters: one with a fixed cost, or any if suppliers are counted.
    fn mark_suppliers(&mut self, problem: &Problem, count_suppliers: bool) -> Result<(), Invalid> {
        for source in &mut self.list {
            for &offer in &source.offers {
                let supplier = problem.offers[offer].supplier;
                let fixed_cost = problem.suppliers[supplier].fixed_cost;
                if fixed_cost == 0 && !count_suppliers {
                    continue;
                }
                let next = self.fixed_of.len() as u32;
                let bit = *self.bit_of[supplier].get_or_insert(next);
                if bit == next {
                    if next == Mask::BITS {
                        let limit = i64::from(Mask::BITS);
                        return Err(Invalid::TooLarge { what: "the number of suppliers", limit });
                    }
                    self.fixed_of.push(fixed_cost);
                }
                source.mask |= 1 << bit;
            }
        }
        Ok(())
    }

    /// The steps of a source when the suppliers in `closed` are left out.
    pub(super) fn stairs(&self, problem: &Problem, source: usize, closed: Mask) -> Rc<Staircase> {
        let held = &self.list[source];
        let closed = closed & held.mask;
        if let Some(stairs) = held.stairs.borrow().get(&closed) {
            return Rc::clone(stairs);
        }
        let rule = self.rule;
        let mut built: Option<Staircase> = None;
        for &at in &held.offers {
            let offer = &problem.offers[at];
            if self.mask_of(problem, at) & closed != 0 {
                continue;
            }
            let pooled = held.offers.len() > 1 || held.pieces == 1;
            let scale = if pooled { offer.contents.iter().map(|&(_, pieces)| pieces).sum() } else { 1 };
            let next = Staircase::of_offer(at, offer, held.enough, scale, rule);
            built = Some(match built {
                None => next,
                Some(before) => before.joined(&next, held.enough, rule),
            });
        }
        let nothing = || Staircase::of_offer(0, &problem.offers[held.offers[0]], 0, 1, rule);
        let stairs = Rc::new(built.unwrap_or_else(nothing));
        held.stairs.borrow_mut().insert(closed, Rc::clone(&stairs));
        stairs
    }

    /// Whether a source pools the loose offers of a class.
    pub(super) fn is_pool(&self, source: usize) -> bool {
        self.list[source].brings.first().is_some_and(|&(class, _)| self.pool_of[class] == Some(source))
    }

    /// The bit of the supplier of an offer, if its use matters.
    pub(super) fn mask_of(&self, problem: &Problem, offer: usize) -> Mask {
        self.bit_of[problem.offers[offer].supplier].map_or(0, |bit| 1 << bit)
    }

    /// Fixed costs of the suppliers in a mask.
    pub(super) fn fixed_costs(&self, mask: Mask) -> i64 {
        (0..self.fixed_of.len()).filter(|&bit| mask >> bit & 1 == 1).map(|bit| self.fixed_of[bit]).sum()
    }
}
