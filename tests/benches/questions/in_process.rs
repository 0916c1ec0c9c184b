//! The questions without HTTP: from the call to the answer as JSON.

use std::time::{Duration, Instant};

use crate::question::{Place, Question};

/// How often each subject is asked for, in turn by every way.
const ROUNDS: usize = 5;

/// Compares all answers, then times them.
pub(crate) async fn bench(places: &[Place], questions: &[Question]) {
    println!("\nin process, microseconds: median / 99 of 100; the service and the SQL in turn");
    for question in questions {
        let mut first = vec![Vec::new(); places.len()];
        for subject in &question.subjects {
            compare(places, question, subject, &mut first).await;
        }
        let mut times = vec![[Vec::new(), Vec::new()]; places.len()];
        for _ in 0..ROUNDS {
            for subject in &question.subjects {
                for (place, [service, peer]) in places.iter().zip(&mut times) {
                    let begun = Instant::now();
                    let _answer = question.kind.ask_service(&place.shop, subject).await;
                    service.push(begun.elapsed());
                    let begun = Instant::now();
                    let _answer = question.kind.ask_peer(&place.peer, subject).await;
                    peer.push(begun.elapsed());
                }
            }
        }
        for ((place, [service, peer]), first) in places.iter().zip(&mut times).zip(&mut first) {
            let ratio = median(service).as_secs_f64() / median(peer).as_secs_f64();
            println!(
                "{:18} {:10}  service {:>17}  SQL {:>17}  service / SQL {ratio:7.2}  first touch {:>9.0}",
                question.name(),
                place.name,
                figures(service),
                figures(peer),
                median(first).as_secs_f64() * 1e6,
            );
        }
    }
}

/// Every way must say the same. The first touch of each subject by the service is timed here.
async fn compare(places: &[Place], question: &Question, subject: &str, first: &mut [Vec<Duration>]) {
    let mut all = Vec::new();
    for (place, first) in places.iter().zip(first) {
        let begun = Instant::now();
        let answer = question.kind.ask_service(&place.shop, subject).await;
        first.push(begun.elapsed());
        all.push((place.name, question.kind.said_by_service(&answer)));
        let answer = question.kind.ask_peer(&place.peer, subject).await;
        all.push((place.name, question.kind.said_by_peer(&answer)));
    }
    for (name, said) in &all {
        let more: Vec<_> = said.symmetric_difference(&all[0].1).collect();
        assert!(more.is_empty(), "{} of {subject} on {name} differs: {more:?}", question.name());
    }
}

fn median(times: &mut [Duration]) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

fn figures(times: &mut [Duration]) -> String {
    let middle = median(times);
    let late = times[times.len() * 99 / 100];
    format!("{:.0} / {:.0}", middle.as_secs_f64() * 1e6, late.as_secs_f64() * 1e6)
}
