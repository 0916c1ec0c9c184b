//! Where a question is asked: a database at hand, or a running service. Either gives the same JSON.

use std::path::Path;

use chrono::NaiveDate;
use operations::asked::Asked;
use operations::asked_fit_check::AskedFitCheck;
use operations::change_order::AskedOrderStep;
use operations::claims::{AskedClaimStep, ClaimSheet, ClaimState, ClaimsWanted};
use operations::draft_orders::AskedOrders;
use operations::follow_notice::{AskedEvent, follow_notice};
use operations::list_orders::OrdersWanted;
use operations::list_receipts::ReceiptsWanted;
use operations::order_error::OrderError;
use operations::quote_reasons::Drawing;
use operations::receipt_error::ReceiptError;
use operations::receive_box::AskedReceipt;
use operations::reverse_receipt::AskedReversal;
use operations::shop::Shop;
use operations::show_order::{OrderSheet, OrderState};
use serde::Serialize;

use crate::arguments::{DatabaseArguments, WhereArguments};
use crate::failure::Failure;
use crate::service_client::{ServiceClient, segment};

/// The usual database.
const USUAL: &str = "crownwheel.db";
/// The demo's database.
const DEMO: &str = "crownwheel-demo.db";

/// Most papers of a list that is printed.
pub(crate) const LIST_LIMIT: u64 = 500;

/// Where a question is asked.
pub(crate) enum Source {
    /// A database at hand.
    Database(Shop),
    /// A running service.
    Service(ServiceClient),
}

impl Source {
    /// Opens what the command line names.
    pub(crate) async fn open(place: &WhereArguments) -> Result<Self, Failure> {
        match &place.url {
            Some(url) => Ok(Self::Service(ServiceClient::new(url)?)),
            None => Ok(Self::Database(open_to_read(&place.database).await?)),
        }
    }

