//! A layered drawing of reasons: each node right of all that it follows from, arrows between.

use std::fmt::Write;

use petgraph::Direction;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;

use super::Node;

/// Width of a character of the picture's font, in pixels; own value, on the wide side so that texts stay in their boxes.
const CHARACTER: usize = 7;
const LINE: usize = 15;
const PADDING: usize = 6;
const GAP_ACROSS: usize = 70;
const GAP_DOWN: usize = 12;
const MARGIN: usize = 10;

#[derive(Debug, Clone, Copy, Default)]
struct Box_ {
    x: usize,
    y: usize,
    width: usize,
    height: usize,
}

/// The graph as a picture.
pub(super) fn draw(graph: &DiGraph<Node, String>) -> String {
    let layers = layers(graph);
    let boxes = boxes(graph, &layers);
    let width = boxes.iter().map(|b| b.x + b.width).max().unwrap_or(0) + MARGIN;
    let height = boxes.iter().map(|b| b.y + b.height).max().unwrap_or(0) + MARGIN;
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} \
         {height}\" role=\"img\" font-family=\"monospace\" font-size=\"11\">\n<title>Reasons of the answer</title>\n<defs>\
         <marker id=\"tip\" viewBox=\"0 0 8 8\" refX=\"8\" refY=\"4\" markerWidth=\"8\" markerHeight=\"8\" \
         orient=\"auto\"><path d=\"M0 0L8 4L0 8z\"/></marker></defs>\n"
    );
    for edge in graph.edge_references() {
        let (from, to) = (boxes[edge.source().index()], boxes[edge.target().index()]);
        let (x1, y1) = (from.x + from.width, from.y + from.height / 2);
        let (x2, y2) = (to.x, to.y + to.height / 2);
        let bend = GAP_ACROSS / 2;
        let (c1, c2) = (x1 + bend, x2.saturating_sub(bend));
        let _ = writeln!(
            text,
            "<path d=\"M{x1} {y1}C{c1} {y1} {c2} {y2} {x2} {y2}\" fill=\"none\" stroke=\"#555\" \
             marker-end=\"url(#tip)\"><title>{}</title></path>",
            escaped(edge.weight())
        );
    }
    for (node, at) in graph.node_weights().zip(&boxes) {
        node_text(&mut text, node, *at);
    }
    text.push_str("</svg>\n");
    text
}

fn node_text(text: &mut String, node: &Node, at: Box_) {
    let (round, fill) = if node.is_root { (12, "#eef3fb") } else { (2, "#fff") };
    let stroke = if node.further_change { 3 } else { 1 };
    let _ = writeln!(
        text,
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{round}\" fill=\"{fill}\" stroke=\"#222\" \
         stroke-width=\"{stroke}\"/>",
        at.x, at.y, at.width, at.height
    );
    for (index, line) in node.text.iter().enumerate() {
        let (x, y) = (at.x + PADDING, at.y + PADDING + LINE * index + 10);
        let _ = writeln!(text, "<text x=\"{x}\" y=\"{y}\">{}</text>", escaped(line));
    }
}

/// The layer of each node: one more than the deepest that it follows from. Arrows that lead back round are left aside.
fn layers(graph: &DiGraph<Node, String>) -> Vec<usize> {
    let mut layers: Vec<Option<usize>> = vec![None; graph.node_count()];
    for node in graph.node_indices() {
        layer(graph, node, &mut layers, &mut Vec::new());
    }
    layers.into_iter().map(Option::unwrap_or_default).collect()
}

fn layer(
    graph: &DiGraph<Node, String>,
    node: NodeIndex,
    layers: &mut [Option<usize>],
    path: &mut Vec<NodeIndex>,
) -> usize {
    if let Some(known) = layers[node.index()] {
        return known;
    }
    path.push(node);
    let mut before: Vec<NodeIndex> = graph.neighbors_directed(node, Direction::Incoming).collect();
    before.sort_unstable();
    let mut deepest = 0;
    for other in before {
        if !path.contains(&other) {
            deepest = deepest.max(layer(graph, other, layers, path) + 1);
        }
    }
    path.pop();
    layers[node.index()] = Some(deepest);
    deepest
}

/// Boxes layer by layer; within a layer by the mean height of what they follow from.
fn boxes(graph: &DiGraph<Node, String>, layers: &[usize]) -> Vec<Box_> {
    let mut boxes = vec![Box_::default(); graph.node_count()];
    let mut x = MARGIN;
    for layer in 0..=layers.iter().copied().max().unwrap_or(0) {
        let mut members: Vec<NodeIndex> =
            graph.node_indices().filter(|node| layers[node.index()] == layer).collect();
        let height = |node: &NodeIndex| {
            let before: Vec<usize> = graph
                .neighbors_directed(*node, Direction::Incoming)
                .filter(|other| layers[other.index()] < layer)
                .map(|other| boxes[other.index()].y)
                .collect();
            before.iter().sum::<usize>() / before.len().max(1)
        };
        members.sort_by_cached_key(|node| (height(node), *node));
        let longest = |node: &NodeIndex| graph[*node].text.iter().map(|line| line.chars().count()).max();
        let width = members.iter().filter_map(longest).max().unwrap_or(0) * CHARACTER + 2 * PADDING;
        let mut y = MARGIN;
        for node in members {
            let height = graph[node].text.len() * LINE + 2 * PADDING;
            boxes[node.index()] = Box_ { x, y, width, height };
            y += height + GAP_DOWN;
        }
        x += width + GAP_ACROSS;
    }
    boxes
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
