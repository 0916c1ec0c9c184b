//! Calculations of driveline mechanics: a request in, figures out, nothing stored. A picture, where it says more, is the
//! sub-resource `drawing` of the calculation and takes the same request.

mod answer;
pub(crate) mod bearings;
pub(crate) mod gears;
pub(crate) mod seals_and_threads;
pub(crate) mod setting_up;
pub(crate) mod splines;
pub(crate) mod trains;
pub(crate) mod wear;

/// The media type of the drawings.
pub(crate) const SVG: &str = "image/svg+xml";
