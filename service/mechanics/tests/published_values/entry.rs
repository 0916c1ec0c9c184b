//! One published value as the JSON files hold it.

use serde_json::Value;

pub(crate) struct Entry(pub(crate) Value);

impl Entry {
    pub(crate) fn text_of(&self, field: &str) -> &str {
        self.0[field].as_str().unwrap()
    }

    /// A number among the inputs, in the unit of the file.
    pub(crate) fn num(&self, name: &str) -> f64 {
        self.0["inputs"][name]["value"].as_f64().unwrap_or_else(|| panic!("no number {name}"))
    }

    pub(crate) fn count(&self, name: &str) -> u32 {
        self.num(name) as u32
    }

    pub(crate) fn has(&self, name: &str) -> bool {
        self.0["inputs"].get(name).is_some()
    }

    pub(crate) fn flag(&self, name: &str) -> bool {
        self.0["inputs"][name]["value"].as_bool().unwrap()
    }

    pub(crate) fn text(&self, name: &str) -> &str {
        self.0["inputs"][name]["value"].as_str().unwrap_or_else(|| panic!("no text {name}"))
    }

    pub(crate) fn nums(&self, name: &str) -> Vec<f64> {
        self.0["inputs"][name]["value"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    }

    pub(crate) fn texts(&self, name: &str) -> Vec<&str> {
        self.0["inputs"][name]["value"].as_array().unwrap().iter().map(|v| v.as_str().unwrap()).collect()
    }
}

/// What a computation gave, by the names of the file.
pub(crate) type Given = Vec<(&'static str, Value)>;

/// Whether a given value is the expected one within the tolerance of the file.
pub(crate) fn agrees(given: &Value, expected: &Value, tolerance: f64) -> bool {
    match (given, expected) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            // A tolerance of nought means the printed figure; the last bit of a sum is no figure.
            (a - b).abs() <= tolerance + 1e-12 * b.abs()
        }
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| agrees(a, b, tolerance))
        }
        (a, b) => a == b,
    }
}
