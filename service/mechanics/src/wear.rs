//! A measured value against the limits the maker gives, and what a finding leads to.

use crate::bad_input::BadInput;
use crate::bounds::Bound;

/// Limits of one measurement, in any one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WearLimits {
    /// Smallest value of a new part.
    pub new_min: f64,
    /// Largest value of a new part.
    pub new_max: f64,
    /// Last good value of a worn part; none means that a worn part is always replaced.
    pub wear_limit: Option<f64>,
}

/// What the measurement says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WearVerdict {
    /// As new.
    Reuse,
    /// Worn but good.
    ReuseWorn,
    /// Beyond the limit.
    Replace,
}

impl WearVerdict {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Reuse => "reuse",
            Self::ReuseWorn => "reuse_worn",
            Self::Replace => "replace",
        }
    }
}

/// Verdict and what is left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WearReading {
    /// The verdict.
    pub verdict: WearVerdict,
    /// Share of the wear allowance that is left, 1 as new, 0 at the limit or beyond; none without a wear limit.
    pub remaining_share: Option<f64>,
}

const VALUE: Bound = Bound { least: -1e6, most: 1e6, unit: "as given" };

/// Holds a measurement against its limits. Wear may go up (backlash, bore) or down (thickness, journal): the side of
/// the wear limit tells. A value on the limit is still good. On the side away from wear a value outside the new range is
/// no wear but a wrong part or measurement, and is refused.
///
/// # Errors
/// Limits that contradict each other, or a value that wear cannot explain.
pub fn wear_reading(measured: f64, limits: &WearLimits) -> Result<WearReading, BadInput> {
    let measured = VALUE.check("measured", measured)?;
    let new_min = VALUE.check("new_min", limits.new_min)?;
    let new_max = VALUE.check("new_max", limits.new_max)?;
    if new_min > new_max {
        return Err(BadInput::Contradiction { field: "new_min", problem: "must not be above new_max" });
    }
    let within_new = (new_min..=new_max).contains(&measured);
    let Some(limit) = VALUE.check_known("wear_limit", limits.wear_limit)? else {
        let verdict = if within_new { WearVerdict::Reuse } else { WearVerdict::Replace };
        return Ok(WearReading { verdict, remaining_share: None });
    };
    if limit > new_min && limit < new_max {
        return Err(BadInput::Contradiction {
            field: "wear_limit",
            problem: "lies within the range of new parts",
        });
    }
    let upward = limit >= new_max;
    let edge = if upward { new_max } else { new_min };
    let away = if upward { measured < new_min } else { measured > new_max };
    if away {
        return Err(BadInput::Contradiction {
            field: "measured",
            problem: "lies outside the range of new parts on the side away from wear: check part and measurement",
        });
    }
    if within_new {
        return Ok(WearReading { verdict: WearVerdict::Reuse, remaining_share: Some(1.0) });
    }
    let allowance = (limit - edge).abs();
    let left = if upward { limit - measured } else { measured - limit };
    let share = if allowance > 0.0 { (left / allowance).clamp(0.0, 1.0) } else { 0.0 };
    let verdict = if left >= 0.0 { WearVerdict::ReuseWorn } else { WearVerdict::Replace };
    Ok(WearReading { verdict, remaining_share: Some(share) })
}

/// What the eye finds on a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WearFinding {
    /// Pitted teeth of a loose gear.
    GearTeethPitted,
    /// Damaged teeth of a gear in one piece with the layshaft.
    LayshaftGearDamaged,
    /// Spline flanks worn in.
    SplineSidesWornIn,
    /// Scored or thinned thrust washer.
    ThrustWasherScored,
    /// Backlash of a pair beyond its limit.
    BacklashBeyondLimit,
    /// Bearing cup or cone damaged.
    BearingDamaged,
}

/// What follows from a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WearAction {
    /// Replace the gear.
    ReplaceGear,
    /// Replace the layshaft.
    ReplaceLayshaft,
    /// Replace the shaft.
    ReplaceShaft,
    /// Replace the thrust washer.
    ReplaceWasher,
    /// Replace both gears of the pair.
    ReplaceBothGears,
    /// Replace cup and cone together.
    ReplaceBearing,
}

impl WearAction {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::ReplaceGear => "replace_gear",
            Self::ReplaceLayshaft => "replace_layshaft",
            Self::ReplaceShaft => "replace_shaft",
            Self::ReplaceWasher => "replace_washer",
            Self::ReplaceBothGears => "replace_both_gears",
            Self::ReplaceBearing => "replace_bearing",
        }
    }
}

impl WearFinding {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::GearTeethPitted => "gear_teeth_pitted",
            Self::LayshaftGearDamaged => "layshaft_gear_damaged",
            Self::SplineSidesWornIn => "spline_sides_worn_in",
            Self::ThrustWasherScored => "thrust_washer_scored",
            Self::BacklashBeyondLimit => "backlash_beyond_limit",
            Self::BearingDamaged => "bearing_damaged",
        }
    }

    /// What it leads to: rules of public army technical manuals (gears, splines, washers, backlash) and common practice
    /// without a source (cup and cone together).
    pub fn action(self) -> WearAction {
        match self {
            Self::GearTeethPitted => WearAction::ReplaceGear,
            Self::LayshaftGearDamaged => WearAction::ReplaceLayshaft,
            Self::SplineSidesWornIn => WearAction::ReplaceShaft,
            Self::ThrustWasherScored => WearAction::ReplaceWasher,
            Self::BacklashBeyondLimit => WearAction::ReplaceBothGears,
            Self::BearingDamaged => WearAction::ReplaceBearing,
        }
    }
}

/// Every finding.
pub const WEAR_FINDINGS: [WearFinding; 6] = [
    WearFinding::GearTeethPitted,
    WearFinding::LayshaftGearDamaged,
    WearFinding::SplineSidesWornIn,
    WearFinding::ThrustWasherScored,
    WearFinding::BacklashBeyondLimit,
    WearFinding::BearingDamaged,
];

#[cfg(test)]
mod tests {
    use super::*;

    const BACKLASH: WearLimits = WearLimits { new_min: 0.15, new_max: 0.23, wear_limit: Some(0.3) };

    #[test]
    fn a_value_on_the_limit_is_still_good() {
        let at = |value| wear_reading(value, &BACKLASH).unwrap();
        assert_eq!(at(0.2).verdict, WearVerdict::Reuse);
        assert_eq!(at(0.3).verdict, WearVerdict::ReuseWorn);
        assert_eq!(at(0.3).remaining_share, Some(0.0));
        assert_eq!(at(0.31).verdict, WearVerdict::Replace);
        assert!((at(0.265).remaining_share.unwrap() - 0.5).abs() < 1e-9);
    }

    #[test]
    fn thickness_wears_downward() {
        let washer = WearLimits { new_min: 3.95, new_max: 4.0, wear_limit: Some(3.8) };
        assert_eq!(wear_reading(3.85, &washer).unwrap().verdict, WearVerdict::ReuseWorn);
        assert_eq!(wear_reading(3.7, &washer).unwrap().verdict, WearVerdict::Replace);
        assert_eq!(wear_reading(4.2, &washer).unwrap_err().field(), "measured");
    }

    #[test]
    fn no_limit_means_replace_when_worn() {
        let strict = WearLimits { wear_limit: None, ..BACKLASH };
        assert_eq!(wear_reading(0.24, &strict).unwrap().verdict, WearVerdict::Replace);
        assert_eq!(wear_reading(0.2, &strict).unwrap().verdict, WearVerdict::Reuse);
    }
}
