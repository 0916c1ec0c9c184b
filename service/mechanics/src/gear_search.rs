//! The other way round: tooth counts and profile shifts that fit a given centre distance near a wanted ratio.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::gear::{BasicRack, ToothSystem};
use crate::gear_pair::{pair_at_centre_distance, transverse_contact_ratio};
use crate::mesh_contact::runs_below_usable_involute;
use crate::tooth_thickness::thickness_at;
use crate::undercut::least_shift;

/// What is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct GearSearch {
    /// Centre distance of the case.
    pub centre_distance_mm: f64,
    /// Ratio z2/z1 wanted.
    pub wanted_ratio: f64,
    /// Largest difference from it, in per cent.
    pub ratio_tolerance_percent: f64,
    /// Normal modules to try.
    pub normal_modules_mm: Vec<f64>,
    /// Normal pressure angle.
    pub normal_pressure_angle_deg: f64,
    /// Helix angles to try.
    pub helix_angles_deg: Vec<f64>,
    /// Fewest teeth of a gear.
    pub least_teeth: u32,
    /// Tooth count and profile shift of a second gear that stays, where there is one.
    pub kept_wheel: Option<(u32, f64)>,
    /// Smallest contact ratio taken; 1.2 is usual.
    pub least_contact_ratio: f64,
    /// Most answers given.
    pub answers_most: usize,
}

/// A pair that fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittingPair {
    /// Teeth of both gears.
    pub tooth_counts: [u32; 2],
    /// Normal module.
    pub normal_module_mm: f64,
    /// Helix angle.
    pub helix_angle_deg: f64,
    /// Ratio z2/z1.
    pub ratio: f64,
    /// Difference from the wanted ratio in per cent.
    pub ratio_error_percent: f64,
    /// Profile shifts without backlash.
    pub profile_shifts: [f64; 2],
    /// Tip diameters with tips shortened by k.
    pub tip_diameters_mm: [f64; 2],
    /// Working transverse pressure angle.
    pub working_pressure_angle_deg: f64,
    /// Transverse contact ratio.
    pub contact_ratio: f64,
    /// Tip thickness of the thinner tip in normal modules.
    pub least_tip_thickness_modules: f64,
}

/// Shifts of real gears (common practice, no source).
const SHIFT_REACH: (f64, f64) = (-0.6, 1.2);
/// Thinnest tip taken, in normal modules (common practice, no source).
const TIP_LEAST_MODULES: f64 = 0.2;
const RACK: BasicRack = BasicRack::ISO_53_A;

/// All pairs that fit, nearest to the ratio first, then by the least difference between the shifts, then by module,
/// helix and teeth. The shifts share the sum so that neither gear is undercut; a kept wheel keeps its own.
///
/// # Errors
/// A figure out of range, or lists so long that the search would not end soon.
pub fn search_gears(wanted: &GearSearch) -> Result<Vec<FittingPair>, BadInput> {
    let checked = check(wanted)?;
    let mut found = Vec::new();
    for module in &wanted.normal_modules_mm {
        for helix in &wanted.helix_angles_deg {
            let system = ToothSystem::new(*module, wanted.normal_pressure_angle_deg, *helix)?;
            for counts in tooth_counts(wanted, &system) {
                if let Some(pair) = try_pair(&checked, &system, *helix, counts) {
                    found.push(pair);
                }
            }
        }
    }
    found.sort_by(|a, b| {
        let spread = |pair: &FittingPair| (pair.profile_shifts[0] - pair.profile_shifts[1]).abs();
        a.ratio_error_percent
            .abs()
            .total_cmp(&b.ratio_error_percent.abs())
            .then(spread(a).total_cmp(&spread(b)))
            .then(a.normal_module_mm.total_cmp(&b.normal_module_mm))
            .then(a.helix_angle_deg.total_cmp(&b.helix_angle_deg))
            .then(a.tooth_counts.cmp(&b.tooth_counts))
    });
    found.truncate(wanted.answers_most);
    Ok(found)
}

