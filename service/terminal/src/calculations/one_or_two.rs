//! A figure that is written once for both parts, or once for each.

use std::str::FromStr;

/// A figure of two parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneOrTwo<T> {
    /// Of the first part.
    pub first: T,
    /// Of the second.
    pub second: T,
}

impl<T: FromStr + Clone> FromStr for OneOrTwo<T>
where
    T::Err: std::fmt::Display,
{
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let read =
            |piece: &str| piece.trim().parse::<T>().map_err(|error| format!("`{}`: {error}", piece.trim()));
        match text.split(',').collect::<Vec<_>>().as_slice() {
            [one] => read(one).map(|value| Self { first: value.clone(), second: value }),
            [first, second] => Ok(Self { first: read(first)?, second: read(second)? }),
            _ => Err("write one figure for both, or two with a comma between".to_owned()),
        }
    }
}

/// The figure of each part, where there is one.
pub(super) fn each<T: Copy>(given: Option<OneOrTwo<T>>) -> [Option<T>; 2] {
    [given.map(|pair| pair.first), given.map(|pair| pair.second)]
}

#[cfg(test)]
mod tests {
    use super::OneOrTwo;

    #[test]
    fn one_figure_stands_for_both() {
        assert_eq!("2.5".parse(), Ok(OneOrTwo { first: 2.5, second: 2.5 }));
        assert_eq!("2.5, 2.75".parse(), Ok(OneOrTwo { first: 2.5, second: 2.75 }));
        assert!("1,2,3".parse::<OneOrTwo<f64>>().is_err());
        assert!("x".parse::<OneOrTwo<f64>>().unwrap_err().contains("`x`"));
    }
}
