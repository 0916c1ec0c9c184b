//! Every published value, run by one test, and the table of them in the README.
//!
//! `published_values.json` and `more_published_values.json` hold inputs, expected values, tolerances and sources. After a
//! change, renew the table with `RENEW_README=1 cargo test -p mechanics --test published_values`.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod entry;
mod gears;
mod seats;
mod vehicle;

use std::fmt::Write;

use entry::{Entry, Given, agrees};
use serde_json::Value;

/// Identifiers of goods, money and units are no mechanics: they are checked where they are read.
const NOT_MECHANICS: [&str; 3] = ["id.currency", "id.gtin_check_digit", "id.unit_code"];

const TABLE_START: &str = "<!-- table of checks: written by the test published_values -->\n";
const TABLE_END: &str = "<!-- end of the table -->";

fn compute(entry: &Entry) -> Option<Given> {
    Some(match entry.text_of("computation") {
        "gear.involute" => gears::involute(entry),
        "gear.pitch_conversion" => gears::pitch_conversion(entry),
        "gear.standard_modules" => gears::standard_modules(entry),
        "gear.single.geometry_dp" => gears::single_dp(entry),
        "gear.pair.geometry" => gears::pair_geometry(entry),
        "gear.pair.geometry_transverse_system" => gears::pair_geometry_transverse(entry),
        "gear.contact_ratio" => gears::contact_ratio(entry),
        "gear.backlash.exact" => gears::backlash_exact(entry),
        "gear.backlash.linear_estimate" => gears::backlash_linear(entry),
        "gear.tip_clearance" => gears::tip_clearance(entry),
        "gear.tip_thickness" => gears::tip_thickness(entry),
        "gear.undercut.min_teeth" => gears::undercut(entry),
        "gear.span" => gears::span(entry),
        "gear.mesh_compatibility" => gears::mesh(entry),
        "gearbox.ratio" => vehicle::gearbox(entry),
        "tyre.size" => vehicle::tyre(entry),
        "vehicle.engine_speed" => vehicle::speed(entry),
        "vehicle.ratio_change" => vehicle::change(entry),
        "vehicle.tractive_effort" => vehicle::tractive(entry),
        "vehicle.gradeability" => vehicle::gradeability(entry),
        "bearing.designation" => seats::bearing(entry),
        "bearing.life" => seats::life(entry),
        "bearing.required_rating" => seats::rating(entry),
        "bearing.equivalent_load" => seats::load(entry),
        "fit.iso286" => seats::iso_286(entry),
        "fit.pair" => seats::fit_pair(entry),
        "fit.bearing_housing" => seats::housing(entry),
        "heating.fit" => seats::heating_fit(entry),
        "heating.growth" => seats::heating_growth(entry),
        "preload.pinion_depth" => seats::depth(entry),
        "preload.shim" => seats::shim(entry),
        "seal.designation" => seats::seal(entry),
        "seal.fit" => seats::seal_fit(entry),
        "spline.capacity.involute" => seats::dudley(entry),
        "spline.capacity.straight" => seats::straight_capacity(entry),
        "spline.designation" => seats::din_5480(entry),
        "spline.geometry.ansi_b92" => seats::ansi_b92(entry),
        "spline.geometry.iso4156" => seats::iso_4156(entry),
        "thread.designation" => seats::thread_designation(entry),
        "thread.geometry" => seats::thread(entry),
        "thread.limits_6g" => seats::thread_6g(entry),
        "wear.consequence" => seats::consequence(entry),
        "wear.limit" => seats::wear(entry),
        name if NOT_MECHANICS.contains(&name) => return None,
        unknown => panic!("{}: nothing computes `{unknown}`", entry.text_of("id")),
    })
}

fn entries() -> Vec<Entry> {
    [include_str!("../published_values.json"), include_str!("../more_published_values.json")]
        .into_iter()
        .flat_map(|text| serde_json::from_str::<Vec<Value>>(text).unwrap())
        .map(Entry)
        .collect()
}

/// Beside the first collection there are at least forty values, and more than that were read, not recalled.
#[test]
fn enough_values_were_read() {
    let more: Vec<Value> = serde_json::from_str(include_str!("../more_published_values.json")).unwrap();
    let read = |entry: &&Value| {
        let recalled = entry["source"].as_str().unwrap().contains("from memory");
        assert_eq!(entry["source_read"].as_bool(), Some(!recalled), "{}", entry["id"]);
        !recalled
    };
    let read = more.iter().filter(read).count();
    assert!(read >= 80, "only {read} of {} further values were read", more.len());
}

#[test]
fn every_published_value_is_met() {
    let (mut run, mut values) = (0, 0);
    let mut wrong = Vec::new();
    for entry in entries() {
        let Some(given) = compute(&entry) else { continue };
        run += 1;
        for (name, expected) in entry.0["expected"].as_object().unwrap() {
            values += 1;
            let id = entry.text_of("id");
            let Some((_, ours)) = given.iter().find(|(known, _)| known == name) else {
                wrong.push(format!("{id}: {name} is not computed"));
                continue;
            };
            let tolerance = expected["tolerance"].as_f64().unwrap();
            if !agrees(ours, &expected["value"], tolerance) {
                wrong.push(format!("{id}: {name} is {ours}, published {} ± {tolerance}", expected["value"]));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {values} values differ:\n{}", wrong.len(), wrong.join("\n"));
    assert!(run >= 72 + 40, "only {run} entries were run");
}

fn shown(value: &Value) -> String {
    match value {
        Value::Number(number) => shown_number(number.as_f64().unwrap()),
        Value::Array(list) => list.iter().map(shown).collect::<Vec<_>>().join(" "),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

/// Seven significant figures without trailing noughts.
fn shown_number(number: f64) -> String {
    let digits = if number == 0.0 { 1.0 } else { number.abs().log10().floor() };
    let decimals = (6.0 - digits).clamp(0.0, 10.0) as usize;
    let text = format!("{number:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn table() -> String {
    let mut table = String::from("| check | source | ours | theirs |\n|---|---|---|---|\n");
    for entry in entries() {
        let Some(given) = compute(&entry) else { continue };
        let (mut ours, mut theirs) = (Vec::new(), Vec::new());
        for (name, expected) in entry.0["expected"].as_object().unwrap() {
            let value = given.iter().find(|(known, _)| known == name).map(|(_, value)| value).unwrap();
            ours.push(format!("{name} {}", shown(value)));
            theirs.push(format!("{name} {}", shown(&expected["value"])));
        }
        let cell = |text: &str| text.replace('|', "/").replace('\n', " ");
        writeln!(
            table,
            "| {} | {} | {} | {} |",
            entry.text_of("id"),
            cell(entry.text_of("source")),
            cell(&ours.join("; ")),
            cell(&theirs.join("; "))
        )
        .unwrap();
    }
    table
}

#[test]
fn the_table_in_the_readme_is_current() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let readme = std::fs::read_to_string(path).unwrap();
    let (before, rest) = readme.split_once(TABLE_START).unwrap();
    let (kept, after) = rest.split_once(TABLE_END).unwrap();
    let current = table();
    if std::env::var_os("RENEW_README").is_some() {
        std::fs::write(path, format!("{before}{TABLE_START}{current}{TABLE_END}{after}")).unwrap();
        return;
    }
    assert!(
        kept == current,
        "the table is old; renew it: RENEW_README=1 cargo test -p mechanics --test published_values"
    );
}
