//! Soil: texture, water holding and conductivity, layers, the feel test, intake and runoff.

pub mod feel;
mod hydraulic;
mod pedotransfer;
mod profile;
pub mod published;
mod retention;
mod texture;

pub use hydraulic::{Measured, Particles, Soil};
pub use profile::{Layer, Profile};
pub use published::AvailableRange;
pub use retention::WetEnd;
pub use texture::{TextureClass, texture_class};
