//! Reasons as graphs.

use catalogue::{Code, UnitKey};
use resolver::ReasonGraph;
use resolver::answer::Action;

use crate::world::{World, ask, chosen};

fn top_gear() -> resolver::Answer {
    let mut request = ask("BN-552", "TOP-GEAR");
    request.units[0].serial = Some("9001".into());
    request.units[0].chosen = vec![chosen("VESSICK/VK 552-5 S")];
    World::demo().resolve(request)
}

#[test]
fn a_forced_change_has_the_shortest_chain_from_what_was_asked_for() {
    let graph = ReasonGraph::of(&top_gear());
    let chains = graph.chains(&UnitKey::parse("BN-552").unwrap(), &Code::parse("GEAR-3").unwrap());
    let [chain] = chains.as_slice() else { panic!("{chains:#?}") };
    let steps: Vec<String> =
        chain.iter().map(|step| format!("{} | {} | {}", step.from, step.because, step.to)).collect();
    insta::assert_snapshot!(steps.join("\n"), @r"
    asked for VESSICK/VK5525S | VESSICK/VK5525S was asked for | BN-552 LAYSHAFT VESSICK/VK5525S
    BN-552 LAYSHAFT VESSICK/VK5525S | what is inside does not go with VESSICK/VK5525S at LAYSHAFT (joint 552.MESH.LAYSHAFT.GEAR-3) | BN-552 GEAR-3 VESSICK/VK552330
    ");
}

#[test]
fn every_line_that_is_worked_on_has_a_chain() {
    for unit in ["BN-552", "BN-229"] {
        let answer = World::demo().resolve(ask(unit, "OVERHAUL"));
        let graph = ReasonGraph::of(&answer);
        for line in answer.units[0].lines.iter().filter(|line| line.action != Action::Keep) {
            let Some(position) = &line.position else { continue };
            let chains = graph.chains(&answer.units[0].unit, position);
            assert!(chains.iter().all(|chain| !chain.is_empty()), "{unit} {position}");
        }
    }
}

#[test]
fn the_pictures_are_well_formed_and_always_the_same() {
    let answer = top_gear();
    let graph = ReasonGraph::of(&answer);
    let (dot, svg) = (graph.dot(), graph.svg());
    assert!(dot.starts_with("digraph reasons {") && dot.trim_end().ends_with('}'));
    assert!(dot.contains("asked for\\nVESSICK/VK5525S"), "{dot}");
    assert_eq!((ReasonGraph::of(&answer).dot(), ReasonGraph::of(&answer).svg()), (dot, svg.clone()));
    let opened = svg.matches("<rect").count();
    let lines = answer.units[0].lines.iter().filter(|line| line.action != Action::Keep).count();
    assert!(opened > lines, "every line has a box, and facts have theirs");
    assert_eq!(svg.matches("<svg").count(), svg.matches("</svg>").count());
    assert_eq!(svg.matches("<text").count(), svg.matches("</text>").count());
    assert!(!svg.contains(" & "), "texts are escaped");
}
