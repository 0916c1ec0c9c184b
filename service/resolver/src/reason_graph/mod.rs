//! The reasons of an answer as a graph: facts at its roots, lines of the requirement behind them, each arrow a reason.

mod svg;

use std::collections::{BTreeMap, VecDeque};
use std::fmt::Write;

use catalogue::{Code, PartKey, UnitKey};
use petgraph::Direction;
use petgraph::dot::{Config, Dot};
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::{Action, Answer, RequirementLine};
use crate::reason::{Place, Reason};

/// A thing in the graph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Node {
    /// What stands in the box, line by line.
    pub(crate) text: Vec<String>,
    /// Whether it is a fact from which lines follow.
    pub(crate) is_root: bool,
    /// Whether it is a further change.
    pub(crate) further_change: bool,
}

/// The graph of an answer's reasons.
#[derive(Debug)]
pub struct ReasonGraph {
    graph: DiGraph<Node, String>,
    lines: Vec<(UnitKey, Option<Code>, PartKey, NodeIndex)>,
}

/// One step from a fact to a line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChainStep {
    /// What it starts from: a fact, or a line.
    pub from: String,
    /// Why what follows does.
    pub because: String,
    /// What follows.
    pub to: String,
}

/// A line with the chain of causes that leads to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LineChain {
    /// The unit.
    pub unit: UnitKey,
    /// The position; empty: what is supplied without one.
    pub position: Option<Code>,
    /// The part.
    pub part: PartKey,
    /// The shortest chain from a fact; empty: nothing else asks for it.
    pub steps: Vec<ChainStep>,
}

impl ReasonGraph {
    /// The graph of all lines that are not kept. The same answer gives the same graph.
    pub fn of(answer: &Answer) -> Self {
        let mut built = Self { graph: DiGraph::new(), lines: Vec::new() };
        let mut lines: Vec<(&UnitKey, &RequirementLine, NodeIndex)> = Vec::new();
        for unit in &answer.units {
            for line in unit.lines.iter().filter(|line| line.action != Action::Keep) {
                let place = line.position.as_ref().map_or("supplied", Code::as_str);
                let mut text = vec![format!("{} {place}", unit.code), line.part.part.to_string()];
                if !line.variants.is_empty() {
                    let names: Vec<&str> = line.variants.iter().map(Code::as_str).collect();
                    text.push(format!("only in {}", names.join(" with ")));
                }
                let node =
                    built.graph.add_node(Node { text, is_root: false, further_change: line.further_change });
                built.lines.push((unit.unit.clone(), line.position.clone(), line.part.part.clone(), node));
                lines.push((&unit.unit, line, node));
            }
        }
        let mut roots: BTreeMap<Vec<String>, NodeIndex> = BTreeMap::new();
        for (unit, line, node) in lines {
            for because in &line.reasons {
                built.reason(unit, line, node, (&because.reason, &because.sentence), &mut roots);
            }
        }
        built
    }

    fn reason(
        &mut self,
        unit: &UnitKey,
        line: &RequirementLine,
        node: NodeIndex,
        (reason, sentence): (&Reason, &str),
        roots: &mut BTreeMap<Vec<String>, NodeIndex>,
    ) {
        let from = self.sources(unit, reason, node);
        if !from.is_empty() {
            for source in from {
                self.graph.add_edge(source, node, sentence.to_owned());
            }
            return;
        }
        let Some(text) = root(unit, line, reason) else { return };
        let source = *roots
            .entry(text.clone())
            .or_insert_with(|| self.graph.add_node(Node { text, is_root: true, further_change: false }));
        self.graph.add_edge(source, node, sentence.to_owned());
    }

    /// The lines from which a reason follows.
    fn sources(&self, unit: &UnitKey, reason: &Reason, node: NodeIndex) -> Vec<NodeIndex> {
        let at = |place: &Place| -> Vec<NodeIndex> {
            let here = self.lines.iter().filter(|(of, position, _, other)| {
                *of == place.unit && position.as_ref() == Some(&place.position) && *other != node
            });
            here.map(|(.., other)| *other).collect()
        };
        let with = |part: &PartKey| -> Vec<NodeIndex> {
            let fits = self
                .lines
                .iter()
                .filter(|(of, _, fitted, other)| of == unit && fitted == part && *other != node);
            fits.map(|(.., other)| *other).collect()
        };
        match reason {
            Reason::MatchedSet { because, .. }
            | Reason::NoMateFits { because, .. }
            | Reason::AxleRatio { because, .. }
            | Reason::Merge { because, .. }
            | Reason::Companion { because: Some(because), .. } => at(because),
            Reason::Companion { of: part, because: None } | Reason::OnlyWith { part } => with(part),
            _ => Vec::new(),
        }
    }