fn check(wanted: &GearSearch) -> Result<GearSearch, BadInput> {
    bounds::CENTRE_DISTANCE.check("centre_distance_mm", wanted.centre_distance_mm)?;
    Bound { least: 0.02, most: 50.0, unit: "1" }.check("wanted_ratio", wanted.wanted_ratio)?;
    Bound { least: 0.0, most: 50.0, unit: "%" }
        .check("ratio_tolerance_percent", wanted.ratio_tolerance_percent)?;
    Bound { least: 0.5, most: 3.0, unit: "1" }.check("least_contact_ratio", wanted.least_contact_ratio)?;
    bounds::TEETH.check("least_teeth", f64::from(wanted.least_teeth))?;
    if let Some((teeth, shift)) = wanted.kept_wheel {
        bounds::TEETH.check("kept_wheel.tooth_count", f64::from(teeth))?;
        bounds::PROFILE_SHIFT.check("kept_wheel.profile_shift", shift)?;
    }
    let lists = [
        ("normal_modules_mm", wanted.normal_modules_mm.len()),
        ("helix_angles_deg", wanted.helix_angles_deg.len()),
    ];
    for (field, length) in lists {
        Bound { least: 1.0, most: 100.0, unit: "1" }.check(field, length as f64)?;
    }
    Ok(wanted.clone())
}

/// Tooth counts whose sum suits the distance with shifts in reach, and whose ratio lies near the wanted one.
fn tooth_counts(wanted: &GearSearch, system: &ToothSystem) -> Vec<[u32; 2]> {
    let of_distance = |modification: f64| {
        2.0 * (wanted.centre_distance_mm - modification * system.normal_module_mm)
            / system.transverse_module_mm
    };
    let least_sum = of_distance(2.0 * SHIFT_REACH.1).max(6.0).ceil();
    let most_sum = of_distance(2.0 * SHIFT_REACH.0).min(bounds::TEETH.most).floor();
    let band = wanted.ratio_tolerance_percent / 100.0 * wanted.wanted_ratio;
    let mut counts = Vec::new();
    let mut sum = least_sum;
    while sum <= most_sum {
        // z1 = sum/(1 + i), for the largest and the smallest ratio taken.
        let first = (sum / (1.0 + wanted.wanted_ratio + band)).floor().max(f64::from(wanted.least_teeth));
        let last = (sum / (1.0 + (wanted.wanted_ratio - band).max(0.01))).ceil();
        let mut z1 = first;
        while z1 <= last && sum - z1 >= f64::from(wanted.least_teeth) {
            // Whole numbers within the range of teeth.
            let pair = [z1 as u32, (sum - z1) as u32];
            let ratio = f64::from(pair[1]) / f64::from(pair[0]);
            let near = (ratio - wanted.wanted_ratio).abs() <= band + 1e-12;
            if near && wanted.kept_wheel.is_none_or(|(teeth, _)| teeth == pair[1]) {
                counts.push(pair);
            }
            z1 += 1.0;
        }
        sum += 1.0;
    }
    counts
}

fn try_pair(wanted: &GearSearch, system: &ToothSystem, helix: f64, counts: [u32; 2]) -> Option<FittingPair> {
    let distance = wanted.centre_distance_mm;
    let working = pair_at_centre_distance(system, counts, distance).ok()?;
    let shifts = match wanted.kept_wheel {
        Some((_, shift)) => [working.sum_of_shifts - shift, shift],
        None => share_shifts(system, counts, working.sum_of_shifts)?,
    };
    if !shifts.iter().all(|shift| (SHIFT_REACH.0..=SHIFT_REACH.1).contains(shift)) {
        return None;
    }
    let free_of_undercut = [0, 1].iter().all(|i| shifts[*i] >= least_shift(system, counts[*i], &RACK) - 1e-9);
    if !free_of_undercut && wanted.kept_wheel.is_none() {
        return None;
    }
    let shortening = (working.sum_of_shifts - working.centre_modification).max(0.0);
    let tips = [0, 1].map(|i| system.tip_diameter_mm(counts[i], shifts[i], &RACK, shortening));
    let bases = counts.map(|teeth| system.base_diameter_mm(teeth));
    let ratio = transverse_contact_ratio(
        tips,
        bases,
        distance,
        working.working_pressure_angle_rad,
        system.transverse_base_pitch_mm,
    )
    .ok()?;
    let line = distance * working.working_pressure_angle_rad.sin();
    let fouls = [0, 1].iter().any(|i| {
        let (tip, base) = (tips[1 - i], bases[1 - i]);
        let start = line - (tip * tip - base * base).max(0.0).sqrt() / 2.0;
        let form = system.form_curvature_mm(counts[*i], shifts[*i], &RACK);
        runs_below_usable_involute(start, form, bases[*i], system.normal_module_mm)
    });
    if fouls {
        return None;
    }
    let thinnest = [0, 1]
        .map(|i| thickness_at(system, counts[i], shifts[i], tips[i]))
        .into_iter()
        .fold(f64::INFINITY, f64::min)
        / system.normal_module_mm;
    if ratio < wanted.least_contact_ratio || thinnest < TIP_LEAST_MODULES {
        return None;
    }
    let i = f64::from(counts[1]) / f64::from(counts[0]);
    Some(FittingPair {
        tooth_counts: counts,
        normal_module_mm: system.normal_module_mm,
        helix_angle_deg: helix,
        ratio: i,
        ratio_error_percent: (i / wanted.wanted_ratio - 1.0) * 100.0,
        profile_shifts: shifts,
        tip_diameters_mm: tips,
        working_pressure_angle_deg: working.working_pressure_angle_rad.to_degrees(),
        contact_ratio: ratio,
        least_tip_thickness_modules: thinnest,
    })
}