    /// The answer to a request, not stored.
    pub(crate) async fn requirement(&self, asked: &Asked) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                Ok(operations::quote_rebuild::quote_rebuild(shop, asked).await?.body.to_string())
            }
            Self::Service(service) => service.requirement(asked).await,
        }
    }

    /// What else must change if a part or set is fitted.
    pub(crate) async fn fit_check(&self, asked: &AskedFitCheck) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::check_fit::check_fit(shop, asked).await?),
            Self::Service(service) => service.answer("/v1/fit-checks", asked).await,
        }
    }

    /// What a rebuild may cost.
    pub(crate) async fn price_range(&self, asked: &Asked) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::range_price::range_price(shop, asked).await?),
            Self::Service(service) => service.answer("/v1/price-ranges", asked).await,
        }
    }

    /// The symptoms that are known of a unit.
    pub(crate) async fn symptoms(&self, unit: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::find_symptoms::known_symptoms(shop, unit, None).await?),
            Self::Service(service) => {
                service.get(&format!("/v1/units/{}/symptoms", segment(unit)), &[]).await
            }
        }
    }

    /// What a symptom points to in a unit, or in all units of a vehicle.
    pub(crate) async fn likely_findings(
        &self,
        code: &str,
        of_vehicle: bool,
        symptom: &str,
    ) -> Result<String, Failure> {
        use operations::find_symptoms::{likely_findings, likely_findings_of_vehicle};
        match self {
            Self::Database(shop) if of_vehicle => {
                json(&likely_findings_of_vehicle(shop, code, symptom).await?)
            }
            Self::Database(shop) => json(&likely_findings(shop, code, symptom).await?),
            Self::Service(service) => {
                let list = if of_vehicle { "vehicles" } else { "units" };
                let path = format!("/v1/{list}/{}/likely-findings", segment(code));
                service.get(&path, &[("symptom", symptom)]).await
            }
        }
    }

    /// What an event touches.
    pub(crate) async fn notice_effects(&self, asked: &AskedEvent) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&follow_notice(shop, asked).await?),
            Self::Service(service) => service.answer("/v1/notice-effects", asked).await,
        }
    }

    /// All that the answer to a request follows from.
    pub(crate) async fn case(&self, asked: &Asked) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => Ok(operations::save_case::save_case(shop, asked).await?),
            Self::Service(service) => service.answer("/v1/cases", asked).await,
        }
    }

    /// What a stored quote froze.
    pub(crate) async fn quote_case(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => Ok(operations::save_case::case_of_quote(shop, number).await?.1),
            Self::Service(service) => service.get(&format!("/v1/quotes/{}/case", segment(number)), &[]).await,
        }
    }

    /// Why each line of a stored quote is there.
    pub(crate) async fn reasons(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::quote_reasons::quote_reasons(shop, number).await?),
            Self::Service(service) => {
                service.get(&format!("/v1/quotes/{}/reasons", segment(number)), &[]).await
            }
        }
    }

    /// The same as a drawing.
    pub(crate) async fn reason_drawing(&self, number: &str, drawing: Drawing) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                Ok(operations::quote_reasons::draw_quote_reasons(shop, number, drawing).await?)
            }
            Self::Service(service) => {
                let media_type = match drawing {
                    Drawing::Dot => "text/vnd.graphviz",
                    Drawing::Svg => "image/svg+xml",
                };
                service.get_as(&format!("/v1/quotes/{}/reasons", segment(number)), media_type).await
            }
        }
    }

    /// The answer to a request, stored as a quote.
    pub(crate) async fn store_quote(&self, asked: &Asked) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::store_quote::store_quote(shop, asked).await?),
            Self::Service(service) => service.store_quote(asked).await,
        }
    }

    /// A stored quote.
    pub(crate) async fn quote(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::show_quote::show_quote(shop, number).await?),
            Self::Service(service) => service.get(&format!("/v1/quotes/{}", segment(number)), &[]).await,
        }
    }

    /// A stored quote against a day.
    pub(crate) async fn comparison(&self, number: &str, as_of: Option<&str>) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::compare_quote::compare_quote(shop, number, day_of(as_of)?).await?)
            }
            Self::Service(service) => {
                let query: Vec<(&str, &str)> = as_of.map(|day| ("as_of", day)).into_iter().collect();
                service.get(&format!("/v1/quotes/{}/comparison", segment(number)), &query).await
            }
        }
    }

    /// The kits for a unit side by side.
    pub(crate) async fn kits(
        &self,
        unit: &str,
        operation: Option<&str>,
        as_of: Option<&str>,
    ) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let day = day_of(as_of)?;
                json(&operations::kits_side_by_side::kits_side_by_side(shop, unit, operation, day).await?)
            }
            Self::Service(service) => {
                let named = operation.map(|code| ("operation", code));
                let query: Vec<(&str, &str)> =
                    named.into_iter().chain(as_of.map(|day| ("as_of", day))).collect();
                service.get(&format!("/v1/units/{}/kits", segment(unit)), &query).await
            }
        }
    }

    /// The numbers that stand for a number.
    pub(crate) async fn current_numbers(&self, part: &str, as_of: Option<&str>) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::find_part::find_current_numbers(shop, part, day_of(as_of)?).await?)
            }
            Self::Service(service) => {
                let path = format!("/v1/parts/{}/current-numbers", segment(part));
                let query: Vec<(&str, &str)> = as_of.map(|day| ("as_of", day)).into_iter().collect();
                service.get(&path, &query).await
            }
        }
    }

    /// Drafted orders.
    pub(crate) async fn draft_orders(&self, asked: &AskedOrders) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::draft_orders::draft_orders(shop, asked).await?),
            Self::Service(service) => service.post("/v1/orders", asked).await,
        }
    }

    /// An order.
    pub(crate) async fn order(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::show_order::show_order(shop, number).await?),
            Self::Service(service) => service.get(&format!("/v1/orders/{}", segment(number)), &[]).await,
        }
    }

    /// Orders, the oldest first.
    pub(crate) async fn orders(&self, wanted: &OrdersWanted, after: Option<&str>) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed = operations::list_orders::list_orders(shop, wanted, after, LIST_LIMIT).await?;
                json(&serde_json::json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let limit = LIST_LIMIT.to_string();
                let asked = [
                    ("supplier", wanted.supplier.as_deref()),
                    ("state", wanted.state.map(OrderState::word)),
                    ("quote", wanted.quote.as_deref()),
                    ("after", after),
                    ("limit", Some(limit.as_str())),
                ];
                service.get("/v1/orders", &given(&asked)).await
            }
        }
    }

    /// An order after a step, which is taken whatever its state is now.
    pub(crate) async fn order_step(&self, number: &str, asked: &AskedOrderStep) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let as_it_is = |_: &OrderSheet| Ok::<(), OrderError>(());
                json(&operations::change_order::change_order(shop, number, asked, as_it_is).await?)
            }
            Self::Service(service) => {
                service.post(&format!("/v1/orders/{}/steps", segment(number)), asked).await
            }
        }
    }

    /// A receipt of a box.
    pub(crate) async fn receive(&self, asked: &AskedReceipt) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::receive_box::receive_box(shop, asked).await?),
            Self::Service(service) => service.post("/v1/receipts", asked).await,
        }
    }

    /// A receipt.
    pub(crate) async fn receipt(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::show_receipt::show_receipt(shop, number).await?),
            Self::Service(service) => service.get(&format!("/v1/receipts/{}", segment(number)), &[]).await,
        }
    }

    /// Receipts, the oldest first.
    pub(crate) async fn receipts(&self, wanted: &ReceiptsWanted) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed = operations::list_receipts::list_receipts(shop, wanted, None, LIST_LIMIT).await?;
                json(&serde_json::json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let limit = LIST_LIMIT.to_string();
                let asked = [
                    ("order", wanted.order.as_deref()),
                    ("supplier", wanted.supplier.as_deref()),
                    ("limit", Some(limit.as_str())),
                ];
                service.get("/v1/receipts", &given(&asked)).await
            }
        }
    }

    /// The receipt that takes another one back.
    pub(crate) async fn reverse_receipt(
        &self,
        number: &str,
        asked: &AskedReversal,
    ) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::reverse_receipt::reverse_receipt(shop, number, asked).await?)
            }
            Self::Service(service) => {
                service.post(&format!("/v1/receipts/{}/reversal", segment(number)), asked).await
            }
        }
    }

    /// The count sheet of an order.
    pub(crate) async fn count_sheet(&self, order: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::count_sheet::count_sheet(shop, order).await?),
            Self::Service(service) => {
                service.get(&format!("/v1/orders/{}/count-sheet", segment(order)), &[]).await
            }
        }
    }

    /// The count sheet of an order as CSV.
    pub(crate) async fn count_sheet_csv(&self, order: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => Ok(operations::count_sheet::count_sheet_csv(shop, order).await?),
            Self::Service(service) => {
                service.get(&format!("/v1/orders/{}/count-sheet.csv", segment(order)), &[]).await
            }
        }
    }

    /// A claim.
    pub(crate) async fn claim(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::claims::show_claim(shop, number).await?),
            Self::Service(service) => service.get(&format!("/v1/claims/{}", segment(number)), &[]).await,
        }
    }

    /// Claims, the oldest first.
    pub(crate) async fn claims(&self, wanted: &ClaimsWanted) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed = operations::claims::list_claims(shop, wanted, None, LIST_LIMIT).await?;
                json(&serde_json::json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let limit = LIST_LIMIT.to_string();
                let asked = [
                    ("supplier", wanted.supplier.as_deref()),
                    ("state", wanted.state.map(ClaimState::word)),
                    ("order", wanted.order.as_deref()),
                    ("limit", Some(limit.as_str())),
                ];
                service.get("/v1/claims", &given(&asked)).await
            }
        }
    }

    /// A claim after a step, which is taken whatever its state is now.
    pub(crate) async fn claim_step(&self, number: &str, asked: &AskedClaimStep) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let as_it_is = |_: &ClaimSheet| Ok::<(), ReceiptError>(());
                json(&operations::claims::change_claim(shop, number, asked, as_it_is).await?)
            }
            Self::Service(service) => {
                service.post(&format!("/v1/claims/{}/steps", segment(number)), asked).await
            }
        }
    }

    /// What a supplier's boxes were short of.
    pub(crate) async fn supplier_faults(&self, supplier: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::supplier_faults::supplier_faults(shop, supplier).await?)
            }
            Self::Service(service) => {
                service.get(&format!("/v1/suppliers/{}/faults", segment(supplier)), &[]).await
            }
        }
    }

    /// Where a number is used.
    pub(crate) async fn part_uses(&self, part: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::where_used::where_used(shop, part).await?),
            Self::Service(service) => {
                service.get(&format!("/v1/parts/{}/where-used", segment(part)), &[]).await
            }
        }
    }
}

