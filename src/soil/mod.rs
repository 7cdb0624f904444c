//! Soil: texture, water holding and conductivity, layers, the feel test, intake and runoff.

mod description;
pub mod feel;
mod hydraulic;
pub mod intake;
mod pedotransfer;
mod profile;
pub mod published;
pub mod rain;
mod retention;
pub mod runoff;
pub mod salinity;
mod texture;

pub use description::{Measured, Particles};
pub use hydraulic::Soil;
pub use intake::ponding_time_h;
pub use profile::{Layer, Profile};
pub use published::AvailableRange;
pub use retention::WetEnd;
pub use runoff::runoff_mm;
pub use texture::{TextureClass, texture_class};
