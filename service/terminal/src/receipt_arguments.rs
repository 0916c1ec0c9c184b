//! What can be asked of receipts and claims on the command line.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::arguments::WhereArguments;

/// A box that was counted.
#[derive(Debug, Clone, Args)]
pub struct ReceiveArguments {
    /// The order that it is counted against.
    #[arg(value_name = "ORDER", required_unless_present = "kit", conflicts_with = "kit")]
    pub order: Option<String>,
    /// A kit that it is counted against, without an order.
    #[arg(long, value_name = "MAKER/NUMBER")]
    pub kit: Option<String>,
    /// How many boxes of the kit.
    #[arg(long, requires = "kit")]
    pub boxes: Option<String>,
    /// Who sent the kit.
    #[arg(long, requires = "kit")]
    pub supplier: Option<String>,
    /// Only this line of the order.
    #[arg(long)]
    pub line: Vec<i64>,
    /// A file with the columns part,quantity,damaged: the count sheet, filled in.
    #[arg(long, value_name = "FILE", conflicts_with = "part", required_unless_present = "part")]
    pub count: Option<PathBuf>,
    /// What was counted under one number (GTIN or part number), damaged ones among them.
    #[arg(long, value_name = "NUMBER=QUANTITY[,DAMAGED]")]
    pub part: Vec<String>,
    /// The bin into which everything goes; left out: where most of each part lies.
    #[arg(long)]
    pub bin: Option<String>,
    /// More boxes are on their way: what lacks is not short yet.
    #[arg(long)]
    pub more_to_come: bool,
    /// Keep what is more than was ordered.
    #[arg(long)]
    pub keep_over: bool,
    /// A note.
    #[arg(long)]
    pub note: Option<String>,
    /// Who counted.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What to do with receipts.
#[derive(Debug, Clone, Args)]
pub struct ReceiptArguments {
    /// What to do.
    #[command(subcommand)]
    pub command: ReceiptCommand,
}

/// What to do with receipts.
#[derive(Debug, Clone, Subcommand)]
pub enum ReceiptCommand {
    /// Print the sheet by which a box of an order is counted.
    Sheet(SheetArguments),
    /// Show a receipt.
    Show(PaperArguments),
    /// List receipts, the oldest first.
    List(ReceiptListArguments),
    /// Take a receipt back.
    Reverse(ReverseArguments),
}

/// Which count sheet is printed.
#[derive(Debug, Clone, Args)]
pub struct SheetArguments {
    /// The order's number.
    pub order: String,
    /// As CSV, to be filled in.
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which paper is shown.
#[derive(Debug, Clone, Args)]
pub struct PaperArguments {
    /// Its number.
    pub number: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which receipts are listed.
#[derive(Debug, Clone, Args)]
pub struct ReceiptListArguments {
    /// Only those counted against this order.
    #[arg(long)]
    pub order: Option<String>,
    /// Only those from this supplier.
    #[arg(long)]
    pub supplier: Option<String>,
    /// Only those that came for this job.
    #[arg(long)]
    pub job: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which receipt is taken back.
#[derive(Debug, Clone, Args)]
pub struct ReverseArguments {
    /// Its number.
    pub number: String,
    /// Why.
    #[arg(long)]
    pub note: String,
    /// Who takes it back.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What to do with claims.
#[derive(Debug, Clone, Args)]
pub struct ClaimArguments {
    /// What to do.
    #[command(subcommand)]
    pub command: ClaimCommand,
}

/// What to do with claims.
#[derive(Debug, Clone, Subcommand)]
pub enum ClaimCommand {
    /// Show a claim.
    Show(PaperArguments),
    /// List claims, the oldest first.
    List(ClaimListArguments),
    /// Note that a claim was sent to the supplier.
    Send(ClaimStepArguments),
    /// Note that the supplier accepts it.
    Accept(ClaimStepArguments),
    /// Note that the supplier refuses it.
    Refuse(ClaimStepArguments),
    /// Note that it is paid, replaced or given up.
    Settle(ClaimStepArguments),
    /// What a supplier's boxes were short of, month by month.
    Faults(FaultsArguments),
}

/// Which claims are listed.
#[derive(Debug, Clone, Args)]
pub struct ClaimListArguments {
    /// Only those on this supplier.
    #[arg(long)]
    pub supplier: Option<String>,
    /// Only those in this state: open, sent, accepted, refused, settled, withdrawn.
    #[arg(long)]
    pub state: Option<String>,
    /// Only those for this order.
    #[arg(long)]
    pub order: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// A step of a claim.
#[derive(Debug, Clone, Args)]
pub struct ClaimStepArguments {
    /// The claim's number.
    pub number: String,
    /// What the supplier answered, or how it was settled.
    #[arg(long)]
    pub note: Option<String>,
    /// Who does it.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Of which supplier.
#[derive(Debug, Clone, Args)]
pub struct FaultsArguments {
    /// The supplier's code.
    pub supplier: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}
