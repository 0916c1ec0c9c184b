//! The exact best combination of shims from those in the box.
//!
//! Thicknesses are whole micrometres. Which pieces reach a sum is a subset-sum question; a table over all sums up to the
//! target and one thickest piece more answers it exactly: were a larger sum the nearest one from above, taking any piece
//! out would bring it below the target, so the smallest sum not below the target is less than one piece above it.

use crate::bad_input::BadInput;
use crate::bounds::Bound;

/// Most pieces a box may hold.
pub const PIECES_MOST: usize = 200;

const PIECE: Bound = Bound { least: 0.005, most: 20.0, unit: "mm" };
const TARGET: Bound = Bound { least: -20.0, most: 60.0, unit: "mm" };
const TOLERANCE: Bound = Bound { least: 0.0, most: 10.0, unit: "mm" };

/// A measurement that the wanted thickness was made from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShimMeasurement {
    /// Its name, as the bench calls it.
    pub name: &'static str,
    /// Uncertainty ± of the reading.
    pub uncertainty_mm: f64,
}

/// What to do with the answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShimAdvice {
    /// The choice lies within the tolerance.
    Reached,
    /// The measurements are less certain than the miss: repeat the least certain one first.
    RepeatMeasurement {
        /// Its place in the list of measurements.
        index: usize,
    },
    /// All pieces together are too thin by this much.
    BoxTooThin {
        /// What is lacking.
        lacking_mm: f64,
    },
    /// The wanted thickness is below nought: measure again with a thicker trial shim or another spacer.
    WantedBelowNought,
    /// No combination comes near enough: a piece of this thickness, added to the choice or in its place, would.
    PieceLacking {
        /// The thickness of one further piece on top of the best sum below the target.
        thickness_mm: f64,
    },
}

/// The best choice.
#[derive(Debug, Clone, PartialEq)]
pub struct ShimChoice {
    /// Places in the box of the chosen pieces, thickest first.
    pub pieces: Vec<usize>,
    /// Their thickness together.
    pub total_mm: f64,
    /// Total less wanted.
    pub error_mm: f64,
    /// What to do.
    pub advice: ShimAdvice,
}

/// The combination nearest to `wanted_mm`: first the smallest error, of two equal errors the thinner total, then the
/// fewest pieces, then the thickest pieces. The empty choice counts.
///
/// # Errors
/// Too many pieces, or a figure out of range.
pub fn choose_shims(
    box_mm: &[f64],
    wanted_mm: f64,
    tolerance_mm: f64,
    measurements: &[ShimMeasurement],
) -> Result<ShimChoice, BadInput> {
    if box_mm.len() > PIECES_MOST {
        return Err(BadInput::OutOfRange {
            field: "shims_mm",
            value: box_mm.len() as f64,
            least: 0.0,
            most: PIECES_MOST as f64,
            unit: "1",
        });
    }
    let wanted = TARGET.check("wanted_mm", wanted_mm)?;
    let tolerance = TOLERANCE.check("tolerance_mm", tolerance_mm)?;
    for measurement in measurements {
        TOLERANCE.check("uncertainty_mm", measurement.uncertainty_mm)?;
    }
    let mut pieces = Vec::with_capacity(box_mm.len());
    for (place, thickness) in box_mm.iter().enumerate() {
        pieces.push((whole_um(PIECE.check("shims_mm", *thickness)?), place));
    }
    // Thickest first, then as they lie in the box: fixes which of equal pieces are named.
    pieces.sort_by_key(|(thickness, place)| (std::cmp::Reverse(*thickness), *place));
    let target = whole_um(wanted.max(0.0));
    let thicknesses: Vec<usize> = pieces.iter().map(|(thickness, _)| *thickness).collect();
    let chosen = nearest_subset(&thicknesses, target);
    let total_um: usize = chosen.iter().map(|i| thicknesses[*i]).sum();
    let total_mm = total_um as f64 / 1000.0;
    let error_mm = total_mm - wanted;
    let all_mm = thicknesses.iter().sum::<usize>() as f64 / 1000.0;
    let advice = advise(wanted, tolerance, error_mm, total_mm, all_mm, measurements);
    Ok(ShimChoice { pieces: chosen.into_iter().map(|i| pieces[i].1).collect(), total_mm, error_mm, advice })
}

/// Micrometres of a length that its bound has taken; never negative here.
fn whole_um(length_mm: f64) -> usize {
    (length_mm * 1000.0).round() as usize
}

fn advise(
    wanted: f64,
    tolerance: f64,
    error: f64,
    total: f64,
    all: f64,
    measurements: &[ShimMeasurement],
) -> ShimAdvice {
    // Half a micrometre is the rounding of the table.
    let miss = error.abs() - tolerance - 0.0005;
    if miss <= 0.0 {
        return ShimAdvice::Reached;
    }
    let least_certain =
        measurements.iter().enumerate().fold(None, |worst: Option<(usize, f64)>, (i, m)| match worst {
            Some((_, known)) if known >= m.uncertainty_mm => worst,
            _ => Some((i, m.uncertainty_mm)),
        });
    let doubt: f64 = measurements.iter().map(|m| m.uncertainty_mm).sum();
    if let Some((index, worst)) = least_certain
        && worst > 0.0
        && doubt >= miss
    {
        return ShimAdvice::RepeatMeasurement { index };
    }
    if wanted < 0.0 {
        return ShimAdvice::WantedBelowNought;
    }
    if all < wanted {
        return ShimAdvice::BoxTooThin { lacking_mm: wanted - all };
    }
    // Below the target a thin piece on top helps; above it, one piece of the wanted thickness alone.
    let thickness_mm = if error < 0.0 { wanted - total } else { wanted };
    ShimAdvice::PieceLacking { thickness_mm }
}

