//! The only place with the check's words.

use super::finding::{Fact, Finding};

fn list<T: std::fmt::Display>(items: &[T]) -> String {
    items.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// A circle with its start named again at the end.
fn ring<T: std::fmt::Display>(items: &[T]) -> String {
    items.iter().chain(items.first()).map(ToString::to_string).collect::<Vec<_>>().join(" → ")
}

/// That more hang in the circles than the shortest one names.
fn and_others(members: usize, named: usize) -> String {
    match members.saturating_sub(named) {
        0 => String::new(),
        1 => "; one more hangs in a circle with these".into(),
        more => format!("; {more} more hang in circles with these"),
    }
}

impl Finding {
    /// The finding as a sentence.
    pub fn sentence(&self) -> String {
        circle_sentence(&self.fact)
            .or_else(|| notice_sentence(&self.fact))
            .or_else(|| unit_sentence(&self.fact))
            .unwrap_or_else(|| money_sentence(&self.fact))
    }
}

fn circle_sentence(fact: &Fact) -> Option<String> {
    Some(match fact {
        Fact::SupersessionCycle { parts, notices, members } => format!(
            "numbers give way to each other in a circle: {} (notices {}){}",
            ring(parts),
            list(notices),
            and_others(*members, parts.len())
        ),
        Fact::KitCycle { kits, members } => {
            format!("kits lie in each other in a circle: {}{}", ring(kits), and_others(*members, kits.len()))
        }
        Fact::CompanionCycle { parts, members } => format!(
            "parts bring each other along in a circle: {}{}",
            ring(parts),
            and_others(*members, parts.len())
        ),
        Fact::LikelihoodCycle { unit, weak_points } => {
            format!("likelihoods of unit {unit} rest on each other in a circle: {}", ring(weak_points))
        }
        Fact::SupersededByItself { notice, part } => {
            format!("by notice {notice} the number {part} gives way to itself")
        }
        Fact::KitHoldsItself { kit, line } => format!("kit {kit} names itself on line {line}"),
        Fact::CompanionOfItself { part } => format!("{part} is its own companion"),
        Fact::LikelihoodGivenItself { unit, weak_point } => {
            format!("the likelihood of weak point {weak_point} of unit {unit} rests on itself")
        }
        Fact::JointWithItself { joint } => format!("joint {joint} joins a face with itself"),
        _ => return None,
    })
}
