//! What a sheet is: a noun with its columns, its key and what it refers to.

use crate::cell::{Cell, ColumnKind};

/// Which of the running numbers a change of a sheet moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Revision {
    /// What units, kits and parts are.
    Structure,
    /// What things cost and who sells them.
    Price,
    /// What lies on the shelf; its file books count adjustments.
    Stock,
}

/// A limit that every value of a column keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// No limit.
    Any,
    /// Zero or above.
    NotNegative,
    /// Above zero.
    Positive,
    /// From 0 to 1.
    Share,
}

/// How a column that stands in no file follows from others of its row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Derivation {
    /// The part key of the columns `maker` and `number`.
    PartOfNumber,
    /// The unit key of the column `code`.
    UnitOfCode,
}

/// One column of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Name in the file's header and in the table.
    pub name: &'static str,
    /// What it holds.
    pub kind: ColumnKind,
    /// Whether a cell must have a value.
    pub required: bool,
    /// The limit of its values.
    pub bound: Bound,
    /// How it follows from other columns; such a column stands in the table only.
    pub derived: Option<Derivation>,
    /// What it means, for the data keeper.
    pub doc: &'static str,
}

/// Columns whose values must stand in another sheet (unless one of them is empty).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reference {
    /// Columns of this sheet.
    pub columns: &'static [&'static str],
    /// The other sheet.
    pub sheet: &'static str,
    /// The key columns of the other sheet.
    pub target: &'static [&'static str],
}

/// A sheet as data.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetSpec {
    /// Name of the table, and of the file with `.csv` behind it.
    pub name: &'static str,
    /// What one row is.
    pub doc: &'static str,
    /// All columns in order, the derived ones among them.
    pub columns: &'static [Column],
    /// The columns that name a row.
    pub key: &'static [&'static str],
    /// What the rows refer to.
    pub references: &'static [Reference],
    /// The running number that a change moves.
    pub revision: Revision,
}

impl SheetSpec {
    /// The columns that stand in the file.
    pub fn file_columns(&self) -> impl Iterator<Item = &'static Column> {
        self.columns.iter().filter(|column| column.derived.is_none())
    }

    /// The place of a column.
    pub fn column_index(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.name == name)
    }
}

/// A noun that is a sheet.
pub trait Sheet: Sized {
    /// Its columns and references.
    const SPEC: SheetSpec;
    /// The row's cells in the order of the columns.
    fn to_cells(&self) -> Vec<Cell>;
    /// The row of cells in the order of the columns; the error is the index of the first cell of another kind.
    fn from_cells(cells: &[Cell]) -> Result<Self, usize>;
}

/// Makes a noun: the struct, its columns with their documentation, and the way to and from cells.
macro_rules! sheet {
    (
        $(#[doc = $doc:literal])+
        pub struct $name:ident in $sheet:literal, $revision:ident, key($($key:ident),+) {
            $(
                $(#[doc = $cdoc:literal])+
                $field:ident : $type:ty $([$bound:ident])? $(= $derived:ident)?,
            )+
        }
        $( references { $( ($($from:ident),+) => $target_sheet:ident($($to:ident),+) ),+ $(,)? } )?
    ) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize, utoipa::ToSchema)]
        pub struct $name {
            $( $(#[doc = $cdoc])+ pub $field: $type, )+
        }

        impl $crate::sheet::Sheet for $name {
            const SPEC: $crate::sheet::SheetSpec = $crate::sheet::SheetSpec {
                name: $sheet,
                doc: concat!($($doc),+),
                columns: &[ $( $crate::sheet::Column {
                    name: stringify!($field),
                    kind: <$type as $crate::cell::CellValue>::KIND,
                    required: <$type as $crate::cell::CellValue>::REQUIRED,
                    bound: sheet!(@bound $($bound)?),
                    derived: sheet!(@derived $($derived)?),
                    doc: concat!($($cdoc),+),
                }, )+ ],
                key: &[$(stringify!($key)),+],
                references: &[ $( $( $crate::sheet::Reference {
                    columns: &[$(stringify!($from)),+],
                    sheet: stringify!($target_sheet),
                    target: &[$(stringify!($to)),+],
                } ),+ )? ],
                revision: $crate::sheet::Revision::$revision,
            };

            fn to_cells(&self) -> Vec<$crate::cell::Cell> {
                vec![$( $crate::cell::CellValue::to_cell(&self.$field) ),+]
            }

            fn from_cells(cells: &[$crate::cell::Cell]) -> Result<Self, usize> {
                let mut at = 0_usize;
                let mut next = || {
                    let cell = cells.get(at).unwrap_or(&$crate::cell::Cell::Null);
                    at += 1;
                    (at - 1, cell)
                };
                $( let $field = {
                    let (index, cell) = next();
                    <$type as $crate::cell::CellValue>::from_cell(cell).ok_or(index)?
                }; )+
                Ok(Self { $($field),+ })
            }
        }
    };
    (@bound) => { $crate::sheet::Bound::Any };
    (@bound not_negative) => { $crate::sheet::Bound::NotNegative };
    (@bound positive) => { $crate::sheet::Bound::Positive };
    (@bound share) => { $crate::sheet::Bound::Share };
    (@derived) => { None };
    (@derived part_of_number) => { Some($crate::sheet::Derivation::PartOfNumber) };
    (@derived unit_of_code) => { Some($crate::sheet::Derivation::UnitOfCode) };
}
