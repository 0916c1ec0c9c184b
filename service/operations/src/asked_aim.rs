//! One aim out of the named ones; a weighted mix of several is refused.

use std::fmt;

use resolver::request::Aim;
use serde::de::{self, Deserializer, MapAccess, SeqAccess, Visitor};

/// Reads the name of an aim.
///
/// # Errors
///
/// A word that is no aim, or a list or an object of aims: weights would let a little of one aim be traded for a lot of
/// another without anybody saying so, and no answer could be called proven by a plain figure.
pub(crate) fn one_aim<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Aim, D::Error> {
    deserializer.deserialize_any(OneAim)
}

struct OneAim;

fn no_mix<E: de::Error>() -> E {
    E::custom(format!(
        "aims are not weighed against each other: name the one that goes first, {}; the others follow in a fixed order",
        Aim::WORDS.join(", ")
    ))
}

impl<'de> Visitor<'de> for OneAim {
    type Value = Aim;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the name of one aim: {}", Aim::WORDS.join(", "))
    }

    fn visit_str<E: de::Error>(self, word: &str) -> Result<Aim, E> {
        Aim::from_word(word).ok_or_else(|| E::unknown_variant(word, Aim::WORDS))
    }

    fn visit_map<A: MapAccess<'de>>(self, _: A) -> Result<Aim, A::Error> {
        Err(no_mix())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, _: A) -> Result<Aim, A::Error> {
        Err(no_mix())
    }
}
