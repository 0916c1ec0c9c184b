//! `crownwheel job`: carries a job from the enquiry to the record; `crownwheel serial` and `crownwheel batch`: what is
//! inside a serial number, and where a batch went.

use catalogue::{Money, Quantity};
use operations::asked::Asked;
use operations::jobs::as_built::BatchUse;
use operations::jobs::change::{JobChange, PlainStep, StepToTake};
use operations::jobs::final_inspection::{FinalInspection, ValueMeasured};
use operations::jobs::findings::FindingsToAdd;
use operations::jobs::list::JobHead;
use operations::jobs::open::Enquiry;
use operations::jobs::parts_of_job::{PartToMove, PartsToMove, ShimsToChoose};
use operations::jobs::step::{JobFinding, JobInside, JobVariant};
use operations::{JobState, asked::AskedFinding};
use serde::Deserialize;

use crate::failure::Failure;
use crate::job_arguments::{
    BatchArguments, FindArguments, InspectArguments, JobArguments, JobCommand, JobListArguments,
    OpenArguments, PartsArguments, SerialArguments, ShimArguments, StepArguments,
};
use crate::order::quantity_of;
use crate::output::say;
use crate::print_job::{batch_text, comparison_text, job_text, papers_text, pick_list_text, serial_text};
use crate::quote::read;
use crate::quote_request::{asked_units, day, finding, inside, measured};
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Does what is asked of jobs.
pub(crate) async fn job(arguments: &JobArguments) -> Result<(), Failure> {
    match &arguments.command {
        JobCommand::Open(arguments) => open(arguments).await,
        JobCommand::List(arguments) => list(arguments).await,
        JobCommand::Show(asked) => {
            let text = Source::open(&asked.place).await?.job(&asked.number).await?;
            print(&text, asked.place.json, job_text)
        }
        JobCommand::Papers(asked) => {
            let text = Source::open(&asked.place).await?.job_papers(&asked.number).await?;
            print(&text, asked.place.json, papers_text)
        }
        JobCommand::Compare(asked) => {
            let text = Source::open(&asked.place).await?.job_comparison(&asked.number).await?;
            print(&text, asked.place.json, comparison_text)
        }
        JobCommand::PickList(asked) => {
            let text = Source::open(&asked.place).await?.pick_list(&asked.number).await?;
            print(&text, asked.place.json, pick_list_text)
        }
        JobCommand::Estimate(asked) => plain(asked, PlainStep::Estimate, |_| ()).await,
        JobCommand::Strip(asked) => plain(asked, PlainStep::Strip, |_| ()).await,
        JobCommand::Decide(asked) => plain(asked, PlainStep::Decide, |_| ()).await,
        JobCommand::Build(asked) => plain(asked, PlainStep::Build, |_| ()).await,
        JobCommand::Approve(asked) => {
            let price = Money::parse(&asked.price).ok_or_else(|| {
                Failure::command_line(format!("--price: `{}` is no price; write it as 450.50", asked.price))
            })?;
            plain(&asked.step, PlainStep::Approve, |step| {
                step.price = Some(price);
                step.approved_by = Some(asked.approved_by.clone());
            })
            .await
        }
        JobCommand::Close(asked) => {
            plain(&asked.step, PlainStep::Close, |step| step.surplus_bin.clone_from(&asked.surplus_bin)).await
        }
        JobCommand::Cancel(asked) => {
            let step = StepArguments {
                number: asked.number.clone(),
                note: asked.note.clone(),
                by: asked.by.clone(),
                place: asked.place.clone(),
            };
            plain(&step, PlainStep::Cancel, |_| ()).await
        }
        JobCommand::Find(asked) => change(&asked.step, JobChange::Find(findings(asked)?)).await,
        JobCommand::Issue(asked) => change(&of_parts(asked), JobChange::Issue(parts(asked)?)).await,
        JobCommand::Return(asked) => change(&of_parts(asked), JobChange::Return(parts(asked)?)).await,
        JobCommand::Shims(asked) => shims(asked).await,
        JobCommand::Inspect(asked) => inspect(asked).await,
    }
}

