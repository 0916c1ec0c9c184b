//! `crownwheel demo`: the demo catalogue loaded, and a quote from it.

use chrono::NaiveDate;
use operations::access_keys::AskedKey;
use operations::asked::Asked;
use operations::import_catalogue::{BundleSource, ImportError, ImportRequest, import_catalogue};
use operations::role::Role;
use operations::shop::Shop;

use crate::arguments::{DatabaseArguments, DemoArguments};
use crate::demo_bundle::demo_bundle;
use crate::failure::Failure;
use crate::output::say;
use crate::quote::print_requirement;
use crate::source::{Source, open_to_write};

/// The unit of which a quote is printed.
const UNIT: &str = "BN-640";

/// Loads the demo catalogue into its file and prints a quote. What is there already stays; what the demo names is as the
/// demo has it, so it can be run again.
pub async fn demo(arguments: &DemoArguments, today: NaiveDate) -> Result<Shop, Failure> {
    let file = arguments.file.to_string_lossy().into_owned();
    let shop = open_to_write(&DatabaseArguments { database: Some(file.clone()) }).await?;
    let request = ImportRequest {
        report_findings: false,
        who: "demo".to_owned(),
        note: "the demo catalogue".to_owned(),
        ..ImportRequest::on(today)
    };
    let loaded = import_catalogue(&shop, BundleSource::Texts(demo_bundle()), &request, &mut |_| ()).await;
    let report = loaded.map_err(|error| match error {
        ImportError::Refused(refused) => {
            let first = refused.faults.first().map_or(String::new(), |fault| format!(", first: {fault}"));
            Failure::service(format!("the demo catalogue was refused: {refused}{first}"))
        }
        error => Failure::service(format!("the demo catalogue was not loaded: {error}")),
    })?;
    let added: u64 = report.sheets.iter().map(|sheet| sheet.added).sum();
    let unchanged: u64 = report.sheets.iter().map(|sheet| sheet.unchanged).sum();
    say(&format!(
        "The demo catalogue is in {file}: {added} rows added, {unchanged} were there already.\n\n"
    ))?;
    say(&format!("$ crownwheel quote {UNIT} --database {file}\n\n"))?;
    let source = Source::Database(shop.clone());
    print_requirement(&source, &Asked::overhaul(UNIT), false, false).await?;
    Ok(shop)
}

/// An owner's key for the demo that is being served: a new one in place of the last, which was shown then and is kept
/// nowhere.
pub async fn key(shop: &Shop) -> Result<String, Failure> {
    let asked = AskedKey { name: "demo".to_owned(), role: Role::Owner, expires_at: None };
    Ok(operations::access_keys::replace_key(shop, &asked).await?.secret)
}

/// How a person asks the demo that is being served.
pub fn how_to_ask(address: &str, key: &str) -> String {
    format!(
        "\nServing on http://{address} until Ctrl-C. Ask it from another terminal:\n\n\
         export CROWNWHEEL_KEY={key}\n\
         curl -H \"Authorization: Bearer $CROWNWHEEL_KEY\" http://{address}/v1/units/{UNIT}\n\
         curl -H \"Authorization: Bearer $CROWNWHEEL_KEY\" http://{address}/v1/requirements \\\n  \
           -H 'Content-Type: application/json' -d '{{\"units\": [{{\"unit\": \"{UNIT}\"}}]}}'\n\
         crownwheel quote {UNIT} --url http://{address}\n\n\
         The reference is at http://{address}/reference/ and needs no key.\n\n"
    )
}
