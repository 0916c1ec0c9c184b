//! `crownwheel webhooks`: who is told of events.

use clap::{Args, Subcommand};
use operations::events::LATEST;
use operations::webhooks::{
    AskedReplay, AskedWebhook, AskedWebhookTest, AttemptList, AttemptSheet, Courier, WebhookError,
    WebhookProgress, WebhookReplacement, WebhookSheet, WebhookState, WebhookWithSecret, courier,
};
use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::arguments::WhereArguments;
use crate::failure::{Failure, with_suggestions};
use crate::output::say;
use crate::quote::read;
use crate::service_client::segment;
use crate::source::{LIST_LIMIT, Source, json};
use crate::wrapped_table::{WrappedTable, terminal_width};

/// What is done with webhooks.
#[derive(Debug, Clone, Args)]
pub struct WebhooksArguments {
    /// What is done.
    #[command(subcommand)]
    pub command: WebhooksCommand,
}

/// What is done with webhooks.
#[derive(Debug, Clone, Subcommand)]
pub enum WebhooksCommand {
    /// Have events posted to an address; prints the secret, which is shown only this once.
    Create(CreateArguments),
    /// List the webhooks.
    List(ListArguments),
    /// Show a webhook.
    Show(IdArguments),
    /// Post nothing until it is resumed; what comes meanwhile waits.
    Pause(ByArguments),
    /// Post again, at once what has waited.
    Resume(ByArguments),
    /// Post all events behind a cursor again.
    Replay(ReplayArguments),
    /// The last attempts to deliver, and how far the deliveries are.
    Attempts(IdArguments),
    /// Post a test at once, and tell what came of it.
    Test(ByArguments),
}

