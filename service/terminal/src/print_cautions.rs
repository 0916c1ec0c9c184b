//! The cautions of an answer as a person reads them.

use std::fmt::Write;

use operations::answer::CautionNote;

use crate::wrapped_table::wrapped;

/// The cautions, and to whom to defer.
pub(crate) fn cautions_text(text: &mut String, cautions: &[CautionNote], deferral: &str, width: usize) {
    text.push_str("\nCAUTIONS\n");
    for caution in cautions {
        let place = match (&caution.unit, &caution.position) {
            (Some(unit), Some(position)) => format!(" ({unit} {position})"),
            (Some(unit), None) => format!(" ({unit})"),
            (None, _) => String::new(),
        };
        bullet(text, &format!("{}: {}{place}", caution.hazard.word().replace('_', " "), caution.text), width);
    }
    bullet(text, deferral, width);
}

/// A paragraph behind a dash.
pub(crate) fn bullet(text: &mut String, words: &str, width: usize) {
    for (at, line) in wrapped(words, width.saturating_sub(4)).iter().enumerate() {
        let _ = writeln!(text, "  {} {line}", if at == 0 { "-" } else { " " });
    }
}
