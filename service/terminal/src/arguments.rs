//! What can be asked on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use crate::audit::AuditArguments;
use crate::calculations::CalculationCommand;
use crate::check::CheckArgs;
use crate::events::EventsArguments;
use crate::export::ExportArgs;
use crate::import::ImportArgs;
use crate::job_arguments::{BatchArguments, JobArguments, SerialArguments};
use crate::key_arguments::KeysArguments;
use crate::order_arguments::OrderArguments;
use crate::receipt_arguments::{ClaimArguments, ReceiptArguments, ReceiveArguments};
use crate::shelf_arguments::ShelfArguments;
use crate::webhooks::WebhooksArguments;

/// What a driveline rebuild needs, why, and what brings it.
#[derive(Debug, Parser)]
#[command(name = "crownwheel", version, about, max_term_width = 110)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Answer requests over HTTP until Ctrl-C.
    Serve(ServeArguments),
    /// Load the demo catalogue, print a quote from it, then serve it until Ctrl-C.
    Demo(DemoArguments),
    /// What a rebuild needs, what brings it, and what it costs.
    Quote(Box<QuoteArguments>),
    /// Does a part or set fit what is inside, and what else must change with it? Several side by side.
    Fit(Box<FitArguments>),
    /// What a rebuild may cost, before the unit is taken apart.
    Range(Box<RangeArguments>),
    /// What a symptom points to, and what to check on the vehicle first.
    Symptoms(SymptomsArguments),
    /// The kits for a unit side by side.
    Kits(KitsArguments),
    /// The numbers that stand for a part number today, and where it is used.
    Part(PartArguments),
    /// What a supersession or a bad batch that is entered today would touch, and by which way.
    Notice(NoticeArguments),
    /// Show a stored quote.
    Show(ShowArguments),
    /// Why each line of a stored quote is there.
    Reasons(ReasonsArguments),
    /// Answer a saved case again: its catalogue, prices, stock and day are in the file.
    Replay(ReplayArguments),
    /// Compare a stored quote with today, line by line.
    Compare(CompareArguments),
    /// Carry a job from the enquiry to the record of what is inside.
    Job(Box<JobArguments>),
    /// Say what is inside a serial number, its history, and what changed since a day.
    Serial(SerialArguments),
    /// Say into which serial numbers a maker's batch went.
    Batch(BatchArguments),
    /// Look after the shelf: balances, movements, reservations, counts, minimums.
    Shelf(Box<ShelfArguments>),
    /// Orders to suppliers: draft, show, place, acknowledge, close, cancel.
    Order(Box<OrderArguments>),
    /// Count a box against an order or a kit: book what is right, claim what is not.
    Receive(Box<ReceiveArguments>),
    /// Count sheets and receipts: print, show, list, take back.
    Receipt(ReceiptArguments),
    /// Claims on suppliers: show, list, send, accept, refuse, settle.
    Claim(ClaimArguments),
    /// What has changed, one line an event; followed until Ctrl-C.
    Events(EventsArguments),
    /// Who changed what, when, from which value to which.
    Audit(AuditArguments),
    /// Keys that requests to the service carry: make, list, revoke.
    Keys(KeysArguments),
    /// Who is told of events: create, list, show, pause, resume, replay, attempts, test.
    Webhooks(WebhooksArguments),
    /// Take a folder of CSV files into the catalogue: all of it or nothing.
    Import(ImportArguments),
    /// Write the catalogue as a folder of CSV files.
    Export(ExportArguments),
    /// Look for faults of meaning in the catalogue.
    Check(CheckArguments),
    /// A calculation.
    #[command(flatten)]
    Calculation(CalculationCommand),
    /// Print the OpenAPI document of the HTTP interface.
    Openapi,
}

/// Which database a command works on.
#[derive(Debug, Clone, Args)]
pub struct DatabaseArguments {
    /// A SQLite file, or postgres://USER@HOST/DATABASE. Left out: crownwheel.db here, or else crownwheel-demo.db.
    #[arg(long, env = "CROWNWHEEL_DATABASE", value_name = "FILE|URL")]
    pub database: Option<String>,
}

