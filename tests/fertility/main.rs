//! Fertility against published values, with the laws that amounts keep and the messages of bad input.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

mod amounts;
mod blend;
mod blend_laws;
mod blend_reference;
mod foliar;
mod lime;
mod mix;
mod mixed;
mod reference;
mod soil;
mod whole;

#[cfg(feature = "schema")]
mod schema;
