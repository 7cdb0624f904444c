//! Looking further than the week: what to measure next, and the coming weeks as past years would make them.

mod doubt;
mod season;
mod sensitivity;
mod words;
mod years;

pub use doubt::{Input, Range};
pub use season::{Band, BlockOutlook, OUTLOOK_SCHEMA, Outlook, OutlookOptions, outlook};
pub use sensitivity::{Answer, SENSITIVITY_SCHEMA, Sensitivity, Swing, by_block, by_week, sensitivity};
