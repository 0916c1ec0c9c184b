//! What the command line says about jobs and serial numbers.

use clap::{Args, Subcommand};

use crate::arguments::{UnitArguments, WhereArguments};

/// What is done with jobs.
#[derive(Debug, Clone, Args)]
pub struct JobArguments {
    /// What is done.
    #[command(subcommand)]
    pub command: JobCommand,
}

/// What can be done with jobs. They are listed in the order in which a job goes through them.
#[derive(Debug, Clone, Subcommand)]
pub enum JobCommand {
    /// Open a job from an enquiry: `crownwheel job open BN-640 --serial 10482 --by Ruth`.
    Open(Box<OpenArguments>),
    /// Show how far a job is, what was found and decided, and what can be done next.
    Show(NumberArguments),
    /// List the jobs, the oldest first.
    List(JobListArguments),
    /// Show the orders, receipts and reservations of a job.
    Papers(NumberArguments),
    /// Make an estimate and store it as a quote.
    Estimate(StepArguments),
    /// Note that the unit is taken apart.
    Strip(StepArguments),
    /// Write down what inspection finds.
    Find(FindArguments),
    /// Say what changed since the estimate, line by line, and why.
    Compare(NumberArguments),
    /// Settle what is kept, renewed and upgraded, and store it as a quote.
    Decide(StepArguments),
    /// Note the price that the customer agreed to.
    Approve(ApproveArguments),
    /// Begin the build.
    Build(StepArguments),
    /// Print what the job needs from the shelf, in order of assembly.
    PickList(NumberArguments),
    /// Issue parts to the job.
    Issue(PartsArguments),
    /// Bring parts back from the job.
    Return(PartsArguments),
    /// Choose shims from a measurement.
    Shims(ShimArguments),
    /// Hold the final measurements against the unit's limits.
    Inspect(InspectArguments),
    /// Close the job: what is inside the serial number is written down, surplus of kits goes on the shelf.
    Close(CloseArguments),
    /// Note that the job comes to nothing; what is reserved is given back.
    Cancel(CancelArguments),
}

/// The enquiry.
#[derive(Debug, Clone, Args)]
pub struct OpenArguments {
    /// What is asked for.
    #[command(flatten)]
    pub work: UnitArguments,
    /// The customer.
    #[arg(long)]
    pub customer: Option<String>,
    /// What the customer says.
    #[arg(long, default_value = "")]
    pub note: String,
    /// Who takes it in.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which job.
#[derive(Debug, Clone, Args)]
pub struct NumberArguments {
    /// The job's number, such as J-000001.
    pub number: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which jobs are listed.
#[derive(Debug, Clone, Args)]
pub struct JobListArguments {
    /// Only those in this state: enquiry, estimated, inspection, decided, approved, building, inspected, closed,
    /// cancelled.
    #[arg(long)]
    pub state: Option<String>,
    /// Only those behind this number.
    #[arg(long, value_name = "JOB")]
    pub after: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which step is taken, and by whom.
#[derive(Debug, Clone, Args)]
pub struct StepArguments {
    /// The job's number.
    pub number: String,
    /// A note.
    #[arg(long, default_value = "")]
    pub note: String,
    /// Who does it.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What inspection finds. In a job of several units a position is written UNIT:POSITION.
#[derive(Debug, Clone, Args)]
pub struct FindArguments {
    /// What inspection found: good, worn, damaged, repaired_before, missing.
    #[arg(long, value_name = "POSITION=GRADE")]
    pub finding: Vec<String>,
    /// What was measured.
    #[arg(long, value_name = "POSITION/BENCH-VALUE=FIGURE")]
    pub measured: Vec<String>,
    /// A part that is seen to be inside.
    #[arg(long, value_name = "POSITION=MAKER/NUMBER[@MARK]")]
    pub inside: Vec<String>,
    /// A variant that is seen to hold.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Vec<String>,
    /// Where a photo lies; it goes with all findings of this command.
    #[arg(long, default_value = "")]
    pub photo: String,
    /// The step.
    #[command(flatten)]
    pub step: StepArguments,
}

/// What the customer agreed to.
#[derive(Debug, Clone, Args)]
pub struct ApproveArguments {
    /// The price.
    #[arg(long)]
    pub price: String,
    /// Who agreed for the customer.
    #[arg(long, value_name = "NAME")]
    pub approved_by: String,
    /// The step.
    #[command(flatten)]
    pub step: StepArguments,
}

/// Which parts are issued or come back.
#[derive(Debug, Clone, Args)]
pub struct PartsArguments {
    /// A part for a position, from or into a bin; without a position for what has none, such as oil.
    #[arg(long, required = true, value_name = "[POSITION=]MAKER/NUMBER*QUANTITY@BIN")]
    pub part: Vec<String>,
    /// The maker's batch of all of them.
    #[arg(long, default_value = "")]
    pub batch: String,
    /// The mark etched on a matched set.
    #[arg(long, default_value = "")]
    pub mark: String,
    /// The job's number.
    pub number: String,
    /// Who takes them or brings them back.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What shims are chosen from.
#[derive(Debug, Clone, Args)]
pub struct ShimArguments {
    /// The job's number.
    pub number: String,
    /// Where they go; in a job of several units UNIT:POSITION.
    pub position: String,
    /// The thickness that the measurements ask for, in mm.
    #[arg(long, value_name = "MM")]
    pub wanted: f64,
    /// How far off it may be, in mm.
    #[arg(long, value_name = "MM")]
    pub tolerance: f64,
    /// A piece that lies in the box, in mm; left out: two of each of the position's series.
    #[arg(long, value_name = "MM")]
    pub shim: Vec<f64>,
    /// Who chooses.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// What the final inspection measured.
#[derive(Debug, Clone, Args)]
pub struct InspectArguments {
    /// The job's number.
    pub number: String,
    /// A measured value.
    #[arg(long, value_name = "POSITION/BENCH-VALUE=FIGURE")]
    pub measured: Vec<String>,
    /// Who measured.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// How a job is closed.
#[derive(Debug, Clone, Args)]
pub struct CloseArguments {
    /// The bin into which surplus of kits goes; left out: it stays where it was received.
    #[arg(long, value_name = "BIN")]
    pub surplus_bin: Option<String>,
    /// The step.
    #[command(flatten)]
    pub step: StepArguments,
}

/// Why a job comes to nothing.
#[derive(Debug, Clone, Args)]
pub struct CancelArguments {
    /// The job's number.
    pub number: String,
    /// Why.
    #[arg(long)]
    pub note: String,
    /// Who says so.
    #[arg(long, env = "CROWNWHEEL_BY", value_name = "NAME")]
    pub by: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which serial number is asked about.
#[derive(Debug, Clone, Args)]
pub struct SerialArguments {
    /// The unit's code.
    pub unit: String,
    /// The serial number on its plate.
    pub serial: String,
    /// The day that is asked about; left out: today.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub as_of: Option<String>,
    /// Say what changed since this day.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub since: Option<String>,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which batch is asked about.
#[derive(Debug, Clone, Args)]
pub struct BatchArguments {
    /// The maker's batch.
    pub batch: String,
    /// Where it is asked.
    #[command(flatten)]
    pub place: WhereArguments,
}