fn day_of(as_of: Option<&str>) -> Result<Option<NaiveDate>, Failure> {
    as_of.map(|text| crate::quote_request::day(text, "--as-of")).transpose()
}

/// The parts of a query that are given.
fn given<'a>(query: &[(&'a str, Option<&'a str>)]) -> Vec<(&'a str, &'a str)> {
    query.iter().filter_map(|(name, value)| Some((*name, (*value)?))).collect()
}

/// An answer as JSON.
pub(crate) fn json<T: Serialize>(value: &T) -> Result<String, Failure> {
    serde_json::to_string(value)
        .map_err(|error| Failure::service(format!("the answer cannot be written: {error}")))
}

/// Opens a database that must be there already.
pub async fn open_to_read(database: &DatabaseArguments) -> Result<Shop, Failure> {
    let named = database.database.as_deref();
    let named = match named {
        Some(named) => named,
        None if Path::new(USUAL).exists() => USUAL,
        None if Path::new(DEMO).exists() => DEMO,
        None => {
            return Err(Failure::command_line(format!(
                "there is no {USUAL} here; `crownwheel demo` makes {DEMO}, `crownwheel import DIR` fills {USUAL}, \
                 and --database names another"
            )));
        }
    };
    let address = address(named, false)?;
    Ok(Shop::open(&address).await?)
}

