use super::*;
use crate::watch::Unwatched;

fn skin_of(mesh: &Mesh) -> Skin {
    find(&Surface::stitched(mesh), &SkinOptions::default(), &Unwatched)
}

#[test]
fn a_block_is_a_plug() {
    let skin = skin_of(&shapes::turned(&shapes::block(200.0, 300.0, 500.0)));
    assert_eq!(skin.kind, SkinKind::Solid);
}