/// Half each, moved as far as undercut asks; none if both cannot be free of it.
fn share_shifts(system: &ToothSystem, counts: [u32; 2], sum: f64) -> Option<[f64; 2]> {
    let least = counts.map(|teeth| least_shift(system, teeth, &RACK));
    if least[0] + least[1] > sum {
        return None;
    }
    let first = (sum / 2.0).max(least[0]).min(sum - least[1]);
    Some([first, sum - first])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feature::{GearTeeth, Hand};
    use crate::joint::Joint;
    use crate::mesh::judge_mesh;
    use crate::verdict::Verdict;

    fn search() -> GearSearch {
        GearSearch {
            centre_distance_mm: 100.0,
            wanted_ratio: 40.0 / 21.0,
            ratio_tolerance_percent: 3.0,
            normal_modules_mm: vec![2.5, 3.0, 3.5],
            normal_pressure_angle_deg: 20.0,
            helix_angles_deg: vec![0.0, 15.0, 20.0],
            least_teeth: 12,
            kept_wheel: None,
            least_contact_ratio: 1.2,
            answers_most: 20,
        }
    }

    fn gear(pair: &FittingPair, i: usize, hand: Hand) -> GearTeeth {
        GearTeeth {
            tooth_count: pair.tooth_counts[i],
            normal_module_mm: Some(pair.normal_module_mm),
            normal_pressure_angle_deg: Some(20.0),
            helix_angle_deg: Some(pair.helix_angle_deg),
            helix_hand: Some(if pair.helix_angle_deg == 0.0 { Hand::Spur } else { hand }),
            profile_shift: Some(pair.profile_shifts[i]),
            tip_diameter_mm: Some(pair.tip_diameters_mm[i]),
            ..GearTeeth::default()
        }
    }

    #[test]
    fn every_answer_passes_the_mesh_test() {
        let found = search_gears(&search()).unwrap();
        assert!(found.len() > 5, "{found:?}");
        for pair in &found {
            let got =
                judge_mesh(&Joint::mesh(100.0), &gear(pair, 0, Hand::Left), &gear(pair, 1, Hand::Right));
            assert_eq!(got.verdict, Verdict::Fits, "{pair:?} {got:?}");
        }
        assert!(found.windows(2).all(|w| w[0].ratio_error_percent.abs() <= w[1].ratio_error_percent.abs()));
    }

    #[test]
    fn a_kept_wheel_asks_for_the_pinions_shift() {
        let kept = GearSearch {
            kept_wheel: Some((40, 0.3)),
            normal_modules_mm: vec![3.0],
            helix_angles_deg: vec![20.0],
            ..search()
        };
        let found = search_gears(&kept).unwrap();
        assert_eq!(found[0].tooth_counts, [21, 40]);
        assert!((found[0].profile_shifts[0] - 0.648_667).abs() < 2e-6);
    }

    #[test]
    fn nonsense_is_refused_by_field() {
        let error = search_gears(&GearSearch { centre_distance_mm: -1.0, ..search() }).unwrap_err();
        assert_eq!(error.field(), "centre_distance_mm");
        let error = search_gears(&GearSearch { normal_modules_mm: vec![], ..search() }).unwrap_err();
        assert_eq!(error.field(), "normal_modules_mm");
        assert!(search_gears(&GearSearch { wanted_ratio: f64::NAN, ..search() }).is_err());
    }
}