/// What is taken in.
#[derive(Debug, Clone, Args)]
pub struct ImportArguments {
    /// The database; a SQLite file is made where it is absent.
    #[command(flatten)]
    pub database: DatabaseArguments,
    /// What is taken in, and how.
    #[command(flatten)]
    pub import: ImportArgs,
}

/// What is written.
#[derive(Debug, Clone, Args)]
pub struct ExportArguments {
    /// The database.
    #[command(flatten)]
    pub database: DatabaseArguments,
    /// Where it is written.
    #[command(flatten)]
    pub export: ExportArgs,
}

/// What is checked.
#[derive(Debug, Clone, Args)]
pub struct CheckArguments {
    /// The database.
    #[command(flatten)]
    pub database: DatabaseArguments,
    /// How it is checked.
    #[command(flatten)]
    pub check: CheckArgs,
}

/// Where a question is asked.
#[derive(Debug, Clone, Args)]
pub struct WhereArguments {
    /// The database.
    #[command(flatten)]
    pub database: DatabaseArguments,
    /// Ask a running service instead of a database, as http://HOST:PORT.
    #[arg(long, conflicts_with = "database", value_name = "URL")]
    pub url: Option<String>,
    /// The key for the running service; `crownwheel keys create` makes one.
    #[arg(long, env = "CROWNWHEEL_KEY", hide_env_values = true, value_name = "KEY")]
    pub key: Option<String>,
    /// Print the answer as JSON.
    #[arg(long)]
    pub json: bool,
}

/// How the service is run.
#[derive(Debug, Clone, Args)]
pub struct ServeArguments {
    /// The database; a SQLite file is made where it is absent.
    #[command(flatten)]
    pub database: DatabaseArguments,
    /// Where to listen.
    #[arg(long, env = "CROWNWHEEL_LISTEN", default_value = "127.0.0.1:8080", value_name = "HOST:PORT")]
    pub listen: String,
    /// How many requests a key may send a minute, and at once; 0: as many as it likes.
    #[arg(long, env = "CROWNWHEEL_RATE_LIMIT", default_value_t = 6000, value_name = "COUNT")]
    pub rate_limit: u32,
    /// How log lines are written.
    #[arg(long, env = "CROWNWHEEL_LOG", default_value = "text", value_parser = ["text", "json"])]
    pub log: String,
    /// Seconds that a request may take.
    #[arg(long, default_value_t = 60, value_parser = clap::value_parser!(u64).range(1..=3600))]
    pub deadline_s: u64,
    /// A host that webhooks may go to wherever it is, and without encryption; several with commas between.
    #[arg(long, env = "CROWNWHEEL_ALLOW_WEBHOOK_HOST", value_delimiter = ',', value_name = "HOST")]
    pub allow_webhook_host: Vec<String>,
}

/// How the demo is run.
#[derive(Debug, Clone, Args)]
pub struct DemoArguments {
    /// The file of the demo's database.
    #[arg(long, default_value = "crownwheel-demo.db", value_name = "FILE")]
    pub file: PathBuf,
    /// Where to listen.
    #[arg(long, default_value = "127.0.0.1:8080", value_name = "HOST:PORT")]
    pub listen: String,
    /// Load and print, but do not serve.
    #[arg(long)]
    pub no_serve: bool,
}

/// Units, what is to be done with them, and what is known of them.
///
/// With several units a value that speaks of one of them is written UNIT:VALUE, such as BN-143:OUTPUT-SEAL=worn.
#[derive(Debug, Clone, Args)]
pub struct UnitArguments {
    /// Unit codes as they stand on the plates.
    #[arg(value_name = "UNIT", required_unless_present = "vehicle")]
    pub units: Vec<String>,
    /// A vehicle instead of a unit, with or without the role of one of its units.
    #[arg(long, value_name = "VEHICLE[=ROLE]")]
    pub vehicle: Vec<String>,
    /// The operation; left out: OVERHAUL.
    #[arg(long, value_name = "OPERATION")]
    pub operation: Vec<String>,
    /// The serial number on the plate.
    #[arg(long, value_name = "SERIAL")]
    pub serial: Vec<String>,
    /// The day it was built.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub built: Vec<String>,
    /// A variant that was seen or measured to hold.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Vec<String>,
    /// What inspection found: good, worn, damaged, repaired_before, missing.
    #[arg(long, value_name = "POSITION=GRADE")]
    pub finding: Vec<String>,
    /// What was measured.
    #[arg(long, value_name = "POSITION/BENCH-VALUE=FIGURE")]
    pub measured: Vec<String>,
    /// A part that is known to be inside, with the mark of a matched set if it has one.
    #[arg(long, value_name = "POSITION=MAKER/NUMBER[@MARK]")]
    pub inside: Vec<String>,
    /// A part, set or kit that is asked for, or several of which any one is.
    #[arg(long, value_name = "MAKER/NUMBER[,MAKER/NUMBER]")]
    pub choose: Vec<String>,
}

