//! A stored answer against today's: what changed, line by line, and which notice, price or movement is behind it.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Money, PartKey, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::{Action, Answer, RequirementLine};
use crate::input::Input;
use crate::input_difference::differences;

/// What changed between two answers to one request.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Comparison {
    /// The day of the earlier answer.
    pub then: NaiveDate,
    /// The day of the later one.
    pub now: NaiveDate,
    /// What changed; empty: nothing.
    pub changes: Vec<Change>,
}

choice! {
    /// What a change is about.
    pub enum ChangeSubject {
        /// A line of a requirement.
        Requirement = "requirement",
        /// A kit to buy.
        Kit = "kit",
        /// A loose part to buy.
        Loose = "loose",
        /// What comes off the shelf.
        Shelf = "shelf",
        /// A line of the customer's price.
        PriceLine = "price_line",
        /// The shop's cash.
        Cash = "cash",
        /// The day everything is here.
        CompleteOn = "complete_on",
        /// What the customer pays.
        Total = "total",
    }
}

/// One thing that changed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Change {
    /// What it is about.
    pub subject: ChangeSubject,
    /// The unit, for a line of a requirement.
    pub unit: Option<UnitKey>,
    /// The position, for a line of a requirement.
    pub position: Option<Code>,
    /// What it was; empty: it was not there.
    pub before: Option<String>,
    /// What it is now; empty: it is gone.
    pub after: Option<String>,
    /// What is behind it.
    pub causes: Vec<Cause>,
}

/// A difference in what the answers were made from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "cause", rename_all = "snake_case")]
pub enum Cause {
    /// A notice was entered, changed, taken back, or came into effect.
    Notice {
        /// The notice.
        notice: Code,
        /// The old number.
        old: PartKey,
        /// The new number.
        new: PartKey,
        /// From when it holds.
        effective_from: NaiveDate,
    },
    /// A price changed, came or went.
    Price {
        /// The supplier.
        supplier: Code,
        /// The part or kit.
        part: PartKey,
        /// The price then, in the offer's currency; empty: none held.
        #[schema(value_type = Option<String>)]
        before: Option<Money>,
        /// The price now; empty: none holds.
        #[schema(value_type = Option<String>)]
        after: Option<Money>,
    },
    /// Stock moved.
    Movement {
        /// The part.
        part: PartKey,
        /// Free then.
        before: String,
        /// Free now.
        after: String,
        /// The ledger's number then; the movements lie behind it.
        after_sequence: i64,
        /// The ledger's number now.
        to_sequence: i64,
    },
    /// The catalogue of the unit changed.
    Catalogue {
        /// The sheet whose row changed.
        sheet: String,
        /// The row, as its sheet would write it.
        row: String,
    },
    /// A rate, rule, tax or setting of the shop changed.
    Rule {
        /// The sheet whose row changed.
        sheet: String,
        /// The row, as its sheet would write it.
        row: String,
    },
    /// The bench found something, or sees something else inside.
    Finding {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// What was known then, in words; empty: nothing.
        before: String,
        /// What is known now, in words; empty: nothing.
        after: String,
    },
    /// Nothing it names changed itself: it follows from the other changes of the plan.
    Follows,
}

/// One comparable thing of an answer: what it is about, and what it says.
struct Item {
    subject: ChangeSubject,
    unit: Option<UnitKey>,
    position: Option<Code>,
    text: String,
    parts: BTreeSet<PartKey>,
}

/// Compares an answer with a later one to the same request.
pub fn compare((then_input, then): (&Input, &Answer), (now_input, now): (&Input, &Answer)) -> Comparison {
    let (before, after) = (items(then), items(now));
    let found = differences(then_input, now_input);
    let mut changes = Vec::new();
    let keys: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
    for key in keys {
        let (was, is) = (before.get(key), after.get(key));
        if was.map(|item| &item.text) == is.map(|item| &item.text) {
            continue;
        }
        let Some(item) = is.or(was) else { continue };
        let parts: BTreeSet<&PartKey> =
            [was, is].into_iter().flatten().flat_map(|item| &item.parts).collect();
        let mut causes: Vec<Cause> = found
            .iter()
            .filter(|difference| difference.speaks_of(&parts, item.unit.as_ref(), item.position.as_ref()))
            .map(|difference| difference.cause.clone())
            .collect();
        let total =
            matches!(item.subject, ChangeSubject::Cash | ChangeSubject::Total | ChangeSubject::CompleteOn);
        if causes.is_empty() && (total || item.subject == ChangeSubject::PriceLine) {
            causes = found.iter().filter(|d| total || d.is_rule()).map(|d| d.cause.clone()).collect();
        }
        if causes.is_empty() {
            causes.push(Cause::Follows);
        }
        changes.push(Change {
            subject: item.subject,
            unit: item.unit.clone(),
            position: item.position.clone(),
            before: was.map(|item| item.text.clone()),
            after: is.map(|item| item.text.clone()),
            causes,
        });
    }
    changes.sort_by(|a, b| (a.subject, &a.unit, &a.position).cmp(&(b.subject, &b.unit, &b.position)));
    Comparison { then: then.as_of, now: now.as_of, changes }
}

