//! Limits and fits, ISO 286-1 and -2: tolerance classes of holes and shafts up to 500 mm, and the fit they make.
//!
//! Tables from memory of ISO 286-1:2010; IT5 to IT11 and the shaft deviations c to u agree with the tables of the PyPI
//! package `pressfit` 0.1.0, the holes E to U with those of `isofits` 1.0.

use std::fmt;
use std::str::FromStr;

use crate::bad_input::BadInput;
use crate::iso_286_tables as tables;

/// Letter of a fundamental deviation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the letters are the standard's own names")]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    H,
    J,
    Js,
    K,
    M,
    N,
    P,
    R,
    S,
    T,
    U,
}

/// A tolerance class such as k6 (shaft) or H7 (hole).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ToleranceClass {
    /// Hole (capital letter) or shaft (small letter).
    pub hole: bool,
    /// The fundamental deviation.
    pub letter: Letter,
    /// Standard tolerance grade, 3 to 14.
    pub grade: u8,
}

/// Limit deviations from a nominal size, in micrometres: ES and EI of a hole, es and ei of a shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Upper limit deviation.
    pub upper_um: f64,
    /// Lower limit deviation.
    pub lower_um: f64,
}

/// What a fit turns out as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FitKind {
    /// Never tight.
    Clearance,
    /// May turn out either way.
    Transition,
    /// Never loose.
    Interference,
}

impl FitKind {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Clearance => "clearance",
            Self::Transition => "transition",
            Self::Interference => "interference",
        }
    }
}

/// The fit of a hole and a shaft of one nominal size; a negative clearance is interference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Least clearance, EI − es.
    pub clearance_min_um: f64,
    /// Most clearance, ES − ei.
    pub clearance_max_um: f64,
    /// The kind that follows.
    pub kind: FitKind,
}

const LETTERS: [(&str, Letter); 16] = [
    ("c", Letter::C),
    ("d", Letter::D),
    ("e", Letter::E),
    ("f", Letter::F),
    ("g", Letter::G),
    ("h", Letter::H),
    ("j", Letter::J),
    ("js", Letter::Js),
    ("k", Letter::K),
    ("m", Letter::M),
    ("n", Letter::N),
    ("p", Letter::P),
    ("r", Letter::R),
    ("s", Letter::S),
    ("t", Letter::T),
    ("u", Letter::U),
];

impl FromStr for ToleranceClass {
    type Err = BadInput;

    fn from_str(text: &str) -> Result<Self, BadInput> {
        let unreadable = || BadInput::Unreadable {
            field: "tolerance",
            text: text.chars().take(40).collect(),
            wanted: "a letter c to u (capital for a hole) and a grade 3 to 14, such as k6 or H7",
        };
        let trimmed = text.trim();
        let split = trimmed.find(|c: char| c.is_ascii_digit()).ok_or_else(unreadable)?;
        let (name, grade) = trimmed.split_at(split);
        let name = name.trim_end();
        let hole = name.chars().next().is_some_and(|c| c.is_ascii_uppercase());
        let uniform = name.chars().all(|c| c.is_ascii_uppercase() == hole);
        let lower = name.to_ascii_lowercase();
        let letter = LETTERS.iter().find(|(known, _)| *known == lower).map(|(_, letter)| *letter);
        let grade: u8 = grade.parse().map_err(|_| unreadable())?;
        match letter {
            Some(letter) if uniform && (3..=14).contains(&grade) => Ok(Self { hole, letter, grade }),
            _ => Err(unreadable()),
        }
    }
}

impl fmt::Display for ToleranceClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = LETTERS.iter().find(|(_, letter)| *letter == self.letter).map_or("", |(name, _)| name);
        if self.hole {
            write!(f, "{}{}", name.to_ascii_uppercase(), self.grade)
        } else {
            write!(f, "{name}{}", self.grade)
        }
    }
}

