//! Progress bars on a terminal; nothing is drawn where the error output is none.

use indicatif::{ProgressBar, ProgressStyle};

/// A bar over bytes that also shows rows.
pub(crate) fn byte_bar() -> ProgressBar {
    styled("{bar:32} {bytes}/{total_bytes}  {msg}")
}

/// A bar over the sheets of the bundle.
pub(crate) fn sheet_bar() -> ProgressBar {
    let bar = styled("{bar:32} {pos}/{len}  {msg}");
    bar.set_length(catalogue::bundle::SHEETS.len() as u64);
    bar
}

fn styled(template: &str) -> ProgressBar {
    let bar = ProgressBar::new(0);
    // A template that the library does not take would leave its usual bar.
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style);
    }
    bar
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_templates_are_taken() {
        for template in ["{bar:32} {bytes}/{total_bytes}  {msg}", "{bar:32} {pos}/{len}  {msg}"] {
            assert!(ProgressStyle::with_template(template).is_ok(), "{template}");
        }
        assert_eq!(sheet_bar().length(), Some(catalogue::bundle::SHEETS.len() as u64));
    }
}
