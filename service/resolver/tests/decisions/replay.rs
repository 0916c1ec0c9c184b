//! A case that is saved as a file gives the same answer when it is read again.

use resolver::{Input, resolve};

use crate::world::{World, ask};

#[test]
fn a_saved_case_gives_the_same_bytes() {
    let input = World::demo().input(ask("BN-552", "TOP-GEAR"));
    let saved = serde_json::to_string(&input).unwrap();
    let back: Input = serde_json::from_str(&saved).unwrap();
    assert_eq!(back, input);
    let bytes = |input: &Input| serde_json::to_vec(&resolve(input).unwrap()).unwrap();
    assert_eq!(bytes(&back), bytes(&input));
}
