//! The binary: its commands, what they print, and how they end.

use std::path::Path;
use std::process::Output;
use std::sync::Arc;

use serde_json::Value;
use tokio::task::spawn_blocking;

use crate::harness::{DAY, Service, small_catalogue};
use crate::served::{Served, binary, free_port};

tests![
    a_quote_is_printed_from_the_database_and_over_http,
    a_saved_quote_is_shown_and_compared,
    kits_and_parts_are_printed,
    calculations_are_printed_with_their_figures,
    the_examples_in_the_help_run,
    a_figure_that_cannot_be_is_refused_by_name,
    fits_ranges_and_symptoms_are_printed,
    other_answers_are_printed_with_the_quote,
    notices_and_reasons_are_printed_and_drawn,
    a_case_is_saved_and_replayed,
    what_has_no_answer_ends_with_one,
    a_wrong_command_line_ends_with_two,
    what_cannot_be_reached_ends_with_three,
    a_bundle_goes_in_and_out,
    the_service_starts_from_its_environment_and_stops_at_a_signal,
];

async fn crownwheel(arguments: &[&str]) -> Output {
    let arguments: Vec<String> = arguments.iter().map(|argument| (*argument).to_owned()).collect();
    spawn_blocking(move || binary().args(arguments).env("COLUMNS", "140").output().unwrap()).await.unwrap()
}

async fn printed(arguments: &[&str]) -> String {
    let output = crownwheel(arguments).await;
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {errors}");
    String::from_utf8(output.stdout).unwrap()
}

async fn refused(arguments: &[&str], code: i32) -> String {
    let output = crownwheel(arguments).await;
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {errors}");
    errors
}

async fn a_quote_is_printed_from_the_database_and_over_http(service: Arc<Service>) {
    let asked = ["quote", "t 100", "--finding", "SHAFT=worn", "--as-of", DAY];
    let here = printed(&[&asked[..], &["--database", &service.database]].concat()).await;
    let there = printed(&[&asked[..], &service.over_http()].concat()).await;
    assert_eq!(here, there);
    for words in [
        "T-100  Test gearbox: Overhaul, 4 h",
        "always renewed at an overhaul",
        "VESSICK K-100  Overhaul kit",
        "LEFT OVER",
        "TO PAY",
        "lifting: Two people or a hoist.",
        "maker's manual",
    ] {
        assert!(here.contains(words), "{words}\n{here}");
    }
    let json = printed(&[&asked[..], &["--database", &service.database, "--json"]].concat()).await;
    let answer: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(answer["as_of"], DAY);
}

async fn a_saved_quote_is_shown_and_compared(service: Arc<Service>) {
    let place = service.over_http();
    let saved = printed(&[&["quote", "T-100", "--save"][..], &place].concat()).await;
    assert!(saved.starts_with("QUOTE Q-000001  stored "), "{saved}");
    let shown = printed(&["show", "q-000001", "--database", &service.database]).await;
    assert_eq!(shown, saved);
    let compared = printed(&[&["compare", "Q-000001"][..], &place].concat()).await;
    assert!(compared.starts_with("QUOTE Q-000001 of "), "{compared}");
    assert_eq!(compared, printed(&["compare", "Q-000001", "--database", &service.database]).await);
}

async fn kits_and_parts_are_printed(service: Arc<Service>) {
    let mut texts = Vec::new();
    for place in [&service.over_http()[..], &["--database", service.database.as_str()]] {
        let kits = printed(&[&["kits", "T-100"][..], place].concat()).await;
        assert!(kits.contains("VESSICK K-100 Overhaul kit") && kits.contains("no kit, all loose"), "{kits}");
        let part = printed(&[&["part", "VESSICK/B 1", "--as-of", DAY][..], place].concat()).await;
        assert!(part.contains("VESSICK/B1A") && part.contains("N-1 of 2020-01-01"), "{part}");
        assert!(part.contains("BEARING") && part.contains("VESSICK/K100"), "{part}");
        texts.push((kits, part));
    }
    assert_eq!(texts[0], texts[1]);
}