/// What is left out, how stock is used, and for which day.
#[derive(Debug, Clone, Args)]
pub struct BuyingArguments {
    /// A part or kit that must not be fitted or bought.
    #[arg(long, value_name = "MAKER/NUMBER")]
    pub without_part: Vec<String>,
    /// A supplier that must not be bought from.
    #[arg(long, value_name = "SUPPLIER")]
    pub without_supplier: Vec<String>,
    /// How stock is used: first, value, none.
    #[arg(long, default_value = "first")]
    pub stock: String,
    /// The day the answer is for; left out: today.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub as_of: Option<String>,
    /// Most steps of each search for a plan; left out: 40000. A plan that is not proven by then says so.
    #[arg(long, value_name = "COUNT")]
    pub search_steps: Option<u64>,
}

/// Other answers beside the best, and what it would cost to have it another way.
#[derive(Debug, Clone, Args)]
pub struct AlternativesArguments {
    /// So many of the next best answers, too; --without-part and --without-supplier then say what it would cost without.
    #[arg(long, value_name = "COUNT")]
    pub alternatives: Option<usize>,
    /// What it would cost with original parts only.
    #[arg(long, requires = "alternatives")]
    pub only_original: bool,
    /// What it would cost to leave no joint without a verdict.
    #[arg(long, requires = "alternatives")]
    pub no_unverified_joints: bool,
    /// What it would cost to buy from one supplier only.
    #[arg(long, requires = "alternatives", value_name = "SUPPLIER")]
    pub only_supplier: Vec<String>,
    /// What it would cost to fit a part or set.
    #[arg(long, requires = "alternatives", value_name = "MAKER/NUMBER")]
    pub with_part: Vec<String>,
    /// What it would cost to buy a kit.
    #[arg(long, requires = "alternatives", value_name = "MAKER/NUMBER")]
    pub with_kit: Vec<String>,
}