/// Opens a database; a SQLite file is made where it is absent.
pub async fn open_to_write(database: &DatabaseArguments) -> Result<Shop, Failure> {
    let address = address(database.database.as_deref().unwrap_or(USUAL), true)?;
    Ok(Shop::open(&address).await?)
}

/// The address of what a person calls a database: a file name is a SQLite file.
fn address(named: &str, create: bool) -> Result<String, Failure> {
    let has_scheme = ["sqlite:", "postgres:", "postgresql:"].iter().any(|scheme| named.starts_with(scheme));
    if has_scheme {
        return Ok(named.to_owned());
    }
    if named.contains("://") {
        return Err(Failure::command_line(format!(
            "`{named}` is no address of a database: write a file name or postgres://USER@HOST/DATABASE"
        )));
    }
    if !create && !Path::new(named).exists() {
        return Err(Failure::command_line(format!("there is no database `{named}`")));
    }
    let escaped = named.replace('%', "%25").replace('?', "%3F").replace('#', "%23");
    Ok(format!("sqlite:{escaped}?mode={}", if create { "rwc" } else { "rw" }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_is_a_sqlite_file() {
        assert_eq!(address("a b.db", true).unwrap(), "sqlite:a b.db?mode=rwc");
        assert_eq!(address("postgres://u@h/d", true).unwrap(), "postgres://u@h/d");
        assert!(address("mysql://h/d", true).is_err());
        assert!(address("not-there.db", false).unwrap_err().message.contains("not-there.db"));
    }
}
