//! What follows from a count: what is booked, what is set aside, what is claimed, what is to be ordered, and who waits.

use std::collections::BTreeMap;

use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::NaiveDate;
use resolver::receipt::{CountVerdict, PiecesOutcome, Reconciliation};
use store::{ClaimLine, NewClaim, OrderLine, ReceiptPiece, dealt_between};

use crate::order_error::OrderError;
use crate::proposal::{Proposal, proposal};
use crate::receipt_count::Count;
use crate::receipt_error::{CountPlace, ReceiptError};
use crate::receipt_expected::Against;
use crate::receive_box::AskedReceipt;
use crate::shop::Shop;
use crate::show_receipt::{BookedPieces, ReceiptResult, SetAside, Waiting};

/// All that follows from a count.
pub(crate) struct Consequences {
    /// The pieces, as they are stored.
    pub(crate) pieces: Vec<ReceiptPiece>,
    /// The claim; `None`: nothing to claim, or nobody known to claim it from.
    pub(crate) claim: Option<NewClaim>,
    /// The state of the order after it.
    pub(crate) order_state: Option<String>,
    booked: Vec<BookedPieces>,
    set_aside: Vec<SetAside>,
    to_order: Vec<Proposal>,
    waiting: Vec<Waiting>,
}

impl Consequences {
    /// Draws them from an outcome.
    pub(crate) async fn of(
        shop: &Shop,
        asked: &AskedReceipt,
        against: &Against,
        count: &Count,
        outcome: &Reconciliation,
        today: NaiveDate,
    ) -> Result<Self, ReceiptError> {
        let mut drawn = Self {
            pieces: Vec::new(),
            claim: None,
            order_state: None,
            booked: Vec::new(),
            set_aside: Vec::new(),
            to_order: Vec::new(),
            waiting: Vec::new(),
        };
        drawn.book(shop, asked, (against, count), outcome).await?;
        let mut come: BTreeMap<(i64, i64), Quantity> = BTreeMap::new();
        for piece in &drawn.pieces {
            if let Some(place) = piece.place {
                *come.entry(place).or_default() += piece.stands_for;
            }
        }
        drawn.order_state = against.state_after(&come).map(|state| state.word().to_owned());
        let lacking = lacking(shop, asked, against, outcome).await?;
        let parts: Vec<PartKey> =
            lacking.keys().map(|(_, part)| part.clone()).chain(damaged(outcome)).collect();
        let book = shop.store().load_prices(&parts, None).await?;
        drawn.claim(against, outcome, &lacking, &book)?;
        drawn.propose(outcome, &lacking, &book, today)?;
        drawn.warn(against, outcome, &lacking);
        Ok(drawn)
    }

    /// What the receipt keeps as its result.
    pub(crate) fn body(&self, asked: &AskedReceipt, outcome: Reconciliation) -> ReceiptResult {
        let others = outcome.counted.iter().flat_map(|line| &line.pieces);
        let other_numbers = others.clone().any(|pieces| {
            matches!(pieces.verdict, CountVerdict::ProperSuccessor | CountVerdict::Interchangeable)
        });
        ReceiptResult {
            more_to_come: asked.more_to_come,
            outcome,
            booked: self.booked.clone(),
            set_aside: self.set_aside.clone(),
            to_order: self.to_order.clone(),
            waiting: self.waiting.clone(),
            deferral: other_numbers.then(|| resolver::DEFERRAL.to_owned()),
        }
    }

    async fn book(
        &mut self,
        shop: &Shop,
        asked: &AskedReceipt,
        (against, count): (&Against, &Count),
        outcome: &Reconciliation,
    ) -> Result<(), ReceiptError> {
        let counted = outcome.counted.iter().filter_map(|line| line.part.clone());
        let expected = against.expected.iter().map(|line| line.part.clone());
        let parts: Vec<PartKey> = counted.chain(expected).collect();
        let usual = shop.store().usual_bins(&parts).await?;
        let mut faults = Vec::new();
        for (line, target) in outcome.counted.iter().zip(&count.targets) {
            for pieces in &line.pieces {
                let place = pieces.order_line.zip(pieces.content);
                let sound = pieces.quantity - pieces.damaged;
                let keeps = pieces.verdict.is_accepted()
                    || pieces.verdict == CountVerdict::TodaysList
                    || (pieces.verdict == CountVerdict::Over && asked.keep_over);
                let booked = if keeps { sound } else { Quantity::ZERO };
                let places = [line.part.as_ref(), pieces.in_place_of.as_ref()];
                let usual_bin = || places.into_iter().flatten().find_map(|part| usual.get(part).cloned());
                let bin = target.bin.clone().or_else(usual_bin);
                if booked > Quantity::ZERO && bin.is_none() {
                    let detail =
                        format!("{} has no usual bin; name the bin into which it goes", line.written);
                    let pointer = format!("{}/bin", target.pointer);
                    faults.push(CountPlace { pointer, detail, suggestions: Vec::new() });
                }
                let value = worth(pieces, place.and_then(|place| against.values.get(&place)).copied());
                self.set_down(line.part.as_ref(), &line.written, pieces, booked, bin.as_ref(), value);
                self.pieces.push(ReceiptPiece {
                    place: place.filter(|_| pieces.verdict.is_accepted()),
                    part: line.part.clone(),
                    verdict: pieces.verdict.word().to_owned(),
                    quantity: pieces.quantity,
                    damaged: pieces.damaged,
                    stands_for: sound_share(pieces),
                    bin: bin.filter(|_| booked > Quantity::ZERO),
                    mark: target.mark.clone(),
                    batch: target.batch.clone(),
                    unit_value: value,
                    booked,
                });
            }
        }
        if faults.is_empty() { Ok(()) } else { Err(ReceiptError::Count(faults)) }
    }

