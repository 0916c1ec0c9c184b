//! What can be asked of orders on the command line.

use clap::{Args, Subcommand};

use crate::arguments::WhereArguments;

/// What to do with orders.
#[derive(Debug, Clone, Args)]
pub struct OrderArguments {
    /// What to do.
    #[command(subcommand)]
    pub command: OrderCommand,
}

/// What to do with orders.
#[derive(Debug, Clone, Subcommand)]
pub enum OrderCommand {
    /// Draft orders, one a supplier: from the shortages of a stored quote, or for parts by name.
    Draft(DraftArguments),
    /// Draft orders for all that approved jobs and the shelf lack, in one go.
    Round(RoundArguments),
    /// Show an order.
    Show(NumberArguments),
    /// List orders, the oldest first.
    List(ListArguments),
    /// Note that an order was sent to the supplier.
    Place(StepArguments),
    /// Note what the supplier answered.
    Acknowledge(AcknowledgeArguments),
    /// Take substitutes that the supplier offers.
    TakeSubstitute(TakeArguments),
    /// Wait no longer for what lacks.
    Close(StepArguments),
    /// Call an order off before anything came.
    Cancel(StepArguments),
}

/// What is ordered.
#[derive(Debug, Clone, Args)]
pub struct DraftArguments {
    /// The stored quote whose shortages are ordered.
    #[arg(long, value_name = "QUOTE", conflicts_with = "part", required_unless_present_any = ["part", "job"])]
    pub quote: Option<String>,
    /// The job it is for; without --quote and --part: what the job's decision buys.
    #[arg(long, value_name = "JOB")]
    pub job: Option<String>,
    /// Order for the quote although orders for it exist.
    #[arg(long)]
    pub again: bool,
    /// A part to order, and how many.
    #[arg(long, value_name = "MAKER/NUMBER=QUANTITY")]
    pub part: Vec<String>,
    /// Buy the parts from this supplier only.
    #[arg(long, requires = "part")]
    pub supplier: Option<String>,
    /// A note to the supplier.
    #[arg(long)]
    pub note: Option<String>,
    /// Who drafts it.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// How an order round is made.
#[derive(Debug, Clone, Args)]
pub struct RoundArguments {
    /// Only say what would be ordered.
    #[arg(long)]
    pub dry_run: bool,
    /// What the purchase should be best at: least_money, least_days, fewest_suppliers.
    #[arg(long, default_value = "least_money")]
    pub aim: String,
    /// A note to the suppliers.
    #[arg(long)]
    pub note: Option<String>,
    /// Most milliseconds of the search.
    #[arg(long, value_name = "MILLISECONDS")]
    pub time_budget_ms: Option<u64>,
    /// Most steps of the search.
    #[arg(long, value_name = "STEPS")]
    pub search_steps: Option<u64>,
    /// Who makes it.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which order is shown.
#[derive(Debug, Clone, Args)]
pub struct NumberArguments {
    /// The order's number, such as PO-000001.
    pub number: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which orders are listed.
#[derive(Debug, Clone, Args)]
pub struct ListArguments {
    /// Only those to this supplier.
    #[arg(long)]
    pub supplier: Option<String>,
    /// Only those in this state: draft, placed, acknowledged, part_received, received, closed, cancelled.
    #[arg(long)]
    pub state: Option<String>,
    /// Only those for this quote.
    #[arg(long)]
    pub quote: Option<String>,
    /// Only those behind this number.
    #[arg(long, value_name = "ORDER")]
    pub after: Option<String>,
    /// Only those with lines for this job.
    #[arg(long)]
    pub job: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// A step of an order.
#[derive(Debug, Clone, Args)]
pub struct StepArguments {
    /// The order's number.
    pub number: String,
    /// A note.
    #[arg(long)]
    pub note: Option<String>,
    /// Who does it.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What the supplier answered.
#[derive(Debug, Clone, Args)]
pub struct AcknowledgeArguments {
    /// The order, and who notes it.
    #[command(flatten)]
    pub step: StepArguments,
    /// A line with another quantity.
    #[arg(long, value_name = "LINE=QUANTITY")]
    pub quantity: Vec<String>,
    /// A line with another day.
    #[arg(long, value_name = "LINE=YYYY-MM-DD")]
    pub day: Vec<String>,
    /// A line for which another part is offered.
    #[arg(long, value_name = "LINE=MAKER/NUMBER")]
    pub substitute: Vec<String>,
}

/// Which substitutes are taken.
#[derive(Debug, Clone, Args)]
pub struct TakeArguments {
    /// The order, and who takes them.
    #[command(flatten)]
    pub step: StepArguments,
    /// The number of a line.
    #[arg(long, required = true)]
    pub line: Vec<i64>,
}
