//! The trees: rows and spacing, species and age, and the three surfaces of a block (root disc, strip, alley).
//!
//! A tree's water column is its root disc. The rest of the weed-free strip and the alley are columns of
//! their own, which count for the block's water only.

mod alley;
mod cover;
mod crop_days;
mod layout;
mod species;
mod tree;

pub use alley::Alley;
pub use cover::Surfaces;
pub use crop_days::{CropDays, CropSeries};
pub use layout::{Layout, Rows, trees_per_hectare};
pub use species::{Group, Species, Stock};
pub use tree::{PLANTED_ROOT_DEPTH_M, PLANTED_ROOT_RADIUS_M, ROOT_DEPTH_SHARES, Stand, StandInput};