    fn set_down(
        &mut self,
        part: Option<&PartKey>,
        written: &str,
        pieces: &PiecesOutcome,
        booked: Quantity,
        bin: Option<&Code>,
        value: Money,
    ) {
        if let (Some(part), Some(bin)) = (part, bin)
            && booked > Quantity::ZERO
        {
            self.booked.push(BookedPieces {
                part: part.clone(),
                bin: bin.clone(),
                quantity: booked,
                unit_value: value,
            });
        }
        let aside = pieces.quantity - booked;
        if aside > Quantity::ZERO {
            self.set_aside.push(SetAside {
                written: written.to_owned(),
                part: part.cloned(),
                quantity: aside,
                verdict: pieces.verdict,
                damaged: pieces.damaged,
            });
        }
    }

    fn claim(
        &mut self,
        against: &Against,
        outcome: &Reconciliation,
        lacking: &Lacking,
        book: &catalogue::PriceBook,
    ) -> Result<(), ReceiptError> {
        let Some(supplier) = against.supplier.clone() else { return Ok(()) };
        let mut lines = Vec::new();
        for ((place, part), quantity) in lacking {
            let value = against.values.get(place).copied().unwrap_or_default();
            lines.push(claim_line(
                ("short", part.as_str()),
                (Some(part), Some(*place)),
                (*quantity, value),
                &format!("{quantity} of {part} short"),
            ));
        }
        for line in &outcome.counted {
            for pieces in &line.pieces {
                let place = pieces.order_line.zip(pieces.content);
                let value = worth(pieces, place.and_then(|place| against.values.get(&place)).copied());
                let words =
                    pieces.reasons.iter().map(|told| told.sentence.as_str()).collect::<Vec<_>>().join("; ");
                let (kind, quantity, value) = match pieces.verdict {
                    CountVerdict::OldNumberRefused | CountVerdict::WrongPart => {
                        ("wrong", pieces.quantity, Money::ZERO)
                    }
                    CountVerdict::Over => ("over", pieces.quantity, Money::ZERO),
                    CountVerdict::Right
                    | CountVerdict::ProperSuccessor
                    | CountVerdict::Interchangeable
                    | CountVerdict::TodaysList => ("damaged", pieces.damaged, value),
                };
                let kept = kind == "over"
                    && self.booked.iter().any(|booked| {
                        Some(&booked.part) == line.part.as_ref() && booked.quantity == pieces.quantity
                    });
                if quantity > Quantity::ZERO && !kept {
                    let named = (line.part.as_ref(), place);
                    lines.push(claim_line((kind, &line.written), named, (quantity, value), &words));
                }
            }
        }
        if !lines.is_empty() {
            let setting = book.settings.iter().find(|row| row.setting.as_str() == "BASE-CURRENCY");
            let currency = setting.and_then(|row| Currency::parse(&row.value)).ok_or_else(|| {
                OrderError::Fault(resolver::RequestFault {
                    kind: resolver::RequestFaultKind::MissingSetting,
                    pointer: String::new(),
                    detail: "the shop's setting BASE-CURRENCY is missing; import it with settings.csv"
                        .to_owned(),
                    suggestions: Vec::new(),
                })
            })?;
            self.claim = Some(NewClaim { supplier, currency, lines });
        }
        Ok(())
    }

