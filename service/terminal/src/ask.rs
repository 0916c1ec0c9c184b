//! Runs a command that needs no server of its own.

use chrono::NaiveDate;

use crate::arguments::{CheckArguments, Command, ExportArguments, ImportArguments};
use crate::audit::audit;
use crate::calculations::calculate;
use crate::check::{CheckFailed, check};
use crate::claim::claim;
use crate::compare::compare;
use crate::ended::Ended;
use crate::events::events;
use crate::export::{ExportFailed, export};
use crate::failure::Failure;
use crate::fit::fit;
use crate::import::{ImportFailed, import};
use crate::job::{batch, job, serial};
use crate::keys::keys;
use crate::kits::kits;
use crate::notice::notice;
use crate::order::order;
use crate::part::part;
use crate::quote::quote;
use crate::range::range;
use crate::reasons::reasons;
use crate::receipt::receipt;
use crate::receive::receive;
use crate::replay::replay;
use crate::shelf::shelf;
use crate::show::show;
use crate::source::{open_to_read, open_to_write};
use crate::symptoms::symptoms;
use crate::webhooks::webhooks;

/// Runs a command; `None` where it is one that serves or describes the HTTP interface, which is not done here.
pub async fn ask(command: &Command, today: NaiveDate) -> Option<Result<Ended, Failure>> {
    Some(match command {
        Command::Serve(_) | Command::Demo(_) | Command::Openapi => return None,
        Command::Quote(arguments) => quote(arguments).await.map(|()| Ended::Well),
        Command::Fit(arguments) => fit(arguments).await.map(|()| Ended::Well),
        Command::Range(arguments) => range(arguments).await.map(|()| Ended::Well),
        Command::Symptoms(arguments) => symptoms(arguments).await.map(|()| Ended::Well),
        Command::Notice(arguments) => notice(arguments).await.map(|()| Ended::Well),
        Command::Reasons(arguments) => reasons(arguments).await.map(|()| Ended::Well),
        Command::Replay(arguments) => replay(arguments).map(|()| Ended::Well),
        Command::Kits(arguments) => kits(arguments).await.map(|()| Ended::Well),
        Command::Part(arguments) => part(arguments).await.map(|()| Ended::Well),
        Command::Show(arguments) => show(arguments).await.map(|()| Ended::Well),
        Command::Compare(arguments) => compare(arguments).await.map(|()| Ended::Well),
        Command::Order(arguments) => order(arguments).await.map(|()| Ended::Well),
        Command::Job(arguments) => job(arguments).await.map(|()| Ended::Well),
        Command::Serial(arguments) => serial(arguments).await.map(|()| Ended::Well),
        Command::Batch(arguments) => batch(arguments).await.map(|()| Ended::Well),
        Command::Shelf(arguments) => shelf(arguments).await.map(|()| Ended::Well),
        Command::Receive(arguments) => receive(arguments).await.map(|()| Ended::Well),
        Command::Receipt(arguments) => receipt(arguments).await.map(|()| Ended::Well),
        Command::Claim(arguments) => claim(arguments).await.map(|()| Ended::Well),
        Command::Webhooks(arguments) => webhooks(arguments).await.map(|()| Ended::Well),
        Command::Events(arguments) => events(arguments).await.map(|()| Ended::Well),
        Command::Audit(arguments) => audit(arguments).await.map(|()| Ended::Well),
        Command::Keys(arguments) => keys(arguments).await.map(|()| Ended::Well),
        Command::Import(arguments) => import_bundle(arguments, today).await,
        Command::Export(arguments) => export_bundle(arguments).await,
        Command::Check(arguments) => check_stored(arguments, today).await,
        Command::Calculation(command) => calculate(command).map(|()| Ended::Well),
    })
}

async fn import_bundle(arguments: &ImportArguments, today: NaiveDate) -> Result<Ended, Failure> {
    let shop = open_to_write(&arguments.database).await?;
    import(&shop, &arguments.import, today, &mut std::io::stdout()).await.map_err(|error| match error {
        ImportFailed::Import(error) => Failure::asked(error.to_string()),
        error @ ImportFailed::Output(_) => Failure::service(error.to_string()),
    })
}

async fn export_bundle(arguments: &ExportArguments) -> Result<Ended, Failure> {
    let shop = open_to_read(&arguments.database).await?;
    export(&shop, &arguments.export, &mut std::io::stdout()).await.map_err(|error| match error {
        ExportFailed::Export(error) => Failure::service(error.to_string()),
        error @ ExportFailed::Output(_) => Failure::service(error.to_string()),
    })
}

async fn check_stored(arguments: &CheckArguments, today: NaiveDate) -> Result<Ended, Failure> {
    let shop = open_to_read(&arguments.database).await?;
    check(&shop, &arguments.check, today, &mut std::io::stdout()).await.map_err(|error| match error {
        CheckFailed::Check(error) => Failure::service(error.to_string()),
        error @ (CheckFailed::Json(_) | CheckFailed::Output(_)) => Failure::service(error.to_string()),
    })
}