/// The comparable things of an answer by a name that is the same in both answers.
fn items(answer: &Answer) -> BTreeMap<String, Item> {
    let mut items: BTreeMap<String, Item> = BTreeMap::new();
    let mut add = |name: String, item: Item| {
        // Several pieces of one name are one thing.
        match items.get_mut(&name) {
            Some(other) => {
                other.text = format!("{}; {}", other.text, item.text);
                other.parts.extend(item.parts);
            }
            None => {
                items.insert(name, item);
            }
        }
    };
    for unit in &answer.units {
        for line in &unit.lines {
            let (name, item) = requirement_item(&unit.unit, line);
            add(name, item);
        }
    }
    let plain = |subject, text: String, parts: &[&PartKey]| Item {
        subject,
        unit: None,
        position: None,
        text,
        parts: parts.iter().map(|part| (*part).clone()).collect(),
    };
    let sourcing = &answer.sourcing;
    for kit in &sourcing.kits {
        let text = format!(
            "{} × {} from {} at {} {}",
            kit.quantity, kit.kit.part, kit.supplier, kit.price, kit.currency
        );
        let mut item = plain(ChangeSubject::Kit, text, &[&kit.kit.part]);
        item.parts.extend(kit.contents.iter().map(|content| content.part.part.clone()));
        add(format!("kit {}", kit.kit.part), item);
    }
    for loose in &sourcing.loose {
        let part = &loose.part.part;
        let text = format!(
            "{} × {part} from {} at {} {}",
            loose.quantity, loose.supplier, loose.price, loose.currency
        );
        add(format!("loose {part}"), plain(ChangeSubject::Loose, text, &[part]));
    }
    for pick in &sourcing.from_stock {
        let part = &pick.part.part;
        let text = format!("{} × {part} from bin {}", pick.quantity, pick.bin);
        add(format!("shelf {part} {}", pick.bin), plain(ChangeSubject::Shelf, text, &[part]));
    }
    for line in &answer.price.lines {
        let parts: Vec<&PartKey> = line.part.iter().collect();
        let text = format!("{} × {}: {}", line.quantity, line.text, line.net);
        add(format!("price {} {}", line.kind, line.text), plain(ChangeSubject::PriceLine, text, &parts));
    }
    add("cash".into(), plain(ChangeSubject::Cash, sourcing.cash.to_string(), &[]));
    add("complete".into(), plain(ChangeSubject::CompleteOn, sourcing.complete_on.to_string(), &[]));
    add("total".into(), plain(ChangeSubject::Total, answer.price.total.to_string(), &[]));
    items
}

fn requirement_item(unit: &UnitKey, line: &RequirementLine) -> (String, Item) {
    let part = &line.part.part;
    let place = line.position.as_ref().map_or_else(|| format!("supply {part}"), ToString::to_string);
    let variants: Vec<&str> = line.variants.iter().map(Code::as_str).collect();
    let name = format!("requirement {unit} {place} {}", variants.join(" "));
    let text = match line.action {
        Action::Keep => format!("keep {part}"),
        Action::Renew | Action::Upgrade | Action::Supply => {
            format!("{} {} × {part}", line.action, line.quantity)
        }
    };
    // What the reasons name counts too: a notice on the old number is behind the new one's line.
    let mut parts = BTreeSet::from([part.clone()]);
    for because in &line.reasons {
        if let crate::reason::Reason::Superseded { old, new, .. } = &because.reason {
            parts.extend([old.clone(), new.clone()]);
        }
    }
    let item = Item {
        subject: ChangeSubject::Requirement,
        unit: Some(unit.clone()),
        position: line.position.clone(),
        text,
        parts,
    };
    (name, item)
}