/// Positions (in the order given, thickest first) of the subset nearest to the target.
fn nearest_subset(thicknesses: &[usize], target: usize) -> Vec<usize> {
    const NEVER: u8 = u8::MAX;
    let all: usize = thicknesses.iter().sum();
    let thickest = thicknesses.first().copied().unwrap_or(0);
    let last = all.min(target + thickest);
    let width = last + 1;
    // fewest[i][s]: fewest pieces out of those from i on that make s. PIECES_MOST fits below NEVER.
    let mut fewest = vec![NEVER; (thicknesses.len() + 1) * width];
    let (rows, empty) = fewest.split_at_mut(thicknesses.len() * width);
    empty[0] = 0;
    let mut below: &[u8] = empty;
    for (row, thickness) in rows.chunks_exact_mut(width).zip(thicknesses).rev() {
        row.copy_from_slice(below);
        if *thickness <= last {
            for (here, without) in row[*thickness..].iter_mut().zip(below) {
                *here = (*here).min(without.saturating_add(1));
            }
        }
        below = row;
    }
    let Some(sum) = nearest_sum(below, target, NEVER) else { return Vec::new() };
    take_thickest_first(&fewest, thicknesses, width, sum)
}

/// The reachable sum nearest to the target, the smaller of two equally near.
fn nearest_sum(reach: &[u8], target: usize, never: u8) -> Option<usize> {
    (0..=target.max(reach.len()))
        .flat_map(|off| [target.checked_sub(off), Some(target + off)])
        .flatten()
        .find(|sum| reach.get(*sum).is_some_and(|count| *count != never))
}

/// Walks the table from the thickest piece and takes a piece whenever that keeps the count lowest.
fn take_thickest_first(fewest: &[u8], thicknesses: &[usize], width: usize, sum: usize) -> Vec<usize> {
    let mut left = sum;
    let mut chosen = Vec::new();
    for (i, thickness) in thicknesses.iter().enumerate() {
        let here = fewest[i * width + left];
        if *thickness <= left {
            let without = fewest[(i + 1) * width + left - thickness];
            if without.saturating_add(1) == here && without != u8::MAX {
                chosen.push(i);
                left -= thickness;
            }
        }
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_nearest_sum_with_fewest_pieces_wins() {
        let got = choose_shims(&[0.1, 0.2, 0.3, 0.3, 0.5], 0.6, 0.01, &[]).unwrap();
        assert_eq!(got.pieces, vec![4, 0]);
        assert!(got.error_mm.abs() < 1e-12);
        assert_eq!(got.advice, ShimAdvice::Reached);
    }

    #[test]
    fn of_two_equal_errors_the_thinner_is_taken() {
        let got = choose_shims(&[0.4, 0.6], 0.5, 0.2, &[]).unwrap();
        assert_eq!((got.pieces, got.total_mm), (vec![0], 0.4));
    }

    #[test]
    fn the_advice_names_what_to_do() {
        let advice =
            |wanted, m: &[ShimMeasurement]| choose_shims(&[0.3, 0.5], wanted, 0.01, m).unwrap().advice;
        assert!(
            matches!(advice(2.0, &[]), ShimAdvice::BoxTooThin { lacking_mm } if (lacking_mm - 1.2).abs() < 1e-9)
        );
        assert_eq!(advice(-0.1, &[]), ShimAdvice::WantedBelowNought);
        assert!(
            matches!(advice(0.35, &[]), ShimAdvice::PieceLacking { thickness_mm } if (thickness_mm - 0.05).abs() < 1e-9)
        );
        let rough = [
            ShimMeasurement { name: "trial shim", uncertainty_mm: 0.01 },
            ShimMeasurement { name: "end float", uncertainty_mm: 0.05 },
        ];
        assert_eq!(advice(0.35, &rough), ShimAdvice::RepeatMeasurement { index: 1 });
    }

    #[test]
    fn an_empty_box_and_a_bad_piece() {
        assert!(choose_shims(&[], 0.0, 0.0, &[]).unwrap().pieces.is_empty());
        assert_eq!(choose_shims(&[0.1, -0.2], 0.3, 0.0, &[]).unwrap_err().field(), "shims_mm");
        assert_eq!(choose_shims(&[0.1; 201], 0.3, 0.0, &[]).unwrap_err().code(), "out_of_range");
    }

    proptest! {
        #[test]
        fn nothing_beats_the_choice(
            pieces in prop::collection::vec(5_u32..600, 0..11), wanted in 0_u32..3000,
        ) {
            let box_mm: Vec<f64> = pieces.iter().map(|um| f64::from(*um) / 1000.0).collect();
            let got = choose_shims(&box_mm, f64::from(wanted) / 1000.0, 0.0, &[]).unwrap();
            // The slow honest referee: every subset, by error, then total, then count.
            let best = (0_u32..1 << pieces.len())
                .map(|mask| {
                    let sum: u32 = (0..pieces.len()).filter(|i| mask >> i & 1 == 1).map(|i| pieces[i]).sum();
                    (sum.abs_diff(wanted), sum, mask.count_ones())
                })
                .min()
                .unwrap();
            let total: u32 = got.pieces.iter().map(|i| pieces[*i]).sum();
            prop_assert_eq!((total.abs_diff(wanted), total, got.pieces.len() as u32), best);
            let mut places = got.pieces.clone();
            places.sort_unstable();
            places.dedup();
            prop_assert_eq!(places.len(), got.pieces.len());
        }
    }
}
