//! The crownwheel service: arguments, start and stop. Nothing else is decided here.

use std::process::ExitCode;
use std::time::Duration;

use chrono::Utc;
use clap::Parser;
use http_api::{RateLimit, Server, ServerOptions};
use operations::access_keys::{create_first_key, has_keys};
use operations::shop::Shop;
use terminal::Ended;
use terminal::arguments::{Arguments, Command, DemoArguments, ServeArguments};
use terminal::failure::Failure;
use terminal::output::{complain, say};
use tracing_subscriber::EnvFilter;

fn main() -> ExitCode {
    let command = Arguments::parse().command;
    let runtime = match tokio::runtime::Builder::new_multi_thread().enable_all().build() {
        Ok(runtime) => runtime,
        Err(error) => {
            complain(&format!("error: cannot start: {error}"));
            return ExitCode::from(3);
        }
    };
    match runtime.block_on(run(&command)) {
        Ok(ended) => ended.into(),
        Err(failure) => {
            complain(&format!("error: {}", failure.message));
            failure.exit_code()
        }
    }
}

async fn run(command: &Command) -> Result<Ended, Failure> {
    let today = Utc::now().date_naive();
    match command {
        Command::Serve(arguments) => serve(arguments).await,
        Command::Demo(arguments) => demo(arguments, today).await,
        Command::Openapi => {
            let document = http_api::openapi_json();
            let document =
                document.map_err(|error| Failure::service(format!("cannot write the document: {error}")))?;
            say(&document).map(|()| Ended::Well)
        }
        command => {
            log_lines("text", "warn");
            terminal::ask(command, today).await.unwrap_or(Ok(Ended::Well))
        }
    }
}

async fn serve(arguments: &ServeArguments) -> Result<Ended, Failure> {
    log_lines(&arguments.log, "info");
    let shop = terminal::source::open_to_write(&arguments.database).await?;
    let options = ServerOptions {
        listen: arguments.listen.clone(),
        deadline: Duration::from_secs(arguments.deadline_s),
        rate_limit: rate_limit(arguments.rate_limit),
        allow_webhook_hosts: arguments.allow_webhook_host.clone(),
        ..ServerOptions::default()
    };
    let server = listen(&shop, &options)?;
    require_keys(&shop, &server, arguments).await?;
    for address in server.addresses() {
        tracing::info!(%address, "listening on http://{address}");
    }
    run_to_the_end(server, shop).await
}

async fn demo(arguments: &DemoArguments, today: chrono::NaiveDate) -> Result<Ended, Failure> {
    log_lines("text", "warn");
    let shop = terminal::demo::demo(arguments, today).await?;
    if arguments.no_serve {
        return Ok(Ended::Well);
    }
    let options = ServerOptions { listen: arguments.listen.clone(), ..ServerOptions::default() };
    let server = listen(&shop, &options)?;
    if let Some(address) = server.addresses().first() {
        let key = terminal::demo::key(&shop).await?;
        say(&terminal::demo::how_to_ask(&address.to_string(), &key))?;
    }
    run_to_the_end(server, shop).await
}

fn rate_limit(requests: u32) -> Option<RateLimit> {
    (requests > 0).then(|| RateLimit { requests, ..RateLimit::default() })
}

/// A new database that is served to this machine alone gets an owner's key, printed this once. Where others could reach the
/// service, somebody must have made a key before.
async fn require_keys(shop: &Shop, server: &Server, arguments: &ServeArguments) -> Result<(), Failure> {
    if server.addresses().iter().all(|address| address.ip().is_loopback()) {
        return match create_first_key(shop).await? {
            Some(key) => say(&terminal::keys::made(&key)),
            None => Ok(()),
        };
    }
    if has_keys(shop).await? {
        return Ok(());
    }
    Err(Failure::command_line(format!(
        "the database has no key, and others than this machine could reach {}: make an owner's key first with the same \
         database, `crownwheel keys create --role owner --name NAME`, or listen on 127.0.0.1",
        arguments.listen
    )))
}

fn listen(shop: &Shop, options: &ServerOptions) -> Result<Server, Failure> {
    Server::start(shop.clone(), options).map_err(|error| Failure::service(error.to_string()))
}

/// Serves until the process is told to stop; what is open then is finished before the database is let go.
async fn run_to_the_end(server: Server, shop: Shop) -> Result<Ended, Failure> {
    server.run().await.map_err(|error| Failure::service(error.to_string()))?;
    shop.close().await.map_err(|error| Failure::service(error.to_string()))?;
    tracing::info!("stopped");
    Ok(Ended::Well)
}

/// Log lines go to the standard error; `RUST_LOG` says which.
fn log_lines(form: &str, usual: &str) {
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new(usual));
    let lines = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    // A second subscriber is refused, and the first one stays: there is only one.
    let _ = if form == "json" { lines.json().try_init() } else { lines.try_init() };
}
