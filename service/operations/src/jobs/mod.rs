//! Jobs: from the enquiry to the record of what is now inside.
//!
//! A job is what its steps have made of it: each step is kept with who and when, and is never changed. [`sheet`] folds
//! them; [`change`] takes the next one; `resolver::job_state` says which may follow which.

pub mod as_built;
pub mod change;
pub mod compare;
pub mod error;
pub mod final_inspection;
pub mod findings;
pub mod list;
pub mod open;
pub mod papers;
pub mod parts_of_job;
pub mod pick_list;
pub mod question;
pub mod sheet;
pub mod step;
pub mod surplus;
