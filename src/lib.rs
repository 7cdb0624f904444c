//! Plantation agronomy for young conifers: how dry each tree is, when to water and how much.
//!
//! The core is pure Rust: no Python, no printing, no clock, no randomness without a seed. Modules stand on
//! floors; a module imports only from floors below its own (DEVELOPERS.md has the table).

#![forbid(unsafe_code)]
#![warn(missing_docs)]
// in kernels slices are cut to checked lengths, and say so at the top of their file
#![cfg_attr(not(test), deny(clippy::indexing_slicing))]

pub mod air;
pub mod assumption;
pub mod batch;
pub mod bounds;
pub mod control;
pub mod cost;
pub mod date;
pub mod error;
pub mod et;
pub mod explain;
pub mod farm;
pub mod fertility;
pub mod geom;
pub mod hydraulics;
mod json;
pub mod num;
pub mod outlook;
pub mod placement;
mod plain;
mod pool;
pub mod record;
pub mod schedule;
pub mod soil;
pub mod solve;
pub mod sprinkler;
pub mod stand;
pub mod sun;
pub mod units;
pub mod water;
pub mod weather;
mod words;

pub use date::Date;
pub use error::{Error, Result};

/// The examples of the front page run as tests.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