async fn calculations_are_printed_with_their_figures(_: Arc<Service>) {
    let mesh =
        ["mesh", "31", "36", "--module", "2.5,2.75", "--angle", "20", "--helix", "28,24", "--centre", "95"];
    let text = printed(&mesh).await;
    // pi·2.5·cos 20° against pi·2.75·cos 20°.
    for words in [
        "MESH of 31 and 36 teeth at 95 mm",
        "does not fit",
        "7.3803",
        "8.1184",
        "ISO 21771",
        "maker's manual",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let json = printed(&[&mesh[..], &["--json"]].concat()).await;
    let sheet: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(
        (&sheet["calculation"], &sheet["result"]["verdict"]),
        (&"mesh".into(), &"does_not_fit".into())
    );
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("spline.svg");
    let svg = file.to_str().unwrap();
    printed(&["spline", "6x26x30", "--carrying", "3", "--groups", "3", "--svg", svg]).await;
    assert!(std::fs::read_to_string(&file).unwrap().starts_with("<svg"));
    let shims = printed(&["shims", "--box", "0.1,0.2,0.5", "--wanted", "0.61", "--tolerance", "0.02"]).await;
    assert!(shims.contains("fit 0.5 + 0.1 mm: 0.6 mm, off by -0.01 mm"), "{shims}");
}

/// A command line as a shell reads it, single quotes only.
fn words_of(line: &str) -> Vec<String> {
    let pieces = line.split('\'').enumerate();
    let words = pieces.flat_map(|(at, piece)| match at % 2 {
        0 => piece.split_whitespace().map(str::to_owned).collect(),
        _ => vec![piece.to_owned()],
    });
    words.collect()
}

async fn the_examples_in_the_help_run(_: Arc<Service>) {
    let help = printed(&["help"]).await;
    let commands = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let names: Vec<&str> = commands
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    let folder = tempfile::tempdir().unwrap();
    let mut ran = 0;
    for name in names {
        let help = printed(&["help", name]).await;
        for line in help.lines().filter_map(|line| line.trim().strip_prefix("crownwheel ")) {
            let mut words = words_of(line);
            for word in words.iter_mut().filter(|word| word.ends_with(".svg")) {
                *word = folder.path().join(&*word).to_str().unwrap().to_owned();
            }
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let text = printed(&words).await;
            assert!(text.contains("CAUTIONS"), "{line}\n{text}");
            ran += 1;
        }
    }
    assert!(ran >= 23, "only {ran} examples");
}

async fn a_figure_that_cannot_be_is_refused_by_name(_: Arc<Service>) {
    for (words, told) in [
        (vec!["mesh", "22", "40", "--module", "-3"], "a: normal_module_mm is -3 mm; it must lie from"),
        (vec!["mesh", "0", "40"], "a: tooth_count is 0"),
        (vec!["fits", "NaN", "H7", "g6"], "is not a finite number"),
        (vec!["shims", "--box", "0.1,inf", "--wanted", "1"], "shims_mm is not a finite number"),
        (vec!["axles", "4.1", "0"], "other_axle_ratio is 0"),
        (vec!["bearing", "9999"], "is not in"),
    ] {
        let errors = refused(&words, 1).await;
        assert!(errors.contains(told), "{words:?}: {errors}");
    }
}

/// What a command prints, which is the same from the database and over HTTP.
pub(crate) async fn printed_alike(service: &Service, asked: &[&str]) -> String {
    let here = printed(&[asked, &["--database", &service.database]].concat()).await;
    let there = printed(&[asked, &service.over_http()].concat()).await;
    assert_eq!(here, there);
    here
}

#[track_caller]
fn holds(text: &str, all: &[&str]) {
    for words in all {
        assert!(text.contains(words), "`{words}` is not in:\n{text}");
    }
}

async fn fits_ranges_and_symptoms_are_printed(service: Arc<Service>) {
    let rows = "unit,weak_point,position,finding,likelihood,given,likelihood_otherwise,symptom,vehicle_check\n\
                T100,SHAFT-WORN,SHAFT,worn,0.25,,,Whine in every gear.,Listen at the case.\n";
    let import = service.import(serde_json::json!({ "files": { "weak_points.csv": rows } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let fit = ["fit", "t 100", "--want", "SEAL=VESSICK/S-1", "--want", "SH-100+VESSICK/S-1", "--as-of", DAY];
    let fit = printed_alike(&service, &fit).await;
    holds(
        &fit,
        &["1. VESSICK S-1 Shaft seal", "It fits as it is", "Cash 12.00 EUR", "SIDE BY SIDE", "CAUTIONS"],
    );
    let range = printed_alike(&service, &["range", "T-100", "--as-of", DAY]).await;
    holds(&range, &["the shop's cash", "125.00", "320.00", "figures are exact", "25 %", "SHAFT-WORN"]);
    let list = printed_alike(&service, &["symptoms", "T-100"]).await;
    holds(&list, &["SYMPTOMS OF T100", "Whine in every gear."]);
    let found = printed_alike(&service, &["symptoms", "T-100", "whines in gear"]).await;
    holds(
        &found,
        &["Taken for: Whine in every gear.", "100 %", "CHECK ON THE VEHICLE FIRST", "Listen at the case."],
    );
    let found = printed_alike(&service, &["symptoms", "RIG-1", "whine", "--vehicle"]).await;
    holds(&found, &["SHAFT"]);
    let errors =
        refused(&["fit", "T-100", "--want", "VESSICK/S-9", "--database", &service.database], 1).await;
    holds(&errors, &["there is no part `VESSICK/S-9`"]);
    refused(&["fit", "T-100", "--database", &service.database], 2).await;
}

async fn other_answers_are_printed_with_the_quote(service: Arc<Service>) {
    let asked = [
        "quote",
        "T-100",
        "--alternatives",
        "1",
        "--without-supplier",
        "PELLWORTH",
        "--with-part",
        "SH-100",
        "--only-supplier",
        "PELLWORTH",
        "--only-original",
        "--no-unverified-joints",
        "--as-of",
        DAY,
    ];
    let text = printed_alike(&service, &asked).await;
    holds(
        &text,
        &[
            "OTHER ANSWERS",
            "the best",
            "60.00",
            "2nd",
            "78.00",
            "without PELLWORTH",
            "only original parts",
            "from PELLWORTH only",
            "with BRANNOCH/SH100",
            "all joints verified",
        ],
    );
    refused(&["quote", "T-100", "--only-original", "--database", &service.database], 2).await;
}

async fn notices_and_reasons_are_printed_and_drawn(service: Arc<Service>) {
    let saved = printed(&["quote", "T-100", "--save", "--database", &service.database]).await;
    assert!(saved.starts_with("QUOTE Q-000001"), "{saved}");
    let bad = printed_alike(&service, &["notice", "VESSICK/B1A"]).await;
    holds(
        &bad,
        &[
            "IF VESSICK/B1A IS BAD",
            "1 unit, 1 kit, 1 open quote, no lot on the shelf and no serial number",
            "STANDS AT",
            "gave way to VESSICK/B1A by notice N-1",
            "LIES IN KITS",
            "OPEN QUOTES",
            "Q-000001",
            "CAUTIONS",
        ],
    );
    let notice = ["notice", "VESSICK/S-1", "--gives-way-to", "VESSICK/S-1A", "--interchange", "two_way"];
    let notice = printed_alike(&service, &notice).await;
    holds(
        &notice,
        &["IF VESSICK/S-1 GIVES WAY TO VESSICK/S-1A today", "does not hold the new number yet", "SEAL"],
    );
    let reasons = printed_alike(&service, &["reasons", "q-000001"]).await;
    holds(
        &reasons,
        &["WHY EACH LINE OF Q-000001 IS THERE", "T100 BEARING: VESSICK/B1A", "always renewed at an overhaul"],
    );
    let dot = printed_alike(&service, &["reasons", "Q-000001", "--dot"]).await;
    assert!(dot.starts_with("digraph reasons {"), "{dot}");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("reasons.svg");
    let file = file.to_str().unwrap();
    printed_alike(&service, &["reasons", "Q-000001", "--svg", file]).await;
    assert!(std::fs::read_to_string(file).unwrap().contains("<svg "));
    refused(&["reasons", "Q-000009", "--database", &service.database], 1).await;
    refused(&["notice", "VESSICK/S-1", "--interchange", "two_way", "--database", &service.database], 2).await;
}

async fn a_case_is_saved_and_replayed(service: Arc<Service>) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("case.json");
    let file = file.to_str().unwrap();
    let asked = ["quote", "T-100", "--as-of", DAY];
    let answer = printed_alike(&service, &asked).await;
    printed_alike(&service, &[&asked[..], &["--save-case", file]].concat()).await;
    assert_eq!(printed(&["replay", file]).await, answer);
    let number = service.stored_quote("T-100").await["number"].as_str().unwrap().to_owned();
    printed_alike(&service, &["show", &number, "--save-case", file]).await;
    assert_eq!(printed(&["replay", file]).await, answer);
    let json: Value = serde_json::from_str(&printed(&["replay", file, "--json"]).await).unwrap();
    assert_eq!(json["as_of"], DAY);
    std::fs::write(file, "{}").unwrap();
    holds(&refused(&["replay", file], 1).await, &["this is no saved case"]);
    refused(&["replay", "/nowhere/case.json"], 1).await;
}

async fn what_has_no_answer_ends_with_one(service: Arc<Service>) {
    for place in [&service.over_http()[..], &["--database", service.database.as_str()]] {
        let asked = |words: &[&'static str]| {
            [words, place].concat().into_iter().map(str::to_owned).collect::<Vec<_>>()
        };
        for (words, told) in [
            (asked(&["quote", "T-101"]), "there is no unit `T-101`; did you mean `T-100`?"),
            (asked(&["quote", "T-100", "--operation", "OVERHAUT"]), "did you mean `OVERHAUL`?"),
            (asked(&["show", "Q-77"]), "there is no quote `Q-77`"),
            (asked(&["part", "S-1"]), "NORRWALD/S-1, VESSICK/S-1"),
        ] {
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let errors = refused(&words, 1).await;
            assert!(errors.starts_with("error: ") && errors.contains(told), "{words:?}: {errors}");
        }
    }
}

async fn a_wrong_command_line_ends_with_two(service: Arc<Service>) {
    for (words, told) in [
        (vec!["quote"], "<UNIT|--vehicle"),
        (vec!["quote", "T-100", "--aim", "cheap", "--database", &service.database], "least_money"),
        (vec!["quote", "T-100", "--built", "now", "--database", &service.database], "YYYY-MM-DD"),
        (vec!["quote", "T-100", "--url", "ftp://x"], "http://HOST:PORT"),
        (vec!["quote", "T-100", "--database", "not-there.db"], "there is no database `not-there.db`"),
        (vec!["quote", "T-100", "--database", "mysql://h/d"], "no address of a database"),
        (vec!["brew"], "unrecognized subcommand"),
    ] {
        let errors = refused(&words, 2).await;
        assert!(errors.contains(told) || words == ["quote"], "{words:?}: {errors}");
    }
}

async fn what_cannot_be_reached_ends_with_three(_: Arc<Service>) {
    let port = free_port();
    let errors = refused(&["quote", "T-100", "--url", &format!("http://127.0.0.1:{port}")], 3).await;
    assert!(errors.contains("cannot ask the service"), "{errors}");
}

async fn a_bundle_goes_in_and_out(service: Arc<Service>) {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let out = out.to_str().unwrap();
    printed(&["export", out, "--database", &service.database]).await;
    let again = printed(&["import", out, "--database", &service.database]).await;
    assert!(again.contains("structure revision 1, price revision 1"), "nothing changed: {again}");
    let dry = printed(&[
        "import",
        small_catalogue().to_str().unwrap(),
        "--dry-run",
        "--database",
        &service.database,
    ])
    .await;
    assert!(dry.contains("nothing was stored"), "{dry}");
    std::fs::write(Path::new(out).join("bins.csv"), "bin,name\nA 1,Shelf\n").unwrap();
    let refused = crownwheel(&["import", out, "--database", &service.database]).await;
    assert_eq!(refused.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&refused.stdout).contains("bins.csv"));
    let check = crownwheel(&["check", "--as-of", DAY, "--database", &service.database]).await;
    assert!(check.status.success(), "warnings alone do not end badly");
    assert!(String::from_utf8_lossy(&check.stdout).contains("BRANNOCH/SH200 is needed, and nobody sells it"));
}

async fn the_service_starts_from_its_environment_and_stops_at_a_signal(service: Arc<Service>) {
    let port = free_port();
    let mut command = binary();
    command
        .arg("serve")
        .env("CROWNWHEEL_DATABASE", &service.database)
        .env("CROWNWHEEL_LISTEN", format!("127.0.0.1:{port}"))
        .env("CROWNWHEEL_LOG", "json");
    let log = Served::start(&mut command, port, TRACE).await.stop().await;
    let lines: Vec<Value> = log.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let answered =
        lines.iter().find(|line| line["fields"]["status"] == 200).unwrap_or_else(|| panic!("{log}"));
    assert_eq!(answered["span"]["route"], "/readyz");
    assert_eq!(answered["span"]["trace_id"], "4bf92f3577b34da6a3ce929d0e0e4736");
    assert!(answered["fields"]["elapsed_ms"].is_u64(), "{answered}");
    assert_eq!(lines.last().unwrap()["fields"]["message"], "stopped");
}

const TRACE: &str = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";
