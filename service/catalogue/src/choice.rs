//! A closed list of words as an enum that is also a column.

/// Makes an enum whose variants have one word each in CSV, JSON and the database.
///
/// A word is taken as a token, since the derives do not read a literal that a macro has matched as one. The crate that uses
/// it needs `serde` and `utoipa`.
#[macro_export]
macro_rules! choice {
    (
        $(#[$doc:meta])*
        pub enum $name:ident { $( $(#[$vdoc:meta])* $variant:ident = $word:tt, )+ }
    ) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
            utoipa::ToSchema,
        )]
        pub enum $name { $( $(#[$vdoc])* #[serde(rename = $word)] $variant, )+ }

        impl $name {
            /// The words of all values, in order.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// The word of this value.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }

            /// The value of a word.
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }

        impl $crate::cell::CellValue for $name {
            const KIND: $crate::cell::ColumnKind = $crate::cell::ColumnKind::Choice(Self::WORDS);
            const REQUIRED: bool = true;
            fn to_cell(&self) -> $crate::cell::Cell {
                $crate::cell::Cell::Text(self.word().to_owned())
            }
            fn from_cell(cell: &$crate::cell::Cell) -> Option<Self> {
                match cell { $crate::cell::Cell::Text(word) => Self::from_word(word), _ => None }
            }
        }
    };
}
