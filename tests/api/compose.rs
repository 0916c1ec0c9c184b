//! What `docker-compose.yml` starts, started without containers: the same command and environment.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use tokio::task::spawn_blocking;
use yaml_rust2::{Yaml, YamlLoader};

use crate::harness::{DatabaseKind, Service, client};
use crate::served::{Served, binary, free_port};

tests![the_command_and_environment_of_the_compose_file_serve];

const TRACE: &str = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";

async fn the_command_and_environment_of_the_compose_file_serve(service: Arc<Service>) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("docker-compose.yml");
    let compose = YamlLoader::load_from_str(&std::fs::read_to_string(file).unwrap()).unwrap().remove(0);
    let (ours, theirs) = (&compose["services"]["crownwheel"], &compose["services"]["database"]);
    let mut environment = environment(ours);
    let database = database(&environment["CROWNWHEEL_DATABASE"], theirs);
    let listen = environment["CROWNWHEEL_LISTEN"].clone();
    let (host, inside) = listen.rsplit_once(':').unwrap();
    let published = ours["ports"][0].as_str().unwrap();
    assert!(published.ends_with(&format!(":{inside}")), "{published} leads to where nothing listens");

    let port = free_port();
    environment.insert("CROWNWHEEL_LISTEN".to_owned(), format!("{host}:{port}"));
    let address = match service.kind {
        DatabaseKind::Postgres => made(database).await,
        // The same command on the other database.
        DatabaseKind::Sqlite => service.database.clone(),
    };
    environment.insert("CROWNWHEEL_DATABASE".to_owned(), address);
    let command: Vec<&str> =
        ours["command"].as_vec().unwrap().iter().map(|word| word.as_str().unwrap()).collect();
    let key = first_key(&environment, service.kind).await.unwrap_or_else(|| service.key.clone());
    let served = Served::start(binary().args(command).envs(&environment), port, TRACE).await;
    let units = format!("http://127.0.0.1:{port}/v1/units");
    let stranger = client().get(&units).send().await.unwrap();
    assert_eq!(stranger.status().as_u16(), 401);
    let units = client().get(&units).bearer_auth(key).send().await.unwrap();
    assert_eq!(units.status().as_u16(), 200);
    let log = served.stop().await;
    let line: serde_json::Value = serde_json::from_str(log.lines().last().unwrap()).unwrap();
    assert_eq!(line["fields"]["message"], "stopped", "log lines are JSON as the file asks: {log}");
}

/// The first key of a new database, made as the head of the file says; without it the service does not start.
async fn first_key(environment: &BTreeMap<String, String>, kind: DatabaseKind) -> Option<String> {
    if kind == DatabaseKind::Sqlite {
        return None;
    }
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("docker-compose.yml");
    let text = std::fs::read_to_string(file).unwrap();
    let line = text.lines().find_map(|line| line.split_once("docker compose run --rm crownwheel "));
    let words: Vec<String> =
        line.unwrap().1.split('`').next().unwrap().split(' ').map(str::to_owned).collect();
    let environment = environment.clone();
    let (refused, made) = spawn_blocking(move || {
        let run = |words: &[String]| binary().args(words).envs(&environment).output().unwrap();
        (run(&["serve".to_owned()]), run(&words))
    })
    .await
    .unwrap();
    let errors = String::from_utf8(refused.stderr).unwrap();
    assert_eq!(refused.status.code(), Some(2), "{errors}");
    assert!(errors.contains("crownwheel keys create --role owner --name"), "{errors}");
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let printed = String::from_utf8(made.stdout).unwrap();
    Some(printed.lines().find(|line| line.starts_with("cw_")).unwrap().to_owned())
}

/// The environment of a service of the file, with the usual values of what is left to the caller.
fn environment(service: &Yaml) -> BTreeMap<String, String> {
    let entries = service["environment"].as_hash().unwrap().iter();
    let text = |value: &Yaml| filled(value.as_str().unwrap());
    entries.map(|(name, value)| (name.as_str().unwrap().to_owned(), text(value))).collect()
}

/// A value with `${NAME:-usual}` replaced by the usual.
fn filled(text: &str) -> String {
    let mut filled = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("${") {
        let (inside, behind) = after.split_once('}').unwrap();
        filled.push_str(before);
        filled.push_str(inside.split_once(":-").unwrap_or_else(|| panic!("{inside} has no usual value")).1);
        rest = behind;
    }
    filled + rest
}

/// User and name of the database, which the two services of the file must agree on.
struct Database {
    user: String,
    password: String,
    name: String,
}

fn database(url: &str, server: &Yaml) -> Database {
    let rest = url.strip_prefix("postgres://").unwrap();
    let (who, place) = rest.split_once('@').unwrap();
    let (user, password) = who.split_once(':').unwrap();
    let (host, name) = place.split_once('/').unwrap();
    assert_eq!(host, "database", "the name of the other service");
    let theirs = environment(server);
    let agreed = [("POSTGRES_USER", user), ("POSTGRES_PASSWORD", password), ("POSTGRES_DB", name)];
    for (variable, ours) in agreed {
        assert_eq!(theirs[variable], ours, "{variable}");
    }
    let health = server["healthcheck"]["test"][1].as_str().unwrap();
    assert!(health.contains(&format!("--username={user} --dbname={name}")), "{health}");
    Database { user: user.to_owned(), password: password.to_owned(), name: name.to_owned() }
}

/// Makes user and database on the tests' own server, as the image of the other service does, and gives the address.
async fn made(database: Database) -> String {
    let Database { user, password, name } = database;
    spawn_blocking(move || {
        let server = postgres_server::shared();
        server.query("postgres", &format!("CREATE ROLE {user} LOGIN SUPERUSER PASSWORD '{password}'"));
        server.query("postgres", &format!("CREATE DATABASE {name} OWNER {user}"));
        server.url(&name).replace("postgres://postgres@", &format!("postgres://{user}:{password}@"))
    })
    .await
    .unwrap()
}
