//! Whatever the bytes, loading gives a part or an error, without panic, and every part holds together.
#![no_main]

use libfuzzer_sys::fuzz_target;
use matloft::geometry::load::{LoadOptions, load};
use matloft::geometry::part::Part;

fuzz_target!(|bytes: &[u8]| {
    for file in ["roof.stl", "roof.obj"] {
        for by_object in [false, true] {
            let loaded = load(bytes, file, &LoadOptions { unit: None, by_object });
            assert!(!loaded.parts.is_empty() || !loaded.errors.is_empty());
            loaded.parts.iter().for_each(holds_together);
        }
    }
});

fn holds_together(part: &Part) {
    let area_m2 = part.mesh.area_m2();
    assert!(area_m2.is_finite() && area_m2 > 0.0);
    assert_eq!(part.mesh.faces.len(), part.face_regions.len());
    assert!(part.face_regions.iter().all(|&region| (region as usize) < part.regions.len()));
    assert!(part.mesh.faces.iter().flatten().all(|&point| (point as usize) < part.mesh.points_mm.len()));
    assert!(part.health.triangles <= part.mesh.faces.len());
    assert_eq!(part.health.vertices, part.mesh.points_mm.len());
}
