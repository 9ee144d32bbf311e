//! A scene as GLB (glTF 2.0, Khronos Group), in metres and y up as that standard has it.

use super::scene::Scene;

/// The whole file.
#[must_use]
pub fn bytes(_scene: &Scene) -> Vec<u8> {
    Vec::new()
}
