//! The files that a command line names, and the times that the referee wrote into them.

use serde_json::Value;

/// The arguments, or the lines of the file behind `--list`.
pub(crate) fn named_files() -> Vec<String> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [flag, list] if flag == "--list" => {
            let text = std::fs::read_to_string(list).unwrap_or_default();
            text.lines().map(ToOwned::to_owned).collect()
        }
        _ => arguments,
    }
}

/// Milliseconds of processor time that the referee took to solve the instance of a file, without and with the building of its model.
pub(crate) fn referee_ms(text: &str) -> Option<(f64, f64)> {
    let json: Value = serde_json::from_str(text).ok()?;
    json["expect"]["solve_ms"].as_f64().zip(json["expect"]["ms"].as_f64())
}
