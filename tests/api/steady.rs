//! Makes an answer the same in every run: ids, keys, times and today's date, which differ from run to run, become fixed ones.

use chrono::{DateTime, Datelike, NaiveDate, Utc};
use serde_json::Value;
use uuid::Uuid;

/// The time that stands for every time.
const TIME: &str = "2026-11-25T09:00:00Z";
/// The day that stands for today.
const TODAY: &str = "2026-11-25";
/// The key that stands for every key.
const KEY: &str = "cw_0000000000000000000000000000000000000000000000000000000000000000";
/// The secret that stands for every secret.
const SECRET: &str = "whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=";
/// Characters of a UUID as text.
const UUID_LENGTH: usize = 36;

/// The ids that were met, in the order in which they were.
#[derive(Debug, Default)]
pub(crate) struct Steady {
    met: Vec<String>,
}

impl Steady {
    /// Makes a value steady.
    pub(crate) fn value(&mut self, value: &mut Value) {
        match value {
            Value::String(text) => *text = self.text(text),
            Value::Array(items) => items.iter_mut().for_each(|item| self.value(item)),
            Value::Object(fields) => {
                for (name, field) in fields {
                    match field {
                        Value::String(text) if name == "trace_id" => *text = "0".repeat(text.len()),
                        // Days that follow from the day of asking.
                        Value::String(text)
                            if matches!(
                                name.as_str(),
                                "expected_on" | "planned_on" | "expected_before" | "expected_now"
                            ) =>
                        {
                            *text = from_the_steady_day(text);
                        }
                        Value::String(text) if name == "month" => {
                            *text = steady_day().with_day(1).unwrap().to_string()
                        }
                        Value::String(text) if name == "secret" && text.starts_with("whsec_") => {
                            *text = SECRET.to_owned()
                        }
                        Value::Number(_) if name == "took_ms" => *field = Value::from(0),
                        field => self.value(field),
                    }
                }
            }
            _ => {}
        }
    }

    fn text(&mut self, text: &str) -> String {
        if DateTime::parse_from_rfc3339(text).is_ok() {
            return TIME.to_owned();
        }
        if text == Utc::now().date_naive().to_string() {
            return TODAY.to_owned();
        }
        if text.len() == KEY.len() && text.starts_with("cw_") {
            return KEY.to_owned();
        }
        let mut steady = text.to_owned();
        for at in 0..=text.len().saturating_sub(UUID_LENGTH) {
            let piece = text.get(at..at + UUID_LENGTH).filter(|piece| Uuid::parse_str(piece).is_ok());
            if let Some(real) = piece {
                steady = steady.replace(real, &self.id(real));
            }
        }
        steady
    }

    fn id(&mut self, real: &str) -> String {
        let at = self.met.iter().position(|met| met == real).unwrap_or_else(|| {
            self.met.push(real.to_owned());
            self.met.len() - 1
        });
        steady_id(at)
    }

    /// The text with the ids of this run in place of the steady ones.
    pub(crate) fn real(&self, text: &str) -> String {
        let ids = self.met.iter().enumerate();
        ids.fold(text.to_owned(), |text, (at, real)| text.replace(&steady_id(at), real))
    }
}

fn steady_day() -> NaiveDate {
    TODAY.parse().unwrap()
}

/// A day, as far from the steady day as it is from today.
fn from_the_steady_day(text: &str) -> String {
    match text.parse::<NaiveDate>() {
        Ok(day) => (steady_day() + (day - Utc::now().date_naive())).to_string(),
        Err(_) => text.to_owned(),
    }
}

fn steady_id(at: usize) -> String {
    format!("01941f29-7c00-7000-8000-{:012}", at + 1)
}
