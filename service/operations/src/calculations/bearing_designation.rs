//! A rolling bearing by its designation: boundary dimensions, suffixes, and what differs from another.

use catalogue::Hazard;
use mechanics::bearing_designation::{Bearing, Suffix, compare_bearings, parse_bearing};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field};
use crate::calculations::sheet::figure;

/// A designation, perhaps with another to compare.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BearingDesignationAsked {
    /// The designation.
    #[schema(example = "6308-2RS")]
    pub designation: String,
    /// Another that might stand in its place.
    pub other: Option<String>,
}

/// What the designation says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BearingDesignationResult {
    /// The bearing.
    pub bearing: BearingRead,
    /// The other bearing.
    pub other: Option<BearingRead>,
    /// How they compare.
    pub comparison: Option<BearingsCompared>,
}

/// A designation read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BearingRead {
    /// Basic designation.
    pub basic: String,
    /// Type, such as `deep_groove_ball`.
    pub bearing_type: String,
    /// Bore d.
    pub bore_mm: f64,
    /// Outside D.
    pub outside_mm: f64,
    /// Width B; of a tapered bearing the cone's.
    pub width_mm: f64,
    /// Assembled width T of a tapered bearing.
    pub assembled_width_mm: Option<f64>,
    /// Cup width C of a tapered bearing.
    pub cup_width_mm: Option<f64>,
    /// Suffixes in the order written.
    pub suffixes: Vec<SuffixRead>,
}

/// A suffix and what it says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SuffixRead {
    /// As written.
    pub text: String,
    /// What it says, such as `seals`; `unknown` for makers' own letters.
    pub meaning: String,
}

/// Two designations side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BearingsCompared {
    /// Same type and the same boundary dimensions.
    pub same_size: bool,
    /// Suffixes that only the first has.
    pub only_first: Vec<SuffixRead>,
    /// Suffixes that only the other has.
    pub only_other: Vec<SuffixRead>,
    /// Whether cup and cone of the two must not be mixed.
    pub parts_do_not_mix: bool,
}

impl BearingRead {
    fn of(bearing: &Bearing) -> Self {
        Self {
            basic: bearing.basic.clone(),
            bearing_type: bearing.bearing_type.code().to_owned(),
            bore_mm: bearing.dimensions.bore_mm,
            outside_mm: bearing.dimensions.outside_mm,
            width_mm: bearing.dimensions.width_mm,
            assembled_width_mm: bearing.dimensions.assembled_width_mm,
            cup_width_mm: bearing.dimensions.cup_width_mm,
            suffixes: suffixes(&bearing.suffixes),
        }
    }
}

fn suffixes(list: &[Suffix]) -> Vec<SuffixRead> {
    let read =
        |suffix: &Suffix| SuffixRead { text: suffix.text.clone(), meaning: suffix.meaning.code().to_owned() };
    list.iter().map(read).collect()
}

/// Answer to [`BearingDesignationAsked`].
pub type BearingDesignationSheet = CalculationSheet<BearingDesignationAsked, BearingDesignationResult>;

/// Reads a designation.
pub fn calculate_bearing_designation(
    asked: &BearingDesignationAsked,
) -> Result<BearingDesignationSheet, CalculationFault> {
    let bearing = parse_bearing(&asked.designation).map_err(field("/designation"))?;
    let other = asked.other.as_deref().map(parse_bearing).transpose().map_err(field("/other"))?;
    let standard = if bearing.dimensions.assembled_width_mm.is_some() { "ISO 355" } else { "ISO 15" };
    let sizes = [
        ("bore", "d", Some(bearing.dimensions.bore_mm)),
        ("outside", "D", Some(bearing.dimensions.outside_mm)),
        ("width", "B", Some(bearing.dimensions.width_mm)),
        ("assembled width", "T", bearing.dimensions.assembled_width_mm),
        ("cup width", "C", bearing.dimensions.cup_width_mm),
    ];
    let figures = sizes
        .iter()
        .filter_map(|(name, symbol, value)| {
            Some(figure((name, symbol, "mm"), (*value)?, ("table", standard)))
        })
        .collect();
    let comparison = other.as_ref().map(|other| {
        let found = compare_bearings(&bearing, other);
        BearingsCompared {
            same_size: found.same_size,
            only_first: suffixes(&found.only_first),
            only_other: suffixes(&found.only_second),
            parts_do_not_mix: found.parts_do_not_mix,
        }
    });
    let result = BearingDesignationResult {
        bearing: BearingRead::of(&bearing),
        other: other.as_ref().map(BearingRead::of),
        comparison,
    };
    let hazards = [Hazard::Press, Hazard::Heat, Hazard::Solvent];
    Ok(CalculationSheet::new("bearing-designation", asked.clone(), result, figures, &hazards))
}
