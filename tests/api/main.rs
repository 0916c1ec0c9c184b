//! The service from the outside, over HTTP: every test runs on a SQLite file and on a PostgreSQL server that the tests
//! start themselves. The run prints how many tests ran on each, and fails where the two differ.
//!
//! `cargo test --test api` runs all; `cargo test --test api -- quotes` those whose name holds `quotes`.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[macro_use]
mod runner;
mod harness;
mod hmac_by_hand;
mod receiver;

mod audit;
mod calculations;
mod cases;
mod catalogue_findings;
mod cautions;
mod command_line;
mod compose;
mod compression;
mod crashes;
mod decisions;
mod demo;
mod edited_gear;
mod events;
mod examples;
mod exchange;
mod exports;
mod fit_checks;
mod guide;
mod imports;
mod job_story;
mod jobs;
mod keys;
mod kits;
mod measurements;
mod notice_effects;
mod order_rounds;
mod orders;
mod other_answers;
mod parts;
mod price_ranges;
mod problems;
mod quotes;
mod readme;
mod readme_commands;
mod reasons;
mod receipts;
mod received_papers;
mod reorders;
mod requirements;
mod reservations;
mod roles;
mod routes;
mod same_bytes;
mod serials;
mod served;
mod service;
mod settings;
mod shelf_counts;
mod shop_commands;
mod steady;
mod stock;
mod symptoms;
mod two_instances;
mod ubl_supplier;
mod units;
mod vehicles;
mod webhooks;

fn main() -> std::process::ExitCode {
    runner::run(vec![
        calculations::tests(),
        cautions::tests(),
        cases::tests(),
        audit::tests(),
        catalogue_findings::tests(),
        command_line::tests(),
        compose::tests(),
        compression::tests(),
        crashes::tests(),
        demo::tests(),
        edited_gear::tests(),
        events::tests(),
        examples::tests(),
        decisions::tests(),
        exports::tests(),
        fit_checks::tests(),
        guide::tests(),
        imports::tests(),
        job_story::tests(),
        jobs::tests(),
        keys::tests(),
        kits::tests(),
        measurements::tests(),
        notice_effects::tests(),
        other_answers::tests(),
        order_rounds::tests(),
        orders::tests(),
        parts::tests(),
        price_ranges::tests(),
        problems::tests(),
        quotes::tests(),
        readme::tests(),
        reasons::tests(),
        received_papers::tests(),
        receipts::tests(),
        reorders::tests(),
        requirements::tests(),
        reservations::tests(),
        roles::tests(),
        routes::tests(),
        same_bytes::tests(),
        serials::tests(),
        service::tests(),
        settings::tests(),
        shelf_counts::tests(),
        shop_commands::tests(),
        stock::tests(),
        symptoms::tests(),
        two_instances::tests(),
        units::tests(),
        vehicles::tests(),
        webhooks::tests(),
    ])
}
