//! Meshes over a handful of coordinates: duplicates, fins, slivers and one-sided bands come up all the time.
#![no_main]

use libfuzzer_sys::fuzz_target;
use matloft::geometry::load::{LoadOptions, load};

fuzz_target!(|bytes: &[u8]| {
    const NUMBERS: [f32; 8] = [0.0, -0.0, 300.0, 700.0, 700.000_1, 1e-5, 1e20, f32::NAN];
    let mut file = vec![0u8; 84];
    file[80..].copy_from_slice(&((bytes.len() / 9) as u32).to_le_bytes());
    for triangle in bytes.chunks_exact(9) {
        file.extend_from_slice(&[0; 12]);
        triangle.iter().for_each(|byte| file.extend_from_slice(&NUMBERS[*byte as usize % 8].to_le_bytes()));
        file.extend_from_slice(&[0; 2]);
    }
    let loaded = load(&file, "roof.stl", &LoadOptions::default());
    for part in &loaded.parts {
        let again = load(&file, "roof.stl", &LoadOptions::default());
        assert!(again.parts[0].mesh == part.mesh && again.parts[0].health == part.health);
        assert!(!part.health.closed || part.health.open_edges + part.health.nonmanifold_edges == 0);
        assert!(part.mesh.area_m2() > 0.0);
    }
    assert_eq!(loaded.parts.len() + loaded.errors.len(), 1);
});
