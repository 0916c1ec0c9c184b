//! Depth of the bevel pinion from the deviation etched on it.

use crate::bad_input::BadInput;
use crate::bounds;

/// How a maker means the etched figure. It differs between makers and must never be guessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EtchedSense {
    /// A plus mark sets the pinion further from the crown wheel axis: required = nominal + mark.
    PlusIsFurtherOut,
    /// A plus mark sets the pinion nearer: required = nominal − mark.
    PlusIsNearer,
}

/// Required mounting distance and change of the shim behind the pinion head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PinionDepth {
    /// Required mounting distance.
    pub required_mm: f64,
    /// Measured less required: positive adds shim behind the head, which brings the pinion nearer to the axis.
    pub shim_change_mm: f64,
}

/// Mounting distance and shim change.
///
/// # Errors
/// A figure out of range.
pub fn pinion_depth(
    nominal_mm: f64,
    etched_deviation_mm: f64,
    sense: EtchedSense,
    measured_mm: f64,
) -> Result<PinionDepth, BadInput> {
    let nominal = bounds::LENGTH.check("nominal_mounting_distance_mm", nominal_mm)?;
    let etched = bounds::DEVIATION.check("etched_deviation_mm", etched_deviation_mm)?;
    let measured = bounds::LENGTH.check("measured_distance_mm", measured_mm)?;
    let required_mm = match sense {
        EtchedSense::PlusIsFurtherOut => nominal + etched,
        EtchedSense::PlusIsNearer => nominal - etched,
    };
    Ok(PinionDepth { required_mm, shim_change_mm: measured - required_mm })
}

/// Shim for a new pinion in a housing whose old pinion sat right: the difference of the marks.
///
/// # Errors
/// A figure out of range.
pub fn shim_for_new_pinion_mm(
    old_shim_mm: f64,
    old_etched_mm: f64,
    new_etched_mm: f64,
    sense: EtchedSense,
) -> Result<f64, BadInput> {
    let shim = bounds::LENGTH.check("old_shim_mm", old_shim_mm)?;
    let old = bounds::DEVIATION.check("old_etched_mm", old_etched_mm)?;
    let new = bounds::DEVIATION.check("new_etched_mm", new_etched_mm)?;
    let change = match sense {
        EtchedSense::PlusIsFurtherOut => old - new,
        EtchedSense::PlusIsNearer => new - old,
    };
    bounds::LENGTH.check("new_etched_mm", shim + change)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sense_of_the_mark_turns_the_change_over() {
        let out = pinion_depth(75.0, 0.05, EtchedSense::PlusIsFurtherOut, 75.0).unwrap();
        let near = pinion_depth(75.0, 0.05, EtchedSense::PlusIsNearer, 75.0).unwrap();
        assert!((out.shim_change_mm + 0.05).abs() < 1e-12);
        assert!((near.shim_change_mm - 0.05).abs() < 1e-12);
        let shim = shim_for_new_pinion_mm(1.2, 0.05, -0.05, EtchedSense::PlusIsFurtherOut).unwrap();
        assert!((shim - 1.3).abs() < 1e-12);
        assert!(pinion_depth(f64::INFINITY, 0.0, EtchedSense::PlusIsNearer, 75.0).is_err());
    }
}