fn not_in_table(class: ToleranceClass, table: &'static str) -> BadInput {
    BadInput::NotInTable { field: "tolerance", text: class.to_string(), table }
}

/// Standard tolerance IT of a grade at a nominal size, in micrometres.
///
/// # Errors
/// A size not above 0 or above 500 mm, or a grade outside 3 to 14.
pub fn standard_tolerance_um(nominal_mm: f64, grade: u8) -> Result<f64, BadInput> {
    let band = tables::main_band(nominal_mm)?;
    grade_tolerance(band, grade)
}

fn grade_tolerance(band: usize, grade: u8) -> Result<f64, BadInput> {
    usize::from(grade)
        .checked_sub(3)
        .and_then(|row| tables::STANDARD_TOLERANCE.get(row))
        .map(|row| row[band])
        .ok_or(BadInput::OutOfRange {
            field: "grade",
            value: f64::from(grade),
            least: 3.0,
            most: 14.0,
            unit: "IT",
        })
}

/// Limit deviations of a tolerance class at a nominal size.
///
/// # Errors
/// A size outside 0 to 500 mm, or a class that ISO 286-2 does not list there.
pub fn limits(nominal_mm: f64, class: ToleranceClass) -> Result<Limits, BadInput> {
    let band = tables::main_band(nominal_mm)?;
    let width = grade_tolerance(band, class.grade)?;
    if class.letter == Letter::Js {
        return Ok(Limits { upper_um: width / 2.0, lower_um: -width / 2.0 });
    }
    if class.hole {
        hole_limits(nominal_mm, band, width, class)
    } else {
        shaft_limits(nominal_mm, band, width, class)
    }
}

fn shaft_limits(nominal_mm: f64, band: usize, width: f64, class: ToleranceClass) -> Result<Limits, BadInput> {
    if class.letter == Letter::J {
        let lower = match class.grade {
            5 | 6 => tables::J5_J6_SHAFT_LOWER[band],
            7 => tables::J7_SHAFT_LOWER[band],
            _ => return Err(not_in_table(class, "ISO 286-2 (j exists in grades 5 to 7)")),
        };
        return Ok(Limits { upper_um: lower + width, lower_um: lower });
    }
    let deviation = shaft_deviation(nominal_mm, band, class)?;
    Ok(if class.letter <= Letter::H {
        Limits { upper_um: deviation, lower_um: deviation - width }
    } else {
        Limits { upper_um: deviation + width, lower_um: deviation }
    })
}

/// es of c to h, ei of k to u.
fn shaft_deviation(nominal_mm: f64, band: usize, class: ToleranceClass) -> Result<f64, BadInput> {
    let sub = tables::sub_band(nominal_mm);
    Ok(match class.letter {
        Letter::C => tables::SHAFT_C[sub],
        Letter::D => tables::SHAFT_D[band],
        Letter::E => tables::SHAFT_E[band],
        Letter::F => tables::SHAFT_F[band],
        Letter::G => tables::SHAFT_G[band],
        Letter::H | Letter::J | Letter::Js => 0.0,
        Letter::K if (4..=7).contains(&class.grade) => tables::SHAFT_K[band],
        Letter::K => 0.0,
        Letter::M => tables::SHAFT_M[band],
        Letter::N => tables::SHAFT_N[band],
        Letter::P => tables::SHAFT_P[band],
        Letter::R => tables::SHAFT_R[sub],
        Letter::S => tables::SHAFT_S[sub],
        Letter::T => match tables::SHAFT_T[sub] {
            0.0 => return Err(not_in_table(class, "ISO 286-2 (t begins above 24 mm)")),
            value => value,
        },
        Letter::U => tables::SHAFT_U[sub],
    })
}

