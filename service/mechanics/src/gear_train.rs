//! Ratios of gear trains from tooth counts: layshaft boxes, drop boxes, axles; steps between gears.

use crate::bad_input::BadInput;
use crate::bounds;
use crate::gear::checked_teeth;

/// One mesh as the power flows through it. Several gears in a row on separate shafts are a chain: idlers cancel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chain {
    /// Tooth counts from the driving gear over any idlers to the driven gear.
    pub tooth_counts: Vec<u32>,
}

impl Chain {
    /// A plain pair.
    pub fn pair(driving: u32, driven: u32) -> Self {
        Self { tooth_counts: vec![driving, driven] }
    }
}

/// Ratio and sense of rotation of a train.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrainRatio {
    /// i = n_in/n_out; below one for an overdrive.
    pub ratio: f64,
    /// True if the output turns against the input: an odd number of external meshes.
    pub reversed: bool,
}

/// Ratio of a train of chains in series: i = Π z_driven/Π z_driving.
///
/// # Errors
/// A chain of fewer than two gears, or a tooth count out of range.
pub fn train_ratio(chains: &[Chain]) -> Result<TrainRatio, BadInput> {
    let mut ratio = 1.0;
    let mut reversed = false;
    for chain in chains {
        for teeth in &chain.tooth_counts {
            checked_teeth("tooth_counts", *teeth)?;
        }
        let (Some(first), Some(last)) = (chain.tooth_counts.first(), chain.tooth_counts.last()) else {
            return Err(too_short());
        };
        if chain.tooth_counts.len() < 2 {
            return Err(too_short());
        }
        ratio *= f64::from(*last) / f64::from(*first);
        reversed ^= chain.tooth_counts.len().is_multiple_of(2);
    }
    let ratio = bounds::RATIO.check("tooth_counts", ratio)?;
    Ok(TrainRatio { ratio, reversed })
}

fn too_short() -> BadInput {
    BadInput::Contradiction { field: "tooth_counts", problem: "a chain needs a driving and a driven gear" }
}

/// One speed of a layshaft box.
#[derive(Debug, Clone, PartialEq)]
pub enum Speed {
    /// Input shaft locked to output shaft.
    Direct,
    /// From the layshaft to the output, over an idler in reverse.
    OverLayshaft(Chain),
}

/// Ratio of every speed of a layshaft box with the given constant-mesh input pair.
///
/// # Errors
/// As [`train_ratio`].
pub fn layshaft_ratios(input: &Chain, speeds: &[Speed]) -> Result<Vec<TrainRatio>, BadInput> {
    speeds
        .iter()
        .map(|speed| match speed {
            Speed::Direct => Ok(TrainRatio { ratio: 1.0, reversed: false }),
            Speed::OverLayshaft(chain) => train_ratio(&[input.clone(), chain.clone()]),
        })
        .collect()
}

/// Overall ratio i_tot = i_gear·i_transfer·i_final.
///
/// # Errors
/// A ratio out of range.
pub fn overall_ratio(gear: f64, transfer: f64, final_drive: f64) -> Result<f64, BadInput> {
    let product = bounds::RATIO.check("gear_ratio", gear)?
        * bounds::RATIO.check("transfer_ratio", transfer)?
        * bounds::RATIO.check("final_drive_ratio", final_drive)?;
    bounds::RATIO.check("final_drive_ratio", product)
}

/// Step from each gear to the next, i_n/i_(n+1), for ratios in the order of the gears.
///
/// # Errors
/// A ratio out of range.
pub fn steps(ratios: &[f64]) -> Result<Vec<f64>, BadInput> {
    for ratio in ratios {
        bounds::RATIO.check("ratios", *ratio)?;
    }
    Ok(ratios.windows(2).map(|pair| pair[0] / pair[1]).collect())
}

/// A changed axle against the other driven axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleMatch {
    /// (i_changed/i_other − 1)·100.
    pub difference_percent: f64,
    /// Whether the difference lies within the tolerance.
    pub matches: bool,
}

/// Whether two driven axles have the same ratio within a tolerance; both share the road, so any difference winds up
/// the drive or wears the tyres.
///
/// # Errors
/// A ratio out of range, or a tolerance outside 0 to 10 %.
pub fn axles_match(changed: f64, other: f64, tolerance_percent: f64) -> Result<AxleMatch, BadInput> {
    let changed = bounds::RATIO.check("changed_axle_ratio", changed)?;
    let other = bounds::RATIO.check("other_axle_ratio", other)?;
    let bound = bounds::Bound { least: 0.0, most: 10.0, unit: "%" };
    let tolerance = bound.check("tolerance_percent", tolerance_percent)?;
    let difference_percent = (changed / other - 1.0) * 100.0;
    // One part in 10⁹ is rounding of the division, not a difference.
    Ok(AxleMatch { difference_percent, matches: difference_percent.abs() <= tolerance + 1e-9 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn idlers_cancel_but_turn_the_sense() {
        let plain = train_ratio(&[Chain::pair(20, 40)]).unwrap();
        let idler = train_ratio(&[Chain { tooth_counts: vec![20, 27, 40] }]).unwrap();
        assert_eq!(plain.ratio, idler.ratio);
        assert!(plain.reversed && !idler.reversed);
    }

    #[test]
    fn every_speed_of_a_layshaft_box_comes_from_its_teeth() {
        let got = layshaft_ratios(
            &Chain::pair(20, 40),
            &[
                Speed::OverLayshaft(Chain::pair(18, 42)),
                Speed::Direct,
                Speed::OverLayshaft(Chain::pair(36, 24)),
                Speed::OverLayshaft(Chain { tooth_counts: vec![16, 20, 40] }),
            ],
        )
        .unwrap();
        let ratios: Vec<f64> = got.iter().map(|speed| speed.ratio).collect();
        assert!((ratios[0] - 14.0 / 3.0).abs() < 1e-12);
        assert_eq!(ratios[1], 1.0);
        assert!((ratios[2] - 4.0 / 3.0).abs() < 1e-12);
        assert!(!got[0].reversed && got[3].reversed);
    }

    #[test]
    fn no_teeth_and_lone_gears_are_refused() {
        assert_eq!(train_ratio(&[Chain::pair(0, 40)]).unwrap_err().code(), "out_of_range");
        assert!(train_ratio(&[Chain { tooth_counts: vec![20] }]).is_err());
        assert!(train_ratio(&[Chain { tooth_counts: vec![] }]).is_err());
    }

    #[test]
    fn axles_are_held_together() {
        assert!(axles_match(4.11, 4.10, 0.5).unwrap().matches);
        assert!(!axles_match(3.9, 4.1, 0.5).unwrap().matches);
        assert!(axles_match(4.1, 0.0, 0.5).is_err());
    }
}
