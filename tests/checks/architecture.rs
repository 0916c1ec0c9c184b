//! The arrows: each floor of the house stands only on the floors below it, and each outside library has its home.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What each crate may use of the house.
const MAY_USE: &[(&str, &[&str])] = &[
    ("service/mechanics", &[]),
    ("service/solver", &[]),
    ("migrations", &[]),
    ("service/catalogue", &["mechanics"]),
    ("service/exchange", &["catalogue"]),
    ("service/resolver", &["catalogue", "mechanics", "solver"]),
    ("service/store", &["catalogue", "migrations"]),
    ("service/courier", &[]),
    ("service/operations", &["catalogue", "courier", "exchange", "mechanics", "resolver", "store"]),
    ("service/terminal", &["catalogue", "operations"]),
    ("service/http_api", &["catalogue", "operations"]),
    (".", &["http_api", "operations", "terminal"]),
];

/// Outside libraries that only the crates named may use: where they are at home, nothing else needs to know them.
const HOMES: &[(&str, &[&str])] = &[
    ("sea-orm", &["service/store"]),
    ("sea-orm-migration", &["migrations"]),
    ("actix-web", &["service/http_api"]),
    ("utoipa-swagger-ui", &["service/http_api"]),
    ("prometheus", &["service/http_api"]),
    ("petgraph", &["service/resolver"]),
    ("csv", &["service/exchange"]),
    ("quick-xml", &["service/exchange"]),
    ("indicatif", &["service/terminal"]),
    ("reqwest", &["service/courier", "service/terminal"]),
    ("hmac", &["service/courier"]),
    ("clap", &[".", "service/terminal"]),
    ("tracing-subscriber", &["."]),
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The names in the section `[dependencies]` of a crate's manifest.
fn dependencies(folder: &str) -> BTreeSet<String> {
    let manifest = std::fs::read_to_string(root().join(folder).join("Cargo.toml")).unwrap();
    let mut section = "";
    let mut names = BTreeSet::new();
    for line in manifest.lines().map(str::trim) {
        if line.starts_with('[') {
            section = line;
        } else if section == "[dependencies]" && !line.is_empty() && !line.starts_with('#') {
            let name = line.split(['.', '=', ' ']).next().unwrap();
            names.insert(name.to_owned());
        }
    }
    names
}

fn crates() -> Vec<String> {
    let inside = std::fs::read_dir(root().join("service")).unwrap().map(|entry| entry.unwrap().path());
    let mut folders: Vec<String> = inside
        .filter(|path: &PathBuf| path.join("Cargo.toml").exists())
        .map(|path| format!("service/{}", path.file_name().unwrap().to_str().unwrap()))
        .chain(["migrations".to_owned(), ".".to_owned()])
        .collect();
    folders.sort();
    folders
}

#[test]
fn every_crate_has_its_floor() {
    let mut floors: Vec<&str> = MAY_USE.iter().map(|(folder, _)| *folder).collect();
    floors.sort_unstable();
    assert_eq!(floors, crates());
}

#[test]
fn each_floor_stands_on_those_below_it() {
    let name = |folder: &str| folder.rsplit('/').next().unwrap().to_owned();
    let house: BTreeSet<String> = crates().iter().map(|folder| name(folder)).collect();
    for (folder, may_use) in MAY_USE {
        let found: BTreeSet<String> =
            dependencies(folder).into_iter().filter(|used| house.contains(used)).collect();
        let allowed: BTreeSet<String> = may_use.iter().map(|used| (*used).to_owned()).collect();
        let more: Vec<&String> = found.difference(&allowed).collect();
        assert!(more.is_empty(), "{folder} must not depend on {more:?}");
    }
}

#[test]
fn each_outside_library_stays_at_home() {
    let uses: BTreeMap<String, BTreeSet<String>> =
        crates().into_iter().map(|folder| (folder.clone(), dependencies(&folder))).collect();
    for (library, homes) in HOMES {
        for (folder, used) in &uses {
            let at_home = homes.contains(&folder.as_str());
            assert!(
                at_home || !used.contains(*library),
                "{folder} must not depend on {library}; {homes:?} may"
            );
        }
        assert!(homes.iter().any(|home| uses[*home].contains(*library)), "nothing uses {library} any more");
    }
}

#[test]
fn the_pure_floors_know_no_clock_and_no_chance() {
    for folder in ["service/mechanics", "service/solver", "service/catalogue", "service/resolver"] {
        for library in ["tokio", "store", "uuid", "rand", "reqwest", "actix-web"] {
            assert!(!dependencies(folder).contains(library), "{folder} must not depend on {library}");
        }
        for file in sources(&root().join(folder).join("src")) {
            let text = std::fs::read_to_string(&file).unwrap();
            for call in
                ["SystemTime::now", "Utc::now", "Local::now", "Instant::now", "HashMap", "HashSet", "std::fs"]
            {
                assert!(!text.contains(call), "{} must not use {call}", file.display());
            }
        }
    }
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found
}
