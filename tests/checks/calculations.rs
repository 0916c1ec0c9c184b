//! A route for each calculation: every public function of `mechanics` is reached by a calculation that has a route and a
//! command, or stands on the list of those that need none. The table in the README of `mechanics` says by which.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Functions that no calculation of its own reaches, and why.
const WITHOUT: &[(&str, &str)] = &[
    ("judge", "the entry of the resolver: each kind of joint is judged by a calculation of its own"),
    ("fit_from_text", "reads `25H7/g6`: limits-and-fits takes the same in three fields"),
    ("parse_sized_class", "reads `25H7`: limits-and-fits takes the same in two fields"),
    (
        "resistances_small_angle",
        "the textbooks' small-angle form, for their check values: gradeability solves the exact one",
    ),
    ("check_top_gear", "one gear of what gradeability answers for all"),
];

const BEGIN: &str = "<!-- table of routes: written by the test calculations -->";
const END: &str = "<!-- end of the routes -->";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(root().join(folder)).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(path.strip_prefix(root()).unwrap().to_str().unwrap()));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn read(path: &Path) -> String {
    let text = std::fs::read_to_string(path).unwrap();
    // Tests beside the code call what they like.
    text.split("\n#[cfg(test)]").next().unwrap().to_owned()
}

/// The words of code, without comments and texts.
fn words(text: &str) -> BTreeSet<String> {
    let lines = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    let code = lines.collect::<Vec<_>>().join("\n");
    let code = code.split('"').step_by(2).collect::<Vec<_>>().join(" ");
    code.split(|letter: char| !letter.is_alphanumeric() && letter != '_').map(str::to_owned).collect()
}

/// A function at the left margin: its name, whether it is public, and the words of its body.
fn functions(text: &str) -> Vec<(String, bool, BTreeSet<String>)> {
    let mut found = Vec::new();
    let lines: Vec<&str> = text.lines().collect();
    for (at, line) in lines.iter().enumerate() {
        let (public, rest) = match line.strip_prefix("pub fn ") {
            Some(rest) => (true, rest),
            None => match line.strip_prefix("fn ").or_else(|| line.strip_prefix("pub(crate) fn ")) {
                Some(rest) => (false, rest),
                None => continue,
            },
        };
        let name: String =
            rest.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
        let body: Vec<&str> = lines[at + 1..].iter().copied().take_while(|line| *line != "}").collect();
        found.push((name, public, words(&body.join("\n"))));
    }
    found
}

/// Functions of `mechanics` by name: file, whether public, words of the body. Methods count to their file's functions only
/// where a function calls them, so types are reached by what makes them.
fn mechanics() -> BTreeMap<String, (String, bool, BTreeSet<String>)> {
    let mut all = BTreeMap::new();
    for path in sources("service/mechanics/src") {
        let file = path.strip_prefix(root().join("service/mechanics/src")).unwrap().display().to_string();
        for (name, public, body) in functions(&read(&path)) {
            all.insert(name, (file.clone(), public, body));
        }
    }
    all
}

/// What the words of a text reach, through the functions that they name.
fn reached(
    from: &BTreeSet<String>,
    all: &BTreeMap<String, (String, bool, BTreeSet<String>)>,
) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut open: Vec<&String> = from.iter().filter(|word| all.contains_key(*word)).collect();
    while let Some(name) = open.pop() {
        if found.insert(name.clone()) {
            open.extend(all[name].2.iter().filter(|word| all.contains_key(*word)));
        }
    }
    found
}

/// The calculations of `operations` by the last part of their route, with the functions of `mechanics` that each reaches.
fn calculations() -> BTreeMap<String, BTreeSet<String>> {
    let all = mechanics();
    let mut found = BTreeMap::new();
    for path in sources("service/operations/src/calculations") {
        let text = read(&path);
        let name = text.split("pub fn calculate_").nth(1).and_then(|rest| rest.split('(').next());
        if let Some(name) = name {
            let mut named = words(&text);
            // What gears and joints share stands in files of their own.
            for shared in ["gear", "spline", "road_speed", "shims"] {
                if text.contains(&format!("calculations::{shared}::")) {
                    named.extend(words(&read(&path.with_file_name(format!("{shared}.rs")))));
                }
            }
            found.insert(name.replace('_', "-"), reached(&named, &all));
        }
    }
    found
}

#[test]
fn every_calculation_has_its_route_and_its_command() {
    let routes = read(&root().join("service/http_api/src/routes.rs"));
    let handlers: String =
        sources("service/http_api/src/calculations").iter().map(|path| read(path)).collect();
    let commands: String =
        sources("service/terminal/src/calculations").iter().map(|path| read(path)).collect();
    for name in calculations().keys() {
        let function = format!("calculate_{}", name.replace('-', "_"));
        assert!(routes.contains(&format!("\"/v1/calculations/{name}\"")), "{name} has no route");
        assert!(handlers.contains(&format!("fn {function}(")), "{name} has no handler");
        assert!(commands.contains(&format!("{function}(")), "{name} has no command");
    }
}

#[test]
fn every_function_of_mechanics_is_reached_by_a_route() {
    let calculations = calculations();
    let mut table = String::from("| function | file | routes under /v1/calculations/ |\n|---|---|---|\n");
    let mut lost = Vec::new();
    for (name, (file, public, _)) in mechanics() {
        if !public {
            continue;
        }
        let routes: Vec<&str> = calculations
            .iter()
            .filter(|(_, reached)| reached.contains(&name))
            .map(|(route, _)| route.as_str())
            .collect();
        let reason = WITHOUT.iter().find(|(known, _)| *known == name).map(|(_, reason)| *reason);
        let told = match (routes.is_empty(), reason) {
            (false, None) => routes.join(", "),
            (true, Some(reason)) => reason.to_owned(),
            _ => {
                lost.push(name);
                continue;
            }
        };
        table.push_str(&format!("| `{name}` | {file} | {told} |\n"));
    }
    assert!(lost.is_empty(), "give these a route, or take them off the list of those without: {lost:?}");
    let path = root().join("service/mechanics/README.md");
    let readme = std::fs::read_to_string(&path).unwrap();
    let (head, rest) = readme.split_once(BEGIN).unwrap();
    let (old, tail) = rest.split_once(END).unwrap();
    if old.trim() != table.trim() {
        if std::env::var_os("RENEW_README").is_some() {
            std::fs::write(&path, format!("{head}{BEGIN}\n{table}{END}{tail}")).unwrap();
        } else {
            panic!("renew the table of routes: RENEW_README=1 cargo test --test checks calculations");
        }
    }
}
