//! The daily ledger: how much water each column holds, uses, loses and needs.
//!
//! A column is a tree, a block or an ensemble member. [`run`] carries many at once through the same days, in
//! one of two forms: layered (the default), or as FAO-56 prints it.

mod column;
mod explain;
mod kernel;
mod kernel_block;
mod kernel_forcing;
mod kernel_layered;
mod kernel_printed;
mod kernel_reading;
mod kernel_start;
mod kernel_sums;
mod reading;
mod refill;
mod season;
mod season_json;
mod stand;
pub mod supply;
mod trees;
mod winter;

pub use column::{Column, Watering};
pub use reading::{Reading, ReadingOutcome, Seen, Verdict, Weighed, weigh, weighed};
pub use refill::{Need, Refill};
pub use season::{Form, Record, RunOptions, Season, Series, Totals, run};
pub use stand::{StandRun, run_stand};
pub(crate) use trees::limit_days;
pub use trees::{StressDay, TreeStress, UnevenWatering, trees};
pub use winter::{Winter, after_thaw};
