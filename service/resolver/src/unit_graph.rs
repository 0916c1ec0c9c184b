//! The picture of a unit: its positions and the joints between them, in the DOT language of Graphviz.

use std::collections::BTreeMap;
use std::fmt::Write;

use catalogue::{CandidateRole, Code, Position, Snapshot, UnitKey};
use petgraph::dot::{Config, Dot};
use petgraph::graph::{NodeIndex, UnGraph};

/// The graph of one unit of a snapshot: a node a position, grouped by sub-assembly, with the original part of it; an edge
/// a joint, named by how the positions meet. Joints into other units are left out. The same snapshot gives the same text.
pub fn unit_graph(snapshot: &Snapshot, unit: &UnitKey) -> String {
    let (graph, groups) = joints_of(snapshot, unit);
    let drawn = Dot::with_attr_getters(
        &graph,
        &[Config::NodeNoLabel, Config::EdgeNoLabel, Config::GraphContentOnly],
        &|_, edge| format!("label=\"{}\"", edge.weight()),
        &|_, (_, label)| format!("label=\"{label}\""),
    );
    let mut text = format!("graph \"{}\" {{\n    node [shape=box]\n", escaped(unit.as_str()));
    for (at, (subassembly, nodes)) in groups.iter().enumerate() {
        let members: Vec<String> = nodes.iter().map(|node| node.index().to_string()).collect();
        let _ = writeln!(
            text,
            "    subgraph cluster_{at} {{ label=\"{}\"; {} }}",
            escaped(subassembly.as_str()),
            members.join("; ")
        );
    }
    let _ = write!(text, "{drawn:?}");
    text.push_str("}\n");
    text
}

type Groups = BTreeMap<Code, Vec<NodeIndex>>;

fn joints_of(snapshot: &Snapshot, unit: &UnitKey) -> (UnGraph<String, String>, Groups) {
    let mut graph = UnGraph::new_undirected();
    let mut nodes: BTreeMap<&Code, NodeIndex> = BTreeMap::new();
    let mut groups = Groups::new();
    let mut positions: Vec<&Position> =
        snapshot.positions.iter().filter(|position| position.unit == *unit).collect();
    positions.sort_by(|a, b| (a.assembly_order, &a.position).cmp(&(b.assembly_order, &b.position)));
    for position in positions {
        let original = snapshot.candidates.iter().find(|candidate| {
            candidate.unit == *unit
                && candidate.position == position.position
                && candidate.role == CandidateRole::Original
        });
        let mut label = format!("{}\\n{}", escaped(position.position.as_str()), escaped(&position.name));
        if let Some(original) = original {
            let _ = write!(label, "\\n{}", escaped(original.part.as_str()));
        }
        let node = graph.add_node(label);
        nodes.insert(&position.position, node);
        groups.entry(position.subassembly.clone()).or_default().push(node);
    }
    for joint in &snapshot.joints {
        if joint.unit_a != *unit || joint.unit_b != *unit {
            continue;
        }
        if let (Some(a), Some(b)) = (nodes.get(&joint.position_a), nodes.get(&joint.position_b)) {
            graph.add_edge(*a, *b, joint.kind.word().replace('_', " "));
        }
    }
    (graph, groups)
}

/// A text as it stands between the quotes of DOT.
fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', " ")
}

#[cfg(test)]
mod tests {
    use catalogue::{Joint, JointKind, Quantity};

    use super::*;

    fn position(code: &str, order: i64) -> Position {
        Position {
            unit: UnitKey::from_stored("U1"),
            position: Code::from_stored(code),
            name: format!("the \"{code}\""),
            subassembly: Code::from_stored("BOX"),
            assembly_order: order,
            quantity: Quantity::ONE,
            renewal: None,
            variant: None,
            only_with: None,
        }
    }

    #[test]
    fn positions_are_nodes_in_order_of_assembly_and_joints_are_edges() {
        let unit = UnitKey::from_stored("U1");
        let joint = Joint {
            joint: Code::from_stored("J1"),
            kind: JointKind::BearingSeat,
            unit_a: unit.clone(),
            position_a: Code::from_stored("SHAFT"),
            feature_a: Code::from_stored("SEAT"),
            unit_b: unit.clone(),
            position_b: Code::from_stored("BEARING"),
            feature_b: Code::from_stored("BORE"),
            centre_distance_mm: None,
            backlash_min_mm: None,
            backlash_max_mm: None,
        };
        let snapshot = Snapshot {
            positions: vec![position("BEARING", 2), position("SHAFT", 1)],
            joints: vec![joint],
            ..Snapshot::default()
        };
        insta::assert_snapshot!(unit_graph(&snapshot, &unit), @r#"
        graph "U1" {
            node [shape=box]
            subgraph cluster_0 { label="BOX"; 0; 1 }
            0 [ label="SHAFT\nthe \"SHAFT\""]
            1 [ label="BEARING\nthe \"BEARING\""]
            0 -- 1 [ label="bearing seat"]
        }
        "#);
    }
}
