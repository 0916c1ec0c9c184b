//! Answers a saved case again: reads an input as JSON, from the file named or from standard input, and writes its answer.
//!
//! `cargo run -p resolver --example replay -- case.json > answer.json`

use std::error::Error;
use std::io::{Read, Write};

use resolver::{Input, resolve};

fn main() -> Result<(), Box<dyn Error>> {
    let mut text = String::new();
    match std::env::args().nth(1) {
        Some(path) => text = std::fs::read_to_string(&path).map_err(|error| format!("{path}: {error}"))?,
        None => {
            std::io::stdin().read_to_string(&mut text)?;
        }
    }
    let input: Input =
        serde_json::from_str(&text).map_err(|error| format!("this is no saved case: {error}"))?;
    let answer = resolve(&input).map_err(|fault| format!("{}: {fault}", fault.pointer))?;
    let mut out = std::io::stdout().lock();
    serde_json::to_writer_pretty(&mut out, &answer)?;
    out.write_all(b"\n")?;
    Ok(())
}
