//! Files in memory, as exporters write them.

use super::shapes::Triangle;

/// A binary STL.
pub fn binary_stl(triangles: &[Triangle]) -> Vec<u8> {
    binary_stl_announcing(triangles, triangles.len() as u32, b"made in code")
}

/// A binary STL whose header begins with the given bytes and announces the given count.
pub fn binary_stl_announcing(triangles: &[Triangle], count: u32, header: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0; 80];
    bytes[..header.len()].copy_from_slice(header);
    bytes.extend_from_slice(&count.to_le_bytes());
    for triangle in triangles {
        bytes.extend_from_slice(&[0; 12]);
        for coordinate in triangle.iter().flatten() {
            bytes.extend_from_slice(&(*coordinate as f32).to_le_bytes());
        }
        bytes.extend_from_slice(&[0; 2]);
    }
    bytes
}

/// A text STL of one solid, with all digits.
pub fn text_stl(name: &str, triangles: &[Triangle]) -> String {
    let mut text = format!("solid {name}\n");
    for triangle in triangles {
        text.push_str("  facet normal 0.0 0.0 0.0\n    outer loop\n");
        for [x, y, z] in triangle {
            text.push_str(&format!("      vertex {x} {y} {z}\n"));
        }
        text.push_str("    endloop\n  endfacet\n");
    }
    text.push_str(&format!("endsolid {name}\n"));
    text
}

/// An OBJ of triangles, each with vertices of its own.
pub fn obj(triangles: &[Triangle]) -> String {
    let mut text = String::new();
    for [x, y, z] in triangles.iter().flatten() {
        text.push_str(&format!("v {x} {y} {z}\n"));
    }
    for first in (1..=3 * triangles.len()).step_by(3) {
        text.push_str(&format!("f {} {} {}\n", first, first + 1, first + 2));
    }
    text
}
