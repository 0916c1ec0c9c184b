//! No calculation panics, and none gives a figure that is no number, whatever it is fed.
//!
//! `cargo +nightly fuzz run --fuzz-dir tests/fuzz calculations -- -max_total_time=180`

#![no_main]

#[path = "../../../service/operations/tests/every_calculation/table.rs"]
mod table;

use libfuzzer_sys::fuzz_target;
use mechanics::bearing_designation::parse_bearing;
use mechanics::bearing_life::{RollingElement, rating_life_h, required_rating};
use mechanics::gear::{BasicRack, ToothSystem};
use mechanics::gear_from_bench::{BenchMeasurements, MeasuredPins, MeasuredSpan, read_bench};
use mechanics::gear_pair::{pair_at_centre_distance, pair_from_shifts};
use mechanics::gear_search::{GearSearch, search_gears};
use mechanics::iso_286::fit_from_text;
use mechanics::shaft_seal::parse_seal;
use mechanics::shims::choose_shims;
use mechanics::shrink_fit::heating_plan;
use mechanics::side_bearings::{SideBearingSetting, side_shims};
use mechanics::spline_involute::{parse_din_5480, parse_iso_4156};
use mechanics::spline_straight::parse_straight_spline;
use mechanics::svg::{gears_in_mesh, spline_section};
use mechanics::thread::parse_thread;
use mechanics::tyre::parse_tyre;
use mechanics::wear::{WearLimits, wear_reading};
use mechanics::{Feature, GearTeeth, Hand, Joint, JointKind, SplineStandard, SplineTeeth, judge};

/// Takes figures off the front of the input; nought where it is used up.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        match self.0.split_first() {
            Some((first, rest)) => {
                self.0 = rest;
                *first
            }
            None => 0,
        }
    }

    /// Mostly a figure of the trade, now and then any pattern of bits.
    fn figure(&mut self) -> f64 {
        let kind = self.byte();
        let mut eight = [0; 8];
        eight.iter_mut().for_each(|byte| *byte = self.byte());
        match kind % 8 {
            0 => f64::from_bits(u64::from_le_bytes(eight)),
            1 => f64::from(eight[0]) / 1000.0,
            2 => -f64::from(eight[0]) / 10.0,
            _ => f64::from(u16::from_le_bytes([eight[0], eight[1]])) / 100.0,
        }
    }

    fn known(&mut self) -> Option<f64> {
        (self.byte() % 4 != 0).then(|| self.figure())
    }

    fn gear(&mut self) -> GearTeeth {
        GearTeeth {
            tooth_count: u32::from(self.byte()),
            normal_module_mm: self.known(),
            normal_pressure_angle_deg: self.known(),
            helix_angle_deg: self.known(),
            helix_hand: [None, Some(Hand::Left), Some(Hand::Right), Some(Hand::Spur)]
                [usize::from(self.byte() % 4)],
            profile_shift: self.known(),
            tip_diameter_mm: self.known(),
            root_diameter_mm: self.known(),
            face_width_mm: self.known(),
            thickness_allowance_upper_mm: self.known(),
            thickness_allowance_lower_mm: self.known(),
            base_pitch_uncertainty_mm: self.known(),
        }
    }

    fn spline(&mut self, external: bool) -> SplineTeeth {
        let standards = [
            SplineStandard::Iso4156,
            SplineStandard::Din5480,
            SplineStandard::AnsiB92,
            SplineStandard::Straight,
        ];
        SplineTeeth {
            module_mm: self.known(),
            pressure_angle_deg: self.known(),
            reference_diameter_mm: self.known(),
            major_diameter_mm: self.known(),
            minor_diameter_mm: self.known(),
            tooth_or_space_width_mm: self.known(),
            engaged_length_mm: self.known(),
            carrying_teeth: (self.byte() % 2 == 0).then(|| u32::from(self.byte())),
            ..SplineTeeth::new(standards[usize::from(self.byte() % 4)], u32::from(self.byte()), external)
        }
    }
}

fn numbers(figures: impl IntoIterator<Item = f64>) {
    assert!(figures.into_iter().all(f64::is_finite), "a figure is no number");
}

fn meshes(bytes: &mut Bytes<'_>) {
    let (a, b) = (bytes.gear(), bytes.gear());
    let joint = Joint {
        centre_distance_mm: bytes.known(),
        maximum_backlash_mm: bytes.known(),
        ..Joint::new(JointKind::Mesh)
    };
    let judged = judge(&joint, &Feature::Gear(a), &Feature::Gear(b));
    numbers(judged.figures.iter().map(|figure| figure.value));
    numbers(judged.warnings.iter().flat_map(|warning| [warning.value, warning.advised]));
    if let Ok(picture) = gears_in_mesh(&a, &b, joint.centre_distance_mm.unwrap_or(0.0)) {
        assert!(!picture.contains("NaN") && !picture.contains("inf"));
    }
    if let Ok(system) = ToothSystem::new(bytes.figure(), bytes.figure(), bytes.figure()) {
        let teeth = [a.tooth_count, b.tooth_count];
        if let Ok(pair) =
            pair_from_shifts(&system, teeth, [bytes.figure(), bytes.figure()], &BasicRack::ISO_53_A, true)
        {
            numbers([pair.centre_distance_mm, pair.contact_ratio, pair.tip_shortening]);
            numbers(pair.tip_diameters_mm);
        }
        if let Ok(pair) = pair_at_centre_distance(&system, teeth, bytes.figure()) {
            numbers([pair.sum_of_shifts, pair.working_pressure_angle_rad]);
        }
    }
}

