//! The shop's day in the terminal: a job, a serial number, the shelf; on a database at hand and of a running service.

use std::sync::Arc;

use tokio::task::spawn_blocking;

use crate::harness::Service;
use crate::served::binary;

tests![
    a_job_is_carried_in_the_terminal,
    the_shelf_is_looked_after_in_the_terminal,
    the_audit_is_read_in_the_terminal,
    a_wrong_word_is_told_with_what_would_be_right,
];

/// Runs a command; what it prints, and its errors.
async fn run(words: &[&str], place: &[&str]) -> (String, String, bool) {
    let words: Vec<String> = words.iter().chain(place).map(|word| (*word).to_owned()).collect();
    let output = spawn_blocking(move || {
        binary().args(&words).env("COLUMNS", "160").env("CROWNWHEEL_BY", "Ruth").output().unwrap()
    });
    let output = output.await.unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr), output.status.success())
}

async fn printed(words: &[&str], place: &[&str]) -> String {
    let (printed, errors, well) = run(words, place).await;
    assert!(well, "{words:?}: {errors}");
    printed
}

fn holds(text: &str, pieces: &[&str]) {
    for piece in pieces {
        assert!(text.contains(piece), "{piece}\n{text}");
    }
}

fn places(service: &Service) -> [Vec<&str>; 2] {
    [vec!["--database", service.database.as_str()], service.over_http().to_vec()]
}

async fn a_job_is_carried_in_the_terminal(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    for (at, place) in places(&demo).iter().enumerate() {
        let place = place.as_slice();
        let job = format!("J-{:06}", at + 1);
        let serial = (700 + at).to_string();
        let asked = [
            "job",
            "open",
            "BN-228",
            "--operation",
            "PINION-SEAL",
            "--serial",
            &serial,
            "--note",
            "Oil at the pinion",
        ];
        let opened = printed(&asked, place).await;
        holds(
            &opened,
            &[
                &format!("JOB {job}  enquiry; BN228 serial {serial}"),
                "Oil at the pinion",
                "Next: estimate, strip, cancel.",
            ],
        );
        let step = |words: &[&str]| {
            let words: Vec<String> = [&["job", words[0], &job][..], &words[1..]]
                .concat()
                .iter()
                .map(|word| (*word).to_owned())
                .collect();
            async move {
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                printed(&words, place).await
            }
        };
        holds(&step(&["estimate"]).await, &["estimated", "estimate Q-"]);
        step(&["strip"]).await;
        let found = step(&[
            "find",
            "--variant",
            "FLANGE-50",
            "--measured",
            "PINION-FLANGE/GROOVE=0.2",
            "--finding",
            "PINION-NUT=damaged",
            "--note",
            "Right round",
        ])
        .await;
        holds(&found, &["PINION-FLANGE", "GROOVE 0.2", "damaged", "Right round"]);
        holds(&step(&["compare"]).await, &["against its estimate", "the bench at"]);
        step(&["decide"]).await;
        let approved = step(&["approve", "--price", "640.50", "--approved-by", "The district"]).await;
        holds(&approved, &["approved at 640.50 EUR by The district"]);
        step(&["build"]).await;
        let list = step(&["pick-list"]).await;
        holds(&list, &["PICK LIST", "PINION-FLANGE", "CAUTIONS", "maker's manual"]);
        let listed = printed(&["job", "list", "--state", "building"], place).await;
        holds(&listed, &[&job]);
        let issued =
            step(&["issue", "--part", "PINION-SEAL=VESSICK/RS 50x80x10*1@B-SEALS", "--batch", "26-1"]).await;
        // The first job takes the only one; the second is told that there is none.
        holds(&issued, &["VESSICK/RS50X80X10", "26-1"]);
        let back =
            step(&["return", "--part", "PINION-SEAL=VESSICK/RS 50x80x10*1@B-SEALS", "--batch", "26-1"]).await;
        assert!(!back.contains("in the job at"), "{back}");
        let shims = step(&["shims", "PINION-DEPTH-SHIM", "--wanted", "0.31", "--tolerance", "0.05"]).await;
        holds(&shims, &["shims at PINION-DEPTH-SHIM: 0.300 mm"]);
        holds(&step(&["inspect"]).await, &["Next: "]);
        let (_, errors, well) = run(&["job", "close", &job, "--surplus-bin", "S-SURPLUS"], place).await;
        assert!(!well && errors.contains("not issued yet"), "{errors}");
        let cancelled = step(&["cancel", "--note", "The customer sells the truck"]).await;
        holds(&cancelled, &["cancelled", "Nothing more is done with it."]);
        holds(&step(&["papers"]).await, &["PAPERS of", "decision Q-"]);
        assert_eq!(step(&["show"]).await, cancelled);
        let serial = printed(&["serial", "BN-228", &serial], place).await;
        holds(&serial, &["BN228 serial", "No job of this shop"]);
        let batch = printed(&["batch", "26-1"], place).await;
        holds(&batch, &["Batch 26-1 went into no serial number"]);
    }
    demo.stop().await;
}

