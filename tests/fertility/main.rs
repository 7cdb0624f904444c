//! Fertility against published values, with the laws that amounts keep and the messages of bad input.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

mod amounts;
mod foliar;
mod lime;
mod reference;
mod soil;
