//! Whether a part or set fits what is inside a unit, and what else must change with it.

use std::sync::atomic::AtomicBool;

use resolver::request::UnitRequest;
use resolver::{FitAlternative, FitCheck, FitCheckRequest, WantedPart};

use crate::asked_fit_check::AskedFitCheck;
use crate::quote_rebuild::{gather, in_asked_words};
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::time_budget::TimeBudget;
use crate::translate_alternatives::{optional_code, unit_index};
use crate::translate_request::{limit, part};

/// Most alternatives of one check.
const ALTERNATIVES_MAX: usize = 16;
/// Most parts of one alternative.
const PARTS_MAX: usize = 20;

/// Checks what someone wants to fit. Nothing is stored.
pub async fn check_fit(shop: &Shop, asked: &AskedFitCheck) -> Result<FitCheck, RebuildError> {
    limit(asked.alternatives.len(), ALTERNATIVES_MAX, "/alternatives")?;
    let (input, translated) = gather(shop, &asked.rebuild()).await?;
    let wanted = wanted(shop, asked, &translated.request.units).await?;
    let time = asked.time_budget_ms;
    let work = move |left: &AtomicBool| {
        let budget = TimeBudget::start(left, time);
        resolver::fit_check_until(&input, &wanted, &|| budget.is_over())
    };
    let checked = shop.work_while_awaited(work).await?;
    checked.map_err(|fault| in_asked_words(&translated, fault.into()))
}

async fn wanted(
    shop: &Shop,
    asked: &AskedFitCheck,
    units: &[UnitRequest],
) -> Result<FitCheckRequest, RebuildError> {
    let mut alternatives = Vec::new();
    for (at, alternative) in asked.alternatives.iter().enumerate() {
        let pointer = format!("/alternatives/{at}/parts");
        limit(alternative.parts.len(), PARTS_MAX, &pointer)?;
        let mut parts = Vec::new();
        for (at, wanted) in alternative.parts.iter().enumerate() {
            let place = |field: &str| format!("{pointer}/{at}/{field}");
            parts.push(WantedPart {
                part: part(shop, &wanted.part, &place("part")).await?,
                position: optional_code(wanted.position.as_deref(), "position", &place("position"))?,
                unit: unit_index(shop, wanted.unit.as_deref(), units, &place("unit")).await?,
            });
        }
        alternatives.push(FitAlternative { parts });
    }
    Ok(FitCheckRequest { alternatives, ways: asked.ways })
}