fn searches(bytes: &mut Bytes<'_>) {
    let wanted = GearSearch {
        centre_distance_mm: bytes.figure(),
        wanted_ratio: bytes.figure(),
        ratio_tolerance_percent: bytes.figure().min(2.0),
        normal_modules_mm: vec![bytes.figure()],
        normal_pressure_angle_deg: bytes.figure(),
        helix_angles_deg: vec![bytes.figure()],
        least_teeth: u32::from(bytes.byte()),
        kept_wheel: None,
        least_contact_ratio: bytes.figure(),
        answers_most: 5,
    };
    for pair in search_gears(&wanted).into_iter().flatten() {
        numbers([pair.ratio, pair.contact_ratio, pair.working_pressure_angle_deg]);
    }
    let measured = BenchMeasurements {
        tooth_count: u32::from(bytes.byte()),
        tip_diameter_mm: bytes.figure(),
        tip_helix_angle_deg: bytes.figure(),
        hand: Hand::Left,
        spans: vec![
            MeasuredSpan { spanned_teeth: u32::from(bytes.byte()), span_mm: bytes.figure() },
            MeasuredSpan { spanned_teeth: u32::from(bytes.byte()), span_mm: bytes.figure() },
        ],
        pins: Some(MeasuredPins { pin_diameter_mm: bytes.figure(), size_mm: bytes.figure() }),
        uncertainty_mm: bytes.figure(),
    };
    for candidate in read_bench(&measured).into_iter().flat_map(|reading| reading.candidates) {
        numbers([candidate.profile_shift, candidate.addendum, candidate.misfit]);
    }
}

fn splines(bytes: &mut Bytes<'_>) {
    let (shaft, hub) = (bytes.spline(true), bytes.spline(false));
    let judged = judge(&Joint::new(JointKind::Spline), &Feature::Spline(shaft), &Feature::Spline(hub));
    numbers(judged.figures.iter().map(|figure| figure.value));
    if let Ok(picture) = spline_section(&shaft, u32::from(bytes.byte())) {
        assert!(!picture.contains("NaN") && !picture.contains("inf"));
    }
}

fn settings(bytes: &mut Bytes<'_>) {
    let pieces: Vec<f64> = (0..bytes.byte() % 12).map(|_| bytes.figure()).collect();
    if let Ok(choice) = choose_shims(&pieces, bytes.figure(), bytes.figure(), &[]) {
        numbers([choice.total_mm, choice.error_mm]);
    }
    let setting = SideBearingSetting {
        crown_side_shim_mm: bytes.figure(),
        other_side_shim_mm: bytes.figure(),
        measured_backlash_mm: bytes.figure(),
        wanted_backlash_mm: bytes.figure(),
        end_float_mm: bytes.figure(),
        preload_mm: bytes.figure(),
        pressure_angle_deg: bytes.figure(),
        crown_pitch_angle_deg: bytes.figure(),
    };
    if let Ok(found) = side_shims(&setting) {
        numbers([found.crown_side_mm, found.other_side_mm, found.moved_mm]);
    }
    let limits = WearLimits { new_min: bytes.figure(), new_max: bytes.figure(), wear_limit: bytes.known() };
    if let Ok(reading) = wear_reading(bytes.figure(), &limits) {
        numbers(reading.remaining_share);
    }
    let alpha = [bytes.figure() / 1e6, bytes.figure() / 1e6];
    if let Ok(plan) =
        heating_plan(bytes.figure(), bytes.figure(), bytes.figure(), alpha, bytes.figure(), bytes.figure())
    {
        numbers([plan.heat_to_degc]);
        numbers(plan.cool_shaft_to_degc);
    }
    let (rating, load, speed) = (bytes.figure(), bytes.figure(), bytes.figure());
    numbers(rating_life_h(rating, load, RollingElement::Roller, speed).ok());
    numbers(required_rating(load, RollingElement::Ball, speed, rating).ok());
}

fn designations(text: &str) {
    let _ = (parse_bearing(text), parse_seal(text), parse_thread(text), parse_straight_spline(text));
    let _ = (parse_din_5480(text), parse_iso_4156(text));
    if let Ok(tyre) = parse_tyre(text) {
        numbers([tyre.overall_diameter_mm, tyre.rolling_circumference_mm]);
    }
    if let Ok(fit) = fit_from_text(text) {
        numbers([fit.clearance_min_um, fit.clearance_max_um]);
    }
}

/// Every calculation that the service answers, from its example with fields changed by the input.
fn requests(bytes: &mut Bytes<'_>) {
    let calculation = &table::EVERY[usize::from(bytes.byte()) % table::EVERY.len()];
    let request = table::Bytes(bytes.0).changed(&calculation.request());
    calculation.ask_soundly(&request.to_string());
}

fuzz_target!(|data: &[u8]| {
    let mut bytes = Bytes(data);
    match bytes.byte() % 8 {
        0 => meshes(&mut bytes),
        1 => searches(&mut bytes),
        2 => splines(&mut bytes),
        3 => settings(&mut bytes),
        4..=6 => requests(&mut bytes),
        _ => designations(&String::from_utf8_lossy(bytes.0)),
    }
});
