//! What the command line says about the shelf.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::arguments::WhereArguments;

/// What is done with the shelf.
#[derive(Debug, Clone, Args)]
pub struct ShelfArguments {
    /// What is done.
    #[command(subcommand)]
    pub command: ShelfCommand,
}

/// What can be done with the shelf.
#[derive(Debug, Clone, Subcommand)]
pub enum ShelfCommand {
    /// What lies there: balance, reserved and available by bin, now or at a past movement.
    Balance(BalanceArguments),
    /// What moved, the oldest first.
    Movements(MovementsArguments),
    /// Reserve parts for a job: all of them or none.
    Reserve(ReserveArguments),
    /// What is reserved.
    Reservations(ReservationsArguments),
    /// Give a reservation back.
    Release(ReleaseArguments),
    /// Print the sheet by which the shelf, or a bin, is counted.
    CountSheet(SheetArguments),
    /// Book a count: the differences to its sheet, as adjustments.
    Count(CountArguments),
    /// What is below its minimum, and who sells what lacks.
    Minimums(MinimumArguments),
    /// Draft the orders that fill the shelf up again.
    Reorder(ReorderArguments),
}

/// Which lots are shown.
#[derive(Debug, Clone, Args)]
pub struct BalanceArguments {
    /// A part: MAKER/NUMBER, or the number alone; left out: all of them.
    pub part: Option<String>,
    /// Only in this bin.
    #[arg(long)]
    pub bin: Option<String>,
    /// As it was after this movement.
    #[arg(long, value_name = "NUMBER")]
    pub sequence: Option<i64>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which movements are shown.
#[derive(Debug, Clone, Args)]
pub struct MovementsArguments {
    /// A part: MAKER/NUMBER, or the number alone; left out: all of them.
    pub part: Option<String>,
    /// Only in this bin.
    #[arg(long)]
    pub bin: Option<String>,
    /// Only for this paper: a job or a receipt.
    #[arg(long)]
    pub paper: Option<String>,
    /// Only of this batch.
    #[arg(long)]
    pub batch: Option<String>,
    /// Only those after this movement.
    #[arg(long, value_name = "NUMBER")]
    pub after: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What is reserved.
#[derive(Debug, Clone, Args)]
pub struct ReserveArguments {
    /// The job.
    pub job: String,
    /// A part and how many; with a bin: only from there.
    #[arg(long, required = true, value_name = "MAKER/NUMBER*QUANTITY[@BIN]")]
    pub part: Vec<String>,
    /// Hours after which the reservation ends by itself.
    #[arg(long, value_name = "HOURS")]
    pub hours: Option<u32>,
    /// Who reserves.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which reservations are shown.
#[derive(Debug, Clone, Args)]
pub struct ReservationsArguments {
    /// Only of this job.
    #[arg(long)]
    pub job: Option<String>,
    /// Only of this part.
    #[arg(long)]
    pub part: Option<String>,
    /// Those that have ended, too.
    #[arg(long)]
    pub ended: bool,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which reservation is given back.
#[derive(Debug, Clone, Args)]
pub struct ReleaseArguments {
    /// Its number, such as RS-000001.
    pub number: String,
    /// Who gives it back.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which sheet is printed.
#[derive(Debug, Clone, Args)]
pub struct SheetArguments {
    /// Only this bin; left out: the whole shelf.
    #[arg(long)]
    pub bin: Option<String>,
    /// As CSV, to be filled in: the column `counted` is empty.
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What was counted.
#[derive(Debug, Clone, Args)]
pub struct CountArguments {
    /// The sheet as CSV, filled in.
    pub file: PathBuf,
    /// The ledger sequence that the sheet was printed at.
    #[arg(long, value_name = "NUMBER")]
    pub sequence: i64,
    /// Who counted.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Where it is asked what is below its minimum.
#[derive(Debug, Clone, Args)]
pub struct MinimumArguments {
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which reorders are drafted.
#[derive(Debug, Clone, Args)]
pub struct ReorderArguments {
    /// Only this part; left out: all that somebody sells.
    #[arg(long, value_name = "MAKER/NUMBER")]
    pub part: Vec<String>,
    /// A note to the suppliers.
    #[arg(long)]
    pub note: Option<String>,
    /// Who drafts them.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}
