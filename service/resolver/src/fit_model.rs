//! The fit of one branch before it is solved: what may stand where, and what was asked for.

use std::collections::BTreeSet;

use solver::fit::{Problem, Supports};

use crate::asked::{Wish, wishes};
use crate::branch::Branch;
use crate::companion_places::{bring_along, companion_places};
use crate::context::Context;
use crate::fit::{Fit, first_best, residual_tables};
use crate::fit_problem::Build;
use crate::graph::PartIx;
use crate::joint_judge::JointJudge;
use crate::placed_joint::{PlacedJoint, placed_joints};
use crate::request_fault::RequestFault;
use crate::scope::{Place, places};
use crate::value::{Asked, Upgrades, Value, Values};

/// Places, their values, and what ties them.
#[derive(Debug)]
pub(crate) struct Model<'a> {
    /// What is taken to hold.
    pub(crate) branch: Branch,
    /// The places, unit by unit in order of assembly.
    pub(crate) places: Vec<Place<'a>>,
    /// The values of each place.
    pub(crate) values: Vec<Vec<Value>>,
    /// The wishes.
    pub(crate) wishes: Vec<Wish>,
    /// What wishes name at each place.
    pub(crate) asked: Vec<Asked>,
    /// Joints between places of the branch.
    pub(crate) joints: Vec<PlacedJoint<'a>>,
    /// Their verdicts.
    pub(crate) judge: JointJudge<'a>,
    /// For each place the places at which companions of what may be fitted there stand, with the companion.
    pub(crate) companions: Vec<Vec<(usize, PartIx)>>,
}

impl<'a> Model<'a> {
    /// What may stand at each place of a branch.
    pub(crate) fn new(
        context: &Context<'a>,
        branch: &Branch,
        upgrades: Upgrades,
    ) -> Result<Self, RequestFault> {
        let places = places(context, branch)?;
        let wishes = wishes(context, branch, &places)?;
        let joints = placed_joints(context, &places);
        let mut asked: Vec<Asked> = vec![Asked::default(); places.len()];
        for stand in wishes.iter().flat_map(|wish| &wish.alternatives).flat_map(|way| &way.at) {
            asked[stand.place].listed.push(stand.listed);
            asked[stand.place].named.push(stand.wanted);
        }
        let jointed: BTreeSet<usize> = joints.iter().flat_map(|joint| [joint.a, joint.b]).collect();
        let mut values = Values::new(context, branch, upgrades, &places).all(&asked, &jointed)?;
        let companions = companion_places(context, branch, &places, &values)?;
        bring_along(&places, &asked, &mut values, &companions);
        let judge = JointJudge::new(branch);
        Ok(Self { branch: branch.clone(), places, values, wishes, asked, joints, judge, companions })
    }

    /// The model as the builder of constraints sees it.
    pub(crate) fn build<'b>(&'b self, context: &'b Context<'a>) -> Build<'b, 'a> {
        Build {
            context,
            branch: &self.branch,
            places: &self.places,
            values: &self.values,
            wishes: &self.wishes,
            asked: &self.asked,
            joints: &self.joints,
            judge: &self.judge,
            companions: &self.companions,
        }
    }

    /// The fit with what a solved problem leaves open.
    pub(crate) fn with_supports(self, problem: &Problem, found: Supports) -> Result<Fit<'a>, RequestFault> {
        let exact = found.residual.exact;
        let (open, tables) = if exact {
            let tables = residual_tables(&found.residual);
            (found.values, tables)
        } else {
            // The open choice cannot be told by tables alone; the first of the best answers stands, money aside.
            (first_best(problem)?, Vec::new())
        };
        let Self { places, values, wishes, joints, judge, companions, .. } = self;
        Ok(Fit { places, values, open, tables, wishes, joints, judge, companions, exact })
    }
}