async fn the_shelf_is_looked_after_in_the_terminal(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let [here, there] = places(&demo);
    let (here, there) = (here.as_slice(), there.as_slice());
    let balance = printed(&["shelf", "balance", "VESSICK/RS 50x80x10"], here).await;
    holds(&balance, &["VESSICK/RS50X80X10", "B-SEALS", "7.86"]);
    assert_eq!(balance, printed(&["shelf", "balance", "VESSICK/RS 50x80x10"], there).await);
    printed(&["job", "open", "BN-228"], here).await;
    let reserved =
        printed(&["shelf", "reserve", "J-000001", "--part", "VESSICK/RS 50x80x10*1", "--hours", "48"], here)
            .await;
    holds(&reserved, &["RS-000001", "live"]);
    holds(&printed(&["shelf", "reservations", "--job", "J-000001"], there).await, &["RS-000001"]);
    let minimums = printed(&["shelf", "minimums"], there).await;
    holds(&minimums, &["VESSICK/RS50X80X10", "Shaft seal", "minimum", "on order"]);
    assert_eq!(minimums, printed(&["shelf", "minimums"], here).await);
    holds(&printed(&["shelf", "release", "RS-000001"], there).await, &["given back"]);
    for place in [here, there] {
        let told = printed(&["order", "round", "--dry-run"], place).await;
        holds(&told, &["ORDER (not drafted)", "the shelf: ", "least money, proven", "nothing was stored"]);
    }
    let orders = printed(&["shelf", "reorder", "--note", "For the shelf"], there).await;
    holds(&orders, &["ORDER PO-000001", "VESSICK/RS50X80X10", "For the shelf"]);
    assert_eq!(printed(&["shelf", "minimums"], here).await, "nothing is below its minimum\n");

    let (csv, told, _) = run(&["shelf", "count-sheet", "--bin", "S-SURPLUS", "--csv"], there).await;
    let sequence = told.trim().rsplit(' ').next().unwrap().to_owned();
    assert!(csv.contains("S-SURPLUS,BRANNOCH/2282012,,,1,"), "{csv}");
    holds(&printed(&["shelf", "count-sheet"], here).await, &["COUNT SHEET  after movement", "S-SURPLUS"]);
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), csv.replace("BRANNOCH/2282012,,,", "BRANNOCH/2282012,,2,")).unwrap();
    let file = file.path().to_str().unwrap().to_owned();
    let counted = printed(&["shelf", "count", &file, "--sequence", &sequence], here).await;
    holds(&counted, &["1 lots counted, 0 as booked", "adjust", "count against the sheet at"]);
    let (_, errors, well) = run(&["shelf", "count", &file, "--sequence", &sequence], there).await;
    assert!(!well && errors.contains("print a new sheet"), "{errors}");
    let moved = printed(&["shelf", "movements", "BRANNOCH/228-2012", "--after", &sequence], there).await;
    holds(&moved, &["adjust", "Ruth"]);
    demo.stop().await;
}

async fn the_audit_is_read_in_the_terminal(service: Arc<Service>) {
    let number = crate::orders::placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    let subject = format!("orders/{number}");
    for place in places(&service) {
        let text = printed(&["audit", "--subject", &subject], &place).await;
        holds(
            &text,
            &[
                "K-000001  first owner  order.drafted",
                "state: draft -> placed",
                "quantity of VESSICK/K100: 2",
            ],
        );
        let one = printed(&["audit", "--subject", &subject, "--what", "order.placed"], &place).await;
        assert!(!one.contains("order.drafted"), "{one}");
        assert_eq!(printed(&["audit", "--carrier", "K-000077"], &place).await, "no such entry\n");
        let json: serde_json::Value =
            serde_json::from_str(&printed(&["audit", "--subject", &subject, "--json"], &place).await)
                .unwrap();
        assert_eq!(json["items"][1]["what"], "order.placed");
    }
}

async fn a_wrong_word_is_told_with_what_would_be_right(service: Arc<Service>) {
    for place in &places(&service) {
        for (words, right) in [
            (&["job", "list", "--state", "lost"][..], "write one of enquiry, estimated"),
            (&["job", "show", "J-000009"], "there is no job `J-000009`"),
            (&["job", "issue", "J-000001", "--part", "S-1*1"], "names no bin"),
            (&["job", "issue", "J-000001", "--part", "S-1@A-1"], "says not how many"),
            (&["job", "approve", "J-000001", "--price", "dear", "--approved-by", "X"], "`dear` is no price"),
            (&["serial", "T-100", "none"], "does not end in the digits"),
            (&["shelf", "balance", "NONE-7"], "NONE-7"),
            (&["shelf", "count", "/not/there.csv", "--sequence", "1"], "cannot be read"),
            (&["shelf", "reorder"], "below its minimum"),
        ] {
            let (_, errors, well) = run(words, place).await;
            assert!(!well && errors.contains(right), "{words:?}: {errors}");
        }
    }
}
