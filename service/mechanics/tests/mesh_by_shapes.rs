//! Verdicts on gear pairs of no standard against what their shapes do, kept in `mesh_by_shapes.csv`: polygons cut by a
//! rolling rack, put at the centre distance and turned until they touch, by the PyPI package shapely 2.2.0 (BSD).
//! `tests/referees/mesh_by_shapes.py` of the repository writes that file anew, and says how.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use mechanics::mesh::judge_mesh;
use mechanics::mesh_contact::{BACKLASH_MOST_MODULES, TIP_CLEARANCE_FLOOR_MODULES};
use mechanics::{GearTeeth, Hand, Joint, Verdict};

/// Play and clearance nearer to their limits than this share of a module are left out: the shapes are made of chords.
const ASIDE_MODULES: f64 = 0.005;
/// Pairs that turn this evenly have an unbroken path of contact and equal base pitches, in modules of travel: some times what
/// chords and bisection leave, and less than a contact ratio of nine tenths does.
const EVEN_MODULES: f64 = 0.000_1;
/// Pairs that turn this unevenly do not; between the two are gaps and differences that coarse gears have.
const UNEVEN_MODULES: f64 = 0.004;

struct Row {
    gears: [GearTeeth; 2],
    module: f64,
    distance: f64,
    jammed: bool,
    play: f64,
    unevenness: f64,
    clearance: f64,
}

fn rows() -> Vec<Row> {
    let row = |line: &str| {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let gear = |side: usize, hand: Hand| GearTeeth {
            tooth_count: cells[side] as u32,
            normal_module_mm: Some(cells[2 + side]),
            normal_pressure_angle_deg: Some(cells[4 + side]),
            helix_angle_deg: Some(cells[6]),
            helix_hand: Some(if cells[6] == 0.0 { Hand::Spur } else { hand }),
            profile_shift: Some(cells[7 + side]),
            tip_diameter_mm: Some(cells[9 + side]),
            thickness_allowance_upper_mm: Some(cells[11 + side]),
            thickness_allowance_lower_mm: Some(cells[11 + side]),
            ..GearTeeth::default()
        };
        Row {
            gears: [gear(0, Hand::Left), gear(1, Hand::Right)],
            module: f64::midpoint(cells[2], cells[3]),
            distance: cells[13],
            jammed: cells[14] > 0.0,
            play: cells[15],
            unevenness: cells[16],
            clearance: cells[17].min(cells[18]),
        }
    };
    include_str!("mesh_by_shapes.csv").lines().skip(1).map(row).collect()
}

impl Row {
    /// What the shapes say of the pair; none where a figure is too near to its limit.
    fn fits(&self) -> Option<bool> {
        let aside = ASIDE_MODULES * self.module;
        let most_play = BACKLASH_MOST_MODULES * self.module;
        let least_clearance = TIP_CLEARANCE_FLOOR_MODULES * self.module;
        let refused = self.jammed
            || self.play > most_play + aside
            || self.unevenness > UNEVEN_MODULES * self.module
            || self.clearance < least_clearance - aside;
        let passed = !self.jammed
            && self.play > aside
            && self.play < most_play - aside
            && self.unevenness < EVEN_MODULES * self.module
            && self.clearance > least_clearance + aside;
        (refused || passed).then_some(passed)
    }
}

#[test]
fn unseen_geometry_gives_the_verdict_of_the_shapes() {
    let (mut fit, mut refused, mut wrong) = (0, 0, Vec::new());
    let rows = rows();
    for (at, row) in rows.iter().enumerate() {
        let judged = judge_mesh(&Joint::mesh(row.distance), &row.gears[0], &row.gears[1]);
        let Some(fits) = row.fits() else { continue };
        let expected = if fits { Verdict::Fits } else { Verdict::DoesNotFit };
        *(if fits { &mut fit } else { &mut refused }) += 1;
        if judged.verdict != expected {
            wrong.push(format!(
                "row {at}: shapes say {expected:?} (jammed {}, play {}, unevenness {}, clearance {}), we {:?}, {:?}",
                row.jammed, row.play, row.unevenness, row.clearance, judged.verdict, judged.faults
            ));
        }
    }
    assert!(wrong.is_empty(), "{} of {} differ:\n{}", wrong.len(), fit + refused, wrong.join("\n"));
    assert!(fit >= 20 && refused >= 50, "{fit} pairs fit and {refused} do not, of {}", rows.len());
}

/// Where nothing else is in the way, the play of the shapes is the backlash that we compute.
#[test]
fn the_play_of_the_shapes_is_our_backlash() {
    let mut compared = 0;
    for (at, row) in rows().iter().enumerate() {
        if row.jammed || row.unevenness > EVEN_MODULES * row.module {
            continue;
        }
        let judged = judge_mesh(&Joint::mesh(row.distance), &row.gears[0], &row.gears[1]);
        if let Some(ours) = judged.value_of("j_wt,min") {
            compared += 1;
            assert!(
                (ours - row.play).abs() < 0.001 * row.module,
                "row {at}: ours {ours}, theirs {}",
                row.play
            );
        }
    }
    assert!(compared >= 25, "only {compared} pairs had play to compare");
}
