//! Our own elementary functions and small numerical tools, so that the same bits come out of every entry point.
//!
//! The system's mathematics library differs between platforms and versions, and a loop over it does not
//! vectorise. The functions here are plain arithmetic on IEEE doubles without fused operations: the compiler
//! may put them into vector lanes of any width and the bits stay the same.

pub mod chance;
pub mod dispatch;
mod elementary;
pub mod interp;
pub mod normal;
pub mod random;
pub mod root;
mod trig;

pub use elementary::{exp, ln, pow};
pub use trig::{acos, asin, atan, atan2, cos, sin, tan};
