//! Jobs, serial numbers and the shelf, asked of a database at hand or of a running service.

use chrono::NaiveDate;
use operations::JobState;
use operations::below_minimum::ReordersToDraft;
use operations::book_count::ShelfCount;
use operations::jobs::change::{JobChange, change_job};
use operations::jobs::open::Enquiry;
use operations::jobs::sheet::JobSheet;
use operations::list_movements::MovementsAsked;
use operations::list_stock::StockAsked;
use operations::order_round::AskedOrderRound;
use operations::reservations::{PartsToReserve, ReservationsAsked};
use serde_json::json;

use crate::failure::Failure;
use crate::service_client::segment;
use crate::source::{LIST_LIMIT, Source, given, json};

impl Source {
    /// A job that is opened.
    pub(crate) async fn open_job(&self, enquiry: &Enquiry) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::jobs::open::open_job(shop, enquiry).await?),
            Self::Service(service) => service.post("/v1/jobs", enquiry).await,
        }
    }

    /// A job.
    pub(crate) async fn job(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::jobs::sheet::show_job(shop, number).await?),
            Self::Service(service) => service.get(&job_path(number, ""), &[]).await,
        }
    }

    /// The jobs, the oldest first.
    pub(crate) async fn jobs(&self, state: Option<JobState>, after: Option<&str>) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed = operations::jobs::list::list_jobs(shop, state, after, LIST_LIMIT).await?;
                json(&json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let limit = LIST_LIMIT.to_string();
                let asked =
                    [("state", state.map(JobState::word)), ("after", after), ("limit", Some(limit.as_str()))];
                service.get("/v1/jobs", &given(&asked)).await
            }
        }
    }

    /// The papers of a job.
    pub(crate) async fn job_papers(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::jobs::papers::job_papers(shop, number).await?),
            Self::Service(service) => service.get(&job_path(number, "/papers"), &[]).await,
        }
    }

    /// A job against its estimate.
    pub(crate) async fn job_comparison(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::jobs::compare::compare_job(shop, number).await?),
            Self::Service(service) => service.get(&job_path(number, "/comparison"), &[]).await,
        }
    }

    /// What a job needs from the shelf.
    pub(crate) async fn pick_list(&self, number: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::jobs::pick_list::pick_list(shop, number).await?),
            Self::Service(service) => service.get(&job_path(number, "/pick-list"), &[]).await,
        }
    }

    /// A job after a step, which is taken as the job stands now.
    pub(crate) async fn change_job(&self, number: &str, change: &JobChange) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let as_it_is = |_: &JobSheet| true;
                json(&change_job(shop, number, change, as_it_is).await?)
            }
            Self::Service(service) => match change {
                JobChange::Plain(body) => service.post(&job_path(number, "/steps"), body).await,
                JobChange::Find(body) => service.post(&job_path(number, "/findings"), body).await,
                JobChange::Issue(body) => service.post(&job_path(number, "/issues"), body).await,
                JobChange::Return(body) => service.post(&job_path(number, "/returns"), body).await,
                JobChange::Shim(body) => service.post(&job_path(number, "/shims"), body).await,
                JobChange::Inspect(body) => service.post(&job_path(number, "/inspections"), body).await,
            },
        }
    }

    /// What is inside a serial number.
    pub(crate) async fn serial(
        &self,
        unit: &str,
        serial: &str,
        as_of: Option<NaiveDate>,
        since: Option<NaiveDate>,
    ) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::jobs::as_built::show_serial(shop, unit, serial, as_of, since).await?)
            }
            Self::Service(service) => {
                let (as_of, since) = (as_of.map(|day| day.to_string()), since.map(|day| day.to_string()));
                let asked = [("as_of", as_of.as_deref()), ("since", since.as_deref())];
                let path = format!("/v1/serials/{}/{}", segment(unit), segment(serial));
                service.get(&path, &given(&asked)).await
            }
        }
    }

    /// Where a batch went.
    pub(crate) async fn batch(&self, batch: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let items = operations::jobs::as_built::where_batch_went(shop, batch).await?;
                json(&json!({ "items": items }))
            }
            Self::Service(service) => {
                service.get(&format!("/v1/batches/{}/serials", segment(batch)), &[]).await
            }
        }
    }

    /// What lies on the shelf.
    pub(crate) async fn stock(&self, asked: &StockAsked) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed = operations::list_stock::list_stock(shop, asked, None, LIST_LIMIT).await?;
                json(&json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let (limit, sequence) = (LIST_LIMIT.to_string(), asked.sequence.map(|at| at.to_string()));
                let query = [
                    ("part", asked.part.as_deref()),
                    ("bin", asked.bin.as_deref()),
                    ("sequence", sequence.as_deref()),
                    ("limit", Some(limit.as_str())),
                ];
                service.get("/v1/stock", &given(&query)).await
            }
        }
    }

    /// What moved.
    pub(crate) async fn movements(
        &self,
        asked: &MovementsAsked,
        after: Option<&str>,
    ) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed =
                    operations::list_movements::list_movements(shop, asked, after, LIST_LIMIT).await?;
                json(&json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let limit = LIST_LIMIT.to_string();
                let query = [
                    ("part", asked.part.as_deref()),
                    ("bin", asked.bin.as_deref()),
                    ("paper", asked.paper.as_deref()),
                    ("batch", asked.batch.as_deref()),
                    ("after", after),
                    ("limit", Some(limit.as_str())),
                ];
                service.get("/v1/stock/movements", &given(&query)).await
            }
        }
    }

    /// Reservations that are made.
    pub(crate) async fn reserve(&self, asked: &PartsToReserve) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let items = operations::reservations::reserve_parts(shop, asked).await?;
                json(&json!({ "items": items }))
            }
            Self::Service(service) => service.post("/v1/reservations", asked).await,
        }
    }

    /// What is reserved.
    pub(crate) async fn reservations(&self, asked: &ReservationsAsked) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed =
                    operations::reservations::list_reservations(shop, asked, None, LIST_LIMIT).await?;
                json(&json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let limit = LIST_LIMIT.to_string();
                let query = [
                    ("job", asked.job.as_deref()),
                    ("part", asked.part.as_deref()),
                    ("ended", asked.ended.then_some("true")),
                    ("limit", Some(limit.as_str())),
                ];
                service.get("/v1/reservations", &given(&query)).await
            }
        }
    }

    /// A reservation that is given back.
    pub(crate) async fn release(&self, number: &str, by: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::reservations::release_reservation(shop, number, by).await?)
            }
            Self::Service(service) => {
                let path = format!("/v1/reservations/{}/release", segment(number));
                service.post(&path, &json!({ "by": by })).await
            }
        }
    }

    /// The sheet by which the shelf is counted.
    pub(crate) async fn shelf_sheet(&self, bin: Option<&str>) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::shelf_sheet::shelf_sheet(shop, bin).await?),
            Self::Service(service) => service.get("/v1/stock/count-sheet", &given(&[("bin", bin)])).await,
        }
    }

    /// What came of a count of the shelf.
    pub(crate) async fn book_count(&self, asked: &ShelfCount) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::book_count::book_count(shop, asked).await?),
            Self::Service(service) => service.post("/v1/stock/counts", asked).await,
        }
    }

    /// A round of orders, or what it would be.
    pub(crate) async fn order_round(&self, asked: &AskedOrderRound) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::order_round::make_round(shop, asked).await?),
            Self::Service(service) => service.post("/v1/order-rounds", asked).await,
        }
    }

    /// What is below its minimum.
    pub(crate) async fn below_minimum(&self) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed = operations::below_minimum::list_reorders(shop, None, LIST_LIMIT).await?;
                json(&json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let limit = LIST_LIMIT.to_string();
                service.get("/v1/reorders", &[("limit", limit.as_str())]).await
            }
        }
    }

    /// The orders that fill the shelf up again.
    pub(crate) async fn draft_reorders(&self, asked: &ReordersToDraft) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::below_minimum::draft_reorders(shop, asked).await?),
            Self::Service(service) => service.post("/v1/reorders", asked).await,
        }
    }
}

fn job_path(number: &str, below: &str) -> String {
    format!("/v1/jobs/{}{below}", segment(number))
}
