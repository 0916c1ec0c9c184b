//! `crownwheel show`: a stored quote.

use crate::arguments::ShowArguments;
use crate::failure::Failure;
use crate::quote::{print_quote, save_case};
use crate::source::Source;

/// Prints a stored quote.
pub(crate) async fn show(arguments: &ShowArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    if let Some(file) = &arguments.save_case {
        return save_case(file, &source.quote_case(&arguments.number).await?);
    }
    print_quote(&source.quote(&arguments.number).await?, arguments.all, arguments.place.json)
}
