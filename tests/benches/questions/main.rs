//! The three questions of a parts desk, asked of the service and of recursive SQL on the same database, in the same run:
//! the current numbers for an old number; everything for the rebuild of a unit, with what of it lies on the shelf; where a
//! number is used. In process and over HTTP, on SQLite and on PostgreSQL, on a synthetic catalogue.
//!
//! ```text
//! cargo bench --bench questions                    # a hundred thousand parts
//! QUESTIONS_PARTS=1000000 cargo bench --bench questions
//! ```
//!
//! Before anything is timed, every answer of the service is held against that of the SQL. What is printed are ratios
//! within this run: a figure alone says more about the machine than about the service.

#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark talks, and ends by panicking")]

mod chance;
mod in_process;
mod over_http;
mod peer;
mod processor_time;
mod question;
mod synthetic;

use std::time::Instant;

use operations::import_catalogue::{BundleSource, ImportRequest, import_catalogue};
use operations::shop::Shop;

use crate::peer::Peer;
use crate::question::{Place, Question};
use crate::synthetic::{Synthetic, synthetic};

/// Parts of the catalogue when nothing else is said.
const PARTS_USUAL: usize = 100_000;
/// The day of every question.
const DAY: &str = "2026-11-25";

fn main() {
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
    // The benchmark starts itself once more for the web server of the peer.
    if let Ok(url) = std::env::var(over_http::PEER) {
        runtime.block_on(over_http::serve_peer(&url));
        return;
    }
    let parts = std::env::var("QUESTIONS_PARTS").map_or(PARTS_USUAL, |text| text.parse().unwrap());
    runtime.block_on(bench(parts));
}

async fn bench(parts: usize) {
    let catalogue = synthetic(parts);
    println!("{parts} parts, {} units", catalogue.units.len());
    let folder = tempfile::tempdir().unwrap();
    let server = postgres_server::Server::start();
    let urls =
        [format!("sqlite:{}?mode=rwc", folder.path().join("shop.db").display()), server.create_database()];
    let mut places = Vec::new();
    for (name, url) in ["SQLite", "PostgreSQL"].into_iter().zip(&urls) {
        let shop = filled(url, &catalogue).await;
        if name == "PostgreSQL" {
            // The tests' server has no autovacuum; a planner without statistics would not be a fair peer.
            server.query(url.split(['/', '?']).nth(3).unwrap(), "VACUUM ANALYZE");
        }
        places.push(Place { name, shop, peer: Peer::open(url).await });
    }
    let questions = Question::all(&catalogue);
    in_process::bench(&places, &questions).await;
    for (place, url) in places.iter().zip(&urls) {
        over_http::bench(place.name, url, &questions, &server).await;
    }
}

async fn filled(url: &str, catalogue: &Synthetic) -> Shop {
    let begun = Instant::now();
    let shop = Shop::open(url).await.unwrap();
    let request = ImportRequest { report_findings: false, ..ImportRequest::on(DAY.parse().unwrap()) };
    let source = BundleSource::Texts(catalogue.files.clone());
    let report = import_catalogue(&shop, source, &request, &mut |_| ()).await;
    let rows: u64 =
        report.unwrap_or_else(|error| panic!("{error:?}")).sheets.iter().map(|sheet| sheet.added).sum();
    println!("{rows} rows imported in {:.1} s", begun.elapsed().as_secs_f64());
    shop
}
