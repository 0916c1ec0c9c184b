//! Every package of the build is under a permissive licence.

use std::process::Command;

/// Licences that a binary may be built from without giving up its own.
const PERMISSIVE: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Whether a licence expression leaves a permissive choice: every part joined by AND, one of those joined by OR.
fn is_permissive(expression: &str) -> bool {
    let expression = expression.replace('/', " OR ");
    split_outside(&expression, " OR ").into_iter().any(|choice| {
        split_outside(choice, " AND ").into_iter().all(|part| {
            let part = part.trim();
            match part.strip_prefix('(').and_then(|inner| inner.strip_suffix(')')) {
                Some(inner) => is_permissive(inner),
                None => PERMISSIVE.contains(&part),
            }
        })
    })
}

/// Splits at a word that stands in no brackets.
fn split_outside<'t>(text: &'t str, word: &str) -> Vec<&'t str> {
    let (mut parts, mut start, mut depth) = (Vec::new(), 0, 0_i32);
    for (at, character) in text.char_indices() {
        match character {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ if depth == 0 && at >= start && text[at..].starts_with(word) => {
                parts.push(&text[start..at]);
                start = at + word.len();
            }
            _ => {}
        }
    }
    parts.push(&text[start..]);
    parts
}

#[test]
fn an_expression_is_read_as_it_is_written() {
    for permissive in ["MIT", "MIT OR GPL-3.0", "Apache-2.0/MIT", "(MIT OR Apache-2.0) AND Unicode-3.0"] {
        assert!(is_permissive(permissive), "{permissive}");
    }
    for other in ["GPL-3.0", "MIT AND GPL-3.0", "(MIT OR Apache-2.0) AND LGPL-3.0", ""] {
        assert!(!is_permissive(other), "{other}");
    }
}

#[test]
fn every_package_is_under_a_permissive_licence() {
    let output = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--format-version",
            "1",
            "--offline",
            "--filter-platform",
            "x86_64-unknown-linux-gnu",
        ])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    let others: Vec<String> = packages
        .iter()
        .filter(|package| !package["license"].as_str().is_some_and(is_permissive))
        .map(|package| format!("{} ({})", package["name"], package["license"]))
        .collect();
    assert!(packages.len() > 100, "only {} packages were listed", packages.len());
    assert!(others.is_empty(), "not permissive: {}", others.join(", "));
}
