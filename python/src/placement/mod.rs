//! `dibble.placement`: positions and minutes of the sprinkler for a field, and the trees that get a bucket.

mod by_hand;
mod plan;

use pyo3::prelude::*;

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("MOST_TREES", dibble::placement::MOST_TREES)?;
    module.add_class::<by_hand::PyBucketList>()?;
    module.add_class::<plan::PyPlacement>()?;
    by_hand::register(module)?;
    by_hand::register_list(module)?;
    plan::register(module)
}
