//! From bytes to what the shape itself says: area, skin, bends, corners, pieces, edges. Knows no laminate.
//!
//! In reading order: [`mesh`] and [`part`] are the data, [`load`] makes them; [`topology`] and [`stitch`] say which facets
//! meet; [`skin`] tells the two sides of a thin solid apart; [`bending`] and [`corners`] find where it bends;
//! [`survey`] runs these stages in order. [`split`], [`edges`] and [`strips`] cut it (through [`refine`], which forgets
//! nothing), follow its borders and measure strips along lines on it; [`offset`] measures it at a depth, [`girth`] along
//! its longest lines; [`pull`] says which way a mould comes off it.

pub mod axes;
pub mod bending;
pub mod corners;
pub mod crossing;
pub mod edges;
pub mod girth;
pub mod health;
pub mod load;
mod lost;
pub mod mesh;
pub mod normals;
pub mod offset;
pub mod part;
pub mod pull;
pub mod rays;
pub mod rectangle;
pub mod refine;
pub mod rough;
pub mod shells;
pub mod skin;
pub mod split;
pub mod stitch;
pub mod strips;
pub mod survey;
pub mod topology;
pub mod weld;