/// Prints an answer as it is, or in words.
fn print<T: serde::de::DeserializeOwned>(
    text: &str,
    as_json: bool,
    words: impl FnOnce(&T, usize) -> String,
) -> Result<(), Failure> {
    if as_json {
        return say(&format!("{text}\n"));
    }
    say(&words(&read(text)?, terminal_width()))
}

async fn open(arguments: &OpenArguments) -> Result<(), Failure> {
    let enquiry = Enquiry {
        by: arguments.by.clone(),
        note: arguments.note.clone(),
        request: Asked {
            units: asked_units(&arguments.work)?,
            customer: arguments.customer.clone(),
            ..Asked::overhaul("")
        },
    };
    let text = Source::open(&arguments.place).await?.open_job(&enquiry).await?;
    print(&text, arguments.place.json, job_text)
}

async fn list(arguments: &JobListArguments) -> Result<(), Failure> {
    let state = match arguments.state.as_deref() {
        None => None,
        Some(word) => Some(JobState::from_word(word).ok_or_else(|| {
            let words = JobState::WORDS.join(", ");
            Failure::command_line(format!("--state: `{word}` is not known; write one of {words}"))
        })?),
    };
    let text = Source::open(&arguments.place).await?.jobs(state, arguments.after.as_deref()).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let listed: Items<JobHead> = read(&text)?;
    let mut table = WrappedTable::new(&["job", "state", "opened", "last step"]);
    for head in &listed.items {
        table.row([
            head.number.clone(),
            head.state.word().to_owned(),
            head.opened_at.format("%Y-%m-%d").to_string(),
            head.changed_at.format("%Y-%m-%d %H:%M").to_string(),
        ]);
    }
    if table.is_empty() { say("no such job\n") } else { say(&table.text(terminal_width())) }
}

/// A piece of a list.
#[derive(Deserialize)]
struct Items<T> {
    items: Vec<T>,
}

async fn plain(
    arguments: &StepArguments,
    step: PlainStep,
    fill: impl FnOnce(&mut StepToTake),
) -> Result<(), Failure> {
    let mut asked = StepToTake {
        step,
        by: arguments.by.clone(),
        note: arguments.note.clone(),
        request: None,
        price: None,
        approved_by: None,
        surplus_bin: None,
    };
    fill(&mut asked);
    change(arguments, JobChange::Plain(asked)).await
}

async fn change(arguments: &StepArguments, change: JobChange) -> Result<(), Failure> {
    let text = Source::open(&arguments.place).await?.change_job(&arguments.number, &change).await?;
    print(&text, arguments.place.json, job_text)
}

fn findings(arguments: &FindArguments) -> Result<FindingsToAdd, Failure> {
    let found = |(unit, one): (Option<String>, AskedFinding)| JobFinding {
        unit,
        position: one.position,
        grade: one.grade,
        bench_value: one.bench_value,
        measured: one.measured,
        note: arguments.step.note.clone(),
        photo: arguments.photo.clone(),
    };
    let mut findings = Vec::new();
    for text in &arguments.finding {
        let (unit, rest) = of_unit(text);
        findings.push(found((unit, finding(rest)?)));
    }
    for text in &arguments.measured {
        let (unit, rest) = of_unit(text);
        findings.push(found((unit, measured(rest)?)));
    }
    let mut seen = Vec::new();
    for text in &arguments.inside {
        let (unit, rest) = of_unit(text);
        let one = inside(rest)?;
        seen.push(JobInside { unit, position: one.position, part: one.part, mark: one.mark });
    }
    let variants = arguments.variant.iter().map(|text| {
        let (unit, variant) = of_unit(text);
        JobVariant { unit, variant: variant.to_owned() }
    });
    let variants = variants.collect();
    Ok(FindingsToAdd { by: arguments.step.by.clone(), findings, inside: seen, variants })
}

/// What stands before a colon names the unit.
fn of_unit(text: &str) -> (Option<String>, &str) {
    match text.split_once(':') {
        Some((unit, rest)) => (Some(unit.to_owned()), rest),
        None => (None, text),
    }
}

