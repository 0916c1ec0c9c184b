//! Which steps a job may take from which state.
//!
//! A job runs from enquiry through strip and inspect, decision, approval and build to the record of what is now inside.
//! It may be stripped again from any state before it is closed; what was decided and approved then falls away. Nothing closes
//! without a final inspection that was passed.

choice! {
    /// How far a job is.
    pub enum JobState {
        /// Somebody asked.
        Enquiry = "enquiry",
        /// An estimate was made.
        Estimated = "estimated",
        /// The unit is apart, and findings come in.
        Inspection = "inspection",
        /// What is kept, renewed and upgraded is settled.
        Decided = "decided",
        /// The customer agreed to a price.
        Approved = "approved",
        /// Parts are issued and fitted.
        Building = "building",
        /// The final inspection was passed.
        Inspected = "inspected",
        /// What is inside is written down.
        Closed = "closed",
        /// It came to nothing.
        Cancelled = "cancelled",
    }
}

choice! {
    /// What is done with a job.
    pub enum JobStep {
        /// It is opened.
        Open = "open",
        /// An estimate is made.
        Estimate = "estimate",
        /// The unit is taken apart.
        Strip = "strip",
        /// Inspection finds something.
        Find = "find",
        /// What is kept, renewed and upgraded is settled.
        Decide = "decide",
        /// The customer agrees to a price.
        Approve = "approve",
        /// The build begins.
        Build = "build",
        /// Parts go into the job.
        Issue = "issue",
        /// Parts come back from the job.
        Return = "return",
        /// Shims are chosen from measurements.
        Shim = "shim",
        /// A final inspection is not passed.
        FailInspection = "fail_inspection",
        /// The final inspection is passed.
        Inspect = "inspect",
        /// What is inside is written down.
        Close = "close",
        /// It comes to nothing.
        Cancel = "cancel",
    }
}

impl JobState {
    /// The state after a step; `None` where the step cannot be taken from here.
    pub fn after(self, step: JobStep) -> Option<Self> {
        use JobState as S;
        use JobStep as T;
        match (self, step) {
            (S::Enquiry | S::Estimated, T::Estimate) => Some(S::Estimated),
            (S::Enquiry | S::Estimated | S::Decided | S::Approved | S::Building | S::Inspected, T::Strip) => {
                Some(S::Inspection)
            }
            (S::Inspection, T::Find) => Some(S::Inspection),
            (S::Inspection, T::Decide) => Some(S::Decided),
            (S::Decided, T::Approve) => Some(S::Approved),
            (S::Approved, T::Build) => Some(S::Building),
            (S::Building, T::Issue | T::Return | T::Shim | T::FailInspection) => Some(S::Building),
            (S::Building, T::Inspect) => Some(S::Inspected),
            // What lies unused comes back before the job is closed or ended.
            (S::Inspection | S::Decided | S::Approved | S::Inspected, T::Return) => Some(self),
            (S::Inspected, T::Close) => Some(S::Closed),
            (S::Closed | S::Cancelled, _) => None,
            (_, T::Cancel) => Some(S::Cancelled),
            _ => None,
        }
    }

    /// The steps that can be taken from here.
    pub fn allowed(self) -> Vec<JobStep> {
        let steps = JobStep::WORDS.iter().filter_map(|word| JobStep::from_word(word));
        steps.filter(|step| self.after(*step).is_some()).collect()
    }

    /// Whether nothing more is done with it.
    pub fn is_over(self) -> bool {
        matches!(self, Self::Closed | Self::Cancelled)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn states() -> Vec<JobState> {
        JobState::WORDS.iter().filter_map(|word| JobState::from_word(word)).collect()
    }

    #[test]
    fn a_job_runs_from_enquiry_to_the_record() {
        use JobStep::*;
        let way =
            [Estimate, Strip, Find, Decide, Approve, Build, Issue, FailInspection, Shim, Inspect, Close];
        let end = way.iter().try_fold(JobState::Enquiry, |state, step| state.after(*step));
        assert_eq!(end, Some(JobState::Closed));
    }

    #[test]
    fn nothing_closes_without_a_final_inspection_and_nothing_follows_the_end() {
        let closing: Vec<JobState> =
            states().into_iter().filter(|state| state.after(JobStep::Close).is_some()).collect();
        assert_eq!(closing, [JobState::Inspected]);
        for state in states() {
            assert_eq!(state.allowed().is_empty(), state.is_over(), "{state}");
            assert_eq!(state.after(JobStep::Open), None);
        }
    }

    #[test]
    fn parts_are_issued_in_the_build_alone_and_every_open_state_can_be_stripped_or_ended() {
        for state in states() {
            assert_eq!(state.after(JobStep::Issue).is_some(), state == JobState::Building, "{state}");
            assert_eq!(state.after(JobStep::Cancel).is_some(), !state.is_over(), "{state}");
            let stripped = state.after(JobStep::Strip);
            assert_eq!(stripped.is_some(), !state.is_over() && state != JobState::Inspection, "{state}");
        }
    }

    #[test]
    fn every_state_is_reached() {
        let mut reached = BTreeSet::from([JobState::Enquiry]);
        for _ in 0..JobState::WORDS.len() {
            let next: Vec<JobState> = reached
                .iter()
                .flat_map(|s| s.allowed().into_iter().filter_map(|step| s.after(step)))
                .collect();
            reached.extend(next);
        }
        assert_eq!(reached.len(), JobState::WORDS.len());
    }
}
