//! What every step of one answer looks at.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

use catalogue::{PartKind, Quantity, StockLot};
use solver::cover::Budget;

use crate::branch::OpenFact;
use crate::graph::{Graph, PartIx};
use crate::identify::KnownUnit;
use crate::input::Input;
use crate::kit_explosion::{Content, explode};
use crate::offers::{Offer, Rates, offers};
use crate::request::StockUse;
use crate::request_fault::RequestFault;

/// Most steps of the search for a plan where the request names none; a plan that is not proven by then says so.
const STEPS_MAX: u64 = 40_000;

/// The input with its indices.
#[derive(Debug)]
pub(crate) struct Context<'a> {
    /// Everything the answer follows from.
    pub(crate) input: &'a Input,
    /// The rows.
    pub(crate) graph: &'a Graph<'a>,
    /// The units of the request.
    pub(crate) units: Vec<KnownUnit<'a>>,
    /// What is not known of them.
    pub(crate) facts: Vec<OpenFact>,
    /// Exchange rates of the day.
    pub(crate) rates: Rates<'a>,
    /// What can be bought.
    pub(crate) offers: Vec<Offer<'a>>,
    /// What lies in the box of each kit that can be bought.
    pub(crate) contents: BTreeMap<PartIx, Vec<Content>>,
    /// Free pieces on the shelf.
    pub(crate) free: BTreeMap<PartIx, Quantity>,
    /// The lots they lie in, by what a piece is carried at: the least first, as job cost asks for it.
    pub(crate) lots: BTreeMap<PartIx, Vec<&'a StockLot>>,
    /// How long a plan may be searched for.
    pub(crate) budget: Budget<'a>,
    /// Whether joints without a verdict are ruled out.
    pub(crate) verified_only: bool,
    supplied: BTreeSet<PartIx>,
}

impl<'a> Context<'a> {
    /// Indexes an input.
    pub(crate) fn new(
        input: &'a Input,
        graph: &'a Graph<'a>,
        units: Vec<KnownUnit<'a>>,
        facts: Vec<OpenFact>,
    ) -> Result<Self, RequestFault> {
        let rates = Rates::new(&input.prices, input.request.as_of)?;
        let offers = offers(graph, &input.prices, &rates, &input.request)?;
        let mut contents: BTreeMap<PartIx, Vec<Content>> = BTreeMap::new();
        let mut supplied: BTreeSet<PartIx> = BTreeSet::new();
        for offer in &offers {
            // A kit brings what lies in it. Itself it stands nowhere, so that where a number leads to one it cannot be had.
            if graph.part(offer.part).kind != PartKind::Kit {
                supplied.insert(offer.part);
            } else if let Entry::Vacant(unopened) = contents.entry(offer.part) {
                let box_contents = unopened.insert(explode(graph, offer.part)?);
                supplied.extend(box_contents.iter().map(|content| content.part));
            }
        }
        let mut free: BTreeMap<PartIx, Quantity> = BTreeMap::new();
        let mut lots: BTreeMap<PartIx, Vec<&StockLot>> = BTreeMap::new();
        if input.request.stock != StockUse::None {
            for lot in &input.stock.lots {
                let without = input.request.without_parts.contains(&lot.part);
                if let Some(part) = graph.find(&lot.part).filter(|_| !without && lot.quantity > lot.reserved)
                {
                    *free.entry(part).or_default() += lot.quantity - lot.reserved;
                    lots.entry(part).or_default().push(lot);
                }
            }
            lots.values_mut().for_each(|lots| lots.sort_by_key(|lot| lot.carrying_value));
            free.retain(|_, quantity| *quantity > Quantity::ZERO);
        }
        let budget = Budget { max_nodes: input.request.search_steps.unwrap_or(STEPS_MAX), stop: None };
        let verified_only = false;
        Ok(Self {
            input,
            graph,
            units,
            facts,
            rates,
            offers,
            contents,
            free,
            lots,
            budget,
            verified_only,
            supplied,
        })
    }

    /// Whether a part can be bought, loose or in a kit.
    pub(crate) fn can_be_bought(&self, part: PartIx) -> bool {
        self.supplied.contains(&part)
    }

    /// Whether a quantity of a part can be had at all.
    pub(crate) fn can_be_had(&self, part: PartIx, quantity: Quantity) -> bool {
        self.can_be_bought(part) || self.free_stock(part) >= quantity
    }

    /// Free pieces of a part on the shelf.
    pub(crate) fn free_stock(&self, part: PartIx) -> Quantity {
        self.free.get(&part).copied().unwrap_or_default()
    }

    /// Whether the request rules a part out.
    pub(crate) fn ruled_out(&self, part: PartIx) -> bool {
        self.input.request.without_parts.contains(&self.graph.part(part).part)
    }
}
