//! The season log: what was planned and what was done, one line each, in a table that a spreadsheet opens.
//!
//! The file is text, parted by commas (semicolons and tabs are read too). Its first line names what it is, the version of
//! this form and the farm; the second line holds the headings; every further line is one entry:
//!
//! ```csv
//! season log,1,Kettle Hill
//! id,date,block,state,what,of,depth_mm,time_min,sets,soil_depth_m,feel,tension_kpa,water_content,holes,product,amount_kg,place,living,planted,row,note
//! 2026-07-14-1,2026-07-14,South slope,done,water,,,70,1-4 of 4,,,,,,,,,,,,
//! 2026-07-16-1,2026-07-16,South slope,done,reading,,,,,0.1,moist,,,3,,,,,,,dug at the row end too
//! 2026-07-17-1,2026-07-17,,done,rain,,8.5,,,,,,,,,,,,,,the forecast had none
//! ```
//!
//! Lines are only ever added, each with one write. A mistake is put right by a further line whose `of` names the `id` of an
//! earlier one and takes its place, or by a line whose `what` is `strike`. A heading without the ending that names its unit
//! (`depth` for `depth_mm`) takes cells with a unit ("0.5 in"); columns may stand in any order, and those that are not needed
//! may be left out. An empty `block` is the whole farm.

mod cells;
mod entry;
#[cfg(feature = "io")]
mod file;
mod log;
mod replant;
mod sets;
mod survival;

pub use entry::{Entry, Kind, State, What};
#[cfg(feature = "io")]
pub use file::{append, read};
pub use log::{Fault, LOG_VERSION, Log};
pub use replant::{Replant, ReplantInput, Worth, WorthInput, replant, replant_worth};
pub use sets::Sets;
pub use survival::{Clumping, PLOT_RADIUS_M, Plot, Runs, Survey, SurveyInput, fewest_plots, runs, score_interval, stand_density, survival};