fn of_parts(arguments: &PartsArguments) -> StepArguments {
    StepArguments {
        number: arguments.number.clone(),
        note: String::new(),
        by: arguments.by.clone(),
        place: arguments.place.clone(),
    }
}

fn parts(arguments: &PartsArguments) -> Result<PartsToMove, Failure> {
    const FORM: &str = "[POSITION=]MAKER/NUMBER*QUANTITY@BIN";
    let mut lines = Vec::with_capacity(arguments.part.len());
    for text in &arguments.part {
        let (unit, rest) = of_unit(text);
        let (position, rest) = match rest.split_once('=') {
            Some((position, rest)) => (Some(position.trim().to_owned()), rest),
            None => (None, rest),
        };
        let (part, quantity, bin) = piece(rest, "--part", FORM)?;
        let bin =
            bin.ok_or_else(|| Failure::command_line(format!("--part: `{text}` names no bin; write {FORM}")))?;
        lines.push(PartToMove {
            unit,
            position,
            part,
            bin,
            mark: arguments.mark.clone(),
            quantity,
            batch: arguments.batch.clone(),
        });
    }
    Ok(PartsToMove { by: arguments.by.clone(), lines })
}

/// A part, how many, and a bin if there is one.
pub(crate) fn piece(
    text: &str,
    flag: &str,
    form: &str,
) -> Result<(String, Quantity, Option<String>), Failure> {
    let (rest, bin) = match text.rsplit_once('@') {
        Some((rest, bin)) => (rest, Some(bin.trim().to_owned())),
        None => (text, None),
    };
    let Some((part, quantity)) = rest.rsplit_once('*') else {
        return Err(Failure::command_line(format!("{flag}: `{text}` says not how many; write {form}")));
    };
    Ok((part.trim().to_owned(), quantity_of(quantity.trim(), flag)?, bin))
}

async fn shims(arguments: &ShimArguments) -> Result<(), Failure> {
    let (unit, position) = of_unit(&arguments.position);
    let asked = ShimsToChoose {
        by: arguments.by.clone(),
        unit,
        position: position.to_owned(),
        wanted_mm: arguments.wanted,
        tolerance_mm: arguments.tolerance,
        shims_mm: arguments.shim.clone(),
    };
    let source = Source::open(&arguments.place).await?;
    let text = source.change_job(&arguments.number, &JobChange::Shim(asked)).await?;
    print(&text, arguments.place.json, job_text)
}

async fn inspect(arguments: &InspectArguments) -> Result<(), Failure> {
    let mut values = Vec::new();
    for text in &arguments.measured {
        let (unit, rest) = of_unit(text);
        let one = measured(rest)?;
        values.push(ValueMeasured {
            unit,
            position: one.position,
            bench_value: one.bench_value.unwrap_or_default(),
            measured: one.measured.unwrap_or_default(),
        });
    }
    let asked = FinalInspection { by: arguments.by.clone(), values };
    let source = Source::open(&arguments.place).await?;
    let text = source.change_job(&arguments.number, &JobChange::Inspect(asked)).await?;
    print(&text, arguments.place.json, job_text)
}

/// What is inside a serial number.
pub(crate) async fn serial(arguments: &SerialArguments) -> Result<(), Failure> {
    let on = |text: &Option<String>, flag| text.as_deref().map(|text| day(text, flag)).transpose();
    let (as_of, since) = (on(&arguments.as_of, "--as-of")?, on(&arguments.since, "--since")?);
    let source = Source::open(&arguments.place).await?;
    let text = source.serial(&arguments.unit, &arguments.serial, as_of, since).await?;
    print(&text, arguments.place.json, |sheet, width| serial_text(sheet, since.is_some(), width))
}

/// Where a batch went.
pub(crate) async fn batch(arguments: &BatchArguments) -> Result<(), Failure> {
    let text = Source::open(&arguments.place).await?.batch(&arguments.batch).await?;
    print(&text, arguments.place.json, |listed: &Items<BatchUse>, width| {
        batch_text(&arguments.batch, &listed.items, width)
    })
}