/// Holes A to H mirror the shaft; J has its own table; K to N up to grade 8 and P to U up to grade 7 take the
/// Δ rule of ISO 286-1: ES = −ei + Δ, Δ = IT(n) − IT(n−1).
fn hole_limits(nominal_mm: f64, band: usize, width: f64, class: ToleranceClass) -> Result<Limits, BadInput> {
    if class.letter == Letter::J {
        let upper = match class.grade {
            6 => tables::J6_HOLE_UPPER[band],
            7 => tables::J7_HOLE_UPPER[band],
            8 => tables::J8_HOLE_UPPER[band],
            _ => return Err(not_in_table(class, "ISO 286-2 (J exists in grades 6 to 8)")),
        };
        return Ok(Limits { upper_um: upper, lower_um: upper - width });
    }
    // The deviation of the shaft letter in the grades where the letter has its tabled value.
    let shaft =
        shaft_deviation(nominal_mm, band, ToleranceClass { grade: class.grade.clamp(4, 7), ..class })?;
    if class.letter <= Letter::H {
        return Ok(Limits { upper_um: width - shaft, lower_um: -shaft });
    }
    let small = nominal_mm <= 3.0;
    let last_with_delta = if class.letter <= Letter::N { 8 } else { 7 };
    let upper = match class.letter {
        _ if small && class.letter == Letter::K => 0.0,
        _ if small => -shaft,
        Letter::K if class.grade > 8 => {
            return Err(not_in_table(class, "ISO 286-2 (K exists up to grade 8 above 3 mm)"));
        }
        Letter::N if class.grade > 8 => 0.0,
        // The one printed exception of ISO 286-1 to the rule: −9 instead of −11.
        Letter::M if class.grade == 6 && nominal_mm > 250.0 && nominal_mm <= 315.0 => -9.0,
        _ if class.grade <= last_with_delta => {
            if class.grade < 4 {
                return Err(not_in_table(class, "the table held here (K to U begin at grade 4)"));
            }
            -shaft + width - grade_tolerance(band, class.grade - 1)?
        }
        _ => -shaft,
    };
    Ok(Limits { upper_um: upper, lower_um: upper - width })
}

/// The fit of a hole and a shaft whose limits are known.
pub fn fit_of(hole: Limits, shaft: Limits) -> Fit {
    let clearance_min_um = hole.lower_um - shaft.upper_um;
    let clearance_max_um = hole.upper_um - shaft.lower_um;
    let kind = if clearance_min_um >= 0.0 {
        FitKind::Clearance
    } else if clearance_max_um <= 0.0 {
        FitKind::Interference
    } else {
        FitKind::Transition
    };
    Fit { clearance_min_um, clearance_max_um, kind }
}

/// Reads "40 k5" or "25 H7" as nominal size and class.
///
/// # Errors
/// A text of another form.
pub fn parse_sized_class(text: &str) -> Result<(f64, ToleranceClass), BadInput> {
    let unreadable = || BadInput::Unreadable {
        field: "designation",
        text: text.chars().take(40).collect(),
        wanted: "a nominal size and a class, such as 40 k5",
    };
    let trimmed = text.trim();
    let split = trimmed.find(|c: char| c.is_ascii_alphabetic()).ok_or_else(unreadable)?;
    let (size, class) = trimmed.split_at(split);
    let size: f64 = size.trim().replace(',', ".").parse().map_err(|_| unreadable())?;
    tables::main_band(size)?;
    Ok((size, class.parse()?))
}

/// The fit written as "25 H7/g6".
///
/// # Errors
/// A text of another form, or a hole and shaft in the wrong order.
pub fn fit_from_text(text: &str) -> Result<Fit, BadInput> {
    let unreadable = || BadInput::Unreadable {
        field: "fit",
        text: text.chars().take(40).collect(),
        wanted: "a nominal size, a hole class and a shaft class, such as 25 H7/g6",
    };
    let (hole, shaft) = text.split_once('/').ok_or_else(unreadable)?;
    let (size, hole) = parse_sized_class(hole)?;
    let shaft: ToleranceClass = shaft.parse()?;
    if !hole.hole || shaft.hole {
        return Err(unreadable());
    }
    Ok(fit_of(limits(size, hole)?, limits(size, shaft)?))
}
