//! Keys by which the nouns refer to each other.
//!
//! A key is text that follows from what a person writes, so a row can refer to another before either is stored, and the
//! same catalogue has the same keys in every database.

use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is wrong with a text that should be a key.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KeyFault {
    /// Nothing is left of the text without spaces, dashes and dots.
    #[error("is empty")]
    Empty,
    /// A part reference lacks the slash between maker and number.
    #[error("has no `/` between the maker's code and the part number")]
    NoMaker,
    /// A character that no code may hold.
    #[error("holds `{0}`")]
    Character(char),
    /// Longer than the given number of characters.
    #[error("is longer than {0} characters")]
    TooLong(usize),
}

/// Longest key that is stored, in characters.
pub const KEY_LENGTH_MAX: usize = 80;

/// The text without spaces, dashes, dots, and in upper case: how part numbers and unit codes are matched.
///
/// ```
/// assert_eq!(catalogue::key::normalised("vk 640-11.8"), "VK640118");
/// ```
pub fn normalised(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '.' | '\u{2010}'..='\u{2015}'))
        .flat_map(char::to_uppercase)
        .collect()
}

macro_rules! key {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
        #[serde(transparent)]
        #[schema(value_type = String)]
        pub struct $name(String);

        impl $name {
            /// The key as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }

            /// Takes a text that is a key already, as a database gives it back.
            pub fn from_stored(text: impl Into<String>) -> Self {
                Self(text.into())
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

key! {
    /// A part: the maker's code, a slash, and the normalised part number (`VESSICK/VK640118`).
    PartKey
}
key! {
    /// A unit: its normalised unit code (`BN640`).
    UnitKey
}
key! {
    /// A short code inside the catalogue: a position, a maker, a bin. Upper case letters, digits, `-`, `_`, `.`.
    Code
}

/// The mark etched on a matched set; empty where there is none.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(value_type = String)]
pub struct Mark(pub String);

impl PartKey {
    /// The key of a maker's part number as the maker writes it.
    pub fn new(maker: &Code, number: &str) -> Result<Self, KeyFault> {
        let number = normalised(number);
        if number.is_empty() {
            return Err(KeyFault::Empty);
        }
        if let Some(character) = number.chars().find(|c| c.is_control() || *c == ',') {
            return Err(KeyFault::Character(character));
        }
        let key = format!("{maker}/{number}");
        if key.chars().count() > KEY_LENGTH_MAX {
            Err(KeyFault::TooLong(KEY_LENGTH_MAX))
        } else {
            Ok(Self(key))
        }
    }

    /// Reads `MAKER/NUMBER` as a person writes it.
    pub fn parse(text: &str) -> Result<Self, KeyFault> {
        let (maker, number) = text.split_once('/').ok_or(KeyFault::NoMaker)?;
        Self::new(&Code::parse(maker)?, number)
    }

    /// The maker's code.
    pub fn maker(&self) -> &str {
        self.0.split_once('/').map_or("", |(maker, _)| maker)
    }

    /// The normalised number without the maker.
    pub fn number(&self) -> &str {
        self.0.split_once('/').map_or(self.0.as_str(), |(_, number)| number)
    }
}

impl UnitKey {
    /// The key of a unit code as it stands on the plate.
    pub fn parse(text: &str) -> Result<Self, KeyFault> {
        let key = normalised(text);
        if key.is_empty() {
            return Err(KeyFault::Empty);
        }
        if let Some(character) = key.chars().find(|c| !c.is_alphanumeric() && !matches!(c, '_' | '/')) {
            return Err(KeyFault::Character(character));
        }
        if key.chars().count() > KEY_LENGTH_MAX {
            Err(KeyFault::TooLong(KEY_LENGTH_MAX))
        } else {
            Ok(Self(key))
        }
    }
}

impl Code {
    /// Reads a code; blanks at the ends are dropped, lower case becomes upper case.
    pub fn parse(text: &str) -> Result<Self, KeyFault> {
        let code: String = text.trim().to_uppercase();
        if code.is_empty() {
            return Err(KeyFault::Empty);
        }
        if let Some(character) = code.chars().find(|c| !c.is_alphanumeric() && !matches!(c, '-' | '_' | '.'))
        {
            return Err(KeyFault::Character(character));
        }
        if code.chars().count() > KEY_LENGTH_MAX {
            Err(KeyFault::TooLong(KEY_LENGTH_MAX))
        } else {
            Ok(Self(code))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_matched_without_spaces_dashes_dots_and_case() {
        let written = PartKey::parse("vessick/vk 640-11.8").unwrap();
        assert_eq!(written, PartKey::parse("VESSICK/VK640118").unwrap());
        assert_eq!((written.maker(), written.number()), ("VESSICK", "VK640118"));
    }

    #[test]
    fn a_part_without_its_maker_is_refused() {
        assert_eq!(PartKey::parse("VK640118"), Err(KeyFault::NoMaker));
        assert_eq!(PartKey::parse("VESSICK/ -."), Err(KeyFault::Empty));
    }

    #[test]
    fn a_unit_code_is_matched_as_it_is_spoken() {
        assert_eq!(UnitKey::parse("bn 640").unwrap(), UnitKey::parse("BN-640").unwrap());
        assert_eq!(UnitKey::parse(" - "), Err(KeyFault::Empty));
    }

    #[test]
    fn a_code_keeps_its_dashes_and_refuses_blanks_inside() {
        assert_eq!(Code::parse(" seal-out ").unwrap().as_str(), "SEAL-OUT");
        assert_eq!(Code::parse("SEAL OUT"), Err(KeyFault::Character(' ')));
    }
}