/// What a rebuild is asked with.
#[derive(Debug, Clone, Args)]
pub struct QuoteArguments {
    /// The units.
    #[command(flatten)]
    pub work: UnitArguments,
    /// How it is bought.
    #[command(flatten)]
    pub buying: BuyingArguments,
    /// What the plan should be best at: least_money, least_days, fewest_suppliers.
    #[arg(long, default_value = "least_money")]
    pub aim: String,
    /// What to do about what is not known: cover_all, measure_first.
    #[arg(long, default_value = "cover_all")]
    pub unknowns: String,
    /// Code of the customer.
    #[arg(long)]
    pub customer: Option<String>,
    /// Other answers.
    #[command(flatten)]
    pub others: AlternativesArguments,
    /// Store the quote.
    #[arg(long)]
    pub save: bool,
    /// Write all that the answer follows from into a file, for `crownwheel replay`.
    #[arg(long, value_name = "FILE")]
    pub save_case: Option<PathBuf>,
    /// List the positions that are kept, too.
    #[arg(long)]
    pub all: bool,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What someone wants to fit.
#[derive(Debug, Clone, Args)]
pub struct FitArguments {
    /// The units, and what is inside.
    #[command(flatten)]
    pub work: UnitArguments,
    /// A part or set that someone wants to fit; parts that go in together are written with a plus between. Several --want
    /// stand side by side.
    #[arg(long, required = true, value_name = "[POSITION=]MAKER/NUMBER[+MAKER/NUMBER]")]
    pub want: Vec<String>,
    /// How many ways to fit it are told of each, at least.
    #[arg(long, default_value_t = 5, value_name = "COUNT")]
    pub ways: usize,
    /// How it is bought.
    #[command(flatten)]
    pub buying: BuyingArguments,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What a price range is asked with.
#[derive(Debug, Clone, Args)]
pub struct RangeArguments {
    /// The units.
    #[command(flatten)]
    pub work: UnitArguments,
    /// How it is bought.
    #[command(flatten)]
    pub buying: BuyingArguments,
    /// Code of the customer.
    #[arg(long)]
    pub customer: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What the driver notices.
#[derive(Debug, Clone, Args)]
pub struct SymptomsArguments {
    /// The unit code; with --vehicle, a vehicle's.
    #[arg(value_name = "UNIT")]
    pub unit: String,
    /// What the driver notices, in any words; left out: the symptoms that are known are listed.
    #[arg(value_name = "SYMPTOM", required_if_eq("vehicle", "true"))]
    pub symptom: Option<String>,
    /// The first argument is a vehicle's code; all its units are looked at.
    #[arg(long)]
    pub vehicle: bool,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which kits are shown.
#[derive(Debug, Clone, Args)]
pub struct KitsArguments {
    /// The unit code.
    pub unit: String,
    /// The operation; left out: OVERHAUL.
    #[arg(long)]
    pub operation: Option<String>,
    /// The day for which prices and notices are read; left out: today.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub as_of: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which part is shown.
#[derive(Debug, Clone, Args)]
pub struct PartArguments {
    /// The number, alone or as MAKER/NUMBER.
    pub part: String,
    /// The day for which notices are read; left out: today.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub as_of: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What would be entered.
#[derive(Debug, Clone, Args)]
pub struct NoticeArguments {
    /// The old number, or the bad part: MAKER/NUMBER, or the number alone.
    pub part: String,
    /// The number that it gives way to, which may be new to the catalogue; left out: the part is bad.
    #[arg(long, value_name = "MAKER/NUMBER")]
    pub gives_way_to: Option<String>,
    /// In which direction they may serve for each other: two_way, new_for_old, none.
    #[arg(long, default_value = "new_for_old", requires = "gives_way_to")]
    pub interchange: String,
    /// Code of the notice, where it is in the catalogue already.
    #[arg(long, requires = "gives_way_to")]
    pub notice: Option<String>,
    /// The mark of the bad batch; left out: whatever is marked.
    #[arg(long, conflicts_with = "gives_way_to")]
    pub mark: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Whose reasons are shown, and how.
#[derive(Debug, Clone, Args)]
pub struct ReasonsArguments {
    /// The quote's number, such as Q-000001.
    pub number: String,
    /// Print them in the DOT language of Graphviz.
    #[arg(long, conflicts_with_all = ["svg", "json"])]
    pub dot: bool,
    /// Draw them into a file.
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    pub svg: Option<PathBuf>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which case is answered again.
#[derive(Debug, Clone, Args)]
pub struct ReplayArguments {
    /// The file that `crownwheel quote --save-case` or `crownwheel show --save-case` wrote; - is the standard input.
    pub file: PathBuf,
    /// List the positions that are kept, too.
    #[arg(long)]
    pub all: bool,
    /// Print the answer as JSON.
    #[arg(long)]
    pub json: bool,
}

/// Which quote is shown.
#[derive(Debug, Clone, Args)]
pub struct ShowArguments {
    /// The quote's number, such as Q-000001.
    pub number: String,
    /// List the positions that are kept, too.
    #[arg(long)]
    pub all: bool,
    /// Write all that the quote froze into a file, for `crownwheel replay`.
    #[arg(long, value_name = "FILE")]
    pub save_case: Option<PathBuf>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which quote is compared.
#[derive(Debug, Clone, Args)]
pub struct CompareArguments {
    /// The quote's number, such as Q-000001.
    pub number: String,
    /// The day that it is held against; left out: today.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub as_of: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn the_arguments_do_not_contradict_each_other() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn a_database_and_a_service_are_not_asked_at_once() {
        let both = ["crownwheel", "quote", "BN-640", "--database", "x.db", "--url", "http://h"];
        assert!(Arguments::try_parse_from(both).is_err());
        assert!(Arguments::try_parse_from(["crownwheel", "quote"]).is_err());
    }
}