    fn propose(
        &mut self,
        outcome: &Reconciliation,
        lacking: &Lacking,
        book: &catalogue::PriceBook,
        today: NaiveDate,
    ) -> Result<(), ReceiptError> {
        let mut wanted: BTreeMap<PartKey, Quantity> = BTreeMap::new();
        for ((_, part), quantity) in lacking {
            *wanted.entry(part.clone()).or_default() += *quantity;
        }
        for line in &outcome.expected {
            if line.damaged > Quantity::ZERO {
                *wanted.entry(line.part.clone()).or_default() += line.damaged;
            }
        }
        for (part, quantity) in wanted {
            self.to_order.push(proposal(book, part, quantity, today)?);
        }
        Ok(())
    }

    fn warn(&mut self, against: &Against, outcome: &Reconciliation, lacking: &Lacking) {
        let Some(order) = &against.order else { return };
        for line in &outcome.expected {
            let place = (line.order_line, line.content);
            let short = lacking.get(&(place, line.part.clone())).copied().unwrap_or_default() + line.damaged;
            let known = order.lines.iter().find(|known| known.line == line.order_line);
            let Some(known) = known.filter(|_| short > Quantity::ZERO) else { continue };
            for (quote, job, quantity) in waiting_for(known, line.content, short) {
                self.waiting.push(Waiting { quote, job, part: line.part.clone(), quantity });
            }
        }
    }
}

/// Who waits when so many pieces of a line's content are short: of a line that serves several the shelf goes without first,
/// then those that stand last.
fn waiting_for(
    line: &OrderLine,
    content: i64,
    short: Quantity,
) -> Vec<(Option<String>, Option<String>, Quantity)> {
    if line.quote.is_some() || line.job.is_some() {
        return vec![(line.quote.clone(), line.job.clone(), short)];
    }
    let Some(each) = line.contents.iter().find(|known| known.content == content) else { return Vec::new() };
    let promised = line.acknowledged_quantity.unwrap_or(line.quantity);
    let all = each.quantity.times(promised).unwrap_or_default();
    let short = dealt_between(&line.shares, content, all - short, all);
    let short = short.map(|(share, quantity)| (share.quote.clone(), share.job.clone(), quantity));
    short.filter(|(_, job, quantity)| job.is_some() && *quantity > Quantity::ZERO).collect()
}

/// What lacks and was not claimed before, by place and part.
type Lacking = BTreeMap<((i64, i64), PartKey), Quantity>;

async fn lacking(
    shop: &Shop,
    asked: &AskedReceipt,
    against: &Against,
    outcome: &Reconciliation,
) -> Result<Lacking, ReceiptError> {
    let mut lacking = Lacking::new();
    if asked.more_to_come {
        return Ok(lacking);
    }
    let claimed: BTreeMap<(i64, i64), Quantity> = match &against.order {
        Some(order) => shop.store().claimed_of_order(&order.number).await?.into_iter().collect(),
        None => BTreeMap::new(),
    };
    for line in outcome.expected.iter().filter(|line| line.short > Quantity::ZERO) {
        let place = (line.order_line, line.content);
        let new = line.short - claimed.get(&place).copied().unwrap_or_default();
        if new > Quantity::ZERO {
            lacking.insert((place, line.part.clone()), new);
        }
    }
    Ok(lacking)
}

fn damaged(outcome: &Reconciliation) -> Vec<PartKey> {
    let lines = outcome.expected.iter().filter(|line| line.damaged > Quantity::ZERO);
    lines.map(|line| line.part.clone()).collect()
}

/// What one counted piece is worth: its share of what it stands for.
fn worth(pieces: &PiecesOutcome, each: Option<Money>) -> Money {
    let each = each.filter(|_| pieces.verdict.is_accepted()).unwrap_or_default();
    each.times(pieces.stands_for.raw(), pieces.quantity.raw()).unwrap_or_default()
}

/// For how much of what was ordered the sound ones stand: damaged ones are still to come.
fn sound_share(pieces: &PiecesOutcome) -> Quantity {
    let sound = pieces.quantity - pieces.damaged;
    if pieces.damaged == Quantity::ZERO {
        return pieces.stands_for;
    }
    let share = i128::from(pieces.stands_for.raw()) * i128::from(sound.raw())
        / i128::from(pieces.quantity.raw().max(1));
    Quantity::from_raw(i64::try_from(share).unwrap_or(0))
}

fn claim_line(
    (kind, written): (&str, &str),
    (part, place): (Option<&PartKey>, Option<(i64, i64)>),
    (quantity, value): (Quantity, Money),
    reason: &str,
) -> ClaimLine {
    ClaimLine {
        kind: kind.to_owned(),
        part: part.cloned(),
        written: written.to_owned(),
        place,
        quantity,
        unit_value: value,
        // What is claimed is money that somebody pays: to the hundredth.
        amount: value.times(quantity.raw(), Quantity::SCALE).unwrap_or_default().rounded(2),
        reason: reason.to_owned(),
    }
}