    /// The shortest way from a fact to each line of a position, in the order of the lines; empty where a line has no cause.
    pub fn chains(&self, unit: &UnitKey, position: &Code) -> Vec<Vec<ChainStep>> {
        let here = self.lines.iter().filter(|(of, at, ..)| of == unit && at.as_ref() == Some(position));
        here.map(|(.., node)| self.chain(*node)).collect()
    }

    /// The shortest way from a fact to every line, in the order of the lines.
    pub fn all_chains(&self) -> Vec<LineChain> {
        let chain = |(unit, position, part, node): &(UnitKey, Option<Code>, PartKey, NodeIndex)| LineChain {
            unit: unit.clone(),
            position: position.clone(),
            part: part.clone(),
            steps: self.chain(*node),
        };
        self.lines.iter().map(chain).collect()
    }

    /// Breadth first against the arrows: the first fact that is met is the nearest.
    fn chain(&self, line: NodeIndex) -> Vec<ChainStep> {
        let mut onward: BTreeMap<NodeIndex, (NodeIndex, String)> = BTreeMap::new();
        let mut queue = VecDeque::from([line]);
        while let Some(at) = queue.pop_front() {
            if self.graph[at].is_root {
                let mut steps = Vec::new();
                let mut from = at;
                while let Some((to, because)) = onward.get(&from) {
                    steps.push(ChainStep {
                        from: self.graph[from].text.join(" "),
                        because: because.clone(),
                        to: self.graph[*to].text.join(" "),
                    });
                    from = *to;
                }
                return steps;
            }
            let mut before: Vec<(NodeIndex, String)> = self
                .graph
                .edges_directed(at, Direction::Incoming)
                .map(|edge| (edge.source(), edge.weight().clone()))
                .collect();
            before.sort();
            for (source, because) in before {
                if source != line && !onward.contains_key(&source) {
                    onward.insert(source, (at, because));
                    queue.push_back(source);
                }
            }
        }
        Vec::new()
    }

    /// The graph in the DOT language of Graphviz.
    pub fn dot(&self) -> String {
        let drawn = Dot::with_attr_getters(
            &self.graph,
            &[Config::NodeNoLabel, Config::EdgeNoLabel, Config::GraphContentOnly],
            &|_, edge| format!("label=\"{}\"", escaped(edge.weight())),
            &|_, (_, node)| {
                let text: Vec<String> = node.text.iter().map(|line| escaped(line)).collect();
                let shape = if node.is_root { " shape=ellipse" } else { "" };
                let style = if node.further_change { " style=bold" } else { "" };
                format!("label=\"{}\"{shape}{style}", text.join("\\n"))
            },
        );
        let mut text = String::from("digraph reasons {\n    rankdir=LR\n    node [shape=box]\n");
        let _ = write!(text, "{drawn:?}");
        text.push_str("}\n");
        text
    }

    /// The graph as a picture: facts on the left, what follows from them to the right.
    pub fn svg(&self) -> String {
        svg::draw(&self.graph)
    }
}

/// The fact from which a reason follows, in words; `None` for what only tells how a number follows from another.
fn root(unit: &UnitKey, line: &RequirementLine, reason: &Reason) -> Option<Vec<String>> {
    let position = line.position.as_ref().map_or("", Code::as_str);
    match reason {
        Reason::AlwaysAtOverhaul { .. } => Some(vec![unit.to_string(), "overhaul".to_owned()]),
        Reason::SingleUseDisturbed { operation, .. }
        | Reason::OperationRenews { operation }
        | Reason::UsedByOperation { operation, .. }
        | Reason::OperationCallsForWork { operation, .. } => {
            Some(vec![unit.to_string(), operation.as_str().to_lowercase()])
        }
        Reason::Finding { grade } => {
            Some(vec![format!("{unit} {position}"), format!("found {}", grade.word().replace('_', " "))])
        }
        Reason::PastLimit { position, bench_value, .. } => {
            Some(vec![format!("{unit} {position}"), format!("{bench_value} past its limit")])
        }
        Reason::Asked { part } => Some(vec!["asked for".to_owned(), part.to_string()]),
        Reason::NoticeNeeds { notice } | Reason::Merge { notice, .. } => {
            Some(vec!["notice".to_owned(), notice.to_string()])
        }
        Reason::MatchedSet { set: part, .. }
        | Reason::NoMateFits { fitted: part, .. }
        | Reason::AxleRatio { fitted: part, .. }
        | Reason::Companion { of: part, .. }
        | Reason::OnlyWith { part } => Some(vec![unit.to_string(), format!("{part} is fitted")]),
        _ => None,
    }
}

/// A text as it stands between the quotes of DOT.
fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', " ")
}