/// A webhook that is to be made.
#[derive(Debug, Clone, Args)]
pub struct CreateArguments {
    /// Where events are posted: https, and outside unless the owner allows the host by name.
    #[arg(long, value_name = "ADDRESS")]
    pub to: String,
    /// Only events of a type, such as order.placed or order.*.
    #[arg(long = "type", value_name = "TYPE")]
    pub types: Vec<String>,
    /// What it is, in words.
    #[arg(long, default_value = "", value_name = "WORDS")]
    pub description: String,
    /// The cursor behind which its events stand. Left out: those from now on.
    #[arg(long, value_name = "CURSOR")]
    pub after: Option<String>,
    /// Who makes it.
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// A host that may lie inside, by name (with a database at hand; a running service has its own).
    #[arg(long, env = "CROWNWHEEL_ALLOW_WEBHOOK_HOST", value_delimiter = ',', value_name = "HOST")]
    pub allow_webhook_host: Vec<String>,
    /// Where.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Where webhooks are listed.
#[derive(Debug, Clone, Args)]
pub struct ListArguments {
    /// Where.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// A webhook.
#[derive(Debug, Clone, Args)]
pub struct IdArguments {
    /// Its id.
    #[arg(value_name = "ID")]
    pub id: String,
    /// Where.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// A webhook with which something is done.
#[derive(Debug, Clone, Args)]
pub struct ByArguments {
    /// Its id.
    #[arg(value_name = "ID")]
    pub id: String,
    /// Who does it.
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// A host that may lie inside, by name (with a database at hand; a running service has its own).
    #[arg(long, env = "CROWNWHEEL_ALLOW_WEBHOOK_HOST", value_delimiter = ',', value_name = "HOST")]
    pub allow_webhook_host: Vec<String>,
    /// Where.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What is posted again.
#[derive(Debug, Clone, Args)]
pub struct ReplayArguments {
    /// The webhook's id.
    #[arg(value_name = "ID")]
    pub id: String,
    /// The cursor behind which all events are posted again; 0: all that there are.
    #[arg(long, value_name = "CURSOR")]
    pub after: String,
    /// Who asks.
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Where.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Does what is asked of webhooks.
pub(crate) async fn webhooks(arguments: &WebhooksArguments) -> Result<(), Failure> {
    match &arguments.command {
        WebhooksCommand::Create(arguments) => create(arguments).await,
        WebhooksCommand::List(arguments) => list(arguments).await,
        WebhooksCommand::Show(arguments) => {
            let source = Source::open(&arguments.place).await?;
            print(&source.webhook(&arguments.id).await?, arguments.place.json, sheet_text)
        }
        WebhooksCommand::Pause(arguments) => set(arguments, WebhookState::Paused).await,
        WebhooksCommand::Resume(arguments) => set(arguments, WebhookState::Active).await,
        WebhooksCommand::Replay(arguments) => replay(arguments).await,
        WebhooksCommand::Attempts(arguments) => {
            let source = Source::open(&arguments.place).await?;
            print(&source.webhook_attempts(&arguments.id).await?, arguments.place.json, attempts_text)
        }
        WebhooksCommand::Test(arguments) => {
            let source = Source::open(&arguments.place).await?;
            let asked = AskedWebhookTest { by: arguments.by.clone() };
            let text = source.webhook_test(&arguments.id, &asked, &arguments.allow_webhook_host).await?;
            print(&text, arguments.place.json, |attempt: &AttemptSheet| {
                table_of(std::slice::from_ref(attempt))
            })
        }
    }
}

async fn create(arguments: &CreateArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let after = match arguments.after.as_deref() {
        Some(LATEST) | None => None,
        after => after.map(str::to_owned),
    };
    let asked = AskedWebhook {
        url: arguments.to.clone(),
        types: arguments.types.clone(),
        description: arguments.description.clone(),
        after,
        by: arguments.by.clone(),
    };
    let text = source.create_webhook(&asked, &arguments.allow_webhook_host).await?;
    print(&text, arguments.place.json, |made: &WebhookWithSecret| {
        format!("{}secret       {}  (shown only now)\n", sheet_text(&made.webhook), made.secret)
    })
}

async fn list(arguments: &ListArguments) -> Result<(), Failure> {
    #[derive(Deserialize)]
    struct Items {
        items: Vec<WebhookSheet>,
    }
    let source = Source::open(&arguments.place).await?;
    print(&source.webhooks().await?, arguments.place.json, |listed: &Items| {
        let mut table = WrappedTable::new(&["webhook", "state", "to", "types", "description"]);
        for webhook in &listed.items {
            let (id, to) = (webhook.id.clone(), webhook.url.clone());
            table.row([id, state_text(webhook), to, types_text(webhook), webhook.description.clone()]);
        }
        if table.is_empty() { "there is no webhook\n".to_owned() } else { table.text(terminal_width()) }
    })
}

async fn set(arguments: &ByArguments, state: WebhookState) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let current: WebhookSheet = read(&source.webhook(&arguments.id).await?)?;
    let WebhookSheet { url, types, description, .. } = current;
    let asked = WebhookReplacement { url, types, description, state, by: arguments.by.clone() };
    let text = source.replace_webhook(&arguments.id, &asked, &arguments.allow_webhook_host).await?;
    print(&text, arguments.place.json, sheet_text)
}

async fn replay(arguments: &ReplayArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let asked = AskedReplay { after: arguments.after.clone(), by: arguments.by.clone() };
    print(&source.replay_webhook(&arguments.id, &asked).await?, arguments.place.json, progress_text)
}

/// Prints an answer as it came, or as a text.
fn print<T: DeserializeOwned>(
    answer: &str,
    as_json: bool,
    text: impl Fn(&T) -> String,
) -> Result<(), Failure> {
    if as_json { say(&format!("{answer}\n")) } else { say(&text(&read(answer)?)) }
}

fn sheet_text(webhook: &WebhookSheet) -> String {
    let made = webhook.created_at.format("%Y-%m-%d");
    format!(
        "webhook      {}\nstate        {}\nto           {}\ntypes        {}\ndescription  {}\nmade         {made} by {}\n",
        webhook.id,
        state_text(webhook),
        webhook.url,
        types_text(webhook),
        webhook.description,
        webhook.created_by,
    )
}

fn state_text(webhook: &WebhookSheet) -> String {
    match webhook.paused_because {
        None => webhook.state.to_string(),
        Some(cause) => format!("{} ({cause})", webhook.state),
    }
}

fn types_text(webhook: &WebhookSheet) -> String {
    let bare = |name: &String| name.strip_prefix(catalogue::event::TYPE_PREFIX).unwrap_or(name).to_owned();
    let types: Vec<String> = webhook.types.iter().map(bare).collect();
    if types.is_empty() { "all".to_owned() } else { types.join(", ") }
}

fn progress_text(progress: &WebhookProgress) -> String {
    match (progress.waiting, &progress.first_waiting) {
        (0, _) | (_, None) => format!("looked at up to {}, nothing waits\n", progress.position),
        (count, Some(first)) => {
            format!("looked at up to {}, {count} wait, the first of them {first}\n", progress.position)
        }
    }
}

fn attempts_text(list: &AttemptList) -> String {
    format!("{}{}", table_of(&list.items), progress_text(&list.progress))
}

fn table_of(attempts: &[AttemptSheet]) -> String {
    let mut table = WrappedTable::new(&["at", "type", "subject", ">try", ">status", ">ms", "answer"]);
    for attempt in attempts {
        let kind = attempt.kind.strip_prefix(catalogue::event::TYPE_PREFIX).unwrap_or(&attempt.kind);
        table.row([
            attempt.at.format("%Y-%m-%d %H:%M:%S").to_string(),
            kind.to_owned(),
            attempt.subject.clone(),
            attempt.tries.to_string(),
            attempt.status.map_or_else(|| "-".to_owned(), |status| status.to_string()),
            attempt.took_ms.to_string(),
            attempt.answer.split_whitespace().collect::<Vec<_>>().join(" "),
        ]);
    }
    if table.is_empty() { "no attempt yet\n".to_owned() } else { table.text(terminal_width()) }
}

fn courier_to(allowed: &[String]) -> Result<Courier, Failure> {
    courier(allowed).map_err(|error| Failure::service(error.to_string()))
}

impl Source {
    async fn create_webhook(&self, asked: &AskedWebhook, allowed: &[String]) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::webhooks::create_webhook(shop, &courier_to(allowed)?, asked).await?)
            }
            Self::Service(service) => service.post("/v1/webhooks", asked).await,
        }
    }

