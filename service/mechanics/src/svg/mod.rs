//! Drawings as SVG text, to scale: one unit of the picture is one millimetre, or one step of a diagram.

mod drawing;
mod gears_in_mesh;
mod speed_diagram;
mod spline_section;

pub use gears_in_mesh::gears_in_mesh;
pub use speed_diagram::{SpeedDiagram, speed_diagram};
pub use spline_section::spline_section;
