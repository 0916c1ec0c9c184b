//! The crownwheel service.
fn main() {}
