//! Input that is no problem at all: where it is wrong, what is wrong, what would be right.

use std::fmt;

/// Why a [`super::Problem`] cannot be worked on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InvalidProblem {
    /// A scope names a variable that does not exist.
    UnknownVariable {
        /// The constraint.
        constraint: usize,
        /// The variable it names.
        variable: usize,
        /// How many variables there are.
        variables: usize,
    },
    /// A scope names one variable twice.
    RepeatedVariable {
        /// The constraint.
        constraint: usize,
        /// The variable.
        variable: usize,
    },
    /// A tuple has more or fewer values than its scope has variables.
    TupleLength {
        /// The constraint.
        constraint: usize,
        /// The tuple.
        tuple: usize,
        /// How many values it has.
        found: usize,
        /// How many its scope asks for.
        expected: usize,
    },
    /// A tuple names a value its variable does not have.
    UnknownValue {
        /// The constraint.
        constraint: usize,
        /// The tuple.
        tuple: usize,
        /// The variable.
        variable: usize,
        /// The value it names.
        value: usize,
        /// How many values the variable has.
        values: usize,
    },
    /// A restriction names a variable that does not exist.
    RestrictedUnknownVariable {
        /// The restriction.
        restriction: usize,
        /// The variable it names.
        variable: usize,
        /// How many variables there are.
        variables: usize,
    },
    /// A restriction names a value its variable does not have.
    RestrictedUnknownValue {
        /// The restriction.
        restriction: usize,
        /// The variable.
        variable: usize,
        /// The value it names.
        value: usize,
        /// How many values the variable has.
        values: usize,
    },
    /// Two restrictions narrow one variable.
    RepeatedRestriction {
        /// The second of the two.
        restriction: usize,
        /// The variable.
        variable: usize,
    },
    /// The largest possible sum of a part of the cost leaves its number range.
    CostOverflow {
        /// The part that does.
        part: CostPart,
    },
    /// 2^31 variables or values, or more.
    TooLarge,
    /// A fact to be blamed does not exist.
    UnknownBlame {
        /// The index given for a constraint, or for a variable where `domain`.
        index: usize,
        /// Whether it was given as a restricted domain.
        domain: bool,
    },
}

/// A part of [`super::Cost`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostPart {
    /// Further changes.
    Changes,
    /// Unverified joints.
    Unverified,
    /// Money.
    Money,
}

impl fmt::Display for CostPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Changes => "changes (at most 2^32 - 1)",
            Self::Unverified => "unverified joints (at most 2^32 - 1)",
            Self::Money => "money (within 64 bits, from least to most)",
        })
    }
}

impl fmt::Display for InvalidProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::UnknownVariable { constraint, variable, variables } => write!(
                f,
                "constraint {constraint} names variable {variable}, but there are {variables}, counted from 0"
            ),
            Self::RepeatedVariable { constraint, variable } => {
                write!(
                    f,
                    "constraint {constraint} names variable {variable} twice; each may stand once in a scope"
                )
            }
            Self::TupleLength { constraint, tuple, found, expected } => write!(
                f,
                "tuple {tuple} of constraint {constraint} has {found} values; its scope asks for {expected}"
            ),
            Self::UnknownValue { constraint, tuple, variable, value, values } => write!(
                f,
                "tuple {tuple} of constraint {constraint} gives variable {variable} the value {value}, but it has \
                 {values}, counted from 0"
            ),
            Self::RestrictedUnknownVariable { restriction, variable, variables } => write!(
                f,
                "restriction {restriction} names variable {variable}, but there are {variables}, counted from 0"
            ),
            Self::RestrictedUnknownValue { restriction, variable, value, values } => write!(
                f,
                "restriction {restriction} allows variable {variable} the value {value}, but it has {values}, \
                 counted from 0"
            ),
            Self::RepeatedRestriction { restriction, variable } => write!(
                f,
                "restriction {restriction} narrows variable {variable} a second time; join the two, or make one of \
                 them a constraint of one variable"
            ),
            Self::CostOverflow { part } => {
                write!(f, "the largest possible sum of {part} does not fit; use smaller figures")
            }
            Self::TooLarge => {
                f.write_str("a problem may have at most 2^31 - 1 values, all variables together")
            }
            Self::UnknownBlame { index, domain: false } => {
                write!(f, "constraint {index} is to be blamed but does not exist")
            }
            Self::UnknownBlame { index, domain: true } => {
                write!(f, "variable {index} is to be blamed for its restriction but has none")
            }
        }
    }
}

impl std::error::Error for InvalidProblem {}