    async fn webhooks(&self) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let listed = operations::webhooks::list_webhooks(shop, None, LIST_LIMIT).await?;
                json(&serde_json::json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                service.get("/v1/webhooks", &[("limit", &LIST_LIMIT.to_string())]).await
            }
        }
    }

    async fn webhook(&self, id: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::webhooks::show_webhook(shop, id).await?),
            Self::Service(service) => service.get(&format!("/v1/webhooks/{}", segment(id)), &[]).await,
        }
    }

    async fn replace_webhook(
        &self,
        id: &str,
        asked: &WebhookReplacement,
        allowed: &[String],
    ) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let as_it_is = |_: &WebhookSheet| Ok::<(), WebhookError>(());
                let courier = courier_to(allowed)?;
                json(&operations::webhooks::replace_webhook(shop, &courier, id, asked, as_it_is).await?)
            }
            Self::Service(service) => service.put(&format!("/v1/webhooks/{}", segment(id)), asked).await,
        }
    }

    async fn replay_webhook(&self, id: &str, asked: &AskedReplay) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::webhooks::replay_webhook(shop, id, asked).await?),
            Self::Service(service) => {
                service.post(&format!("/v1/webhooks/{}/replays", segment(id)), asked).await
            }
        }
    }

    async fn webhook_attempts(&self, id: &str) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => json(&operations::webhooks::list_attempts(shop, id, None, 50).await?.0),
            Self::Service(service) => {
                service.get(&format!("/v1/webhooks/{}/attempts", segment(id)), &[]).await
            }
        }
    }

    async fn webhook_test(
        &self,
        id: &str,
        asked: &AskedWebhookTest,
        allowed: &[String],
    ) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                json(&operations::webhooks::send_test(shop, &courier_to(allowed)?, id, asked).await?)
            }
            Self::Service(service) => {
                service.post(&format!("/v1/webhooks/{}/tests", segment(id)), asked).await
            }
        }
    }
}

impl From<WebhookError> for Failure {
    fn from(error: WebhookError) -> Self {
        let message = error.to_string();
        match error {
            WebhookError::Bad { suggestions, .. } => Self::asked(with_suggestions(message, &suggestions)),
            WebhookError::NotFound(_) | WebhookError::Stale => Self::asked(message),
            WebhookError::NoRandomness => Self::service(message),
            WebhookError::Store(error) => error.into(),
        }
    }
}
