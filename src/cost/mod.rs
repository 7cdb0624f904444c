//! What a pass costs, what a tree is worth, and whether the pass is worth it.
//!
//! Only what a pass itself costs is counted: fuel, labor, water, wear. What the pump cost years ago has no say in whether to
//! water today. Money has no unit: it is the user's own.

mod pass;
mod worth;

pub use pass::{PassCost, PassInput, pass_cost};
pub use worth::{PassWorth, PassWorthInput, TreeInput, TreeWorth, ValueByAge, pass_worth, tree_worth, value_by_age};
